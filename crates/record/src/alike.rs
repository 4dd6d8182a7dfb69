//! What is there already that a keeper is about to enter again: a code that is taken, an order for the same part or in the same words, a
//! part of the same name and place, a job in the same words. It hints, and refuses nothing; and it says which code is free.

use std::collections::BTreeSet;

use crate::across;
use crate::entities::{Container, Job, Order, Part};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::home::within;
use crate::name::{Id, Kind, Ref};
use crate::time::Day;
use crate::title::title;
use crate::trade;
use crate::view::View;
use crate::words::{JobState, OrderState, Words};

/// What was typed so far.
#[derive(Clone, Debug)]
pub struct Typed<'t> {
    /// Of which kind it will be.
    pub kind: Kind,
    /// Its name, its code or what it says.
    pub words: &'t str,
    /// A part's position.
    pub position: &'t str,
    /// The part that it is for.
    pub part: Option<&'t Id>,
    /// The assembly that it is in.
    pub assembly: Option<&'t Id>,
    /// The one that is being changed, which is not its own double.
    pub besides: Option<&'t Id>,
}

/// One that is there already.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alike {
    /// Which.
    pub what: Ref,
    /// What it is called.
    pub title: String,
    /// How it stands, in words: `already ordered`, `B7 is taken`.
    pub says: String,
    /// Since when.
    pub on: Option<Day>,
}

/// Most that are hinted at.
const MOST: usize = 3;

/// What is there already, what is nearest first.
#[must_use]
pub fn alike(view: &View, typed: &Typed<'_>) -> Vec<Alike> {
    let standing = || {
        view.standing(typed.kind)
            .filter(|entry| Some(&entry.id) != typed.besides)
    };
    let mut found: Vec<(u8, Alike)> = standing()
        .filter_map(|entry| {
            let (far, says) = match typed.kind {
                Kind::Container => taken(entry, typed),
                Kind::Order => ordered(entry, typed),
                Kind::Part => same_part(view, entry, typed),
                Kind::Job => same_job(view, entry, typed),
                _ => None,
            }?;
            let hint = Alike {
                what: entry.name(),
                title: title(entry),
                says,
                on: since(entry),
            };
            Some((far, hint))
        })
        .collect();
    found.sort_by(|a, b| (a.0, &a.1.title, &a.1.what).cmp(&(b.0, &b.1.title, &b.1.what)));
    found.into_iter().map(|(_, hint)| hint).take(MOST).collect()
}

/// Since when it stands as it does; the day it was entered where it has no state.
fn since(entry: &Entry) -> Option<Day> {
    let put = entry
        .fields
        .get(Order::state)
        .and_then(|held| held.claims().first());
    let put = put.map(|claim| claim.stamp.at.day(0));
    put.or_else(|| across::on(entry)?.parse().ok())
}

fn taken(entry: &Entry, typed: &Typed<'_>) -> Option<(u8, String)> {
    let code = Container::of(entry)?.code()?;
    let wanted = coded(typed.words);
    (!wanted.is_empty() && coded(code) == wanted).then(|| (0, format!("{} is taken", crate::shown(code))))
}

/// A code as it is compared: `b 7` and `B7` are one.
fn coded(code: &str) -> String {
    code.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_uppercase)
        .collect()
}

fn ordered(entry: &Entry, typed: &Typed<'_>) -> Option<(u8, String)> {
    let order = Order::of(entry)?;
    let state = order.state().unwrap_or(OrderState::ToFind);
    // One that was given up does not buy anything twice.
    if state == OrderState::Cancelled {
        return None;
    }
    let same_part = typed.part.is_some_and(|part| order.part() == Some(part.into()));
    let far = match (same_part, likeness(order.what().unwrap_or_default(), typed.words)) {
        (true, _) | (_, Likeness::Same) => 0,
        (_, Likeness::Near) => 1,
        _ => return None,
    };
    let said = OrderState::SET.said(state.word()).unwrap_or(state.word());
    Some((far, format!("already {said}")))
}

fn same_part(view: &View, entry: &Entry, typed: &Typed<'_>) -> Option<(u8, String)> {
    let part = Part::of(entry)?;
    if likeness(part.name().unwrap_or_default(), typed.words) != Likeness::Same {
        return None;
    }
    let there = part.position().unwrap_or_default();
    let elsewhere = !typed.position.trim().is_empty()
        && !there.is_empty()
        && likeness(there, typed.position) != Likeness::Same;
    let other = typed.assembly.is_some_and(|assembly| {
        part.assembly()
            .is_some_and(|home| home != assembly.into() && home.id().is_some())
    });
    // The same gasket in another assembly is another gasket.
    if elsewhere || other {
        return None;
    }
    let place = within(view, entry).map_or_else(
        || "in no assembly".to_owned(),
        |place| format!("in {}", title(place)),
    );
    Some((0, format!("already there, {place}")))
}

fn same_job(view: &View, entry: &Entry, typed: &Typed<'_>) -> Option<(u8, String)> {
    let job = Job::of(entry)?;
    let far = match likeness(job.what().unwrap_or_default(), typed.words) {
        Likeness::Same => 0,
        Likeness::Near => 1,
        Likeness::Other => return None,
    };
    if typed
        .assembly
        .is_some_and(|assembly| job.assembly() != Some(assembly.into()))
    {
        return None;
    }
    let state = job.state().unwrap_or(JobState::Open);
    let said = JobState::SET.said(state.word()).unwrap_or(state.word());
    let place = within(view, entry).map_or_else(String::new, |place| format!(" in {}", title(place)));
    Some((far, format!("already a job{place}, {said}")))
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Likeness {
    Same,
    Near,
    Other,
}

/// How alike two texts are by their words: the same ones in any order, or three of five in common. Plurals, small words and the other
/// side of the Atlantic's names make no difference.
fn likeness(one: &str, other: &str) -> Likeness {
    let (one, other) = (words(one), words(other));
    let both = one.intersection(&other).count();
    let all = one.union(&other).count();
    if both == 0 {
        Likeness::Other
    } else if both == all {
        Likeness::Same
    } else if both.saturating_mul(5) >= all.saturating_mul(3) {
        Likeness::Near
    } else {
        Likeness::Other
    }
}

const SMALL: [&str; 14] = [
    "a", "an", "and", "at", "by", "for", "from", "in", "of", "on", "or", "the", "to", "with",
];

/// The words that tell one thing from another, each by the first name that the trade has for it.
pub(crate) fn words(text: &str) -> BTreeSet<String> {
    let lower = text.to_lowercase();
    let plain = |word: &str| {
        let single = word
            .strip_suffix('s')
            .filter(|rest| rest.len() > 2 && !rest.ends_with('s'));
        single.unwrap_or(word).to_owned()
    };
    let mut named = lower.clone();
    for word in trade::TRADE_WORDS {
        let Some((first, others)) = word.names.split_first() else {
            continue;
        };
        for other in others {
            if named.split(|c: char| !c.is_alphanumeric()).count() > 0 && named.contains(other) {
                named = replaced(&named, other, first);
            }
        }
    }
    named
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty() && !SMALL.contains(word))
        .map(plain)
        .collect()
}

/// A name in place of another where that stands as whole words.
fn replaced(text: &str, other: &str, first: &str) -> String {
    let padded = format!(" {} ", text.split_whitespace().collect::<Vec<_>>().join(" "));
    let plural = padded.replace(&format!(" {other}s "), &format!(" {first} "));
    plural.replace(&format!(" {other} "), &format!(" {first} "))
}

/// The next code that nothing bears, by what was typed: after `B7` it is `B8` where that is free; where nothing is typed, the next of the
/// letters that most codes begin with. A struck bag still has its label, so its code counts as borne.
#[must_use]
pub fn free_code(view: &View, typed: &str) -> Option<String> {
    let mut borne: BTreeSet<(String, u32)> = BTreeSet::new();
    for entry in view.all(Kind::Container) {
        borne.extend(Container::of(entry).and_then(|bag| parted(&coded(bag.code()?))));
    }
    let (letters, after) = match parted(&coded(typed)) {
        Some((letters, number)) => (letters, number),
        None if typed.trim().is_empty() => {
            let many = |letters: &str| borne.iter().filter(|(other, _)| other == letters).count();
            let letters = borne
                .iter()
                .map(|(letters, _)| letters)
                .max_by_key(|letters| many(letters))?;
            let last = borne
                .iter()
                .filter(|(other, _)| other == letters)
                .map(|(_, number)| *number)
                .max()?;
            (letters.clone(), last)
        }
        None => return None,
    };
    (after..)
        .skip(1)
        .find(|number| !borne.contains(&(letters.clone(), *number)))
        .map(|number| format!("{letters}{number}"))
}

/// `B7` as its letters and its number.
fn parted(code: &str) -> Option<(String, u32)> {
    let at = code.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = code.split_at(at);
    (letters.chars().count() <= 4).then_some(())?;
    Some((letters.to_owned(), number.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_in_another_order_plurals_and_the_other_sides_names_are_the_same() {
        let check = |one: &str, other: &str, same: bool| {
            assert_eq!(likeness(one, other) == Likeness::Same, same, "{one} / {other}");
        };
        check("Hub oil seals, rear", "rear hub oil seal", true);
        check("Wrist pin", "gudgeon pins", true);
        check("Piston", "Piston ring", false);
        check("Gasket", "Casket", false);
    }

    #[test]
    fn a_code_falls_into_its_letters_and_its_number() {
        assert_eq!(parted("B7"), Some(("B".to_owned(), 7)));
        assert_eq!(parted("SHELF"), None);
        assert_eq!(parted("12"), Some((String::new(), 12)));
    }
}
