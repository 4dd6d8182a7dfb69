//! The whole story in order: the shared year with its meetings, then the weeks apart. It is checked here as the two
//! devices will live it: a keeper can only name what they made themselves or got at a meeting.

use std::collections::{BTreeMap, BTreeSet};

use record::{Day, Kind, Moment};

use crate::act::{Act, Step};
use crate::error::DemoError;
use crate::event::{Event, Phase};
use crate::key::Key;
use crate::people::{self, People, Who};
use crate::sources::Sources;
use crate::{apart, days, tables};

/// Seconds between two entries of one evening.
const BETWEEN_ENTRIES: i64 = 40;
/// When a day's work ended that has no sheet.
const NO_SHEET: &str = "19:00";

/// Something that happens in the shared year.
#[derive(Clone, Debug, PartialEq)]
pub enum Scene {
    /// A keeper does something.
    Step(Step),
    /// The two devices meet, by carry file both ways.
    Meeting(Moment),
}

/// The story of the demo.
#[derive(Clone, Debug)]
pub struct Story {
    /// The car, the keepers, their devices.
    pub people: People,
    /// The shared year, in order. It ends with a meeting.
    pub year: Vec<Scene>,
    /// The weeks apart, in order, with no meeting.
    pub apart: Vec<Step>,
}

impl Story {
    /// Reads and checks the story that this program carries.
    ///
    /// # Errors
    /// The first thing that is wrong in the sources, with file and entry.
    pub fn embedded() -> Result<Self, DemoError> {
        Self::read(&Sources::embedded())
    }

    /// Reads and checks a story.
    ///
    /// # Errors
    /// The first thing that is wrong in the sources, with file and entry.
    pub fn read(sources: &Sources) -> Result<Self, DemoError> {
        let people = People::read(sources)?;
        let mut events = people_events(&people);
        events.extend(tables::read(sources, &people)?);
        let (sheets, evenings) = days::read(sources, &people)?;
        events.extend(sheets);
        let year = in_order(&people, timed(events, &evenings)?)?;
        let story = Self {
            year,
            apart: apart::read(sources, &people)?,
            people,
        };
        story.check(sources)?;
        Ok(story)
    }

    /// The day of its last step.
    #[must_use]
    pub fn last(&self) -> Day {
        let last = self.apart.last().map_or(0, |step| step.at.seconds());
        Moment::from_seconds(last).day(0)
    }

    /// Every step, of the year and of the weeks apart, in order.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        let year = self.year.iter().filter_map(|scene| match scene {
            Scene::Step(step) => Some(step),
            Scene::Meeting(_) => None,
        });
        year.chain(&self.apart)
    }

    /// Walks the story as both devices live it.
    fn check(&self, sources: &Sources) -> Result<(), DemoError> {
        let mut from_people = vec![Key::car()];
        from_people.extend(
            self.people
                .keepers
                .iter()
                .map(|keeper| Key::new(Kind::Keeper, &keeper.key)),
        );
        let mut made: BTreeSet<&Key> = BTreeSet::new();
        let mut known: BTreeMap<Who, BTreeSet<&Key>> = BTreeMap::new();
        for who in [Who::Parent, Who::Child] {
            known.entry(who).or_default().extend(&from_people);
        }
        for scene in &self.year {
            match scene {
                Scene::Step(step) => lived(sources, step, &mut known, &mut made)?,
                Scene::Meeting(_) => {
                    let both: BTreeSet<&Key> = known.values().flatten().copied().collect();
                    known.insert(Who::Parent, both.clone());
                    known.insert(Who::Child, both);
                }
            }
        }
        let last = self.year.iter().rev().find_map(|scene| match scene {
            Scene::Meeting(at) => Some(*at),
            Scene::Step(_) => None,
        });
        if !matches!(self.year.last(), Some(Scene::Meeting(_))) {
            return Err(DemoError::wrong(
                people::FILE,
                "meetings",
                "the shared year must end with a meeting",
            ));
        }
        for step in &self.apart {
            if last.is_some_and(|last| step.at <= last) {
                return Err(DemoError::wrong(
                    &step.file,
                    step.at,
                    "it is before the last meeting",
                ));
            }
            lived(sources, step, &mut known, &mut made)?;
        }
        Ok(())
    }
}

/// One step as its device lives it: what it names must be known there, what it makes must be new.
fn lived<'a>(
    sources: &Sources,
    step: &'a Step,
    known: &mut BTreeMap<Who, BTreeSet<&'a Key>>,
    made: &mut BTreeSet<&'a Key>,
) -> Result<(), DemoError> {
    let known = known.entry(step.who).or_default();
    if let Some(unknown) = step.act.needs().into_iter().find(|key| !known.contains(*key)) {
        let why = format!(
            "it names {unknown}, which the {} has not at {}",
            step.who, step.at
        );
        return Err(DemoError::wrong(&step.file, step.act.about(), why));
    }
    if let Act::Add { key, .. } | Act::Take { key, .. } = &step.act {
        if !made.insert(key) {
            return Err(DemoError::wrong(&step.file, key, "it is there twice"));
        }
        known.insert(key);
    }
    if let Act::Add {
        drawing: Some(drawing),
        ..
    } = &step.act
    {
        sources.text(&format!("drawings/{drawing}"))?;
    }
    Ok(())
}

/// What is written before anything else: the car's particulars and each keeper's line.
fn people_events(people: &People) -> Vec<Event> {
    let file = people::FILE.to_owned();
    let car = Act::Change {
        key: Key::car(),
        fields: people.car_fields.clone(),
    };
    let on = people.car_on;
    let mut events = vec![Event {
        on,
        who: people.car_by,
        phase: Phase::People,
        act: car,
        file: file.clone(),
    }];
    for keeper in &people.keepers {
        let key = Key::new(Kind::Keeper, &keeper.key);
        let act = Act::Change {
            key,
            fields: tables::text("pattern", &keeper.pattern),
        };
        events.push(Event {
            on,
            who: keeper.folder,
            phase: Phase::People,
            act,
            file: file.clone(),
        });
    }
    events
}

/// Gives each event its moment: a day's entries are spread over the time before the sheet was written.
fn timed(events: Vec<Event>, evenings: &[days::Evening]) -> Result<Vec<Step>, DemoError> {
    let mut by_day: BTreeMap<(Day, Who), Vec<Event>> = BTreeMap::new();
    for event in events {
        by_day.entry((event.on, event.who)).or_default().push(event);
    }
    let mut steps = Vec::new();
    for ((on, who), mut events) in by_day {
        // Stable: within a phase the order of the files stands.
        events.sort_by_key(|event| event.phase);
        let end = match evenings
            .iter()
            .find(|evening| evening.on == on && evening.who == who)
        {
            Some(evening) => evening.at,
            None => people::moment("the story", "a day without a sheet", on, NO_SHEET)?,
        };
        let mut at = end.seconds();
        for event in events.into_iter().rev() {
            let Event { who, act, file, .. } = event;
            steps.push(Step {
                who,
                at: Moment::from_seconds(at),
                act,
                file,
            });
            at = at.saturating_sub(BETWEEN_ENTRIES);
        }
    }
    steps.sort_by_key(|step| step.at);
    Ok(steps)
}

/// Puts the meetings between the steps.
fn in_order(people: &People, steps: Vec<Step>) -> Result<Vec<Scene>, DemoError> {
    let mut meetings = people.meetings.iter().copied().peekable();
    let mut year = Vec::new();
    for step in steps {
        while let Some(met) = meetings.next_if(|met| *met < step.at) {
            year.push(Scene::Meeting(met));
        }
        year.push(Scene::Step(step));
    }
    year.extend(meetings.map(Scene::Meeting));
    Ok(year)
}
