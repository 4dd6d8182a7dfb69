//! One writer for a data folder: an exclusive lock on `writer.lock`, which the operating system takes back
//! however the program ends, and `writer.holder` beside it, which says who has it. The words are never taken for
//! the lock.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::Duration;

use record::Moment;
use serde::{Deserialize, Serialize};

use super::owner;
use crate::{Opener, StoreError};

/// The lock, held as long as this value lives.
#[derive(Debug)]
pub(crate) struct Lock {
    /// Closing it frees the lock; it goes after `drop` has taken the words away.
    _file: File,
    words: PathBuf,
}

#[derive(Serialize, Deserialize)]
struct Holder {
    program: String,
    pid: u32,
    since: Moment,
}

impl Lock {
    pub(crate) fn take(dir: &Path, opener: &Opener<'_>) -> Result<Self, StoreError> {
        let words = dir.join("writer.holder");
        let opened = owner::writing()
            .read(true)
            .create(true)
            .truncate(false)
            .open(dir.join("writer.lock"));
        let file = opened.map_err(|e| StoreError::io("open 'writer.lock'", e))?;
        wait_for(&file, &words)?;
        let holder = Holder {
            program: opener.program.to_owned(),
            pid: std::process::id(),
            since: opener.now,
        };
        let text =
            serde_json::to_vec(&holder).map_err(|e| StoreError::io("write 'writer.holder'", e.into()))?;
        // By rename, so that whoever is turned away reads all of it or none.
        let fresh = dir.join("writer.holder.new");
        let told = owner::write(&fresh, &text).and_then(|()| fs::rename(&fresh, &words));
        match told.map_err(|e| StoreError::io("write 'writer.holder'", e)) {
            Ok(()) => Ok(Self { _file: file, words }),
            // The lock counts, not the words, and a full disk can still be read.
            Err(StoreError::Full) => {
                let _ = fs::remove_file(&fresh);
                Ok(Self { _file: file, words })
            }
            Err(error) => Err(error),
        }
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // The lock counts, not the words: where they cannot be taken away, nothing is lost.
        let _ = fs::remove_file(&self.words);
    }
}

/// Takes the lock, or says who has it. A lock without words is being taken or given back this very moment: by a
/// holder whose words are on the way, or by a child that a program began just as it let the folder go, which holds
/// a copy of the lock until it has begun. So a little patience, and only then no.
fn wait_for(file: &File, words: &Path) -> Result<(), StoreError> {
    for _ in 0..20 {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(e)) => return Err(StoreError::io("lock 'writer.lock'", e)),
        }
        let holder = fs::read(words)
            .ok()
            .and_then(|text| serde_json::from_slice::<Holder>(&text).ok());
        if let Some(Holder { program, pid, since }) = holder {
            return Err(StoreError::InUse {
                program,
                pid,
                since: Some(since),
            });
        }
        sleep(Duration::from_millis(10));
    }
    Err(StoreError::InUse {
        program: String::new(),
        pid: 0,
        since: None,
    })
}
