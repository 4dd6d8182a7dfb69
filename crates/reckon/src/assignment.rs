//! Which of these to which of those: rings to bores, pistons to bores, each used once, at the least cost or the least spread.
//!
//! Exact, not by trial. Costs are whole numbers, so that every device finds the same. Never leaves a row without its column.

use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// The most rows or columns.
pub const MOST: usize = 32;

/// A column for each of `rows` rows, all different, at the least sum of `cost(row, column)` (Kuhn–Munkres). `None` where there are
/// fewer columns than rows, none at all, or more than [`MOST`].
///
/// ```
/// // Two rings for two bores: what each would lack of its gap, in hundredths of a millimetre.
/// let lacks = [[1, 3], [2, 9]];
/// let ring = reckon::assignment::least_cost(2, 2, |bore, ring| lacks[bore][ring]);
/// // The first ring would be best in either, and can be in one.
/// assert_eq!(ring, Some(vec![1, 0]));
/// assert_eq!(reckon::assignment::least_cost(2, 1, |_, _| 0), None, "more bores than rings");
/// ```
pub fn least_cost(rows: usize, columns: usize, cost: impl Fn(usize, usize) -> i128) -> Option<Vec<usize>> {
    if rows == 0 || rows > columns || columns > MOST {
        return None;
    }
    let costs = Matrix::from_fn(rows, columns, |(row, column)| cost(row, column));
    Some(kuhn_munkres_min(&costs).1)
}

/// A column for each row, all different, such that the spread (greatest less least) of `value(row, column)` over the pairs is
/// least; among those, that `beside(row, column)` adds up to least. Pairs whose value is `None` are never made. `None` where no such
/// assignment can be, or as [`least_cost`].
///
/// Every window between two values is tried, narrowest first in effect: two ends move over the sorted values, and a window holds
/// an assignment where the pairs inside it allow a perfect matching.
pub fn least_spread(
    rows: usize,
    columns: usize,
    value: impl Fn(usize, usize) -> Option<i64>,
    beside: impl Fn(usize, usize) -> i64,
) -> Option<Vec<usize>> {
    if rows == 0 || rows > columns || columns > MOST {
        return None;
    }
    let table: Vec<Vec<Option<i64>>> = (0..rows)
        .map(|row| (0..columns).map(|column| value(row, column)).collect())
        .collect();
    let mut values: Vec<i64> = table.iter().flatten().flatten().copied().collect();
    values.sort_unstable();
    values.dedup();
    let holds = |low: i64, high: i64| {
        let masks: Vec<u32> = table.iter().map(|row| mask(row, low, high)).collect();
        matches(&masks)
    };
    let mut windows: Vec<(i64, i64)> = Vec::new();
    let mut highs = values.iter().copied().peekable();
    for low in values.iter().copied() {
        // The upper end only ever moves up: what does not hold from here does not hold from a higher lower end either.
        while highs.peek().is_some_and(|high| *high < low || !holds(low, *high)) {
            highs.next();
        }
        let Some(high) = highs.peek().copied() else { break };
        let best = windows.first().map_or(i64::MAX, |(low, high)| high - low);
        if high - low < best {
            windows.clear();
        }
        if high - low <= best {
            windows.push((low, high));
        }
    }
    // A pair outside the window costs more than all pairs inside together.
    let outside = 1_i128 << 100;
    windows
        .into_iter()
        .filter_map(|(low, high)| {
            let cost = |row: usize, column: usize| {
                let inside = table
                    .get(row)
                    .and_then(|row| row.get(column))
                    .copied()
                    .flatten()
                    .is_some_and(|value| (low..=high).contains(&value));
                if inside {
                    i128::from(beside(row, column))
                } else {
                    outside
                }
            };
            let chosen = least_cost(rows, columns, cost)?;
            let total: i128 = chosen
                .iter()
                .enumerate()
                .map(|(row, column)| cost(row, *column))
                .sum();
            Some((total, chosen))
        })
        .min()
        .map(|(_, chosen)| chosen)
}

fn mask(row: &[Option<i64>], low: i64, high: i64) -> u32 {
    row.iter().enumerate().fold(0, |mask, (column, value)| {
        let inside = value.is_some_and(|value| (low..=high).contains(&value));
        mask | (u32::from(inside) << column)
    })
}

/// Can every row have a column of its own?
fn matches(masks: &[u32]) -> bool {
    // The row that has each column.
    let mut owner = [None; MOST];
    (0..masks.len()).all(|row| place(row, masks, &mut owner, &mut 0))
}

/// Finds a column for `row`, moving others on where it must; `seen` are the columns asked already.
fn place(row: usize, masks: &[u32], owner: &mut [Option<usize>; MOST], seen: &mut u32) -> bool {
    let allowed = masks.get(row).copied().unwrap_or(0);
    for column in 0..MOST {
        let bit = 1_u32 << column;
        if allowed & bit == 0 || *seen & bit != 0 {
            continue;
        }
        *seen |= bit;
        let free = match owner.get(column).copied().flatten() {
            None => true,
            Some(other) => place(other, masks, owner, seen),
        };
        if free {
            if let Some(owner) = owner.get_mut(column) {
                *owner = Some(row);
            }
            return true;
        }
    }
    false
}
