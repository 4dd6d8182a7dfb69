//! From a spelling to the units it may mean.
//!
//! Never picks among several, and never looks at the number.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::clean::GROUP_SPACE;
use crate::quantity::{Kind, Unit};

/// What a spelling leads to.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum UnitFound {
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

/// One spelling of one unit.
struct Spelled {
    /// Just so, as the table has it.
    just_so: &'static str,
    unit: Unit,
    /// It means this unit only where its kind is expected.
    if_expected: bool,
}

/// Every spelling by its lower case, in the order of the table.
static SPELLED: LazyLock<HashMap<String, Vec<Spelled>>> = LazyLock::new(|| {
    let mut all: HashMap<String, Vec<Spelled>> = HashMap::new();
    for unit in Unit::ALL.iter().copied() {
        let plain = unit.spellings().iter().map(|just_so| (*just_so, false));
        let expected = unit
            .spellings_if_expected()
            .iter()
            .map(|just_so| (*just_so, true));
        for (just_so, if_expected) in plain.chain(expected) {
            all.entry(just_so.to_lowercase()).or_default().push(Spelled {
                just_so,
                unit,
                if_expected,
            });
        }
    }
    all
});

/// The units that `text` may mean, of `kind` where one is expected.
pub(super) fn find(text: &str, kind: Option<Kind>) -> UnitFound {
    let spelling = squeeze(text);
    let Some(spelled) = SPELLED.get(&spelling.to_lowercase()) else {
        return UnitFound::Unknown;
    };
    let units = |keep: &dyn Fn(&Spelled) -> bool| -> Vec<Unit> {
        let mut units: Vec<Unit> = spelled
            .iter()
            .filter(|one| keep(one))
            .map(|one| one.unit)
            .collect();
        units.dedup();
        units
    };
    // Case counts first (mΩ is not MΩ), and is let go of only where nothing is spelled just so.
    let mut own = units(&|one| !one.if_expected && one.just_so == spelling);
    if own.is_empty() {
        own = units(&|one| !one.if_expected);
    }
    let Some(kind) = kind else {
        return if own.is_empty() {
            UnitFound::Unknown
        } else {
            UnitFound::Units(own)
        };
    };
    let of_kind: Vec<Unit> = own.iter().copied().filter(|unit| unit.kind() == kind).collect();
    if !of_kind.is_empty() {
        return UnitFound::Units(of_kind);
    }
    let expected = units(&|one| one.if_expected && one.unit.kind() == kind);
    match (expected.is_empty(), own.is_empty()) {
        (false, _) => UnitFound::Units(expected),
        (true, false) => UnitFound::OtherKind(own),
        (true, true) => UnitFound::Unknown,
    }
}
