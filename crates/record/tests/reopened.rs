//! What was agreed can be reopened: the point stands again on both devices, with both sides as they were, with who reopened it and why;
//! nothing is deleted, and it can be taken back.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::Point;
use record::words::Decision;
use record::{Edit, Given, Id, Kind};
use settling::made::{RULES, everybody, with_point};
use settling::{assembly, close, job, pair, points, settle};
use workshop::{Device, meet};

/// The settlements that stand or are reopened, by id.
fn settlements(device: &Device) -> Vec<Id> {
    let all = device.record.view().all(Kind::Settlement);
    all.map(|entry| entry.id.clone()).collect()
}

fn reopen(device: &mut Device, settlement: &Id, why: &str) {
    device.edit(&Edit::Reopen {
        settlement: settlement.clone(),
        why: why.to_owned(),
    });
}

/// What a point says, without what it is called by.
fn told(point: &Point) -> Told {
    (
        point.rule,
        point.about.clone(),
        point.field.clone(),
        point.sides.clone(),
    )
}

type Told = (
    record::rules::Rule,
    Vec<record::Ref>,
    Option<String>,
    Vec<record::rules::Side>,
);

/// What several say, whatever order their names put them in.
fn all(points: &[Point]) -> Vec<Told> {
    let mut all: Vec<Told> = points.iter().map(told).collect();
    all.sort_by(|a, b| a.2.cmp(&b.2));
    all
}

fn decided_apart() -> (Device, Device, Id) {
    let (mut parent, mut child) = pair();
    let part = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    for (device, decision, why) in [
        (&mut parent, Decision::Recondition, "the journals are scored"),
        (&mut child, Decision::Reuse, "within limits with the micrometer"),
    ] {
        device.change::<Part>(
            &part,
            PartFields {
                decision: Given::Put(decision),
                decision_why: why.into(),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    (parent, child, part)
}

#[test]
fn a_decision_stands_again_with_both_sides_and_their_keepers_on_both_devices() {
    let (mut parent, mut child, part) = decided_apart();
    let before = points(&parent);
    assert_eq!(before.len(), 2, "the decision and its reason");
    settle(&mut child, &before[0], &before[0].choices[0].key, None);
    meet(&mut parent, &mut child);
    assert!(points(&parent).is_empty());
    let kept = parent.record.view().get(Kind::Part, &part).unwrap().clone();

    let one = settlements(&parent)[0].clone();
    reopen(&mut parent, &one, "the micrometer was off by two hundredths");
    meet(&mut parent, &mut child);
    let now = points(&parent);
    assert_eq!(now, points(&child), "the same on both");
    assert_eq!(all(&now), all(&before));
    for point in &now {
        let reopened = point.reopened.as_ref().unwrap();
        assert_eq!(reopened.why, "the micrometer was off by two hundredths");
        assert_eq!(reopened.by.device, parent.record.device());
        assert!(
            before.iter().all(|was| was.id != point.id),
            "what was settled stays settled by its name"
        );
    }
    // One question still, and nothing of the car was changed by words.
    assert_eq!(record::rules::questions(&now).len(), 1);
    assert_eq!(parent.record.view().get(Kind::Part, &part).unwrap(), &kept);

    // Settled anew on the other device, for the other side.
    let lead = record::rules::questions(&now)[0].lead.clone();
    settle(&mut child, &lead, &lead.choices[1].key, Some("measured again"));
    meet(&mut parent, &mut child);
    assert!(points(&parent).is_empty() && points(&child).is_empty());
    let value = parent
        .record
        .view()
        .get(Kind::Part, &part)
        .unwrap()
        .line(Part::decision)
        .unwrap()
        .to_owned();
    let wanted = lead
        .sides
        .iter()
        .find(|side| side.key == lead.choices[1].key)
        .unwrap();
    assert_eq!(Some(value.as_str()), wanted.value.as_ref().unwrap().line());
    assert_eq!(settlements(&parent).len(), 4, "nothing is deleted");
}

#[test]
fn what_was_reopened_can_be_reopened_again_and_is_one_point() {
    let (mut parent, mut child, _) = decided_apart();
    let first = points(&parent);
    settle(&mut parent, &first[0], "side_1", None);
    for turn in 0..3 {
        meet(&mut parent, &mut child);
        let standing = child
            .record
            .view()
            .standing(Kind::Settlement)
            .next()
            .unwrap()
            .id
            .clone();
        reopen(&mut child, &standing, &format!("looked again, {turn}"));
        meet(&mut parent, &mut child);
        let now = points(&parent);
        assert_eq!(now, points(&child));
        assert_eq!(all(&now), all(&first), "turn {turn}");
        assert_eq!(
            now[0].reopened.as_ref().unwrap().why,
            format!("looked again, {turn}")
        );
        let lead = record::rules::questions(&now)[0].lead.clone();
        settle(&mut parent, &lead, "side_2", None);
        assert!(points(&parent).is_empty(), "turn {turn}: {:?}", points(&parent));
    }
}

#[test]
fn two_orders_are_asked_about_again_and_read_as_they_did() {
    let (mut devices, point) = with_point(settling::made::two_orders, "two_orders");
    let state = |device: &Device| -> Vec<String> {
        let orders = device.record.view().all(Kind::Order);
        orders
            .map(|order| order.line(Order::state).unwrap().to_owned())
            .collect()
    };
    let both = state(&devices[0]);
    let choice = point.choices[0].key.clone();
    settle(&mut devices[0], &point, &choice, Some("one is enough"));
    everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
    assert!(state(&devices[1]).contains(&"cancelled".to_owned()));
    let one = settlements(&devices[1])[0].clone();
    reopen(&mut devices[1], &one, "the first shop has none");
    everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
    for device in &devices {
        assert_eq!(state(device), both);
        let now = points(device);
        assert_eq!(now.len(), 1);
        assert_eq!(told(&now[0]), told(&point));
        assert_eq!(now[0].reopened.as_ref().unwrap().why, "the first shop has none");
    }
    // And it is taken back: as it was agreed.
    devices[1].edit(&Edit::AgreeAgain { settlement: one });
    everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
    for device in &devices {
        assert!(points(device).is_empty());
        assert!(state(device).contains(&"cancelled".to_owned()));
    }
}

/// One reopened it and let it hold again, the other reopened it apart, whichever of them the document shows: it stands to be settled, and
/// the point says what each said. Held to again with all of that known, it is as it was agreed.
#[test]
fn what_one_let_hold_again_and_another_reopened_apart_is_asked_about() {
    for (one, other) in [(0, 1), (1, 0)] {
        let (mut devices, point) = with_point(settling::made::two_orders, "two_orders");
        let state = |device: &Device| -> Vec<String> {
            let orders = device.record.view().all(Kind::Order);
            orders
                .map(|order| order.line(Order::state).unwrap().to_owned())
                .collect()
        };
        let choice = point.choices[0].key.clone();
        settle(&mut devices[0], &point, &choice, Some("one is enough"));
        everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
        let agreed = state(&devices[0]);
        let settlement = settlements(&devices[0])[0].clone();
        reopen(&mut devices[one], &settlement, "the first shop has none");
        devices[one].edit(&Edit::AgreeAgain {
            settlement: settlement.clone(),
        });
        reopen(&mut devices[other], &settlement, "the second wants too much");
        everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
        for device in &devices {
            let now = points(device);
            let again = now.iter().find(|now| now.reopened.is_some()).unwrap();
            assert_eq!((again.rule, &again.about), (point.rule, &point.about));
            let reopened = again.reopened.as_ref().unwrap();
            assert_eq!(reopened.why, "the second wants too much");
            assert_eq!(reopened.by.device, devices[other].record.device());
            let apart: Vec<_> = reopened
                .apart
                .iter()
                .map(|said| (&said.by.device, &said.why))
                .collect();
            assert_eq!(apart, [(&devices[one].record.device(), &None)]);
        }
        devices[2].edit(&Edit::AgreeAgain { settlement });
        everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
        for device in &devices {
            assert!(points(device).is_empty(), "{:?}", points(device));
            assert_eq!(state(device), agreed);
        }
    }
}

#[test]
fn two_who_reopen_it_apart_are_both_heard_and_are_taken_back_together() {
    let (mut devices, point) = with_point(settling::made::two_orders, "two_orders");
    let choice = point.choices[0].key.clone();
    settle(&mut devices[0], &point, &choice, Some("one is enough"));
    everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
    let before = devices[0]
        .record
        .view()
        .all(Kind::Order)
        .cloned()
        .collect::<Vec<_>>();
    let settlement = settlements(&devices[0])[0].clone();
    reopen(&mut devices[0], &settlement, "the first shop has none");
    reopen(&mut devices[1], &settlement, "the second wants too much");
    everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
    let now = points(&devices[2]);
    assert_eq!(now.len(), 1, "{now:?}");
    let reopened = now[0].reopened.as_ref().unwrap();
    let mut whys = vec![reopened.why.clone()];
    whys.extend(reopened.apart.iter().map(|said| said.why.clone().unwrap()));
    whys.sort();
    assert_eq!(whys, ["the first shop has none", "the second wants too much"]);
    devices[2].edit(&Edit::AgreeAgain { settlement });
    assert!(points(&devices[2]).is_empty());
    let read = |entry: &record::Entry| entry.line(Order::state).map(str::to_owned);
    let after = devices[2]
        .record
        .view()
        .all(Kind::Order)
        .map(read)
        .collect::<Vec<_>>();
    assert_eq!(after, before.iter().map(read).collect::<Vec<_>>());
}

#[test]
fn of_what_was_opened_since_there_is_nothing_to_ask_any_more() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "Gearbox");
    meet(&mut parent, &mut child);
    job(&mut child, "Look inside before it is closed", &gearbox);
    close(&mut parent, &gearbox);
    meet(&mut parent, &mut child);
    let point = points(&parent)[0].clone();
    let left = point.choices.iter().find(|choice| choice.wants_why).unwrap();
    settle(
        &mut parent,
        &point,
        &left.key,
        Some("looked with the endoscope, it is there"),
    );
    assert!(points(&parent).is_empty());
    let one = settlements(&parent)[0].clone();
    reopen(&mut parent, &one, "that was the other washer");
    let now = points(&parent);
    assert_eq!((now.len(), told(&now[0])), (1, told(&point)));
    // Now she opens it: the point goes, and its history stays.
    let open = now[0].choices.iter().find(|choice| !choice.wants_why).unwrap();
    settle(&mut parent, &now[0], &open.key.clone(), None);
    assert!(points(&parent).is_empty(), "{:?}", points(&parent));
}

#[test]
fn a_reason_is_wanted_and_what_is_reopened_is_not_reopened_twice() {
    let (mut parent, _child, _) = decided_apart();
    let point = points(&parent)[0].clone();
    settle(&mut parent, &point, "side_1", None);
    let one = settlements(&parent)[0].clone();
    for why in ["", " . "] {
        let edit = Edit::Reopen {
            settlement: one.clone(),
            why: why.to_owned(),
        };
        let refused = parent.try_edit(&edit).unwrap_err().to_string();
        assert!(refused.contains("say why"), "{refused}");
    }
    reopen(&mut parent, &one, "looked again");
    let twice = Edit::Reopen {
        settlement: one,
        why: "and again".to_owned(),
    };
    let refused = parent.try_edit(&twice).unwrap_err().to_string();
    assert!(
        refused.contains("of 'crankshaft' was reopened already: settle it anew"),
        "{refused}"
    );
}

/// Each rule's own point, settled by each of its choices and reopened: it stands again, the same on every device.
#[test]
fn every_rule_can_be_reopened() {
    let mut reopened = 0;
    for (rule, made) in RULES {
        let (_, point) = with_point(made, rule.word());
        for choice in &point.choices {
            let (mut devices, point) = with_point(made, rule.word());
            let edit = Edit::Settle {
                point: point.id.clone(),
                choice: choice.key.clone(),
                why: Some("we both looked at it and agreed".to_owned()),
            };
            if devices[0].try_edit(&edit).is_err() {
                continue;
            }
            let settled = devices[0].record.view().standing(Kind::Settlement);
            let settled = settled.filter(|one| one.line(Settlement::point) == Some(point.id.as_str()));
            let Some(one) = settled.map(|one| one.id.clone()).next() else {
                panic!("{rule:?}, {}: no settlement", choice.key);
            };
            let edit = Edit::Reopen {
                settlement: one,
                why: "we looked once more".to_owned(),
            };
            let _ = devices[0]
                .try_edit(&edit)
                .unwrap_or_else(|why| panic!("{rule:?}, {}: {why}", choice.key));
            everybody(&mut devices, &[(0, 1), (0, 2), (0, 1)]);
            let lists: Vec<Vec<Point>> = devices.iter().map(points).collect();
            assert_eq!(lists[0], lists[1], "{rule:?}, {}", choice.key);
            assert_eq!(lists[0], lists[2], "{rule:?}, {}", choice.key);
            let again = lists[0].iter().find(|one| one.reopened.is_some());
            let Some(again) = again else {
                // What was opened by that choice is not closed over anything any more.
                assert!(
                    point.rule.is_of_a_closing(),
                    "{rule:?}, {}: it does not stand again",
                    choice.key
                );
                continue;
            };
            assert_eq!(
                (again.rule, &again.about),
                (point.rule, &point.about),
                "{rule:?}, {}",
                choice.key
            );
            reopened += 1;
        }
    }
    assert!(reopened >= RULES.len(), "only {reopened} were reopened");
}

/// Two settle apart, and otherwise, what was reopened; one of them for the value that stands already. Nobody overrules the other without
/// a word.
#[test]
fn settled_otherwise_apart_it_stands_again_though_one_of_the_values_stood_already() {
    for (standing, other) in [("side_1", "side_2"), ("side_2", "side_1")] {
        let (mut parent, mut child, part) = decided_apart();
        let first = points(&parent);
        settle(&mut parent, &first[0], standing, None);
        meet(&mut parent, &mut child);
        let one = settlements(&parent)[0].clone();
        reopen(&mut parent, &one, "looked again by daylight");
        meet(&mut parent, &mut child);
        let asked = record::rules::questions(&points(&parent))[0].lead.clone();
        // As it stands already, and otherwise.
        settle(&mut parent, &asked, standing, Some("it was right"));
        settle(&mut child, &asked, other, Some("it was not"));
        meet(&mut parent, &mut child);
        for device in [&parent, &child] {
            let again = points(device);
            let fields: Vec<_> = again
                .iter()
                .map(|point| point.field.as_deref().unwrap())
                .collect();
            assert!(fields.contains(&"decision"), "{standing}: {again:?}");
            let held = &device.record.view().get(Kind::Part, &part).unwrap().fields["decision"];
            assert!(held.contradicts(), "{standing}: both values stand");
        }
        assert_eq!(points(&parent), points(&child));
    }
}

/// Settled apart and alike there are two settlements of it; reopened, neither keeps it shut.
#[test]
fn what_two_settled_alike_apart_is_reopened_whole() {
    let (mut parent, mut child, _) = decided_apart();
    let first = points(&parent);
    for device in [&mut parent, &mut child] {
        settle(device, &first[0], "side_1", Some("both looked"));
    }
    meet(&mut parent, &mut child);
    for point in points(&parent) {
        settle(&mut parent, &point, "side_1", None);
    }
    meet(&mut parent, &mut child);
    assert!(points(&parent).is_empty(), "{:?}", points(&parent));
    let acts: Vec<Id> = settlements(&parent);
    for one in acts {
        let standing = parent.record.view().get(Kind::Settlement, &one).unwrap().stands();
        if !standing {
            continue;
        }
        reopen(&mut parent, &one, "we both looked at the wrong one");
        let now = points(&parent);
        assert!(!now.is_empty(), "reopened, it is asked again");
        parent.edit(&Edit::AgreeAgain { settlement: one });
        assert!(points(&parent).is_empty(), "{:?}", points(&parent));
    }
}
