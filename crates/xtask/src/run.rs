//! `cargo xtask run`: from a fresh machine to the open program, on a demo that a person may try things in.
//!
//! It never throws away what a person tried: a demo that is there is kept, unless `--fresh` asks otherwise,
//! and a folder that this task did not fill is never emptied.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::house::{House, do_it};
use crate::trouble::Trouble;
use crate::{node, system};

/// The device that is opened, of the two that the demo makes.
const OPENED: &str = "parent";

/// Left beside the devices when the demo is whole, so that a half-built one is not taken for one.
const WHOLE: &str = "built-by-xtask-run.txt";

/// What the person asked for.
#[derive(Debug, Default, PartialEq, Eq, clap::Args)]
pub(crate) struct Wish {
    /// Serve the pages for a browser, though a display is there.
    #[arg(long)]
    browser: bool,
    /// Build the demo anew.
    #[arg(long)]
    fresh: bool,
    /// Where the demo is, or goes.
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
}

/// Sets up, builds, makes the demo where there is none, and opens it.
pub(crate) fn run(house: &House, wish: &Wish) -> Result<(), Trouble> {
    let window = !wish.browser && a_display_is_there();
    if !window && !wish.browser {
        println!(
            "no display here (neither DISPLAY nor WAYLAND_DISPLAY): serving the pages for a browser instead"
        );
    }
    let mut needs = vec![system::TO_BUILD];
    if window {
        needs.push(system::TO_OPEN_A_WINDOW);
    }
    system::provide(house, &needs)?;
    system::node_is_there()?;
    node::install(house, node::UI)?;
    node::script(house, node::UI, "build")?;
    let mut build = house.cargo();
    // Where the window can be built it is what `test` builds too, so that neither builds the other's libraries again.
    build.args(if window || system::is_there(system::TO_OPEN_A_WINDOW) {
        ["build", "--workspace", "--bins"].as_slice()
    } else {
        &["build", "--package", "cli"]
    });
    do_it(&mut build)?;

    let own = house.target().join("demo");
    let asked = wish
        .into
        .as_deref()
        .map(|folder| std::path::absolute(folder).map_err(|source| Trouble::file("finding", folder, source)));
    let asked = asked.transpose()?;
    let into = asked.as_deref().unwrap_or(&own);
    let state = look(into);
    match decide(state, wish.fresh, into == own) {
        Do::Keep => println!(
            "the demo in {} is kept as it is (`--fresh` builds it anew)",
            into.display()
        ),
        Do::Refuse => {
            return Err(Trouble::words(format!(
                "{} was not filled by this task, so it is not emptied; choose another folder",
                into.display()
            )));
        }
        Do::Build => {
            if state != State::Nothing {
                empty(into)?;
            }
            build_demo(house, into)?;
        }
    }
    open(house, &into.join(OPENED), window)
}

fn a_display_is_there() -> bool {
    ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// What stands in the folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// No device of a demo.
    Nothing,
    /// A demo that this task finished.
    Whole,
    /// A device, but not (or not wholly) by this task.
    Unknown,
}

fn look(into: &Path) -> State {
    if into.join(WHOLE).is_file() {
        State::Whole
    } else if into.join(OPENED).exists() {
        State::Unknown
    } else {
        State::Nothing
    }
}

/// What to do about the folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Do {
    Keep,
    Build,
    Refuse,
}

/// `own`: the folder under target, which only this task fills, so that a half-built demo there is replaced.
fn decide(state: State, fresh: bool, own: bool) -> Do {
    match (state, fresh, own) {
        (State::Nothing, _, _) | (State::Whole, true, _) | (State::Unknown, _, true) => Do::Build,
        (State::Whole, false, _) | (State::Unknown, false, false) => Do::Keep,
        (State::Unknown, true, false) => Do::Refuse,
    }
}

/// Removes the two devices and the mark, and nothing else that may lie there.
fn empty(into: &Path) -> Result<(), Trouble> {
    for device in [OPENED, "child"] {
        let path = into.join(device);
        if path.exists() {
            std::fs::remove_dir_all(&path).map_err(|source| Trouble::file("emptying", &path, source))?;
        }
    }
    let mark = into.join(WHOLE);
    if mark.exists() {
        std::fs::remove_file(&mark).map_err(|source| Trouble::file("removing", &mark, source))?;
    }
    Ok(())
}

fn build_demo(house: &House, into: &Path) -> Result<(), Trouble> {
    std::fs::create_dir_all(into).map_err(|source| Trouble::file("making", into, source))?;
    do_it(
        house
            .command(house.program("witnessmark"))
            .args(["demo", "--into"])
            .arg(into),
    )?;
    let mark = into.join(WHOLE);
    let text = "Two devices of one invented car, built by `cargo xtask run`; `cargo xtask run --fresh` builds them anew.\n";
    std::fs::write(&mark, text).map_err(|source| Trouble::file("writing", &mark, source))
}

/// Opens the device and stays until the person ends it.
fn open(house: &House, device: &Path, window: bool) -> Result<(), Trouble> {
    let mut command = if window {
        house.command(house.program("witnessmark-desktop"))
    } else {
        let mut serve = house.command(house.program("witnessmark"));
        serve.arg("serve");
        serve
    };
    command.arg("--at").arg(device).stdin(Stdio::inherit());
    let what = if window { "the window" } else { "the pages" };
    println!("opening {what} on {}", device.display());
    become_it(command, what)
}

/// On Unix this program turns into the opened one, so that whoever ends it ends no mere go-between.
#[cfg(unix)]
fn become_it(mut command: Command, what: &str) -> Result<(), Trouble> {
    use std::os::unix::process::CommandExt;
    Err(Trouble::Io {
        what: what.into(),
        source: command.exec(),
    })
}

/// Elsewhere it waits for the opened one.
#[cfg(not(unix))]
fn become_it(mut command: Command, what: &str) -> Result<(), Trouble> {
    let status = command.status().map_err(|source| Trouble::Io {
        what: what.into(),
        source,
    })?;
    if status.success() {
        Ok(())
    } else {
        Err(Trouble::words(format!("{what} ended with {status}")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_person_tried_survives() {
        let place = tempfile::tempdir().unwrap();
        assert_eq!(look(place.path()), State::Nothing);
        std::fs::create_dir(place.path().join(OPENED)).unwrap();
        assert_eq!(look(place.path()), State::Unknown);
        std::fs::write(place.path().join(WHOLE), "").unwrap();
        assert_eq!(look(place.path()), State::Whole);

        assert_eq!(decide(State::Whole, false, true), Do::Keep);
        assert_eq!(decide(State::Whole, true, false), Do::Build);
        assert_eq!(decide(State::Unknown, false, false), Do::Keep);
        assert_eq!(decide(State::Unknown, true, false), Do::Refuse);
        assert_eq!(
            decide(State::Unknown, false, true),
            Do::Build,
            "a half-built demo under target is replaced"
        );
    }

    #[test]
    fn emptying_leaves_what_else_lies_there() {
        let place = tempfile::tempdir().unwrap();
        std::fs::create_dir(place.path().join("child")).unwrap();
        std::fs::write(place.path().join("letter.txt"), "mine").unwrap();
        empty(place.path()).unwrap();
        assert!(!place.path().join("child").exists());
        assert!(place.path().join("letter.txt").exists());
    }
}
