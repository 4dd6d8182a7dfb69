//! Where a part lies, as its one scalar says. What the rest of the record makes of it is asked elsewhere.

use crate::entry::Entry;
use crate::field::{Field, Line, Misfit, Shape, Stored};
use crate::name::{Id, Link};
use crate::shown::{says_something, shown};

/// The words before the colon. An id has none, so that a program of before reads no container here.
const PLACE: &str = "place";
const OFF: &str = "off";
const AWAY: &str = "away";
const SCRAPPED: &str = "scrapped";
const LOST: &str = "lost";
const TRIAL: &str = "trial";

/// Where a part lies, as somebody said: one scalar, so that no merge puts one keeper's word beside another's place. An id alone is a
/// container, as every program has written it.
///
/// ```
/// use record::lies::Lies;
///
/// let away = Lies::of("away:the chrome shop in the valley");
/// assert_eq!(away.told(|_| String::new()), "away: the chrome shop in the valley");
///
/// let bag = Lies::of("0198f3a2-7c11-7000-8000-00000000beef");
/// assert_eq!(bag.told(|_| "B12".to_owned()), "B12");
/// assert!(bag.container().is_some() && Lies::Place.container().is_none());
///
/// // What a newer program says is carried on as it is.
/// assert_eq!(Lies::of("lent:Nell").kept(), "lent:Nell");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies<'a> {
    /// In this container.
    In(Link<'a>),
    /// In its place.
    Place,
    /// Off the car, and where: on the bench.
    Off(&'a str),
    /// Away, and with whom.
    Away(&'a str),
    /// Scrapped, and why.
    Scrapped(&'a str),
    /// Looked for and not found, and where.
    Lost(&'a str),
    /// In its place for trial, and why: it comes off again.
    Trial(&'a str),
    /// As a newer version says.
    Other(&'a str),
}

impl<'a> Lies<'a> {
    /// From the stored text.
    #[must_use]
    pub fn of(kept: &'a str) -> Self {
        match kept.split_once(':') {
            None => Self::In(Link(kept)),
            Some((PLACE, "")) => Self::Place,
            Some((OFF, where_)) => Self::Off(where_),
            Some((AWAY, with)) => Self::Away(with),
            Some((SCRAPPED, why)) => Self::Scrapped(why),
            Some((LOST, where_)) => Self::Lost(where_),
            Some((TRIAL, why)) => Self::Trial(why),
            Some(_) => Self::Other(kept),
        }
    }

    /// As it is stored.
    #[must_use]
    pub fn kept(self) -> String {
        match self {
            Self::In(container) => container.as_str().to_owned(),
            Self::Place => format!("{PLACE}:"),
            Self::Off(said) => format!("{OFF}:{said}"),
            Self::Away(said) => format!("{AWAY}:{said}"),
            Self::Scrapped(said) => format!("{SCRAPPED}:{said}"),
            Self::Lost(said) => format!("{LOST}:{said}"),
            Self::Trial(said) => format!("{TRIAL}:{said}"),
            Self::Other(kept) => kept.to_owned(),
        }
    }

    /// The container that it lies in.
    #[must_use]
    pub fn container(self) -> Option<Link<'a>> {
        match self {
            Self::In(container) => Some(container),
            _ => None,
        }
    }

    /// In a few words; `named` tells what a container is called.
    #[must_use]
    pub fn told(self, named: impl FnOnce(&Id) -> String) -> String {
        match self {
            Self::In(container) => container.id().map_or_else(String::new, |id| named(&id)),
            Self::Place => "in its place".to_owned(),
            Self::Off(said) => with_words("off the car", said),
            Self::Away(said) => with_words("away", said),
            Self::Scrapped(said) => with_words("scrapped", said),
            Self::Lost(said) => with_words("not to be found", said),
            Self::Trial(said) => with_words("on for trial", said),
            Self::Other(kept) => kept.replace([':', '_'], " "),
        }
    }
}

fn with_words(word: &str, said: &str) -> String {
    match says_something(said) {
        true => format!("{word}: {}", shown(said)),
        false => word.to_owned(),
    }
}

/// The field: the id of a container, or a word with a colon and what is said of it.
#[derive(Debug)]
pub struct LiesIn;
impl Field for LiesIn {
    type Value = String;
    const SHAPE: Shape = Shape::Lies;
    fn store(value: &String) -> Result<Stored, Misfit> {
        let stored = Line::store(value)?;
        let fits = match Lies::of(value.trim()) {
            Lies::In(container) => value.trim().is_empty() || container.id().is_some(),
            Lies::Other(_) => false,
            _ => true,
        };
        if fits {
            return Ok(stored);
        }
        Err(Misfit::Unclear(format!(
            "say the id of a container, or '{PLACE}:', '{OFF}:' and where, '{AWAY}:' and with whom, '{SCRAPPED}:', '{LOST}:', or '{TRIAL}:' and why it is on for trial"
        )))
    }
    type Shown<'a> = Option<Lies<'a>>;
    fn shown<'a>(entry: &'a Entry, field: &'static str) -> Option<Lies<'a>> {
        entry.line(field).map(Lies::of)
    }
    fn owned(shown: Option<Lies<'_>>) -> Option<String> {
        shown.map(Lies::kept)
    }
}
