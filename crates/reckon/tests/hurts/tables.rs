//! Torques and orders that are printed somewhere: as they are printed, or marked as not.

use crate::ask::{ask_in, check_value, inch};
use crate::{all_words, answered};
use reckon::{Standing, Unit};

/// Source: FAA AC 43.13-1B (9/8/98), table 7-1: inch-pounds, fine and coarse; tension nuts MS20365 and AN310, shear nuts MS20364 and
/// AN320; "derived from oil free cadmium plated threads"; "bolts loaded primarily in shear".
#[test]
fn the_aircraft_table_is_as_printed() {
    for (thread, nut, low, high, most) in [
        ("8-36", "tension", 12.0, 15.0, 20.0),
        ("10-32", "tension", 20.0, 25.0, 40.0),
        ("10-32", "shear", 12.0, 15.0, 25.0),
        ("1/4-28", "tension", 50.0, 70.0, 100.0),
        ("3/8-24", "shear", 95.0, 110.0, 240.0),
        ("9/16-18", "tension", 800.0, 1_000.0, 1_600.0),
        ("1-14", "tension", 3_700.0, 5_500.0, 10_000.0),
        ("1 1/8-12", "shear", 3_000.0, 4_200.0, 9_000.0),
        ("1 1/4-12", "tension", 9_000.0, 11_000.0, 25_000.0),
        ("8-32", "tension", 12.0, 15.0, 20.0),
        ("10-24", "tension", 20.0, 25.0, 35.0),
        ("1/4-20", "tension", 40.0, 50.0, 75.0),
        ("5/16-18", "shear", 48.0, 55.0, 100.0),
        ("3/8-16", "tension", 160.0, 185.0, 275.0),
        ("3/8-16", "shear", 95.0, 100.0, 170.0),
        ("1/2-13", "tension", 400.0, 480.0, 880.0),
        ("3/4-10", "tension", 1_150.0, 1_600.0, 2_500.0),
        ("7/8-9", "shear", 1_300.0, 1_800.0, 2_700.0),
    ] {
        let arguments = format!("thread={thread}; nut={nut}");
        let answer = ask_in("aircraft_torque", &arguments, &inch())
            .unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
        for (key, value) in [("torque_low", low), ("torque_high", high), ("torque_most", most)] {
            check_value(&arguments, &answer, key, Unit::PoundForceInch, value, 1e-6);
        }
        let said = all_words(&answer).to_lowercase();
        for words in [
            "oil free cadmium plated threads",
            "bolts loaded primarily in shear",
        ] {
            assert!(said.contains(words), "{arguments}: {words}");
        }
        let wanted = if nut == "shear" {
            "24,000 psi"
        } else {
            "40,000 psi"
        };
        assert!(said.contains(wanted), "{arguments}: {wanted}");
        assert!(!said.contains("in tension"), "{arguments}: {said}");
        assert!(
            answer
                .sources
                .iter()
                .all(|source| source.standing == Standing::Published)
        );
    }
    let about = reckon::calculation("aircraft_torque").unwrap().about;
    assert!(about.contains("loaded primarily in shear"), "{about}");
}

/// Source: ASME PCC-1, legacy cross-pattern: 8 and 16 as printed there; 4, 12, 20 and 24 as others reprint it; 28 and 32 from memory.
#[test]
fn patterns_are_as_the_standard_prints_them() {
    for (bolts, order, standing) in [
        (4, "1-3-2-4", Standing::FromMemory),
        (8, "1-5-3-7-2-6-4-8", Standing::Published),
        (12, "1-7-4-10-2-8-5-11-3-9-6-12", Standing::FromMemory),
        (16, "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16", Standing::Published),
        (
            20,
            "1-11-6-16-3-13-8-18-5-15-10-20-2-12-7-17-4-14-9-19",
            Standing::FromMemory,
        ),
        (
            24,
            "1-13-7-19-4-16-10-22-2-14-8-20-5-17-11-23-3-15-9-21-6-18-12-24",
            Standing::FromMemory,
        ),
        (
            28,
            "1-15-8-22-4-18-11-25-6-20-13-27-2-16-9-23-5-19-12-26-3-17-10-24-7-21-14-28",
            Standing::FromMemory,
        ),
        (
            32,
            "1-17-9-25-5-21-13-29-3-19-11-27-7-23-15-31-2-18-10-26-6-22-14-30-4-20-12-28-8-24-16-32",
            Standing::FromMemory,
        ),
    ] {
        let answer = answered("tightening", &format!("shape=circle; bolts={bolts}"));
        let table = answer.tables.iter().find(|table| table.key == "order").unwrap();
        let told: Vec<String> = table
            .lines
            .iter()
            .map(|line| line.words.rsplit_once(' ').unwrap().1.to_owned())
            .collect();
        assert_eq!(told.join("-"), order);
        let source = answer
            .sources
            .iter()
            .find(|source| source.key == "circle")
            .unwrap();
        assert_eq!(source.standing, standing, "{bolts}: {}", source.words);
    }
    // What the standard prints nothing of is not said to be printed there.
    let ten = answered("tightening", "shape=circle; bolts=10");
    let source = ten.sources.iter().find(|source| source.key == "circle").unwrap();
    assert_eq!(source.standing, Standing::Derived, "{}", source.words);
}

/// Two transcriptions of FAA AC 43.13-1B, table 7-1, print 600 to 780 lbf·in for 5/8-18 with shear nuts; a maker's reprint prints 660, which is
/// 60 % of 1100 as in the rows beside it.
#[test]
fn the_row_that_is_printed_two_ways_says_so() {
    let row = "thread=5/8-18; nut=shear";
    let answer = ask_in("aircraft_torque", row, &inch()).unwrap();
    for (key, value) in [
        ("torque_low", 600.0),
        ("torque_high", 780.0),
        ("torque_most", 1_400.0),
    ] {
        check_value(row, &answer, key, Unit::PoundForceInch, value, 1e-6);
    }
    let said = all_words(&answer);
    assert!(said.contains("660"), "{said}");
    let tension = ask_in("aircraft_torque", "thread=5/8-18", &inch()).unwrap();
    assert!(!all_words(&tension).contains("660"));
}

/// The rule of the trade, which ASME PCC-1 states for its patterns: the next bolt is across the ring, never beside the last. Held for every
/// ring of 6 and more, in every pass.
#[test]
fn no_two_neighbours_follow_each_other() {
    for bolts in 6..=48_usize {
        let answer = answered("tightening", &format!("shape=circle; bolts={bolts}"));
        let table = answer.tables.iter().find(|table| table.key == "order").unwrap();
        let order: Vec<usize> = table
            .lines
            .iter()
            .map(|line| line.words.rsplit_once(' ').unwrap().1.parse().unwrap())
            .collect();
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(
            sorted,
            (1..=bolts).collect::<Vec<_>>(),
            "{bolts}: every bolt once"
        );
        for (one, other) in order.iter().zip(order.iter().skip(1)) {
            let apart = one.abs_diff(*other);
            let apart = apart.min(bolts - apart);
            assert!(apart > 1, "{bolts}: {one} and {other} in {order:?}");
        }
        // Every other step of an even ring goes straight across.
        if bolts % 2 == 0 {
            for pair in order.chunks(2) {
                assert_eq!(pair[0].abs_diff(pair[1]), bolts / 2, "{bolts}: {order:?}");
            }
        }
    }
}
