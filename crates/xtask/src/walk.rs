//! The files of the house: what a person wrote and the house answers for.
//!
//! It never follows links and never enters folders that programs fill (target, node_modules, generated …).

use std::path::{Path, PathBuf};

use crate::trouble::Trouble;

/// Folders that programs fill, by name, wherever they stand.
const FILLED_BY_PROGRAMS: [&str; 11] = [
    "target",
    "node_modules",
    "dist",
    "gen",
    "generated",
    ".git",
    ".venv",
    "__pycache__",
    "shots",
    ".svelte-kit",
];

/// One file: where it is, as the house names it, and what it says.
#[derive(Debug, Clone)]
pub(crate) struct Page {
    /// Path from the workspace's root, with `/` between its parts.
    pub(crate) name: String,
    /// Its text.
    pub(crate) text: String,
}

impl Page {
    /// A page out of nothing, for tests of the checks.
    #[cfg(test)]
    pub(crate) fn new(name: &str, text: &str) -> Self {
        Self {
            name: name.into(),
            text: text.into(),
        }
    }

    /// The last part of the name.
    pub(crate) fn file_name(&self) -> &str {
        self.name.rsplit('/').next().unwrap_or(&self.name)
    }

    /// What stands after the last dot of the file's name, or nothing.
    pub(crate) fn ending(&self) -> &str {
        self.file_name()
            .rsplit_once('.')
            .map_or("", |(stem, ending)| if stem.is_empty() { "" } else { ending })
    }
}

/// Every text file under `root`, in the order of names.
///
/// Files with a NUL byte or without UTF-8 are pictures and the like; they have no text to check.
pub(crate) fn pages(root: &Path) -> Result<Vec<Page>, Trouble> {
    let mut paths = Vec::new();
    gather(root, &mut paths)?;
    paths.sort();
    let mut pages = Vec::new();
    for path in paths {
        let bytes = std::fs::read(&path).map_err(|source| Trouble::file("reading", &path, source))?;
        if bytes.contains(&0) {
            continue;
        }
        let Ok(text) = String::from_utf8(bytes) else {
            continue;
        };
        let inside = path.strip_prefix(root).unwrap_or(&path);
        let parts: Vec<_> = inside
            .components()
            .map(|part| part.as_os_str().to_string_lossy())
            .collect();
        pages.push(Page {
            name: parts.join("/"),
            text,
        });
    }
    Ok(pages)
}

fn gather(folder: &Path, paths: &mut Vec<PathBuf>) -> Result<(), Trouble> {
    let trouble = |source| Trouble::file("listing", folder, source);
    for entry in std::fs::read_dir(folder).map_err(trouble)? {
        let entry = entry.map_err(trouble)?;
        let kind = entry.file_type().map_err(trouble)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if kind.is_dir() && !FILLED_BY_PROGRAMS.contains(&name.as_str()) {
            gather(&entry.path(), paths)?;
        } else if kind.is_file() {
            paths.push(entry.path());
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_files_are_seen_and_filled_folders_are_not() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, bytes: &[u8]| {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        };
        write("ui/src/day.ts", b"// a day");
        write("ui/node_modules/else.ts", b"x");
        write("ui/src/generated/wire.ts", b"x");
        write("a.png", &[0x89, 0, 1]);
        let names: Vec<_> = pages(folder.path())
            .unwrap()
            .into_iter()
            .map(|page| page.name)
            .collect();
        assert_eq!(names, ["ui/src/day.ts"]);
    }

    #[test]
    fn endings() {
        let ending = |name: &str| Page::new(name, "").ending().to_owned();
        assert_eq!(ending("a/b.test.ts"), "ts");
        assert_eq!(ending(".ci/run"), "");
        assert_eq!(ending("a/.gitignore"), "");
    }
}
