//! The notebook as the shell sees it: the one file that knows its calls, and what this machine lends it (its
//! clock and its randomness).
//!
//! It never holds anything of a record: it opens the folder and passes calls, bytes and patches on.

use std::io::Write as _;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use host::{Handle, Surroundings};
use notebook::{Fault, Notebook, PhotoSize, Refusal, Source};
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
        random()
    }

    fn secret(&mut self) -> Option<[u8; 64]> {
        Some(random())
    }
}

/// Bytes that nobody can guess.
fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0_u8; N];
    #[expect(
        clippy::expect_used,
        reason = "a machine without randomness can make no id or secret that is safe to use"
    )]
    getrandom::fill(&mut bytes).expect("the machine gives no randomness");
    bytes
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
        let notebook = host::open_to_stay(folder, "the Witnessmark window", Box::new(Machine))?;
        let notebook = Handle::new(notebook);
        notebook.open_ahead();
        Ok(Self { notebook })
    }

    /// Looks after meetings and drops in the background from now on. Whoever turned meetings off has none.
    pub(crate) fn attend(&self, around: Surroundings) -> Result<(), Told> {
        self.notebook.caught_up_then(|notebook| {
            notebook.attend(around)?;
            notebook.attend_drops()
        })
    }

    /// Says farewell to whoever is here: some seconds at most.
    pub(crate) fn leave(&self) {
        self.notebook.leave_drops();
        self.notebook.leave();
    }

    /// Does a command or answers a query of the registry; with what the answer was made of.
    pub(crate) fn answer(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Told> {
        json_of(&self.notebook.answer(record, name, args)?)
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
        json_of(&self.notebook.take_photo(bytes)?)
    }

    /// Takes a carry file in, and with `welcome` a newcomer who signed it; replies with what it brought.
    pub(crate) fn carry_in(
        &self,
        record: Option<&str>,
        bytes: &[u8],
        passphrase: Option<&str>,
        welcome: bool,
    ) -> Result<Value, Told> {
        self.by_file(
            record,
            "carry_in",
            bytes,
            passphrase,
            json!({ "welcome": welcome }),
        )
    }

    /// Joins a car by a carry file; replies with the record's line.
    pub(crate) fn join(
        &self,
        keeper: &str,
        device: Option<&str>,
        bytes: &[u8],
        passphrase: Option<&str>,
    ) -> Result<Value, Told> {
        self.by_file(
            None,
            "join_record",
            bytes,
            passphrase,
            json!({ "keeper": keeper, "device_name": device }),
        )
    }

    /// A command that reads a carry file, on bytes that a page handed over.
    fn by_file(
        &self,
        record: Option<&str>,
        name: &str,
        bytes: &[u8],
        passphrase: Option<&str>,
        mut args: Value,
    ) -> Result<Value, Told> {
        let mut file = self.notebook.with(Notebook::set_down)?;
        file.write_all(bytes)
            .map_err(|error| Refusal::failed("carry_io", error.to_string()))?;
        if let Some(args) = args.as_object_mut() {
            args.insert("file".into(), json!(file.place()));
            if let Some(passphrase) = passphrase {
                args.insert("passphrase".into(), json!(passphrase));
            }
        }
        self.notebook.call(record, name, args)
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

    impl Face {
        fn call(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Told> {
            self.notebook.call(record, name, args)
        }
    }

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
        assert!(face.carry_in(None, b"no carry file", None, false).is_err());
        assert!(face.join("Ida", None, b"no carry file", None).is_err());
        assert!(face.photo(&"0".repeat(64), PhotoSize::Thumb).unwrap().is_none());
    }

    #[test]
    fn two_windows_pair_and_what_one_writes_stands_in_the_other() {
        // Loopback only: no test needs a network, and none is announced on.
        let around = || Surroundings {
            mdns: false,
            at: vec!["127.0.0.1:0".parse().unwrap()],
        };
        let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let (host, guest) = (
            Face::open(here.path()).unwrap(),
            Face::open(there.path()).unwrap(),
        );
        let started = json!({"car": "Tern", "keeper": "Ida"});
        host.call(None, "start_record", started).unwrap();
        let early = host.call(None, "meet_now", json!({})).unwrap_err();
        assert_eq!(early.code, "not_attended");
        host.attend(around()).unwrap();
        guest.attend(around()).unwrap();
        let ticket = host.call(None, "pair_open", json!({})).unwrap()["ticket"].clone();
        let joining = json!({"ticket": ticket, "keeper": "Odd", "device_name": "bench tablet"});
        guest.call(None, "pair_join", joining).unwrap();
        let wait = |face: &Face, name: &str, holds: &dyn Fn(&Value) -> bool| {
            let until = std::time::Instant::now() + std::time::Duration::from_secs(60);
            loop {
                // A newcomer has no record to ask about until it is paired.
                let last = face.call(None, name, json!({}));
                if last.as_ref().is_ok_and(holds) {
                    return last.unwrap();
                }
                assert!(std::time::Instant::now() < until, "{name}: {last:?}");
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
        };
        let digits = wait(&host, "pair_code", &|stands| stands["state"] == "compare");
        let same = wait(&guest, "pair_code", &|stands| stands["state"] == "compare");
        assert_eq!(digits["code"], same["code"]);
        for face in [&host, &guest] {
            face.call(None, "pair_confirm", json!({"yes": true})).unwrap();
        }
        wait(&guest, "meetings", &|page| {
            page["devices"][0]["phase"] == "live" && page["devices"][0]["alike"] == true
        });
        host.call(None, "add_assembly", json!({"name": "Gearbox"}))
            .unwrap();
        wait(&guest, "car", &|page| page.to_string().contains("Gearbox"));
        host.call(None, "meet_now", json!({})).unwrap();
        host.leave();
        guest.leave();
    }

    #[test]
    fn a_carry_file_crosses_as_bytes() {
        let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let face = Face::open(here.path()).unwrap();
        face.call(None, "start_record", json!({"car": "Tern", "keeper": "Ida"}))
            .unwrap();
        let out = face.call(None, "carry_out", json!({ "open": true })).unwrap();
        let bytes = std::fs::read(out["file"].as_str().unwrap()).unwrap();
        let other = Face::open(there.path()).unwrap();
        let line = other.join("Odd", Some("bench tablet"), &bytes, None).unwrap();
        assert_eq!(line["car"], "Tern");
        assert_eq!(other.carry_in(None, &bytes, None, false).unwrap()["changes"], 0);
    }
}
