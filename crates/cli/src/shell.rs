//! The tasks, one by one: each hands its arguments to the notebook and prints the answer, in words or as JSON.

use std::collections::BTreeMap;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};

use notebook::{Notebook, Refusal, Source as _};
use record::Day;
use serde_json::{Value, json};

use crate::arguments::{Arguments, PhotosTask, Task, Way};
use crate::machine::Machine;
use crate::{drop, long, machine, meet, pictures, roads, serve, words};

/// Does what was asked.
#[expect(clippy::too_many_lines, reason = "a task a line: what each is handed to")]
pub(crate) fn run(arguments: Arguments) -> Result<(), Refusal> {
    let Arguments {
        at,
        record,
        json,
        trace,
        task,
    } = arguments;
    let out = Out { json };
    // Where something goes on in the background, its folder has the trace too.
    let looked_after = matches!(
        task,
        Task::Serve { .. } | Task::Pair { .. } | Task::Meet { .. } | Task::Drop { .. }
    );
    let folder = machine::data_folder(at.clone()).ok().filter(|_| looked_after);
    // A second trace of one program, as in its tests, is the first one's.
    let _ = host::leave_trace(folder.as_deref(), trace);
    let here = Here { at, record };
    match task {
        Task::Start { keeper, car, device } => {
            let mut notebook = machine::open(here.at, "start", true)?;
            let args = json!({ "car": car, "keeper": keeper, "device_name": device });
            out.say(&notebook.call(None, "start_record", args)?, words::begun)
        }
        Task::Join {
            file,
            keeper,
            device,
            passphrase,
        } => {
            let mut notebook = machine::open(here.at, "join", true)?;
            let args = json!({
                "file": full(&file)?, "keeper": keeper, "device_name": device, "passphrase": spoken(passphrase)?,
            });
            out.say(&notebook.call(None, "join_record", args)?, words::begun)
        }
        Task::Commands => commands(&out),
        Task::Call { name, args } if name == "-" => {
            if args != "{}" {
                return Err(Refusal::input(
                    "arguments",
                    "with '-', requests come from standard input",
                ));
            }
            lines(here)
        }
        Task::Call { name, args } => {
            let args: Value = serde_json::from_str(&args).map_err(|error| {
                Refusal::input("arguments", format!("the arguments are no JSON: {error}"))
            })?;
            out.json(&here.ask(&name, args)?)
        }
        Task::Carry { way } => carry(here, way, &out),
        Task::Drop { task } => match drop::run(here.at, here.record.as_deref(), task)? {
            drop::Answer::Page(page) => out.say(&page, roads::drops),
            drop::Answer::Looked(page, asked) => {
                out.say(&page, roads::drops)?;
                drop::all_looked(&page, asked.as_deref())
            }
            drop::Answer::Sizes(page) => out.say(&page, roads::drop_sizes),
        },
        Task::Aside => out.say(&here.ask("aside", json!({}))?, roads::aside),
        Task::Pair {
            ticket,
            voice,
            keeper,
            device,
        } => {
            let pair = meet::Pair {
                ticket,
                voice,
                keeper,
                device,
            };
            meet::pair(here.at, here.record, pair, json)
        }
        Task::Meet { seconds } => meet::meet(here.at, here.record, seconds, json),
        Task::Members => out.say(&here.ask("members", json!({}))?, words::members),
        Task::Revoke { device, why } => revoke(here, &device, &why, &out),
        Task::Cut { device } => cut(here, &device, &out),
        Task::Relay { relay: None } => out.say(&here.ask("meetings", json!({}))?, words::relay),
        Task::Relay { relay: Some(relay) } => {
            let relay = if relay == "off" { "" } else { relay.as_str() };
            out.say(&here.ask("live", json!({ "relay": relay }))?, words::relay)
        }
        Task::Photos {
            task:
                Some(PhotosTask::In {
                    folder,
                    about,
                    day,
                    shift,
                }),
            ..
        } => {
            let taking = pictures::PicturesIn {
                from: full(&folder)?,
                about: about.map(|about| about.parse()).transpose().map_err(said_wrong)?,
                day: day.map(|day| day.parse()).transpose().map_err(said_wrong)?,
                shift,
            };
            let told = pictures::take(here.at, here.record.as_deref(), &taking)?;
            out.say(&told, words::taken_in)
        }
        Task::Photos { get, fetch, by, .. } => photos(here, get, (fetch, by), &out),
        Task::Passphrase => out.say(&here.ask("passphrase", json!({}))?, words::proposed),
        Task::Folder { is: None, .. } => out.say(&here.ask("folder", json!({}))?, words::folder),
        Task::Folder { is: Some(is), device } => {
            let args = json!({ "copy": is == "copy", "device_name": device });
            out.say(&here.ask("folder_is", args)?, words::folder)
        }
        Task::Digest => out.say(&here.ask("digest", json!({}))?, words::digest),
        Task::Check { let_go: true } => out.say(&here.ask("let_go", json!({}))?, words::given_up),
        Task::Check { let_go: false } => check(here, &out),
        Task::Rebuild => out.say(&here.ask_long("rebuild", json!({}))?, words::rebuilt),
        Task::Serve { port } => serve::run(machine::open_to_stay(here.at, "serve")?, port, json),
        Task::Reckon {
            name,
            inputs,
            list,
            inch,
        } => reckon(name.as_deref(), &inputs, list, inch, &out),
        Task::Demo { into, day } => build_demo(&into, day, &out),
        Task::Types { out: dir } => std::fs::create_dir_all(&dir)
            .and_then(|()| std::fs::write(dir.join("wire.ts"), notebook::typescript()))
            .and_then(|()| std::fs::write(dir.join("fields.ts"), notebook::field_table()?))
            .map_err(|error| Refusal::failed("write", format!("'{}': {error}", dir.display()))),
    }
}

/// Writes a carry file, weighs one, or takes one in.
fn carry(here: Here, way: Way, out: &Out) -> Result<(), Refusal> {
    match way {
        Way::Out {
            file,
            to,
            no_photos,
            passphrase,
            open,
        } => {
            let mut notebook = machine::open(here.at, "carry out", false)?;
            let named = here.record.as_deref();
            let to = to
                .map(|name| device_called(&mut notebook, named, &name))
                .transpose()?;
            let args = json!({
                "to": to, "file": full(&file)?, "photos": !no_photos, "passphrase": spoken(passphrase)?, "open": open,
            });
            let (handle, carried) = long::ask(notebook, named, "carry_out", args);
            let carried = carried?;
            handle.with(|notebook| tell_revoked(notebook, named));
            out.say(&carried, words::carried_out)
        }
        Way::Size { to, no_photos } => {
            let mut notebook = machine::open(here.at, "carry size", false)?;
            let named = here.record.as_deref();
            let to = to
                .map(|name| device_called(&mut notebook, named, &name))
                .transpose()?;
            let args = json!({ "to": to, "photos": !no_photos });
            out.say(&notebook.call(named, "carry_size", args)?, roads::carry_size)
        }
        Way::In {
            file,
            passphrase,
            welcome,
        } => {
            let args = json!({ "file": full(&file)?, "passphrase": spoken(passphrase)?, "welcome": welcome });
            out.say(&here.ask("carry_in", args)?, words::met)
        }
    }
}

/// Asks for one original, chooses which are fetched, or says how that was chosen.
fn photos(
    here: Here,
    get: Option<String>,
    (fetch, by): (Option<String>, Option<String>),
    out: &Out,
) -> Result<(), Refusal> {
    if let Some(photo) = get {
        return out.say(&here.ask("photo_fetch", json!({ "photo": photo }))?, words::photo);
    }
    if fetch.is_some() || by.is_some() {
        let choice = json!({ "photos": fetch, "photos_by": by });
        return out.say(&here.ask("live", choice)?, words::photos);
    }
    out.say(&here.ask("meetings", json!({}))?, words::photos)
}

fn said_wrong(wrong: impl std::fmt::Display) -> Refusal {
    Refusal::input("arguments", wrong.to_string())
}

/// Says that a device is met no more, and why.
fn revoke(here: Here, device: &str, why: &str, out: &Out) -> Result<(), Refusal> {
    let mut notebook = machine::open(here.at, "revoke", false)?;
    let named = here.record.as_deref();
    let device = device_called(&mut notebook, named, device)?;
    notebook.call(named, "revoke", json!({ "device": device, "why": why }))?;
    out.say(&notebook.call(named, "members", json!({}))?, words::members)
}

/// Meets a device no more that the record does not name.
fn cut(here: Here, device: &str, out: &Out) -> Result<(), Refusal> {
    let mut notebook = machine::open(here.at, "cut", false)?;
    let named = here.record.as_deref();
    notebook.call(named, "cut", json!({ "device": device }))?;
    out.say(&notebook.call(named, "members", json!({}))?, words::members)
}

/// Checks the folder, and fails where it is not sound.
fn check(here: Here, out: &Out) -> Result<(), Refusal> {
    let report = here.ask_long("check", json!({}))?;
    out.say(&report, words::checked)?;
    if report.get("sound") == Some(&Value::Bool(true)) {
        return Ok(());
    }
    Err(Refusal::failed(
        "unsound",
        "the folder is not sound: see above; nothing was changed",
    ))
}

/// Lists the calculations, or does one.
fn reckon(name: Option<&str>, inputs: &[String], list: bool, inch: bool, out: &Out) -> Result<(), Refusal> {
    if list {
        let all = free("calculations", json!({ "preferences": preferences(inch) }))?;
        return out.say(&listed(all, name)?, words::calculations);
    }
    let Some(name) = name else {
        return Err(Refusal::input(
            "arguments",
            "name a calculation, or list them with --list",
        ));
    };
    let inputs = pairs(inputs)?;
    let args = json!({ "name": name, "inputs": inputs, "preferences": preferences(inch) });
    out.say(&free("reckon", args)?, words::answer)
}

/// Builds the demo.
fn build_demo(into: &Path, day: Option<Day>, out: &Out) -> Result<(), Refusal> {
    let today = day.unwrap_or_else(|| Machine.now().day(0));
    let built = demo::build(into, today).map_err(|error| match error {
        demo::DemoError::There(_) => Refusal::input("demo_there", error.to_string()),
        _ => Refusal::failed("demo", error.to_string()),
    })?;
    out.say(
        &json!({ "parent": built.parent, "child": built.child }),
        words::demo,
    )
}

/// The folder and the record that were named.
struct Here {
    at: Option<PathBuf>,
    record: Option<String>,
}

impl Here {
    fn ask(self, name: &str, args: Value) -> Result<Value, Refusal> {
        let mut notebook = machine::open(
            self.at,
            &format!("call {name}"),
            name.starts_with("start_") || name.starts_with("join_"),
        )?;
        let answer = notebook.call(self.record.as_deref(), name, args);
        tell_revoked(&mut notebook, self.record.as_deref());
        answer
    }

    /// As [`ask`](Self::ask), for what may take long.
    fn ask_long(self, name: &str, args: Value) -> Result<Value, Refusal> {
        let notebook = machine::open(self.at, &format!("call {name}"), false)?;
        let (handle, answer) = long::ask(notebook, self.record.as_deref(), name, args);
        handle.with(|notebook| tell_revoked(notebook, self.record.as_deref()));
        answer
    }
}

/// Says on the side, whatever was asked, that this device was revoked; what it answers with stays as it is.
fn tell_revoked(notebook: &mut Notebook, record: Option<&str>) {
    let saved = notebook.call(record, "saved", json!({}));
    if let Ok(saved) = saved
        && let Some(says) = saved.get("revoked").and_then(Value::as_str)
    {
        eprintln!("{says}");
    }
}

/// Asks what needs no folder.
fn free(name: &str, args: Value) -> Result<Value, Refusal> {
    Notebook::without_folder(name, args)
}

/// The calculations, or the one of that name.
fn listed(all: Value, name: Option<&str>) -> Result<Value, Refusal> {
    let (Some(name), Value::Array(all)) = (name, &all) else {
        return Ok(all);
    };
    let named = |one: &&Value| one.get("name").and_then(Value::as_str) == Some(name);
    match all.iter().find(named) {
        Some(one) => Ok(json!([one])),
        None => Err(Refusal::input(
            "bench",
            format!("there is no calculation “{name}”; `reckon --list` names all of them"),
        )),
    }
}

/// A passphrase as it was typed, or out of standard input.
fn spoken(passphrase: Option<String>) -> Result<Option<String>, Refusal> {
    match passphrase.as_deref() {
        Some("-") => drop::typed().map(Some),
        _ => Ok(passphrase),
    }
}

fn preferences(inch: bool) -> Value {
    json!({ "units": if inch { "inch" } else { "metric" } })
}

fn full(path: &Path) -> Result<PathBuf, Refusal> {
    std::path::absolute(path)
        .map_err(|error| Refusal::input("path", format!("'{}': {error}", path.display())))
}

/// What was given, by its name. A name that stands there twice is refused: the shell does not pick one of the two.
fn pairs(inputs: &[String]) -> Result<BTreeMap<String, String>, Refusal> {
    let mut given = BTreeMap::new();
    for input in inputs {
        let Some((key, value)) = input.split_once('=') else {
            return Err(Refusal::input("arguments", format!("'{input}' is not KEY=VALUE")));
        };
        let (key, value) = (key.trim().to_owned(), value.trim().to_owned());
        if let Some(first) = given.get(&key) {
            let apart = if *first == value {
                ""
            } else {
                ", and the two contradict each other"
            };
            return Err(Refusal::input(
                "arguments",
                format!("{key} is given twice{apart}: '{first}' and '{value}'. Leave one out."),
            ));
        }
        given.insert(key, value);
    }
    Ok(given)
}

/// The device that a name means: its id, its own name, or that of a keeper with one device.
fn device_called(notebook: &mut Notebook, record: Option<&str>, name: &str) -> Result<String, Refusal> {
    let page = notebook.call(record, "keepers", json!({}))?;
    let plain = name.to_lowercase();
    let mut found: Vec<String> = Vec::new();
    for keeper in page
        .get("keepers")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        let called = |value: &Value| value.get("name").and_then(Value::as_str).map(str::to_lowercase);
        for device in keeper
            .get("devices")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            let id = device.get("id").and_then(Value::as_str).unwrap_or_default();
            let this = device.get("this") == Some(&Value::Bool(true));
            let meant = id == name
                || called(device).as_deref() == Some(&plain)
                || called(keeper).as_deref() == Some(&plain);
            if meant && !this {
                found.push(id.to_owned());
            }
        }
    }
    match found.as_slice() {
        [one] => Ok(one.clone()),
        [] => Err(Refusal::input(
            "no_device",
            format!("no other device or keeper is called '{name}'"),
        )),
        _ => Err(Refusal::input(
            "which_device",
            format!("'{name}' means several devices; name one by its own name"),
        )),
    }
}

/// Requests as lines of JSON, answered line by line: what is answered is on the disk.
fn lines(here: Here) -> Result<(), Refusal> {
    let mut notebook = machine::open(here.at, "call -", true)?;
    let cannot = |error: std::io::Error| Refusal::failed("stdio", error.to_string());
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let line = line.map_err(cannot)?;
        if line.trim().is_empty() {
            continue;
        }
        let answer = match serde_json::from_str::<Value>(&line) {
            Ok(request) => {
                let record = request
                    .get("record")
                    .and_then(Value::as_str)
                    .or(here.record.as_deref());
                let name = request.get("name").and_then(Value::as_str).unwrap_or_default();
                let args = request.get("args").cloned().unwrap_or_else(|| json!({}));
                notebook.call(record, name, args)
            }
            Err(error) => Err(Refusal::input(
                "arguments",
                format!("the request is no JSON: {error}"),
            )),
        };
        let answer = match answer {
            Ok(reply) => json!({ "reply": reply }),
            Err(refusal) => json!({ "refusal": refusal }),
        };
        writeln!(out, "{answer}")
            .and_then(|()| out.flush())
            .map_err(cannot)?;
    }
    Ok(())
}

fn commands(out: &Out) -> Result<(), Refusal> {
    let all: Vec<Value> = notebook::registry()
        .iter()
        .map(|command| {
            json!({
                "name": command.name,
                "says": command.says,
                "writes": command.writes,
                "args": command.args_schema(),
                "reply": command.reply_schema(),
            })
        })
        .collect();
    out.say(&Value::Array(all), words::commands)
}

/// Prints answers.
struct Out {
    json: bool,
}

impl Out {
    fn say(&self, reply: &Value, in_words: fn(&Value) -> String) -> Result<(), Refusal> {
        if self.json {
            self.json(reply)
        } else {
            print(&record::printable(&in_words(reply)))
        }
    }

    fn json(&self, reply: &Value) -> Result<(), Refusal> {
        let text = if self.json {
            serde_json::to_string(reply)
        } else {
            serde_json::to_string_pretty(reply)
        };
        print(&text.map_err(|error| Refusal::failed("json", error.to_string()))?)
    }
}

fn print(text: &str) -> Result<(), Refusal> {
    let written = writeln!(std::io::stdout().lock(), "{text}");
    // Whoever reads it may have seen enough: that is no fault, and nobody is left to be told.
    if written
        .as_ref()
        .is_err_and(|error| error.kind() == std::io::ErrorKind::BrokenPipe)
    {
        return Ok(());
    }
    written.map_err(|error| Refusal::failed("stdio", error.to_string()))
}
