//! Uncertainties put together, judged by the uncertainties package: it takes the derivatives of the formulas by itself.
//!
//! Where reckon has no uncertainty of its own for an answer (a compression ratio, a preload), the sensitivities are taken from its
//! answers by small steps and combined by its budget: both the formula and the budget are judged so.

use rand::Rng;
use rand_chacha::ChaCha8Rng;
use reckon::Unit;
use reckon::uncertainty::{Contribution, InstrumentKind, combine, en};
use serde_json::{Value, json};

use crate::bench::{answer, value};
use crate::{agrees, dice};

const CASES: usize = 300;

fn kind(dice: &mut ChaCha8Rng) -> &'static InstrumentKind {
    let kinds = InstrumentKind::all();
    &kinds[dice.random_range(0..kinds.len())]
}

/// What the oracle must know of an instrument, in mm.
fn told(kind: &InstrumentKind) -> Value {
    json!({ "limit": kind.limit_um / 1_000.0, "step": kind.step_um / 1_000.0 })
}

#[test]
fn uncertainties_puts_parts_together_as_we_do() {
    let mut dice = dice();
    let laws = ["standard", "limits", "triangular", "steps", "expanded"];
    let cases: Vec<Value> = (0..CASES)
        .map(|at| {
            let law = laws[at % laws.len()];
            let parts: Vec<f64> = (0..dice.random_range(1..8))
                .map(|_| f64::from(dice.random_range(1..50_000)) / 1_000.0)
                .collect();
            let typed = parts
                .iter()
                .map(|part| format!("{part:.3} µm"))
                .collect::<Vec<_>>()
                .join("; ");
            let answer = answer("combined", &[("parts", typed), ("law", law.to_owned())]);
            let standard = value(&answer, "standard", Unit::Micrometre);
            assert!((value(&answer, "expanded", Unit::Micrometre) - 2.0 * standard).abs() < 1e-9);
            json!({ "what": "together", "law": law, "parts": parts, "value": 0, "standard": standard })
        })
        .collect();
    let wrong =
        json!({ "what": "together", "law": "standard", "parts": [5, 3], "value": 0, "standard": 5.84 });
    agrees("propagation.py", &cases, &wrong);
}

#[test]
fn uncertainties_knows_clearances_as_we_do() {
    let mut dice = dice();
    let mut cases = Vec::new();
    for _ in 0..CASES {
        let (outer, inner) = (kind(&mut dice), kind(&mut dice));
        let bore = f64::from(dice.random_range(50_000..90_000)) / 1_000.0;
        let play = f64::from(dice.random_range(-100..200)) / 1_000.0;
        let shaft = bore - play;
        let answer = answer(
            "clearance",
            &[
                ("bore", format!("{bore:.3} mm")),
                ("inner", format!("{shaft:.3} mm")),
                ("bore_instrument", outer.name.to_owned()),
                ("inner_instrument", inner.name.to_owned()),
            ],
        );
        cases.push(json!({
            "what": "clearance", "bore": bore, "inner": shaft, "bore_with": told(outer), "inner_with": told(inner),
            "value": value(&answer, "clearance", Unit::Millimetre),
            "standard": value(&answer, "expanded", Unit::Millimetre) / 2.0,
        }));
        // Taper and out-of-round: two readings with one instrument, as `wear` judges them.
        let one = Contribution::standard(outer.uncertainty_mm().standard);
        let standard = combine(&[one, one.times(-1.0)]).standard;
        cases.push(json!({
            "what": "spread", "most": bore, "least": shaft, "with": told(outer), "value": bore - shaft, "standard": standard,
        }));
        let (first_u, second_u) = (dice.random_range(0.001..0.1), dice.random_range(0.001..0.1));
        // En is the difference over its expanded uncertainty.
        let standard = (bore - shaft).abs() / en(bore, first_u, shaft, second_u);
        if bore != shaft {
            cases.push(json!({
                "what": "difference", "first": bore, "first_u": first_u, "second": shaft, "second_u": second_u,
                "value": bore - shaft, "standard": standard,
            }));
        }
    }
    let micrometer = told(InstrumentKind::named("micrometer").unwrap());
    let wrong = json!({
        "what": "clearance", "bore": 77.0, "inner": 76.9, "bore_with": micrometer, "inner_with": micrometer,
        "value": 0.1, "standard": 0.004,
    });
    agrees("propagation.py", &cases, &wrong);
}

/// An argument: its name, its value, its standard uncertainty, the unit it is typed in.
type Given<'a> = (&'a str, f64, f64, &'a str);

/// The answer's value and its standard uncertainty, by small steps and reckon's budget.
fn propagated(name: &str, given: &[Given], more: &[(&str, &str)], key: &str, unit: Unit) -> (f64, f64) {
    let reckoned = |changed: usize, by: f64| {
        let mut typed: Vec<(&str, String)> = given
            .iter()
            .enumerate()
            .map(|(at, (name, value, _, symbol))| {
                let value = if at == changed { value + by } else { *value };
                (*name, format!("{value:.12} {symbol}"))
            })
            .collect();
        typed.extend(more.iter().map(|(name, text)| (*name, (*text).to_owned())));
        value(&answer(name, &typed), key, unit)
    };
    let parts: Vec<Contribution> = given
        .iter()
        .enumerate()
        .map(|(at, (_, value, standard, _))| {
            let step = value.abs().max(0.1) * 1e-5;
            let slope = (reckoned(at, step) - reckoned(at, -step)) / (2.0 * step);
            Contribution::standard(*standard).times(slope)
        })
        .collect();
    (reckoned(given.len(), 0.0), combine(&parts).standard)
}

#[test]
fn uncertainties_follows_the_formulas_as_we_do() {
    let mut dice = dice();
    let mut cases = Vec::new();
    let mut add = |what: &str, given: &[Given], (value, standard): (f64, f64)| {
        let at: serde_json::Map<String, Value> = given
            .iter()
            .map(|(name, value, standard, _)| ((*name).to_owned(), json!([value, standard])))
            .collect();
        // Slopes by steps are good to about the square of the step.
        cases.push(json!({ "what": what, "at": at, "value": value, "standard": standard, "to": 1e-6 }));
    };
    for _ in 0..CASES / 3 {
        let mut about = |low: f64, high: f64| {
            let value = (dice.random_range(low..high) * 1e6).round() / 1e6;
            (value, value * dice.random_range(0.000_1..0.01))
        };
        let (bore, stroke) = (about(60.0, 100.0), about(60.0, 100.0));
        let engine = [
            ("bore", bore.0, bore.1, "mm"),
            ("stroke", stroke.0, stroke.1, "mm"),
        ];
        let four = [("cylinders", "4")];
        let found = propagated(
            "displacement",
            &engine,
            &four,
            "displacement",
            Unit::CubicMillimetre,
        );
        add("displacement", &engine, found);
        let (chamber, gasket, deck) = (about(30_000.0, 60_000.0), about(0.5, 1.5), about(0.1, 1.0));
        let head = [
            engine[0],
            engine[1],
            ("chamber", chamber.0, chamber.1, "mm³"),
            ("gasket_thickness", gasket.0, gasket.1, "mm"),
            ("deck", deck.0, deck.1, "mm"),
        ];
        let found = propagated("displacement", &head, &four, "compression_ratio", Unit::One);
        add("compression_ratio", &head, found);
        let (torque, factor, diameter) = (about(5.0, 100.0), about(0.1, 0.3), about(6.0, 20.0));
        let bolt = [
            ("torque", torque.0, torque.1, "N·m"),
            ("factor", factor.0, factor.1, ""),
            ("diameter", diameter.0, diameter.1, "mm"),
        ];
        let found = propagated("torque", &bolt, &[], "preload_by_nut_factor", Unit::Kilonewton);
        add("preload", &bolt, found);
        let (turning, cycles, hone) = (about(100.0, 400.0), about(30.0, 90.0), about(80.0, 200.0));
        let honing = [
            ("bore", bore.0, bore.1, "mm"),
            ("turning", turning.0, turning.1, "rpm"),
            ("stroke", hone.0, hone.1, "mm"),
            ("cycles", cycles.0, cycles.1, ""),
        ];
        let found = propagated("hone", &honing, &[], "angle", Unit::Degree);
        add("hone", &honing, found);
    }
    let wrong = json!({
        "what": "displacement", "at": { "bore": [77.0, 0.01], "stroke": [64.0, 0.1] }, "value": 1_192_104.0, "standard": 1_000.0,
    });
    agrees("propagation.py", &cases, &wrong);
}
