//! Kept answers and tightening runs as pages. It reads entries and asks the record how a run stands; it decides nothing.

use std::collections::BTreeMap;

use record::entities::{Instrument, KeptAnswer, Tightened, TighteningRun};
use record::rules::Point;
use record::tightening::{RunStanding, disputed};
use record::words::Layout;
use record::{Entity, Entry, Id, Kind, Ref};

use super::lines::Reader;
use crate::wire::{KeptLine, KeptPage, RunLine, RunNext, RunPage, RunPass, RunPlace, TightenedLine};

/// An answer in one line: its first verdict, or else its first value.
pub(crate) fn headline(answer: &reckon::Answer) -> String {
    let value = |value: &reckon::Value| format!("{}: {}", value.words, value.text);
    let verdict = answer.verdicts.first().map(|verdict| verdict.words.clone());
    let first = verdict.or_else(|| answer.values.first().map(value));
    let line = first.or_else(|| Some(answer.tables.first()?.lines.first()?.words.clone()));
    line.unwrap_or_default()
}

/// All of an answer in words, a line each, so that it can be read without the program that gave it.
pub(crate) fn told(answer: &reckon::Answer) -> Vec<String> {
    let mut lines = Vec::new();
    let mut put = |head: &str, text: String| lines.push(format!("{head}: {text}"));
    for (head, notes) in [("Warning", &answer.warnings), ("Mind", &answer.cautions)] {
        for note in notes {
            put(head, note.words.to_string());
        }
    }
    for verdict in &answer.verdicts {
        put("Verdict", verdict.words.clone());
    }
    for value in &answer.values {
        put(&value.words, value.text.clone());
    }
    for table in &answer.tables {
        for line in &table.lines {
            let why = if line.why.is_empty() {
                String::new()
            } else {
                format!(" ({})", line.why)
            };
            put(&table.words, format!("{}{why}", line.words));
        }
    }
    for input in &answer.inputs {
        let by_default = if input.by_default { " (not typed)" } else { "" };
        put(
            "Taken as",
            format!("{}: {}{by_default}", input.words, input.typed),
        );
    }
    for note in &answer.conditions {
        put("Holds for", note.words.to_string());
    }
    for formula in &answer.formulas {
        put("Formula", format!("{}: {}", formula.name, formula.written));
    }
    for source in &answer.sources {
        put("Source", source.words.to_string());
    }
    lines
}

/// What was typed, a line each.
pub(crate) fn inputs_kept(inputs: &BTreeMap<String, String>) -> String {
    let line = |(name, text): (&String, &String)| format!("{name} = {}", text.trim().replace('\n', "; "));
    inputs.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn inputs_read(kept: &str) -> BTreeMap<String, String> {
    let pair = |line: &str| {
        let (name, text) = line.split_once(" = ")?;
        Some((name.to_owned(), text.to_owned()))
    };
    kept.lines().filter_map(pair).collect()
}

impl Reader<'_> {
    pub(crate) fn kept(&self, entry: &Entry) -> KeptLine {
        let kept = KeptAnswer::read(entry);
        KeptLine {
            id: kept.id,
            what: kept.what.unwrap_or_default(),
            calculation: kept.calculation.unwrap_or_default(),
            about: kept.about.map(|about| self.named(&about)),
            answer: kept.answer.unwrap_or_default(),
            note: kept.note,
            on: kept.on,
            by: self.by(&entry.made),
            struck: self.struck(entry),
        }
    }

    /// The kept answers that are about one of these, the newest first; struck ones among them.
    pub(super) fn kept_newest<'n>(&self, about: impl IntoIterator<Item = &'n Ref>) -> Vec<KeptLine> {
        let naming = about
            .into_iter()
            .flat_map(|name| self.view.naming(name, Kind::KeptAnswer));
        let mut kept: Vec<_> = naming.map(|kept| self.kept(kept)).collect();
        kept.sort_by(|a, b| (b.on, &b.id).cmp(&(a.on, &a.id)));
        kept
    }

    pub(crate) fn run(&self, entry: &Entry) -> Option<RunLine> {
        let run = TighteningRun::read(entry);
        let standing = RunStanding::of(self.view, entry).ok();
        let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let (done, of) = (
            small(standing.as_ref().map_or(0, RunStanding::done)),
            small(standing.as_ref().map_or(0, RunStanding::turns)),
        );
        Some(RunLine {
            id: run.id,
            what: run.what.unwrap_or_default(),
            assembly: self.named(&Ref::new(Kind::Assembly, run.assembly?)),
            torque: as_typed(run.torque.as_deref()?),
            bolts: run.bolts?,
            done,
            of,
            open: entry.stands() && done < of,
            conditions: run.conditions.unwrap_or_default(),
            on: run.on,
            by: self.by(&entry.made),
            struck: self.struck(entry),
        })
    }

    fn tightened(&self, id: &Id) -> Option<TightenedLine> {
        let entry = self.view.get(Kind::Tightened, id)?;
        let one = Tightened::read(entry);
        Some(TightenedLine {
            id: one.id,
            pass: one.pass?,
            place: one.place?,
            torque: as_typed(&one.torque.unwrap_or_default()),
            instrument: one
                .instrument
                .map(|id| self.named(&Ref::new(Kind::Instrument, id))),
            on: one.on,
            by: self.by(&entry.made),
        })
    }
}

/// A kept quantity as it was typed.
fn as_typed(kept: &str) -> String {
    reckon::Typed::from_kept(kept).map_or_else(|_| kept.to_owned(), |typed| typed.text().to_owned())
}

/// A kept answer, with what the bench answers today.
pub(crate) fn kept_page(read: &Reader<'_>, id: &Id) -> Option<KeptPage> {
    let kept = read.view.one::<KeptAnswer>(id)?;
    let line = read.kept(kept.entry());
    let inputs = inputs_read(kept.inputs().unwrap_or_default());
    let now = reckon::reckon(&line.calculation, &inputs, &reckon::Preferences::default()).ok();
    let told_then: Vec<String> = kept
        .told()
        .unwrap_or_default()
        .lines()
        .map(str::to_owned)
        .collect();
    // Kept in inches by one keeper, it is no other answer in millimetres.
    let metric = now.as_ref().map(headline);
    let inch = reckon::reckon(&line.calculation, &inputs, &inches())
        .ok()
        .as_ref()
        .map(headline);
    let same = |head: &Option<String>| head.as_ref() == Some(&line.answer);
    Some(KeptPage {
        otherwise: now.is_some() && !same(&metric) && !same(&inch),
        line,
        inputs,
        told: told_then,
        now,
    })
}

fn inches() -> reckon::Preferences {
    reckon::Preferences {
        units: reckon::Units::Inch,
        ..reckon::Preferences::default()
    }
}

/// A tightening run as it stands; nothing where there is no such run, or it lacks what a run needs.
pub(crate) fn run_page(read: &Reader<'_>, id: &Id, points: &[Point]) -> Option<RunPage> {
    let entry = read.view.get(Kind::TighteningRun, id)?;
    let run = TighteningRun::read(entry);
    let line = read.run(entry)?;
    let standing = RunStanding::of(read.view, entry).ok()?;
    let plan = &standing.plan;
    let last = plan.passes.len().saturating_sub(1);
    let passes = plan
        .passes
        .iter()
        .zip(1..)
        .enumerate()
        .map(|(at, (pass, number))| RunPass {
            number,
            percent: pass.percent,
            torque: pass.torque.clone(),
            order: pass.order.clone(),
            done: pass
                .order
                .iter()
                .copied()
                .filter(|bolt| standing.tight.contains(&(number, *bolt)))
                .collect(),
            last_round: at == last,
        });
    let passes: Vec<RunPass> = passes.collect();
    let next = standing.next.and_then(|(number, place)| {
        let pass = passes.iter().find(|pass| pass.number == number)?;
        let round = if pass.last_round {
            "last round".to_owned()
        } else {
            format!("pass {number} of {last}")
        };
        Some(RunNext {
            pass: number,
            place,
            torque: pass.torque.clone(),
            words: format!("{round}: bolt {place} to {}", pass.torque),
        })
    });
    let layout = run.layout.unwrap_or(Layout::Circle);
    let (disputed, asked) = disputed(read.view, id, points);
    let conditions = std::iter::once(line.conditions.clone()).chain(plan.conditions.iter().cloned());
    Some(RunPage {
        places: places(&layout, line.bolts, plan.columns),
        layout,
        passes,
        disputed: disputed.into_iter().collect(),
        asks: super::asked_of(asked),
        next,
        log: standing
            .log
            .iter()
            .filter_map(|one| read.tightened(&one.entry))
            .collect(),
        wrench: run
            .instrument
            .as_ref()
            .and_then(|id| read.view.get(Kind::Instrument, id))
            .map(checked),
        instrument: run
            .instrument
            .map(|id| read.named(&Ref::new(Kind::Instrument, id))),
        source: run.source,
        conditions: conditions.filter(|words| !words.is_empty()).collect(),
        cautions: standing
            .otherwise()
            .into_iter()
            .chain(plan.cautions.iter().cloned())
            .collect(),
        line,
    })
}

/// When an instrument was last checked, in words.
fn checked(entry: &Entry) -> String {
    let instrument = Instrument::read(entry);
    match (instrument.checked_on, instrument.checked_against) {
        (Some(on), Some(against)) => format!("last checked {on} against {against}"),
        (Some(on), None) => format!("last checked {on}"),
        _ => "when it was last checked is not known".to_owned(),
    }
}

/// Where the bolts lie: round from the top, clockwise, or along the rows from the top left.
fn places(layout: &Layout, bolts: i32, columns: i32) -> Vec<RunPlace> {
    let at = |number: i32| {
        if *layout == Layout::Rows {
            let (row, column) = ((number - 1) / columns, (number - 1) % columns);
            let rows = bolts / columns;
            (middle(column, columns), middle(row, rows))
        } else {
            reckon::pattern::place_on_circle(number - 1, bolts)
        }
    };
    let place = |number| {
        let (x, y) = at(number);
        RunPlace { number, x, y }
    };
    (1..=bolts).map(place).collect()
}

/// The place of one of several along a side, 0 to 1; the middle where there is only one.
fn middle(at: i32, count: i32) -> f64 {
    if count < 2 {
        0.5
    } else {
        f64::from(at) / f64::from(count - 1)
    }
}
