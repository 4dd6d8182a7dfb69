//! ISO 286 tolerance zones of holes and shafts up to 500 mm, for the classes that car manuals name.
//!
//! Tables written down from memory; tests hold them against the standard's formulas and published zones. Never interpolates.

use crate::quantity::Length;

/// Upper and lower deviation from the nominal size, in µm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// Upper deviation.
    pub upper_um: f64,
    /// Lower deviation.
    pub lower_um: f64,
}

/// The upper ends of the bands of nominal sizes, mm; each belongs to its band.
const BANDS: [f64; 13] = [
    3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0,
];

type Row = [f64; 13];

const IT6: Row = [
    6.0, 8.0, 9.0, 11.0, 13.0, 16.0, 19.0, 22.0, 25.0, 29.0, 32.0, 36.0, 40.0,
];
const IT7: Row = [
    10.0, 12.0, 15.0, 18.0, 21.0, 25.0, 30.0, 35.0, 40.0, 46.0, 52.0, 57.0, 63.0,
];
const IT8: Row = [
    14.0, 18.0, 22.0, 27.0, 33.0, 39.0, 46.0, 54.0, 63.0, 72.0, 81.0, 89.0, 97.0,
];
const IT9: Row = [
    25.0, 30.0, 36.0, 43.0, 52.0, 62.0, 74.0, 87.0, 100.0, 115.0, 130.0, 140.0, 155.0,
];

/// How far below the nominal size the upper end of d, e, f, g lies.
const D: Row = [
    20.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0, 120.0, 145.0, 170.0, 190.0, 210.0, 230.0,
];
const E: Row = [
    14.0, 20.0, 25.0, 32.0, 40.0, 50.0, 60.0, 72.0, 85.0, 100.0, 110.0, 125.0, 135.0,
];
const F: Row = [
    6.0, 10.0, 13.0, 16.0, 20.0, 25.0, 30.0, 36.0, 43.0, 50.0, 56.0, 62.0, 68.0,
];
const G: Row = [
    2.0, 4.0, 5.0, 6.0, 7.0, 9.0, 10.0, 12.0, 14.0, 15.0, 17.0, 18.0, 20.0,
];

/// How far above the nominal size the lower end of k, m, n, p lies.
const K: Row = [0.0, 1.0, 1.0, 1.0, 2.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 4.0, 5.0];
const M: Row = [
    2.0, 4.0, 6.0, 7.0, 8.0, 9.0, 11.0, 13.0, 15.0, 17.0, 20.0, 21.0, 23.0,
];
const N: Row = [
    4.0, 8.0, 10.0, 12.0, 15.0, 17.0, 20.0, 23.0, 27.0, 31.0, 34.0, 37.0, 40.0,
];
const P: Row = [
    6.0, 12.0, 15.0, 18.0, 22.0, 26.0, 32.0, 37.0, 43.0, 50.0, 56.0, 62.0, 68.0,
];

/// Which band a nominal size belongs to.
fn band(nominal: Length) -> Option<usize> {
    let mm = nominal.in_mm();
    // A hair's breadth, so that 30 mm typed in inches is still 30 mm.
    if mm <= 0.0 {
        None
    } else {
        BANDS.iter().position(|end| mm <= end + 1e-9)
    }
}

/// The standard tolerance of `grade` (6 to 9) at this size, in µm; `None` outside 500 mm.
pub fn tolerance_um(nominal: Length, grade: u8) -> Option<f64> {
    let row = match grade {
        6 => IT6,
        7 => IT7,
        8 => IT8,
        9 => IT9,
        _ => return None,
    };
    row.get(band(nominal)?).copied()
}

/// The zone of a hole: H6 to H9.
pub fn hole(nominal: Length, name: &str) -> Option<Zone> {
    let grade = name.strip_prefix('H')?.parse().ok()?;
    Some(Zone {
        upper_um: tolerance_um(nominal, grade)?,
        lower_um: 0.0,
    })
}

/// The zone of a shaft: d9, e8, f7, g6, h6, h7, js6, k6, m6, n6, p6 and the like.
pub fn shaft(nominal: Length, name: &str) -> Option<Zone> {
    let letters = name.trim_end_matches(|c: char| c.is_ascii_digit());
    let tolerance = tolerance_um(nominal, name.strip_prefix(letters)?.parse().ok()?)?;
    let of = |row: Row| row.get(band(nominal)?).copied();
    let below = |upper: f64| Zone {
        upper_um: -upper,
        lower_um: -upper - tolerance,
    };
    let above = |lower: f64| Zone {
        upper_um: lower + tolerance,
        lower_um: lower,
    };
    Some(match letters {
        "d" => below(of(D)?),
        "e" => below(of(E)?),
        "f" => below(of(F)?),
        "g" => below(of(G)?),
        "h" => below(0.0),
        "js" => Zone {
            upper_um: tolerance / 2.0,
            lower_um: -tolerance / 2.0,
        },
        "k" => above(of(K)?),
        "m" => above(of(M)?),
        "n" => above(of(N)?),
        "p" => above(of(P)?),
        _ => return None,
    })
}
