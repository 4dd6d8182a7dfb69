//! What the bench leaves in the record: answers that are kept, and bolts that are tightened in order. The core reckons
//! anew what it keeps; what a face shows is never taken for an answer.

use std::collections::BTreeMap;

use record::entities::{KeptAnswer, KeptAnswerFields, Tightened, TightenedFields, TighteningRun};
use record::tightening::RunStanding;
use record::{Day, Edit, Given, Id, Kind, Link, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use super::kinds::Made;
use crate::desk::Desk;
use crate::page;
use crate::refusal::Refusal;
use crate::wire::{KeptPage, RunPage};

/// Keeps a bench answer: on the day's sheet, or with what it is for.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeepAnswer {
    /// Which calculation.
    pub(crate) calculation: String,
    /// What was typed, by argument.
    pub(crate) inputs: BTreeMap<String, String>,
    /// The units that the answer is kept in.
    #[serde(default)]
    #[ts(optional, as = "Option<reckon::Preferences>")]
    pub(crate) preferences: reckon::Preferences,
    /// What it is for: an assembly, a part, a job or the car; nothing for the day's sheet alone.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) about: Option<Ref>,
    /// The day.
    pub(crate) on: Day,
    /// Why it is kept.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) note: Option<String>,
}

impl Command for KeepAnswer {
    type Reply = Made;
    const NAME: &'static str = "keep_answer";
    const SAYS: &'static str = "Reckons and keeps the answer with what was typed for it.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Made, Refusal> {
        let answer = reckon::reckon(&self.calculation, &self.inputs, &self.preferences)?;
        let title = reckon::describe(&self.preferences)
            .into_iter()
            .find(|one| one.name == answer.calculation)
            .map_or_else(|| answer.calculation.clone(), |one| one.title);
        let fields = KeptAnswerFields {
            what: title.into(),
            inputs: page::inputs_kept(&self.inputs).into(),
            answer: page::headline(&answer).into(),
            told: page::told(&answer).join("\n").into(),
            calculation: answer.calculation.into(),
            about: self.about.map_or(Given::Leave, Given::Put),
            on: Given::Put(self.on),
            note: self
                .note
                .filter(|note| !note.trim().is_empty())
                .map_or(Given::Leave, Given::Put),
        };
        let id = desk.notebook().fresh_id();
        desk.write(&Edit::add::<KeptAnswer>(id.clone(), &fields)?)?;
        Ok(Made::of(Kind::KeptAnswer, id))
    }
}

/// A kept answer, whole, with what the bench answers today.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeptAnswerOf {
    /// Which.
    pub(crate) id: Id,
}

impl Command for KeptAnswerOf {
    type Reply = KeptPage;
    const NAME: &'static str = "kept_answer";
    const SAYS: &'static str = "A kept answer, whole, with what the bench answers today.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<KeptPage, Refusal> {
        let found = desk.page(|read| page::kept_page(read, &self.id))?;
        found.ok_or_else(|| record::Refusal::Unknown(Ref::new(Kind::KeptAnswer, self.id)).into())
    }
}

/// A tightening run as it stands: what is tight and which bolt is next.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct TighteningRunOf {
    /// Which.
    pub(crate) id: Id,
}

impl Command for TighteningRunOf {
    type Reply = RunPage;
    const NAME: &'static str = "tightening_run";
    const SAYS: &'static str = "A tightening run as it stands: what is tight and which bolt is next.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<RunPage, Refusal> {
        let points = desk.points()?;
        let found = desk.page(|read| page::run_page(read, &self.id, &points))?;
        found.ok_or_else(|| unknown_run(self.id))
    }
}

/// Logs that the next bolt of a run is tight.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Tighten {
    /// The run.
    pub(crate) run: Id,
    /// The pass that the keeper saw, so that two taps log once.
    pub(crate) pass: i32,
    /// The bolt.
    pub(crate) place: i32,
    /// The torque, where it was another than the pass's.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) torque: Option<String>,
    /// The wrench, where it was another than the run's.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) instrument: Option<Id>,
    /// The day.
    pub(crate) on: Day,
}

impl Command for Tighten {
    type Reply = Made;
    const NAME: &'static str = "tighten";
    const SAYS: &'static str = "Logs that the next bolt of a tightening run is tight.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Made, Refusal> {
        let (standing, instrument) = standing(desk, &self.run)?;
        if standing.next != Some((self.pass, self.place)) {
            let next = standing.next.map_or_else(
                || "the run is done".to_owned(),
                |(pass, place)| format!("next is bolt {place} in pass {pass}"),
            );
            return Err(Refusal::input(
                "not_next",
                format!("bolt {} is not next: {next}", self.place),
            ));
        }
        let planned = usize::try_from(self.pass - 1)
            .ok()
            .and_then(|at| standing.plan.passes.get(at));
        let torque = self.torque.or_else(|| planned.map(|pass| pass.kept.clone()));
        let fields = TightenedFields {
            run: Given::Put(self.run),
            pass: Given::Put(self.pass),
            place: Given::Put(self.place),
            torque: torque.map_or(Given::Leave, Given::Put),
            instrument: self.instrument.or(instrument).map_or(Given::Leave, Given::Put),
            on: Given::Put(self.on),
            ..Default::default()
        };
        let id = desk.notebook().fresh_id();
        desk.write(&Edit::add::<Tightened>(id.clone(), &fields)?)?;
        Ok(Made::of(Kind::Tightened, id))
    }
}

/// Takes back the last turn of a run: by every entry that logged it, should two devices have.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct UndoTightening {
    /// The run.
    pub(crate) run: Id,
}

impl Command for UndoTightening {
    type Reply = Done;
    const NAME: &'static str = "undo_tightening";
    const SAYS: &'static str = "Takes back the last turn of a tightening run: its bolt is the next again.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let (standing, _) = standing(desk, &self.run)?;
        let last: Vec<Id> = standing.last().cloned().collect();
        if last.is_empty() {
            return Err(Refusal::input(
                "nothing_tight",
                "nothing is tight yet in this run",
            ));
        }
        let why = "undone at the bench";
        let strike = |entry| Edit::strike(Ref::new(Kind::Tightened, entry), why);
        desk.write(&Edit::Together {
            message: "Took back the last turn of a tightening run".to_owned(),
            edits: last.into_iter().map(strike).collect(),
        })?;
        Ok(Done::YES)
    }
}

/// How a run stands, and its wrench.
fn standing(desk: &mut Desk<'_>, run: &Id) -> Result<(RunStanding, Option<Id>), Refusal> {
    desk.read(|view| {
        let run = view
            .one::<TighteningRun>(run)
            .filter(|run| run.stands())
            .ok_or_else(|| unknown_run(run.clone()))?;
        let standing = RunStanding::of(view, run.entry()).map_err(|why| Refusal::input("no_plan", why))?;
        let wrench = run.instrument().and_then(Link::id);
        Ok((standing, wrench))
    })?
}

fn unknown_run(id: Id) -> Refusal {
    record::Refusal::Unknown(Ref::new(Kind::TighteningRun, id)).into()
}
