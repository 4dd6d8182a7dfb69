//! Packs of shims or feeler leaves from a stock: which pieces together come nearest to a thickness.
//!
//! Looks at every pack there can be, so that ties are found and not guessed. Thicknesses are counted in whole nanometres, so
//! that equal sums are equal. Never takes more pieces than the stock has.

use std::ops::RangeInclusive;

use crate::quantity::Length;

/// The most different thicknesses that are looked through.
pub const MOST_SIZES: usize = 24;
/// The most pieces in a pack.
pub const MOST_PIECES: usize = 6;

/// One pack.
#[derive(Clone, Debug, PartialEq)]
pub struct Pack {
    /// The pieces, thinnest first.
    pub pieces: Vec<Length>,
    /// Their thickness together.
    pub total: Length,
    /// Thicker than wanted by; minus: thinner.
    pub over: Length,
    /// How many different thicknesses.
    pub kinds: usize,
}

/// The packs found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Packs {
    /// The best first: nearest, then fewest different thicknesses, then fewest pieces, then the thinnest first piece.
    pub best: Vec<Pack>,
    /// How many packs are as near as the best one, itself among them.
    pub tied: usize,
    /// How many packs there are in all.
    pub looked_at: usize,
}

/// What a pack is ranked by: how far off, different thicknesses, pieces, and how many of each thickness (turned so that more
/// thin pieces come first).
type Rank = (u64, usize, usize, Vec<std::cmp::Reverse<u32>>);

struct Search<'a> {
    stock: &'a [(i64, u32)],
    target: i64,
    pieces: RangeInclusive<usize>,
    keep: usize,
    counts: Vec<u32>,
    best: Vec<(Rank, i64)>,
    tied: usize,
    nearest: u64,
    looked_at: usize,
}

/// The best `keep` packs of `pieces` many from `stock` (thickness, and how many there are), nearest to `target`. Empty where no
/// pack can be made, or where there are more than [`MOST_SIZES`] thicknesses or [`MOST_PIECES`] pieces.
pub fn packs(stock: &[(Length, u32)], target: Length, pieces: RangeInclusive<usize>, keep: usize) -> Packs {
    let mut merged: Vec<(i64, u32)> = Vec::new();
    for (size, count) in stock {
        let nm = nanometres(*size);
        match merged.iter_mut().find(|(known, _)| *known == nm) {
            Some((_, known)) => *known = known.saturating_add(*count),
            None => merged.push((nm, *count)),
        }
    }
    merged.retain(|(_, count)| *count > 0);
    merged.sort_unstable();
    if merged.len() > MOST_SIZES || *pieces.end() > MOST_PIECES || keep == 0 {
        return Packs::default();
    }
    let mut search = Search {
        stock: &merged,
        target: nanometres(target),
        pieces,
        keep,
        counts: Vec::with_capacity(merged.len()),
        best: Vec::new(),
        tied: 0,
        nearest: u64::MAX,
        looked_at: 0,
    };
    search.from(0, 0, 0, 0);
    let best = search.best.iter().map(|((_, kinds, _, counts), total)| Pack {
        pieces: merged
            .iter()
            .zip(counts)
            .flat_map(|((size, _), count)| std::iter::repeat_n(length(*size), count.0 as usize))
            .collect(),
        total: length(*total),
        over: length(*total - search.target),
        kinds: *kinds,
    });
    Packs {
        best: best.collect(),
        tied: search.tied,
        looked_at: search.looked_at,
    }
}

fn nanometres(length: Length) -> i64 {
    (length.in_mm() * 1e6).round() as i64
}

fn length(nanometres: i64) -> Length {
    Length::from_mm(nanometres as f64 / 1e6)
}

impl Search<'_> {
    /// Takes none, one, two … of the thickness at `at`, and goes on to the next.
    fn from(&mut self, at: usize, total: i64, taken: usize, kinds: usize) {
        let Some((size, there)) = self.stock.get(at).copied() else {
            if self.pieces.contains(&taken) {
                self.look(total, taken, kinds);
            }
            return;
        };
        let room = self.pieces.end().saturating_sub(taken);
        for count in 0..=there.min(u32::try_from(room).unwrap_or(u32::MAX)) {
            self.counts.push(count);
            self.from(
                at + 1,
                total + size * i64::from(count),
                taken + count as usize,
                kinds + usize::from(count > 0),
            );
            self.counts.pop();
        }
    }

    fn look(&mut self, total: i64, taken: usize, kinds: usize) {
        self.looked_at += 1;
        let off = total.abs_diff(self.target);
        if off < self.nearest {
            self.nearest = off;
            self.tied = 0;
        }
        if off == self.nearest {
            self.tied += 1;
        }
        let full = self.best.len() >= self.keep;
        if full
            && self
                .best
                .last()
                .is_some_and(|((worst_off, worst_kinds, worst_taken, _), _)| {
                    (off, kinds, taken) > (*worst_off, *worst_kinds, *worst_taken)
                })
        {
            return;
        }
        let rank = (
            off,
            kinds,
            taken,
            self.counts
                .iter()
                .map(|count| std::cmp::Reverse(*count))
                .collect(),
        );
        let place = self.best.partition_point(|(known, _)| *known < rank);
        self.best.insert(place, (rank, total));
        self.best.truncate(self.keep);
    }
}
