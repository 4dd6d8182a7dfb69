//! The page inside an assembly: everything in it, and what stands in the way of closing it up. It reads entries only.

use reckon::Note;
use record::edit::Blocker;
use record::entities::{Assembly, Part, Waiver, WaiverRef};
use record::meets::{by_the_clock, why_not};
use record::rules::Point;
use record::verdict::Judge;
use record::words::{AssemblyState, HoldState, How, JobState, Words as _};
use record::{Entity, Entry, Id, Kind, Ref, View, called};

use store::DeedRow;

use super::car::Counts;
use super::home::Home;
use super::lines::Reader;
use crate::wire::{
    AssemblyCautions, AssemblyPage, By, ClosedOver, HoldLine, JobLine, Named, NotBy, PartLine, ReadingLine,
};

/// The page of an assembly, from a view of everything but the sheets; nothing if there is no such assembly.
pub(crate) fn assembly(
    read: &Reader<'_>,
    id: &Id,
    all_points: &[Point],
    deeds: &[DeedRow],
    sheets: &[Entry],
) -> Option<AssemblyPage> {
    let view = read.view;
    let entry = view.get(Kind::Assembly, id)?;
    let assembly = Assembly::read(entry);
    let counts = Counts::within(read, id);
    let state = entry.fields.get(Assembly::state);
    let mut path = counts.tree().upward(id);
    path.retain(|up| up != id);
    path.reverse();

    let home = Home::of_assembly(read, id);
    let mut findings: Vec<_> = home
        .of(read, Kind::Finding)
        .filter_map(|entry| read.finding(entry))
        .collect();
    findings.sort_by(|a, b| (b.on, &b.id).cmp(&(a.on, &a.id)));
    let mut photos: Vec<_> = home
        .about(read, Kind::Photo)
        .map(|photo| read.photo(photo))
        .collect();
    photos.sort_by(|a, b| (&a.stage, a.on, &a.id).cmp(&(&b.stage, b.on, &b.id)));
    let judge = Judge::of(view);
    let mut readings: Vec<_> = home
        .about(read, Kind::Reading)
        .filter(|reading| reading.stands())
        .filter_map(|reading| read.reading(&judge, reading))
        .collect();
    let holds = holds(read, &home, &judge, &readings, all_points);
    readings.sort_by(|a, b| (&a.what, &a.at, a.on, &a.id).cmp(&(&b.what, &b.at, b.on, &b.id)));

    let kept = read.kept_newest(&home.all);
    let mut runs: Vec<_> = home
        .of(read, Kind::TighteningRun)
        .filter_map(|entry| read.run(entry))
        .collect();
    runs.sort_by(|a, b| (b.on, &b.id).cmp(&(a.on, &a.id)));

    let points = concerning(read, id, all_points);
    let path: Vec<Named> = path
        .into_iter()
        .map(|up| read.named(&Ref::new(Kind::Assembly, up)))
        .collect();
    let name = called(assembly.name.as_deref());
    let blockers = record::edit::blockers(view, all_points, id);
    let closed_over = closed_over(read, entry, closing(entry, deeds));
    Some(AssemblyPage {
        cautions: cautions(&name, &path, &blockers, &closed_over),
        id: id.clone(),
        name,
        state: assembly.state.unwrap_or(AssemblyState::Fitted),
        closed_off_car: record::lies::closed_off_car(entry),
        for_trial: record::lies::for_trial(entry).map(record::shown),
        state_contradicts: state.is_some_and(record::Held::contradicts),
        state_by: state_by(read, entry, deeds),
        off_car_by: off_car_by(read, entry),
        path,
        inside: counts
            .tree()
            .children(Some(id))
            .iter()
            .filter_map(|inner| counts.line(view, 0, inner))
            .collect(),
        note: assembly.note,
        blockers,
        put_off: put_off(read, id),
        closed_over,
        parts: parts(read, &home),
        findings,
        jobs: jobs(read, &home),
        holds,
        photos,
        readings,
        notes: super::notes::notes(read, id, sheets),
        kept,
        runs,
        points: super::points(read, &points),
        struck: read.struck(entry),
        reference: entry.name(),
    })
}

/// The points that are about what is in it.
fn concerning(read: &Reader<'_>, id: &Id, points: &[Point]) -> Vec<Point> {
    let here = |name: &Ref| record::open::place(read.view, name).as_ref() == Some(id);
    let concerns = |point: &&Point| point.about.iter().any(here);
    points.iter().filter(concerns).cloned().collect()
}

/// The jobs in it that are put off to a later round and stand in nobody's way.
fn put_off(read: &Reader<'_>, id: &Id) -> Vec<Named> {
    let jobs = record::open::put_off(read.view, id).into_iter();
    jobs.map(|job| read.named(&job.name())).collect()
}

/// The parts in it, those that stand first.
fn parts(read: &Reader<'_>, home: &Home) -> Vec<PartLine> {
    let mut parts: Vec<_> = home
        .of(read, Kind::Part)
        .filter_map(|entry| Some(read.part(Part::of(entry)?)))
        .collect();
    // As they are stacked, where somebody said; then by what they are called.
    let order = |part: &PartLine| {
        let order = home.of(read, Kind::Part).find(|entry| entry.id == part.id);
        order.and_then(|entry| entry.line(Part::order).map(str::to_owned))
    };
    parts.sort_by_cached_key(|part| {
        (
            part.struck.is_some(),
            order(part).is_none(),
            order(part),
            part.name.clone(),
            part.position.clone(),
            part.id.clone(),
        )
    });
    parts
}

/// The jobs in it, those that stand and are begun first.
pub(super) fn jobs(read: &Reader<'_>, home: &Home) -> Vec<JobLine> {
    let mut jobs: Vec<_> = home
        .of(read, Kind::Job)
        .filter_map(|entry| read.job(entry))
        .collect();
    // What is begun before what is still to be begun, what is put off before what is done with.
    let place = |job: &JobLine| match job.state {
        JobState::Begun => 0,
        JobState::Open => 1,
        JobState::Later | JobState::Other(_) => 2,
        JobState::Done | JobState::Dropped => 3,
    };
    jobs.sort_by(|a, b| {
        (a.struck.is_some(), place(a), &a.what, &a.id).cmp(&(b.struck.is_some(), place(b), &b.what, &b.id))
    });
    jobs
}

/// Its hold points, each with the readings that do not meet it and what of it is to be settled.
pub(super) fn holds(
    read: &Reader<'_>,
    home: &Home,
    judge: &Judge<'_>,
    readings: &[ReadingLine],
    all_points: &[Point],
) -> Vec<HoldLine> {
    let mut holds: Vec<_> = home
        .of(read, Kind::HoldPoint)
        .map(|entry| read.hold(entry))
        .collect();
    holds.sort_by(|a, b| {
        (a.struck.is_some(), &a.state, &a.what, &a.id).cmp(&(b.struck.is_some(), &b.state, &b.what, &b.id))
    });
    for hold in &mut holds {
        hold.not_by = not_by(read.view, judge, hold, readings);
        let name = Ref::new(Kind::HoldPoint, hold.id.clone());
        let of_it = |point: &&Point| !point.rule.is_of_a_closing() && point.about.contains(&name);
        hold.asks = super::asked_of(all_points.iter().filter(of_it));
    }
    holds
}

/// What to mind of an assembly. What lies under a closed lid can hurt as much as before it was closed.
fn cautions(
    name: &str,
    path: &[Named],
    blockers: &[Blocker],
    closed_over: &[ClosedOver],
) -> AssemblyCautions {
    let itself = || std::iter::once(name).chain(path.iter().map(|up| up.title.as_str()));
    let opening: Vec<&str> = itself().collect();
    let in_the_way = blockers
        .iter()
        .flat_map(|blocker| [blocker.title.as_str(), blocker.within_title.as_str()]);
    let closing: Vec<&str> = itself().chain(in_the_way).collect();
    let dangers = closed_over.iter().filter(|one| one.danger);
    let under: Vec<&str> = dangers.map(|one| one.about.title.as_str()).collect();
    let mut closed = Vec::new();
    if !under.is_empty() {
        closed.push(Note {
            key: "under".into(),
            words: format!("It was closed over what can hurt somebody: {}.", under.join("; ")).into(),
        });
        let said: Vec<&str> = std::iter::once(name).chain(under).collect();
        closed.extend(record::cautions::notes(&said));
    }
    AssemblyCautions {
        opening: record::cautions::notes(&opening),
        closing: record::cautions::notes(&closing),
        closed,
    }
}

/// The readings of an assembly that do not meet one of its hold points by themselves.
fn not_by(view: &View, judge: &Judge<'_>, hold: &HoldLine, readings: &[ReadingLine]) -> Vec<NotBy> {
    let asked = view.get(Kind::HoldPoint, &hold.id);
    let Some(asked) = asked.filter(|_| hold.how == How::Measured && hold.state != HoldState::Met) else {
        return Vec::new();
    };
    let each = readings.iter().filter_map(|line| {
        let reading = view.get(Kind::Reading, &line.id)?;
        let why = why_not(view, judge, asked, reading, &by_the_clock)?;
        Some(NotBy {
            reading: line.id.clone(),
            says: why.says,
            with_a_word: why.with_a_word,
        })
    });
    each.collect()
}

/// Whoever put it in the state that it shows. Who only said which of two states holds did neither: then it is the one whose deed that
/// was.
fn state_by(read: &Reader<'_>, entry: &Entry, deeds: &[DeedRow]) -> Vec<By> {
    let stamps = record::deed::whose(entry, Assembly::state);
    let done = |stamp: &&record::Stamp| deeds.iter().any(|row| row.stamp.change == stamp.change);
    if stamps.is_empty() || stamps.iter().any(done) {
        return stamps
            .iter()
            .filter(|stamp| done(stamp))
            .map(|stamp| read.by(stamp))
            .collect();
    }
    let shown = entry.line(Assembly::state);
    let last = deeds.iter().rev().find(|row| row.deed.value.as_deref() == shown);
    last.map(|row| read.by(&row.stamp)).into_iter().collect()
}

/// Who took a closed one off as it was, or closed it there, apart from whoever closed it.
fn off_car_by(read: &Reader<'_>, entry: &Entry) -> Vec<By> {
    if !record::lies::closed_off_car(entry) {
        return Vec::new();
    }
    let closings = record::deed::whose(entry, Assembly::state);
    let others = record::deed::whose(entry, Assembly::off_car).into_iter();
    let others = others.filter(|one| closings.iter().all(|closing| closing.change != one.change));
    others.map(|stamp| read.by(stamp)).collect()
}

/// The closing by which an assembly is closed now, out of what was done to it: whoever settled since that it is closed has closed
/// nothing, and it is closed over what it was closed over then.
pub(super) fn closing<'d>(assembly: &'d Entry, deeds: &'d [DeedRow]) -> Option<&'d record::Stamp> {
    let state = assembly.fields.get(Assembly::state)?.claims().first()?;
    let closed = AssemblyState::Closed.word();
    if state.value.as_ref().and_then(record::Scalar::line) != Some(closed) {
        return None;
    }
    let is_closing =
        |row: &&DeedRow| row.deed.field == Assembly::state && row.deed.value.as_deref() == Some(closed);
    let own = |row: &&DeedRow| row.stamp.change == state.stamp.change;
    let mut closings = deeds.iter().filter(is_closing);
    let row = closings.clone().find(own).or_else(|| closings.next_back());
    Some(row.map_or(&state.stamp, |row| &row.stamp))
}

/// Whether a reason was given with the closing by which an assembly is closed now, or since.
pub(super) fn is_of_this_closing(
    assembly: &Entry,
    waiver: WaiverRef<'_>,
    closing: Option<&record::Stamp>,
) -> bool {
    let closed = Assembly::of(assembly).and_then(|assembly| assembly.state()) == Some(AssemblyState::Closed);
    let made = &waiver.entry().made;
    closed
        && waiver.assembly() == Some((&assembly.id).into())
        && closing.is_some_and(|closing| made.change == closing.change || made.at >= closing.at)
}

/// What a closed assembly was closed over, and why: what was waived with its closing or said of it since.
fn closed_over(read: &Reader<'_>, assembly: &Entry, closing: Option<&record::Stamp>) -> Vec<ClosedOver> {
    let mut all: Vec<ClosedOver> = read
        .view
        .naming(&assembly.name(), Kind::Waiver)
        .filter_map(Waiver::of)
        .filter(|waiver| waiver.stands())
        .filter(|waiver| is_of_this_closing(assembly, *waiver, closing))
        .filter_map(|waiver| {
            let about = waiver.about()?.name()?;
            let entry = read.view.find(&about);
            Some(ClosedOver {
                danger: entry.is_some_and(|entry| record::ending::can_hurt(read.view, entry)),
                about: read.named(&about),
                check: waiver
                    .check()
                    .map(|check| check.split(':').next().unwrap_or(check).to_owned()),
                why: called(waiver.why()),
                by: read.by(&waiver.entry().made),
            })
        })
        .collect();
    all.sort_by(|a, b| {
        let place = |one: &ClosedOver| (!one.danger, one.check.clone());
        (place(a), &a.about.title, &a.about.name).cmp(&(place(b), &b.about.title, &b.about.name))
    });
    all
}
