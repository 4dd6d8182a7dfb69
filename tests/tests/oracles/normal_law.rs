//! The normal law behind the verdicts, and the coverage factors, judged by scipy.
//!
//! Never asks scipy for a verdict: the rule is ours, the probabilities are not.

use rand::Rng;
use reckon::VerdictWord;
use reckon::uncertainty::{Limits, Uncertainty, coverage_factor, judge, normal_below};
use serde_json::json;

use crate::{agrees, dice};

#[test]
fn scipy_has_the_same_normal_law() {
    let mut dice = dice();
    let mut cases = Vec::new();
    for at in -80..=80 {
        let z = f64::from(at) / 10.0;
        cases.push(json!({ "law": "below", "z": z, "found": normal_below(z) }));
    }
    for _ in 0..5_000 {
        let z = dice.random_range(-38.0..38.0);
        cases.push(json!({ "law": "below", "z": z, "found": normal_below(z) }));
    }
    let wrong = json!({ "law": "below", "z": 1.0, "found": 0.841_35 });
    agrees("normal.py", &cases, &wrong);
}

/// JCGM 106 conformance, with one limit and with two; and that a value called in limits has its 95 %.
#[test]
fn scipy_has_the_same_conformance() {
    let mut dice = dice();
    let (mut cases, mut called) = (Vec::new(), 0);
    while cases.len() < 20_000 {
        let low = dice.random_bool(0.7).then(|| dice.random_range(-1.0..0.0));
        let high = dice.random_bool(0.7).then(|| dice.random_range(0.0..1.0));
        let Some(limits) = Limits::new(low, high) else {
            continue;
        };
        let value: f64 = dice.random_range(-1.5..1.5);
        #[expect(
            clippy::disallowed_methods,
            reason = "only a draw: no answer rests on its bits"
        )]
        let standard = 10_f64.powf(dice.random_range(-3.0..0.5));
        let found = limits.probability(value, standard);
        let case = json!({ "law": "conformance", "value": value, "standard": standard, "low": low, "high": high, "found": found });
        cases.push(case);
        let judged = judge(value, limits, Uncertainty::standard(standard));
        if judged.word == VerdictWord::InLimits {
            assert!(judged.probability >= 0.95, "{value} {limits:?} {standard}");
            called += 1;
        }
        // The uncertainty that is named as deciding is just the one with which scipy finds 95 %.
        if let (Some(decides), Some(low), Some(high)) = (judged.decides, low, high)
            && judged.inside_by > 0.0
        {
            let standard = decides / 2.0;
            // U may be half the tolerance at most, so u a quarter.
            let most = (high - low) / 4.0;
            let found = if standard >= most * (1.0 - 1e-9) {
                limits.probability(value, standard).max(0.95)
            } else {
                0.95
            };
            cases.push(json!({ "law": "decides", "value": value, "standard": standard, "low": low, "high": high, "most": most, "found": found }));
        }
    }
    assert!(called > 500, "{called} called in limits");
    let wrong = json!({ "law": "conformance", "value": -5.47, "standard": 0.05, "low": null, "high": -5.40, "found": 0.9 });
    agrees("normal.py", &cases, &wrong);
}

/// JCGM 100, table G.2, row by row.
#[test]
fn scipy_has_the_same_coverage_factors() {
    let rows = (1..=20).chain([25, 30, 35, 40, 45, 50, 100]);
    let cases: Vec<_> = rows
        .map(|freedom| json!({ "law": "coverage", "freedom": freedom, "found": coverage_factor(f64::from(freedom)) }))
        .collect();
    let wrong = json!({ "law": "coverage", "freedom": 3, "found": 3.32 });
    agrees("normal.py", &cases, &wrong);
}
