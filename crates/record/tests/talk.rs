//! A point is said in words: no field's own name, no id, no bare date, nothing cut off; and a choice names the thing.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::{self, Rule, Talk};
use record::words::OrderState;
use record::{Given, Kind};
use settling::made::{RULES, with_point};
use settling::{assembly, close, pair, points};
use workshop::{Device, day, meet};

fn talk(device: &Device) -> Talk<'_> {
    Talk {
        view: device.record.view(),
        me: Some(&device.keeper),
    }
}

/// Every sentence that is said of the points of a device.
fn said(device: &Device) -> Vec<String> {
    let (talk, all) = (talk(device), points(device));
    let mut out = Vec::new();
    for question in rules::questions(&all) {
        out.push(talk.asks(&question));
        out.extend(
            question
                .lead
                .sides
                .iter()
                .map(|side| talk.did(question.lead, side)),
        );
        for choice in &question.lead.choices {
            let with = rules::each_with(
                device.record.view(),
                &device.record,
                &all,
                question.lead,
                &choice.key,
            );
            let words = talk.choice(&question, &choice.key, &with);
            assert_ne!(
                words.says,
                choice.key.replace('_', " "),
                "nothing is said of '{}'",
                choice.key
            );
            out.push(words.says);
            out.extend(words.now);
        }
    }
    out
}

#[test]
fn every_rule_is_said_in_words() {
    for (rule, made) in RULES {
        let (devices, _) = with_point(made, rule.word());
        for device in &devices {
            for words in said(device) {
                assert!(!words.contains('…') && !words.contains('_'), "{rule:?}: {words}");
                let id = |word: &str| word.len() == 36 && word.matches('-').count() == 4;
                let iso = |word: &str| word.len() == 10 && word.parse::<record::Day>().is_ok();
                let bare = words
                    .split(|c: char| !c.is_alphanumeric() && c != '-')
                    .any(|word| id(word) || iso(word));
                assert!(!bare, "{rule:?}: {words}");
            }
        }
    }
}

#[test]
fn who_closed_and_who_had_asked_is_said_to_whoever_looks() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "Gearbox");
    meet(&mut parent, &mut child);
    let what = "Look inside before the gearbox is closed: is the tab of the front thrust washer still on it, and is it the right way round?";
    settling::job(&mut child, what, &gearbox);
    parent.now += 1000;
    close(&mut parent, &gearbox);
    meet(&mut parent, &mut child);
    let words = said(&parent);
    assert_eq!(words[0], format!("Gearbox was closed with a job open: {what}"));
    assert_eq!(words[1], "You closed Gearbox.");
    assert_eq!(words[2], format!("child had asked for this: {what}."));
    assert_eq!(said(&child)[1], "parent closed Gearbox.");
    assert_eq!(words[3], "Open Gearbox up again");
}

#[test]
fn a_bag_that_gets_another_code_is_named_with_it() {
    let (mut parent, mut child) = pair();
    for (device, name) in [(&mut parent, "copper washers"), (&mut child, "shims")] {
        device.make::<Container>(ContainerFields {
            code: "B33".into(),
            name: name.into(),
            ..Default::default()
        });
    }
    meet(&mut parent, &mut child);
    let words = said(&parent);
    let choice = "child’s ‘shims’ keeps B33; your ‘copper washers’ becomes B34";
    let at = words.iter().position(|one| one == choice);
    assert_eq!(
        words[at.unwrap() + 1],
        "Write B34 on your ‘copper washers’, where it says B33."
    );
}

#[test]
fn two_of_one_name_say_where_they_are() {
    let (mut parent, mut child) = pair();
    for name in ["Engine", "Spare engine"] {
        let home = assembly(&mut parent, name);
        let piston = parent.make::<Part>(PartFields {
            name: "Piston".into(),
            position: "cylinder 3".into(),
            assembly: Given::Put(home),
            ..Default::default()
        });
        meet(&mut parent, &mut child);
        for (device, number) in [(&mut parent, "AX 12"), (&mut child, "AX 21")] {
            device.change::<Part>(
                &piston,
                PartFields {
                    number: number.into(),
                    ..Default::default()
                },
            );
        }
        meet(&mut parent, &mut child);
    }
    let all = points(&parent);
    let asks: Vec<String> = rules::questions(&all)
        .iter()
        .map(|one| talk(&parent).asks(one))
        .collect();
    for home in ["(in Engine)", "(in Spare engine)"] {
        let with = asks
            .iter()
            .filter(|one| one.starts_with("Piston, cylinder 3") && one.contains(home));
        assert_eq!(with.count(), 1, "{asks:?}");
    }
}

#[test]
fn an_order_that_is_cancelled_says_whom_to_ring_and_a_day_is_no_bare_date() {
    let (mut parent, mut child) = pair();
    let battery = parent.make::<Part>(PartFields {
        name: "Battery, 12 V".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    for (device, from) in [(&mut parent, "Old Quay"), (&mut child, "the mill shop")] {
        device.make::<Order>(OrderFields {
            what: "Battery".into(),
            part: Given::Put(battery.clone()),
            from: from.into(),
            state: Given::Put(OrderState::Ordered),
            ..Default::default()
        });
    }
    meet(&mut parent, &mut child);
    let words = said(&parent);
    assert!(
        words[0].starts_with("Battery, 12 V is on order twice: from "),
        "{words:?}"
    );
    assert!(
        words.contains(&"Tell Old Quay that Battery is not wanted any more.".to_owned()),
        "{words:?}"
    );

    let order = parent.record.view().all(Kind::Order).next().unwrap().id.clone();
    for (device, on) in [(&mut parent, "2031-05-03"), (&mut child, "2031-05-17")] {
        device.change::<Order>(
            &order,
            OrderFields {
                due: Given::Put(day(on)),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    let all = points(&parent);
    let two = rules::questions(&all)
        .into_iter()
        .find(|one| one.lead.rule == Rule::TwoValues)
        .unwrap();
    assert_eq!(
        talk(&parent).asks(&two),
        "Battery: due, 3 May 2031 or 17 May 2031?"
    );
}
