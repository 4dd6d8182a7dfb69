//! What bolts are made of, as far as torque needs it: threads, strength, and the law between torque and preload.
//!
//! Never answers by itself: the calculations do, with conditions and cautions.

mod families;
mod preload;
mod series;
mod strength;
mod thread;

pub(crate) use families::other_pitches;
pub use families::{Family, Likeness, Size as ThreadSize, identify, sizes as thread_sizes};
pub use preload::{
    Friction, Head, internal_shear_area, nut_factor_torque, preload_at_yield, split_torque, torque_factor,
    vdi_torque, wrench_setting,
};
pub use strength::{CLASS_CHOICES, Class};
pub use thread::{Form, Thread};
