//! The tour of the demo: which screens it shows and what it says of them, from `tour.toml`. It names things by their keys, and becomes
//! what the two folders show round of themselves; no record holds any of it.

use notebook::wire::{Tour, TourStep};
use serde::Deserialize;

use crate::error::DemoError;
use crate::key::{Ids, Key};
use crate::sources::Sources;

/// Where it is told.
pub(crate) const FILE: &str = "tour.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Page {
    step: Vec<Step>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Step {
    title: String,
    says: String,
    place: String,
    /// A thing by its key.
    about: Option<String>,
    /// A day, or what else the place shows by a word.
    shows: Option<String>,
    /// In whose folder alone, by their key.
    by: Option<String>,
}

/// Reads what one keeper's folder shows, once the ids of what it names are known.
pub(crate) fn read(sources: &Sources, keeper: &str, ids: &Ids) -> Result<Tour, DemoError> {
    let page: Page =
        sources
            .table(FILE)?
            .try_into()
            .map_err(|why: toml::de::Error| DemoError::Unreadable {
                file: FILE.to_owned(),
                why: why.message().to_owned(),
            })?;
    let mut steps = Vec::new();
    let meant = |step: &Step| step.by.as_deref().is_none_or(|by| by == keeper);
    for step in page.step.into_iter().filter(meant) {
        let wrong = |why: String| DemoError::wrong(FILE, &step.title, why);
        if !["day", "car", "bench", "stores", "keepers"].contains(&step.place.as_str()) {
            return Err(wrong(format!("'{}' is no place", step.place)));
        }
        let thing = match (&step.about, &step.shows) {
            (Some(about), None) => {
                let key: Key = about.parse().map_err(wrong)?;
                let id = ids.get(&key).ok_or_else(|| wrong(format!("there is no {key}")))?;
                format!("{}:{id}", key.kind)
            }
            (None, shows) => shows.clone().unwrap_or_default(),
            (Some(_), Some(_)) => return Err(wrong("it shows one thing".to_owned())),
        };
        steps.push(TourStep {
            title: step.title.clone(),
            says: step.says.trim().to_owned(),
            place: step.place.clone(),
            thing,
        });
    }
    Ok(Tour { steps })
}
