//! What an entry is called, in one place for messages, points, lists and search: by its name with its position, and among others that are
//! called the same by where it is as well ([`crate::titles`]). It decides nothing.

use crate::entities::{Container, Job, Part, Photo, Reading, Waiver};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::Kind;
use crate::shown::shown;
use crate::spelled::sheet_parts;

/// The fields that an entry is called by, the first that says something.
const NAMED: [&str; 5] = [
    Part::name,
    Container::code,
    Job::what,
    Photo::caption,
    Waiver::why,
];

/// Most letters of a position that stand in a title; a longer one describes the place, and stands beside it.
const POSITION: usize = 40;

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
    said(entry).map(|said| shortened(&said))
}

/// What an entry is called where there is room for all of it, as over its own page.
#[must_use]
pub fn whole(entry: &Entry) -> String {
    said(entry).map_or_else(|| title(entry), |said| shown(&said))
}

fn said(entry: &Entry) -> Option<String> {
    if let Some(container) = Container::of(entry)
        && let Some(code) = container.code()
    {
        // The code is what is on the bag; what is in it helps to know which bag.
        let name = container
            .name()
            .map_or_else(String::new, |name| format!(": {name}"));
        return Some(format!("{code}{name}"));
    }
    let said = NAMED.iter().find_map(|field| entry.line(field))?;
    (entry.kind != Kind::Sheet).then(|| placed(said, position(entry)))
}

/// What an entry says of itself without its position, as for a sentence that says where by itself.
#[must_use]
pub fn bare(entry: &Entry) -> String {
    let said = NAMED.iter().find_map(|field| entry.line(field));
    said.map_or_else(|| title(entry), shortened)
}

/// Where it is among others of its name: a part's position, a reading's point.
fn position(entry: &Entry) -> Option<&str> {
    let said = match entry.kind {
        Kind::Part => Part::of(entry)?.position(),
        Kind::Reading => Reading::of(entry)?.at(),
        _ => None,
    };
    said.map(str::trim)
        .filter(|said| !said.is_empty() && said.chars().count() <= POSITION)
}

/// `Piston, cylinder 3`; a name that says its position already, or part of it, as it is.
fn placed(name: &str, position: Option<&str>) -> String {
    let Some(position) = position else {
        return name.to_owned();
    };
    if name.to_lowercase().contains(&position.to_lowercase()) {
        return name.to_owned();
    }
    let mut letters = position.chars();
    let (first, second) = (letters.next(), letters.next());
    // `LH` stays as it is, `Left rear` goes on in a sentence.
    let small = second.is_none_or(|second| !second.is_uppercase());
    let first = first.map_or_else(String::new, |first| {
        if small {
            first.to_lowercase().collect()
        } else {
            first.to_string()
        }
    });
    let rest: String = position.chars().skip(1).collect();
    format!("{name}, {first}{rest}")
}

/// The end of a text as it is shown, at most a hundred and sixty characters of it: what is added to a note stands there.
pub(crate) fn ending_of(text: &str) -> String {
    const MOST: usize = 160;
    let text = shown(text);
    let length = text.chars().count();
    if length <= MOST {
        return text;
    }
    let tail: String = text.chars().skip(length.saturating_sub(MOST - 1)).collect();
    format!("…{}", tail.trim_start())
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

#[cfg(test)]
mod tests {
    #[test]
    fn of_a_long_note_the_end_is_shown_where_what_was_added_stands() {
        assert_eq!(super::ending_of("drained "), "drained");
        let long = format!(
            "{} do not bring a lamp near",
            "poured off, and rinsed;".repeat(20)
        );
        let shown = super::ending_of(&long);
        assert!(
            shown.starts_with('…') && shown.ends_with("; do not bring a lamp near"),
            "{shown}"
        );
        assert_eq!(shown.chars().count(), 160);
    }
}
