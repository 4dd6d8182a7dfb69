//! Names of things: ids, references that say their kind, and the kinds themselves.
//! It makes no ids: randomness is an argument of whoever asks for one.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Most bytes an id may have. A sheet's (`2031-03-01_` and a keeper's id) is the longest of ours, at 47.
const MOST_ID_BYTES: usize = 100;

/// The name of one entity within its kind: a UUIDv7 for most, `car` for the car, `DATE_KEEPER` for a day sheet.
///
/// Its order is used only to list things the same way everywhere; it is never taken for truth about time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS)]
#[serde(try_from = "String", into = "String")]
#[ts(type = "string")]
pub struct Id(#[schemars(length(min = 1, max = 100))] String);

impl Id {
    /// The one car of a record.
    #[must_use]
    pub fn car() -> Self {
        Self("car".to_owned())
    }

    /// An id of 16 bytes, written as a UUID.
    #[must_use]
    pub fn from_uuid(uuid: uuid::Uuid) -> Self {
        Self(uuid.to_string())
    }

    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The id as a UUID, where it is one.
    #[must_use]
    pub fn uuid(&self) -> Option<uuid::Uuid> {
        uuid::Uuid::parse_str(&self.0).ok()
    }
}

/// The text of a link as it is kept. What another program wrote there need not be an id, and is not thrown away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Link<'a>(pub(crate) &'a str);

impl<'a> Link<'a> {
    /// The text as it is kept.
    #[must_use]
    pub fn as_str(self) -> &'a str {
        self.0
    }

    /// The id, where it is one.
    #[must_use]
    pub fn id(self) -> Option<Id> {
        self.0.parse().ok()
    }
}

impl<'a> From<&'a Id> for Link<'a> {
    fn from(id: &'a Id) -> Self {
        Self(id.as_str())
    }
}

/// The text of a reference as it is kept. One to a kind of a newer version cannot be read here, and still is one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mention<'a>(pub(crate) &'a str);

impl<'a> Mention<'a> {
    /// The text as it is kept.
    #[must_use]
    pub fn as_str(self) -> &'a str {
        self.0
    }

    /// The reference, where it can be read.
    #[must_use]
    pub fn name(self) -> Option<Ref> {
        self.0.parse().ok()
    }

    /// Whether it is to this.
    #[must_use]
    pub fn is(self, name: &Ref) -> bool {
        self.0.split_once(':') == Some((name.kind.word(), name.id.as_str()))
    }
}

/// What is wrong with a name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadName {
    /// Empty, too long, or with a character that no id of ours has.
    #[error("'{0}' is not an id: letters, digits, '-' and '_' only, at most {MOST_ID_BYTES} of them")]
    Id(String),
    /// Not `kind:id`.
    #[error("'{0}' is not a reference: write it as kind:id, such as part:0190…")]
    Ref(String),
    /// No kind of that name.
    #[error("there is no kind of thing called '{0}'")]
    Kind(String),
}

impl TryFrom<String> for Id {
    type Error = BadName;
    fn try_from(text: String) -> Result<Self, BadName> {
        let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
        if text.is_empty() || text.len() > MOST_ID_BYTES || !text.chars().all(fits) {
            return Err(BadName::Id(text.chars().take(MOST_ID_BYTES).collect()));
        }
        Ok(Self(text))
    }
}

impl From<Id> for String {
    fn from(id: Id) -> Self {
        id.0
    }
}

impl FromStr for Id {
    type Err = BadName;
    fn from_str(text: &str) -> Result<Self, BadName> {
        Self::try_from(text.to_owned())
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A kind as a type.
pub trait OfKind {
    /// Which.
    const KIND: Kind;
}

macro_rules! kinds {
    ($($(#[doc = $says:literal])+ $name:ident $word:literal $many:literal $said:literal,)+) => {
        /// A kind of thing that a record keeps. The order is the order of every list that mixes kinds.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS)]
        #[serde(rename_all = "snake_case")]
        pub enum Kind { $($(#[doc = $says])+ $name,)+ }

        /// Hands every kind to another macro, by the name of its type, so that no second list of them is kept.
        macro_rules! each_kind {
            ($then:ident) => { $then! { $($name,)+ } };
        }
        pub(crate) use each_kind;

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$name),+];

            /// The kinds that somebody works on or with: what is done to one of them while another strikes it out is a point.
            pub fn worked_on() -> impl Iterator<Item = Kind> {
                Self::ALL.iter().copied().filter(|kind| kind.is_worked_on())
            }

            /// The word for one of them, as in a reference.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Kind::$name => $word,)+ }
            }

            /// What one of them is called when it is shown.
            #[must_use]
            pub fn said(self) -> &'static str {
                match self { $(Kind::$name => $said,)+ }
            }

            /// The version of the program that first knew it.
            #[must_use]
            pub fn since(self) -> u32 {
                match self {
                    Kind::KeptAnswer | Kind::TighteningRun | Kind::Tightened => 2,
                    _ => 1,
                }
            }

            /// The key of their map at the document's root.
            #[must_use]
            pub fn root(self) -> &'static str {
                match self { $(Kind::$name => $many,)+ }
            }
        }

        /// The kinds as types, for a field that names an entry of one of them.
        pub mod of {
            $(
                $(#[doc = $says])+
                #[derive(Debug)]
                pub struct $name;
                impl super::OfKind for $name {
                    const KIND: super::Kind = super::Kind::$name;
                }
            )+
        }
    };
}

kinds! {
    /// The car itself: exactly one.
    Car "car" "car" "car",
    /// A person who keeps the record.
    Keeper "keeper" "keepers" "keeper",
    /// A keeper's device.
    Device "device" "devices" "device",
    /// A group of parts that comes off, apart and back together as one.
    Assembly "assembly" "assemblies" "assembly",
    /// A thing with a place in an assembly.
    Part "part" "parts" "part",
    /// What was seen or measured on a part or assembly.
    Finding "finding" "findings" "finding",
    /// Work to do.
    Job "job" "jobs" "job",
    /// One attempt at a job.
    Try "try" "tries" "try",
    /// One keeper's notes and hours of one date.
    Sheet "sheet" "sheets" "day sheet",
    /// A picture, by the hash of its original.
    Photo "photo" "photos" "photo",
    /// A bag, bin, box or shelf with a short code.
    Container "container" "containers" "container",
    /// A wanted value or range with its source.
    Limit "limit" "limits" "limit",
    /// What a reading was made with.
    Instrument "instrument" "instruments" "instrument",
    /// A measured value at a point.
    Reading "reading" "readings" "reading",
    /// Something to find, ask for, buy or return.
    Order "order" "orders" "order",
    /// Something that must be seen, counted, measured or photographed before an assembly may close.
    HoldPoint "hold_point" "hold_points" "hold point",
    /// Why an assembly was closed over something open.
    Waiver "waiver" "waivers" "waiver",
    /// What two people decided about a point to settle.
    Settlement "settlement" "settlements" "settlement",
    /// A bench answer that was kept, with what was typed for it.
    KeptAnswer "kept_answer" "kept_answers" "kept answer",
    /// Bolts to be tightened in order and in passes.
    TighteningRun "tightening_run" "tightening_runs" "tightening run",
    /// One bolt tightened in one pass of a run.
    Tightened "tightened" "tightened" "bolt tightened",
}

/// The hash of the change that lays the kinds of a version, frozen: another one here would part what old and new programs keep of them.
/// A kind that comes later has a later version, and its line here.
#[cfg(test)]
pub(crate) const LAID: [(u32, &str); 1] = [(
    2,
    "0226b82451d504865b5351fd121b2a8b10137c0b26b5201d7b4433dd1b4fbbde",
)];

impl Kind {
    /// Whether it stays, so that no face offers to strike it out: the car, its devices and sheets never are, a keeper goes with their
    /// devices alone, and a settlement is reopened.
    #[must_use]
    pub fn stays(self) -> bool {
        matches!(
            self,
            Kind::Car | Kind::Keeper | Kind::Device | Kind::Sheet | Kind::Settlement
        )
    }

    /// Whether somebody works on such a thing, or with it.
    #[must_use]
    pub fn is_worked_on(self) -> bool {
        match self {
            Kind::Assembly
            | Kind::Part
            | Kind::Finding
            | Kind::Job
            | Kind::Try
            | Kind::Photo
            | Kind::Container
            | Kind::Limit
            | Kind::Instrument
            | Kind::Reading
            | Kind::Order
            | Kind::HoldPoint
            | Kind::KeptAnswer
            | Kind::TighteningRun
            | Kind::Tightened => true,
            // The car and the people, and what comes of other acts.
            Kind::Car | Kind::Keeper | Kind::Device | Kind::Sheet | Kind::Waiver | Kind::Settlement => false,
        }
    }
}

impl FromStr for Kind {
    type Err = BadName;
    fn from_str(word: &str) -> Result<Self, BadName> {
        let found = Kind::ALL.iter().copied().find(|kind| kind.word() == word);
        found.ok_or_else(|| BadName::Kind(word.chars().take(MOST_ID_BYTES).collect()))
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A reference that says its kind, written `part:0190…`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS)]
#[serde(try_from = "String", into = "String")]
#[ts(type = "string")]
#[schemars(with = "String")]
pub struct Ref {
    /// The kind of thing.
    pub kind: Kind,
    /// Which of them.
    pub id: Id,
}

impl Ref {
    /// A reference to one thing.
    #[must_use]
    pub fn new(kind: Kind, id: Id) -> Self {
        Self { kind, id }
    }
}

impl TryFrom<String> for Ref {
    type Error = BadName;
    fn try_from(text: String) -> Result<Self, BadName> {
        text.parse()
    }
}

impl From<Ref> for String {
    fn from(name: Ref) -> Self {
        name.to_string()
    }
}

impl FromStr for Ref {
    type Err = BadName;
    fn from_str(text: &str) -> Result<Self, BadName> {
        let (kind, id) = text
            .split_once(':')
            .ok_or_else(|| BadName::Ref(text.chars().take(MOST_ID_BYTES).collect()))?;
        Ok(Self {
            kind: kind.parse()?,
            id: id.parse()?,
        })
    }
}

impl fmt::Display for Ref {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.kind, self.id)
    }
}
