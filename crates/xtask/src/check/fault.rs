//! What a check finds, and what of a file it looks at. It knows no rule.

/// One thing that is wrong: where, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Fault {
    /// A file of the house or a crate's name.
    pub(crate) place: String,
    /// What is wrong there.
    pub(crate) what: String,
}

impl Fault {
    /// A fault at a place.
    pub(super) fn new(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            what: what.into(),
        }
    }
}

/// The lines of a program that are not comments, with their numbers from 1: enough to tell an import from a
/// mention. A block comment's inner lines count as comments when they start with `*`.
pub(super) fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(number, line)| (number + 1, line))
        .filter(|(_, line)| {
            let line = line.trim_start();
            !["//", "/*", "*", "#!", "<!--"]
                .iter()
                .any(|mark| line.starts_with(mark))
        })
}
