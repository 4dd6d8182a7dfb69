//! Remedies: what mends a reading that is out of limits, with the amount, and what would decide one that is too close to
//! call. Pure, and reckoned anew at every look, as the verdicts are; only what a keeper takes becomes a job or an order.
//! It never takes one by itself.

mod amount;
mod guess;
mod taken;
mod undersize;

use std::collections::BTreeMap;

use reckon::VerdictWord;
use reckon::uncertainty::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::entities::{Limit, Reading};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::home;
use crate::name::{Id, Kind, Ref};
use crate::title::title;
use crate::tree::assemblies_around;
use crate::verdict::{Judge, Judged, Measured};
use crate::view::View;
use crate::words::Mend;

pub use guess::mend_of;
pub use taken::{Standing, edit_of, standing_for};

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
struct Place {
    /// What was measured, with its synonyms, the limit's and the names of where it is.
    said: guess::Said,
    /// `'rings', cylinder 2, top`.
    name: String,
}

impl Place {
    fn of(view: &View, reading: &Entry, judged: &Judged<'_>) -> Self {
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
            said: guess::Said::of(&title(reading), &title(judged.bounds.entry), &around),
            name,
        }
    }
}

/// What a reading is about.
fn about(reading: &Entry) -> Option<Ref> {
    Reading::of(reading)?.about()?.name()
}

/// The assembly that a reading is in, by way of its part if need be.
#[must_use]
pub fn home(view: &View, reading: &Entry) -> Option<Id> {
    home::assembly_of(view, &about(reading)?)
}

/// What mends a reading, the gravest limit's remedies first; nothing for one that is in its limits.
#[must_use]
pub fn of_reading(judge: &Judge<'_>, reading: &Entry) -> Vec<Remedy> {
    Measured::of(reading).map_or_else(Vec::new, |measured| {
        of_judged(judge, reading, &measured, &judge.each(reading, &measured))
    })
}

/// The same, where it was measured and judged already.
#[must_use]
pub fn of_judged(
    judge: &Judge<'_>,
    reading: &Entry,
    measured: &Measured,
    judged: &[Judged<'_>],
) -> Vec<Remedy> {
    let mut by_gravity: Vec<&Judged<'_>> = judged
        .iter()
        .filter(|one| one.verdict.word != VerdictWord::InLimits)
        .collect();
    // Stable: equals stay in the order of the reading's limits.
    by_gravity.sort_by(|a, b| b.graver_than(a));
    let out = |one: &Judged<'_>| one.verdict.word != VerdictWord::TooCloseToCall;
    let any_out = by_gravity.iter().any(|one| out(one));
    let mut remedies: Vec<Remedy> = Vec::new();
    for one in by_gravity {
        let place = Place::of(judge.view(), reading, one);
        let of_it = if out(one) {
            let side = one.judgement.near;
            let mend = stated(one, side).unwrap_or_else(|| guess::mend_of(&place.said, one, side));
            amount::remedies(judge.view(), reading, measured, one, &place, &mend)
        } else if any_out {
            // What is out is mended first; after that it is measured again anyway.
            Vec::new()
        } else {
            vec![amount::measure_again(judge, reading, measured, one, &place)]
        };
        for remedy in of_it {
            if remedies.iter().all(|other| other.key != remedy.key) {
                remedies.push(remedy);
            }
        }
    }
    remedies
}

/// The mend that the limit itself names for a side.
fn stated(judged: &Judged<'_>, side: Side) -> Option<Mend> {
    let limit = Limit::of(judged.bounds.entry)?;
    match side {
        Side::Low => limit.if_low(),
        Side::High => limit.if_high(),
    }
}
