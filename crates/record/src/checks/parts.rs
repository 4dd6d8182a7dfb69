//! Checks of parts: decided to be replaced and no other is in, in for now and to come out again, still in a container, in one that was struck out, or,
//! where its assembly is in pieces, nobody has said where. It does not ask where a part belongs.

use super::def::{
    CheckDef, Looked, Opening, Unfinished, changed_since, nowhere_else, opening, stamp_of, stamps_of,
};
use crate::across;
use crate::closing_check::Check;
use crate::entities::{Job, Order, Part};
use crate::entity::Entity as _;
use crate::entry::{Entry, STRUCK, Scalar};
use crate::lies;
use crate::name::{Id, Kind, Link};
use crate::shown::{says_something, shown};
use crate::words::{Decision, Differs, JobState, OrderState, Words as _};

/// A part that is to be replaced.
pub(super) static WANTED: CheckDef = CheckDef {
    check: Check::PartWanted,
    kind: Kind::Part,
    within: home,
    also: nowhere_else,
    unfinished: wanted,
    opening: wanted_since,
    called: "a part that is to be replaced:",
    from_the_first: false,
};

/// A part that lies elsewhere: in a container, on the bench, with somebody.
pub(super) static STORED: CheckDef = CheckDef {
    check: Check::PartStored,
    kind: Kind::Part,
    within: home,
    also: nowhere_else,
    unfinished: stored,
    opening: |looked, entry| {
        // Nobody wrote that; it is asked of whoever closes it themselves.
        let value = stored(looked, entry)?.state;
        if value == lies::UNSAID {
            return None;
        }
        let mut stamps = stamps_of(entry, &[Part::assembly, Part::container, STRUCK]);
        let container = Part::of(entry)?.container()?.container().and_then(Link::id);
        let container = container.and_then(|id| looked.view.get(Kind::Container, &id));
        stamps.extend(container.and_then(|one| stamp_of(one, STRUCK)).cloned());
        opening(stamps, Some(Scalar::Line(value)))
    },
    called: "a part that is not in:",
    from_the_first: false,
};

fn home(_: &crate::view::View, entry: &Entry) -> Option<Id> {
    across::assembly(entry).and_then(Link::id)
}

/// What is in only for now, in words: on for trial, a stand-in until something comes, or an aid. Out of the car it is in nobody's way.
fn comes_out(looked: &Looked<'_>, entry: &Entry) -> Option<String> {
    let part = Part::of(entry)?;
    if let Some(why) = lies::for_trial(entry) {
        return Some(lies::for_trial_said(why));
    }
    let differs = part.differs()?;
    if !matches!(differs, Differs::StandIn | Differs::Aid) || lies::not_in(looked.view, entry).is_some() {
        return None;
    }
    let said = Differs::SET.said(differs.word()).unwrap_or_default();
    let why = part.differs_why().filter(|why| says_something(why));
    Some(why.map_or_else(|| said.to_owned(), |why| format!("{said}: {}", shown(why))))
}

/// The order for it is in, or the work that it is for was done: then the new one is.
fn wanted(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    let part = Part::of(entry)?;
    if let Some(state) = comes_out(looked, entry) {
        return Some(Unfinished { state, danger: false });
    }
    if part.decision() != Some(Decision::Replace) {
        return None;
    }
    let link: Link<'_> = (&entry.id).into();
    let name = entry.name();
    let orders = looked.view.naming(&name, Kind::Order).filter(|one| one.stands());
    let mut orders = orders.filter_map(Order::of);
    let in_hand = orders.any(|order| order.part() == Some(link) && order.state() == Some(OrderState::In));
    let jobs = looked.view.naming(&name, Kind::Job).filter(|one| one.stands());
    let mut jobs = jobs.filter_map(Job::of);
    let put_in = jobs.any(|job| {
        job.state() == Some(JobState::Done)
            && (job.part() == Some(link) || job.needs_parts().any(|needed| needed == link))
    });
    (!in_hand && !put_in).then(|| Unfinished {
        state: "replace".to_owned(),
        danger: false,
    })
}

fn wanted_since(looked: &Looked<'_>, entry: &Entry) -> Option<Opening> {
    if comes_out(looked, entry).is_some() {
        let stamps = stamps_of(entry, &[Part::assembly, Part::differs, Part::container, STRUCK]);
        let field = match lies::for_trial(entry) {
            Some(_) => Part::container,
            None => Part::differs,
        };
        return opening(stamps, entry.value(field).cloned());
    }
    let link: Link<'_> = (&entry.id).into();
    let name = entry.name();
    let mut stamps = stamps_of(entry, &[Part::assembly, Part::decision, STRUCK]);
    // What brought the new one, and was taken back.
    let orders = looked
        .view
        .naming(&name, Kind::Order)
        .filter_map(Order::of)
        .filter(|order| order.part() == Some(link));
    stamps.extend(orders.flat_map(|order| changed_since(order.entry())));
    let jobs = looked
        .view
        .naming(&name, Kind::Job)
        .filter_map(Job::of)
        .filter(|job| job.part() == Some(link) || job.needs_parts().any(|needed| needed == link));
    stamps.extend(jobs.flat_map(|job| changed_since(job.entry())));
    opening(stamps, entry.value(Part::decision).cloned())
}

fn stored(looked: &Looked<'_>, entry: &Entry) -> Option<Unfinished> {
    // What was left out on purpose, and what was only in for now, is to be nowhere in the car.
    let differs = Part::of(entry)?.differs();
    if matches!(differs, Some(Differs::LeftOut | Differs::StandIn | Differs::Aid)) {
        return None;
    }
    let state = lies::not_in(looked.view, entry)?;
    Some(Unfinished { state, danger: false })
}
