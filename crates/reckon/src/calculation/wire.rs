//! The voltage that a wire loses, and the smallest wire that loses no more than allowed and carries the current.
//!
//! Never picks a wire by its drop alone: a short thin one would glow before it loses a volt.

use super::{Argument, Calculation, Choice, Danger, Given, LENGTH, Place, Want};
use crate::answer::{Line, Refusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::electric::{CABLES, awg_area, awg_diameter, resistance_of};
use crate::quantity::{Area, Current, Kind, Length, Temperature, Unit, Voltage};

const RETURNS: &[Choice] = &[
    Choice {
        name: "chassis",
        words: "through the chassis: the wire counts once",
    },
    Choice {
        name: "wire",
        words: "through a second wire: the length counts twice",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "wire",
    title: "Wire and voltage drop",
    place: Place::Electrics,
    about: "What a wire loses, and the smallest wire that loses no more than allowed and carries the current.",
    arguments: &[
        Argument::new("current", "I", "the current", Want::Quantity(Kind::Current))
            .required()
            .within(0.01, 500.0)
            .usually(0.1, 60.0)
            .such_as("10 A", "10 A"),
        Argument::new("length", "L", "the length of the wire, one way", LENGTH)
            .required()
            .within(10.0, 30_000.0)
            .such_as("5 m", "16 ft"),
        Argument::new("back", "", "how the current goes back", Want::Choice(RETURNS))
            .required()
            .such_as("wire", "chassis"),
        Argument::new("area", "A", "the wire there is", Want::Quantity(Kind::Area))
            .within(0.05, 120.0)
            .such_as("2.5 mm²", "2.5 mm²"),
        Argument::new("gauge", "", "the wire there is, as an AWG number", Want::Whole)
            .within(0.0, 30.0)
            .such_as("14", "14"),
        Argument::new(
            "voltage",
            "U",
            "the voltage of the system",
            Want::Quantity(Kind::Voltage),
        )
        .within(1.0, 60.0)
        .or("12 V")
        .such_as("12 V", "12 V"),
        Argument::new(
            "allowed",
            "",
            "the drop allowed, as a part of the voltage",
            Want::Number,
        )
        .within(0.001, 0.2)
        .usually(0.01, 0.1)
        .or("3 %")
        .such_as("3 %", "3 %"),
        Argument::new(
            "temperature",
            "",
            "the temperature of the wire",
            Want::Quantity(Kind::Temperature),
        )
        .within(-40.0, 150.0)
        .or("20 °C")
        .such_as("60 °C", "140 °F"),
    ],
    dangers: &[Danger::Electrical],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let (current, length): (Current, Length) = (given.need("current")?, given.need("length")?);
    let voltage: Voltage = given.need("voltage")?;
    let warm = given.need::<Temperature>("temperature")?.in_c();
    let there_and_back = if given.choice("back") == Some("wire") {
        length * 2.0
    } else {
        length
    };
    let allowed = Voltage::from_v(voltage.in_v() * given.need_number("allowed")?);
    // Copper's resistance rises by 0.00393 of itself a kelvin (IEC 60028).
    let warmer = 1.0 + 0.003_93 * (warm - 20.0);
    let drop =
        |per_km: f64| Voltage::from_v(per_km * there_and_back.in_m() / 1_000.0 * current.in_a() * warmer);
    own_wire(given, sheet, &drop, voltage, allowed)?;
    let fits: Vec<_> = CABLES
        .iter()
        .filter(|cable| {
            drop(cable.ohm_per_km) <= allowed && cable.carries.is_none_or(|carries| current.in_a() <= carries)
        })
        .collect();
    match fits.first() {
        Some(cable) => {
            sheet.value_in("smallest", "smallest wire within the drop allowed", Area::from_mm2(cable.area_mm2), Unit::SquareMillimetre);
            sheet.value("smallest_drop", "drop on it", drop(cable.ohm_per_km));
        }
        None => sheet.warning("none", "No wire listed is thick enough: shorten it, use a relay nearer by, or two wires with their own fuses."),
    }
    sheet.value("allowed", "drop allowed", allowed);
    let lines: Vec<Line> = CABLES
        .iter()
        .map(|cable| {
            let lost = drop(cable.ohm_per_km);
            let hot = cable.carries.is_some_and(|carries| current.in_a() > carries);
            let why = match (hot, lost > allowed) {
                (true, _) => "too thin for the current",
                (_, true) => "loses more than allowed",
                _ => "fits",
            };
            let drop = sheet.cell("drop", "drop", lost);
            let words = format!("{} mm²: loses {}", cable.area_mm2, drop.text);
            let mut values = vec![
                raw_cell("area", "area", cable.area_mm2, Unit::SquareMillimetre),
                drop,
            ];
            if let Some(carries) = cable.carries {
                values.push(raw_cell("carries", "carries", carries, Unit::Ampere));
            }
            line(words, why, values)
        })
        .collect();
    sheet.table("wires", "what each wire does", lines);
    sheet.formula(
        "drop",
        "voltage drop",
        "U = I · R · length, there and back unless the chassis returns; R · (1 + 0.00393 · (t − 20 °C))",
    );
    sheet.source(
        "iec_60228",
        "IEC 60228, class 5: resistance of flexible copper at 20 °C (0.75, 25 and 35 mm² from memory)",
        Standing::Published,
    );
    sheet.source(
        "carries",
        "what a bundled wire carries: IEC 60364-5-52, method A1, written down from memory; below 1.5 mm² common practice",
        Standing::FromMemory,
    );
    sheet.source(
        "allowed",
        "3 % for lamps, up to 5 % for others",
        Standing::CommonPractice,
    );
    sheet.condition(
        "joints",
        "Joints, switches and a rusty earth lose more than the wire: measure the drop under load.",
    );
    sheet.condition("bundle", "For a bundled wire at about 30 °C; near the engine or wound up it carries less. The wire maker's own table wins.");
    sheet.condition(
        "starter",
        "A starter's cable carries for seconds only and is chosen by its drop: the maker's size wins.",
    );
    sheet.condition(
        "fuse",
        "The fuse protects the wire: never above what the wire carries.",
    );
    Ok(())
}

/// What the wire at hand loses.
fn own_wire(
    given: &Given,
    sheet: &mut Sheet,
    drop: &impl Fn(f64) -> Voltage,
    voltage: Voltage,
    allowed: Voltage,
) -> Result<(), Refusal> {
    let area = given.get::<Area>("area");
    let gauge = given.number("gauge");
    let (area, per_km) = match (area, gauge) {
        (None, None) => return Ok(()),
        (Some(_), Some(_)) => {
            return Err(Refusal::of(
                RefusalCode::Impossible,
                "gauge",
                "Give the wire by its area or by its gauge, not both.",
            ));
        }
        (Some(area), None) => (area, resistance_of(area)),
        (None, Some(gauge)) => {
            let area = awg_area(gauge);
            sheet.value(
                "gauge_diameter",
                "diameter of that gauge, solid",
                awg_diameter(gauge),
            );
            sheet.source(
                "astm_b258",
                "ASTM B258: d = 0.005 · 92^((36 − n)/39) in; solid copper",
                Standing::Published,
            );
            (area, crate::electric::solid_resistance(area))
        }
    };
    let lost = drop(per_km);
    sheet.value("drop", "drop on the wire there is", lost);
    sheet.raw(
        "drop_percent",
        "the same as a part of the voltage",
        lost.in_v() / voltage.in_v() * 100.0,
        Unit::Percent,
    );
    sheet.value_in("area", "area of the wire", area, Unit::SquareMillimetre);
    sheet.number("ohm_per_km", "resistance in Ω/km at 20 °C", per_km);
    let carries = CABLES
        .iter()
        .rev()
        .find(|cable| cable.area_mm2 <= area.in_mm2() + 1e-9)
        .and_then(|cable| cable.carries);
    let current: Current = given.need("current")?;
    if carries.is_none_or(|carries| current.in_a() > carries) {
        sheet.warning(
            "too_thin",
            "That wire is too thin to carry the current steadily in a bundle: it may burn. Take a thicker one.",
        );
    }
    if lost > allowed {
        sheet.warning(
            "drop",
            format!("It loses more than allowed ({}).", sheet.text(allowed)),
        );
    }
    Ok(())
}
