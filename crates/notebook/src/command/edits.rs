//! What is done to a record besides adding and changing: notes, hours, strikes, close-up, settling.

use record::edit::{Becomes, Waive};
use record::entities::{Part, PartFields};
use record::words::AssemblyState;
use record::{Day, Edit, Given, Id, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;

macro_rules! edit {
    ($name:literal $says:literal $command:ident { $($(#[$attr:meta])* $field:ident: $type:ty,)* } |$this:ident, $desk:ident| $make:expr) => {
        #[doc = $says]
        #[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
        #[serde(deny_unknown_fields)]
        pub(crate) struct $command { $($(#[$attr])* pub(crate) $field: $type,)* }

        impl Command for $command {
            type Reply = Done;
            const NAME: &'static str = $name;
            const SAYS: &'static str = $says;
            const WRITES: bool = true;
            fn run($this, $desk: &mut Desk<'_>) -> Result<Done, Refusal> {
                let edit = $make;
                $desk.write(&edit)?;
                Ok(Done::YES)
            }
        }
    };
}

/// A note on a day sheet.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Note {
    /// The day.
    pub(crate) day: Day,
    /// The note.
    pub(crate) text: String,
    /// The assembly that it is of as well.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) assembly: Option<Id>,
}

/// A note that is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct Noted {
    /// Always true: what was not done is a refusal.
    pub(crate) done: bool,
    /// As it stands on the sheet.
    pub(crate) wrote: String,
}

impl Command for Note {
    type Reply = Noted;
    const NAME: &'static str = "note";
    const SAYS: &'static str =
        "Adds a line to your own sheet of a day; of an assembly as well, where one is named.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Noted, Refusal> {
        let (day, keeper, text) = (self.day, desk.me()?, self.text);
        let Some(assembly) = self.assembly else {
            let wrote = text.trim().to_owned();
            desk.write(&Edit::Note { day, keeper, text })?;
            return Ok(Noted { done: true, wrote });
        };
        let wrote = desk.read(|view| record::edit::note_text(view, &assembly, &text))??;
        desk.write(&Edit::NoteOf {
            day,
            keeper,
            text,
            assembly,
        })?;
        Ok(Noted { done: true, wrote })
    }
}

edit! { "write_sheet" "Rewrites your own sheet of a day; what came in since you read it stays."
    WriteSheet {
        /// The day.
        day: Day,
        /// The text as it was when you began to write.
        before: String,
        /// The text as you left it.
        after: String,
    }
    |self, desk| Edit::Rewrite { day: self.day, keeper: desk.me()?, before: self.before, after: self.after }
}

edit! { "put_hours" "Puts your hours at the bench of a day."
    PutHours {
        /// The day.
        day: Day,
        /// Hours, such as `2.5`; empty takes them away.
        hours: String,
    }
    |self, desk| Edit::Hours { day: self.day, keeper: desk.me()?, hours: self.hours }
}

edit! { "strike" "Strikes an entry out, with a reason. It stays readable. What stands inside is never struck out of sight."
    Strike {
        /// Which, as `part:0190…`.
        name: Ref,
        /// Why.
        why: String,
        /// What becomes of what stands inside it: `move_up`, `strike_too` or `leave`. Wanted where something does.
        #[serde(default)]
        #[ts(optional = nullable)]
        inside: Option<Becomes>,
        /// Into which assembly or container that moves, in place of the one around it.
        #[serde(default)]
        #[ts(optional = nullable)]
        into: Option<Id>,
    }
    |self, _desk| Edit::Strike { name: self.name, why: self.why, inside: self.inside, into: self.into }
}

edit! { "clear_struck" "Moves up, or strikes out too, what was left in an assembly or a container that was struck out."
    ClearStruck {
        /// Which, as `assembly:0190…`.
        name: Ref,
        /// `move_up` or `strike_too`.
        inside: Becomes,
        /// Into which assembly or container it moves, in place of the one around it.
        #[serde(default)]
        #[ts(optional = nullable)]
        into: Option<Id>,
        /// Why, where it is struck out; left out, the reason that was given before.
        #[serde(default)]
        #[ts(optional = nullable)]
        why: Option<String>,
    }
    |self, _desk| Edit::ClearStruck { name: self.name, inside: self.inside, into: self.into, why: self.why }
}

edit! { "take_back" "Takes a strike back, and with it what was struck out inside in the same act."
    TakeBack {
        /// Which, as `part:0190…`.
        name: Ref,
    }
    |self, _desk| Edit::TakeBack { name: self.name }
}

edit! { "close_up" "Closes an assembly up; refused while anything inside it is open and not waived with a reason."
    CloseUp {
        /// Which.
        assembly: Id,
        /// What is open in it and is waived.
        #[serde(default)]
        waive: Vec<Waive>,
    }
    |self, _desk| Edit::CloseUp { assembly: self.assembly, waive: self.waive }
}

/// Puts parts where they belong: out of their bags, off the bench, back from whoever had them; one change.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PutInPlace {
    /// Which.
    pub(crate) parts: Vec<Id>,
}

impl Command for PutInPlace {
    type Reply = Done;
    const NAME: &'static str = "put_in_place";
    const SAYS: &'static str =
        "Puts parts in their places: out of their bags, and into the assembly they belong to.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let fields = PartFields {
            container: Given::Put("place:".to_owned()),
            ..PartFields::default()
        };
        let edits = self
            .parts
            .iter()
            .map(|id| Edit::change::<Part>(id.clone(), &fields));
        let edits: Vec<Edit> = edits.collect::<Result<_, _>>()?;
        if edits.is_empty() {
            return Err(Refusal::input(
                "nothing_said",
                "say which parts are in their places",
            ));
        }
        let message = match edits.len() {
            1 => "Put a part in its place".to_owned(),
            many => format!("Put {many} parts in their places"),
        };
        desk.write(&Edit::Together { message, edits })?;
        Ok(Done::YES)
    }
}

edit! { "take_back_closing" "Takes back that this device closed an assembly up by a slip: nothing in it is asked anew."
    TakeBackClosing {
        /// Which.
        assembly: Id,
        /// How it stands.
        state: AssemblyState,
    }
    |self, _desk| Edit::NotClosed { assembly: self.assembly, state: self.state }
}

edit! { "settle" "Settles a point by one of its choices."
    Settle {
        /// Which.
        point: String,
        /// One of its choices' keys.
        choice: String,
        /// Why; some choices want it.
        #[serde(default)]
        #[ts(optional = nullable)]
        why: Option<String>,
    }
    |self, _desk| Edit::Settle { point: self.point, choice: self.choice, why: self.why }
}

edit! { "reopen" "Reopens what was agreed: its point stands again, with both sides as they were and who reopened it and why."
    Reopen {
        /// One of the settlements of that act.
        settlement: Id,
        /// Why.
        why: String,
    }
    |self, _desk| Edit::Reopen { settlement: self.settlement, why: self.why }
}

edit! { "agree_again" "Takes back that something agreed was reopened: it holds as it was agreed."
    AgreeAgain {
        /// One of the settlements that were reopened.
        settlement: Id,
    }
    |self, _desk| Edit::AgreeAgain { settlement: self.settlement }
}
