//! Jobs as lines of lists: how each stands, where it stopped, what it waits for, what was tried. It reads entries only.

use record::edit::is_open;
use record::entities::{Job, Order, Part, Try};
use record::lies::whereabouts;
use record::own_word::{is_put_off, undone_by};
use record::words::{JobState, OrderState, Words};
use record::{Entity, Entry, Id, Kind, Moment, Ref, Stamp, called};

use super::lines::Reader;
use crate::wire::{JobLine, TryLine, Waits};

/// Who put what a field shows, when.
fn stamp_of<'e>(entry: &'e Entry, field: &str) -> Option<&'e Stamp> {
    entry.claims(field).first().map(|claim| &claim.stamp)
}

/// A try in one line.
fn said_of(attempt: &TryLine) -> String {
    match &attempt.came_of_it {
        Some(came) => format!("{}: {came}", attempt.what),
        None => attempt.what.clone(),
    }
}

impl Reader<'_> {
    pub(crate) fn job(&self, entry: &Entry) -> Option<JobLine> {
        let job = Job::read(entry);
        let open = |id: &Id| {
            let before = self.view.get(Kind::Job, id);
            before.is_some_and(|before| before.stands() && is_open(before))
        };
        let waits = job.after.unwrap_or_default().into_iter().filter(open);
        let mut tries: Vec<(Moment, TryLine)> = self
            .view
            .naming(&entry.name(), Kind::Try)
            .filter_map(Try::of)
            .filter(|attempt| attempt.stands())
            .filter(|attempt| attempt.job() == Some((&entry.id).into()))
            .map(|attempt| (attempt.entry().made.at, self.attempt(attempt.entry())))
            .collect();
        tries.sort_by(|a, b| (a.1.on, a.0, &a.1.id).cmp(&(b.1.on, b.0, &b.1.id)));
        let done_with = !is_open(entry);
        let left_off = job.left_off.filter(|said| !done_with && !said.is_empty());
        let left_off_by = stamp_of(entry, Job::left_off).filter(|_| left_off.is_some());
        let tried = tries
            .last()
            .filter(|(at, _)| left_off_by.is_none_or(|by| by.at <= *at));
        let last_said = match tried {
            Some((_, attempt)) => Some(said_of(attempt)),
            None => left_off.clone(),
        };
        Some(JobLine {
            id: job.id,
            what: called(job.what.as_deref()),
            assembly: self.linked(Kind::Assembly, job.assembly),
            state: job.state.unwrap_or(JobState::Open),
            open: entry.stands() && is_open(entry) && !is_put_off(entry),
            left_off_by: left_off_by.map(|stamp| self.by(stamp)),
            left_off,
            last_said,
            not_before: job.not_before.filter(|_| !done_with),
            not_before_time: job.not_before_time.filter(|_| !done_with),
            waits_on: job.waits_for.filter(|_| !done_with).map(|on| self.waits(on)),
            waits_why: job.waits_why.filter(|_| !done_with),
            hands: job.hands,
            helper: job.helper,
            undone_by: undone_by(entry).map(|by| self.named(&Ref::new(Kind::Job, by))),
            minutes: job.minutes,
            tools: job.tools,
            outcome: job.outcome,
            waits_for: waits.map(|id| self.named(&Ref::new(Kind::Job, id))).collect(),
            tries: tries.into_iter().map(|(_, line)| line).collect(),
            state_by: self.state_by(entry),
            by: self.by(&entry.made),
            struck: self.struck(entry),
        })
    }

    /// How that stands which a job waits for, as far as it is known.
    fn waits(&self, on: Ref) -> Waits {
        let entry = self.view.find(&on);
        let state = entry.and_then(Order::of).and_then(|order| order.state());
        let met = entry.is_some_and(|entry| entry.kind == Kind::HoldPoint && !is_open(entry));
        let stands = match on.kind {
            Kind::Order => state
                .as_ref()
                .and_then(|state| OrderState::SET.said(state.word())),
            Kind::HoldPoint => Some(if met { "met" } else { "open" }),
            _ => None,
        };
        let part = entry
            .and_then(Part::of)
            .map(|part| whereabouts(self.view, part).said);
        let measured = entry
            .filter(|entry| entry.kind == Kind::Reading)
            .map(super::readings::value);
        Waits {
            stands: stands
                .map(str::to_owned)
                .or(part)
                .or(measured)
                .filter(|said| !said.is_empty()),
            over: met || state == Some(OrderState::In),
            on: self.named(&on),
        }
    }

    fn attempt(&self, entry: &Entry) -> TryLine {
        let attempt = Try::read(entry);
        TryLine {
            id: attempt.id,
            what: called(attempt.what.as_deref()),
            tool: attempt.tool,
            came_of_it: attempt.came_of_it,
            worked: attempt.worked,
            on: attempt.on,
            by: self.by(&entry.made),
        }
    }
}
