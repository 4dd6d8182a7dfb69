//! The normal law, from `libm`, so that every device gets the same bits. Never a table.

use std::f64::consts::SQRT_2;

/// The part of the normal law (mean nought, deviation one) that lies below `z`: Φ(z).
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}
