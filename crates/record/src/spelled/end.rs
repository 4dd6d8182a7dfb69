//! How a finding ended, as its one scalar says, and whether anybody says that it can hurt somebody. Whether an end holds is asked of
//! the whole record, elsewhere.

use crate::entry::Entry;
use crate::field::{Field, Line, Misfit, Shape, Stored};
use crate::name::Id;
use crate::shown::says_something;

/// The words before the colon.
const MENDED_BY: &str = "mended_by";
const MENDED: &str = "mended";
const LIVED_WITH: &str = "lived_with";
const NOT_SO: &str = "not_so";

/// How a finding ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End<'a> {
    /// By this job, for as long as that is done.
    MendedBy(Id),
    /// As these words say.
    Mended(&'a str),
    /// It stays as it is, and this is why.
    LivedWith(&'a str),
    /// It was suspected, somebody looked, and it is not so; this is what was seen.
    NotSo(&'a str),
    /// As a newer version says. What it means is not known here, so it ends nothing here.
    Other(&'a str),
}

impl<'a> End<'a> {
    /// From the stored text.
    #[must_use]
    pub fn of(kept: &'a str) -> Self {
        match kept.split_once(':') {
            Some((MENDED_BY, job)) => job.parse().map_or(End::Other(kept), End::MendedBy),
            Some((MENDED, words)) => End::Mended(words),
            Some((LIVED_WITH, why)) => End::LivedWith(why),
            Some((NOT_SO, seen)) => End::NotSo(seen),
            _ => End::Other(kept),
        }
    }

    /// As it is stored.
    #[must_use]
    pub fn kept(&self) -> String {
        match self {
            End::MendedBy(job) => format!("{MENDED_BY}:{job}"),
            End::Mended(words) => format!("{MENDED}:{words}"),
            End::LivedWith(why) => format!("{LIVED_WITH}:{why}"),
            End::NotSo(seen) => format!("{NOT_SO}:{seen}"),
            End::Other(kept) => (*kept).to_owned(),
        }
    }

    /// Its word: `mended_by`, `mended`, `lived_with`, `not_so`, or whatever a newer version says.
    #[must_use]
    pub fn word(&self) -> &'a str {
        match self {
            End::MendedBy(_) => MENDED_BY,
            End::Mended(_) => MENDED,
            End::LivedWith(_) => LIVED_WITH,
            End::NotSo(_) => NOT_SO,
            End::Other(kept) => kept.split(':').next().unwrap_or(kept),
        }
    }

    /// The job that mends it.
    #[must_use]
    pub fn job(&self) -> Option<&Id> {
        match self {
            End::MendedBy(job) => Some(job),
            _ => None,
        }
    }

    /// How it was mended, why it is lived with, or what was seen where it is not so.
    #[must_use]
    pub fn words(&self) -> Option<&'a str> {
        match self {
            End::Mended(words) | End::LivedWith(words) | End::NotSo(words) => Some(words),
            End::MendedBy(_) | End::Other(_) => None,
        }
    }

    /// In a sentence; `named` tells what a job is called.
    #[must_use]
    pub fn told(&self, named: impl FnOnce(&Id) -> String) -> String {
        match self {
            End::MendedBy(job) => format!("mended by '{}'", named(job)),
            End::Mended(words) => format!("mended: {words}"),
            End::LivedWith(why) => format!("lived with: {why}"),
            End::NotSo(seen) => format!("not so: {seen}"),
            End::Other(kept) => kept.replace('_', " "),
        }
    }
}

/// The field: one of the spellings, with something said.
#[derive(Debug)]
pub struct Ending;
impl Field for Ending {
    type Value = String;
    const SHAPE: Shape = Shape::Ending;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let stored = Line::store(value)?;
        let fits = match End::of(value.trim()) {
            End::MendedBy(_) => true,
            End::Mended(words) | End::LivedWith(words) | End::NotSo(words) => says_something(words),
            End::Other(kept) => kept.is_empty(),
        };
        if fits {
            return Ok(stored);
        }
        Err(Misfit::Unclear(format!(
            "say '{MENDED_BY}:' and the job's id, '{MENDED}:' and how, '{LIVED_WITH}:' and why, or '{NOT_SO}:' and what was seen"
        )))
    }
    type Shown<'a> = Option<&'a str>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<&'a str> {
        entry.line(field)
    }
    fn owned(shown: Option<&str>) -> Option<String> {
        shown.map(str::to_owned)
    }
}
