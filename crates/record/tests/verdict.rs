//! Verdicts of readings in a merged record. The bounds are those of ISO 14253-1:2017: with an upper limit of 0.10 mm and
//! a standard uncertainty of 0.01 mm, a value is accepted below 0.0836 mm (95 %, one-sided, 1.645 u) and called out
//! from 0.1164 mm.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use reckon::VerdictWord;
use record::entities::*;
use record::verdict::{Verdict, of_reading};
use record::{Given, Id, Kind};
use workshop::{Device, day, meet, part};

struct Made {
    device: Device,
    crank: Id,
    limit: Id,
    gauge: Id,
}

fn made() -> Made {
    let mut device = Device::first("parent", 41);
    let crank = device.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    let limit = device.make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.10 mm".into(),
        ..Default::default()
    });
    let gauge = device.make::<Instrument>(InstrumentFields {
        name: "old dial gauge".into(),
        uncertainty: "0.02 mm".into(),
        ..Default::default()
    });
    Made {
        device,
        crank,
        limit,
        gauge,
    }
}

impl Made {
    fn reads(&mut self, value: &str, instrument: Option<&Id>) -> Id {
        self.device.make::<Reading>(ReadingFields {
            what: "end float".into(),
            about: Given::Put(part(&self.crank)),
            value: value.into(),
            limit: Given::Put(self.limit.clone()),
            instrument: instrument.map_or(Given::Leave, |id| Given::Put(id.clone())),
            on: Given::Put(day("2031-03-01")),
            ..Default::default()
        })
    }

    fn verdict(&self, reading: &Id) -> Verdict {
        of_reading(
            self.device.record.view(),
            self.device.entry(Kind::Reading, reading),
        )
        .unwrap()
    }
}

#[test]
fn the_instrument_decides_what_may_be_said() {
    let mut made = made();
    let gauge = made.gauge.clone();
    let cases = [
        ("0.083 mm", VerdictWord::InLimits),
        ("0.084 mm", VerdictWord::TooCloseToCall),
        ("0.100 mm", VerdictWord::TooCloseToCall),
        ("0.116 mm", VerdictWord::TooCloseToCall),
        ("0.117 mm", VerdictWord::AboveLimits),
        // Other units, the same rule: 0.0046 in is 0.11684 mm.
        ("4.6 thou", VerdictWord::AboveLimits),
        ("3.2 thou", VerdictWord::InLimits),
    ];
    for (value, word) in cases {
        let reading = made.reads(value, Some(&gauge));
        assert_eq!(
            made.verdict(&reading).word,
            word,
            "{value}: {}",
            made.verdict(&reading).words
        );
    }
}

#[test]
fn too_close_names_what_would_decide_it() {
    let mut made = made();
    let gauge = made.gauge.clone();
    let reading = made.reads("0.090 mm", Some(&gauge));
    // 0.010 mm inside: decided from U = 2 · 0.010 / 1.645 = 0.0122 mm downwards.
    assert_eq!(
        made.verdict(&reading).words,
        "too close to call with 'old dial gauge'; an instrument good to ±0.012 mm would decide it"
    );
    for (name, uncertainty) in [
        ("finest", "0.002 mm"),
        ("new dial gauge", "0.010 mm"),
        ("rule", "0.5 mm"),
    ] {
        made.device.make::<Instrument>(InstrumentFields {
            name: name.into(),
            uncertainty: uncertainty.into(),
            ..Default::default()
        });
    }
    assert!(
        made.verdict(&reading)
            .words
            .ends_with("'new dial gauge' would decide it"),
        "the coarsest that will do"
    );
}

/// What an instrument is stated to measure is held against every reading made with it; where nothing is stated, nothing is said.
#[test]
fn a_reading_outside_its_instruments_range_is_said() {
    let mut made = made();
    let limit = made.device.make::<Limit>(LimitFields {
        what: "journal".into(),
        low: "49.90 mm".into(),
        high: "50.10 mm".into(),
        ..Default::default()
    });
    let mic = made.device.make::<Instrument>(InstrumentFields {
        name: "micrometer 25 to 50".into(),
        uncertainty: "0.004 mm".into(),
        ..Default::default()
    });
    let reads = |device: &mut Device, value: &str, grid: &str| {
        let given = |text: &str| {
            if text.is_empty() {
                Given::Leave
            } else {
                text.into()
            }
        };
        device.make::<Reading>(ReadingFields {
            what: "journal".into(),
            about: Given::Put(part(&made.crank)),
            value: given(value),
            grid: given(grid),
            limit: Given::Put(limit.clone()),
            instrument: Given::Put(mic.clone()),
            on: Given::Put(day("2031-03-01")),
            ..Default::default()
        })
    };
    let readings = [
        ("49.99 mm", ""),
        ("50 mm", ""),
        // The end itself, in another unit: 50/25.4 in is no finite decimal, so just inside.
        ("1.9685 in", ""),
        ("50.01 mm", ""),
        ("", "49.99 mm, 49.98 mm; 49.99 mm, 50.02 mm"),
    ]
    .map(|(value, grid)| reads(&mut made.device, value, grid));
    let said = |device: &Device, reading: &Id| {
        of_reading(device.record.view(), device.entry(Kind::Reading, reading))
            .unwrap()
            .words
    };
    for reading in &readings {
        assert!(
            !said(&made.device, reading).contains("outside what"),
            "nothing is stated yet"
        );
    }
    let state = |device: &mut Device, least: &str, most: &str| {
        device.change::<Instrument>(
            &mic,
            InstrumentFields {
                least: least.into(),
                most: most.into(),
                ..Default::default()
            },
        );
    };
    state(&mut made.device, "25 mm", "50 mm");
    let outside = |device: &Device| {
        readings
            .iter()
            .map(|reading| said(device, reading).contains("outside what 'micrometer 25 to 50' measures"))
            .collect::<Vec<_>>()
    };
    assert_eq!(outside(&made.device), [false, false, false, true, true]);
    let told = said(&made.device, &readings[3]);
    assert!(
        told.contains("50.010 mm is outside") && told.contains("(25 mm to 50 mm)"),
        "{told}"
    );
    // Of another kind, or changed over, they say nothing.
    state(&mut made.device, "50 mm", "25 mm");
    assert_eq!(outside(&made.device), [false; 5]);
    state(&mut made.device, "1 N·m", "20 N·m");
    assert_eq!(outside(&made.device), [false; 5]);
}

/// What is stated counts before what people did with an instrument: the one that would decide has to reach the size.
#[test]
fn a_stated_range_names_what_would_decide() {
    let mut made = made();
    let gauge = made.gauge.clone();
    let reading = made.reads("0.090 mm", Some(&gauge));
    let fine = made.device.make::<Instrument>(InstrumentFields {
        name: "fine".into(),
        uncertainty: "0.010 mm".into(),
        least: "25 mm".into(),
        ..Default::default()
    });
    assert!(
        !made.verdict(&reading).words.contains("'fine'"),
        "it does not reach down so far"
    );
    made.device.change::<Instrument>(
        &fine,
        InstrumentFields {
            least: "0 mm".into(),
            most: "25 mm".into(),
            ..Default::default()
        },
    );
    assert!(made.verdict(&reading).words.ends_with("'fine' would decide it"));
    // It was used for something much larger, and still is stated to reach this.
    made.device.make::<Reading>(ReadingFields {
        what: "pin".into(),
        about: Given::Put(part(&made.crank)),
        value: "22 mm".into(),
        instrument: Given::Put(fine),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    assert!(made.verdict(&reading).words.ends_with("'fine' would decide it"));
}

#[test]
fn what_serves_for_other_sizes_is_not_named() {
    let mut made = made();
    let gauge = made.gauge.clone();
    let strip = made.device.make::<Instrument>(InstrumentFields {
        name: "clearance strip".into(),
        uncertainty: "0.008 mm".into(),
        ..Default::default()
    });
    let unsure = made.reads("0.090 mm", Some(&gauge));
    // Never used yet, it may serve; used for something of about that size, it does.
    let named = |made: &Made| {
        made.verdict(&unsure)
            .words
            .contains("'clearance strip' would decide it")
    };
    assert!(named(&made));
    made.reads("0.075 mm", Some(&strip));
    assert!(named(&made));
    // A bore of 76.2 mm is out of its reach, and so is what is ten times smaller.
    let bore = made.device.make::<Limit>(LimitFields {
        what: "bore".into(),
        high: "76.20 mm".into(),
        ..Default::default()
    });
    let of_bore = made.device.make::<Reading>(ReadingFields {
        what: "bore".into(),
        about: Given::Put(part(&made.crank)),
        value: "76.190 mm".into(),
        limit: Given::Put(bore),
        instrument: Given::Put(gauge.clone()),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    let told = made.verdict(&of_bore).words;
    assert!(
        told.ends_with("an instrument good to ±0.012 mm would decide it"),
        "{told}"
    );
    // Whatever was used for bores is named for the bore.
    let mic = made.device.make::<Instrument>(InstrumentFields {
        name: "inside micrometer".into(),
        uncertainty: "0.006 mm".into(),
        ..Default::default()
    });
    made.device.make::<Reading>(ReadingFields {
        what: "bore".into(),
        about: Given::Put(part(&made.crank)),
        value: "76.1 mm".into(),
        instrument: Given::Put(mic),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    });
    assert!(
        made.verdict(&of_bore)
            .words
            .ends_with("'inside micrometer' would decide it")
    );
    assert!(named(&made), "and not for the end float");
}

#[test]
fn what_is_not_known_of_the_instrument_is_said() {
    let mut made = made();
    let stepped = made.device.make::<Instrument>(InstrumentFields {
        name: "feeler leaves".into(),
        resolution: "0.01 mm".into(),
        ..Default::default()
    });
    let by_step = made.reads("0.05 mm", Some(&stepped));
    assert!(
        made.verdict(&by_step).words.contains("only its smallest step"),
        "{}",
        made.verdict(&by_step).words
    );
    let by_nothing = made.reads("0.05 mm", None);
    assert!(made.verdict(&by_nothing).words.contains("taken as exact"));
    // A reading of another kind than its limit is not judged at all.
    let torque = made.reads("40 N·m", None);
    assert_eq!(
        of_reading(
            made.device.record.view(),
            made.device.entry(Kind::Reading, &torque)
        ),
        None
    );
}

#[test]
fn a_verdict_follows_the_merged_record() {
    let mut made = made();
    let gauge = made.gauge.clone();
    let reading = made.reads("0.083 mm", Some(&gauge));
    assert_eq!(made.verdict(&reading).word, VerdictWord::InLimits);
    let mut child = Device::joining("child", 42, &made.device, None);
    child.change::<Limit>(
        &made.limit,
        LimitFields {
            high: "0.05 mm".into(),
            ..Default::default()
        },
    );
    meet(&mut made.device, &mut child);
    assert_eq!(made.verdict(&reading).word, VerdictWord::AboveLimits);
    child.change::<Instrument>(
        &gauge,
        InstrumentFields {
            uncertainty: "0.2 mm".into(),
            ..Default::default()
        },
    );
    meet(&mut made.device, &mut child);
    assert_eq!(made.verdict(&reading).word, VerdictWord::TooCloseToCall);
}
