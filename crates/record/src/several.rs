//! How several measures are kept in one line of text: each as a measure is kept, parted by `; `, and the rows of a grid by ` | `. It
//! reads what was written; what a person typed is read by the shapes of fields.

use reckon::Typed;

/// What parts the values of several; no typed value has a semicolon in it.
pub(crate) const BETWEEN: &str = "; ";
/// What parts the rows of a grid.
pub(crate) const BETWEEN_ROWS: &str = " | ";

/// The values of a kept line; none where any of them cannot be read.
pub(crate) fn measures(kept: &str) -> Option<Vec<Typed>> {
    kept.split(BETWEEN)
        .map(|one| Typed::from_kept(one).ok())
        .collect()
}

/// The rows of a kept line; none where any value cannot be read.
pub(crate) fn rows(kept: &str) -> Option<Vec<Vec<Typed>>> {
    kept.split(BETWEEN_ROWS).map(measures).collect()
}
