//! What can hurt somebody does not go under a lid by a side door: not by settling a point, not by one reason for all, not by a word that
//! says nothing, and not by an end that was given to something less.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::{Check, EditError, Waive};
use record::ending::{End, wants_mending};
use record::entities::*;
use record::rules::{Point, Rule};
use record::words::{AssemblyState, HowBad, JobState};
use record::{Edit, Given, Id, Kind, Ref, Refusal};
use settling::lids::*;
use settling::{assembly, close, job, of, pair, points, settle};
use workshop::{Device, meet};

fn stands(device: &mut Device, assembly: &Id, state: AssemblyState) {
    let fields = AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Assembly>(assembly, fields);
}

fn weighs(device: &mut Device, finding: &Id, how_bad: HowBad) {
    let fields = FindingFields {
        how_bad: Given::Put(how_bad),
        ..Default::default()
    };
    device.change::<Finding>(finding, fields);
}

fn state(device: &Device, assembly: &Id) -> Option<AssemblyState> {
    device.record.view().one::<Assembly>(assembly).unwrap().state()
}

fn tried(device: &mut Device, point: &Point, choice: &str, why: &str) -> Result<(), Refusal> {
    let edit = Edit::Settle {
        point: point.id.clone(),
        choice: choice.to_owned(),
        why: Some(why.to_owned()),
    };
    match device.try_edit(&edit) {
        Ok(_) => Ok(()),
        Err(EditError::Refused(refusal)) => Err(refusal),
        Err(broken) => panic!("{broken}"),
    }
}

/// What says that it is closed, of two values of a state.
fn closed_side(point: &Point) -> String {
    let closed = Some(record::Scalar::Line("closed".to_owned()));
    let side = point.sides.iter().find(|side| side.value == closed);
    side.unwrap().key.clone()
}

/// Brakes that one closed while the other took them off again.
fn closed_and_off() -> (Device, Device, Id) {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    meet(&mut nell, &mut wilf);
    close(&mut nell, &brakes);
    stands(&mut wilf, &brakes, AssemblyState::Off);
    (nell, wilf, brakes)
}

#[test]
fn two_values_of_a_state_are_not_settled_as_closed_over_a_danger() {
    let (mut nell, mut wilf, brakes) = closed_and_off();
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let cracked = finding(&mut wilf, about, "cracked to the cords", HowBad::Danger);
    meet(&mut nell, &mut wilf);
    let point = of(&nell, Rule::TwoValues).remove(0);
    let choice = point
        .choices
        .iter()
        .find(|choice| choice.key == closed_side(&point))
        .cloned();
    let choice = choice.unwrap_or_else(|| panic!("{:?}", point.choices));
    let refusal = tried(&mut nell, &point, &choice.key, "I closed it").unwrap_err();
    assert_eq!(refusal.code(), "still_open");
    assert!(refusal.to_string().contains("cracked to the cords"), "{refusal}");
    // Closing it up settles it, with a reason; so does the end of the danger.
    let mut both = [nell, wilf];
    let waive = vec![Waive::all_of(
        Ref::new(Kind::Finding, cracked.clone()),
        "the hose comes off tomorrow",
    )];
    let closed_up = closing(&mut both[0], &brakes, waive);
    closed_up.unwrap();
    assert_eq!(state(&both[0], &brakes), Some(AssemblyState::Closed));
    assert_eq!(of(&both[0], Rule::TwoValues), Vec::new());
    end(&mut both[1], &cracked, &End::Mended("a new hose"));
    let point = of(&both[1], Rule::TwoValues).remove(0);
    settle(&mut both[1], &point, &choice.key, Some("it was closed"));
    assert_eq!(state(&both[1], &brakes), Some(AssemblyState::Closed));
}

/// What was closed over with a reason is closed over with a reason still.
#[test]
fn a_state_that_was_closed_with_reasons_is_settled_as_closed() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let shield = finding(&mut nell, about, "dust shield bent", HowBad::Mend);
    meet(&mut nell, &mut wilf);
    let waive = vec![Waive::all_of(Ref::new(Kind::Finding, shield), "it rubs nowhere")];
    closing(&mut nell, &brakes, waive).unwrap();
    stands(&mut wilf, &brakes, AssemblyState::Apart);
    meet(&mut nell, &mut wilf);
    let point = of(&wilf, Rule::TwoValues).remove(0);
    let choice = closed_side(&point);
    settle(&mut wilf, &point, &choice, Some("it is together"));
    assert_eq!(state(&wilf, &brakes), Some(AssemblyState::Closed));
}

/// One opened it again, one let it stand; meanwhile something was found.
#[test]
fn whoever_holds_to_let_stand_is_asked_what_was_found_meanwhile() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    meet(&mut nell, &mut wilf);
    close(&mut nell, &brakes);
    job(&mut wilf, "bleed them", &brakes);
    meet(&mut nell, &mut wilf);
    let point = of(&nell, Rule::ClosedOverJob).remove(0);
    settle(&mut nell, &point, "reopen", None);
    settle(&mut wilf, &point, "let_stand", Some("they were bled"));
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let cracked = finding(&mut nell, about, "cracked to the cords", HowBad::Danger);
    meet(&mut nell, &mut wilf);
    let again = of(&wilf, Rule::SettledTwoWays).remove(0);
    let refusal = tried(&mut wilf, &again, "let_stand", "so it was").unwrap_err();
    assert_eq!(refusal.code(), "still_open");
    assert!(refusal.to_string().contains("cracked to the cords"), "{refusal}");
    assert!(
        !refusal.to_string().contains("bleed"),
        "of the job somebody said why: {refusal}"
    );
    end(&mut wilf, &cracked, &End::Mended("a new hose"));
    let again = of(&wilf, Rule::SettledTwoWays).remove(0);
    settle(&mut wilf, &again, "let_stand", Some("so it was"));
    assert_eq!(state(&wilf, &brakes), Some(AssemblyState::Closed));
}

#[test]
fn an_end_and_a_danger_that_could_not_know_of_each_other_are_a_point() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let hose = finding(&mut nell, about.clone(), "the hose is chafed", HowBad::Mend);
    let tape = job(&mut nell, "tape around it", &brakes);
    end(&mut nell, &hose, &End::MendedBy(tape.clone()));
    meet(&mut nell, &mut wilf);
    put(&mut nell, &tape, JobState::Done);
    weighs(&mut wilf, &hose, HowBad::Danger);
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        let found = points(device);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].rule, Rule::EndedApart);
    }
    // It stands in the way of the lid, as what can hurt somebody.
    let (found, _) = still_open(&mut nell, &brakes);
    assert_eq!(found.len(), 1);
    assert!(
        found[0].danger && found[0].alone && found[0].check == Check::Point,
        "{found:?}"
    );
    let point = points(&nell).remove(0);
    settle(&mut nell, &point, "open_again", None);
    let view = nell.record.view();
    assert!(wants_mending(view, view.one::<Finding>(&hose).unwrap()));
    // Whoever ends it now has the danger before them, and whoever makes it less is at odds with nobody.
    end(&mut nell, &hose, &End::Mended("a new hose"));
    weighs(&mut nell, &hose, HowBad::Noted);
    assert_eq!(points(&nell), Vec::new());
}

/// Found to be worse by somebody who sees that it was ended: then it was ended for less than it is.
#[test]
fn what_turns_out_worse_has_no_end_any_more() {
    let (mut nell, _) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let hose = finding(&mut nell, about, "the hose is chafed", HowBad::Mend);
    end(&mut nell, &hose, &End::LivedWith("it is only the cover"));
    let wants = |device: &Device| {
        let view = device.record.view();
        wants_mending(view, view.one::<Finding>(&hose).unwrap())
    };
    weighs(&mut nell, &hose, HowBad::Watch);
    weighs(&mut nell, &hose, HowBad::Mend);
    assert!(wants(&nell), "to mend is more than to watch");
    end(&mut nell, &hose, &End::Mended("tape"));
    weighs(&mut nell, &hose, HowBad::Danger);
    assert!(wants(&nell));
    assert_eq!(checks(&nell, &brakes), [Check::Finding]);
}

#[test]
fn a_reason_for_what_was_to_be_mended_says_nothing_of_a_danger() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let hose = finding(&mut nell, about, "the hose is chafed", HowBad::Mend);
    meet(&mut nell, &mut wilf);
    let waive = vec![Waive::all_of(
        Ref::new(Kind::Finding, hose.clone()),
        "only the cover is",
    )];
    closing(&mut nell, &brakes, waive).unwrap();
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), Vec::new());
    let (mut apart, mut other) = pair_of(nell, wilf);
    weighs(&mut apart, &hose, HowBad::Danger);
    assert_eq!(
        points(&apart),
        Vec::new(),
        "who sees it closed and writes so has planned it"
    );
    // Closed again, knowing nothing of the danger.
    stands(&mut other, &brakes, AssemblyState::Fitted);
    let waive = vec![Waive::all_of(Ref::new(Kind::Finding, hose), "only the cover is")];
    closing(&mut other, &brakes, waive).unwrap();
    meet(&mut apart, &mut other);
    let found = of(&apart, Rule::ClosedOverFinding);
    assert_eq!(found.len(), 1, "{:?}", points(&apart));
    assert_eq!(found, of(&other, Rule::ClosedOverFinding));
}

fn pair_of(one: Device, other: Device) -> (Device, Device) {
    (one, other)
}

/// A third, who saw it closed, writes something else about what the second found apart from both.
#[test]
fn what_a_third_wrote_later_makes_no_plan_of_it() {
    let [mut nell, mut wilf, mut friend] = settling::made::three();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let hose = finding(&mut nell, about.clone(), "the hose is chafed", HowBad::Watch);
    meet(&mut nell, &mut wilf);
    meet(&mut nell, &mut friend);
    close(&mut nell, &brakes);
    weighs(&mut wilf, &hose, HowBad::Danger);
    meet(&mut nell, &mut friend);
    // Friend says of what it is, anew.
    let drum = part(&mut friend, "drum", &brakes);
    let moved = FindingFields {
        about: Given::Put(Ref::new(Kind::Part, drum)),
        ..Default::default()
    };
    friend.change::<Finding>(&hose, moved);
    meet(&mut wilf, &mut friend);
    assert_eq!(
        of(&friend, Rule::ClosedOverFinding).len(),
        1,
        "{:?}",
        points(&friend)
    );
}

/// One reason may serve many of a sort, none of those that want their own.
#[test]
fn one_reason_for_an_assembly_does_not_serve_every_point_in_it() {
    let (mut nell, mut wilf) = pair();
    let steering = assembly(&mut nell, "steering box");
    two_numbers(&mut nell, &mut wilf, &steering);
    two_numbers(&mut nell, &mut wilf, &steering);
    let (found, _) = still_open(&mut nell, &steering);
    assert_eq!(found.len(), 2);
    let all = Waive::all_of(found[0].about.clone(), "both numbers fit");
    let refusal = closing(&mut nell, &steering, vec![all.clone()]).unwrap_err();
    assert_eq!(refusal.code(), "reason_of_its_own");
    let each = found.iter().map(|blocker| Waive {
        point: blocker.point.clone(),
        ..all.clone()
    });
    closing(&mut nell, &steering, each.collect()).unwrap();
}

#[test]
fn a_word_is_no_reason_for_a_danger() {
    let (mut nell, _) = pair();
    let engine = assembly(&mut nell, "engine");
    let about = Ref::new(Kind::Assembly, engine.clone());
    let split = finding(&mut nell, about, "mounting split through", HowBad::Danger);
    for why in ["ok", "x", "later!", "ok ."] {
        let waive = vec![Waive::all_of(Ref::new(Kind::Finding, split.clone()), why)];
        let refusal = closing(&mut nell, &engine, waive).unwrap_err();
        assert_eq!(refusal.code(), "say_more", "'{why}'");
    }
    let waive = vec![Waive::all_of(Ref::new(Kind::Finding, split), "stands on blocks")];
    closing(&mut nell, &engine, waive).unwrap();
}

/// A danger goes out of sight by its end alone: not by a strike, nor with what it is in, nor by settling a point.
#[test]
fn a_danger_cannot_be_struck_out_before_it_is_ended() {
    let (mut nell, _) = pair();
    let engine = assembly(&mut nell, "engine");
    let about = Ref::new(Kind::Assembly, engine.clone());
    let split = finding(&mut nell, about.clone(), "mounting split through", HowBad::Danger);
    let alone = Edit::strike(Ref::new(Kind::Finding, split.clone()), "it is the other car's");
    let with_all = Edit::Strike {
        name: about,
        why: "sold with the car".into(),
        inside: Some(record::edit::Becomes::StrikeToo),
        into: None,
    };
    for edit in [&alone, &with_all] {
        let Err(EditError::Refused(refusal)) = nell.try_edit(edit) else {
            panic!("{edit:?}");
        };
        assert_eq!(refusal.code(), "end_first");
    }
    end(&mut nell, &split, &End::Mended("welded and tested"));
    nell.edit(&alone);
    nell.edit(&with_all);
}

/// Ended here and added to there: what was added is shown.
#[test]
fn what_was_written_on_a_danger_that_was_ended_apart_is_a_point() {
    let (mut nell, mut wilf) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let stands = finding(&mut nell, about, "on stands", HowBad::Danger);
    meet(&mut nell, &mut wilf);
    end(&mut nell, &stands, &End::Mended("no longer so"));
    let more = FindingFields {
        what: "on stands, the rear ones on planks".into(),
        ..Default::default()
    };
    wilf.change::<Finding>(&stands, more);
    meet(&mut nell, &mut wilf);
    let found = points(&nell);
    assert_eq!(found, points(&wilf));
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].rule, Rule::EndedApart);
    assert_eq!(
        found[0].sides[1].value,
        Some(record::Scalar::Line(
            "on stands, the rear ones on planks".to_owned()
        ))
    );
}
