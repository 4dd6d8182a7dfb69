//! Displacement, compression ratio and mean piston speed, with the inverse answers: what chamber a wanted ratio needs and
//! how much to machine off, what bore a wanted displacement needs, what each oversize does.
//!
//! Never says whether a ratio suits a fuel or an engine.

use std::f64::consts::PI;

use super::{Argument, BenchPlace, Calculation, Given, LENGTH, VOLUME, Want, in_order};
use crate::answer::{AT_20_C, ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Area, Kind, Length, Speed, Turning, Unit, Volume};

/// Ratios outside this are not those of a spark engine or a diesel; a slip is likelier.
const RATIO: (f64, f64) = (3.0, 25.0);

pub(super) const CALCULATION: Calculation = Calculation {
    name: "displacement",
    title: "Displacement and compression",
    place: BenchPlace::BottomEnd,
    about: "What the cylinders sweep, the compression ratio, and what a rebore or a planed head does to both.",
    arguments: &[
        Argument::new("bore", "B", "the bore", LENGTH)
            .required()
            .within(20.0, 250.0)
            .usually(40.0, 140.0)
            .such_as("77.0 mm", "3.031 in"),
        Argument::new("stroke", "S", "the stroke", LENGTH)
            .required()
            .within(20.0, 250.0)
            .usually(40.0, 160.0)
            .such_as("64.0 mm", "2.520 in"),
        Argument::new("cylinders", "N", "the number of cylinders", Want::Whole)
            .required()
            .within(1.0, 16.0)
            .such_as("4", "4"),
        Argument::new("chamber", "V", "the volume of one chamber in the head", VOLUME)
            .within(0.1, 2_000.0)
            .usually(10.0, 200.0)
            .such_as("40 cm³", "2.44 in³"),
        Argument::new(
            "gasket_thickness",
            "t",
            "the thickness of the gasket, squeezed",
            LENGTH,
        )
        .within(0.0, 10.0)
        .usually(0.1, 3.0)
        .such_as("1.2 mm", "0.047 in"),
        Argument::new("gasket_bore", "Bg", "the bore of the gasket", LENGTH)
            .within(20.0, 270.0)
            .such_as("81 mm", "3.19 in"),
        Argument::new(
            "deck",
            "h",
            "how far the piston stays below the block's face (minus: stands proud)",
            LENGTH,
        )
        .within(-10.0, 30.0)
        .usually(-1.0, 5.0)
        .such_as("0.5 mm", "0.020 in"),
        Argument::new("dish", "D", "the volume of the dish in the piston", VOLUME)
            .within(0.0, 500.0)
            .such_as("6 cm³", "0.37 in³"),
        Argument::new("dome", "U", "the volume of the dome on the piston", VOLUME)
            .within(0.0, 500.0)
            .such_as("4 cm³", "0.24 in³"),
        Argument::new("wanted_ratio", "CR", "the compression ratio wanted", Want::Number)
            .within(RATIO.0, RATIO.1)
            .usually(6.0, 12.0)
            .such_as("9.0", "9.0"),
        Argument::new(
            "face_area",
            "A",
            "the area of the chamber at the head's face",
            Want::Quantity(Kind::Area),
        )
        .within(100.0, 50_000.0)
        .such_as("4200 mm²", "6.5 in²"),
        Argument::new("wanted_displacement", "Vt", "the displacement wanted", VOLUME)
            .within(10.0, 100_000.0)
            .such_as("1300 cm³", "79 in³"),
        Argument::new("rpm", "n", "the turning speed", Want::Quantity(Kind::Turning))
            .within(1.0, 20_000.0)
            .usually(300.0, 8_000.0)
            .such_as("4000 rpm", "4000 rpm"),
    ],
    dangers: &[],
    contradictions: &[
        // A gasket that reaches into the cylinder burns: its bore is the cylinder's or more.
        in_order("bore", "gasket_bore"),
    ],
    run,
};

/// What `cylinders` of this bore and stroke sweep: π/4·B²·S·N.
fn swept(bore: Length, stroke: Length, cylinders: f64) -> Volume {
    bore.circle() * stroke * cylinders
}

/// The compression ratio (Vs + Vc)/Vc of one cylinder's swept and clearance volume.
fn compression_ratio(swept: Volume, clearance: Volume) -> f64 {
    (swept + clearance) / clearance
}

/// The mean piston speed 2·S·n.
fn piston_speed(stroke: Length, turning: Turning) -> Speed {
    Speed::from_m_s(2.0 * stroke.in_m() * turning.in_turn_s())
}

/// The bore at which `cylinders` of this stroke sweep `wanted`.
fn bore_for(wanted: Volume, stroke: Length, cylinders: f64) -> Length {
    let area = Area::from_mm2(wanted.in_mm3() / (stroke.in_mm() * cylinders));
    Length::from_mm((area.in_mm2() * 4.0 / PI).sqrt())
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let bore: Length = given.need("bore")?;
    let stroke: Length = given.need("stroke")?;
    let cylinders = given.need_number("cylinders")?;
    let total = swept(bore, stroke, cylinders);
    let one = swept(bore, stroke, 1.0);
    let (unit, other) = if sheet.inch() {
        (Unit::CubicInch, Unit::CubicCentimetre)
    } else {
        (Unit::CubicCentimetre, Unit::CubicInch)
    };
    sheet.value_in("displacement", "displacement", total, unit);
    sheet.value_in(
        "displacement_other",
        "displacement, in the other units",
        total,
        other,
    );
    sheet.value_in(
        "displacement_nominal",
        "displacement in whole cm³, as it is named",
        whole(total),
        Unit::CubicCentimetre,
    );
    sheet.value_in("swept", "swept by one cylinder", one, unit);
    sheet.formula("displacement", "displacement", "V = π/4 · B² · S · N");
    sheet.source(
        "nominal_displacement",
        "40 CFR 86.419-78(a)(1): displacement from nominal dimensions, to the whole cm³",
        Standing::Published,
    );
    sheet.condition(
        "nominal",
        "Nominal dimensions give the named displacement; a worn or rebored engine sweeps more.",
    );
    sheet.condition(AT_20_C.0, AT_20_C.1);

    compression(given, sheet, bore, one)?;
    if let Some(wanted) = given.get::<Volume>("wanted_displacement") {
        wanted_bore(sheet, wanted, bore, stroke, cylinders)?;
    }
    if let Some(turning) = given.get::<Turning>("rpm") {
        let unit = sheet.pick(Unit::MetrePerSecond, Unit::FootPerMinute);
        sheet.value_in(
            "piston_speed",
            "mean piston speed",
            piston_speed(stroke, turning),
            unit,
        );
        sheet.formula("piston_speed", "mean piston speed", "v = 2 · S · n");
        sheet.source(
            "piston_speed",
            "follows from two strokes a turn",
            Standing::Derived,
        );
    }
    oversizes(sheet, bore, stroke, cylinders, total);
    Ok(())
}

/// To the nearest whole cm³.
fn whole(volume: Volume) -> Volume {
    Volume::from_cm3(volume.in_cm3().round())
}

/// What the gasket, the deck and the piston's crown add to the chamber.
fn beside_chamber(given: &Given, bore: Length) -> Volume {
    let length = |name: &str| given.get::<Length>(name).unwrap_or_default();
    let volume = |name: &str| given.get::<Volume>(name).unwrap_or_default();
    let gasket_bore = given.get::<Length>("gasket_bore").unwrap_or(bore);
    gasket_bore.circle() * length("gasket_thickness") + bore.circle() * length("deck") + volume("dish")
        - volume("dome")
}

/// Says what was not given and so counts as nought: each moves the ratio.
fn as_nought(given: &Given, sheet: &mut Sheet) {
    let parts = [
        ("gasket_thickness", "gasket"),
        ("deck", "deck"),
        ("dish", "dish"),
        ("dome", "dome"),
    ];
    let left: Vec<&str> = parts
        .into_iter()
        .filter(|(name, _)| !given.has(name))
        .map(|(_, words)| words)
        .collect();
    let listed = match left.split_last() {
        None => return,
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    };
    sheet.condition("as_nought", format!("Not given, and taken as nought: {listed}."));
}

fn compression(given: &Given, sheet: &mut Sheet, bore: Length, one: Volume) -> Result<(), ReckonRefusal> {
    let chamber = given.get::<Volume>("chamber");
    let wanted = given.number("wanted_ratio");
    let parts = [
        "gasket_thickness",
        "gasket_bore",
        "deck",
        "dish",
        "dome",
        "face_area",
    ];
    if chamber.is_none() && wanted.is_none() {
        return match parts.into_iter().find(|part| given.has(part)) {
            Some(_) => Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "chamber",
                "The volume of one chamber in the head is needed for a compression ratio, or the ratio wanted.",
            )),
            None => Ok(()),
        };
    }
    let beside = beside_chamber(given, bore);
    sheet.formula(
        "compression_ratio",
        "compression ratio",
        "CR = (Vs + Vc) / Vc, Vs = π/4 · B² · S",
    );
    sheet.formula(
        "clearance",
        "clearance volume",
        "Vc = V + π/4 · Bg² · t + π/4 · B² · h + D − U",
    );
    sheet.source("compression_ratio", "follows from the volumes", Standing::Derived);
    as_nought(given, sheet);
    if given.has("gasket_thickness") && !given.has("gasket_bore") {
        sheet.condition("gasket_bore", "The gasket's bore is taken to be the cylinder's.");
    }
    sheet.condition(
        "ring_lands",
        "The small volume round the piston above the top ring is left out.",
    );
    if let Some(chamber) = chamber {
        let clearance = chamber + beside;
        if clearance <= Volume::default() {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "chamber",
                "The clearance volume must be more than nought; the dome or the proud piston takes all of it.",
            ));
        }
        let ratio = compression_ratio(one, clearance);
        if !(RATIO.0..=RATIO.1).contains(&ratio) {
            return Err(ReckonRefusal::of(
                RefusalCode::OutOfRange,
                "chamber",
                format!(
                    "The compression ratio must be from {} to {}; it comes to {ratio:.1}.",
                    RATIO.0, RATIO.1
                ),
            ));
        }
        sheet.number("compression_ratio", "compression ratio, to 1", ratio);
        sheet.value("clearance", "clearance volume of one cylinder", clearance);
    }
    match wanted {
        Some(wanted) => wanted_chamber(given, sheet, bore, one, chamber, beside, wanted),
        None => Ok(()),
    }
}

fn wanted_chamber(
    given: &Given,
    sheet: &mut Sheet,
    bore: Length,
    one: Volume,
    chamber: Option<Volume>,
    beside: Volume,
    wanted: f64,
) -> Result<(), ReckonRefusal> {
    let needed = one / (wanted - 1.0) - beside;
    if needed <= Volume::default() {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "wanted_ratio",
            "No chamber is small enough for that ratio: gasket, deck and dish take more than all of it.",
        ));
    }
    sheet.value("chamber_wanted", "chamber volume for the ratio wanted", needed);
    sheet.formula(
        "chamber_wanted",
        "chamber for a wanted ratio",
        "V = Vs / (CR − 1) − (Vc − V)",
    );
    let Some(chamber) = chamber else { return Ok(()) };
    let less = chamber - needed;
    sheet.value("chamber_change", "to take from the chamber (minus: to add)", less);
    if less > Volume::default() {
        let face = given.get::<Area>("face_area");
        let depth = less / face.unwrap_or_else(|| bore.circle());
        sheet.value("machine_off", "to machine off the head's face", depth);
        sheet.formula("machine_off", "what to machine off", "depth = (V − V wanted) / A");
        if face.is_none() {
            sheet.condition(
                "face_area",
                "The chamber at the head's face is taken to be as large as the bore; measure it.",
            );
        }
        sheet.caution((
            "planing",
            "Planing a head has limits: valve to piston, gasket, cam timing and the head's strength. Measure them first.",
        ));
    }
    Ok(())
}

fn wanted_bore(
    sheet: &mut Sheet,
    wanted: Volume,
    bore: Length,
    stroke: Length,
    cylinders: f64,
) -> Result<(), ReckonRefusal> {
    let needed = bore_for(wanted, stroke, cylinders);
    if !(20.0..=250.0).contains(&needed.in_mm()) {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "wanted_displacement",
            format!(
                "The bore must be from {} to {}; that displacement needs {}.",
                sheet.text(Length::from_mm(20.0)),
                sheet.text(Length::from_mm(250.0)),
                sheet.text(needed)
            ),
        ));
    }
    sheet.value("bore_wanted", "bore for the displacement wanted", needed);
    sheet.value("bore_change", "more than the present bore", needed - bore);
    sheet.formula(
        "bore_wanted",
        "bore for a wanted displacement",
        "B = √(4 · Vt / (π · S · N))",
    );
    Ok(())
}

/// The usual oversizes, in mm or in inches, with the key of each.
fn oversize_steps(inch: bool) -> [(&'static str, Length); 4] {
    if inch {
        [
            ("oversize_0_010_in", Length::from_inch(0.010)),
            ("oversize_0_020_in", Length::from_inch(0.020)),
            ("oversize_0_030_in", Length::from_inch(0.030)),
            ("oversize_0_040_in", Length::from_inch(0.040)),
        ]
    } else {
        [
            ("oversize_0_25_mm", Length::from_mm(0.25)),
            ("oversize_0_50_mm", Length::from_mm(0.50)),
            ("oversize_0_75_mm", Length::from_mm(0.75)),
            ("oversize_1_00_mm", Length::from_mm(1.00)),
        ]
    }
}

fn oversizes(sheet: &mut Sheet, bore: Length, stroke: Length, cylinders: f64, total: Volume) {
    for (key, step) in oversize_steps(sheet.inch()) {
        let larger = swept(bore + step, stroke, cylinders);
        let words = format!(
            "displacement {} oversize, {} more",
            sheet.text(step),
            sheet.text(larger - total)
        );
        sheet.value(key, words, larger);
    }
    sheet.source(
        "oversizes",
        "oversizes of 0.25, 0.50, 0.75 and 1.00 mm, or 0.010, 0.020, 0.030 and 0.040 in",
        Standing::CommonPractice,
    );
}
