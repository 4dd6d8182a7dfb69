//! What the rules find and what settling it does stays as it was: identities are kept in settlements that lie on people's disks. The
//! text beside this file was written by the program before its rules became values, and is never made again; a new rule adds its
//! own paragraph at the end.
//!
//! Once its lines changed: since opening an assembly is put beside its state, a change that opens one is another change. So the digests
//! after each `reopen` are others, and the names of what is made of such a change: of the settlements that reopen, and of the point
//! whose story takes a lid off. No rule finds otherwise what lies on a disk.
//! Once more in the paragraph of what was said apart: since a settlement keeps whose word was chosen and what it said (`had`, `had_by`), the
//! changes of `side_1` and `side_2` there are others, and so are the settlements' own names and words. What the rule finds is the same.
//! Once more where a point names a field: it is called as the form calls it, and not by its raw name. What settles two values says so in its
//! change, which is another; the point's own identity is the same.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use std::fmt::Write as _;

use record::rules::Point;
use settling::made::{Made, ORDERS, RULES, everybody, the_one, with_point};
use settling::{points, settle};

fn told(point: &Point, out: &mut String) {
    writeln!(out, "{} {}: {}", point.rule.word(), point.id, point.title).unwrap();
    let about: Vec<String> = point.about.iter().map(ToString::to_string).collect();
    writeln!(out, "  about {} field {:?}", about.join(" "), point.field).unwrap();
    for side in &point.sides {
        let value = side.value.as_ref().map(|value| format!("{value:?}"));
        let value = value.unwrap_or_default();
        writeln!(out, "  {} {} '{}' {value}", side.key, side.about, side.title).unwrap();
    }
}

/// A point, what each of its choices makes of the record, and what comes of it when two of them are taken apart.
fn story(made: Made, what: &str) -> String {
    let mut out = String::new();
    let (_, point) = with_point(made, what);
    told(&point, &mut out);
    for choice in &point.choices {
        let (mut devices, point) = with_point(made, what);
        settle(&mut devices[0], &point, &choice.key, Some("we looked"));
        let digest = devices[0].record.digest().digest;
        writeln!(out, "  {} {}: {digest}", choice.key, choice.wants_why).unwrap();
        let left = points(&devices[0]);
        assert!(left.is_empty(), "{what}, {}: {left:?}", choice.key);
    }
    for (at, one) in point.choices.iter().enumerate() {
        for two in point.choices.iter().skip(at + 1) {
            let apart = || {
                let (mut devices, point) = with_point(made, what);
                settle(&mut devices[0], &point, &one.key, Some("I say so"));
                settle(&mut devices[1], &point, &two.key, Some("I do not"));
                everybody(&mut devices, ORDERS[0]);
                let again = the_one(&devices, what);
                (devices, again)
            };
            let (_, again) = apart();
            told(&again, &mut out);
            for choice in &again.choices {
                let (mut devices, again) = apart();
                settle(&mut devices[2], &again, &choice.key, Some("we talked"));
                let digest = devices[2].record.digest().digest;
                writeln!(out, "  {} {}: {digest}", choice.key, choice.wants_why).unwrap();
            }
        }
    }
    out
}

#[test]
fn every_rule_finds_what_it_found_and_every_choice_does_what_it_did() {
    let each = RULES
        .iter()
        .map(|(rule, made)| story(*made, rule.word()))
        .collect::<Vec<_>>();
    let now = each.join("\n");
    let before = include_str!("as_before.txt");
    if now != before {
        let differ = now
            .lines()
            .zip(before.lines())
            .find(|(now, before)| now != before);
        panic!("it was otherwise: {differ:?}\n{now}");
    }
}
