//! Where work can hurt somebody or spoil a part: one table of the usual cautions, for remedies, closing and pages alike. Each goes by words
//! of what is worked on. What a calculation of the bench warns of stays with that calculation. It asks nothing, refuses nothing, and
//! stands in the place of no manual and of no law: each defers to them where they have a say. Common practice, no source.

use reckon::Note;

/// One caution.
#[derive(Debug, PartialEq, Eq)]
pub struct Caution {
    /// Its key, which never changes.
    pub key: &'static str,
    /// One sentence or two.
    pub words: &'static str,
    /// The words of what is worked on that it goes by: whole words, and longer ones that begin so, as `brakes`. One with a stroke before
    /// it goes by what ends so too, as a handbrake.
    goes_by: &'static [&'static str],
    /// Words that mean it only where something is measured and mended: a lining may be a door's, a measured one is a brake's.
    measured: &'static [&'static str],
    /// Whether what it goes by is closed over with a reason of its own only.
    own_reason: bool,
}

impl Caution {
    const fn of_words(
        key: &'static str,
        words: &'static str,
        goes_by: &'static [&'static str],
        measured: &'static [&'static str],
    ) -> Self {
        Self {
            key,
            words,
            goes_by,
            measured,
            own_reason: false,
        }
    }

    /// One that goes with a way of mending, whatever is mended.
    const fn of_a_mend(key: &'static str, words: &'static str) -> Self {
        Self::of_words(key, words, &[], &[])
    }

    const fn with_a_reason_of_its_own(mut self) -> Self {
        self.own_reason = true;
        self
    }

    /// As it is shown.
    #[must_use]
    pub fn note(&self) -> Note {
        Note {
            key: self.key.into(),
            words: self.words.into(),
        }
    }
}

/// Filing.
pub(crate) const FILE: Caution = Caution::of_a_mend(
    "file",
    "File one end only, square, a little at a time, and take the burr off; what is filed away does not come back.",
);
/// Honing, boring and grinding.
pub(crate) const GRIT: Caution = Caution::of_a_mend(
    "grit",
    "Grit left behind wears everything it reaches: wash until a white rag stays white, and oil at once.",
);
/// Boring.
pub(crate) const PISTON: Caution = Caution::of_a_mend(
    "piston",
    "Have the pistons in hand and measured before anything is bored; each bore is made to its piston.",
);
/// Skimming.
pub(crate) const FACE: Caution = Caution::of_a_mend(
    "face",
    "What is skimmed off does not come back: ask the book for the least height or thickness first, and for the compression it makes.",
);
/// Grinding a crankshaft.
pub(crate) const GRIND: Caution = Caution::of_a_mend(
    "grind",
    "Shells of the same undersize must be had before the grinder begins, and the corner radius is kept.",
);
/// Shims.
pub(crate) const SHIMS: Caution = Caution::of_a_mend(
    "shims",
    "Measure every shim; the mark on it is not its thickness. Measure the play again when it is in.",
);
/// A torque.
pub(crate) const TORQUE: Caution = Caution::of_words(
    "torque",
    "A torque holds only for the threads, washers and oil that the book states; bolts that were tightened to yield are not used again.",
    &[],
    &["torque"],
);

/// Those that go by words, in the order in which they are shown.
static CAUTIONS: [Caution; 10] = [
    Caution::of_words(
        "lifting",
        "Never work under a car that stands on a jack: axle stands on hard level ground, wheels chocked, before anything goes under.",
        &[
            "jack", "axle", "hub", "wheel", "king pin", "kingpin", "suspension", "shackle", "underside",
        ],
        &[],
    ),
    Caution::of_words(
        "springs",
        "A loaded spring can kill, and takes eyes and fingers: hold it with the proper compressor or take its load off first, wear glasses, and keep out of its line.",
        &["spring", "shackle", "damper"],
        &[],
    ),
    Caution::of_words(
        "fuel",
        "Petrol: out of doors, no flame, no sparks, battery disconnected, an extinguisher at hand.",
        &["-fuel", "-petrol", "-tank", "-carburettor", "-carburetor"],
        &[],
    )
    .with_a_reason_of_its_own(),
    Caution::of_words(
        "drum",
        "The mark cast in the drum wins over any other figure; both drums of an axle are kept alike; none of this is for discs.",
        &[],
        &["drum"],
    ),
    Caution::of_words(
        "disc",
        "The least thickness stamped on the disc wins over any other figure; both discs of an axle are kept alike.",
        &[],
        &["brake disc", "brake disk", "disc brake"],
    ),
    Caution::of_words(
        "brakes",
        "Brakes, steering and what carries the car: the car’s own manual, local law and licensed practice come first, and somebody licensed looks at it before the road.",
        &[
            "-brake", "-steering", "track rod", "tie rod", "drag link", "king pin", "kingpin", "ball joint",
            "stub axle", "master cylinder", "wheel cylinder", "hydraulic", "wheel bearing", "front axle",
        ],
        &["drum", "lining"],
    )
    .with_a_reason_of_its_own(),
    Caution::of_words(
        "dust",
        "Old linings, clutch plates and gaskets and their dust may be asbestos: no blowing, no dry brushing; treat them as asbestos until tested, as local law says.",
        &["brake", "clutch", "gasket", "lining", "lagging"],
        // What is worked on beside a drum.
        &[
            "drum", "master cylinder", "wheel cylinder", "hydraulic", "steering", "king pin", "kingpin",
            "stub axle", "tie rod", "ball joint", "drag link", "wheel bearing", "front axle",
        ],
    ),
    Caution::of_words(
        "battery",
        "Battery: gas explodes and acid burns. Earth lead off first and on last, eyes covered, no flame.",
        &["battery", "batteries", "loom", "dynamo", "starter", "earth strap"],
        &[],
    ),
    Caution::of_words(
        "solvent",
        "Solvents and two-pack paint: air-fed mask where the sheet asks for one, gloves, no flame; local law may forbid it at home.",
        &["paint", "two pack", "twopack", "solvent", "thinner", "stripper", "degreas"],
        &[],
    ),
    TORQUE,
];

/// Words that begin as one of the table and are another thing: a water jacket lifts no car.
const ANOTHER_THING: [&str; 2] = ["jacket", "jackets"];

/// The cautions that go with what is worked on, by what it and what is around it are called; each once, in the table's order.
///
/// ```
/// let keys = |said: &str| record::cautions::of(&[said]).iter().map(|one| one.key).collect::<Vec<_>>();
/// assert_eq!(keys("Front brakes"), ["brakes", "dust"]);
/// assert!(keys("Water jacket").is_empty());
/// ```
#[must_use]
pub fn of(said: &[&str]) -> Vec<&'static Caution> {
    let said: Vec<Vec<String>> = said.iter().map(|text| words_of(text)).collect();
    let goes = |caution: &&Caution| caution.goes_by.iter().any(|name| mentions(&said, name));
    CAUTIONS.iter().filter(goes).collect()
}

/// The same of what is measured and mended.
pub(crate) fn of_measured(said: &[String]) -> Vec<&'static Caution> {
    let said: Vec<Vec<String>> = said.iter().map(|text| words_of(text)).collect();
    let goes = |caution: &&Caution| {
        let mut names = caution.goes_by.iter().chain(caution.measured);
        names.any(|name| mentions(&said, name))
    };
    CAUTIONS.iter().filter(goes).collect()
}

/// The same as they are shown.
#[must_use]
pub fn notes(said: &[&str]) -> Vec<Note> {
    of(said).into_iter().map(Caution::note).collect()
}

/// Whether anything of what is called so wants a reason of its own where it is closed over.
pub(crate) fn want_a_reason(said: &[&str]) -> bool {
    of(said).iter().any(|caution| caution.own_reason)
}

/// The words of a text, in small letters.
fn words_of(text: &str) -> Vec<String> {
    let text = text.to_lowercase();
    let words = text.split(|letter: char| !letter.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

fn mentions(said: &[Vec<String>], name: &str) -> bool {
    let (name, ends) = match name.strip_prefix('-') {
        Some(name) => (name, true),
        None => (name, false),
    };
    let wanted: Vec<&str> = name.split(' ').collect();
    let Some((last, before)) = wanted.split_last() else {
        return false;
    };
    let is = |word: &String| {
        let begins = word.starts_with(last) && !ANOTHER_THING.contains(&word.as_str());
        begins || (ends && word.ends_with(last))
    };
    said.iter().any(|text| {
        text.windows(wanted.len()).any(|here| {
            let head = here.iter().zip(before).all(|(word, wanted)| word == wanted);
            head && here.last().is_some_and(is)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(said: &str) -> Vec<&'static str> {
        of(&[said]).into_iter().map(|caution| caution.key).collect()
    }

    #[test]
    fn they_go_by_words_of_what_is_worked_on() {
        let check = |said: &str, wanted: &[&str]| assert_eq!(keys(said), wanted, "{said}");
        check("Front brakes", &["brakes", "dust"]);
        check("Carburettor, fuel pump and tank", &["fuel"]);
        check("Ashtray", &[]);
        check("Front axle and king pins, front axle", &["lifting", "brakes"]);
        check("Handbrake cable", &["brakes"]);
        check("Track-rod end", &["brakes"]);
        check("two-pack primer", &["solvent"]);
        check("Water jacket", &[]);
        check("Door lining", &["dust"]);
    }

    /// What each of the three tables that were before this one went by, in the words that it had.
    #[test]
    fn nothing_that_was_warned_of_before_goes_unwarned() {
        let pages = [
            (
                "lifting",
                "jack|axle stand|hub|wheel|axle|king pin|kingpin|suspension|shackle|underside",
            ),
            ("springs", "spring|shackle|damper"),
            ("fuel", "fuel|petrol|tank|carburettor|carburetor"),
            ("brakes", "brake|steering|track rod|drag link|king pin|kingpin"),
            ("dust", "brake|clutch|gasket|lining|lagging"),
            ("battery", "battery|loom|dynamo|starter|earth strap"),
            (
                "solvent",
                "paint|two pack|two-pack|twopack|solvent|thinner|stripper|degreaser",
            ),
        ];
        for (key, names) in pages {
            for name in names.split('|') {
                for said in [name.to_owned(), format!("The left {name}s"), name.to_uppercase()] {
                    assert!(keys(&said).contains(&key), "{said}: {key}");
                }
            }
        }
        let measured = |said: &str| -> Vec<&str> {
            let said = of_measured(&[said.to_owned()]);
            said.into_iter().map(|caution| caution.key).collect()
        };
        let brakes = "brake|drum|lining|master cylinder|wheel cylinder|hydraulic|steering|kingpin|king pin|stub axle|tie rod|ball joint|drag link|wheel bearing|front axle";
        for name in brakes.split('|') {
            let found = measured(name);
            assert!(
                found.contains(&"brakes") && found.contains(&"dust"),
                "{name}: {found:?}"
            );
        }
        for (said, key) in [
            ("front drums", "drum"),
            ("brake disc", "disc"),
            ("disc brakes", "disc"),
            ("torque", "torque"),
            ("valve spring", "springs"),
        ] {
            assert!(measured(said).contains(&key), "{said}");
        }
        let alone = "brake|handbrake|steering|track rod|track-rod|drag link|king pin|kingpin|fuel|petrol|tank|carburettor|carburetor";
        for name in alone.split('|') {
            assert!(want_a_reason(&["engine", name]), "{name}");
        }
        assert!(!want_a_reason(&["engine", "mounting split"]));
    }

    #[test]
    fn each_has_a_key_of_its_own_and_ends_as_a_sentence() {
        let of_mends = [FILE, GRIT, PISTON, FACE, GRIND, SHIMS];
        let all: Vec<&Caution> = CAUTIONS.iter().chain(&of_mends).collect();
        let keys: std::collections::BTreeSet<&str> = all.iter().map(|caution| caution.key).collect();
        assert_eq!(keys.len(), all.len());
        assert!(all.iter().all(|caution| caution.words.ends_with('.')));
    }
}
