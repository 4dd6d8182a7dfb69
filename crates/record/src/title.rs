//! What an entry is called in messages, points and lists of the notebook. (The read tables keep another for search: `store/src/tables/entries.rs`.) It decides nothing and looks nothing up.

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

/// What an entry is called in a message or a list: its name, its code, or what it says.
#[must_use]
pub fn title(entry: &Entry) -> String {
    let named = NAMED.iter().find_map(|field| entry.line(field));
    if let Some(container) = Container::of(entry)
        && let Some(code) = container.code()
    {
        // The code is what is on the bag; what is in it helps to know which bag.
        let name = container
            .name()
            .map_or_else(String::new, |name| format!(": {name}"));
        return shortened(&format!("{code}{name}"));
    }
    match (entry.kind, named) {
        (Kind::Sheet, _) => sheet_parts(&entry.id).map_or_else(String::new, |(day, _)| day.to_string()),
        (_, Some(text)) => shortened(text),
        (kind, None) => kind.word().replace('_', " "),
    }
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
