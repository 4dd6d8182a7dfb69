//! A point to settle as it is shown, sent and identified. It knows no rule and finds nothing.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::rule::Rule;
use crate::entry::{Scalar, Stamp};
use crate::hash::ChangeId;
use crate::name::{Id, Ref};

/// One side of a contradiction.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Side {
    /// `side_1`, `side_2`, …
    pub key: String,
    /// What it is about.
    pub about: Ref,
    /// What that is called.
    pub title: String,
    /// The value, where the point is about values. Nothing for a field that was emptied.
    pub value: Option<Scalar>,
    /// Who wrote it, where and when.
    pub stamp: Stamp,
    /// Whether its writer had the other side's entry when they wrote.
    pub knew_other: bool,
}

/// One way to settle a point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Choice {
    /// What is sent back.
    pub key: String,
    /// Whether a reason must be given with it.
    pub wants_why: bool,
}

/// A contradiction that a person must decide.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Point {
    /// The same on every device.
    pub id: String,
    /// Which rule found it.
    pub rule: Rule,
    /// One line that says what it is.
    pub title: String,
    /// What it is about: the assembly and the job; the two orders, containers or readings; the entity of the field.
    pub about: Vec<Ref>,
    /// The field, for two values.
    pub field: Option<String>,
    /// Both sides, or more.
    pub sides: Vec<Side>,
    /// Ways to settle it.
    pub choices: Vec<Choice>,
    /// The question that it is a part of, where it may be one of several.
    #[serde(default)]
    pub part_of: Option<PartOf>,
    /// Where it was settled and is reopened: by whom, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub reopened: Option<Reopened>,
    /// The changes that contradict each other, which its identity is made of.
    #[serde(skip)]
    #[ts(skip)]
    pub changes: Vec<ChangeId>,
}

/// Which question a point is a part of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct PartOf {
    /// The identity of the point that stood first in it when it was found.
    pub question: String,
    /// The side of that one that each side of this belongs to, in the order of these.
    pub sides: Vec<String>,
}

/// Who reopened a point that was settled, and why.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Reopened {
    /// The settlement that does not hold any more.
    pub settlement: Id,
    /// Who reopened it, and when.
    pub by: Stamp,
    /// Why.
    pub why: String,
    /// What others said of it apart from that.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub apart: Vec<SaidOfIt>,
}

/// What somebody said of a settlement apart from who reopened it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SaidOfIt {
    /// Who said it, and when.
    pub by: Stamp,
    /// Why it was reopened; nothing where it was to hold again as it was agreed.
    pub why: Option<String>,
}

impl Point {
    /// The place of an entry among those that it is about; the first where it is none of them.
    pub(super) fn at(&self, name: &Ref) -> usize {
        self.about
            .iter()
            .position(|about| about == name)
            .unwrap_or_default()
    }
}

/// The identity of a point: its rule, what it is about, and the changes that contradict each other.
pub(super) fn identity(rule: Rule, about: &[Ref], field: &str, changes: &[&ChangeId]) -> String {
    let mut hasher = blake3::Hasher::new();
    hasher.update(rule.word().as_bytes());
    for name in about {
        hasher.update(b"\0").update(name.to_string().as_bytes());
    }
    hasher.update(b"\0").update(field.as_bytes());
    let mut changes: Vec<&ChangeId> = changes.to_vec();
    changes.sort();
    changes.dedup();
    for change in changes {
        hasher.update(b"\0").update(change.hex().as_bytes());
    }
    hasher.finalize().to_hex().chars().take(32).collect()
}
