//! Keys: what the sources call a thing before it has an id in a record, written `part:engine/crank/shaft`.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use record::Kind;

/// What the sources call one thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// The kind of thing.
    pub kind: Kind,
    /// Its name among the things of that kind.
    pub slug: String,
}

/// The ids that things got when they were added, by key.
pub type Ids = BTreeMap<Key, String>;

impl Key {
    /// The key of one thing.
    #[must_use]
    pub fn new(kind: Kind, slug: impl Into<String>) -> Self {
        Self {
            kind,
            slug: slug.into(),
        }
    }

    /// The car, of which there is one.
    #[must_use]
    pub fn car() -> Self {
        Self::new(Kind::Car, "car")
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.kind, self.slug)
    }
}

impl FromStr for Key {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        let (kind, slug) = text
            .split_once(':')
            .ok_or_else(|| format!("'{text}' is not a key: write it as kind:key"))?;
        if slug.is_empty() {
            return Err(format!("'{text}' names no thing"));
        }
        Ok(Self::new(
            kind.parse::<Kind>().map_err(|why| why.to_string())?,
            slug,
        ))
    }
}
