//! What things are called: with their position, with their assembly where two are called alike; what is hinted at before it is entered
//! twice; and a note that is of an assembly as well as of a day.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::alike::{Typed, alike, free_code};
use record::edit::notes_in;
use record::entities::{Assembly, AssemblyFields, Container, ContainerFields, Part, PartFields};
use record::title::{title, whole};
use record::titles::Titles;
use record::{Edit, Given, Id, Kind};
use workshop::Device;

fn put(text: &str) -> Given<String> {
    Given::Put(text.to_owned())
}

fn part(device: &mut Device, name: &str, position: &str, assembly: &Id) -> Id {
    device.make::<Part>(PartFields {
        name: put(name),
        position: put(position),
        assembly: Given::Put(assembly.clone()),
        ..PartFields::default()
    })
}

fn assembly(device: &mut Device, name: &str) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: put(name),
        ..AssemblyFields::default()
    })
}

#[test]
fn a_title_says_the_position_once_and_the_assembly_where_two_are_called_alike() {
    let mut phone = Device::first("phone", 7);
    let (engine, spare) = (
        assembly(&mut phone, "Engine"),
        assembly(&mut phone, "Spare engine"),
    );
    let said = |phone: &Device, id: &Id| title(phone.record.view().get(Kind::Part, id).unwrap());
    let third = part(&mut phone, "Piston", "Cylinder 3", &engine);
    assert_eq!(said(&phone, &third), "Piston, cylinder 3");
    let left = part(&mut phone, "Half shaft, left", "Left", &engine);
    assert_eq!(said(&phone, &left), "Half shaft, left");
    let marked = part(&mut phone, "Hub", "LH front", &engine);
    assert_eq!(said(&phone, &marked), "Hub, LH front");
    let other = part(&mut phone, "Piston", "cylinder 3", &spare);
    let view = phone.record.view();
    let titles = Titles::of(view);
    let of = |id: &Id| titles.title(view.get(Kind::Part, id).unwrap());
    assert_eq!(of(&third), "Piston, cylinder 3, in Engine");
    assert_eq!(of(&other), "Piston, cylinder 3, in Spare engine");
    assert_eq!(of(&left), "Half shaft, left");
    let entry = view.get(Kind::Part, &third).unwrap();
    assert_eq!(whole(entry), "Piston, cylinder 3");
}

#[test]
fn what_is_there_already_is_hinted_at_and_what_is_elsewhere_is_not() {
    let mut phone = Device::first("phone", 7);
    let (engine, spare) = (
        assembly(&mut phone, "Engine"),
        assembly(&mut phone, "Spare engine"),
    );
    let third = part(&mut phone, "Piston", "cylinder 3", &engine);
    let found = |phone: &Device, words: &str, position: &str, assembly: &Id, besides: Option<&Id>| {
        let typed = Typed {
            kind: Kind::Part,
            words,
            position,
            part: None,
            assembly: Some(assembly),
            besides,
        };
        let all = alike(phone.record.view(), &typed);
        all.into_iter().map(|one| one.says).collect::<Vec<_>>()
    };
    assert_eq!(
        found(&phone, "pistons", "cylinder 3", &engine, None),
        ["already there, in Engine"]
    );
    assert!(found(&phone, "pistons", "cylinder 4", &engine, None).is_empty());
    assert!(found(&phone, "pistons", "cylinder 3", &spare, None).is_empty());
    assert!(found(&phone, "piston", "cylinder 3", &engine, Some(&third)).is_empty());
}

#[test]
fn the_next_code_that_nothing_bears_is_offered() {
    let mut phone = Device::first("phone", 7);
    for code in ["B6", "b7", "B 9", "X1", "SHELF"] {
        phone.make::<Container>(ContainerFields {
            code: put(code),
            ..ContainerFields::default()
        });
    }
    let view = phone.record.view();
    let check =
        |typed: &str, free: Option<&str>| assert_eq!(free_code(view, typed).as_deref(), free, "{typed}");
    check("B7", Some("B8"));
    check("b6", Some("B8"));
    check("", Some("B10"));
    check("x1", Some("X2"));
    check("a box", None);
    let typed = Typed {
        kind: Kind::Container,
        words: "B7",
        position: "",
        part: None,
        assembly: None,
        besides: None,
    };
    assert_eq!(alike(view, &typed)[0].says, "b7 is taken");
}

#[test]
fn a_note_of_an_assembly_stands_on_the_day_and_names_it() {
    let mut phone = Device::first("phone", 7);
    let engine = assembly(&mut phone, "Engine");
    let keeper = phone.keeper.clone();
    let day = "2031-03-01".parse().unwrap();
    phone.edit(&Edit::Note {
        day,
        keeper: keeper.clone(),
        text: "Rain.".to_owned(),
    });
    phone.edit(&Edit::NoteOf {
        day,
        keeper: keeper.clone(),
        text: "Number two sticks.\nWarm it first.".to_owned(),
        assembly: engine.clone(),
    });
    let view = phone.record.view();
    let sheet = view
        .all(Kind::Sheet)
        .find(|sheet| sheet.members("notes_of").next().is_some());
    let sheet = sheet.unwrap();
    assert_eq!(sheet.members("notes_of").collect::<Vec<_>>(), [engine.as_str()]);
    let text = sheet.line("text").unwrap();
    assert_eq!(text, "Rain.\nIn Engine: Number two sticks.\n  Warm it first.\n");
    assert_eq!(
        notes_in(text),
        [(
            "Engine".to_owned(),
            "Number two sticks.\nWarm it first.".to_owned()
        )]
    );
}
