//! The Day place: what each keeper wrote and entered on one date. It reads entries only.

use std::collections::BTreeMap;

use record::across;
use record::edit::title;
use record::entities::{Car, Finding, Keeper, KeeperRef, KeptAnswer, Part, Sheet, Try};
use record::members::keeper_name;
use record::{Day, Entity, Entry, Id, Kind, Link, Mention, Ref, called};

use super::Reader;
use crate::wire::{DayEntry, DayMark, DayPage, DaySheet};

/// Days shown in the strip.
const MOST_DAYS: usize = 60;

/// Kinds that are entered on a day and listed there, apart from the sheet's own text.
const ON_A_DAY: &[Kind] = &[
    Kind::Photo,
    Kind::Finding,
    Kind::Reading,
    Kind::Part,
    Kind::Job,
    Kind::Try,
    Kind::Order,
    Kind::HoldPoint,
    Kind::KeptAnswer,
    Kind::TighteningRun,
];

/// Which keepers entered something on which day.
pub(crate) type DayMarks = BTreeMap<Day, std::collections::BTreeSet<Id>>;

/// The page of a day, from a view of the keepers and of what was entered on the day.
pub(crate) fn day(read: &Reader<'_>, on: Day, me: Option<&Id>, marks: &DayMarks) -> DayPage {
    let view = read.view;
    let mut keepers: Vec<KeeperRef<'_>> = view.each::<Keeper>().collect();
    keepers.sort_by_key(|keeper| (Some(keeper.id()) != me, called(keeper.name()), keeper.id()));
    let sheets = keepers.iter().filter_map(|keeper| {
        let mine = Some(keeper.id()) == me;
        let sheet_id = record::document::sheet_id(on, keeper.id());
        let sheet = sheet_id.as_ref().and_then(|id| view.one::<Sheet>(id));
        let text = sheet
            .and_then(|sheet| sheet.text())
            .unwrap_or_default()
            .to_owned();
        let entries = entries_of(read, on, keeper.id());
        let hours = sheet.and_then(|sheet| sheet.hours()).map(str::to_owned);
        let something = mine || !text.is_empty() || !entries.is_empty() || hours.is_some();
        something.then(|| DaySheet {
            keeper: keeper.id().clone(),
            name: called(keeper.name()),
            pattern: read.pattern(Some(keeper.id())),
            mine,
            text,
            hours,
            entries,
        })
    });
    let sheets: Vec<DaySheet> = sheets.collect();
    let days = marks.iter().rev().take(MOST_DAYS).map(|(day, who)| DayMark {
        day: *day,
        patterns: who.iter().map(|id| read.pattern(Some(id))).collect(),
        names: who.iter().map(|id| keeper_name(view, id)).collect(),
    });
    DayPage {
        day: on,
        car: called(view.one::<Car>(&Id::car()).and_then(|car| car.name())),
        days: days.collect(),
        sheets,
    }
}

fn entries_of(read: &Reader<'_>, on: Day, keeper: &Id) -> Vec<DayEntry> {
    let day = on.to_string();
    let mut out: Vec<DayEntry> = Vec::new();
    for kind in ON_A_DAY {
        for entry in read
            .view
            .all(*kind)
            .filter(|entry| across::on(entry) == Some(day.as_str()))
        {
            let whose = entry
                .made
                .device
                .as_ref()
                .and_then(|device| read.view.keeper_of(device));
            if whose.as_ref() == Some(keeper) {
                out.push(line(read, entry));
            }
        }
    }
    out.sort_by(|a, b| (a.at, &a.name).cmp(&(b.at, &b.name)));
    out
}

fn line(read: &Reader<'_>, entry: &Entry) -> DayEntry {
    let linked = |kind: Kind, to: Option<Link<'_>>| Some(Ref::new(kind, to?.id()?));
    let about = across::about(entry)
        .and_then(Mention::name)
        .or_else(|| linked(Kind::Assembly, across::assembly(entry)))
        .or_else(|| linked(Kind::Job, Try::of(entry).and_then(|attempt| attempt.job())))
        .or_else(|| linked(Kind::Part, across::part(entry)));
    let word = match entry.kind {
        Kind::Reading => Some(super::readings::value(entry)),
        Kind::KeptAnswer => KeptAnswer::of(entry)
            .and_then(|kept| kept.answer())
            .map(str::to_owned),
        Kind::TighteningRun => read
            .run(entry)
            .map(|run| format!("{} of {} tight", run.done, run.of)),
        Kind::Finding => Finding::of(entry)
            .and_then(|finding| finding.how_bad())
            .map(String::from),
        Kind::Part => Part::of(entry).and_then(|part| part.decision()).map(String::from),
        _ => across::state(entry).map(str::to_owned),
    };
    DayEntry {
        name: entry.name(),
        title: title(entry),
        about: about.map(|about| read.named(&about)),
        word,
        photo: (entry.kind == Kind::Photo).then(|| read.photo(entry)),
        at: entry.made.at,
        struck: read.struck(entry),
    }
}
