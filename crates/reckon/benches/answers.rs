//! How long a reading and an answer take: a screen answers while a person types, so each must be far below a frame.
//!
//! Run with `cargo bench -p reckon`, about half a minute; prints each time beside its bar and fails where one is over it. Every
//! calculation is measured: one without an example here fails too. It never runs under `cargo xtask test`.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "the bench macro makes an undocumented main"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::hint::black_box;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group};
use reckon::uncertainty::{Limits, Uncertainty, judge};
use reckon::{Expect, Preferences, Typed, calculations, parse, parse_any, reckon};

/// What a reading or an answer may take.
const ANSWER: Duration = Duration::from_micros(50);
/// What a solver may take, and 2,000 verdicts.
const SOLVER: Duration = Duration::from_millis(5);

/// What was measured: the name, the median, the bar.
static MEASURED: Mutex<Vec<(String, Duration, Duration)>> = Mutex::new(Vec::new());

/// Runs that are timed together: short enough that another program seldom comes between.
const TOGETHER: u64 = 8;

/// Measures `work`, and keeps the median of short stretches for the table: criterion's own means are those of the whole machine.
fn measure<T>(bench: &mut Criterion, name: &str, bar: Duration, work: impl Fn() -> T) {
    let mut stretches = Vec::new();
    bench.bench_function(name, |b| {
        b.iter_custom(|count| {
            let mut took = Duration::ZERO;
            let mut left = count;
            while left > 0 {
                let now = left.min(TOGETHER);
                let start = Instant::now();
                for _ in 0..now {
                    black_box(work());
                }
                let stretch = start.elapsed();
                stretches.push(stretch.div_f64(now as f64));
                took += stretch;
                left -= now;
            }
            took
        });
    });
    stretches.sort_unstable();
    // Nothing was measured where a name was asked for and it is another.
    if let Some(median) = stretches.get(stretches.len() / 2) {
        MEASURED.lock().unwrap().push((name.to_owned(), *median, bar));
    }
}

fn typed(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect()
}

fn reading(bench: &mut Criterion) {
    measure(bench, "read 12 thou", ANSWER, || {
        parse(black_box("12 thou"), Expect::length())
    });
    measure(bench, "read 1 3/8\" of any kind", ANSWER, || {
        parse_any(black_box("1 3/8\""))
    });
    measure(bench, "ask about 12 oz", ANSWER, || parse_any(black_box("12 oz")));
    measure(bench, "read a kept value", ANSWER, || {
        Typed::from_kept(black_box("12 thou = 0.3048 mm"))
    });
}

/// One full example of each calculation.
const EXAMPLES: &[(&str, &str)] = &[
    (
        "displacement",
        "bore=77 mm|stroke=64 mm|cylinders=4|chamber=40 cc|wanted_ratio=9|rpm=4000 rpm",
    ),
    (
        "clearance",
        "bore=77.02 mm|inner=76.975 mm|low=0.03 mm|high=0.07 mm|bore_instrument=bore_gauge|inner_instrument=micrometer_100",
    ),
    (
        "wear",
        "grid=85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm|nominal=85.5 mm|round_limit=0.05 mm|instrument=bore_gauge",
    ),
    ("ring_gap", "bore=77 mm|gap=0.21 mm|low=0.30 mm|high=0.45 mm"),
    ("hone", "bore=77 mm|turning=200 rpm|stroke=120 mm|cycles=60"),
    (
        "lash",
        "shim=2.65 mm|measured=0.32 mm|wanted=0.20 mm|state=cold|stock=2.70, 2.75, 2.80 mm",
    ),
    ("torque", "thread=M10x1.25|class=8.8|friction=0.12|torque=45 N·m"),
    ("tightening", "shape=circle|bolts=16|torque=60 N·m"),
    ("bolt_strength", "thread=M10"),
    (
        "thread_strip",
        "thread=M8|engagement=10 mm|class=8.8|strength=200 MPa",
    ),
    ("aircraft_torque", "thread=1/4-28"),
    ("thread_identify", "diameter=6 mm|pitch=1 mm"),
    ("tap_drill", "thread=M8|drill=6.8 mm"),
    ("dwell", "cylinders=4|dwell=50 deg|rpm=3000 rpm"),
    ("rim_mark", "diameter=170 mm|angle=10 deg"),
    ("wire", "current=10 A|length=5 m|back=wire|area=2.5 mm²"),
    ("fuse", "power=55 W|area=1 mm²"),
    ("resistor", "supply=12 V|wanted=6 V|current=2 A"),
    (
        "hydraulics",
        "foot=220 N|pedal_long=250 mm|pedal_short=31 mm|master=25.4 mm|wheel=22 mm",
    ),
    ("drum", "new=228.6 mm|measured=229.4 mm"),
    ("tyre", "size=185/70R14|other=195/65R15"),
    ("gearing", "diameter=610 mm|axle=4.1|speed=100 km/h"),
    ("speedometer", "true_speed=50 km/h|shown=54 km/h"),
    ("coolant", "capacity=8 L|present=33 %|wanted=50 %"),
    ("paint", "solids=50 %|dry=50 µm|area=4 m²"),
    (
        "heat_fit",
        "diameter=30 mm|material=steel|interference=18 µm|part=open_bearing",
    ),
    ("iso_fit", "nominal=50 mm|hole=H8|shaft=f7"),
    ("vehicle_number", "number=1M8GDM9AXKP042788"),
    (
        "verdict",
        "reading=50.012 mm|low=49.98 mm|high=50.02 mm|instrument=micrometer",
    ),
    ("repeated", "readings=50.012, 50.014, 50.011 mm"),
    (
        "agree",
        "first=50.01 mm|second=50.03 mm|first_instrument=micrometer|second_instrument=caliper",
    ),
    ("combined", "parts=5, 3 µm"),
    ("feelers", "gap=0.35 mm"),
];

/// The solvers at the sizes they must bear: eight bores with three kinds of rings, twelve pistons for twelve bores, up to five shims
/// of twelve thicknesses.
const SOLVERS: &[(&str, &str)] = &[
    (
        "ring_plan",
        "bores=77.02, 77.03, 77.00, 77.05, 77.01, 77.04, 77.02, 77.03 mm|gauge=77 mm|low=0.30 mm|high=0.45 mm\
         |top=0.21, 0.24, 0.19, 0.26, 0.22, 0.25, 0.20, 0.23 mm|second=0.31, 0.28, 0.29, 0.36, 0.22, 0.35, 0.30, 0.33 mm\
         |oil=0.41, 0.34, 0.39, 0.36, 0.32, 0.35, 0.40, 0.33 mm",
    ),
    (
        "select_fit",
        "bores=77.020, 77.031, 77.024, 77.027, 77.022, 77.029, 77.026, 77.021, 77.033, 77.030, 77.025, 77.028 mm\
         |inners=76.975, 76.983, 76.971, 76.979, 76.977, 76.981, 76.973, 76.985, 76.970, 76.978, 76.982, 76.976 mm|low=0.03 mm|high=0.07 mm",
    ),
    (
        "shim_pack",
        "stock=0.10, 0.12, 0.15, 0.18, 0.20, 0.22, 0.25, 0.28, 0.30, 0.35, 0.40, 0.50 mm|thickness=1.11 mm|repeats=any|most_shims=5",
    ),
];

fn answering(bench: &mut Criterion) {
    let preferences = Preferences::default();
    let examples = EXAMPLES.iter().map(|example| (example, ANSWER));
    let solvers = SOLVERS.iter().map(|example| (example, SOLVER));
    let mut answered = BTreeSet::new();
    for ((name, arguments), bar) in examples.chain(solvers) {
        let pairs: Vec<(&str, &str)> = arguments
            .split('|')
            .map(|pair| pair.split_once('=').unwrap())
            .collect();
        let arguments = typed(&pairs);
        answered.insert(*name);
        measure(bench, &format!("answer {name}"), bar, || {
            reckon(name, black_box(&arguments), &preferences).unwrap()
        });
    }
    let all: BTreeSet<&str> = calculations()
        .iter()
        .map(|calculation| calculation.name)
        .collect();
    assert_eq!(answered, all, "every calculation is measured");
}

fn judging(bench: &mut Criterion) {
    let limits = Limits::new(Some(49.98), Some(50.02)).unwrap();
    let readings: Vec<f64> = (0..2_000).map(|at| 49.95 + f64::from(at) * 0.000_05).collect();
    measure(bench, "2,000 verdicts", SOLVER, || {
        readings
            .iter()
            .filter(|reading| {
                judge(black_box(**reading), limits, Uncertainty::standard(0.003))
                    .decides
                    .is_some()
            })
            .count()
    });
}

criterion_group! {
    name = benches;
    // Few samples and short ones: the bars are far from what is measured, and fifty names must not take long.
    config = Criterion::default()
        .without_plots()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(100))
        .measurement_time(Duration::from_millis(300))
        .nresamples(1_000)
        .configure_from_args();
    targets = reading, answering, judging
}

fn main() {
    benches();
    let measured = MEASURED.lock().unwrap();
    println!("{:<28} {:>12} {:>12}", "", "median", "bar");
    for (name, median, bar) in measured.iter() {
        let over = if median > bar { "  OVER" } else { "" };
        println!("{name:<28} {median:>12.1?} {bar:>12.1?}{over}");
    }
    // Unoptimised, a time says nothing.
    if !cfg!(debug_assertions) && measured.iter().any(|(_, median, bar)| median > bar) {
        std::process::exit(1);
    }
}
