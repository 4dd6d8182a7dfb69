//! Drops from a shell: where they lie, and one look at them. It looks only when asked, and waits until the look has
//! ended. A place's secret is read from standard input, so that it stands in no list of processes and no shell's history.

use std::io::BufRead;
use std::path::PathBuf;
use std::time::Duration;

use clap::Subcommand;
use host::Handle;
use notebook::Refusal;
use record::shown;
use serde_json::{Value, json};

use crate::machine;
use crate::words::text;

/// Between looks at how it stands.
const LOOK: Duration = Duration::from_millis(50);

/// What to do with drops.
#[derive(Debug, Subcommand)]
pub(crate) enum DropTask {
    /// Meet through a folder: a stick, a server in the house, a folder that another program copies.
    Folder {
        /// The folder, which must be there.
        path: PathBuf,
        #[command(flatten)]
        named: Named,
    },
    /// Meet through a bucket that speaks S3. The key's secret is read from standard input, one line.
    S3 {
        /// The server, `https://…`.
        endpoint: String,
        /// The bucket.
        bucket: String,
        /// The id of the key.
        #[arg(long, value_name = "ID")]
        key: String,
        /// A folder in the bucket.
        #[arg(long, value_name = "FOLDER")]
        prefix: Option<String>,
        /// The region, where the server has any.
        #[arg(long, value_name = "NAME")]
        region: Option<String>,
        #[command(flatten)]
        named: Named,
    },
    /// Meet through a folder on a WebDAV server. With --user, the password is read from standard input, one line.
    Webdav {
        /// Where it is, `https://…`.
        url: String,
        /// The name it knows you by.
        #[arg(long, value_name = "NAME")]
        user: Option<String>,
        #[command(flatten)]
        named: Named,
    },
    /// List the drops of the record, and what was found at the last look.
    List,
    /// Look now, and wait until it is done.
    Look {
        /// Which: its name or id; all of them where none is named.
        drop: Option<String>,
    },
    /// Say how much the next look would read and write.
    Ahead {
        /// Which: its name or id.
        drop: String,
    },
    /// Forget a drop. What lies there stays there.
    Remove {
        /// Which: its name or id.
        drop: String,
    },
}

/// What a drop is called, and whether photos go through it.
#[derive(Debug, clap::Args)]
pub(crate) struct Named {
    /// What to call it.
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// Leave photos out: changes only.
    #[arg(long)]
    no_photos: bool,
    /// Say once more that a password may go over plain http, where anybody on the way can take it.
    #[arg(long)]
    in_the_open: bool,
}

/// What came of it, and whether it is a page of drops.
pub(crate) enum Answer {
    Page(Value),
    /// A page of drops that were just looked at: all of them, or this one.
    Looked(Value, Option<String>),
    Sizes(Value),
}

/// Refuses to be done where one of the drops that were looked at could not be: the program's end says so too.
pub(crate) fn all_looked(page: &Value, asked: Option<&str>) -> Result<(), Refusal> {
    let drops = page.get("drops").and_then(Value::as_array);
    let of_it =
        |line: &&Value| asked.is_none_or(|asked| [text(line, "id"), text(line, "name")].contains(&asked));
    let failed = drops.into_iter().flatten().filter(of_it).filter_map(|line| {
        let why = not_looked(line)?;
        Some(format!(
            "'{}' could not be looked at: {why}",
            shown(text(line, "name"))
        ))
    });
    let failed: Vec<String> = failed.collect();
    match failed.is_empty() {
        true => Ok(()),
        false => Err(Refusal::failed("look_failed", failed.join("; "))),
    }
}

/// Why the last look at a drop failed, if it did.
pub(crate) fn not_looked(line: &Value) -> Option<&str> {
    let kept = line.get("told").map(|told| text(told, "stopped"));
    let failed = line.get("failed").map(|failed| text(failed, "words"));
    [failed, kept]
        .into_iter()
        .flatten()
        .find(|words| !words.is_empty())
}

/// Does what was asked with drops.
pub(crate) fn run(at: Option<PathBuf>, record: Option<&str>, task: DropTask) -> Result<Answer, Refusal> {
    let mut notebook = machine::open(at, "drop", false)?;
    match task {
        DropTask::List => notebook.call(record, "drops", json!({})).map(Answer::Page),
        DropTask::Remove { drop } => notebook
            .call(record, "drop_remove", json!({ "drop": drop }))
            .map(Answer::Page),
        DropTask::Look { drop } => {
            let looked = Looked::over(notebook)?;
            let mut page = looked.ask(record, "drop_look", json!({ "drop": drop }))?;
            while busy(&page) {
                std::thread::sleep(LOOK);
                page = looked.ask(record, "drops", json!({}))?;
            }
            Ok(Answer::Looked(page, drop))
        }
        DropTask::Ahead { drop } => {
            let looked = Looked::over(notebook)?;
            loop {
                let page = looked.ask(record, "drop_ahead", json!({ "drop": drop }))?;
                if page.get("busy") != Some(&Value::Bool(true)) {
                    return Ok(Answer::Sizes(page));
                }
                std::thread::sleep(LOOK);
            }
        }
        DropTask::Folder { path, named } => {
            let path = std::path::absolute(&path)
                .map_err(|error| Refusal::input("path", format!("'{}': {error}", path.display())))?;
            let Some(path) = path.to_str() else {
                let words = format!(
                    "'{}' cannot be kept as a text: give the folder another name",
                    path.display()
                );
                return Err(Refusal::input("path", words));
            };
            add(
                &mut notebook,
                record,
                json!({ "folder": { "path": path } }),
                &named,
            )
        }
        DropTask::S3 {
            endpoint,
            bucket,
            key,
            prefix,
            region,
            named,
        } => {
            let place = json!({ "s3": {
                "endpoint": endpoint, "bucket": bucket, "prefix": prefix, "region": region,
                "key": key, "secret": typed()?,
            } });
            add(&mut notebook, record, place, &named)
        }
        DropTask::Webdav { url, user, named } => {
            let password = user.as_ref().map(|_| typed()).transpose()?;
            let place = json!({ "webdav": { "url": url, "user": user, "password": password } });
            add(&mut notebook, record, place, &named)
        }
    }
}

fn add(
    notebook: &mut notebook::Notebook,
    record: Option<&str>,
    place: Value,
    named: &Named,
) -> Result<Answer, Refusal> {
    let args = json!({
        "place": place, "name": named.name, "photos": !named.no_photos, "in_the_open": named.in_the_open,
    });
    notebook.call(record, "drop_add", args).map(Answer::Page)
}

/// One line of standard input.
pub(crate) fn typed() -> Result<String, Refusal> {
    let mut line = String::new();
    std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(|error| Refusal::failed("stdio", error.to_string()))?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

fn busy(page: &Value) -> bool {
    let drops = page.get("drops").and_then(Value::as_array);
    drops
        .into_iter()
        .flatten()
        .any(|one| one.get("busy") == Some(&Value::Bool(true)))
}

/// A notebook whose drops are looked at when asked.
struct Looked(Handle);

impl Looked {
    fn over(notebook: notebook::Notebook) -> Result<Self, Refusal> {
        let handle = Handle::new(notebook);
        handle.attend_drops_when_asked()?;
        Ok(Self(handle))
    }

    fn ask(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Refusal> {
        self.0.with(|notebook| notebook.call(record, name, args))
    }
}

impl Drop for Looked {
    fn drop(&mut self) {
        self.0.leave_drops();
    }
}
