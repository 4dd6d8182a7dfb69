//! Properties of the reader over random texts: it never panics, what it prints it reads back, and every reading that it
//! offers is certain. A failure prints the text and the seed; `RECKON_SEED=n` runs that seed again.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

mod seed;

use proptest::prelude::*;
use reckon::{Code, Exact, Expect, Kind, Money, Typed, Unclear, Unit, parse, parse_any, parse_money};

/// Texts near to what people type: numbers, separators, units and signs thrown together.
fn near_text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[0-9]{1,4}",
        Just("⅜".to_owned()),
        Just("1/2".to_owned()),
        Just("/".to_owned()),
        prop::sample::select(vec![
            ".", ",", " ", "-", "−", "'", "\"", "e", "e5", "+", "\u{202f}", ":1", "1/min", "to", ".."
        ])
        .prop_map(str::to_owned),
        prop::sample::select(vec![
            "mm", "in", "thou", "ft", "lb", "oz", "gal", "°", "kg", "N·m", "lb-ft", "mil", "hp", "psi", "°C"
        ])
        .prop_map(str::to_owned),
        prop::sample::select(vec!["£", "$", "€", "GBP", "kr", "p", "JPY", "KWD"]).prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..7).prop_map(|pieces| pieces.concat())
}

fn expectation() -> impl Strategy<Value = Option<Expect>> {
    let kinds = prop::sample::select(Kind::ALL.to_vec());
    prop::option::of(
        (kinds, any::<bool>(), any::<bool>()).prop_map(|(kind, bare, inch)| {
            let expect = Expect::of(kind);
            if bare {
                expect.bare_in(kind.preferred(inch))
            } else {
                expect
            }
        }),
    )
}

fn read(text: &str, expect: Option<Expect>) -> Result<Typed, Unclear> {
    match expect {
        Some(expect) => parse(text, expect),
        None => parse_any(text),
    }
}

fn check(text: &str, expect: Option<Expect>) -> Result<(), TestCaseError> {
    match read(text, expect) {
        Ok(typed) => {
            prop_assert_eq!(typed.text(), text.trim());
            prop_assert!(typed.value().is_finite());
            prop_assert_eq!(Typed::from_kept(&typed.kept()), Ok(typed));
        }
        Err(unclear) => {
            prop_assert!(!unclear.words.is_empty());
            for candidate in &unclear.candidates {
                let read = read(&candidate.text, expect);
                // Colder than absolute zero is offered by no unit, but may be what was typed.
                let impossible = read.as_ref().is_err_and(|u| u.code == Code::Impossible);
                prop_assert!(
                    read.is_ok() || impossible,
                    "{:?} offers {:?}: {:?}",
                    text,
                    candidate.text,
                    read
                );
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(seed::cases(4_000))]

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,80}", expect in expectation()) {
        check(&text, expect)?;
    }

    #[test]
    fn any_bytes_are_read_or_refused(text in any::<String>()) {
        check(&text, None)?;
        let _ = Typed::from_kept(&text);
        let _ = parse_money(&text);
    }

    #[test]
    fn near_texts_are_read_or_refused(text in near_text(), expect in expectation()) {
        check(&text, expect)?;
    }

    #[test]
    fn money_is_read_back(text in near_text()) {
        match parse_money(&text) {
            Ok(money) => prop_assert_eq!(parse_money(&money.to_string()), Ok(money)),
            Err(unclear) => for candidate in unclear.candidates {
                let read: Result<Money, Unclear> = parse_money(&candidate.text);
                prop_assert!(read.is_ok(), "{:?} offers {:?}: {:?}", text, candidate.text, read);
            }
        }
    }

    #[test]
    fn a_decimal_in_any_unit_is_exact(whole in 0u32..100_000, part in 0u32..10_000, unit in prop::sample::select(Unit::ALL.to_vec())) {
        // Two ways to the value: through the reader, and through the table alone.
        let text = format!("{whole}.{part:04} {}", unit.symbol());
        let typed = parse(&text, Expect::of(unit.kind())).unwrap();
        let value = Exact::fraction(i128::from(whole) * 10_000 + i128::from(part), 10_000).unwrap();
        prop_assert_eq!(typed.exact(), &unit.to_base_exact(&value));
        prop_assert_eq!(typed.in_unit(unit), Some(value.to_f64()));
        prop_assert_eq!(Typed::from_kept(&typed.kept()), Ok(typed));
    }
}
