//! No answer changes its verdict with the unit that it was typed in, nor with the units that the keeper prefers: every argument in a unit
//! of its own, thrown by dice, against all of them in the base unit. Values stand on their limits as often as beside them, and every
//! text is exact. A failure prints its seed; `RECKON_SEED=n` runs that seed again.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

mod ask;
mod seed;

use ask::{inch, metric};
use reckon::{Preferences, VerdictWord, reckon};
use seed::Dice;

/// What was measured, exactly: whole steps of a length of 254 nm (a hundred-thousandth of an inch), and so on.
#[derive(Clone, Copy, Debug)]
enum Amount {
    /// 254 nm.
    Length(i128),
    /// A tenth of a pound-force foot.
    Torque(i128),
    /// A pound-force.
    Force(i128),
    /// Five degrees Celsius.
    Temperature(i128),
    /// A milliampere.
    Current(i128),
    /// A hundredth of a square inch.
    Area(i128),
    /// A tenth of a metre a second.
    Speed(i128),
}
use Amount::{Area, Current, Force, Length, Speed, Temperature, Torque};

/// `number` with so many places.
fn decimal(number: i128, places: usize) -> String {
    let sign = if number < 0 { "-" } else { "" };
    let digits = format!("{:0width$}", number.abs(), width = places + 1);
    let (whole, part) = digits.split_at(digits.len() - places);
    if part.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{part}")
    }
}

impl Amount {
    /// Every way to type it, the base unit first. Factors are exact by definition (NIST SP 811, appendix B).
    fn typed(self) -> Vec<String> {
        match self {
            Length(steps) => vec![
                format!("{} mm", decimal(steps * 254, 6)),
                format!("{} in", decimal(steps, 5)),
                format!("{} thou", decimal(steps, 2)),
                format!("{} µm", decimal(steps * 254, 3)),
                format!("{} cm", decimal(steps * 254, 7)),
            ],
            Torque(tenths) => vec![
                format!("{} N·m", decimal(tenths * 13_558_179_483_314_004, 17)),
                format!("{} lbf·ft", decimal(tenths, 1)),
                format!("{} lbf·in", decimal(tenths * 12, 1)),
            ],
            Force(pounds) => vec![
                format!("{} N", decimal(pounds * 44_482_216_152_605, 13)),
                format!("{pounds} lbf"),
                format!("{} kN", decimal(pounds * 44_482_216_152_605, 16)),
            ],
            Temperature(fives) => vec![format!("{} °C", fives * 5), format!("{} °F", fives * 9 + 32)],
            Current(milli) => vec![format!("{} A", decimal(milli, 3)), format!("{milli} mA")],
            Area(hundredths) => vec![
                format!("{} mm²", decimal(hundredths * 64_516, 4)),
                format!("{} in²", decimal(hundredths, 2)),
            ],
            Speed(tenths) => vec![
                format!("{} m/s", decimal(tenths, 1)),
                format!("{} km/h", decimal(tenths * 36, 2)),
            ],
        }
    }
}

/// What an answer says: the words of its verdicts and what it warns of; or why it is refused.
type Said = Result<(Vec<(String, VerdictWord)>, Vec<String>), Vec<(String, String)>>;

fn said(name: &str, arguments: &[(&str, String)], preferences: &Preferences) -> Said {
    let typed = arguments
        .iter()
        .map(|(argument, text)| ((*argument).to_owned(), text.clone()))
        .collect();
    match reckon(name, &typed, preferences) {
        Ok(answer) => Ok((
            answer
                .verdicts
                .iter()
                .map(|verdict| (verdict.key.to_string(), verdict.word))
                .collect(),
            answer.warnings.iter().map(|note| note.key.to_string()).collect(),
        )),
        Err(refusal) => Err(refusal
            .problems
            .iter()
            .map(|problem| (format!("{:?}", problem.code), problem.argument.clone()))
            .collect()),
    }
}

/// Beside a limit, on it, or anywhere between two.
fn near(dice: &mut Dice, limits: &[i128]) -> i128 {
    let limit = *dice.one(limits);
    match dice.below(4) {
        0 | 1 => limit,
        2 => limit + *dice.one(&[-1, 1, -2, 2, -40, 40]),
        _ => limit + i128::try_from(dice.below(2_000)).unwrap() - 1_000,
    }
}

/// The calculation, what is measured, and what stands beside it.
type Question = (
    &'static str,
    Vec<(&'static str, Amount)>,
    Vec<(&'static str, &'static str)>,
);

/// One question: what is measured, and what stands beside it whatever the unit.
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn question(dice: &mut Dice) -> Question {
    // 0.3 mm is 1181 steps and a little, 77 mm 303149, 228.6 mm 900000, 2.65 mm 10433, 62 mm 244094.
    match dice.below(14) {
        0 => {
            let (low, high) = (1_181, 1_772);
            let gap = near(dice, &[low, high, high + 3_092]).max(200);
            (
                "ring_gap",
                vec![
                    ("bore", Length(303_150)),
                    ("gap", Length(gap)),
                    ("low", Length(low)),
                    ("high", Length(high)),
                ],
                vec![],
            )
        }
        // 0.0040 and 0.0045 of 300000 steps.
        1 => {
            let gap = near(dice, &[1_200, 1_350]).max(200);
            (
                "ring_gap",
                vec![("bore", Length(300_000)), ("gap", Length(gap))],
                vec![],
            )
        }
        2 => {
            // The mark, what may be turned to (2992 steps below it, and a little), and what is alike (984, and a little).
            let cast = 906_000;
            let first = near(dice, &[cast, cast - 2_992, 902_000]).max(900_000);
            let other = near(dice, &[first, first - 984, first + 984, cast]).max(900_000);
            (
                "drum",
                vec![
                    ("new", Length(900_000)),
                    ("measured", Length(first)),
                    ("other", Length(other)),
                    ("cast", Length(cast)),
                ],
                vec![],
            )
        }
        3 => {
            let measured = *dice.one(&[0, 1, 400, 800, 1_260]);
            (
                "lash",
                vec![
                    ("shim", Length(10_433)),
                    ("measured", Length(measured)),
                    ("wanted", Length(787)),
                ],
                vec![("state", "cold")],
            )
        }
        4 => {
            let inner = near(dice, &[303_228 - 118, 303_228 - 276]);
            (
                "clearance",
                vec![
                    ("bore", Length(303_228)),
                    ("inner", Length(inner)),
                    ("low", Length(118)),
                    ("high", Length(276)),
                ],
                vec![],
            )
        }
        5 => {
            let reading = near(dice, &[196_772, 196_930]);
            (
                "verdict",
                vec![
                    ("reading", Length(reading)),
                    ("low", Length(196_772)),
                    ("high", Length(196_930)),
                ],
                vec![(
                    "instrument",
                    *dice.one(&["micrometer", "micrometer_100", "bore_gauge", "caliper"]),
                )],
            )
        }
        6 => {
            let tenths = near(dice, &[180, 200, 280, 442]).clamp(10, 4_000);
            (
                "torque",
                vec![("torque", Torque(tenths))],
                vec![
                    ("thread", "M8"),
                    ("class", *dice.one(&["8.8", "10.9"])),
                    ("lubrication", *dice.one(&["dry", "oiled"])),
                ],
            )
        }
        7 => {
            let pounds = near(dice, &[4_773, 6_587]).max(100);
            (
                "torque",
                vec![("preload", Force(pounds))],
                vec![("thread", "M8"), ("class", "8.8"), ("lubrication", "oiled")],
            )
        }
        8 => {
            let tenths = near(dice, &[400, 600]).clamp(10, 4_000);
            (
                "torque",
                vec![("torque", Torque(tenths))],
                vec![("thread", "3/8-16"), ("class", "grade_5"), ("factor", "0.2")],
            )
        }
        9 => {
            let (hot, room) = (*dice.one(&[10, 16, 24, 30, 36]), *dice.one(&[-12, 0, 4, 6]));
            (
                "heat_fit",
                vec![
                    ("diameter", Length(244_094)),
                    (
                        "interference",
                        Length(near(dice, &[157, 236, 315]).clamp(0, 3_900)),
                    ),
                    ("hot", Temperature(hot)),
                    ("room", Temperature(room)),
                ],
                vec![
                    ("material", *dice.one(&["aluminium", "steel", "magnesium"])),
                    ("part", *dice.one(&["casting", "open_bearing", "other"])),
                ],
            )
        }
        10 => {
            let milli = *dice.one(&[4_600, 8_000, 11_600, 15_600, 15_601, 20_000]);
            (
                "fuse",
                vec![
                    ("current", Current(milli)),
                    ("area", Area(*dice.one(&[1, 2, 3, 4, 5, 9]))),
                ],
                vec![("shape", *dice.one(&["blade", "torpedo"]))],
            )
        }
        11 => {
            let tenths = *dice.one(&[50, 100, 139, 200, 300]);
            // The speedometer may show up to 1.1 v + 4 km/h.
            let shown = near(dice, &[tenths, tenths + tenths / 10 + 11]).max(0);
            (
                "speedometer",
                vec![("true_speed", Speed(tenths)), ("shown", Speed(shown))],
                vec![],
            )
        }
        12 => {
            let current = *dice.one(&[6_000, 14_500, 14_501, 30_000, 400_000]);
            (
                "wire",
                vec![
                    ("current", Current(current)),
                    ("length", Length(*dice.one(&[400_000, 3_937_000]))),
                    ("area", Area(*dice.one(&[1, 2, 3, 6, 14]))),
                ],
                vec![("back", "chassis"), ("use", *dice.one(&["steady", "starter"]))],
            )
        }
        _ => {
            let ring = near(dice, &[1_181, 1_772, 0, 11_811]).clamp(0, 19_000);
            (
                "ring_plan",
                vec![
                    ("bores", Length(303_150)),
                    ("top", Length(ring)),
                    ("low", Length(1_181)),
                    ("high", Length(*dice.one(&[1_772, 1_181]))),
                ],
                vec![],
            )
        }
    }
}

#[test]
fn no_verdict_changes_with_the_unit() {
    let seed = seed::seed();
    let mut verdicts = 0;
    for number in 0..6_000u64 {
        let mut dice = Dice(seed ^ number.wrapping_mul(0xD6E8_FEB8_6659_FD93));
        let (name, amounts, rest) = question(&mut dice);
        let rest: Vec<(&str, String)> = rest
            .iter()
            .map(|(name, text)| (*name, (*text).to_owned()))
            .collect();
        let with = |texts: Vec<(&'static str, String)>| [texts, rest.clone()].concat();
        let base = with(
            amounts
                .iter()
                .map(|(name, amount)| (*name, amount.typed()[0].clone()))
                .collect(),
        );
        let wanted = said(name, &base, &metric());
        let mixed = with(
            amounts
                .iter()
                .map(|(name, amount)| (*name, dice.one(&amount.typed()).clone()))
                .collect(),
        );
        for (typed, preferences) in [(&mixed, metric()), (&mixed, inch()), (&base, inch())] {
            assert_eq!(
                said(name, typed, &preferences),
                wanted,
                "RECKON_SEED={seed}, question {number}: {name} {typed:?} against {base:?}"
            );
        }
        verdicts += usize::from(matches!(&wanted, Ok((verdicts, _)) if !verdicts.is_empty()));
    }
    assert!(verdicts > 4_000, "only {verdicts} were judged");
}
