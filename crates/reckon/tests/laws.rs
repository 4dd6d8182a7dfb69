//! More is more where physics says so, and less where it says less: one row a law, each held over its whole range. A failure prints its
//! seed; `RECKON_SEED=n` runs that seed again.
//!
//! Never says how much more: the check values do.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::{ask, value_in};
use proptest::prelude::*;
use reckon::Unit;

fn value(name: &str, arguments: &str, key: &str, unit: Unit) -> f64 {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{name} {arguments}: {refusal}"));
    value_in(&answer, key, unit)
}

/// A law: the calculation, its arguments with `#` where the amount stands, from and to which it may be, the answer, its unit, and whether
/// more gives more.
type Law = (&'static str, &'static str, f64, f64, &'static str, Unit, bool);

/// Derived from the formulas. Every amount is in the unit that stands behind it.
const LAWS: &[Law] = &[
    (
        "displacement",
        "bore=# mm; stroke=70 mm; cylinders=4",
        30.0,
        240.0,
        "displacement",
        Unit::CubicCentimetre,
        true,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=# mm; cylinders=4",
        30.0,
        240.0,
        "displacement",
        Unit::CubicCentimetre,
        true,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=70 mm; cylinders=4; chamber=# cc",
        20.0,
        120.0,
        "compression_ratio",
        Unit::One,
        false,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=70 mm; cylinders=4; chamber=40 cc; deck=# mm",
        -5.0,
        20.0,
        "compression_ratio",
        Unit::One,
        false,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=70 mm; cylinders=4; chamber=40 cc; dish=# cc",
        0.0,
        60.0,
        "compression_ratio",
        Unit::One,
        false,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=70 mm; cylinders=4; wanted_ratio=#",
        4.0,
        20.0,
        "chamber_wanted",
        Unit::CubicCentimetre,
        false,
    ),
    (
        "displacement",
        "bore=70 mm; stroke=70 mm; cylinders=4; rpm=# rpm",
        300.0,
        12_000.0,
        "piston_speed",
        Unit::MetrePerSecond,
        true,
    ),
    (
        "ring_gap",
        "bore=# mm",
        30.0,
        240.0,
        "gap_low",
        Unit::Millimetre,
        true,
    ),
    (
        "ring_gap",
        "bore=77 mm; gap=0.31 mm; bore_at_gap=77 mm; bore_widest=# mm",
        77.0,
        77.5,
        "gap_widest",
        Unit::Millimetre,
        true,
    ),
    (
        "clearance",
        "bore=# mm; inner=76.9 mm",
        76.9,
        78.0,
        "clearance",
        Unit::Millimetre,
        true,
    ),
    (
        "hone",
        "bore=77 mm; turning=200 rpm; stroke=120 mm; cycles=#",
        5.0,
        200.0,
        "angle",
        Unit::Degree,
        true,
    ),
    (
        "hone",
        "bore=77 mm; turning=# rpm; stroke=120 mm; cycles=60",
        50.0,
        900.0,
        "angle",
        Unit::Degree,
        false,
    ),
    (
        "lash",
        "shim=2.65 mm; measured=# mm; wanted=0.20 mm; state=cold",
        0.0,
        2.0,
        "shim",
        Unit::Millimetre,
        true,
    ),
    // A thicker shim leaves less lash, up to 2.97 mm, which leaves none and is not offered.
    (
        "lash",
        "shim=2.65 mm; measured=0.32 mm; wanted=0.20 mm; state=cold; stock=# mm",
        0.5,
        2.96,
        "lash_nearest",
        Unit::Millimetre,
        false,
    ),
    // Hotter gives more room, and so does a colder part that goes in.
    (
        "heat_fit",
        "diameter=62 mm; material=aluminium; interference=40 µm; hot=# °C",
        20.0,
        390.0,
        "play",
        Unit::Micrometre,
        true,
    ),
    (
        "heat_fit",
        "diameter=62 mm; material=steel; other_material=bronze; interference=40 µm; hot=90 °C; room=# °C",
        -100.0,
        60.0,
        "play",
        Unit::Micrometre,
        false,
    ),
    (
        "torque",
        "torque=# N·m; thread=M8; class=8.8; lubrication=dry",
        1.0,
        500.0,
        "preload_by_nut_factor",
        Unit::Kilonewton,
        true,
    ),
    (
        "torque",
        "torque=# N·m; diameter=10 mm; factor=0.2",
        1.0,
        500.0,
        "preload_by_nut_factor",
        Unit::Kilonewton,
        true,
    ),
    (
        "torque",
        "torque=50 N·m; diameter=10 mm; factor=#",
        0.06,
        0.5,
        "preload_by_nut_factor",
        Unit::Kilonewton,
        false,
    ),
    (
        "torque",
        "preload=# kN; diameter=10 mm; factor=0.2",
        1.0,
        500.0,
        "torque_by_nut_factor",
        Unit::NewtonMetre,
        true,
    ),
    (
        "torque",
        "thread=M10; torque=# N·m; friction=0.12",
        1.0,
        500.0,
        "preload_by_friction",
        Unit::Kilonewton,
        true,
    ),
    (
        "torque",
        "thread=M10; preload=20 kN; friction=#",
        0.04,
        0.4,
        "torque_by_friction",
        Unit::NewtonMetre,
        true,
    ),
    (
        "torque",
        "thread=M10; class=8.8; friction=#",
        0.04,
        0.4,
        "preload_at_yield",
        Unit::Kilonewton,
        false,
    ),
    (
        "torque",
        "torque=50 N·m; wrench_length=400 mm; adapter_length=# mm",
        1.0,
        900.0,
        "wrench_setting",
        Unit::NewtonMetre,
        false,
    ),
    (
        "thread_strip",
        "thread=M8; engagement=# mm",
        1.0,
        100.0,
        "shear_area",
        Unit::SquareMillimetre,
        true,
    ),
    (
        "dwell",
        "cylinders=4; dwell=# deg",
        1.0,
        89.0,
        "dwell_percent",
        Unit::Percent,
        true,
    ),
    (
        "dwell",
        "cylinders=4; rpm=# rpm",
        60.0,
        12_000.0,
        "sparks",
        Unit::One,
        true,
    ),
    (
        "dwell",
        "cylinders=4; rpm=# rpm",
        60.0,
        12_000.0,
        "between",
        Unit::Millisecond,
        false,
    ),
    (
        "rim_mark",
        "diameter=# mm; angle=10 deg",
        50.0,
        500.0,
        "arc",
        Unit::Millimetre,
        true,
    ),
    (
        "rim_mark",
        "diameter=170 mm; angle=# deg",
        1.0,
        350.0,
        "arc",
        Unit::Millimetre,
        true,
    ),
    (
        "wire",
        "current=# A; length=3 m; back=wire; area=4 mm²",
        0.1,
        400.0,
        "drop",
        Unit::Volt,
        true,
    ),
    (
        "wire",
        "current=10 A; length=# m; back=wire; area=4 mm²",
        0.1,
        30.0,
        "drop",
        Unit::Volt,
        true,
    ),
    (
        "wire",
        "current=10 A; length=3 m; back=wire; area=4 mm²; insulation=cross_linked; temperature=# °C",
        -40.0,
        89.0,
        "drop",
        Unit::Volt,
        true,
    ),
    // A thicker wire resists less, and so loses less.
    (
        "wire",
        "current=10 A; length=3 m; back=wire; area=# mm²",
        40.0,
        120.0,
        "drop",
        Unit::Volt,
        false,
    ),
    (
        "wire",
        "current=10 A; length=3 m; back=wire; area=# mm²",
        40.0,
        120.0,
        "ohm_per_km",
        Unit::One,
        false,
    ),
    ("fuse", "power=# W", 1.0, 400.0, "wanted", Unit::Ampere, true),
    (
        "resistor",
        "supply=12 V; wanted=6 V; current=# A",
        0.1,
        100.0,
        "resistance",
        Unit::Ohm,
        false,
    ),
    (
        "resistor",
        "supply=12 V; wanted=6 V; current=# A",
        0.1,
        100.0,
        "power",
        Unit::Watt,
        true,
    ),
    (
        "hydraulics",
        "foot=# N; pedal_long=250 mm; pedal_short=50 mm; master=20 mm",
        20.0,
        1_500.0,
        "pressure",
        Unit::Bar,
        true,
    ),
    (
        "hydraulics",
        "foot=200 N; pedal_long=250 mm; pedal_short=50 mm; master=# mm",
        10.0,
        60.0,
        "pressure",
        Unit::Bar,
        false,
    ),
    (
        "hydraulics",
        "foot=200 N; pedal_long=250 mm; pedal_short=50 mm; master=20 mm; wheel=# mm",
        10.0,
        90.0,
        "force_ratio",
        Unit::One,
        true,
    ),
    (
        "drum",
        "new=# mm; measured=230 mm",
        221.0,
        230.0,
        "discard",
        Unit::Millimetre,
        true,
    ),
    (
        "gearing",
        "diameter=600 mm; axle=4; speed=# km/h",
        5.0,
        300.0,
        "rpm",
        Unit::Rpm,
        true,
    ),
    (
        "gearing",
        "diameter=# mm; axle=4; speed=80 km/h",
        250.0,
        1_400.0,
        "rpm",
        Unit::Rpm,
        false,
    ),
    (
        "speedometer",
        "true_speed=# km/h",
        5.0,
        300.0,
        "most",
        Unit::KilometrePerHour,
        true,
    ),
    (
        "coolant",
        "capacity=# L; present=30 %; wanted=50 %",
        1.0,
        90.0,
        "drain",
        Unit::Litre,
        true,
    ),
    (
        "coolant",
        "capacity=8 L; present=10 %; wanted=# %",
        12.0,
        90.0,
        "drain",
        Unit::Litre,
        true,
    ),
    (
        "paint",
        "solids=50 %; dry=# µm",
        10.0,
        900.0,
        "coverage",
        Unit::One,
        false,
    ),
    (
        "paint",
        "solids=# %; dry=50 µm",
        10.0,
        100.0,
        "wet",
        Unit::Micrometre,
        false,
    ),
    (
        "heat_fit",
        "diameter=100 mm; material=steel; hot=# °C",
        30.0,
        390.0,
        "grows",
        Unit::Micrometre,
        true,
    ),
    (
        "heat_fit",
        "diameter=# mm; material=steel; interference=10 µm",
        10.0,
        450.0,
        "warmer",
        Unit::Kelvin,
        false,
    ),
    (
        "agree",
        "first=50 mm; second=50.01 mm; first_uncertainty=# mm; second_uncertainty=0.01 mm",
        0.001,
        90.0,
        "en",
        Unit::One,
        false,
    ),
    (
        "verdict",
        "reading=50 mm; low=49.9 mm; high=50.1 mm; uncertainty=# mm",
        0.05,
        90.0,
        "probability",
        Unit::Percent,
        false,
    ),
    (
        "combined",
        "parts=# µm, 3 µm",
        0.1,
        90_000.0,
        "standard",
        Unit::Micrometre,
        true,
    ),
];

proptest! {
    #![proptest_config(seed::cases(1_500))]

    /// Where physics says more, it is more; where it says less, less.
    #[test]
    fn more_is_more(at in 0.0..0.99_f64, further in 0.001..1.0_f64) {
        // One law a case, so that each comes about thirty times.
        let law = ((at * 1e6) as usize) % LAWS.len();
        let (name, arguments, least, most, key, unit, rises) = LAWS[law];
        let amount = |part: f64| arguments.replace('#', &format!("{:.6}", least + (most - least) * part));
        let (less, more) = (amount(at), amount(at + (1.0 - at) * further));
        let (below, above) = (value(name, &less, key, unit), value(name, &more, key, unit));
        if rises {
            prop_assert!(below < above, "{name}: {less} gives {below}, {more} gives {above}");
        } else {
            prop_assert!(below > above, "{name}: {less} gives {below}, {more} gives {above}");
        }
    }
}

/// The laws each hold over their whole range at its ends, so that none of them is written down in vain.
#[test]
fn every_law_is_asked() {
    for (name, arguments, least, most, key, unit, rises) in LAWS {
        let at = |amount: f64| value(name, &arguments.replace('#', &format!("{amount:.6}")), key, *unit);
        let (below, above) = (at(*least), at(*most));
        assert_eq!(below < above, *rises, "{name} {arguments}: {below} to {above}");
    }
}
