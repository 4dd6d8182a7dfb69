//! A reply as it crosses: JSON, whatever made it. Which replies there are is said by the registry.

use serde::Serialize;
use serde_json::Value;

use crate::refusal::Refusal;

/// A reply as it crosses.
pub(crate) fn json(reply: &impl Serialize) -> Result<Value, Refusal> {
    serde_json::to_value(reply).map_err(|error| Refusal::failed("json", error.to_string()))
}
