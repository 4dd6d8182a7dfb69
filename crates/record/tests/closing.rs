//! Closing up sees what a mechanic sees: every check asked at closing, each waived by a reason, and each a point where two could not know
//! of each other. What is unfinished is read here by the test's own eyes, not by the checks.
//!
//! Length: each check is shown at the guard, by its reason and by its rule, on the one bench that all are made on.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use rand::{Rng as _, RngCore as _};
use record::edit::{Blocker, Check, EditError, Waive};
use record::ending::{End, wants_mending};
use record::entities::*;
use record::past::Knew as _;
use record::rules::{Point, Rule};
use record::verdict::Judge;
use record::words::{AssemblyState, Decision, Differs, HowBad, JobState, OrderState};
use record::{Edit, Entity, Entry, Given, Id, Kind, Ref, Refusal, View, measured_again, remedy};
use settling::lids::*;
use settling::made::{RULES, with_point};
use settling::{assembly, close, job, of, pair, points, settle};
use workshop::{Device, day, meet, seeded};

#[test]
fn a_finding_of_danger_stops_the_close_up_until_the_job_that_mends_it_is_done() {
    let (mut nell, _) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let hose = part(&mut nell, "hose", &brakes);
    let cracked = finding(
        &mut nell,
        Ref::new(Kind::Part, hose),
        "cracked to the cords",
        HowBad::Danger,
    );
    let (found, says) = still_open(&mut nell, &brakes);
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].check, found[0].about.id.clone()),
        (Check::Finding, cracked.clone())
    );
    assert!(found[0].danger && found[0].alone, "{found:?}");
    assert!(
        says.contains("finding 'cracked to the cords' in 'front brakes' (danger) has no end"),
        "{says}"
    );
    let renew = job(&mut nell, "renew the hose", &brakes);
    end(&mut nell, &cracked, &End::MendedBy(renew.clone()));
    assert_eq!(
        checks(&nell, &brakes),
        [Check::Job, Check::Finding],
        "to be mended is not mended"
    );
    put(&mut nell, &renew, JobState::Done);
    closing(&mut nell, &brakes, Vec::new()).unwrap();
}

#[test]
fn what_is_only_noted_or_watched_stops_nobody() {
    let (mut nell, _) = pair();
    let clutch = assembly(&mut nell, "clutch");
    let about = Ref::new(Kind::Assembly, clutch.clone());
    finding(
        &mut nell,
        about.clone(),
        "a sixpence in the housing",
        HowBad::Noted,
    );
    finding(&mut nell, about, "a little rust", HowBad::Watch);
    close(&mut nell, &clutch);
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn every_check_is_asked_and_named_in_the_refusal() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let about = Ref::new(Kind::Assembly, gearbox.clone());
    inner(&mut nell, "lid", &gearbox);
    let bearing = part(&mut nell, "tail bearing", &gearbox);
    let bag = nell.make::<Container>(ContainerFields {
        code: "B14".into(),
        name: "bearing".into(),
        ..Default::default()
    });
    nell.change::<Part>(
        &bearing,
        PartFields {
            decision: Given::Put(Decision::Replace),
            container: Given::Put(bag.to_string()),
            ..Default::default()
        },
    );
    job(&mut nell, "shim the layshaft", &gearbox);
    finding(&mut nell, about.clone(), "a tooth is chipped", HowBad::Mend);
    let limit = nell.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    reading(&mut nell, &about, "0.35 mm", &limit, "2031-03-01");
    let apart = AssemblyFields {
        state: Given::Put(AssemblyState::Apart),
        ..Default::default()
    };
    nell.change::<Assembly>(&gearbox, apart);
    let (found, short) = still_open(&mut nell, &gearbox);
    // A sentence that can be read: the first few, and how many more.
    assert!(
        short.ends_with("and 4 things more") && short.matches(';').count() == 3,
        "{short}"
    );
    let says = Blocker::in_words(&found);
    let all: Vec<Check> = found.iter().map(|blocker| blocker.check).collect();
    assert_eq!(
        all,
        [
            Check::Apart,
            Check::Job,
            Check::Finding,
            Check::Reading,
            Check::PartWanted,
            Check::PartStored,
            Check::Assembly
        ]
    );
    for words in [
        "it is itself apart",
        "job 'shim the layshaft' in 'gearbox' is open",
        "finding 'a tooth is chipped' in 'gearbox' (mend) has no end",
        "reading 'end float' in 'gearbox' is above limits",
        "part 'tail bearing' in 'gearbox' is to be replaced, and no other is in",
        "part 'tail bearing' in 'gearbox' is in B14: bearing",
        "assembly 'lid' is not closed",
    ] {
        assert!(says.contains(words), "'{words}' is not in: {says}");
    }
    assert!(
        found.iter().all(|blocker| !blocker.alone),
        "nothing of it wants a reason by itself"
    );
    // One reason for all, one for each: each stays with what it was said of.
    let waive = found
        .iter()
        .map(|blocker| Waive {
            check: Some(blocker.check),
            ..Waive::all_of(
                blocker.about.clone(),
                format!("because of the {}", blocker.check.word()),
            )
        })
        .collect();
    closing(&mut nell, &gearbox, waive).unwrap();
    let view = nell.record.view();
    let mut kept: Vec<String> = view
        .each_standing::<Waiver>()
        .map(|waiver| format!("{} {}", waiver.check().unwrap_or("-"), waiver.why().unwrap()))
        .collect();
    kept.sort();
    assert_eq!(
        kept,
        [
            "- because of the assembly",
            "- because of the job",
            "apart because of the apart",
            "finding because of the finding",
            "part_stored because of the part_stored",
            "part_wanted because of the part_wanted",
            "reading because of the reading"
        ]
    );
    assert_eq!(points(&nell), Vec::new(), "what was waived is no point");
}

#[test]
fn a_full_stop_is_no_reason() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let shim = job(&mut nell, "shim the layshaft", &gearbox);
    for why in ["", " ", ".", "…", "-- !"] {
        let waive = vec![Waive::all_of(Ref::new(Kind::Job, shim.clone()), why)];
        assert_eq!(
            closing(&mut nell, &gearbox, waive),
            Err(Refusal::WhyWanted),
            "'{why}'"
        );
    }
    let waive = vec![Waive::all_of(Ref::new(Kind::Job, shim), "ok")];
    closing(&mut nell, &gearbox, waive).unwrap();
}

#[test]
fn brakes_steering_fuel_and_danger_want_a_reason_each() {
    let (mut nell, _) = pair();
    let car = |device: &mut Device, name: &str, what: &str, how_bad| {
        let of = assembly(device, name);
        finding(device, Ref::new(Kind::Assembly, of.clone()), what, how_bad);
        asked(device, &of)[0].alone
    };
    for (name, what, how_bad, alone) in [
        ("front brakes", "dust shield bent", HowBad::Mend, true),
        ("Steering box", "rubber boot split", HowBad::Mend, true),
        ("engine", "petrol pipe chafed", HowBad::Mend, true),
        ("engine", "mounting split", HowBad::Mend, false),
        ("engine", "mounting split through", HowBad::Danger, true),
    ] {
        assert_eq!(car(&mut nell, name, what, how_bad), alone, "{name}: {what}");
    }
}

#[test]
fn a_reading_is_over_when_it_was_measured_again_or_its_remedy_is_done() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let about = Ref::new(Kind::Assembly, gearbox.clone());
    let limit = nell.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    reading(&mut nell, &about, "0.35 mm", &limit, "2031-03-01");
    assert_eq!(checks(&nell, &gearbox), [Check::Reading]);
    reading(&mut nell, &about, "0.10 mm", &limit, "2031-03-02");
    assert_eq!(checks(&nell, &gearbox), [], "the latest of its point is in");
    let worse = reading(&mut nell, &about, "0.40 mm", &limit, "2031-03-03");
    assert_eq!(
        checks(&nell, &gearbox),
        [Check::Reading],
        "the latest of its point is out"
    );
    let shim = nell.make::<Job>(JobFields {
        what: "shim it".into(),
        assembly: Given::Put(gearbox.clone()),
        remedy_of: Given::Put(worse),
        ..Default::default()
    });
    assert_eq!(checks(&nell, &gearbox), [Check::Job, Check::Reading]);
    put(&mut nell, &shim, JobState::Done);
    close(&mut nell, &gearbox);
}

#[test]
fn what_nothing_judges_takes_no_others_place_and_spaces_do_not_make_one_point_of_two() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let about = Ref::new(Kind::Assembly, gearbox.clone());
    let limit = nell.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    let at = |at: &str, value: &str, limit: Option<&Id>, on: &str| ReadingFields {
        what: "end float".into(),
        about: Given::Put(about.clone()),
        at: at.into(),
        value: value.into(),
        limit: limit.map_or(Given::Leave, |limit| Given::Put(limit.clone())),
        on: Given::Put(day(on)),
        ..Default::default()
    };
    nell.make::<Reading>(at("cylinder 1 1", "0.35 mm", Some(&limit), "2031-03-01"));
    // Neither of these was held against anything, and the third is of another place.
    nell.make::<Reading>(at("cylinder 1 1", "0.35 mm", None, "2031-03-02"));
    nell.make::<Reading>(at("Cylinder 1  1", "5 kg", Some(&limit), "2031-03-03"));
    nell.make::<Reading>(at("cylinder 11", "0.10 mm", Some(&limit), "2031-03-04"));
    assert_eq!(checks(&nell, &gearbox), [Check::Reading]);
    nell.make::<Reading>(at("Cylinder 1  1", "0.10 mm", Some(&limit), "2031-03-05"));
    assert_eq!(checks(&nell, &gearbox), []);
}

/// A year was mistyped: nobody has measured on a day that was not yet, so what is measured after it is the later.
#[test]
fn a_day_that_was_not_yet_silences_no_later_reading() {
    let (mut nell, _) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let about = Ref::new(Kind::Assembly, gearbox.clone());
    let limit = nell.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    reading(&mut nell, &about, "0.10 mm", &limit, "2130-03-01");
    assert_eq!(checks(&nell, &gearbox), []);
    reading(&mut nell, &about, "0.35 mm", &limit, "2030-03-17");
    assert_eq!(checks(&nell, &gearbox), [Check::Reading]);
}

/// Nell closes what is in order; Wilf, who cannot see that, takes away what put it in order: a point, whichever way he does it.
#[test]
fn what_is_undone_apart_from_the_closing_is_a_point() {
    type Made = fn(&mut Device, &Id) -> Ref;
    let danger: Made = |nell, brakes| {
        let cracked = finding(
            nell,
            Ref::new(Kind::Assembly, brakes.clone()),
            "cracked to the cords",
            HowBad::Danger,
        );
        Ref::new(Kind::Finding, cracked)
    };
    let strike = |name: &Ref| Edit::Strike {
        name: name.clone(),
        why: "never so".into(),
        inside: None,
        into: None,
    };
    let take_back = |name: &Ref| Edit::TakeBack { name: name.clone() };
    // The job that mended it is struck out.
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let cracked = danger(&mut nell, &brakes);
    let renew = job(&mut nell, "renew the hose", &brakes);
    put(&mut nell, &renew, JobState::Done);
    end(&mut nell, &cracked.id, &End::MendedBy(renew.clone()));
    meet(&mut nell, &mut wilf);
    close(&mut nell, &brakes);
    wilf.edit(&strike(&Ref::new(Kind::Job, renew)));
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&nell, Rule::ClosedOverFinding).len(), 1, "{:?}", points(&nell));
    // The strike of the finding is taken back.
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "front brakes");
    let about = Ref::new(Kind::Assembly, brakes.clone());
    let cracked = finding(&mut nell, about, "cover perished", HowBad::Mend);
    let cracked = Ref::new(Kind::Finding, cracked);
    nell.edit(&strike(&cracked));
    meet(&mut nell, &mut wilf);
    close(&mut nell, &brakes);
    wilf.edit(&take_back(&cracked));
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&nell, Rule::ClosedOverFinding).len(), 1, "{:?}", points(&nell));
    // The order that brought the new part is struck out.
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let seal = part(&mut nell, "rear seal", &gearbox);
    let replace = PartFields {
        decision: Given::Put(Decision::Replace),
        ..Default::default()
    };
    nell.change::<Part>(&seal, replace);
    let order = nell.make::<Order>(OrderFields {
        what: "rear seal".into(),
        part: Given::Put(seal),
        state: Given::Put(OrderState::In),
        ..Default::default()
    });
    meet(&mut nell, &mut wilf);
    close(&mut nell, &gearbox);
    wilf.edit(&strike(&Ref::new(Kind::Order, order)));
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&nell, Rule::ClosedOverWanted).len(), 1, "{:?}", points(&nell));
}

#[test]
fn a_reason_of_an_earlier_closing_says_nothing_of_this_one() {
    let (mut nell, mut wilf) = pair();
    let axle = assembly(&mut nell, "front axle");
    let about = Ref::new(Kind::Assembly, axle.clone());
    let bent = finding(&mut nell, about, "arm bent", HowBad::Danger);
    let found = Ref::new(Kind::Finding, bent.clone());
    closing(&mut nell, &axle, vec![Waive::all_of(found, "rolled only")]).unwrap();
    let open = AssemblyFields {
        state: Given::Put(AssemblyState::Fitted),
        ..Default::default()
    };
    nell.change::<Assembly>(&axle, open);
    end(&mut nell, &bent, &End::Mended("new arm"));
    meet(&mut nell, &mut wilf);
    close(&mut nell, &axle);
    let back = FindingFields {
        ended: Given::Clear,
        ..Default::default()
    };
    wilf.change::<Finding>(&bent, back);
    meet(&mut nell, &mut wilf);
    assert_eq!(of(&nell, Rule::ClosedOverFinding).len(), 1, "{:?}", points(&nell));
}

#[test]
fn a_part_to_be_replaced_is_in_when_its_order_is_or_its_work_is_done() {
    let (mut nell, _) = pair();
    let replace = PartFields {
        decision: Given::Put(Decision::Replace),
        ..Default::default()
    };
    for by_order in [true, false] {
        let gearbox = assembly(&mut nell, "gearbox");
        let seal = part(&mut nell, "rear seal", &gearbox);
        nell.change::<Part>(&seal, replace.clone());
        assert_eq!(checks(&nell, &gearbox), [Check::PartWanted]);
        if by_order {
            let order = nell.make::<Order>(OrderFields {
                what: "rear seal".into(),
                part: Given::Put(seal.clone()),
                state: Given::Put(OrderState::Ordered),
                ..Default::default()
            });
            assert_eq!(checks(&nell, &gearbox), [Check::PartWanted], "ordered is not in");
            let came = OrderFields {
                state: Given::Put(OrderState::In),
                ..Default::default()
            };
            nell.change::<Order>(&order, came);
        } else {
            let press = nell.make::<Job>(JobFields {
                what: "press the seal in".into(),
                assembly: Given::Put(gearbox.clone()),
                needs_parts: Given::Put(vec![seal]),
                ..Default::default()
            });
            put(&mut nell, &press, JobState::Done);
        }
        close(&mut nell, &gearbox);
    }
}

#[test]
fn a_point_inside_is_asked_about_and_can_be_left_with_a_reason() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    two_numbers(&mut nell, &mut wilf, &gearbox);
    let point = points(&nell).remove(0);
    let (found, says) = still_open(&mut nell, &gearbox);
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].check, found[0].point.clone()),
        (Check::Point, Some(point.id.clone()))
    );
    assert!(
        says.contains("'Two values for 'number on it' of 'tail bearing'' is to be settled"),
        "{says}"
    );
    let waive = vec![Waive {
        check: Some(Check::Point),
        point: Some(point.id.clone()),
        ..Waive::all_of(found[0].about.clone(), "both numbers fit")
    }];
    closing(&mut nell, &gearbox, waive).unwrap();
    let view = nell.record.view();
    let kept: Vec<&str> = view
        .each_standing::<Waiver>()
        .filter_map(|waiver| waiver.check())
        .collect();
    assert_eq!(kept, [format!("point:{}", point.id)]);
}

#[test]
fn what_was_closed_over_before_stays_closed_and_makes_no_point() {
    // A record of before: the finding was known to whoever closed, and no reason stands beside it.
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let chip = finding(
        &mut nell,
        Ref::new(Kind::Assembly, gearbox.clone()),
        "a tooth is chipped",
        HowBad::Mend,
    );
    end(&mut nell, &chip, &End::Mended("stoned smooth"));
    close(&mut nell, &gearbox);
    meet(&mut nell, &mut wilf);
    // Taken back by somebody who sees it closed: a plan, as with jobs.
    let back = FindingFields {
        ended: Given::Clear,
        ..Default::default()
    };
    wilf.change::<Finding>(&chip, back);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), Vec::new());
    assert_eq!(nell.entry(Kind::Assembly, &gearbox).line("state"), Some("closed"));
}

/// Each way of settling each new rule leaves nothing on either device; the way that wants a reason takes no full stop.
#[test]
fn each_newer_rule_is_a_point_where_two_could_not_know_and_is_settled() {
    let newer = RULES.iter().filter(|(rule, _)| {
        matches!(
            rule,
            Rule::ClosedOverFinding
                | Rule::ClosedOverReading
                | Rule::ClosedOverWanted
                | Rule::ClosedOverStored
                | Rule::ClosedOverAssembly
        )
    });
    let mut settled = 0;
    for (rule, made) in newer {
        let (_, point) = with_point(*made, rule.word());
        assert_eq!(point.rule, *rule);
        assert!(point.sides.iter().all(|side| !side.knew_other), "{point:?}");
        for choice in &point.choices {
            let (mut devices, point) = with_point(*made, rule.word());
            let [first, second, _] = &mut devices;
            if choice.wants_why {
                let edit = Edit::Settle {
                    point: point.id.clone(),
                    choice: choice.key.clone(),
                    why: Some(" . ".to_owned()),
                };
                let refused = first.try_edit(&edit).unwrap_err();
                assert!(
                    matches!(refused, EditError::Refused(Refusal::WhyWanted)),
                    "{rule:?}"
                );
            }
            settle(first, &point, &choice.key, Some("we looked"));
            meet(first, second);
            assert_eq!(points(second), Vec::new(), "{rule:?}, {}", choice.key);
            settled += 1;
        }
    }
    assert_eq!(settled, 3 + 2 + 2 + 3 + 2);
}

/// What is unfinished in an assembly, as this test reads the record: the things, not the checks.
fn unfinished(device: &Device, closed: &Id) -> Vec<Ref> {
    let view = device.record.view();
    let inside = |home: Option<&str>| -> bool {
        let mut at = home.map(str::to_owned);
        for _ in 0..10 {
            let Some(id) = at else { return false };
            if id == closed.as_str() {
                return true;
            }
            at = view
                .get(Kind::Assembly, &id.parse().unwrap())
                .and_then(|entry| entry.line("parent"))
                .map(str::to_owned);
        }
        false
    };
    let about = |entry: &Entry| -> Option<String> {
        let about: Ref = entry.line("about")?.parse().unwrap();
        match about.kind {
            Kind::Assembly => Some(about.id.to_string()),
            _ => view.find(&about)?.line("assembly").map(str::to_owned),
        }
    };
    let mut out = Vec::new();
    for entry in view.everything().filter(|entry| entry.stands()) {
        let open = match entry.kind {
            Kind::Job => {
                !matches!(entry.line("state"), Some("done" | "dropped")) && inside(entry.line("assembly"))
            }
            Kind::Finding => {
                wants_mending(view, Finding::of(entry).unwrap()) && inside(about(entry).as_deref())
            }
            Kind::Part => {
                let stored = entry.line("container").is_some();
                (stored || entry.line("decision") == Some("replace")) && inside(entry.line("assembly"))
            }
            Kind::Reading => {
                entry.line("value").is_some_and(|value| value.starts_with("0.35")) && {
                    let later = view.standing(Kind::Reading).any(|other| {
                        // Two who could not know of each other take nobody's place.
                        let knew =
                            |one: &Entry, of: &Entry| device.record.knew(&one.made.change, &of.made.change);
                        let (later, earlier) = (other.line("on"), entry.line("on"));
                        other.id != entry.id
                            && other.line("about") == entry.line("about")
                            && match later == earlier {
                                true => knew(other, entry),
                                false => later > earlier && (knew(other, entry) || knew(entry, other)),
                            }
                    });
                    !later && inside(about(entry).as_deref())
                }
            }
            Kind::Assembly => {
                entry.id != *closed && entry.line("state") != Some("closed") && inside(entry.line("parent"))
            }
            _ => false,
        };
        if open {
            out.push(entry.name());
        }
    }
    out
}

/// The assemblies that a thing is in, from the inside out, up to this one.
fn nested(view: &View, thing: &Entry, up_to: &Id) -> Vec<String> {
    let mut out = Vec::new();
    let mut at = thing.line("assembly").map(str::to_owned);
    while let Some(id) = at.filter(|id| id != up_to.as_str() && out.len() < 10) {
        let up = view.get(Kind::Assembly, &id.parse().unwrap());
        at = up.and_then(|entry| entry.line("parent")).map(str::to_owned);
        out.push(id);
    }
    out
}

/// One random deed.
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn deed(device: &mut Device, limit: &Id, bag: &Id) {
    let rng = &mut device.ids.0;
    let (what, which, pick) = (rng.random_range(0..12), rng.next_u64(), rng.next_u64());
    let one = |device: &Device, kind: Kind| -> Option<Id> {
        let all: Vec<Id> = device
            .record
            .view()
            .standing(kind)
            .map(|entry| entry.id.clone())
            .collect();
        (!all.is_empty()).then(|| all[usize::try_from(which).unwrap_or(0) % all.len()].clone())
    };
    let Some(home) = one(device, Kind::Assembly) else {
        return;
    };
    let here = Ref::new(Kind::Assembly, home.clone());
    let even = pick % 2 == 0;
    match what {
        0 => drop(job(device, "a job", &home)),
        1 => {
            let how_bad = if even { HowBad::Danger } else { HowBad::Noted };
            finding(device, here, "a finding", how_bad);
        }
        2 => drop(part(device, "a part", &home)),
        3 => {
            let (value, day) = if even {
                ("0.35 mm", "2031-03-01")
            } else {
                ("0.10 mm", "2031-03-02")
            };
            reading(device, &here, value, limit, day);
        }
        4 | 5 => {
            if let Some(id) = one(device, Kind::Job) {
                put(
                    device,
                    &id,
                    if what == 4 || even {
                        JobState::Done
                    } else {
                        JobState::Open
                    },
                );
            }
        }
        6 | 7 => {
            let by = one(device, Kind::Job);
            if let Some(id) = one(device, Kind::Finding) {
                match by.filter(|_| even) {
                    Some(job) => end(device, &id, &End::MendedBy(job)),
                    None => end(device, &id, &End::LivedWith("it will do")),
                }
            }
        }
        8 => {
            if let Some(id) = one(device, Kind::Part) {
                let fields = PartFields {
                    container: if even {
                        Given::Put(bag.to_string())
                    } else {
                        Given::Clear
                    },
                    ..Default::default()
                };
                device.change::<Part>(&id, fields);
            }
        }
        9 => {
            if let Some(id) = one(device, Kind::Part) {
                let decision = if even { Decision::Replace } else { Decision::Reuse };
                let fields = PartFields {
                    decision: Given::Put(decision),
                    ..Default::default()
                };
                device.change::<Part>(&id, fields);
            }
        }
        _ => {
            let state = if even {
                AssemblyState::Apart
            } else {
                AssemblyState::Fitted
            };
            let fields = AssemblyFields {
                state: Given::Put(state),
                ..Default::default()
            };
            device.change::<Assembly>(&home, fields);
        }
    }
}

fn nest(device: &mut Device) -> [Id; 3] {
    let engine = assembly(device, "engine");
    let head = inner(device, "head", &engine);
    let rockers = inner(device, "rockers", &head);
    [engine, head, rockers]
}

fn limit_and_bag(device: &mut Device) -> (Id, Id) {
    let limit = device.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    let bag = device.make::<Container>(ContainerFields {
        code: "B14".into(),
        ..Default::default()
    });
    (limit, bag)
}

#[test]
fn a_closing_without_waivers_leaves_nothing_unfinished_inside() {
    let seed = seeded_by("a closing without waivers");
    let (mut closed, mut refused) = (0, 0);
    for round in 0..120 {
        let mut device = Device::first("nell", seed.wrapping_add(round));
        let [engine, head, rockers] = nest(&mut device);
        let (limit, bag) = limit_and_bag(&mut device);
        for _ in 0..16 {
            deed(&mut device, &limit, &bag);
            for assembly in [&rockers, &head, &engine] {
                let before = unfinished(&device, assembly);
                let state = device
                    .entry(Kind::Assembly, assembly)
                    .line("state")
                    .map(str::to_owned);
                match closing(&mut device, assembly, Vec::new()) {
                    Ok(()) => {
                        closed += 1;
                        assert_eq!(before, [], "seed {seed}, round {round}: closed over it");
                        assert_ne!(state.as_deref(), Some("apart"), "seed {seed}, round {round}");
                    }
                    Err(Refusal::AlreadyClosed(_)) => {}
                    Err(Refusal::StillOpen { blockers, .. }) => {
                        refused += 1;
                        let about: Vec<&Ref> = blockers.iter().map(|blocker| &blocker.about).collect();
                        for name in &before {
                            // A job that is done puts in the part it is for; nothing else here is over by another.
                            assert!(
                                about.contains(&name),
                                "seed {seed}, round {round}: {name} in {blockers:?}"
                            );
                        }
                    }
                    Err(other) => panic!("seed {seed}, round {round}: {other}"),
                }
            }
        }
    }
    assert!(
        closed > 50 && refused > 200,
        "seed {seed}: {closed} closed, {refused} refused"
    );
}

#[test]
fn what_two_closed_over_apart_is_a_point_and_nothing_else_is() {
    let seed = seeded_by("closed over apart");
    let (mut pointed, mut planned) = (0, 0);
    for round in 0..80 {
        let mut nell = Device::first("nell", seed.wrapping_add(2 * round));
        let [engine, head, rockers] = nest(&mut nell);
        let (limit, bag) = limit_and_bag(&mut nell);
        let mut wilf = Device::joining("wilf", seed.wrapping_add(2 * round + 1), &nell, None);
        meet(&mut nell, &mut wilf);
        for _ in 0..3 {
            for _ in 0..4 {
                for device in [&mut nell, &mut wilf] {
                    deed(device, &limit, &bag);
                    for assembly in [&rockers, &head, &engine] {
                        drop(closing(device, assembly, Vec::new()));
                    }
                }
            }
            meet(&mut nell, &mut wilf);
        }
        let found: Vec<Point> = points(&nell);
        assert_eq!(found, points(&wilf), "seed {seed}, round {round}");
        let view = nell.record.view();
        for assembly in [&rockers, &head, &engine] {
            let entry = nell.entry(Kind::Assembly, assembly);
            if entry.line("state") != Some("closed") {
                continue;
            }
            let closing = &entry.fields["state"].claims()[0].stamp.change;
            for name in unfinished(&nell, assembly) {
                let thing = view.find(&name).unwrap();
                // Of jobs only the innermost closed assembly is asked about, as the first programs did.
                let closed_already = |home: &str| {
                    let home = view.get(Kind::Assembly, &home.parse().unwrap());
                    home.is_some_and(|home| home.id != *assembly && home.line("state") == Some("closed"))
                };
                if thing.kind == Kind::Job
                    && nested(view, thing, assembly)
                        .iter()
                        .any(|home| closed_already(home))
                {
                    continue;
                }
                let knew = |change| nell.record.ledger().knew(change, closing);
                let stamps = || {
                    thing
                        .fields
                        .values()
                        .flat_map(|held| held.claims())
                        .map(|claim| &claim.stamp)
                };
                let asked = found
                    .iter()
                    .any(|point| point.rule.word().starts_with("closed_over") && point.about.contains(&name));
                // The innermost closed assembly is the one that is asked about.
                let after = stamps().any(|stamp| knew(&stamp.change)) || knew(&thing.made.change);
                let through_a_job = thing.kind == Kind::Finding && thing.line("ended").is_some();
                let limits_or_two = view.standing(Kind::Reading).count() > 1 && thing.kind == Kind::Reading;
                pointed += usize::from(asked);
                planned += usize::from(after);
                assert!(
                    asked || after || through_a_job || limits_or_two,
                    "seed {seed}, round {round}: {name} is unfinished in what was closed, and nobody is asked: {found:?}"
                );
            }
        }
        // And a point of these rules stands only where neither knew the other.
        for point in found.iter().filter(|point| newer(point.rule)) {
            assert!(
                point.sides.iter().all(|side| !side.knew_other),
                "seed {seed}: {point:?}"
            );
        }
    }
    assert!(
        pointed > 5 && planned > 20,
        "seed {seed}: {pointed} asked about, {planned} plans"
    );
}

fn newer(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::ClosedOverFinding
            | Rule::ClosedOverReading
            | Rule::ClosedOverWanted
            | Rule::ClosedOverStored
            | Rule::ClosedOverAssembly
    )
}

/// A seed of today, told for whoever must replay it.
fn seeded_by(what: &str) -> u64 {
    let seed = std::env::var("WITNESSMARK_SEED")
        .ok()
        .and_then(|seed| seed.parse().ok())
        .unwrap_or_else(|| seeded(0).0.next_u64() ^ rand::rng().next_u64());
    println!("{what}: WITNESSMARK_SEED={seed}");
    seed
}

#[test]
fn the_closing_of_a_point_of_two_values_is_not_asked_of_a_neighbour() {
    let (mut nell, mut wilf) = pair();
    let (gearbox, clutch) = (assembly(&mut nell, "gearbox"), assembly(&mut nell, "clutch"));
    two_numbers(&mut nell, &mut wilf, &gearbox);
    assert_eq!(of(&nell, Rule::TwoValues).len(), 1);
    close(&mut nell, &clutch);
}

/// What is in only for now is told apart from what was left out on purpose: the one is asked about at closing, the other is not.
#[test]
fn a_stand_in_and_an_aid_stand_in_the_way_until_they_are_out() {
    let (mut nell, mut wilf) = pair();
    let brakes = assembly(&mut nell, "fuel line");
    let hose = part(&mut nell, "temporary hose", &brakes);
    let clip = part(&mut nell, "spare clip", &brakes);
    let says = |device: &mut Device, part: &Id, differs: Differs, why: &str, lies: &str| {
        let fields = PartFields {
            differs: Given::Put(differs),
            differs_why: why.into(),
            container: lies.into(),
            ..Default::default()
        };
        device.change::<Part>(part, fields);
    };
    says(
        &mut nell,
        &hose,
        Differs::StandIn,
        "until the right one comes",
        "place:",
    );
    says(&mut nell, &clip, Differs::LeftOut, "this year has none", "off:");
    let (found, short) = still_open(&mut nell, &brakes);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].check, found[0].alone), (Check::PartWanted, true));
    assert!(
        short.contains("part 'temporary hose' in 'fuel line' is a stand-in: until the right one comes"),
        "{short}"
    );
    // A rag that is in is asked about as well; taken out, neither is looked for.
    says(&mut nell, &hose, Differs::Aid, "rag in the port", "place:");
    assert_eq!(checks(&nell, &brakes), [Check::PartWanted]);
    says(&mut nell, &hose, Differs::Aid, "rag in the port", "off:");
    assert_eq!(checks(&nell, &brakes), []);
    says(&mut nell, &hose, Differs::AsMade, "", "place:");
    assert_eq!(checks(&nell, &brakes), []);
    // Put in by one while the other closed it: a point, told as what it is.
    meet(&mut nell, &mut wilf);
    close(&mut nell, &brakes);
    says(&mut wilf, &hose, Differs::StandIn, "until Friday", "place:");
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), points(&wilf));
    assert_eq!(of(&nell, Rule::ClosedOverWanted).len(), 1);
}

/// Measured again by somebody who had the earlier reading before them, that one is over. Two that could not know of each other stay, the
/// earlier as well as the later, whatever their days say.
#[test]
fn only_who_knew_of_a_reading_takes_its_place() {
    let (mut nell, mut wilf) = pair();
    let gearbox = assembly(&mut nell, "gearbox");
    let about = Ref::new(Kind::Assembly, gearbox.clone());
    let limit = nell.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    meet(&mut nell, &mut wilf);
    let out = reading(&mut nell, &about, "0.35 mm", &limit, "2030-03-01");
    let apart = reading(&mut wilf, &about, "0.10 mm", &limit, "2030-03-02");
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        assert_eq!(
            checks(device, &gearbox),
            [Check::Reading],
            "neither knew of the other"
        );
        let judge = Judge::of(device.record.view());
        assert!(measured_again::since(&judge, device.entry(Kind::Reading, &out)).is_none());
        assert!(!remedy::of_reading(&judge, device.entry(Kind::Reading, &out)).is_empty());
    }
    // Worded better, or corrected, by one who has both by now, nothing was measured again: both stay.
    for fields in [
        ReadingFields {
            what: "End float".into(),
            ..Default::default()
        },
        ReadingFields {
            value: "0.36 mm".into(),
            ..Default::default()
        },
    ] {
        wilf.change::<Reading>(&out, fields);
        assert_eq!(checks(&wilf, &gearbox), [Check::Reading]);
    }
    // Measured by one who knew both: both are over, and what was proposed for the first goes.
    let both = reading(&mut wilf, &about, "0.12 mm", &limit, "2030-03-02");
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        assert_eq!(checks(device, &gearbox), []);
        let judge = Judge::of(device.record.view());
        for earlier in [&out, &apart] {
            let since = measured_again::since(&judge, device.entry(Kind::Reading, earlier));
            assert_eq!(since.map(|one| &one.id), Some(&both));
        }
        assert_eq!(remedy::of_reading(&judge, device.entry(Kind::Reading, &out)), []);
    }
    // Corrected by one who could not know of that measurement, the first says something else than was known.
    let first = reading(&mut nell, &about, "0.11 mm", &limit, "2030-03-05");
    meet(&mut nell, &mut wilf);
    reading(&mut wilf, &about, "0.13 mm", &limit, "2030-03-06");
    let worse = ReadingFields {
        value: "0.41 mm".into(),
        ..Default::default()
    };
    nell.change::<Reading>(&first, worse);
    meet(&mut nell, &mut wilf);
    assert_eq!(checks(&wilf, &gearbox), [Check::Reading]);
    // Corrected again by one who knows of it, it is no other measurement: it takes one to end it.
    let corrected = ReadingFields {
        value: "0.40 mm".into(),
        ..Default::default()
    };
    nell.change::<Reading>(&first, corrected);
    assert_eq!(checks(&nell, &gearbox), [Check::Reading]);
    reading(&mut nell, &about, "0.14 mm", &limit, "2030-03-07");
    assert_eq!(checks(&nell, &gearbox), []);
    // What was measured long ago and is entered late is the earlier all the same: its writer knew of the later.
    reading(&mut nell, &about, "0.50 mm", &limit, "2030-02-01");
    assert_eq!(checks(&nell, &gearbox), []);
    // What a writer knew is the program's to say.
    let claimed = ReadingFields {
        knew_of: "none".into(),
        ..Default::default()
    };
    assert!(
        nell.try_edit(&Edit::change::<Reading>(first, &claimed).unwrap())
            .is_err()
    );
}

/// What is on for trial comes off again: closing asks for it, and whoever takes it off has ended the trial.
#[test]
fn what_is_on_for_trial_stands_in_the_way_until_it_is_off_or_stays() {
    let (mut nell, mut wilf) = pair();
    let body = assembly(&mut nell, "body");
    let wing = nell.make::<Assembly>(AssemblyFields {
        name: "front wing".into(),
        parent: Given::Put(body.clone()),
        for_trial: "to see how the gap runs".into(),
        ..Default::default()
    });
    let stay = part(&mut nell, "wing stay", &wing);
    let lies = |device: &mut Device, kept: &str| {
        let fields = PartFields {
            container: kept.into(),
            ..Default::default()
        };
        device.change::<Part>(&stay, fields);
    };
    let stands = |device: &mut Device, state: AssemblyState| {
        let fields = AssemblyFields {
            state: Given::Put(state),
            ..Default::default()
        };
        device.change::<Assembly>(&wing, fields);
    };
    let whereabouts = |device: &Device| {
        let view = device.record.view();
        record::lies::whereabouts(view, view.one::<Part>(&stay).unwrap()).said
    };
    assert_eq!(
        whereabouts(&nell),
        "In the car: front wing; which is on for trial: to see how the gap runs"
    );
    let (found, short) = still_open(&mut nell, &wing);
    assert_eq!((found.len(), found[0].check), (1, Check::Apart));
    assert!(
        short.contains("it is itself on for trial: to see how the gap runs"),
        "{short}"
    );
    // Taken off, the trial is over, and it is fitted for good the next time.
    stands(&mut nell, AssemblyState::Off);
    stands(&mut nell, AssemblyState::Fitted);
    assert_eq!(checks(&nell, &wing), []);
    assert_eq!(whereabouts(&nell), "In the car: front wing");
    // A part may be on for trial as well: out of the car it is in nobody's way.
    lies(&mut nell, "trial:holes do not line up yet");
    assert_eq!(
        whereabouts(&nell),
        "In the car: front wing, on for trial: holes do not line up yet"
    );
    assert_eq!(checks(&nell, &wing), [Check::PartWanted]);
    lies(&mut nell, "place:");
    assert_eq!(checks(&nell, &wing), []);
    // Put on for trial by one while the other closed it: a point, told as what it is.
    meet(&mut nell, &mut wilf);
    close(&mut nell, &wing);
    lies(&mut wilf, "trial:until it is painted");
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&nell), points(&wilf));
    assert_eq!(of(&nell, Rule::ClosedOverWanted).len(), 1);
}

/// Where nothing belongs, nothing is looked for.
#[test]
fn an_empty_place_is_a_way_round_and_nothing_is_missed_there() {
    let (mut nell, _) = pair();
    let shaft = assembly(&mut nell, "layshaft");
    let place = part(&mut nell, "second washer", &shaft);
    let pieces = AssemblyFields {
        state: Given::Put(AssemblyState::Apart),
        ..Default::default()
    };
    nell.change::<Assembly>(&shaft, pieces);
    assert_eq!(checks(&nell, &shaft), [Check::Apart, Check::PartStored]);
    let way = PartFields {
        way_round: "Nothing belongs here.".into(),
        ..Default::default()
    };
    nell.change::<Part>(&place, way);
    assert_eq!(checks(&nell, &shaft), [Check::Apart]);
    let view = nell.record.view();
    let found = record::lies::whereabouts(view, view.one::<Part>(&place).unwrap());
    assert_eq!(
        (found.said.as_str(), found.to_seek),
        ("Nothing belongs here", false)
    );
}
