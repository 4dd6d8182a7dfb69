//! What the car is made of and what was seen of it: assemblies, parts, findings, photos.

use crate::entity::entity;
use crate::field::{About, Flag, Given, Kinds, Line, Many, OnDay, Prose, To, Whole, Word};
use crate::hash::PhotoHash;
use crate::name::{Kind, of};
use crate::spelled::{Ending, LiesIn};
use crate::words::{AssemblyState, CameBy, Decision, Differs, HowBad, HowSure, OldOne, Stage};

entity! {
    /// A group of parts that comes off, apart and back together as one; assemblies nest.
    Assembly / AssemblyFields / AssemblyRef {
        /// What it is called.
        must name: Line = "Name",
        /// The assembly it belongs in.
        may parent: To<of::Assembly> = "Belongs in",
        /// How it stands; `closed` only by closing it up.
        may state: Word<AssemblyState> = "State",
        /// Where it comes among its neighbours: an order key, compared as text.
        may order: Line = "Place in the list",
        /// It was opened: put anew each time, so that who did it last, and who could not know of it, is told when it stands together again.
        may opened: Flag = "Opened",
        /// It was taken off or apart, which loosens what holds it together: put anew each time, as that it was opened.
        may taken_apart: Flag = "Taken off or apart",
        /// It is closed and off the car: closed on the bench, or taken off as it was. Said of a closed one only; fitting it opens nothing.
        may off_car: Flag = "Off the car, closed as it is",
        /// It is on for trial and comes off again: why, or until when. It ends by being taken off.
        may for_trial: Line = "On for trial",
        /// Where it lies while it is off.
        may kept_in: To<of::Container> = "Kept in",
        /// Whatever else is known of it.
        may note: Prose = "Notes",
    }
}

entity! {
    /// A thing with a place in an assembly.
    Part / PartFields / PartRef {
        /// What it is called.
        must name: Line = "Name",
        /// The assembly it belongs in.
        may assembly: To<of::Assembly> = "Assembly",
        /// Where in it: cylinder 3, left front.
        may position: Line = "Position",
        /// Which way round, which way up, at which clock position.
        may way_round: Line = "Way round",
        /// Where it comes along the shaft: an order key, compared as text. What has none stands in no row.
        may order: Line = "Place in the row",
        /// What is cut, scribed or punched into it: where, and what it means.
        may marks: Line = "Marks on it",
        /// How many of them.
        may quantity: Whole = "How many",
        /// The number stamped on it or its number in a catalogue.
        may number: Line = "Number on it",
        /// What is to become of it.
        may decision: Word<Decision> = "Decision",
        /// Why.
        may decision_why: Line = "Why so",
        /// What becomes of the old one, when another comes in its place.
        may old_one: Word<OldOne> = "The old one",
        /// Where it lies.
        may container: LiesIn = "Where it lies",
        /// How it is not as it should be.
        may differs: Word<Differs> = "As it should be?",
        /// Of a stand-in, until what comes; else why it is so.
        may differs_why: Line = "Until what comes, or why so",
        /// It may be used only once and is bought new each time.
        may use_once: Flag = "May be used only once",
        /// Whatever else is known of it.
        may note: Prose = "Notes",
        /// The day it was entered.
        may on: OnDay = "Day",
    }
}

/// What a finding can be about.
#[derive(Debug)]
pub struct Seen;
impl Kinds for Seen {
    const MAY: &'static [Kind] = &[Kind::Car, Kind::Assembly, Kind::Part];
}

entity! {
    /// What was seen or measured on a part or assembly, and how bad it is.
    Finding / FindingFields / FindingRef {
        /// What it is about.
        must about: About<Seen> = "What it is about",
        /// What was seen.
        must what: Line = "What was seen",
        /// How bad it is.
        may how_bad: Word<HowBad> = "How bad",
        /// Whether it is only suspected, or was looked at and is so.
        may how_sure: Word<HowSure> = "How sure",
        /// What it came by.
        may came_by: Word<CameBy> = "It came by",
        /// The other finding that it comes of.
        may because_of: To<of::Finding> = "Because of",
        /// The day.
        must on: OnDay = "Day",
        /// Whatever else was seen.
        may note: Prose = "Notes",
        /// How it ended: `mended_by:` and a job's id, `mended:` and how, `lived_with:` and why, `not_so:` and what was seen instead; nothing
        /// while it is open.
        may ended: Ending = "How it ended",
        /// The photos that it is to be seen on.
        may photos: Many<of::Photo> = "To be seen on",
    }
}

/// What a photo can show.
#[derive(Debug)]
pub struct Shown;
impl Kinds for Shown {
    const MAY: &'static [Kind] = &[
        Kind::Car,
        Kind::Assembly,
        Kind::Part,
        Kind::Finding,
        Kind::Job,
        Kind::Container,
        Kind::HoldPoint,
    ];
}

entity! {
    /// A picture. The original lies outside the document, under the hash of its bytes.
    Photo / PhotoFields / PhotoRef {
        /// BLAKE3 of the original's bytes, 64 hex digits.
        must hash: Line = "Mark of its bytes",
        /// What is to be seen.
        may caption: Line = "What is to be seen",
        /// What it shows; nothing while that is left for later.
        may about: About<Shown> = "What it shows",
        /// When in the work it was taken.
        may stage: Word<Stage> = "When in the work",
        /// The day.
        must on: OnDay = "Day",
    }
}

impl PhotoRef<'_> {
    /// Which original it has. Nothing where another program put there what is no hash: that stays as it is, and nothing could
    /// be here, asked for, or come, under it.
    #[must_use]
    pub fn original(self) -> Option<PhotoHash> {
        PhotoHash::from_hex(self.hash()?)
    }
}
