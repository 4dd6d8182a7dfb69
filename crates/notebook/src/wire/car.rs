//! Car: the numbers, and the tree of assemblies with what is open inside.

use record::Id;
use record::inside::Inner;
use record::words::AssemblyState;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A car that this device keeps.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct RecordLine {
    /// The record.
    pub id: Id,
    /// What the car is called.
    pub car: String,
    /// This device's keeper.
    pub keeper: Id,
    /// Their name.
    pub keeper_name: String,
    /// This device.
    pub device: Id,
    /// Whether it is the one shown last on this device.
    pub current: bool,
}

/// A field of the car with its name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Field {
    /// Its key.
    pub field: String,
    /// Its value, if any.
    pub value: Option<record::Scalar>,
    /// Whether two devices wrote different values.
    pub contradicts: bool,
    /// Of the number in the papers, where it is neither the engine's nor the body's: which those are.
    pub mismatch: Option<String>,
}

/// What is open inside an assembly, everything in it counted.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Open {
    /// Jobs.
    pub jobs: u32,
    /// Hold points.
    pub holds: u32,
    /// Findings of danger that have no end.
    pub dangers: u32,
    /// Other findings that are to be mended and have no end.
    pub findings: u32,
    /// Tightening runs that are begun and not done.
    pub runs: u32,
}

/// One line of the tree.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct AssemblyLine {
    /// Which.
    pub id: Id,
    /// What it is called.
    pub name: String,
    /// How it stands.
    pub state: AssemblyState,
    /// Whether two devices say otherwise.
    pub state_contradicts: bool,
    /// How deep it lies: 0 at the top.
    pub depth: u32,
    /// What is open inside it.
    pub open: Open,
    /// How many parts are in it, everything inside counted.
    pub parts: u32,
}

/// What stands inside something, asked before it is struck out; of what was struck out already, what was left in it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct InsideOut {
    /// How much of what, however deep.
    pub inside: Vec<Inner>,
    /// Where it could move to: what lies around.
    pub up: Option<super::Named>,
    /// Whether something in it cannot be without a place, and nothing lies around.
    pub needs_a_place: bool,
}

/// Something that was struck out and in which something was left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct InStruck {
    /// What was struck out.
    pub what: super::Named,
    /// Why, by whom and when.
    pub struck: super::StruckOut,
    /// What was left in it.
    pub left: Vec<super::Named>,
}

/// A part that is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct DiffersLine {
    /// Which.
    pub part: super::Named,
    /// The assembly that it belongs in.
    pub within: Option<super::Named>,
    /// How it differs.
    pub differs: record::words::Differs,
    /// Until what comes, or why so.
    pub why: Option<String>,
    /// Where it is, in words.
    pub lies: String,
}

/// The Car place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CarPage {
    /// What the car is called.
    pub name: String,
    /// Its fields in order.
    pub fields: Vec<Field>,
    /// Assemblies, top down.
    pub tree: Vec<AssemblyLine>,
    /// Assemblies that were struck out and in which something was left.
    pub in_struck: Vec<InStruck>,
    /// Parts that are in no assembly.
    pub loose_parts: Vec<super::Named>,
    /// Photos whose subject was left for later.
    pub photos_for_later: Vec<super::PhotoLine>,
    /// Answers kept for the whole car, the newest first.
    pub kept: Vec<super::KeptLine>,
}
