//! Points to settle as two programs can be compared by them. Nothing here asks for any.

use serde_json::{Value, json};

/// What a point asks, without who wrote it and when.
#[must_use]
pub fn asked(point: &Value) -> Value {
    let sides = point["sides"].as_array().unwrap().iter().map(|side| {
        json!({
            "key": side["key"], "about": side["about"]["name"], "said": side["said"], "value": side["value"],
        })
    });
    let mut asked = json!({ "sides": sides.collect::<Vec<_>>() });
    for field in ["id", "rule", "title", "about", "field", "choices"] {
        asked[field] = point[field].clone();
    }
    asked
}
