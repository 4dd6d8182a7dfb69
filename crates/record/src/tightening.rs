//! A tightening run, read as it stands: in which order, in which passes, what is tight and which bolt is next. The order
//! and the passes come from `reckon`, what is tight from the merged record, so a run goes on where it was left, on
//! whichever device. A bolt that was tightened to less than is wanted now is not tight, whatever was logged of it,
//! nor is one that was tightened before the assembly was taken apart. It writes nothing; a bolt for which no torque is given
//! is logged by its pass's, exact as far as a number can be typed.

use std::collections::{BTreeMap, BTreeSet};

use reckon::{Typed, Unit, tightening};

use crate::entities::{Tightened, TighteningRun};
use crate::entity::Entity;
use crate::entry::{Entry, Scalar};
use crate::name::{Id, Kind};
use crate::rules::point::Point;
use crate::rules::rule::Rule;
use crate::shown::shown;
use crate::view::View;
use crate::words::Layout;

/// The passes where none are said.
pub const PASSES: &str = "30, 60, 100";

/// What a run is made of, as a keeper gives it.
#[derive(Clone, Copy, Debug)]
pub struct RunGiven<'a> {
    /// How the bolts lie.
    pub layout: &'a Layout,
    /// How many.
    pub bolts: i32,
    /// In how many rows, where they lie in rows.
    pub rows: Option<i32>,
    /// The torque of the last pass, as kept.
    pub torque: &'a str,
    /// The passes in per cent, as typed.
    pub passes: Option<&'a str>,
}

/// One pass over all bolts.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Per cent of the last torque.
    pub percent: f64,
    /// The torque, rounded for showing, in the unit that was typed.
    pub torque: String,
    /// The torque, exact as far as a number can be typed, as a measure is kept: what is logged of a bolt that is tightened to it.
    pub kept: String,
    /// The bolts in their order.
    pub order: Vec<i32>,
}

/// Order and passes.
#[derive(Clone, Debug, PartialEq)]
pub struct RunPlan {
    /// The passes, the last round among them.
    pub passes: Vec<Pass>,
    /// Bolts in each row; all of them on a circle.
    pub columns: i32,
    /// What the order and the torque hold for.
    pub conditions: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
}

impl RunPlan {
    /// Whether a bolt may be logged as tightened to this in a pass.
    ///
    /// # Errors
    /// In words: it is less than the pass wants, or more than the last one does.
    pub fn fits(&self, pass: i32, torque: &str) -> Result<(), String> {
        let number = usize::try_from(pass.saturating_sub(1)).ok();
        let of_pass = number.and_then(|at| self.passes.get(at));
        let read = |kept: &str| Typed::from_kept(kept).map_err(|unclear| unclear.to_string());
        let given = read(torque)?;
        if let Some(of_pass) = of_pass
            && given.value() < read(&of_pass.kept)?.value() * (1.0 - WRENCH)
        {
            return Err(format!(
                "pass {pass} wants {}, and {} is less than that",
                of_pass.torque,
                given.text()
            ));
        }
        if let Some(last) = self.passes.last()
            && given.value() > read(&last.kept)?.value() * (1.0 + WRENCH)
        {
            return Err(format!(
                "{} is more than the {} of this run: it can break a bolt or pull a thread. Where the book says so, change the torque of the run first",
                given.text(),
                last.torque
            ));
        }
        Ok(())
    }
}

/// Reckons the order and the passes.
///
/// # Errors
/// In words: bolts that do not fill their rows, passes that do not rise to 100, a torque that is none.
pub fn plan(given: RunGiven<'_>) -> Result<RunPlan, String> {
    let torque = Typed::from_kept(given.torque).map_err(|why| why.to_string())?;
    let passes = given.passes.unwrap_or(PASSES).trim().trim_end_matches('%').trim();
    let (bolts, columns) = lie(&given)?;
    let refused = |refusal: reckon::ReckonRefusal| refusal.to_string();
    let stages = tightening::read_stages(&format!("{passes} %")).map_err(refused)?;
    let plan = tightening::plan(bolts, Some(&torque), &stages).map_err(refused)?;
    let last = plan.stages.len().saturating_sub(1);
    let pass = |(at, stage): (usize, tightening::Stage)| -> Result<Pass, String> {
        let unit = torque.unit();
        let shown = stage.shown(unit).unwrap_or_default();
        Ok(Pass {
            percent: stage.percent(),
            // The last round is at the whole torque.
            kept: match &stage.torque {
                Some(exact) if at != last => kept_part(unit, exact, &shown)?,
                _ => given.torque.to_owned(),
            },
            torque: shown,
            order: stage.order,
        })
    };
    let passes = plan.stages.into_iter().enumerate().map(pass);
    let words = |notes: &[reckon::Note]| notes.iter().map(|note| note.words.to_string()).collect();
    Ok(RunPlan {
        passes: passes.collect::<Result<_, _>>()?,
        columns,
        conditions: words(&plan.conditions),
        cautions: words(&plan.cautions),
    })
}

/// How the bolts lie, and how many are in each row; all of them on a circle.
fn lie(given: &RunGiven<'_>) -> Result<(tightening::Bolts, i32), String> {
    if *given.layout != Layout::Rows {
        return Ok((tightening::Bolts::Ring(given.bolts), given.bolts));
    }
    let rows = given.rows.unwrap_or(1).max(1);
    if given.bolts % rows != 0 {
        return Err(format!("{} bolts do not fill {rows} rows alike", given.bolts));
    }
    let columns = given.bolts / rows;
    Ok((tightening::Bolts::Rows { rows, columns }, columns))
}

/// A torque as a measure is kept, in the unit that was typed: `12.045 N·m = 12.045 N·m`. What is shown of it stands
/// for it where that is exact, and where the exact number has more digits than can be typed.
fn kept_part(unit: Unit, exact: &reckon::Exact, shown: &str) -> Result<String, String> {
    let shown = reckon::parse_any(shown).map_err(|unclear| unclear.to_string())?;
    if shown.exact() == exact {
        return Ok(shown.kept());
    }
    let text = format!("{} {}", unit.from_base_exact(exact), unit.certain());
    Ok(reckon::parse_any(&text).unwrap_or(shown).kept())
}

/// What a torque wrench may be off, as a part of its reading: what lies within that of the torque that is wanted is that torque
/// (ISO 6789-1:2017, 4 % above 10 N·m; from memory).
const WRENCH: f64 = 0.04;

/// Bolts by their numbers: `Bolt 3`, `Bolts 1, 2`.
pub(crate) fn bolts_named(bolts: &BTreeSet<i32>) -> String {
    let each: Vec<String> = bolts.iter().map(i32::to_string).collect();
    let bolts = if each.len() == 1 { "Bolt" } else { "Bolts" };
    format!("{bolts} {}", each.join(", "))
}

/// The bolts that such words name; none of other words.
fn named_bolts(words: &str) -> BTreeSet<i32> {
    let each = ["Bolts ", "Bolt "]
        .iter()
        .find_map(|word| words.strip_prefix(word));
    let each = each.into_iter().flat_map(|each| each.split(", "));
    each.filter_map(|number| number.parse().ok()).collect()
}

/// The bolts of a run of which it is to be settled whether they are tight, with the points that ask it: tightened while another took the
/// assembly apart, or a turn that two said otherwise of.
#[must_use]
pub fn disputed<'p>(view: &View, run: &Id, points: &'p [Point]) -> (BTreeSet<i32>, Vec<&'p Point>) {
    let (mut bolts, mut asked) = (BTreeSet::new(), Vec::new());
    for point in points {
        let of_it: BTreeSet<i32> = match point.rule {
            Rule::TightenedApart if point.about.iter().any(|name| name.id == *run) => {
                let sides = point.sides.iter().filter(|side| side.about.id == *run);
                let said = sides.filter_map(|side| side.value.as_ref().and_then(Scalar::line));
                said.flat_map(named_bolts).collect()
            }
            Rule::TwoValues => {
                let turns = point.about.iter().filter(|name| name.kind == Kind::Tightened);
                let turns = turns.filter_map(|name| view.one::<Tightened>(&name.id));
                let of_run = turns.filter(|turn| turn.run() == Some(run.into()));
                of_run.filter_map(|turn| turn.place()).collect()
            }
            _ => BTreeSet::new(),
        };
        // What the run itself says may be two things: then none of its bolts is in question, and what comes next is.
        let of_run = point
            .about
            .iter()
            .any(|name| name.kind == Kind::TighteningRun && name.id == *run);
        if of_run || !of_it.is_empty() {
            bolts.extend(of_it);
            asked.push(point);
        }
    }
    (bolts, asked)
}

/// One turn of the wrench that was logged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turn {
    /// Pass and bolt, both from 1, as far as the entry says them.
    pub at: (Option<i32>, Option<i32>),
    /// The entry.
    pub entry: Id,
}

/// A run as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct RunStanding {
    /// Order and passes.
    pub plan: RunPlan,
    /// What is tight: pass and bolt, both from 1.
    pub tight: BTreeSet<(i32, i32)>,
    /// Bolts that were logged, and to less than is wanted now: the torque was raised since.
    pub short: BTreeSet<i32>,
    /// Bolts that were tightened to more than the last pass wants now: the torque was lowered since. They are slackened, their turns
    /// taken back, and tightened again.
    pub over: BTreeSet<i32>,
    /// Bolts that were tightened before the assembly was taken off or apart, and not since: they come again.
    pub loosened: BTreeSet<i32>,
    /// Bolts that were tightened while the run said that its torque holds for something else, by what it said then.
    pub held_for: BTreeMap<String, BTreeSet<i32>>,
    /// What it says now.
    pub conditions: String,
    /// The next: pass and bolt; nothing when the last round is done.
    pub next: Option<(i32, i32)>,
    /// The entries behind it, in the order of the passes and of the pattern within each: what is taken back last is
    /// what comes next again. No clock decides: two devices' clocks differ, and one counts whole seconds.
    pub log: Vec<Turn>,
}

/// A bolt that was turned, as it was logged.
type Turned<'a> = (&'a Entry, Tightened);

/// What was tightened in a run, in the order of its passes and of the pattern within each.
fn turns<'a>(view: &'a View, run: &Entry, plan: &RunPlan) -> Vec<Turned<'a>> {
    let mut log: Vec<Turned<'a>> = view
        .naming(&run.name(), Kind::Tightened)
        .filter(|entry| entry.stands())
        .map(|entry| (entry, Tightened::read(entry)))
        .filter(|(_, one)| one.run.as_ref() == Some(&run.id))
        .collect();
    // A bolt that the plan no longer has was tightened before the plan was changed, so it stands first in its pass.
    let in_pattern = |one: &Tightened| {
        let number = one
            .pass
            .and_then(|number| usize::try_from(number.saturating_sub(1)).ok());
        let pass = number.and_then(|at| plan.passes.get(at));
        pass.and_then(|pass| pass.order.iter().position(|bolt| Some(*bolt) == one.place))
    };
    log.sort_by_key(|(entry, one)| {
        (
            one.pass,
            in_pattern(one),
            one.place,
            entry.made.at,
            entry.id.clone(),
        )
    });
    log
}

/// Bolts that were tightened before the assembly was taken off or apart, and not since.
fn loosened(view: &View, run: &Entry, log: &[Turned<'_>]) -> BTreeSet<i32> {
    let turned: BTreeSet<i32> = log.iter().filter_map(|(_, one)| one.place).collect();
    view.naming(&run.name(), Kind::Tightened)
        .filter(|entry| !entry.stands())
        .map(Tightened::read)
        .filter(|one| one.run.as_ref() == Some(&run.id) && one.loosened == Some(true))
        .filter_map(|one| one.place)
        .filter(|place| !turned.contains(place))
        .collect()
}

/// Bolts that were tightened while the run said that its torque holds for something else than it says now.
fn held_for(log: &[Turned<'_>], conditions: &str) -> BTreeMap<String, BTreeSet<i32>> {
    let mut held_for: BTreeMap<String, BTreeSet<i32>> = BTreeMap::new();
    for (_, one) in log {
        let said = one.held_for.as_deref().map(shown);
        if let Some((said, place)) = said.filter(|said| said != conditions).zip(one.place) {
            held_for.entry(said).or_default().insert(place);
        }
    }
    held_for
}

fn torque_of(kept: &str) -> Option<f64> {
    Typed::from_kept(kept).ok().map(|torque| torque.value())
}

/// What each bolt holds: the most that it was tightened to, in whichever pass. Of one that says no torque nothing is held
/// against it.
fn held(log: &[Turned<'_>]) -> BTreeMap<i32, f64> {
    let mut holds: BTreeMap<i32, f64> = BTreeMap::new();
    for (entry, one) in log {
        if let Some((place, torque)) = one.place.zip(entry.measure(Tightened::torque).map(Typed::value)) {
            let held = holds.entry(place).or_insert(torque);
            *held = held.max(torque);
        }
    }
    holds
}

/// The first bolt of a pass, in its order, that is not tight in it.
fn next(plan: &RunPlan, tight: &BTreeSet<(i32, i32)>) -> Option<(i32, i32)> {
    plan.passes.iter().zip(1..).find_map(|(pass, number)| {
        let bolt = pass
            .order
            .iter()
            .find(|bolt| !tight.contains(&(number, **bolt)))?;
        Some((number, *bolt))
    })
}

impl RunStanding {
    /// Reads a run.
    ///
    /// # Errors
    /// As [`plan`], and where the run lacks what a plan needs.
    pub fn of(view: &View, run: &Entry) -> Result<Self, String> {
        let read = TighteningRun::read(run);
        let (Some(layout), Some(bolts), Some(torque)) = (&read.layout, read.bolts, &read.torque) else {
            return Err("the run lacks its layout, its bolts or its torque".to_owned());
        };
        let plan = plan(RunGiven {
            layout,
            bolts,
            rows: read.rows,
            torque,
            passes: read.passes.as_deref(),
        })?;
        let log = turns(view, run, &plan);
        let conditions = read.conditions.as_deref().map(shown).unwrap_or_default();
        let holds = held(&log);
        let wanted: Vec<Option<f64>> = plan.passes.iter().map(|pass| torque_of(&pass.kept)).collect();
        let reaches = |pass: i32, place: i32| {
            let number = usize::try_from(pass.saturating_sub(1)).ok();
            let wanted = number.and_then(|at| *wanted.get(at)?);
            wanted
                .zip(holds.get(&place))
                .is_none_or(|(wanted, held)| *held >= wanted * (1.0 - WRENCH))
        };
        let logged: BTreeSet<(i32, i32)> = log
            .iter()
            .filter_map(|(_, one)| Some((one.pass?, one.place?)))
            .collect();
        let (tight, short): (BTreeSet<_>, BTreeSet<_>) = logged
            .into_iter()
            .partition(|(pass, place)| reaches(*pass, *place));
        let most = wanted.last().copied().flatten();
        let over = holds
            .iter()
            .filter(|(_, held)| most.is_some_and(|most| **held > most * (1.0 + WRENCH)))
            .map(|(place, _)| *place)
            .collect();
        Ok(Self {
            next: next(&plan, &tight),
            plan,
            tight,
            short: short.into_iter().map(|(_, place)| place).collect(),
            over,
            loosened: loosened(view, run, &log),
            held_for: held_for(&log, &conditions),
            conditions,
            log: log
                .into_iter()
                .map(|(entry, one)| Turn {
                    at: (one.pass, one.place),
                    entry: entry.id.clone(),
                })
                .collect(),
        })
    }

    /// Whether something of it is left to do.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.next.is_some() || !self.over.is_empty()
    }

    /// What is to be said of bolts that do not hold what is wanted now: tightened to another torque, for something else, or before the
    /// assembly was taken apart.
    #[must_use]
    pub fn otherwise(&self) -> Vec<String> {
        let wanted = self.plan.passes.last().map_or("", |pass| pass.torque.as_str());
        let said = |bolts: &BTreeSet<i32>, of_them: String| {
            (!bolts.is_empty()).then(|| format!("{}: {of_them}", bolts_named(bolts)))
        };
        let over = said(
            &self.over,
            format!(
                "tightened to more than is wanted now ({wanted}). Slacken them, look at the thread and the bolt, take their turns back, and begin again."
            ),
        );
        let short = said(
            &self.short,
            format!("tightened to less than is wanted now ({wanted}). They come again in the passes below."),
        );
        let loosened = said(
            &self.loosened,
            "tightened before the assembly was taken off or apart. They come again in the passes below."
                .to_owned(),
        );
        let now = &self.conditions;
        let held_for = self.held_for.iter().filter_map(|(then, bolts)| {
            let of_them = format!(
                "tightened while the run said '{then}'; it says '{now}' now. A torque holds for its conditions only: slacken them, take their turns back and tighten them anew, unless they were tightened as it says now."
            );
            said(bolts, of_them)
        });
        over.into_iter()
            .chain(short)
            .chain(loosened)
            .chain(held_for)
            .collect()
    }

    /// The entries of the last turn: more than one where two devices logged the same bolt before they met.
    pub fn last(&self) -> impl Iterator<Item = &Id> {
        let turn = self.log.last().map(|one| one.at);
        let of_it = self.log.iter().rev().take_while(move |one| Some(one.at) == turn);
        of_it.map(|one| &one.entry)
    }

    /// How many turns of the wrench there are in all.
    #[must_use]
    pub fn turns(&self) -> usize {
        self.plan.passes.iter().map(|pass| pass.order.len()).sum()
    }

    /// How many of them are done.
    #[must_use]
    pub fn done(&self) -> usize {
        let wanted = |(number, bolt): &(i32, i32)| {
            let pass = usize::try_from(number.saturating_sub(1))
                .ok()
                .and_then(|at| self.plan.passes.get(at));
            pass.is_some_and(|pass| pass.order.contains(bolt))
        };
        self.tight.iter().filter(|one| wanted(one)).count()
    }
}
