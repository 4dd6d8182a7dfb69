//! A folder has one writer; whoever comes second is told who was first.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, Command, Stdio};

use store::{Opener, Store, StoreError};

use crate::made::*;

/// Set in a child of a test: the folder it is to hold.
const HOLD: &str = "STORE_TEST_HOLD";

#[test]
fn a_second_opening_in_the_same_process_is_refused_and_the_first_goes_on() {
    let (dir, mut store, record) = one_record();
    let other = Opener {
        program: "witnessmark carry",
        now: now(),
    };
    match Store::open(dir.path(), other).unwrap_err() {
        StoreError::InUse { program, pid, since } => {
            assert_eq!(
                (program.as_str(), pid, since),
                ("witnessmark test", std::process::id(), Some(now()))
            );
        }
        other => panic!("{other}"),
    }
    let log = changes(1, 1);
    store
        .commit(
            &record,
            &store::Batch {
                changes: &log,
                ..store::Batch::default()
            },
        )
        .unwrap();
    drop(store);
    assert_eq!(Store::open(dir.path(), other).unwrap().last(&record).unwrap(), 1);
}

/// Starts this very test in another process, which opens the folder and says so; closing its input ends it.
fn hold(dir: &std::path::Path, test: &str) -> Child {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture"])
        .env(HOLD, dir)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.as_mut().unwrap()).lines();
    assert!(
        lines.map_while(Result::ok).any(|line| line.contains("HOLDING")),
        "the child did not open the folder"
    );
    child
}

#[test]
fn a_second_process_is_told_which_one_has_the_folder() {
    if let Some(dir) = std::env::var_os(HOLD) {
        let opener = Opener {
            program: "witnessmark serve",
            now: now(),
        };
        let _store = Store::open(dir.as_ref(), opener).unwrap();
        println!("\nHOLDING");
        std::io::stdout().flush().unwrap();
        let mut rest = Vec::new();
        std::io::stdin().read_to_end(&mut rest).unwrap();
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let mut child = hold(
        dir.path(),
        "lock::a_second_process_is_told_which_one_has_the_folder",
    );
    let refused = Store::open(
        dir.path(),
        Opener {
            program: "witnessmark call",
            now: now(),
        },
    )
    .unwrap_err();
    let expected = format!(
        "'witnessmark serve' (process {}) has this folder open since {}. Nothing was changed. \
         Close it first, or go on in it",
        child.id(),
        now()
    );
    assert_eq!((refused.code(), refused.to_string()), ("in_use", expected));
    // However it ends: the lock is the system's, not the file's.
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(
        dir.path().join("writer.holder").exists(),
        "the child was to leave its words behind"
    );
    let store = Store::open(
        dir.path(),
        Opener {
            program: "witnessmark call",
            now: now(),
        },
    )
    .unwrap();
    drop(store);
    assert!(!dir.path().join("writer.holder").exists());
}
