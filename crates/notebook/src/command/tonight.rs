//! How it stands tonight: asked for, and said. What is said is a finding of danger about the car, so that it is merged, ended and
//! settled as any other. Nothing here ends one.

use std::collections::BTreeSet;

use record::ending::End;
use record::entities::{Finding, FindingFields};
use record::words::{HowBad, Words as _};
use record::{Day, Edit, Entity as _, Entry, Given, Id, Kind, Mention, Ref, View};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use super::kinds::Made;
use crate::desk::Desk;
use crate::page::{self, Reader};
use crate::refusal::Refusal;
use crate::wire::Tonight;

/// What a danger is told from: findings, what they are about, what ends them, and who said so.
const LOOKED_AT: [Kind; 7] = [
    Kind::Finding,
    Kind::Job,
    Kind::Part,
    Kind::Assembly,
    Kind::Car,
    Kind::Keeper,
    Kind::Device,
];

/// Most that is said at once.
const MOST_SAID: usize = 12;

/// What anyone must know before touching the car.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct HowItStands {}

impl Command for HowItStands {
    type Reply = Vec<Tonight>;
    const NAME: &'static str = "tonight";
    const SAYS: &'static str = "How it stands tonight: what can hurt somebody and has no end.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<Tonight>, Refusal> {
        let record = desk.row()?.id;
        let points = desk.points()?;
        let store = desk.store_of(&LOOKED_AT);
        let mut view = View::default();
        for kind in [Kind::Keeper, Kind::Device] {
            for entry in store.entries(&record, kind)? {
                view.put(entry);
            }
        }
        // Only those that say so are read, and what they name, by their keys: a part, and what that is in.
        let mut wanted: BTreeSet<Ref> = BTreeSet::new();
        for entry in store.saying(&record, Kind::Finding, HowBad::Danger.word())? {
            wanted.extend(names(&entry));
            view.put(entry);
        }
        while let Some(name) = wanted.pop_first() {
            if view.find(&name).is_none()
                && let Some(entry) = store.find(&record, &name)?
            {
                wanted.extend(names(&entry));
                view.put(entry);
            }
        }
        let photos = Default::default();
        let read = Reader::of(&view, &photos);
        Ok(page::tonight(&read, &points))
    }
}

/// What a line of it names.
fn names(entry: &Entry) -> Vec<Ref> {
    match entry.kind {
        Kind::Finding => {
            let finding = Finding::of(entry);
            let about = finding
                .and_then(|finding| finding.about())
                .and_then(Mention::name);
            let job = finding
                .and_then(|finding| finding.ended())
                .and_then(|kept| End::of(kept).job().cloned())
                .map(|job| Ref::new(Kind::Job, job));
            about.into_iter().chain(job).collect()
        }
        // What it lies in, however deep: a lid further out hides it as well.
        Kind::Part | Kind::Assembly => record::inside::holders(entry).map(|(_, up)| up).collect(),
        _ => Vec::new(),
    }
}

/// Says how the car stands, each thing by itself so that each can be ended by itself; one change.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct SayHowItStands {
    /// What anyone must know: `on stands`, `no brakes`.
    pub(crate) said: Vec<String>,
    /// The day.
    pub(crate) on: Day,
}

impl Command for SayHowItStands {
    type Reply = Vec<Made>;
    const NAME: &'static str = "say_how_it_stands";
    const SAYS: &'static str = "Says how the car stands: each thing can hurt somebody, and is shown at the top on every device until it is ended.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<Made>, Refusal> {
        let said: Vec<&str> = self.said.iter().map(|one| one.trim()).collect();
        if said.is_empty() || said.len() > MOST_SAID {
            return Err(Refusal::input(
                "nothing_said",
                format!("say how it stands: one thing at least, and {MOST_SAID} at most"),
            ));
        }
        let mut edits = Vec::new();
        let mut made = Vec::new();
        for what in &said {
            let id = desk.notebook().fresh_id();
            let fields = FindingFields {
                about: Given::Put(Ref::new(Kind::Car, Id::car())),
                what: Given::Put((*what).to_owned()),
                how_bad: Given::Put(HowBad::Danger),
                on: Given::Put(self.on),
                ..FindingFields::default()
            };
            edits.push(Edit::add::<Finding>(id.clone(), &fields)?);
            made.push(Made::of(Kind::Finding, id));
        }
        let message = format!("How it stands: {}", said.join("; "));
        desk.write(&Edit::Together { message, edits })?;
        Ok(made)
    }
}
