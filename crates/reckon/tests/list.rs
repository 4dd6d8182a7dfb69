//! Lists and grids as typed: what is taken, what is asked about, and that no text breaks them.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod seed;

use proptest::prelude::*;
use reckon::{Code, Expect, Unit, parse_grid, parse_list};

#[track_caller]
fn check(text: &str, expected: &[(&str, u32)]) {
    let items = parse_list(text, Expect::length()).unwrap_or_else(|unclear| panic!("{text}: {unclear}"));
    let found: Vec<(String, u32)> = items
        .iter()
        .map(|item| (item.typed.exact().to_string(), item.count))
        .collect();
    let expected: Vec<(String, u32)> = expected
        .iter()
        .map(|(exact, count)| ((*exact).to_owned(), *count))
        .collect();
    assert_eq!(found, expected, "{text}");
}

#[test]
fn lists_are_taken() {
    check("0.24x2, 0.30, 0.36 mm", &[("0.24", 2), ("0.3", 1), ("0.36", 1)]);
    check(
        "0.24 mm ×2; 0.30 mm; 12 thou",
        &[("0.24", 2), ("0.3", 1), ("0.3048", 1)],
    );
    check("0,24x2, 0,30, 0,36 mm", &[("0.24", 2), ("0.3", 1), ("0.36", 1)]);
    check("0.24,0.30,0.36 mm", &[("0.24", 1), ("0.3", 1), ("0.36", 1)]);
    check("0.24x2 mm", &[("0.24", 2)]);
    check("1/4, 3/8 in,", &[("6.35", 1), ("9.525", 1)]);
    check("0.5 mm\n0.6 mm\n", &[("0.5", 1), ("0.6", 1)]);
    check("77 mm", &[("77", 1)]);
    // With no space behind it a comma parts where it can be no decimal comma: several of them, one behind a unit, one beside a point.
    check("30,60,100 mm", &[("30", 1), ("60", 1), ("100", 1)]);
    check("2.7,3 mm", &[("2.7", 1), ("3", 1)]);
    check("77,77.02 mm", &[("77", 1), ("77.02", 1)]);
    check("30mm,31mm", &[("30", 1), ("31", 1)]);
    check("0.24x2,0.3,1 mm", &[("0.24", 2), ("0.3", 1), ("1", 1)]);
    // One comma between digits stays a decimal comma, and thousands in one number stay one.
    check("0,24 mm", &[("0.24", 1)]);
    check("77,02; 77,03 mm", &[("77.02", 1), ("77.03", 1)]);
    check("1,234.5 mm", &[("1234.5", 1)]);
    check("1.234,5 mm", &[("1234.5", 1)]);
    let bare = parse_list("0.24x3, 0.3", Expect::length().bare_in(Unit::Millimetre)).unwrap();
    assert_eq!((bare[0].count, bare[1].count), (3, 1));
}

#[track_caller]
fn refused(text: &str, code: Code, says: &str) {
    let unclear = parse_list(text, Expect::length()).unwrap_err();
    assert_eq!(unclear.code, code, "{text}: {unclear}");
    assert!(unclear.words.contains(says), "{text}: {unclear}");
}

#[test]
fn what_is_unclear_is_asked_about() {
    refused("", Code::Empty, "Nothing");
    refused(" , ; ", Code::Empty, "Nothing");
    refused("0.24, 0.30", Code::NoUnit, "0.24");
    refused("0.24 mm, 0.30", Code::NoUnit, "0.30");
    refused("0.24x0 mm", Code::BadNumber, "1 to 99");
    refused("0.24x200 mm", Code::BadNumber, "1 to 99");
    refused("0.24xx mm", Code::BadNumber, "1 to 99");
    refused("0.24, 3 kg", Code::WrongKind, "");
    refused("1,234, 2 mm", Code::CommaOrPoint, "1,234");
    // Three values, or one of six digits more.
    refused("100,200,300 mm", Code::CommaOrPoint, "100,200,300");
    refused(&"1 mm, ".repeat(201), Code::TooLong, "at most 200");
    refused(&"9".repeat(3_000), Code::TooLong, "2000");
}

#[test]
fn grids_have_even_rows() {
    let grid = parse_grid(
        "85.612, 85.560; 85.575, 85.545\n85.530, 85.520 mm",
        Expect::length(),
    )
    .unwrap();
    assert_eq!(grid.len(), 3);
    assert_eq!(grid[2][1].exact().to_string(), "85.52");
    let uneven = parse_grid("1, 2; 3 mm", Expect::length()).unwrap_err();
    assert!(uneven.words.contains("2 and 1"), "{uneven}");
    let odd = parse_grid("1x2 mm", Expect::length());
    assert!(odd.is_err(), "a grid counts nothing: {odd:?}");
}

proptest! {
    #![proptest_config(seed::cases(4_000))]

    #[test]
    fn nothing_breaks_it(text in "\\PC{0,60}") {
        let _ = parse_list(&text, Expect::length()).is_ok();
        let _ = parse_grid(&text, Expect::length()).is_ok();
    }

    /// Print, read, equal: whatever the sizes and counts.
    #[test]
    fn printed_lists_read_back(items in prop::collection::vec((1u32..10_000, 1u32..9), 1..10)) {
        let text: Vec<String> = items.iter().map(|(size, count)| format!("{}.{:03} mm x{count}", size / 1_000, size % 1_000)).collect();
        for between in [", ", "; ", ";", "\n"] {
            let read = parse_list(&text.join(between), Expect::length()).unwrap();
            prop_assert_eq!(read.len(), items.len());
            for (item, (size, count)) in read.iter().zip(&items) {
                prop_assert_eq!(item.count, *count);
                prop_assert!((item.typed.value() * 1_000.0 - f64::from(*size)).abs() < 1e-9);
            }
        }
    }
}
