//! Orders of tightening: rings and rectangles. Every order is a permutation of the bolts, counted from nought.
//!
//! Never knows a torque.

use std::f64::consts::TAU;

/// Where each four of bolts at right angles begins, counted from nought, for the rings that ASME PCC-1 prints the legacy
/// cross-pattern of. 8 and 16 as printed there; 4, 12, 20 and 24 as others reprint it; 28 and 32 from memory.
const PRINTED: &[(usize, &[usize])] = &[
    (4, &[0]),
    (8, &[0, 1]),
    (12, &[0, 1, 2]),
    (16, &[0, 2, 1, 3]),
    (20, &[0, 2, 4, 1, 3]),
    (24, &[0, 3, 1, 4, 2, 5]),
    (28, &[0, 3, 5, 1, 4, 2, 6]),
    (32, &[0, 4, 2, 6, 1, 5, 3, 7]),
];

/// Where one of `count` places round a circle lies, 0 to 1 from the left and from the top; the first is at the top, and they go clockwise.
#[must_use]
pub fn place_on_circle(number: i32, count: i32) -> (f64, f64) {
    let turn = TAU * f64::from(number) / f64::from(count.max(1));
    (0.5 + 0.5 * libm::sin(turn), 0.5 - 0.5 * libm::cos(turn))
}

/// The order for a ring of `bolts`, numbered round it from nought: opposite pairs, each four at right angles where four divides the
/// number, in the order that ASME PCC-1 prints for its legacy cross-pattern; where it prints none, then half the angle. Of twice an
/// odd number each pair is begun about a quarter of the round from the last, and an odd number goes in steps of nearly half a turn:
/// so no bolt follows its neighbour.
pub fn circle(bolts: usize) -> Vec<usize> {
    if bolts == 0 {
        return Vec::new();
    }
    if !bolts.is_multiple_of(2) {
        // Half of an odd number, rounded down, has no factor in common with it: every bolt comes once.
        let step = (bolts - 1) / 2;
        return (0..bolts).map(|turn| turn * step.max(1) % bolts).collect();
    }
    let half = bolts / 2;
    if bolts.is_multiple_of(4) {
        let quarter = bolts / 4;
        let printed = PRINTED.iter().find(|(ring, _)| *ring == bolts);
        let starts = printed.map_or_else(|| halving(quarter), |(_, starts)| starts.to_vec());
        return starts
            .into_iter()
            .flat_map(|start| [start, start + half, start + quarter, start + quarter + half])
            .collect();
    }
    // Twice an odd number: what is straight across follows each bolt, so the next pair is begun well away from both of its ends.
    apart(half)
        .into_iter()
        .flat_map(|start| [start, start + half])
        .collect()
}

/// `0..count` for the pairs of a ring of twice an odd number, each begun far from the pair before: in steps of about half of `count`
/// that have no factor in common with it. From the far end of one pair to the near end of the next it is as far as the step.
fn apart(count: usize) -> Vec<usize> {
    let step = (count - 1) / 2;
    (0..count).map(|turn| turn * step.max(1) % count).collect()
}

/// `0..count` in the order of halved steps: evens first, in the same order, then the odd ones.
fn halving(count: usize) -> Vec<usize> {
    if count <= 1 {
        return (0..count).collect();
    }
    let evens = halving(count.div_ceil(2)).into_iter().map(|at| at * 2);
    let odds = halving(count / 2).into_iter().map(|at| at * 2 + 1);
    evens.chain(odds).collect()
}

/// The order for `rows` × `columns` bolts, numbered along each row from nought: from the centre outwards, from side to side and
/// across.
///
/// ```
/// // Two rows of five, as on a cylinder head: from the middle outwards, from side to side.
/// let order = reckon::pattern::rectangle(2, 5);
/// assert_eq!(order[..2], [2, 7]);
/// ```
pub fn rectangle(rows: usize, columns: usize) -> Vec<usize> {
    if rows == 0 || columns == 0 {
        return Vec::new();
    }
    let mut order = Vec::with_capacity(rows * columns);
    for (left, right) in outwards(columns) {
        for (top, bottom) in outwards(rows) {
            // The four corners of this frame, each next to the one across from it.
            for (row, column) in [(top, left), (bottom, right), (bottom, left), (top, right)] {
                let bolt = row * columns + column;
                if !order.contains(&bolt) {
                    order.push(bolt);
                }
            }
        }
    }
    order
}

/// Pairs of places as far from the middle on either side, the innermost first; the middle one, where there is one, pairs with itself.
fn outwards(count: usize) -> Vec<(usize, usize)> {
    (0..count.div_ceil(2))
        .rev()
        .map(|at| (at, count - 1 - at))
        .collect()
}
