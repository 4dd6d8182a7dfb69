//! One disagreement is one question: whichever of its points is settled, and by whom, what stands then was said by one keeper.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::{self, Rule};
use record::words::{Decision, JobState};
use record::{Edit, Given, Id, Kind};
use settling::{assembly, job, pair, points, settle};
use workshop::{Device, meet};

const HIS: (&str, &str) = ("replace", "the base is cracked, and it is cheaper than a fire");
const HERS: (&str, &str) = ("recondition", "the windings are whole; it wants a wipe");

fn decide(device: &mut Device, part: &Id, decision: Decision, why: Option<&str>) {
    device.change::<Part>(
        part,
        PartFields {
            decision: Given::Put(decision),
            decision_why: why.map_or(Given::Leave, Into::into),
            ..Default::default()
        },
    );
}

fn a_part(device: &mut Device) -> Id {
    device.make::<Part>(PartFields {
        name: "control box".into(),
        decision: Given::Put(Decision::Reuse),
        decision_why: "it was working when it was parked".into(),
        ..Default::default()
    })
}

/// A part that two decided about apart, each with a reason.
fn decided_apart() -> (Device, Device, Id) {
    let (mut parent, mut child) = pair();
    let part = a_part(&mut parent);
    meet(&mut parent, &mut child);
    decide(&mut parent, &part, Decision::Replace, Some(HIS.1));
    decide(&mut child, &part, Decision::Recondition, Some(HERS.1));
    meet(&mut parent, &mut child);
    (parent, child, part)
}

fn stands(device: &Device, part: &Id) -> (String, String) {
    let entry = device.entry(Kind::Part, part);
    let line = |field: &str| entry.line(field).unwrap_or_default().to_owned();
    (line(Part::decision), line(Part::decision_why))
}

fn kept((decision, why): (&str, &str)) -> (String, String) {
    (decision.to_owned(), why.to_owned())
}

/// Settles the point of one field by the side that says this, as anybody may who knows only of that point.
fn settle_field(device: &mut Device, field: &str, says: &str) {
    let all = points(device);
    let point = all
        .iter()
        .find(|one| one.field.as_deref() == Some(field))
        .unwrap();
    let side = |side: &&rules::Side| side.value.as_ref().and_then(|value| value.line()) == Some(says);
    let key = point.sides.iter().find(side).unwrap().key.clone();
    settle(device, point, &key, None);
}

#[test]
fn a_decision_and_its_reason_are_one_question_with_the_identities_they_had() {
    let (parent, child, _) = decided_apart();
    let found = points(&parent);
    assert_eq!(found, points(&child));
    assert_eq!(found.len(), 2, "each has its identity");
    let asked = rules::questions(&found);
    assert_eq!(asked.len(), 1);
    let question = &asked[0];
    assert_eq!(question.lead.field.as_deref(), Some(Part::decision));
    assert_eq!(question.with[0].field.as_deref(), Some(Part::decision_why));
    for side in &question.lead.sides {
        let with = question.side_of(question.with[0], &side.key).unwrap();
        assert_eq!(with.stamp.change, side.stamp.change, "written in one change");
    }
}

#[test]
fn whichever_point_is_settled_no_decision_stands_with_the_others_reason() {
    for (field, says, is) in [
        (Part::decision, HIS.0, HIS),
        (Part::decision, HERS.0, HERS),
        (Part::decision_why, HIS.1, HIS),
        (Part::decision_why, HERS.1, HERS),
    ] {
        let (mut parent, mut child, part) = decided_apart();
        settle_field(&mut parent, field, says);
        assert_eq!(stands(&parent, &part), kept(is));
        assert!(points(&parent).is_empty());
        let settlements = parent.record.view().standing(Kind::Settlement);
        let changes: Vec<_> = settlements.map(|entry| entry.made.change).collect();
        assert_eq!(changes.len(), 2, "each point says how it was settled");
        assert_eq!(changes[0], changes[1], "in one change");
        meet(&mut parent, &mut child);
        assert!(points(&child).is_empty());
        assert_eq!(stands(&child, &part), kept(is));
    }
}

#[test]
fn settled_apart_two_ways_it_is_one_question_again_and_one_way_none() {
    for (one, other, left) in [(HIS, HERS, 1), (HIS, HIS, 0)] {
        let (mut parent, mut child, part) = decided_apart();
        settle_field(&mut parent, Part::decision, one.0);
        settle_field(&mut child, Part::decision_why, other.1);
        meet(&mut parent, &mut child);
        let found = points(&parent);
        assert_eq!(found, points(&child));
        assert_eq!(rules::questions(&found).len(), left, "{found:#?}");
        if left > 0 {
            settle_field(&mut child, Part::decision_why, HERS.1);
            meet(&mut parent, &mut child);
            assert_eq!(stands(&parent, &part), kept(HERS));
            assert!(points(&parent).is_empty());
        }
    }
}

/// A settlement as a program of before wrote it: the one field, and that its one point was settled.
fn settled_by_an_older_program(device: &mut Device, part: &Id, decision: Decision, word: &str) {
    let all = points(device);
    let point = all
        .iter()
        .find(|one| one.field.as_deref() == Some(Part::decision))
        .unwrap();
    let side = |side: &&rules::Side| side.value.as_ref().and_then(|value| value.line()) == Some(word);
    let settlement = SettlementFields {
        point: point.id.as_str().into(),
        rule: point.rule.word().into(),
        choice: point.sides.iter().find(side).unwrap().key.as_str().into(),
        about: point.about[0].to_string().as_str().into(),
        field: Part::decision.into(),
        ..Default::default()
    };
    let id = Id::from_uuid(record::Ids::fresh(&mut device.ids));
    let changed = PartFields {
        decision: Given::Put(decision),
        ..Default::default()
    };
    let edits = vec![
        Edit::change::<Part>(part.clone(), &changed).unwrap(),
        Edit::add::<Settlement>(id, &settlement).unwrap(),
    ];
    device.edit(&Edit::Together {
        message: "Settled: two values".to_owned(),
        edits,
    });
}

#[test]
fn what_an_older_program_settled_of_it_leaves_the_reason_to_be_asked() {
    let (mut parent, mut child, part) = decided_apart();
    settled_by_an_older_program(&mut child, &part, Decision::Recondition, HERS.0);
    meet(&mut parent, &mut child);
    let found = points(&parent);
    assert_eq!(rules::questions(&found).len(), 1);
    assert_eq!(found[0].field.as_deref(), Some(Part::decision_why));
    settle_field(&mut parent, Part::decision_why, HERS.1);
    assert_eq!(stands(&parent, &part), kept(HERS));

    // And apart from one who settled the whole of it otherwise.
    let (mut parent, mut child, part) = decided_apart();
    settled_by_an_older_program(&mut child, &part, Decision::Recondition, HERS.0);
    settle_field(&mut parent, Part::decision, HIS.0);
    meet(&mut parent, &mut child);
    assert_eq!(rules::questions(&points(&parent)).len(), 1);
    settle_field(&mut parent, Part::decision, HERS.0);
    assert_eq!(
        stands(&parent, &part),
        kept(HERS),
        "the reason that she had given"
    );
    assert!(points(&parent).is_empty());
}

#[test]
fn where_only_one_gave_a_reason_the_others_decision_does_not_get_it() {
    let (mut parent, mut child) = pair();
    let part = a_part(&mut parent);
    meet(&mut parent, &mut child);
    decide(&mut parent, &part, Decision::Replace, Some(HIS.1));
    decide(&mut child, &part, Decision::Recondition, None);
    meet(&mut parent, &mut child);
    assert_eq!(stands(&parent, &part).1, HIS.1);
    settle_field(&mut child, Part::decision, HERS.0);
    assert_eq!(
        stands(&child, &part),
        kept((HERS.0, "it was working when it was parked")),
        "what was there for her"
    );
    assert!(points(&child).is_empty());
}

#[test]
fn what_was_written_with_it_a_moment_later_goes_with_it() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let look = job(&mut parent, "look inside", &gearbox);
    meet(&mut parent, &mut child);
    let put = |device: &mut Device, state: JobState, outcome: &str| {
        device.change::<Job>(
            &look,
            JobFields {
                state: Given::Put(state),
                ..Default::default()
            },
        );
        device.change::<Job>(
            &look,
            JobFields {
                outcome: outcome.into(),
                ..Default::default()
            },
        );
    };
    put(&mut parent, JobState::Done, "nothing loose");
    put(&mut child, JobState::Dropped, "no need to");
    meet(&mut parent, &mut child);
    let found = points(&parent);
    assert_eq!(found.iter().filter(|one| one.rule == Rule::TwoValues).count(), 2);
    assert_eq!(rules::questions(&found).len(), 1);
    settle_field(&mut parent, Job::state, "dropped");
    let entry = parent.entry(Kind::Job, &look);
    assert_eq!(entry.line(Job::outcome), Some("no need to"));
    assert!(points(&parent).is_empty());
}

#[test]
fn values_of_three_that_do_not_pair_are_asked_each_by_itself() {
    let mut d = settling::made::three();
    let part = a_part(&mut d[0]);
    settling::made::everybody(&mut d, settling::made::ORDERS[0]);
    decide(&mut d[0], &part, Decision::Replace, Some(HIS.1));
    decide(&mut d[1], &part, Decision::Recondition, None);
    d[2].change::<Part>(
        &part,
        PartFields {
            decision_why: "it hums".into(),
            ..Default::default()
        },
    );
    settling::made::everybody(&mut d, settling::made::ORDERS[1]);
    let found = points(&d[2]);
    assert_eq!(found.len(), 2);
    assert_eq!(rules::questions(&found).len(), 2);
    settle_field(&mut d[2], Part::decision, HERS.0);
    assert_eq!(points(&d[2]).len(), 1, "the friend's words are still asked about");
}
