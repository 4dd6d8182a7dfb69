//! Checks on sums of money as typed. Minor digits of a currency follow ISO 4217.
#![allow(clippy::unwrap_used, reason = "a test may say what it expects the short way")]

use reckon::{Currency, Money, parse_money, parse_money_in};

#[track_caller]
fn check(text: &str, expected: &str) {
    let said = match parse_money(text) {
        Ok(money) => money.to_string(),
        Err(unclear) => {
            let candidates: Vec<String> = unclear.candidates.into_iter().map(|c| c.text).collect();
            format!("{:?}: {}", unclear.code, candidates.join(" | "))
                .trim_end()
                .to_owned()
        }
    };
    assert_eq!(said, expected, "typed: {text:?}");
}

#[test]
fn sums_are_taken() {
    for (text, expected) in [
        ("£12.50", "GBP 12.50"),
        ("12.50 GBP", "GBP 12.50"),
        ("GBP 12.50", "GBP 12.50"),
        ("gbp12.5", "GBP 12.50"),
        ("£12", "GBP 12.00"),
        ("£ 12,50", "GBP 12.50"),
        ("£1,234", "GBP 1234.00"),
        ("£1,234.50", "GBP 1234.50"),
        ("1.234,50 €", "EUR 1234.50"),
        ("-£5", "GBP -5.00"),
        ("£-5", "GBP -5.00"),
        ("GBP -5.00", "GBP -5.00"),
        ("-0.05 EUR", "EUR -0.05"),
        ("50p", "GBP 0.50"),
        ("US$ 10", "USD 10.00"),
        ("$10 USD", "USD 10.00"),
        ("¥1200 JPY", "JPY 1200"),
        ("1.234 KWD", "KWD 1.234"),
        ("£12 GBP", "GBP 12.00"),
    ] {
        check(text, expected);
    }
}

#[test]
fn what_is_in_doubt_is_asked_about() {
    for (text, expected) in [
        ("12.50", "UnknownCurrency: GBP 12.50 | EUR 12.50 | USD 12.50"),
        (
            "$12.50",
            "AmbiguousCurrency: USD 12.50 | CAD 12.50 | AUD 12.50 | NZD 12.50",
        ),
        (
            "120 kr",
            "AmbiguousCurrency: SEK 120.00 | NOK 120.00 | DKK 120.00 | ISK 120",
        ),
        ("1,234 KWD", "CommaOrPoint: KWD 1234.000 | KWD 1.234"),
        ("1 234 EUR", "EUR 1234.00"),
        ("€1.234", "TooManyDecimals: EUR 1234.00"),
        ("£12.505", "TooManyDecimals: GBP 12505.00"),
        ("£0.001", "TooManyDecimals:"),
        ("12 JPY", "JPY 12"),
        ("12.5 JPY", "TooManyDecimals:"),
        ("£1/2", "BadNumber:"),
        ("£1e3", "BadNumber:"),
        ("£--5", "BadNumber:"),
        ("£", "BadNumber:"),
        ("five pounds", "BadNumber:"),
        ("£5 10s 6d", "BadNumber:"),
        ("5 XYZ", "UnknownCurrency:"),
        ("£5 EUR", "UnknownCurrency:"),
        ("£99999999999999999", "Impossible:"),
    ] {
        check(text, expected);
    }
}

#[test]
fn a_bare_sum_is_taken_in_an_agreed_currency() {
    let gbp = Currency::of("GBP").unwrap();
    assert_eq!(parse_money_in("12.50", gbp).unwrap().to_string(), "GBP 12.50");
    assert_eq!(parse_money_in("12.50 EUR", gbp).unwrap().to_string(), "EUR 12.50");
}

#[test]
fn sums_add_only_in_one_currency() {
    let of = |minor, code| Money::from_minor(minor, Currency::of(code).unwrap()).unwrap();
    assert_eq!(of(1250, "GBP").plus(of(-1300, "GBP")), Some(of(-50, "GBP")));
    assert_eq!(of(1250, "GBP").plus(of(1, "EUR")), None);
    assert_eq!(of(1_000_000_000_000_000, "GBP").plus(of(1, "GBP")), None);
    assert_eq!(Money::from_minor(i64::MIN, Currency::of("GBP").unwrap()), None);
}
