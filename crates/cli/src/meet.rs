//! Meetings from a shell: pairing with its digits and the keeper's word, meeting for a while, and the relay. It looks
//! after meetings only as long as it runs, and decides nothing.

use std::io::{BufRead, Write};
use std::path::PathBuf;
use std::time::{Duration, Instant};

use host::{Handle, Surroundings};
use notebook::Refusal;
use serde_json::{Value, json};

use crate::machine;
use crate::words;

/// Between looks at how it stands.
const LOOK: Duration = Duration::from_millis(200);
/// How long a first meeting may take before the shell goes away; whatever is lacking then comes at the next.
const FIRST: Duration = Duration::from_secs(120);

/// A folder whose meetings are looked after.
struct Attended {
    notebook: Handle,
    record: Option<String>,
}

impl Attended {
    fn open(at: Option<PathBuf>, record: Option<String>, task: &str, make: bool) -> Result<Self, Refusal> {
        let notebook = Handle::new(machine::open(at, task, make)?);
        notebook.attend(Surroundings::usual())?;
        Ok(Self { notebook, record })
    }

    fn ask(&self, name: &str, args: Value) -> Result<Value, Refusal> {
        let record = self.record.as_deref();
        self.notebook.with(|notebook| notebook.call(record, name, args))
    }
}

impl Drop for Attended {
    fn drop(&mut self) {
        self.notebook.leave();
    }
}

fn word<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or_default()
}

fn say(text: &str) -> Result<(), Refusal> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{text}")
        .and_then(|()| out.flush())
        .map_err(|error| Refusal::failed("stdio", error.to_string()))
}

/// What one side of a pairing is given.
pub(crate) struct Pair {
    pub(crate) ticket: Option<String>,
    pub(crate) voice: bool,
    pub(crate) keeper: Option<String>,
    pub(crate) device: Option<String>,
}

/// Pairs: shows a ticket, or follows one; then both keepers compare the digits. Under `json`, each step is a line.
pub(crate) fn pair(
    at: Option<PathBuf>,
    record: Option<String>,
    pair: Pair,
    json: bool,
) -> Result<(), Refusal> {
    let joins = pair.ticket.is_some();
    let here = Attended::open(at, record, "pair", joins)?;
    match &pair.ticket {
        Some(ticket) => {
            let args = json!({ "ticket": ticket, "keeper": pair.keeper, "device_name": pair.device });
            here.ask("pair_join", args)?;
        }
        None => {
            let ticket = here.ask("pair_open", json!({ "voice": pair.voice }))?;
            say(&if json {
                ticket.to_string()
            } else {
                words::ticket(&ticket)
            })?;
        }
    }
    let mut asked = false;
    let with = loop {
        let stands = here.ask("pair_code", json!({}))?;
        match word(&stands, "state") {
            "compare" if !asked => {
                asked = true;
                let cannot = stands.get("about").map(|about| word(about, "cannot"));
                if cannot.is_some_and(|cannot| !cannot.is_empty()) {
                    here.ask("pair_confirm", json!({ "yes": false }))?;
                    return Err(Refusal::input("not_paired", words::about(&stands)));
                }
                say(&if json {
                    stands.to_string()
                } else {
                    words::digits(&stands)
                })?;
                let mut line = String::new();
                std::io::stdin()
                    .lock()
                    .read_line(&mut line)
                    .map_err(|error| Refusal::failed("stdio", error.to_string()))?;
                let yes = matches!(line.trim().to_lowercase().as_str(), "y" | "yes");
                here.ask("pair_confirm", json!({ "yes": yes }))?;
            }
            "paired" => {
                say(&if json {
                    stands.to_string()
                } else {
                    words::paired(&stands)
                })?;
                break word(&stands, "with").to_owned();
            }
            "ended" | "closed" => {
                let why = word(&stands, "words");
                return Err(Refusal::input("not_paired", format!("nothing was paired: {why}")));
            }
            _ => {}
        }
        std::thread::sleep(LOOK);
    };
    // The newcomer needs this device until it has everything. Either may be gone before the other has looked.
    let until = Instant::now() + FIRST;
    while Instant::now() < until {
        let page = here.ask("meetings", json!({}))?;
        if one_of(&page, &with).is_some_and(|one| met(one) || left(one)) {
            break;
        }
        std::thread::sleep(LOOK);
    }
    let page = here.ask("meetings", json!({}))?;
    say(&if json {
        page.to_string()
    } else {
        words::meetings(&page)
    })
}

/// The line of the device that was paired.
fn one_of<'a>(page: &'a Value, with: &str) -> Option<&'a Value> {
    let devices = page.get("devices").and_then(Value::as_array);
    devices
        .into_iter()
        .flatten()
        .find(|one| with == format!("{}'s {}", word(one, "keeper_name"), word(one, "name")))
}

/// Whether it is here and both hold the same.
fn met(one: &Value) -> bool {
    word(one, "phase") == "live" && one.get("alike") == Some(&Value::Bool(true))
}

/// Whether it was here, and has gone with what it came for.
fn left(one: &Value) -> bool {
    !word(one, "ended").is_empty() && !word(one, "last_met").is_empty()
}

/// Meets whoever is here for so many seconds and says how it stands at the end.
pub(crate) fn meet(
    at: Option<PathBuf>,
    record: Option<String>,
    seconds: u64,
    json: bool,
) -> Result<(), Refusal> {
    let here = Attended::open(at, record, "meet", false)?;
    // Refused in words where meetings are off: nobody would come however long one waits.
    here.ask("meet_now", json!({}))?;
    std::thread::sleep(Duration::from_secs(seconds));
    let page = here.ask("meetings", json!({}))?;
    say(&if json {
        page.to_string()
    } else {
        words::meetings(&page)
    })
}
