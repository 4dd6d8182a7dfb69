//! What the page of a day is made from: the entries and the deeds of that day and what they name, each fetched by its key, so that
//! a day costs what it holds and not what the record has come to. It opens no document and decides nothing.

use std::collections::BTreeSet;

use record::ending::End;
use record::entities::{Finding, Keeper, KeptAnswer, Settlement, Tightened, Try, Waiver};
use record::past::Strands;
use record::words::{AssemblyState, Words as _};
use record::{Day, Entity as _, Entry, Id, Kind, Link, Mention, Ref, View, across};
use store::Store;

use crate::desk::Desk;
use crate::page::{self, Done, Reader, Then};
use crate::refusal::Refusal;
use crate::wire::DayPage;

/// Days shown in the strip.
const MOST_DAYS: usize = 60;

/// The page of a day, by a clock that is `east` seconds ahead of UTC.
pub(super) fn day(desk: &mut Desk<'_>, on: Day, east: i64) -> Result<DayPage, Refusal> {
    let row = desk.row()?;
    let record = &row.id;
    let points = desk.points()?;
    let store = &desk.notebook().store;
    let marks = store.days(record, east, MOST_DAYS)?;
    let (mut view, done) = of_day(store, record, on, east)?;
    // What was said then, where somebody wrote there since.
    let mut past = Strands::default();
    let mut sought: BTreeSet<Ref> = BTreeSet::new();
    loop {
        let (page, lacks) = desk.notebook().with_photos(record, |_, photos| {
            let read = Reader::of(&view, photos);
            let then = Then::of(&view, &past, east);
            let page = page::day(&read, &then, on, row.keeper.as_ref(), &marks, &done, &points);
            Ok((page, then.lacks()))
        })?;
        let store = &desk.notebook().store;
        let mut more = store.lend_past(record, &mut past)?;
        for name in lacks {
            if sought.insert(name.clone())
                && let Some(entry) = store.find(record, &name)?
            {
                view.put(entry);
                more = true;
            }
        }
        if !more {
            return Ok(page);
        }
    }
}

/// The entries that a day's lines show, with all that they name, and what was done on it.
fn of_day(store: &Store, record: &Id, on: Day, east: i64) -> Result<(View, Vec<Done>), Refusal> {
    let mut view = View::default();
    for kind in [Kind::Keeper, Kind::Device] {
        for entry in store.entries(record, kind)? {
            view.put(entry);
        }
    }
    let mut wanted: BTreeSet<Ref> = BTreeSet::from([Ref::new(Kind::Car, Id::car())]);
    let entered = store.entered_on(record, on)?;
    let done: Vec<Done> = store.done_on(record, on, east)?;
    let mut closed_over: Vec<Entry> = Vec::new();
    for deed in &done {
        wanted.insert(deed.deed.name.clone());
        wanted.extend(deed.container());
        if deed.deed.value.as_deref() == Some(AssemblyState::Closed.word()) {
            closed_over.extend(store.naming(record, Kind::Waiver, &deed.deed.name)?);
        }
    }
    wanted.extend(
        closed_over
            .iter()
            .filter_map(|waiver| Waiver::of(waiver)?.about()?.name()),
    );
    wanted.extend(view.each::<Keeper>().filter_map(|keeper| {
        record::document::sheet_id(on, keeper.id()).map(|id| Ref::new(Kind::Sheet, id))
    }));
    let runs: BTreeSet<Ref> = entered.iter().filter_map(run_of).collect();
    let mut took: Vec<Entry> = Vec::new();
    for name in &wanted {
        took.extend(store.find(record, name)?);
    }
    for run in &runs {
        took.extend(store.find(record, run)?);
        took.extend(store.naming(record, Kind::Tightened, run)?);
    }
    took.extend(entered.iter().cloned());
    took.extend(closed_over);
    let mut named: BTreeSet<Ref> = BTreeSet::new();
    for entry in took {
        named.extend(names(&entry));
        view.put(entry);
    }
    for name in named {
        if view.find(&name).is_none()
            && let Some(entry) = store.find(record, &name)?
        {
            view.put(entry);
        }
    }
    // What was settled is said by its value, which may name something: a container, a limit.
    let settled: BTreeSet<Ref> = view
        .each::<Settlement>()
        .filter_map(|settled| settled.about()?.split(' ').next()?.parse().ok())
        .filter_map(|about: Ref| view.find(&about))
        .flat_map(record::links_of)
        .filter_map(|(_, target)| target.parse().ok())
        .collect();
    for name in settled {
        if view.find(&name).is_none()
            && let Some(entry) = store.find(record, &name)?
        {
            view.put(entry);
        }
    }
    Ok((view, done))
}

/// The run that an entry is, or is a bolt of.
fn run_of(entry: &Entry) -> Option<Ref> {
    if entry.kind == Kind::TighteningRun {
        return Some(entry.name());
    }
    let run = Tightened::of(entry)?.run()?.id()?;
    Some(Ref::new(Kind::TighteningRun, run))
}

/// What a line of an entry names.
fn names(entry: &Entry) -> Vec<Ref> {
    let linked = |kind: Kind, to: Option<Link<'_>>| Some(Ref::new(kind, to?.id()?));
    let of_settlement = Settlement::of(entry).and_then(|settled| settled.about());
    let mut names: Vec<Ref> = of_settlement
        .unwrap_or_default()
        .split(' ')
        .filter_map(|name| name.parse().ok())
        .take(2)
        .collect();
    if matches!(entry.kind, Kind::Car | Kind::Sheet) {
        return names;
    }
    names.extend(across::about(entry).and_then(Mention::name));
    let ends = Finding::of(entry).and_then(|finding| End::of(finding.ended()?).job().cloned());
    names.extend(ends.map(|job| Ref::new(Kind::Job, job)));
    names.extend(KeptAnswer::of(entry).and_then(|kept| kept.about()?.name()));
    names.extend(linked(Kind::Assembly, across::assembly(entry)));
    names.extend(linked(
        Kind::Job,
        Try::of(entry).and_then(|attempt| attempt.job()),
    ));
    names.extend(record::own_word::undone_by(entry).map(|job| Ref::new(Kind::Job, job)));
    if matches!(entry.kind, Kind::Job | Kind::Order) {
        names.extend(linked(Kind::Part, across::part(entry)));
    }
    names
}
