//! A rule as a value: what it reads, how it finds its points, and its choices, each with its words and what it does. What a rule
//! found is kept by the place it was found at, so that only the places that were touched are looked at again.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use super::near::near;
use super::point::{Choice, Point};
use super::rule::Rule;
use crate::document::{Ledger, Record, Stroke, Touched};
use crate::entry::{Entry, Scalar};
use crate::ids::Ids;
use crate::name::{Kind, Ref};
use crate::refusal::Refusal;
use crate::view::View;

/// A rule.
pub(crate) struct RuleDef {
    pub(super) rule: Rule,
    /// What it finds, in words, where a settlement of it is spoken of.
    pub(super) said: &'static str,
    pub(super) finds: Finds,
    /// Every way to settle what it finds; which of them a point offers, its finder says.
    pub(super) choices: &'static [ChoiceDef],
}

/// How a rule finds its points.
pub(super) enum Finds {
    /// In entries of these kinds. What it finds goes into [`Found`]; it says whether that is another than before.
    InRecord(&'static [Kind], fn(&Survey<'_>, &mut Found) -> bool),
    /// Among the settlements, by what the other rules found: `rules::FoundPoints` sees to it.
    AmongSettlements,
}

/// One way to settle a point.
pub(crate) struct ChoiceDef {
    key: ChoiceKey,
    wants_why: bool,
    outcome: Outcome,
    does: fn(&Settling<'_>, &mut dyn Ids) -> Result<Vec<Stroke>, Refusal>,
}

/// What a choice is called in a point and in a settlement.
pub(super) enum ChoiceKey {
    /// This word.
    Word(&'static str),
    /// This, and the number of a side, from 1.
    Numbered(&'static str),
    /// Whatever one of the settlements chose that the point is about.
    OfASettlement,
}

/// What comes of a choice, in words.
pub(super) enum Outcome {
    /// Which of the things that the point is about, and what becomes of it.
    Of(usize, &'static str),
    /// The numbered thing, and what becomes of it.
    OfNumbered(&'static str),
    /// A sentence.
    Words(&'static str),
    /// What the choice is called.
    AsCalled,
}

impl ChoiceDef {
    pub(super) const fn new(
        key: ChoiceKey,
        outcome: Outcome,
        does: fn(&Settling<'_>, &mut dyn Ids) -> Result<Vec<Stroke>, Refusal>,
    ) -> Self {
        Self {
            key,
            wants_why: false,
            outcome,
            does,
        }
    }

    /// The same, with a reason.
    pub(super) const fn with_why(self) -> Self {
        Self {
            wants_why: true,
            ..self
        }
    }

    /// Whether a reason must be given with it.
    pub(crate) fn wants_why(&self) -> bool {
        self.wants_why
    }

    /// What it does to the record.
    pub(crate) fn carry_out(
        &self,
        settling: &Settling<'_>,
        ids: &mut dyn Ids,
    ) -> Result<Vec<Stroke>, Refusal> {
        (self.does)(settling, ids)
    }

    /// As a point offers it, under its word; a numbered one or one of a settlement under the key given.
    pub(super) fn offer(&self, key: &str) -> Choice {
        Choice {
            key: key.to_owned(),
            wants_why: self.wants_why,
        }
    }

    fn is(&self, key: &str) -> bool {
        match self.key {
            ChoiceKey::Word(word) => word == key,
            ChoiceKey::Numbered(stem) => number(stem, key).is_some(),
            ChoiceKey::OfASettlement => false,
        }
    }
}

/// The number of a key, counted from 0.
fn number(stem: &str, key: &str) -> Option<usize> {
    let number: usize = key.strip_prefix(stem)?.parse().ok()?;
    // Only as it is written by the one who offers it.
    (format!("{stem}{number}") == key)
        .then_some(number)?
        .checked_sub(1)
}

impl RuleDef {
    /// What is to be done where this is chosen; nothing for what this program does not know, of which it does nothing.
    pub(crate) fn chosen(&self, point: &Point, key: &str) -> Option<&ChoiceDef> {
        let by_key = self.choices.iter().find(|choice| choice.is(key));
        by_key.or_else(|| {
            let value = Some(Scalar::Line(key.to_owned()));
            let settled = point.sides.iter().any(|side| side.value == value);
            let of_one = |choice: &&ChoiceDef| matches!(choice.key, ChoiceKey::OfASettlement);
            self.choices.iter().find(of_one).filter(|_| settled)
        })
    }

    /// Every choice that has a word of its own, as a point offers it.
    pub(super) fn offers(&self) -> Vec<Choice> {
        let words = self.choices.iter().filter_map(|choice| match choice.key {
            ChoiceKey::Word(word) => Some(choice.offer(word)),
            ChoiceKey::Numbered(_) | ChoiceKey::OfASettlement => None,
        });
        words.collect()
    }

    /// What comes of a choice, in words; one that this program does not know is said as it is called.
    pub(super) fn outcome(&self, key: &str, named: impl Fn(usize) -> String) -> String {
        let known = self.choices.iter().find(|choice| choice.is(key));
        match known.map(|choice| (&choice.outcome, &choice.key)) {
            Some((Outcome::Of(at, becomes), _)) => format!("{} {becomes}", named(*at)),
            Some((Outcome::OfNumbered(becomes), ChoiceKey::Numbered(stem))) => {
                let at = number(stem, key).unwrap_or_default();
                format!("{} {becomes}", named(at))
            }
            Some((Outcome::Words(words), _)) => (*words).to_owned(),
            Some((Outcome::AsCalled | Outcome::OfNumbered(_), _)) | None => key.replace('_', " "),
        }
    }
}

/// A choice that somebody made, with what it is carried out on.
pub(crate) struct Settling<'a> {
    pub(crate) record: &'a Record,
    pub(crate) point: &'a Point,
    pub(crate) choice: &'a str,
    pub(crate) why: Option<&'a str>,
}

impl<'a> Settling<'a> {
    pub(super) fn view(&self) -> &'a View {
        self.record.view()
    }

    /// One of the things that the point is about.
    pub(super) fn about(&self, at: usize) -> Result<&'a Ref, Refusal> {
        self.point.about.get(at).ok_or(Refusal::NoSuchPoint)
    }

    /// The thing that a numbered choice is of.
    pub(super) fn numbered(&self, stem: &str) -> Result<&'a Ref, Refusal> {
        self.about(number(stem, self.choice).ok_or(Refusal::NoSuchPoint)?)
    }
}

/// Nothing but that it was settled so.
pub(super) fn nothing(_: &Settling<'_>, _: &mut dyn Ids) -> Result<Vec<Stroke>, Refusal> {
    Ok(Vec::new())
}

/// A record that a rule looks at: the whole of it, or what was touched since.
pub(super) struct Survey<'a> {
    pub(super) view: &'a View,
    pub(super) ledger: &'a Ledger,
    pub(super) touched: Option<&'a Touched>,
    near: OnceCell<BTreeSet<Ref>>,
}

impl<'a> Survey<'a> {
    pub(super) fn of(view: &'a View, ledger: &'a Ledger, touched: Option<&'a Touched>) -> Self {
        Self {
            view,
            ledger,
            touched,
            near: OnceCell::new(),
        }
    }

    /// The entries of a kind to look at again: what was touched and what hangs on it; nothing where the whole record is looked at, or
    /// one of these kinds was touched, which have a say in what is found anywhere.
    pub(super) fn again(&self, kind: Kind, unless: &[Kind]) -> Option<Vec<Ref>> {
        let touched = self.only(unless)?;
        let near = self
            .near
            .get_or_init(|| near(self.view, touched.iter().map(|(name, _)| name)));
        Some(near.iter().filter(|name| name.kind == kind).cloned().collect())
    }

    /// Every touched entry, with what is there of it now; nothing where the whole record is looked at, or one of these kinds was
    /// touched, which have a say in what is found elsewhere.
    pub(super) fn only(&self, unless: &[Kind]) -> Option<Vec<(Ref, Option<&'a Entry>)>> {
        let touched = self.touched?;
        if touched.keys().any(|(kind, _)| unless.contains(kind)) {
            return None;
        }
        let each = touched.keys().map(|(kind, id)| {
            let name = Ref::new(*kind, id.clone());
            let entry = self.view.get(*kind, id);
            (name, entry)
        });
        Some(each.collect())
    }

    /// Looks at each entry of a kind that stands: all of them, or those that were touched and those that hang on what was.
    pub(super) fn each(&self, kind: Kind, found: &mut Found, look: impl Fn(&Entry) -> Option<Point>) -> bool {
        let look = |entry: &Entry| -> Vec<Point> { look(entry).into_iter().collect() };
        let Some(again) = self.again(kind, &[]) else {
            return found.anew(
                self.view
                    .standing(kind)
                    .map(|entry| (entry.name().to_string(), look(entry))),
            );
        };
        let mut other = false;
        for name in again {
            let standing = self.view.find(&name).filter(|entry| entry.stands());
            other |= found.put(&name.to_string(), standing.map(look).unwrap_or_default());
        }
        other
    }
}

/// What a rule has found, settled or not, by the place it was found at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Found {
    places: BTreeMap<String, Place>,
}

/// Points found at one place, with every entry they were read from, where the rule goes by that.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Place {
    points: Vec<Point>,
    read: BTreeSet<Ref>,
}

impl Found {
    pub(super) fn points(&self) -> impl Iterator<Item = &Point> {
        self.places.values().flat_map(|place| &place.points)
    }

    /// What is found at one place now; whether that is another.
    pub(super) fn put(&mut self, place: &str, points: Vec<Point>) -> bool {
        self.put_read(place, points, BTreeSet::new())
    }

    /// The same, with what it was read from.
    pub(super) fn put_read(&mut self, place: &str, points: Vec<Point>, read: BTreeSet<Ref>) -> bool {
        if points.is_empty() {
            return self.places.remove(place).is_some();
        }
        let now = Place { points, read };
        let was = self.places.insert(place.to_owned(), now);
        was.map(|was| was.points).as_ref() != self.places.get(place).map(|now| &now.points)
    }

    /// All that is found anywhere now; whether that is another.
    pub(super) fn anew(&mut self, each: impl Iterator<Item = (String, Vec<Point>)>) -> bool {
        let mut now = Found::default();
        for (place, points) in each {
            let _ = now.put(&place, points);
        }
        let other = *self != now;
        *self = now;
        other
    }

    /// All that is found now by a rule that looks at everything at once; whether that is another.
    pub(super) fn whole(&mut self, points: Vec<Point>) -> bool {
        self.put("", points)
    }

    /// The places whose points were read from one of these.
    pub(super) fn read_from(&self, names: &[Ref]) -> impl Iterator<Item = &str> {
        let from = |place: &Place| names.iter().any(|name| place.read.contains(name));
        let places = self.places.iter().filter(move |(_, place)| from(place));
        places.map(|(place, _)| place.as_str())
    }
}
