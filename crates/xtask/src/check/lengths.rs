//! How long files are: over the limit only with a reason in the head, on a line that starts with `Length:`.
//!
//! It counts lines, not worth: a short file can still have two reasons to exist.

use super::Fault;
use super::heads::head;
use crate::walk::Page;

/// Lines that a file may have without a reason.
const LIMIT: usize = 600;

const SOURCES: [&str; 8] = ["rs", "ts", "js", "mjs", "svelte", "css", "py", "sh"];

/// Files that are too long and do not say why.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    sources(pages)
        .filter(|(page, lines)| *lines > LIMIT && !has_reason(&page.text))
        .map(|(page, lines)| {
            Fault::new(
                &page.name,
                format!("has {lines} lines; over {LIMIT} needs a `Length:` line in its head that says why"),
            )
        })
        .collect()
}

/// One line for the report: how many source files, the median and the longest.
pub(crate) fn summary(pages: &[Page]) -> String {
    let mut lengths: Vec<_> = sources(pages)
        .map(|(page, lines)| (lines, page.name.as_str()))
        .collect();
    lengths.sort_unstable();
    let median = lengths.get(lengths.len() / 2).map_or(0, |(lines, _)| *lines);
    let longest = lengths.last().map_or(String::new(), |(lines, name)| {
        format!(", longest {lines} ({name})")
    });
    format!("{} source files, median {median} lines{longest}", lengths.len())
}

fn sources(pages: &[Page]) -> impl Iterator<Item = (&Page, usize)> {
    pages
        .iter()
        .filter(|page| SOURCES.contains(&page.ending()))
        .map(|page| (page, page.text.lines().count()))
}

fn has_reason(text: &str) -> bool {
    head(text).lines().any(|line| {
        line.trim()
            .strip_prefix("Length:")
            .is_some_and(|why| why.split_whitespace().count() > 2)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_file_needs_a_reason() {
        let long = "let x;\n".repeat(LIMIT);
        let check = |head: &str, clean: bool| {
            assert_eq!(
                faults(&[Page::new("a.rs", &format!("{head}\n{long}"))]).is_empty(),
                clean,
                "{head}"
            );
        };
        check("//! A table.", false);
        check("//! A table.\n//! Length: one", false);
        check(
            "//! A table.\n//! Length: one row a thread, kept together to be compared.",
            true,
        );
        assert!(faults(&[Page::new("a.rs", "//! Short.\n")]).is_empty());
        assert!(faults(&[Page::new("long.json", &long.repeat(2))]).is_empty());
    }

    #[test]
    fn the_summary_counts() {
        let pages = [
            Page::new("a.rs", "1\n"),
            Page::new("b.rs", "1\n2\n3\n"),
            Page::new("c.rs", "1\n2\n"),
        ];
        assert_eq!(
            summary(&pages),
            "3 source files, median 2 lines, longest 3 (b.rs)"
        );
    }
}
