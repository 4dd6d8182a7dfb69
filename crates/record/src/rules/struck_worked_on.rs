//! Struck here, worked on there: one keeper struck something out while the other, who could not know, wrote in it: a job done in
//! the assembly, a finding on the part, one more part put into the bag. What was written would stand on no page. Whoever wrote
//! *knowing* of the strike, or struck knowing what was written, contradicts nobody.

use std::collections::{BTreeMap, BTreeSet};

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::across;
use crate::document::{Around, Ledger, Stroke};
use crate::entities::Job;
use crate::entry::{Entry, STRUCK, Scalar, Stamp};
use crate::field::Stored;
use crate::hash::ChangeId;
use crate::inside::{Contained, Inside, elsewhere, holders};
use crate::name::{Kind, Ref};
use crate::refusal::Refusal;
use crate::said;
use crate::strokes;
use crate::title::title;
use crate::view::View;

/// Struck out while somebody worked on it.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::StruckWorkedOn,
    said: "struck out while it was worked on",
    finds: Finds::InRecord(Kind::ALL, finds),
    choices: &[MOVE_UP, TAKE_BACK, STRIKE_TOO, LEAVE, STAY_STRUCK],
};

const MOVE_UP: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("move_up"),
    Outcome::Of(0, "is struck out, what was worked on moves up"),
    |settling, _| {
        let group = group_of(settling)?;
        let root = *group.roots.first().ok_or(Refusal::NoSuchPoint)?;
        let moving: Vec<_> = group.moving().collect();
        let mut written = strokes::moved(root, &moving, group.up.as_ref())?;
        written.extend(group.again().map(stands));
        Ok(written)
    },
);

const TAKE_BACK: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("take_back"),
    Outcome::Of(0, "stands again"),
    |settling, _| {
        let group = group_of(settling)?;
        Ok(group.struck.iter().map(|entry| stands(entry)).collect())
    },
);

const STRIKE_TOO: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("strike_too"),
    Outcome::Of(0, "is struck out with everything in it"),
    |settling, _| {
        let group = group_of(settling)?;
        let root = *group.roots.first().ok_or(Refusal::NoSuchPoint)?;
        let why = strokes::reason(root.struck().map_or("", |(why, _)| why))?;
        let all = Inside::of(settling.view());
        let each = strokes::with_everything(&all, group.standing.iter().map(|held| held.entry));
        let struck = each
            .into_iter()
            .map(|entry| strokes::strike(&entry.name(), why.clone()));
        Ok(struck.collect())
    },
);

const LEAVE: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("leave"),
    Outcome::Of(0, "is struck out, what is in it is left there"),
    nothing,
);

const STAY_STRUCK: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("stay_struck"),
    Outcome::Of(0, "stays struck out"),
    nothing,
);

fn stands(entry: &Entry) -> Stroke {
    strokes::strike(&entry.name(), Stored::Scalar(None))
}

/// Most sides that are shown; the title counts the rest.
const MOST_SIDES: usize = 8;

/// What was done to one entry by somebody who could not know of the strike.
#[derive(Clone, Debug)]
struct Work<'a> {
    entry: &'a Entry,
    stamp: Stamp,
    fields: BTreeSet<String>,
    entered: bool,
}

/// Everything that one change struck out, with what was worked on apart from it.
#[derive(Debug)]
struct Group<'a> {
    struck: Vec<&'a Entry>,
    roots: Vec<&'a Entry>,
    worked: BTreeMap<Ref, Work<'a>>,
    /// What stands directly in what was struck out.
    standing: Vec<Contained<'a>>,
    /// Where that could move to, if anything lies around.
    up: Option<Ref>,
    changes: BTreeSet<ChangeId>,
    /// Every entry that was looked at.
    read: BTreeSet<Ref>,
}

/// Looks at every strike; or again at those that what was touched is in, and at those whose points were read from it: only a
/// change of one of those, or of what has come to be in one, can make it another.
fn finds(survey: &Survey<'_>, found: &mut Found) -> bool {
    let (view, ledger) = (survey.view, survey.ledger);
    let Some(touched) = survey.only(&[]) else {
        let strikes = strikes(view);
        let all = strikes.keys().copied().collect();
        let mut other = false;
        for (change, (point, read)) in look(view, ledger, &strikes, &all) {
            other |= found.put_read(&change.hex(), vec![point], read);
        }
        return other;
    };
    let names: Vec<Ref> = touched.into_iter().map(|(name, _)| name).collect();
    let read = found.read_from(&names).filter_map(ChangeId::from_hex);
    let mut again: BTreeSet<ChangeId> = read.collect();
    let mut seen = BTreeSet::new();
    let mut open = names;
    while let Some(name) = open.pop() {
        let Some(entry) = view.find(&name).filter(|_| seen.insert(name.clone())) else {
            continue;
        };
        again.extend(entry.struck().map(|(_, stamp)| stamp.change));
        open.extend(holders(entry).map(|(_, up)| up));
    }
    if again.is_empty() {
        return false;
    }
    let mut now = look(view, ledger, &strikes(view), &again);
    let mut other = false;
    for change in again {
        let (points, read) = match now.remove(&change) {
            Some((point, read)) => (vec![point], read),
            None => (Vec::new(), BTreeSet::new()),
        };
        other |= found.put_read(&change.hex(), points, read);
    }
    other
}

/// What was struck out, by the change that did it.
fn strikes(view: &View) -> BTreeMap<ChangeId, Vec<&Entry>> {
    let mut strikes: BTreeMap<ChangeId, Vec<&Entry>> = BTreeMap::new();
    for kind in Kind::worked_on() {
        for entry in view.all(kind) {
            if let Some((_, stamp)) = entry.struck() {
                strikes.entry(stamp.change).or_default().push(entry);
            }
        }
    }
    strikes
}

fn look(
    view: &View,
    ledger: &Ledger,
    strikes: &BTreeMap<ChangeId, Vec<&Entry>>,
    which: &BTreeSet<ChangeId>,
) -> BTreeMap<ChangeId, (Point, BTreeSet<Ref>)> {
    let strikes = strikes.iter().filter(|(change, _)| which.contains(change));
    let mut inside: Option<Inside<'_>> = None;
    let mut points = BTreeMap::new();
    for (change, struck) in strikes {
        let inside = inside.get_or_insert_with(|| Inside::of(view));
        let group = group(ledger, inside, change, struck);
        if let Some(point) = point(&group, change) {
            points.insert(*change, (point, group.read));
        }
    }
    points
}

/// What a point of this rule is about, as it stands.
fn group_of<'a>(settling: &Settling<'a>) -> Result<Group<'a>, Refusal> {
    let view = settling.view();
    let first = settling.point.sides.first().ok_or(Refusal::NoSuchPoint)?;
    let change = &first.stamp.change;
    let struck = strikes(view).remove(change).ok_or(Refusal::NoSuchPoint)?;
    Ok(group(
        settling.record.ledger(),
        &Inside::of(view),
        change,
        &struck,
    ))
}

fn group<'a>(ledger: &Ledger, inside: &Inside<'a>, change: &ChangeId, struck: &[&'a Entry]) -> Group<'a> {
    let names: BTreeSet<Ref> = struck.iter().map(|entry| entry.name()).collect();
    let alone = |entry: &&&Entry| !holders(entry).any(|(_, up)| names.contains(&up));
    let mut roots: Vec<&Entry> = struck.iter().filter(alone).copied().collect();
    if roots.is_empty() {
        roots.extend(struck.first());
    }
    let around = ledger.around(change);
    let mut read = names.clone();
    let mut group = Group {
        struck: struck.to_vec(),
        up: roots
            .first()
            .and_then(|root| inside.around_through(root, &mut read)),
        roots,
        worked: BTreeMap::new(),
        standing: Vec::new(),
        changes: BTreeSet::new(),
        read,
    };
    let mut seen = names.clone();
    let mut open: Vec<&Entry> = struck.to_vec();
    for entry in struck {
        group.consider(&around, entry, None);
    }
    while let Some(at) = open.pop() {
        let at_struck = names.contains(&at.name());
        for held in inside.direct(&at.name()) {
            group.read.insert(held.entry.name());
            if !held.entry.stands() || !seen.insert(held.entry.name()) {
                continue;
            }
            if at_struck && held.goes_with {
                group.standing.push(held);
            }
            // What lies in a bag is another's work; that it was put there is what counts.
            let only = (at.kind == Kind::Container).then_some(held.field);
            group.consider(&around, held.entry, only);
            if only.is_none() || held.entry.kind == Kind::Container {
                open.push(held.entry);
            }
        }
    }
    group
}

impl<'a> Group<'a> {
    fn consider(&mut self, around: &Around<'_>, entry: &'a Entry, only: Option<&str>) {
        let entered = only.is_none() && around.apart(&entry.made.change);
        let mut stamps: Vec<Stamp> = entered.then(|| entry.made.clone()).into_iter().collect();
        let mut fields = BTreeSet::new();
        for (field, held) in &entry.fields {
            if field == STRUCK || only.is_some_and(|only| only != field) {
                continue;
            }
            for claim in held
                .claims()
                .iter()
                .filter(|claim| around.apart(&claim.stamp.change))
            {
                stamps.push(claim.stamp.clone());
                fields.insert(field.clone());
            }
        }
        // What is written in a text later changes none of the values.
        for (field, by) in around.ledger.letters_of(entry) {
            if only.is_none() && *by != entry.made.change && around.apart(by) {
                stamps.push(around.ledger.stamp(*by));
                fields.insert(field.to_owned());
            }
        }
        let Some(latest) = stamps.iter().max_by_key(|stamp| (stamp.at, &stamp.change)) else {
            return;
        };
        self.changes.extend(stamps.iter().map(|stamp| stamp.change));
        self.worked.insert(
            entry.name(),
            Work {
                entry,
                stamp: latest.clone(),
                fields,
                entered,
            },
        );
    }

    /// Whether what was worked on could stand without what was struck out.
    fn may_move_up(&self) -> bool {
        let holds = self
            .roots
            .iter()
            .any(|root| matches!(root.kind, Kind::Assembly | Kind::Container));
        holds
            && (!self.standing.is_empty() || self.again().next().is_some())
            && self
                .moving()
                .all(|held| elsewhere(held, self.up.as_ref()).is_some())
    }

    /// What was struck out with the rest although somebody was at work on it.
    fn again(&self) -> impl Iterator<Item = &'a Entry> + '_ {
        let root = |entry: &Entry| self.roots.iter().any(|root| root.id == entry.id);
        self.struck
            .iter()
            .copied()
            .filter(move |entry| !root(entry) && self.worked.contains_key(&entry.name()))
    }

    /// What moves when everything that was worked on or left moves up.
    fn moving(&self) -> impl Iterator<Item = Contained<'a>> + '_ {
        let struck = |up: &Ref| self.struck.iter().any(|one| one.name() == *up);
        let standing = self.standing.iter().copied();
        let again = self.again().filter_map(move |entry| {
            let (field, _) = holders(entry).find(|(_, up)| struck(up))?;
            Some(Contained {
                entry,
                field,
                goes_with: true,
            })
        });
        standing.filter(|held| held.goes_with).chain(again)
    }
}

fn point(group: &Group<'_>, change: &ChangeId) -> Option<Point> {
    if group.worked.is_empty() {
        return None;
    }
    let first = *group.roots.first()?;
    let (why, stamp) = first.struck()?;
    let about: Vec<Ref> = group.roots.iter().map(|entry| entry.name()).collect();
    let mut changes: Vec<ChangeId> = group.changes.iter().copied().collect();
    changes.push(*change);
    let mut sides = vec![Side {
        key: "side_1".to_owned(),
        about: first.name(),
        title: title(first),
        value: Some(Scalar::Line(format!("struck out: {why}"))),
        stamp: stamp.clone(),
        knew_other: false,
    }];
    let mut work: Vec<&Work<'_>> = group.worked.values().collect();
    work.sort_by(|a, b| (b.stamp.at, &b.entry.id).cmp(&(a.stamp.at, &a.entry.id)));
    for (one, at) in work.iter().zip(2_u32..).take(MOST_SIDES) {
        sides.push(Side {
            key: format!("side_{at}"),
            about: one.entry.name(),
            title: title(one.entry),
            value: Some(Scalar::Line(one.said())),
            stamp: one.stamp.clone(),
            knew_other: false,
        });
    }
    let more = |count: usize| match count.saturating_sub(1) {
        0 => String::new(),
        others => format!(" and {others} more"),
    };
    let worked = work.first().map_or_else(String::new, |one| {
        format!(
            "{} '{}'",
            one.entry.kind.word().replace('_', " "),
            title(one.entry)
        )
    });
    let refs: Vec<&ChangeId> = changes.iter().collect();
    let holds = matches!(first.kind, Kind::Assembly | Kind::Container);
    let mut choices = Vec::new();
    if group.may_move_up() {
        choices.push(MOVE_UP.offer("move_up"));
    }
    choices.push(TAKE_BACK.offer("take_back"));
    if holds && !group.standing.is_empty() {
        choices.push(STRIKE_TOO.offer("strike_too"));
        choices.push(LEAVE.offer("leave"));
    } else {
        choices.push(STAY_STRUCK.offer("stay_struck"));
    }
    Some(Point {
        id: identity(Rule::StruckWorkedOn, &about, "", &refs),
        rule: Rule::StruckWorkedOn,
        title: format!(
            "'{}'{} was struck out while {worked}{} was worked on",
            title(first),
            more(group.roots.len()),
            more(work.len()),
        ),
        about,
        field: None,
        part_of: None,
        reopened: None,
        sides,
        choices,
        changes,
    })
}

impl Work<'_> {
    /// What was done, in words.
    fn said(&self) -> String {
        let fields: Vec<String> = self
            .fields
            .iter()
            .map(|field| said::label_within(self.entry.kind, field))
            .collect();
        if self.entered {
            return "entered there".to_owned();
        }
        let state = across::state(self.entry).filter(|_| self.fields.contains(Job::state));
        match state {
            Some(state) if self.fields.len() == 1 => format!("now {}", state.replace('_', " ")),
            _ => format!("changed: {}", fields.join(", ")),
        }
    }
}
