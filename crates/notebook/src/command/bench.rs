//! Bench: the calculators as they are, with the keeper's words handed through.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use crate::desk::Desk;
use crate::refusal::Refusal;

/// Lists the calculators with what each takes.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Calculations {
    /// Units and the like, as this keeper prefers them.
    #[serde(default)]
    #[ts(optional, as = "Option<reckon::Preferences>")]
    pub(crate) preferences: reckon::Preferences,
}

impl Command for Calculations {
    type Reply = Vec<reckon::Described>;
    const NAME: &'static str = "calculations";
    const SAYS: &'static str = "Lists the calculators with what each takes.";
    const WRITES: bool = false;
    fn run(self, _: &mut Desk<'_>) -> Result<Self::Reply, Refusal> {
        self.answer()
    }
}

impl Calculations {
    pub(super) fn answer(self) -> Result<Vec<reckon::Described>, Refusal> {
        Ok(reckon::describe(&self.preferences))
    }
}

/// Answers a calculation from what was typed.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Reckon {
    /// Which calculator.
    pub(crate) name: String,
    /// What was typed, by argument.
    pub(crate) inputs: BTreeMap<String, String>,
    /// Units and the like, as this keeper prefers them.
    #[serde(default)]
    #[ts(optional, as = "Option<reckon::Preferences>")]
    pub(crate) preferences: reckon::Preferences,
}

impl Command for Reckon {
    type Reply = reckon::Answer;
    const NAME: &'static str = "reckon";
    const SAYS: &'static str = "Answers a calculation from what was typed.";
    const WRITES: bool = false;
    fn run(self, _: &mut Desk<'_>) -> Result<reckon::Answer, Refusal> {
        self.answer()
    }
}

impl Reckon {
    pub(super) fn answer(self) -> Result<reckon::Answer, Refusal> {
        reckon::reckon(&self.name, &self.inputs, &self.preferences).map_err(Refusal::from)
    }
}
