//! A sum of money as it is kept, of what was typed where no sign stands: in the currency that this household chose. No sum is changed
//! into another currency, and what says its own stays as it is said.

use reckon::Currency;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::Sum;

/// What a typed sum is.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Money {
    /// What was typed.
    pub(crate) typed: String,
    /// The currency of a sum that says none, by its three letters.
    pub(crate) currency: String,
}

impl Command for Money {
    type Reply = Sum;
    const NAME: &'static str = "money";
    const SAYS: &'static str = "A sum of money as a record keeps it: one without a sign is in the currency given, one with a sign is in its own.";
    const WRITES: bool = false;
    fn run(self, _: &mut Desk<'_>) -> Result<Sum, Refusal> {
        self.answer()
    }
}

impl Money {
    fn answer(self) -> Result<Sum, Refusal> {
        let currency = Currency::of(self.currency.trim()).ok_or_else(|| {
            Refusal::input(
                "no_currency",
                "that is no currency that is known; give its three letters, like GBP",
            )
        })?;
        let money = reckon::parse_money_in(&self.typed, currency)
            .map_err(|unclear| Refusal::input("unclear", unclear.to_string()))?;
        Ok(Sum {
            kept: money.to_string(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept(typed: &str, currency: &str) -> Result<String, String> {
        let money = Money {
            typed: typed.to_owned(),
            currency: currency.to_owned(),
        };
        money.answer().map(|sum| sum.kept).map_err(|why| why.code)
    }

    #[test]
    fn a_sum_without_a_sign_is_the_households_and_one_with_a_sign_its_own() {
        for (typed, currency, expected) in [
            ("86", "GBP", Ok("GBP 86.00")),
            ("86", "eur", Ok("EUR 86.00")),
            ("12.50", "GBP", Ok("GBP 12.50")),
            ("900", "JPY", Ok("JPY 900")),
            ("€ 12.50", "GBP", Ok("EUR 12.50")),
            ("12.50 CHF", "GBP", Ok("CHF 12.50")),
            ("a lot", "GBP", Err("unclear")),
            ("86", "pounds", Err("no_currency")),
        ] {
            let read = kept(typed, currency);
            let expected = expected.map(str::to_owned).map_err(str::to_owned);
            assert_eq!(read, expected, "{typed} in {currency}");
        }
    }
}
