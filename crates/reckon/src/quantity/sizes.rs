//! The newtypes that calculators reckon with: one float in the base unit of its kind, with unit-named ways in and out.
//!
//! Never parses or prints; what a person typed keeps its exact value in [`crate::Typed`], and these are taken from it.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::{Exact, Kind, Unit};

/// A newtype of this file, for code that serves all of them.
pub(crate) trait Size: Copy {
    /// What it measures.
    const KIND: Kind;

    /// From a float in the base unit.
    fn from_base(base: f64) -> Self;

    /// As a float in the base unit.
    fn base(self) -> f64;
}

/// A plain number, for lists of them.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(crate) struct Ratio(f64);

impl Ratio {
    /// The number.
    pub(crate) fn value(self) -> f64 {
        self.0
    }
}

impl Size for Ratio {
    const KIND: Kind = Kind::Number;

    fn from_base(base: f64) -> Self {
        Self(base)
    }

    fn base(self) -> f64 {
        self.0
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident { $($(#[$unit_doc:meta])* $from:ident $into:ident $unit:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// What this type measures.
            pub const KIND: Kind = Kind::$name;

            $(
                $(#[$unit_doc])*
                pub fn $from(value: f64) -> Self {
                    Self(Unit::$unit.to_base(value))
                }

                #[doc = concat!("The value in ", stringify!($unit), " units.")]
                pub fn $into(self) -> f64 {
                    Unit::$unit.from_base(self.0)
                }
            )+

            /// From an exact value in the base unit of the kind.
            pub fn from_exact(base: &Exact) -> Self {
                Self(base.to_f64())
            }

            /// The value in the base unit of the kind.
            pub fn in_base(self) -> f64 {
                self.0
            }

            /// The value in `unit`; `None` where the unit is of another kind.
            pub fn in_unit(self, unit: Unit) -> Option<f64> {
                (unit.kind() == Self::KIND).then(|| unit.from_base(self.0))
            }
        }

        impl Size for $name {
            const KIND: Kind = Kind::$name;

            fn from_base(base: f64) -> Self {
                Self(base)
            }

            fn base(self) -> f64 {
                self.0
            }
        }
    };
}

macro_rules! additive {
    ($($name:ident)+) => { $(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, factor: f64) -> Self {
                Self(self.0 / factor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    )+ };
}

quantity!(
    /// A length, at 20 °C unless it says otherwise (ISO 1).
    Length {
        /// From mm.
        from_mm in_mm Millimetre,
        /// From micrometres.
        from_um in_um Micrometre,
        /// From metres.
        from_m in_m Metre,
        /// From inches.
        from_inch in_inch Inch,
        /// From thousandths of an inch.
        from_thou in_thou Thou,
        /// From feet.
        from_ft in_ft Foot,
    }
);
quantity!(
    /// An area.
    Area {
        /// From mm².
        from_mm2 in_mm2 SquareMillimetre,
        /// From cm².
        from_cm2 in_cm2 SquareCentimetre,
        /// From in².
        from_sq_inch in_sq_inch SquareInch,
    }
);
quantity!(
    /// A volume.
    Volume {
        /// From cm³.
        from_cm3 in_cm3 CubicCentimetre,
        /// From mm³.
        from_mm3 in_mm3 CubicMillimetre,
        /// From litres.
        from_litre in_litre Litre,
        /// From in³.
        from_cubic_inch in_cubic_inch CubicInch,
    }
);
quantity!(
    /// A mass.
    Mass {
        /// From kg.
        from_kg in_kg Kilogram,
        /// From g.
        from_g in_g Gram,
        /// From avoirdupois pounds.
        from_lb in_lb PoundMass,
    }
);
quantity!(
    /// A density.
    Density {
        /// From g/cm³.
        from_g_per_cm3 in_g_per_cm3 GramPerCubicCentimetre,
        /// From kg/m³.
        from_kg_per_m3 in_kg_per_m3 KilogramPerCubicMetre,
    }
);
quantity!(
    /// A force.
    Force {
        /// From N.
        from_n in_n Newton,
        /// From kN.
        from_kn in_kn Kilonewton,
        /// From pound-force.
        from_lbf in_lbf PoundForce,
        /// From kilogram-force.
        from_kgf in_kgf KilogramForce,
    }
);
quantity!(
    /// A torque.
    Torque {
        /// From N·m.
        from_n_m in_n_m NewtonMetre,
        /// From lbf·ft.
        from_lbf_ft in_lbf_ft PoundForceFoot,
        /// From lbf·in.
        from_lbf_in in_lbf_in PoundForceInch,
        /// From kgf·m.
        from_kgf_m in_kgf_m KilogramForceMetre,
    }
);
quantity!(
    /// A pressure, or a stress.
    Pressure {
        /// From kPa.
        from_kpa in_kpa Kilopascal,
        /// From MPa, the same as N/mm².
        from_mpa in_mpa Megapascal,
        /// From bar.
        from_bar in_bar Bar,
        /// From psi.
        from_psi in_psi Psi,
    }
);
quantity!(
    /// An angle.
    Angle {
        /// From degrees.
        from_deg in_deg Degree,
        /// From whole turns.
        from_turn in_turn Turn,
    }
);
quantity!(
    /// A temperature (a point on the scale, not a difference): it is not added up.
    Temperature {
        /// From °C.
        from_c in_c Celsius,
        /// From °F.
        from_f in_f Fahrenheit,
        /// From K.
        from_k in_k Kelvin,
    }
);
quantity!(
    /// A speed.
    Speed {
        /// From m/s.
        from_m_s in_m_s MetrePerSecond,
        /// From km/h.
        from_km_h in_km_h KilometrePerHour,
        /// From miles per hour.
        from_mph in_mph MilePerHour,
        /// From feet per minute.
        from_ft_min in_ft_min FootPerMinute,
    }
);
quantity!(
    /// A turning speed.
    Turning {
        /// From turns per minute.
        from_rpm in_rpm Rpm,
        /// From turns per second.
        from_turn_s in_turn_s TurnPerSecond,
    }
);
quantity!(
    /// A length of time.
    Time {
        /// From seconds.
        from_s in_s Second,
        /// From milliseconds.
        from_ms in_ms Millisecond,
    }
);
quantity!(
    /// A voltage, or a drop of one.
    Voltage {
        /// From V.
        from_v in_v Volt,
    }
);
quantity!(
    /// A current.
    Current {
        /// From A.
        from_a in_a Ampere,
    }
);
quantity!(
    /// A resistance.
    Resistance {
        /// From Ω.
        from_ohm in_ohm Ohm,
    }
);
quantity!(
    /// A power.
    Power {
        /// From W.
        from_w in_w Watt,
    }
);

additive!(Length Area Volume Mass Density Force Torque Pressure Angle Speed Turning Time Voltage Current Resistance Power);

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

impl Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, height: Length) -> Volume {
        // mm² · mm = mm³, kept as cm³.
        Volume(self.0 * height.0 / 1_000.0)
    }
}

impl Div<Area> for Volume {
    type Output = Length;
    fn div(self, area: Area) -> Length {
        Length(self.0 * 1_000.0 / area.0)
    }
}

impl Mul<Length> for Force {
    type Output = Torque;
    fn mul(self, arm: Length) -> Torque {
        // N · mm, kept as N·m.
        Torque(self.0 * arm.0 / 1_000.0)
    }
}

impl Div<Length> for Torque {
    type Output = Force;
    fn div(self, arm: Length) -> Force {
        Force(self.0 * 1_000.0 / arm.0)
    }
}

impl Mul<Area> for Pressure {
    type Output = Force;
    fn mul(self, area: Area) -> Force {
        // kPa · mm² = 10⁻³ N.
        Force(self.0 * area.0 / 1_000.0)
    }
}

impl Length {
    /// The area of the circle of this diameter, π/4·d².
    pub fn circle(self) -> Area {
        Area(std::f64::consts::FRAC_PI_4 * self.0 * self.0)
    }
}
