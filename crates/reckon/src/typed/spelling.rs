//! From a spelling to the units it may mean.
//!
//! Never picks among several, and never looks at the number.

use super::clean::GROUP_SPACE;
use crate::quantity::{Kind, Unit};

/// What a spelling leads to.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// One unit, or several that share the spelling.
    Units(Vec<Unit>),
    /// Known, but none of the kind that is expected.
    OtherKind(Vec<Unit>),
    /// In no row of the table.
    Unknown,
}

/// A unit's text without what people put between its parts: `lb. ft`, `lb-ft`, `lb·ft` are one spelling. A slash stays.
fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !matches!(c, ' ' | '.' | '-' | '·' | '^' | &GROUP_SPACE))
        .map(|c| match c {
            '¹' => '1',
            '²' => '2',
            '³' => '3',
            c => c,
        })
        .collect()
}

/// The units that `text` may mean, of `kind` where one is expected.
pub(super) fn find(text: &str, kind: Option<Kind>) -> Found {
    let spelling = squeeze(text);
    if spelling.is_empty() {
        return Found::Unknown;
    }
    // Case counts first (mΩ is not MΩ), and is let go of only where nothing is spelled just so.
    let exactly = |known: &str| known == spelling;
    // The usual case, on every keystroke: spelled just so, of the kind that is expected.
    if let Some(kind) = kind {
        let just_so = rows(|unit| unit.kind() == kind && unit.spellings().iter().any(|s| exactly(s)));
        if !just_so.is_empty() {
            return Found::Units(just_so);
        }
    }
    let folded_spelling = spelling.to_lowercase();
    // No spelling of the table changes its length when folded (a test holds that), so most need no closer look.
    let folded = |known: &str| {
        known.len() == folded_spelling.len()
            && (known.eq_ignore_ascii_case(&folded_spelling)
                || !known.is_ascii()
                    && known
                        .chars()
                        .flat_map(char::to_lowercase)
                        .eq(folded_spelling.chars()))
    };
    let own = rows(|unit| unit.spellings().iter().any(|s| exactly(s)));
    let own = if own.is_empty() {
        rows(|unit| unit.spellings().iter().any(|s| folded(s)))
    } else {
        own
    };
    let Some(kind) = kind else {
        return if own.is_empty() {
            Found::Unknown
        } else {
            Found::Units(own)
        };
    };
    let of_kind: Vec<Unit> = own.iter().copied().filter(|unit| unit.kind() == kind).collect();
    if !of_kind.is_empty() {
        return Found::Units(of_kind);
    }
    let expected = rows(|unit| unit.kind() == kind && unit.spellings_if_expected().iter().any(|s| folded(s)));
    match (expected.is_empty(), own.is_empty()) {
        (false, _) => Found::Units(expected),
        (true, false) => Found::OtherKind(own),
        (true, true) => Found::Unknown,
    }
}

fn rows(keep: impl Fn(Unit) -> bool) -> Vec<Unit> {
    Unit::ALL.iter().copied().filter(|unit| keep(*unit)).collect()
}

#[cfg(test)]
mod tests {
    use crate::quantity::Unit;

    #[test]
    fn spellings_keep_their_length_when_folded() {
        for unit in Unit::ALL {
            for known in unit.spellings().iter().chain(unit.spellings_if_expected()) {
                assert_eq!(known.len(), known.to_lowercase().len(), "{known}");
            }
        }
    }
}
