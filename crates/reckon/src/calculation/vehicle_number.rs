//! The check character of a vehicle identification number of 17 characters.
//!
//! Advice only: many countries never used the check, and older numbers are free text. Never says that a number is genuine.

use super::{Argument, BenchPlace, Calculation, Given, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};

/// Weights by position. Source: 49 CFR 565.15, table V.
const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "vehicle_number",
    title: "Vehicle number",
    place: BenchPlace::VehicleNumber,
    about: "Whether the check character of a 17-character vehicle number agrees with the rest of it.",
    arguments: &[Argument::new(
        "number",
        "",
        "the vehicle number as stamped, 17 characters",
        Want::Text(40),
    )
    .required()
    .such_as("1M8GDM9AXKP042788", "1M8GDM9AXKP042788")],
    dangers: &[],
    contradictions: &[],
    run,
};

/// The value of a character; `None` for one that has none (I, O, Q among them). Source: 49 CFR 565.15, table IV.
fn value(c: char) -> Option<u32> {
    match c {
        '0'..='9' => c.to_digit(10),
        'A'..='H' => Some(u32::from(c) - u32::from('A') + 1),
        'J'..='N' => Some(u32::from(c) - u32::from('J') + 1),
        'P' => Some(7),
        'R' => Some(9),
        'S'..='Z' => Some(u32::from(c) - u32::from('S') + 2),
        _ => None,
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let number: String = given
        .text("number")
        .unwrap_or("")
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .flat_map(char::to_uppercase)
        .collect();
    let length = number.chars().count();
    if length != 17 {
        return Err(ReckonRefusal::of(
            RefusalCode::OutOfRange,
            "number",
            format!(
                "Only numbers of 17 characters have a check; this has {length}. An older number is kept as it is stamped."
            ),
        ));
    }
    let mut sum = 0;
    for (c, weight) in number.chars().zip(WEIGHTS) {
        let Some(value) = value(c) else {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "number",
                format!("“{c}” is never in a 17-character number (I, O and Q are left out); look again."),
            ));
        };
        sum += value * weight;
    }
    let check = sum % 11;
    let letter = match check {
        10 => 'X',
        digit => char::from_digit(digit, 10).unwrap_or('X'),
    };
    let stands = number.chars().nth(8).unwrap_or(' ');
    sheet.count(
        "check",
        "remainder of the weighted sum over 11 (10 is written X)",
        check as usize,
    );
    let (word, words) = if stands == letter {
        (
            VerdictWord::InLimits,
            format!("The ninth character is {letter}, as it should be."),
        )
    } else {
        (
            VerdictWord::TooCloseToCall,
            format!(
                "The ninth character is {stands}; by this rule it would be {letter}. Read it again; many cars were never numbered by this rule."
            ),
        )
    };
    sheet.verdict("number", word, words);
    sheet.formula(
        "check",
        "check character",
        "the sum of value · weight, modulo 11; 10 is X; it stands ninth",
    );
    sheet.source(
        "cfr_565",
        "49 CFR 565.15: vehicle identification numbers, check digit",
        Standing::Published,
    );
    sheet.condition("advice", "Advice only: the papers and the stamping itself decide, and no check shows that a number is genuine.");
    Ok(())
}
