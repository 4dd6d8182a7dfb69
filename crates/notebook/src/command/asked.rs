//! What a command or a query is, and how a face sees it once it is in the registry. It names none of them.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use ts_rs::TS;

use super::types::Types;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::reply::json;

/// One command or query: its arguments are the struct itself.
pub(crate) trait Command: DeserializeOwned + JsonSchema + TS + 'static {
    /// What it answers with.
    type Reply: Serialize + JsonSchema + TS + 'static;
    /// What it is called by.
    const NAME: &'static str;
    /// What it does, in a sentence.
    const SAYS: &'static str;
    /// Whether it changes anything: the record, or what this device keeps or remembers of its own.
    const WRITES: bool;
    /// Does it.
    fn run(self, desk: &mut Desk<'_>) -> Result<Self::Reply, Refusal>;
}

/// A command of the registry, as a face sees it.
#[derive(Clone, Copy)]
pub struct Registered {
    /// What it is called by.
    pub name: &'static str,
    /// What it does, in a sentence.
    pub says: &'static str,
    /// Whether it changes anything: the record, or what this device keeps or remembers of its own.
    pub writes: bool,
    pub(super) run: fn(&mut Desk<'_>, Value) -> Result<Value, Refusal>,
    args: fn(&mut SchemaGenerator) -> Schema,
    reply: fn(&mut SchemaGenerator) -> Schema,
    pub(crate) types: fn(&mut Types) -> (String, String),
}

impl std::fmt::Debug for Registered {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Registered")
            .field("name", &self.name)
            .finish_non_exhaustive()
    }
}

impl Registered {
    pub(super) fn of<C: Command>() -> Self {
        Self {
            name: C::NAME,
            says: C::SAYS,
            writes: C::WRITES,
            run: |desk, args| {
                let command: C = serde_json::from_value(args).map_err(|error| {
                    Refusal::input(
                        "arguments",
                        format!("'{}' was not given what it takes: {error}", C::NAME),
                    )
                })?;
                json(&command.run(desk)?)
            },
            args: |generator| generator.root_schema_for::<C>(),
            reply: |generator| generator.root_schema_for::<C::Reply>(),
            types: |types| (types.name_of::<C>(), types.name_of::<C::Reply>()),
        }
    }

    /// JSON Schema of its arguments.
    #[must_use]
    pub fn args_schema(&self) -> Value {
        (self.args)(&mut SchemaGenerator::default()).to_value()
    }

    /// JSON Schema of its reply.
    #[must_use]
    pub fn reply_schema(&self) -> Value {
        (self.reply)(&mut SchemaGenerator::default()).to_value()
    }
}

/// A reply that says nothing but that it was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct Done {
    /// Always true: what was not done is a refusal.
    pub(crate) done: bool,
}

impl Done {
    pub(crate) const YES: Self = Self { done: true };
}
