//! One entry as its page shows it: every field in words, with what it names, who wrote what stands in it, and what to mind. It holds
//! back no field, those of a newer program neither; which of them a page leaves out, and in which order it shows them, is the page's.

use std::collections::BTreeMap;

use reckon::Note;
use record::said::AsTyped;
use record::{Day, Entry, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::named::{By, StruckOut};

/// An entry as it is kept, and as a person reads it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct EntryPage {
    /// The entry itself, with every value that stands for every field, for whoever reads the record and not the page.
    #[serde(flatten)]
    pub entry: Entry,
    /// What it is called, whole, with its position.
    pub title: String,
    /// Its fields in words, in the order of the table of its kind and those of a newer version after them. One that says nothing is not
    /// among them, and a strike stands by itself.
    pub said: Vec<FieldSaid>,
    /// Its fields as a form takes them, nothing for one that was emptied.
    pub form: BTreeMap<String, Option<FormValue>>,
    /// Who entered it.
    pub made_by: WrittenBy,
    /// The line through it.
    pub struck: Option<StruckOut>,
    /// Of a part, where it is: as somebody said, and where nobody did, as its assembly stands.
    pub lies: Option<LiesSaid>,
    /// The usual cautions of what is worked on, of a finding that somebody says can hurt.
    pub cautions: Vec<Note>,
    /// Of a part, the findings on it that can hurt and have no end.
    pub dangers: Vec<super::Named>,
}

/// Where a part is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct LiesSaid {
    /// In words: `in the car: gearbox lid`, `B12, in X4, right-hand shelves`.
    pub words: String,
    /// Whether somebody who wants it has to look for it: nobody said, or it was looked for and not found.
    pub to_seek: bool,
    /// Whether another goes in its place, and nobody has said what becomes of the old one.
    pub asks_old_one: bool,
}

/// A field of an entry in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FieldSaid {
    /// The field.
    pub field: String,
    /// What it is called.
    pub label: String,
    /// What is shown of it: of a set each that is in it, else one value, or none where it was emptied and somebody says otherwise.
    pub values: Vec<ValueSaid>,
    /// Whether what stands for it differs between those who wrote it: to be settled.
    pub differs: bool,
    /// Everything that stands for it, what is shown first, with who wrote it.
    pub claims: Vec<ClaimSaid>,
    /// Whether the program keeps it for itself and no person reads it.
    pub for_the_program: bool,
}

/// A value in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ValueSaid {
    /// In words; of what it names, what that is called.
    pub words: String,
    /// What a measure comes to exactly, where that says something else than what was typed.
    pub exact: Option<String>,
    /// What it names.
    pub name: Option<Ref>,
    /// Its word of a closed set, as it is kept.
    pub word: Option<String>,
    /// The day that it is, for a face that writes days as its device does.
    pub day: Option<Day>,
}

/// A value that stands for a field, and whose it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct ClaimSaid {
    /// The value; of a set, the element and whether it is in it.
    pub words: String,
    /// Who wrote it.
    pub by: WrittenBy,
}

/// Who wrote something, in words and as it is drawn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct WrittenBy {
    /// `Nell Ashdown, phone`; the program, or a device that the record does not name.
    pub who: String,
    /// The same apart, and when.
    pub by: By,
}

/// A value as a form takes it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(untagged)]
pub enum FormValue {
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Whole(i32),
    /// Text; measures as they were typed.
    Line(String),
    /// Ids that are in a set.
    Set(Vec<String>),
}

impl From<AsTyped> for FormValue {
    fn from(value: AsTyped) -> Self {
        match value {
            AsTyped::Flag(flag) => FormValue::Flag(flag),
            AsTyped::Whole(number) => FormValue::Whole(number),
            AsTyped::Line(text) => FormValue::Line(text),
            AsTyped::Set(ids) => FormValue::Set(ids),
        }
    }
}
