//! What this machine lends the notebook: its clock, its randomness, and the folder where data usually lies.

use std::io::IsTerminal as _;
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};

use notebook::{Notebook, Refusal, Source};
use record::Moment;

/// The machine's clock and randomness.
#[derive(Debug)]
pub(crate) struct Machine;

impl Source for Machine {
    fn now(&mut self) -> Moment {
        let seconds = SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(0, |since| since.as_secs());
        Moment::from_seconds(i64::try_from(seconds).unwrap_or(i64::MAX))
    }

    fn random(&mut self) -> [u8; 16] {
        random()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        Some(random())
    }
}

/// Bytes that nobody can guess.
pub(crate) fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0_u8; N];
    #[expect(
        clippy::expect_used,
        reason = "a machine without randomness can make no id that is safe to write under"
    )]
    getrandom::fill(&mut bytes).expect("the machine gives no randomness");
    bytes
}

/// The folder that was named, or the usual one.
pub(crate) fn data_folder(named: Option<PathBuf>) -> Result<PathBuf, Refusal> {
    if let Some(named) = named.or_else(|| std::env::var_os("WITNESSMARK_AT").map(PathBuf::from)) {
        return Ok(named);
    }
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share"));
    let base = std::env::var_os("XDG_DATA_HOME").map(PathBuf::from).or_else(home);
    let none = || Refusal::input("no_folder", "name the data folder with --at");
    base.map(|base| base.join("witnessmark")).ok_or_else(none)
}

/// Opens the notebook of a folder for a program that stays, or makes one.
pub(crate) fn open_to_stay(named: Option<PathBuf>, task: &str) -> Result<Notebook, Refusal> {
    let dir = data_folder(named)?;
    host::open_to_stay(&dir, &format!("witnessmark {task}"), Box::new(Machine))
}

/// Opens the notebook of a folder. A folder that must be there already is not made.
pub(crate) fn open(named: Option<PathBuf>, task: &str, make: bool) -> Result<Notebook, Refusal> {
    let dir = data_folder(named)?;
    if !make && !host::is_there(&dir) {
        return Err(Refusal::input(
            "no_record",
            format!(
                "there is no data folder at '{}': start a car there, or join one",
                dir.display()
            ),
        ));
    }
    host::open_telling(
        &dir,
        &format!("witnessmark {task}"),
        Box::new(Machine),
        &mut |tables| {
            // For a person who waits; a program that reads along is told of refusals only.
            if !std::io::stderr().is_terminal() {
                return;
            }
            eprintln!(
                "'{}': what pages read is made anew by this version: {} of {} entries",
                record::shown(tables.car),
                tables.done,
                tables.of
            );
        },
    )
}
