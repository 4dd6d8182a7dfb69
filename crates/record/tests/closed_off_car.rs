//! Closed on the bench and fitted to the car as it is: that opens nothing. Where a closed assembly is stands beside its state.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::EditError;
use record::entities::*;
use record::lies::{closed_off_car, whereabouts};
use record::rules::{Rule, Talk};
use record::words::{AssemblyState, HoldState, How};
use record::{Edit, Given, Id, Kind, Refusal};
use settling::lids::{part, stands};
use settling::{assembly, close, pair, points, settle};
use workshop::{Device, meet};

fn fits(off: bool) -> AssemblyFields {
    AssemblyFields {
        off_car: Given::Put(off),
        ..Default::default()
    }
}

fn look(device: &mut Device, assembly: &Id) -> Id {
    let hold = device.make::<HoldPoint>(HoldPointFields {
        what: "the thrust washer is in".into(),
        assembly: Given::Put(assembly.clone()),
        how: Given::Put(How::Seen),
        ..Default::default()
    });
    let met = HoldPointFields {
        state: Given::Put(HoldState::Met),
        met_how: "with the torch".into(),
        ..Default::default()
    };
    device.change::<HoldPoint>(&hold, met);
    hold
}

fn is_met(device: &Device, hold: &Id) -> bool {
    let hold = device.record.view().one::<HoldPoint>(hold).unwrap();
    hold.state() == Some(HoldState::Met)
}

fn said(device: &Device, part: &Id) -> String {
    let view = device.record.view();
    whereabouts(view, view.one::<Part>(part).unwrap()).said
}

fn deeds(device: &mut Device, id: &Id, fields: &AssemblyFields) -> Vec<&'static str> {
    let edit = Edit::change::<Assembly>(id.clone(), fields).unwrap();
    let changes = device.edit(&edit);
    changes
        .last()
        .unwrap()
        .deeds
        .iter()
        .map(|deed| deed.words())
        .collect()
}

#[test]
fn what_was_closed_on_the_bench_is_fitted_closed() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let washer = part(&mut nell, "thrust washer", &gearbox);
    stands(&mut nell, &gearbox, AssemblyState::Apart);
    let hold = look(&mut nell, &gearbox);
    stands(&mut nell, &gearbox, AssemblyState::Off);
    let hold_2 = look(&mut nell, &gearbox);
    assert!(
        is_met(&nell, &hold),
        "put together on the bench, what was looked at in pieces stands"
    );
    close(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    assert!(closed_off_car(wilf.entry(Kind::Assembly, &gearbox)));
    assert_eq!(
        said(&wilf, &washer),
        "In gearbox; which is closed, and off the car"
    );
    assert_eq!(
        deeds(&mut wilf, &gearbox, &fits(false)),
        ["Fitted, closed as it is"]
    );
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), []);
    assert!(is_met(&nell, &hold) && is_met(&nell, &hold_2));
    assert_eq!(nell.entry(Kind::Assembly, &gearbox).line("state"), Some("closed"));
    assert_eq!(said(&nell, &washer), "In the car: gearbox");
    // Off again as it is, and that opens nothing either.
    assert_eq!(
        deeds(&mut nell, &gearbox, &fits(true)),
        ["Taken off, closed as it is"]
    );
    assert!(is_met(&nell, &hold));
    // Opened, its state says where it is from then on, and closing it on the car says nothing else.
    stands(&mut nell, &gearbox, AssemblyState::Fitted);
    assert!(!is_met(&nell, &hold));
    assert_eq!(nell.entry(Kind::Assembly, &gearbox).value("off_car"), None);
}

#[test]
fn closed_on_the_car_it_is_in_the_car_and_of_an_open_one_its_state_says_so() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let edit = Edit::change::<Assembly>(gearbox.clone(), &fits(true)).unwrap();
    assert!(matches!(
        nell.try_edit(&edit),
        Err(EditError::Refused(Refusal::Misfit { .. }))
    ));
    close(&mut nell, &gearbox);
    assert!(!closed_off_car(nell.entry(Kind::Assembly, &gearbox)));
    assert_eq!(
        nell.entry(Kind::Assembly, &gearbox).claims("off_car"),
        [],
        "nothing is put that says nothing"
    );
}

/// One took it off closed as it was, the other opened and closed it on the car: nobody has said that what stands there now is so.
#[test]
fn taken_off_by_one_and_closed_on_the_car_by_the_other_is_asked_about() {
    for (choice, off) in [("off the car", true), ("on the car", false)] {
        let (mut nell, mut wilf) = pair();
        let gearbox = assembly(&mut nell, "gearbox");
        close(&mut nell, &gearbox);
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&nell), []);
        nell.change::<Assembly>(&gearbox, fits(true));
        stands(&mut wilf, &gearbox, AssemblyState::Fitted);
        close(&mut wilf, &gearbox);
        meet(&mut nell, &mut wilf);
        let asked = points(&wilf);
        assert_eq!(asked, points(&nell));
        let [point] = asked.as_slice() else {
            panic!("{asked:?}")
        };
        assert_eq!((point.rule, point.sides.len()), (Rule::SaidApart, 2));
        let said =
            |side: &&record::rules::Side| side.value.as_ref().unwrap().line().unwrap().starts_with(choice);
        let side = point.sides.iter().find(said).unwrap();
        let whose = if off { &nell } else { &wilf };
        assert_eq!(side.stamp.device, whose.record.device());
        let talk = Talk {
            view: wilf.record.view(),
            me: None,
        };
        let (who, left) = match off {
            true => ("parent", "off the car, closed as it was"),
            false => ("child", "on the car, opened and closed again"),
        };
        let did = talk.did(point, side);
        assert!(
            did.starts_with(who) && did.ends_with(&format!("left it {left}.")),
            "{did}"
        );
        let asked = record::rules::questions(std::slice::from_ref(point));
        let says = talk.choice(&asked[0], &side.key, &[]).says;
        assert_eq!(says, format!("As {who} had it: {left}"));
        settle(&mut wilf, point, &side.key, None);
        meet(&mut nell, &mut wilf);
        for device in [&nell, &wilf] {
            assert_eq!(points(device), []);
            assert_eq!(closed_off_car(device.entry(Kind::Assembly, &gearbox)), off);
        }
        // Fitted or taken off by somebody who knows of all that is nothing to ask about.
        nell.change::<Assembly>(&gearbox, fits(!off));
        assert_eq!(points(&nell), []);
    }
}

#[test]
fn whoever_closes_it_where_another_left_it_contradicts_nobody() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    close(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    nell.change::<Assembly>(&gearbox, fits(true));
    stands(&mut wilf, &gearbox, AssemblyState::Off);
    close(&mut wilf, &gearbox);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), [], "both left it closed, and off the car");
    // One who knows that it is off opens it there and closes it again.
    stands(&mut nell, &gearbox, AssemblyState::Off);
    close(&mut nell, &gearbox);
    assert!(closed_off_car(nell.entry(Kind::Assembly, &gearbox)));
    assert_eq!(points(&nell), []);
}

#[test]
fn what_means_nothing_is_refused_in_words() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let refused = |nell: &mut Device, fields: &AssemblyFields| {
        let edit = Edit::change::<Assembly>(gearbox.clone(), fields).unwrap();
        match nell.try_edit(&edit) {
            Err(EditError::Refused(refusal @ Refusal::Misfit { .. })) => refusal.to_string(),
            other => panic!("{other:?}"),
        }
    };
    for value in [Given::Put(true), Given::Put(false), Given::Clear] {
        let marks = [
            AssemblyFields {
                opened: value.clone(),
                ..Default::default()
            },
            AssemblyFields {
                taken_apart: value.clone(),
                ..Default::default()
            },
        ];
        for marked in marks {
            assert!(refused(&mut nell, &marked).contains("say how it stands instead"));
        }
        let off = AssemblyFields {
            off_car: value,
            ..Default::default()
        };
        assert!(refused(&mut nell, &off).contains("it is not closed"));
    }
    close(&mut nell, &gearbox);
    assert!(refused(&mut nell, &fits(false)).contains("it is on the car already"));
    nell.change::<Assembly>(&gearbox, fits(true));
    assert!(refused(&mut nell, &fits(true)).contains("it is off the car already"));
    nell.change::<Assembly>(&gearbox, fits(false));
}

/// Fitted closed by one and opened by the other is nothing to ask about where it is; taken off as it was and opened on the car is, and
/// either answer ends it.
#[test]
fn where_a_lid_is_that_was_opened_meanwhile_can_be_settled() {
    for (takes_off, choice) in [(false, 0), (true, 0), (true, 1)] {
        let (mut nell, mut wilf) = pair();
        let gearbox = assembly(&mut nell, "gearbox");
        stands(&mut nell, &gearbox, AssemblyState::Off);
        close(&mut nell, &gearbox);
        if takes_off {
            nell.change::<Assembly>(&gearbox, fits(false));
        }
        meet(&mut nell, &mut wilf);
        nell.change::<Assembly>(&gearbox, fits(takes_off));
        stands(&mut wilf, &gearbox, AssemblyState::Fitted);
        meet(&mut nell, &mut wilf);
        let asked = points(&wilf);
        assert_eq!(asked.len(), usize::from(takes_off), "{asked:?}");
        let Some(point) = asked.first() else { continue };
        assert_eq!(point.field.as_deref(), Some("off_car"));
        settle(&mut wilf, point, &point.choices[choice].key, None);
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&nell), []);
        // One keeper's word on all of it: off the car and closed, or opened on it; and then nothing keeps it from being closed there.
        let off = point.sides[choice].value.is_some();
        assert_eq!(closed_off_car(nell.entry(Kind::Assembly, &gearbox)), off);
        if !off {
            close(&mut nell, &gearbox);
            assert!(!closed_off_car(nell.entry(Kind::Assembly, &gearbox)));
        }
    }
}
