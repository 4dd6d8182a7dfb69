//! The main job, headless, with the program itself: two devices that were edited apart meet by carry files and agree
//! on everything, and a third joins from the last of them.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};
use tests::shell::{call, done, run};

fn carry_out(at: &Path, file: &Path) {
    let written = done(at, &["carry", "out", file.to_str().unwrap()]);
    assert_eq!(written["whole"], true);
}

fn carry_in(at: &Path, file: &Path) -> Value {
    done(at, &["carry", "in", file.to_str().unwrap()])
}

#[test]
fn two_devices_meet_and_a_third_joins() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name);
    let built = run(&["demo", "--into", dir.path().to_str().unwrap()]);
    assert_eq!(built.code, Some(0), "{}", built.err);
    let (parent, child) = (at("parent"), at("child"));
    assert_ne!(
        done(&parent, &["digest"])["digest"],
        done(&child, &["digest"])["digest"]
    );

    for round in 0..2 {
        let (from_parent, from_child) = (
            at(&format!("parent-{round}.carry")),
            at(&format!("child-{round}.carry")),
        );
        carry_out(&parent, &from_parent);
        carry_out(&child, &from_child);
        let at_child = carry_in(&child, &from_parent);
        let at_parent = carry_in(&parent, &from_child);
        // The first meeting brings three weeks; the second brings nothing.
        for met in [&at_child, &at_parent] {
            assert_eq!(met["changes"] == 0, round == 1, "{met}");
        }
    }

    let digest = done(&parent, &["digest"]);
    assert_eq!(digest, done(&child, &["digest"]));
    for folder in [&parent, &child] {
        let report = done(folder, &["check"]);
        assert_eq!(report["sound"], true, "{report}");
        assert_eq!(done(folder, &["rebuild"])["changed"], false);
    }

    let points = call(&parent, "points", &json!({}));
    assert_eq!(
        points,
        call(&child, "points", &json!({})),
        "the same points in the same order"
    );
    let rules: BTreeSet<&str> = points
        .as_array()
        .unwrap()
        .iter()
        .map(|point| point["rule"].as_str().unwrap())
        .collect();
    let every = [
        "closed_over_hold",
        "closed_over_job",
        "same_code",
        "two_orders",
        "two_values",
    ];
    assert_eq!(rules.into_iter().collect::<Vec<_>>(), every);

    // A third device only joins, from the last carry file. Joining itself enters its keeper and its device, so it
    // is taken back to the others before the three are compared.
    let third = at("third");
    let last = at("child-1.carry");
    let joined = done(&third, &["join", last.to_str().unwrap(), "--keeper", "Ida"]);
    assert_eq!(joined["keeper_name"], "Ida");
    let news = done(&third, &["digest"]);
    assert_eq!(news["changes"], json!(digest["changes"].as_u64().unwrap() + 2));
    let from_third = at("third.carry");
    carry_out(&third, &from_third);
    for folder in [&parent, &child] {
        assert_eq!(carry_in(folder, &from_third)["changes"], 2);
    }
    let digests: BTreeSet<String> = [&parent, &child, &third]
        .iter()
        .map(|folder| done(folder, &["digest"]).to_string())
        .collect();
    assert_eq!(digests.len(), 1, "{digests:?}");
    assert_eq!(done(&third, &["check"])["sound"], true);
    assert_eq!(
        call(&third, "points", &json!({})),
        call(&parent, "points", &json!({}))
    );

    // A further device of a keeper who is there already enters one change only.
    let fourth = at("fourth");
    let _ = done(
        &fourth,
        &[
            "join",
            from_third.to_str().unwrap(),
            "--keeper",
            "Ida",
            "--device",
            "tablet",
        ],
    );
    assert_eq!(
        done(&fourth, &["digest"])["changes"],
        json!(digest["changes"].as_u64().unwrap() + 3)
    );

    // What two devices settle apart, each its half, is settled for both.
    let ids: Vec<(String, String)> = points
        .as_array()
        .unwrap()
        .iter()
        .map(|point| {
            (
                point["id"].as_str().unwrap().to_owned(),
                point["choices"][0]["key"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    for (number, (point, choice)) in ids.iter().enumerate() {
        let folder = if number % 2 == 0 { &parent } else { &child };
        let _ = call(
            folder,
            "settle",
            &json!({ "point": point, "choice": choice, "why": "agreed at the kitchen table" }),
        );
    }
    let (from_parent, from_child) = (at("settled-parent.carry"), at("settled-child.carry"));
    carry_out(&parent, &from_parent);
    carry_out(&child, &from_child);
    let _ = carry_in(&parent, &from_child);
    let _ = carry_in(&child, &from_parent);
    assert_eq!(call(&parent, "points", &json!({})), json!([]));
    assert_eq!(done(&parent, &["digest"]), done(&child, &["digest"]));
    assert_eq!(call(&child, "keepers", &json!({}))["settled"], json!(ids.len()));
}
