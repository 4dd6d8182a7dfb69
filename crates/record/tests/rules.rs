//! Points to settle, rule by rule: two devices are edited apart and meet, both see the same points in the same
//! order, settling removes them on both, and what was settled stays settled.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::Waive;
use record::entities::*;
use record::rules::Rule;
use record::words::{AssemblyState, Decision, HoldState, JobState, OrderState};
use record::{Edit, Given, Id, Kind, Ref, Refusal};
use settling::{assembly, close, job, of, pair, points, settle};
use workshop::{Device, meet};

#[test]
fn two_values_for_one_field_are_both_shown_and_one_is_chosen() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.change::<Part>(
        &crank,
        PartFields {
            decision: Given::Put(Decision::Reuse),
            ..Default::default()
        },
    );
    child.change::<Part>(
        &crank,
        PartFields {
            decision: Given::Put(Decision::Recondition),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);

    let found = points(&parent);
    assert_eq!(found, points(&child));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, Rule::TwoValues);
    let values: Vec<_> = found[0]
        .sides
        .iter()
        .map(|side| side.value.clone().unwrap())
        .collect();
    assert_eq!(values, vec![line("recondition"), line("reuse")]);
    assert!(found[0].sides.iter().all(|side| !side.knew_other));

    // The value that the document already shows is put as well: that is what settles.
    let shown = parent
        .entry(Kind::Part, &crank)
        .line("decision")
        .unwrap()
        .to_owned();
    let key = found[0]
        .sides
        .iter()
        .find(|s| s.value == Some(line(&shown)))
        .unwrap()
        .key
        .clone();
    settle(&mut child, &found[0], &key, None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(
        parent.entry(Kind::Part, &crank).line("decision"),
        Some(shown.as_str())
    );
    let settled = parent.record.view().standing(Kind::Settlement).count();
    assert_eq!(settled, 1);
}

fn line(text: &str) -> record::Scalar {
    record::Scalar::Line(text.to_owned())
}

#[test]
fn the_same_value_from_both_is_no_contradiction() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    for device in [&mut parent, &mut child] {
        device.change::<Part>(
            &crank,
            PartFields {
                decision: Given::Put(Decision::Reuse),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn settled_two_ways_far_apart_is_a_point_again() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.change::<Part>(
        &crank,
        PartFields {
            number: "AX 12".into(),
            ..Default::default()
        },
    );
    child.change::<Part>(
        &crank,
        PartFields {
            number: "AX 21".into(),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    let point = points(&parent).remove(0);
    settle(&mut parent, &point, "side_1", None);
    settle(&mut child, &point, "side_2", None);
    meet(&mut parent, &mut child);
    let again = points(&parent);
    assert_eq!(again.len(), 1);
    assert_ne!(again[0].id, point.id);
    settle(&mut parent, &again[0], "side_1", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
}

#[test]
fn closed_before_she_asked_to_look_inside() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    let look = job(&mut child, "look at the second gear synchro ring", &gearbox);
    meet(&mut parent, &mut child);

    let found = of(&parent, Rule::ClosedOverJob);
    assert_eq!(found, of(&child, Rule::ClosedOverJob));
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0]
            .about
            .iter()
            .map(|name| name.id.clone())
            .collect::<Vec<_>>(),
        vec![gearbox.clone(), look.clone()]
    );
    assert!(
        !found[0].sides[0].knew_other,
        "whoever closed it could not have known of the job"
    );

    let mut reopened = child;
    settle(&mut reopened, &found[0], "reopen", None);
    meet(&mut parent, &mut reopened);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(
        parent.entry(Kind::Assembly, &gearbox).line("state"),
        Some("fitted")
    );
    // Closed once more over the same job that is still open: the guard refuses.
    let again = parent.try_edit(&Edit::CloseUp {
        assembly: gearbox,
        waive: Vec::new(),
    });
    assert!(matches!(
        again,
        Err(record::edit::EditError::Refused(
            record::Refusal::StillOpen { .. }
        ))
    ));
}

#[test]
fn a_job_written_on_an_assembly_seen_closed_is_a_plan() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    close(&mut parent, &gearbox);
    meet(&mut parent, &mut child);
    job(&mut child, "change the oil in spring", &gearbox);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn closed_over_a_job_that_was_known_says_so() {
    // The guard would refuse; but the job was done here, and opened again on the other device that knew nothing
    // of the closing: then the closer could not have known. Moved open into the closed assembly, likewise.
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let look = job(&mut parent, "shim the layshaft", &gearbox);
    let done = JobFields {
        state: Given::Put(JobState::Done),
        ..Default::default()
    };
    parent.change::<Job>(&look, done.clone());
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    child.change::<Job>(
        &look,
        JobFields {
            state: Given::Put(JobState::Open),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    let found = of(&parent, Rule::ClosedOverJob);
    assert_eq!(found.len(), 1);
    assert!(!found[0].sides[0].knew_other);
    settle(
        &mut parent,
        &found[0],
        "let_stand",
        Some("the end float was measured from outside"),
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    assert_eq!(child.record.view().standing(Kind::Waiver).count(), 1);
}

#[test]
fn closed_over_an_unmet_hold_point() {
    let (mut parent, mut child) = pair();
    let engine = assembly(&mut parent, "engine");
    let bottom = parent.make::<Assembly>(AssemblyFields {
        name: "bottom end".into(),
        parent: Given::Put(engine.clone()),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.edit(&Edit::CloseUp {
        assembly: engine.clone(),
        waive: vec![Waive::all_of(
            Ref::new(Kind::Assembly, bottom.clone()),
            "the sump is glued, not closed",
        )],
    });
    let hold = child.make::<HoldPoint>(HoldPointFields {
        what: "all three oilway plugs are in".into(),
        assembly: Given::Put(bottom.clone()),
        how: Given::Put(record::words::How::Counted),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    let found = of(&child, Rule::ClosedOverHold);
    assert_eq!(found.len(), 1);
    // The bottom end itself was never closed: the engine around it is what was closed over the hold point.
    assert_eq!(found[0].about[0].id, engine);
    // By a tap alone nothing was met.
    let tap = Edit::Settle {
        point: found[0].id.clone(),
        choice: "was_met".to_owned(),
        why: None,
    };
    assert!(matches!(
        child.try_edit(&tap),
        Err(record::edit::EditError::Refused(Refusal::WhyWanted))
    ));
    settle(
        &mut child,
        &found[0],
        "was_met",
        Some("all three, with the torch"),
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    let state = HoldPoint::read_state(&parent, &hold);
    assert_eq!(state, Some(HoldState::Met));
}

trait ReadState {
    fn read_state(device: &Device, id: &Id) -> Option<HoldState>;
}
impl ReadState for HoldPoint {
    fn read_state(device: &Device, id: &Id) -> Option<HoldState> {
        <HoldPoint as record::Entity>::read(device.entry(Kind::HoldPoint, id)).state
    }
}

fn container(device: &mut Device, code: &str, name: &str) -> Id {
    device.make::<Container>(ContainerFields {
        code: code.into(),
        name: name.into(),
        ..Default::default()
    })
}

#[test]
fn one_code_on_two_bags() {
    for (choice, codes) in [("first_keeps", ["B14", "B15"]), ("second_keeps", ["B15", "B14"])] {
        let (mut parent, mut child) = pair();
        let one = container(&mut parent, "B14", "valve springs");
        let two = container(&mut child, "b 14", "starter bolts");
        meet(&mut parent, &mut child);
        let found = of(&parent, Rule::SameCode);
        assert_eq!(found, of(&child, Rule::SameCode));
        assert_eq!(found.len(), 1);
        settle(&mut parent, &found[0], choice, None);
        meet(&mut parent, &mut child);
        assert_eq!(points(&child), Vec::new());
        let about = &found[0].about;
        let code = |at: usize| {
            child
                .entry(Kind::Container, &about[at].id)
                .line("code")
                .unwrap()
                .replace(' ', "")
                .to_uppercase()
        };
        assert_eq!([code(0), code(1)], codes);
        assert!(about.iter().any(|name| name.id == one) && about.iter().any(|name| name.id == two));
    }
}

#[test]
fn two_labels_on_one_bag_become_one_with_everything_in_it() {
    let (mut parent, mut child) = pair();
    let one = container(&mut parent, "B14", "valve springs");
    let two = container(&mut child, "B14", "springs");
    for (device, bag) in [(&mut parent, &one), (&mut child, &two)] {
        device.make::<Part>(PartFields {
            name: "valve spring".into(),
            container: Given::Put(bag.to_string()),
            ..Default::default()
        });
        device.make::<Photo>(PhotoFields {
            hash: "ab".repeat(32).as_str().into(),
            on: Given::Put("2031-03-01".parse().unwrap()),
            about: Given::Put(Ref::new(Kind::Container, bag.clone())),
            ..Default::default()
        });
    }
    meet(&mut parent, &mut child);
    let found = of(&parent, Rule::SameCode);
    settle(&mut child, &found[0], "one_container", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    let stays = found[0].about[0].id.to_string();
    let parts: Vec<_> = parent
        .record
        .view()
        .standing(Kind::Part)
        .map(|p| p.line("container").unwrap())
        .collect();
    assert_eq!(parts, vec![stays.as_str(), stays.as_str()]);
    assert_eq!(parent.record.view().standing(Kind::Container).count(), 1);
    let view = parent.record.view();
    let shown: Vec<_> = view
        .standing(Kind::Photo)
        .map(|photo| photo.line("about").unwrap())
        .collect();
    assert_eq!(shown, vec![found[0].about[0].to_string(); 2]);
}

#[test]
fn two_orders_for_one_part() {
    let (mut parent, mut child) = pair();
    let gasket = parent.make::<Part>(PartFields {
        name: "head gasket".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    let mut orders = Vec::new();
    for device in [&mut parent, &mut child] {
        orders.push(device.make::<Order>(OrderFields {
            what: "head gasket, copper".into(),
            part: Given::Put(gasket.clone()),
            state: Given::Put(OrderState::Ordered),
            price: "£18.40".into(),
            ..Default::default()
        }));
    }
    meet(&mut parent, &mut child);
    let found = of(&child, Rule::TwoOrders);
    assert_eq!(found, of(&parent, Rule::TwoOrders));
    assert_eq!(found.len(), 1);
    settle(&mut parent, &found[0], "cancel_second", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    let cancelled = &found[0].about[1].id;
    assert_eq!(
        child.entry(Kind::Order, cancelled).line("state"),
        Some("cancelled")
    );
    // Taken up again while the other still runs: the same contradiction made anew is a new point.
    child.change::<Order>(
        cancelled,
        OrderFields {
            state: Given::Put(OrderState::Ordered),
            ..Default::default()
        },
    );
    let again = of(&child, Rule::TwoOrders);
    assert_eq!(again.len(), 1);
    assert_ne!(again[0].id, found[0].id);
    settle(&mut child, &again[0], "both_wanted", Some("one to practise on"));
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn a_settlement_that_wants_a_reason_is_refused_without_one() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    job(&mut child, "look inside", &gearbox);
    meet(&mut parent, &mut child);
    let point = points(&parent).remove(0);
    let without = Edit::Settle {
        point: point.id.clone(),
        choice: "let_stand".into(),
        why: Some("  ".into()),
    };
    let before = parent.record.digest();
    assert_eq!(
        parent.try_edit(&without).unwrap_err().to_string(),
        record::Refusal::WhyWanted.to_string()
    );
    assert_eq!(parent.record.digest(), before);
    let other = Edit::Settle {
        point: point.id,
        choice: "burn_it".into(),
        why: None,
    };
    assert!(
        parent
            .try_edit(&other)
            .unwrap_err()
            .to_string()
            .contains("reopen")
    );
    assert_eq!(
        parent
            .record
            .view()
            .all(Kind::Assembly)
            .filter(|a| a.line("state")
                == Some(AssemblyState::Closed.clone())
                    .as_ref()
                    .map(record::words::Words::word))
            .count(),
        1
    );
}
