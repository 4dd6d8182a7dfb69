//! The closed sets of words: states, decisions, patterns. A word of a newer version is kept and shown as it
//! is (`Other`), never replaced by a guess; it is only refused when someone tries to write it here.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A closed set of words, as the record stores them.
pub trait Words: Sized {
    /// Every word that this version writes.
    const ALL: &'static [&'static str];
    /// The word as stored.
    fn word(&self) -> &str;
    /// From the stored word; one we do not know becomes `Other`.
    fn from_word(word: &str) -> Self;
}

macro_rules! words {
    ($($(#[doc = $says:literal])+ $set:ident { $($(#[doc = $one:literal])+ $name:ident $word:literal,)+ })+) => {$(
        $(#[doc = $says])+
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(from = "String", into = "String")]
        pub enum $set {
            $($(#[doc = $one])+ $name,)+
            /// A word that a newer version wrote.
            Other(String),
        }

        impl Words for $set {
            const ALL: &'static [&'static str] = &[$($word),+];
            fn word(&self) -> &str {
                match self { $($set::$name => $word,)+ $set::Other(word) => word }
            }
            fn from_word(word: &str) -> Self {
                match word { $($word => $set::$name,)+ other => $set::Other(other.to_owned()) }
            }
        }

        impl From<String> for $set {
            fn from(word: String) -> Self { Self::from_word(&word) }
        }
        impl From<$set> for String {
            fn from(set: $set) -> Self { set.word().to_owned() }
        }

        impl JsonSchema for $set {
            fn schema_name() -> std::borrow::Cow<'static, str> { stringify!($set).into() }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "enum": Self::ALL })
            }
        }

        impl TS for $set {
            type WithoutGenerics = Self;
            type OptionInnerType = Self;
            fn name(_: &ts_rs::Config) -> String { stringify!($set).to_owned() }
            fn inline(_: &ts_rs::Config) -> String {
                // `string & {}` keeps the known words in completion and admits a newer version's.
                let known: Vec<String> = Self::ALL.iter().map(|word| format!("\"{word}\"")).collect();
                format!("{} | (string & {{}})", known.join(" | "))
            }
            fn inline_flattened(cfg: &ts_rs::Config) -> String { Self::inline(cfg) }
            fn decl(cfg: &ts_rs::Config) -> String {
                format!("type {} = {};", stringify!($set), Self::inline(cfg))
            }
            fn decl_concrete(cfg: &ts_rs::Config) -> String { Self::decl(cfg) }
            // Where it would lie if each type had a file of its own: that is how a declaration is asked for.
            fn output_path() -> Option<std::path::PathBuf> { Some(concat!(stringify!($set), ".ts").into()) }
        }
    )+};
}

words! {
    /// How an assembly stands.
    AssemblyState {
        /// On the car, not yet taken off or back on and still to be closed up.
        Fitted "fitted",
        /// Off the car, in one piece.
        Off "off",
        /// In pieces.
        Apart "apart",
        /// Closed up: nothing inside it is open, or it was waived with a reason.
        Closed "closed",
        /// With a shop outside.
        Away "away",
    }
    /// What is to become of a part.
    Decision {
        /// Goes back as it is.
        Reuse "reuse",
        /// Goes back after work.
        Recondition "recondition",
        /// Another goes in its place.
        Replace "replace",
    }
    /// How bad a finding is.
    HowBad {
        /// Worth knowing.
        Noted "noted",
        /// To be looked at again.
        Watch "watch",
        /// Needs work before it goes back.
        Mend "mend",
        /// Can hurt someone.
        Danger "danger",
    }
    /// How a job stands.
    JobState {
        /// To be done.
        Open "open",
        /// Done.
        Done "done",
        /// Decided against.
        Dropped "dropped",
    }
    /// When in the work a photo was taken.
    Stage {
        /// Before it was touched.
        Before "before",
        /// While it was apart.
        During "during",
        /// When it was back together.
        After "after",
    }
    /// Which limit it is.
    Condition {
        /// For a new part or a fresh assembly.
        New "new",
        /// The most wear allowed.
        Wear "wear",
    }
    /// Which property of a grid of readings a limit judges.
    Property {
        /// Every value of it.
        Size "size",
        /// The most that two directions at one height differ.
        OutOfRound "out_of_round",
        /// The most that one direction differs over the heights.
        Taper "taper",
    }
    /// What mends a reading that is out of its limit.
    Mend {
        /// Take metal off, a little at a time: a ring's ends.
        File "file",
        /// Hone to size.
        Hone "hone",
        /// Machine to the next oversize, with parts to match.
        Oversize "oversize",
        /// Take shims in or out.
        Shim "shim",
        /// Skim or grind.
        Machine "machine",
        /// Tighten or slacken to the value.
        Adjust "adjust",
        /// Another part in its place.
        Replace "replace",
    }
    /// How the bolts of a tightening run lie.
    Layout {
        /// On a circle.
        Circle "circle",
        /// In rows.
        Rows "rows",
    }
    /// How an order stands.
    OrderState {
        /// Still to be found.
        ToFind "to_find",
        /// A shop was asked.
        Asked "asked",
        /// Ordered.
        Ordered "ordered",
        /// Here.
        In "in",
        /// Sent back.
        Returned "returned",
        /// Not wanted any more.
        Cancelled "cancelled",
    }
    /// How a hold point is met.
    How {
        /// By looking.
        Seen "seen",
        /// By counting.
        Counted "counted",
        /// By measuring.
        Measured "measured",
        /// By a photograph.
        Photographed "photographed",
    }
    /// How a hold point stands.
    HoldState {
        /// Not yet met.
        Open "open",
        /// Met.
        Met "met",
    }
    /// The line at the left edge of a keeper's entries, so that colour is never needed to tell whose they are.
    Pattern {
        /// One unbroken line.
        Plain "plain",
        /// Dashes.
        Dashed "dashed",
        /// Dots.
        Dotted "dotted",
        /// Two lines.
        Double "double",
    }
}
