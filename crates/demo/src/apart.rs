//! The weeks in which the two devices did not meet: each edit with its own moment, as its keeper made it.

use std::collections::BTreeMap;

use record::{Day, Kind, Moment};
use serde::Deserialize;

use crate::act::{Act, Step};
use crate::error::DemoError;
use crate::key::Key;
use crate::people::People;
use crate::sources::Sources;
use crate::tables::rows;
use crate::value;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Edit {
    at: toml::value::Datetime,
    add: Option<String>,
    change: Option<String>,
    #[serde(skip)]
    fields: Option<toml::Table>,
    close: Option<String>,
    #[serde(default)]
    waive: Vec<Waive>,
    keep: Option<Keep>,
    tighten: Option<Tighten>,
    take: Option<Take>,
    strike: Option<String>,
    why: Option<String>,
    sheet: Option<toml::value::Datetime>,
    hours: Option<String>,
    text: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Waive {
    about: String,
    why: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Keep {
    key: String,
    calculation: String,
    inputs: BTreeMap<String, String>,
    about: Option<String>,
    on: toml::value::Datetime,
    note: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tighten {
    run: String,
    bolts: usize,
    on: toml::value::Datetime,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Take {
    key: String,
    reading: String,
    remedy: String,
    on: toml::value::Datetime,
}

/// Both keepers' edits, in the order of their moments.
pub(crate) fn read(sources: &Sources, people: &People) -> Result<Vec<Step>, DemoError> {
    let mut steps = Vec::new();
    for file in sources.within("apart", "toml") {
        let name = file.trim_start_matches("apart/").trim_end_matches(".toml");
        let who = people.by_key(file, name, name)?;
        let unreadable = |why: toml::de::Error| DemoError::Unreadable {
            file: file.to_owned(),
            why: why.message().to_owned(),
        };
        for mut row in rows(file, &mut sources.table(file)?, "edit")? {
            // Taken out first: a day inside a table of unknown fields does not survive being read by serde.
            let fields = match row.remove("fields") {
                Some(toml::Value::Table(fields)) => Some(fields),
                Some(_) => return Err(DemoError::wrong(file, "edit", "'fields' is not a table")),
                None => None,
            };
            let edit: Edit = row.try_into().map_err(unreadable)?;
            let edit = Edit { fields, ..edit };
            let entry = format!("the edit at {}", edit.at);
            let wrong = |why: String| DemoError::wrong(file, &entry, why);
            let at: Moment = edit
                .at
                .to_string()
                .parse()
                .map_err(|why: record::time::BadTime| wrong(why.to_string()))?;
            let act = edit.act(file, &entry)?;
            steps.push(Step {
                who,
                at,
                act,
                file: file.to_owned(),
            });
        }
    }
    // Stable: what one keeper wrote within a minute stays in the order of the file.
    steps.sort_by_key(|step| step.at);
    Ok(steps)
}

impl Edit {
    fn act(self, file: &str, entry: &str) -> Result<Act, DemoError> {
        let wrong = |why: String| DemoError::wrong(file, entry, why);
        let key = |text: &str| text.parse::<Key>().map_err(wrong);
        match self {
            Edit { add: Some(add), fields: Some(mut table), change: None, close: None, strike: None, sheet: None, .. } => {
                let key = key(&add)?;
                let drawing = match table.remove("drawing") {
                    Some(toml::Value::String(drawing)) => Some(drawing),
                    Some(_) => return Err(wrong("'drawing' is not a file name".to_owned())),
                    None => None,
                };
                if (key.kind == Kind::Photo) != drawing.is_some() {
                    return Err(wrong("a photo has a drawing, and nothing else has".to_owned()));
                }
                let fields = value::fields(file, key.kind, &key.slug, &table)?;
                let elsewhere: &[&str] = if drawing.is_some() { &["hash"] } else { &[] };
                value::complete(file, key.kind, &key.slug, &fields, elsewhere)?;
                Ok(Act::Add { key, fields, drawing })
            }
            Edit { change: Some(change), fields: Some(table), add: None, close: None, strike: None, sheet: None, .. } => {
                let key = key(&change)?;
                let fields = value::fields(file, key.kind, &key.slug, &table)?;
                Ok(Act::Change { key, fields })
            }
            Edit { close: Some(close), waive, fields: None, .. } => {
                let one = |waive: Waive| Ok((waive.about.parse().map_err(wrong)?, waive.why));
                let waive = waive.into_iter().map(one).collect::<Result<_, DemoError>>()?;
                Ok(Act::Close { assembly: Key::new(Kind::Assembly, close), waive })
            }
            Edit { keep: Some(keep), fields: None, .. } => Ok(Act::Keep {
                key: Key::new(Kind::KeptAnswer, keep.key),
                calculation: keep.calculation,
                inputs: keep.inputs,
                about: keep.about.as_deref().map(key).transpose()?,
                on: day(&keep.on).map_err(wrong)?,
                note: keep.note,
            }),
            Edit { tighten: Some(tighten), fields: None, .. } => Ok(Act::Tighten {
                run: Key::new(Kind::TighteningRun, tighten.run),
                bolts: tighten.bolts,
                on: day(&tighten.on).map_err(wrong)?,
            }),
            Edit { take: Some(take), fields: None, .. } => Ok(Act::Take {
                key: key(&take.key)?,
                reading: key(&take.reading)?,
                remedy: take.remedy,
                on: day(&take.on).map_err(wrong)?,
            }),
            Edit { strike: Some(strike), why: Some(why), fields: None, .. } => {
                Ok(Act::Strike { key: key(&strike)?, why })
            }
            Edit { sheet: Some(date), hours: Some(hours), text: Some(text), fields: None, .. } => {
                let date = day(&date).map_err(wrong)?;
                Ok(Act::Write { date, text: text.trim().to_owned(), hours })
            }
            _ => Err(wrong(
                "it must be one of: add and fields; change and fields; close; keep; take; tighten; strike and why; sheet, hours and text"
                    .to_owned(),
            )),
        }
    }
}

fn day(date: &toml::value::Datetime) -> Result<Day, String> {
    date.to_string()
        .parse()
        .map_err(|why: record::time::BadTime| why.to_string())
}
