//! The voltage that a wire loses, and the smallest wire that loses no more than allowed and carries the current.
//!
//! Never picks a wire by its drop alone: a short thin one would glow before it loses a volt. Never parts a load over wires side by
//! side: when one opens, the other carries it all. Never lets a wire carry as much where it is hot as where it is cool.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want, same};
use crate::answer::{Line, ReckonRefusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::electric::{CABLES, Cable, awg_area, awg_diameter, bears_for, resistance_of, warm_factor};
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

const USES: &[Choice] = &[
    Choice {
        name: "steady",
        words: "a steady load: lamps, a fan, an ignition",
    },
    Choice {
        name: "starter",
        words: "a starter's cable: for seconds at a time",
    },
];

/// Insulations: name, words, and the heat that each bears in °C. Source: IEC 60364-5-52, table 52.1, from memory.
const INSULATIONS: &[Choice] = &[
    Choice {
        name: "pvc",
        words: "PVC, or not known: bears 70 °C",
    },
    Choice {
        name: "cross_linked",
        words: "cross-linked (XLPE, EPR): bears 90 °C",
    },
];

/// The heat that an insulation bears, in °C.
fn bears_heat(insulation: Option<&str>) -> (&'static str, f64) {
    match insulation {
        Some("cross_linked") => ("Cross-linked insulation", 90.0),
        _ => ("PVC insulation", 70.0),
    }
}

/// A starter that is turned again and again, in s: common practice, no source.
const CRANKING: f64 = 30.0;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "wire",
    title: "Wire and voltage drop",
    place: BenchPlace::Electrics,
    about: "What a wire loses, and the smallest wire that loses no more than allowed and carries the current.",
    arguments: &[
        Argument::new("current", "I", "the current", Want::Quantity(Kind::Current))
            .required()
            .within(0.01, 500.0)
            .usually(0.1, 500.0)
            .such_as("10 A", "10 A"),
        Argument::new("use", "", "what the wire feeds", Want::Choice(USES))
            .or("steady")
            .such_as("steady", "starter"),
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
        Argument::new("gauge", "", "the wire there is, as an AWG number", Want::Gauge)
            .within(-3.0, 30.0)
            .such_as("13", "13"),
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
            "how warm it is where the wire runs",
            Want::Quantity(Kind::Temperature),
        )
        .within(-40.0, 150.0)
        .or("20 °C")
        .such_as("60 °C", "140 °F"),
        Argument::new(
            "insulation",
            "",
            "what the wire is insulated with",
            Want::Choice(INSULATIONS),
        )
        .or("pvc")
        .such_as("pvc", "cross_linked"),
    ],
    dangers: &[Danger::Electrical],
    contradictions: &[same("area", "gauge", Kind::Area, 0.05, |given| {
        let area: Area = given.get("area")?;
        Some((area.in_mm2(), awg_area(given.number("gauge")?).in_mm2()))
    })],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let (current, length): (Current, Length) = (given.need("current")?, given.need("length")?);
    let voltage: Voltage = given.need("voltage")?;
    let warm = given.need::<Temperature>("temperature")?.in_c();
    let there_and_back = if given.choice("back") == Some("wire") {
        length * 2.0
    } else {
        length
    };
    let allowed = Voltage::from_v(voltage.in_v() * given.need_number("allowed")?);
    let (insulation, most) = bears_heat(given.choice("insulation"));
    let Some(factor) = warm_factor(warm, most) else {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "temperature",
            format!(
                "{insulation} bears no more than {}: so warm it carries nothing. Lay the wire where it is cooler, or take one whose maker rates it for that heat, and ask the maker's table.",
                sheet.text(Temperature::from_c(most))
            ),
        ));
    };
    // Copper's resistance rises by 0.00393 of itself a kelvin (IEC 60028).
    let warmer = 1.0 + 0.003_93 * (warm - 20.0);
    let drop =
        |per_km: f64| Voltage::from_v(per_km * there_and_back.in_m() / 1_000.0 * current.in_a() * warmer);
    let load = Load {
        current,
        starter: given.choice("use") == Some("starter"),
        factor,
    };
    own_wire(given, sheet, &drop, voltage, allowed, load)?;
    let fits: Vec<_> = CABLES
        .iter()
        .filter(|cable| drop(cable.ohm_per_km) <= allowed && load.borne_by(cable))
        .collect();
    match fits.first() {
        Some(cable) => {
            sheet.value_in(
                "smallest",
                "smallest wire within the drop allowed",
                Area::from_mm2(cable.area_mm2),
                Unit::SquareMillimetre,
            );
            sheet.value("smallest_drop", "drop on it", drop(cable.ohm_per_km));
        }
        None => none(sheet, load),
    }
    sheet.value("allowed", "drop allowed", allowed);
    if factor < 1.0 {
        warm_words(sheet, factor);
    }
    let lines: Vec<Line> = CABLES
        .iter()
        .map(|cable| {
            let lost = drop(cable.ohm_per_km);
            let hot = !load.borne_by(cable);
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
                let carries = carries * factor;
                values.push(raw_cell("carries", "carries", carries, Unit::Ampere));
            }
            line(words, why, values)
        })
        .collect();
    sheet.table("wires", "what each wire does", lines);
    rests_on(sheet, load);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet, load: Load) {
    sheet.formula(
        "drop",
        "voltage drop",
        "U = I · R · length, there and back unless the chassis returns; R · (1 + 0.00393 · (t − 20 °C))",
    );
    sheet.source(
        "iec_60228",
        "IEC 60228, class 5: resistance of flexible copper at 20 °C (0.75 mm² and from 25 mm² on from memory)",
        Standing::Published,
    );
    sheet.source("carries", RATINGS_FROM, Standing::FromMemory);
    sheet.source(
        "allowed",
        "3 % for lamps, up to 5 % for others",
        Standing::CommonPractice,
    );
    sheet.condition(
        "joints",
        "Joints, switches and a rusty earth lose more than the wire: measure the drop under load.",
    );
    sheet.condition("ratings", RATINGS_ARE);
    if load.starter {
        sheet.condition(
            "starter",
            "A starter's cable carries for seconds only: chosen by its drop, and never thinner than bears half a minute of it. The maker's size wins.",
        );
        sheet.source(
            "bears",
            "I · √t / 115 for PVC-insulated copper, IEC 60364-4-43, written down from memory; 30 s of cranking is common practice",
            Standing::FromMemory,
        );
        sheet.formula("bears", "area for half a minute", "A = I · √(30 s) / 115");
    } else {
        sheet.condition(
            "starter",
            "Not for a starter's cable, which carries for seconds only: say so, and it is chosen by its drop.",
        );
    }
    sheet.condition(
        "fuse",
        "The fuse protects the wire: never above what the wire carries.",
    );
}

/// Says by how much less a wire carries where it is so warm.
fn warm_words(sheet: &mut Sheet, factor: f64) {
    sheet.raw(
        "warm_factor",
        "of its rating it carries, where it is so warm",
        factor * 100.0,
        Unit::Percent,
    );
    sheet.formula(
        "warm",
        "where it is warmer than 30 °C",
        "carries · √((t most − t)/(t most − 30 °C))",
    );
    sheet.source(
        "warm",
        "IEC 60364-5-52, table B.52.14: PVC 0.87 at 40 °C, 0.71 at 50 °C, 0.50 at 60 °C; cross-linked 0.91 at 40 °C; between them by the formula, which comes to the same",
        Standing::FromMemory,
    );
}

/// What the ratings in this file are of, and where they come from; the fuse's wire is rated by them too.
pub(super) const RATINGS_ARE: &str = "What a wire carries is its steady rating: one of two loaded copper wires with PVC insulation (70 °C), closed in together, at 30 °C around them, by a standard for buildings. In a thick loom, near the engine or wound up it carries less; the wire maker's own table wins.";
pub(super) const RATINGS_FROM: &str =
    "what a wire carries: IEC 60364-5-52, method A1, written down from memory; below 1.5 mm² common practice";

/// What the wire has to carry, and for how long.
#[derive(Clone, Copy)]
struct Load {
    current: Current,
    starter: bool,
    /// The part of its rating that a wire carries where it is so warm.
    factor: f64,
}

impl Load {
    /// Does a wire of this area and rating bear it?
    fn borne(self, area_mm2: f64, carries: Option<f64>) -> bool {
        if self.starter {
            return area_mm2 >= bears_for(self.current, CRANKING).in_mm2();
        }
        carries.is_some_and(|carries| self.current.in_a() <= carries * self.factor)
    }

    fn borne_by(self, cable: &Cable) -> bool {
        self.borne(cable.area_mm2, cable.carries)
    }
}

/// No wire of the list will do.
fn none(sheet: &mut Sheet, load: Load) {
    let words = if load.starter {
        "No wire listed is thick enough: shorten it, or ask the starter's maker. Never two thinner ones side by side."
    } else {
        "No wire listed is thick enough: shorten it, or use a relay nearer by. Never part one load over wires side by side: when one opens, the other carries it all and may burn."
    };
    sheet.warning("none", words);
}

/// What the wire at hand loses.
fn own_wire(
    given: &Given,
    sheet: &mut Sheet,
    drop: &impl Fn(f64) -> Voltage,
    voltage: Voltage,
    allowed: Voltage,
    load: Load,
) -> Result<(), ReckonRefusal> {
    let area = given.get::<Area>("area");
    let gauge = given.number("gauge");
    let (area, per_km) = match (area, gauge) {
        (None, None) => return Ok(()),
        (Some(area), _) => (area, resistance_of(area)),
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
    if !load.borne(area.in_mm2(), carries) {
        let words = if load.starter {
            "That wire is too thin for half a minute of cranking: its insulation melts. Take a thicker one."
        } else {
            "That wire is too thin to carry the current steadily in a bundle: it may burn. Take a thicker one."
        };
        sheet.warning("too_thin", words);
    }
    if lost > allowed {
        sheet.warning(
            "drop",
            format!("It loses more than allowed ({}).", sheet.text(allowed)),
        );
    }
    Ok(())
}
