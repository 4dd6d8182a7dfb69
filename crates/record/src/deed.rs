//! Deeds: what was done, by whom and when, read out of the change that did it. A field as it reads now tells only of the last
//! change: an assembly that was taken apart in May and closed in June was taken apart all the same. So a deed is read from
//! each change by itself, and stays whatever is written later. Nothing here opens a document, and nothing judges.

use std::collections::{BTreeMap, BTreeSet};

use crate::entities::{Assembly, Finding, HoldPoint, Instrument, Job, Part, Settlement};
use crate::entry::{Entry, Scalar, Stamp};
use crate::name::{Id, Kind, Ref};
use crate::rules::rule::Rule;
use crate::spelled::{End, Lies, MetBy};
use crate::time::Day;
use crate::words::{AssemblyState, HoldState, JobState, OrderState, Words as _};

/// One thing that a change did.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Deed {
    /// To what.
    pub name: Ref,
    /// The field that it put: a state, a container, a decision.
    pub field: String,
    /// What it put there; nothing where it emptied it. Of a hold point that stayed open by being counted, what was counted.
    pub value: Option<String>,
    /// Who did it, where its keeper said that it was another.
    pub by: Option<Id>,
    /// The day that the keeper said, where it was another than that of the change.
    pub on: Option<Day>,
}

/// What one change made and put, as far as deeds are read from it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Puts {
    made: BTreeSet<Ref>,
    fields: BTreeMap<Ref, BTreeMap<String, Option<Scalar>>>,
}

impl Puts {
    /// An entry that the change made.
    pub(crate) fn made(&mut self, kind: Kind, id: &Id) {
        self.made.insert(Ref::new(kind, id.clone()));
    }

    /// Whether a field is one that deeds are read from.
    pub(crate) fn wants(kind: Kind, field: &str) -> bool {
        is_deed(kind, field)
            || matches!(
                (kind, field),
                (Kind::HoldPoint, HoldPoint::on | HoldPoint::met_by) | (Kind::Settlement, Settlement::rule)
            )
    }

    /// What the change put into a field; of several, the last.
    pub(crate) fn put(&mut self, kind: Kind, id: &Id, field: String, value: Option<Scalar>) {
        let fields = self.fields.entry(Ref::new(kind, id.clone())).or_default();
        fields.insert(field, value);
    }

    /// Whether a point was settled that says which of several values holds: what that puts was done before, by others.
    fn says_what_held(&self) -> bool {
        let settled = self
            .fields
            .iter()
            .filter(|(name, _)| name.kind == Kind::Settlement);
        settled
            .filter_map(|(_, fields)| line(fields, Settlement::rule))
            .any(|rule| {
                [Rule::TwoValues, Rule::SettledTwoWays]
                    .iter()
                    .any(|one| one.word() == rule)
            })
    }

    /// What the change did.
    pub(crate) fn deeds(&self) -> Vec<Deed> {
        let held_before = self.says_what_held();
        // What an assembly that is opened asks anew is no deed beside that.
        let opens = self
            .fields
            .iter()
            .any(|(name, fields)| name.kind == Kind::Assembly && fields.contains_key(Assembly::state));
        let mut deeds = Vec::new();
        for (name, fields) in &self.fields {
            for (field, value) in fields.iter().filter(|(field, _)| is_deed(name.kind, field)) {
                // Closed or opened by the same change, where it is then is no deed beside that.
                if field == Assembly::off_car && fields.contains_key(Assembly::state) {
                    continue;
                }
                let value = match value {
                    Some(Scalar::Flag(true)) => Some(ON),
                    Some(Scalar::Flag(false)) => None,
                    value => value
                        .as_ref()
                        .and_then(Scalar::line)
                        .filter(|text| !text.is_empty()),
                };
                // Counted and put open by one change, it was counted, and not as many as are wanted.
                let counted = || line(fields, HoldPoint::met_by).filter(|by| is_count(by));
                let value = match name.kind {
                    Kind::HoldPoint if value == Some(HoldState::Open.word()) => counted().or(value),
                    _ => value,
                };
                if self.made.contains(name) && begins(name.kind, value) {
                    continue;
                }
                if opens && name.kind == Kind::HoldPoint && value == Some(HoldState::Open.word()) {
                    continue;
                }
                if held_before && name.kind != Kind::Settlement {
                    continue;
                }
                let on = match name.kind {
                    Kind::Instrument => value.and_then(|day| day.parse().ok()),
                    Kind::HoldPoint if value != Some(HoldState::Open.word()) => {
                        line(fields, HoldPoint::on).and_then(|day| day.parse().ok())
                    }
                    _ => None,
                };
                deeds.push(Deed {
                    name: name.clone(),
                    field: field.clone(),
                    value: value.map(str::to_owned),
                    by: None,
                    on,
                });
            }
        }
        deeds
    }
}

/// What is kept of a flag that was put.
const ON: &str = "yes";

fn line<'a>(fields: &'a BTreeMap<String, Option<Scalar>>, field: &str) -> Option<&'a str> {
    fields.get(field)?.as_ref()?.line()
}

/// Whether putting this field is something that is done at the bench or on the car.
#[must_use]
pub fn is_deed(kind: Kind, field: &str) -> bool {
    match kind {
        Kind::Assembly => matches!(field, Assembly::state | Assembly::off_car),
        Kind::Job | Kind::HoldPoint | Kind::Order => field == Job::state,
        Kind::Part => matches!(field, Part::container | Part::decision),
        Kind::Instrument => field == Instrument::checked_on,
        Kind::Settlement => field == Settlement::choice,
        Kind::Finding => field == Finding::ended,
        _ => false,
    }
}

fn is_count(kept: &str) -> bool {
    matches!(MetBy::of(kept), Some(MetBy::Counted(_)))
}

/// Whether an entry that is new only begins so, and nothing was done to it.
fn begins(kind: Kind, value: Option<&str>) -> bool {
    match kind {
        // How it was found; it was entered so.
        Kind::Assembly => true,
        Kind::Job => value == Some(JobState::Open.word()),
        Kind::HoldPoint => value == Some(HoldState::Open.word()),
        Kind::Order => value == Some(OrderState::ToFind.word()),
        _ => value.is_none(),
    }
}

/// Whoever put the value that a field shows: several where each did without knowing of the others. Nobody, where it is how the
/// entry was made.
#[must_use]
pub fn whose<'a>(entry: &'a Entry, field: &str) -> Vec<&'a Stamp> {
    let claims = entry.claims(field);
    let shown = claims.first().map(|claim| &claim.value);
    claims
        .iter()
        .filter(|claim| Some(&claim.value) == shown && claim.stamp.change != entry.made.change)
        .map(|claim| &claim.stamp)
        .collect()
}

impl Deed {
    /// Whether it stands off the car where it was in pieces: so it was put together, and nobody took it off. `before` is what its state had been
    /// put to, as far as one device's log tells; of two that were put apart that may be the other's, so it is said so that it holds either way.
    #[must_use]
    pub fn is_put_together(&self, before: Option<&str>) -> bool {
        self.name.kind == Kind::Assembly
            && self.field == Assembly::state
            && self.value.as_deref() == Some(AssemblyState::Off.word())
            && before == Some(AssemblyState::Apart.word())
    }

    /// How many were counted of a hold point that stayed open by it.
    #[must_use]
    pub fn counted(&self) -> Option<i32> {
        let kept = self
            .value
            .as_deref()
            .filter(|_| self.name.kind == Kind::HoldPoint)?;
        match MetBy::of(kept)? {
            MetBy::Counted(number) => Some(number),
            MetBy::Reading(_) | MetBy::Photo(_) => None,
        }
    }

    /// What was done, as a mechanic says it before the name of what it was done to.
    #[must_use]
    pub fn words(&self) -> &'static str {
        let value = self.value.as_deref();
        match (self.name.kind, value) {
            (Kind::Assembly, off) if self.field == Assembly::off_car => match off {
                Some(_) => "Taken off, closed as it is",
                None => "Fitted, closed as it is",
            },
            (Kind::Assembly, Some(word)) => match AssemblyState::from_word(word) {
                AssemblyState::Fitted => "Open, on the car",
                AssemblyState::Off => "Taken off",
                AssemblyState::Apart => "Taken apart",
                AssemblyState::Closed => "Closed up",
                AssemblyState::Away => "Sent away",
                AssemblyState::Other(_) => "Put in another state",
            },
            (Kind::Job, Some(word)) => match JobState::from_word(word) {
                JobState::Open => "Job open again",
                JobState::Begun => "Job begun",
                JobState::Later => "Job put off, not in this round",
                JobState::Done => "Job done",
                JobState::Dropped => "Job dropped",
                JobState::Other(_) => "Job put in another state",
            },
            (Kind::HoldPoint, Some(kept)) if is_count(kept) => "Counted, and not met",
            (Kind::HoldPoint, Some(word)) => match HoldState::from_word(word) {
                HoldState::Open => "Hold point open again",
                HoldState::Met => "Hold point met",
                HoldState::Other(_) => "Hold point put in another state",
            },
            (Kind::Order, Some(word)) => match OrderState::from_word(word) {
                OrderState::ToFind => "To find again",
                OrderState::Asked => "Asked for",
                OrderState::Ordered => "Ordered",
                OrderState::In => "Come in",
                OrderState::Returned => "Sent back",
                OrderState::Cancelled => "Cancelled",
                OrderState::Other(_) => "Order put in another state",
            },
            (Kind::Part, Some(kept)) if self.field == Part::container => match Lies::of(kept) {
                Lies::In(_) => "Put away",
                Lies::Place => "Into its place",
                Lies::Off(_) => "Off the car",
                Lies::Away(_) => "Sent away",
                Lies::Scrapped(_) => "Scrapped",
                Lies::Lost(_) => "Looked for, and not found",
                Lies::Trial(_) => "On for trial",
                Lies::Other(_) => "Put elsewhere",
            },
            (Kind::Part, None) if self.field == Part::container => "Out of its container",
            (Kind::Part, Some("reuse")) => "Decided: goes back",
            (Kind::Part, Some("recondition")) => "Decided: recondition",
            (Kind::Part, Some("replace")) => "Decided: replace",
            (Kind::Part, Some(_)) => "Decided",
            (Kind::Part, None) => "Decision taken back",
            (Kind::Instrument, Some(_)) => "Instrument checked",
            (Kind::Settlement, _) => "Settled",
            (Kind::Finding, Some(kept)) => match End::of(kept) {
                End::MendedBy(_) => "To be mended by a job",
                End::Mended(_) => "Mended",
                End::LivedWith(_) => "Lived with",
                End::NotSo(_) => "Not so",
                End::Other(_) => "Ended",
            },
            (Kind::Finding, None) => "Finding open again",
            _ => "Emptied",
        }
    }
}
