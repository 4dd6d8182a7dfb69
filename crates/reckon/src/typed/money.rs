//! Reads sums of money: `£12.50`, `12.50 GBP`, `GBP 12.50`, `1.234,50 €`, `50p`.
//!
//! Never takes `$` for one country's, and never rounds to a minor unit.

use super::clean::clean;
use super::number::{Reading, scan};
use super::unclear::{Candidate, Code, Unclear};
use crate::quantity::{Currency, Exact, Money};

/// Reads a sum of money with its currency.
///
/// # Errors
/// [`Unclear`] where the currency is missing, unknown or shared by several countries, or the sum has parts of a minor unit.
pub fn parse_money(text: &str) -> Result<Money, Unclear> {
    read(text, None)
}

/// Reads a sum of money; a bare number is in `currency`.
///
/// # Errors
/// As [`parse_money`], but a bare number is taken.
pub fn parse_money_in(text: &str, currency: Currency) -> Result<Money, Unclear> {
    read(text, Some(currency))
}

/// Signs and the codes they may stand for, the likeliest first.
const SIGNS: &[(&str, &[&str])] = &[
    ("£", &["GBP"]),
    ("€", &["EUR"]),
    ("$", &["USD", "CAD", "AUD", "NZD"]),
    ("us$", &["USD"]),
    ("ca$", &["CAD"]),
    ("c$", &["CAD"]),
    ("au$", &["AUD"]),
    ("a$", &["AUD"]),
    ("nz$", &["NZD"]),
    ("¥", &["JPY", "CNY"]),
    ("kr", &["SEK", "NOK", "DKK", "ISK"]),
    ("euro", &["EUR"]),
    ("euros", &["EUR"]),
    ("pounds", &["GBP"]),
    ("pound", &["GBP"]),
];

fn currencies(sign: &str) -> Option<Vec<Currency>> {
    let sign = sign.to_lowercase();
    if let Some(currency) = Currency::of(&sign) {
        return Some(vec![currency]);
    }
    let (_, codes) = SIGNS.iter().find(|(known, _)| *known == sign)?;
    Some(codes.iter().filter_map(|code| Currency::of(code)).collect())
}

fn read(text: &str, bare: Option<Currency>) -> Result<Money, Unclear> {
    let cleaned = clean(text)?;
    let number_at = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let Some(at) = cleaned.find(number_at) else {
        return Err(Unclear::new(
            Code::BadNumber,
            "There is no sum in that; type it like £12.50 or 12.50 GBP.",
        ));
    };
    let (lead, body) = cleaned.split_at(at);
    let negatives = lead.matches('-').count();
    let lead = lead.replace(['-', '+'], " ").trim().to_owned();
    let scanned = scan(body)?;
    let trail = scanned.rest.trim();
    if negatives > 1 || scanned.fraction || body.len() > scanned.rest.len() && has_exponent(&scanned.readings)
    {
        return Err(Unclear::new(
            Code::BadNumber,
            "A sum of money is written with decimals, like £12.50.",
        ));
    }
    let (currencies, pence) = which(&lead, trail, bare, &scanned.readings)?;
    let mut sums = Vec::new();
    for currency in &currencies {
        for reading in &scanned.readings {
            let signed = if negatives == 1 {
                reading.value.negated()
            } else {
                reading.value.clone()
            };
            let major = if pence {
                signed.over(&Exact::from(100)).unwrap_or(signed)
            } else {
                signed
            };
            if let Some(money) = Money::from_major(&major, *currency) {
                sums.push((money, reading.words.clone()));
            }
        }
    }
    match sums.as_slice() {
        [(money, _)] if currencies.len() == 1 => Ok(*money),
        [] => Err(no_sum(&scanned.readings, &currencies, negatives == 1)),
        _ => {
            let candidates = sums
                .iter()
                .map(|(money, words)| Candidate::new(money.to_string(), words.clone()))
                .collect();
            let (code, words) = match &scanned.doubt {
                Some((code, words)) if currencies.len() == 1 => (*code, words.clone()),
                _ => (
                    Code::AmbiguousCurrency,
                    "Several countries write their money so; which one?".to_owned(),
                ),
            };
            Err(Unclear::new(code, words).offering(candidates))
        }
    }
}

fn has_exponent(readings: &[Reading]) -> bool {
    readings.iter().any(|reading| reading.plain.contains('e'))
}

/// The currencies that the signs before and behind allow, and whether it is in pence.
fn which(
    lead: &str,
    trail: &str,
    bare: Option<Currency>,
    readings: &[Reading],
) -> Result<(Vec<Currency>, bool), Unclear> {
    let unknown = |sign: &str| {
        Unclear::new(
            Code::UnknownCurrency,
            format!("“{sign}” is not a currency that is known; type its three letters, like 12.50 GBP."),
        )
    };
    match (lead, trail) {
        ("", "") => match bare {
            Some(currency) => Ok((vec![currency], false)),
            None => {
                let codes = ["GBP", "EUR", "USD"].into_iter().filter_map(Currency::of);
                let sums = codes.flat_map(|currency| {
                    readings
                        .iter()
                        .filter_map(move |reading| Money::from_major(&reading.value, currency))
                });
                let candidates = sums.map(|money| Candidate::new(money.to_string(), "")).collect();
                Err(Unclear::new(
                    Code::UnknownCurrency,
                    "Which currency? Type it like £12.50 or 12.50 GBP.",
                )
                .offering(candidates))
            }
        },
        ("", "p" | "pence" | "penny") => Ok((Currency::of("GBP").into_iter().collect(), true)),
        (sign, "") | ("", sign) => currencies(sign)
            .map(|found| (found, false))
            .ok_or_else(|| unknown(sign)),
        (lead, trail) => {
            let first = currencies(lead).ok_or_else(|| unknown(lead))?;
            let second = currencies(trail).ok_or_else(|| unknown(trail))?;
            let both: Vec<Currency> = first
                .into_iter()
                .filter(|currency| second.contains(currency))
                .collect();
            if both.is_empty() {
                Err(unknown(trail))
            } else {
                Ok((both, false))
            }
        }
    }
}

/// No reading makes a whole number of minor units: too many decimals, or too large.
fn no_sum(readings: &[Reading], currencies: &[Currency], negative: bool) -> Unclear {
    let Some(currency) = currencies.first() else {
        return Unclear::new(
            Code::UnknownCurrency,
            "Which currency? Type it like £12.50 or 12.50 GBP.",
        );
    };
    if readings.iter().all(|reading| reading.value.is_whole()) {
        return Unclear::new(Code::Impossible, "That sum is too large to be one.");
    }
    // `€1.234` may be a thousand with a point between.
    let joined = readings.iter().filter_map(|reading| {
        let (whole, part) = reading.plain.split_once('.')?;
        let thousand = part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
        let value = thousand
            .then(|| Exact::from_digits(&format!("{whole}{part}"), 0))
            .flatten()?;
        let money = Money::from_major(&if negative { value.negated() } else { value }, *currency)?;
        Some(Candidate::new(money.to_string(), "the point parts thousands"))
    });
    Unclear::new(
        Code::TooManyDecimals,
        format!(
            "{} has {} decimals; the sum has more.",
            currency.code(),
            currency.digits()
        ),
    )
    .offering(joined.collect())
}
