//! Reopening what was agreed: every settlement of one act is struck out with a reason, and keeps what its point was, so that it stands
//! again on every device with both sides as they were. What is written on paper alone (an order, a code, a reading) reads again as it did
//! before; how the car itself stands is not changed by words. Nothing is deleted.

use std::collections::BTreeSet;

use crate::document::{BadRecord, Draft, Record, Stroke};
use crate::entities::Settlement;
use crate::entry::{Claim, Entry, STRUCK, Scalar};
use crate::field::{MOST_LINE_BYTES, Stored};
use crate::hash::ChangeId;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::rules::{self, Point, PointStood};
use crate::shown::says_something;
use crate::strokes;
use crate::title::title;
use crate::view::View;

pub(super) fn reopen(record: &Record, settlement: &Id, why: &str) -> Result<Draft, Refusal> {
    let view = record.view();
    let name = Ref::new(Kind::Settlement, settlement.clone());
    let settled = view.find(&name).ok_or_else(|| Refusal::Unknown(name.clone()))?;
    if !settled.stands() {
        return Err(Refusal::Reopened(of_what(view, settled)));
    }
    if !says_something(why) {
        return Err(Refusal::WhyWanted);
    }
    let why = strokes::reason(why)?;
    // Two may have settled it apart, alike: with either of them standing it would be settled still.
    let acts = acts_of_it(view, settled);
    let (mut strokes, mut message) = (Vec::new(), None);
    let mut about: BTreeSet<Ref> = BTreeSet::new();
    for act in &acts {
        let before = record
            .before(act)
            .map_err(|_: BadRecord| Refusal::NothingToReopen)?;
        let stood = rules::points(before.view(), before.ledger());
        let of_the_act = view
            .standing(Kind::Settlement)
            .filter(|one| one.made.change == **act);
        for one in of_the_act {
            let point = one.line(Settlement::point).unwrap_or_default();
            // What nobody can find any more in what was known then is another program's point.
            let point = stood
                .iter()
                .find(|stood| stood.id == point)
                .ok_or(Refusal::NothingToReopen)?;
            message.get_or_insert_with(|| format!("Reopened: {}", point.title));
            strokes.push(kept(&before, one, point)?);
            strokes.push(strokes::strike(&one.name(), why.clone()));
            about.extend(point.about.iter().cloned());
        }
    }
    let about: Vec<Ref> = about.into_iter().collect();
    strokes.extend(put_back(record, &acts, &BTreeSet::new(), &about));
    Ok(Draft {
        message: message.ok_or(Refusal::NothingToReopen)?,
        strokes,
    })
}

/// The acts that settled what this one did, and stand.
fn acts_of_it<'v>(view: &'v View, settled: &'v Entry) -> BTreeSet<&'v ChangeId> {
    let point = |one: &'v Entry| one.line(Settlement::point).unwrap_or_default();
    let standing = || view.standing(Kind::Settlement);
    let act = &settled.made.change;
    let points: BTreeSet<&str> = standing()
        .filter(|one| one.made.change == *act)
        .map(point)
        .collect();
    standing()
        .filter(|one| points.contains(point(one)))
        .map(|one| &one.made.change)
        .collect()
}

/// What it was agreed of, by name.
fn of_what(view: &View, settled: &Entry) -> String {
    let about = settled.line(Settlement::about).unwrap_or_default();
    let about = about.split(' ').next().and_then(|name| name.parse::<Ref>().ok());
    let about = about.and_then(|name| view.find(&name));
    about.map_or_else(|| title(settled), title)
}

/// What the point was, as the settlement keeps it.
fn kept(before: &Record, settled: &Entry, point: &Point) -> Result<Stroke, Refusal> {
    let kept =
        serde_json::to_string(&PointStood::of(before.view(), point)).map_err(|_| Refusal::NothingToReopen)?;
    if kept.len() > MOST_LINE_BYTES {
        return Err(Refusal::TooLongToReopen);
    }
    let value = Stored::Scalar(Some(Scalar::Line(kept)));
    Ok(Stroke::Put(
        Kind::Settlement,
        settled.id.clone(),
        Settlement::stood.to_owned(),
        value,
    ))
}

/// What was reopened holds again as it was agreed: the line through it is taken back, and what the reopening put back.
pub(super) fn agree_again(record: &Record, settlement: &Id) -> Result<Draft, Refusal> {
    let view = record.view();
    let name = Ref::new(Kind::Settlement, settlement.clone());
    let settled = view.find(&name).ok_or_else(|| Refusal::Unknown(name.clone()))?;
    if settled.stands() {
        return Err(Refusal::NotReopened(of_what(view, settled)));
    }
    // Two may have reopened it apart, and one of them let it hold again: all of that is taken back together.
    let together: BTreeSet<&ChangeId> = acts(settled, true).collect();
    let back: BTreeSet<&ChangeId> = acts(settled, false).collect();
    let of_the_act = view
        .all(Kind::Settlement)
        .filter(|one| !one.stands() && acts(one, true).any(|act| together.contains(act)));
    let mut strokes = Vec::new();
    for one in of_the_act {
        strokes.push(strokes::strike(&one.name(), Stored::Scalar(None)));
        let about = one.line(Settlement::about).unwrap_or_default();
        let about = about
            .split(' ')
            .filter_map(|name| name.parse().ok())
            .collect::<Vec<Ref>>();
        strokes.extend(put_back(record, &together, &back, &about));
    }
    Ok(Draft {
        message: format!("Holds as it was agreed: {}", title(settled)),
        strokes,
    })
}

/// The changes that reopened a settlement, or those that let it hold again apart from one.
fn acts(settled: &Entry, reopened: bool) -> impl Iterator<Item = &ChangeId> {
    let claims = settled.claims(STRUCK).iter();
    let these = claims.filter(move |claim| claim.value.is_some() == reopened);
    these.map(|claim| &claim.stamp.change)
}

/// What these acts wrote of things on paper, and nobody wrote since, reads as it did before them; where one of them put it back
/// already, as that one had it.
fn put_back(
    record: &Record,
    acts: &BTreeSet<&ChangeId>,
    back: &BTreeSet<&ChangeId>,
    about: &[Ref],
) -> Vec<Stroke> {
    let on_paper = |name: &&Ref| matches!(name.kind, Kind::Order | Kind::Container | Kind::Reading);
    let entries = about
        .iter()
        .filter(on_paper)
        .filter_map(|name| record.view().find(name));
    let mut strokes = Vec::new();
    for entry in entries {
        for (field, held) in &entry.fields {
            let claims = held.claims();
            let theirs =
                |claim: &Claim| acts.contains(&claim.stamp.change) || back.contains(&claim.stamp.change);
            let Some(first) = claims.first().filter(|_| claims.iter().all(theirs)) else {
                continue;
            };
            let agreed = claims.iter().find(|claim| back.contains(&claim.stamp.change));
            let value = match agreed {
                Some(agreed) if held.contradicts() => agreed.value.clone(),
                Some(_) => continue,
                None => {
                    let before = record.entry_before(entry.kind, &entry.id, &first.stamp.change);
                    before.and_then(|before| before.value(field).cloned())
                }
            };
            let value = Stored::Scalar(value);
            strokes.push(Stroke::Put(entry.kind, entry.id.clone(), field.clone(), value));
        }
    }
    strokes
}
