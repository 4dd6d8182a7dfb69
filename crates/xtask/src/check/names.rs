//! No file is named after nothing in particular: such a file gathers whatever has no home.
//!
//! It looks at names only, never at what is inside.

use super::Fault;
use crate::walk::Page;

/// Words that say nothing about what a file holds.
const SAY_NOTHING: [&str; 8] = [
    "util", "utils", "helper", "helpers", "manager", "common", "misc", "stuff",
];

/// Files and folders with such a name.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    pages
        .iter()
        .filter_map(|page| {
            let said = page
                .name
                .split('/')
                .flat_map(|part| part.split(['.', '-', '_']))
                .map(str::to_ascii_lowercase);
            let word = said
                .into_iter()
                .find(|word| SAY_NOTHING.contains(&word.as_str()))?;
            Some(Fault::new(
                &page.name,
                format!("`{word}` says nothing about what is inside"),
            ))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_say_nothing_are_told() {
        let check =
            |name: &str, clean: bool| assert_eq!(faults(&[Page::new(name, "")]).is_empty(), clean, "{name}");
        check("ui/src/shared/Glyph.svelte", true);
        check("ui/src/lib/utils.ts", false);
        check("crates/common/src/lib.rs", false);
        check("crates/store/src/date_helpers.rs", false);
        check("crates/store/src/uncommon.rs", true);
    }
}
