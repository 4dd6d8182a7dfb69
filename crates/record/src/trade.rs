//! Trade words: what each means in one line, and what the other side of the Atlantic calls it, so that a search for
//! either finds both. Written from memory of common trade usage; no source is claimed. It holds no rule.

/// A trade word with its other names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TradeWord {
    /// The word and its other names, each in lower case.
    pub names: &'static [&'static str],
    /// What it is, in one line.
    pub means: &'static str,
}

macro_rules! trade {
    ($($($name:literal)+ => $means:literal,)+) => {
        /// Every trade word, in order of its first name.
        pub const TRADE_WORDS: &[TradeWord] = &[$(TradeWord { names: &[$($name),+], means: $means }),+];
    };
}

trade! {
    "accumulator" "battery" => "Stores the current for starting and lights; disconnect the earth lead first.",
    "air cleaner" "air filter" => "Keeps grit out of the carburettor and so out of the bores.",
    "aluminium" "aluminum" => "Light alloy of crankcases and heads; its threads strip easily.",
    "axle shaft" "half shaft" "halfshaft" => "Carries the drive from the differential to one wheel.",
    "back plate" "backing plate" => "The fixed plate that carries the brake shoes.",
    "baulk ring" "synchro ring" "blocker ring" => "The cone that brings two gears to one speed before they mesh.",
    "big end" "rod bearing" => "The bearing between connecting rod and crankpin.",
    "bonnet" "hood panel" => "The lid over the engine.",
    "boot" "trunk" "luggage lid" => "Where luggage goes; the lid over it.",
    "bulkhead" "firewall" "scuttle" => "The wall between engine and people.",
    "carburettor" "carburetor" "carb" => "Mixes petrol and air in the proportion to burn.",
    "choke" "strangler" => "Richens the mixture for a cold start.",
    "circlip" "snap ring" "retaining ring" => "A sprung ring in a groove that keeps a part from walking out; mind your eyes.",
    "core plug" "freeze plug" "welch plug" => "A pressed-in disc that closes a casting hole of the water jacket.",
    "crankpin" "rod journal" => "The throw of the crankshaft that a connecting rod runs on.",
    "crown wheel" "ring gear" => "The large gear of the final drive; it and its pinion are a pair.",
    "cross member" "crossmember" => "A bar across the frame.",
    "damper" "shock absorber" "shocker" => "Takes the bounce out of a spring.",
    "distributor" "ignition distributor" => "Sends the spark to each cylinder in turn.",
    "dynamo" "generator" => "Makes the current while the engine turns.",
    "earth" "ground" "chassis return" => "The side of the circuit that returns through the metal of the car.",
    "end float" "end play" "endplay" => "How far a shaft can move along itself.",
    "feeler gauge" "feeler" "thickness gauge" => "Leaves of known thickness for measuring a gap.",
    "float chamber" "float bowl" => "Where a float keeps the petrol in the carburettor at one level.",
    "gearbox" "transmission" => "Gives the engine several ratios to the road.",
    "gear lever" "gear stick" "shifter" => "What one changes gear with.",
    "grub screw" "set screw" => "A screw without a head that locks a part on its shaft.",
    "gudgeon pin" "wrist pin" "piston pin" => "Joins the piston to its connecting rod.",
    "handbrake" "parking brake" "emergency brake" => "Holds the car standing; the second of two brakes.",
    "head gasket" "cylinder head gasket" => "Seals head to block; used once.",
    "hub puller" "gear puller" "extractor" => "Draws a part off its shaft without a hammer.",
    "king pin" "kingpin" "swivel pin" => "What a front wheel's axle turns on to steer.",
    "layshaft" "countershaft" => "The second shaft of the gearbox, turning with the input.",
    "main bearing" "mains" => "Carries the crankshaft in the block.",
    "mudguard" "wing" "fender" => "The panel over a wheel.",
    "number plate" "license plate" "registration plate" => "The car's registered number.",
    "oilway" "oil gallery" "oil passage" => "A drilled way for oil; its plugs come out for cleaning and must go back.",
    "paraffin" "kerosene" => "A cleaning oil; keep it from flames.",
    "petrol" "gasoline" "fuel" => "Burns and explodes; never near a flame or a spark.",
    "petrol tank" "fuel tank" "gas tank" => "Holds the petrol; an empty one explodes most readily.",
    "plain bearing" "shell bearing" "bearing shell" "shells" => "A thin lined half in which a journal runs on oil.",
    "propeller shaft" "propshaft" "driveshaft" "cardan shaft" => "Carries the drive from gearbox to rear axle.",
    "pushrod" "push rod" => "Passes the cam's lift up to the rocker.",
    "ring spanner" "box wrench" => "A wrench that goes all round the nut.",
    "rocker shaft" "rocker arm" "rocker" => "Turns the pushrod's lift into the valve's.",
    "rubbing strip" "rubbing block" "heel" => "The part of a contact breaker that rides on the cam.",
    "run-out" "runout" "wobble" => "How far a turning part is out of true.",
    "running board" "side step" => "The step along the side.",
    "shim" "spacer" "thickness washer" => "A thin piece of known thickness that sets a clearance.",
    "silencer" "muffler" => "Quietens the exhaust.",
    "slipper" "cam follower" "tappet" "lifter" => "Rides on the cam and passes its lift on.",
    "small end" "little end" => "The bearing between connecting rod and gudgeon pin.",
    "spanner" "wrench" => "Turns nuts; use the one that fits.",
    "sparking plug" "spark plug" => "Where the spark jumps in the cylinder.",
    "split pin" "cotter pin" => "A bent wire pin that keeps a nut from turning; used once.",
    "spring washer" "lock washer" => "A washer that keeps a nut from loosening.",
    "stub axle" "spindle" => "What a front wheel's hub turns on.",
    "sump" "oil pan" => "The tray that holds the engine's oil.",
    "swarf" "chips" "turnings" => "What comes off metal that is cut; sharp, and fatal in an oilway.",
    "tab washer" "locking tab" "lock plate" => "A soft washer bent against a nut; used once.",
    "thrust washer" "thrust bearing" => "Takes a shaft's push along itself.",
    "tie rod" "track rod" => "Joins the two front wheels so that they steer together.",
    "tommy bar" "breaker bar" => "A bar for turning a socket with force.",
    "torch" "flashlight" => "A hand lamp.",
    "torque wrench" "torque spanner" => "Tightens to a set torque; it wants checking now and then.",
    "tyre" "tire" => "Rubber between car and road; it ages even when it stands.",
    "universal joint" "cardan joint" "universal coupling" => "Lets a turning shaft bend at an angle.",
    "valve guide" "guide" => "The sleeve a valve stem slides in.",
    "valve spring" => "Closes the valve; let its force off only in a proper compressor.",
    "whitworth" "bsw" => "A 55-degree inch thread of older British work.",
    "windscreen" "windshield" => "The glass in front.",
    "wiring loom" "wiring harness" "loom" => "The car's wires, bound together.",
    "witness mark" "scribe mark" "match mark" => "A line across two parts before they come apart, so that they go back as they were.",
    "woodruff key" "half-moon key" => "A half-round key that keeps a wheel from turning on its shaft.",
}

/// The entry that a word belongs to, in any case and with any spaces around it.
///
/// ```
/// let word = record::trade::trade_word(" Torque Spanner ").unwrap();
/// assert!(word.names.contains(&"torque wrench"));
/// assert!(record::trade::trade_word("teapot").is_none());
/// ```
#[must_use]
pub fn trade_word(word: &str) -> Option<&'static TradeWord> {
    let plain = word.trim().to_lowercase();
    TRADE_WORDS
        .iter()
        .find(|entry| entry.names.contains(&plain.as_str()))
}

/// A search, widened: its words in order, each with everything that it may also be called. Names of several words
/// are taken as one, the longest first; a plural counts as its word.
#[must_use]
pub fn widened(words: &[String]) -> Vec<Vec<String>> {
    let mut out = Vec::new();
    let mut rest = words;
    while let Some((first, after_first)) = rest.split_first() {
        let longest = (1..=rest.len().min(3)).rev().find_map(|count| {
            let (head, after) = rest.split_at_checked(count)?;
            let phrase = head.join(" ");
            let entry = trade_word(&phrase).or_else(|| trade_word(phrase.strip_suffix('s')?))?;
            Some((phrase, entry, after))
        });
        match longest {
            Some((phrase, entry, after)) => {
                let mut names: Vec<String> = vec![phrase];
                names.extend(entry.names.iter().map(|name| (*name).to_owned()));
                names.dedup();
                out.push(names);
                rest = after;
            }
            None => {
                out.push(vec![first.clone()]);
                rest = after_first;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(input: &str, expected: &[&[&str]]) {
        let words: Vec<String> = input.split(' ').map(str::to_owned).collect();
        let expected: Vec<Vec<String>> = expected
            .iter()
            .map(|names| names.iter().map(|name| (*name).to_owned()).collect())
            .collect();
        assert_eq!(widened(&words), expected, "{input}");
    }

    #[test]
    fn a_search_finds_both_sides_of_the_atlantic() {
        check(
            "wrist pin",
            &[&["wrist pin", "gudgeon pin", "wrist pin", "piston pin"]],
        );
        check("left spanner", &[&["left"], &["spanner", "wrench"]]);
        check("Spanners", &[&["Spanners", "spanner", "wrench"]]);
        check("number 3", &[&["number"], &["3"]]);
    }

    #[test]
    fn every_name_belongs_to_one_entry_and_every_meaning_is_one_line() {
        let mut seen = std::collections::BTreeSet::new();
        for entry in TRADE_WORDS {
            for name in entry.names {
                assert!(seen.insert(*name), "'{name}' stands twice");
                assert_eq!(name.to_lowercase(), **name);
            }
            assert!(
                entry.means.ends_with('.') && !entry.means.contains('\n'),
                "{}",
                entry.means
            );
        }
    }
}
