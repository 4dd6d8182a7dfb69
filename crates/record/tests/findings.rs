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
use record::words::{CameBy, HowBad, HowSure, JobState};
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
    let (mut parent, _) = pair();
    let brakes = assembly(&mut parent, "front brakes");
    let finding = hose(&mut parent, &brakes);
    let view = parent.record.view();
    let shown = view.get(Kind::Finding, &finding).unwrap();
    assert!(!End::of("sound:looked at again").holds(view, shown));
}

fn said(device: &mut Device, about: &Id, fields: FindingFields) -> Id {
    device.make::<Finding>(FindingFields {
        about: Given::Put(Ref::new(Kind::Assembly, about.clone())),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..fields
    })
}

fn in_the_way(device: &Device, assembly: &Id) -> Vec<(String, bool)> {
    record::edit::blockers(device.record.view(), &points(device), assembly)
        .into_iter()
        .map(|one| (one.state, one.danger))
        .collect()
}

#[test]
fn sound_is_a_finding_that_stands_in_no_way_even_where_it_was_suspected() {
    let (mut parent, _) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let sound = said(
        &mut parent,
        &gearbox,
        FindingFields {
            what: "selector forks".into(),
            how_bad: Given::Put(HowBad::Sound),
            ..Default::default()
        },
    );
    assert_eq!(in_the_way(&parent, &gearbox), []);
    let view = parent.record.view();
    assert!(!record::ending::can_hurt(
        view,
        view.get(Kind::Finding, &sound).unwrap()
    ));
    // Found to be worse, it is asked about.
    let worse = FindingFields {
        how_bad: Given::Put(HowBad::Danger),
        ..Default::default()
    };
    parent.change::<Finding>(&sound, worse);
    assert_eq!(in_the_way(&parent, &gearbox), [("danger".to_owned(), true)]);
    // A danger is not talked away as sound: its end says why.
    let sound_again = FindingFields {
        how_bad: Given::Put(HowBad::Sound),
        ..Default::default()
    };
    let refused = parent.try_edit(&Edit::change::<Finding>(sound, &sound_again).unwrap());
    assert!(
        matches!(refused, Err(EditError::Refused(Refusal::EndFirst(_)))),
        "{refused:?}"
    );
}

fn sure(device: &mut Device, finding: &Id, how_sure: HowSure) {
    let fields = FindingFields {
        how_sure: Given::Put(how_sure),
        ..Default::default()
    };
    device.change::<Finding>(finding, fields);
}

#[test]
fn what_is_suspected_stands_in_the_way_until_somebody_looked() {
    let (mut parent, _) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let suspected = |how_bad| FindingFields {
        what: "layshaft bearing noisy".into(),
        how_bad: Given::Put(how_bad),
        how_sure: Given::Put(HowSure::Suspected),
        ..Default::default()
    };
    let noted = said(&mut parent, &gearbox, suspected(HowBad::Noted));
    let danger = said(&mut parent, &gearbox, suspected(HowBad::Danger));
    let both = in_the_way(&parent, &gearbox);
    assert_eq!(both.len(), 2);
    assert!(
        both.contains(&("suspected".to_owned(), false)) && both.contains(&("suspected".to_owned(), true))
    );
    // Looked at, and it is so: what is worth knowing is in no way, what can hurt still is.
    sure(&mut parent, &noted, HowSure::Confirmed);
    sure(&mut parent, &danger, HowSure::Confirmed);
    assert_eq!(in_the_way(&parent, &gearbox), [("danger".to_owned(), true)]);
    // Looked at again, and it is not so. A tap alone rules nothing out, of a danger one word neither.
    for nothing in ["not_so:", "not_so: . ", "not_so:no"] {
        let fields = FindingFields {
            ended: nothing.into(),
            ..Default::default()
        };
        let said =
            Edit::change::<Finding>(danger.clone(), &fields).map(|edit| parent.try_edit(&edit).is_ok());
        assert!(!matches!(said, Ok(true)), "{nothing}");
    }
    parent.edit(&end(&danger, "not_so:the bearing turns freely, it was the fan"));
    assert_eq!(in_the_way(&parent, &gearbox), []);
    let view = parent.record.view();
    assert!(!record::ending::can_hurt(
        view,
        view.get(Kind::Finding, &danger).unwrap()
    ));
    // And it is so all the same: it has no end any more.
    sure(&mut parent, &danger, HowSure::Confirmed);
    assert_eq!(in_the_way(&parent, &gearbox), [("danger".to_owned(), true)]);
    assert_eq!(parent.entry(Kind::Finding, &danger).line(Finding::ended), None);
}

#[test]
fn ruled_out_by_one_and_confirmed_by_the_other_it_holds_and_is_asked() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let bearing = said(
        &mut parent,
        &gearbox,
        FindingFields {
            what: "layshaft bearing noisy".into(),
            how_bad: Given::Put(HowBad::Danger),
            how_sure: Given::Put(HowSure::Suspected),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    parent.edit(&end(&bearing, "not_so:the bearing turns freely, it was the fan"));
    sure(&mut child, &bearing, HowSure::Confirmed);
    meet(&mut parent, &mut child);
    for device in [&parent, &child] {
        assert!(open(device, &bearing), "nobody has ruled out what somebody saw");
        let asked: Vec<Option<String>> = of(device, Rule::TwoValues)
            .into_iter()
            .map(|point| point.field)
            .collect();
        assert_eq!(asked, [Some("how_sure".to_owned())]);
    }
}

#[test]
fn a_finding_comes_of_another_and_not_of_itself() {
    let (mut parent, _) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let plain = |what: &str| FindingFields {
        what: what.into(),
        came_by: Given::Put(CameBy::EarlierHand),
        ..Default::default()
    };
    let vent = said(&mut parent, &gearbox, plain("breather painted over"));
    let leak = said(&mut parent, &gearbox, plain("oil at the front seal"));
    let because = |of: &Id| FindingFields {
        because_of: Given::Put(of.clone()),
        ..Default::default()
    };
    parent.change::<Finding>(&leak, because(&vent));
    let view = parent.record.view();
    let vent_name = Ref::new(Kind::Finding, vent.clone());
    let led_to: Vec<&Id> = view
        .naming(&vent_name, Kind::Finding)
        .map(|one| &one.id)
        .collect();
    assert_eq!(led_to, [&leak]);
    let itself = Edit::change::<Finding>(vent.clone(), &because(&vent)).unwrap();
    assert!(parent.try_edit(&itself).is_err());
}
