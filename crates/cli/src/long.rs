//! Long work from the shell: how far it is, on standard error for a person who waits; and Ctrl-C stops it between two steps, so that no
//! half file is left. What it is and what came of it are the notebook's.

use std::io::IsTerminal as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use host::Handle;
use notebook::{Notebook, Refusal};
use serde_json::Value;

/// How often a person is told how far it is.
const TOLD_EVERY: Duration = Duration::from_secs(1);

/// Does a command that may take long; gives the notebook back with the answer.
pub(crate) fn ask(
    notebook: Notebook,
    record: Option<&str>,
    name: &str,
    args: Value,
) -> (Handle, Result<Value, Refusal>) {
    let handle = Handle::new(notebook);
    let stopped = Arc::new(AtomicBool::new(false));
    stop_at_interrupt(Arc::clone(&stopped));
    // A program that reads along is told of refusals only.
    let tells = std::io::stderr().is_terminal();
    let mut told = Instant::now();
    let answer = handle.call_telling(record, name, args, &mut |progress| {
        if tells && told.elapsed() >= TOLD_EVERY {
            told = Instant::now();
            eprintln!("{}", progress.says());
        }
        !stopped.load(Ordering::Relaxed)
    });
    (handle, answer)
}

/// At the first Ctrl-C the work is to be stopped. Where no handler can be set, the program is ended the hard way, which loses nothing.
fn stop_at_interrupt(stopped: Arc<AtomicBool>) {
    let wait = move || {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
        let Ok(runtime) = runtime else { return };
        if runtime.block_on(tokio::signal::ctrl_c()).is_ok() {
            stopped.store(true, Ordering::Relaxed);
            eprintln!("Stopping at the end of this step.");
        }
    };
    // Without a thread nobody waits for it, and Ctrl-C is what it was.
    let _ = std::thread::Builder::new()
        .name("interrupt".to_owned())
        .spawn(wait);
}
