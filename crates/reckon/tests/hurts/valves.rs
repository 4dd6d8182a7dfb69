//! Valve lash: no valve is left held open in silence.

use crate::ask::{check_value, keys, value_in};
use crate::{all_words, answered, verdict, warned};
use reckon::{Unit, VerdictWord};

/// Common practice, no source: a lash of nought is an upper bound only; a much thinner shim goes in to measure with.
#[test]
fn a_lash_of_nought_is_no_measure() {
    for nought in ["0 mm", "0 in", "0.000 thou"] {
        let arguments = format!(
            "shim=2.65 mm; measured={nought}; wanted=0.20 mm; state=cold; stock=2.00, 2.40, 2.45, 2.50, 2.70 mm"
        );
        verdict("lash", &arguments, "lash", VerdictWord::BelowLimits, "held open");
        let answer = answered("lash", &arguments);
        assert!(warned(&answer, "held_open"));
        // 2.65 + 0 − 0.20: thinner than that, and the one to measure with is well thinner.
        check_value(&arguments, &answer, "shim", Unit::Millimetre, 2.45, 1e-9);
        let shim = answer.values.iter().find(|value| value.key == "shim").unwrap();
        assert!(shim.words.contains("thinner than"), "{}", shim.words);
        assert!(value_in(&answer, "to_measure", Unit::Millimetre) <= 2.45 - 0.4);
        assert!(!keys(&answer).contains(&"nearest") && !keys(&answer).contains(&"lash_nearest"));
        // Only what is thinner is offered, and its lash is a bound.
        let lines: Vec<&str> = answer.tables[0]
            .lines
            .iter()
            .map(|line| line.words.as_str())
            .collect();
        assert_eq!(
            lines,
            [
                "2.000 mm: lash 0.650 mm or less",
                "2.400 mm: lash 0.250 mm or less"
            ]
        );
    }
}

/// First principles: the lash with a shim is s + m less the shim; from 2.65 and 0.32 mm it is 2.97 mm less the shim. How tight is too
/// tight is common practice, no source.
#[test]
fn no_shim_that_holds_a_valve_open_is_offered() {
    let lash = |stock: &str| {
        let arguments =
            format!("shim=2.65 mm; measured=0.32 mm; wanted=0.20 mm; state=cold; stock={stock} mm");
        answered("lash", &arguments)
    };
    // −0.03 and 0.00: none fits.
    for none in ["3.0", "2.97", "3.0, 2.97"] {
        let answer = lash(none);
        assert!(!keys(&answer).contains(&"nearest"), "{none}");
        assert!(!keys(&answer).contains(&"lash_nearest"), "{none}");
        assert!(warned(&answer, "none_fits"), "{none}");
        assert!(all_words(&answer).contains("None in the stock fits"), "{none}");
        assert!(!answer.tables.iter().any(|table| table.key == "stock"), "{none}");
    }
    // 0.07 is offered, with what comes of it.
    let tight = lash("2.90");
    check_value("2.90", &tight, "lash_nearest", Unit::Millimetre, 0.07, 1e-9);
    assert!(warned(&tight, "held_open") && all_words(&tight).contains("held open"));
    assert!(!warned(&tight, "none_fits"));
    // 0.03 tighter, and 0.05, are what a step of shims gives; 0.06 is not.
    assert!(!warned(&lash("2.80"), "held_open"));
    assert!(!warned(&lash("2.82"), "held_open"));
    assert!(warned(&lash("2.83"), "held_open"));
    // Below half of what is wanted, however little that is: 0.03 of 0.08.
    let arguments = "shim=2.65 mm; measured=0.32 mm; wanted=0.08 mm; state=cold; stock=2.94 mm";
    assert!(warned(&answered("lash", arguments), "held_open"));
    // What holds it open is passed over for what does not, however much nearer: 0.50 is loose by 0.30, −0.03 is nearer by 0.07.
    let passed = lash("3.0, 2.47");
    check_value("2.47", &passed, "nearest", Unit::Millimetre, 2.47, 1e-9);
    assert!(!all_words(&passed).contains("3 mm: lash") && !warned(&passed, "none_fits"));
    // Of two as near, the looser.
    let twins = lash("2.79, 2.75");
    check_value("2.75", &twins, "nearest", Unit::Millimetre, 2.75, 1e-9);
}

/// Common practice, no source: a feeler leaf is known to ±0.009 mm (0.00035 in), so a lash of no more than that may be none.
#[test]
fn a_lash_just_above_nought_may_be_none() {
    use VerdictWord::BelowLimits;
    let lash = |measured: &str| format!("shim=2.65 mm; measured={measured} mm; wanted=0.20 mm; state=cold");
    for measured in ["0.001", "0.005", "0.01"] {
        let arguments = lash(measured);
        verdict("lash", &arguments, "lash", BelowLimits, "may be none");
        let answer = answered("lash", &arguments);
        assert!(warned(&answer, "held_open"), "{measured}");
        assert!(keys(&answer).contains(&"to_measure") && !keys(&answer).contains(&"nearest"));
    }
    // A measure, and a tight valve: 0.05 of 0.20.
    for measured in ["0.03", "0.05", "0.09", "0.14"] {
        let arguments = lash(measured);
        verdict("lash", &arguments, "lash", BelowLimits, "Tight");
        let answer = answered("lash", &arguments);
        assert!(warned(&answer, "held_open"), "{measured}");
        let shim = 2.65 + measured.parse::<f64>().unwrap() - 0.20;
        check_value(&arguments, &answer, "shim", Unit::Millimetre, shim, 1e-9);
    }
    // What a step of shims gives is neither tight nor worth a word of danger.
    for measured in ["0.15", "0.20", "0.32"] {
        let answer = answered("lash", &lash(measured));
        assert!(
            answer.verdicts.is_empty() && !warned(&answer, "held_open"),
            "{measured}"
        );
    }
}
