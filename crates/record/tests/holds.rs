//! Hold points: none is met by an empty tap or by fewer than are wanted, and one that was met is asked anew when what it rests on is
//! changed: its words, its assembly, the reading or photo that met it. What could not be known of the other is a point.
//!
//! Length: how one is met, what asks it anew and what could not be known of it are told on the one bench that all of it is made on.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::Check;
use record::edit::EditError;
use record::entities::*;
use record::holding::{MetBy, counted_otherwise};
use record::rules::Rule;
use record::words::{AssemblyState, HoldState, How};
use record::{Edit, Given, Id, Kind, Ref, Refusal};
use settling::lids::{checks, still_open};
use settling::{assembly, close, of, pair, points, settle};
use workshop::{Device, day, meet, part};

fn hold(device: &mut Device, assembly: &Id, how: How, wanted: Option<i32>) -> Id {
    device.make::<HoldPoint>(HoldPointFields {
        what: match how {
            How::Measured => "end float is in its limits",
            _ => "lid bolts are in",
        }
        .into(),
        assembly: Given::Put(assembly.clone()),
        how: Given::Put(how),
        wanted: wanted.map_or(Given::Leave, Given::Put),
        ..Default::default()
    })
}

fn met_by(by: &MetBy) -> HoldPointFields {
    HoldPointFields {
        state: Given::Put(HoldState::Met),
        met_by: Given::Put(by.kept()),
        ..Default::default()
    }
}

fn meets(device: &mut Device, hold: &Id, by: &MetBy) {
    device.change::<HoldPoint>(hold, met_by(by));
}

fn seen(device: &mut Device, hold: &Id) {
    let fields = HoldPointFields {
        state: Given::Put(HoldState::Met),
        met_how: "all of them, with the torch".into(),
        ..Default::default()
    };
    device.change::<HoldPoint>(hold, fields);
}

fn reworded(device: &mut Device, hold: &Id, what: &str) {
    let fields = HoldPointFields {
        what: what.into(),
        ..Default::default()
    };
    device.change::<HoldPoint>(hold, fields);
}

fn put(device: &mut Device, assembly: &Id, state: AssemblyState) {
    let fields = AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Assembly>(assembly, fields);
}

fn is_met(device: &Device, hold: &Id) -> bool {
    let view = device.record.view();
    view.one::<HoldPoint>(hold).unwrap().state() == Some(HoldState::Met)
}

fn refused(device: &mut Device, id: &Id, fields: &HoldPointFields) -> String {
    let edit = Edit::change::<HoldPoint>(id.clone(), fields).unwrap();
    match device.try_edit(&edit) {
        Err(EditError::Refused(refusal @ Refusal::Misfit { .. })) => refusal.to_string(),
        other => panic!("{other:?}"),
    }
}

/// One that is in its limits.
fn reading(device: &mut Device, assembly: &Id) -> Id {
    let limit = limited(device, assembly, "0.05 mm", "0.40 mm");
    device.make::<Reading>(ReadingFields {
        what: "end float".into(),
        about: Given::Put(Ref::new(Kind::Assembly, assembly.clone())),
        limit: Given::Put(limit),
        value: "0.12 mm".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    })
}

fn photo(device: &mut Device, hold: &Id) -> Id {
    device.make::<Photo>(PhotoFields {
        hash: "ab".repeat(32).as_str().into(),
        about: Given::Put(Ref::new(Kind::HoldPoint, hold.clone())),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    })
}

#[test]
fn none_is_met_by_nothing_or_by_fewer_than_are_wanted() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let bolts = hold(&mut nell, &gearbox, How::Counted, Some(13));
    let state = Given::Put(HoldState::Met);
    let by = |by: &str| HoldPointFields {
        state: state.clone(),
        met_by: by.into(),
        ..Default::default()
    };
    assert!(refused(&mut nell, &bolts, &by("counted:12")).contains("12 were counted and 13 are wanted"));
    assert!(refused(&mut nell, &bolts, &by("counted:14")).contains("14 were counted and 13 are wanted"));
    let words = HoldPointFields {
        state: state.clone(),
        met_how: "all of them".into(),
        ..Default::default()
    };
    assert!(refused(&mut nell, &bolts, &words).contains("how many were counted"));
    assert_eq!(checks(&nell, &gearbox), [Check::HoldPoint]);
    meets(&mut nell, &bolts, &MetBy::Counted(13));
    assert_eq!(checks(&nell, &gearbox), []);

    let look = hold(&mut nell, &gearbox, How::Seen, None);
    for words in ["", " . "] {
        let empty = HoldPointFields {
            state: state.clone(),
            met_how: words.into(),
            ..Default::default()
        };
        assert!(refused(&mut nell, &look, &empty).contains("say what was seen"));
    }
    seen(&mut nell, &look);
    assert_eq!(checks(&nell, &gearbox), []);
}

#[test]
fn what_is_taken_apart_again_is_looked_at_again() {
    for state in [AssemblyState::Apart, AssemblyState::Off, AssemblyState::Fitted] {
        let (mut nell, _) = pair();
        let gearbox = assembly(&mut nell, "gearbox");
        let (bolts, look) = (
            hold(&mut nell, &gearbox, How::Counted, Some(13)),
            hold(&mut nell, &gearbox, How::Seen, None),
        );
        put(&mut nell, &gearbox, AssemblyState::Apart);
        meets(&mut nell, &bolts, &MetBy::Counted(13));
        seen(&mut nell, &look);
        // Together again is no reason to look again.
        put(&mut nell, &gearbox, AssemblyState::Fitted);
        assert!(is_met(&nell, &bolts) && is_met(&nell, &look));
        close(&mut nell, &gearbox);
        let before = nell.record.changes_since(&[]).len();
        put(&mut nell, &gearbox, state.clone());
        assert_eq!(nell.record.changes_since(&[]).len(), before + 1, "one change");
        assert!(!is_met(&nell, &bolts) && !is_met(&nell, &look), "{state:?}");
        // What it was met by before says nothing of how it is met now.
        let words = HoldPointFields {
            state: Given::Put(HoldState::Met),
            met_how: "with the torch".into(),
            ..Default::default()
        };
        nell.change::<HoldPoint>(&look, words);
        assert_eq!(MetBy::shown(nell.entry(Kind::HoldPoint, &look)), None);
        assert!(
            refused(
                &mut nell,
                &bolts,
                &HoldPointFields {
                    state: Given::Put(HoldState::Met),
                    ..Default::default()
                }
            )
            .contains("how many")
        );
    }
}

#[test]
fn what_is_asked_otherwise_is_asked_anew() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let bolts = hold(&mut nell, &gearbox, How::Counted, Some(13));
    meets(&mut nell, &bolts, &MetBy::Counted(13));
    reworded(&mut nell, &bolts, "lid bolts are in");
    assert!(is_met(&nell, &bolts), "nothing was said otherwise");
    let more = HoldPointFields {
        wanted: Given::Put(14),
        ..Default::default()
    };
    nell.change::<HoldPoint>(&bolts, more);
    assert!(!is_met(&nell, &bolts));
}

#[test]
fn a_reading_or_photo_that_is_struck_or_changed_meets_nothing() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let float = hold(&mut nell, &gearbox, How::Measured, None);
    let taken = reading(&mut nell, &gearbox);
    meets(&mut nell, &float, &MetBy::Reading(taken.clone()));
    let value = |value: &str| ReadingFields {
        value: value.into(),
        ..Default::default()
    };
    nell.change::<Reading>(&taken, value("0.12 mm"));
    assert!(is_met(&nell, &float), "it says what it said");
    nell.change::<Reading>(&taken, value("0.21 mm"));
    assert!(!is_met(&nell, &float));
    meets(&mut nell, &float, &MetBy::Reading(taken.clone()));
    nell.edit(&Edit::strike(
        Ref::new(Kind::Reading, taken.clone()),
        "another shaft",
    ));
    assert!(!is_met(&nell, &float));
    let gone = Edit::change::<HoldPoint>(float.clone(), &met_by(&MetBy::Reading(taken))).unwrap();
    assert!(nell.try_edit(&gone).is_err(), "what was struck out meets nothing");

    let strap = hold(&mut nell, &gearbox, How::Photographed, None);
    let shot = photo(&mut nell, &strap);
    meets(&mut nell, &strap, &MetBy::Photo(shot.clone()));
    nell.edit(&Edit::strike(Ref::new(Kind::Photo, shot), "the wrong side"));
    assert!(!is_met(&nell, &strap));
}

/// Each of them, done by one while the other met it: both see the point, and either answer settles it for both.
#[test]
fn what_could_not_be_known_when_it_was_met_is_a_point() {
    type Does = fn(&mut Device, &Id, &Id, &Id);
    let apart: [Does; 4] = [
        |wilf, _, hold, _| reworded(wilf, hold, "fourteen bolts are in"),
        |wilf, gearbox, _, _| put(wilf, gearbox, AssemblyState::Apart),
        |wilf, _, _, taken| {
            wilf.edit(&Edit::strike(Ref::new(Kind::Reading, taken.clone()), "slipped"));
        },
        |wilf, _, _, taken| {
            let value = ReadingFields {
                value: "0.3 mm".into(),
                ..Default::default()
            };
            wilf.change::<Reading>(taken, value);
        },
    ];
    for (at, does) in apart.into_iter().enumerate() {
        for choice in ["open_again", "is_met"] {
            let (mut nell, mut wilf) = pair();
            let gearbox = assembly(&mut nell, "gearbox");
            let float = hold(&mut nell, &gearbox, How::Measured, None);
            let taken = reading(&mut nell, &gearbox);
            meet(&mut nell, &mut wilf);
            meets(&mut nell, &float, &MetBy::Reading(taken.clone()));
            does(&mut wilf, &gearbox, &float, &taken);
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), points(&wilf));
            let found = of(&wilf, Rule::MetApart);
            assert_eq!(found.len(), 1, "{at}");
            assert!(checks(&nell, &gearbox).contains(&Check::Point));
            settle(&mut wilf, &found[0], choice, Some("we both looked"));
            meet(&mut nell, &mut wilf);
            assert_eq!(of(&nell, Rule::MetApart), []);
            assert_eq!(is_met(&nell, &float), choice == "is_met");
        }
    }
}

/// It was opened and put together again while the other met it: nothing that stands shows that it was ever open.
#[test]
fn what_was_opened_and_put_together_again_meanwhile_is_asked_about() {
    for states in [
        &[AssemblyState::Apart, AssemblyState::Fitted][..],
        &[AssemblyState::Off, AssemblyState::Apart, AssemblyState::Fitted],
    ] {
        for choice in ["open_again", "is_met"] {
            let (mut nell, mut wilf) = pair();
            let gearbox = assembly(&mut nell, "gearbox");
            let look = hold(&mut nell, &gearbox, How::Seen, None);
            // Opened before, by both in turn: what is asked about is the newest.
            put(&mut nell, &gearbox, AssemblyState::Apart);
            put(&mut nell, &gearbox, AssemblyState::Fitted);
            meet(&mut nell, &mut wilf);
            seen(&mut nell, &look);
            states
                .iter()
                .for_each(|state| put(&mut wilf, &gearbox, state.clone()));
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), points(&wilf));
            let found = of(&nell, Rule::MetApart);
            assert_eq!(found.len(), 1, "{states:?}");
            assert_eq!(
                found[0].title,
                "'lid bolts are in' was met, and 'gearbox' was opened since"
            );
            assert_eq!(found[0].about[1].id, gearbox);
            assert_eq!(checks(&wilf, &gearbox), [Check::Point]);
            settle(&mut wilf, &found[0], choice, Some("we both looked"));
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), []);
            assert_eq!(is_met(&nell, &look), choice == "is_met");
        }
    }
}

/// Whoever opens what is closed, by a settlement too, was not known of by whoever met a hold point in it.
#[test]
fn what_was_closed_and_opened_meanwhile_is_asked_about_and_two_openings_are_no_point() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    close(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    for device in [&mut nell, &mut wilf] {
        put(device, &gearbox, AssemblyState::Fitted);
    }
    put(&mut wilf, &gearbox, AssemblyState::Apart);
    put(&mut wilf, &gearbox, AssemblyState::Fitted);
    let look = hold(&mut nell, &gearbox, How::Seen, None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), [], "who opened it how often is nobody's question");
    seen(&mut nell, &look);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&wilf), [], "whoever met it knew of both");
    close(&mut wilf, &gearbox);
    meet(&mut nell, &mut wilf);
    put(&mut wilf, &gearbox, AssemblyState::Fitted);
    assert!(!is_met(&wilf, &look));
}

/// Whoever puts it together while the other meets it is at odds with nobody.
#[test]
fn work_that_goes_on_is_no_point() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let look = hold(&mut nell, &gearbox, How::Seen, None);
    put(&mut nell, &gearbox, AssemblyState::Apart);
    meet(&mut nell, &mut wilf);
    seen(&mut nell, &look);
    put(&mut wilf, &gearbox, AssemblyState::Fitted);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), []);
    assert!(is_met(&wilf, &look));
}

/// Closed by a slip of the thumb, and taken back by the device that closed it: it never was closed, and nothing is looked at again.
#[test]
fn a_closing_that_is_taken_back_asks_nothing_anew() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let look = hold(&mut nell, &gearbox, How::Seen, None);
    seen(&mut nell, &look);
    let back = Edit::NotClosed {
        assembly: gearbox.clone(),
        state: AssemblyState::Fitted,
    };
    assert!(nell.try_edit(&back).is_err(), "nobody closed it");
    close(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    assert!(
        matches!(
            wilf.try_edit(&back),
            Err(EditError::Refused(Refusal::NotYours(_)))
        ),
        "another device opens it"
    );
    nell.edit(&back);
    assert!(is_met(&nell, &look));
    put(&mut nell, &gearbox, AssemblyState::Apart);
    assert!(!is_met(&nell, &look));
}

fn limited(device: &mut Device, assembly: &Id, low: &str, high: &str) -> Id {
    device.make::<Limit>(LimitFields {
        what: "end float".into(),
        about: Given::Put(Ref::new(Kind::Assembly, assembly.clone())),
        low: low.into(),
        high: high.into(),
        ..Default::default()
    })
}

fn with_a_word(by: &MetBy) -> HoldPointFields {
    HoldPointFields {
        met_how: "new washers came out the same, and the book allows it on a used box".into(),
        ..met_by(by)
    }
}

#[test]
fn a_reading_that_is_out_of_its_limits_or_of_something_else_wants_a_word() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let axle = assembly(&mut nell, "rear axle");
    let float = hold(&mut nell, &gearbox, How::Measured, None);
    let wide = limited(&mut nell, &gearbox, "0.05 mm", "0.40 mm");
    let reading = |nell: &mut Device, what: &str, about: Option<&Id>| {
        let about = about.map(|id| Ref::new(Kind::Assembly, id.clone()));
        MetBy::Reading(nell.make::<Reading>(ReadingFields {
            what: what.into(),
            limit: Given::Put(wide.clone()),
            about: about.map_or(Given::Leave, Given::Put),
            value: "0.12 mm".into(),
            on: Given::Put(day("2030-03-17")),
            ..Default::default()
        }))
    };
    let taken = reading(&mut nell, "end float", Some(&gearbox));
    meets(&mut nell, &float, &taken);
    for (low, high, way) in [("0.20 mm", "0.40 mm", "below"), ("0.01 mm", "0.05 mm", "above")] {
        let box_ = assembly(&mut nell, way);
        let limit = limited(&mut nell, &box_, low, high);
        let float = hold(&mut nell, &box_, How::Measured, None);
        let taken = reading(&mut nell, "end float", Some(&box_));
        let MetBy::Reading(id) = &taken else { panic!() };
        let fields = ReadingFields {
            limit: Given::Put(limit),
            ..Default::default()
        };
        nell.change::<Reading>(id, fields);
        let told = refused(&mut nell, &float, &met_by(&taken));
        assert!(
            told.contains(&format!("it is {way} its limits; say why")),
            "{told}"
        );
        nell.change::<HoldPoint>(&float, with_a_word(&taken));
        assert!(is_met(&nell, &float));
    }
    let bore = reading(&mut nell, "bore", Some(&gearbox));
    // Not said where: of the car it says nothing.
    let nowhere = nell.make::<Part>(PartFields {
        name: "spare shaft".into(),
        ..Default::default()
    });
    let nowhere = MetBy::Reading(nell.make::<Reading>(ReadingFields {
        what: "end float".into(),
        limit: Given::Put(wide.clone()),
        about: Given::Put(part(&nowhere)),
        value: "0.12 mm".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    }));
    for (taken, told) in [
        (&bore, "of another measurement"),
        (&nowhere, "does not say of which part"),
    ] {
        let float = hold(&mut nell, &gearbox, How::Measured, None);
        let refused = refused(&mut nell, &float, &met_by(taken));
        assert!(refused.contains(told), "{refused}");
        nell.change::<HoldPoint>(&float, with_a_word(taken));
        assert!(is_met(&nell, &float));
    }
    // Taken since it was asked, it may well have been taken for it, whatever it is called.
    let bore = reading(&mut nell, "clearance at the shaft", Some(&gearbox));
    meets(&mut nell, &float, &bore);
    // What was measured in another assembly meets it with no word.
    let float = hold(&mut nell, &gearbox, How::Measured, None);
    let taken = reading(&mut nell, "end float", Some(&axle));
    assert!(refused(&mut nell, &float, &with_a_word(&taken)).contains("it was taken of 'rear axle'"));
    let shaft = nell.make::<Assembly>(AssemblyFields {
        name: "layshaft".into(),
        parent: Given::Put(gearbox.clone()),
        ..Default::default()
    });
    let inside = reading(&mut nell, "end float", Some(&shaft));
    meets(&mut nell, &float, &inside);
}

/// Opened, worded otherwise or asked anew by a settlement, it is met by no reading of before; a tap that is taken back asks nothing anew.
#[test]
fn a_reading_of_before_it_was_asked_anew_meets_nothing() {
    type Does = fn(&mut Device, &Id, &Id);
    let anew: [Does; 2] = [
        |nell, gearbox, _| {
            put(nell, gearbox, AssemblyState::Fitted);
            put(nell, gearbox, AssemblyState::Off);
        },
        |nell, _, float| reworded(nell, float, "end float with the new washer is in its limits"),
    ];
    for does in anew {
        let (mut nell, _) = pair();
        let gearbox = assembly(&mut nell, "gearbox");
        put(&mut nell, &gearbox, AssemblyState::Apart);
        let old = MetBy::Reading(reading(&mut nell, &gearbox));
        let float = hold(&mut nell, &gearbox, How::Measured, None);
        meets(&mut nell, &float, &old);
        nell.change::<HoldPoint>(
            &float,
            HoldPointFields {
                state: Given::Put(HoldState::Open),
                ..Default::default()
            },
        );
        meets(&mut nell, &float, &old);
        does(&mut nell, &gearbox, &float);
        assert!(!is_met(&nell, &float));
        let told = refused(&mut nell, &float, &with_a_word(&old));
        assert!(
            told.contains("before this was asked anew; take it again"),
            "{told}"
        );
        let new = MetBy::Reading(reading(&mut nell, &gearbox));
        meets(&mut nell, &float, &new);
        assert!(is_met(&nell, &float));
    }
    // Settled so: nobody knows whether it was taken before it was opened.
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let float = hold(&mut nell, &gearbox, How::Measured, None);
    let taken = MetBy::Reading(reading(&mut nell, &gearbox));
    meet(&mut nell, &mut wilf);
    meets(&mut nell, &float, &taken);
    put(&mut wilf, &gearbox, AssemblyState::Apart);
    meet(&mut nell, &mut wilf);
    let point = of(&wilf, Rule::MetApart)[0].clone();
    settle(&mut wilf, &point, "open_again", None);
    assert!(refused(&mut wilf, &float, &met_by(&taken)).contains("before this was asked anew"));
}

/// Twelve of thirteen is worth knowing: who counted them stands there, and it stands in the way by that number.
#[test]
fn what_was_counted_and_is_not_enough_is_kept_and_stands_in_the_way() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let dowels = hold(&mut nell, &gearbox, How::Counted, Some(13));
    let counted = |count: i32| HoldPointFields {
        state: Given::Put(HoldState::Open),
        met_by: Given::Put(MetBy::Counted(count).kept()),
        met_how: "one is not in the tin".into(),
        ..Default::default()
    };
    nell.change::<HoldPoint>(&dowels, counted(12));
    let shown = |device: &Device| {
        counted_otherwise(device.entry(Kind::HoldPoint, &dowels))
            .map(|(count, stamp)| (count, stamp.device.clone()))
    };
    let by_nell = Some((12, nell.record.device()));
    assert_eq!(shown(&nell), by_nell);
    let (found, _) = still_open(&mut nell, &gearbox);
    assert_eq!(found[0].state, "open: 12 counted, 13 wanted");
    // Whoever counted apart from that and met it is at odds with it, and neither count stands beside the other's word.
    let (mut one, mut other) = pair();
    let gearbox_2 = assembly(&mut one, "gearbox");
    let dowels_2 = hold(&mut one, &gearbox_2, How::Counted, Some(13));
    meet(&mut one, &mut other);
    one.change::<HoldPoint>(&dowels_2, counted(12));
    meets(&mut other, &dowels_2, &MetBy::Counted(13));
    meet(&mut one, &mut other);
    let asked = points(&one);
    assert_eq!(asked, points(&other));
    let said: Vec<&str> = asked.iter().filter_map(|point| point.field.as_deref()).collect();
    assert!(said.contains(&"state") && said.contains(&"met_by"), "{said:?}");
    // Counted again and all there, nothing of it is left.
    meet(&mut nell, &mut wilf);
    meets(&mut wilf, &dowels, &MetBy::Counted(13));
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), []);
    assert_eq!((shown(&nell), is_met(&nell, &dowels)), (None, true));
    // Put open again by a tap, it says no more what was counted.
    let open = HoldPointFields {
        state: Given::Put(HoldState::Open),
        ..Default::default()
    };
    nell.change::<HoldPoint>(&dowels, counted(11));
    assert!(shown(&nell).is_some());
    nell.change::<HoldPoint>(&dowels, open);
    assert_eq!(shown(&nell), None);
}

/// Measured and held against nothing says only that somebody had an instrument in hand.
#[test]
fn a_reading_that_nothing_judges_wants_a_word_and_one_of_the_asked_limit_none() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let float = hold(&mut nell, &gearbox, How::Measured, None);
    let bare = MetBy::Reading(nell.make::<Reading>(ReadingFields {
        what: "end float".into(),
        about: Given::Put(Ref::new(Kind::Assembly, gearbox.clone())),
        value: "0.12 mm".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    }));
    let told = refused(&mut nell, &float, &met_by(&bare));
    assert!(
        told.contains("it has no limit") && told.contains("say why"),
        "{told}"
    );
    nell.change::<HoldPoint>(&float, with_a_word(&bare));
    assert!(is_met(&nell, &float));

    let asked = limited(&mut nell, &gearbox, "0.10 mm", "0.20 mm");
    let float = nell.make::<HoldPoint>(HoldPointFields {
        what: "end float is in its limits".into(),
        assembly: Given::Put(gearbox.clone()),
        how: Given::Put(How::Measured),
        limit: Given::Put(asked.clone()),
        ..Default::default()
    });
    let id = reading(&mut nell, &gearbox);
    let taken = MetBy::Reading(id.clone());
    let told = refused(&mut nell, &float, &met_by(&taken));
    assert!(told.contains("it was not held against 'end float'"), "{told}");
    let against = ReadingFields {
        limit: Given::Put(asked),
        ..Default::default()
    };
    nell.change::<Reading>(&id, against);
    meets(&mut nell, &float, &taken);
    assert!(is_met(&nell, &float));
    // Held to another limit than it was met by, it is asked anew.
    let other = limited(&mut nell, &gearbox, "0.01 mm", "0.10 mm");
    let asks = HoldPointFields {
        limit: Given::Put(other),
        ..Default::default()
    };
    nell.change::<HoldPoint>(&float, asks);
    assert!(!is_met(&nell, &float));
}

/// In pieces and then in one piece off the car: that is putting it together, and nothing that was looked at in it is undone by that.
#[test]
fn what_is_put_together_off_the_car_was_not_opened() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let look = hold(&mut nell, &gearbox, How::Seen, None);
    put(&mut nell, &gearbox, AssemblyState::Apart);
    seen(&mut nell, &look);
    put(&mut nell, &gearbox, AssemblyState::Off);
    assert!(is_met(&nell, &look));
    put(&mut nell, &gearbox, AssemblyState::Apart);
    assert!(!is_met(&nell, &look), "taken apart again");
}
