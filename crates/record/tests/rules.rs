//! Points to settle, rule by rule: two devices are edited apart and meet, both see the same points in the same
//! order, settling removes them on both, and what was settled stays settled.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::entities::*;
use record::rules::{self, Point, Rule};
use record::words::{AssemblyState, Decision, HoldState, JobState, OrderState};
use record::{Edit, Given, Id, Kind};
use workshop::{Device, meet};

fn pair() -> (Device, Device) {
    let mut parent = Device::first("parent", 1);
    let mut child = Device::joining("child", 2, &parent, None);
    meet(&mut parent, &mut child);
    (parent, child)
}

fn points(device: &Device) -> Vec<Point> {
    rules::points(device.record.view(), device.record.ledger())
}

fn of(device: &Device, rule: Rule) -> Vec<Point> {
    points(device)
        .into_iter()
        .filter(|point| point.rule == rule)
        .collect()
}

fn settle(device: &mut Device, point: &Point, choice: &str, why: Option<&str>) {
    let edit = Edit::Settle {
        point: point.id.clone(),
        choice: choice.to_owned(),
        why: why.map(str::to_owned),
    };
    device.edit(&edit);
}

fn assembly(device: &mut Device, name: &str) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: name.into(),
        ..Default::default()
    })
}

fn job(device: &mut Device, what: &str, assembly: &Id) -> Id {
    device.make::<Job>(JobFields {
        what: what.into(),
        assembly: Given::Put(assembly.clone()),
        ..Default::default()
    })
}

fn close(device: &mut Device, assembly: &Id) {
    device.edit(&Edit::CloseUp {
        assembly: assembly.clone(),
        waive: Vec::new(),
    });
}

#[test]
fn two_values_for_one_field_are_both_shown_and_one_is_chosen() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.change::<Part>(
        &crank,
        PartFields {
            decision: Given::Put(Decision::Reuse),
            ..Default::default()
        },
    );
    child.change::<Part>(
        &crank,
        PartFields {
            decision: Given::Put(Decision::Recondition),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);

    let found = points(&parent);
    assert_eq!(found, points(&child));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].rule, Rule::TwoValues);
    let values: Vec<_> = found[0]
        .sides
        .iter()
        .map(|side| side.value.clone().unwrap())
        .collect();
    assert_eq!(values, vec![line("recondition"), line("reuse")]);
    assert!(found[0].sides.iter().all(|side| !side.knew_other));

    // The value that the document already shows is put as well: that is what settles.
    let shown = parent
        .entry(Kind::Part, &crank)
        .line("decision")
        .unwrap()
        .to_owned();
    let key = found[0]
        .sides
        .iter()
        .find(|s| s.value == Some(line(&shown)))
        .unwrap()
        .key
        .clone();
    settle(&mut child, &found[0], &key, None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(
        parent.entry(Kind::Part, &crank).line("decision"),
        Some(shown.as_str())
    );
    let settled = parent.record.view().standing(Kind::Settlement).count();
    assert_eq!(settled, 1);
}

fn line(text: &str) -> record::Scalar {
    record::Scalar::Line(text.to_owned())
}

#[test]
fn the_same_value_from_both_is_no_contradiction() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    for device in [&mut parent, &mut child] {
        device.change::<Part>(
            &crank,
            PartFields {
                decision: Given::Put(Decision::Reuse),
                ..Default::default()
            },
        );
    }
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn settled_two_ways_far_apart_is_a_point_again() {
    let (mut parent, mut child) = pair();
    let crank = parent.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.change::<Part>(
        &crank,
        PartFields {
            number: "AX 12".into(),
            ..Default::default()
        },
    );
    child.change::<Part>(
        &crank,
        PartFields {
            number: "AX 21".into(),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    let point = points(&parent).remove(0);
    settle(&mut parent, &point, "side_1", None);
    settle(&mut child, &point, "side_2", None);
    meet(&mut parent, &mut child);
    let again = points(&parent);
    assert_eq!(again.len(), 1);
    assert_ne!(again[0].id, point.id);
    settle(&mut parent, &again[0], "side_1", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
}

#[test]
fn closed_before_she_asked_to_look_inside() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    let look = job(&mut child, "look at the second gear synchro ring", &gearbox);
    meet(&mut parent, &mut child);

    let found = of(&parent, Rule::ClosedOverJob);
    assert_eq!(found, of(&child, Rule::ClosedOverJob));
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0]
            .about
            .iter()
            .map(|name| name.id.clone())
            .collect::<Vec<_>>(),
        vec![gearbox.clone(), look.clone()]
    );
    assert!(
        !found[0].sides[0].knew_other,
        "whoever closed it could not have known of the job"
    );

    let mut reopened = child;
    settle(&mut reopened, &found[0], "reopen", None);
    meet(&mut parent, &mut reopened);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(
        parent.entry(Kind::Assembly, &gearbox).line("state"),
        Some("fitted")
    );
    // Closed once more over the same job that is still open: the guard refuses.
    let again = parent.try_edit(&Edit::CloseUp {
        assembly: gearbox,
        waive: Vec::new(),
    });
    assert!(matches!(
        again,
        Err(record::edit::EditError::Refused(
            record::Refusal::StillOpen { .. }
        ))
    ));
}

#[test]
fn a_job_written_on_an_assembly_seen_closed_is_a_plan() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    close(&mut parent, &gearbox);
    meet(&mut parent, &mut child);
    job(&mut child, "change the oil in spring", &gearbox);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn closed_over_a_job_that_was_known_says_so() {
    // The guard would refuse; but the job was done here, and opened again on the other device that knew nothing
    // of the closing: then the closer could not have known. Moved open into the closed assembly, likewise.
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    let look = job(&mut parent, "shim the layshaft", &gearbox);
    let done = JobFields {
        state: Given::Put(JobState::Done),
        ..Default::default()
    };
    parent.change::<Job>(&look, done.clone());
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    child.change::<Job>(
        &look,
        JobFields {
            state: Given::Put(JobState::Open),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    let found = of(&parent, Rule::ClosedOverJob);
    assert_eq!(found.len(), 1);
    assert!(!found[0].sides[0].knew_other);
    settle(
        &mut parent,
        &found[0],
        "let_stand",
        Some("the end float was measured from outside"),
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    assert_eq!(child.record.view().standing(Kind::Waiver).count(), 1);
}

#[test]
fn closed_over_an_unmet_hold_point() {
    let (mut parent, mut child) = pair();
    let engine = assembly(&mut parent, "engine");
    let bottom = parent.make::<Assembly>(AssemblyFields {
        name: "bottom end".into(),
        parent: Given::Put(engine.clone()),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    close(&mut parent, &engine);
    let hold = child.make::<HoldPoint>(HoldPointFields {
        what: "all three oilway plugs are in".into(),
        assembly: Given::Put(bottom.clone()),
        how: Given::Put(record::words::How::Counted),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    let found = of(&child, Rule::ClosedOverHold);
    assert_eq!(found.len(), 1);
    // The bottom end itself was never closed: the engine around it is what was closed over the hold point.
    assert_eq!(found[0].about[0].id, engine);
    settle(&mut child, &found[0], "was_met", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    let state = HoldPoint::read_state(&parent, &hold);
    assert_eq!(state, Some(HoldState::Met));
}

trait ReadState {
    fn read_state(device: &Device, id: &Id) -> Option<HoldState>;
}
impl ReadState for HoldPoint {
    fn read_state(device: &Device, id: &Id) -> Option<HoldState> {
        <HoldPoint as record::Entity>::read(device.entry(Kind::HoldPoint, id)).state
    }
}

fn container(device: &mut Device, code: &str, name: &str) -> Id {
    device.make::<Container>(ContainerFields {
        code: code.into(),
        name: name.into(),
        ..Default::default()
    })
}

#[test]
fn one_code_on_two_bags() {
    for (choice, codes) in [("first_keeps", ["B14", "B15"]), ("second_keeps", ["B15", "B14"])] {
        let (mut parent, mut child) = pair();
        let one = container(&mut parent, "B14", "valve springs");
        let two = container(&mut child, "b 14", "starter bolts");
        meet(&mut parent, &mut child);
        let found = of(&parent, Rule::SameCode);
        assert_eq!(found, of(&child, Rule::SameCode));
        assert_eq!(found.len(), 1);
        settle(&mut parent, &found[0], choice, None);
        meet(&mut parent, &mut child);
        assert_eq!(points(&child), Vec::new());
        let about = &found[0].about;
        let code = |at: usize| {
            child
                .entry(Kind::Container, &about[at].id)
                .line("code")
                .unwrap()
                .replace(' ', "")
                .to_uppercase()
        };
        assert_eq!([code(0), code(1)], codes);
        assert!(about.iter().any(|name| name.id == one) && about.iter().any(|name| name.id == two));
    }
}

#[test]
fn two_labels_on_one_bag_become_one_with_everything_in_it() {
    let (mut parent, mut child) = pair();
    let one = container(&mut parent, "B14", "valve springs");
    let two = container(&mut child, "B14", "springs");
    for (device, bag) in [(&mut parent, &one), (&mut child, &two)] {
        device.make::<Part>(PartFields {
            name: "valve spring".into(),
            container: Given::Put(bag.clone()),
            ..Default::default()
        });
    }
    meet(&mut parent, &mut child);
    let found = of(&parent, Rule::SameCode);
    settle(&mut child, &found[0], "one_container", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    let stays = found[0].about[0].id.to_string();
    let parts: Vec<_> = parent
        .record
        .view()
        .standing(Kind::Part)
        .map(|p| p.line("container").unwrap())
        .collect();
    assert_eq!(parts, vec![stays.as_str(), stays.as_str()]);
    assert_eq!(parent.record.view().standing(Kind::Container).count(), 1);
}

#[test]
fn two_orders_for_one_part() {
    let (mut parent, mut child) = pair();
    let gasket = parent.make::<Part>(PartFields {
        name: "head gasket".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    let mut orders = Vec::new();
    for device in [&mut parent, &mut child] {
        orders.push(device.make::<Order>(OrderFields {
            what: "head gasket, copper".into(),
            part: Given::Put(gasket.clone()),
            state: Given::Put(OrderState::Ordered),
            price: "£18.40".into(),
            ..Default::default()
        }));
    }
    meet(&mut parent, &mut child);
    let found = of(&child, Rule::TwoOrders);
    assert_eq!(found, of(&parent, Rule::TwoOrders));
    assert_eq!(found.len(), 1);
    settle(&mut parent, &found[0], "cancel_second", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&child), Vec::new());
    let cancelled = &found[0].about[1].id;
    assert_eq!(
        child.entry(Kind::Order, cancelled).line("state"),
        Some("cancelled")
    );
    // Taken up again while the other still runs: the same contradiction made anew is a new point.
    child.change::<Order>(
        cancelled,
        OrderFields {
            state: Given::Put(OrderState::Ordered),
            ..Default::default()
        },
    );
    let again = of(&child, Rule::TwoOrders);
    assert_eq!(again.len(), 1);
    assert_ne!(again[0].id, found[0].id);
    settle(&mut child, &again[0], "both_wanted", Some("one to practise on"));
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn a_settlement_that_wants_a_reason_is_refused_without_one() {
    let (mut parent, mut child) = pair();
    let gearbox = assembly(&mut parent, "gearbox");
    meet(&mut parent, &mut child);
    close(&mut parent, &gearbox);
    job(&mut child, "look inside", &gearbox);
    meet(&mut parent, &mut child);
    let point = points(&parent).remove(0);
    let without = Edit::Settle {
        point: point.id.clone(),
        choice: "let_stand".into(),
        why: Some("  ".into()),
    };
    let before = parent.record.digest();
    assert_eq!(
        parent.try_edit(&without).unwrap_err().to_string(),
        record::Refusal::WhyWanted.to_string()
    );
    assert_eq!(parent.record.digest(), before);
    let other = Edit::Settle {
        point: point.id,
        choice: "burn_it".into(),
        why: None,
    };
    assert!(
        parent
            .try_edit(&other)
            .unwrap_err()
            .to_string()
            .contains("reopen")
    );
    assert_eq!(
        parent
            .record
            .view()
            .all(Kind::Assembly)
            .filter(|a| a.line("state")
                == Some(AssemblyState::Closed.clone())
                    .as_ref()
                    .map(record::words::Words::word))
            .count(),
        1
    );
}

/// Where and with what a reading is made in these tests.
struct Bench {
    crank: Id,
    gauge: Id,
}

fn bench(device: &mut Device) -> Bench {
    let engine = assembly(device, "engine");
    Bench {
        crank: device.make::<Part>(PartFields {
            name: "crankshaft".into(),
            assembly: Given::Put(engine),
            ..Default::default()
        }),
        gauge: device.make::<Instrument>(InstrumentFields {
            name: "dial gauge".into(),
            uncertainty: "0.01 mm".into(),
            ..Default::default()
        }),
    }
}

impl Bench {
    fn fields(&self, what: &str, at: &str, instrument: bool) -> ReadingFields {
        ReadingFields {
            what: what.into(),
            about: Given::Put(record::Ref::new(Kind::Part, self.crank.clone())),
            at: at.into(),
            instrument: if instrument {
                Given::Put(self.gauge.clone())
            } else {
                Given::Leave
            },
            // The day that the devices' clocks begin on.
            on: Given::Put(workshop::day("2030-03-17")),
            ..Default::default()
        }
    }

    fn reads(&self, device: &mut Device, what: &str, at: &str, value: &str) -> Id {
        device.make::<Reading>(ReadingFields {
            value: value.into(),
            ..self.fields(what, at, true)
        })
    }
}

/// En = |x1 − x2| / √(U1² + U2²) > 1 (ISO/IEC 17043): with ±0.01 mm on both sides, from 0.0142 mm apart.
#[test]
fn two_keepers_read_one_point_and_cannot_both_be_right() {
    let (mut parent, mut child) = pair();
    let bench = bench(&mut parent);
    meet(&mut parent, &mut child);
    bench.reads(&mut parent, "End float", "nose, cold", "0.30 mm");
    // Within what both can be off; case and spaces do not make another point.
    let near = bench.reads(&mut child, "end  float", "Nose,cold", "0.314 mm");
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    // Read again by the same keeper: only the latest counts.
    child.edit(&Edit::Strike {
        name: record::Ref::new(Kind::Reading, near),
        why: "read again".into(),
    });
    let first = bench.reads(&mut child, "end float", "nose, cold", "0.40 mm");
    let latest = bench.reads(&mut child, "end float", "nose, cold", "0.32 mm");
    meet(&mut parent, &mut child);

    let found = of(&parent, Rule::ReadingsDiffer);
    assert_eq!(found, of(&child, Rule::ReadingsDiffer));
    assert_eq!(found.len(), 1);
    let about: Vec<&Id> = found[0].about.iter().map(|name| &name.id).collect();
    assert!(about.contains(&&latest) && !about.contains(&&first));
    for words in ["crankshaft", "0.300 mm", "0.320 mm", "'dial gauge'", "nose"] {
        assert!(found[0].title.contains(words), "{words}: {}", found[0].title);
    }

    // The parent's is right: the child's latest is struck out, and so the one before it counts, and differs again.
    let key = if found[0].sides[0].about.id == latest {
        "side_2"
    } else {
        "side_1"
    };
    settle(&mut parent, &found[0], key, None);
    meet(&mut parent, &mut child);
    assert!(!child.entry(Kind::Reading, &latest).stands());
    let again = of(&child, Rule::ReadingsDiffer);
    assert_eq!(again.len(), 1);
    assert_ne!(again[0].id, found[0].id);
    let bare = Edit::Settle {
        point: again[0].id.clone(),
        choice: "both_stand".into(),
        why: None,
    };
    assert_eq!(
        child.try_edit(&bare).unwrap_err().to_string(),
        record::Refusal::WhyWanted.to_string()
    );
    settle(
        &mut child,
        &again[0],
        "both_stand",
        Some("the first was with the thrust washer out"),
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert!(parent.entry(Kind::Reading, &first).stands());
    // A strike taken back is the contradiction made anew.
    parent.edit(&Edit::TakeBack {
        name: record::Ref::new(Kind::Reading, latest),
    });
    assert_eq!(of(&parent, Rule::ReadingsDiffer).len(), 1);
}

#[test]
fn readings_of_which_nothing_is_known_or_that_are_of_other_points_are_no_contradiction() {
    let (mut parent, mut child) = pair();
    let bench = bench(&mut parent);
    meet(&mut parent, &mut child);
    // Neither instrument is known.
    for (device, value) in [(&mut parent, "0.30 mm"), (&mut child, "0.50 mm")] {
        device.make::<Reading>(ReadingFields {
            value: value.into(),
            ..bench.fields("end float", "nose", false)
        });
    }
    // Another place, another kind, the same keeper twice.
    bench.reads(&mut parent, "end float", "tail", "0.30 mm");
    bench.reads(&mut child, "end float", "middle", "0.50 mm");
    bench.reads(&mut parent, "pulley nut", "", "0.30 mm");
    bench.reads(&mut child, "pulley nut", "", "40 N·m");
    bench.reads(&mut child, "run-out", "", "0.30 mm");
    bench.reads(&mut child, "run-out", "", "0.50 mm");
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    // One of the two known is enough.
    child.make::<Reading>(ReadingFields {
        value: "0.50 mm".into(),
        ..bench.fields("end float", "nose", true)
    });
    assert_eq!(of(&child, Rule::ReadingsDiffer).len(), 1);
    // What the instrument is good for is read anew: poor enough, and both may be right.
    child.change::<Instrument>(
        &bench.gauge,
        InstrumentFields {
            uncertainty: "0.25 mm".into(),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn work_between_two_readings_is_why_they_differ() {
    for (done_between, expected) in [(true, 0), (false, 1)] {
        let (mut parent, mut child) = pair();
        let bench = bench(&mut parent);
        let engine: Id = parent
            .entry(Kind::Part, &bench.crank)
            .line("assembly")
            .unwrap()
            .parse()
            .unwrap();
        let shim = job(&mut parent, "shim the crank", &engine);
        let other = assembly(&mut parent, "gearbox");
        let elsewhere = job(&mut parent, "change the oil", &other);
        meet(&mut parent, &mut child);
        let done = JobFields {
            state: Given::Put(JobState::Done),
            ..Default::default()
        };
        if !done_between {
            parent.change::<Job>(&shim, done.clone());
        }
        bench.reads(&mut parent, "end float", "nose", "0.30 mm");
        parent.change::<Job>(&elsewhere, done.clone());
        if done_between {
            parent.change::<Job>(&shim, done);
        }
        child.now = parent.now + 3_600;
        bench.reads(&mut child, "end float", "nose", "0.15 mm");
        meet(&mut parent, &mut child);
        assert_eq!(of(&parent, Rule::ReadingsDiffer).len(), expected);
        assert_eq!(of(&child, Rule::ReadingsDiffer).len(), expected);
    }
}

#[test]
fn grids_are_compared_point_by_point() {
    let (mut parent, mut child) = pair();
    let bench = bench(&mut parent);
    meet(&mut parent, &mut child);
    let grid = |device: &mut Device, at: &str, grid: &str, names: &str| {
        device.make::<Reading>(ReadingFields {
            grid: grid.into(),
            grid_names: names.into(),
            ..bench.fields("bore", at, true)
        })
    };
    let names = "top, middle, bottom; across, along";
    grid(
        &mut parent,
        "1",
        "85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm",
        names,
    );
    grid(
        &mut child,
        "1",
        "85.613, 85.561; 85.545, 85.560; 85.531, 85.520 mm",
        names,
    );
    // The same values, but nobody says that they are the same points.
    grid(&mut parent, "2", "85.612, 85.560 mm", "top; across, along");
    grid(&mut child, "2", "85.560, 85.612 mm", "top; along, across");
    grid(&mut parent, "3", "85.612, 85.560 mm", "");
    grid(&mut child, "3", "85.530; 85.510 mm", "");
    meet(&mut parent, &mut child);
    let found = points(&parent);
    assert_eq!(found, points(&child));
    assert_eq!(found.len(), 1);
    assert!(
        found[0].title.contains("middle, across") && found[0].title.contains("85.575 mm"),
        "{}",
        found[0].title
    );
    settle(&mut child, &found[0], "side_2", None);
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert!(!parent.entry(Kind::Reading, &found[0].about[0].id).stands());
}
