//! No warning of clippy or of the compiler, in any target of any crate: those that the build gave, told again by Cargo.
//!
//! It never compiles what is built already: Cargo keeps the warnings of what it built, and gives them again each time.

use std::collections::BTreeSet;
use std::process::{Command, Stdio};

use cargo_metadata::Message;
use cargo_metadata::diagnostic::DiagnosticLevel;

use crate::house::House;
use crate::trouble::Trouble;

/// What Cargo is asked to build: every target, so benches and examples as well, in the profile of the tests.
pub(crate) const EVERYTHING: [&str; 3] = ["build", "--workspace", "--all-targets"];

/// One warning of anything is trouble. What was not built yet is built now.
pub(crate) fn none(house: &House) -> Result<(), Trouble> {
    let warnings = warnings(house.linting_cargo().args(EVERYTHING))?;
    for warning in &warnings {
        println!("{warning}");
    }
    match warnings.len() {
        0 => Ok(()),
        1 => Err(Trouble::words("1 warning")),
        count => Err(Trouble::words(format!("{count} warnings"))),
    }
}

/// What the compiler warned of, in its own words; once, where a file is compiled for itself and for its own tests.
fn warnings(cargo: &mut Command) -> Result<BTreeSet<String>, Trouble> {
    let io = |source| Trouble::Io {
        what: "`cargo build`, linting".to_owned(),
        source,
    };
    let output = cargo
        .args(["--quiet", "--message-format", "json"])
        .stderr(Stdio::inherit())
        .output()
        .map_err(io)?;
    let mut warnings = BTreeSet::new();
    for message in Message::parse_stream(output.stdout.as_slice()) {
        let Message::CompilerMessage(told) = message.map_err(io)? else {
            continue;
        };
        // What only counts the others has no place in a file.
        let counts = told.message.spans.is_empty() && told.message.code.is_none();
        let words = told.message.rendered.unwrap_or(told.message.message);
        match told.message.level {
            DiagnosticLevel::Warning if counts => {}
            DiagnosticLevel::Warning => _ = warnings.insert(words),
            DiagnosticLevel::Error | DiagnosticLevel::Ice => println!("{words}"),
            _ => {}
        }
    }
    if output.status.success() {
        Ok(warnings)
    } else {
        Err(Trouble::words(format!(
            "`cargo build`, linting, ended with {}",
            output.status
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A package of its own, with a library, a test and a bench, each of which clippy alone has a word against.
    fn package() -> tempfile::TempDir {
        let place = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| {
            let file = place.path().join(name);
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            std::fs::write(file, text).unwrap();
        };
        write(
            "Cargo.toml",
            "[package]\nname = \"small\"\nversion = \"0.1.0\"\nedition = \"2024\"\n\
             [lints.clippy]\nunwrap_used = \"warn\"\n[workspace]\n\
             [[bench]]\nname = \"bench\"\nharness = false\n",
        );
        write(
            "src/lib.rs",
            "pub fn first(of: Option<u8>) -> u8 {\n    of.unwrap()\n}\n",
        );
        let text = "assert!(small::first(Some(1)).to_string().len() != 0);";
        write("tests/test.rs", &format!("#[test]\nfn it() {{\n    {text}\n}}\n"));
        write("benches/bench.rs", &format!("fn main() {{\n    {text}\n}}\n"));
        place
    }

    #[test]
    fn every_target_s_warnings_are_told_each_time_and_no_target_is_built_for_it_again() {
        let package = package();
        let house = House::find().unwrap();
        let ask = || {
            let mut cargo = house.linting_cargo();
            cargo
                .current_dir(package.path())
                .env("CARGO_TARGET_DIR", package.path().join("target"))
                .args(EVERYTHING);
            cargo
        };
        let first = warnings(&mut ask()).unwrap();
        let of = |what: &str, file: &str| {
            let both = |words: &&String| words.contains(what) && words.contains(file);
            assert_eq!(
                first.iter().filter(both).count(),
                1,
                "{what} in {file}: {first:#?}"
            );
        };
        of("used `unwrap()`", "src/lib.rs");
        of("length comparison to zero", "tests/test.rs");
        of("length comparison to zero", "benches/bench.rs");
        assert_eq!(first.len(), 3, "{first:#?}");

        let built = std::fs::metadata(package.path().join("target/debug/libsmall.rlib")).unwrap();
        assert_eq!(warnings(&mut ask()).unwrap(), first);
        let still = std::fs::metadata(package.path().join("target/debug/libsmall.rlib")).unwrap();
        assert_eq!(built.modified().unwrap(), still.modified().unwrap());
    }

    #[test]
    fn what_does_not_build_is_trouble_and_not_a_clean_report() {
        let package = package();
        std::fs::write(package.path().join("tests/test.rs"), "fn it() -> u8 {}").unwrap();
        let house = House::find().unwrap();
        let mut cargo = house.linting_cargo();
        cargo
            .current_dir(package.path())
            .env("CARGO_TARGET_DIR", package.path().join("target"))
            .args(EVERYTHING);
        assert!(warnings(&mut cargo).is_err());
    }
}
