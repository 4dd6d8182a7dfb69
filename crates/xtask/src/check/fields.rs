//! A field of an entry is named by its kind (`Part::name`, or its view), so that a field that is renamed or goes fails the
//! build wherever it was read.
//!
//! It sees the calls that read an entry by a name, with a text in place of one; what takes the name from elsewhere is generic
//! code, and knows every field alike.

use super::{Fault, code_lines};
use crate::walk::Page;

/// Where entries are read.
const ROOMS: [&str; 3] = ["crates/record/src/", "crates/store/src/", "crates/notebook/src/"];

/// The readings of an entry by the name of a field, in two halves so that this file is clean itself.
const READINGS: [(&str, &str); 4] = [
    (".line(", "\""),
    (".called(", "\""),
    (".members(", "\""),
    (".fields.get(", "\""),
];

/// Lines that read a field by a text.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let rooms = pages
        .iter()
        .filter(|page| page.ending() == "rs" && ROOMS.iter().any(|room| page.name.starts_with(room)));
    let mut faults = Vec::new();
    for page in rooms {
        for (number, line) in code_lines(&page.text) {
            if READINGS
                .iter()
                .any(|(start, end)| line.contains(&format!("{start}{end}")))
            {
                faults.push(Fault::new(
                    format!("{}:{number}", page.name),
                    "reads a field by a text: name it by its kind, as `Part::name` does",
                ));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_that_is_read_by_a_text_is_told() {
        let at = |room: &str, line: &str| faults(&[Page::new(&format!("{room}a.rs"), line)]).len();
        for (start, end) in READINGS {
            let by_text = format!("    let name = entry{start}{end}name\");");
            for room in ROOMS {
                assert_eq!(at(room, &by_text), 1, "{by_text}");
                assert_eq!(at(room, &format!("    // {by_text}")), 0);
            }
            assert_eq!(at("crates/record/tests/", &by_text), 0);
            assert_eq!(
                at(ROOMS[0], &format!("    let name = entry{start}Part::name);")),
                0
            );
        }
    }
}
