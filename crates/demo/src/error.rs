//! What can be wrong with the demo: with its sources, with a drawing, or with playing it into a folder.
//! Every error names the file and the entry, so that a slip in the sources is found at once.

/// Why the demo could not be read or made.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// A source that is not there.
    #[error("the demo has no file '{0}'")]
    NoFile(String),
    /// A source that is not UTF-8 or not TOML.
    #[error("{file}: {why}")]
    Unreadable {
        /// Which file.
        file: String,
        /// What is wrong, with its line where that is known.
        why: String,
    },
    /// An entry that says something that cannot be.
    #[error("{file}: {entry}: {why}")]
    Wrong {
        /// Which file.
        file: String,
        /// Which entry in it.
        entry: String,
        /// What is wrong.
        why: String,
    },
    /// A step that the notebook refused, or that could not be asked.
    #[error("{file}: {entry}: on the {who}'s device at {at}: {why}")]
    Refused {
        /// Which file the step is from.
        file: String,
        /// What the step is about.
        entry: String,
        /// On whose device.
        who: String,
        /// When in the story.
        at: String,
        /// Why not.
        why: String,
    },
    /// A folder that is there already; nothing in it was touched.
    #[error("'{0}' is there already; the demo is made in a folder that holds nothing of it yet")]
    There(String),
    /// The disk refused.
    #[error("could not {what}: {why}")]
    Disk {
        /// What was to be done.
        what: String,
        /// Why not.
        why: String,
    },
    /// A drawing that cannot be rendered.
    #[error("drawings/{drawing}: {why}")]
    Drawing {
        /// Its file name.
        drawing: String,
        /// What is wrong.
        why: String,
    },
}

impl DemoError {
    /// An entry that says something that cannot be.
    pub(crate) fn wrong(file: &str, entry: impl ToString, why: impl ToString) -> Self {
        Self::Wrong {
            file: file.to_owned(),
            entry: entry.to_string(),
            why: why.to_string(),
        }
    }
}
