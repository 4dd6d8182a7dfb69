//! Photos that are not here: who has them, and what the keeper chose to fetch.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A photo whose original is not on this device.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct MissingPhoto {
    /// The standing devices that have it, as far as is known: `Wilf's phone`. Whoever took it counts until it says
    /// otherwise. Empty where nobody is known to have it.
    pub held_by: Vec<String>,
    /// Whether a small picture of it is here.
    pub small: bool,
    /// Whether it was asked for by hand, and comes as soon as a device that has it is met.
    pub asked: bool,
    /// Whether it stays where it is until it is asked for.
    pub waits: bool,
}

/// Which originals are fetched. Small pictures always are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum PhotosWanted {
    /// All of them.
    #[default]
    All,
    /// Those that were asked for by hand.
    Asked,
}

/// By which connections originals are fetched that were not asked for by hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum PhotosBy {
    /// By any.
    #[default]
    Always,
    /// By those that are not paid by what they carry, as far as the face can tell.
    Unmetered,
}
