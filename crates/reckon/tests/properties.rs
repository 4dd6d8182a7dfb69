//! Properties that hold whatever the numbers: round trips exact, what is printed reads back equal, a verdict only loses certainty, and an
//! order is told whole. A failure prints its seed; `RECKON_SEED=n` runs that seed again.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::ask;
use proptest::prelude::*;
use reckon::pattern::{circle, rectangle};
use reckon::{Exact, Expect, Kind, Typed, Unit, VerdictWord, parse, parse_grid, parse_list};

/// Texts of a list or grid of lengths, written in one certain way.
fn lengths() -> impl Strategy<Value = (u32, u32, Unit)> {
    let units = Unit::ALL
        .iter()
        .copied()
        .filter(|unit| unit.kind() == Kind::Length)
        .collect::<Vec<_>>();
    (0..5_000u32, 0..1_000u32, prop::sample::select(units))
}

fn written((whole, part, unit): (u32, u32, Unit)) -> String {
    format!("{whole}.{part:03} {}", unit.symbol())
}

proptest! {
    #![proptest_config(seed::cases(1_500))]

    /// From any unit to any other of its kind and back, exactly; and by the base unit or not, the same.
    #[test]
    fn units_come_back_exactly(top in any::<i64>(), bottom in 1..i64::MAX, which in any::<prop::sample::Index>()) {
        let from = *which.get(Unit::ALL);
        let value = Exact::fraction(i128::from(top), i128::from(bottom)).unwrap();
        for to in Unit::ALL.iter().filter(|to| to.kind() == from.kind()) {
            let there = to.from_base_exact(&from.to_base_exact(&value));
            let back = from.from_base_exact(&to.to_base_exact(&there));
            prop_assert_eq!(&back, &value, "{:?} to {:?}", from, to);
        }
    }

    /// An exact value prints what reads back equal, and so does a typed one, whatever it is kept as.
    #[test]
    fn exact_values_read_back(top in any::<i128>(), bottom in 1..i128::MAX, places in 0..40u32) {
        let fraction = Exact::fraction(top / 2, bottom).unwrap();
        prop_assert_eq!(Exact::read(&fraction.to_string()), Some(fraction));
        let decimal = Exact::fraction(top / 2, 10_i128.pow(places.min(38))).unwrap();
        prop_assert_eq!(Exact::read(&decimal.to_string()), Some(decimal));
    }

    /// A list written out reads back as it is, with how many there are of each.
    #[test]
    fn lists_read_back(items in prop::collection::vec((lengths(), 1..9u32), 1..8)) {
        let text = items.iter().map(|(length, count)| format!("{} ×{count}", written(*length))).collect::<Vec<_>>().join("; ");
        let read = parse_list(&text, Expect::length()).unwrap_or_else(|unclear| panic!("{text}: {unclear}"));
        prop_assert_eq!(read.len(), items.len());
        for ((length, count), found) in items.iter().zip(&read) {
            let one = parse(&written(*length), Expect::length()).unwrap();
            prop_assert_eq!((found.typed.exact(), found.count), (one.exact(), *count));
        }
        // Written again from what was read: the same values.
        let again = read.iter().map(|item| format!("{} mm ×{}", item.typed.exact(), item.count)).collect::<Vec<_>>().join("; ");
        let again = parse_list(&again, Expect::length()).unwrap_or_else(|unclear| panic!("{again}: {unclear}"));
        let exact = |items: &[reckon::Counted]| items.iter().map(|item| (item.typed.exact().clone(), item.count)).collect::<Vec<_>>();
        prop_assert_eq!(exact(&again), exact(&read));
    }

    /// So does a grid, row by row.
    #[test]
    fn grids_read_back(rows in 1..5usize, columns in 1..5usize, cells in prop::collection::vec(lengths(), 16)) {
        let grid: Vec<Vec<_>> = (0..rows).map(|row| (0..columns).map(|column| cells[row * 4 + column]).collect()).collect();
        let text = grid.iter().map(|row| row.iter().map(|cell| written(*cell)).collect::<Vec<_>>().join(", ")).collect::<Vec<_>>().join("; ");
        let read = parse_grid(&text, Expect::length()).unwrap_or_else(|unclear| panic!("{text}: {unclear}"));
        prop_assert_eq!((read.len(), read[0].len()), (rows, columns));
        for (cells, found) in grid.iter().flatten().zip(read.iter().flatten()) {
            let one = parse(&written(*cells), Expect::length()).unwrap();
            prop_assert_eq!(found.exact(), one.exact());
            prop_assert_eq!(&Typed::from_kept(&found.kept()).unwrap(), found);
        }
    }

    /// As the uncertainty that was typed grows, a verdict goes from in or out to too close to call, and never from one to the other.
    #[test]
    fn a_verdict_never_flips(reading in 49.5..50.5_f64, low in 49.7..50.0_f64, wide in 0.0..0.4_f64, start in 0.000_001..0.01_f64) {
        let limits = format!("reading={reading:.4} mm; low={low:.4} mm; high={:.4} mm", low + wide);
        let word = |uncertainty: f64| {
            let answer = ask("verdict", &format!("{limits}; uncertainty={uncertainty:.6} mm")).unwrap();
            answer.verdicts[0].word
        };
        let mut first = word(start);
        let mut uncertainty = start + 0.000_1;
        while uncertainty < 2.0 {
            let now = word(uncertainty);
            if now != first {
                prop_assert_eq!(now, VerdictWord::TooCloseToCall, "{} at {}: after {:?}", limits, uncertainty, first);
                first = now;
            }
            uncertainty *= 1.7;
        }
    }
}

/// What a screen or a shell is told to do is the whole order, and nothing twice, at every size that may be asked for.
#[test]
fn orders_as_told_are_permutations() {
    let told = |arguments: &str| -> Vec<usize> {
        let answer = ask("tightening", arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
        let order = answer.tables.iter().find(|table| table.key == "order").unwrap();
        order
            .lines
            .iter()
            .map(|line| {
                line.values
                    .iter()
                    .find(|value| value.key == "bolt")
                    .unwrap()
                    .value as usize
                    - 1
            })
            .collect()
    };
    for bolts in 3..=48 {
        let order = told(&format!("shape=circle; bolts={bolts}"));
        assert_eq!(order, circle(bolts));
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert!(sorted.into_iter().eq(0..bolts), "{bolts}: {order:?}");
        if bolts % 2 == 0 {
            assert!(
                order
                    .chunks(2)
                    .all(|pair| (pair[0] + bolts / 2) % bolts == pair[1]),
                "{bolts}: {order:?}"
            );
        }
    }
    for rows in 1..=6 {
        for columns in 1..=12 {
            let order = told(&format!("shape=rectangle; rows={rows}; columns={columns}"));
            assert_eq!(order, rectangle(rows, columns));
            // Each frame is whole before the next: a bolt and the one across the middle from it lie next to each other or one apart.
            let across = |bolt: usize| rows * columns - 1 - bolt;
            for (place, bolt) in order.iter().enumerate() {
                let other = order.iter().position(|one| *one == across(*bolt)).unwrap();
                assert!(other.abs_diff(place) <= 1, "{rows}×{columns}: {order:?}");
            }
        }
    }
}
