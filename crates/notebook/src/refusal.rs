//! What a face is told when something is not done: a code to branch on, one sentence to show, and arguments.
//! The sentence comes from here, so that the shell and the pages say the same thing.

use link::carry::{CarryError, Stopped};
use link::seal::SealError;
use record::edit::{Becomes, Blocker, EditError};
use record::{Against, BadRecord, Refused};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use store::StoreError;

/// Whose fault it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// What was asked for cannot be done as asked: nothing was changed.
    Input,
    /// The program, the folder or the machine failed.
    Program,
}

/// Something that was not done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[error("{words}")]
pub struct Refusal {
    /// To branch on.
    pub code: String,
    /// To show: one sentence.
    pub words: String,
    /// What the sentence is about.
    pub args: Value,
    /// Whose fault it is.
    pub fault: Fault,
}

impl Refusal {
    /// The input is at fault.
    #[must_use]
    pub fn input(code: &str, words: impl Into<String>) -> Self {
        Self {
            code: code.to_owned(),
            words: words.into(),
            args: json!({}),
            fault: Fault::Input,
        }
    }

    /// The program is at fault.
    #[must_use]
    pub fn failed(code: &str, words: impl Into<String>) -> Self {
        Self {
            fault: Fault::Program,
            ..Self::input(code, words)
        }
    }

    pub(crate) fn with(self, args: Value) -> Self {
        Self { args, ..self }
    }
}

impl From<record::Refusal> for Refusal {
    fn from(refusal: record::Refusal) -> Self {
        let args = match &refusal {
            record::Refusal::StillOpen { assembly, blockers } => {
                json!({ "assembly": assembly, "blockers": blockers as &Vec<Blocker> })
            }
            record::Refusal::StandsInside { title, inside } => {
                json!({ "title": title, "inside": inside, "may": Becomes::ALL })
            }
            record::Refusal::Unknown(name) => json!({ "name": name }),
            record::Refusal::Missing { kind, field } => json!({ "kind": kind, "field": field }),
            record::Refusal::Misfit { field, .. } => json!({ "field": field }),
            record::Refusal::NoSuchChoice { may, .. } => json!({ "may": may }),
            _ => json!({}),
        };
        Self::input(refusal.code(), refusal.to_string()).with(args)
    }
}

impl From<BadRecord> for Refusal {
    fn from(bad: BadRecord) -> Self {
        match bad {
            BadRecord::Damaged(_) | BadRecord::Unfit(_) => Self::input("damaged", bad.to_string()),
            BadRecord::OverBudget(_) => Self::input("over_budget", bad.to_string()),
            BadRecord::TooMuchAtOnce => Self::input("too_much_at_once", bad.to_string()),
            BadRecord::UsedUp => Self::input("used_up", bad.to_string()),
            BadRecord::Gap(_) => Self::input("gap", bad.to_string()),
            BadRecord::Against(ref refused) => Self::input(code_of(refused), bad.to_string()),
            BadRecord::Newer { .. } => Self::input("newer_record", bad.to_string()),
            BadRecord::Refused(_) => Self::failed("document", bad.to_string()),
        }
    }
}

/// What a face branches on where changes from outside were refused: by the first of them.
fn code_of(refused: &[Refused]) -> &'static str {
    match refused.first().map(|first| &first.why) {
        Some(Against::SameName) => "same_name",
        Some(Against::Root | Against::Laying | Against::Entry { .. } | Against::Text(_)) => "takes_away",
        _ => "damaged",
    }
}

impl From<EditError> for Refusal {
    fn from(error: EditError) -> Self {
        match error {
            EditError::Refused(refusal) => refusal.into(),
            EditError::Broken(bad) => bad.into(),
        }
    }
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Self {
        let words = error.to_string();
        let by_input = matches!(
            error,
            StoreError::InUse { .. }
                | StoreError::Newer { .. }
                | StoreError::Foreign { .. }
                | StoreError::NoRecord(_)
                | StoreError::RecordThere(_)
                | StoreError::NoPhoto(_)
                | StoreError::WrongPhoto { .. }
                | StoreError::PhotoTooLarge { .. }
        );
        if by_input {
            Self::input(error.code(), words)
        } else {
            Self::failed(error.code(), words)
        }
    }
}

impl From<CarryError> for Refusal {
    fn from(error: CarryError) -> Self {
        match error {
            CarryError::Io(_) => Self::failed("carry_io", error.to_string()),
            CarryError::Seal(SealError::NotForMe) => Self::input("not_for_this_device", error.to_string()),
            CarryError::Seal(SealError::WrongPassphrase) => Self::input(
                "passphrase_wrong",
                "this passphrase does not open the carry file: capital letters count, how many spaces stand between words does not; nothing was changed",
            ),
            _ => Self::input("carry_file", error.to_string()),
        }
    }
}

impl From<Stopped<Refusal>> for Refusal {
    fn from(stopped: Stopped<Refusal>) -> Self {
        match stopped {
            Stopped::File(error) => error.into(),
            Stopped::Sink(refusal) => refusal,
        }
    }
}

impl From<reckon::ReckonRefusal> for Refusal {
    fn from(refusal: reckon::ReckonRefusal) -> Self {
        // The words say it all the same where the arguments could not be written out.
        let args = serde_json::to_value(&refusal).unwrap_or_default();
        Self::input("bench", refusal.to_string()).with(args)
    }
}
