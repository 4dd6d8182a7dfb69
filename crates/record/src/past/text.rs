//! A text put together again from the letters of some of the changes that wrote in it: each stands behind the letter that its writer
//! saw before it, and of two that were put behind one letter apart the one of the greater name comes first. So Automerge orders them,
//! which is what this is held against.

use std::collections::{BTreeSet, HashMap};

use crate::wrote::{Gone, Letters, Run};

/// The name of a letter: its number and its actor.
type Name<'a> = (u64, &'a str);

struct Letter<'a> {
    /// What stands in its place, each with its name.
    reads: Vec<(Name<'a>, &'a str)>,
    /// Those that were put in behind it.
    behind: Vec<Name<'a>>,
}

/// The text that these leave, each with the actor of its change.
pub(super) fn of(all: &[(&str, &Letters)]) -> String {
    let mut letters: HashMap<Name<'_>, Letter<'_>> = HashMap::new();
    let mut head: Vec<Name<'_>> = Vec::new();
    let mut placed: Vec<(Option<Name<'_>>, Name<'_>)> = Vec::new();
    let mut over: Vec<(Name<'_>, Name<'_>, &str)> = Vec::new();
    for (actor, written) in all {
        for run in &written.put {
            let mut before = run.at.as_ref().map(|at| (at.number, at.actor.as_str()));
            for (name, letter) in each(run, actor) {
                if run.over {
                    over.extend(before.map(|at| (at, name, letter)));
                    continue;
                }
                placed.push((before, name));
                letters.insert(
                    name,
                    Letter {
                        reads: vec![(name, letter)],
                        behind: Vec::new(),
                    },
                );
                before = Some(name);
            }
        }
    }
    for (at, name, letter) in over {
        if let Some(at) = letters.get_mut(&at) {
            at.reads.push((name, letter));
        }
    }
    for (before, name) in placed {
        match before {
            None => head.push(name),
            Some(before) => {
                if let Some(before) = letters.get_mut(&before) {
                    before.behind.push(name);
                }
            }
        }
    }
    let gone = gone(all);
    let mut text = String::new();
    // The first of them is to be taken next, so it lies last.
    head.sort_unstable();
    let mut open = head;
    while let Some(name) = open.pop() {
        let Some(letter) = letters.get_mut(&name) else {
            continue;
        };
        let reads = letter.reads.iter().filter(|(name, _)| !is_gone(&gone, *name));
        text.extend(reads.max().map(|(_, letter)| *letter));
        letter.behind.sort_unstable();
        open.append(&mut letter.behind);
    }
    text
}

/// The letters of a run, with their names.
fn each<'a>(run: &'a Run, actor: &'a str) -> impl Iterator<Item = (Name<'a>, &'a str)> {
    // One letter may be of several signs, or of none.
    let alone = (run.count == 1).then_some(run.letters.as_str());
    let signs = run.letters.char_indices().filter(|_| run.count != 1);
    let signs = signs.map(|(at, sign)| {
        let end = at.saturating_add(sign.len_utf8());
        run.letters.get(at..end).unwrap_or_default()
    });
    (run.first..)
        .zip(alone.into_iter().chain(signs))
        .map(move |(number, letter)| ((number, actor), letter))
}

/// What was taken out, by actor: stretches of numbers, from the first to behind the last.
fn gone<'a>(all: &[(&'a str, &'a Letters)]) -> HashMap<&'a str, Vec<(u64, u64)>> {
    // The same may be taken out again and again.
    let each: BTreeSet<&Gone> = all.iter().flat_map(|(_, written)| &written.gone).collect();
    let mut gone: HashMap<&str, Vec<(u64, u64)>> = HashMap::new();
    for one in each {
        let of = gone.entry(one.first.actor.as_str()).or_default();
        let numbers: Vec<u64> = one.numbers().collect();
        match (one.step, numbers.first(), numbers.last()) {
            (1, Some(first), Some(last)) => of.push((*first, last.saturating_add(1))),
            (-1, Some(first), Some(last)) => of.push((*last, first.saturating_add(1))),
            _ => of.extend(numbers.iter().map(|number| (*number, number.saturating_add(1)))),
        }
    }
    for of in gone.values_mut() {
        of.sort_unstable();
        // Stretches that lie in one another are one.
        of.dedup_by(|next, before| {
            let joined = next.0 <= before.1;
            if joined {
                before.1 = before.1.max(next.1);
            }
            joined
        });
    }
    gone
}

fn is_gone(gone: &HashMap<&str, Vec<(u64, u64)>>, (number, actor): Name<'_>) -> bool {
    let Some(of) = gone.get(actor) else { return false };
    let at = of.partition_point(|(first, _)| *first <= number);
    let stretch = at.checked_sub(1).and_then(|at| of.get(at));
    stretch.is_some_and(|(_, end)| number < *end)
}
