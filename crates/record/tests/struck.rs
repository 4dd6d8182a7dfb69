//! Struck out with something inside: what stands in an assembly or a container never goes out of sight with it. Whoever strikes says
//! what becomes of it, what is left stops the close-up around it, and what the other did there meanwhile is a point.
//! Length: every story is about the one water pump with one of everything in it, made once.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::{Becomes, Blocker, EditError, Waive, blockers};
use record::entities::*;
use record::inside::Inside;
use record::rules::Rule;
use record::words::JobState;
use record::{Edit, Given, Id, Kind, Ref, Refusal};
use settling::{assembly, job, of, pair, points, settle};
use workshop::{Device, day, meet};

/// A water pump in an engine, with one of everything in it.
struct Pump {
    engine: Id,
    pump: Id,
    impeller: Id,
    housing: Id,
    job: Id,
    hold: Id,
    finding: Id,
    reading: Id,
    on_part: Id,
}

fn within(device: &mut Device, name: &str, parent: Option<&Id>) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: name.into(),
        parent: parent.map_or(Given::Leave, |id| Given::Put(id.clone())),
        ..Default::default()
    })
}

fn found(device: &mut Device, about: Ref) -> Id {
    device.make::<Finding>(FindingFields {
        about: Given::Put(about),
        what: "a groove where the seal runs".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    })
}

fn pump(device: &mut Device, around: bool) -> Pump {
    let engine = assembly(device, "engine");
    let pump = within(device, "water pump", around.then_some(&engine));
    let about = Ref::new(Kind::Assembly, pump.clone());
    let impeller = device.make::<Part>(PartFields {
        name: "impeller".into(),
        assembly: Given::Put(pump.clone()),
        ..Default::default()
    });
    Pump {
        housing: within(device, "housing", Some(&pump)),
        job: job(device, "press the seal in", &pump),
        hold: device.make::<HoldPoint>(HoldPointFields {
            what: "the drain hole is clear".into(),
            assembly: Given::Put(pump.clone()),
            how: Given::Put(record::words::How::Seen),
            ..Default::default()
        }),
        finding: found(device, about.clone()),
        reading: device.make::<Reading>(ReadingFields {
            what: "end float".into(),
            about: Given::Put(about),
            value: "0.30 mm".into(),
            on: Given::Put(day("2030-03-17")),
            ..Default::default()
        }),
        on_part: found(device, Ref::new(Kind::Part, impeller.clone())),
        engine,
        pump,
        impeller,
    }
}

fn strike(name: &Ref, inside: Option<Becomes>, into: Option<&Id>) -> Edit {
    Edit::Strike {
        name: name.clone(),
        why: "it is the spare engine's".into(),
        inside,
        into: into.cloned(),
    }
}

fn refused(device: &mut Device, edit: &Edit) -> Refusal {
    match device.try_edit(edit) {
        Err(EditError::Refused(refusal)) => refusal,
        other => panic!("not refused: {other:?}"),
    }
}

fn line(device: &Device, kind: Kind, id: &Id, field: &str) -> String {
    device.entry(kind, id).line(field).unwrap_or_default().to_owned()
}

#[test]
fn striking_an_assembly_asks_what_becomes_of_what_is_in_it() {
    let (mut parent, _) = pair();
    let it = pump(&mut parent, true);
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    let before = parent.record.digest();
    let refusal = refused(&mut parent, &strike(&name, None, None));
    assert_eq!(refusal.code(), "stands_inside");
    assert_eq!(
        refusal.to_string(),
        "'water pump' has 1 assembly, 1 part, 1 job, 1 hold point, 2 findings and 1 reading in it; say what becomes of \
         that: move_up, strike_too, leave"
    );
    assert_eq!(parent.record.digest(), before);
    // An empty one is struck out without a question, as before.
    parent.edit(&Edit::strike(
        Ref::new(Kind::Assembly, it.housing.clone()),
        "there is none",
    ));
}

#[test]
fn moved_up_it_stands_in_what_lies_around() {
    let (mut parent, mut child) = pair();
    let it = pump(&mut parent, true);
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    let written = parent.edit(&strike(&name, Some(Becomes::MoveUp), None));
    assert_eq!(written.len(), 1, "one act is one change");
    assert!(written[0].message.contains("'water pump'") && written[0].message.contains("'engine'"));
    meet(&mut parent, &mut child);
    let engine = it.engine.as_str();
    for (kind, id, field) in [
        (Kind::Part, &it.impeller, "assembly"),
        (Kind::Assembly, &it.housing, "parent"),
        (Kind::Job, &it.job, "assembly"),
        (Kind::HoldPoint, &it.hold, "assembly"),
    ] {
        assert_eq!(line(&child, kind, id, field), engine, "{kind}");
    }
    let about = Ref::new(Kind::Assembly, it.engine.clone()).to_string();
    assert_eq!(line(&child, Kind::Finding, &it.finding, "about"), about);
    assert_eq!(line(&child, Kind::Reading, &it.reading, "about"), about);
    // What is about a part goes where the part goes.
    assert_eq!(
        line(&child, Kind::Finding, &it.on_part, "about"),
        Ref::new(Kind::Part, it.impeller.clone()).to_string()
    );
    assert!(!child.entry(Kind::Assembly, &it.pump).stands());
    // The job, the hold point, and the housing that is not closed.
    assert_eq!(blockers(child.record.view(), &[], &it.engine).len(), 3);
}

#[test]
fn at_the_top_jobs_and_readings_need_to_be_told_where_to() {
    let (mut parent, _) = pair();
    let it = pump(&mut parent, false);
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    let refusal = refused(&mut parent, &strike(&name, Some(Becomes::MoveUp), None));
    assert_eq!(refusal.code(), "nowhere_to_move");
    assert!(
        refusal.to_string().contains("1 job, 1 hold point and 1 reading"),
        "{refusal}"
    );
    // Not into itself, and not into what lies in it.
    for wrong in [&it.pump, &it.housing] {
        let refusal = refused(&mut parent, &strike(&name, Some(Becomes::MoveUp), Some(wrong)));
        assert_eq!(refusal.code(), "circle");
    }
    parent.edit(&strike(&name, Some(Becomes::MoveUp), Some(&it.engine)));
    assert_eq!(line(&parent, Kind::Job, &it.job, "assembly"), it.engine.as_str());
}

#[test]
fn struck_out_with_it_everything_comes_back_with_it() {
    let (mut parent, mut child) = pair();
    let it = pump(&mut parent, true);
    let old = found(&mut parent, Ref::new(Kind::Part, it.impeller.clone()));
    parent.edit(&Edit::strike(Ref::new(Kind::Finding, old.clone()), "it was dirt"));
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    let written = parent.edit(&strike(&name, Some(Becomes::StrikeToo), None));
    assert_eq!(written.len(), 1);
    meet(&mut parent, &mut child);
    let all = [
        (Kind::Assembly, &it.pump),
        (Kind::Assembly, &it.housing),
        (Kind::Part, &it.impeller),
        (Kind::Job, &it.job),
        (Kind::HoldPoint, &it.hold),
        (Kind::Finding, &it.finding),
        (Kind::Finding, &it.on_part),
        (Kind::Reading, &it.reading),
    ];
    assert!(all.iter().all(|(kind, id)| !child.entry(*kind, id).stands()));
    assert_eq!(blockers(child.record.view(), &[], &it.engine), Vec::new());
    child.edit(&Edit::TakeBack { name });
    assert!(all.iter().all(|(kind, id)| child.entry(*kind, id).stands()));
    assert!(
        !child.entry(Kind::Finding, &old).stands(),
        "what was struck before is another's"
    );
}

#[test]
fn what_is_left_stops_the_close_up_around_it_until_it_is_cleared() {
    let (mut parent, _) = pair();
    let it = pump(&mut parent, true);
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    parent.edit(&strike(&name, Some(Becomes::Leave), None));
    let close = Edit::CloseUp {
        assembly: it.engine.clone(),
        waive: Vec::new(),
    };
    assert_eq!(refused(&mut parent, &close).code(), "still_open");
    let says = Blocker::in_words(&blockers(parent.record.view(), &[], &it.engine));
    for words in [
        "job 'press the seal in' in 'water pump' is open",
        "hold point 'the drain hole is clear' in 'water pump' is open",
        "assembly 'water pump' in 'engine' was struck out with something left in it",
        "assembly 'housing' is not closed",
    ] {
        assert!(says.contains(words), "{says}");
    }
    // Each of it can be waived, the struck assembly by its own name.
    let waive: Vec<Waive> = blockers(parent.record.view(), &[], &it.engine)
        .into_iter()
        .map(|blocker| Waive::all_of(blocker.about, "the spare engine is on the bench beside it"))
        .collect();
    assert_eq!(waive.len(), 4);
    let mut closing = Device::joining("closing", 9, &parent, None);
    closing.edit(&Edit::CloseUp {
        assembly: it.engine.clone(),
        waive,
    });
    assert_eq!(points(&closing), Vec::new());

    let inside = Inside::of(parent.record.view());
    let left = inside.left_in(parent.entry(Kind::Assembly, &it.pump));
    assert_eq!(left.len(), 6, "all but what is on the part: {left:?}");
    let clear = |inside| Edit::ClearStruck {
        name: name.clone(),
        inside,
        into: None,
        why: None,
    };
    assert_eq!(
        refused(&mut parent, &clear(Becomes::Leave)).code(),
        "no_such_choice"
    );
    parent.edit(&clear(Becomes::MoveUp));
    assert_eq!(line(&parent, Kind::Job, &it.job, "assembly"), it.engine.as_str());
    assert_eq!(
        refused(&mut parent, &clear(Becomes::MoveUp)).code(),
        "nothing_left"
    );
}

#[test]
fn a_bag_is_not_struck_with_its_parts_out_of_sight() {
    let (mut parent, _) = pair();
    let bag = |device: &mut Device, code: &str, inside: Option<&Id>| {
        device.make::<Container>(ContainerFields {
            code: code.into(),
            inside: inside.map_or(Given::Leave, |id| Given::Put(id.clone())),
            ..Default::default()
        })
    };
    for (becomes, left) in [(Becomes::MoveUp, 0), (Becomes::StrikeToo, 0), (Becomes::Leave, 3)] {
        let shelf = bag(&mut parent, "S1", None);
        let bin = bag(&mut parent, "B14", Some(&shelf));
        let inner = bag(&mut parent, "B14a", Some(&bin));
        let part = parent.make::<Part>(PartFields {
            name: "valve spring".into(),
            container: Given::Put(bin.to_string()),
            ..Default::default()
        });
        let gearbox = parent.make::<Assembly>(AssemblyFields {
            name: "gearbox".into(),
            kept_in: Given::Put(bin.clone()),
            ..Default::default()
        });
        let name = Ref::new(Kind::Container, bin.clone());
        let refusal = refused(&mut parent, &strike(&name, None, None));
        assert!(
            refusal.to_string().contains("1 assembly, 1 part and 1 container"),
            "{refusal}"
        );
        parent.edit(&strike(&name, Some(becomes), None));
        let all = Inside::of(parent.record.view());
        assert_eq!(all.left_in(parent.entry(Kind::Container, &bin)).len(), left);
        if becomes == Becomes::MoveUp {
            for (kind, id, field) in [
                (Kind::Part, &part, "container"),
                (Kind::Container, &inner, "inside"),
                (Kind::Assembly, &gearbox, "kept_in"),
            ] {
                assert_eq!(line(&parent, kind, id, field), shelf.as_str());
            }
        }
        // At the top there is no place that they must have: they lie nowhere in particular.
        if becomes == Becomes::Leave {
            parent.edit(&Edit::ClearStruck {
                name,
                inside: Becomes::MoveUp,
                into: None,
                why: None,
            });
            assert_eq!(line(&parent, Kind::Part, &part, "container"), shelf.as_str());
        }
    }
}

/// The two apart: one strikes the pump with everything in it, the other, who cannot know, works there.
fn apart(inside: Becomes) -> (Device, Device, Pump, Id) {
    let (mut parent, mut child) = pair();
    let it = pump(&mut parent, true);
    meet(&mut parent, &mut child);
    parent.edit(&strike(
        &Ref::new(Kind::Assembly, it.pump.clone()),
        Some(inside),
        None,
    ));
    child.change::<Job>(
        &it.job,
        JobFields {
            state: Given::Put(JobState::Done),
            ..Default::default()
        },
    );
    let fresh = job(&mut child, "fit the impeller", &it.pump);
    meet(&mut parent, &mut child);
    (parent, child, it, fresh)
}

/// [Shown on the program before this rule: neither on the car's page nor among the points.]
#[test]
fn struck_here_and_worked_on_there_is_a_point_with_four_ways_on() {
    for becomes in [Becomes::StrikeToo, Becomes::Leave] {
        let keys = ["move_up", "take_back", "strike_too", "leave"];
        for key in keys {
            let (mut parent, mut child, it, fresh) = apart(becomes);
            let found = points(&parent);
            assert_eq!(found, points(&child));
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].rule, Rule::StruckWorkedOn);
            assert!(
                found[0].title.starts_with("'water pump' was struck out while"),
                "{}",
                found[0].title
            );
            let offered: Vec<&str> = found[0]
                .choices
                .iter()
                .map(|choice| choice.key.as_str())
                .collect();
            assert_eq!(offered, keys);
            let shown: Vec<_> = found[0]
                .sides
                .iter()
                .map(|side| (side.about.id.clone(), side.title.clone()))
                .collect();
            assert!(shown.iter().any(|(id, _)| *id == it.job) && shown.iter().any(|(id, _)| *id == fresh));

            settle(&mut child, &found[0], key, None);
            meet(&mut parent, &mut child);
            assert_eq!(points(&parent), Vec::new(), "{becomes:?}, {key}");
            let stands = |kind, id| parent.entry(kind, id).stands();
            let place = line(&parent, Kind::Job, &fresh, "assembly");
            match key {
                "move_up" => {
                    assert!(
                        !stands(Kind::Assembly, &it.pump)
                            && stands(Kind::Job, &fresh)
                            && stands(Kind::Job, &it.job)
                    );
                    assert_eq!(place, it.engine.as_str());
                    assert_eq!(line(&parent, Kind::Job, &it.job, "assembly"), it.engine.as_str());
                    assert_eq!(line(&parent, Kind::Job, &it.job, "state"), "done");
                }
                "take_back" => {
                    assert!(
                        stands(Kind::Assembly, &it.pump)
                            && stands(Kind::Job, &it.job)
                            && stands(Kind::Reading, &it.reading)
                    );
                    assert_eq!(place, it.pump.as_str());
                }
                "strike_too" => assert!(!stands(Kind::Job, &fresh) && !stands(Kind::Job, &it.job)),
                _ => {
                    assert!(stands(Kind::Job, &fresh));
                    assert!(!blockers(parent.record.view(), &[], &it.engine).is_empty());
                }
            }
            // What is done there later, by somebody who knows of it, is no contradiction.
            if key == "leave" {
                parent.change::<Job>(
                    &fresh,
                    JobFields {
                        state: Given::Put(JobState::Done),
                        ..Default::default()
                    },
                );
                assert_eq!(points(&parent), Vec::new());
            }
        }
    }
}

#[test]
fn who_knew_of_the_strike_or_of_the_work_contradicts_nobody() {
    let (mut parent, mut child) = pair();
    let it = pump(&mut parent, true);
    meet(&mut parent, &mut child);
    child.change::<Job>(
        &it.job,
        JobFields {
            state: Given::Put(JobState::Done),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    parent.edit(&strike(
        &Ref::new(Kind::Assembly, it.pump.clone()),
        Some(Becomes::Leave),
        None,
    ));
    meet(&mut parent, &mut child);
    child.change::<Job>(
        &it.job,
        JobFields {
            outcome: "in the spare engine".into(),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn moved_up_meanwhile_what_was_worked_on_is_where_it_belongs() {
    let (mut parent, mut child, it, fresh) = apart(Becomes::MoveUp);
    // The job that was there moved up and is done; the one that she wrote into it was left in the struck pump.
    assert_eq!(line(&parent, Kind::Job, &it.job, "assembly"), it.engine.as_str());
    assert_eq!(line(&parent, Kind::Job, &it.job, "state"), "done");
    let found = of(&child, Rule::StruckWorkedOn);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].sides.len(), 2);
    assert_eq!(found[0].sides[1].about.id, fresh);
    settle(&mut parent, &found[0], "move_up", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    assert_eq!(line(&child, Kind::Job, &fresh, "assembly"), it.engine.as_str());
}

#[test]
fn a_part_put_into_a_bag_that_was_thrown_away_is_a_point_and_work_on_it_is_none() {
    let (mut parent, mut child) = pair();
    let bag = parent.make::<Container>(ContainerFields {
        code: "B14".into(),
        ..Default::default()
    });
    let [in_it, loose] = ["valve spring", "collet"].map(|name| {
        parent.make::<Part>(PartFields {
            name: name.into(),
            container: if name == "collet" {
                Given::Leave
            } else {
                Given::Put(bag.to_string())
            },
            ..Default::default()
        })
    });
    meet(&mut parent, &mut child);
    parent.edit(&strike(
        &Ref::new(Kind::Container, bag.clone()),
        Some(Becomes::Leave),
        None,
    ));
    child.change::<Part>(
        &in_it,
        PartFields {
            number: "AX 12".into(),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    assert_eq!(
        points(&parent),
        Vec::new(),
        "a number on a part says nothing of its bag"
    );
    let mut third = Device::joining("third", 7, &parent, None);
    meet(&mut parent, &mut third);
    parent.edit(&Edit::TakeBack {
        name: Ref::new(Kind::Container, bag.clone()),
    });
    meet(&mut parent, &mut third);
    parent.edit(&strike(
        &Ref::new(Kind::Container, bag.clone()),
        Some(Becomes::MoveUp),
        None,
    ));
    third.change::<Part>(
        &loose,
        PartFields {
            container: Given::Put(bag.to_string()),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut third);
    let found = points(&third);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, Rule::StruckWorkedOn);
    settle(&mut third, &found[0], "move_up", None);
    meet(&mut parent, &mut third);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(line(&parent, Kind::Part, &loose, "container"), "");
    assert_eq!(line(&parent, Kind::Part, &in_it, "container"), "");
}

/// [Shown on the program before this: no point, and what was written stood on no page.] A text comes with its entry: what is written
/// in it later is no value of its own.
#[test]
fn a_note_on_what_the_other_struck_is_work_on_it() {
    let strikes: [fn(&Pump) -> Ref; 2] = [
        |it| Ref::new(Kind::Part, it.impeller.clone()),
        |it| Ref::new(Kind::Assembly, it.pump.clone()),
    ];
    for (at, struck) in strikes.iter().enumerate() {
        let (mut parent, mut child) = pair();
        let it = pump(&mut parent, true);
        meet(&mut parent, &mut child);
        let inside = (at == 1).then_some(Becomes::StrikeToo);
        parent.edit(&strike(&struck(&it), inside, None));
        child.change::<Part>(
            &it.impeller,
            PartFields {
                note: "Balanced; two vanes were bent.".into(),
                ..Default::default()
            },
        );
        meet(&mut parent, &mut child);
        let found = of(&parent, Rule::StruckWorkedOn);
        assert_eq!(found, of(&child, Rule::StruckWorkedOn));
        assert_eq!(found.len(), 1, "{found:?}");
        let side = &found[0].sides[1];
        assert_eq!(
            (side.about.clone(), side.stamp.device.clone()),
            (
                Ref::new(Kind::Part, it.impeller.clone()),
                Some(child.device.clone())
            )
        );
        // It is the same after a start, which reads all of it from the document.
        let again = record::Record::open(
            Some(&parent.record.snapshot()),
            &[],
            workshop::seat(&mut workshop::seeded(5)),
        )
        .unwrap();
        assert_eq!(
            record::rules::points(again.view(), again.ledger()),
            points(&parent)
        );
        settle(&mut child, &found[0], "take_back", None);
        meet(&mut parent, &mut child);
        assert_eq!(points(&parent), Vec::new());
        // And what is written by somebody who knows of the strike, or was known to whoever struck, contradicts nobody.
        parent.edit(&strike(&struck(&it), inside, None));
        assert_eq!(points(&parent), Vec::new());
    }
}

/// Every kind of work on a thing that the other struck is a point: one of each kind that is worked on.
#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn work_of_every_kind_apart_from_a_strike_is_a_point() {
    let kinds = [
        Kind::Finding,
        Kind::Reading,
        Kind::Limit,
        Kind::Photo,
        Kind::KeptAnswer,
        Kind::Job,
        Kind::Order,
        Kind::Try,
        Kind::Tightened,
        Kind::HoldPoint,
        Kind::TighteningRun,
        Kind::Assembly,
        Kind::Part,
    ];
    for kind in kinds {
        let (mut parent, mut child) = pair();
        let it = pump(&mut parent, true);
        let run = parent.make::<TighteningRun>(TighteningRunFields {
            what: "pump cover".into(),
            assembly: Given::Put(it.pump.clone()),
            layout: Given::Put(record::words::Layout::Circle),
            bolts: Given::Put(6),
            torque: "20 Nm".into(),
            passes: "50, 100".into(),
            conditions: "dry".into(),
            on: Given::Put(day("2030-03-17")),
            ..Default::default()
        });
        meet(&mut parent, &mut child);
        let pump = Ref::new(Kind::Assembly, it.pump.clone());
        let impeller = Ref::new(Kind::Part, it.impeller.clone());
        parent.edit(&strike(&pump, Some(Becomes::StrikeToo), None));
        let on = Given::Put(day("2030-03-18"));
        match kind {
            Kind::Finding => drop(found(&mut child, impeller)),
            Kind::Reading => drop(child.make::<Reading>(ReadingFields {
                what: "bore".into(),
                about: Given::Put(impeller),
                value: "12.01 mm".into(),
                on,
                ..Default::default()
            })),
            Kind::Limit => drop(child.make::<Limit>(LimitFields {
                what: "bore".into(),
                about: Given::Put(impeller),
                high: "12.02 mm".into(),
                ..Default::default()
            })),
            Kind::Photo => drop(child.make::<Photo>(PhotoFields {
                hash: "ab".repeat(32).as_str().into(),
                about: Given::Put(impeller),
                on,
                ..Default::default()
            })),
            Kind::KeptAnswer => drop(child.make::<KeptAnswer>(KeptAnswerFields {
                what: "a fit".into(),
                calculation: "fit".into(),
                about: Given::Put(pump),
                answer: "it is loose".into(),
                on,
                ..Default::default()
            })),
            Kind::Job => drop(job(&mut child, "fit the impeller", &it.pump)),
            Kind::Order => drop(child.make::<Order>(OrderFields {
                what: "an impeller".into(),
                part: Given::Put(it.impeller.clone()),
                ..Default::default()
            })),
            Kind::Try => drop(child.make::<Try>(TryFields {
                job: Given::Put(it.job.clone()),
                what: "pulled at it".into(),
                on,
                ..Default::default()
            })),
            Kind::Tightened => drop(child.make::<Tightened>(TightenedFields {
                run: Given::Put(run),
                pass: Given::Put(1),
                place: Given::Put(1),
                torque: "10 Nm".into(),
                on,
                ..Default::default()
            })),
            Kind::HoldPoint => drop(child.make::<HoldPoint>(HoldPointFields {
                what: "it turns".into(),
                assembly: Given::Put(it.pump.clone()),
                how: Given::Put(record::words::How::Seen),
                ..Default::default()
            })),
            Kind::TighteningRun => child.change::<TighteningRun>(
                &run,
                TighteningRunFields {
                    conditions: "oiled".into(),
                    ..Default::default()
                },
            ),
            Kind::Assembly => drop(within(&mut child, "seal", Some(&it.pump))),
            _ => drop(child.make::<Part>(PartFields {
                name: "key".into(),
                assembly: Given::Put(it.pump.clone()),
                ..Default::default()
            })),
        }
        meet(&mut parent, &mut child);
        assert_eq!(of(&parent, Rule::StruckWorkedOn).len(), 1, "{kind:?}");
    }
}

/// [Shown on the program before this: the job stayed struck out, in an assembly that stands.]
#[test]
fn taking_a_strike_back_takes_back_what_a_settlement_struck_out_with_it_again() {
    let (mut parent, mut child, it, fresh) = apart(Becomes::StrikeToo);
    let point = points(&parent).remove(0);
    settle(&mut parent, &point, "leave", None);
    settle(&mut child, &point, "move_up", None);
    meet(&mut parent, &mut child);
    let again = points(&parent).remove(0);
    assert_eq!(again.rule, Rule::SettledTwoWays);
    settle(&mut parent, &again, "leave", Some("we talked"));
    assert!(!parent.entry(Kind::Job, &it.job).stands());
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    parent.edit(&Edit::TakeBack { name });
    for (kind, id) in [
        (Kind::Assembly, &it.pump),
        (Kind::Job, &it.job),
        (Kind::Job, &fresh),
        (Kind::Reading, &it.reading),
    ] {
        assert!(parent.entry(kind, id).stands(), "{kind:?}");
    }
    assert_eq!(line(&parent, Kind::Job, &it.job, "assembly"), it.pump.as_str());

    // What was struck out too by settling comes back with it as well.
    let (mut parent, _, it, fresh) = apart(Becomes::StrikeToo);
    let point = points(&parent).remove(0);
    settle(&mut parent, &point, "strike_too", None);
    assert!(!parent.entry(Kind::Job, &fresh).stands());
    let name = Ref::new(Kind::Assembly, it.pump.clone());
    parent.edit(&Edit::TakeBack { name });
    assert!(parent.entry(Kind::Job, &fresh).stands());
}
