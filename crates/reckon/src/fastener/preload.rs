//! The law between torque and preload: nut factor, split friction, VDI 2230, and the wrench with an adapter.
//!
//! Pure formulas on quantities; ranges are checked by the calculations that use them.

use std::f64::consts::PI;

use super::{Class, Thread};
use crate::quantity::{Angle, Area, Force, Length, Torque};

/// Coefficients of friction in the thread and under the head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    /// In the thread, μt.
    pub thread: f64,
    /// Under the head or nut, μh.
    pub head: f64,
}

/// Where the head or nut bears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// Outer diameter of the bearing face, dw.
    pub outer: Length,
    /// The hole, dh.
    pub hole: Length,
}

/// dw of hexagon heads of product grade A (ISO 4014) and medium clearance holes (ISO 273), mm; from memory, M8 and M10 as in
/// the table of VDI 2230:2001.
const HEADS: &[(f64, f64, f64)] = &[
    (5.0, 6.88, 5.5),
    (6.0, 8.88, 6.6),
    (8.0, 11.63, 9.0),
    (10.0, 14.63, 11.0),
    (12.0, 16.63, 13.5),
    (14.0, 19.64, 15.5),
    (16.0, 22.49, 17.5),
    (18.0, 25.34, 20.0),
    (20.0, 28.19, 22.0),
    (22.0, 31.71, 24.0),
    (24.0, 33.61, 26.0),
];

impl Head {
    /// The hexagon head of a metric thread over a medium hole; `None` where the size is not in the table.
    pub fn hexagon(thread: &Thread) -> Option<Self> {
        if thread.form() != super::Form::Metric {
            return None;
        }
        let nominal = thread.nominal().in_mm();
        let (_, outer, hole) = HEADS.iter().find(|(d, _, _)| (d - nominal).abs() < 1e-9)?;
        Some(Self {
            outer: Length::from_mm(*outer),
            hole: Length::from_mm(*hole),
        })
    }

    /// The mean diameter of the bearing face, Dkm = (dw + dh)/2.
    pub fn mean(self) -> Length {
        (self.outer + self.hole) / 2.0
    }
}

/// T = K·D·F.
pub fn nut_factor_torque(factor: f64, diameter: Length, preload: Force) -> Torque {
    preload * (diameter * factor)
}

/// The arm T/F by split friction: P/2π + μt·d2/(2·cos 30°) + μh·Dkm/2.
pub fn torque_factor(thread: &Thread, friction: Friction, head: Head) -> Length {
    let twice_cos_30 = 3f64.sqrt();
    thread.pitch() / (2.0 * PI)
        + thread.pitch_diameter() * (friction.thread / twice_cos_30)
        + head.mean() * (friction.head / 2.0)
}

/// T = F·(P/2π + μt·d2/(2·cos 30°) + μh·Dkm/2).
pub fn split_torque(preload: Force, thread: &Thread, friction: Friction, head: Head) -> Torque {
    preload * torque_factor(thread, friction, head)
}

/// The tightening torque in the form and with the rounded constants of VDI 2230-1: F·(0.16·P + 0.58·d2·μt + Dkm/2·μh).
pub fn vdi_torque(preload: Force, thread: &Thread, friction: Friction, head: Head) -> Torque {
    let arm = thread.pitch() * 0.16
        + thread.pitch_diameter() * (0.58 * friction.thread)
        + head.mean() * (friction.head / 2.0);
    preload * arm
}

/// The preload at which tension and torsion together reach `part` (0.9) of the yield stress (VDI 2230-1):
/// F = part·Rp0.2·As / √(1 + 3·(1.5·(d2/d0)·(P/(π·d2) + 1.155·μt))²).
pub fn preload_at_yield(part: f64, class: &Class, thread: &Thread, thread_friction: f64) -> Force {
    let (d2, d0) = (thread.pitch_diameter(), thread.stress_diameter());
    let lead = thread.pitch() / (d2 * PI);
    let torsion = 1.5 * (d2 / d0) * (lead + 1.155 * thread_friction);
    class.yields * thread.stress_area() * (part / (1.0 + 3.0 * torsion * torsion).sqrt())
}

/// What to set on a wrench of length `arm` with an adapter of length `extension` at `angle` to the wrench:
/// T·L/(L + E·cos α). At 90° that is T itself.
pub fn wrench_setting(torque: Torque, arm: Length, extension: Length, angle: Angle) -> Torque {
    let radians = angle.in_deg() * PI / 180.0;
    torque * (arm / (arm + extension * libm::cos(radians)))
}

/// The area that shears when an internal thread strips over `engagement`: π·n·Le·Ds·[1/(2n) + 0.57735·(Ds − En)], with the bolt's
/// least major diameter `bolt` and the nut's greatest pitch diameter `nut` (FED-STD-H28/2).
pub fn internal_shear_area(thread: &Thread, engagement: Length, bolt: Length, nut: Length) -> Area {
    let depth = thread.pitch() / 2.0 + (bolt - nut) * 0.577_35;
    bolt * depth * (PI * (engagement / thread.pitch()))
}
