//! The car and the people: car, keepers, devices, day sheets.

use crate::entity::entity;
use crate::field::{Given, Line, Many, Prose, To, Whole, Word};
use crate::name::of;
use crate::words::Pattern;

entity! {
    /// The car itself.
    Car / CarFields / CarRef {
        /// What the keepers call it.
        must name: Line = "Name",
        /// Who made it.
        may make: Line = "Make",
        /// Which model.
        may model: Line = "Model",
        /// The year it was built.
        may year: Whole = "Year built",
        /// The number stamped on the body.
        may body_number: Line = "Number on the body",
        /// The number stamped on the engine.
        may engine_number: Line = "Number on the engine",
        /// The number in the papers.
        may papers_number: Line = "Number in the papers",
        /// Its colour.
        may colour: Line = "Colour",
        /// Whatever else is known of it.
        may note: Prose = "Notes",
    }
}

entity! {
    /// A person who keeps the record.
    Keeper / KeeperFields / KeeperRef {
        /// Their name.
        must name: Line = "Name",
        /// The line at the left edge of their entries.
        may pattern: Word<Pattern> = "Line at the edge",
    }
}

entity! {
    /// A device that the record is kept on.
    Device / DeviceFields / DeviceRef {
        /// What its keeper calls it.
        must name: Line = "Name",
        /// Whose it is.
        must keeper: To<of::Keeper> = "Keeper",
        /// The key it is known by when devices meet: Ed25519, 64 hex digits.
        may key: Line = "Key",
        /// What files for it are sealed to: an age recipient, `age1…`.
        may seal: Line = "What files for it are sealed to",
        /// Why it is met no more: lost, sold, stolen. Once put it stands; a device that is found again joins anew.
        may revoked: Line = "Met no more",
    }
}

entity! {
    /// One keeper's notes and hours of one date. Its id is the date and the keeper, so there is never a second.
    Sheet / SheetFields / SheetRef {
        /// The notes.
        may text: Prose = "Notes",
        /// Hours at the bench, as written: `2.5`.
        may hours: Line = "Hours",
        /// The assemblies from inside which a note of it was written.
        may notes_of: Many<of::Assembly> = "Notes of",
    }
}
