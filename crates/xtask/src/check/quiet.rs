//! No test is switched off, and none is run alone by mistake: a quiet test is no test.
//!
//! It looks for the words that test runners know; it cannot tell a test that asserts nothing.

use super::{Fault, code_lines};
use crate::walk::Page;

/// The words, in two halves so that this file is clean itself, and the endings of the files that may hold them.
const QUIET: [(&str, &str, &[&str]); 8] = [
    ("#[ign", "ore", &["rs"]),
    ("test.sk", "ip(", &["ts", "mjs", "js"]),
    ("it.sk", "ip(", &["ts", "mjs", "js"]),
    ("describe.sk", "ip(", &["ts", "mjs", "js"]),
    ("test.on", "ly(", &["ts", "mjs", "js"]),
    ("it.on", "ly(", &["ts", "mjs", "js"]),
    ("describe.on", "ly(", &["ts", "mjs", "js"]),
    ("test.to", "do(", &["ts", "mjs", "js"]),
];

/// Lines that silence tests.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for page in pages {
        for (number, line) in code_lines(&page.text) {
            for (start, end, endings) in QUIET {
                let word = format!("{start}{end}");
                if endings.contains(&page.ending()) && line.contains(&word) {
                    faults.push(Fault::new(
                        format!("{}:{number}", page.name),
                        format!("silences tests with `{word}`"),
                    ));
                }
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn silenced_tests_are_told() {
        for (start, end, endings) in QUIET {
            let line = format!("    {start}{end}");
            for ending in endings {
                assert_eq!(
                    faults(&[Page::new(&format!("a.{ending}"), &line)]).len(),
                    1,
                    "{line}"
                );
            }
            assert!(faults(&[Page::new("a.md", &line)]).is_empty());
        }
        assert!(faults(&[Page::new("a.ts", "test('a day', () => {});")]).is_empty());
    }
}
