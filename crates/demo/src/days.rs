//! The day sheets: a head between `+++` lines that says when it was written and what changed state that day, and
//! under it the text as the keeper wrote it. The file's name gives the day and the keeper.

use record::{Day, Kind, Moment};
use serde::Deserialize;

use crate::act::{Act, Waived};
use crate::error::DemoError;
use crate::event::{Event, Phase};
use crate::key::Key;
use crate::people::{People, Who, moment};
use crate::sources::{Sources, table};
use crate::tables::text;

/// When a keeper wrote the sheet of a day: the end of that day's work.
#[derive(Clone, Debug)]
pub(crate) struct Evening {
    pub(crate) on: Day,
    pub(crate) who: Who,
    pub(crate) at: Moment,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    at: String,
    hours: String,
    #[serde(default)]
    state: toml::map::Map<String, toml::Value>,
    #[serde(default)]
    close: Vec<String>,
    #[serde(default)]
    waive: Vec<Waive>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Waive {
    assembly: String,
    about: String,
    why: String,
}

/// Reads every day sheet.
pub(crate) fn read(sources: &Sources, people: &People) -> Result<(Vec<Event>, Vec<Evening>), DemoError> {
    let (mut events, mut evenings) = (Vec::new(), Vec::new());
    for file in sources.within("days", "md") {
        evenings.push(sheet(file, sources.text(file)?, people, &mut events)?);
    }
    Ok((events, evenings))
}

/// An assembly that was closed, and what was waived in it, each with the reason.
type Closing = (Key, Vec<(Waived, String)>);

/// What was closed on a day.
fn closings(file: &str, head: &Head) -> Result<Vec<Closing>, DemoError> {
    for waive in &head.waive {
        if !head.close.contains(&waive.assembly) {
            return Err(DemoError::wrong(
                file,
                &waive.assembly,
                "something in it is waived, but it is not closed",
            ));
        }
    }
    let mut closings = Vec::new();
    for slug in &head.close {
        let mut waived = Vec::new();
        for waive in head.waive.iter().filter(|waive| waive.assembly == *slug) {
            let about = waive
                .about
                .parse()
                .map_err(|why: String| DemoError::wrong(file, slug, why))?;
            waived.push((about, waive.why.clone()));
        }
        closings.push((Key::new(Kind::Assembly, slug), waived));
    }
    Ok(closings)
}

fn sheet(file: &str, page: &str, people: &People, events: &mut Vec<Event>) -> Result<Evening, DemoError> {
    let unreadable = |why: String| DemoError::Unreadable {
        file: file.to_owned(),
        why,
    };
    let name = file.rsplit('/').next().unwrap_or(file).trim_end_matches(".md");
    let (on, keeper) = name
        .split_at_checked(10)
        .ok_or_else(|| unreadable("name it DAY-KEEPER.md".to_owned()))?;
    let on: Day = on
        .parse()
        .map_err(|why: record::time::BadTime| unreadable(why.to_string()))?;
    let who = people.by_key(file, name, keeper.trim_start_matches('-'))?;
    let mut halves = page
        .strip_prefix("+++\n")
        .unwrap_or_default()
        .splitn(2, "\n+++\n");
    let (Some(head), Some(body)) = (halves.next(), halves.next()) else {
        return Err(unreadable(
            "it does not begin with a head between two '+++' lines".to_owned(),
        ));
    };
    let head: Head = table(file, head)?
        .try_into()
        .map_err(|why: toml::de::Error| unreadable(why.message().to_owned()))?;
    let mut push = |phase, act| {
        events.push(Event {
            on,
            who,
            phase,
            act,
            file: file.to_owned(),
        })
    };
    for (slug, state) in &head.state {
        let state = state.as_str().unwrap_or_default();
        if !matches!(state, "fitted" | "off" | "apart" | "away") {
            return Err(DemoError::wrong(
                file,
                slug,
                format!("'{state}' is no state it can be put in by hand"),
            ));
        }
        let fields = text("state", state);
        push(
            Phase::State,
            Act::Change {
                key: Key::new(Kind::Assembly, slug),
                fields,
            },
        );
    }
    for (assembly, waive) in closings(file, &head)? {
        push(Phase::Close, Act::Close { assembly, waive });
    }
    let body = body.trim();
    if body.is_empty() {
        return Err(unreadable("nothing is written under the head".to_owned()));
    }
    push(
        Phase::Sheet,
        Act::Write {
            date: on,
            text: body.to_owned(),
            hours: head.hours,
        },
    );
    Ok(Evening {
        on,
        who,
        at: moment(file, name, on, &head.at)?,
    })
}
