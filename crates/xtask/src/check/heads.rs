//! Every source file starts with a head: a comment that says what it is for.
//!
//! It cannot judge whether the head is true; it makes sure that somebody wrote one.

use super::Fault;
use crate::walk::Page;

/// Endings of the files that need a head; a file without an ending needs one when it starts with `#!`.
const SOURCES: [&str; 12] = [
    "rs", "ts", "js", "mjs", "cjs", "svelte", "html", "css", "py", "sh", "sql", "toml",
];

/// Fewer words than this say nothing.
const FEWEST_WORDS: usize = 4;

/// Files without a head.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    pages
        .iter()
        .filter(|page| needs_head(page))
        .filter(|page| {
            head(&page.text)
                .split_whitespace()
                .filter(|word| is_a_word(word))
                .count()
                < FEWEST_WORDS
        })
        .map(|page| Fault::new(&page.name, "has no head that says what it is for"))
        .collect()
}

/// A package's manifest describes itself in a field of its own; Cargo's own member manifests are such.
fn needs_head(page: &Page) -> bool {
    if page.file_name() == "Cargo.toml" && page.text.contains("[package]") {
        return false;
    }
    SOURCES.contains(&page.ending()) || (page.ending().is_empty() && page.text.starts_with("#!"))
}

fn is_a_word(word: &str) -> bool {
    word.chars().any(char::is_alphabetic)
}

/// The comment that the file starts with, without its marks; nothing when it starts with something else.
///
/// A `#!` line for the shell and a `<!doctype html>` may stand before it.
pub(crate) fn head(text: &str) -> String {
    let mut lines = text.trim_start_matches('\u{feff}').lines().peekable();
    while let Some(line) = lines.peek() {
        let line = line.trim();
        let before =
            line.is_empty() || line.starts_with("#!/") || line.to_ascii_lowercase().starts_with("<!doctype");
        if !before {
            break;
        }
        lines.next();
    }
    let first = lines.peek().map_or("", |line| line.trim_start());
    for (open, close) in [("/*", "*/"), ("<!--", "-->")] {
        if first.starts_with(open) {
            let rest = lines.collect::<Vec<_>>().join("\n");
            let inside = rest.trim_start().trim_start_matches(open);
            return inside.split(close).next().unwrap_or_default().replace('*', " ");
        }
    }
    if let Some(quotes) = ["\"\"\"", "'''"]
        .into_iter()
        .find(|quotes| first.starts_with(quotes))
    {
        let rest = lines.collect::<Vec<_>>().join("\n");
        return rest
            .trim_start()
            .trim_start_matches(quotes)
            .split(quotes)
            .next()
            .unwrap_or_default()
            .to_owned();
    }
    for mark in ["//", "#", "--"] {
        if first.starts_with(mark) && !first.starts_with("#[") && !first.starts_with("#![") {
            let block: Vec<_> = lines
                .take_while(|line| line.trim_start().starts_with(mark))
                .collect();
            let bare = |line: &&str| {
                line.trim_start()
                    .trim_start_matches(['/', '#', '-', '!'])
                    .to_owned()
            };
            return block.iter().map(bare).collect::<Vec<_>>().join("\n");
        }
    }
    String::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, text: &str, has_head: bool) {
        assert_eq!(
            faults(&[Page::new(name, text)]).is_empty(),
            has_head,
            "{name}: {text:?}"
        );
    }

    #[test]
    fn heads_of_every_kind_are_seen() {
        check("a.rs", "//! What a bore is, measured and judged.\n", true);
        check("a.ts", "// The day sheet, as it is shown.\nlet x;", true);
        check(
            "a.svelte",
            "<!--\n  One entry of a day sheet.\n-->\n<script>",
            true,
        );
        check("a.css", "/*\n * Ink, paper and one blue.\n */", true);
        check("a.py", "\"\"\"The reference values of fits.\"\"\"\n", true);
        check("a.sh", "#!/bin/sh\n\n# Runs what the project promises.\n", true);
        check(
            "run",
            "#!/usr/bin/env bash\n# Runs what the project promises.\n",
            true,
        );
        check(
            "index.html",
            "<!doctype html>\n<!-- The page that holds the program. -->\n",
            true,
        );
    }

    #[test]
    fn a_file_without_a_head_is_told() {
        check(
            "a.rs",
            "use std::fmt;\n//! too late to say what it is for\n",
            false,
        );
        check("a.rs", "", false);
        check("a.rs", "#![forbid(unsafe_code)]\n", false);
        check("a.rs", "//! Things.\n", false);
        check("a.ts", "// ----------------- = = = =\nlet x;", false);
        check("a.svelte", "<script>let what_it_is_for = 1;</script>", false);
        check("a.css", "body { color: black }", false);
        check("run", "#!/bin/sh\necho what it is for\n", false);
    }

    #[test]
    fn other_files_need_none() {
        check("letter.md", "Hello", true);
        check("crates/a/Cargo.toml", "[package]\nname = 'a'", true);
        check("Cargo.toml", "[workspace]\n", false);
    }
}
