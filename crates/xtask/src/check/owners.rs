//! Libraries that only one place may import: Automerge in record's document folder, Tauri's page side in one file.
//!
//! The layer rule keeps crates apart; this one keeps files apart inside a crate or the pages.

use super::{Fault, code_lines};
use crate::walk::Page;

/// The only folder that may say `automerge`.
const DOCUMENT: &str = "crates/record/src/document/";

/// The package of the page's side of the window.
const WINDOW_PACKAGE: &str = "@tauri-apps/";

/// Imports where they may not be.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let mut faults = automerge(pages);
    faults.extend(window(pages));
    faults
}

/// Rust outside `document/` that names Automerge, in the crate that depends on it.
fn automerge(pages: &[Page]) -> Vec<Fault> {
    let inside = |page: &&Page| {
        page.name.starts_with("crates/record/src/")
            && !page.name.starts_with(DOCUMENT)
            && page.ending() == "rs"
    };
    pages
        .iter()
        .filter(inside)
        .flat_map(|page| {
            code_lines(&page.text)
                .filter(|(_, line)| imports_automerge(line))
                .map(|(number, _)| {
                    Fault::new(
                        format!("{}:{number}", page.name),
                        format!("names automerge outside {DOCUMENT}"),
                    )
                })
        })
        .collect()
}

fn imports_automerge(line: &str) -> bool {
    let line = line.trim_start();
    let starts = ["use automerge", "pub use automerge", "extern crate automerge"];
    line.contains("automerge::") || starts.iter().any(|start| line.starts_with(start))
}

/// More than one file of the pages that imports the window's package.
fn window(pages: &[Page]) -> Vec<Fault> {
    let importers: Vec<_> = pages
        .iter()
        .filter(|page| page.name.starts_with("ui/src/") && ["ts", "svelte", "js"].contains(&page.ending()))
        .filter(|page| {
            code_lines(&page.text).any(|(_, line)| {
                line.contains(WINDOW_PACKAGE) && (line.contains("import") || line.contains("from"))
            })
        })
        .collect();
    if importers.len() <= 1 {
        return Vec::new();
    }
    importers
        .iter()
        .map(|page| {
            Fault::new(
                &page.name,
                format!("imports {WINDOW_PACKAGE}…, and so does another: one file may"),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn automerge_stays_in_its_folder() {
        let check = |name: &str, text: &str, count: usize| {
            assert_eq!(faults(&[Page::new(name, text)]).len(), count, "{name}: {text}");
        };
        check(
            "crates/record/src/document/mod.rs",
            "use automerge::AutoCommit;",
            0,
        );
        check("crates/record/src/rules/mod.rs", "use automerge::AutoCommit;", 1);
        check(
            "crates/record/src/lib.rs",
            "fn heads() -> Vec<automerge::ChangeHash> {}",
            1,
        );
        check(
            "crates/record/src/lib.rs",
            "//! Only document/ knows automerge::AutoCommit.",
            0,
        );
        check("crates/record/src/lib.rs", "mod document; // not automerge", 0);
    }

    #[test]
    fn the_window_is_imported_once() {
        let import = "import { invoke } from '@tauri-apps/api/core';";
        let one = Page::new("ui/src/shell/window.ts", import);
        let two = Page::new("ui/src/views/Day.svelte", import);
        assert!(faults(std::slice::from_ref(&one)).is_empty());
        assert_eq!(faults(&[one, two]).len(), 2);
    }
}
