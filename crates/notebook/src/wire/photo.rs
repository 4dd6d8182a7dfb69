//! Photos: one in a list, who has those that are not here, and what the keeper chose to fetch. No picture is in here, only the hash that it
//! is asked for by.

use record::words::Stage;
use record::{Day, Id};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, Named, StruckOut};

/// A photo in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PhotoLine {
    /// Which.
    pub id: Id,
    /// The hash that its bytes are asked for by.
    pub hash: String,
    /// What is to be seen.
    pub caption: Option<String>,
    /// What it shows.
    pub about: Option<Named>,
    /// When in the work.
    pub stage: Option<Stage>,
    /// The day.
    pub on: Option<Day>,
    /// Whether its original is on this device.
    pub here: bool,
    /// Whether it is here and kept whole, but would take too much memory for a small picture to be drawn of it.
    pub not_drawn: bool,
    /// Who has the original, where this device has it not.
    pub missing: Option<MissingPhoto>,
    /// Width of the original in pixels, where known.
    pub width: Option<u32>,
    /// Height.
    pub height: Option<u32>,
    /// Whose.
    pub by: By,
    /// Struck out.
    pub struck: Option<StruckOut>,
}

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
