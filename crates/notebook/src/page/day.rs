//! The Day place: what each keeper wrote, and what each did, on one date. A line stands under whoever did it, when they did it, in
//! their own words; what reads otherwise now stands beside it. Who entered a thing is its history. It reads entries and deeds only.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use record::across;
use record::edit::title;
use record::ending::{End, can_hurt};
use record::entities::{
    Assembly, Car, Container, Finding, FindingRef, HoldPoint, Job, Keeper, KeeperRef, KeptAnswer, Part,
    Settlement, Sheet, Tightened, TightenedRef, Try, Waiver,
};
use record::holding::{MetBy, counted_otherwise, seen_before};
use record::members::keeper_name;
use record::own_word::undone_by;
use record::rules::Point;
use record::words::{AssemblyState, HowBad, JobState, Words as _};
use record::{Day, Entity, Entry, Id, Kind, Link, Mention, Moment, Ref, STRUCK, Stamp, called};
use store::{DayMark as Mark, DeedRow};

use super::gathered::{gathered, in_one, in_place};
use super::left::Then;
use super::lines::Reader;
use crate::wire::{DayEntry, DayMark, DayPage, DaySheet};

/// Seconds within which what is put back was put by a slip: the way back is offered for a few of them.
const A_SLIP: i64 = 60;

/// What was done, with the change that did it.
pub(crate) type Done = DeedRow;

/// The page of a day, from a view of what was entered and done on it and what that names.
pub(crate) fn day(
    read: &Reader<'_>,
    then: &Then<'_>,
    on: Day,
    me: Option<&Id>,
    marks: &[Mark],
    done: &[Done],
    points: &[Point],
) -> DayPage {
    let view = read.view;
    let mut keepers: Vec<KeeperRef<'_>> = view.each::<Keeper>().collect();
    keepers.sort_by_key(|keeper| (Some(keeper.id()) != me, called(keeper.name()), keeper.id()));
    let told = Told {
        read,
        then,
        on,
        points,
    };
    let sheets = keepers.iter().filter_map(|keeper| {
        let mine = Some(keeper.id()) == me;
        let sheet_id = record::document::sheet_id(on, keeper.id());
        let sheet = sheet_id.as_ref().and_then(|id| view.one::<Sheet>(id));
        let text = sheet
            .and_then(|sheet| sheet.text())
            .unwrap_or_default()
            .to_owned();
        let entries = told.by(keeper.id(), done);
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
    let days = marks.iter().rev().map(|mark| DayMark {
        day: mark.day,
        patterns: mark.keepers.iter().map(|id| read.pattern(Some(id))).collect(),
        names: mark.keepers.iter().map(|id| keeper_name(view, id)).collect(),
    });
    DayPage {
        day: on,
        car: called(view.one::<Car>(&Id::car()).and_then(|car| car.name())),
        days: days.collect(),
        sheets,
    }
}

/// What a thing that is only entered is called before its title; nothing for what a day does not list.
fn entered_as(kind: Kind) -> Option<&'static str> {
    Some(match kind {
        Kind::Photo => "Photo",
        Kind::Finding => "Finding",
        Kind::Reading => "Reading",
        Kind::Part => "Part",
        Kind::Job => "Job to do",
        Kind::Try => "Try",
        Kind::Order => "To find",
        Kind::KeptAnswer => "From the bench",
        Kind::TighteningRun => "Tightening begun",
        _ => return None,
    })
}

/// How an entry is told, by what it reads.
#[derive(PartialEq)]
struct Said {
    title: String,
    word: Option<String>,
    about: Option<Ref>,
}

struct Told<'a> {
    read: &'a Reader<'a>,
    then: &'a Then<'a>,
    on: Day,
    points: &'a [Point],
}

impl Told<'_> {
    fn keeper_of(&self, device: Option<&Id>) -> Option<Id> {
        device.and_then(|device| self.read.view.keeper_of(device))
    }

    /// Whoever did it: the one who was said to have, or the one on whose device it was entered.
    fn doer(&self, done: &Done) -> Option<Id> {
        done.deed
            .by
            .clone()
            .or_else(|| self.keeper_of(done.stamp.device.as_ref()))
    }

    /// What a keeper did and entered, one line for each thing.
    fn by(&self, keeper: &Id, done: &[Done]) -> Vec<DayEntry> {
        let day = self.on.to_string();
        let mut lines: BTreeMap<Ref, DayEntry> = BTreeMap::new();
        for entry in self.read.view.everything() {
            if across::on(entry) == Some(day.as_str())
                && self.keeper_of(entry.made.device.as_ref()).as_ref() == Some(keeper)
                && let Some(did) = entered_as(entry.kind)
            {
                let did = if is_of_the_car(entry) {
                    "How it stands"
                } else {
                    did
                };
                lines.insert(entry.name(), self.line(entry, &entry.made, None, did.to_owned()));
            }
        }
        let mut deeds: BTreeMap<&Ref, Vec<&Done>> = BTreeMap::new();
        for one in done
            .iter()
            .filter(|one| self.doer(one).as_ref() == Some(keeper))
            .filter(|one| !self.is_told_with_another(one, done) && !self.is_a_slip(one, done))
        {
            deeds.entry(&one.deed.name).or_default().push(one);
        }
        for (name, deeds) in deeds {
            let Some(entry) = self.read.view.find(name) else {
                continue;
            };
            let entered = lines.remove(name);
            lines.insert(name.clone(), self.deeds(entry, &deeds, entered));
        }
        self.tightened(keeper, &mut lines);
        let mut out: Vec<DayEntry> = lines.into_values().collect();
        out.sort_by(|a, b| (a.at, &a.name).cmp(&(b.at, &b.name)));
        gathered(in_place(out))
    }

    /// Whether a part was put somewhere by a slip of the thumb and back within a minute, and this is either: nobody did anything.
    fn is_a_slip(&self, one: &Done, done: &[Done]) -> bool {
        let moves = |deed: &Done| {
            let entry = self.read.view.find(&deed.deed.name);
            deed.deed.name.kind == Kind::Part
                && deed.deed.field == Part::container
                && entry.is_some_and(|entry| entry.made.change != deed.stamp.change)
        };
        let takes_back = |first: &Done, then: &Done| {
            let after = then.stamp.at.seconds().saturating_sub(first.stamp.at.seconds());
            then.before == first.deed.value
                && then.deed.value == first.before
                && (0..=A_SLIP).contains(&after)
        };
        let of_it = |other: &&Done| {
            other.deed.name == one.deed.name
                && other.deed.field == one.deed.field
                && other.stamp.device == one.stamp.device
                && other.stamp.change != one.stamp.change
        };
        moves(one)
            && done
                .iter()
                .filter(of_it)
                .any(|other| moves(other) && (takes_back(one, other) || takes_back(other, one)))
    }

    /// Whether a settlement is one of several that settled one question: the day tells of that once, by what is said first of it.
    fn is_told_with_another(&self, one: &Done, done: &[Done]) -> bool {
        let settled = |name: &Ref| {
            let settled = (name.kind == Kind::Settlement)
                .then(|| self.read.view.one::<Settlement>(&name.id))
                .flatten()?;
            let about: Ref = settled.about()?.parse().ok()?;
            let field = settled.field()?;
            let said = record::rules::said_with(about.kind, field);
            Some((about, said.iter().position(|one| *one == field)?))
        };
        let Some((about, place)) = settled(&one.deed.name) else {
            return false;
        };
        let same = done.iter().filter(|other| other.stamp.change == one.stamp.change);
        same.filter_map(|other| settled(&other.deed.name))
            .any(|(other, first)| other == about && first < place)
    }

    /// What was done to one thing in a day, as one line.
    fn deeds(&self, entry: &Entry, deeds: &[&Done], entered: Option<DayEntry>) -> DayEntry {
        // What was put in the course of a day and put otherwise in the same day is told of as it was left, but for an assembly:
        // off and apart and closed again is a day's work.
        let mut last: BTreeMap<&str, &Done> = BTreeMap::new();
        for deed in deeds {
            last.insert(&deed.deed.field, deed);
        }
        let kept = deeds.iter().filter(|deed| {
            entry.kind == Kind::Assembly
                || last
                    .get(deed.deed.field.as_str())
                    .is_some_and(|one| std::ptr::eq(*one, **deed))
        });
        let kept: Vec<&&Done> = kept.collect();
        let mut words: Vec<String> = Vec::new();
        // A part is entered and put away in one breath, a finding found and mended; of a job that is done it need not be said that it was entered.
        if let Some(entered) = entered
            .as_ref()
            .filter(|_| matches!(entry.kind, Kind::Part | Kind::Finding))
        {
            words.push(entered.did.clone());
        }
        words.extend(kept.iter().map(|one| self.words(one)));
        let newest = kept.last();
        let stamp = newest.map_or(&entry.made, |newest| &newest.stamp);
        let mut line = self.line(entry, stamp, newest.map(|newest| **newest), in_one(&words));
        if let Some(newest) = newest {
            line.at = newest.stamp.at;
            line.also = self.also(entry, newest);
            line.word = self.over(entry, &kept).or(line.word);
            let enterer = self.keeper_of(newest.stamp.device.as_ref());
            line.entered_by = enterer
                .filter(|enterer| newest.deed.by.as_ref().is_some_and(|by| by != enterer))
                .map(|enterer| keeper_name(self.read.view, &enterer));
        }
        line
    }

    /// What an assembly was closed over, of what closed it last: what can hurt somebody by its name.
    fn over(&self, entry: &Entry, kept: &[&&Done]) -> Option<String> {
        let view = self.read.view;
        let closed = AssemblyState::Closed.word();
        // Where it is moved closed as it is, it stays closed over what it was closed over.
        let closing = kept
            .iter()
            .rev()
            .find(|done| done.deed.field == Assembly::state)?;
        (entry.kind == Kind::Assembly && closing.deed.value.as_deref() == Some(closed)).then_some(())?;
        let over: Vec<Ref> = view
            .each_standing::<Waiver>()
            .filter(|waiver| waiver.entry().made.change == closing.stamp.change)
            .filter(|waiver| waiver.assembly() == Some((&entry.id).into()))
            .filter_map(|waiver| waiver.about()?.name())
            .collect();
        let dangers: Vec<String> = over
            .iter()
            .filter_map(|name| view.find(name))
            .map(|entry| self.then.left(entry, &closing.stamp))
            .filter(|entry| can_hurt(view, entry))
            .map(|entry| format!("'{}'", title(&entry)))
            .collect();
        let rest = over.len().saturating_sub(dangers.len());
        let rest = match (rest, dangers.is_empty()) {
            (0, true) => return None,
            (0, false) => String::new(),
            (1, true) => "one thing unfinished".to_owned(),
            (rest, true) => format!("{rest} things unfinished"),
            (1, false) => " and one thing unfinished".to_owned(),
            (rest, false) => format!(" and {rest} things unfinished"),
        };
        let dangers = match dangers.is_empty() {
            true => String::new(),
            false => format!("a danger: {}", dangers.join(", ")),
        };
        Some(format!("over {dangers}{rest}"))
    }

    fn words(&self, done: &Done) -> String {
        let container = done.container().and_then(|name| self.read.view.find(&name));
        let code = container.and_then(|entry| {
            let code = |entry: &Entry| Container::of(entry)?.code().map(called_code);
            let (then, now) = (code(&self.then.left(entry, &done.stamp))?, code(entry));
            Some(match now.filter(|now| *now != then) {
                Some(now) => format!("{then} (now {now})"),
                None => then,
            })
        });
        match (&done.deed.value, code) {
            (Some(_), Some(code)) => format!("Into {code}"),
            (None, Some(code)) => format!("Out of {code}"),
            (Some(_), None) if self.read.view.find(&done.deed.name).is_some_and(is_of_the_car) => {
                "No longer so".to_owned()
            }
            (None, None) if self.read.view.find(&done.deed.name).is_some_and(is_of_the_car) => {
                "So again".to_owned()
            }
            _ if done.deed.is_put_together(done.before.as_deref()) => "Off in one piece".to_owned(),
            _ => match done.deed.counted() {
                Some(counted) => format!("Counted {counted}, and not met"),
                None => done.deed.words().to_owned(),
            },
        }
    }

    /// Who else put the same value, neither having known of the other.
    fn also(&self, entry: &Entry, done: &Done) -> Vec<String> {
        let claims = entry.fields.get(&done.deed.field).map(record::Held::claims);
        let claims = claims.unwrap_or_default();
        if !claims.iter().any(|claim| claim.stamp.change == done.stamp.change) {
            return Vec::new();
        }
        let mine = self.keeper_of(done.stamp.device.as_ref());
        let others = claims.iter().filter(|claim| {
            claim.stamp.change != done.stamp.change
                && claim.value.as_ref().and_then(record::Scalar::line) == done.deed.value.as_deref()
        });
        let mut others: Vec<Id> = others
            .filter_map(|claim| self.keeper_of(claim.stamp.device.as_ref()))
            .filter(|other| Some(other) != mine.as_ref())
            .collect();
        others.sort();
        others.dedup();
        others.iter().map(|id| keeper_name(self.read.view, id)).collect()
    }

    /// Bolts that a keeper tightened, a line a run.
    fn tightened(&self, keeper: &Id, lines: &mut BTreeMap<Ref, DayEntry>) {
        let mut runs: BTreeMap<Ref, Vec<&Entry>> = BTreeMap::new();
        // What was loosened since was tightened that day all the same; what was taken back was not.
        let made = |bolt: &TightenedRef<'_>| bolt.stands() || bolt.loosened() == Some(true);
        for bolt in self.read.view.each::<Tightened>().filter(made) {
            let by = self.keeper_of(bolt.entry().made.device.as_ref());
            if by.as_ref() == Some(keeper)
                && bolt.on().is_some_and(|on| on == self.on)
                && let Some(run) = bolt.run().and_then(Link::id)
            {
                let bolts = runs.entry(Ref::new(Kind::TighteningRun, run)).or_default();
                bolts.push(bolt.entry());
            }
        }
        for (name, bolts) in runs {
            let Some((entry, run)) = self
                .read
                .view
                .find(&name)
                .and_then(|entry| Some((entry, self.read.run(entry)?)))
            else {
                continue;
            };
            let Some(newest) = bolts.iter().map(|bolt| &bolt.made).max_by_key(|made| made.at) else {
                continue;
            };
            let did = match self.turns_until(entry, newest.at) == run.of {
                true => "Tightening finished",
                false => "Tightened",
            };
            let mut line = self.line(entry, newest, None, did.to_owned());
            line.at = newest.at;
            lines.insert(name, line);
        }
    }

    /// How many turns of a run stood at a moment: those that were loosened since among them.
    fn turns_until(&self, run: &Entry, at: Moment) -> u32 {
        let loosened_since = |bolt: &TightenedRef<'_>| {
            let struck = bolt.entry().claims(STRUCK).first();
            bolt.loosened() == Some(true) && struck.is_some_and(|struck| struck.stamp.at > at)
        };
        let stood = |bolt: &TightenedRef<'_>| bolt.stands() || loosened_since(bolt);
        let bolts = self.read.view.each::<Tightened>().filter(stood);
        let turns: BTreeSet<(Option<i32>, Option<i32>)> = bolts
            .filter(|bolt| bolt.run().and_then(Link::id).as_ref() == Some(&run.id))
            .filter(|bolt| bolt.entry().made.at <= at)
            .map(|bolt| (bolt.pass(), bolt.place()))
            .collect();
        u32::try_from(turns.len()).unwrap_or(u32::MAX)
    }

    /// How bad a finding is, and of one that was ended how, in the words of whoever did.
    fn finding_said(&self, finding: FindingRef<'_>, ended: Option<&str>) -> String {
        let view = self.read.view;
        let how_bad = finding.how_bad().map(String::from);
        let told = ended.map(End::of).map(|end| match end.words() {
            Some(words) => words.to_owned(),
            None => end.told(|job| view.get(Kind::Job, job).map_or_else(String::new, title)),
        });
        how_bad.into_iter().chain(told).collect::<Vec<_>>().join(": ")
    }

    /// What came of a job that is done, where one stopped that is begun, and why one is done with or open again.
    fn job_said(&self, entry: &Entry) -> Option<String> {
        let job = Job::of(entry)?;
        match job.state().unwrap_or(JobState::Open) {
            JobState::Done => job.outcome().map(str::to_owned),
            JobState::Begun => job.left_off().map(|said| format!("left off: {said}")),
            _ => {
                let by = Ref::new(Kind::Job, undone_by(entry)?);
                let bigger = self.read.view.find(&by).map(title)?;
                Some(format!("because of the bigger job '{bigger}'"))
            }
        }
    }

    /// By what a hold point was met, and what was seen.
    fn met_how(&self, entry: &Entry, when: &Stamp) -> Option<String> {
        let view = self.read.view;
        let hold = HoldPoint::of(entry)?;
        // Open again, what was seen holds no more: nothing of it was done here.
        let seen = hold.met_how().filter(|_| seen_before(entry).is_none());
        let seen = seen.map(str::to_owned);
        if let Some((counted, _)) = counted_otherwise(entry) {
            let wanted = hold.wanted().map(|wanted| format!(", {wanted} are wanted"));
            let said = std::iter::once(format!("{counted} counted{}", wanted.unwrap_or_default()));
            return Some(said.chain(seen).collect::<Vec<_>>().join(": "));
        }
        let by = MetBy::shown(entry).and_then(|by| match by {
            MetBy::Counted(number) => Some(format!("{number} counted")),
            MetBy::Reading(id) => view
                .get(Kind::Reading, &id)
                .map(|reading| self.then.left(reading, when))
                .map(|reading| format!("{} {}", title(&reading), super::readings::value(&reading))),
            MetBy::Photo(_) => Some("by a photo".to_owned()),
        });
        let said: Vec<String> = by.into_iter().chain(seen).collect();
        (!said.is_empty()).then(|| said.join(": "))
    }

    /// What an entry that reads so is about.
    fn about(&self, entry: &Entry) -> Option<Ref> {
        let linked = |kind: Kind, to: Option<Link<'_>>| Some(Ref::new(kind, to?.id()?));
        let settled = Settlement::of(entry);
        across::about(entry)
            .and_then(Mention::name)
            .or_else(|| settled?.about()?.split(' ').next()?.parse().ok())
            .or_else(|| linked(Kind::Assembly, across::assembly(entry)))
            .or_else(|| linked(Kind::Job, Try::of(entry).and_then(|attempt| attempt.job())))
            .or_else(|| linked(Kind::Part, across::part(entry)))
    }

    /// How an entry that reads so is told by whoever wrote `by`. `ended` is how they ended it, where it is a finding.
    fn said(&self, entry: &Entry, by: &Stamp, ended: Option<&str>) -> Said {
        let read = self.read;
        let settled = Settlement::of(entry);
        let word = match entry.kind {
            Kind::Reading => Some(super::readings::value(entry)),
            Kind::KeptAnswer => KeptAnswer::of(entry)
                .and_then(|kept| kept.answer())
                .map(str::to_owned),
            Kind::TighteningRun => read
                .run(entry)
                .map(|run| format!("{} of {} tight", self.turns_until(entry, by.at), run.of)),
            Kind::Finding => Finding::of(entry).map(|finding| self.finding_said(finding, ended)),
            Kind::HoldPoint => self.met_how(entry, by),
            Kind::Job => self.job_said(entry),
            Kind::Settlement => settled.map(|settled| super::points::settled_so(read, settled)),
            _ => None,
        };
        let title = match settled {
            Some(settled) => super::points::settled_of(read, settled),
            None => title(entry),
        };
        Said {
            title,
            word,
            about: self.about(entry),
        }
    }

    /// What of that reads otherwise now, in a few words.
    fn now(&self, then: &Entry, entry: &Entry, by: &Stamp, done: Option<&Done>) -> Option<String> {
        let (then, now) = (self.said(then, by, None), self.said(entry, by, None));
        let mut said = Vec::new();
        if now.title != then.title {
            said.push(now.title);
        }
        // What came of a job is told where it was done, and what was seen where it was seen: once more since, it is another deed.
        let stands = |done: &Done| {
            let mut claims = entry.claims(&done.deed.field).iter();
            claims.any(|claim| claim.stamp.change == done.stamp.change)
        };
        let is_said = match entry.kind {
            Kind::Job | Kind::HoldPoint => done.is_some_and(stands),
            Kind::TighteningRun => false,
            _ => true,
        };
        if is_said && now.word != then.word {
            let word = now.word.filter(|word| !word.is_empty());
            let bad = |word: String| match entry.kind {
                Kind::Finding => HowBad::SET.said(&word).map_or(word.clone(), str::to_owned),
                _ => word,
            };
            said.push(word.map_or_else(|| "not said".to_owned(), bad));
        }
        if now.about != then.about && entry.kind != Kind::Photo {
            said.extend(
                now.about
                    .map(|about| format!("of {}", self.read.named(&about).title)),
            );
        }
        (!said.is_empty()).then(|| said.join(" · "))
    }

    /// An entry as a line, as whoever wrote `by` left it.
    fn line(&self, entry: &Entry, by: &Stamp, done: Option<&Done>, did: String) -> DayEntry {
        let read = self.read;
        let then = self.then.left(entry, by);
        let ended = done.and_then(|done| done.deed.value.as_deref());
        let said = self.said(&then, by, ended);
        let now = match &then {
            Cow::Borrowed(_) => None,
            Cow::Owned(then) => self.now(then, entry, by, done),
        };
        // A photo stands where it is seen what it shows, whoever said so.
        let about = match entry.kind {
            Kind::Photo => self.about(entry),
            _ => said.about,
        };
        let word = said
            .word
            // What came of a job is nothing of the day on which it was written down.
            .filter(|_| entry.kind != Kind::Job || done.is_some());
        DayEntry {
            asks: self
                .points
                .iter()
                .any(|point| point.about.contains(&entry.name())),
            name: entry.name(),
            did,
            title: said.title,
            now,
            about: about.map(|about| read.named(&about)),
            word,
            photo: (entry.kind == Kind::Photo).then(|| read.photo(entry)),
            photos: Vec::new(),
            many: Vec::new(),
            also: Vec::new(),
            entered_by: None,
            at: entry.made.at,
            struck: read.struck(entry),
        }
    }
}

/// Whether it says how the car itself stands.
fn is_of_the_car(entry: &Entry) -> bool {
    let about = Finding::of(entry).and_then(|finding| finding.about());
    about
        .and_then(Mention::name)
        .is_some_and(|about| about.kind == Kind::Car)
}

fn called_code(code: &str) -> String {
    called(Some(code))
}
