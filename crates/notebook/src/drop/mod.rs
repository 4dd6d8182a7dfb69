//! Drops as the notebook has them: where they lie ([`places`]), what a look at one goes by ([`ready`]) and what is kept of it
//! ([`note`]). A host looks, and asks for these in turns.
//!
//! It never tells a place anything, and never keeps a place's secret in a record or shows it on a page.

mod note;
mod places;
mod ready;

pub use note::told_of;
pub use places::{Kept, plain};
pub use ready::{Not, Ready, Resting};
