//! Everything that can go wrong in the store, each with a code for faces and words for a keeper: what happened,
//! what was kept, what to do. No error of SQLite or of the operating system is shown bare.

use record::{ChangeId, Id, Moment, PhotoHash};

/// Why the store did not do what it was asked. Whatever the reason, a write is there whole or not at all.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Another process is the folder's writer.
    #[error("{} has this folder open{}. Nothing was changed. Close it first, or go on in it", holder(program, *pid), since_words(*since))]
    InUse {
        /// What the holder calls itself; empty where it could not be read.
        program: String,
        /// Its process number; 0 where it could not be read.
        pid: u32,
        /// Since when.
        since: Option<Moment>,
    },
    /// A write into a folder that a newer program has changed in a way this one does not know.
    #[error(
        "this folder is of version {found} and this program knows version {known}. It can be read here, \
         and was left as it is. Use the newer program to write in it"
    )]
    Newer {
        /// The folder's version.
        found: u32,
        /// The newest version that this program knows.
        known: u32,
    },
    /// The database file is some other program's.
    #[error("'{file}' is not a Witnessmark database. It was left as it is. Choose another folder")]
    Foreign {
        /// The file's name.
        file: String,
    },
    /// Something on the disk is not what was written there.
    #[error(
        "the folder is damaged: {what}. Nothing more was written. Copy the folder, run a check, and bring back a \
         backup or join again from the other device's carry file"
    )]
    Damaged {
        /// What was found.
        what: String,
    },
    /// Something that was made from the record is not what was written there; the record itself is whole as far as this tells.
    #[error(
        "what the pages are made of is damaged: {what}. The record itself may well be whole: a check says so, and a rebuild makes the rest anew"
    )]
    Derived {
        /// What was found.
        what: &'static str,
    },
    /// No room.
    #[error(
        "the disk is full. This was not saved; everything saved before is kept. Make room and do it again"
    )]
    Full,
    /// The operating system does not let this program write or read here.
    #[error(
        "this program may not {doing}. Nothing was changed. Look at the folder's permissions, and whether its disk can be written to"
    )]
    NotAllowed {
        /// What was tried.
        doing: String,
    },
    /// No record of that id in this folder.
    #[error("there is no record '{0}' in this folder")]
    NoRecord(Id),
    /// A record of that id is in this folder already.
    #[error("the record '{0}' is in this folder already. It was left as it is")]
    RecordThere(Id),
    /// The original is not on this device.
    #[error("the photo {0} is not on this device. It comes with the next meeting with a device that has it")]
    NoPhoto(String),
    /// The bytes that came are not those that were announced.
    #[error(
        "a photo did not arrive as it was sent (wanted {wanted}, got {got}). It was not kept; send it again"
    )]
    WrongPhoto {
        /// The BLAKE3 hash announced.
        wanted: PhotoHash,
        /// The hash of what came.
        got: PhotoHash,
    },
    /// More bytes than a photo may have.
    #[error("the photo has more than {most} bytes. It was not kept")]
    PhotoTooLarge {
        /// The most it may have.
        most: u64,
    },
    /// A change that is in the log already.
    #[error("the change {0} is in the log already. Nothing was written")]
    Twice(ChangeId),
    /// A change that stands on one which is not in the log.
    #[error("the change {change} stands on {lacks}, which is not in the log. Nothing was written")]
    Gap {
        /// The change.
        change: ChangeId,
        /// What it stands on.
        lacks: ChangeId,
    },
    /// A snapshot that does not fit the log, or rows that do not fit the document.
    #[error("{what}. Nothing was written")]
    Unfit {
        /// What does not fit what.
        what: String,
    },
    /// The operating system failed.
    #[error("could not {doing}: {source}. What was saved before is kept")]
    Io {
        /// What was tried.
        doing: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// SQLite failed in a way that has no words of its own.
    #[error("the database failed: {0}. What was saved before is kept")]
    Database(String),
}

fn holder(program: &str, pid: u32) -> String {
    if pid == 0 {
        "another program".to_owned()
    } else {
        format!("'{program}' (process {pid})")
    }
}

fn since_words(since: Option<Moment>) -> String {
    since.map(|since| format!(" since {since}")).unwrap_or_default()
}

impl StoreError {
    /// The code that faces branch on.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            StoreError::InUse { .. } => "in_use",
            StoreError::Newer { .. } => "newer_folder",
            StoreError::Foreign { .. } => "foreign_folder",
            StoreError::Damaged { .. } => "damaged_folder",
            StoreError::Derived { .. } => "derived",
            StoreError::Full => "disk_full",
            StoreError::NotAllowed { .. } => "not_allowed",
            StoreError::NoRecord(_) => "no_record",
            StoreError::RecordThere(_) => "record_there",
            StoreError::NoPhoto(_) => "no_photo",
            StoreError::WrongPhoto { .. } => "wrong_photo",
            StoreError::PhotoTooLarge { .. } => "photo_too_large",
            StoreError::Twice(_) => "change_twice",
            StoreError::Gap { .. } => "log_gap",
            StoreError::Unfit { .. } => "unfit",
            StoreError::Io { .. } => "io",
            StoreError::Database(_) => "database",
        }
    }

    /// An error of the operating system, met while doing something.
    pub(crate) fn io(doing: impl Into<String>, source: std::io::Error) -> Self {
        use std::io::ErrorKind;
        match source.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => StoreError::Full,
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
                StoreError::NotAllowed { doing: doing.into() }
            }
            _ => StoreError::Io {
                doing: doing.into(),
                source,
            },
        }
    }

    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        StoreError::Damaged { what: what.into() }
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => StoreError::Full,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                StoreError::damaged(error.to_string())
            }
            Some(
                ErrorCode::ReadOnly
                | ErrorCode::PermissionDenied
                | ErrorCode::AuthorizationForStatementDenied,
            ) => StoreError::NotAllowed {
                doing: "write the database".to_owned(),
            },
            Some(ErrorCode::CannotOpen) => StoreError::NotAllowed {
                doing: "open the database".to_owned(),
            },
            _ => StoreError::Database(error.to_string()),
        }
    }
}
