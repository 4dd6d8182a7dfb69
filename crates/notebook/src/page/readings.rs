//! Readings as lines: what was measured, what each limit says of it and what mends it. It shows what the record's
//! verdicts and remedies say and judges nothing itself.

use reckon::VerdictWord;
use reckon::uncertainty::Uncertainty;
use record::edit::title;
use record::entities::{Limit, Reading};
use record::measured_again::{self, takes_the_place_of};
use record::remedy::{self, Makes, Remedy};
use record::verdict::{Grid, Judge, Judged, Measured, Points, worst};
use record::words::{Property, Words};
use record::{Entity, Entry, Kind, Ref};

use super::lines::Reader;
use crate::wire::{
    GridShown, GridValue, JudgedLine, MeasuredThen, Named, ReadingLine, ReadingPage, RemedyLine,
};

impl Reader<'_> {
    /// A reading as a line; nothing for one that is about nothing.
    pub(crate) fn reading(&self, judge: &Judge<'_>, entry: &Entry) -> Option<ReadingLine> {
        let reading = Reading::read(entry);
        let measured = Measured::of(entry);
        let judged = measured
            .as_ref()
            .map_or_else(Vec::new, |measured| judge.each(entry, measured));
        let limit = reading
            .limit
            .and_then(|id| self.view.get(Kind::Limit, &id))
            .map(limit_in_words);
        let again = reading.again.as_deref().and_then(record::field::Measures::parts);
        let proposed = measured.as_ref().map_or_else(Vec::new, |measured| {
            remedy::of_judged(judge, entry, measured, &judged)
        });
        let grid = measured.as_ref().and_then(|measured| match &measured.points {
            Points::Grid(grid) => Some(grid_shown(
                measured,
                grid,
                &judged,
                self.expanded(judge, entry, measured),
            )),
            _ => None,
        });
        Some(ReadingLine {
            about: self.named(&reading.about?),
            id: reading.id,
            what: reading.what.unwrap_or_default(),
            at: reading.at,
            value: value(entry),
            again: again.map_or_else(Vec::new, |all| {
                all.iter().map(|one| one.text().to_owned()).collect()
            }),
            grid,
            instrument: reading
                .instrument
                .map(|id| self.named(&Ref::new(Kind::Instrument, id))),
            verdict: worst(&judged),
            limit,
            judged: judged.iter().map(|one| self.judged(one)).collect(),
            remedies: self.remedies(entry, proposed),
            temperature: reading.temperature.as_deref().map(|kept| typed(kept).to_owned()),
            on: reading.on,
            by: self.by(&entry.made),
            since: measured_again::since(judge, entry).map(|since| self.then(judge, since)),
        })
    }

    /// A reading beside the others of its point; nothing for one that is about nothing.
    pub(crate) fn reading_page(&self, judge: &Judge<'_>, entry: &Entry) -> Option<ReadingPage> {
        let line = self.reading(judge, entry)?;
        let mut page = ReadingPage {
            line,
            before: Vec::new(),
            after: Vec::new(),
            apart: Vec::new(),
        };
        for other in measured_again::of_one_point(self.view, entry) {
            let then = || self.then(judge, other);
            match () {
                () if other.id == entry.id => {}
                () if takes_the_place_of(other, entry) => page.after.push(then()),
                // One that was struck out takes no other's place.
                () if entry.stands() && takes_the_place_of(entry, other) => page.before.push(then()),
                () => page.apart.push(then()),
            }
        }
        Some(page)
    }

    fn then(&self, judge: &Judge<'_>, entry: &Entry) -> MeasuredThen {
        MeasuredThen {
            name: entry.name(),
            value: value(entry),
            verdict: judge.verdict(entry),
            on: Reading::of(entry).and_then(|reading| reading.on()),
            by: self.by(&entry.made),
        }
    }

    fn expanded(&self, judge: &Judge<'_>, entry: &Entry, measured: &Measured) -> Uncertainty {
        judge.uncertainty(entry, measured).unwrap_or(Uncertainty::NONE)
    }

    fn judged(&self, one: &Judged<'_>) -> JudgedLine {
        JudgedLine {
            limit: Named {
                name: one.bounds.entry.name(),
                title: title(one.bounds.entry),
            },
            words: limit_in_words(one.bounds.entry),
            verdict: one.verdict.clone(),
        }
    }

    /// What is proposed, what of it was taken, and what was made of the reading before and is not proposed any more.
    fn remedies(&self, entry: &Entry, proposed: Vec<Remedy>) -> Vec<RemedyLine> {
        let standing = remedy::standing_for(self.view, &entry.id, &proposed);
        let named = |made: &Entry| Named {
            name: made.name(),
            title: title(made),
        };
        let mut lines: Vec<RemedyLine> = proposed
            .into_iter()
            .zip(&standing.taken)
            .map(|(remedy, taken)| RemedyLine {
                key: remedy.key,
                mends: remedy.mends,
                words: remedy.words,
                makes: remedy.makes,
                title: remedy.title,
                cautions: remedy.cautions,
                taken: taken.map(named),
                calculation: remedy.calculation,
            })
            .collect();
        lines.extend(standing.others.iter().map(|made| RemedyLine {
            key: format!("made_{}", made.id),
            mends: None,
            words: "Taken before; as the record stands now it is not called for".to_owned(),
            makes: if made.kind == Kind::Order {
                Makes::Order
            } else {
                Makes::Job
            },
            title: title(made),
            cautions: Vec::new(),
            taken: Some(named(made)),
            calculation: None,
        }));
        lines
    }
}

/// What was typed, of a kept measure.
pub(crate) fn typed(kept: &str) -> &str {
    kept.rsplit_once(" = ").map_or(kept, |(typed, _)| typed)
}

/// What was measured in a few words: the value as typed, a mean and of how many, or how many points from where to where.
pub(super) fn value(reading: &Entry) -> String {
    let measured = Measured::of(reading);
    match measured.as_ref().map(|measured| (measured, &measured.points)) {
        Some((measured, Points::Grid(grid))) => {
            let (least, most) = grid.ends();
            format!(
                "{} points, {} to {}",
                grid.count(),
                measured.shown(least),
                measured.shown(most)
            )
        }
        Some((measured, Points::Again { repeated, .. })) => {
            format!("mean {} of {}", measured.shown(repeated.mean), repeated.count)
        }
        _ => {
            let kept = Reading::of(reading).and_then(|reading| reading.value());
            typed(kept.unwrap_or_default()).to_owned()
        }
    }
}

fn grid_shown(
    measured: &Measured,
    grid: &Grid,
    judged: &[Judged<'_>],
    uncertainty: Uncertainty,
) -> GridShown {
    let sizes: Vec<&Judged<'_>> = judged
        .iter()
        .filter(|one| !matches!(one.bounds.judges, Property::OutOfRound | Property::Taper))
        .collect();
    // The gravest word of the limits that judge the size.
    let word = |value: f64| {
        let words = sizes
            .iter()
            .filter_map(|one| one.bounds.judge(value, uncertainty));
        words.max_by_key(|word| match word {
            VerdictWord::InLimits => 0,
            VerdictWord::TooCloseToCall => 1,
            VerdictWord::BelowLimits | VerdictWord::AboveLimits => 2,
        })
    };
    let point = |one: &reckon::Typed| GridValue {
        text: one.with_unit(),
        base: one.value(),
        word: word(one.value()),
    };
    let (least, most) = grid.ends();
    let out_of_round = grid.out_of_round().map(|(_, most)| measured.difference(most));
    let taper = grid.taper().map(|(_, most)| measured.difference(most));
    GridShown {
        rows: grid.rows.clone(),
        columns: grid.columns.clone(),
        values: grid
            .values
            .iter()
            .map(|row| row.iter().map(point).collect())
            .collect(),
        words: in_words(grid, out_of_round.as_deref(), taper.as_deref()),
        out_of_round,
        taper,
        largest: measured.shown(most),
        smallest: measured.shown(least),
    }
}

fn in_words(grid: &Grid, out_of_round: Option<&str>, taper: Option<&str>) -> String {
    let rows = grid.rows.iter().zip(grid.values.iter()).map(|(name, values)| {
        let points = grid
            .columns
            .iter()
            .zip(values)
            .map(|(column, value)| format!("{column} {}", value.with_unit()));
        format!("{name}: {}", points.collect::<Vec<_>>().join(", "))
    });
    let mut all: Vec<String> = rows.collect();
    all.extend(out_of_round.map(|most| format!("out-of-round {most}")));
    all.extend(taper.map(|most| format!("taper {most}")));
    format!("{}; both on the diameter.", all.join("; "))
}

/// A limit in one line, with where it stands written.
pub(crate) fn limit_in_words(entry: &Entry) -> String {
    let limit = Limit::read(entry);
    let range = match (limit.low.as_deref().map(typed), limit.high.as_deref().map(typed)) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(low), None) => format!("at least {low}"),
        (None, Some(high)) => format!("at most {high}"),
        (None, None) => "no value".to_owned(),
    };
    let judges = limit
        .judges
        .as_ref()
        .filter(|judges| **judges != Property::Size)
        .map(|judges| format!(", {}", judges.word().replace('_', " ")));
    let condition = limit.condition.as_ref().map(|word| format!(", {}", word.word()));
    let book = limit.book.map(|book| {
        let edition = limit
            .edition
            .map_or_else(String::new, |edition| format!(", {edition}"));
        let page = limit.page.map_or_else(String::new, |page| format!(", p. {page}"));
        format!(" ({book}{edition}{page})")
    });
    format!(
        "{range}{}{}{}",
        judges.unwrap_or_default(),
        condition.unwrap_or_default(),
        book.unwrap_or_default()
    )
}
