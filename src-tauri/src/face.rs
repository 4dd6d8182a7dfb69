//! The notebook as the shell sees it: the one file that knows its calls, and what this machine lends it (its
//! clock and its randomness).
//!
//! It never holds anything of a record: it opens the folder and passes calls, bytes and patches on.

use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use notebook::{Fault, Handle, Notebook, PhotoSize, Refusal, Source};
use record::Moment;
use serde::Serialize;
use serde_json::{Value, json};

/// What crosses to the pages instead of a reply: a code, a sentence to show, and what it is about.
pub(crate) type Told = Refusal;

/// The open notebook; calls come one after the other.
#[derive(Clone, Debug)]
pub(crate) struct Face {
    notebook: Handle,
}

/// The machine's clock and randomness.
#[derive(Debug)]
struct Machine;

impl Source for Machine {
    fn now(&mut self) -> Moment {
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        let seconds = since.map_or(0, |since| since.as_secs());
        Moment::from_seconds(i64::try_from(seconds).unwrap_or(i64::MAX))
    }

    fn random(&mut self) -> [u8; 16] {
        let mut bytes = [0_u8; 16];
        #[expect(
            clippy::expect_used,
            reason = "a machine without randomness can make no id that is safe to write under"
        )]
        getrandom::fill(&mut bytes).expect("the machine gives no randomness");
        bytes
    }
}

/// A photo's bytes and media type.
#[derive(Debug)]
pub(crate) struct Photo {
    pub(crate) bytes: Vec<u8>,
    pub(crate) media: String,
}

impl Face {
    /// Opens a data folder, or makes one. Refused when another program has it open.
    pub(crate) fn open(folder: &Path) -> Result<Self, Told> {
        let notebook = Notebook::open(folder, "the Witnessmark window", Box::new(Machine))?;
        Ok(Self {
            notebook: Handle::new(notebook),
        })
    }

    /// Does a command or answers a query of the registry.
    pub(crate) fn call(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Told> {
        self.notebook.with(|notebook| notebook.call(record, name, args))
    }

    /// Calls `each` with every patch from now on, until it answers `false`.
    pub(crate) fn watch(&self, each: impl Fn(Value) -> bool + Send + 'static) {
        // A patch that is no JSON cannot be: it is made of strings and a flag.
        let pass = move |patch: &notebook::wire::Patch| json_of(patch).is_ok_and(&each);
        self.notebook.with(|notebook| notebook.watch(pass));
    }

    /// A photo of this folder; `None` when it is not on this device.
    pub(crate) fn photo(&self, hash: &str, size: PhotoSize) -> Result<Option<Photo>, Told> {
        match self.notebook.with(|notebook| notebook.photo(hash, size)) {
            Ok((media, bytes)) => Ok(Some(Photo { bytes, media })),
            Err(told) if told.fault == Fault::Input => Ok(None),
            Err(told) => Err(told),
        }
    }

    /// Keeps a photo's bytes; replies with its hash and size.
    pub(crate) fn take_photo(&self, bytes: &[u8]) -> Result<Value, Told> {
        json_of(&self.notebook.with(|notebook| notebook.take_photo(bytes))?)
    }

    /// Takes a carry file in; replies with what it brought.
    pub(crate) fn carry_in(&self, record: Option<&str>, bytes: &[u8]) -> Result<Value, Told> {
        self.by_file(record, "carry_in", bytes, json!({}))
    }

    /// Joins a car by a carry file; replies with the record's line.
    pub(crate) fn join(&self, keeper: &str, device: Option<&str>, bytes: &[u8]) -> Result<Value, Told> {
        self.by_file(
            None,
            "join_record",
            bytes,
            json!({ "keeper": keeper, "device_name": device }),
        )
    }

    /// A command that reads a carry file, on bytes that a page handed over.
    fn by_file(
        &self,
        record: Option<&str>,
        name: &str,
        bytes: &[u8],
        mut args: Value,
    ) -> Result<Value, Told> {
        self.notebook.with(|notebook| {
            let file = notebook.set_down(bytes)?;
            if let Some(args) = args.as_object_mut() {
                args.insert("file".into(), json!(file));
            }
            let reply = notebook.call(record, name, args);
            notebook.clear_away(&file);
            reply
        })
    }
}

/// The shell's own thread stopped: a fault of the program.
pub(crate) fn broken(stopped: &dyn std::fmt::Display) -> Told {
    Refusal::failed(
        "panic",
        format!("the program failed at this: {stopped}; nothing of it was kept"),
    )
}

/// A page sent JSON where bytes are wanted.
pub(crate) fn bytes_wanted() -> Told {
    Refusal::input("arguments", "the file's bytes are wanted here, as they are")
}

fn json_of(value: &impl Serialize) -> Result<Value, Told> {
    serde_json::to_value(value).map_err(|error| Refusal::failed("json", error.to_string()))
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::*;

    #[test]
    fn a_car_is_begun_through_the_shell_and_the_patch_comes_out() {
        let folder = tempfile::tempdir().unwrap();
        let face = Face::open(folder.path()).unwrap();
        let (send, patches) = channel();
        face.watch(move |patch| send.send(patch).is_ok());
        let line = face
            .call(None, "start_record", json!({"car": "Tern", "keeper": "Ida"}))
            .unwrap();
        assert_eq!(patches.recv().unwrap()["record"], line["id"]);
        assert!(face.call(None, "no_such_command", json!({})).is_err());
    }

    #[test]
    fn a_second_window_on_the_same_folder_is_refused_in_words() {
        let folder = tempfile::tempdir().unwrap();
        let _first = Face::open(folder.path()).unwrap();
        let told = Face::open(folder.path()).unwrap_err();
        assert!(told.words.contains("the Witnessmark window"), "{told}");
    }

    #[test]
    fn what_is_no_photo_and_no_carry_file_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let face = Face::open(folder.path()).unwrap();
        face.call(None, "start_record", json!({"car": "Tern", "keeper": "Ida"}))
            .unwrap();
        assert_eq!(face.take_photo(b"no photo").unwrap_err().code, "no_photo");
        assert!(face.carry_in(None, b"no carry file").is_err());
        assert!(face.join("Ida", None, b"no carry file").is_err());
        assert!(face.photo(&"0".repeat(64), PhotoSize::Thumb).unwrap().is_none());
    }

    #[test]
    fn a_carry_file_crosses_as_bytes() {
        let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let face = Face::open(here.path()).unwrap();
        face.call(None, "start_record", json!({"car": "Tern", "keeper": "Ida"}))
            .unwrap();
        let out = face.call(None, "carry_out", json!({})).unwrap();
        let bytes = std::fs::read(out["file"].as_str().unwrap()).unwrap();
        let other = Face::open(there.path()).unwrap();
        let line = other.join("Odd", Some("bench tablet"), &bytes).unwrap();
        assert_eq!(line["car"], "Tern");
        assert_eq!(other.carry_in(None, &bytes).unwrap()["changes"], 0);
    }
}
