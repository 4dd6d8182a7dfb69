//! The story laid on the calendar: its sources say the days on which it was written, and every one of them is moved by as many days, so
//! that it ends on the evening that is wanted. Days of the week that its people name are named anew. It knows nothing of what the
//! files say besides.

use record::Day;

use crate::error::DemoError;
use crate::sources::Sources;

const A_DAY: i64 = 86_400;
/// How a source names a day of the week: `{weekday 2031-03-01}`.
const WEEKDAY: &str = "{weekday ";
/// How long a day is as it is written.
const WRITTEN: usize = "2031-03-01".len();
const WEEK: [&str; 7] = [
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
];

/// The first second of a day, in UTC.
fn start(day: Day) -> i64 {
    day.span(0).0
}

/// How many days there are from one to another.
pub(crate) fn between(from: Day, to: Day) -> i64 {
    start(to).saturating_sub(start(from)).div_euclid(A_DAY)
}

/// What a day of the week is called.
fn weekday(day: Day) -> &'static str {
    // The first of January 1970 was a Thursday.
    let place = start(day).div_euclid(A_DAY).saturating_add(3).rem_euclid(7);
    usize::try_from(place)
        .ok()
        .and_then(|place| WEEK.get(place))
        .copied()
        .unwrap_or_default()
}

impl Sources {
    /// The same story, every day of it so many days later.
    ///
    /// # Errors
    /// A file that is not UTF-8.
    pub(crate) fn laid(&self, days: i64) -> Result<Self, DemoError> {
        self.each(|path, text| {
            let of_the_story = path != "README.md" && !path.ends_with(".svg");
            of_the_story.then(|| (moved(path, days), named(&moved(text, days))))
        })
    }
}

/// Every day in a text, so many days later.
fn moved(text: &str, days: i64) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let day = rest
            .get(..WRITTEN)
            .and_then(|written| written.parse::<Day>().ok());
        // A longer number that only ends like a year is none.
        let alone = !out.ends_with(|before: char| before.is_ascii_digit());
        let step = match day.filter(|_| alone) {
            Some(day) => {
                out.push_str(&day.later(days).to_string());
                WRITTEN
            }
            None => {
                out.push(first);
                first.len_utf8()
            }
        };
        rest = rest.get(step..).unwrap_or_default();
    }
    out
}

/// Every day of the week that is asked for by its day, by its name.
fn named(text: &str) -> String {
    let mut pieces = text.split(WEEKDAY);
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let day = piece
            .split_once('}')
            .and_then(|(day, after)| Some((day.parse::<Day>().ok()?, after)));
        match day {
            Some((day, after)) => {
                out.push_str(weekday(day));
                out.push_str(after);
            }
            // Left to be seen.
            None => {
                out.push_str(WEEKDAY);
                out.push_str(piece);
            }
        }
    }
    out
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn every_day_goes_along_and_its_weekday_is_named_anew() {
        for (text, days, expected) in [
            ("on = 2024-12-29", 3, "on = 2025-01-01"),
            ("at = 2025-11-15T17:20:00Z", 380, "at = 2026-11-30T17:20:00Z"),
            ("days/2025-02-28-nell.md", 1, "days/2025-03-01-nell.md"),
            ("number 12025-02-28", 1, "number 12025-02-28"),
            ("£86, 5½ thou", 9, "£86, 5½ thou"),
            ("Home on {weekday 2025-11-16}.", 0, "Home on Sunday."),
            ("Home on {weekday 2025-11-16}.", 1, "Home on Monday."),
            ("Home on {weekday 2025-11-16}.", -6, "Home on Monday."),
        ] {
            assert_eq!(named(&moved(text, days)), expected, "{text} by {days}");
        }
    }

    #[test]
    fn days_between_two_are_those_that_are_gone() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        for (from, to) in [("2024-02-28", "2024-03-01"), ("2025-11-15", "2026-11-29")] {
            let days = between(day(from), day(to));
            assert_eq!(day(from).later(days), day(to));
            assert_eq!(between(day(to), day(from)), -days);
        }
        assert_eq!(between(day("2024-02-28"), day("2024-03-01")), 2);
    }
}
