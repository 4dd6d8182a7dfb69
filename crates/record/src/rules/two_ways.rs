//! Settled two ways: two people settled one thing apart, and not alike. Each carried out a choice of their own, so the merge
//! hides it: both orders cancelled, both readings struck out. One mechanism for every rule: it reads the settlements, and
//! nothing of what they are about. Two values for one field are a point again by themselves.

use std::collections::{BTreeMap, BTreeSet};

use super::def::{ChoiceDef, ChoiceKey, Finds, Outcome, RuleDef, Settling, nothing};
use super::point::{Choice, Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entities::{Keeper, Order, Reading, Settlement, Waiver};
use crate::entity::Entity as _;
use crate::entry::{Claim, Entry, STRUCK, Scalar};
use crate::field::Stored;
use crate::hash::ChangeId;
use crate::members::keeper_name;
use crate::name::{Kind, Link, Ref};
use crate::past::{Knew, Past};
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::view::View;

/// The choice that holds to none of the settlements and undoes nothing.
const AS_IT_IS: &str = "as_it_is";

/// One thing was settled two ways.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::SettledTwoWays,
    said: "settled two ways",
    finds: Finds::AmongSettlements,
    choices: &[LEFT_AS_IT_IS, HOLD_TO_ONE],
};

const LEFT_AS_IT_IS: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word(AS_IT_IS),
    Outcome::Words("it is left as it is"),
    nothing,
)
.with_why();

/// What one of the settlements chose holds. That may be what only a newer program knows to carry out: what it wrote then stays, and
/// nothing of it is done anew.
const HOLD_TO_ONE: ChoiceDef = ChoiceDef::new(ChoiceKey::OfASettlement, Outcome::AsCalled, |settling, _| {
    one_way(settling)
});

/// Most references that a settlement keeps.
const MOST_ABOUT: usize = 20;

/// What a settlement keeps of what it is about.
pub(crate) fn told(about: &[Ref]) -> String {
    let each: Vec<String> = about.iter().take(MOST_ABOUT).map(Ref::to_string).collect();
    each.join(" ")
}

/// One thing that was settled, once or more often.
#[derive(Clone, Debug)]
pub(crate) struct Matter<'a> {
    /// The rule that found it at first.
    rule: &'a str,
    /// The point at first.
    point: &'a str,
    /// What it is about, as it is kept; nothing where none of the settlements says.
    about: &'a str,
    field: &'a str,
    settlements: Vec<&'a Entry>,
}

/// A point about settlements, with every settlement that has to do with it.
pub(super) struct Disagreement<'a> {
    pub(super) point: Point,
    rule: &'a str,
    field: &'a str,
    family: BTreeSet<ChangeId>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum SameMatter<'a> {
    Point(&'a str, &'a str),
    About(&'a str, &'a str, &'a str),
}

/// Every settlement that stands, those of one thing together: of one point, or of what one rule found about the same entries.
pub(crate) fn matters(view: &View) -> Vec<Matter<'_>> {
    let mut place: BTreeMap<SameMatter<'_>, usize> = BTreeMap::new();
    let mut all: Vec<Matter<'_>> = Vec::new();
    for entry in view.standing(Kind::Settlement) {
        let line = |field: &str| entry.line(field).unwrap_or_default();
        let or = |field: &str, other: &str| {
            entry
                .line(field)
                .or_else(|| entry.line(other))
                .unwrap_or_default()
        };
        let rule = or("of_rule", "rule");
        let point = or("of_point", "point");
        let (about, field) = (line("about"), line("field"));
        let mut keys = vec![SameMatter::Point(rule, point)];
        if !about.is_empty() {
            keys.push(SameMatter::About(rule, about, field));
        }
        let met: BTreeSet<usize> = keys.iter().filter_map(|key| place.get(key).copied()).collect();
        let at = met.first().copied().unwrap_or(all.len());
        if met.is_empty() {
            all.push(Matter {
                rule,
                point,
                about: "",
                field: "",
                settlements: Vec::new(),
            });
        }
        let mut joined = Vec::new();
        for other in met.iter().skip(1) {
            if let Some(other) = all.get_mut(*other) {
                joined.append(&mut other.settlements);
            }
        }
        // Seldom: a settlement that shows two things to be one.
        if met.len() > 1 {
            place
                .values_mut()
                .filter(|one| met.contains(one))
                .for_each(|one| *one = at);
        }
        place.extend(keys.into_iter().map(|key| (key, at)));
        if let Some(matter) = all.get_mut(at) {
            matter.settlements.append(&mut joined);
            matter.settlements.push(entry);
        }
    }
    for matter in &mut all {
        matter.settlements.sort_by(|a, b| a.id.cmp(&b.id));
        let said = matter
            .settlements
            .iter()
            .find(|entry| entry.line(Settlement::about).is_some());
        if let Some(said) = said {
            matter.about = said.line(Settlement::about).unwrap_or_default();
            matter.field = said.line(Settlement::field).unwrap_or_default();
        }
        let points = matter.settlements.iter();
        let first = points
            .filter_map(|entry| {
                entry
                    .line(Settlement::of_point)
                    .or_else(|| entry.line(Settlement::point))
            })
            .min();
        matter.point = first.unwrap_or_default();
    }
    all.retain(|matter| !matter.settlements.is_empty());
    all
}

/// What a point about settlements is of.
pub(crate) fn matter_of<'a>(view: &'a View, point: &Point) -> Option<Matter<'a>> {
    let one = point.sides.first()?.about.clone();
    matters(view)
        .into_iter()
        .find(|matter| matter.settlements.iter().any(|entry| entry.name() == one))
}

fn chosen(entry: &Entry) -> &str {
    entry.line(Settlement::choice).unwrap_or_default()
}

impl<'a> Matter<'a> {
    pub(crate) fn rule(&self) -> &'a str {
        self.rule
    }

    pub(crate) fn first_point(&self) -> &'a str {
        self.point
    }

    pub(crate) fn field(&self) -> &'a str {
        self.field
    }

    /// The settlements that no later one was written over.
    fn newest(&self, ledger: &impl Knew) -> Vec<&'a Entry> {
        let over = |one: &Entry, other: &Entry| {
            one.id != other.id
                && one.made.change != other.made.change
                && ledger.knew(&other.made.change, &one.made.change)
        };
        let newest = self.settlements.iter().copied();
        newest
            .filter(|one| !self.settlements.iter().any(|other| over(one, other)))
            .collect()
    }

    /// The changes of those that hold to a choice, and of those that do not: only what is not long over among them, that is,
    /// known to every one of the newest.
    pub(crate) fn for_and_against(
        &self,
        ledger: &impl Knew,
        choice: &str,
    ) -> (BTreeSet<ChangeId>, BTreeSet<ChangeId>) {
        let newest = self.newest(ledger);
        let over = |entry: &Entry| {
            !newest.iter().any(|one| one.id == entry.id)
                && newest
                    .iter()
                    .all(|one| ledger.knew(&one.made.change, &entry.made.change))
        };
        let (mut with, mut against) = (BTreeSet::new(), BTreeSet::new());
        for entry in self.settlements.iter().filter(|entry| !over(entry)) {
            let side = if chosen(entry) == choice {
                &mut with
            } else {
                &mut against
            };
            side.insert(entry.made.change);
        }
        (with, against)
    }

    /// The changes of all its settlements.
    pub(crate) fn family(&self) -> BTreeSet<ChangeId> {
        self.settlements.iter().map(|entry| entry.made.change).collect()
    }

    /// What it is about: what the settlements say, and of those that an older program made what they wrote.
    pub(crate) fn about(&self, view: &View) -> Vec<Ref> {
        if !self.about.is_empty() {
            return self
                .about
                .split(' ')
                .filter_map(|name| name.parse().ok())
                .collect();
        }
        let family = self.family();
        let mut about = BTreeSet::new();
        for entry in view.everything().filter(|entry| entry.kind != Kind::Settlement) {
            if entry.kind == Kind::Waiver {
                if family.contains(&entry.made.change) {
                    let assembly = entry.line(Waiver::assembly).and_then(|id| id.parse().ok());
                    about.extend(assembly.map(|id| Ref::new(Kind::Assembly, id)));
                    about.extend(entry.line(Waiver::about).and_then(|name| name.parse().ok()));
                }
                continue;
            }
            let claims = entry.fields.values().flat_map(|held| held.claims());
            if claims
                .into_iter()
                .any(|claim| family.contains(&claim.stamp.change))
            {
                about.insert(entry.name());
            }
        }
        about.into_iter().take(MOST_ABOUT).collect()
    }

    pub(super) fn point(
        &self,
        view: &View,
        ledger: &Ledger,
        rule: Option<&RuleDef>,
    ) -> Option<Disagreement<'a>> {
        let differ = |entries: &[&Entry]| {
            entries
                .iter()
                .map(|entry| chosen(entry))
                .collect::<BTreeSet<_>>()
                .len()
                > 1
        };
        if self.rule == Rule::TwoValues.word() || !differ(&self.settlements) {
            return None;
        }
        let newest = self.newest(ledger);
        if !differ(&newest) {
            return None;
        }
        let about = self.about(view);
        let names: Vec<Ref> = newest.iter().map(|entry| entry.name()).collect();
        let changes: Vec<ChangeId> = newest.iter().map(|entry| entry.made.change).collect();
        let sides = newest.iter().zip(1_u32..).map(|(entry, at)| {
            let mut said = brought(view, rule, entry, &about);
            if let Some(why) = entry.line(Settlement::why) {
                said.push_str(&format!(" ('{}')", crate::shown(why)));
            }
            Side {
                key: format!("side_{at}"),
                about: entry.name(),
                title: said,
                value: Some(Scalar::Line(chosen(entry).to_owned())),
                stamp: entry.made.clone(),
                knew_other: false,
            }
        });
        let sides: Vec<Side> = sides.collect();
        let keys: BTreeSet<&str> = newest.iter().map(|entry| chosen(entry)).collect();
        let mut choices: Vec<Choice> = keys
            .iter()
            .filter(|key| **key != AS_IT_IS)
            .map(|key| HOLD_TO_ONE.offer(key))
            .collect();
        choices.push(LEFT_AS_IT_IS.offer(AS_IT_IS));
        let refs: Vec<&ChangeId> = changes.iter().collect();
        Some(Disagreement {
            rule: self.rule,
            field: self.field,
            family: self.family(),
            point: Point {
                id: identity(Rule::SettledTwoWays, &names, "", &refs),
                rule: Rule::SettledTwoWays,
                title: format!("Settled two ways: {}", self.said(view, rule, &about)),
                about,
                field: None,
                part_of: None,
                reopened: None,
                sides,
                choices,
                changes,
            },
        })
    }

    /// What was settled, in words.
    fn said(&self, view: &View, rule: Option<&RuleDef>, about: &[Ref]) -> String {
        let named: Vec<String> = about.iter().take(2).map(|name| named(view, name)).collect();
        // A rule that only a newer program knows is named as it is called.
        let what = rule.map_or_else(|| self.rule.replace('_', " "), |rule| rule.said.to_owned());
        if named.is_empty() {
            return what;
        }
        format!("{what}, {}", named.join(" and "))
    }
}

/// What the settlements say of points, to be asked of many.
pub(super) struct SaidTwoWays<'a> {
    found: &'a [Disagreement<'a>],
    /// By rule, field and what it is about.
    of_it: BTreeMap<(&'a str, &'a str, &'a str), Vec<&'a Matter<'a>>>,
    /// Those that were settled more than twice, with their changes.
    more: Vec<(&'a Matter<'a>, BTreeSet<ChangeId>)>,
}

impl<'a> SaidTwoWays<'a> {
    pub(super) fn of(matters: &'a [Matter<'a>], found: &'a [Disagreement<'a>]) -> Self {
        let mut of_it: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for matter in matters.iter().filter(|matter| !matter.about.is_empty()) {
            let its = of_it
                .entry((matter.rule, matter.field, matter.about))
                .or_default();
            its.push(matter);
        }
        let more = matters.iter().filter(|matter| matter.settlements.len() > 2);
        Self {
            found,
            of_it,
            more: more.map(|matter| (matter, matter.family())).collect(),
        }
    }

    /// Whether somebody has said what a point asks, or another point asks it. A settlement speaks for every contradiction of the
    /// same entries that its writer knew all of; a point about settlements for what those have brought about.
    pub(super) fn speaks_for(&self, ledger: &Ledger, point: &Point) -> bool {
        let field = point.field.as_deref().unwrap_or_default();
        let asked = || {
            let about: BTreeSet<&Ref> = point.about.iter().collect();
            self.found.iter().any(|one| {
                let theirs = !point.changes.is_empty()
                    && point.changes.iter().all(|change| one.family.contains(change));
                let same = one.rule == point.rule.word()
                    && one.field == field
                    && !one.point.about.is_empty()
                    && one.point.about.iter().all(|name| about.contains(name));
                theirs || same
            })
        };
        let said = || {
            let about = told(&point.about);
            let of_it = self.of_it.get(&(point.rule.word(), field, about.as_str()));
            let mut settlements = of_it.into_iter().flatten().flat_map(|matter| &matter.settlements);
            settlements.any(|entry| {
                let by = &entry.made.change;
                chosen(entry) != AS_IT_IS
                    && point
                        .changes
                        .iter()
                        .all(|change| change == by || ledger.knew(by, change))
            })
        };
        // What the settlements brought about between them is left as it is by whoever left them so.
        let left = || {
            let knew_all = |entry: &&Entry| {
                let by = &entry.made.change;
                point.changes.iter().all(|change| ledger.knew(by, change))
            };
            let others = self
                .more
                .iter()
                .filter(|(matter, _)| matter.rule != point.rule.word());
            others.into_iter().any(|(matter, family)| {
                point.changes.iter().all(|change| family.contains(change))
                    && matter.settlements.iter().any(knew_all)
            })
        };
        (!self.found.is_empty() && asked()) || said() || (!point.changes.is_empty() && left())
    }
}

/// What one settlement made of what it is about, in words. Of several values the one that holds is the field's own.
pub(super) fn came_to(view: &View, settlement: &Entry, rule: &RuleDef) -> Option<String> {
    if matches!(rule.rule, Rule::TwoValues | Rule::SettledTwoWays) {
        return None;
    }
    let about = settlement.line(Settlement::about).unwrap_or_default();
    let about: Vec<Ref> = about.split(' ').filter_map(|name| name.parse().ok()).collect();
    Some(brought(view, Some(rule), settlement, &about))
}

/// What a settlement made of what it is about: as whom it had it, where it says so.
fn brought(view: &View, rule: Option<&RuleDef>, settlement: &Entry, about: &[Ref]) -> String {
    let had = Settlement::of(settlement).and_then(|settled| Some((settled.had()?, settled.had_by())));
    let (Some((had, by)), Some(name)) = (had, about.first()) else {
        return outcome(view, rule, chosen(settlement), about);
    };
    let who = by
        .and_then(Link::id)
        .map_or_else(|| "one of the two".to_owned(), |id| keeper_name(view, &id));
    format!("{} is as {who} had it: {}", named(view, name), crate::shown(had))
}

/// What a choice makes of what was settled, in words: of the rule that found it, where this program knows the rule.
fn outcome(view: &View, rule: Option<&RuleDef>, choice: &str, about: &[Ref]) -> String {
    let name = |at: usize| {
        about
            .get(at)
            .map_or_else(|| "it".to_owned(), |name| named(view, name))
    };
    match rule {
        Some(rule) if choice != AS_IT_IS => rule.outcome(choice, name),
        Some(_) | None => RULE.outcome(choice, name),
    }
}

/// What holding to one of several settlements puts back, as entries and their fields: what was written since is not among it.
pub(super) fn puts_back(view: &View, past: &impl Past, point: &Point, choice: &str) -> Vec<(Ref, String)> {
    if choice == AS_IT_IS {
        return Vec::new();
    }
    let Some(matter) = matter_of(view, point) else {
        return Vec::new();
    };
    let put = |undone: Undone<'_>| match undone {
        Undone::Made(entry) => (entry.name(), STRUCK.to_owned()),
        Undone::Field(entry, field, _) => (entry.name(), field.to_owned()),
    };
    undone(view, past, &matter, choice).into_iter().map(put).collect()
}

/// Something that a settlement did which is not held to.
enum Undone<'v> {
    /// What it made, such as a waiver.
    Made(&'v Entry),
    /// What it wrote and nobody has overwritten since.
    Field(&'v Entry, &'v str, Instead<'v>),
}

/// What is to stand in its place.
enum Instead<'v> {
    /// What the settlement that holds wrote there.
    Held(&'v Claim),
    /// What stood before this change.
    Before(ChangeId),
}

/// All that the settlements did which are not held to.
fn undone<'v>(view: &'v View, past: &impl Past, matter: &Matter<'_>, choice: &str) -> Vec<Undone<'v>> {
    let family = matter.family();
    let (with, against) = matter.for_and_against(past, choice);
    let written: BTreeSet<Ref> = against.iter().flat_map(|change| past.wrote_in(change)).collect();
    let mut undone = Vec::new();
    let entries = written.iter().filter_map(|name| view.find(name));
    for entry in entries.filter(|entry| entry.kind != Kind::Settlement) {
        if against.contains(&entry.made.change) {
            undone.extend(entry.stands().then_some(Undone::Made(entry)));
            continue;
        }
        for (field, held) in &entry.fields {
            let claims = held.claims();
            let Some(wrong) = claims.iter().find(|claim| against.contains(&claim.stamp.change)) else {
                continue;
            };
            // What somebody else wrote meanwhile is not overruled: two values are a point of their own.
            if claims.iter().any(|claim| !family.contains(&claim.stamp.change)) {
                continue;
            }
            let right = claims.iter().find(|claim| with.contains(&claim.stamp.change));
            let instead = right.map_or(Instead::Before(wrong.stamp.change), Instead::Held);
            undone.push(Undone::Field(entry, field, instead));
        }
    }
    undone
}

/// Of several settlements one holds: what the others wrote, and nobody has overwritten since, is put back to what stood before
/// them, and where both wrote one field the one that holds is put anew. What they made, such as a waiver, is struck out.
fn one_way(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let (record, view) = (settling.record, settling.view());
    let matter = matter_of(view, settling.point).ok_or(Refusal::NoSuchPoint)?;
    let stroke = |undone: Undone<'_>| match undone {
        Undone::Made(entry) => {
            let why = Scalar::Line("the point was settled otherwise".to_owned());
            strokes::strike(&entry.name(), Stored::Scalar(Some(why)))
        }
        Undone::Field(entry, field, instead) => {
            let value = match instead {
                Instead::Held(claim) => claim.value.clone(),
                Instead::Before(wrong) => {
                    let before = record.field_before(&entry.name(), field, &wrong);
                    before.first().and_then(|claim| claim.value.clone())
                }
            };
            Stroke::Put(
                entry.kind,
                entry.id.clone(),
                field.to_owned(),
                Stored::Scalar(value),
            )
        }
    };
    let undone = undone(view, record, &matter, settling.choice);
    Ok(undone.into_iter().map(stroke).collect())
}

/// What something is called where two of it may be called alike.
fn named(view: &View, name: &Ref) -> String {
    let Some(entry) = view.find(name) else {
        return "something".to_owned();
    };
    let keeper = entry
        .made
        .device
        .as_ref()
        .and_then(|device| view.keeper_of(device));
    let keeper = keeper
        .and_then(|id| view.get(Kind::Keeper, &id))
        .map(|keeper| keeper.called(Keeper::name));
    let by = keeper
        .filter(|name| !name.is_empty())
        .map_or_else(String::new, |name| format!(" of {name}"));
    match entry.kind {
        Kind::Order => {
            let from = entry.called(Order::from);
            let from = if from.is_empty() {
                from
            } else {
                format!(" from {from}")
            };
            format!("the order '{}'{from}{by}", title(entry))
        }
        Kind::Reading => {
            let value = entry
                .line(Reading::value)
                .and_then(|kept| kept.rsplit_once(" = "));
            let value = value.map_or_else(String::new, |(typed, _)| format!(" {typed}"));
            format!("the reading{value}{by}")
        }
        _ => format!("'{}'", title(entry)),
    }
}
