//! Drums: what may run, what may be turned, and what must go.

use crate::ask::{check_value, keys, refused, value_in};
use crate::{all_words, answered, verdict, warned};
use reckon::{RefusalCode, Unit, VerdictWord};

/// Common practice: both drums of an axle alike within 0.25 mm, turned to +1.52 mm at most, gone above +2.28 mm or the mark cast.
#[test]
fn a_pair_of_drums_is_judged_as_a_pair() {
    use VerdictWord::{AboveLimits, InLimits};
    let new = "new=228.6 mm; measured=";
    // The other one is worn out, whichever of the two fields it stands in.
    for pair in ["229.0 mm; other=231 mm", "231 mm; other=229.0 mm"] {
        verdict(
            "drum",
            &format!("{new}{pair}"),
            "drum",
            AboveLimits,
            "Replace both",
        );
    }
    verdict(
        "drum",
        &format!("{new}229.0 mm; other=230.2 mm; cast=230.1 mm"),
        "drum",
        AboveLimits,
        "the other drum is above",
    );
    // Not alike, and the larger one may be turned to.
    let apart = format!("{new}229.0 mm; other=229.4 mm");
    verdict("drum", &apart, "drum", AboveLimits, "turn both to 229.4");
    check_value(
        &apart,
        &answered("drum", &apart),
        "turn_to",
        Unit::Millimetre,
        229.4,
        1e-9,
    );
    // Not alike, and the larger one is beyond what may be turned to: 228.6 + 1.52 = 230.12.
    let beyond = format!("{new}229.0 mm; other=230.5 mm");
    verdict("drum", &beyond, "drum", AboveLimits, "Replace both");
    assert!(!keys(&answered("drum", &beyond)).contains(&"turn_to"));
    verdict(
        "drum",
        &format!("{new}229.0 mm; other=229.2 mm; cast=230.88 mm"),
        "drum",
        InLimits,
        "alike",
    );
    verdict(
        "drum",
        &format!("{new}230.3 mm; other=230.4 mm; cast=230.88 mm"),
        "drum",
        InLimits,
        "may not be turned",
    );
    refused(
        "drum",
        "new=228.6 mm; measured=229 mm; other=220 mm",
        RefusalCode::Impossible,
        "other",
        "does not shrink",
    );
}

/// No size that is named to turn to lies above the discard diameter or the mark, wherever the mark and the drums lie.
#[test]
fn no_drum_is_turned_beyond_its_mark() {
    for cast in [228.6, 228.7, 229.0, 229.4, 229.8, 230.1] {
        for first in [228.6, 229.0, 229.5, 230.0, 230.6] {
            for other in [228.7, 229.2, 229.9, 230.4] {
                let arguments =
                    format!("new=228.6 mm; measured={first} mm; other={other} mm; cast={cast} mm");
                let answer = answered("drum", &arguments);
                for key in ["turn_to", "refinish"] {
                    if keys(&answer).contains(&key) {
                        let size = value_in(&answer, key, Unit::Millimetre);
                        assert!(size <= cast + 1e-9, "{arguments}: {key} {size}");
                    }
                }
                let worn_out = first > cast || other > cast;
                assert_eq!(
                    answer.verdicts[0].words.contains("Worn out"),
                    worn_out,
                    "{arguments}: {}",
                    answer.verdicts[0].words
                );
                assert!(
                    !(worn_out && all_words(&answer).contains("turn both")),
                    "{arguments}"
                );
            }
        }
    }
}

/// Common practice, no source: marks stand 1.5 to 2.3 mm above new, 3 mm on heavy drums; one 4 mm above it is a slip or another drum's.
#[test]
fn a_mark_far_above_new_is_not_believed() {
    for cast in ["240 mm", "260 mm", "9.5 in", "232.7 mm"] {
        let arguments = format!("new=228.6 mm; measured=229.4 mm; cast={cast}");
        refused(
            "drum",
            &arguments,
            RefusalCode::Impossible,
            "cast",
            "contradict each other",
        );
    }
    // 0.120 in above new is cast in heavy drums: believed, and asked about.
    let heavy = answered("drum", "new=228.6 mm; measured=229.4 mm; cast=231.65 mm");
    assert!(warned(&heavy, "mark"));
    assert!(!warned(
        &answered("drum", "new=228.6 mm; measured=229.4 mm; cast=230.9 mm"),
        "mark"
    ));
}

/// Common practice, no source: a drum does not shrink; 0.13 mm (0.005 in) is what a new one and a measure of it may be under its nominal size.
#[test]
fn a_drum_smaller_than_new_is_no_drum_in_limits() {
    for (arguments, small) in [
        ("measured=228.0 mm", true),
        ("measured=229.0 mm; other=228.3 mm", true),
        ("measured=228.3 mm; other=229.0 mm", true),
        ("measured=228.5 mm", false),
        ("measured=228.6 mm", false),
    ] {
        let arguments = format!("new=228.6 mm; {arguments}");
        let answer = answered("drum", &arguments);
        assert_eq!(warned(&answer, "smaller"), small, "{arguments}");
        let word = answer.verdicts[0].word;
        assert_eq!(word == VerdictWord::BelowLimits, small, "{arguments}");
        if small {
            let said = all_words(&answer);
            assert!(
                said.contains("does not shrink") && said.contains("measure again"),
                "{said}"
            );
            // Nothing is turned, and no size is named to turn to, by a measure that cannot be.
            assert!(
                !keys(&answer).contains(&"turn_to") && !said.contains("may be turned"),
                "{said}"
            );
        }
    }
}

/// Common practice: turned to +1.52 mm at most, gone above +2.28 mm. At the limit nothing is left.
#[test]
fn at_the_limit_nothing_is_left() {
    use VerdictWord::{InLimits, TooCloseToCall};
    // Exactly what it may be turned to: 228.6 + 1.52, in either unit; and by a mark.
    for at in [
        "measured=230.12 mm; cast=230.88 mm",
        "measured=229.4 mm; cast=230.16 mm",
        "measured=230.12 mm; other=230.12 mm; cast=230.88 mm",
    ] {
        let arguments = format!("new=228.6 mm; {at}");
        verdict("drum", &arguments, "drum", InLimits, "nothing is left to turn");
        assert!(!all_words(&answered("drum", &arguments)).contains("may be turned"));
    }
    // Below it, how much is left is said.
    let left = "new=228.6 mm; measured=229.4 mm; cast=230.88 mm";
    verdict("drum", left, "drum", InLimits, "may be turned");
    check_value(
        left,
        &answered("drum", left),
        "left_to_turn",
        Unit::Millimetre,
        0.72,
        1e-9,
    );
    // At the greatest diameter itself nothing is left to wear.
    for at in [
        "measured=230.88 mm",
        "measured=230.1 mm; cast=230.1 mm",
        "measured=229.9 mm; other=230.1 mm; cast=230.1 mm",
    ] {
        let arguments = format!("new=228.6 mm; {at}");
        verdict(
            "drum",
            &arguments,
            "drum",
            TooCloseToCall,
            "nothing is left to wear",
        );
        assert!(all_words(&answered("drum", &arguments)).contains("eplace"));
    }
}

/// Common practice: the mark cast in the drum decides. Without it, a rule of thumb calls no drum in limits.
#[test]
fn without_its_mark_no_drum_is_in_limits() {
    for drums in [
        "measured=229.0 mm",
        "measured=230.12 mm",
        "measured=230.5 mm",
        "measured=229.0 mm; other=229.1 mm",
        "measured=230.12 mm; other=230.12 mm",
        "measured=230.4 mm; other=230.5 mm",
    ] {
        let arguments = format!("new=228.6 mm; {drums}");
        let answer = answered("drum", &arguments);
        assert_eq!(answer.warnings[0].key, "no_mark", "{arguments}");
        assert!(
            answer.warnings[0].words.contains("find it"),
            "{}",
            answer.warnings[0].words
        );
        let found = &answer.verdicts[0];
        assert_eq!(
            found.word,
            VerdictWord::TooCloseToCall,
            "{arguments}: {}",
            found.words
        );
        assert!(
            !found.words.to_lowercase().contains("in limits"),
            "{}",
            found.words
        );
        assert!(found.words.contains("rule of thumb"), "{}", found.words);
        let marked = answered("drum", &format!("{arguments}; cast=230.9 mm"));
        assert!(!warned(&marked, "no_mark"));
        assert_eq!(marked.verdicts[0].word, VerdictWord::InLimits, "{arguments}");
    }
}

/// At the greatest diameter the badge says too close to call, and so do the words.
#[test]
fn at_the_mark_badge_and_words_agree() {
    for drums in ["measured=230.1 mm", "measured=229.9 mm; other=230.1 mm"] {
        let arguments = format!("new=228.6 mm; cast=230.1 mm; {drums}");
        verdict(
            "drum",
            &arguments,
            "drum",
            VerdictWord::TooCloseToCall,
            "Too close to call: ",
        );
        verdict(
            "drum",
            &arguments,
            "drum",
            VerdictWord::TooCloseToCall,
            "as if it were worn out",
        );
    }
}

/// Common practice, no source: a pedal gains, about 3 to 7 to 1; passenger cars' brakes work under 200 bar.
#[test]
fn pedals_and_pressures_that_cannot_be() {
    refused(
        "hydraulics",
        "foot=220 N; pedal_long=31 mm; pedal_short=250 mm; master=25.4 mm",
        RefusalCode::Impossible,
        "pedal_long",
        "are they changed over?",
    );
    // 700 N · 250/31 over a master of 16 mm: 281 bar.
    let high = "foot=700 N; pedal_long=250 mm; pedal_short=31 mm; master=16 mm";
    check_value(
        high,
        &answered("hydraulics", high),
        "pressure",
        Unit::Bar,
        280.8,
        0.5,
    );
    assert!(warned(&answered("hydraulics", high), "pressure"));
    let usual = "foot=220 N; pedal_long=250 mm; pedal_short=31 mm; master=25.4 mm";
    assert!(!warned(&answered("hydraulics", usual), "pressure"));
}
