//! How findings end: by a job, in words, or lived with; taken back; ended two ways by two who could not know of each other.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::EditError;
use record::ending::{End, ended, wants_mending};
use record::entities::*;
use record::rules::Rule;
use record::words::{HowBad, JobState};
use record::{Edit, Given, Id, Kind, Ref, Refusal};
use settling::{assembly, job, of, pair, points, settle};
use workshop::{Device, meet};

fn hose(device: &mut Device, about: &Id) -> Id {
    device.make::<Finding>(FindingFields {
        about: Given::Put(Ref::new(Kind::Assembly, about.clone())),
        what: "brake hose cracked to the cords".into(),
        how_bad: Given::Put(HowBad::Danger),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    })
}

fn end(finding: &Id, how: &str) -> Edit {
    let fields = FindingFields {
        ended: how.into(),
        ..Default::default()
    };
    Edit::change::<Finding>(finding.clone(), &fields).unwrap()
}

fn state(device: &mut Device, job: &Id, state: JobState) {
    let fields = JobFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Job>(job, fields);
}

/// Whether it still wants mending.
fn open(device: &Device, finding: &Id) -> bool {
    let view = device.record.view();
    let finding = view.one::<Finding>(finding).unwrap();
    assert_eq!(wants_mending(view, finding), !ended(view, finding));
    wants_mending(view, finding)
}

#[test]
fn mended_by_a_job_for_as_long_as_the_job_is_done() {
    let (mut parent, _) = pair();
    let brakes = assembly(&mut parent, "front brakes");
    let (finding, renew) = (
        hose(&mut parent, &brakes),
        job(&mut parent, "renew the hose", &brakes),
    );
    assert!(
        open(&parent, &finding),
        "nothing said: open, as every finding of before reads"
    );
    parent.edit(&end(&finding, &End::MendedBy(renew.clone()).kept()));
    assert!(open(&parent, &finding), "the job is still to be done");
    state(&mut parent, &renew, JobState::Done);
    assert!(!open(&parent, &finding));
    state(&mut parent, &renew, JobState::Open);
    assert!(open(&parent, &finding), "opened again, it mends nothing");
    state(&mut parent, &renew, JobState::Dropped);
    assert!(open(&parent, &finding), "dropped, it mends nothing");
    state(&mut parent, &renew, JobState::Done);
    parent.edit(&Edit::strike(Ref::new(Kind::Job, renew), "it was another hose"));
    assert!(open(&parent, &finding), "struck out, it mends nothing");
}

#[test]
fn ended_in_words_and_taken_back() {
    let (mut parent, _) = pair();
    let brakes = assembly(&mut parent, "front brakes");
    let finding = hose(&mut parent, &brakes);
    for how in [
        "mended:new hose from the set",
        "lived_with:only the outer skin, seen with a lens",
    ] {
        parent.edit(&end(&finding, how));
        assert!(!open(&parent, &finding), "{how}");
        let back = FindingFields {
            ended: Given::Clear,
            ..Default::default()
        };
        parent.change::<Finding>(&finding, back);
        assert!(open(&parent, &finding), "{how}");
    }
}

#[test]
fn an_end_says_which_job_or_something_in_words() {
    let (mut parent, _) = pair();
    let brakes = assembly(&mut parent, "front brakes");
    let finding = hose(&mut parent, &brakes);
    for how in [
        "lived_with:",
        "lived_with: . ",
        "mended:—",
        "mended",
        "gone",
        "mended_by:no id!",
    ] {
        let fields = FindingFields {
            ended: how.into(),
            ..Default::default()
        };
        let refused = Edit::change::<Finding>(finding.clone(), &fields).unwrap_err();
        assert!(matches!(refused, Refusal::Misfit { .. }), "'{how}': {refused:?}");
    }
    let nobody = end(&finding, "mended_by:0190-nobody");
    let refused = parent.try_edit(&nobody).unwrap_err();
    assert!(
        matches!(refused, EditError::Refused(Refusal::Unknown(_))),
        "{refused:?}"
    );
}

#[test]
fn ended_two_ways_at_once_is_a_point_with_each_end_whole() {
    let (mut parent, mut child) = pair();
    let brakes = assembly(&mut parent, "front brakes");
    let (finding, renew) = (
        hose(&mut parent, &brakes),
        job(&mut parent, "renew the hose", &brakes),
    );
    meet(&mut parent, &mut child);
    state(&mut parent, &renew, JobState::Done);
    parent.edit(&end(&finding, &End::MendedBy(renew.clone()).kept()));
    child.edit(&end(&finding, "lived_with:only the outer skin"));
    meet(&mut parent, &mut child);
    let found = of(&parent, Rule::TwoValues);
    assert_eq!(found, of(&child, Rule::TwoValues));
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].field.as_deref(), Some("ended"));
    let mut kept: Vec<String> = found[0]
        .sides
        .iter()
        .map(|side| side.value.as_ref().unwrap().line().unwrap().to_owned())
        .collect();
    kept.sort();
    assert_eq!(
        kept,
        [
            "lived_with:only the outer skin".to_owned(),
            format!("mended_by:{renew}")
        ]
    );
    let by_job = found[0]
        .sides
        .iter()
        .find(|side| {
            side.value
                .as_ref()
                .unwrap()
                .line()
                .unwrap()
                .starts_with("mended_by")
        })
        .unwrap();
    settle(&mut child, &found[0], &by_job.key, None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert!(!open(&parent, &finding));
}

#[test]
fn what_a_newer_program_says_of_its_end_is_kept_and_ends_nothing_here() {
    assert_eq!(End::of("sound:looked at again").word(), "sound");
    assert_eq!(End::of("sound:looked at again").kept(), "sound:looked at again");
    let (parent, _) = pair();
    assert!(!End::of("sound:looked at again").holds(parent.record.view()));
}
