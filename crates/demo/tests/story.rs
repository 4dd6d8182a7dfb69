//! The story as the sources tell it: enough of everything, every rule of the weeks apart prepared, and every slip in

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]
//! the sources found with its file and entry.

use std::collections::{BTreeMap, BTreeSet};

use demo::{Act, Key, Scene, Sources, Step, Story, Value, Who};
use record::Kind;

fn story() -> Story {
    Story::embedded().unwrap_or_else(|why| panic!("{why}"))
}

fn added(story: &Story, kind: Kind) -> usize {
    story
        .steps()
        .filter(|step| matches!(&step.act, Act::Add { key, .. } if key.kind == kind))
        .count()
}

#[test]
fn there_is_enough_of_everything() {
    let story = story();
    // The least that the demo was asked to hold.
    for (kind, least) in [
        (Kind::Assembly, 12),
        (Kind::Part, 150),
        (Kind::Finding, 60),
        (Kind::Job, 40),
        (Kind::Reading, 60),
        (Kind::Container, 30),
        (Kind::Order, 25),
        (Kind::HoldPoint, 20),
        (Kind::Photo, 24),
        (Kind::Try, 20),
        (Kind::Instrument, 6),
        (Kind::Limit, 20),
    ] {
        let count = added(&story, kind);
        assert!(count >= least, "{count} of {kind}, {least} wanted");
    }
    let sheets: Vec<&Step> = story
        .steps()
        .filter(|step| matches!(step.act, Act::Write { .. }))
        .collect();
    assert!(sheets.len() >= 40, "{} day sheets", sheets.len());
    for who in [Who::Parent, Who::Child] {
        let own = sheets.iter().filter(|step| step.who == who).count();
        assert!(own >= 15, "{own} day sheets of the {who}");
        let apart = story.apart.iter().filter(|step| step.who == who).count();
        assert!(apart >= 20, "{apart} edits apart by the {who}");
    }
    let first = story.steps().next().unwrap().at.seconds();
    let last = story.apart.last().unwrap().at.seconds();
    assert!(last - first > 365 * 86_400, "it spans a year");
}

#[test]
fn every_drawing_is_used_and_every_photo_has_one() {
    let sources = Sources::embedded();
    let drawn: BTreeSet<&str> = sources
        .within("drawings", "svg")
        .map(|path| path.trim_start_matches("drawings/"))
        .collect();
    let story = story();
    let used: BTreeSet<&str> = story
        .steps()
        .filter_map(|step| match &step.act {
            Act::Add { drawing, .. } => drawing.as_deref(),
            _ => None,
        })
        .collect();
    assert_eq!(drawn, used);
}

/// A field that a step puts.
fn put<'a>(step: &'a Step, field: &str) -> Option<&'a Value> {
    let (Act::Add { fields, .. } | Act::Change { fields, .. }) = &step.act else {
        return None;
    };
    fields
        .iter()
        .find(|(name, _)| *name == field)
        .map(|(_, value)| value)
}

fn apart(story: &Story, who: Who) -> impl Iterator<Item = &Step> {
    story.apart.iter().filter(move |step| step.who == who)
}

/// What each of one device changed apart: thing and field.
fn changed(story: &Story, who: Who) -> BTreeMap<(Key, &'static str), &Value> {
    let mut out = BTreeMap::new();
    for step in apart(story, who) {
        if let Act::Change { key, fields } = &step.act {
            out.extend(fields.iter().map(|(field, value)| ((key.clone(), *field), value)));
        }
    }
    out
}

#[test]
fn the_weeks_apart_hold_every_contradiction() {
    let story = story();
    let (parent, child) = (changed(&story, Who::Parent), changed(&story, Who::Child));
    let both: Vec<_> = parent
        .iter()
        .filter(|(what, value)| child.get(*what).is_some_and(|other| other != *value))
        .collect();
    let fields: BTreeSet<&str> = both.iter().map(|((_, field), _)| *field).collect();
    for field in ["decision", "high", "state", "place"] {
        assert!(fields.contains(field), "two values for '{field}': {fields:?}");
    }
    let closed: BTreeSet<String> = apart(&story, Who::Parent)
        .filter_map(|step| match &step.act {
            Act::Close { assembly, .. } => Some(assembly.slug.clone()),
            _ => None,
        })
        .collect();
    for kind in [Kind::Job, Kind::HoldPoint] {
        let over = apart(&story, Who::Child).any(|step| {
            matches!(&step.act, Act::Add { key, .. } if key.kind == kind)
                && matches!(put(step, "assembly"), Some(Value::Link(home)) if closed.contains(&home.slug))
        });
        assert!(over, "a {kind} that the other closes over");
    }
    let of = |who, kind, field: &'static str| -> BTreeSet<String> {
        apart(&story, who)
            .filter(|step| matches!(&step.act, Act::Add { key, .. } if key.kind == kind))
            .filter_map(|step| put(step, field).map(|value| format!("{value:?}")))
            .collect()
    };
    for (kind, field) in [(Kind::Container, "code"), (Kind::Order, "part")] {
        let (mine, theirs) = (of(Who::Parent, kind, field), of(Who::Child, kind, field));
        assert!(
            mine.intersection(&theirs).next().is_some(),
            "one {field} of {kind} by both: {mine:?} {theirs:?}"
        );
    }
    // One point, measured by both: what and where are the same, what was read is not.
    let read = |who| -> BTreeSet<String> {
        let readings = apart(&story, who)
            .filter(|step| matches!(&step.act, Act::Add { key, .. } if key.kind == Kind::Reading));
        let points = readings.map(|step| {
            format!(
                "{:?} {:?} {:?}",
                put(step, "about"),
                put(step, "what"),
                put(step, "at")
            )
        });
        points.collect()
    };
    assert!(
        read(Who::Parent).intersection(&read(Who::Child)).next().is_some(),
        "one point measured by both: {:?} {:?}",
        read(Who::Parent),
        read(Who::Child)
    );
    let days = |who| -> BTreeSet<String> {
        let sheets = apart(&story, who).filter_map(|step| match &step.act {
            Act::Write { date, .. } => Some(date.to_string()),
            _ => None,
        });
        sheets.collect()
    };
    assert!(
        days(Who::Parent).intersection(&days(Who::Child)).next().is_some(),
        "both write on one day"
    );
}

#[test]
fn a_part_is_worked_on_in_its_own_assembly() {
    let story = story();
    for step in story
        .steps()
        .filter(|step| matches!(&step.act, Act::Add { key, .. } if key.kind == Kind::Job))
    {
        let (Some(Value::Link(home)), Some(Value::Link(part))) = (put(step, "assembly"), put(step, "part"))
        else {
            continue;
        };
        // Head studs stand in the block and are a part of it, whatever job needs them.
        assert!(
            part.slug.starts_with(&home.slug),
            "{}: {part} is no part of {home}",
            step.act.about()
        );
    }
}

#[test]
fn time_goes_forward_and_every_sheet_is_written_once() {
    let story = story();
    let mut last = None;
    let mut written = BTreeSet::new();
    for scene in &story.year {
        let at = match scene {
            Scene::Step(step) => step.at,
            Scene::Meeting(at) => *at,
        };
        assert!(last.is_none_or(|last| last <= at), "{at} comes after {last:?}");
        last = Some(at);
    }
    for step in story.steps() {
        if let Act::Write { date, .. } = &step.act {
            assert!(
                written.insert((step.who, *date)),
                "two sheets of the {} on {date}",
                step.who
            );
        }
    }
}

/// The story with one source replaced must fail, naming all of `says`.
fn refused(path: &str, old: &str, new: &str, says: &[&str]) {
    let sources = Sources::embedded();
    let text = sources.text(path).unwrap().to_owned();
    assert!(text.contains(old), "{path} has no '{old}'");
    let spoilt = sources.with(path, &text.replacen(old, new, 1));
    let why = match Story::read(&spoilt) {
        Ok(_) => panic!("{path}: '{new}' for '{old}' was taken as it was"),
        Err(why) => why.to_string(),
    };
    for say in says {
        assert!(why.contains(say), "'{say}' is not in: {why}");
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn a_slip_in_the_sources_is_named() {
    // An unknown thing, a missing field, an unknown field, a word outside its set.
    refused(
        "orders.toml",
        "\"engine/crank/shaft\"",
        "\"engine/crank/shat\"",
        &["orders.toml", "order:regrind", "engine/crank/shat"],
    );
    refused(
        "findings.toml",
        "what = \"Body number on the plate agrees with the logbook: T2-11862\"\n",
        "",
        &["findings.toml", "body-number", "'what' is missing"],
    );
    refused(
        "limits.toml",
        "condition =",
        "condishun =",
        &["limits.toml", "crankpin-new", "condishun"],
    );
    refused(
        "jobs.toml",
        "minutes = 240",
        "minutes = \"long\"",
        &["jobs.toml", "trailer-brakes", "minutes", "whole number"],
    );
    refused(
        "findings.toml",
        "how_bad = \"watch\"",
        "how_bad = \"dire\"",
        &["findings.toml", "dire", "danger"],
    );
    // A measure that says two things, or nothing.
    refused(
        "readings.toml",
        "\"8.021 in\"",
        "\"8.021\"",
        &["readings.toml", "set-0-0", "value"],
    );
    refused(
        "orders.toml",
        "\"£214.00\"",
        "\"a lot\"",
        &["orders.toml", "regrind", "price"],
    );
    // A day that is none, a keeper nobody knows, a meeting out of order.
    refused(
        "jobs.toml",
        "on = 2024-10-05",
        "on = 12",
        &["jobs.toml", "trailer-brakes", "day"],
    );
    refused(
        "jobs.toml",
        "by = \"wilf\"",
        "by = \"wilfred\"",
        &["jobs.toml", "trailer-brakes", "wilfred"],
    );
    refused(
        "people.toml",
        "2024-10-12, 2024-10-19",
        "2024-10-19, 2024-10-12",
        &["people.toml", "order"],
    );
    // What one keeper cannot know yet.
    refused(
        "people.toml",
        "2024-11-09, 2024-11-16",
        "2024-11-09",
        &["which the"],
    );
    // A drawing that is not there, a sheet without a head, a change before its entry.
    refused(
        "photos.toml",
        "arrival.svg",
        "departure.svg",
        &["drawings/departure.svg"],
    );
    refused(
        "days/2024-10-05-wilf.md",
        "+++",
        "---",
        &["days/2024-10-05-wilf.md", "head"],
    );
    refused(
        "orders.toml",
        "{ on = 2025-01-11, by",
        "{ on = 2023-01-11, by",
        &["orders.toml", "2023-01-11", "before"],
    );
    refused(
        "apart/wilf.toml",
        "close = \"gearbox\"",
        "shut = \"gearbox\"",
        &["apart/wilf.toml", "shut"],
    );
}

/// The text that a keeper wrote last.
fn last_sheet(story: &Story, who: Who) -> (String, String) {
    let sheets = story.apart.iter().filter(|step| step.who == who);
    let mut texts = sheets.filter_map(|step| match &step.act {
        Act::Write { date, text, .. } => Some((date.to_string(), text.clone())),
        _ => None,
    });
    texts.next_back().unwrap()
}

#[test]
fn whatever_today_is_it_ended_last_night_and_she_comes_tomorrow() {
    // A year's end, a leap day, and the day for which the sources were written.
    for (today, last, day_she_comes) in [
        ("2025-11-16", "2025-11-15", "Monday"),
        ("2026-12-01", "2026-11-30", "Wednesday"),
        ("2027-01-01", "2026-12-31", "Saturday"),
        ("2028-03-01", "2028-02-29", "Thursday"),
    ] {
        let sources = demo::told(&Sources::embedded(), today.parse().unwrap()).unwrap();
        let told = Story::read(&sources).unwrap_or_else(|why| panic!("{today}: {why}"));
        assert_eq!(told.last().to_string(), last);
        let (on, his) = last_sheet(&told, Who::Parent);
        assert_eq!(on, last, "his last sheet is last night's");
        let (_, hers) = last_sheet(&told, Who::Child);
        for (sheet, says) in [(his, "Nell is back on "), (hers, "Home on ")] {
            assert!(
                sheet.contains(&format!("{says}{day_she_comes}")),
                "{today}: {sheet}"
            );
        }
        // Every other day went along: as many days after each other as they were.
        let (first, as_written) = (told.steps().next().unwrap(), story().steps().next().unwrap().at);
        let went = told.last().span(0).0 - story().last().span(0).0;
        assert_eq!(first.at.seconds(), as_written.seconds() + went);
    }
}

#[test]
fn what_is_told_holds_on_any_day_of_any_year() {
    let sources = demo::told(&Sources::embedded(), "2027-07-08".parse().unwrap()).unwrap();
    let told = Story::read(&sources).unwrap();
    let mut words = String::new();
    for step in told.steps() {
        words.push_str(&format!("{:?}\n", step.act));
    }
    assert!(!words.contains("{weekday"), "a day of the week was not named");
    // A month, a feast or a season would be another one each time.
    let said = |word: &str| {
        words
            .split(|letter: char| !letter.is_alphanumeric())
            .any(|one| one == word)
    };
    for word in [
        "January",
        "February",
        "April",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
        "Christmas",
        "Easter",
        "summer",
        "winter",
        "autumn",
    ] {
        assert!(!said(word), "somebody says '{word}'");
    }
}

#[test]
fn thirteen_nuts_are_thirteen_everywhere() {
    let story = story();
    // Two rows that are not alike are two runs: eight and five.
    let runs = story.steps().filter_map(|step| match &step.act {
        Act::Add { key, .. } if key.kind == Kind::TighteningRun && key.slug.starts_with("head-again") => {
            put(step, "bolts")
        }
        _ => None,
    });
    let bolts = runs.map(|bolts| match bolts {
        Value::Plain(bolts) => bolts.as_i64().unwrap(),
        other => panic!("{other:?}"),
    });
    assert_eq!(bolts.sum::<i64>(), 13);
    let studs = story.steps().find_map(|step| match &step.act {
        Act::Add { key, .. } if key.slug == "engine/block/head-studs" => put(step, "quantity"),
        _ => None,
    });
    assert_eq!(studs, Some(&Value::Plain(13.into())));
    // The drawing of the gasket has a hole for each.
    let sources = Sources::embedded();
    let gasket = sources.text("drawings/head-gasket.svg").unwrap();
    assert_eq!(gasket.matches("r=\"22\" fill=").count(), 13);
}

#[test]
fn a_hold_point_is_met_by_what_it_asks_for() {
    let story = story();
    let mut asked = BTreeMap::new();
    for step in story.steps() {
        let (Act::Add { key, .. } | Act::Change { key, .. }) = &step.act else {
            continue;
        };
        if key.kind != Kind::HoldPoint {
            continue;
        }
        if let Some(Value::Plain(how)) = put(step, "how") {
            asked.insert(key.clone(), how.as_str().unwrap().to_owned());
        }
        if put(step, "state") != Some(&Value::Plain("met".into())) {
            continue;
        }
        let by = put(step, "met_by").map(|by| format!("{by:?}"));
        let wanted = match asked[key].as_str() {
            "counted" => "counted:",
            "photographed" => "By(\"photo\"",
            "measured" => "By(\"reading\"",
            _ => continue,
        };
        assert!(
            by.as_ref().is_some_and(|by| by.contains(wanted)),
            "{key} is met by {by:?}"
        );
    }
    assert!(asked.len() > 20);
}

#[test]
fn pictures_tell_every_chapter() {
    let story = story();
    let mut of: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut unsorted = 0;
    let mut months = BTreeSet::new();
    for step in story.steps() {
        let Act::Add { key, .. } = &step.act else { continue };
        if key.kind != Kind::Photo {
            continue;
        }
        months.insert(step.at.day(0).month());
        match put(step, "about") {
            Some(about) => {
                let stage = put(step, "stage").map(|stage| format!("{stage:?}"));
                of.entry(format!("{about:?}")).or_default().extend(stage);
            }
            None => unsorted += 1,
        }
    }
    let pairs = of.values().filter(|stages| stages.len() > 1).count();
    assert!(pairs >= 6, "{pairs} things are shown before and after");
    assert!((2..=6).contains(&unsorted), "{unsorted} are not sorted yet");
    // Fourteen months, and at most one of them without a picture.
    assert!(months.len() >= 13, "{months:?}");
}
