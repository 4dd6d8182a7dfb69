//! No text breaks a reader or a calculation: valid spellings, cut, spliced, flipped and swollen by dice, 200,000 of them and more by
//! `RECKON_FUZZ=n`. A failure prints its seed and the text; `RECKON_SEED=n` runs that seed again.
//!
//! Every text is also held to what the readers promise: what is taken is kept and comes back, what is not is asked about in words, and
//! every reading that is offered is certain.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod seed;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

use reckon::fastener::Thread;
use reckon::{
    Answer, Code, Currency, Exact, Expect, Kind, Preferences, Typed, Unclear, Unit, Units, calculations,
    parse, parse_any, parse_grid, parse_list, parse_money, parse_money_in, parse_number,
};
use seed::Dice;

/// What people do type, and a few things that have broken readers of numbers.
const TYPED: &[&str] = &[
    "12 thou",
    "0.012 in",
    "1 3/8\"",
    "4'6\"",
    "6' 3 1/2\"",
    "1 1/8 in",
    "⅜ in",
    "3½ mm",
    "0,25 mm",
    "1.234,5 mm",
    "1,234.5 mm",
    "1 234,5 mm",
    "−0.5 mm",
    "–0.5 mm",
    "+3 mm",
    "1e3 mm",
    "1.5e-3 m",
    "1E400 mm",
    "9e-499 mm",
    ".5 in",
    "5. in",
    "50 lb-ft",
    "50 lbf·ft",
    "6 kgf m",
    "45°30'",
    "12°",
    "20 °C",
    "68F",
    "-459.67 °F",
    "60 mph",
    "3000 rpm",
    "1/min",
    "7.98 Ω",
    "2.5 mm²",
    "40 cc",
    "1 UK gal",
    "12 oz",
    "10 hp",
    "100 %",
    "0.5",
    "1/3",
    "0.24x2, 0.30, 0.36 mm",
    "0.24 mm ×2; 0.30 mm; 12 thou",
    "85.61, 85.56; 85.57, 85.54 mm",
    "85.61, 85.56\n85.57, 85.54 mm",
    "1..2 mm",
    "1 to 2 mm",
    "£12.50",
    "12,50 €",
    "$1,234.56",
    "GBP 3",
    "1 234 kr",
    "¥500",
    "-£3",
    "12p",
    "KWD 1.234",
    "M10x1.25",
    "M8",
    "3/8-24",
    "1/4 UNF",
    "#10-32",
    "1-1/4-7",
    "10-32",
    "12 thou = 0.3048 mm",
    "0.3048 mm",
    "381/1250",
    "-12",
    "0.000",
    "99999999999999999999999999999999999999",
    "185/70 HR 14",
    "1M8GDM9AXKP042788",
    "oiled",
];

/// Pieces that are put in.
const PIECES: &[&str] = &[
    "",
    " ",
    "  ",
    "\t",
    "\n",
    ";",
    ",",
    ".",
    "/",
    "-",
    "−",
    "x",
    "×",
    "*",
    "'",
    "\"",
    "″",
    "′",
    "°",
    "e",
    "E9",
    "e-9",
    "0",
    "00000000",
    "9999999999",
    "½",
    "¾",
    "⁄",
    "mm",
    "in",
    "µm",
    "μm",
    "\u{202f}",
    "\u{a0}",
    "\u{2009}",
    "\u{feff}",
    "\u{0}",
    "\u{200b}",
    "\u{301}",
    "٣",
    "５",
    "Ⅷ",
    "ſ",
    "K",
    "İ",
    "ß",
    "🔧",
    "NaN",
    "inf",
    "=",
    "(",
    ")",
    "%",
    "±",
    "~",
    "£",
    "€",
    "#",
    "M",
    "un",
    "ba",
    "\u{10ffff}",
];

/// How many texts, unless `RECKON_FUZZ` says otherwise.
fn count() -> usize {
    std::env::var("RECKON_FUZZ")
        .ok()
        .map_or(200_000, |text| text.parse().unwrap())
}

/// Spellings of every unit and currency, every example of every argument, and what people type.
fn corpus() -> Vec<String> {
    let units = Unit::ALL
        .iter()
        .flat_map(|unit| [format!("12.5 {}", unit.symbol()), format!("3{}", unit.certain())]);
    let examples = calculations()
        .iter()
        .flat_map(|calculation| calculation.arguments)
        .flat_map(|argument| [argument.example.to_owned(), argument.example_inch.to_owned()]);
    let typed = TYPED.iter().map(|text| (*text).to_owned());
    typed.chain(units).chain(examples).collect()
}

/// A valid text, and then one thing done to it, or a few.
fn mutated(corpus: &[String], dice: &mut Dice) -> String {
    let mut bytes = dice.one(corpus).clone().into_bytes();
    for _ in 0..*dice.one(&[1, 1, 1, 2, 2, 4]) {
        let at = dice.below(bytes.len() + 1);
        let end = (at + dice.below(6)).min(bytes.len());
        match dice.below(10) {
            // A bit the other way.
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            1 if at < bytes.len() => bytes[at] = u8::try_from(dice.below(256)).unwrap(),
            // Something gone, or twice.
            2 => drop(bytes.drain(at..end)),
            3 => {
                let again = bytes[at..end].to_vec();
                bytes.splice(at..at, again);
            }
            // The head of one and the tail of another.
            4 => {
                let other = dice.one(corpus).as_bytes();
                bytes.truncate(at);
                bytes.extend_from_slice(&other[dice.below(other.len() + 1)..]);
            }
            // All of another, somewhere.
            5 => drop(bytes.splice(at..at, dice.one(corpus).bytes()).collect::<Vec<_>>()),
            // A digit swollen to many.
            6 => {
                let digits = vec![b'0' + u8::try_from(dice.below(10)).unwrap(); dice.below(700)];
                bytes.splice(at..at, digits);
            }
            _ => drop(bytes.splice(at..at, dice.one(PIECES).bytes()).collect::<Vec<_>>()),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// What is offered can be typed as it stands. Colder than absolute zero is offered by no unit, but may be what was typed.
fn offers<T: std::fmt::Debug>(unclear: &Unclear, read: impl Fn(&str) -> Result<T, Unclear>) {
    assert!(!unclear.words.is_empty());
    for candidate in &unclear.candidates {
        let again = read(&candidate.text);
        let impossible = again
            .as_ref()
            .is_err_and(|unclear| unclear.code == Code::Impossible);
        assert!(
            again.is_ok() || impossible,
            "offers {:?}: {again:?}",
            candidate.text
        );
    }
}

fn quantity(text: &str, read: impl Fn(&str) -> Result<Typed, Unclear>) {
    match read(text) {
        Ok(typed) => {
            assert_eq!(typed.text(), text.trim());
            assert!(typed.value().is_finite());
            assert_eq!(
                Exact::read(&typed.exact().to_string()).as_ref(),
                Some(typed.exact())
            );
            assert_eq!(Typed::from_kept(&typed.kept()), Ok(typed));
        }
        Err(unclear) => offers(&unclear, read),
    }
}

fn expectation(dice: &mut Dice) -> Expect {
    let kind = *dice.one(Kind::ALL);
    match dice.below(3) {
        0 => Expect::of(kind),
        which => Expect::of(kind).bare_in(kind.preferred(which == 1)),
    }
}

/// One reader, or two, and what it promises.
fn read(text: &str, dice: &mut Dice) {
    let expect = expectation(dice);
    match dice.below(8) {
        0 | 1 => quantity(text, |text| parse(text, expect)),
        2 => quantity(text, parse_any),
        3 => match parse_list(text, expect) {
            Ok(items) => {
                assert!(!items.is_empty() && items.iter().all(|item| item.count >= 1));
                assert!(items.iter().all(|item| item.typed.kind() == expect.kind()));
            }
            Err(unclear) => assert!(!unclear.words.is_empty()),
        },
        4 => match parse_grid(text, expect) {
            Ok(rows) => assert!(
                rows.iter()
                    .all(|row| !row.is_empty() && row.len() == rows[0].len())
            ),
            Err(unclear) => assert!(!unclear.words.is_empty()),
        },
        5 => {
            let codes = ["GBP", "EUR", "USD", "JPY", "KWD", "SEK"];
            let code: &&str = dice.one(&codes);
            let currency = Currency::of(code).unwrap();
            for money in [parse_money(text), parse_money_in(text, currency)] {
                match money {
                    Ok(money) => assert_eq!(parse_money(&money.to_string()), Ok(money)),
                    Err(unclear) => offers(&unclear, |text| parse_money_in(text, currency)),
                }
            }
        }
        6 => {
            match parse_number(text) {
                Ok(number) => assert_eq!(Exact::read(&number.to_string()), Some(number)),
                Err(unclear) => offers(&unclear, parse_number),
            }
            if let Some(exact) = Exact::read(text) {
                assert_eq!(Exact::read(&exact.to_string()), Some(exact));
            }
        }
        _ => {
            if let Ok(typed) = Typed::from_kept(text) {
                assert_eq!(Typed::from_kept(&typed.kept()), Ok(typed));
            }
            match Thread::read(text) {
                Ok(thread) => {
                    let numbers = [
                        thread.stress_area().in_mm2(),
                        thread.least_major().in_mm(),
                        thread.root_diameter().in_mm(),
                    ];
                    assert!(numbers.iter().all(|number| number.is_finite()), "{numbers:?}");
                }
                Err(unclear) => offers(&unclear, Thread::read),
            }
        }
    }
}

/// Runs `case` for `texts` seeds of its own, so that the one that fails can be named.
fn each(texts: usize, case: impl Fn(&mut Dice) -> String) {
    let seed = seed::seed();
    println!("{texts} texts");
    for number in 0..texts {
        let mut dice = Dice(seed ^ u64::try_from(number).unwrap().wrapping_mul(0xD6E8_FEB8_6659_FD93));
        let case = catch_unwind(AssertUnwindSafe(|| case(&mut dice)));
        assert!(case.is_ok(), "RECKON_SEED={seed}, text {number}");
    }
}

#[test]
fn no_text_breaks_a_reader() {
    let corpus = corpus();
    each(count(), |dice| {
        let text = mutated(&corpus, dice);
        let mut again = Dice(dice.0);
        let told = catch_unwind(AssertUnwindSafe(|| read(&text, dice)));
        if told.is_err() {
            // Which reader it was follows from the dice.
            panic!("{text:?} ({:?})", expectation(&mut again));
        }
        text
    });
}

/// An answer is whole: every number is one, every text is there, and it goes over the wire and back.
fn whole(answer: &Answer) {
    let lines = answer.tables.iter().flat_map(|table| &table.lines);
    for value in answer.values.iter().chain(lines.flat_map(|line| &line.values)) {
        assert!(value.value.is_finite() && !value.text.is_empty(), "{value:?}");
    }
    assert!(!answer.sources.is_empty() && !answer.cautions.is_empty());
}

#[test]
fn no_text_breaks_a_calculation() {
    let corpus = corpus();
    // Each of these reads several texts, so there are fewer of them; each calculation comes at least a thousand times.
    each(count() / 5, |dice| {
        let calculation = dice.one(calculations());
        let mut typed: BTreeMap<String, String> = calculation
            .arguments
            .iter()
            .filter(|argument| argument.required || dice.below(2) == 0)
            .map(|argument| (argument.name.to_owned(), argument.example.to_owned()))
            .collect();
        for _ in 0..=dice.below(3) {
            let argument = dice.one(calculation.arguments);
            let near = [argument.example.to_owned(), argument.example_inch.to_owned()];
            // Mostly near to what is taken, or it would never get past the reader.
            let from = if dice.below(4) == 0 {
                &corpus[..]
            } else {
                &near[..]
            };
            typed.insert(argument.name.to_owned(), mutated(from, dice));
        }
        if dice.below(50) == 0 {
            typed.insert(mutated(&corpus, dice), "1 mm".to_owned());
        }
        let units = if dice.below(2) == 0 {
            Units::Metric
        } else {
            Units::Inch
        };
        let preferences = Preferences {
            units,
            bare_numbers: dice.below(2) == 0,
        };
        let told = catch_unwind(AssertUnwindSafe(|| {
            match reckon::reckon(calculation.name, &typed, &preferences) {
                Ok(answer) => {
                    whole(&answer);
                    // Whatever was typed, a dangerous answer has its words.
                    for danger in calculation.dangers {
                        let key = danger.caution().0;
                        assert!(answer.cautions.iter().any(|note| note.key == key));
                        assert!(!answer.conditions.is_empty());
                    }
                    true
                }
                Err(refusal) => {
                    assert!(!refusal.problems.is_empty());
                    assert!(refusal.problems.iter().all(|problem| !problem.words.is_empty()));
                    false
                }
            }
        }));
        assert!(told.is_ok(), "{} {typed:?}", calculation.name);
        String::new()
    });
}

/// The mutator reaches what it is for: a good part of the texts is taken by some reader, and most are not what they were.
#[test]
fn the_texts_are_near_to_valid_ones() {
    let corpus = corpus();
    let mut dice = Dice(seed::seed());
    let texts: Vec<String> = (0..4_000).map(|_| mutated(&corpus, &mut dice)).collect();
    let taken = texts
        .iter()
        .filter(|text| {
            parse_any(text).is_ok()
                || parse_list(text, Expect::length()).is_ok()
                || parse_number(text).is_ok()
                || parse_money(text).is_ok()
                || Thread::read(text).is_ok()
        })
        .count();
    let changed = texts.iter().filter(|text| !corpus.contains(*text)).count();
    assert!(
        (400..3_600).contains(&taken) && changed > 3_000,
        "{taken} taken, {changed} changed"
    );
}
