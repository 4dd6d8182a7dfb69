//! What mends a reading: which remedy, by how much, and that it becomes a job or an order once. Amounts are differences
//! of what was read and what the limit says, but for oversizes: the smallest that is at least as large as what is worn
//! and the clean-up (common practice, as check-value C has it), and a ring's gap, which closes by π · oversize (derived).

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::entities::*;
use record::remedy::{self, Makes, Remedy};
use record::rules::{self, Rule};
use record::verdict::Judge;
use record::words::{JobState, Mend, OrderState, Property};
use record::{Edit, Entry, Given, Id, Kind, Ref};
use workshop::{Device, day, meet};

struct Case {
    assembly: &'static str,
    part: &'static str,
    what: &'static str,
    value: &'static str,
    low: &'static str,
    high: &'static str,
    mend: Option<Mend>,
}

impl Default for Case {
    fn default() -> Self {
        Self {
            assembly: "engine",
            part: "thing",
            what: "size",
            value: "1 mm",
            low: "",
            high: "",
            mend: None,
        }
    }
}

fn given(text: &str) -> Given<String> {
    if text.is_empty() {
        Given::Leave
    } else {
        text.into()
    }
}

/// A device with one reading.
fn read(case: &Case) -> (Device, Id) {
    let mut device = Device::first("parent", 61);
    let assembly = device.make::<Assembly>(AssemblyFields {
        name: case.assembly.into(),
        ..Default::default()
    });
    let part = device.make::<Part>(PartFields {
        name: case.part.into(),
        assembly: Given::Put(assembly),
        ..Default::default()
    });
    let mend = || case.mend.clone().map_or(Given::Leave, Given::Put);
    let limit = device.make::<Limit>(LimitFields {
        what: case.what.into(),
        low: given(case.low),
        high: given(case.high),
        if_low: mend(),
        if_high: mend(),
        ..Default::default()
    });
    let reading = device.make::<Reading>(ReadingFields {
        what: case.what.into(),
        about: Given::Put(Ref::new(Kind::Part, part)),
        value: given(if case.value.contains(';') { "" } else { case.value }),
        grid: given(if case.value.contains(';') { case.value } else { "" }),
        limit: Given::Put(limit),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    (device, reading)
}

fn proposed(device: &Device, reading: &Id) -> Vec<Remedy> {
    remedy::of_reading(
        &Judge::of(device.record.view()),
        device.entry(Kind::Reading, reading),
    )
}

/// The keys, and all words of the first one.
fn check(case: &Case, keys: &[&str], says: &[&str]) -> Vec<Remedy> {
    let (device, reading) = read(case);
    let all = proposed(&device, &reading);
    let got: Vec<&str> = all.iter().map(|one| one.key.as_str()).collect();
    assert_eq!(got, keys, "{} {}: {all:#?}", case.what, case.value);
    for words in says {
        assert!(
            all[0].words.contains(words),
            "'{words}' is not in: {}",
            all[0].words
        );
    }
    all
}

#[test]
fn a_ring_is_filed_to_its_gap_and_one_too_wide_is_a_size_up() {
    let ring = |value| Case {
        part: "piston rings",
        what: "Ring gap in its own bore",
        value,
        low: "0.30 mm",
        high: "0.45 mm",
        ..Case::default()
    };
    let all = check(
        &ring("0.21 mm"),
        &["file", "file_middle"],
        &["File 0.090 mm more off the ring's ends", "0.210 mm to 0.300 mm"],
    );
    assert_eq!(all[0].makes, Makes::Job);
    assert!(all[1].words.contains("0.165 mm more"), "{}", all[1].words);
    assert!(
        all[0]
            .cautions
            .iter()
            .any(|one| one.words.contains("does not come back"))
    );
    let bench = all[0].calculation.as_ref().unwrap();
    assert_eq!(bench.name, "ring_gap");
    assert_eq!(bench.inputs["gap"], "0.21 mm");
    assert_eq!(bench.inputs["low"], "0.30 mm");
    // 1.05 − π · 0.25 = 0.265: 0.035 to file.
    let all = check(
        &ring("1.05 mm"),
        &["oversize_ring", "replace"],
        &["Too wide by 0.600 mm", "0.250 mm oversize", "file 0.035 mm"],
    );
    assert_eq!(all[0].makes, Makes::Order);
    // In limits, nothing is proposed.
    check(&ring("0.35 mm"), &[], &[]);
}

/// Derived: the next oversize, 0.25 mm, closes a gap by π · 0.25 = 0.785 mm. Common practice, no source: ends that butt, and play of
/// nought, are filed and shimmed until there is something to measure.
#[test]
fn no_oversize_that_is_too_wide_as_well_and_nought_is_no_measure() {
    let ring = |value| Case {
        part: "piston rings",
        what: "Ring gap in its own bore",
        value,
        low: "0.30 mm",
        high: "0.45 mm",
        ..Case::default()
    };
    // 2.0 − 0.785 = 1.215, still above 0.45.
    check(&ring("2.0 mm"), &["replace"], &["Another in its place"]);
    for nought in ["0 mm", "0 in"] {
        let all = check(&ring(nought), &["file"], &["Still to be filed", "ends butt"]);
        assert!(!all[0].words.contains("0.300 mm more"), "{}", all[0].words);
    }
    let play = |value| Case {
        part: "valve",
        what: "valve lash",
        value,
        low: "0.15 mm",
        high: "0.25 mm",
        mend: Some(Mend::Shim),
        ..Case::default()
    };
    let all = check(
        &play("0 mm"),
        &["shim", "replace"],
        &["much thinner", "measure again"],
    );
    assert!(
        !all[0].words.contains("0.200 mm for the middle"),
        "{}",
        all[0].words
    );
    check(
        &play("0.10 mm"),
        &["shim", "replace"],
        &["Take at least 0.050 mm of shims out"],
    );
}

#[test]
fn a_bore_is_honed_up_or_bored_to_the_smallest_size_that_cleans_up() {
    let bore = |value| Case {
        part: "block",
        what: "Bore diameter",
        value,
        low: "85.50 mm",
        high: "85.55 mm",
        ..Case::default()
    };
    check(&bore("85.47 mm"), &["hone"], &["Hone 0.030 mm more", "85.500 mm"]);
    // Worn 0.112 over 85.50, and 0.10 to clean up: 0.25 is the smallest.
    let all = check(
        &bore("85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm"),
        &["oversize", "replace"],
        &["0.250 mm oversize", "85.750 mm"],
    );
    assert_eq!(all[0].calculation.as_ref().unwrap().name, "wear");
    // Worn 0.2: 0.30 is wanted, so the next.
    check(
        &bore("85.70 mm"),
        &["oversize", "replace"],
        &["0.500 mm oversize", "86.000 mm"],
    );
    check(
        &bore("86.60 mm"),
        &["oversize", "replace"],
        &["No usual oversize"],
    );
    // In inches, the inch list: worn 0.006 and 0.0039 to clean up is 0.010.
    check(
        &Case {
            value: "2.6310 in",
            low: "2.6250 in",
            high: "2.6260 in",
            ..bore("")
        },
        &["oversize", "replace"],
        &["0.0100 in oversize", "2.6350 in"],
    );
    // A wheel cylinder is never bored.
    check(
        &Case {
            assembly: "brakes",
            part: "wheel cylinder",
            ..bore("85.70 mm")
        },
        &["replace"],
        &["Another in its place"],
    );
}

#[test]
fn journals_play_torque_and_faces_each_have_their_own() {
    // Worn 0.040 below 44.43 and 0.10 to clean up: 0.25.
    check(
        &Case {
            part: "crankshaft",
            what: "Crankpin diameter",
            value: "44.39 mm",
            low: "44.43 mm",
            high: "44.45 mm",
            ..Case::default()
        },
        &["machine", "replace"],
        &["0.25 mm undersize"],
    );
    let play = |value| Case {
        part: "crankshaft",
        what: "Crankshaft end play",
        value,
        low: "0.07 mm",
        high: "0.19 mm",
        ..Case::default()
    };
    // More in for too much play, out for too little; 'end play' is 'end float'.
    check(
        &play("0.27 mm"),
        &["shim", "replace"],
        &["at least 0.080 mm of shims more", "0.140 mm for the middle"],
    );
    check(
        &play("0.05 mm"),
        &["shim", "replace"],
        &["Take at least 0.020 mm of shims out", "0.080 mm for the middle"],
    );
    let all = check(
        &Case {
            part: "main caps",
            what: "Main cap bolts",
            value: "50 N·m",
            low: "60 N·m",
            high: "65 N·m",
            ..Case::default()
        },
        &["adjust"],
        &["between 60 N·m and 65 N·m", "10.0"],
    );
    assert!(
        all[0].cautions.iter().any(|one| one.words.contains("oil")),
        "a torque says what it holds for"
    );
    check(
        &Case {
            part: "head",
            what: "Head face out of flat",
            value: "0.20 mm",
            high: "0.08 mm",
            ..Case::default()
        },
        &["machine", "replace"],
        &["out by 0.120 mm"],
    );
}

#[test]
fn what_can_hurt_is_said_and_the_limit_s_own_word_wins() {
    let drum = Case {
        assembly: "front brakes",
        part: "left drum",
        what: "Front drum diameter",
        value: "206 mm",
        high: "205.3 mm",
        ..Case::default()
    };
    let all = check(&drum, &["replace"], &["0.70"]);
    for words in [
        "cast in the drum",
        "none of this is for discs",
        "licensed",
        "asbestos",
    ] {
        assert!(
            all[0].cautions.iter().any(|one| one.words.contains(words)),
            "{words}: {:?}",
            all[0].cautions
        );
    }
    let all = check(
        &Case {
            mend: Some(Mend::Machine),
            ..drum
        },
        &["machine", "replace"],
        &["Skim"],
    );
    assert!(
        all[0]
            .cautions
            .iter()
            .any(|one| one.words.contains("cast in the drum"))
    );
}

#[test]
fn too_close_to_call_is_measured_again_with_what_decides() {
    let (mut device, reading) = read(&Case {
        what: "End float",
        value: "0.10 mm",
        high: "0.11 mm",
        ..Case::default()
    });
    let coarse = device.make::<Instrument>(InstrumentFields {
        name: "caliper".into(),
        uncertainty: "0.05 mm".into(),
        ..Default::default()
    });
    device.make::<Instrument>(InstrumentFields {
        name: "dial gauge".into(),
        uncertainty: "0.01 mm".into(),
        ..Default::default()
    });
    device.change::<Reading>(
        &reading,
        ReadingFields {
            instrument: Given::Put(coarse),
            ..Default::default()
        },
    );
    let all = proposed(&device, &reading);
    assert_eq!(all.len(), 1);
    assert_eq!((all[0].key.as_str(), all[0].makes), ("measure", Makes::Job));
    assert_eq!(all[0].mends, None);
    assert!(all[0].words.contains("'dial gauge'"), "{}", all[0].words);
}

#[test]
fn one_bore_out_in_size_and_taper_is_one_remedy() {
    let (mut device, reading) = read(&Case {
        part: "block",
        what: "Bore diameter",
        value: "85.70, 85.60; 85.52, 85.51 mm",
        low: "85.50 mm",
        high: "85.55 mm",
        ..Case::default()
    });
    let taper = device.make::<Limit>(LimitFields {
        what: "bore taper".into(),
        high: "0.05 mm".into(),
        judges: Given::Put(Property::Taper),
        ..Default::default()
    });
    device.change::<Reading>(
        &reading,
        ReadingFields {
            more_limits: Given::Put(vec![taper]),
            ..Default::default()
        },
    );
    let keys: Vec<String> = proposed(&device, &reading)
        .into_iter()
        .map(|one| one.key)
        .collect();
    assert_eq!(keys, ["oversize", "replace"]);
}

fn take(device: &mut Device, reading: &Id, key: &str) -> Id {
    let id = Id::from_uuid(record::Ids::fresh(&mut device.ids));
    let one = proposed(device, reading)
        .into_iter()
        .find(|one| one.key == key)
        .unwrap();
    let edit = {
        let entry: &Entry = device.entry(Kind::Reading, reading);
        remedy::edit_of(
            device.record.view(),
            entry,
            &one,
            id.clone(),
            Some(day("2031-03-02")),
            None,
        )
        .unwrap()
    };
    assert!(matches!(edit, Edit::Add { .. }));
    assert_eq!(device.edit(&edit).len(), 1, "one change");
    id
}

fn taken(device: &Device, reading: &Id) -> Vec<Option<Id>> {
    let all = proposed(device, reading);
    let standing = remedy::standing_for(device.record.view(), reading, &all);
    standing
        .taken
        .into_iter()
        .map(|made| made.map(|made| made.id.clone()))
        .collect()
}

#[test]
fn what_was_taken_is_a_job_of_the_assembly_and_is_not_offered_again_while_it_stands() {
    let (mut device, reading) = read(&Case {
        part: "piston rings",
        what: "Ring gap",
        value: "0.21 mm",
        low: "0.30 mm",
        high: "0.45 mm",
        ..Case::default()
    });
    assert_eq!(taken(&device, &reading), [None, None]);
    let job = take(&mut device, &reading, "file");
    let made = <Job as record::Entity>::read(device.entry(Kind::Job, &job));
    assert_eq!(made.remedy_of, Some(reading.clone()));
    assert!(made.assembly.is_some() && made.part.is_some());
    assert!(made.note.unwrap().contains("does not come back"));
    // Two amounts of one remedy are one; and the words of a job may be changed.
    assert_eq!(taken(&device, &reading), [Some(job.clone()), Some(job.clone())]);
    device.change::<Job>(
        &job,
        JobFields {
            what: "File the rings".into(),
            ..Default::default()
        },
    );
    assert_eq!(taken(&device, &reading)[0], Some(job.clone()));
    // Once the limit says otherwise, it is told as taken before.
    let limit: Id = device
        .entry(Kind::Reading, &reading)
        .line("limit")
        .unwrap()
        .parse()
        .unwrap();
    device.change::<Limit>(
        &limit,
        LimitFields {
            low: "0.20 mm".into(),
            ..Default::default()
        },
    );
    let standing = remedy::standing_for(device.record.view(), &reading, &proposed(&device, &reading));
    assert!(standing.taken.is_empty());
    assert_eq!(standing.others.len(), 1);
    device.change::<Limit>(
        &limit,
        LimitFields {
            low: "0.30 mm".into(),
            ..Default::default()
        },
    );
    device.change::<Job>(
        &job,
        JobFields {
            state: Given::Put(JobState::Dropped),
            ..Default::default()
        },
    );
    assert_eq!(taken(&device, &reading), [None, None]);
}

#[test]
fn both_devices_replace_it_and_that_is_two_orders_for_one_part() {
    let (mut parent, reading) = read(&Case {
        part: "left drum",
        assembly: "front brakes",
        what: "Front drum diameter",
        value: "206 mm",
        high: "205.3 mm",
        ..Case::default()
    });
    let mut child = Device::joining("child", 62, &parent, None);
    meet(&mut parent, &mut child);
    let (one, two) = (
        take(&mut parent, &reading, "replace"),
        take(&mut child, &reading, "replace"),
    );
    meet(&mut parent, &mut child);
    let points = rules::points(parent.record.view(), parent.record.ledger());
    assert_eq!(points.len(), 1);
    assert_eq!(points[0].rule, Rule::TwoOrders);
    parent.edit(&Edit::Settle {
        point: points[0].id.clone(),
        choice: "cancel_second".into(),
        why: None,
    });
    meet(&mut parent, &mut child);
    let stands = &points[0].about[0].id;
    assert!([&one, &two].contains(&stands));
    assert_eq!(taken(&child, &reading), [Some(stands.clone())]);
    let cancelled = child
        .entry(Kind::Order, &points[0].about[1].id)
        .line("state")
        .unwrap();
    assert_eq!(cancelled, record::words::Words::word(&OrderState::Cancelled));
}

/// Nobody buys a gearbox because its end float is out.
#[test]
fn what_is_measured_of_an_assembly_is_not_bought_anew() {
    let mut device = Device::first("parent", 61);
    let gearbox = device.make::<Assembly>(AssemblyFields {
        name: "Gearbox".into(),
        ..Default::default()
    });
    let limit = device.make::<Limit>(LimitFields {
        what: "drag".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    let reading = device.make::<Reading>(ReadingFields {
        what: "Drag".into(),
        about: Given::Put(Ref::new(Kind::Assembly, gearbox)),
        value: "0.35 mm".into(),
        limit: Given::Put(limit),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    let all = proposed(&device, &reading);
    assert_eq!((all.len(), all[0].makes), (1, Makes::Job), "{all:#?}");
    assert_eq!(
        all[0].title,
        "Find what of Gearbox puts drag 0.150 mm above its limit, and renew that"
    );
}
