//! What each keeper did to each thing, out of the changes that came: one line for a keeper and a thing, however many changes it took.
//! A field that was only written otherwise makes no line, and what came with a deed is told with it.

use std::collections::{BTreeMap, BTreeSet};

use record::deed_said::{Clause, entered, thing};
use record::document::sheet_parts;
use record::ending::{End, can_hurt};
use record::entities::{
    Finding, HoldPoint, Job, KeptAnswer, Photo, Settlement, Sheet, Tightened, Try, Waiver,
};
use record::members::keeper_name;
use record::past::Strands;
use record::rules::{Point, Talk, said_with};
use record::verdict::Judge;
use record::words::{HowBad, Words as _};
use record::{
    ChangeId, Entity as _, Entry, Id, Kind, Link, Mention, Moment, Ref, STRUCK, Scalar, Stamp, across, called,
};
use store::{CameChange, DeedRow, WasRow};

use super::brought::{Brought, told_with_what_it_was};
use super::phrase::{in_one, line_through, said_by};
use super::place::Place;
use crate::page::lines::Reader;
use crate::wire::{CameLine, CameSmaller, PhotoLine};

/// Most letters of a sheet that are told.
const MOST_OF_A_SHEET: usize = 400;

/// What one keeper did to one thing.
struct Doing {
    clauses: Vec<Clause>,
    since: Moment,
    at: Moment,
    on: Option<record::Day>,
    /// The last deed's own value, where it was one, and its change.
    value: Option<String>,
    change: Option<ChangeId>,
    /// The first change of it.
    first: Option<ChangeId>,
    /// All of them.
    changes: BTreeSet<ChangeId>,
    /// Turns of the wrench, and the bolts that were turned.
    turns: usize,
    bolts: BTreeSet<i32>,
    /// Turns that were taken back since: the bolt is not tight by them.
    back: usize,
}

/// Something done, by whom, and the deed that it is, where it is one.
type DoneBy<'d> = (Option<Id>, Clause, Option<&'d DeedRow>);

/// Fields that read otherwise, and the last change that wrote them.
type Reworded<'a> = (BTreeSet<&'static str>, &'a CameChange);

/// All that came, by keeper and thing.
pub(super) struct Told<'a> {
    read: &'a Reader<'a>,
    me: Option<&'a Id>,
    judge: Judge<'a>,
    asks: BTreeSet<&'a Ref>,
    sheets: BTreeMap<Ref, &'a Entry>,
    doings: BTreeMap<(Option<Id>, Ref), Doing>,
    small: BTreeMap<(Option<Id>, Ref), BTreeSet<String>>,
    /// What of a limit or a danger was written otherwise, with the last change that did it.
    reworded: BTreeMap<(Option<Id>, Ref), Reworded<'a>>,
    was: &'a [WasRow],
    past: &'a Strands,
    shots: Vec<&'a Entry>,
}

impl<'a> Told<'a> {
    pub(super) fn of(
        read: &'a Reader<'a>,
        me: Option<&'a Id>,
        brought: &Brought<'a>,
        points: &'a [Point],
    ) -> Self {
        let mut told = Self {
            read,
            me,
            judge: Judge::of(read.view),
            asks: points.iter().flat_map(|point| &point.about).collect(),
            sheets: brought.sheets.iter().map(|sheet| (sheet.name(), sheet)).collect(),
            doings: BTreeMap::new(),
            small: BTreeMap::new(),
            reworded: BTreeMap::new(),
            was: brought.was,
            past: brought.past,
            shots: Vec::new(),
        };
        let mut done: BTreeMap<&ChangeId, Vec<&DeedRow>> = BTreeMap::new();
        for deed in brought.done {
            done.entry(&deed.stamp.change).or_default().push(deed);
        }
        let mut changes: Vec<&CameChange> = brought.changes.iter().collect();
        changes.sort_by_key(|change| (change.stamp.at, change.seq));
        for change in changes {
            let deeds = done.get(&change.stamp.change).map_or(&[][..], Vec::as_slice);
            for (name, fields) in &change.touched {
                told.touched(change, name, fields, deeds);
            }
        }
        for ((by, name), (fields, change)) in std::mem::take(&mut told.reworded) {
            told.reworded(by, &name, &fields, change);
        }
        told
    }

    fn touched(&mut self, change: &'a CameChange, name: &Ref, fields: &[String], deeds: &[&DeedRow]) {
        let keeper = change.stamp.device.as_ref();
        let keeper = keeper.and_then(|device| self.read.view.keeper_of(device));
        if name.kind == Kind::Sheet {
            return self.sheet(change, keeper, name, fields);
        }
        let Some(entry) = self.read.view.find(name) else {
            return;
        };
        let made = entry.made.change == change.stamp.change;
        if name.kind == Kind::Tightened {
            let turn = Tightened::of(entry);
            let run = turn.and_then(|turn| turn.run()?.id());
            if let Some(run) = run.filter(|_| made) {
                let doing = self.doing(change, keeper, &Ref::new(Kind::TighteningRun, run));
                if !entry.stands() {
                    doing.back = doing.back.saturating_add(1);
                    return;
                }
                doing.turns = doing.turns.saturating_add(1);
                doing.bolts.extend(turn.and_then(|turn| turn.place()));
            }
            return;
        }
        if is_told_elsewhere(name.kind) || self.is_told_with_another(entry, name) {
            return;
        }
        let view = self.read.view;
        if name.kind == Kind::Photo && made {
            self.shots.push(entry);
            return;
        }
        let mut clauses: Vec<DoneBy<'_>> = Vec::new();
        clauses.extend(
            entered(view, entry)
                .filter(|_| made)
                .map(|clause| (keeper.clone(), clause, None)),
        );
        for one in deeds.iter().filter(|one| one.deed.name == *name) {
            let by = one.deed.by.clone().or_else(|| keeper.clone());
            clauses.push((by, one.deed.clause(view, one.before.as_deref()), Some(*one)));
        }
        if fields.iter().any(|field| field == STRUCK) {
            let clause = line_through(entry, change, made);
            clauses.extend(clause.map(|clause| (keeper.clone(), clause, None)));
        }
        let weighs = name.kind == Kind::Limit || can_hurt(view, entry) || self.could_hurt(name);
        let reworded = told_with_what_it_was(name.kind).iter().copied();
        let reworded = reworded.filter(|one| weighs && !made && fields.iter().any(|field| field == one));
        let reworded: BTreeSet<&'static str> = reworded.collect();
        if !reworded.is_empty() {
            let key = (keeper.clone(), name.clone());
            let (all, last) = self.reworded.entry(key).or_insert((BTreeSet::new(), change));
            all.extend(reworded);
            *last = change;
        }
        if clauses.is_empty() && !made {
            let small = self.small.entry((keeper, name.clone())).or_default();
            small.extend(
                fields
                    .iter()
                    .filter(|field| !field.is_empty())
                    .map(|field| Talk::label(name.kind, field)),
            );
            return;
        }
        self.did(change, name, clauses);
    }

    /// What was done to a thing, by whoever did it.
    fn did(&mut self, change: &'a CameChange, name: &Ref, clauses: Vec<DoneBy<'_>>) {
        for (by, clause, deed) in clauses {
            let doing = self.doing(change, by, name);
            // Put twice in a while, it was done once.
            doing.clauses.retain(|one| *one != clause);
            doing.clauses.push(clause);
            if let Some(one) = deed {
                doing.value.clone_from(&one.deed.value);
                doing.change = Some(one.stamp.change);
                doing.on = one.deed.on.or(doing.on);
            }
        }
    }

    /// What of a limit or a danger reads otherwise now, with what it read before that came.
    fn reworded(&mut self, by: Option<Id>, name: &Ref, fields: &BTreeSet<&'static str>, change: &CameChange) {
        let view = self.read.view;
        let Some(entry) = view.find(name) else { return };
        let talk = Talk { view, me: self.me };
        let mut said = Vec::new();
        for field in told_with_what_it_was(name.kind)
            .iter()
            .filter(|field| fields.contains(*field))
        {
            let now = talk.value(name.kind, field, entry.value(field));
            let was = self
                .was
                .iter()
                .find(|row| row.name == *name && row.field == *field);
            let was = was.map(|row| {
                let was = Scalar::Line(row.was.clone());
                talk.value(name.kind, field, Some(&was))
            });
            let label = Talk::label(name.kind, field).to_lowercase();
            match was {
                Some(was) if was == now => {}
                Some(was) => said.push(format!("{label}: {now}; before: {was}")),
                None => said.push(format!("{label}: {now}")),
            }
        }
        if said.is_empty() {
            return;
        }
        let clause = Clause::changed(&said.join(" · "));
        self.doing(change, by, name).clauses.push(clause);
    }

    fn doing(&mut self, change: &CameChange, by: Option<Id>, name: &Ref) -> &mut Doing {
        let at = change.stamp.at;
        let doing = self.doings.entry((by, name.clone())).or_insert_with(|| Doing {
            clauses: Vec::new(),
            since: at,
            at,
            on: None,
            value: None,
            change: None,
            first: Some(change.stamp.change),
            changes: BTreeSet::new(),
            turns: 0,
            bolts: BTreeSet::new(),
            back: 0,
        });
        doing.at = doing.at.max(at);
        doing.changes.insert(change.stamp.change);
        doing
    }

    /// Notes on a sheet are told by its day; hours are a smaller change.
    fn sheet(&mut self, change: &CameChange, keeper: Option<Id>, name: &Ref, fields: &[String]) {
        if !self.sheets.contains_key(name) {
            return;
        }
        let text =
            |field: &String| field.is_empty() || field == Sheet::text || field.starts_with(Sheet::notes_of);
        if fields.is_empty() || fields.iter().any(text) {
            let _ = self.doing(change, keeper, name);
        } else {
            let small = self.small.entry((keeper, name.clone())).or_default();
            small.extend(fields.iter().map(|field| Talk::label(Kind::Sheet, field)));
        }
    }

    fn who(&self, by: Option<&Id>) -> String {
        match by {
            Some(by) if Some(by) == self.me => "You".to_owned(),
            Some(by) => keeper_name(self.read.view, by),
            None => "Somebody".to_owned(),
        }
    }

    /// A line for each keeper and thing.
    pub(super) fn lines(&self) -> Vec<(Place, CameLine)> {
        let each = self.doings.iter().filter_map(|((by, name), doing)| {
            if name.kind == Kind::Sheet {
                return self.sheet_line(by.as_ref(), name, doing);
            }
            let entry = self.read.view.find(name)?;
            Some((
                Place::of(self.read.view, entry),
                self.line(by.as_ref(), entry, doing),
            ))
        });
        each.collect()
    }

    fn line(&self, by: Option<&Id>, entry: &Entry, doing: &Doing) -> CameLine {
        let view = self.read.view;
        let mut said: Vec<String> = Vec::new();
        for clause in &doing.clauses {
            let thing = match said.is_empty() {
                true => self.thing(entry),
                false => "it".to_owned(),
            };
            said.push(clause.of(&thing));
        }
        if doing.turns > 0 {
            // A bolt is turned once in each pass.
            let bolts = match (doing.turns, doing.bolts.len()) {
                (1, _) => "tightened a bolt".to_owned(),
                (turns, bolts) if turns == bolts => format!("tightened {bolts} bolts"),
                (turns, 1) => format!("made {turns} turns of the wrench at a bolt"),
                (turns, bolts) => format!("made {turns} turns of the wrench at {bolts} bolts"),
            };
            let of = match said.is_empty() {
                true => format!(" of {}", thing(view, entry)),
                false => String::new(),
            };
            said.push(format!("{bolts}{of}"));
        }
        if doing.back > 0 {
            let back = match doing.back {
                1 => "logged a turn of the wrench that was taken back".to_owned(),
                turns => format!("logged {turns} turns of the wrench that were taken back"),
            };
            let of = match said.is_empty() {
                true => format!(" at {}", thing(view, entry)),
                false => String::new(),
            };
            said.push(format!("{back}{of}"));
        }
        let on = doing.on.or_else(|| {
            across::on(entry)
                .and_then(|on| on.parse().ok())
                // The day it bears is that of its making: what was done to it later was done when it was.
                .filter(|_| doing.change.is_none() && doing.first.as_ref() == Some(&entry.made.change))
        });
        CameLine {
            name: entry.name(),
            who: self.who(by),
            pattern: self.read.pattern(by),
            says: in_one(&said),
            word: self.word(entry, doing),
            since: doing.since,
            at: doing.at,
            on,
            hurts: can_hurt(view, entry),
            asks: self.asks.contains(&entry.name()),
            many: Vec::new(),
            photos: Vec::new(),
        }
    }

    fn thing(&self, entry: &Entry) -> String {
        match Settlement::of(entry) {
            Some(settled) => self.settled(entry, settled.choice().unwrap_or_default()),
            None => thing(self.read.view, entry),
        }
    }

    /// What a settlement came to.
    fn settled(&self, entry: &Entry, choice: &str) -> String {
        let view = self.read.view;
        let talk = Talk { view, me: self.me };
        let about = Settlement::of(entry).and_then(|settled| settled.about());
        let about: Option<Ref> = about.and_then(|about| about.split(' ').next()?.parse().ok());
        let of = about.as_ref().and_then(|name| view.find(name));
        let of = of.map_or_else(String::new, |of| format!(" about {}", thing(view, of)));
        let came = record::rules::came_to(view, entry).or_else(|| {
            let (name, field) = (about.as_ref()?, Settlement::of(entry)?.field()?);
            let label = Talk::label(name.kind, field).to_lowercase();
            if let Some(had) = Settlement::of(entry)?.had() {
                let had = Scalar::Line(had.to_owned());
                return Some(format!("{label} is {}", talk.value(name.kind, field, Some(&had))));
            }
            let put = view.find(name)?.claims(field).iter();
            let put = put
                .clone()
                .find(|claim| claim.stamp.change == entry.made.change)?;
            Some(format!(
                "{label} is {}",
                talk.value(name.kind, field, put.value.as_ref())
            ))
        });
        let came = came.unwrap_or_else(|| talk.chosen(choice));
        format!("a point{of}: {came}")
    }

    fn word(&self, entry: &Entry, doing: &Doing) -> Option<String> {
        match entry.kind {
            Kind::Reading => Some(self.reading(entry)),
            Kind::KeptAnswer => KeptAnswer::of(entry)?.answer().map(str::to_owned),
            Kind::Finding => {
                let finding = Finding::of(entry)?;
                let ended = doing.value.as_deref().map(End::of);
                match ended {
                    Some(_) => None,
                    None => self.how_bad(entry, finding.how_bad(), doing),
                }
            }
            Kind::Job => {
                let field = match doing.value.as_deref() {
                    Some("done") => Job::outcome,
                    Some("begun") => Job::left_off,
                    _ => return None,
                };
                said_by(entry, field, doing.change.as_ref()).map(record::shown)
            }
            Kind::Try => {
                let attempt = Try::of(entry)?;
                let worked = attempt
                    .worked()
                    .map(|worked| if worked { "it worked" } else { "it did not work" });
                let came = attempt.came_of_it().map(record::shown);
                let said: Vec<String> = worked.map(str::to_owned).into_iter().chain(came).collect();
                (!said.is_empty()).then(|| said.join(": "))
            }
            // Whoever reopened it has said why already.
            Kind::Settlement if entry.made.change == *doing.first.as_ref()? => {
                Settlement::of(entry)?.why().map(record::shown)
            }
            Kind::Assembly if doing.value.as_deref() == Some("closed") => self.closed_over(entry, doing),
            Kind::HoldPoint => {
                let met = doing.value.as_deref() == Some("met");
                said_by(entry, HoldPoint::met_how, doing.change.as_ref())
                    .filter(|_| met)
                    .map(record::shown)
            }
            _ => None,
        }
    }

    /// How bad a finding is by the word of whoever is told of, and how bad it is called now.
    fn how_bad(&self, entry: &Entry, now: Option<HowBad>, doing: &Doing) -> Option<String> {
        let said = |bad: HowBad| HowBad::SET.said(bad.word()).unwrap_or(bad.word()).to_owned();
        let now = now.map(said);
        let theirs = |stamp: &Stamp| doing.changes.contains(&stamp.change);
        let mut claims = entry.claims(Finding::how_bad).iter();
        if claims.all(|claim| theirs(&claim.stamp)) {
            return now;
        }
        // Whoever else called it otherwise is not put in their mouth.
        let left = self.past.left_by(&entry.name(), doing.first.as_ref()?, theirs);
        let then = left
            .as_ref()
            .and_then(|left| Finding::of(left)?.how_bad())
            .map(said);
        match (then, now) {
            (Some(then), Some(now)) if then != now => Some(format!("{then} (now: {now})")),
            (Some(then), _) => Some(then),
            (None, now) => now.map(|now| format!("now: {now}")),
        }
    }

    /// Whether a finding was a danger before this came.
    fn could_hurt(&self, name: &Ref) -> bool {
        let mut was = self.was.iter();
        was.any(|row| row.name == *name && row.field == Finding::how_bad && row.was == HowBad::Danger.word())
    }

    /// What an assembly was closed over: what can hurt somebody by its name.
    fn closed_over(&self, entry: &Entry, doing: &Doing) -> Option<String> {
        let view = self.read.view;
        let of_it = view.each_standing::<Waiver>().filter(|waiver| {
            Some(&waiver.entry().made.change) == doing.change.as_ref()
                && waiver.assembly() == Some((&entry.id).into())
        });
        let over: Vec<&Entry> = of_it
            .filter_map(|waiver| view.find(&waiver.about()?.name()?))
            .collect();
        let dangers = over.iter().filter(|one| can_hurt(view, one));
        let dangers: Vec<String> = dangers.map(|one| thing(view, one)).collect();
        let rest = over.len().saturating_sub(dangers.len());
        let rest = match rest {
            0 => None,
            1 => Some("one thing unfinished".to_owned()),
            rest => Some(format!("{rest} things unfinished")),
        };
        let dangers = (!dangers.is_empty()).then(|| format!("a danger: {}", dangers.join(", ")));
        let said: Vec<String> = dangers.into_iter().chain(rest).collect();
        (!said.is_empty()).then(|| format!("over {}", said.join(" and ")))
    }

    /// Whether a settlement is one of several that settled one question: that is told once, by what is said first of it.
    fn is_told_with_another(&self, entry: &Entry, name: &Ref) -> bool {
        let view = self.read.view;
        let place = |entry: &Entry| {
            let settled = Settlement::of(entry)?;
            let about: Ref = settled.about()?.parse().ok()?;
            let field = settled.field()?.to_owned();
            let at = said_with(about.kind, &field)
                .iter()
                .position(|one| *one == field)?;
            Some((about, at))
        };
        let Some((about, at)) = place(entry).filter(|_| name.kind == Kind::Settlement) else {
            return false;
        };
        let same = view
            .all(Kind::Settlement)
            .filter(|one| one.made.change == entry.made.change);
        same.filter_map(place)
            .any(|(other, first)| other == about && first < at)
    }

    /// What was measured, and where the limits say something of it, what.
    fn reading(&self, entry: &Entry) -> String {
        let value = crate::page::readings::value(entry);
        match self.judge.verdict(entry) {
            Some(verdict) => format!("{value}, {}", super::gather::called_verdict(verdict.word)),
            None => value,
        }
    }

    fn sheet_line(&self, by: Option<&Id>, name: &Ref, doing: &Doing) -> Option<(Place, CameLine)> {
        let sheet = self.sheets.get(name)?;
        let text = Sheet::of(sheet)?.text().unwrap_or_default().trim();
        if text.is_empty() {
            return None;
        }
        let (day, keeper) = sheet_parts(&sheet.id)?;
        let mut word: String = text.chars().take(MOST_OF_A_SHEET).collect();
        if text.chars().count() > MOST_OF_A_SHEET {
            word.push('…');
        }
        let whose = match Some(&keeper) == by {
            true => "wrote on the day’s sheet".to_owned(),
            false => format!(
                "wrote on {}’s sheet of the day",
                called(Some(&keeper_name(self.read.view, &keeper)))
            ),
        };
        let line = CameLine {
            name: name.clone(),
            who: self.who(by),
            pattern: self.read.pattern(by),
            says: whose,
            word: Some(word),
            since: doing.since,
            at: doing.at,
            on: Some(day),
            hurts: false,
            asks: false,
            many: Vec::new(),
            photos: Vec::new(),
        };
        Some((Place::Sheets, line))
    }

    /// The photos that came, each with what it may stand beside.
    pub(super) fn photos(&self) -> Vec<(Place, BTreeSet<Ref>, PhotoLine)> {
        let view = self.read.view;
        let each = self.shots.iter().filter(|entry| entry.stands()).map(|entry| {
            let about = Photo::of(entry)
                .and_then(|photo| photo.about())
                .and_then(Mention::name);
            let mut shows: BTreeSet<Ref> = about.into_iter().collect();
            let found = self.doings.keys().filter_map(|(_, name)| {
                view.one::<Finding>(&name.id)
                    .filter(|_| name.kind == Kind::Finding)
            });
            for finding in found {
                if finding.photos().filter_map(Link::id).any(|id| id == entry.id) {
                    let _ = shows.insert(finding.entry().name());
                }
            }
            (Place::of(view, entry), shows, self.read.photo(entry))
        });
        each.collect()
    }

    /// What was only written otherwise, of what is not told of in a line by the same keeper.
    pub(super) fn smaller(&self) -> Vec<(Place, CameSmaller)> {
        let view = self.read.view;
        let each = self.small.iter().filter_map(|(key, fields)| {
            let (by, name) = key;
            if self.doings.contains_key(key) || name.kind == Kind::Device {
                return None;
            }
            let entry = view.find(name).or_else(|| self.sheets.get(name).copied())?;
            let smaller = CameSmaller {
                what: match self.sheets.get(name) {
                    Some(_) => crate::wire::Named {
                        name: name.clone(),
                        title: "the day’s sheet".to_owned(),
                    },
                    None => self.read.named(name),
                },
                who: self.who(by.as_ref()),
                fields: fields.iter().cloned().collect(),
            };
            Some((Place::of(view, entry), smaller))
        });
        each.collect()
    }
}

/// Whether a kind is told of with what it belongs to, and never by itself.
fn is_told_elsewhere(kind: Kind) -> bool {
    matches!(kind, Kind::Waiver | Kind::Tightened)
}
