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

use record::edit::{Becomes, EditError, Waive};
use record::ending::End;
use record::entities::*;
use record::rules::{Point, Rule};
use record::words::{AssemblyState, HowBad};
use record::{Edit, Given, Id, Kind, Ref};
use settling::lids::*;
use settling::{assembly, close, job, of, pair, points, settle};
use workshop::{Device, meet};

fn state(device: &Device, assembly: &Id) -> Option<AssemblyState> {
    device.record.view().one::<Assembly>(assembly).unwrap().state()
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

fn strike(name: Ref, inside: Option<Becomes>) -> Edit {
    Edit::Strike {
        name,
        why: "it is the other car's".into(),
        inside,
        into: None,
    }
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
    let (mut apart, mut other) = (nell, wilf);
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

/// What was left in a struck assembly is not struck out behind it.
#[test]
fn what_was_left_in_a_struck_assembly_is_not_struck_with_a_danger_in_it() {
    let (mut nell, _) = pair();
    let engine = assembly(&mut nell, "engine");
    let about = Ref::new(Kind::Assembly, engine);
    finding(&mut nell, about.clone(), "mounting split through", HowBad::Danger);
    nell.edit(&strike(about.clone(), Some(Becomes::Leave)));
    let clear = Edit::ClearStruck {
        name: about,
        inside: Becomes::StrikeToo,
        into: None,
        why: None,
    };
    assert_eq!(refused(&mut nell, &clear), "end_first");
}

/// Struck here, found to be a danger there: it does not stay struck out by a tap, and stands again before it is ended.
#[test]
fn a_danger_that_was_struck_apart_does_not_stay_struck() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes);
    let hose = finding(&mut nell, about, "the hose is chafed", HowBad::Mend);
    let name = Ref::new(Kind::Finding, hose.clone());
    meet(&mut nell, &mut wilf);
    nell.edit(&strike(name.clone(), None));
    weighs(&mut wilf, &hose, HowBad::Danger);
    meet(&mut nell, &mut wilf);
    let point = of(&wilf, Rule::StruckWorkedOn).remove(0);
    assert_eq!(
        tried(&mut wilf, &point, "stay_struck", "it is no hose")
            .unwrap_err()
            .code(),
        "end_first"
    );
    settle(&mut wilf, &point, "take_back", None);
    end(&mut wilf, &hose, &End::Mended("a new hose"));
    wilf.edit(&strike(name, None));
}

/// A reason that was given for 'to mend' lets no state be settled as closed over what had become a danger.
#[test]
fn a_reason_of_before_lets_no_state_be_settled_as_closed_over_a_danger() {
    let (mut nell, mut wilf) = pair();
    let engine = assembly(&mut nell, "engine");
    let about = Ref::new(Kind::Assembly, engine.clone());
    let split = finding(&mut nell, about, "mounting split", HowBad::Mend);
    meet(&mut nell, &mut wilf);
    let waive = vec![Waive::all_of(
        Ref::new(Kind::Finding, split.clone()),
        "it holds for now",
    )];
    closing(&mut nell, &engine, waive).unwrap();
    stands(&mut wilf, &engine, AssemblyState::Off);
    weighs(&mut wilf, &split, HowBad::Danger);
    meet(&mut nell, &mut wilf);
    let point = of(&nell, Rule::TwoValues).remove(0);
    let choice = closed_side(&point);
    let refusal = tried(&mut nell, &point, &choice, "I closed it").unwrap_err();
    assert!(refusal.to_string().contains("mounting split"), "{refusal}");
    // Nor by writing the one that is shown anew.
    for device in [&mut nell, &mut wilf] {
        let fields = AssemblyFields {
            state: Given::Put(AssemblyState::Closed),
            ..Default::default()
        };
        let again = Edit::change::<Assembly>(engine.clone(), &fields).unwrap();
        assert_eq!(refused(device, &again), "only_by_close_up");
    }
}

/// A tap, a full stop and a word are no reason for leaving a danger closed over, or ended.
#[test]
fn no_point_about_a_danger_is_settled_by_a_word() {
    let (mut nell, mut wilf) = pair();
    let engine = assembly(&mut nell, "engine");
    meet(&mut nell, &mut wilf);
    close(&mut nell, &engine);
    let about = Ref::new(Kind::Assembly, engine);
    let split = finding(&mut wilf, about, "mounting split through", HowBad::Danger);
    meet(&mut nell, &mut wilf);
    let point = of(&nell, Rule::ClosedOverFinding).remove(0);
    for (why, code) in [(".", "why_wanted"), ("ok", "say_more")] {
        let refusal = tried(&mut nell, &point, "let_stand", why).unwrap_err();
        assert_eq!(refusal.code(), code, "'{why}'");
    }
    settle(&mut nell, &point, "let_stand", Some("stands on blocks"));
    meet(&mut nell, &mut wilf);
    end(&mut nell, &split, &End::Mended("welded through"));
    let more = FindingFields {
        what: "mounting split through on both sides".into(),
        ..Default::default()
    };
    wilf.change::<Finding>(&split, more);
    meet(&mut nell, &mut wilf);
    let point = of(&nell, Rule::EndedApart).remove(0);
    for (why, code) in [(".", "why_wanted"), ("yes", "say_more")] {
        let refusal = tried(&mut nell, &point, "is_ended", why).unwrap_err();
        assert_eq!(refusal.code(), code, "'{why}'");
    }
    settle(&mut nell, &point, "is_ended", Some("both were welded"));
}
