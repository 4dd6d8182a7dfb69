//! A tightening run, read as it stands: in which order, in which passes, what is tight and which bolt is next. The order
//! and the passes come from `reckon`, what is tight from the merged record, so a run goes on where it was left, on
//! whichever device. It writes nothing; a bolt for which no torque is given
//! is logged by its pass's, exact as far as a number can be typed.

use std::collections::{BTreeMap, BTreeSet};

use reckon::Typed;

use crate::entities::{Tightened, TighteningRun};
use crate::entity::Entity;
use crate::entry::{Entry, View};
use crate::name::{Id, Kind};
use crate::words::Layout;

/// The passes where none are said.
pub const PASSES: &str = "30, 60, 100";

/// What a run is made of, as a keeper gives it.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
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
pub struct Plan {
    /// The passes, the last round among them.
    pub passes: Vec<Pass>,
    /// Bolts in each row; all of them on a circle.
    pub columns: i32,
    /// What the order and the torque hold for.
    pub conditions: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Reckons the order and the passes.
///
/// # Errors
/// In words: bolts that do not fill their rows, passes that do not rise to 100, a torque that is none.
pub fn plan(given: Given<'_>) -> Result<Plan, String> {
    let torque = Typed::from_kept(given.torque).map_err(|why| why.to_string())?;
    let stages = format!(
        "{} %",
        given.passes.unwrap_or(PASSES).trim().trim_end_matches('%').trim()
    );
    let mut inputs = BTreeMap::from([
        ("torque".to_owned(), torque.text().to_owned()),
        ("stages".to_owned(), stages.clone()),
    ]);
    let mut columns = given.bolts;
    if *given.layout == Layout::Rows {
        let rows = given.rows.unwrap_or(1).max(1);
        if given.bolts % rows != 0 {
            return Err(format!("{} bolts do not fill {rows} rows alike", given.bolts));
        }
        columns = given.bolts / rows;
        inputs.insert("shape".to_owned(), "rectangle".to_owned());
        inputs.insert("rows".to_owned(), rows.to_string());
        inputs.insert("columns".to_owned(), columns.to_string());
    } else {
        inputs.insert("shape".to_owned(), "circle".to_owned());
        inputs.insert("bolts".to_owned(), given.bolts.to_string());
    }
    let answer = reckon::reckon("tightening", &inputs, &reckon::Preferences::default())
        .map_err(|refusal| refusal.to_string())?;
    let column = |table: &str, key: &str| -> Vec<f64> {
        let lines = answer
            .tables
            .iter()
            .filter(|one| one.key == table)
            .flat_map(|one| &one.lines);
        lines
            .filter_map(|line| line.values.iter().find(|value| value.key == key))
            .map(|value| value.value)
            .collect()
    };
    // Bolts are few, and counted from 1.
    #[expect(clippy::cast_possible_truncation, reason = "reckon counts at most 72 bolts")]
    let order: Vec<i32> = column("order", "bolt")
        .into_iter()
        .map(|bolt| bolt as i32)
        .collect();
    let parts = column("stages", "part");
    let last = parts.len().saturating_sub(1);
    let unit = torque.unit();
    let exact = exact_parts(&stages)?;
    let pass = |(at, percent): (usize, f64)| -> Result<Pass, String> {
        let shown = reckon::shown(unit.from_base(torque.value() * percent / 100.0), unit);
        // The last round is at the whole torque.
        let kept = match exact.get(at) {
            _ if at == last => given.torque.to_owned(),
            Some(part) => kept_part(&torque, part, &shown)?,
            None => {
                return Err(format!(
                    "it is not said what part of the torque pass {} takes",
                    at.saturating_add(1)
                ));
            }
        };
        Ok(Pass {
            percent,
            torque: shown,
            kept,
            // The last round goes from bolt to bolt: one that still turns was held back by its neighbour.
            order: if at == last {
                (1..=given.bolts).collect()
            } else {
                order.clone()
            },
        })
    };
    let passes = parts.into_iter().enumerate().map(pass);
    let passes: Vec<Pass> = passes.collect::<Result<_, _>>()?;
    let words = |notes: &[reckon::Note]| notes.iter().map(|note| note.words.to_string()).collect();
    Ok(Plan {
        passes,
        columns,
        conditions: words(&answer.conditions),
        cautions: words(&answer.cautions),
    })
}

/// The passes as exact parts of the last torque.
fn exact_parts(stages: &str) -> Result<Vec<reckon::Exact>, String> {
    let typed = reckon::parse_list(stages, reckon::Expect::of(reckon::Kind::Number))
        .map_err(|unclear| unclear.to_string())?;
    let each = typed
        .into_iter()
        .flat_map(|one| std::iter::repeat_n(one.typed.exact().clone(), one.count as usize));
    Ok(each.collect())
}

/// A part of a torque as a measure is kept, in the unit that was typed: `12.045 N·m = 12.045 N·m`. What is shown of it stands
/// for it where that is exact, and where the exact number has more digits than can be typed.
fn kept_part(torque: &Typed, part: &reckon::Exact, shown: &str) -> Result<String, String> {
    let exact = torque.exact().times(part);
    let shown = reckon::parse_any(shown).map_err(|unclear| unclear.to_string())?;
    if *shown.exact() == exact {
        return Ok(shown.kept());
    }
    let unit = torque.unit();
    let text = format!("{} {}", unit.from_base_exact(&exact), unit.certain());
    Ok(reckon::parse_any(&text).unwrap_or(shown).kept())
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
pub struct Standing {
    /// Order and passes.
    pub plan: Plan,
    /// What is tight: pass and bolt, both from 1.
    pub tight: BTreeSet<(i32, i32)>,
    /// The next: pass and bolt; nothing when the last round is done.
    pub next: Option<(i32, i32)>,
    /// The entries behind it, in the order of the passes and of the pattern within each: what is taken back last is
    /// what comes next again. No clock decides: two devices' clocks differ, and one counts whole seconds.
    pub log: Vec<Turn>,
}

impl Standing {
    /// Reads a run.
    ///
    /// # Errors
    /// As [`plan`], and where the run lacks what a plan needs.
    pub fn of(view: &View, run: &Entry) -> Result<Self, String> {
        let read = TighteningRun::read(run);
        let (Some(layout), Some(bolts), Some(torque)) = (&read.layout, read.bolts, &read.torque) else {
            return Err("the run lacks its layout, its bolts or its torque".to_owned());
        };
        let plan = plan(Given {
            layout,
            bolts,
            rows: read.rows,
            torque,
            passes: read.passes.as_deref(),
        })?;
        let mut log: Vec<(&Entry, Tightened)> = view
            .standing(Kind::Tightened)
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
        let tight: BTreeSet<(i32, i32)> = log
            .iter()
            .filter_map(|(_, one)| Some((one.pass?, one.place?)))
            .collect();
        let next = plan.passes.iter().zip(1..).find_map(|(pass, number)| {
            let bolt = pass
                .order
                .iter()
                .find(|bolt| !tight.contains(&(number, **bolt)))?;
            Some((number, *bolt))
        });
        Ok(Self {
            plan,
            tight,
            next,
            log: log
                .into_iter()
                .map(|(entry, one)| Turn {
                    at: (one.pass, one.place),
                    entry: entry.id.clone(),
                })
                .collect(),
        })
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
