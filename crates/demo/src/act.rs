//! What a keeper does in one go: the acts that the story is made of, and the command each becomes.

use std::collections::BTreeMap;

use record::{Day, Moment};
use serde_json::{Map, Value as Json, json};

use crate::key::{Ids, Key};
use crate::people::Who;
use crate::value::FieldValues;

/// What an assembly is closed over.
#[derive(Clone, Debug, PartialEq)]
pub enum Waived {
    /// This thing.
    Thing(Key),
    /// Everything that a check found.
    Sort(String),
}

impl std::str::FromStr for Waived {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        if text.contains(':') {
            return text.parse().map(Self::Thing);
        }
        Ok(Self::Sort(text.to_owned()))
    }
}

/// One act.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Something new; a photo comes with the drawing that stands for it.
    Add {
        /// What the sources call it.
        key: Key,
        /// Its fields.
        fields: FieldValues,
        /// The drawing's file name, for a photo.
        drawing: Option<String>,
    },
    /// Fields of something that is there.
    Change {
        /// What is changed.
        key: Key,
        /// The fields that change.
        fields: FieldValues,
    },
    /// A day sheet.
    Write {
        /// The day.
        date: Day,
        /// The text.
        text: String,
        /// The hours, as written.
        hours: String,
    },
    /// An assembly closed up.
    Close {
        /// The assembly.
        assembly: Key,
        /// What is waived, and why: a thing, or by the name of a check all that it found that was not named.
        waive: Vec<(Waived, String)>,
    },
    /// A bench answer kept.
    Keep {
        /// What the sources call it.
        key: Key,
        /// Which calculation.
        calculation: String,
        /// What was typed.
        inputs: BTreeMap<String, String>,
        /// What it is for.
        about: Option<Key>,
        /// The day.
        on: Day,
        /// Why.
        note: Option<String>,
    },
    /// A remedy of a reading taken.
    Take {
        /// What the sources call the job or the order that it becomes.
        key: Key,
        /// The reading.
        reading: Key,
        /// The remedy's key, as the record proposes it.
        remedy: String,
        /// The day.
        on: Day,
    },
    /// The next bolts of a tightening run.
    Tighten {
        /// The run.
        run: Key,
        /// How many.
        bolts: usize,
        /// The day.
        on: Day,
    },
    /// Something struck out.
    Strike {
        /// What.
        key: Key,
        /// Why.
        why: String,
    },
}

/// One act, by whom and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// On which device.
    pub who: Who,
    /// When, as that device's clock has it.
    pub at: Moment,
    /// What.
    pub act: Act,
    /// The source file that says so, for errors.
    pub file: String,
}

/// A command of the notebook with its arguments.
#[derive(Clone, Debug, PartialEq)]
pub struct Call {
    /// The command's name.
    pub name: String,
    /// Its arguments.
    pub args: Json,
}

impl Act {
    /// Every key that must be known before the act can be done.
    #[must_use]
    pub fn needs(&self) -> Vec<&Key> {
        match self {
            Act::Add { fields, .. } => fields.iter().flat_map(|(_, value)| value.keys()).collect(),
            Act::Change { key, fields } => std::iter::once(key)
                .chain(fields.iter().flat_map(|(_, value)| value.keys()))
                .collect(),
            Act::Write { .. } => Vec::new(),
            Act::Close { assembly, waive } => std::iter::once(assembly)
                .chain(waive.iter().filter_map(|(waived, _)| match waived {
                    Waived::Thing(key) => Some(key),
                    Waived::Sort(_) => None,
                }))
                .collect(),
            Act::Keep { about, .. } => about.iter().collect(),
            Act::Strike { key, .. } | Act::Tighten { run: key, .. } | Act::Take { reading: key, .. } => {
                vec![key]
            }
        }
    }

    /// What it is about, for errors.
    #[must_use]
    pub fn about(&self) -> String {
        match self {
            Act::Add { key, .. }
            | Act::Change { key, .. }
            | Act::Strike { key, .. }
            | Act::Keep { key, .. }
            | Act::Take { key, .. }
            | Act::Tighten { run: key, .. } => key.to_string(),
            Act::Close { assembly, .. } => assembly.to_string(),
            Act::Write { date, .. } => format!("the sheet of {date}"),
        }
    }

    /// The commands it becomes, once the ids of what it names are known; `hash` is the photo's, where it is one.
    ///
    /// # Errors
    /// The first key without an id.
    pub fn calls(&self, ids: &Ids, hash: Option<&str>) -> Result<Vec<Call>, Key> {
        let id = |key: &Key| ids.get(key).cloned().ok_or_else(|| key.clone());
        let name = |key: &Key| Ok::<String, Key>(format!("{}:{}", key.kind, id(key)?));
        let all = |fields: &FieldValues| -> Result<Map<String, Json>, Key> {
            fields
                .iter()
                .map(|(name, value)| Ok(((*name).to_owned(), value.json(ids)?)))
                .collect()
        };
        let call = |name: &str, args: Json| Call {
            name: name.to_owned(),
            args,
        };
        Ok(match self {
            Act::Add { key, fields, .. } => {
                let mut args = all(fields)?;
                if let Some(hash) = hash {
                    args.insert("hash".to_owned(), Json::from(hash));
                }
                vec![call(&format!("add_{}", key.kind), Json::Object(args))]
            }
            Act::Change { key, fields } => {
                let args = json!({ "id": id(key)?, "fields": all(fields)? });
                vec![call(&format!("change_{}", key.kind), args)]
            }
            Act::Write { date, text, hours } => {
                let day = date.to_string();
                vec![
                    call("write_sheet", json!({ "day": day, "before": "", "after": text })),
                    call("put_hours", json!({ "day": day, "hours": hours })),
                ]
            }
            // What stands in the way is asked of the record.
            Act::Close { .. } => Vec::new(),
            Act::Keep {
                calculation,
                inputs,
                about,
                on,
                note,
                ..
            } => {
                let about = about.as_ref().map(name).transpose()?;
                let day = on.to_string();
                vec![call(
                    "keep_answer",
                    json!({ "calculation": calculation, "inputs": inputs, "about": about, "on": day, "note": note }),
                )]
            }
            Act::Take {
                reading, remedy, on, ..
            } => {
                let day = on.to_string();
                vec![call(
                    "take_remedy",
                    json!({ "reading": id(reading)?, "key": remedy, "on": day }),
                )]
            }
            // Which bolt is next is asked of the record, one by one.
            Act::Tighten { .. } => Vec::new(),
            Act::Strike { key, why } => vec![call("strike", json!({ "name": name(key)?, "why": why }))],
        })
    }
}
