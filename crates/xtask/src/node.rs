//! npm packages and npm scripts: `ui` (the pages) and `tests` (browser and window stories, the other implementation).
//!
//! It never updates a lock file: `npm ci` takes exactly what is committed, or fails.

use std::path::Path;

use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// The folder of the pages.
pub(crate) const UI: &str = "ui";
/// The folder of the tests that Node runs.
pub(crate) const TESTS: &str = "tests";

/// Where a finished `npm ci` keeps the lock file that it took, so that a second run need not repeat it.
const TAKEN: &str = "node_modules/.taken-package-lock.json";

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

/// npm in a folder, told where the programs under test are.
fn npm(house: &House, folder: &Path) -> std::process::Command {
    let mut command = house.command("npm");
    command
        .current_dir(folder)
        .env("WITNESSMARK_BIN", house.program("witnessmark"));
    command.env("WITNESSMARK_DESKTOP_BIN", house.program("witnessmark-desktop"));
    command.env("WITNESSMARK_SHOTS", house.target().join("shots"));
    command.env("npm_config_update_notifier", "false");
    command
}

#[cfg(test)]
mod tests {
    use super::*;

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
