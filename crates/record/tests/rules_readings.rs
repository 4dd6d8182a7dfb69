//! Two keepers' readings of one point that differ by more than both can be off are a point to settle; work between them, or
//! an instrument of which nothing is known, makes them none.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::Rule;
use record::words::JobState;
use record::{Edit, Given, Id, Kind};
use settling::{assembly, job, of, pair, points, settle};
use workshop::{Device, meet};

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
    child.edit(&Edit::strike(record::Ref::new(Kind::Reading, near), "read again"));
    let first = bench.reads(&mut child, "end float", "nose, cold", "0.40 mm");
    let latest = bench.reads(&mut child, "end float", "nose, cold", "0.32 mm");
    // And by the other, apart from that: whoever measures with the other's reading before them says which holds.
    bench.reads(&mut parent, "end float", "nose, cold", "0.30 mm");
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
    // One of the two known is enough, where neither knew of the other.
    parent.make::<Reading>(ReadingFields {
        value: "0.30 mm".into(),
        ..bench.fields("end float", "nose", false)
    });
    child.make::<Reading>(ReadingFields {
        value: "0.50 mm".into(),
        ..bench.fields("end float", "nose", true)
    });
    assert_eq!(
        points(&child),
        Vec::new(),
        "whoever measured last knew of the others"
    );
    meet(&mut parent, &mut child);
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
