//! How a danger ends: by words that say something, of what its writer knew. What was written on it apart from its end is a point, and
//! whoever finds it worse has not ended it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::Check;
use record::ending::{End, can_hurt, said_to_hurt, wants_mending};
use record::entities::*;
use record::rules::Rule;
use record::words::{HowBad, JobState};
use record::{Edit, Given, Id, Kind, Ref};
use settling::lids::*;
use settling::{assembly, job, of, pair, points, settle};
use workshop::{Device, meet};

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

/// A try that did not work, written by somebody who could not know that the job was said to be done.
#[test]
fn a_try_that_failed_apart_from_the_end_of_a_danger_is_a_point() {
    for (how_bad, worked, asked) in [
        (HowBad::Danger, Some(false), 1),
        (HowBad::Danger, Some(true), 0),
        (HowBad::Danger, None, 0),
        (HowBad::Mend, Some(false), 0),
    ] {
        let (mut nell, mut wilf) = pair();
        let brakes = assembly(&mut nell, "front brakes");
        let about = Ref::new(Kind::Assembly, brakes.clone());
        let hose = finding(&mut nell, about, "the union weeps", how_bad.clone());
        let nip = job(&mut nell, "nip the union up", &brakes);
        end(&mut nell, &hose, &End::MendedBy(nip.clone()));
        meet(&mut nell, &mut wilf);
        put(&mut nell, &nip, JobState::Done);
        wilf.make::<Try>(TryFields {
            job: Given::Put(nip.clone()),
            what: "a quarter turn".into(),
            came_of_it: "it weeps still".into(),
            worked: worked.map_or(Given::Leave, Given::Put),
            on: Given::Put(workshop::day("2031-03-02")),
            ..Default::default()
        });
        meet(&mut nell, &mut wilf);
        let found = points(&nell);
        assert_eq!(found, points(&wilf));
        assert_eq!(found.len(), asked, "{how_bad:?} {worked:?}: {found:?}");
        if asked == 0 {
            continue;
        }
        assert_eq!(found[0].rule, Rule::EndedApart);
        let said = found[0].sides[1].value.clone();
        assert_eq!(said, Some(record::Scalar::Line("it weeps still".to_owned())));
        settle(&mut wilf, &found[0], "open_again", None);
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&nell), Vec::new());
        assert_eq!(checks(&nell, &brakes), [Check::Finding]);
    }
}

/// A note changes no value of the finding: who wrote in it is read letter by letter.
#[test]
fn a_note_that_was_written_apart_from_the_end_of_a_danger_is_a_point() {
    for (by_one_who_knew, asked) in [(false, 1), (true, 0)] {
        let (mut nell, mut wilf) = pair();
        let about = Ref::new(Kind::Car, Id::car());
        let hose = finding(&mut nell, about, "the hose is chafed", HowBad::Danger);
        let note = |text: &str| FindingFields {
            note: text.into(),
            ..Default::default()
        };
        nell.change::<Finding>(&hose, note("where it passes the spring"));
        meet(&mut nell, &mut wilf);
        end(&mut nell, &hose, &End::Mended("a new hose"));
        if by_one_who_knew {
            meet(&mut nell, &mut wilf);
        }
        wilf.change::<Finding>(
            &hose,
            note("where it passes the spring; the other side is as bad"),
        );
        meet(&mut nell, &mut wilf);
        let found = points(&nell);
        assert_eq!(found, points(&wilf));
        assert_eq!(found.len(), asked, "{found:?}");
        for point in &found {
            assert_eq!(point.rule, Rule::EndedApart);
            assert_eq!(point.sides[1].stamp.device, Some(wilf.device.clone()));
            settle(&mut nell, point, "is_ended", Some("both were changed"));
        }
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&wilf), Vec::new());
    }
}
