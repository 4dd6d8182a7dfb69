//! Fields as the sources give them, checked against the record's own list of fields: a word outside its set, a
//! measure that cannot be read one way, a field that no such thing has are all found here, with file and entry.
//! References stay keys until the story is played.

use record::entities::HoldPoint;
use record::field::{FieldDef, Shape};
use record::lies::Lies;
use record::{Day, Kind, entities};
use serde_json::Value as Json;

use crate::error::DemoError;
use crate::key::{Ids, Key};

/// A value as it will be sent, but for the ids, which are not known yet.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Sent as it is.
    Plain(Json),
    /// The id of one thing.
    Link(Key),
    /// `kind:id` of one thing.
    About(Key),
    /// One thing after a word of its own: a finding mended by a job, a hold point met by a photo or a reading.
    By(&'static str, Key),
    /// The ids of several things.
    Links(Vec<Key>),
}

impl Value {
    /// Every key that it names.
    pub fn keys(&self) -> impl Iterator<Item = &Key> {
        let keys: &[Key] = match self {
            Value::Plain(_) => &[],
            Value::Link(key) | Value::About(key) | Value::By(_, key) => std::slice::from_ref(key),
            Value::Links(keys) => keys,
        };
        keys.iter()
    }

    /// As it is sent. Nothing when a key has no id yet, with that key.
    ///
    /// # Errors
    /// The first key without an id.
    pub fn json(&self, ids: &Ids) -> Result<Json, Key> {
        let id = |key: &Key| ids.get(key).cloned().ok_or_else(|| key.clone());
        Ok(match self {
            Value::Plain(json) => json.clone(),
            Value::Link(key) => Json::from(id(key)?),
            Value::About(key) => Json::from(format!("{}:{}", key.kind, id(key)?)),
            Value::By(word, key) => Json::from(format!("{word}:{}", id(key)?)),
            Value::Links(keys) => Json::from(keys.iter().map(id).collect::<Result<Vec<_>, _>>()?),
        })
    }
}

/// The fields of one thing, by name, in the order of the record's own list.
pub type FieldValues = Vec<(&'static str, Value)>;

/// Reads a table of fields of a kind.
///
/// # Errors
/// A field that the kind has not, or a value that does not fit.
pub(crate) fn fields(
    file: &str,
    kind: Kind,
    entry: &str,
    table: &toml::Table,
) -> Result<FieldValues, DemoError> {
    let wrong = |why: String| DemoError::wrong(file, format!("{kind} '{entry}'"), why);
    if let Some(unknown) = table.keys().find(|name| entities::field_of(kind, name).is_none()) {
        return Err(wrong(format!("a {kind} has no field '{unknown}'")));
    }
    let mut out = Vec::new();
    for def in entities::fields_of(kind) {
        if let Some(given) = table.get(def.name) {
            let value = value(def, given).map_err(|why| wrong(format!("'{}': {why}", def.name)))?;
            out.push((def.name, value));
        }
    }
    Ok(out)
}

/// Refuses fields that lack one a new thing cannot be without.
pub(crate) fn complete(
    file: &str,
    kind: Kind,
    entry: &str,
    fields: &FieldValues,
    made_elsewhere: &[&str],
) -> Result<(), DemoError> {
    let given = |name: &str| made_elsewhere.contains(&name) || fields.iter().any(|(field, _)| *field == name);
    match entities::fields_of(kind)
        .iter()
        .find(|def| def.required && !given(def.name))
    {
        Some(def) => Err(DemoError::wrong(
            file,
            format!("{kind} '{entry}'"),
            format!("'{}' is missing", def.name),
        )),
        None => Ok(()),
    }
}

fn value(def: &FieldDef, given: &toml::Value) -> Result<Value, String> {
    let text = || match given {
        toml::Value::String(text) => Ok(text.clone()),
        toml::Value::Datetime(day) => Ok(day.to_string()),
        _ => Err("a text is wanted".to_owned()),
    };
    let plain = |text: String| Value::Plain(Json::from(text));
    Ok(match def.shape {
        Shape::Line if def.name == HoldPoint::met_by => met_by(text()?)?,
        Shape::Line => {
            let line = text()?;
            if line.trim().is_empty() || line.contains('\n') {
                return Err("one line that is not empty is wanted".to_owned());
            }
            plain(line)
        }
        Shape::Prose => plain(text()?),
        Shape::Whole => {
            let whole = given.as_integer().and_then(|whole| i32::try_from(whole).ok());
            Value::Plain(Json::from(whole.ok_or("a whole number is wanted")?))
        }
        Shape::Flag => Value::Plain(Json::from(given.as_bool().ok_or("true or false is wanted")?)),
        Shape::Day => plain(text()?.parse::<Day>().map_err(|why| why.to_string())?.to_string()),
        Shape::Measure => {
            let typed = text()?;
            reckon::parse_any(&typed).map_err(|why| why.to_string())?;
            plain(typed)
        }
        // Read with the field itself, when it is played.
        Shape::Measures | Shape::Grid => plain(text()?),
        Shape::Money => {
            let typed = text()?;
            reckon::parse_money(&typed).map_err(|why| why.to_string())?;
            plain(typed)
        }
        Shape::Word(set) => {
            let word = text()?;
            let words = set.words;
            if !words.contains(&word.as_str()) {
                return Err(format!("'{word}' is none of {}", words.join(", ")));
            }
            plain(word)
        }
        Shape::Ending => {
            let ended = text()?;
            match ended.strip_prefix("mended_by:") {
                Some(job) => Value::By("mended_by", key_of(Kind::Job, job)?),
                None => plain(ended),
            }
        }
        Shape::Lies => {
            let lies = text()?;
            match Lies::of(&lies) {
                // A key of the sources may say its kind.
                Lies::In(_) | Lies::Other(_) => Value::Link(key_of(Kind::Container, &lies)?),
                _ => plain(lies),
            }
        }
        Shape::Link(kind) => Value::Link(key_of(kind, &text()?)?),
        Shape::About(kinds) => {
            let key: Key = text()?.parse()?;
            if !kinds.contains(&key.kind) {
                return Err(format!("it cannot be about a {}", key.kind));
            }
            Value::About(key)
        }
        Shape::Set(kind) => {
            let given = given.as_array().ok_or("a list is wanted")?;
            let key = |one: &toml::Value| key_of(kind, one.as_str().ok_or("a list of keys is wanted")?);
            Value::Links(given.iter().map(key).collect::<Result<_, String>>()?)
        }
    })
}

/// By what a hold point is met, a photo and a reading by their keys.
fn met_by(said: String) -> Result<Value, String> {
    for (word, kind) in [("photo", Kind::Photo), ("reading", Kind::Reading)] {
        if let Some(slug) = said.strip_prefix(word).and_then(|rest| rest.strip_prefix(':')) {
            return Ok(Value::By(word, key_of(kind, slug)?));
        }
    }
    Ok(Value::Plain(Json::from(said)))
}

/// A key of a kind that the field decides; the kind may be written in front of it all the same.
fn key_of(kind: Kind, text: &str) -> Result<Key, String> {
    let key = if text.contains(':') {
        text.parse()?
    } else {
        Key::new(kind, text)
    };
    if key.kind != kind || key.slug.is_empty() {
        return Err(format!("a {kind} is wanted, not '{text}'"));
    }
    Ok(key)
}
