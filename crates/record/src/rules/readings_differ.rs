//! Two keepers' readings of one point that differ by more than both could be off (En > 1, ISO/IEC 17043). One of them
//! slipped, or one instrument is not what its paper says; which, only a person can say. Where work was done between the
//! two, the difference is what the work was for.

use std::collections::{BTreeMap, BTreeSet};

use reckon::uncertainty::{Uncertainty, en};

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entities::{Job, Part, Reading};
use crate::entry::{Claim, Entry, STRUCK};
use crate::hash::ChangeId;
use crate::measured_again::is_told;
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::strokes;
use crate::time::{Day, Moment};
use crate::title::{bare, title};
use crate::verdict::{Judge, Measured, Points as Values};
use crate::view::View;

/// Two readings that differ.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::ReadingsDiffer,
    said: "two readings that differ",
    // Whose a device is, what an instrument is good for and what was done between count as well.
    finds: Finds::InRecord(
        &[
            Kind::Reading,
            Kind::Instrument,
            Kind::Job,
            Kind::Part,
            Kind::Assembly,
            Kind::Device,
        ],
        finds,
    ),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("side_1"),
            Outcome::Of(0, "stands, the other is struck out"),
            |settling, _| other_reading(settling, 0, 1),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("side_2"),
            Outcome::Of(1, "stands, the other is struck out"),
            |settling, _| other_reading(settling, 1, 0),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("both_stand"),
            Outcome::Words("both readings stand"),
            nothing,
        )
        .with_why(),
    ],
};

/// Seconds of a day.
const DAY: i64 = 86_400;

/// Points and what was measured are named by people: case and spaces do not tell two apart.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect()
}

/// By what is measured: an assembly or a part. Whose a device is has a say in all of them.
fn finds(survey: &Survey<'_>, found: &mut Found) -> bool {
    let view = survey.view;
    let look = |about: &Ref| (about.to_string(), points(view, survey.ledger, about));
    let Some(again) = again(survey) else {
        let readings = view.standing(Kind::Reading);
        let measured: BTreeSet<Ref> = readings.filter_map(about).collect();
        return found.anew(measured.iter().map(look));
    };
    let mut other = false;
    for (place, points) in again.iter().map(look) {
        other |= found.put(&place, points);
    }
    other
}

/// What to look at again: what was touched or measured, and where a job on an assembly at large may have been on a part of it, that part.
fn again(survey: &Survey<'_>) -> Option<BTreeSet<Ref>> {
    let near = |kind: Kind| survey.again(kind, &[Kind::Device]);
    let mut all: BTreeSet<Ref> = near(Kind::Part)?.into_iter().collect();
    for assembly in near(Kind::Assembly)? {
        let parts = survey.view.naming(&assembly, Kind::Part);
        all.extend(parts.map(Entry::name));
        all.insert(assembly);
    }
    let readings = near(Kind::Reading)?;
    all.extend(readings.iter().filter_map(|name| about(survey.view.find(name)?)));
    Some(all)
}

/// What a reading is of. One that another program entered of what is not measured has a title that hangs on an entry which this rule does not read.
fn about(reading: &Entry) -> Option<Ref> {
    let about: Ref = reading.line(Reading::about)?.parse().ok()?;
    matches!(about.kind, Kind::Assembly | Kind::Part | Kind::Car).then_some(about)
}

fn points(view: &View, ledger: &Ledger, measured: &Ref) -> Vec<Point> {
    let mut by_point: BTreeMap<(String, String), Vec<&Entry>> = BTreeMap::new();
    let of_it = |entry: &&Entry| entry.stands() && about(entry).as_ref() == Some(measured);
    for entry in view.naming(measured, Kind::Reading).filter(of_it) {
        let Some(what) = entry.line(Reading::what) else {
            continue;
        };
        let at = entry.line(Reading::at).map(plain).unwrap_or_default();
        by_point.entry((plain(what), at)).or_default().push(entry);
    }
    by_point.retain(|_, readings| readings.len() > 1);
    if by_point.is_empty() {
        return Vec::new();
    }
    let judge = Judge::of(view);
    let mut points = Vec::new();
    for readings in by_point.into_values() {
        let latest = latest_of_each(view, &readings);
        for (at, first) in latest.iter().enumerate() {
            for second in latest.iter().skip(at.saturating_add(1)) {
                points.extend(point(&judge, ledger, first, second));
            }
        }
    }
    points
}

/// The latest reading of each keeper, in the order of their ids.
fn latest_of_each<'a>(view: &View, readings: &[&'a Entry]) -> Vec<&'a Entry> {
    let mut latest: BTreeMap<Id, &Entry> = BTreeMap::new();
    for entry in readings {
        let Some(keeper) = entry
            .made
            .device
            .as_ref()
            .and_then(|device| view.keeper_of(device))
        else {
            continue;
        };
        let key = |entry: &Entry| (read_at(entry), entry.made.at, entry.id.clone());
        match latest.get(&keeper) {
            Some(other) if key(other) > key(entry) => {}
            _ => drop(latest.insert(keeper, entry)),
        }
    }
    let mut all: Vec<&Entry> = latest.into_values().collect();
    all.sort_by(|a, b| a.id.cmp(&b.id));
    all
}

/// When it was read: by its day, and within the day by when it was entered. What was entered on another day than it was
/// read stands for noon.
fn read_at(reading: &Entry) -> Moment {
    let made = reading.made.at;
    let noon = reading
        .line(Reading::on)
        .and_then(|on| on.parse::<Day>().ok())
        .map(noon);
    match noon {
        // The keeper's own day may begin or end at another hour than that of the clock.
        Some(noon) if (noon.saturating_sub(made.seconds())).abs() > DAY => Moment::from_seconds(noon),
        _ => made,
    }
}

fn noon(day: Day) -> i64 {
    let at = jiff::tz::Offset::UTC.to_timestamp(day.date().at(12, 0, 0, 0));
    at.map_or(0, jiff::Timestamp::as_second)
}

/// Where they differ most, in the base unit, with En; nothing where they agree, or where nothing is known of how far
/// either can be off.
struct Apart {
    values: (f64, f64),
    en: f64,
    /// The point of a grid.
    place: String,
}

fn apart(judge: &Judge<'_>, first: (&Entry, &Measured), second: (&Entry, &Measured)) -> Option<Apart> {
    let (one, two) = (first.1, second.1);
    if one.unit.kind() != two.unit.kind() {
        return None;
    }
    let (of_one, of_two) = (judge.uncertainty(first.0, one), judge.uncertainty(second.0, two));
    if of_one.is_none() && of_two.is_none() {
        return None;
    }
    let expanded = |known: Option<Uncertainty>| known.map_or(0.0, Uncertainty::expanded);
    let between = |a: f64, b: f64, place: String| Apart {
        values: (a, b),
        en: en(a, expanded(of_one), b, expanded(of_two)),
        place,
    };
    let worst = match (&one.points, &two.points) {
        (Values::Grid(a), Values::Grid(b)) => {
            if a.shape() != b.shape() || !same_names(a, b) {
                return None;
            }
            let pairs = a.each().zip(b.each());
            let each = pairs.map(|((row, column, x), (.., y))| {
                let place = a.name(Some(row), Some(column));
                between(x, y, place)
            });
            each.reduce(|worst, one| if one.en > worst.en { one } else { worst })
        }
        (Values::Grid(_), _) | (_, Values::Grid(_)) => None,
        (a, b) => Some(between(a.value()?, b.value()?, String::new())),
    };
    worst.filter(|worst| worst.en > 1.0)
}

/// Rows and columns that are called otherwise are other points.
fn same_names(a: &crate::verdict::Grid, b: &crate::verdict::Grid) -> bool {
    let alike = |x: &[String], y: &[String]| x.iter().map(|n| plain(n)).eq(y.iter().map(|n| plain(n)));
    alike(&a.rows, &b.rows) && alike(&a.columns, &b.columns)
}

/// Whether a job on what was measured was put to done between the two.
fn worked_between(view: &View, first: &Entry, second: &Entry) -> bool {
    let (one, two) = (read_at(first), read_at(second));
    let (from, to) = (one.min(two), one.max(two));
    let about = first.line(Reading::about).unwrap_or_default();
    let (part, assembly) = match about.split_once(':') {
        Some(("part", id)) => {
            let part = id.parse::<Id>().ok().and_then(|id| view.get(Kind::Part, &id));
            (Some(id), part.and_then(|part| part.line(Part::assembly)))
        }
        Some((_, id)) => (None, Some(id)),
        None => (None, None),
    };
    let on = [(Kind::Part, part), (Kind::Assembly, assembly)];
    let on = on
        .into_iter()
        .filter_map(|(kind, id)| Some(Ref::new(kind, id?.parse().ok()?)));
    on.flat_map(|on| view.naming(&on, Kind::Job))
        .filter(|job| job.stands())
        .any(|job| {
            let of_it = match (part, job.line(Job::part)) {
                (Some(part), Some(on)) => part == on,
                // A job on the assembly at large may be on the part, and one on a part is on its assembly.
                _ => assembly.is_some() && job.line(Job::assembly) == assembly,
            };
            let done = job.fields.get(Job::state).and_then(|held| held.claims().first());
            let done =
                done.filter(|claim| claim.value.as_ref().and_then(|value| value.line()) == Some("done"));
            of_it && done.is_some_and(|claim| from < claim.stamp.at && claim.stamp.at < to)
        })
}

/// The value's own claim: of a grid, or of the one value.
fn value_claim(reading: &Entry) -> Option<&Claim> {
    let field = if reading.line(Reading::grid).is_some() {
        "grid"
    } else {
        "value"
    };
    reading.fields.get(field)?.claims().first()
}

/// The changes that a reading's value is made of.
fn changes(reading: &Entry) -> Vec<&ChangeId> {
    let mut all = vec![&reading.made.change];
    let fields = ["value", "again", "grid", STRUCK];
    let claims = fields
        .iter()
        .filter_map(|field| reading.fields.get(*field)?.claims().first());
    all.extend(claims.map(|claim| &claim.stamp.change));
    all
}

fn point(judge: &Judge<'_>, ledger: &Ledger, first: &Entry, second: &Entry) -> Option<Point> {
    let view = judge.view();
    let (one, two) = (Measured::of(first)?, Measured::of(second)?);
    let apart = apart(judge, (first, &one), (second, &two))?;
    // Whoever measured again with the other before them has said which holds.
    if worked_between(view, first, second) || is_told(first, second) {
        return None;
    }
    let about = vec![first.name(), second.name()];
    let mut identified: BTreeSet<&ChangeId> = BTreeSet::new();
    identified.extend(changes(first));
    identified.extend(changes(second));
    let identified: Vec<&ChangeId> = identified.into_iter().collect();
    let side = |key: &str, entry: &Entry, other: &Entry| {
        let claim = value_claim(entry)?;
        Some(Side {
            key: key.to_owned(),
            about: entry.name(),
            title: bare(entry),
            value: claim.value.clone(),
            stamp: claim.stamp.clone(),
            knew_other: ledger.knew(&claim.stamp.change, &other.made.change),
        })
    };
    let with = |entry: &Entry| {
        let id: Option<Id> = entry.line(Reading::instrument).and_then(|id| id.parse().ok());
        let instrument = id.and_then(|id| view.get(Kind::Instrument, &id));
        instrument.map_or_else(
            || "no one knows what".to_owned(),
            |instrument| format!("'{}'", title(instrument)),
        )
    };
    let called = first.line(Reading::about).and_then(|about| about.parse().ok());
    let called = called
        .and_then(|about| view.find(&about))
        .map_or_else(|| "something".to_owned(), |about| format!("'{}'", title(about)));
    let mut place = String::new();
    for at in [first.line(Reading::at).unwrap_or_default(), &apart.place] {
        if !at.is_empty() {
            place.push_str(", ");
            place.push_str(at);
        }
    }
    Some(Point {
        id: identity(Rule::ReadingsDiffer, &about, "", &identified),
        rule: Rule::ReadingsDiffer,
        title: format!(
            "'{}' of {called}{place}: {} with {} and {} with {} lie further apart than both can be off",
            bare(first),
            one.shown(apart.values.0),
            with(first),
            two.shown(apart.values.1),
            with(second),
        ),
        sides: vec![side("side_1", first, second)?, side("side_2", second, first)?],
        changes: identified.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        choices: RULE.offers(),
    })
}

/// One reading is right: the other is struck out, with the reason given or with which one was taken.
fn other_reading(settling: &Settling<'_>, right: usize, other: usize) -> Result<Vec<Stroke>, Refusal> {
    let (right, other) = (settling.about(right)?, settling.about(other)?);
    let value = settling
        .view()
        .find(right)
        .and_then(|entry| entry.line(Reading::value))
        .and_then(|kept| kept.rsplit_once(" = "))
        .map_or_else(String::new, |(typed, _)| format!(" of {typed}"));
    let why = settling.why.map_or_else(
        || format!("it does not agree with the other reading{value} of the same point, which was taken"),
        str::to_owned,
    );
    Ok(vec![strokes::strike(other, strokes::line("why", &why)?)])
}
