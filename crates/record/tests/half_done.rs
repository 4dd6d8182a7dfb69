//! Half-done work: a job begun, put off to a later round, or undone by a bigger one; and what is the car's own and of no assembly.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::{Check, EditError};
use record::entities::*;
use record::own_word::{is_begun, is_open, undone_by};
use record::rules::Rule;
use record::words::{How, JobState};
use record::{Edit, Given, Id, Kind, Ref, Scalar};
use settling::lids::*;
use settling::{assembly, close, job, of, pair, points, settle};
use workshop::{Device, day, meet};

fn says(device: &mut Device, job: &Id, fields: JobFields) -> Result<(), String> {
    let change = Edit::change::<Job>(job.clone(), &fields).map_err(|refusal| refusal.to_string())?;
    match device.try_edit(&change) {
        Ok(_) => Ok(()),
        Err(EditError::Refused(refusal)) => Err(refusal.to_string()),
        Err(broken) => panic!("{broken}"),
    }
}

fn put_off(device: &Device, assembly: &Id) -> Vec<Id> {
    let jobs = record::open::put_off(device.record.view(), assembly);
    jobs.iter().map(|job| job.id.clone()).collect()
}

#[test]
fn a_job_that_is_begun_stands_in_the_way_as_begun_and_one_put_off_is_told_of_and_in_nobodys_way() {
    let (mut nell, _) = pair();
    let box_ = assembly(&mut nell, "gearbox");
    let lid = inner(&mut nell, "gearbox lid", &box_);
    let paint = job(&mut nell, "paint the lid", &lid);
    put(&mut nell, &paint, JobState::Begun);
    assert!(is_begun(nell.entry(Kind::Job, &paint)));
    let (found, said) = still_open(&mut nell, &lid);
    assert_eq!(found[0].state, "begun");
    assert!(
        said.contains("'paint the lid' in 'gearbox lid' is begun"),
        "{said}"
    );
    assert_eq!(put_off(&nell, &lid), []);

    put(&mut nell, &paint, JobState::Later);
    assert!(is_open(nell.entry(Kind::Job, &paint)), "it is not done");
    assert_eq!(checks(&nell, &lid), []);
    assert_eq!(put_off(&nell, &lid), std::slice::from_ref(&paint));
    assert_eq!(
        put_off(&nell, &box_),
        std::slice::from_ref(&paint),
        "whoever closes what is around it is told too"
    );
    close(&mut nell, &lid);
    assert_eq!(
        put_off(&nell, &lid),
        std::slice::from_ref(&paint),
        "closed, it goes on being told"
    );
    put(&mut nell, &paint, JobState::Dropped);
    assert_eq!(put_off(&nell, &lid), []);
}

/// Put off is no side door: what can hurt whoever drives goes on wanting a reason of its own.
#[test]
fn a_job_of_brakes_that_is_put_off_goes_on_wanting_a_reason() {
    let (mut nell, _) = pair();
    let axle = assembly(&mut nell, "rear axle");
    let drum = inner(&mut nell, "brake drum", &axle);
    let shoe = part(&mut nell, "brake shoe", &axle);
    let by_place = job(&mut nell, "renew the springs", &drum);
    let by_words = job(&mut nell, "bleed the brakes", &axle);
    let by_part = nell.make::<Job>(JobFields {
        what: "renew it".into(),
        assembly: Given::Put(axle.clone()),
        part: Given::Put(shoe),
        ..Default::default()
    });
    for job in [&by_place, &by_words, &by_part] {
        put(&mut nell, job, JobState::Later);
    }
    let found = asked(&nell, &axle);
    let jobs: Vec<_> = found.iter().filter(|one| one.check == Check::Job).collect();
    assert_eq!(jobs.len(), 3, "{found:?}");
    assert!(jobs.iter().all(|one| one.state == "put off"), "{jobs:?}");
    assert_eq!(put_off(&nell, &axle), []);
}

#[test]
fn closed_apart_from_whoever_put_the_job_off_nobody_is_at_odds() {
    let (mut nell, mut wilf) = pair();
    let lid = assembly(&mut nell, "gearbox lid");
    meet(&mut nell, &mut wilf);
    close(&mut nell, &lid);
    let paint = job(&mut wilf, "paint the lid", &lid);
    put(&mut wilf, &paint, JobState::Later);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), []);
    // Taken up again by somebody who sees it closed, it is a plan; begun apart from the closing, it is asked.
    let polish = job(&mut wilf, "polish the lid", &lid);
    put(&mut wilf, &polish, JobState::Begun);
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&nell, Rule::ClosedOverJob), []);
    let (mut nell, mut wilf) = pair();
    let lid = assembly(&mut nell, "gearbox lid");
    meet(&mut nell, &mut wilf);
    close(&mut nell, &lid);
    let paint = job(&mut wilf, "paint the lid", &lid);
    put(&mut wilf, &paint, JobState::Begun);
    meet(&mut nell, &mut wilf);
    let found = of(&nell, Rule::ClosedOverJob);
    assert_eq!(found.len(), 1);
    settle(&mut nell, &found[0], "was_done", None);
    assert_eq!(points(&nell), []);
}

/// Begun by one and put off by the other, apart: a question, and where it stopped goes with the state that is chosen.
#[test]
fn begun_by_one_and_put_off_by_the_other_is_a_question() {
    let (mut nell, mut wilf) = pair();
    let hub = assembly(&mut nell, "hub");
    let nut = job(&mut nell, "draw the nut", &hub);
    meet(&mut nell, &mut wilf);
    let begun = JobFields {
        state: Given::Put(JobState::Begun),
        left_off: "it will not start".into(),
        ..Default::default()
    };
    says(&mut nell, &nut, begun).unwrap();
    put(&mut wilf, &nut, JobState::Later);
    meet(&mut nell, &mut wilf);
    let found = points(&nell);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, Rule::TwoValues);
    let begun = Some(Scalar::Line("begun".to_owned()));
    let side = found[0].sides.iter().find(|side| side.value == begun).unwrap();
    settle(&mut nell, &found[0], &side.key, None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&wilf), []);
    assert_eq!(wilf.entry(Kind::Job, &nut).line("state"), Some("begun"));
    assert_eq!(
        wilf.entry(Kind::Job, &nut).line("left_off"),
        Some("it will not start")
    );
}

/// The bigger job is believed beside the state it came with: taken up again, the job has nothing behind it any more.
#[test]
fn a_job_undone_by_a_bigger_one_says_so_as_long_as_nobody_put_it_otherwise() {
    let (mut nell, _) = pair();
    let engine = assembly(&mut nell, "engine");
    let clearances = job(&mut nell, "set the clearances", &engine);
    let head = job(&mut nell, "take the head off", &engine);
    put(&mut nell, &clearances, JobState::Done);
    let again = JobFields {
        state: Given::Put(JobState::Open),
        undone_by: Given::Put(head.clone()),
        ..Default::default()
    };
    says(&mut nell, &clearances, again).unwrap();
    assert_eq!(undone_by(nell.entry(Kind::Job, &clearances)), Some(head.clone()));
    put(&mut nell, &clearances, JobState::Begun);
    assert_eq!(undone_by(nell.entry(Kind::Job, &clearances)), None);
    let itself = JobFields {
        undone_by: Given::Put(clearances.clone()),
        ..Default::default()
    };
    let why = says(&mut nell, &clearances, itself).unwrap_err();
    assert!(why.contains("does not undo itself"), "{why}");
}

#[test]
fn a_time_is_one_of_a_clock_and_somebody_has_to_do_it() {
    let (mut nell, _) = pair();
    let hub = assembly(&mut nell, "hub");
    let soak = job(&mut nell, "draw the nut", &hub);
    for (time, fits) in [
        ("18:30", true),
        ("7:05", true),
        ("24:00", false),
        ("18:60", false),
        ("18:5", false),
        ("half six", false),
        ("+1:00", false),
    ] {
        let fields = JobFields {
            not_before: Given::Put(day("2031-03-02")),
            not_before_time: time.into(),
            ..Default::default()
        };
        assert_eq!(says(&mut nell, &soak, fields).is_ok(), fits, "{time}");
    }
    for (hands, fits) in [(2, true), (1, true), (0, false)] {
        let fields = JobFields {
            hands: Given::Put(hands),
            helper: "Pete, next door".into(),
            ..Default::default()
        };
        assert_eq!(says(&mut nell, &soak, fields).is_ok(), fits, "{hands}");
    }
}

/// A job, a hold point and a reading may be the car's; struck out, an assembly gives none of its own to the car.
#[test]
fn a_job_a_hold_point_and_a_reading_may_be_the_cars() {
    let (mut nell, _) = pair();
    let car = Ref::new(Kind::Car, Id::car());
    let road = nell.make::<Job>(JobFields {
        what: "first mile, nobody behind".into(),
        ..Default::default()
    });
    let hold = nell.make::<HoldPoint>(HoldPointFields {
        what: "weight on the front axle".into(),
        how: Given::Put(How::Measured),
        ..Default::default()
    });
    let weight = nell.make::<Reading>(ReadingFields {
        what: "weight on the front axle".into(),
        about: Given::Put(car.clone()),
        value: "310 kg".into(),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    let loose = |kind| -> Vec<Id> {
        let all = nell.record.view().loose(kind);
        all.map(|entry| entry.id.clone()).collect()
    };
    assert_eq!(loose(Kind::Job), [road]);
    assert_eq!(loose(Kind::HoldPoint), [hold]);
    assert_eq!(nell.entry(Kind::Reading, &weight).line("about"), Some("car:car"));

    let hub = assembly(&mut nell, "hub");
    let nut = job(&mut nell, "draw the nut", &hub);
    let strike = Edit::Strike {
        name: Ref::new(Kind::Assembly, hub),
        why: "there is one on each side".to_owned(),
        inside: Some(record::edit::Becomes::MoveUp),
        into: None,
    };
    // Around it lies nothing that what is in it could move to; and what has no assembly any more is not the car's by that.
    assert!(nell.try_edit(&strike).is_err());
    assert!(
        nell.record.view().loose(Kind::Job).all(|job| job.id != nut),
        "nobody said that it is the car's"
    );
}
