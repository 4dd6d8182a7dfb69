//! What background work leaves behind, for whoever looks for a fault: a line an event, in a file of the data folder that has a
//! bound, and on standard error where that was asked for.
//!
//! No word of a record and no secret is in it: devices and records by the first digits of their ids, refusals by their codes,
//! and counts. Other libraries' events are left out, which may say more.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use notebook::Refusal;
use tracing_subscriber::Layer as _;
use tracing_subscriber::filter::{LevelFilter, Targets};
use tracing_subscriber::fmt;
use tracing_subscriber::layer::SubscriberExt as _;
use tracing_subscriber::util::SubscriberInitExt as _;

/// The file in the data folder, and what it is called when the next one is begun.
const NAME: &str = "trace.log";
const BEFORE: &str = "trace.before.log";
/// Most bytes of a file; with the one before, twice as much is kept.
const MOST: u64 = 512 * 1024;

/// Leaves a trace from now on: in a data folder, and on standard error where `aloud`. Once for a program; whether it began.
/// A folder that takes no file is no reason not to go on: then there is none in it.
pub fn leave_trace(folder: Option<&Path>, aloud: bool) -> bool {
    let ours = || Targets::new().with_target("host", LevelFilter::INFO);
    let file = folder.map(|folder| {
        fmt::layer()
            .with_ansi(false)
            .with_writer(Mutex::new(Bounded::in_folder(folder, MOST)))
            .with_filter(ours())
    });
    let heard = aloud.then(|| {
        fmt::layer()
            .with_ansi(false)
            .with_writer(io::stderr)
            .with_filter(ours())
    });
    tracing_subscriber::registry()
        .with(file)
        .with(heard)
        .try_init()
        .is_ok()
}

/// What came of something in the background that nobody waits for: left in the trace where it failed.
pub(crate) fn unless<T>(what: &'static str, came: Result<T, Refusal>) -> Option<T> {
    came.map_err(|refusal| tracing::warn!(code = refusal.code, "{what}"))
        .ok()
}

/// The last digits of an id, whose first are the time at which it was made.
pub(crate) fn last(id: &str) -> String {
    let skip = id.chars().count().saturating_sub(8);
    id.chars().skip(skip).collect()
}

/// The first digits of a key: enough to tell two apart.
pub(crate) fn short(text: &impl ToString) -> String {
    text.to_string().chars().take(10).collect()
}

/// A file that is begun anew when it is full, and the one before.
#[derive(Debug)]
struct Bounded {
    folder: PathBuf,
    /// Opened at the first line: a folder may be made after the trace was begun.
    file: Option<(File, u64)>,
    most: u64,
}

impl Bounded {
    fn in_folder(folder: &Path, most: u64) -> Self {
        Self {
            folder: folder.to_owned(),
            file: None,
            most,
        }
    }

    /// The file that a line of so many bytes goes to.
    fn room_for(&mut self, more: u64) -> io::Result<&mut (File, u64)> {
        let full = |length: u64| length > 0 && length.saturating_add(more) > self.most;
        let mut open = match self.file.take() {
            Some(open) => open,
            None => opened(&self.folder)?,
        };
        if full(open.1) {
            fs::rename(self.folder.join(NAME), self.folder.join(BEFORE))?;
            open = opened(&self.folder)?;
        }
        Ok(self.file.insert(open))
    }
}

impl Write for Bounded {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let (file, length) = self.room_for(bytes.len() as u64)?;
        let written = file.write(bytes)?;
        *length = length.saturating_add(written as u64);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), |(file, _)| file.flush())
    }
}

/// The file and its length; its owner's alone, as everything in the folder.
fn opened(folder: &Path) -> io::Result<(File, u64)> {
    // A link would lead the lines elsewhere, and a pipe would keep the program waiting for somebody to read them.
    if fs::symlink_metadata(folder.join(NAME)).is_ok_and(|meta| !meta.is_file()) {
        return Err(io::Error::other("what lies there is no file"));
    }
    let mut options = OpenOptions::new();
    options.create(true).append(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    let file = options.open(folder.join(NAME))?;
    let length = file.metadata()?.len();
    Ok((file, length))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    #[test]
    fn a_trace_has_a_bound_and_the_newest_stays() {
        let dir = tempfile::tempdir().unwrap();
        for run in 0..3 {
            let mut file = Bounded::in_folder(dir.path(), 1_000);
            for line in 0..200 {
                writeln!(file, "run {run} line {line}").unwrap();
            }
        }
        let length = |name: &str| fs::metadata(dir.path().join(name)).unwrap().len();
        assert!(length(NAME) <= 1_000 && length(BEFORE) <= 1_000);
        assert!(length(BEFORE) > 900);
        let newest = fs::read_to_string(dir.path().join(NAME)).unwrap();
        assert!(newest.ends_with("run 2 line 199\n"), "{newest}");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);
    }

    #[cfg(unix)]
    #[test]
    fn no_line_goes_through_a_link() {
        let dir = tempfile::tempdir().unwrap();
        let elsewhere = dir.path().join("elsewhere");
        std::os::unix::fs::symlink(&elsewhere, dir.path().join(NAME)).unwrap();
        assert!(writeln!(Bounded::in_folder(dir.path(), 1_000), "a line").is_err());
        assert!(!elsewhere.exists());
    }
}
