//! Days and moments as a record keeps them. There is no clock in here: 'now' is always an argument.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A calendar day at the bench, `2031-03-01`: the keeper's own day, whatever the clock in UTC said.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(try_from = "String", into = "String")]
#[ts(type = "string")]
#[schemars(with = "String", extend("format" = "date"))]
pub struct Day(jiff::civil::Date);

/// What is wrong with a day or a moment.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is not a {1}")]
pub struct BadTime(String, &'static str);

impl Day {
    /// The day from its date.
    #[must_use]
    pub fn from_date(date: jiff::civil::Date) -> Self {
        Self(date)
    }

    /// The day's date.
    #[must_use]
    pub fn date(self) -> jiff::civil::Date {
        self.0
    }

    /// Year and month, `2031-03`.
    #[must_use]
    pub fn month(self) -> String {
        format!("{:04}-{:02}", self.0.year(), self.0.month())
    }
}

impl Day {
    /// The day so many days later, or before it where that is less than nought; as far as days go, and no further.
    #[must_use]
    pub fn later(self, days: i64) -> Self {
        Self(
            self.0
                .saturating_add(jiff::Span::new().days(days.clamp(-3_660_000, 3_660_000))),
        )
    }

    /// Its first second and that of the next, by a clock that is `east` seconds ahead of UTC.
    #[must_use]
    pub fn span(self, east: i64) -> (i64, i64) {
        let midnight = jiff::tz::TimeZone::UTC.to_timestamp(self.0.at(0, 0, 0, 0));
        // What lies beyond what an instant can be lies at that end of time.
        let beyond = if self.0.year() < 0 { i64::MIN } else { i64::MAX };
        let start = midnight.map_or(beyond, |midnight| midnight.as_second());
        let start = start.saturating_sub(east);
        (start, start.saturating_add(86_400))
    }
}

impl FromStr for Day {
    type Err = BadTime;
    fn from_str(text: &str) -> Result<Self, BadTime> {
        let bad = || BadTime(text.chars().take(40).collect(), "day: write it as 2031-03-01");
        // jiff reads more shapes than the one that ids and the archive rely on.
        if text.len() != 10 {
            return Err(bad());
        }
        let date: jiff::civil::Date = text.parse().map_err(|_| bad())?;
        let day = Self(date);
        if day.to_string() == text {
            Ok(day)
        } else {
            Err(bad())
        }
    }
}

impl TryFrom<String> for Day {
    type Error = BadTime;
    fn try_from(text: String) -> Result<Self, BadTime> {
        text.parse()
    }
}

impl From<Day> for String {
    fn from(day: Day) -> Self {
        day.to_string()
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:04}-{:02}-{:02}",
            self.0.year(),
            self.0.month(),
            self.0.day()
        )
    }
}

/// A moment to the second, in UTC, as the device's own clock had it; written `2031-03-01T18:20:05Z`.
///
/// Clocks of two devices disagree. It is shown to people and never decides which of two values stands.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema, TS,
)]
#[serde(try_from = "String", into = "String")]
#[ts(type = "string")]
#[schemars(with = "String", extend("format" = "date-time"))]
pub struct Moment(i64);

impl Moment {
    /// From seconds since 1970; a second outside the years −9999 to 9999 is brought to the nearest one inside.
    #[must_use]
    pub fn from_seconds(seconds: i64) -> Self {
        let (least, most) = (jiff::Timestamp::MIN.as_second(), jiff::Timestamp::MAX.as_second());
        Self(seconds.clamp(least, most))
    }

    /// The day that a clock shows which is `east` seconds ahead of UTC.
    ///
    /// ```
    /// let late: record::Moment = "2031-03-01T23:30:00Z".parse().unwrap();
    /// // The same evening is the next day an hour further east.
    /// assert_eq!(late.day(0).to_string(), "2031-03-01");
    /// assert_eq!(late.day(3_600).to_string(), "2031-03-02");
    /// ```
    #[must_use]
    pub fn day(self, east: i64) -> Day {
        let there = Self::from_seconds(self.0.saturating_add(east));
        let stamp = jiff::Timestamp::from_second(there.0).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        Day(jiff::tz::TimeZone::UTC.to_datetime(stamp).date())
    }

    /// Seconds since 1970.
    #[must_use]
    pub fn seconds(self) -> i64 {
        self.0
    }
}

impl FromStr for Moment {
    type Err = BadTime;
    fn from_str(text: &str) -> Result<Self, BadTime> {
        let stamp: Result<jiff::Timestamp, _> = text.parse();
        let bad = |_| {
            BadTime(
                text.chars().take(40).collect(),
                "moment: write it as 2031-03-01T18:20:05Z",
            )
        };
        stamp.map(|stamp| Self(stamp.as_second())).map_err(bad)
    }
}

impl TryFrom<String> for Moment {
    type Error = BadTime;
    fn try_from(text: String) -> Result<Self, BadTime> {
        text.parse()
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> Self {
        moment.to_string()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stamp = jiff::Timestamp::from_second(self.0).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        write!(f, "{stamp}")
    }
}
