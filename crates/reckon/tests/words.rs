//! Nothing dangerous without its words: every calculation is answered once, in full, and what it says is held against what it is
//! about. A new calculation with no example here fails.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

mod ask;

use std::collections::BTreeSet;

use ask::{ask, ask_in, inch};
use reckon::{Answer, BenchPlace, Calculation, Danger, calculation, calculations};

/// One full example of each calculation; several where it answers in several ways.
const EXAMPLES: &[(&str, &str)] = &[
    (
        "displacement",
        "bore=77 mm; stroke=64 mm; cylinders=4; chamber=30 cc; wanted_ratio=9.5; rpm=4000 rpm",
    ),
    (
        "clearance",
        "bore=77.02 mm; inner=76.975 mm; low=0.03 mm; high=0.07 mm",
    ),
    (
        "shim_pack",
        "stock=0.24x2, 0.30, 0.36 mm; measured=1.04 mm; wanted=0.14 mm",
    ),
    (
        "wear",
        "grid=85.612, 85.560\n85.530, 85.520 mm; nominal=85.5 mm; round_limit=0.05 mm; instrument=bore_gauge",
    ),
    ("ring_gap", "bore=77 mm; gap=0.21 mm"),
    (
        "ring_plan",
        "bores=77.02, 77.00 mm; top=0.21, 0.24 mm; low=0.3 mm; high=0.45 mm",
    ),
    ("select_fit", "bores=77.020, 77.031 mm; inners=76.975, 76.983 mm"),
    ("hone", "bore=77 mm; turning=200 rpm; stroke=120 mm; cycles=60"),
    (
        "lash",
        "shim=2.65 mm; measured=0.32 mm; wanted=0.20 mm; state=cold",
    ),
    ("torque", "torque=54 N·m"),
    (
        "torque",
        "torque=54 N·m; wrench_length=400 mm; adapter_length=50 mm",
    ),
    ("torque", "preload=25 kN; diameter=10 mm; lubrication=oiled"),
    (
        "torque",
        "thread=M10x1.25; class=8.8; friction=0.12; torque=45 N·m",
    ),
    ("tightening", "shape=circle; bolts=8; torque=60 N·m"),
    ("tightening", "shape=rectangle; rows=2; columns=5"),
    ("bolt_strength", "thread=M10"),
    (
        "thread_strip",
        "thread=M8; engagement=10 mm; class=8.8; strength=200 MPa",
    ),
    ("aircraft_torque", "thread=1/4-28"),
    ("thread_identify", "diameter=6 mm; pitch=1 mm"),
    ("tap_drill", "thread=M8; drill=6.8 mm"),
    ("dwell", "cylinders=4; dwell=50 deg; rpm=3000 rpm"),
    ("rim_mark", "diameter=170 mm; angle=10 deg"),
    ("wire", "current=10 A; length=5 m; back=wire; area=2.5 mm²"),
    ("fuse", "power=55 W; area=1 mm²"),
    ("resistor", "supply=12 V; wanted=6 V; current=2 A"),
    (
        "hydraulics",
        "foot=220 N; pedal_long=250 mm; pedal_short=31 mm; master=25.4 mm; wheel=22 mm",
    ),
    ("drum", "new=228.6 mm; measured=229.4 mm"),
    ("tyre", "size=185/70R14; other=195/65R15"),
    ("gearing", "diameter=610 mm; axle=4.1; speed=100 km/h"),
    ("speedometer", "true_speed=50 km/h; shown=54 km/h"),
    ("coolant", "capacity=8 L; present=33 %; wanted=50 %"),
    ("paint", "solids=50 %; dry=50 µm; area=4 m²"),
    ("paint", "parts=4, 1, 1; mixed=1.2 L"),
    (
        "heat_fit",
        "diameter=30 mm; material=steel; interference=18 µm; part=open_bearing",
    ),
    ("iso_fit", "nominal=50 mm; hole=H8; shaft=f7"),
    ("vehicle_number", "number=1M8GDM9AXKP042788"),
    (
        "verdict",
        "reading=50.012 mm; low=49.98 mm; high=50.02 mm; instrument=micrometer",
    ),
    ("repeated", "readings=50.012, 50.014, 50.011 mm"),
    (
        "agree",
        "first=50.01 mm; second=50.03 mm; first_instrument=micrometer; second_instrument=caliper",
    ),
    ("combined", "parts=5, 3 µm"),
    ("feelers", "gap=0.35 mm"),
];

/// What a calculation at this place must warn of, whatever it says of itself.
fn must_warn(place: BenchPlace) -> &'static [Danger] {
    match place {
        BenchPlace::Fasteners | BenchPlace::Threads => &[Danger::Torque],
        BenchPlace::Electrics => &[Danger::Electrical],
        BenchPlace::Ignition => &[Danger::Ignition],
        BenchPlace::HeatAndFits => &[Danger::Springs],
        BenchPlace::BrakesAndWheels => &[Danger::Lifting],
        BenchPlace::Gearing => &[Danger::Wheels],
        _ => &[],
    }
}

/// Words in a calculation's name, title or account of itself that tell of a danger.
const TELLING: &[(&str, &[Danger])] = &[
    ("brake", &[Danger::Brakes, Danger::Lifting]),
    ("drum", &[Danger::Brakes, Danger::Lifting]),
    ("tyre", &[Danger::Wheels]),
    ("steering", &[Danger::Steering]),
    ("end play", &[Danger::Steering]),
    ("jack", &[Danger::Lifting]),
    ("lift", &[Danger::Lifting]),
    ("paint", &[Danger::Paint]),
    ("coolant", &[Danger::Coolant]),
    ("torque", &[Danger::Torque]),
    ("wire", &[Danger::Electrical]),
    ("fuse", &[Danger::Electrical]),
    ("volt", &[Danger::Electrical]),
    ("heat", &[Danger::Heat]),
    ("hone", &[Danger::Abrasive]),
];

fn says(answer: &Answer, danger: Danger) -> bool {
    let (key, words) = danger.caution();
    answer
        .cautions
        .iter()
        .any(|caution| caution.key == key && caution.words == words)
}

/// What is dangerous about an answer, by itself: torques, voltages, currents.
fn by_its_units(answer: &Answer) -> Option<Danger> {
    let lines = answer
        .tables
        .iter()
        .flat_map(|table| &table.lines)
        .flat_map(|line| &line.values);
    let units: BTreeSet<&str> = answer
        .values
        .iter()
        .chain(lines)
        .map(|value| value.unit.as_ref())
        .collect();
    if ["N·m", "lbf·ft", "lbf·in", "kgf·m"]
        .iter()
        .any(|unit| units.contains(unit))
    {
        return Some(Danger::Torque);
    }
    ["V", "A", "Ω", "W"]
        .iter()
        .any(|unit| units.contains(unit))
        .then_some(Danger::Electrical)
}

#[test]
fn every_calculation_is_here() {
    let examples: BTreeSet<&str> = EXAMPLES.iter().map(|(name, _)| *name).collect();
    let all: BTreeSet<&str> = calculations()
        .iter()
        .map(|calculation| calculation.name)
        .collect();
    assert_eq!(examples, all);
    assert!(all.len() >= 36, "{} calculations", all.len());
}

/// What the answers of each calculation must warn of, written down a second time and by hand: a danger that is lost beside a calculation
/// is missed here. A calculation that is not among these hurts nobody by its answer.
const DANGEROUS: &[(&str, &[Danger])] = &[
    ("torque", &[Danger::Torque, Danger::Yield]),
    ("tightening", &[Danger::Torque, Danger::Yield]),
    ("bolt_strength", &[Danger::Torque]),
    ("thread_strip", &[Danger::Torque]),
    ("aircraft_torque", &[Danger::Torque]),
    ("thread_identify", &[Danger::Torque]),
    ("tap_drill", &[Danger::Torque]),
    ("hydraulics", &[Danger::Brakes, Danger::Lifting]),
    ("drum", &[Danger::Brakes, Danger::Lifting]),
    ("tyre", &[Danger::Wheels, Danger::Lifting]),
    ("gearing", &[Danger::Wheels]),
    ("speedometer", &[Danger::Wheels]),
    // End play of a steering box or a wheel bearing; a reading of anything.
    ("shim_pack", &[Danger::Steering]),
    ("verdict", &[Danger::Steering]),
    ("wire", &[Danger::Electrical]),
    ("fuse", &[Danger::Electrical]),
    ("resistor", &[Danger::Electrical]),
    ("dwell", &[Danger::Ignition]),
    ("rim_mark", &[Danger::Ignition]),
    ("lash", &[Danger::Ignition]),
    ("paint", &[Danger::Paint]),
    ("coolant", &[Danger::Coolant]),
    ("heat_fit", &[Danger::Heat, Danger::Springs]),
    ("iso_fit", &[Danger::Springs]),
    ("hone", &[Danger::Abrasive]),
    ("ring_plan", &[Danger::Abrasive]),
    ("wear", &[Danger::Abrasive]),
];

/// Every danger that this answer must name: by the list above, by what the calculation says of itself, by its place, by the words it is
/// described with, and by its units.
fn dangers_of(calculation: &Calculation, answer: &Answer) -> BTreeSet<Danger> {
    let told = format!("{} {} {}", calculation.name, calculation.title, calculation.about).to_lowercase();
    let listed = DANGEROUS
        .iter()
        .filter(|(name, _)| *name == calculation.name)
        .flat_map(|(_, dangers)| *dangers);
    let telling = TELLING
        .iter()
        .filter(|(word, _)| told.contains(word))
        .flat_map(|(_, dangers)| *dangers);
    listed
        .chain(calculation.dangers)
        .chain(must_warn(calculation.place))
        .chain(telling)
        .copied()
        .chain(by_its_units(answer))
        .collect()
}

/// What a dangerous answer lacks, in words; nothing for one that hurts nobody.
fn lacks(calculation: &Calculation, answer: &Answer) -> Vec<String> {
    let wanted = dangers_of(calculation, answer);
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut lacks: Vec<String> = wanted
        .iter()
        .filter(|danger| !says(answer, **danger))
        .map(|danger| format!("caution of {danger:?}"))
        .collect();
    if answer.conditions.is_empty() {
        lacks.push("condition".to_owned());
    }
    if answer.sources.is_empty() {
        lacks.push("source".to_owned());
    }
    if by_its_units(answer) == Some(Danger::Torque) {
        for condition in ["lubrication", "grade"] {
            if !answer.conditions.iter().any(|note| note.key == condition) {
                lacks.push(format!("condition of {condition}"));
            }
        }
    }
    lacks
}

#[test]
fn nothing_dangerous_without_its_words() {
    let (mut dangerous, mut seen) = (0, BTreeSet::new());
    for (name, arguments) in EXAMPLES {
        let calculation = calculation(name).unwrap();
        for answer in [ask(name, arguments), ask_in(name, arguments, &inch())] {
            let answer = answer.unwrap_or_else(|refusal| panic!("{name} {arguments}: {refusal}"));
            assert_eq!(
                lacks(calculation, &answer),
                Vec::<String>::new(),
                "{name} {arguments}"
            );
            let wanted = dangers_of(calculation, &answer);
            dangerous += usize::from(!wanted.is_empty());
            seen.extend(wanted);
            // And the test can tell: without any one of them, or without conditions or sources, the same answer fails.
            for danger in dangers_of(calculation, &answer) {
                let mut bare = answer.clone();
                bare.cautions.retain(|note| note.key != danger.caution().0);
                assert!(
                    !lacks(calculation, &bare).is_empty(),
                    "{name}: {danger:?} is not missed"
                );
                // Weaker words in the same place are not the words.
                let mut weak = answer.clone();
                for note in weak
                    .cautions
                    .iter_mut()
                    .filter(|note| note.key == danger.caution().0)
                {
                    note.words = "Take care.".into();
                }
                assert!(
                    !lacks(calculation, &weak).is_empty(),
                    "{name}: {danger:?} is not read"
                );
                for part in ["condition", "source"] {
                    let mut bare = answer.clone();
                    match part {
                        "condition" => bare.conditions.clear(),
                        _ => bare.sources.clear(),
                    }
                    assert!(
                        lacks(calculation, &bare).contains(&part.to_owned()),
                        "{name}: {part}"
                    );
                }
            }
        }
    }
    assert!(dangerous >= 2 * 29, "{dangerous} dangerous answers");
    assert_eq!(seen.len(), Danger::ALL.len(), "every danger comes: {seen:?}");
    for (name, dangers) in DANGEROUS {
        let calculation = calculation(name).unwrap_or_else(|| panic!("there is no {name}"));
        for danger in *dangers {
            assert!(calculation.dangers.contains(danger), "{name}: {danger:?} is gone");
        }
    }
    for calculation in calculations().iter().filter(|one| !one.dangers.is_empty()) {
        assert!(
            DANGEROUS.iter().any(|(name, _)| *name == calculation.name),
            "{} is dangerous and not listed here",
            calculation.name
        );
    }
}

#[test]
fn every_answer_carries_what_it_must_not_be_shown_without() {
    for (name, arguments) in EXAMPLES {
        let answer = ask(name, arguments).unwrap();
        assert!(
            !answer.values.is_empty() && !answer.sources.is_empty() && !answer.formulas.is_empty(),
            "{name}"
        );
        assert!(!answer.conditions.is_empty(), "{name}");
        for key in ["manual_wins", "not_fitness"] {
            assert!(
                answer.cautions.iter().any(|caution| caution.key == key),
                "{name}: {key}"
            );
        }
        for source in &answer.sources {
            assert!(source.words.len() > 8, "{name}: {}", source.words);
        }
        // A float may come back from its text a last bit off; the words and the shape may not.
        let json = serde_json::to_string(&answer).unwrap();
        let back = serde_json::from_str::<Answer>(&json).unwrap();
        let told = |answer: &Answer| {
            let lines = answer.tables.iter().flat_map(|table| &table.lines);
            let values = answer
                .values
                .iter()
                .chain(lines.clone().flat_map(|line| &line.values));
            let values: Vec<String> = values
                .map(|value| format!("{} {} {}", value.key, value.words, value.text))
                .collect();
            let lines: Vec<String> = lines.map(|line| format!("{} {}", line.words, line.why)).collect();
            (
                values,
                lines,
                answer.verdicts.clone(),
                answer.inputs.len(),
                answer.cautions.clone(),
            )
        };
        assert_eq!(told(&back), told(&answer), "{name}");
    }
}

/// The dangers that can kill defer to local law and licensed practice, in so many words.
#[test]
fn the_cautions_defer() {
    for danger in [
        Danger::Torque,
        Danger::Brakes,
        Danger::Wheels,
        Danger::Steering,
        Danger::Lifting,
        Danger::Electrical,
        Danger::Paint,
    ] {
        let (_, words) = danger.caution();
        let folded = words.to_lowercase();
        assert!(
            folded.contains("local law and licensed practice come first"),
            "{danger:?}: {words}"
        );
    }
    let keys: BTreeSet<&str> = Danger::ALL.iter().map(|danger| danger.caution().0).collect();
    assert_eq!(keys.len(), Danger::ALL.len());
    let said = |danger: Danger, what: &str| assert!(danger.caution().1.contains(what), "{danger:?}: {what}");
    said(Danger::Paint, "air-fed breathing apparatus");
    said(Danger::Brakes, "asbestos");
    said(Danger::Electrical, "earth lead off the battery first");
    said(Danger::Heat, "magnesium");
    said(Danger::Lifting, "stands");
    said(Danger::Springs, "goggles");
}
