//! The notebook as the shell sees it: the one file that knows its calls.
//!
//! It never holds anything of a record: it opens the folder, passes calls on, and turns refusals into what
//! crosses to the pages (a code and its arguments, no prose).

use std::path::Path;

use serde::Serialize;
use serde_json::Value;

/// The open notebook.
pub(crate) struct Face {}

/// What crosses to the pages instead of a reply.
#[derive(Debug, Clone, Serialize, thiserror::Error)]
#[error("{text}")]
pub(crate) struct Told {
    code: String,
    args: Value,
    text: String,
}

impl Told {
    /// The shell's own thread stopped: a fault of the program.
    pub(crate) fn broken(stopped: &dyn std::fmt::Display) -> Self {
        Self {
            code: "broken".into(),
            args: Value::Null,
            text: stopped.to_string(),
        }
    }

    /// A page sent JSON where bytes are wanted.
    pub(crate) fn bytes_wanted() -> Self {
        Self {
            code: "bytes_wanted".into(),
            args: Value::Null,
            text: "bytes are wanted here".into(),
        }
    }
}

/// Which picture of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Size {
    /// A small one, for lists.
    Thumb,
    /// As it was taken.
    Original,
}

/// A photo's bytes and media type.
#[derive(Debug)]
pub(crate) struct Photo {
    pub(crate) bytes: Vec<u8>,
    pub(crate) media: &'static str,
}

/// The notebook has no calls yet: every one of these is refused, so that nothing looks done.
impl Face {
    pub(crate) fn open(_folder: &Path) -> Result<Self, Told> {
        Err(Self::not_wired())
    }
    pub(crate) fn call(&self, _record: Option<&str>, _name: &str, _args: Value) -> Result<Value, Told> {
        Err(Self::not_wired())
    }
    pub(crate) fn watch(&self, _each: impl Fn(Value) -> bool + Send + 'static) {}
    pub(crate) fn photo(&self, _record: &str, _hash: &str, _size: Size) -> Result<Option<Photo>, Told> {
        Err(Self::not_wired())
    }
    pub(crate) fn take_photo(&self, _record: Option<&str>, _bytes: Vec<u8>) -> Result<Value, Told> {
        Err(Self::not_wired())
    }
    pub(crate) fn carry_in(&self, _record: Option<&str>, _bytes: Vec<u8>) -> Result<Value, Told> {
        Err(Self::not_wired())
    }
    pub(crate) fn carry_out(&self, _record: Option<&str>, _args: Value) -> Result<Vec<u8>, Told> {
        Err(Self::not_wired())
    }
    fn not_wired() -> Told {
        Told {
            code: "not_wired".into(),
            args: Value::Null,
            text: "the window has no notebook yet".into(),
        }
    }
}
