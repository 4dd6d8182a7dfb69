//! The notebook's writer names no command: the registry stands on it, and it can be compiled and tested without the registry.
//!
//! It looks at the programs alone, not at their tests, which ask by name as a face does.

use super::{Fault, code_lines};
use crate::walk::Page;

/// The notebook's room, and who in it may name the registry: itself, and the façade that hands it out.
const ROOM: &str = "crates/notebook/src/";
const REGISTRY: &str = "crates/notebook/src/command/";
const FACADE: &str = "crates/notebook/src/lib.rs";

/// How the registry is named from beside it, and what the façade hands out of it.
const NAMES: [&str; 4] = [
    "command::",
    "crate::registry",
    "crate::Registered",
    "crate::typescript",
];

/// Lines of the notebook beside the registry that name it.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let beside = pages.iter().filter(|page| {
        page.ending() == "rs"
            && page.name.starts_with(ROOM)
            && !page.name.starts_with(REGISTRY)
            && page.name != FACADE
            && !page.name.ends_with("/tests.rs")
    });
    let mut faults = Vec::new();
    for page in beside {
        let program = page.text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
        for (number, line) in code_lines(program) {
            let listed = line.trim_start().starts_with("use crate::{") && line.contains("command");
            if listed || NAMES.iter().any(|name| names(line, name)) {
                faults.push(Fault::new(
                    format!("{}:{number}", page.name),
                    "names the registry: what the notebook does is beside it, and a command asks for that",
                ));
            }
        }
    }
    faults
}

/// Whether a line has the name, not as the end of a longer one.
fn names(line: &str, name: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(name).any(|(at, _)| {
        let before = line.get(..at).and_then(|text| text.chars().next_back());
        !before.is_some_and(part)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(name: &str, text: &str) -> usize {
        faults(&[Page::new(name, text)]).len()
    }

    #[test]
    fn a_file_beside_the_registry_that_names_it_is_told_of_and_the_registry_itself_is_not() {
        for line in [
            "use crate::command::Check;",
            "    crate::command::call(self, record, name, args)",
            "use super::super::command::meetings::Rebuild;",
            "use crate::{command, shelf};",
            "for command in crate::registry() {",
        ] {
            assert_eq!(told("crates/notebook/src/long/works.rs", line), 1, "{line}");
            assert_eq!(told("crates/notebook/src/command/long.rs", line), 0, "{line}");
            assert_eq!(told("crates/notebook/src/lib.rs", line), 0, "{line}");
            assert_eq!(told("crates/host/src/turns.rs", line), 0, "{line}");
        }
        for line in [
            "// crate::command is above",
            "let command = 3;",
            "use crate::shelf::Shelf;",
            "own_command::x()",
        ] {
            assert_eq!(told("crates/notebook/src/notebook.rs", line), 0, "{line}");
        }
        let tests = "fn a() {}\n#[cfg(test)]\nmod tests {\n    use crate::command::Check;\n}\n";
        assert_eq!(told("crates/notebook/src/notebook.rs", tests), 0);
    }
}
