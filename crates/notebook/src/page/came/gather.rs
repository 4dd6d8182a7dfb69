//! Many alike as one line: three readings of the pistons, five parts into one bag. What asks, hurts or has a photo of its own stays by
//! itself.

use std::collections::{BTreeMap, BTreeSet};

use reckon::VerdictWord;
use record::deed_said::{many, several};
use record::title::bare;
use record::{Kind, Ref, across};

use crate::page::lines::Reader;
use crate::wire::{CameItem, CameLine};

/// Of as many alike, and of more, one line is made.
const MANY: usize = 3;

/// What lines that are gathered have in common: who, the kind, and the words around the thing.
type Key = (String, Kind, String);

/// Gathers what is alike, where the first of them stood.
pub(super) fn gathered(read: &Reader<'_>, lines: Vec<CameLine>) -> Vec<CameLine> {
    let keys: Vec<Option<Key>> = lines.iter().map(|line| key(read, line)).collect();
    let mut counts: BTreeMap<&Key, usize> = BTreeMap::new();
    for key in keys.iter().flatten() {
        let count = counts.entry(key).or_default();
        *count = count.saturating_add(1);
    }
    let mut at: BTreeMap<&Key, usize> = BTreeMap::new();
    let mut out: Vec<CameLine> = Vec::new();
    for (mut line, key) in lines.into_iter().zip(&keys) {
        let Some(key) = key
            .as_ref()
            .filter(|key| counts.get(key).is_some_and(|count| *count >= MANY))
        else {
            out.push(line);
            continue;
        };
        let item = CameItem {
            name: line.name.clone(),
            title: read.named(&line.name).title,
            word: line.word.take(),
        };
        if let Some(first) = at.get(key).and_then(|at| out.get_mut(*at)) {
            first.many.push(item);
            first.since = first.since.min(line.since);
            first.at = first.at.max(line.at);
            first.on = first.on.filter(|on| Some(on) == line.on.as_ref());
            continue;
        }
        line.many.push(item);
        let _ = at.insert(key, out.len());
        out.push(line);
    }
    for line in &mut out {
        if !line.many.is_empty() {
            said_of_many(read, line);
        }
    }
    out
}

fn key(read: &Reader<'_>, line: &CameLine) -> Option<Key> {
    let kind = line.name.kind;
    let plain = !line.asks && !line.hurts && line.photos.is_empty();
    let gathers = matches!(
        kind,
        Kind::Part
            | Kind::Order
            | Kind::Reading
            | Kind::Job
            | Kind::Container
            | Kind::HoldPoint
            | Kind::Limit
            | Kind::Finding
    );
    let thing = thing(read, &line.name)?;
    (plain && gathers && line.says.contains(&thing))
        .then(|| (line.who.clone(), kind, line.says.replacen(&thing, "\u{0}", 1)))
}

fn thing(read: &Reader<'_>, name: &Ref) -> Option<String> {
    Some(record::deed_said::thing(read.view, read.view.find(name)?))
}

fn said_of_many(read: &Reader<'_>, line: &mut CameLine) {
    let first = thing(read, &line.name).unwrap_or_default();
    let mut said = many(line.name.kind, line.many.len());
    if line.name.kind == Kind::Reading {
        if let Some(of) = of_what(read, &line.many) {
            said = format!("{said} of the {of}");
        }
        line.word = verdicts(&line.many);
    }
    let says = line.says.replacen(&first, &said, 1);
    // Only the word by itself: 'in its place' stays.
    let words: Vec<&str> = says
        .split(' ')
        .map(|word| match word {
            "it" => "them",
            "it," => "them,",
            other => other,
        })
        .collect();
    line.says = words.join(" ");
}

/// What the readings are of, where all of it is called alike: `pistons`.
fn of_what(read: &Reader<'_>, items: &[CameItem]) -> Option<String> {
    let mut about: BTreeSet<Ref> = BTreeSet::new();
    let mut names: BTreeSet<String> = BTreeSet::new();
    for item in items {
        let of = across::about(read.view.find(&item.name)?)?.name()?;
        let _ = names.insert(bare(read.view.find(&of)?).to_lowercase());
        let _ = about.insert(of);
    }
    let name = names.pop_first().filter(|_| names.is_empty())?;
    Some(if about.len() > 1 { several(&name) } else { name })
}

/// What the limits say of several, gravest first: `one out of limits`.
fn verdicts(items: &[CameItem]) -> Option<String> {
    let said = |words: &str| {
        let those = items
            .iter()
            .filter(|item| item.word.as_ref().is_some_and(|word| word.ends_with(words)));
        those.count()
    };
    let count = |count: usize| {
        if count == 1 {
            "one".to_owned()
        } else {
            count.to_string()
        }
    };
    let out = said(OUT);
    let close = said(CLOSE);
    let within = said(IN);
    let parts: Vec<String> = [(out, OUT), (close, CLOSE)]
        .into_iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, words)| format!("{} {words}", count(number)))
        .collect();
    match (parts.is_empty(), within == items.len()) {
        (true, true) => Some(format!("all {IN}")),
        (true, false) => None,
        (false, _) => Some(parts.join(", ")),
    }
}

const IN: &str = "in limits";
const OUT: &str = "out of limits";
const CLOSE: &str = "too close to call";

/// A verdict as a sentence says it.
pub(super) fn called_verdict(word: VerdictWord) -> &'static str {
    match word {
        VerdictWord::InLimits => IN,
        VerdictWord::TooCloseToCall => CLOSE,
        VerdictWord::BelowLimits | VerdictWord::AboveLimits => OUT,
    }
}
