//! The core has no machine: what calculates, what a record is and the notebook name no file, path, thread, lock or clock of the
//! system's. What they need of one they are lent.
//!
//! It looks at the programs alone, not at their tests, which may open a folder.

use super::{Fault, code_lines};
use crate::walk::Page;

/// The core's rooms.
const CORE: [&str; 3] = ["crates/reckon/src/", "crates/record/src/", "crates/notebook/src/"];

/// What a machine lends, as it is named.
const MACHINE: [&str; 12] = [
    "std::fs",
    "std::thread",
    "use std::path",
    "std::net::Tcp",
    "std::net::Udp",
    "std::process",
    "std::env",
    "Instant",
    "SystemTime",
    "Mutex",
    "RwLock",
    "Condvar",
];

/// Lines of the core that name a machine's things.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let rooms = pages.iter().filter(|page| {
        page.ending() == "rs"
            && !page.name.ends_with("/tests.rs")
            && CORE.iter().any(|room| page.name.starts_with(room))
    });
    let mut faults = Vec::new();
    for page in rooms {
        let program = page.text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
        for (number, line) in code_lines(program) {
            let named = |name: &&&str| words(line, name);
            if let Some(name) = MACHINE.iter().find(named) {
                faults.push(Fault::new(
                    format!("{}:{number}", page.name),
                    format!("names {name}: the core has no machine, and is lent what it needs of one"),
                ));
            }
        }
    }
    faults
}

/// Whether a line has the name, not as a part of a longer one.
fn words(line: &str, name: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(name).any(|(at, _)| {
        let before = line.get(..at).and_then(|text| text.chars().next_back());
        let after = line
            .get(at.saturating_add(name.len())..)
            .and_then(|text| text.chars().next());
        !before.is_some_and(part) && (name.contains(':') || !after.is_some_and(part))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(name: &str, text: &str) -> usize {
        faults(&[Page::new(name, text)]).len()
    }

    #[test]
    fn a_machine_in_the_core_is_told_of_and_one_elsewhere_is_not() {
        for line in [
            "use std::fs::File;",
            "    std::thread::sleep(long);",
            "use std::sync::{Arc, Mutex};",
            "let began = Instant::now();",
        ] {
            assert_eq!(told("crates/notebook/src/a.rs", line), 1, "{line}");
            assert_eq!(told("crates/host/src/a.rs", line), 0, "{line}");
        }
        for line in ["// a Mutex would do", "let instants = 3;", "use std::sync::Arc;"] {
            assert_eq!(told("crates/record/src/a.rs", line), 0, "{line}");
        }
        let tests = "fn a() {}\n#[cfg(test)]\nmod tests {\n    use std::fs::File;\n}\n";
        assert_eq!(told("crates/reckon/src/a.rs", tests), 0);
    }
}
