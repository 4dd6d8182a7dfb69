//! What the car is made of and what was seen of it: assemblies, parts, findings, photos.

use super::Container;
use crate::ending::Ending;
use crate::entity::entity;
use crate::field::{About, Flag, Given, Kinds, Line, Many, OnDay, Prose, To, Whole, Word};
use crate::name::Kind;
use crate::words::{AssemblyState, Decision, HowBad, Stage};

entity! {
    /// A group of parts that comes off, apart and back together as one; assemblies nest.
    Assembly / AssemblyFields / AssemblyRef {
        /// What it is called.
        must name: Line,
        /// The assembly it belongs in.
        may parent: To<Assembly>,
        /// How it stands; `closed` only by closing it up.
        may state: Word<AssemblyState>,
        /// Where it comes among its neighbours: an order key, compared as text.
        may order: Line,
        /// Where it lies while it is off.
        may kept_in: To<Container>,
        /// Whatever else is known of it.
        may note: Prose,
    }
}

entity! {
    /// A thing with a place in an assembly.
    Part / PartFields / PartRef {
        /// What it is called.
        must name: Line,
        /// The assembly it belongs in.
        may assembly: To<Assembly>,
        /// Where in it: cylinder 3, left front.
        may position: Line,
        /// Which way round, which way up, at which clock position.
        may way_round: Line,
        /// How many of them.
        may quantity: Whole,
        /// The number stamped on it or its number in a catalogue.
        may number: Line,
        /// What is to become of it.
        may decision: Word<Decision>,
        /// Why.
        may decision_why: Line,
        /// Where it lies.
        may container: To<Container>,
        /// It may be used only once and is bought new each time.
        may use_once: Flag,
        /// Whatever else is known of it.
        may note: Prose,
        /// The day it was entered.
        may on: OnDay,
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
        must about: About<Seen>,
        /// What was seen.
        must what: Line,
        /// How bad it is.
        may how_bad: Word<HowBad>,
        /// The day.
        must on: OnDay,
        /// Whatever else was seen.
        may note: Prose,
        /// How it ended: `mended_by:` and a job's id, `mended:` and how, `lived_with:` and why; nothing while it is open.
        may ended: Ending,
        /// The photos that it is to be seen on.
        may photos: Many<Photo>,
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
        must hash: Line,
        /// What is to be seen.
        may caption: Line,
        /// What it shows; nothing while that is left for later.
        may about: About<Shown>,
        /// When in the work it was taken.
        may stage: Word<Stage>,
        /// The day.
        must on: OnDay,
    }
}
