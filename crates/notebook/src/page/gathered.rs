//! The lines of a day put together: several deeds as one phrase, photos beside what they show, many alike as one. It words no deed.

use std::collections::BTreeMap;

use record::{Kind, Ref};

use crate::wire::{DayEntry, DayItem, Named};

/// Of as many alike, and of more, one line is made.
const MANY: usize = 4;

/// Several deeds as one phrase.
pub(super) fn in_one(words: &[String]) -> String {
    let mut out = String::new();
    for word in words {
        if out.is_empty() {
            out.push_str(word);
            continue;
        }
        out.push_str(", ");
        let mut letters = word.chars();
        // A label is read as it is written on the bag; only the first word of a phrase is brought down.
        out.extend(letters.next().into_iter().flat_map(char::to_lowercase));
        out.push_str(letters.as_str());
    }
    out
}

/// Photos stand with the line of what they show, where the day has one.
pub(super) fn in_place(lines: Vec<DayEntry>) -> Vec<DayEntry> {
    let (photos, mut lines): (Vec<DayEntry>, Vec<DayEntry>) =
        lines.into_iter().partition(|line| line.photo.is_some());
    for photo in photos {
        let shows = photo.about.as_ref().map(|about| &about.name);
        let place = lines
            .iter_mut()
            .find(|line| line.photo.is_none() && Some(&line.name) == shows);
        match place {
            Some(line) => line.photos.extend(photo.photo),
            None => lines.push(photo),
        }
    }
    lines.sort_by(|a, b| (a.at, &a.name).cmp(&(b.at, &b.name)));
    lines
}

/// Many alike become one line, where the first of them stood.
pub(super) fn gathered(lines: Vec<DayEntry>) -> Vec<DayEntry> {
    type Key = (Kind, String, Option<Ref>);
    let alike = |line: &DayEntry| -> Option<Key> {
        let kind = line.name.kind;
        let plain = line.photo.is_none()
            && line.struck.is_none()
            && !line.asks
            && line.also.is_empty()
            && line.now.is_none();
        let gathers = matches!(kind, Kind::Part | Kind::Order | Kind::Reading | Kind::Job);
        // Parts of several places go into one bag.
        let about = line.about.as_ref().map(|about| about.name.clone());
        let about = about.filter(|_| !line.did.contains("nto "));
        (plain && gathers).then(|| (kind, line.did.clone(), about))
    };
    let mut counts: BTreeMap<Key, usize> = BTreeMap::new();
    for key in lines.iter().filter_map(alike) {
        let count = counts.entry(key).or_default();
        *count = count.saturating_add(1);
    }
    let mut out: Vec<DayEntry> = Vec::new();
    let mut at: BTreeMap<Key, usize> = BTreeMap::new();
    for mut line in lines {
        let key = alike(&line).filter(|key| counts.get(key).is_some_and(|count| *count >= MANY));
        let Some(key) = key else {
            out.push(line);
            continue;
        };
        let item = DayItem {
            name: line.name.clone(),
            title: line.title.clone(),
            word: line.word.take(),
        };
        if let Some(first) = at.get(&key).and_then(|at| out.get_mut(*at)) {
            first.many.push(item);
            first.photos.append(&mut line.photos);
            continue;
        }
        let count = counts.get(&key).copied().unwrap_or(0);
        line.title = format!("{count} {}", many(key.0));
        line.about = line
            .about
            .filter(|about: &Named| Some(&about.name) == key.2.as_ref());
        line.many.push(item);
        at.insert(key, out.len());
        out.push(line);
    }
    out
}

fn many(kind: Kind) -> &'static str {
    match kind {
        Kind::Part => "parts",
        Kind::Order => "things",
        Kind::Reading => "readings",
        _ => "jobs",
    }
}

#[cfg(test)]
mod tests {
    use super::in_one;

    #[test]
    fn several_deeds_are_one_phrase() {
        let told = |words: &[&str]| in_one(&words.iter().map(|&word| word.to_owned()).collect::<Vec<_>>());
        assert_eq!(told(&["Taken off", "Taken apart"]), "Taken off, taken apart");
        assert_eq!(
            told(&["Part", "Into B14", "Decided: replace"]),
            "Part, into B14, decided: replace"
        );
        assert_eq!(told(&[]), "");
    }
}
