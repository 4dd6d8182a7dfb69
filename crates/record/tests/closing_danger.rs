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

use record::edit::{Becomes, Check, EditError, Waive};
use record::ending::{End, can_hurt, said_to_hurt, wants_mending};
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

fn strike(name: Ref, inside: Option<Becomes>) -> Edit {
    Edit::Strike {
        name,
        why: "it is the other car's".into(),
        inside,
        into: None,
    }
}

fn refused(device: &mut Device, edit: &Edit) -> &'static str {
    match device.try_edit(edit) {
        Err(EditError::Refused(refusal)) => refusal.code(),
        came => panic!("{came:?}"),
    }
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

/// Two say otherwise of how bad it is, and one of them ended it for less: whoever settles it as a danger has ended nothing.
#[test]
fn settled_as_a_danger_it_has_no_end_that_was_given_to_less() {
    let (mut nell, mut wilf) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let hose = finding(&mut nell, about, "the hose is chafed", HowBad::Mend);
    meet(&mut nell, &mut wilf);
    weighs(&mut nell, &hose, HowBad::Watch);
    end(&mut nell, &hose, &End::Mended("tape"));
    weighs(&mut wilf, &hose, HowBad::Danger);
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        let view = device.record.view();
        let rules: Vec<Rule> = points(device).iter().map(|point| point.rule).collect();
        assert_eq!(
            rules,
            [Rule::EndedApart, Rule::TwoValues],
            "whichever of the two is shown"
        );
        assert!(said_to_hurt(view.get(Kind::Finding, &hose).unwrap()));
    }
    let point = of(&nell, Rule::TwoValues).remove(0);
    let danger = Some(record::Scalar::Line("danger".to_owned()));
    let side = point
        .sides
        .iter()
        .find(|side| side.value == danger)
        .unwrap()
        .key
        .clone();
    // Which of two words holds is not settled before whether it has its end: the one would answer the other.
    let early = tried(&mut nell, &point, &side, "it drips").unwrap_err();
    assert_eq!(early.code(), "other_point_first");
    let end = of(&nell, Rule::EndedApart).remove(0);
    settle(&mut nell, &end, "is_ended", Some("taped it is"));
    settle(&mut nell, &point, &side, None);
    let view = nell.record.view();
    assert!(
        can_hurt(view, view.get(Kind::Finding, &hose).unwrap()),
        "the end was given to less"
    );
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

/// Whoever ends it by a job that they see done, or does the job seeing the danger, is at odds with nobody.
#[test]
fn who_knew_both_has_ended_it() {
    let (mut nell, mut wilf) = pair();
    let engine = assembly(&mut nell, "engine");
    meet(&mut nell, &mut wilf);
    let about = Ref::new(Kind::Assembly, engine.clone());
    let weld = job(&mut wilf, "weld the mounting", &engine);
    put(&mut wilf, &weld, JobState::Done);
    let split = finding(&mut nell, about, "mounting split through", HowBad::Danger);
    meet(&mut nell, &mut wilf);
    end(&mut nell, &split, &End::MendedBy(weld));
    assert_eq!(points(&nell), Vec::new());
    let bolt = job(&mut nell, "bolt it up", &engine);
    let loose = finding(
        &mut nell,
        Ref::new(Kind::Assembly, engine),
        "hangs on one bolt",
        HowBad::Mend,
    );
    meet(&mut nell, &mut wilf);
    end(&mut nell, &loose, &End::MendedBy(bolt.clone()));
    weighs(&mut wilf, &loose, HowBad::Danger);
    meet(&mut nell, &mut wilf);
    put(&mut wilf, &bolt, JobState::Done);
    assert_eq!(
        points(&wilf),
        Vec::new(),
        "they saw that it is a danger, and did the job"
    );
}

/// As long as two say otherwise of its end it has none.
#[test]
fn an_end_that_one_took_back_ends_nothing() {
    let (mut nell, mut wilf) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let hose = finding(&mut nell, about, "on stands", HowBad::Danger);
    end(&mut nell, &hose, &End::Mended("wheels on"));
    meet(&mut nell, &mut wilf);
    let again = FindingFields {
        ended: Given::Clear,
        ..Default::default()
    };
    wilf.change::<Finding>(&hose, again);
    end(&mut nell, &hose, &End::Mended("wheels on, and nuts tight"));
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        let view = device.record.view();
        assert!(can_hurt(view, view.get(Kind::Finding, &hose).unwrap()));
    }
}

#[test]
fn a_danger_is_not_ended_by_a_word() {
    let (mut nell, _) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let stands = finding(&mut nell, about, "on stands", HowBad::Danger);
    for end in [End::Mended("x"), End::LivedWith("ok")] {
        let ended = FindingFields {
            ended: end.kept().as_str().into(),
            ..Default::default()
        };
        let edit = Edit::change::<Finding>(stands.clone(), &ended).unwrap();
        assert_eq!(refused(&mut nell, &edit), "say_more", "{end:?}");
    }
    end(&mut nell, &stands, &End::Mended("wheels on"));
}

/// Whoever rewrites what a danger is has found it to be so still.
#[test]
fn a_danger_that_is_rewritten_has_no_end_any_more() {
    let (mut nell, mut wilf) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let open = finding(&mut nell, about, "fuel open", HowBad::Danger);
    let says = |what: &str| FindingFields {
        what: what.into(),
        ..Default::default()
    };
    meet(&mut nell, &mut wilf);
    end(&mut nell, &open, &End::Mended("capped it"));
    wilf.change::<Finding>(&open, says("fuel open, drips"));
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&wilf, Rule::EndedApart).len(), 1);
    wilf.change::<Finding>(&open, says("fuel open, a pool under the tank"));
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        let view = device.record.view();
        assert!(can_hurt(view, view.get(Kind::Finding, &open).unwrap()));
    }
}

/// A milder word takes a danger out of sight as an end does, and says nothing of why.
#[test]
fn a_danger_is_not_made_less_before_it_is_ended() {
    let (mut nell, _) = pair();
    let about = Ref::new(Kind::Car, Id::car());
    let stands = finding(&mut nell, about, "on stands", HowBad::Danger);
    for less in [Given::Clear, Given::Put(HowBad::Noted), Given::Put(HowBad::Mend)] {
        let fields = FindingFields {
            how_bad: less,
            ..Default::default()
        };
        let edit = Edit::change::<Finding>(stands.clone(), &fields).unwrap();
        assert_eq!(refused(&mut nell, &edit), "end_first");
    }
    end(&mut nell, &stands, &End::Mended("it was the other car"));
    weighs(&mut nell, &stands, HowBad::Noted);
}
