//! Quantities: what a number stands for. Exact values, units with exact factors, newtypes for reckoning, and money.
//!
//! Never reads text that a person typed (that is [`crate::typed`]) and never rounds an exact value.

mod exact;
mod factor;
mod kind;
mod money;
mod shown;
mod sizes;
mod table;
mod unit;
mod usual;

pub use exact::Exact;
pub use factor::Factor;
pub use kind::Kind;
pub use money::{Currency, Money};
pub use shown::shown;
pub(crate) use shown::{is_nought, or_less};
pub use sizes::{
    Angle, Area, Current, Density, Force, Length, Mass, Power, Pressure, Resistance, Speed, Temperature,
    Time, Torque, Turning, Voltage, Volume,
};
pub(crate) use sizes::{Ratio, Size};
pub use unit::Unit;
