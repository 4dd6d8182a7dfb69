//! Points to settle: the merged record read as a mechanic would, for contradictions that a merge alone hides.
//!
//! Each rule is a value (`def.rs`) in a file of its own; the list of them is [`def`]. A point's identity is made of its rule and of
//! the very changes that contradict each other: every device shows the same list in the same order, what was
//! settled stays settled, and the same contradiction made anew is a new point. Nothing here writes.

mod closed_over;
mod closed_over_found;
mod closed_over_run;
mod def;
mod ended_apart;
mod in_each_other;
mod met_apart;
mod near;
pub(crate) mod point;
mod readings_differ;
mod reopened;
pub(crate) mod rule;
mod said_apart;
mod same_code;
mod struck_worked_on;
mod talk;
mod talk_choices;
mod tightened_apart;
mod together;
mod two_orders;
mod two_values;
mod two_ways;

use std::collections::{BTreeMap, BTreeSet};

use crate::document::{Ledger, Touched};
use crate::entities::Settlement;
use crate::entry::Entry;
use crate::name::{Id, Kind, Ref};
use crate::past::Past;
use crate::view::View;

pub(crate) use def::{ChoiceDef, Settling};
use def::{Finds, Found, RuleDef, Survey};
pub use point::{Choice, PartOf, Point, Reopened, SaidOfIt, Side};
pub(crate) use reopened::PointStood;
pub use rule::Rule;
pub use same_code::next_free_code;
pub use talk::Talk;
pub use talk_choices::ChoiceWords;
pub(crate) use together::held_with;
pub use together::{Question, SaidToo, each_with, questions, said_with};
pub(crate) use two_ways::{matter_of, told};

/// The list of rules: each name with what it stands for.
fn def(rule: Rule) -> &'static RuleDef {
    match rule {
        Rule::ClosedOverJob => &closed_over::JOB,
        Rule::ClosedOverHold => &closed_over::HOLD,
        Rule::ClosedOverRun => &closed_over_run::RUN,
        Rule::ClosedOverFinding => &closed_over_found::FINDING,
        Rule::ClosedOverReading => &closed_over_found::READING,
        Rule::ClosedOverWanted => &closed_over_found::WANTED,
        Rule::ClosedOverStored => &closed_over_found::STORED,
        Rule::ClosedOverAssembly => &closed_over_found::ASSEMBLY,
        Rule::EndedApart => &ended_apart::RULE,
        Rule::MetApart => &met_apart::RULE,
        Rule::TightenedApart => &tightened_apart::RULE,
        Rule::SaidApart => &said_apart::RULE,
        Rule::StruckWorkedOn => &struck_worked_on::RULE,
        Rule::InEachOther => &in_each_other::RULE,
        Rule::SettledTwoWays => &two_ways::RULE,
        Rule::TwoValues => &two_values::RULE,
        Rule::SameCode => &same_code::RULE,
        Rule::TwoOrders => &two_orders::RULE,
        Rule::ReadingsDiffer => &readings_differ::RULE,
    }
}

/// The rule that a settlement names; nothing for one of a newer program.
fn def_of_word(word: &str) -> Option<&'static RuleDef> {
    let rule = Rule::ALL.iter().find(|rule| rule.word() == word);
    rule.map(|rule| def(*rule))
}

/// What is to be done where this is chosen of a point; nothing for a choice that this program does not know.
pub(crate) fn chosen(point: &Point, key: &str) -> Option<&'static ChoiceDef> {
    def(point.rule).chosen(point, key)
}

/// What is struck out of what a point is about, and can hurt somebody: the finding itself, or one of what was struck with it.
pub fn struck_dangers<'v>(view: &'v View, point: &Point) -> impl Iterator<Item = &'v Entry> {
    let about: BTreeSet<Ref> = point.about.iter().cloned().collect();
    let is_of_it = move |entry: &&Entry| {
        let mut at = entry.name();
        let mut seen = BTreeSet::new();
        while seen.insert(at.clone()) {
            if about.contains(&at) {
                return true;
            }
            let up = view
                .find(&at)
                .and_then(|entry| crate::inside::holders(entry).next());
            let Some((_, up)) = up else { break };
            at = up;
        }
        false
    };
    let struck = view.all(Kind::Finding).filter(|entry| !entry.stands());
    struck
        .filter(|entry| crate::ending::is_danger(view, entry))
        .filter(is_of_it)
}

/// What a settlement made of its point, in words; nothing where its rule has none for it, or is a newer program's.
#[must_use]
pub fn came_to(view: &View, settlement: &Entry) -> Option<String> {
    let rule = def_of_word(settlement.line(Settlement::rule)?)?;
    two_ways::came_to(view, settlement, rule)
}

/// What holding to one of several settlements of a point puts back, as entries and their fields.
#[must_use]
pub fn puts_back(view: &View, past: &impl Past, point: &Point, choice: &str) -> Vec<(Ref, String)> {
    two_ways::puts_back(view, past, point, choice)
}

/// Every point to settle, by rule and then by identity.
#[must_use]
pub fn points(view: &View, ledger: &Ledger) -> Vec<Point> {
    FoundPoints::of(view, ledger).list(view, ledger)
}

/// What the rules found in a record, settled or not, kept up as it changes: after an edit only the rules that read what was
/// touched look again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FoundPoints {
    by_rule: BTreeMap<Rule, Found>,
    two_ways: Vec<Point>,
    /// What another point or settlement speaks for, of what nobody settled itself.
    spoken_for: BTreeSet<String>,
}

impl FoundPoints {
    /// All rules over the whole record.
    #[must_use]
    pub fn of(view: &View, ledger: &Ledger) -> Self {
        let mut points = Self::default();
        let _ = points.look(&Survey::of(view, ledger, None));
        points.weigh(view, ledger);
        points
    }

    /// Runs again what reads the touched entries. Says whether what is left to settle may be another, or be told otherwise.
    pub fn refresh(&mut self, view: &View, ledger: &Ledger, touched: &Touched) -> bool {
        let other = self.look(&Survey::of(view, ledger, Some(touched)));
        // A point about settlements says what they are about in today's words. A sheet is named by none unless it is among it.
        let told_in = |(kind, id): &(Kind, Id)| {
            let mut about = self.two_ways.iter().flat_map(|point| &point.about);
            *kind != Kind::Sheet || about.any(|name| name.kind == *kind && name.id == *id)
        };
        let told = !self.two_ways.is_empty() && touched.keys().any(told_in);
        let settled = touched.keys().any(|(kind, _)| *kind == Kind::Settlement);
        let may_differ = other || told || settled;
        if may_differ {
            self.weigh(view, ledger);
        }
        may_differ
    }

    /// Has each rule look that reads any of the touched kinds; whether one found another thing than before.
    fn look(&mut self, survey: &Survey<'_>) -> bool {
        let mut other = false;
        for rule in Rule::ALL {
            let Finds::InRecord(reads, finds) = &def(*rule).finds else {
                continue;
            };
            let asked = survey
                .touched
                .is_none_or(|touched| touched.keys().any(|(kind, _)| reads.contains(kind)));
            if asked {
                other |= finds(survey, self.by_rule.entry(*rule).or_default());
            }
        }
        other
    }

    /// Looks at what was settled: whether two settlements of one thing contradict, and what they speak for.
    fn weigh(&mut self, view: &View, ledger: &Ledger) {
        let matters = two_ways::matters(view);
        let found: Vec<_> = matters
            .iter()
            .filter_map(|one| one.point(view, ledger, def_of_word(one.rule())))
            .collect();
        let (settled, said) = (settled(view), two_ways::SaidTwoWays::of(&matters, &found));
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
        self.by_rule.values().flat_map(Found::points)
    }

    /// What is left to settle, by rule and then by identity.
    #[must_use]
    pub fn list(&self, view: &View, ledger: &Ledger) -> Vec<Point> {
        let settled = settled(view);
        let stands =
            |point: &&Point| !settled.contains(point.id.as_str()) && !self.spoken_for.contains(&point.id);
        let mut points: Vec<Point> = self
            .found()
            .chain(&self.two_ways)
            .filter(stands)
            .cloned()
            .collect();
        let offered = |point: &Point, key: &str| chosen(point, key).map(|def| def.offer(key));
        reopened::lay(view, ledger, &mut points, offered, |id| settled.contains(id));
        points.sort_by(|a, b| (a.rule, &a.id).cmp(&(b.rule, &b.id)));
        points
    }
}

/// The points that somebody settled.
fn settled(view: &View) -> BTreeSet<&str> {
    view.standing(Kind::Settlement)
        .filter_map(|entry| entry.line(Settlement::point))
        .collect()
}
