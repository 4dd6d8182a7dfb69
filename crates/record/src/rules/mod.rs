//! Points to settle: the merged record read as a mechanic would, for contradictions that a merge alone hides.
//!
//! Each rule is a pure function of the view and of who knew what. A point's identity is made of its rule and of
//! the very changes that contradict each other: every device shows the same list in the same order, what was
//! settled stays settled, and the same contradiction made anew is a new point.

mod closed_over;
mod closed_over_run;
mod in_each_other;
mod readings_differ;
mod same_code;
mod struck_worked_on;
mod two_orders;
mod two_values;
mod two_ways;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use std::collections::{BTreeMap, BTreeSet};

use crate::document::{Ledger, Touched};
use crate::entry::{ChangeId, Entry, Scalar, Stamp, View};
use crate::name::{Id, Kind, Ref};

pub(crate) use in_each_other::{field_of as nests_by, taken_out};
pub use same_code::next_free_code;
pub(crate) use struck_worked_on::group_of;
pub(crate) use two_ways::{AS_IT_IS, matter_of, told};

/// The rules, in the order their points are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// An assembly was closed over an open job.
    ClosedOverJob,
    /// An assembly was closed over an open hold point.
    ClosedOverHold,
    /// An assembly was closed over an unfinished tightening run.
    ClosedOverRun,
    /// Something was struck out while somebody else worked on it, or in it.
    StruckWorkedOn,
    /// Two things, or more in a ring, each stand in the other.
    InEachOther,
    /// One point was settled two ways.
    SettledTwoWays,
    /// Two values for one field.
    TwoValues,
    /// One code on two containers.
    SameCode,
    /// Two orders for one part.
    TwoOrders,
    /// Two keepers' readings of one point differ by more than both can be off.
    ReadingsDiffer,
}

impl Rule {
    /// Its word, as kept in a settlement.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Rule::ClosedOverJob => "closed_over_job",
            Rule::ClosedOverHold => "closed_over_hold",
            Rule::ClosedOverRun => "closed_over_run",
            Rule::StruckWorkedOn => "struck_worked_on",
            Rule::InEachOther => "in_each_other",
            Rule::SettledTwoWays => "settled_two_ways",
            Rule::TwoValues => "two_values",
            Rule::SameCode => "same_code",
            Rule::TwoOrders => "two_orders",
            Rule::ReadingsDiffer => "readings_differ",
        }
    }
}

/// One side of a contradiction.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Side {
    /// `side_1`, `side_2`, …
    pub key: String,
    /// What it is about.
    pub about: Ref,
    /// What that is called.
    pub title: String,
    /// The value, where the point is about values. Nothing for a field that was emptied.
    pub value: Option<Scalar>,
    /// Who wrote it, where and when.
    pub stamp: Stamp,
    /// Whether its writer had the other side's entry when they wrote.
    pub knew_other: bool,
}

/// One way to settle a point.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Choice {
    /// What is sent back.
    pub key: String,
    /// Whether a reason must be given with it.
    pub wants_why: bool,
}

/// A contradiction that a person must decide.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Point {
    /// The same on every device.
    pub id: String,
    /// Which rule found it.
    pub rule: Rule,
    /// One line that says what it is.
    pub title: String,
    /// What it is about: the assembly and the job; the two orders, containers or readings; the entity of the field.
    pub about: Vec<Ref>,
    /// The field, for two values.
    pub field: Option<String>,
    /// Both sides, or more.
    pub sides: Vec<Side>,
    /// Ways to settle it.
    pub choices: Vec<Choice>,
    /// The changes that contradict each other, which its identity is made of.
    #[serde(skip)]
    #[ts(skip)]
    pub changes: Vec<ChangeId>,
}

/// Every point to settle, by rule and then by identity.
#[must_use]
pub fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    Points::of(view, ledger).list(view)
}

/// The points of a record, kept up as it changes: after an edit only the rules that read what was touched run again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Points {
    two_values: BTreeMap<(Kind, Id), Vec<Point>>,
    struck_worked_on: struck_worked_on::Points,
    in_each_other: Vec<Point>,
    two_ways: Vec<Point>,
    /// What another point or settlement speaks for, of what nobody settled itself.
    spoken_for: BTreeSet<String>,
    closed_over: Vec<Point>,
    closed_over_run: Vec<Point>,
    same_code: Vec<Point>,
    two_orders: Vec<Point>,
    readings_differ: Vec<Point>,
}

impl Points {
    /// All rules over the whole record.
    #[must_use]
    pub fn of(view: &View, ledger: &Ledger) -> Self {
        let mut points = Self {
            two_values: BTreeMap::new(),
            struck_worked_on: struck_worked_on::Points::of(view, ledger),
            in_each_other: in_each_other::points(view, ledger),
            two_ways: Vec::new(),
            spoken_for: BTreeSet::new(),
            closed_over: closed_over::points(view, ledger),
            closed_over_run: closed_over_run::points(view, ledger),
            same_code: same_code::points(view, ledger),
            two_orders: two_orders::points(view, ledger),
            readings_differ: readings_differ::points(view, ledger),
        };
        for entry in view.everything() {
            let _ = points.values_of(entry, ledger);
        }
        points.weigh(view, ledger);
        points
    }

    /// Runs again what reads the touched entries.
    pub fn refresh(&mut self, view: &View, ledger: &Ledger, touched: &Touched) {
        let mut other = false;
        for (kind, id) in touched.keys() {
            other |= match view.get(*kind, id) {
                Some(entry) => self.values_of(entry, ledger),
                None => self.two_values.remove(&(*kind, id.clone())).is_some(),
            };
        }
        let any = |kinds: &[Kind]| touched.keys().any(|(kind, _)| kinds.contains(kind));
        if any(&[Kind::Assembly, Kind::Job, Kind::HoldPoint, Kind::Waiver]) {
            other |= renew(&mut self.closed_over, closed_over::points(view, ledger));
        }
        if any(&[Kind::Assembly, Kind::TighteningRun, Kind::Tightened, Kind::Waiver]) {
            other |= renew(&mut self.closed_over_run, closed_over_run::points(view, ledger));
        }
        if any(&[Kind::Assembly, Kind::Container]) {
            other |= renew(&mut self.in_each_other, in_each_other::points(view, ledger));
        }
        if any(&[Kind::Container]) {
            other |= renew(&mut self.same_code, same_code::points(view, ledger));
        }
        // A part's name is in the point's title.
        if any(&[Kind::Order, Kind::Part]) {
            other |= renew(&mut self.two_orders, two_orders::points(view, ledger));
        }
        // Whose a device is, what an instrument is good for and what was done between count as well.
        if any(&[
            Kind::Reading,
            Kind::Instrument,
            Kind::Job,
            Kind::Part,
            Kind::Assembly,
            Kind::Device,
        ]) {
            other |= renew(&mut self.readings_differ, readings_differ::points(view, ledger));
        }
        other |= self.struck_worked_on.refresh(view, ledger, touched);
        // A point about settlements says what they are about in today's words. A sheet is named by none unless it is among it.
        let told_in = |(kind, id): &(Kind, Id)| {
            let mut about = self.two_ways.iter().flat_map(|point| &point.about);
            *kind != Kind::Sheet || about.any(|name| name.kind == *kind && name.id == *id)
        };
        let told = !self.two_ways.is_empty() && touched.keys().any(told_in);
        if other || told || any(&[Kind::Settlement]) {
            self.weigh(view, ledger);
        }
    }

    /// Looks at what was settled: whether two settlements of one thing contradict, and what they speak for.
    fn weigh(&mut self, view: &View, ledger: &Ledger) {
        let matters = two_ways::matters(view);
        let found: Vec<_> = matters.iter().filter_map(|one| one.point(view, ledger)).collect();
        let (settled, said) = (settled(view), two_ways::Said::of(&matters, &found));
        let spoken_for = self
            .found()
            .filter(|point| !settled.contains(point.id.as_str()) && said.speaks_for(ledger, point))
            .map(|point| point.id.clone())
            .collect();
        self.spoken_for = spoken_for;
        self.two_ways = found.into_iter().map(|one| one.point).collect();
    }

    /// What each rule but the one about settlements found, settled or not.
    fn found(&self) -> impl Iterator<Item = &Point> {
        self.two_values
            .values()
            .flatten()
            .chain(self.struck_worked_on.each())
            .chain(&self.in_each_other)
            .chain(&self.closed_over)
            .chain(&self.closed_over_run)
            .chain(&self.same_code)
            .chain(&self.two_orders)
            .chain(&self.readings_differ)
    }

    /// Looks again at the values of one entry; whether what was found is another now.
    fn values_of(&mut self, entry: &Entry, ledger: &Ledger) -> bool {
        let found = two_values::of_entry(entry, ledger);
        let name = (entry.kind, entry.id.clone());
        if found.is_empty() {
            return self.two_values.remove(&name).is_some();
        }
        let other = self.two_values.get(&name) != Some(&found);
        self.two_values.insert(name, found);
        other
    }

    /// What is left to settle, by rule and then by identity.
    #[must_use]
    pub fn list(&self, view: &View) -> Vec<Point> {
        let settled = settled(view);
        let stands =
            |point: &&Point| !settled.contains(point.id.as_str()) && !self.spoken_for.contains(&point.id);
        let mut points: Vec<Point> = self
            .found()
            .chain(&self.two_ways)
            .filter(stands)
            .cloned()
            .collect();
        points.sort_by(|a, b| (a.rule, &a.id).cmp(&(b.rule, &b.id)));
        points
    }
}

/// The points that somebody settled.
fn settled(view: &View) -> BTreeSet<&str> {
    view.standing(Kind::Settlement)
        .filter_map(|entry| entry.line("point"))
        .collect()
}

/// Puts what a rule found in the place of what it had found; whether that is another.
fn renew(place: &mut Vec<Point>, found: Vec<Point>) -> bool {
    let other = *place != found;
    *place = found;
    other
}

/// The identity of a point: its rule, what it is about, and the changes that contradict each other.
fn identity(rule: Rule, about: &[Ref], field: &str, changes: &[&ChangeId]) -> String {
    let mut hasher = blake3::Hasher::new();
    hasher.update(rule.word().as_bytes());
    for name in about {
        hasher.update(b"\0").update(name.to_string().as_bytes());
    }
    hasher.update(b"\0").update(field.as_bytes());
    let mut changes: Vec<&ChangeId> = changes.to_vec();
    changes.sort();
    changes.dedup();
    for change in changes {
        hasher.update(b"\0").update(change.as_str().as_bytes());
    }
    hasher.finalize().to_hex().chars().take(32).collect()
}

fn choice(key: &str) -> Choice {
    Choice {
        key: key.to_owned(),
        wants_why: false,
    }
}

fn choice_with_why(key: &str) -> Choice {
    Choice {
        key: key.to_owned(),
        wants_why: true,
    }
}
