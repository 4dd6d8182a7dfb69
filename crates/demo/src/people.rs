//! The two keepers, their devices, the car, and the moments at which the two records met. Reads `people.toml` and
//! nothing else.

use std::fmt;

use record::{Day, Kind, Moment};
use serde::Deserialize;

use crate::error::DemoError;
use crate::sources::Sources;
use crate::value::{self, FieldValues};

/// Where the people are described.
pub(crate) const FILE: &str = "people.toml";

/// One of the two devices, by the folder it is made in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Who {
    /// The parent's device, which starts the record.
    Parent,
    /// The grown child's device, which joins it.
    Child,
}

impl Who {
    /// The name of its folder.
    #[must_use]
    pub fn folder(self) -> &'static str {
        match self {
            Who::Parent => "parent",
            Who::Child => "child",
        }
    }

    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Who::Parent => Who::Child,
            Who::Child => Who::Parent,
        }
    }
}

impl fmt::Display for Who {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.folder())
    }
}

/// One keeper and their device.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keeper {
    /// What the sources call them.
    pub key: String,
    /// Their name.
    pub name: String,
    /// The pattern of the line at the left edge of their entries.
    pub pattern: String,
    /// What their device is called.
    pub device: String,
    /// Which folder is theirs.
    pub folder: Who,
}

/// Everything that is known before the first part is touched.
#[derive(Clone, Debug)]
pub struct People {
    /// What the car is called.
    pub car: String,
    /// The car's fields, its name among them.
    pub car_fields: FieldValues,
    /// The day the car's fields were written.
    pub car_on: Day,
    /// By whom.
    pub car_by: Who,
    /// Both keepers.
    pub keepers: Vec<Keeper>,
    /// When the records met, in order; at the first of them the child's device joined.
    pub meetings: Vec<Moment>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Page {
    keeper: Vec<Keeper>,
    meetings: Meetings,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Meetings {
    /// The device that joins does so at this moment, which is the first meeting.
    joined: toml::value::Datetime,
    at: String,
    days: Vec<toml::value::Datetime>,
}

impl People {
    pub(crate) fn read(sources: &Sources) -> Result<Self, DemoError> {
        let mut page = sources.table(FILE)?;
        // Taken out first: a day inside a table of unknown fields does not survive being read by serde.
        let Some(toml::Value::Table(mut car)) = page.remove("car") else {
            return Err(DemoError::wrong(FILE, "car", "there is none"));
        };
        let page: Page = page
            .try_into()
            .map_err(|why: toml::de::Error| DemoError::Unreadable {
                file: FILE.to_owned(),
                why: why.message().to_owned(),
            })?;
        let car_on = day(FILE, "car", car.remove("on"))?;
        let by = car.remove("by");
        let mut people = Self {
            car: car
                .get("name")
                .and_then(toml::Value::as_str)
                .unwrap_or_default()
                .to_owned(),
            car_fields: value::fields(FILE, Kind::Car, "car", &car)?,
            car_on,
            car_by: Who::Parent,
            keepers: page.keeper,
            meetings: Vec::new(),
        };
        people.car_by = people.who(FILE, "car", by.as_ref())?;
        value::complete(FILE, Kind::Car, "car", &people.car_fields, &[])?;
        for folder in [Who::Parent, Who::Child] {
            if people
                .keepers
                .iter()
                .filter(|keeper| keeper.folder == folder)
                .count()
                != 1
            {
                return Err(DemoError::wrong(
                    FILE,
                    "keepers",
                    format!("one keeper is wanted for '{folder}'"),
                ));
            }
        }
        let joined = page.meetings.joined.to_string();
        let bad = |why: record::time::BadTime| DemoError::wrong(FILE, "meetings", why);
        people.meetings.push(joined.parse().map_err(bad)?);
        for on in page.meetings.days {
            let day = day(FILE, "meetings", Some(toml::Value::Datetime(on)))?;
            people
                .meetings
                .push(moment(FILE, "meetings", day, &page.meetings.at)?);
        }
        if !people.meetings.is_sorted() {
            return Err(DemoError::wrong(FILE, "meetings", "the days are not in order"));
        }
        Ok(people)
    }

    /// Whose entry it is, from its `by`.
    pub(crate) fn who(&self, file: &str, entry: &str, by: Option<&toml::Value>) -> Result<Who, DemoError> {
        let name = by.and_then(toml::Value::as_str);
        let name = name.ok_or_else(|| DemoError::wrong(file, entry, "'by' is missing: which keeper?"))?;
        self.by_key(file, entry, name)
    }

    /// The folder of the keeper called so.
    pub(crate) fn by_key(&self, file: &str, entry: &str, key: &str) -> Result<Who, DemoError> {
        let keeper = self.keepers.iter().find(|keeper| keeper.key == key);
        keeper
            .map(|keeper| keeper.folder)
            .ok_or_else(|| DemoError::wrong(file, entry, format!("there is no keeper '{key}'")))
    }

    /// The keeper whose folder it is.
    ///
    /// # Errors
    /// None is described; reading the people has made sure that one is.
    pub fn keeper(&self, who: Who) -> Result<&Keeper, DemoError> {
        let keeper = self.keepers.iter().find(|keeper| keeper.folder == who);
        keeper.ok_or_else(|| DemoError::wrong(FILE, "keepers", format!("one keeper is wanted for '{who}'")))
    }
}

/// A day, from a `YYYY-MM-DD` in TOML.
pub(crate) fn day(file: &str, entry: &str, given: Option<toml::Value>) -> Result<Day, DemoError> {
    let text = match given {
        Some(toml::Value::Datetime(on)) => on.to_string(),
        Some(_) => {
            return Err(DemoError::wrong(
                file,
                entry,
                "'on' is not a day: write it as 2031-03-01",
            ));
        }
        None => return Err(DemoError::wrong(file, entry, "'on' is missing: which day?")),
    };
    text.parse().map_err(|why| DemoError::wrong(file, entry, why))
}

/// A moment, from a day and `HH:MM` in UTC.
pub(crate) fn moment(file: &str, entry: &str, day: Day, clock: &str) -> Result<Moment, DemoError> {
    format!("{day}T{clock}:00Z")
        .parse()
        .map_err(|why| DemoError::wrong(file, entry, why))
}
