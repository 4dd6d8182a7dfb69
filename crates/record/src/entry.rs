//! The record as it is read: entries with their fields, and for every field each value that stands, who
//! wrote it and when. It is what the document is hydrated into, what the read tables keep, and what the
//! rules read. It holds no Automerge type and reaches for nothing outside itself.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use reckon::Typed;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::hash::ChangeId;
use crate::name::{Id, Kind, Ref};
use crate::several;
use crate::time::Moment;

/// Who wrote something, on which device, when, and in which change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Stamp {
    /// The device; nothing for what the program itself laid down.
    pub device: Option<Id>,
    /// By that device's own clock.
    pub at: Moment,
    /// The change that wrote it.
    pub change: ChangeId,
}

/// A stored value. Measures, money, dates, words and references are lines with a fixed spelling.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(untagged)]
pub enum Scalar {
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Whole(i32),
    /// Text on one line, or prose as it reads now.
    Line(String),
}

impl Scalar {
    /// The text, where it is text.
    #[must_use]
    pub fn line(&self) -> Option<&str> {
        match self {
            Scalar::Line(text) => Some(text),
            _ => None,
        }
    }
}

/// One value that stands for a field, and its stamp. `None` is a field that was emptied.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Claim {
    /// The value.
    pub value: Option<Scalar>,
    /// Who, when.
    pub stamp: Stamp,
}

/// Every value that stands for one field. The first is the one shown; which is first has nothing to do with
/// the clock, and is the same on every device. More than one *different* value is a contradiction.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(transparent)]
#[ts(as = "Vec<Claim>")]
pub struct Held {
    claims: Vec<Claim>,
    #[serde(skip)]
    #[schemars(skip)]
    read: ReadOnce,
}

/// The shown line read as measures, at the first look that asks: a page asks for the same ones many times. It is no part of what
/// the field says, and is never written out.
#[derive(Clone, Debug, Default)]
struct ReadOnce(OnceLock<Option<Arc<Vec<Vec<Typed>>>>>);

impl PartialEq for ReadOnce {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for ReadOnce {}

impl Held {
    pub(crate) fn new(claims: Vec<Claim>) -> Self {
        Self {
            claims,
            read: ReadOnce::default(),
        }
    }

    /// The shown value as a measure, exact beside its text; nothing where it is none.
    #[must_use]
    pub fn measure(&self) -> Option<&Typed> {
        let one = |line: &str| Some(vec![vec![Typed::from_kept(line).ok()?]]);
        self.read_as(one)?.first()?.first()
    }

    /// The same of a field that holds several; none where any of them is no measure.
    pub(crate) fn measures(&self) -> Option<&[Typed]> {
        let several = |line: &str| Some(vec![several::measures(line)?]);
        self.read_as(several)?.first().map(Vec::as_slice)
    }

    /// The same of a field that holds rows of them.
    pub(crate) fn rows_of_measures(&self) -> Option<&Arc<Vec<Vec<Typed>>>> {
        self.read_as(several::rows)
    }

    /// A field has one shape, so that whoever looks asks in one way.
    fn read_as(&self, read: impl Fn(&str) -> Option<Vec<Vec<Typed>>>) -> Option<&Arc<Vec<Vec<Typed>>>> {
        let line = || self.value().and_then(Scalar::line);
        let rows = self.read.0.get_or_init(|| read(line()?).map(Arc::new));
        rows.as_ref()
    }

    /// The value shown.
    #[must_use]
    pub fn value(&self) -> Option<&Scalar> {
        self.claims.first().and_then(|claim| claim.value.as_ref())
    }

    /// All of them, the one shown first.
    #[must_use]
    pub fn claims(&self) -> &[Claim] {
        &self.claims
    }

    /// Whether two of them differ.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        self.claims
            .iter()
            .any(|claim| Some(&claim.value) != self.claims.first().map(|first| &first.value))
    }

    /// Whether this value, and no other, stands.
    #[must_use]
    pub fn is_just(&self, value: Option<&Scalar>) -> bool {
        !self.claims.is_empty() && self.claims.iter().all(|claim| claim.value.as_ref() == value)
    }
}

/// The element of a set that a field of an entry stands for, where it is in the set.
pub(crate) fn member<'a>(name: &'a str, held: &Held, set: &str) -> Option<&'a str> {
    let element = name.strip_prefix(set)?.strip_prefix(':')?;
    (held.value() == Some(&Scalar::Flag(true))).then_some(element)
}

/// The field that says why an entry was struck out. Nothing is ever deleted.
pub const STRUCK: &str = "struck";

/// A claim that strikes something out, as it says why.
fn strike(claim: &Claim) -> Option<(&str, &Stamp)> {
    Some((claim.value.as_ref()?.line()?, &claim.stamp))
}

/// One entity as it reads now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Entry {
    /// What it is.
    pub kind: Kind,
    /// Which one.
    pub id: Id,
    /// The change that made it. Where two devices could lay the same thing, the program did.
    pub made: Stamp,
    /// Every field that was ever written, those of newer versions too. An element of a set is `set:element`.
    pub fields: BTreeMap<String, Held>,
}

impl Entry {
    /// Every value that stands for a field, the shown one first; none where nothing was ever put.
    #[must_use]
    pub fn claims(&self, field: &str) -> &[Claim] {
        self.fields.get(field).map(Held::claims).unwrap_or_default()
    }

    /// The value shown for a field.
    #[must_use]
    pub fn value(&self, field: &str) -> Option<&Scalar> {
        self.fields.get(field).and_then(Held::value)
    }

    /// The text shown for a field.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<&str> {
        self.value(field)
            .and_then(Scalar::line)
            .filter(|text| !text.is_empty())
    }

    /// The measure shown for a field, exact beside its text.
    #[must_use]
    pub fn measure(&self, field: &str) -> Option<&Typed> {
        self.fields.get(field)?.measure()
    }

    /// The text of a field as a name is shown; empty where there is none.
    #[must_use]
    pub fn called(&self, field: &str) -> String {
        self.line(field).map(crate::shown).unwrap_or_default()
    }

    /// The elements of a set field that are in it.
    pub fn members<'a>(&'a self, field: &'a str) -> impl Iterator<Item = &'a str> {
        self.fields
            .iter()
            .filter_map(move |(name, held)| member(name, held, field))
    }

    /// Why it was struck out, by whom and when; nothing while it stands. A settlement is reopened as long as anybody's reopening
    /// stands: whoever let it hold again apart from that knew nothing of it, and no rule asks about a settlement's own fields.
    #[must_use]
    pub fn struck(&self) -> Option<(&str, &Stamp)> {
        let claims = self.claims(STRUCK);
        if self.kind == Kind::Settlement {
            return claims.iter().find_map(strike);
        }
        claims.first().and_then(strike)
    }

    /// Whether it stands, that is, was not struck out.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.struck().is_none()
    }

    /// A reference to it.
    #[must_use]
    pub fn name(&self) -> Ref {
        Ref::new(self.kind, self.id.clone())
    }
}
