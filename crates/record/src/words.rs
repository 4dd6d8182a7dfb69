//! The closed sets of words: states, decisions, patterns. A word of a newer version is kept and shown as it
//! is (`Other`), never replaced by a guess; it is only refused when someone tries to write it here. What each is called when
//! it is shown stands beside it, once for every face.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What a closed set holds, for whoever knows it only at run time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClosedSet {
    /// Its name.
    pub name: &'static str,
    /// Every word that this version writes.
    pub words: &'static [&'static str],
    /// What each of them is called when it is shown, in the same order.
    pub said: &'static [&'static str],
}

impl ClosedSet {
    /// What a stored word is called when it is shown; nothing for one of a newer version.
    #[must_use]
    pub fn said(&self, word: &str) -> Option<&'static str> {
        let at = self.words.iter().position(|one| *one == word)?;
        self.said.get(at).copied()
    }
}

/// A closed set of words, as the record stores them.
pub trait Words: Sized {
    /// The set itself.
    const SET: ClosedSet;
    /// Every word that this version writes.
    const ALL: &'static [&'static str] = Self::SET.words;
    /// The word as stored.
    fn word(&self) -> &str;
    /// From the stored word; one we do not know becomes `Other`.
    fn from_word(word: &str) -> Self;
}

macro_rules! words {
    ($($(#[doc = $says:literal])+ $set:ident { $($(#[doc = $one:literal])+ $name:ident $word:literal = $said:literal,)+ })+) => {$(
        $(#[doc = $says])+
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(from = "String", into = "String")]
        pub enum $set {
            $($(#[doc = $one])+ $name,)+
            /// A word that a newer version wrote.
            Other(String),
        }

        impl Words for $set {
            const SET: ClosedSet = ClosedSet {
                name: stringify!($set),
                words: &[$($word),+],
                said: &[$($said),+],
            };
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
        Fitted "fitted" = "fitted",
        /// Off the car, in one piece.
        Off "off" = "off",
        /// In pieces.
        Apart "apart" = "apart",
        /// Closed up: nothing inside it is open, or it was waived with a reason.
        Closed "closed" = "closed",
        /// With a shop outside.
        Away "away" = "away",
    }
    /// What is to become of a part.
    Decision {
        /// Goes back as it is.
        Reuse "reuse" = "reuse",
        /// Goes back after work.
        Recondition "recondition" = "recondition",
        /// Another goes in its place.
        Replace "replace" = "replace",
    }
    /// How a part is not as it should be.
    Differs {
        /// As it was made: looked at, and nothing is other than the book has it.
        AsMade "as_made" = "as it was made",
        /// Of another type, which fits.
        OtherType "other_type" = "of another type",
        /// Of another make.
        OtherMake "other_make" = "of another make",
        /// Made at home.
        HomeMade "home_made" = "home-made",
        /// In for now, until the right one comes.
        StandIn "stand_in" = "a stand-in",
        /// Not put in, on purpose.
        LeftOut "left_out" = "left out on purpose",
        /// What helps at the bench and comes out again: a spacer, a clamp, a peg, a rag.
        Aid "aid" = "an aid that comes out again",
    }
    /// What becomes of the old one, when another comes in a part's place.
    OldOne {
        /// Kept to make or choose the next one by.
        Pattern "pattern" = "pattern for the new one",
        /// Whoever sold the new one is owed it.
        CoreOwed "core_owed" = "core owed: to be sent back",
        /// To be sold.
        ToSell "to_sell" = "to sell",
        /// Kept, since it may serve again.
        Spare "spare" = "spare",
        /// Of no use any more.
        Scrap "scrap" = "scrap",
    }
    /// How bad a finding is.
    HowBad {
        /// Looked at, and nothing is wrong.
        Sound "sound" = "sound, nothing wrong",
        /// Worth knowing.
        Noted "noted" = "noted",
        /// To be looked at again.
        Watch "watch" = "watch it",
        /// Needs work before it goes back.
        Mend "mend" = "to mend",
        /// Can hurt someone.
        Danger "danger" = "danger",
    }
    /// How sure it is that a finding is so.
    HowSure {
        /// It may be so: nobody could look.
        Suspected "suspected" = "suspected",
        /// Looked at, and it is so.
        Confirmed "confirmed" = "confirmed",
    }
    /// What a finding came by.
    CameBy {
        /// By whoever worked on it before.
        EarlierHand "earlier_hand" = "an earlier hand",
        /// By use.
        Wear "wear" = "wear",
        /// By a blow, a fire, a flood.
        Accident "accident" = "an accident",
        /// By standing.
        Storage "storage" = "storage",
    }
    /// How a job stands.
    JobState {
        /// To be done.
        Open "open" = "open",
        /// Begun, and left half done.
        Begun "begun" = "begun",
        /// Done.
        Done "done" = "done",
        /// Decided against.
        Dropped "dropped" = "dropped",
        /// To be done, and not in this round.
        Later "later" = "later, not in this round",
    }
    /// When in the work a photo was taken.
    Stage {
        /// Before it was touched.
        Before "before" = "before",
        /// While it was apart.
        During "during" = "during",
        /// When it was back together.
        After "after" = "after",
    }
    /// Which limit it is.
    Condition {
        /// For a new part or a fresh assembly.
        New "new" = "for a new part",
        /// The most wear allowed.
        Wear "wear" = "the most wear",
    }
    /// Which property of a grid of readings a limit judges.
    Property {
        /// Every value of it.
        Size "size" = "the size",
        /// The most that two directions at one height differ.
        OutOfRound "out_of_round" = "out of round",
        /// The most that one direction differs over the heights.
        Taper "taper" = "taper",
    }
    /// What mends a reading that is out of its limit.
    Mend {
        /// Take metal off, a little at a time: a ring's ends.
        File "file" = "file",
        /// Hone to size.
        Hone "hone" = "hone",
        /// Machine to the next oversize, with parts to match.
        Oversize "oversize" = "next oversize",
        /// Take shims in or out.
        Shim "shim" = "shims",
        /// Skim or grind.
        Machine "machine" = "skim or grind",
        /// Tighten or slacken to the value.
        Adjust "adjust" = "adjust",
        /// Another part in its place.
        Replace "replace" = "replace",
    }
    /// How the bolts of a tightening run lie.
    Layout {
        /// On a circle.
        Circle "circle" = "on a circle",
        /// In rows.
        Rows "rows" = "in rows",
    }
    /// How an order stands.
    OrderState {
        /// Still to be found.
        ToFind "to_find" = "to find",
        /// A shop was asked.
        Asked "asked" = "asked for",
        /// Ordered.
        Ordered "ordered" = "ordered",
        /// Here.
        In "in" = "in",
        /// Sent back.
        Returned "returned" = "returned",
        /// Not wanted any more.
        Cancelled "cancelled" = "cancelled",
    }
    /// How a hold point is met.
    How {
        /// By looking.
        Seen "seen" = "seen",
        /// By counting.
        Counted "counted" = "counted",
        /// By measuring.
        Measured "measured" = "measured",
        /// By a photograph.
        Photographed "photographed" = "photographed",
    }
    /// How a hold point stands.
    HoldState {
        /// Not yet met.
        Open "open" = "open",
        /// Met.
        Met "met" = "met",
    }
    /// The line at the left edge of a keeper's entries, so that colour is never needed to tell whose they are.
    Pattern {
        /// One unbroken line.
        Plain "plain" = "plain line",
        /// Dashes.
        Dashed "dashed" = "dashed line",
        /// Dots.
        Dotted "dotted" = "dotted line",
        /// Two lines.
        Double "double" = "double line",
    }
}
