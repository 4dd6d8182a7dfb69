//! Bore wear, clearance, end play, lash, honing, ring plans and select fit. Each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::{ask, ask_in, check_value, inch, keys, refused, value_in};
use proptest::prelude::*;
use reckon::assignment::{least_cost, least_spread};
use reckon::pack::packs;
use reckon::{Length, RefusalCode, Unit, VerdictWord};

const MM: Unit = Unit::Millimetre;

#[track_caller]
fn check(name: &str, arguments: &str, key: &str, unit: Unit, expected: f64, tolerance: f64) {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
    check_value(arguments, &answer, key, unit, expected, tolerance);
}

#[track_caller]
fn verdict(name: &str, arguments: &str, key: &str) -> VerdictWord {
    let answer = ask(name, arguments).unwrap_or_else(|refusal| panic!("{arguments}: {refusal}"));
    answer.verdicts.iter().find(|v| v.key == key).unwrap().word
}

/// Derived: grid A 85.612/85.575/85.530, B 85.560/85.545/85.520 gives 0.052 and 0.082.
const GRID: &str = "grid=85.612, 85.560; 85.575, 85.545; 85.530, 85.520 mm";

fn wear(more: &str) -> String {
    // The pairs are parted by semicolons in these tests, so a grid is typed with line breaks.
    format!("{}; {more}", GRID.replace("; ", "\n"))
}

#[test]
fn a_worn_bore() {
    check("wear", &wear(""), "out_of_round", MM, 0.052, 1e-9);
    check("wear", &wear(""), "taper", MM, 0.082, 1e-9);
    let nominal = wear("nominal=85.50 mm");
    check("wear", &nominal, "wear", MM, 0.112, 1e-9);
    // 0.112 + 0.10 = 0.212: 0.25 is the first that cleans up; with 0.15 to clean up it is 0.50.
    check("wear", &nominal, "oversize", MM, 0.25, 1e-9);
    check(
        "wear",
        &wear("nominal=85.50 mm; clean_up=0.15 mm"),
        "oversize",
        MM,
        0.50,
        1e-9,
    );
    check(
        "wear",
        &wear("nominal=85.50 mm; clean_up=0.138 mm"),
        "oversize",
        MM,
        0.25,
        1e-9,
    );
    let none = ask("wear", &wear("nominal=84.50 mm")).unwrap();
    assert!(none.warnings.iter().any(|w| w.key == "no_oversize") && !keys(&none).contains(&"oversize"));
    check("wear", &nominal, "widest_height", Unit::One, 1.0, 1e-9);
    assert_eq!(ask("wear", &nominal).unwrap().tables[0].lines.len(), 4);
    // The map: each reading in its place, 85.612 − 85.50 = 0.112 worn at the first, which is the widest.
    let map = &ask("wear", &nominal).unwrap().tables[1];
    assert_eq!((map.key.as_ref(), map.lines.len()), ("map", 6));
    assert_eq!(map.lines[0].why, "the widest reading");
    assert!((map.lines[0].values[3].value - 0.112).abs() < 1e-9);
    assert_eq!(
        map.lines[5].words,
        "height 3, direction 2: 85.520 mm, 0.020 mm over the bore as made"
    );
    let inches = ask_in("wear", &wear("nominal=85.50 mm"), &inch()).unwrap();
    assert!((value_in(&inches, "oversize", Unit::Inch) - 0.010).abs() < 1e-9);
    refused(
        "wear",
        &wear("nominal=88 mm"),
        RefusalCode::Impossible,
        "nominal",
        "more than 1 mm",
    );
    refused(
        "wear",
        "grid=85, 86\n80 mm",
        RefusalCode::Unclear,
        "grid",
        "as many values",
    );
}

/// Source: US Army TM 10-3930-647-14&P: wear 0.001 in per in of bore, taper 0.0005 in per in of stroke.
#[test]
fn the_handbook_rule() {
    let answer = ask_in("wear", "grid=4.000, 4.001 in; nominal=4 in; stroke=5 in", &inch()).unwrap();
    check_value("4 in", &answer, "wear_rule", Unit::Inch, 0.004, 1e-9);
    check_value("5 in", &answer, "taper_rule", Unit::Inch, 0.0025, 1e-9);
}

#[test]
fn wear_is_judged_with_its_instrument() {
    let with = |limit: &str, instrument: &str| {
        verdict(
            "wear",
            &wear(&format!("round_limit={limit} mm; {instrument}")),
            "out_of_round",
        )
    };
    assert_eq!(with("0.040", "instrument=bore_gauge"), VerdictWord::AboveLimits);
    assert_eq!(with("0.052", ""), VerdictWord::InLimits);
    assert_eq!(
        with("0.053", "instrument=bore_gauge"),
        VerdictWord::TooCloseToCall
    );
    assert_eq!(with("0.080", "instrument=bore_gauge"), VerdictWord::InLimits);
    assert_eq!(with("0.080", "instrument=caliper"), VerdictWord::TooCloseToCall);
}

/// Common practice: oil clearance 0.001 in per in: 2.375 in gives 0.0024 in. u of 5 and 3 µm is derived.
#[test]
fn clearances() {
    let arguments = "bore=60.37 mm; inner=2.375 in";
    let answer = ask_in("clearance", arguments, &inch()).unwrap();
    check_value(arguments, &answer, "oil_clearance", Unit::Inch, 0.0024, 0.000_03);
    let arguments = "bore=77.020 mm; inner=76.975 mm; low=0.03 mm; high=0.07 mm";
    check("clearance", arguments, "clearance", MM, 0.045, 1e-9);
    assert_eq!(
        verdict("clearance", arguments, "clearance"),
        VerdictWord::InLimits
    );
    let coarse = format!("{arguments}; bore_instrument=caliper; inner_instrument=caliper");
    assert_eq!(
        verdict("clearance", &coarse, "clearance"),
        VerdictWord::TooCloseToCall
    );
    let fine = format!("{arguments}; bore_instrument=bore_gauge; inner_instrument=micrometer_100");
    assert_eq!(verdict("clearance", &fine, "clearance"), VerdictWord::InLimits);
    refused(
        "clearance",
        "bore=77 mm; inner=50 mm",
        RefusalCode::Impossible,
        "inner",
        "not a pair",
    );
}

/// Common practice and derived: three from {0.24, 0.30, 0.32, 0.34, 0.36, 0.38}; 1.93 − 0.14 = 1.79, nearest stocked 1.80.
#[test]
fn shim_packs() {
    let three = "stock=0.24, 0.30, 0.32, 0.34, 0.36, 0.38 mm; least_shims=3; most_shims=3; repeats=any";
    let arguments = format!("{three}; thickness=0.90 mm");
    let answer = ask("shim_pack", &arguments).unwrap();
    check_value(&arguments, &answer, "over", MM, 0.0, 1e-12);
    // 0.30 three times is one thickness; 0.24 + 0.30 + 0.36 and 0.24 + 0.32 + 0.34 are three.
    let lines = &answer.tables[0].lines;
    assert!(
        lines[0]
            .words
            .starts_with("0.300 mm + 0.300 mm + 0.300 mm = 0.900 mm"),
        "{}",
        lines[0].words
    );
    check_value(&arguments, &answer, "ties", Unit::One, 3.0, 1e-12);
    assert!(lines[1].why.contains("as near as the first") && lines[2].why.contains("3 thicknesses"));
    // Counted, there is only one of each.
    let counted = ask("shim_pack", &arguments.replace("repeats=any", "repeats=counted")).unwrap();
    assert!(
        counted.tables[0].lines[0]
            .words
            .starts_with("0.240 mm + 0.300 mm + 0.360 mm")
    );
    let single = "stock=1.70, 1.75, 1.80, 1.85 mm; measured=1.93 mm; wanted=0.14 mm; most_shims=1";
    check("shim_pack", single, "wanted", MM, 1.79, 1e-9);
    check("shim_pack", single, "pack", MM, 1.80, 1e-9);
    check("shim_pack", single, "end_play", MM, 0.13, 1e-9);
    // A gasket of 0.2 under it adds to the pack.
    check(
        "shim_pack",
        &format!("{single}; gasket=0.2 mm"),
        "wanted",
        MM,
        1.99,
        1e-9,
    );
    let limits = "stock=1.70, 1.75 mm; measured=1.93 mm; low=0.05 mm; high=0.15 mm; most_shims=1";
    assert_eq!(verdict("shim_pack", limits, "end_play"), VerdictWord::AboveLimits);
    refused(
        "shim_pack",
        "stock=0.2 mm; measured=0.1 mm; wanted=0.2 mm",
        RefusalCode::Impossible,
        "measured",
        "less end play",
    );
    refused(
        "shim_pack",
        "stock=0.2 mm; thickness=0.2 mm; least_shims=3; most_shims=2",
        RefusalCode::Impossible,
        "most_shims",
        "changed over",
    );
    refused(
        "shim_pack",
        "stock=0.2 mm; thickness=0.2 mm; least_shims=3",
        RefusalCode::Impossible,
        "stock",
        "fewer than 3",
    );
}

/// Derived: 2.65 + 0.32 − 0.20 gives 2.77.
#[test]
fn lash_shims() {
    let arguments = "shim=2.65 mm; measured=0.32 mm; wanted=0.20 mm; state=cold; stock=2.70, 2.75, 2.80 mm";
    check("lash", arguments, "shim", MM, 2.77, 1e-9);
    check("lash", arguments, "nearest", MM, 2.75, 1e-9);
    check("lash", arguments, "lash_nearest", MM, 0.22, 1e-9);
    // Of two as near, the thinner one.
    check(
        "lash",
        &arguments.replace("2.70, 2.75, 2.80", "2.78, 2.76"),
        "nearest",
        MM,
        2.76,
        1e-9,
    );
    refused(
        "lash",
        "shim=2.65 mm; measured=0.32 mm; wanted=0.20 mm",
        RefusalCode::Missing,
        "state",
        "engine",
    );
}

/// Derived: 4.000 in, 200 rpm, 60 cycles/min, 6 in gives 31.97°. And the way back.
#[test]
fn honing() {
    let arguments = "bore=4.000 in; turning=200 rpm; stroke=6 in; cycles=60; wanted=31.97 deg";
    check("hone", arguments, "angle", Unit::Degree, 31.97, 0.005);
    check("hone", arguments, "cycles_wanted", Unit::One, 60.0, 0.02);
    check("hone", arguments, "strokes_wanted", Unit::One, 120.0, 0.04);
}

/// Common practice: a leaf is good to ±0.00035 in, at most two.
#[test]
fn feeler_stacks() {
    let arguments = "gap=0.35 mm; leaves=0.05, 0.10, 0.15, 0.20, 0.25, 0.30 mm";
    check("feelers", arguments, "stack", MM, 0.35, 1e-9);
    check("feelers", arguments, "tolerance", Unit::Inch, 0.0007, 1e-9);
    let answer = ask("feelers", arguments).unwrap();
    assert!(
        answer.tables[0].lines[0].words.matches('+').count() == 1,
        "{:?}",
        answer.tables[0].lines[0]
    );
    // One leaf beats two that make the same.
    check(
        "feelers",
        "gap=0.30 mm; leaves=0.10, 0.20, 0.30 mm",
        "tolerance",
        Unit::Inch,
        0.00035,
        1e-9,
    );
    let three = ask("feelers", "gap=0.60 mm; leaves=0.10, 0.20, 0.30 mm").unwrap();
    assert!(three.warnings.iter().any(|w| w.key == "three"));
}

/// Derived: with rings of 0.20 and 0.26 in bores that are 0.02 apart, each ring to the bore where it files least.
#[test]
fn ring_plans() {
    let arguments = "bores=77.02, 77.00 mm; gauge=77.00 mm; top=0.30, 0.24 mm; low=0.30 mm; high=0.45 mm";
    // Ring 1 in bore 2 is 0.30; ring 2 in bore 1 is 0.24 + π·0.02 = 0.3028: nothing to file. As they lie: 0.06.
    check("ring_plan", arguments, "file_total", MM, 0.0, 1e-9);
    check("ring_plan", arguments, "file_as_they_lie", MM, 0.06, 1e-9);
    let answer = ask("ring_plan", arguments).unwrap();
    assert!(
        answer.tables[0].lines[0].words.contains("bore 1: top ring 2"),
        "{:?}",
        answer.tables[0].lines[0]
    );
    // Too wide anywhere: told, and never chosen where another fits.
    let wide = "bores=77, 77 mm; top=0.60, 0.28, 0.29 mm; low=0.30 mm; high=0.45 mm";
    check("ring_plan", wide, "too_wide", Unit::One, 0.0, 0.0);
    check("ring_plan", wide, "file_total", MM, 0.03, 1e-9);
    assert_eq!(
        verdict(
            "ring_plan",
            "bores=77, 77 mm; top=0.60, 0.28 mm; low=0.30 mm; high=0.45 mm",
            "plan"
        ),
        VerdictWord::AboveLimits
    );
    let same = ask(
        "ring_plan",
        "bores=77, 77 mm; top=0.25, 0.25 mm; second=0.2, 0.3 mm; low=0.30 mm",
    )
    .unwrap();
    assert_eq!(same.tables[0].lines.len(), 4);
    assert!(same.tables[0].lines[0].why.contains("may change with bore 2"));
    refused(
        "ring_plan",
        "bores=77, 77 mm; top=0.3 mm",
        RefusalCode::Impossible,
        "top",
        "2 bores and 1 rings",
    );
    refused(
        "ring_plan",
        "bores=77, 77 mm",
        RefusalCode::Missing,
        "top",
        "gaps of the rings",
    );
}

/// Derived: sorted to sorted is the least spread of differences where there are as many of both.
#[test]
fn select_fits() {
    let arguments = "bores=77.020, 77.031, 77.024, 77.027 mm; inners=76.975, 76.983, 76.971, 76.979 mm; low=0.03 mm; high=0.07 mm";
    // 20−71, 24−75, 27−79, 31−83: 49, 49, 48, 48 µm.
    check("select_fit", arguments, "spread", MM, 0.001, 1e-9);
    check("select_fit", arguments, "least", MM, 0.048, 1e-9);
    assert_eq!(
        verdict("select_fit", arguments, "clearance"),
        VerdictWord::InLimits
    );
    let none = "bores=77.020, 77.031 mm; inners=76.90, 76.983 mm; low=0.03 mm; high=0.05 mm";
    assert_eq!(verdict("select_fit", none, "clearance"), VerdictWord::AboveLimits);
    check("select_fit", none, "outside", Unit::One, 1.0, 0.0);
    refused(
        "select_fit",
        "bores=77, 77 mm; inners=76.9 mm",
        RefusalCode::Impossible,
        "inners",
        "2 bores and 1",
    );
}

/// Source: 49 CFR 565.15: all ones give 1; the remainder 10 is written X (a number often shown as an example of the rule).
#[test]
fn vehicle_numbers() {
    for (number, remainder, word) in [
        ("11111111111111111", 1.0, VerdictWord::InLimits),
        ("1M8GDM9AXKP042788", 10.0, VerdictWord::InLimits),
        ("1m8gdm9a x kp-042788", 10.0, VerdictWord::InLimits),
        ("1M8GDM9A1KP042788", 10.0, VerdictWord::TooCloseToCall),
    ] {
        let arguments = format!("number={number}");
        check("vehicle_number", &arguments, "check", Unit::One, remainder, 0.0);
        assert_eq!(verdict("vehicle_number", &arguments, "number"), word, "{number}");
    }
    refused(
        "vehicle_number",
        "number=AB1234",
        RefusalCode::OutOfRange,
        "number",
        "this has 6",
    );
    refused(
        "vehicle_number",
        "number=1M8GDM9AXKPO42788",
        RefusalCode::Impossible,
        "number",
        "“O”",
    );
}

/// A pack by plain counting: how far off, different thicknesses, pieces, and the pieces, thinnest first.
type Counted = (i64, usize, usize, Vec<i64>);

/// Every pack by plain counting, up to 6 sizes × 4 shims, the best first.
fn by_hand(stock: &[(i64, u32)], target: i64, least: usize, most: usize) -> Vec<Counted> {
    let mut all = Vec::new();
    let total: usize = stock.iter().map(|(_, count)| *count as usize + 1).product();
    for mut number in 0..total {
        let mut pieces = Vec::new();
        let mut kinds = 0;
        for (size, count) in stock {
            let taken = number % (*count as usize + 1);
            number /= *count as usize + 1;
            pieces.extend(std::iter::repeat_n(*size, taken));
            kinds += usize::from(taken > 0);
        }
        if (least..=most).contains(&pieces.len()) {
            let off = (pieces.iter().sum::<i64>() - target).abs();
            all.push((off, kinds, pieces.len(), pieces));
        }
    }
    all.sort();
    all
}

/// Every way to give each row a column of its own.
fn ways(rows: usize, columns: usize) -> Vec<Vec<usize>> {
    if rows == 0 {
        return vec![Vec::new()];
    }
    ways(rows - 1, columns)
        .into_iter()
        .flat_map(|way| {
            (0..columns)
                .filter(|c| !way.contains(c))
                .map(|c| [way.as_slice(), &[c]].concat())
                .collect::<Vec<_>>()
        })
        .collect()
}

proptest! {
    #![proptest_config(seed::cases(1_500))]

    #[test]
    fn packs_agree_with_plain_counting(
        sizes in prop::collection::btree_map(1i64..60, 1u32..5, 1..=6), target in 0i64..200, least in 1usize..3, more in 0usize..4,
    ) {
        let most = (least + more).min(4);
        let stock: Vec<(i64, u32)> = sizes.into_iter().collect();
        // Hundredths of a millimetre.
        let lengths: Vec<(Length, u32)> = stock.iter().map(|(size, count)| (Length::from_mm(*size as f64 / 100.0), *count)).collect();
        let found = packs(&lengths, Length::from_mm(target as f64 / 100.0), least..=most, 5);
        let all = by_hand(&stock, target, least, most);
        let nearest = all.first().map_or(0, |pack| pack.0);
        prop_assert_eq!(found.looked_at, all.len());
        prop_assert_eq!(found.tied, all.iter().filter(|pack| pack.0 == nearest).count());
        // The whole list, in its order: nearest, fewest thicknesses, fewest pieces, the thinnest first piece.
        let hundredths = |length: Length| (length.in_mm() * 100.0).round() as i64;
        let listed: Vec<Counted> = found
            .best
            .iter()
            .map(|pack| {
                let pieces: Vec<i64> = pack.pieces.iter().copied().map(hundredths).collect();
                assert_eq!(pieces.iter().sum::<i64>(), hundredths(pack.total));
                (hundredths(pack.over).abs(), pack.kinds, pieces.len(), pieces)
            })
            .collect();
        prop_assert_eq!(listed, all.into_iter().take(5).collect::<Vec<_>>());
    }

    #[test]
    fn assignments_agree_with_trying_all(
        rows in 1usize..5, spare in 0usize..3, numbers in prop::collection::vec(0i64..40, 49), forbidden in prop::collection::vec(0u8..6, 49),
    ) {
        let columns = rows + spare;
        let value = |r: usize, c: usize| numbers[r * 7 + c];
        let may = |r: usize, c: usize| (forbidden[r * 7 + c] > 0).then(|| value(r, c));
        let all = ways(rows, columns);
        let cost = |way: &[usize]| way.iter().enumerate().map(|(r, c)| value(r, *c)).sum::<i64>();
        let least = all.iter().map(|way| cost(way)).min().unwrap();
        let found = least_cost(rows, columns, |r, c| i128::from(value(r, c))).unwrap();
        prop_assert_eq!(cost(&found), least);
        let spread = |way: &[usize]| {
            let values: Option<Vec<i64>> = way.iter().enumerate().map(|(r, c)| may(r, *c)).collect();
            values.map(|v| v.iter().max().unwrap() - v.iter().min().unwrap())
        };
        // Beside the spread, the least sum of squares.
        let beside = |way: &[usize]| way.iter().enumerate().map(|(r, c)| value(r, *c) * value(r, *c)).sum::<i64>();
        let best = all.iter().filter_map(|way| spread(way).map(|s| (s, beside(way)))).min();
        let found = least_spread(rows, columns, may, |r, c| value(r, c) * value(r, c));
        prop_assert_eq!(found.map(|way| (spread(&way).unwrap(), beside(&way))), best);
    }
}
