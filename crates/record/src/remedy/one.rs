//! What one remedy is, and what its reading is of. It proposes none.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::guess::Said;
use crate::entities::Reading;
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::home;
use crate::name::{Id, Kind, Ref};
use crate::title::title;
use crate::tree::assemblies_around;
use crate::verdict::Judged;
use crate::view::View;
use crate::words::Mend;

/// What a remedy becomes when it is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[ts(rename_all = "snake_case")]
pub enum Makes {
    /// Work to do.
    Job,
    /// Something to get.
    Order,
}

/// A calculation of the bench that shows more of it, with what is known filled in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct OnTheBench {
    /// The calculation.
    pub name: String,
    /// What is known, by argument.
    pub inputs: BTreeMap<String, String>,
}

/// Something that mends a reading, or decides it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remedy {
    /// What it is taken by; stable while the record says the same.
    pub key: String,
    /// How it mends; nothing for measuring again.
    pub mends: Option<Mend>,
    /// What to do and by how much.
    pub words: String,
    /// What it becomes.
    pub makes: Makes,
    /// What the job or order would say.
    pub title: String,
    /// What to mind.
    pub cautions: Vec<reckon::Note>,
    /// Where the bench shows more of it.
    pub calculation: Option<OnTheBench>,
}

/// What a reading is of, as far as a remedy's words need it.
pub(super) struct ReadingPlace {
    /// What was measured, with its synonyms, the limit's and the names of where it is.
    pub(super) said: Said,
    /// `'rings', cylinder 2, top`.
    pub(super) name: String,
}

impl ReadingPlace {
    pub(super) fn of(view: &View, reading: &Entry, judged: &Judged<'_>) -> Self {
        let about = about(reading).and_then(|name| view.find(&name));
        let mut around: Vec<String> = Vec::new();
        around.extend(about.map(title));
        if let Some(home) = home(view, reading) {
            let upward = assemblies_around(view, &home);
            let names = upward.iter().filter_map(|id| view.get(Kind::Assembly, id));
            around.extend(names.map(title));
        }
        let called = about.map_or_else(|| title(reading), title);
        let name = match Reading::of(reading).and_then(|reading| reading.at()) {
            Some(at) => format!("{called}, {at}"),
            None => called,
        };
        Self {
            said: Said::of(&title(reading), &title(judged.bounds.entry), &around),
            name,
        }
    }
}

/// What a reading is about.
pub(super) fn about(reading: &Entry) -> Option<Ref> {
    Reading::of(reading)?.about()?.name()
}

/// The assembly that a reading is in, by way of its part if need be.
#[must_use]
pub fn home(view: &View, reading: &Entry) -> Option<Id> {
    home::assembly_of(view, &about(reading)?)
}
