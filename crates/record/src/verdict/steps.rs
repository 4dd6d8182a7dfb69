//! How a verdict came to be what it is: the reading, its limits and its instruments as they were after each change that
//! touched them, judged anew for each. Nothing of it is kept; it is put together from what each change wrote.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::{Verdict, limits_of, of_reading};
use crate::entities::{Instrument, Limit, Reading};
use crate::entity::Entity as _;
use crate::entry::{Entry, Held, STRUCK, Scalar, Stamp};
use crate::hash::ChangeId;
use crate::name::{Id, Kind, Ref};
use crate::past::{Knew as _, Past as _, Strand, StrandRow, Strands, WHOLE};
use crate::title::title;
use crate::view::View;

/// A change that touched an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Touch {
    name: Ref,
    stamp: Stamp,
    /// The fields it put.
    fields: Vec<String>,
}

/// One step in the history of a verdict.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VerdictStep {
    /// Who, when, in which change.
    pub stamp: Stamp,
    /// Which entry was changed: the reading, a limit, an instrument.
    pub name: Ref,
    /// What changed.
    pub words: String,
    /// The verdict from then on; nothing where it had no limit then.
    pub verdict: Option<Verdict>,
}

/// Fields that a verdict hangs on, by kind.
fn hangs_on(kind: Kind, field: &str) -> bool {
    let fields: &[&str] = match kind {
        Kind::Reading => &[
            Reading::value,
            Reading::again,
            Reading::grid,
            Reading::instrument,
            Reading::limit,
            Reading::more_limits,
            Reading::temperature,
            STRUCK,
        ],
        Kind::Limit => &[Limit::low, Limit::high, Limit::judges, STRUCK],
        Kind::Instrument => &[
            Instrument::uncertainty,
            Instrument::resolution,
            Instrument::least,
            Instrument::most,
            STRUCK,
        ],
        _ => &[],
    };
    fields.contains(&field.split(':').next().unwrap_or(field))
}

/// Each step at which a reading's verdict changed, or what it hangs on did, the oldest first; none where there is no such reading. Changes
/// stand in an order that every device finds: each after those that its writer had, and those made apart by their clocks. What the past
/// lacks, it says: then this is to be asked again.
#[must_use]
pub fn steps(view: &View, past: &Strands, reading: &Id) -> Vec<VerdictStep> {
    let name = Ref::new(Kind::Reading, reading.clone());
    let mut touches = touches(past, &name);
    for name in ever_judged_by(past, &name, &touches) {
        touches.extend(self::touches(past, &name));
    }
    History { view, past, reading }.steps(touches)
}

/// The changes that touched an entry.
fn touches(past: &Strands, name: &Ref) -> Vec<Touch> {
    let rows = past.get(name).map_or(&[][..], Strand::rows);
    let touch = |row: &StrandRow| Touch {
        name: name.clone(),
        stamp: row.stamp.clone(),
        fields: row
            .fields
            .keys()
            .filter(|field| *field != WHOLE)
            .cloned()
            .collect(),
    };
    rows.iter().map(touch).collect()
}

/// The limits and instruments that a reading had at any time.
fn ever_judged_by(past: &Strands, reading: &Ref, touches: &[Touch]) -> BTreeSet<Ref> {
    let mut names = BTreeSet::new();
    let mut put = |kind: Kind, id: &str| names.extend(id.parse().ok().map(|id: Id| Ref::new(kind, id)));
    for touch in touches {
        for field in &touch.fields {
            if let Some(id) = field.strip_prefix("more_limits:") {
                put(Kind::Limit, id);
            }
            let kind = match field.as_str() {
                "limit" => Kind::Limit,
                "instrument" => Kind::Instrument,
                _ => continue,
            };
            for claim in past.field_after(reading, field, &touch.stamp.change) {
                put(
                    kind,
                    claim.value.as_ref().and_then(Scalar::line).unwrap_or_default(),
                );
            }
        }
    }
    names
}

/// What is known of a record now and earlier, and the reading whose verdict is asked for.
struct History<'a> {
    view: &'a View,
    past: &'a Strands,
    reading: &'a Id,
}

impl History<'_> {
    fn steps(&self, touches: Vec<Touch>) -> Vec<VerdictStep> {
        let mut steps: Vec<VerdictStep> = Vec::new();
        let mut heads: Vec<ChangeId> = Vec::new();
        let mut before = Then::default();
        for together in self.one_after_the_other(touches) {
            let Some(first) = together.first() else { continue };
            // Whoever knew a change knew all that it builds on.
            heads.retain(|head| !self.past.knew(&first.stamp.change, head));
            heads.push(first.stamp.change);
            let then = self.then(&together, &before, &heads);
            let told: Vec<String> = together
                .iter()
                .filter_map(|touch| self.words(touch, &before, &then))
                .collect();
            let entered = before.view.get(Kind::Reading, self.reading).is_none();
            let here = then.view.get(Kind::Reading, self.reading).is_some();
            let changed = then.verdict != before.verdict;
            if here && (entered || changed || !told.is_empty()) {
                let words = if told.is_empty() {
                    "what it is judged by was changed".to_owned()
                } else {
                    told.join("; ")
                };
                steps.push(VerdictStep {
                    stamp: first.stamp.clone(),
                    name: first.name.clone(),
                    words,
                    verdict: then.verdict.clone(),
                });
            }
            before = then;
        }
        steps
    }

    /// Touches of one change together, the changes in an order of their own making.
    fn one_after_the_other(&self, touches: Vec<Touch>) -> Vec<Vec<Touch>> {
        let mut by_change: BTreeMap<ChangeId, Vec<Touch>> = BTreeMap::new();
        for touch in touches {
            by_change.entry(touch.stamp.change).or_default().push(touch);
        }
        let mut left: Vec<Vec<Touch>> = by_change.into_values().collect();
        for together in &mut left {
            together.sort_by_key(|touch| (touch.name.kind != Kind::Reading, touch.name.to_string()));
        }
        let key = |together: &Vec<Touch>| together.first().map(|touch| (touch.stamp.at, touch.stamp.change));
        left.sort_by_key(key);
        let mut out = Vec::with_capacity(left.len());
        while !left.is_empty() {
            let change = |together: &Vec<Touch>| together.first().map(|touch| touch.stamp.change);
            let free = left.iter().position(|one| {
                let Some(own) = change(one) else { return true };
                left.iter()
                    .filter_map(change)
                    .all(|other| other == own || !self.past.knew(&own, &other))
            });
            // Ancestry has no circle, so one is always free.
            out.push(left.remove(free.unwrap_or(0)));
        }
        out
    }

    /// What the verdict hangs on, as it was after these changes.
    fn then(&self, touched: &[Touch], before: &Then, heads: &[ChangeId]) -> Then {
        let mut view = View::default();
        let known = before.view.everything().map(Entry::name);
        let names: BTreeSet<Ref> = known
            .chain(touched.iter().map(|touch| touch.name.clone()))
            .collect();
        for name in &names {
            if let Some(entry) = self.past.entry_after(name, heads) {
                view.put(entry);
            }
        }
        // Others that might decide it are named in its words.
        for one in self.view.all(Kind::Instrument) {
            if view.get(Kind::Instrument, &one.id).is_none()
                && let Some(entry) = self.past.entry_after(&one.name(), heads)
            {
                view.put(entry);
            }
        }
        let verdict = view
            .get(Kind::Reading, self.reading)
            .filter(|entry| entry.stands())
            .and_then(|entry| of_reading(&view, entry));
        Then { view, verdict }
    }

    /// What a change did, as far as the verdict hangs on it.
    fn words(&self, touch: &Touch, before: &Then, then: &Then) -> Option<String> {
        let now = then.view.find(&touch.name)?;
        let was = before.view.find(&touch.name);
        let read = then.view.get(Kind::Reading, self.reading)?;
        if touch.name.kind == Kind::Reading {
            if was.is_none() {
                return Some(self.entered(now));
            }
        } else if !linked(read, &touch.name)
            && before
                .view
                .get(Kind::Reading, self.reading)
                .is_none_or(|read| !linked(read, &touch.name))
        {
            return None;
        }
        let subject = match touch.name.kind {
            Kind::Reading => String::new(),
            kind => format!("{} '{}': ", kind.word(), title(now)),
        };
        let fields = touch
            .fields
            .iter()
            .filter(|field| hangs_on(touch.name.kind, field));
        let told: Vec<String> = fields
            .filter_map(|field| {
                let old = was.and_then(|was| was.fields.get(field));
                self.changed(field, old, now.fields.get(field))
            })
            .collect();
        (!told.is_empty()).then(|| format!("{subject}{}", told.join(", ")))
    }

    fn entered(&self, reading: &Entry) -> String {
        let of = Reading::of(reading);
        let value = match (of.and_then(|of| of.grid()), of.and_then(|of| of.value())) {
            (Some(_), _) => "a grid of readings".to_owned(),
            (None, Some(kept)) => typed(kept),
            (None, None) => "without a value".to_owned(),
        };
        let with = reading
            .value(Reading::instrument)
            .map(|id| format!(" with {}", self.named(Reading::instrument, Some(id))));
        format!("entered: {value}{}", with.unwrap_or_default())
    }

    /// `high changed from 0.30 mm to 0.25 mm`; nothing where it reads as before.
    fn changed(&self, field: &str, was: Option<&Held>, now: Option<&Held>) -> Option<String> {
        let (plain, member) = match field.split_once(':') {
            Some((plain, member)) => (plain, Some(member)),
            None => (field, None),
        };
        let (old, new) = (was.and_then(Held::value), now.and_then(Held::value));
        if field == STRUCK {
            return match (old.is_some(), new) {
                (_, Some(why)) => Some(format!("struck out: {}", why.line().unwrap_or_default())),
                (true, None) => Some("the strike was taken back".to_owned()),
                (false, None) => None,
            };
        }
        if let Some(member) = member {
            let id = Scalar::Line(member.to_owned());
            let name = self.named(plain, Some(&id));
            let on = new == Some(&Scalar::Flag(true));
            return (old != new)
                .then(|| format!("{} {name}", if on { "judged by" } else { "no more judged by" }));
        }
        let said = plain.replace('_', " ");
        if let Some(held) = now.filter(|held| held.contradicts()) {
            let all: BTreeSet<String> = held
                .claims()
                .iter()
                .map(|claim| self.named(plain, claim.value.as_ref()))
                .collect();
            let all: Vec<String> = all.into_iter().collect();
            return Some(format!("two values for {said}: {}", all.join(" and ")));
        }
        if old == new {
            return None;
        }
        Some(match (old, new) {
            (None, _) => format!("{said} put to {}", self.named(plain, new)),
            (_, None) => format!("{said} emptied, it was {}", self.named(plain, old)),
            _ => format!(
                "{said} changed from {} to {}",
                self.named(plain, old),
                self.named(plain, new)
            ),
        })
    }

    /// A value as a person reads it.
    fn named(&self, field: &str, value: Option<&Scalar>) -> String {
        let Some(value) = value else {
            return "nothing".to_owned();
        };
        let kind = match field {
            Reading::limit | Reading::more_limits => Some(Kind::Limit),
            Reading::instrument => Some(Kind::Instrument),
            _ => None,
        };
        let text = value.line().unwrap_or_default();
        match kind {
            Some(kind) => {
                let id: Option<Id> = text.parse().ok();
                let entry = id.and_then(|id| self.view.get(kind, &id));
                entry.map_or_else(|| text.to_owned(), |entry| format!("'{}'", title(entry)))
            }
            None => text.split(" | ").map(typed_all).collect::<Vec<_>>().join("; "),
        }
    }
}

/// The view that a verdict hung on, and the verdict.
#[derive(Default)]
struct Then {
    view: View,
    verdict: Option<Verdict>,
}

/// Whether a reading is judged by a limit, or was made with an instrument.
fn linked(reading: &Entry, name: &Ref) -> bool {
    match name.kind {
        Kind::Limit => limits_of(reading).contains(&name.id),
        Kind::Instrument => {
            let with = Reading::of(reading).and_then(|reading| reading.instrument());
            with == Some((&name.id).into())
        }
        _ => false,
    }
}

fn typed(kept: &str) -> String {
    kept.rsplit_once(" = ")
        .map_or(kept, |(typed, _)| typed)
        .to_owned()
}

fn typed_all(row: &str) -> String {
    row.split("; ").map(typed).collect::<Vec<_>>().join(", ")
}
