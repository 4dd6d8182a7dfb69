//! Settled two ways: whatever the rule and whichever of its choices two or three devices take apart, when they have met there is one
//! point more, the same on each, and each of its choices ends it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::{Point, Rule, Talk, puts_back};
use record::words::{AssemblyState, OrderState};
use record::{Edit, Given, Id, Kind};
use settling::made::{ORDERS, RULES, everybody, the_one, two_orders, with_point};
use settling::{of, points, settle};
use workshop::Device;

fn keys(point: &Point) -> Vec<String> {
    point.choices.iter().map(|choice| choice.key.clone()).collect()
}

/// Every point that is left is settled by its first choice until there is none.
fn has_an_end(devices: &mut [Device; 3], what: &str) {
    for _ in 0..4 {
        let left = points(&devices[0]);
        let Some(point) = left.first() else { return };
        settle(&mut devices[0], point, &point.choices[0].key, Some("we looked"));
        everybody(devices, ORDERS[0]);
    }
    panic!("{what}: no end of {:?}", points(&devices[0]));
}

#[test]
fn whatever_two_devices_settle_apart_they_are_asked_once_more() {
    for (rule, made) in RULES {
        let choices = keys(&with_point(made, &format!("{rule:?}")).1);
        for (at, one) in choices.iter().enumerate() {
            for two in choices.iter().skip(at + 1) {
                let mut ids = Vec::new();
                for order in [ORDERS[0], ORDERS[1], ORDERS[3]] {
                    let what = format!("{rule:?}: {one} and {two}");
                    let (mut devices, point) = with_point(made, &what);
                    assert_eq!(point.rule, rule);
                    settle(&mut devices[0], &point, one, Some("I say so"));
                    settle(&mut devices[1], &point, two, Some("I do not"));
                    everybody(&mut devices, order);
                    let again = the_one(&devices, &what);
                    assert_ne!(again.id, point.id, "{what}");
                    ids.push(again.id.clone());
                    let expected = if rule == Rule::TwoValues {
                        Rule::TwoValues
                    } else {
                        Rule::SettledTwoWays
                    };
                    assert_eq!(again.rule, expected, "{what}: {}", again.title);
                    // Whichever way it is settled, it is over on every device; once is enough, since the order changes nothing.
                    if ids.len() > 1 {
                        continue;
                    }
                    for key in keys(&again) {
                        let (mut devices, point) = with_point(made, &what);
                        settle(&mut devices[0], &point, one, Some("I say so"));
                        settle(&mut devices[1], &point, two, Some("I do not"));
                        everybody(&mut devices, order);
                        settle(&mut devices[2], &again, &key, Some("we talked"));
                        everybody(&mut devices, order);
                        for device in &devices {
                            let left = points(device);
                            // Left as it is, it may still be what the rule itself asks about.
                            let left: Vec<_> = left
                                .iter()
                                .filter(|one| key != "as_it_is" || one.rule != rule)
                                .collect();
                            assert!(left.is_empty(), "{what}, then {key}: {left:?}");
                        }
                        has_an_end(&mut devices, &what);
                    }
                }
                ids.dedup();
                assert_eq!(ids.len(), 1, "{rule:?}: the order of meeting makes another point");
            }
        }
    }
}

#[test]
fn settled_two_ways_and_that_two_ways_again_is_still_one_point() {
    for (rule, made) in RULES {
        let choices = keys(&with_point(made, "").1);
        let (one, two) = (&choices[0], &choices[1]);
        let what = format!("{rule:?}: {one} and {two}, twice");
        let (mut devices, point) = with_point(made, &what);
        settle(&mut devices[0], &point, one, Some("I say so"));
        settle(&mut devices[1], &point, two, Some("I do not"));
        everybody(&mut devices, ORDERS[0]);
        let again = the_one(&devices, &what);
        settle(&mut devices[1], &again, &again.choices[0].key, Some("it is so"));
        settle(&mut devices[2], &again, &again.choices[1].key, Some("or so"));
        everybody(&mut devices, ORDERS[1]);
        let third = the_one(&devices, &what);
        assert_ne!(third.id, again.id, "{what}");
        settle(&mut devices[0], &third, &third.choices[0].key, Some("at last"));
        everybody(&mut devices, ORDERS[2]);
        assert_eq!(points(&devices[1]), Vec::new(), "{what}");
    }
}

#[test]
fn three_devices_settle_one_point_three_ways() {
    for (rule, made) in RULES {
        let choices = keys(&with_point(made, "").1);
        let third = choices.get(2).unwrap_or(&choices[0]);
        let what = format!("{rule:?}: {choices:?}");
        let mut ids = Vec::new();
        for order in ORDERS {
            let (mut devices, point) = with_point(made, &what);
            for (device, choice) in devices.iter_mut().zip([&choices[0], &choices[1], third]) {
                settle(device, &point, choice, Some("I say so"));
            }
            everybody(&mut devices, order);
            let again = the_one(&devices, &what);
            ids.push(again.id.clone());
            settle(&mut devices[2], &again, &again.choices[0].key, Some("we talked"));
            everybody(&mut devices, order);
            assert_eq!(points(&devices[0]), Vec::new(), "{what}");
        }
        ids.dedup();
        assert_eq!(ids.len(), 1, "{what}");

        // Two agree, and settle what they differed in, before the third comes with a word of its own.
        for last in &choices {
            let (mut devices, point) = with_point(made, &what);
            for (device, choice) in devices.iter_mut().zip([&choices[0], &choices[1], last]) {
                settle(device, &point, choice, Some("I say so"));
            }
            everybody(&mut devices, &[(0, 1)]);
            let between = points(&devices[0]);
            assert_eq!(between.len(), 1, "{what}");
            settle(
                &mut devices[1],
                &between[0],
                &between[0].choices[0].key,
                Some("we two"),
            );
            everybody(&mut devices, ORDERS[1]);
            let left = points(&devices[0]);
            assert_eq!(left, points(&devices[1]));
            assert_eq!(left, points(&devices[2]));
            let titles: Vec<&str> = left.iter().map(|point| point.title.as_str()).collect();
            assert!(left.len() <= 1, "{what}, then {last}: {titles:?}");
            has_an_end(&mut devices, &what);
        }
    }
}

/// [Shown on the program before this rule: both orders cancelled, and no point left.]
#[test]
fn of_two_orders_that_were_both_cancelled_the_one_that_is_wanted_runs_again() {
    let (mut devices, point) = with_point(two_orders, "orders");
    settle(&mut devices[0], &point, "cancel_first", None);
    settle(
        &mut devices[1],
        &point,
        "cancel_second",
        Some("the other shop is nearer"),
    );
    everybody(&mut devices, ORDERS[0]);
    let state = |device: &Device, at: usize| {
        let order = device.entry(Kind::Order, &point.about[at].id);
        order.line("state").unwrap().to_owned()
    };
    assert_eq!(
        [state(&devices[0], 0), state(&devices[0], 1)],
        ["cancelled", "cancelled"]
    );
    let again = of(&devices[2], Rule::SettledTwoWays).remove(0);
    assert_eq!(again.about, point.about);
    assert_eq!(keys(&again), ["cancel_first", "cancel_second", "as_it_is"]);
    assert!(again.choices[2].wants_why && !again.choices[0].wants_why);
    for words in [
        "'head gasket, copper' of parent is cancelled",
        "'head gasket, copper' of child is cancelled",
        "is cancelled ('the other shop is nearer')",
    ] {
        assert!(
            again.sides.iter().any(|side| side.title.contains(words)),
            "{:?}",
            again.sides
        );
    }
    settle(&mut devices[2], &again, "cancel_second", None);
    everybody(&mut devices, ORDERS[1]);
    assert_eq!(
        [state(&devices[0], 0), state(&devices[0], 1)],
        ["ordered", "cancelled"]
    );
    assert_eq!(points(&devices[0]), Vec::new());
}

#[test]
fn settled_alike_apart_is_settled() {
    for (rule, made) in RULES {
        let (mut devices, point) = with_point(made, "");
        // Two reasons for one strike, and two codes, are two values: what is the same may be said twice.
        let choice = &point.choices[point.choices.len() - 1].key;
        for device in devices.iter_mut().take(2) {
            settle(device, &point, choice, Some("it is so"));
        }
        everybody(&mut devices, ORDERS[0]);
        assert_eq!(points(&devices[2]), Vec::new(), "{rule:?}: {choice}");
    }
}

/// What an older program settled says neither what it was about nor of which field.
#[test]
fn settlements_of_an_older_program_contradict_as_well() {
    let (mut devices, point) = with_point(two_orders, "orders");
    let choices = [("cancel_first", 0), ("cancel_second", 1)];
    for (device, (choice, at)) in devices.iter_mut().zip(choices) {
        let id = Id::from_uuid(record::Ids::fresh(&mut device.ids));
        let settled = Edit::add::<Settlement>(
            id,
            &SettlementFields {
                point: point.id.clone().into(),
                rule: "two_orders".into(),
                choice: choice.into(),
                ..Default::default()
            },
        );
        let cancelled = Edit::change::<Order>(
            point.about[at].id.clone(),
            &OrderFields {
                state: Given::Put(OrderState::Cancelled),
                ..Default::default()
            },
        );
        device.edit(&Edit::Together {
            message: "Settled: two orders".into(),
            edits: vec![cancelled.unwrap(), settled.unwrap()],
        });
    }
    everybody(&mut devices, ORDERS[0]);
    let again = the_one(&devices, "older");
    assert_eq!(again.rule, Rule::SettledTwoWays);
    settle(&mut devices[0], &again, "cancel_first", None);
    everybody(&mut devices, ORDERS[0]);
    assert_eq!(points(&devices[1]), Vec::new());
    let second = devices[1].entry(Kind::Order, &point.about[1].id);
    assert_eq!(second.line("state"), Some("ordered"));
}

/// What a choice puts back is told of each, and what was written since is not among it: a lid that was taken apart meanwhile is closed by none.
#[test]
fn a_lid_that_was_taken_apart_since_is_put_back_by_no_choice() {
    let told = |device: &Device, point: &Point, choice: &str| {
        let talk = Talk {
            view: device.record.view(),
            me: None,
        };
        talk.puts_back(&puts_back(device.record.view(), &device.record, point, choice))
    };
    for since in [false, true] {
        let (mut devices, point) = with_point(settling::made::closed_over_job, "closed over a job");
        let lid = point.about[0].id.clone();
        settle(&mut devices[0], &point, "reopen", None);
        settle(&mut devices[1], &point, "let_stand", Some("it was done before"));
        if since {
            let fields = AssemblyFields {
                state: Given::Put(AssemblyState::Apart),
                ..Default::default()
            };
            devices[0].change::<Assembly>(&lid, fields);
        }
        everybody(&mut devices, ORDERS[0]);
        let again = the_one(&devices, "settled two ways");
        let open = told(&devices[2], &again, "reopen");
        assert_eq!(
            open,
            "puts back what the other wrote: the reason that was given for it"
        );
        let closed = told(&devices[2], &again, "let_stand");
        assert_eq!(closed.contains("(state"), !since, "{closed}");
        assert_eq!(
            told(&devices[2], &again, "as_it_is"),
            "puts nothing back: the rest stays as it stands now"
        );
        settle(&mut devices[2], &again, "let_stand", Some("it was done before"));
        let state = devices[2].record.view().one::<Assembly>(&lid).unwrap().state();
        let expected = if since {
            AssemblyState::Apart
        } else {
            AssemblyState::Closed
        };
        assert_eq!(state, Some(expected));
    }
}
