//! Money: whole minor units and an ISO 4217 currency code. Never a float, never a rate of exchange.

use std::fmt;

use super::Exact;

/// The largest sum that is taken, in minor units either way: ten million million pounds is a slip of the finger.
const LARGEST: i64 = 1_000_000_000_000_000;

/// An ISO 4217 currency code with its number of minor digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency {
    code: &'static str,
    digits: u32,
}

/// Codes with two minor digits. Source: ISO 4217 list one, from memory (active circulating currencies).
const TWO: &[&str] = &[
    "AED", "AFN", "ALL", "AMD", "ANG", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BGN", "BMD",
    "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF", "CNY", "COP", "CRC", "CUP",
    "CVE", "CZK", "DKK", "DOP", "DZD", "EGP", "ERN", "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP",
    "GMD", "GTQ", "GYD", "HKD", "HNL", "HTG", "HUF", "IDR", "ILS", "INR", "IRR", "JMD", "KES", "KGS", "KHR",
    "KPW", "KYD", "KZT", "LAK", "LBP", "LKR", "LRD", "LSL", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP",
    "MRU", "MUR", "MVR", "MWK", "MXN", "MYR", "MZN", "NAD", "NGN", "NIO", "NOK", "NPR", "NZD", "PAB", "PEN",
    "PGK", "PHP", "PKR", "PLN", "QAR", "RON", "RSD", "RUB", "SAR", "SBD", "SCR", "SDG", "SEK", "SGD", "SHP",
    "SLE", "SOS", "SRD", "SSP", "STN", "SVC", "SYP", "SZL", "THB", "TJS", "TMT", "TOP", "TRY", "TTD", "TWD",
    "TZS", "UAH", "USD", "UYU", "UZS", "VES", "WST", "XCD", "YER", "ZAR", "ZMW", "ZWG",
];
/// Codes with no minor digits. Source: as above.
const NONE: &[&str] = &[
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF",
    "XPF",
];
/// Codes with three minor digits. Source: as above.
const THREE: &[&str] = &["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"];

impl Currency {
    /// The currency of an ISO 4217 code, in either case; `None` where it is not on the list.
    pub fn of(code: &str) -> Option<Self> {
        [(TWO, 2), (NONE, 0), (THREE, 3)]
            .into_iter()
            .find_map(|(list, digits)| {
                list.iter()
                    .find(|known| known.eq_ignore_ascii_case(code))
                    .map(|code| Self { code, digits })
            })
    }

    /// Every code that is known, in order.
    pub fn codes() -> Vec<&'static str> {
        let mut codes = [TWO, NONE, THREE].concat();
        codes.sort_unstable();
        codes
    }

    /// The code: `GBP`.
    pub fn code(self) -> &'static str {
        self.code
    }

    /// How many digits stand behind the point: 2 for GBP, 0 for JPY, 3 for KWD.
    pub fn digits(self) -> u32 {
        self.digits
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code)
    }
}

/// A sum of money. Prints as `GBP 12.50`, which [`crate::parse_money`] reads back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    /// A sum in minor units (pence); `None` beyond ±10¹⁵.
    pub fn from_minor(minor: i64, currency: Currency) -> Option<Self> {
        (-LARGEST..=LARGEST)
            .contains(&minor)
            .then_some(Self { minor, currency })
    }

    /// A sum in major units (pounds); `None` where it has a part of a minor unit, or is too large.
    pub fn from_major(major: &Exact, currency: Currency) -> Option<Self> {
        let minor = major.times(&Exact::whole(10i128.pow(currency.digits)));
        Self::from_minor(minor.to_whole()?, currency)
    }

    /// The whole minor units.
    pub fn minor(self) -> i64 {
        self.minor
    }

    /// The currency.
    pub fn currency(self) -> Currency {
        self.currency
    }

    /// The sum of two; `None` where the currencies differ or the sum is too large.
    pub fn plus(self, other: Self) -> Option<Self> {
        if self.currency != other.currency {
            return None;
        }
        Self::from_minor(self.minor.checked_add(other.minor)?, self.currency)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.minor < 0 { "-" } else { "" };
        let unit = 10u64.pow(self.currency.digits);
        let minor = self.minor.unsigned_abs();
        write!(f, "{} {sign}{}", self.currency.code, minor / unit)?;
        if self.currency.digits > 0 {
            write!(
                f,
                ".{:0width$}",
                minor % unit,
                width = self.currency.digits as usize
            )?;
        }
        Ok(())
    }
}
