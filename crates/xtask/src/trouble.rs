//! What can stop a task, always as one line that says what to do next.
//!
//! Nobody branches on these: a task ends at the first one, so there are few kinds.

use std::path::Path;

/// Why a task stopped.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Trouble {
    /// A sentence for the person at the keyboard.
    #[error("{0}")]
    Words(String),
    /// A file or a program that could not be reached.
    #[error("{what}: {source}")]
    Io {
        /// What was being done, to what.
        what: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// Cargo could not describe the workspace.
    #[error("cargo metadata: {0}")]
    Metadata(#[from] cargo_metadata::Error),
    /// A file that should be JSON is not.
    #[error("{what}: {source}")]
    Json {
        /// The file.
        what: String,
        /// Where it stops being JSON.
        source: serde_json::Error,
    },
}

impl Trouble {
    /// A sentence as trouble.
    pub(crate) fn words(text: impl Into<String>) -> Self {
        Self::Words(text.into())
    }

    /// Trouble with a file: `verb` says what was being done to it.
    pub(crate) fn file(verb: &str, path: &Path, source: std::io::Error) -> Self {
        Self::Io {
            what: format!("{verb} {}", path.display()),
            source,
        }
    }
}
