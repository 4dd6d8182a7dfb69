//! The order in which parts stand along a shaft: a key each, compared as text, so that a merge of two who moved different parts keeps both
//! moves. It says which keys are to be put, and puts none; a part without one stands in no row.

use std::collections::BTreeSet;

/// Letters of a key, in their order.
const LETTERS: &[u8] = b"0123456789abcdefghijklmnopqrstuvwxyz";

/// The keys to put, by place, so that what has these keys stands in the order given. As few as can be: whoever moves one part writes to one.
///
/// ```
/// use record::row::keys;
///
/// // Nothing has a key yet: each gets one.
/// let first = keys(&[None, None, None]);
/// assert_eq!(first.len(), 3);
/// let key = |at: usize| Some(first[at].1.as_str());
/// // The last one goes before the first: it alone is written.
/// let moved = keys(&[key(2), key(0), key(1)]);
/// assert_eq!(moved.len(), 1);
/// assert!(moved[0].0 == 0 && moved[0].1.as_str() < key(0).unwrap());
/// ```
#[must_use]
pub fn keys(standing: &[Option<&str>]) -> Vec<(usize, String)> {
    let stay = rising(standing);
    let mut out = Vec::new();
    let mut low: Option<String> = None;
    for (at, key) in standing.iter().enumerate() {
        if let (true, Some(key)) = (stay.contains(&at), key) {
            low = Some((*key).to_owned());
            continue;
        }
        let next = (at..standing.len()).find(|next| stay.contains(next));
        let high = next.and_then(|next| standing.get(next).copied().flatten());
        let Some(fresh) = between(low.as_deref().unwrap_or_default(), high) else {
            return evenly(standing.len());
        };
        low = Some(fresh.clone());
        out.push((at, fresh));
    }
    out
}

/// The places of the longest run of keys that stand in order already.
fn rising(standing: &[Option<&str>]) -> BTreeSet<usize> {
    // For each place the longest run that ends there, and what comes before it in that.
    let mut runs: Vec<(usize, Option<usize>)> = Vec::new();
    for (at, key) in standing.iter().enumerate() {
        let before = standing
            .iter()
            .take(at)
            .enumerate()
            .filter(|(_, other)| matches!((other, key), (Some(other), Some(key)) if other < key));
        let best = before
            .filter_map(|(place, _)| Some((runs.get(place)?.0, place)))
            .max_by_key(|(length, place)| (*length, std::cmp::Reverse(*place)));
        runs.push(match (key, best) {
            (None, _) => (0, None),
            (Some(_), None) => (1, None),
            (Some(_), Some((length, place))) => (length.saturating_add(1), Some(place)),
        });
    }
    let longest = runs
        .iter()
        .enumerate()
        .max_by_key(|(at, (length, _))| (*length, std::cmp::Reverse(*at)));
    let mut places = BTreeSet::new();
    let mut at = longest.filter(|(_, (length, _))| *length > 0).map(|(at, _)| at);
    while let Some(place) = at {
        places.insert(place);
        at = runs.get(place).and_then(|(_, before)| *before);
    }
    places
}

/// A key between two; nothing where there is none that this can make, as between keys of another program's letters.
fn between(low: &str, high: Option<&str>) -> Option<String> {
    let digit = |text: &str, at: usize| -> Option<usize> {
        match text.as_bytes().get(at) {
            None => Some(0),
            Some(letter) => LETTERS.iter().position(|one| one == letter),
        }
    };
    let mut key = String::new();
    let mut bound = high;
    for at in 0..=low.len().max(high.map_or(0, str::len)).saturating_add(1) {
        let from = digit(low, at)?;
        let to = match bound {
            Some(bound) if at < bound.len() => digit(bound, at)?,
            Some(_) => return None,
            None => LETTERS.len(),
        };
        let middle = from.saturating_add(to) / 2;
        if middle > from {
            key.push(char::from(*LETTERS.get(middle)?));
            return Some(key);
        }
        if from > to {
            return None;
        }
        key.push(char::from(*LETTERS.get(from)?));
        if from < to {
            // Below the upper one from here on, whatever follows.
            bound = None;
        }
    }
    None
}

/// Keys for all, far enough apart that much fits between.
#[must_use]
pub fn evenly(count: usize) -> Vec<(usize, String)> {
    let key = |at: usize| format!("{:06}", at.saturating_add(1).saturating_mul(100));
    (0..count).map(|at| (at, key(at))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Puts the keys, and says whether all stand in the order given then.
    fn stands(before: &[Option<&str>]) -> (usize, bool) {
        let put = keys(before);
        let mut after: Vec<String> = before
            .iter()
            .map(|key| key.unwrap_or_default().to_owned())
            .collect();
        for (at, key) in &put {
            if let Some(here) = after.get_mut(*at) {
                here.clone_from(key);
            }
        }
        let rises = after
            .iter()
            .zip(after.iter().skip(1))
            .all(|(one, next)| one < next);
        (put.len(), rises && after.iter().all(|key| !key.is_empty()))
    }

    #[test]
    fn whatever_keys_there_are_all_stand_in_order_then() {
        let check =
            |before: &[Option<&str>], put: usize| assert_eq!(stands(before), (put, true), "{before:?}");
        check(&[], 0);
        check(&[None], 1);
        check(&[Some("a"), Some("b")], 0);
        check(&[Some("b"), Some("a"), Some("c")], 1);
        check(&[Some("a"), None, Some("b")], 1);
        check(&[Some("a"), None, None, None, Some("a1")], 3);
        // Two that were given one key apart.
        check(&[Some("h"), Some("h"), Some("i")], 1);
        // Letters that are not this program's, and no room: all get new ones.
        check(&[Some("Ä"), None, Some("Ö")], 3);
        check(&[None, Some("0")], 2);
    }

    #[test]
    fn much_is_put_at_one_place_and_keys_stay_short() {
        let mut row: Vec<String> = vec!["i".to_owned(), "j".to_owned()];
        for _ in 0..200 {
            let before: Vec<Option<&str>> = std::iter::once(row.first().map(String::as_str))
                .chain([None])
                .chain(row.iter().skip(1).map(|key| Some(key.as_str())))
                .collect();
            let put = keys(&before);
            assert!(put.len() == 1 && put.iter().all(|(at, _)| *at == 1), "{put:?}");
            row.insert(1, put.into_iter().map(|(_, key)| key).collect());
        }
        assert!(row.iter().zip(row.iter().skip(1)).all(|(one, next)| one < next));
        assert!(row.iter().all(|key| key.len() < 120));
    }
}
