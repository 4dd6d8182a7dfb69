//! npm packages and npm scripts: `ui` (the pages) and the folders under `tests` that Node runs.
//!
//! It never updates a lock file: `npm ci` takes exactly what is committed, or fails.

use std::path::Path;
use std::process::Command;

use crate::beside::{Job, Share};
use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// The folder of the pages.
pub(crate) const UI: &str = "ui";
/// The browser story; the window story borrows its axe.
pub(crate) const BROWSER: &str = "tests/browser";
/// The window story, which has no packages of its own.
const WINDOW: &str = "tests/window/story.mjs";

/// Where a finished `npm ci` keeps the lock file that it took, so that a second run need not repeat it.
const TAKEN: &str = "node_modules/.taken-package-lock.json";

/// Installs the packages of every folder under `tests` that has any.
pub(crate) fn install_tests(house: &House) -> Result<(), Trouble> {
    for folder in folders_with_packages(&house.at("tests"))? {
        install(house, &format!("tests/{folder}"))?;
    }
    Ok(())
}

/// The names of the folders right inside `tests` that have a lock file, in order.
fn folders_with_packages(tests: &Path) -> Result<Vec<String>, Trouble> {
    let trouble = |source| Trouble::file("listing", tests, source);
    let mut found = Vec::new();
    for entry in std::fs::read_dir(tests).map_err(trouble)? {
        let entry = entry.map_err(trouble)?;
        if entry.path().join("package-lock.json").is_file() {
            found.push(entry.file_name().to_string_lossy().into_owned());
        }
    }
    found.sort();
    Ok(found)
}

/// The window story: the real window, on a screen of its own.
pub(crate) fn window(house: &House) -> Job {
    let mut command = program(house, "node", house.root());
    command.arg(house.at(WINDOW));
    Job {
        step: "window",
        name: "story".to_owned(),
        command,
        share: Share::Half,
    }
}

/// Installs a folder's packages, unless exactly these are already there.
pub(crate) fn install(house: &House, folder: &str) -> Result<(), Trouble> {
    let folder_path = house.at(folder);
    let lock = folder_path.join("package-lock.json");
    let wanted = std::fs::read(&lock).map_err(|source| Trouble::file("reading", &lock, source))?;
    let taken = folder_path.join(TAKEN);
    if std::fs::read(&taken).is_ok_and(|taken| taken == wanted) {
        println!("{folder}: npm packages are those of the lock file");
        return Ok(());
    }
    do_it(npm(house, &folder_path).args(["ci", "--no-audit", "--no-fund", "--prefer-offline"]))?;
    std::fs::write(&taken, wanted).map_err(|source| Trouble::file("writing", &taken, source))
}

/// Runs a script of a folder's `package.json`; one that is not there is a failure, not a silence.
pub(crate) fn script(house: &House, folder: &str, name: &str) -> Result<(), Trouble> {
    let folder_path = house.at(folder);
    let manifest = folder_path.join("package.json");
    let text =
        std::fs::read_to_string(&manifest).map_err(|source| Trouble::file("reading", &manifest, source))?;
    has_script(&text, folder, name)?;
    do_it(npm(house, &folder_path).args(["run", name]))
}

fn has_script(manifest: &str, folder: &str, name: &str) -> Result<(), Trouble> {
    let manifest: serde_json::Value = serde_json::from_str(manifest).map_err(|source| Trouble::Json {
        what: format!("{folder}/package.json"),
        source,
    })?;
    match manifest.get("scripts").and_then(|scripts| scripts.get(name)) {
        Some(_) => Ok(()),
        None => Err(Trouble::words(format!(
            "{folder}/package.json has no script `{name}`"
        ))),
    }
}

/// npm in a folder.
fn npm(house: &House, folder: &Path) -> Command {
    let mut command = program(house, "npm", folder);
    command.env("npm_config_update_notifier", "false");
    command
}

/// A program in a folder, which is told where the programs under test are.
pub(crate) fn program(house: &House, name: &str, folder: &Path) -> Command {
    let mut command = with_programs(house, house.command(name));
    command.current_dir(folder);
    command
}

/// A script of a folder's `package.json` as a job.
pub(crate) fn job(house: &House, step: &'static str, folder: &str, script: &str) -> Job {
    let mut command = npm(house, &house.at(folder));
    command.args(["run", script]);
    Job {
        step,
        name: script.to_owned(),
        command,
        share: Share::Whole,
    }
}

/// Tells a script where the programs under test are, and where its pictures go.
fn with_programs(house: &House, mut command: Command) -> Command {
    command.env("WITNESSMARK_BIN", house.program("witnessmark"));
    command.env("WITNESSMARK_DESKTOP_BIN", house.program("witnessmark-desktop"));
    command.env("WITNESSMARK_SHOTS", house.target().join("shots"));
    command
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_folders_with_a_lock_file_have_packages() {
        let tests = tempfile::tempdir().unwrap();
        for name in ["interop", "browser", "window"] {
            std::fs::create_dir(tests.path().join(name)).unwrap();
        }
        for name in ["interop", "browser"] {
            std::fs::write(tests.path().join(name).join("package-lock.json"), "{}").unwrap();
        }
        assert_eq!(
            folders_with_packages(tests.path()).unwrap(),
            ["browser", "interop"]
        );
    }

    #[test]
    fn a_script_that_is_not_there_is_a_failure() {
        let manifest = r#"{"scripts": {"build": "vite build"}}"#;
        assert!(has_script(manifest, "ui", "build").is_ok());
        assert!(
            has_script(manifest, "ui", "test")
                .unwrap_err()
                .to_string()
                .contains("no script `test`")
        );
        assert!(has_script("{}", "ui", "build").is_err());
        assert!(has_script("not json", "ui", "build").is_err());
    }
}
