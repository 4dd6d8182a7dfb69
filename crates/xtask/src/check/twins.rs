//! A name of a type says which it is: no more than two files of the workspace define a type of one name that others see. A type that its
//! file keeps to itself may share its name with another such.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::naming::Names;
use crate::walk::Page;

/// How many files may define one name.
const MOST: usize = 2;

/// Names that more files still define, each with why. One that no longer needs it is taken out.
const LEFT: &[(&str, &str)] = &[
    (
        "Kept",
        "of a piece of a photo, of a drop's place, of a photo's file: none of the three sees another",
    ),
    (
        "Step",
        "of a story, of a photo on its way, of a task of the house: none of the three sees another",
    ),
];

/// Every name that too many files define, and every name that is left for nothing.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let mut defined: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let sources = pages
        .iter()
        .filter(|page| page.ending() == "rs" && page.name.contains("/src/"));
    for page in sources.filter(|page| !page.name.starts_with("tests/")) {
        for name in Names::of(&page.text).types {
            defined.entry(name).or_default().insert(&page.name);
        }
    }
    let is_left = |name: &str| LEFT.iter().any(|(left, _)| *left == name);
    let twins = defined.iter().filter(|(_, files)| files.len() > MOST);
    let mut faults: Vec<Fault> = twins
        .clone()
        .filter(|(name, _)| !is_left(name))
        .map(|(name, files)| {
            let files: Vec<&str> = files.iter().copied().collect();
            let what = format!(
                "is a type of {} files ({}): say which it is",
                files.len(),
                files.join(", ")
            );
            Fault::new(name, what)
        })
        .collect();
    for (name, _) in LEFT {
        if defined.contains_key(*name) && !twins.clone().any(|(twin, _)| twin == name) {
            faults.push(Fault::new(
                *name,
                "is no more than two types now: take it out of LEFT in xtask's twins.rs",
            ));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The faults where files of one crate hold these texts.
    #[track_caller]
    fn check(texts: &[&str], expected: usize) {
        let pages: Vec<Page> = (0..)
            .zip(texts)
            .map(|(number, text): (u32, _)| Page::new(&format!("crates/record/src/file_{number}.rs"), text))
            .collect();
        assert_eq!(faults(&pages).len(), expected, "{texts:?}");
    }

    #[test]
    fn a_name_that_three_files_define_for_others_is_told() {
        let (shown, own) = ("pub(crate) struct Bolt;", "struct Bolt;");
        check(&[shown, "pub enum Bolt {}", shown], 1);
        check(&[shown, shown, own, own], 0);
        check(
            &[
                shown,
                shown,
                "// pub struct Bolt;",
                "const A: &str = \"pub struct Bolt\";",
            ],
            0,
        );
    }

    #[test]
    fn a_name_that_is_left_for_nothing_is_told() {
        for (name, _) in LEFT {
            let text = format!("pub struct {name};");
            check(&[&text, &text, &text], 0);
            check(&[&text, &text], 1);
        }
    }
}
