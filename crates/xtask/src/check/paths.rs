//! Nothing that lands carries a path of somebody's machine or the host of somebody's package mirror.
//!
//! It reads every text file of the house, lock files too.

use super::Fault;
use crate::walk::Page;

/// Folders that exist on one machine only. Written in two halves, so that this file is clean itself.
const MACHINE: [(&str, &str); 5] = [
    ("/ro", "ot/"),
    ("/wo", "rk/"),
    ("/ho", "me/"),
    ("/Us", "ers/"),
    ("/tm", "p/"),
];

/// Where an X server puts its sockets is laid down by X, not by a machine.
const LAID_DOWN: [(&str, &str); 2] = [("/tm", "p/.X11-unix"), ("/tm", "p/.X")];

/// The one index that Cargo's lock file may name.
const CARGO_INDEX: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Lines with such a path or host.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    pages
        .iter()
        .flat_map(|page| {
            page.text.lines().enumerate().filter_map(|(number, line)| {
                let what = wrong(page, line)?;
                Some(Fault::new(format!("{}:{}", page.name, number + 1), what))
            })
        })
        .collect()
}

fn wrong(page: &Page, line: &str) -> Option<String> {
    for (start, end) in MACHINE {
        let folder = format!("{start}{end}");
        let mut from = 0;
        while let Some(found) = line.get(from..).and_then(|rest| rest.find(&folder)) {
            let at = from + found;
            let rest = line.get(at..).unwrap_or_default();
            let laid_down = LAID_DOWN
                .iter()
                .any(|(start, end)| rest.starts_with(&format!("{start}{end}")));
            if !laid_down && begins_a_path(line.get(..at).unwrap_or_default()) {
                return Some(format!("carries a path of a machine ({folder}…)"));
            }
            from = at + folder.len();
        }
    }
    let trimmed = line.trim();
    match page.file_name() {
        "package-lock.json" if trimmed.starts_with("\"resolved\"") && trimmed.contains("http") => {
            Some("names a registry's host; write the lock file with `omit-lockfile-registry-resolved`".into())
        }
        "Cargo.lock" if trimmed.starts_with("source = ") && !trimmed.contains(CARGO_INDEX) => {
            Some("names another source than crates.io".into())
        }
        name if name.starts_with("requirements") && trimmed.contains("index-url") => {
            Some("names a package index".into())
        }
        ".npmrc" if trimmed.contains("registry=") || trimmed.contains("registry =") => {
            Some("names a registry's host".into())
        }
        _ => None,
    }
}

/// Whether what stands before could end a sentence or open a string, so that a new path begins here: the
/// middle of an address or of a relative path does not count.
fn begins_a_path(before: &str) -> bool {
    !before.ends_with(|last: char| last.is_alphanumeric() || ['.', '_', '-', '/', '}', '*'].contains(&last))
        || before.ends_with("file://")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, line: &str, clean: bool) {
        assert_eq!(
            faults(&[Page::new(name, line)]).is_empty(),
            clean,
            "{name}: {line}"
        );
    }

    #[test]
    fn paths_of_a_machine_are_told() {
        for (start, end) in MACHINE {
            check("a.rs", &format!("let place = \"{start}{end}x\";"), false);
            check("a.md", &format!("see file://{start}{end}x"), false);
        }
        check("a.md", "https://example.org/work/paper", true);
        check("a.rs", "let place = root.join(\"paint/work/sheet\");", true);
        let socket = format!("{}{}.X11-unix/X99", "/tm", "p/");
        check("a.mjs", &socket, true);
    }

    #[test]
    fn hosts_are_told() {
        check(
            "ui/package-lock.json",
            "  \"resolved\": \"https://mirror.example/x.tgz\",",
            false,
        );
        check("ui/package-lock.json", "  \"integrity\": \"sha512-x\",", true);
        check("Cargo.lock", &format!("source = \"{CARGO_INDEX}\""), true);
        check("Cargo.lock", "source = \"git+https://example.org/x\"", false);
        check(
            "tests/oracles/requirements.txt",
            "--index-url https://mirror.example",
            false,
        );
        check(
            "tests/oracles/requirements-alone.txt",
            "--index-url https://mirror.example",
            false,
        );
        check("tests/oracles/requirements.txt", "pint==0.24", true);
        check("ui/.npmrc", "registry=https://mirror.example", false);
    }
}
