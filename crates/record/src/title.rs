//! What an entry is called, in one place for messages, points, lists and search. It decides nothing and looks nothing up.

use crate::document::sheet_parts;
use crate::entities::{Container, Job, Part, Photo, Waiver};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::Kind;
use crate::shown::shown;

/// The fields that an entry is called by, the first that says something.
const NAMED: [&str; 5] = [
    Part::name,
    Container::code,
    Job::what,
    Photo::caption,
    Waiver::why,
];

/// What an entry is called in a message or a list: its name, its code, or what it says; a sheet by its day, and what says
/// nothing of itself by its kind.
#[must_use]
pub fn title(entry: &Entry) -> String {
    named(entry).unwrap_or_else(|| {
        let day = (entry.kind == Kind::Sheet)
            .then(|| sheet_parts(&entry.id))
            .flatten();
        day.map_or_else(|| entry.kind.word().replace('_', " "), |(day, _)| day.to_string())
    })
}

/// What an entry calls itself, as its title says it; nothing where its title comes from elsewhere.
#[must_use]
pub fn named(entry: &Entry) -> Option<String> {
    if let Some(container) = Container::of(entry)
        && let Some(code) = container.code()
    {
        // The code is what is on the bag; what is in it helps to know which bag.
        let name = container
            .name()
            .map_or_else(String::new, |name| format!(": {name}"));
        return Some(shortened(&format!("{code}{name}")));
    }
    let said = NAMED.iter().find_map(|field| entry.line(field))?;
    (entry.kind != Kind::Sheet).then(|| shortened(said))
}

/// At most eighty characters of a text as it is shown, for a message.
pub(crate) fn shortened(text: &str) -> String {
    let text = shown(text);
    if text.chars().count() <= 80 {
        return text;
    }
    let head: String = text.chars().take(79).collect();
    format!("{head}…")
}
