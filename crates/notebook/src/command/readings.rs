//! Readings: taking a remedy, and how a verdict came to be what it is. What mends a reading is the record's to say.

use record::{Day, Edit, Id, Kind, Ref, View, remedy, verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use super::kinds::Made;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::{ReadingPage, VerdictStep};

/// Makes a proposed remedy of a reading into a job or an order.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct TakeRemedy {
    /// The reading.
    pub(crate) reading: Id,
    /// The key of one of its remedies.
    pub(crate) key: String,
    /// The day it is entered.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) on: Option<Day>,
    /// In which assembly the job is, where the reading is on a part in none.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) within: Option<Id>,
}

impl Command for TakeRemedy {
    type Reply = Made;
    const NAME: &'static str = "take_remedy";
    const SAYS: &'static str = "Makes a proposed remedy of a reading into a job or an order.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Made, Refusal> {
        let id = desk.notebook().fresh_id();
        let (kind, edit) = desk.read(|view| self.taking(view, &id))??;
        desk.write(&edit)?;
        Ok(Made::of(kind, id))
    }
}

impl TakeRemedy {
    /// What is made of it, and the edit that makes it.
    fn taking(&self, view: &View, id: &Id) -> Result<(Kind, Edit), Refusal> {
        let unknown = || record::Refusal::Unknown(Ref::new(Kind::Reading, self.reading.clone()));
        let reading = view
            .get(Kind::Reading, &self.reading)
            .filter(|entry| entry.stands())
            .ok_or_else(unknown)?;
        let judge = verdict::Judge::of(view);
        let proposed = remedy::of_reading(&judge, reading);
        let taken = remedy::standing_for(view, &self.reading, &proposed).taken;
        let found = proposed
            .iter()
            .zip(taken)
            .find(|(remedy, _)| remedy.key == self.key);
        let Some((remedy, taken)) = found else {
            let key: String = self.key.chars().take(60).collect();
            return Err(Refusal::input(
                "no_such_remedy",
                format!(
                    "as the record stands, '{key}' mends nothing here; the reading may have been judged anew"
                ),
            ));
        };
        if let Some(taken) = taken {
            return Err(Refusal::input(
                "taken",
                format!("that was taken already: '{}'", record::edit::title(taken)),
            ));
        }
        let kind = match remedy.makes {
            remedy::Makes::Job => Kind::Job,
            remedy::Makes::Order => Kind::Order,
        };
        let within = self.within.clone();
        Ok((
            kind,
            remedy::edit_of(view, reading, remedy, id.clone(), self.on, within)?,
        ))
    }
}

/// A reading as it stands: judged by its instrument, with what mends it, whatever it is on.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadingOf {
    /// Which.
    pub(crate) id: Id,
}

impl Command for ReadingOf {
    type Reply = ReadingPage;
    const NAME: &'static str = "reading";
    const SAYS: &'static str = "One reading as it stands: judged by its instrument, with what mends it, whatever it is on, and the others of its point.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<ReadingPage, Refusal> {
        let found = desk.page(|read| {
            let judge = verdict::Judge::of(read.view);
            let entry = read.view.get(Kind::Reading, &self.id)?;
            read.reading_page(&judge, entry)
        })?;
        found.ok_or_else(|| record::Refusal::Unknown(Ref::new(Kind::Reading, self.id)).into())
    }
}

/// Tells each step at which the verdict of a reading changed, or what it hangs on did.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct VerdictHistory {
    /// The reading.
    pub(crate) id: Id,
}

impl Command for VerdictHistory {
    type Reply = Vec<VerdictStep>;
    const NAME: &'static str = "verdict_history";
    const SAYS: &'static str =
        "Each step at which the verdict of a reading changed, or what it hangs on did, oldest first.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<VerdictStep>, Refusal> {
        let found = desk.page_of_past(|read, past| {
            // One that was struck out, or is only in the history, has a past all the same.
            let strand = past.get(&Ref::new(Kind::Reading, self.id.clone()))?;
            let line = |step: verdict::VerdictStep| VerdictStep {
                at: step.stamp.at,
                by: read.by(&step.stamp),
                words: step.words,
                verdict: step.verdict,
            };
            let steps = verdict::steps(read.view, past, &self.id);
            (!strand.rows().is_empty()).then(|| steps.into_iter().map(line).collect())
        })?;
        found.ok_or_else(|| record::Refusal::Unknown(Ref::new(Kind::Reading, self.id)).into())
    }
}
