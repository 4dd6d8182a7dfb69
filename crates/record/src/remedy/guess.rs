//! Which remedy fits, where the limit does not say: guessed from the words of what was measured, of its limit and of the
//! place it is in, each with its other names (`trade`). A guess is only an offer; `if_low` and `if_high` of the limit
//! overrule it.
//!
//! How it guesses, the first that fits: brake and clutch cylinders are replaced, never bored, and so are drums, discs and
//! linings; a torque, a pressure, a gap of points or plugs and a valve clearance are adjusted; a ring's gap is filed
//! when too small and the next oversize when too wide; end float and lift are shimmed; a worn journal is machined to the
//! next undersize; a bore is honed when too small and bored to the next oversize when too wide, oval or tapered; what is
//! not flat or not true is machined. Whatever fits none of these is replaced. Common practice, no source.

use reckon::Kind as Quantity;
use reckon::uncertainty::Side;

use crate::trade;
use crate::verdict::Judged;
use crate::words::{Mend, Property};

/// Words to guess from, in lower case, with spaces around each phrase.
pub struct Said {
    /// What was measured and what the limit is for.
    what: Vec<String>,
    /// The same and where it is.
    anywhere: Vec<String>,
}

/// A text in lower case with one space around each word, and each of its trade words by all their names.
fn phrases(text: &str) -> Vec<String> {
    let words: Vec<String> = text
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    let mut all = vec![format!(" {} ", words.join(" "))];
    all.extend(
        trade::widened(&words)
            .into_iter()
            .flatten()
            .map(|name| format!(" {} ", name.replace('-', " "))),
    );
    all
}

impl Said {
    /// From what was measured, the limit's name and the names of where it is.
    #[must_use]
    pub fn of(what: &str, limit: &str, around: &[String]) -> Self {
        let what: Vec<String> = [what, limit].iter().flat_map(|text| phrases(text)).collect();
        let around = around.iter().flat_map(|text| phrases(text));
        Self {
            anywhere: what.iter().cloned().chain(around).collect(),
            what,
        }
    }

    /// All that it was called, and what is around it.
    pub(super) fn anywhere(&self) -> &[String] {
        &self.anywhere
    }

    /// Whether any of these was measured. A name ends a word or its plural.
    #[must_use]
    pub(super) fn measures(&self, names: &[&str]) -> bool {
        any(&self.what, names)
    }

    /// Whether any of these was measured or is where it was.
    #[must_use]
    pub(super) fn mentions(&self, names: &[&str]) -> bool {
        any(&self.anywhere, names)
    }
}

fn any(phrases: &[String], names: &[&str]) -> bool {
    phrases.iter().any(|phrase| {
        names
            .iter()
            .any(|name| phrase.contains(&format!(" {name} ")) || phrase.contains(&format!(" {name}s ")))
    })
}

/// The remedy that the words suggest for a reading out on this side.
#[must_use]
pub fn mend_of(said: &Said, judged: &Judged<'_>, side: Side) -> Mend {
    let low = side == Side::Low;
    let kind = judged.unit.kind();
    if said.measures(&["drum", "disc", "disk", "lining", "brake shoe", "brake pad"]) || hydraulic(said) {
        Mend::Replace
    } else if matches!(kind, Quantity::Torque | Quantity::Pressure)
        || said.measures(&[
            "torque",
            "pressure",
            "tension",
            "contact gap",
            "points gap",
            "plug gap",
            "dwell",
            "timing",
            "valve clearance",
            "tappet clearance",
            "rocker clearance",
            "lash",
            "free play",
            "free travel",
            "float level",
            "toe",
            "preload",
        ])
    {
        Mend::Adjust
    } else if said.measures(&["gap"]) && said.mentions(&["ring"]) {
        if low { Mend::File } else { Mend::Oversize }
    } else if said.measures(&["end float", "thrust", "lift", "backlash", "shim"]) {
        Mend::Shim
    } else if said.measures(&["journal", "crankpin", "main bearing diameter"])
        && !said.measures(&["clearance"])
    {
        if low
            || judged.bounds.judges != Property::Size
            || said.measures(&["out of round", "taper", "ovality"])
        {
            Mend::Machine
        } else {
            Mend::Hone
        }
    } else if said.measures(&["bore", "cylinder bore"]) && !said.measures(&["clearance"]) {
        if low && judged.bounds.judges == Property::Size {
            Mend::Hone
        } else {
            Mend::Oversize
        }
    } else if said.measures(&["flat", "flatness", "run out", "warp", "warped", "face"]) {
        Mend::Machine
    } else {
        Mend::Replace
    }
}

/// Whether it belongs to the hydraulic brake or clutch: nobody bores those at home.
fn hydraulic(said: &Said) -> bool {
    said.mentions(&[
        "master cylinder",
        "wheel cylinder",
        "slave cylinder",
        "hydraulic",
        "caliper piston",
        "brake cylinder",
    ])
}
