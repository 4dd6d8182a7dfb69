//! A tour of the demo: what is shown, in which order, and what is said of it. Its words come from the demo's own sources; a folder that
//! is no demo has none.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// One screen of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct TourStep {
    /// What it is about, in a few words.
    pub title: String,
    /// What there is to see, in a sentence or two.
    pub says: String,
    /// Which of the five places: `day`, `car`, `bench`, `stores`, `keepers`.
    pub place: String,
    /// What is shown there: a day, a thing by its name; empty for the place itself.
    pub thing: String,
}

/// The whole of it, in order; no steps where there is none, or none any more.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Tour {
    /// Screen by screen.
    pub steps: Vec<TourStep>,
}
