//! Where a part is: one answer for every way of saying it, as its assembly stands where nobody said, and never 'nowhere' for what is on
//! the car. What is elsewhere stands in the way of closing, whoever put it there.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::Check;
use record::entities::*;
use record::lies::{Lies, Whereabouts, whereabouts};
use record::rules::Rule;
use record::words::AssemblyState;
use record::{Edit, Given, Id, Kind};
use settling::lids::checks;
use settling::{assembly, close, of, pair, points, settle};
use workshop::{Device, meet};

fn part(device: &mut Device, assembly: &Id) -> Id {
    device.make::<Part>(PartFields {
        name: "clutch fork".into(),
        assembly: Given::Put(assembly.clone()),
        ..Default::default()
    })
}

fn lies(device: &mut Device, part: &Id, kept: &str) {
    let fields = PartFields {
        container: kept.into(),
        ..Default::default()
    };
    device.change::<Part>(part, fields);
}

fn stands(device: &mut Device, assembly: &Id, state: AssemblyState) {
    let fields = AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Assembly>(assembly, fields);
}

fn is(device: &Device, part: &Id) -> Whereabouts {
    let view = device.record.view();
    whereabouts(view, view.one::<Part>(part).unwrap())
}

fn said(device: &Device, part: &Id) -> String {
    is(device, part).said
}

#[test]
fn what_nobody_said_is_where_its_assembly_is() {
    let (mut nell, _) = pair();
    let engine = assembly(&mut nell, "engine");
    let gearbox = nell.make::<Assembly>(AssemblyFields {
        name: "gearbox".into(),
        parent: Given::Put(engine.clone()),
        ..Default::default()
    });
    let fork = part(&mut nell, &gearbox);
    assert_eq!(said(&nell, &fork), "In the car: gearbox");
    stands(&mut nell, &engine, AssemblyState::Off);
    assert_eq!(said(&nell, &fork), "In gearbox; engine is off the car");
    assert!(!is(&nell, &fork).to_seek);
    stands(&mut nell, &gearbox, AssemblyState::Apart);
    assert_eq!(
        said(&nell, &fork),
        "gearbox is in pieces, and nobody has said where this lies"
    );
    assert!(is(&nell, &fork).to_seek);
}

#[test]
fn each_way_of_saying_it_is_answered_and_kept_as_it_was_said() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let fork = part(&mut nell, &gearbox);
    let shelf = nell.make::<Container>(ContainerFields {
        code: "X4".into(),
        place: "right-hand shelves".into(),
        ..Default::default()
    });
    let bag = nell.make::<Container>(ContainerFields {
        code: "B12".into(),
        name: "clips".into(),
        inside: Given::Put(shelf),
        ..Default::default()
    });
    let each = [
        (bag.to_string(), "B12: clips, in X4, right-hand shelves", false),
        ("place:".to_owned(), "In the car: gearbox", false),
        ("off:on the bench".to_owned(), "Off the car: on the bench", false),
        ("off:".to_owned(), "Off the car", true),
        ("away:with the plater".to_owned(), "Away: with the plater", false),
        ("scrapped:cracked".to_owned(), "Scrapped: cracked", false),
        (
            "lost:behind the stove".to_owned(),
            "Not to be found: behind the stove",
            true,
        ),
    ];
    for (kept, answer, to_seek) in each {
        lies(&mut nell, &fork, &kept);
        assert_eq!(
            nell.entry(Kind::Part, &fork).line(Part::container),
            Some(kept.as_str())
        );
        let now = is(&nell, &fork);
        assert_eq!((now.said.as_str(), now.to_seek), (answer, to_seek));
        let holds = nell.record.view().one::<Part>(&fork).unwrap();
        assert_eq!(holds.container().map(Lies::kept).as_deref(), Some(kept.as_str()));
    }
    for nonsense in ["somewhere:", "place:here", "on the bench"] {
        let fields = PartFields {
            container: nonsense.into(),
            ..Default::default()
        };
        assert!(Edit::change::<Part>(fork.clone(), &fields).is_err(), "{nonsense}");
    }
    let nobody = Edit::change::<Part>(
        fork.clone(),
        &PartFields {
            container: "no-such-bag".into(),
            ..Default::default()
        },
    );
    assert!(nell.try_edit(&nobody.unwrap()).is_err());
}

#[test]
fn what_is_elsewhere_stands_in_the_way_of_closing() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let fork = part(&mut nell, &gearbox);
    for kept in ["off:on the bench", "away:with the plater", "scrapped:", "lost:"] {
        lies(&mut nell, &fork, kept);
        assert_eq!(checks(&nell, &gearbox), [Check::PartStored], "{kept}");
    }
    lies(&mut nell, &fork, "place:");
    assert_eq!(checks(&nell, &gearbox), []);
}

/// One puts it into a bag while the other says that it is in: one field, so one question, and never one's word beside the other's bag.
#[test]
fn two_who_say_otherwise_are_asked_once() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let fork = part(&mut nell, &gearbox);
    let bag = nell.make::<Container>(ContainerFields {
        code: "B12".into(),
        ..Default::default()
    });
    meet(&mut nell, &mut wilf);
    lies(&mut nell, &fork, bag.as_str());
    lies(&mut wilf, &fork, "away:with the plater");
    meet(&mut nell, &mut wilf);
    let found = points(&nell);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].rule, Rule::TwoValues);
    settle(&mut wilf, &found[0], &found[0].sides[0].key, None);
    meet(&mut nell, &mut wilf);
    assert_eq!(said(&nell, &fork), said(&wilf, &fork));
    assert_eq!(points(&wilf), []);
}

/// Nell closes it; Wilf, who cannot know, takes the part to the plater.
#[test]
fn what_was_taken_away_apart_from_the_closing_is_a_point() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let fork = part(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    close(&mut nell, &gearbox);
    lies(&mut wilf, &fork, "away:with the plater");
    meet(&mut nell, &mut wilf);
    let found = of(&nell, Rule::ClosedOverStored);
    assert_eq!(found.len(), 1);
    settle(&mut nell, &found[0], "was_put_in", None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&wilf), []);
    assert_eq!(said(&wilf, &fork), "In the car: gearbox");
}
