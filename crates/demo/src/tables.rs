//! The tables of the sources: containers, assemblies, parts, findings, jobs and the rest. Each entry becomes the
//! event that makes it and the events that change it later; beyond that nothing is decided here.

use record::entities::{Container, HoldPoint, Part};
use record::{Day, Kind};
use serde_json::Value as Json;

use crate::act::Act;
use crate::error::DemoError;
use crate::event::{Event, Phase};
use crate::key::Key;
use crate::people::{People, Who, day};
use crate::sources::Sources;
use crate::value::{self, FieldValues, Value};

/// File, array in it, kind, and the field that is the key where `key` is not written.
const TABLES: &[(&str, &str, Kind, Phase)] = &[
    ("containers.toml", "container", Kind::Container, Phase::Container),
    ("assemblies.toml", "assembly", Kind::Assembly, Phase::Assembly),
    (
        "instruments.toml",
        "instrument",
        Kind::Instrument,
        Phase::Instrument,
    ),
    ("limits.toml", "limit", Kind::Limit, Phase::Limit),
    ("findings.toml", "finding", Kind::Finding, Phase::Finding),
    ("jobs.toml", "job", Kind::Job, Phase::Job),
    ("orders.toml", "order", Kind::Order, Phase::Order),
    (
        "hold-points.toml",
        "hold_point",
        Kind::HoldPoint,
        Phase::HoldPoint,
    ),
    ("photos.toml", "photo", Kind::Photo, Phase::Photo),
];

/// Where a part is moved `to` that lies in no container any more: as its assembly stands.
const IN_PLACE: &str = "its place";

/// Reads every table into events, in the order of the files.
pub(crate) fn read(sources: &Sources, people: &People) -> Result<Vec<Event>, DemoError> {
    let mut events = Vec::new();
    for (file, array, kind, phase) in TABLES {
        let mut page = sources.table(file)?;
        let rows = rows(file, &mut page, array)?;
        for (at, row) in rows.into_iter().enumerate() {
            Entry::new(file, *kind, *phase, &page, row, people)?.into_events(at, people, &mut events)?;
        }
    }
    for file in sources.within("parts", "toml") {
        parts(file, sources, people, &mut events)?;
    }
    readings("readings.toml", sources, people, &mut events)?;
    Ok(events)
}

/// The parts of one file: groups, each of one assembly and one day.
fn parts(file: &str, sources: &Sources, people: &People, events: &mut Vec<Event>) -> Result<(), DemoError> {
    for mut group in rows(file, &mut sources.table(file)?, "group")? {
        let parts = rows(file, &mut group, "part")?;
        let assembly = group
            .get("assembly")
            .and_then(toml::Value::as_str)
            .unwrap_or_default()
            .to_owned();
        for (at, mut row) in parts.into_iter().enumerate() {
            if let Some(toml::Value::String(key)) = row.get_mut("key") {
                *key = format!("{assembly}/{key}");
            }
            Entry::new(file, Kind::Part, Phase::Part, &group, row, people)?
                .into_events(at, people, events)?;
        }
    }
    Ok(())
}

/// Readings come in sets: one instrument and one limit, several points.
fn readings(
    file: &str,
    sources: &Sources,
    people: &People,
    events: &mut Vec<Event>,
) -> Result<(), DemoError> {
    for (number, mut set) in rows(file, &mut sources.table(file)?, "set")?
        .into_iter()
        .enumerate()
    {
        for (at, mut row) in rows(file, &mut set, "values")?.into_iter().enumerate() {
            // A key of its own has only what is named elsewhere.
            row.entry("key")
                .or_insert_with(|| format!("set-{number}-{at}").into());
            Entry::new(file, Kind::Reading, Phase::Reading, &set, row, people)?
                .into_events(at, people, events)?;
        }
    }
    Ok(())
}

/// Takes an array of tables out of a page; what is left holds for each of them unless it says otherwise.
pub(crate) fn rows(file: &str, page: &mut toml::Table, array: &str) -> Result<Vec<toml::Table>, DemoError> {
    let Some(toml::Value::Array(rows)) = page.remove(array) else {
        return Err(DemoError::wrong(file, array, "there are none"));
    };
    let table = |row| match row {
        toml::Value::Table(row) => Ok(row),
        _ => Err(DemoError::wrong(file, array, "each must be a table")),
    };
    rows.into_iter().map(table).collect()
}

/// One entry, taken apart into what the record keeps and what the story does with it later.
struct Entry<'a> {
    file: &'a str,
    key: Key,
    phase: Phase,
    on: Day,
    who: Who,
    row: toml::Table,
}

impl<'a> Entry<'a> {
    fn new(
        file: &'a str,
        kind: Kind,
        phase: Phase,
        page: &toml::Table,
        mut row: toml::Table,
        people: &People,
    ) -> Result<Self, DemoError> {
        for (name, given) in page {
            row.entry(name).or_insert_with(|| given.clone());
        }
        // A container answers to the code on its label.
        let own = if kind == Kind::Container {
            row.get("code").cloned()
        } else {
            row.remove("key")
        };
        let key = own
            .as_ref()
            .and_then(toml::Value::as_str)
            .unwrap_or_default()
            .to_owned();
        if key.is_empty() {
            let row = row
                .iter()
                .map(|(name, value)| format!("{name} = {value}"))
                .collect::<Vec<_>>()
                .join(", ");
            return Err(DemoError::wrong(file, row, "'key' is missing"));
        }
        let who = people.who(file, &key, row.remove("by").as_ref())?;
        let keeps_day = record::entities::field_of(kind, "on").is_some();
        let on = if keeps_day {
            row.get("on").cloned()
        } else {
            row.remove("on")
        };
        let on = day(file, &key, on)?;
        Ok(Self {
            file,
            key: Key::new(kind, key),
            phase,
            on,
            who,
            row,
        })
    }

    fn wrong(&self, why: impl ToString) -> DemoError {
        DemoError::wrong(self.file, &self.key, why)
    }

    fn into_events(mut self, at: usize, people: &People, events: &mut Vec<Event>) -> Result<(), DemoError> {
        let mut later = Vec::new();
        let kind = self.key.kind;
        self.ends(people, &mut later)?;
        if kind == Kind::Order {
            for step in self.several("steps")? {
                later.push(self.change(people, step.into(), &[("state", "state")], &[], Phase::Decided)?);
            }
        }
        if kind == Kind::Job {
            for (number, mut row) in self.several("try")?.into_iter().enumerate() {
                row.insert("key".to_owned(), format!("{}-{number}", self.key.slug).into());
                row.insert("job".to_owned(), self.key.slug.clone().into());
                let one = Entry::new(self.file, Kind::Try, Phase::Try, &toml::Table::new(), row, people)?;
                one.into_events(number, people, &mut later)?;
            }
        }
        self.moves(people, &mut later)?;
        self.struck(people, &mut later)?;
        let drawing = match (kind, self.row.remove("drawing")) {
            (Kind::Photo, Some(toml::Value::String(drawing))) => Some(drawing),
            (Kind::Photo, _) => return Err(self.wrong("'drawing' is missing")),
            (_, Some(_)) => return Err(self.wrong("only a photo has a drawing")),
            (_, None) => None,
        };
        if kind == Kind::HoldPoint {
            // Its day is the day it was met.
            self.row.remove("on");
        }
        if kind == Kind::Assembly {
            // An order key, compared as text, with room on both sides.
            self.row.insert("order".to_owned(), format!("m{at:02}").into());
        }
        let fields = value::fields(self.file, kind, &self.key.slug, &self.row)?;
        let elsewhere: &[&str] = if kind == Kind::Photo { &["hash"] } else { &[] };
        value::complete(self.file, kind, &self.key.slug, &fields, elsewhere)?;
        let act = Act::Add {
            key: self.key,
            fields,
            drawing,
        };
        events.push(Event {
            on: self.on,
            who: self.who,
            phase: self.phase,
            act,
            file: self.file.to_owned(),
        });
        events.extend(later);
        Ok(())
    }

    /// What was decided, and how it ended: done, dropped, met, mended or lived with.
    fn ends(&mut self, people: &People, later: &mut Vec<Event>) -> Result<(), DemoError> {
        let kind = self.key.kind;
        if let Some(decided) = self.row.remove("decided") {
            let fields = &[("decision", "decision"), ("why", "decision_why")];
            later.push(self.change(people, decided, fields, &[], Phase::Decided)?);
        }
        for (word, phase) in [
            ("done", Phase::JobDone),
            ("dropped", Phase::JobDone),
            ("met", Phase::Met),
        ] {
            if let Some(mut ended) = self.row.remove(word) {
                let by = ended.as_table_mut().is_some_and(met_by);
                let fields: &[_] = match (word, by) {
                    ("met", true) => &[("how", "met_how"), ("on", "on"), ("by_what", HoldPoint::met_by)],
                    ("met", false) => &[("how", "met_how"), ("on", "on")],
                    _ => &[("outcome", "outcome")],
                };
                later.push(self.change(people, ended, fields, &[("state", word)], phase)?);
            }
        }
        // A finding ends by a job, by what was done in words, because it is lived with, or because it is not so.
        for (word, field, spelled) in [
            ("mended", "job", "mended_by"),
            ("mended", "how", "mended"),
            ("lived_with", "why", "lived_with"),
            ("not_so", "seen", "not_so"),
        ] {
            let says = |row: &toml::Table| {
                row.get(word)
                    .and_then(toml::Value::as_table)
                    .and_then(|row| row.get(field))
                    .cloned()
            };
            if kind == Kind::Finding
                && let Some(said) = says(&self.row)
                && let Some(mut ended) = self.row.remove(word)
            {
                if let (Some(row), Some(said)) = (ended.as_table_mut(), said.as_str()) {
                    row.insert(field.to_owned(), format!("{spelled}:{said}").into());
                }
                later.push(self.change(people, ended, &[(field, "ended")], &[], Phase::Ended)?);
            }
        }
        Ok(())
    }

    /// Where it was laid later: a part, in a container or in its place; a container, in another one.
    fn moves(&mut self, people: &People, later: &mut Vec<Event>) -> Result<(), DemoError> {
        let field = match self.key.kind {
            Kind::Part => Part::container,
            Kind::Container => Container::inside,
            _ => return Ok(()),
        };
        for moved in self.several("moved")? {
            let mut event = self.change(people, moved.into(), &[("to", field)], &[], Phase::Moved)?;
            if let Act::Change { fields, .. } = &mut event.act {
                for (_, value) in fields {
                    if *value == Value::Link(Key::new(Kind::Container, IN_PLACE)) {
                        *value = Value::Plain(Json::Null);
                    }
                }
            }
            later.push(event);
        }
        Ok(())
    }

    /// Struck out, and why.
    fn struck(&mut self, people: &People, later: &mut Vec<Event>) -> Result<(), DemoError> {
        if let Some(struck) = self.row.remove("struck") {
            let (who, on, mut row) = self.later(people, struck)?;
            let Some(toml::Value::String(why)) = row.remove("why") else {
                return Err(self.wrong("it is struck out without a 'why'"));
            };
            let act = Act::Strike {
                key: self.key.clone(),
                why,
            };
            later.push(Event {
                on,
                who,
                phase: Phase::Struck,
                act,
                file: self.file.to_owned(),
            });
        }
        Ok(())
    }

    fn several(&mut self, name: &str) -> Result<Vec<toml::Table>, DemoError> {
        if self.row.contains_key(name) {
            rows(self.file, &mut self.row, name)
        } else {
            Ok(Vec::new())
        }
    }

    /// Who, when, and what else a later event of this entry says.
    fn later(&self, people: &People, given: toml::Value) -> Result<(Who, Day, toml::Table), DemoError> {
        let toml::Value::Table(mut row) = given else {
            return Err(self.wrong("a table { on, by, … } is wanted"));
        };
        let who = people.who(self.file, &self.key.to_string(), row.remove("by").as_ref())?;
        let on = day(self.file, &self.key.to_string(), row.get("on").cloned())?;
        if on < self.on {
            return Err(self.wrong(format!(
                "it changed on {on}, before it was entered on {}",
                self.on
            )));
        }
        Ok((who, on, row))
    }

    /// A change: `fields` are (name in the sources, field of the record), `fixed` are put as they stand.
    fn change(
        &self,
        people: &People,
        given: toml::Value,
        fields: &[(&str, &str)],
        fixed: &[(&str, &str)],
        phase: Phase,
    ) -> Result<Event, DemoError> {
        let (who, on, mut row) = self.later(people, given)?;
        let mut table = toml::Table::new();
        for (name, field) in fields {
            let value = row
                .remove(*name)
                .ok_or_else(|| self.wrong(format!("'{name}' is missing")))?;
            table.insert((*field).to_owned(), value);
        }
        row.remove("on");
        if let Some(unknown) = row.keys().next() {
            return Err(self.wrong(format!("'{unknown}' means nothing here")));
        }
        table.extend(
            fixed
                .iter()
                .map(|(field, word)| ((*field).to_owned(), (*word).into())),
        );
        let fields = value::fields(self.file, self.key.kind, &self.key.slug, &table)?;
        let act = Act::Change {
            key: self.key.clone(),
            fields,
        };
        Ok(Event {
            on,
            who,
            phase,
            act,
            file: self.file.to_owned(),
        })
    }
}

/// Puts together by what a hold point was met, from `counted`, `photo` or `reading`; whether one of them is said.
fn met_by(row: &mut toml::Table) -> bool {
    let said = ["counted", "photo", "reading"].into_iter().find_map(|word| {
        let given = row.remove(word)?;
        let given = given.as_str().map_or_else(|| given.to_string(), str::to_owned);
        Some(format!("{word}:{given}"))
    });
    let says = said.is_some();
    if let Some(said) = said {
        row.insert("by_what".to_owned(), said.into());
    }
    says
}

/// A field that is a plain text, for events that are made without a table.
pub(crate) fn text(name: &'static str, text: impl Into<String>) -> FieldValues {
    vec![(name, Value::Plain(Json::from(text.into())))]
}
