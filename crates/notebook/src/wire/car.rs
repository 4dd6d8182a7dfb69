//! Car: the numbers, and the tree of assemblies with what is open inside.

use record::Id;
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
}

/// What is open inside an assembly, everything in it counted.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Open {
    /// Jobs.
    pub jobs: u32,
    /// Hold points.
    pub holds: u32,
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
    /// How deep it lies: 0 at the top.
    pub depth: u32,
    /// What is open inside it.
    pub open: Open,
    /// How many parts are in it, everything inside counted.
    pub parts: u32,
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
    /// Parts that are in no assembly.
    pub loose_parts: Vec<super::Named>,
    /// Photos whose subject was left for later.
    pub photos_for_later: Vec<super::PhotoLine>,
    /// Answers kept for the whole car, the newest first.
    pub kept: Vec<super::KeptLine>,
}
