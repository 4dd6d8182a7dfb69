//! What stands inside what, by the fields that say so: a job in an assembly, a part in a bag, a finding on a part. It reads
//! struck entries as well, since what was struck out may still hold something that nobody struck. It decides nothing, and
//! no walk goes round in circles.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::entities as e;
use crate::entities::field_of;
use crate::entry::{Entry, Scalar};
use crate::field::{Shape, Stored};
use crate::hash::ChangeId;
use crate::name::{Id, Kind, Ref};
use crate::rules::rule::Rule;
use crate::view::View;

/// How one kind is in another.
struct Way {
    kind: Kind,
    field: &'static str,
    /// Of which kind its holder is; nothing where the field itself says it.
    holder: Option<Kind>,
    /// Whether it goes where its holder goes. A try or an order is only about what it names.
    goes_with: bool,
}

const fn inside(kind: Kind, field: &'static str, holder: Option<Kind>) -> Way {
    Way {
        kind,
        field,
        holder,
        goes_with: true,
    }
}

const fn about(kind: Kind, field: &'static str, holder: Kind) -> Way {
    Way {
        kind,
        field,
        holder: Some(holder),
        goes_with: false,
    }
}

const WAYS: &[Way] = &[
    inside(Kind::Assembly, e::Assembly::parent, Some(Kind::Assembly)),
    inside(Kind::Assembly, e::Assembly::kept_in, Some(Kind::Container)),
    inside(Kind::Part, e::Part::assembly, Some(Kind::Assembly)),
    inside(Kind::Part, e::Part::container, Some(Kind::Container)),
    inside(Kind::Job, e::Job::assembly, Some(Kind::Assembly)),
    inside(Kind::HoldPoint, e::HoldPoint::assembly, Some(Kind::Assembly)),
    inside(
        Kind::TighteningRun,
        e::TighteningRun::assembly,
        Some(Kind::Assembly),
    ),
    inside(Kind::Container, e::Container::inside, Some(Kind::Container)),
    inside(Kind::Finding, e::Finding::about, None),
    inside(Kind::Reading, e::Reading::about, None),
    inside(Kind::Limit, e::Limit::about, None),
    inside(Kind::Photo, e::Photo::about, None),
    inside(Kind::KeptAnswer, e::KeptAnswer::about, None),
    about(Kind::Job, e::Job::part, Kind::Part),
    about(Kind::Order, e::Order::part, Kind::Part),
    about(Kind::Try, e::Try::job, Kind::Job),
    about(Kind::Tightened, e::Tightened::run, Kind::TighteningRun),
];

/// What an entry is in or about: each with the field that says so.
pub fn holders(entry: &Entry) -> impl Iterator<Item = (&'static str, Ref)> + '_ {
    let of_kind = WAYS.iter().filter(|way| way.kind == entry.kind);
    of_kind.filter_map(|way| Some((way.field, holder(entry, way)?)))
}

fn holder(entry: &Entry, way: &Way) -> Option<Ref> {
    let line = entry.line(way.field)?;
    match way.holder {
        Some(kind) => Some(Ref::new(kind, line.parse().ok()?)),
        None => line.parse().ok(),
    }
}

/// How many of a kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Inner {
    /// Of which kind.
    pub kind: Kind,
    /// How many.
    pub count: u32,
}

impl Inner {
    /// Several of them in one line: `3 parts, 1 job and 2 findings`.
    #[must_use]
    pub fn in_words(inner: &[Inner]) -> String {
        let each: Vec<String> = inner.iter().map(Self::words).collect();
        match each.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, before)) => format!("{} and {last}", before.join(", ")),
            None => "nothing".to_owned(),
        }
    }

    fn words(&self) -> String {
        let word = self.kind.word().replace('_', " ");
        match (self.count, word.strip_suffix('y')) {
            (1, _) => format!("1 {word}"),
            (count, Some(stem)) => format!("{count} {stem}ies"),
            (count, None) => format!("{count} {word}s"),
        }
    }

    /// How many of each kind, in the order a mechanic would ask for them.
    pub fn count(entries: &[&Entry]) -> Vec<Inner> {
        let mut kinds: Vec<Kind> = Vec::new();
        kinds.extend(WAYS.iter().map(|way| way.kind));
        kinds.dedup();
        let of = |kind: Kind| {
            let count = entries.iter().filter(|entry| entry.kind == kind).count();
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            (count > 0).then_some(Inner { kind, count })
        };
        let mut seen = BTreeSet::new();
        kinds.retain(|kind| seen.insert(*kind));
        kinds.into_iter().filter_map(of).collect()
    }
}

/// What becomes of what stands inside something that is struck out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Becomes {
    /// It moves into what lies around it.
    MoveUp,
    /// It is struck out with it, however deep it lies.
    StrikeToo,
    /// It is left there, where Car and Stores show it and a close-up asks for it.
    Leave,
}

impl Becomes {
    /// All of them, the one to propose first.
    pub const ALL: &'static [Becomes] = &[Becomes::MoveUp, Becomes::StrikeToo, Becomes::Leave];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Becomes::MoveUp => "move_up",
            Becomes::StrikeToo => "strike_too",
            Becomes::Leave => "leave",
        }
    }

    /// Several of them in one line.
    pub(crate) fn in_words(all: &[Becomes]) -> String {
        let words: Vec<&str> = all.iter().map(|one| one.word()).collect();
        words.join(", ")
    }
}

/// An entry that is in another, and the field that says so.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Contained<'a> {
    pub(crate) entry: &'a Entry,
    pub(crate) field: &'static str,
    pub(crate) goes_with: bool,
}

/// Everything that is in something, by what it is in.
#[derive(Debug)]
pub struct Inside<'a> {
    view: &'a View,
}

impl<'a> Inside<'a> {
    /// Of a view.
    #[must_use]
    pub fn of(view: &'a View) -> Self {
        Self { view }
    }

    /// What is in or about it, struck out or not.
    pub(crate) fn direct(&self, name: &Ref) -> Vec<Contained<'a>> {
        let ways = WAYS
            .iter()
            .filter(|way| way.holder.is_none_or(|kind| kind == name.kind));
        let mut held = Vec::new();
        for way in ways {
            let naming = self.view.naming(name, way.kind);
            held.extend(
                naming
                    .filter(|entry| holder(entry, way).as_ref() == Some(name))
                    .map(|entry| Contained {
                        entry,
                        field: way.field,
                        goes_with: way.goes_with,
                    }),
            );
        }
        held
    }

    /// Everything inside it that stands, however deep.
    #[must_use]
    pub fn within(&self, name: &Ref) -> Vec<&'a Entry> {
        let mut seen = BTreeSet::from([name.clone()]);
        let mut open = vec![name.clone()];
        let mut out = Vec::new();
        while let Some(at) = open.pop() {
            for held in self.direct(&at).into_iter().filter(|held| held.goes_with) {
                let name = held.entry.name();
                if held.entry.stands() && seen.insert(name.clone()) {
                    out.push(held.entry);
                    open.push(name);
                }
            }
        }
        out
    }

    /// What was left in something that was struck out: what stands in it, or on a part that was struck with it. What stands
    /// in a thing that was left is not left itself.
    #[must_use]
    pub fn left_in(&self, struck: &Entry) -> Vec<&'a Entry> {
        self.held_left(struck)
            .into_iter()
            .map(|held| held.entry)
            .collect()
    }

    /// The changes that struck an entry out with what is in it: the one that did, and those by which a point about that strike
    /// was settled, since they strike out what stayed, or strike it out again.
    fn struck_by(&self, struck: &Entry) -> BTreeSet<ChangeId> {
        let mut by: BTreeSet<ChangeId> = struck.struck().map(|(_, by)| by.change).into_iter().collect();
        let name = struck.name().to_string();
        let of_strike = |settled: &e::SettlementRef<'_>| {
            let rule = settled.of_rule().or_else(|| settled.rule());
            let about = settled.about().unwrap_or_default();
            rule == Some(Rule::StruckWorkedOn.word()) && about.split(' ').any(|one| one == name)
        };
        let settled = self.view.each_standing::<e::Settlement>().filter(of_strike);
        by.extend(settled.map(|settled| settled.entry().made.change));
        by
    }

    pub(crate) fn held_left(&self, struck: &Entry) -> Vec<Contained<'a>> {
        if struck.stands() || self.direct(&struck.name()).is_empty() {
            return Vec::new();
        }
        let by = self.struck_by(struck);
        let mut seen = BTreeSet::from([struck.name()]);
        let mut open = vec![struck.name()];
        let mut out: Vec<Contained<'a>> = Vec::new();
        while let Some(at) = open.pop() {
            for held in self.direct(&at).into_iter().filter(|held| held.goes_with) {
                let name = held.entry.name();
                if !seen.insert(name.clone()) {
                    continue;
                }
                match held.entry.struck() {
                    None => out.push(held),
                    Some((_, with)) if held.entry.kind == Kind::Part && by.contains(&with.change) => {
                        open.push(name);
                    }
                    Some(_) => {}
                }
            }
        }
        out.sort_by(|a, b| (a.entry.kind, &a.entry.id).cmp(&(b.entry.kind, &b.entry.id)));
        out
    }

    /// It and everything inside it that was struck out with it.
    pub(crate) fn struck_with(&self, struck: &'a Entry) -> Vec<&'a Entry> {
        if struck.stands() {
            return Vec::new();
        }
        let strikes = self.struck_by(struck);
        let mut seen = BTreeSet::from([struck.name()]);
        let mut out = vec![struck];
        let mut at = 0;
        while let Some(entry) = out.get(at).copied() {
            at = at.saturating_add(1);
            for held in self.direct(&entry.name()) {
                let with = held
                    .entry
                    .struck()
                    .is_some_and(|(_, by)| strikes.contains(&by.change));
                if with && seen.insert(held.entry.name()) {
                    out.push(held.entry);
                }
            }
        }
        out
    }

    /// The nearest thing of the same kind around it that stands. Around what stands in itself, by way of others, is nothing.
    #[must_use]
    pub fn around(&self, entry: &Entry) -> Option<Ref> {
        self.around_through(entry, &mut BTreeSet::new())
    }

    /// The same, and every thing that was looked at on the way.
    pub(crate) fn around_through(&self, entry: &Entry, read: &mut BTreeSet<Ref>) -> Option<Ref> {
        let of = entry.name();
        let (mut seen, mut nearest, mut at) = (BTreeSet::new(), None, entry);
        while let Some((_, up)) = holders(at).find(|(_, up)| up.kind == entry.kind) {
            read.insert(up.clone());
            if up == of {
                return None;
            }
            let Some(found) = self.view.find(&up).filter(|_| seen.insert(up.clone())) else {
                break;
            };
            if nearest.is_none() && found.stands() {
                nearest = Some(up);
            }
            at = found;
        }
        nearest
    }
}

/// The value that puts an entry somewhere else, or nowhere in particular; nothing where it cannot be without a place.
pub(crate) fn elsewhere(held: Contained<'_>, to: Option<&Ref>) -> Option<Stored> {
    let def = field_of(held.entry.kind, held.field)?;
    let line = match (to, def.shape) {
        (Some(to), Shape::About(_)) => to.to_string(),
        (Some(to), _) => to.id.to_string(),
        // It was of that one thing: nobody has said that it is the car's.
        (None, _) if matches!(held.entry.kind, Kind::Job | Kind::HoldPoint | Kind::Reading) => return None,
        (None, _) if held.entry.kind == Kind::Limit => return Some(Stored::Scalar(None)),
        (None, Shape::About(may)) if may.contains(&Kind::Car) => Ref::new(Kind::Car, Id::car()).to_string(),
        (None, _) if def.required => return None,
        (None, _) => return Some(Stored::Scalar(None)),
    };
    Some(Stored::Scalar(Some(Scalar::Line(line))))
}
