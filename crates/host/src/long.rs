//! Long work, stepped from the thread that asked for it: the notebook is let go of between two steps, so that every page, edit and
//! meeting is served meanwhile, and a slow disk is waited for without it. How much a step does is measured, so that none with the
//! notebook takes long. It never judges what the work is.

use std::time::{Duration, Instant};

use notebook::{Long, Next, Progress, Refusal, stopped};
use serde_json::Value;

use crate::handle::Handle;

/// How long a step is to take. The bound is 50 ms; a machine that is busy for a moment has room below it.
const AIM: Duration = Duration::from_millis(10);
/// How many rows the first step of anything goes over.
const FIRST: u32 = 32;
/// Most rows of a step, however fast it is.
const MOST: u32 = 1 << 20;
/// How often it is told how far the work is.
const TOLD_EVERY: Duration = Duration::from_millis(200);

/// How many rows the next step goes over, by how long the last one took.
#[derive(Debug)]
struct Pace {
    rows: u32,
    /// What it was measured at: rows of another sort cost something else.
    what: &'static str,
}

impl Pace {
    const fn new() -> Self {
        Self {
            rows: FIRST,
            what: "",
        }
    }

    /// How many rows there are to be in a step of this sort.
    fn of(&mut self, what: &'static str) -> u32 {
        if self.what != what {
            *self = Self { rows: FIRST, what };
        }
        self.rows
    }

    /// A step of so many rows took so long.
    fn took(&mut self, took: Duration) {
        let took = took.max(Duration::from_micros(1));
        // At most doubled, so that a short step among long ones misleads it once at most; less at once where it took too long.
        let next = u128::from(self.rows).saturating_mul(AIM.as_micros()) / took.as_micros();
        let next = u32::try_from(next).unwrap_or(MOST);
        self.rows = next.min(self.rows.saturating_mul(2)).clamp(1, MOST);
    }
}

/// Takes the number back when the work ends, however it ends.
struct Ended<'h> {
    handle: &'h Handle,
    number: u32,
}

impl Drop for Ended<'_> {
    fn drop(&mut self) {
        self.handle.with(|notebook| notebook.long_is_over(self.number));
    }
}

/// Steps it to its end, or until somebody stops it.
pub(crate) fn to_its_end(
    handle: &Handle,
    mut long: Long,
    told: &mut dyn FnMut(&Progress) -> bool,
) -> Result<Value, Refusal> {
    let _ended = Ended {
        handle,
        number: long.number(),
    };
    let mut pace = Pace::new();
    let mut last_told = Instant::now();
    loop {
        let rows = pace.of(long.progress().what);
        match long.next() {
            Next::Turn => {
                let took = handle.with_for_a_step(|notebook| {
                    let began = Instant::now();
                    long.turn(notebook, rows).map(|()| began.elapsed())
                })?;
                pace.took(took);
            }
            Next::Beside => {
                let began = Instant::now();
                long.beside(rows)?;
                pace.took(began.elapsed());
            }
            Next::Nothing => return long.answer(),
        }
        let mut goes_on = true;
        let tell = last_told.elapsed() >= TOLD_EVERY;
        if tell {
            last_told = Instant::now();
            goes_on = told(&long.progress());
        }
        goes_on &= handle.with_for_a_step(|notebook| {
            if tell {
                notebook.tell_how_far(&long);
            }
            notebook.long_goes_on(&long)
        });
        if !goes_on && long.can_be_stopped() {
            return Err(stopped());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_as_long_as_it_is_to_be_whatever_a_row_costs() {
        for row in [1_u64, 10, 1_000, 30_000] {
            let mut pace = Pace::new();
            let mut longest = Duration::ZERO;
            for step in 0..40 {
                let took = Duration::from_micros(row.saturating_mul(u64::from(pace.of("rows"))));
                pace.took(took);
                // The first step is a guess; from then on each is within its bound.
                if step > 0 && pace.rows > 1 {
                    longest = longest.max(took);
                }
            }
            assert!(
                longest <= Duration::from_millis(50),
                "{row} µs a row: {longest:?}"
            );
            let settled = Duration::from_micros(row.saturating_mul(u64::from(pace.of("rows"))));
            assert!(
                settled >= Duration::from_millis(7) || pace.rows == MOST,
                "{row}: {settled:?}"
            );
        }
    }
}
