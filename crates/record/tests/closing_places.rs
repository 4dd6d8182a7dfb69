//! What stands in the way of a lid though it was entered elsewhere, or nobody said where it is: a job of an inner part that was entered
//! under what is around it, a part in a bag that was struck out, parts of an assembly in pieces.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::{Becomes, Check, Waive};
use record::entities::*;
use record::rules::Rule;
use record::words::{AssemblyState, JobState};
use record::{Edit, Given, Id, Kind, Ref};
use settling::lids::*;
use settling::{assembly, close, of, pair, points, settle};
use workshop::{Device, meet};

/// An engine, the head in it, and a valve in that.
fn engine(device: &mut Device) -> (Id, Id, Id) {
    let engine = assembly(device, "engine");
    let head = inner(device, "cylinder head", &engine);
    let valve = part(device, "exhaust valve", &head);
    (engine, head, valve)
}

fn entered(device: &mut Device, home: &Id, part: Option<&Id>, apart: &[&Id]) -> Id {
    device.make::<Job>(JobFields {
        what: "lap the valve in".into(),
        assembly: Given::Put(home.clone()),
        part: part.map_or(Given::Leave, |part| Given::Put(part.clone())),
        needs_apart: Given::Put(apart.iter().map(|id| (*id).clone()).collect()),
        ..Default::default()
    })
}

#[test]
fn a_job_stands_in_the_way_of_where_its_part_is_and_of_what_must_be_apart_for_it() {
    let (mut nell, _) = pair();
    let (engine, head, valve) = engine(&mut nell);
    let sump = inner(&mut nell, "sump", &engine);
    let lap = entered(&mut nell, &engine, Some(&valve), &[]);
    assert_eq!(checks(&nell, &head), [Check::Job]);
    assert_eq!(checks(&nell, &sump), [], "it is not in there");
    put(&mut nell, &lap, JobState::Done);
    assert_eq!(checks(&nell, &head), []);
    let crank = part(&mut nell, "crankshaft", &engine);
    let look = entered(&mut nell, &engine, Some(&crank), &[&head, &sump]);
    for lid in [&head, &sump] {
        let found = asked(&nell, lid);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].about.id, look);
    }
    // Around it, it is asked about once.
    let jobs = checks(&nell, &engine)
        .into_iter()
        .filter(|check| *check == Check::Job);
    assert_eq!(jobs.count(), 1);
    let waived = Waive::all_of(Ref::new(Kind::Job, look), "the sump goes on for the night");
    closing(&mut nell, &sump, vec![waived]).unwrap();
}

#[test]
fn closed_over_a_job_that_was_entered_apart_under_what_is_around_it() {
    for (of_its_part, knew, expected) in [
        (true, false, 1),
        (false, false, 1),
        (true, true, 0),
        (false, true, 0),
    ] {
        let (mut nell, mut wilf) = pair();
        let (engine, head, valve) = engine(&mut nell);
        meet(&mut nell, &mut wilf);
        close(&mut nell, &head);
        if knew {
            // Planned by somebody who saw it closed.
            meet(&mut nell, &mut wilf);
        }
        match of_its_part {
            true => entered(&mut wilf, &engine, Some(&valve), &[]),
            false => entered(&mut wilf, &engine, None, &[&head]),
        };
        meet(&mut nell, &mut wilf);
        let found = of(&nell, Rule::ClosedOverJob);
        assert_eq!(points(&nell), points(&wilf));
        assert_eq!(found.len(), expected, "{of_its_part} {knew}");
        for point in &found {
            assert_eq!(point.about[0].id, head);
            settle(&mut wilf, point, "reopen", None);
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), []);
            assert_eq!(nell.entry(Kind::Assembly, &head).line("state"), Some("fitted"));
        }
    }
}

/// A part is taken out of sight by moving a job's part: whoever closed could not know of the move.
#[test]
fn a_part_that_was_moved_into_what_was_closed_brings_its_job() {
    let (mut nell, mut wilf) = pair();
    let (engine, head, _) = engine(&mut nell);
    let plug = part(&mut nell, "core plug", &engine);
    let tap = entered(&mut nell, &engine, Some(&plug), &[]);
    meet(&mut nell, &mut wilf);
    close(&mut nell, &head);
    let into = PartFields {
        assembly: Given::Put(head.clone()),
        ..Default::default()
    };
    wilf.change::<Part>(&plug, into);
    meet(&mut nell, &mut wilf);
    let found = of(&nell, Rule::ClosedOverJob);
    assert_eq!(found, of(&wilf, Rule::ClosedOverJob));
    assert_eq!(found.len(), 1, "{:?}", points(&nell));
    assert_eq!((&found[0].about[0].id, &found[0].about[1].id), (&head, &tap));
}

fn lies(device: &mut Device, part: &Id, container: &str) {
    let fields = PartFields {
        container: container.into(),
        ..Default::default()
    };
    device.change::<Part>(part, fields);
}

#[test]
fn what_lay_in_a_bag_that_was_struck_out_is_asked_for() {
    let (mut nell, _) = pair();
    let (_, head, valve) = engine(&mut nell);
    let bag = nell.make::<Container>(ContainerFields {
        code: "B14".into(),
        name: "valves".into(),
        ..Default::default()
    });
    lies(&mut nell, &valve, bag.as_str());
    nell.edit(&Edit::Strike {
        name: Ref::new(Kind::Container, bag),
        why: "the bag tore".into(),
        inside: Some(Becomes::Leave),
        into: None,
    });
    let (found, says) = still_open(&mut nell, &head);
    assert_eq!(found[0].check, Check::PartStored);
    assert!(
        says.contains(
            "part 'exhaust valve' in 'cylinder head' is last seen in B14: valves, which was struck out"
        ),
        "{says}"
    );
    lies(&mut nell, &valve, "place:");
    close(&mut nell, &head);
}

#[test]
fn parts_of_what_is_in_pieces_are_asked_for_where_nobody_said() {
    let (mut nell, mut wilf) = pair();
    let (engine, head, valve) = engine(&mut nell);
    let guide = part(&mut nell, "valve guide", &head);
    assert_eq!(checks(&nell, &head), [], "in one piece they are where it is");
    stands(&mut nell, &head, AssemblyState::Apart);
    assert_eq!(
        checks(&nell, &head),
        [Check::Apart, Check::PartStored, Check::PartStored]
    );
    assert_eq!(
        checks(&nell, &engine),
        [Check::Assembly],
        "the inner one is asked about itself"
    );
    let (_, says) = still_open(&mut nell, &head);
    assert!(
        says.contains("part 'valve guide' in 'cylinder head' is not said to be in"),
        "{says}"
    );
    lies(&mut nell, &valve, "place:");
    lies(&mut nell, &guide, "place:");
    assert_eq!(checks(&nell, &head), [Check::Apart]);
    // Taken apart while the other closed it is one question, however many parts it has.
    stands(&mut nell, &head, AssemblyState::Fitted);
    let seat = part(&mut nell, "valve seat", &head);
    meet(&mut nell, &mut wilf);
    close(&mut nell, &head);
    stands(&mut wilf, &head, AssemblyState::Apart);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), points(&wilf));
    let found = points(&nell);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].rule, Rule::TwoValues);
    let closed = Some(record::Scalar::Line("closed".to_owned()));
    let side = found[0].sides.iter().find(|side| side.value == closed).unwrap();
    settle(&mut nell, &found[0], &side.key.clone(), None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&wilf), []);
    assert_eq!(wilf.entry(Kind::Part, &seat).line("container"), None);
}
