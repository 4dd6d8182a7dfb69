//! Copper wires: areas, gauges, resistances and fuses.
//!
//! Pure tables and formulas; the calculations that use them carry the cautions.

use crate::quantity::{Area, Current, Length};

/// A flexible copper wire of a standard area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cable {
    /// Nominal area, mm².
    pub area_mm2: f64,
    /// Resistance at 20 °C, Ω/km. Source: IEC 60228, class 5 (0.75 mm² and from 25 mm² on from memory).
    pub ohm_per_km: f64,
    /// What it carries steadily, A: one of two loaded PVC-insulated copper wires, closed in, at 30 °C. Source: IEC 60364-5-52,
    /// method A1, from memory; below 1.5 mm² common practice.
    pub carries: Option<f64>,
}

const fn cable(area_mm2: f64, ohm_per_km: f64, carries: f64) -> Cable {
    Cable {
        area_mm2,
        ohm_per_km,
        carries: Some(carries),
    }
}

/// The standard areas, thinnest first.
pub const CABLES: &[Cable] = &[
    cable(0.5, 39.0, 6.0),
    cable(0.75, 26.0, 8.0),
    cable(1.0, 19.5, 11.0),
    cable(1.5, 13.3, 14.5),
    cable(2.5, 7.98, 19.5),
    cable(4.0, 4.95, 26.0),
    cable(6.0, 3.30, 34.0),
    cable(10.0, 1.91, 46.0),
    cable(16.0, 1.21, 61.0),
    cable(25.0, 0.780, 80.0),
    cable(35.0, 0.554, 99.0),
    cable(50.0, 0.386, 119.0),
    cable(70.0, 0.272, 151.0),
    cable(95.0, 0.206, 182.0),
];

/// Resistivity of copper at 20 °C, Ω·mm²/m (IEC 60028).
const RESISTIVITY: f64 = 0.017_241;

/// Resistance of solid copper of this area at 20 °C, Ω/km.
pub fn solid_resistance(area: Area) -> f64 {
    RESISTIVITY * 1_000.0 / area.in_mm2()
}

/// Resistance in Ω/km at 20 °C: by IEC 60228 class 5 for a standard area, else of solid copper.
pub fn resistance_of(area: Area) -> f64 {
    CABLES
        .iter()
        .find(|cable| (cable.area_mm2 - area.in_mm2()).abs() < 1e-9)
        .map_or_else(|| solid_resistance(area), |cable| cable.ohm_per_km)
}

/// The diameter of a solid wire of AWG number `gauge`: 0.005·92^((36 − n)/39) in (ASTM B258).
pub fn awg_diameter(gauge: f64) -> Length {
    Length::from_inch(0.005 * libm::pow(92.0, (36.0 - gauge) / 39.0))
}

/// The area of a solid wire of AWG number `gauge`.
pub fn awg_area(gauge: f64) -> Area {
    awg_diameter(gauge).circle()
}

/// The least area that bears a current for so many seconds without its PVC going soft: I·√t/k with k = 115 for copper from 70 to
/// 160 °C. Source: IEC 60364-4-43, from memory.
pub fn bears_for(current: Current, seconds: f64) -> Area {
    Area::from_mm2(current.in_a() * seconds.sqrt() / 115.0)
}

/// The part of its rating at 30 °C that a wire carries where it is `around` °C about it and its insulation bears `most` °C:
/// √((most − t)/(most − 30)), to two places as IEC 60364-5-52, table B.52.14, prints it. Never more than the rating, and nothing where the
/// insulation bears no more. Source: 40, 50 and 60 °C for 70 °C and 40 °C for 90 °C as the table is reprinted, the rest from memory.
pub fn warm_factor(around: f64, most: f64) -> Option<f64> {
    let left = most - around;
    (left > 0.0).then(|| (left / (most - 30.0)).sqrt().min(1.0))
}

/// Sizes of blade fuses in A, by what they carry. Source: ISO 8820-3, from memory.
pub const FUSES: &[f64] = &[
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0,
];

/// Sizes of glass fuses in A where they are marked by what they carry. Source: SAE J554 and IEC 60127, from memory.
pub const GLASS_CARRIES: &[f64] = &[1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// Sizes of glass fuses in A where they are marked by what blows them: each carries half. From memory.
pub const GLASS_BLOWS: &[f64] = &[2.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 50.0];

/// Sizes of ceramic torpedo fuses in A, by what they carry. Source: DIN 72581, from memory.
pub const TORPEDO: &[f64] = &[5.0, 8.0, 16.0, 25.0, 40.0];
