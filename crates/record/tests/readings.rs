//! Readings that hold more than one value: measured again, as a grid, against several limits, away from 20 °C; and how
//! their verdicts came to be. Numbers come from outside: JCGM 100:2008 (table 1: 20 readings; table G.2: coverage
//! factors; G.4.1: degrees of freedom; 5.1.2: a difference of two), ISO 14253-1:2017 (1.645 u), ISO 1 (20 °C). The grid
//! follows from the formula alone.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod workshop;

use reckon::VerdictWord;
use record::entities::*;
use record::verdict::{Judge, Measured, Points, Verdict};
use record::words::Property;
use record::{Entry, Given, Id, Kind};
use workshop::{Device, day, meet, part};

struct Made {
    device: Device,
    block: Id,
}

fn made() -> Made {
    let mut device = Device::first("parent", 51);
    let block = device.make::<Part>(PartFields {
        name: "block".into(),
        ..Default::default()
    });
    Made { device, block }
}

impl Made {
    fn limit(&mut self, what: &str, low: Option<&str>, high: Option<&str>, judges: Option<Property>) -> Id {
        let bound = |text: Option<&str>| text.map_or(Given::Leave, |text| Given::Put(text.to_owned()));
        self.device.make::<Limit>(LimitFields {
            what: what.into(),
            low: bound(low),
            high: bound(high),
            judges: judges.map_or(Given::Leave, Given::Put),
            ..Default::default()
        })
    }

    fn gauge(&mut self, name: &str, uncertainty: &str) -> Id {
        self.device.make::<Instrument>(InstrumentFields {
            name: name.into(),
            uncertainty: uncertainty.into(),
            ..Default::default()
        })
    }

    fn fields(&self) -> ReadingFields {
        ReadingFields {
            what: "bore".into(),
            about: Given::Put(part(&self.block)),
            on: Given::Put(day("2031-03-01")),
            ..Default::default()
        }
    }

    fn entry(&self, id: &Id) -> &Entry {
        self.device.entry(Kind::Reading, id)
    }

    fn verdict(&self, id: &Id) -> Verdict {
        Judge::of(self.device.record.view())
            .verdict(self.entry(id))
            .unwrap()
    }

    /// Mean and expanded uncertainty.
    fn mean(&self, id: &Id) -> (f64, f64) {
        let measured = Measured::of(self.entry(id)).unwrap();
        let judge = Judge::of(self.device.record.view());
        let expanded = judge.uncertainty(self.entry(id), &measured).unwrap().expanded();
        (measured.points.value().unwrap(), expanded)
    }
}

fn near(got: f64, wanted: f64, within: f64) {
    assert!((got - wanted).abs() <= within, "{got} is not {wanted} ± {within}");
}

/// JCGM 100:2008, table 1, taken as millimetres.
const TABLE_1: &str = "98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72 mm";

#[test]
fn what_was_measured_again_is_judged_by_its_mean() {
    let mut made = made();
    let limit = made.limit("bore", None, Some("101 mm"), None);
    let gauge = made.gauge("rule", "0.5 mm");
    let alone = made.device.make::<Reading>(ReadingFields {
        value: "96.90 mm".into(),
        again: TABLE_1.into(),
        limit: Given::Put(limit.clone()),
        ..made.fields()
    });
    // Mean 100.145, s/√n 0.333; 19 degrees of freedom: k = 2.14 (table G.2).
    let (mean, expanded) = made.mean(&alone);
    near(mean, 100.145, 0.000_5);
    near(expanded, 2.14 * 0.333, 0.002);
    assert!(
        made.verdict(&alone).words.contains("mean of 20")
            && made.verdict(&alone).words.contains("far the values lie apart"),
        "{}",
        made.verdict(&alone).words
    );
    // With the instrument's U = 0.5, k = 2: √(0.333² + 0.25²) = 0.4164; G.4.1: 19 · (0.4164/0.333)⁴ = 46.5 degrees, so
    // the row of 45: k = 2.06.
    let with = made.device.make::<Reading>(ReadingFields {
        value: "96.90 mm".into(),
        again: TABLE_1.into(),
        limit: Given::Put(limit),
        instrument: Given::Put(gauge.clone()),
        ..made.fields()
    });
    near(made.mean(&with).1, 2.06 * 0.4164, 0.003);
    // Three values: 2 degrees of freedom, k = 4.53; s = 0.01, s/√3 = 0.005774.
    let few = made.device.make::<Reading>(ReadingFields {
        value: "0.21 mm".into(),
        again: "0.22, 0.20 mm".into(),
        ..made.fields()
    });
    near(made.mean(&few).1, 4.53 * 0.005_774, 0.000_05);
}

#[test]
fn few_values_that_lie_apart_can_be_too_close_where_one_would_be_called() {
    let mut made = made();
    let limit = made.limit("gap", None, Some("0.24 mm"), None);
    let gauge = made.gauge("dial", "0.004 mm");
    let mut reads = |again: &str| {
        let again = if again.is_empty() {
            Given::Leave
        } else {
            again.into()
        };
        made.device.make::<Reading>(ReadingFields {
            value: "0.21 mm".into(),
            again,
            limit: Given::Put(limit.clone()),
            instrument: Given::Put(gauge.clone()),
            what: "gap".into(),
            about: Given::Put(part(&made.block)),
            on: Given::Put(day("2031-03-01")),
            ..Default::default()
        })
    };
    let (once, steady, spread) = (reads(""), reads("0.21, 0.211 mm"), reads("0.25, 0.17 mm"));
    assert_eq!(made.verdict(&once).word, VerdictWord::InLimits);
    assert_eq!(made.verdict(&steady).word, VerdictWord::InLimits);
    let verdict = made.verdict(&spread);
    assert_eq!(verdict.word, VerdictWord::TooCloseToCall, "{}", verdict.words);
    assert!(verdict.words.contains("lie too far apart"), "{}", verdict.words);
}

/// A and B over three heights: out-of-round 0.052, taper 0.082.
const GRID: &str = "85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm";

#[test]
fn a_grid_is_judged_by_what_its_limits_judge() {
    let mut made = made();
    let size = made.limit(
        "bore size",
        Some("85.50 mm"),
        Some("85.60 mm"),
        Some(Property::Size),
    );
    let round = made.limit("bore oval", None, Some("0.05 mm"), Some(Property::OutOfRound));
    let taper = made.limit("bore taper", None, Some("0.10 mm"), Some(Property::Taper));
    let torque = made.limit("nuts", None, Some("40 N·m"), None);
    let gauge = made.gauge("bore gauge", "0.001 mm");
    let reading = made.device.make::<Reading>(ReadingFields {
        grid: GRID.into(),
        grid_names: "top, middle, bottom; across, along".into(),
        instrument: Given::Put(gauge),
        limit: Given::Put(size.clone()),
        more_limits: Given::Put(vec![round.clone(), taper.clone(), torque]),
        ..made.fields()
    });
    let measured = Measured::of(made.entry(&reading)).unwrap();
    let Points::Grid(grid) = &measured.points else {
        unreachable!("it was typed as a grid")
    };
    near(grid.out_of_round().unwrap().1, 0.052, 1e-9);
    near(grid.taper().unwrap().1, 0.082, 1e-9);

    let judge = Judge::of(made.device.record.view());
    let judged = judge.each(made.entry(&reading), &measured);
    let by = |limit: &Id| {
        let one = judged.iter().find(|one| &one.bounds.entry.id == limit).unwrap();
        (one.verdict.word, one.verdict.words.clone())
    };
    // A limit of another kind says nothing.
    assert_eq!(judged.len(), 3);
    let (word, words) = by(&size);
    assert_eq!(word, VerdictWord::AboveLimits);
    assert!(
        words.contains("above the limit by 0.012 mm") && words.contains("top, across"),
        "{words}"
    );
    let (word, words) = by(&round);
    assert_eq!(word, VerdictWord::AboveLimits);
    assert!(
        words.contains("out-of-round 0.052 mm") && words.contains("at top"),
        "{words}"
    );
    let (word, words) = by(&taper);
    assert_eq!(word, VerdictWord::InLimits);
    assert!(
        words.contains("taper 0.082 mm") && words.contains("across"),
        "{words}"
    );
    // In all: the gravest, and by which limit.
    let all = made.verdict(&reading);
    assert_eq!(all.word, VerdictWord::AboveLimits);
    assert!(all.words.starts_with("bore size: "), "{}", all.words);
}

/// ISO 14253-1's example, for a difference: with U = 0.02/√2 a value, the difference has u = 0.01, so 0.0836 is the most
/// that is in limits of 0.10.
#[test]
fn a_difference_of_two_readings_is_known_less_well_than_one() {
    let mut made = made();
    let round = made.limit("oval", None, Some("0.10 mm"), Some(Property::OutOfRound));
    let size = made.limit("size", None, Some("80.10 mm"), None);
    let gauge = made.gauge("gauge", "0.014142 mm");
    for (widest, wanted) in [
        ("80.083", VerdictWord::InLimits),
        ("80.084", VerdictWord::TooCloseToCall),
        ("80.116", VerdictWord::TooCloseToCall),
        ("80.117", VerdictWord::AboveLimits),
    ] {
        let reading = made.device.make::<Reading>(ReadingFields {
            grid: format!("{widest}, 80.000 mm").as_str().into(),
            instrument: Given::Put(gauge.clone()),
            limit: Given::Put(round.clone()),
            ..made.fields()
        });
        let verdict = made.verdict(&reading);
        assert_eq!(verdict.word, wanted, "{widest}: {}", verdict.words);
    }
    // A single value has u = 0.00707: 80.088 of 80.10 is called, as 1.645 · 0.00707 = 0.0116.
    let one = made.device.make::<Reading>(ReadingFields {
        value: "80.088 mm".into(),
        instrument: Given::Put(gauge),
        limit: Given::Put(size),
        ..made.fields()
    });
    assert_eq!(made.verdict(&one).word, VerdictWord::InLimits);
}

#[test]
fn how_cold_it_was_is_said_and_never_corrected() {
    let mut made = made();
    let limit = made.limit("bore", None, Some("100.05 mm"), None);
    let gauge = made.gauge("gauge", "0.002 mm");
    let mut reads = |temperature: &str| {
        let id = made.device.make::<Reading>(ReadingFields {
            value: "100 mm".into(),
            temperature: temperature.into(),
            instrument: Given::Put(gauge.clone()),
            limit: Given::Put(limit.clone()),
            ..made.fields()
        });
        made.verdict(&id)
    };
    // 11.5·10⁻⁶ · 100 mm · 10 K = 0.0115 mm, which is shown as 0.011 or 0.012.
    let cold = reads("10 °C");
    assert!(
        cold.words.contains("20 °C (ISO 1)")
            && (cold.words.contains("0.011 mm smaller") || cold.words.contains("0.012 mm smaller")),
        "{}",
        cold.words
    );
    assert!(reads("86 °F").words.contains("larger"), "30 °C is as far away");
    // Exactly 5 K away is not more than 5 K.
    for near in ["15 °C", "25 °C", "20 °C"] {
        assert!(!reads(near).words.contains("ISO 1"), "{near}");
    }
    // The word is that of the value as it was read.
    assert_eq!(cold.word, reads("20 °C").word);
    assert!(cold.words.contains("in limits by 0.050 mm"), "{}", cold.words);
}

fn steps(device: &mut Device, reading: &Id) -> Vec<record::verdict::VerdictStep> {
    let past = record::past::Strands::of_log(&device.record.log_rows());
    record::verdict::steps(device.record.view(), &past, reading)
}

#[test]
fn the_history_of_a_verdict_says_who_changed_what_and_what_came_of_it() {
    let mut made = made();
    let limit = made.limit("end float", None, Some("0.30 mm"), None);
    let gauge = made.gauge("dial", "0.002 mm");
    let reading = made.device.make::<Reading>(ReadingFields {
        value: "0.27 mm".into(),
        limit: Given::Put(limit.clone()),
        instrument: Given::Put(gauge.clone()),
        ..made.fields()
    });
    let mut child = Device::joining("child", 52, &made.device, None);
    child.now = made.device.now + 600;
    child.change::<Limit>(
        &limit,
        LimitFields {
            high: "0.25 mm".into(),
            page: "C11".into(),
            ..Default::default()
        },
    );
    // Not what a verdict hangs on.
    child.change::<Limit>(
        &limit,
        LimitFields {
            book: "the manual".into(),
            ..Default::default()
        },
    );
    meet(&mut made.device, &mut child);
    made.device.now = child.now + 600;
    made.device.change::<Instrument>(
        &gauge,
        InstrumentFields {
            uncertainty: "0.2 mm".into(),
            ..Default::default()
        },
    );
    meet(&mut made.device, &mut child);

    let told = steps(&mut made.device, &reading);
    assert_eq!(told, steps(&mut child, &reading), "both devices tell it alike");
    let words: Vec<(&str, VerdictWord)> = told
        .iter()
        .map(|step| (step.words.as_str(), step.verdict.as_ref().unwrap().word))
        .collect();
    assert_eq!(
        words,
        [
            ("entered: 0.27 mm with 'dial'", VerdictWord::InLimits),
            (
                "limit 'end float': high changed from 0.30 mm to 0.25 mm",
                VerdictWord::AboveLimits
            ),
            (
                "instrument 'dial': uncertainty changed from 0.002 mm to 0.2 mm",
                VerdictWord::TooCloseToCall
            ),
        ]
    );
    assert_eq!(told[1].stamp.device.as_ref(), Some(&child.device));

    // Two values put apart are told as such, on both alike.
    for (device, high) in [(&mut made.device, "0.35 mm"), (&mut child, "0.40 mm")] {
        device.change::<Limit>(
            &limit,
            LimitFields {
                high: high.into(),
                ..Default::default()
            },
        );
    }
    meet(&mut made.device, &mut child);
    let told = steps(&mut made.device, &reading);
    assert_eq!(told, steps(&mut child, &reading));
    assert_eq!(told.len(), 5);
    assert!(
        told[4].words.contains("two values for high: 0.35 mm and 0.40 mm"),
        "{}",
        told[4].words
    );
}
