//! Closed over an unfinished tightening run: two devices are edited apart and meet, both see the same point, and each way of settling it
//! leaves nothing to settle on either. Nobody's bolts are put down as tight.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::EditError;
use record::entities::*;
use record::rules::{Point, Rule};
use record::tightening::{RunStanding, disputed};
use record::words::{AssemblyState, Layout};
use record::{Edit, Given, Id, Kind, Refusal, Scalar};
use settling::{assembly, close, of, pair, points, settle};
use workshop::{Device, meet};

/// Four bolts, two passes and the last round: twelve turns.
const TURNS: usize = 12;

fn run(device: &mut Device, assembly: &Id) -> Id {
    device.make::<TighteningRun>(TighteningRunFields {
        what: "Carrier nuts".into(),
        assembly: Given::Put(assembly.clone()),
        layout: Given::Put(Layout::Circle),
        bolts: Given::Put(4),
        torque: "18 lb-ft".into(),
        passes: "50, 100".into(),
        conditions: "threads dry".into(),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    })
}

fn standing(device: &Device, run: &Id) -> RunStanding {
    RunStanding::of(device.record.view(), device.entry(Kind::TighteningRun, run)).unwrap()
}

fn tighten(device: &mut Device, run: &Id, times: usize) {
    for _ in 0..times {
        let (pass, place) = standing(device, run).next.unwrap();
        device.make::<Tightened>(TightenedFields {
            run: Given::Put(run.clone()),
            pass: Given::Put(pass),
            place: Given::Put(place),
            torque: "18 lb-ft".into(),
            on: Given::Put("2031-03-01".parse().unwrap()),
            ..Default::default()
        });
    }
}

/// The one point of both devices.
#[track_caller]
fn the_point(one: &Device, other: &Device) -> Point {
    let found = of(one, Rule::ClosedOverRun);
    assert_eq!(found, of(other, Rule::ClosedOverRun));
    assert_eq!(found.len(), 1, "{found:?}");
    found[0].clone()
}

/// The child begins a run of which three turns are done; the parent, who cannot know of it, closes the assembly.
fn closed_over() -> (Device, Device, Id, Id) {
    let (mut parent, mut child) = pair();
    let diff = assembly(&mut parent, "differential");
    meet(&mut parent, &mut child);
    close(&mut parent, &diff);
    let run = run(&mut child, &diff);
    tighten(&mut child, &run, 3);
    meet(&mut parent, &mut child);
    (parent, child, diff, run)
}

#[test]
fn both_see_it_and_how_far_the_run_is() {
    let (parent, child, diff, run) = closed_over();
    let point = the_point(&parent, &child);
    assert_eq!(point.about[0].id, diff);
    assert_eq!(point.about[1].id, run);
    assert!(point.sides.iter().all(|side| !side.knew_other), "{point:?}");
    assert_eq!(
        point.sides[1].value,
        Some(Scalar::Line(format!("3 of {TURNS} turns done")))
    );
    assert!(
        point.title.contains("unfinished tightening run 'Carrier nuts'"),
        "{}",
        point.title
    );
}

#[test]
fn opened_again_the_run_goes_on() {
    let (mut parent, mut child, diff, run) = closed_over();
    let point = the_point(&parent, &child);
    settle(&mut child, &point, "reopen", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(parent.entry(Kind::Assembly, &diff).line("state"), Some("fitted"));
    let again = parent.try_edit(&Edit::CloseUp {
        assembly: diff.clone(),
        waive: Vec::new(),
    });
    assert!(matches!(
        again,
        Err(EditError::Refused(Refusal::StillOpen { .. }))
    ));
    tighten(&mut parent, &run, TURNS - 3);
    close(&mut parent, &diff);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
}

#[test]
fn struck_out_or_left_closed_it_wants_a_reason() {
    for choice in ["strike_run", "let_stand"] {
        let (mut parent, mut child, diff, run) = closed_over();
        let point = the_point(&parent, &child);
        let silent = Edit::Settle {
            point: point.id.clone(),
            choice: choice.to_owned(),
            why: None,
        };
        assert!(matches!(
            parent.try_edit(&silent),
            Err(EditError::Refused(Refusal::WhyWanted))
        ));
        settle(
            &mut parent,
            &point,
            choice,
            Some("tight by the old wrench, all eight, before the run was begun"),
        );
        meet(&mut parent, &mut child);
        for device in [&parent, &child] {
            assert_eq!(points(device), Vec::new(), "{choice}");
            assert_eq!(device.entry(Kind::Assembly, &diff).line("state"), Some("closed"));
            let struck = !device.entry(Kind::TighteningRun, &run).stands();
            assert_eq!(struck, choice == "strike_run");
            // Nobody's bolts were put down as tight.
            assert_eq!(standing(device, &run).done(), 3);
            let waivers = device.record.view().standing(Kind::Waiver).count();
            assert_eq!(waivers, usize::from(choice == "let_stand"));
        }
    }
}

#[test]
fn finished_on_the_other_side_there_is_nothing_to_settle() {
    let (mut parent, mut child, _, run) = closed_over();
    the_point(&parent, &child);
    tighten(&mut child, &run, TURNS - 3);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(points(&child), Vec::new());
}

#[test]
fn a_run_begun_on_an_assembly_seen_closed_is_a_plan() {
    let (mut parent, mut child) = pair();
    let diff = assembly(&mut parent, "differential");
    close(&mut parent, &diff);
    meet(&mut parent, &mut child);
    let run = run(&mut child, &diff);
    tighten(&mut child, &run, 1);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn a_bolt_taken_back_or_a_pass_more_opens_a_finished_run() {
    type Opens = fn(&mut Device, &Id);
    let undone: Opens = |child, run| {
        let last = standing(child, run).last().next().unwrap().clone();
        child.edit(&Edit::strike(
            record::Ref::new(Kind::Tightened, last),
            "undone at the bench",
        ));
    };
    let longer: Opens = |child, run| {
        child.change::<TighteningRun>(
            run,
            TighteningRunFields {
                passes: "50, 75, 100".into(),
                ..Default::default()
            },
        );
    };
    for (opens, known) in [(undone, false), (longer, false), (undone, true), (longer, true)] {
        let (mut parent, mut child) = pair();
        let diff = assembly(&mut parent, "differential");
        let run = run(&mut parent, &diff);
        tighten(&mut parent, &run, TURNS);
        meet(&mut parent, &mut child);
        close(&mut parent, &diff);
        if known {
            // Whoever takes a bolt back of what they see closed has a plan.
            meet(&mut parent, &mut child);
        }
        opens(&mut child, &run);
        meet(&mut parent, &mut child);
        if known {
            assert_eq!(points(&parent), Vec::new());
            assert_eq!(points(&child), Vec::new());
        } else {
            let point = the_point(&parent, &child);
            assert!(!point.sides[0].knew_other);
        }
    }
}

#[test]
fn the_next_one_is_a_new_point() {
    let (mut parent, mut child, diff, run_1) = closed_over();
    let first = the_point(&parent, &child);
    settle(&mut parent, &first, "strike_run", Some("done already"));
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    assert!(!child.entry(Kind::TighteningRun, &run_1).stands());
    // Opened, begun anew apart, and closed apart: another contradiction, not hidden by what was settled.
    parent.change::<Assembly>(
        &diff,
        AssemblyFields {
            state: Given::Put(record::words::AssemblyState::Fitted),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    close(&mut parent, &diff);
    let run_2 = run(&mut child, &diff);
    meet(&mut parent, &mut child);
    let second = the_point(&parent, &child);
    assert_ne!(second.id, first.id);
    assert_eq!(second.about[1].id, run_2);
}

fn wants(device: &mut Device, run: &Id, torque: &str) {
    let fields = TighteningRunFields {
        torque: torque.into(),
        ..Default::default()
    };
    device.change::<TighteningRun>(run, fields);
}

/// The book is read again after the last bolt: what was tightened to less is not tight, and what was tightened to more is said.
#[test]
fn a_torque_that_is_changed_after_the_last_bolt_leaves_none_of_them_tight() {
    let (mut nell, _) = pair();
    let hub = assembly(&mut nell, "hub");
    let run = run(&mut nell, &hub);
    tighten(&mut nell, &run, TURNS);
    assert!(!standing(&nell, &run).is_open());
    // What a wrench may be off is no other torque.
    wants(&mut nell, &run, "18.5 lb-ft");
    assert!(!standing(&nell, &run).is_open());
    wants(&mut nell, &run, "22 lb-ft");
    let now = standing(&nell, &run);
    // The first pass wants 11, and each of them holds 18.
    assert_eq!(now.next, Some((2, 1)));
    assert_eq!(now.done(), 4);
    assert_eq!(now.short.len(), 4);
    assert!(now.otherwise()[0].contains("less than is wanted now"), "{now:?}");
    let closing = Edit::CloseUp {
        assembly: hub.clone(),
        waive: Vec::new(),
    };
    assert!(nell.try_edit(&closing).is_err());
    while let Some((pass, place)) = standing(&nell, &run).next {
        nell.make::<Tightened>(turn(&run, pass, place, "22 lb-ft"));
    }
    assert!(!standing(&nell, &run).is_open());

    wants(&mut nell, &run, "18 lb-ft");
    let now = standing(&nell, &run);
    assert_eq!(now.over.len(), 4);
    assert!(now.otherwise()[0].contains("Slacken them"), "{now:?}");
    assert!(nell.try_edit(&closing).is_err());
}

fn turn(run: &Id, pass: i32, place: i32, torque: &str) -> TightenedFields {
    TightenedFields {
        run: Given::Put(run.clone()),
        pass: Given::Put(pass),
        place: Given::Put(place),
        torque: torque.into(),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    }
}

/// One raises the torque while the other tightens to what it was: on both, no bolt is tight that holds less.
#[test]
fn a_torque_that_is_raised_apart_from_the_tightening_leaves_it_open() {
    let (mut nell, mut wilf) = pair();
    let hub = assembly(&mut nell, "hub");
    let run = run(&mut nell, &hub);
    meet(&mut nell, &mut wilf);
    tighten(&mut nell, &run, TURNS);
    close(&mut nell, &hub);
    wants(&mut wilf, &run, "25 lb-ft");
    meet(&mut nell, &mut wilf);
    let point = the_point(&nell, &wilf);
    assert!(standing(&wilf, &run).is_open());
    settle(&mut wilf, &point, "reopen", None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), []);
}

/// Nobody logs a turn to less than its pass wants, or past what the run allows.
#[test]
fn a_turn_past_the_torque_of_the_run_is_refused() {
    let (mut nell, _) = pair();
    let hub = assembly(&mut nell, "hub");
    let run = run(&mut nell, &hub);
    for (torque, says) in [
        ("8 lb-ft", "less than that"),
        ("19 lb-ft", "can break a bolt"),
        ("30 N·m", "can break a bolt"),
    ] {
        let edit = Edit::add::<Tightened>(Id::from_uuid(uuid::Uuid::from_u128(9)), &turn(&run, 1, 1, torque))
            .unwrap();
        match nell.try_edit(&edit) {
            Err(EditError::Refused(why @ Refusal::Misfit { .. })) => {
                assert!(why.to_string().contains(says), "{why}");
            }
            other => panic!("{other:?}"),
        }
    }
    nell.make::<Tightened>(turn(&run, 1, 1, "9 lb-ft"));
}

fn stands(device: &mut Device, assembly: &Id, state: AssemblyState) {
    let fields = AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Assembly>(assembly, fields);
}

/// A lid is taken off for one more look: the bolts that came out are not tight because somebody once tightened them.
#[test]
fn what_was_tightened_before_it_was_opened_comes_again() {
    let (mut parent, mut child) = pair();
    let diff = assembly(&mut parent, "differential");
    let nuts = run(&mut parent, &diff);
    tighten(&mut parent, &nuts, TURNS);
    close(&mut parent, &diff);
    meet(&mut parent, &mut child);
    let before = child.record.changes_since(&[]).len();
    stands(&mut child, &diff, AssemblyState::Apart);
    assert_eq!(child.record.changes_since(&[]).len(), before + 1, "one change");
    stands(&mut child, &diff, AssemblyState::Fitted);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    let now = standing(&parent, &nuts);
    assert_eq!((now.done(), now.next), (0, Some((1, 1))));
    assert_eq!(
        now.otherwise(),
        [
            "Bolts 1, 2, 3, 4: tightened before the assembly was taken off or apart. They come again in the passes below."
        ]
    );
    let again = parent.try_edit(&Edit::CloseUp {
        assembly: diff.clone(),
        waive: Vec::new(),
    });
    assert!(matches!(
        again,
        Err(EditError::Refused(Refusal::StillOpen { .. }))
    ));
    // A program of before, which reads no mark, reads the same: the turns are struck out.
    let turns = parent.record.view().all(Kind::Tightened);
    let why: Vec<_> = turns
        .filter_map(|turn| Some(turn.struck()?.0.to_owned()))
        .collect();
    assert_eq!(why, vec!["'differential' was taken off or apart since"; TURNS]);
    tighten(&mut parent, &nuts, 1);
    assert_eq!(standing(&parent, &nuts).loosened, [2, 3, 4].into());
    tighten(&mut parent, &nuts, TURNS - 1);
    close(&mut parent, &diff);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
}

/// The bolts of an engine on its stand are tightened while it counts as in pieces: put together off the car, they are in.
#[test]
fn what_was_tightened_in_pieces_holds_when_it_is_together_off_the_car() {
    let (mut parent, _) = pair();
    let diff = assembly(&mut parent, "differential");
    stands(&mut parent, &diff, AssemblyState::Apart);
    let nuts = run(&mut parent, &diff);
    tighten(&mut parent, &nuts, TURNS);
    stands(&mut parent, &diff, AssemblyState::Off);
    let now = standing(&parent, &nuts);
    assert_eq!((now.done(), now.next), (TURNS, None));
    stands(&mut parent, &diff, AssemblyState::Apart);
    assert_eq!(standing(&parent, &nuts).done(), 0, "taken apart again");
}

/// Tightened by one while the other opened it and put it together: nobody knows which came first.
#[test]
fn what_was_tightened_while_it_was_opened_is_a_point() {
    for choice in ["tighten_again", "is_tight"] {
        let (mut parent, mut child) = pair();
        let diff = assembly(&mut parent, "differential");
        let nuts = run(&mut parent, &diff);
        tighten(&mut parent, &nuts, 2);
        meet(&mut parent, &mut child);
        tighten(&mut parent, &nuts, 1);
        stands(&mut child, &diff, AssemblyState::Off);
        stands(&mut child, &diff, AssemblyState::Fitted);
        meet(&mut parent, &mut child);
        assert_eq!(points(&parent), points(&child));
        let found = of(&parent, Rule::TightenedApart);
        assert_eq!(found.len(), 1);
        let third = Scalar::Line("Bolt 2".to_owned());
        assert_eq!(
            found[0].sides[0].value,
            Some(third),
            "the third in the order of the pass"
        );
        assert_eq!(
            found[0].title,
            "'Carrier nuts' was tightened, and 'differential' was taken off or apart"
        );
        // Its bolt is drawn as neither tight nor open as long as that is not settled.
        let asked = points(&parent);
        let (bolts, asks) = disputed(parent.record.view(), &nuts, &asked);
        assert_eq!((bolts, asks.len()), ([2].into(), 1));
        settle(&mut child, &found[0], choice, Some("she says after"));
        meet(&mut parent, &mut child);
        assert_eq!(points(&parent), Vec::new());
        assert_eq!(
            disputed(parent.record.view(), &nuts, &points(&parent)).0,
            [].into()
        );
        let done = standing(&parent, &nuts).done();
        assert_eq!(done, if choice == "is_tight" { 1 } else { 0 });
    }
}

/// Whoever tightens it after it was opened, knowing of it, is at odds with nobody; nor is a turn that two took back.
#[test]
fn what_is_tightened_after_an_opening_is_no_point() {
    let (mut parent, mut child) = pair();
    let diff = assembly(&mut parent, "differential");
    let nuts = run(&mut parent, &diff);
    tighten(&mut parent, &nuts, 1);
    meet(&mut parent, &mut child);
    stands(&mut child, &diff, AssemblyState::Apart);
    let turn = standing(&parent, &nuts).log[0].entry.clone();
    parent.edit(&Edit::strike(
        record::Ref::new(Kind::Tightened, turn),
        "undone at the bench",
    ));
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new(), "both say that it is not tight");
    stands(&mut child, &diff, AssemblyState::Fitted);
    meet(&mut parent, &mut child);
    tighten(&mut parent, &nuts, TURNS);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    assert_eq!(standing(&child, &nuts).next, None);
}

/// A torque is for dry threads or for oiled ones. What the run said when a bolt was tightened is kept with the bolt.
#[test]
fn bolts_that_were_tightened_for_something_else_are_named() {
    let (mut parent, mut child) = pair();
    let diff = assembly(&mut parent, "differential");
    let nuts = run(&mut parent, &diff);
    meet(&mut parent, &mut child);
    tighten(&mut parent, &nuts, 1);
    let oiled = TighteningRunFields {
        conditions: "threads oiled".into(),
        ..Default::default()
    };
    child.change::<TighteningRun>(&nuts, oiled);
    meet(&mut parent, &mut child);
    tighten(&mut child, &nuts, 1);
    meet(&mut parent, &mut child);
    let said = standing(&parent, &nuts).otherwise();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(
        said[0]
            .starts_with("Bolt 1: tightened while the run said 'threads dry'; it says 'threads oiled' now."),
        "{said:?}"
    );
}
