//! The order of parts along a shaft, said as one list: which parts are in it, and what stands there after two said it apart.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, pair};
use notebook::Notebook;
use serde_json::{Value, json};

fn parts(notebook: &mut Notebook, assembly: &str) -> Vec<Value> {
    let page = ask(notebook, "assembly", json!({ "id": assembly }));
    page["parts"].as_array().unwrap().clone()
}

/// The names of what is in the row, as it lists; and whether two said it apart.
fn row(notebook: &mut Notebook, assembly: &str) -> (Vec<String>, bool) {
    let parts = parts(notebook, assembly);
    let apart = parts.iter().any(|part| part["row_contradicts"] == true);
    assert!(
        parts.iter().all(|part| part["contradicts"] == false),
        "nobody is asked about a key"
    );
    let stand = parts
        .iter()
        .filter(|part| part["in_row"] == true && part["struck"].is_null());
    (
        stand
            .map(|part| part["name"].as_str().unwrap().to_owned())
            .collect(),
        apart,
    )
}

#[test]
fn two_who_order_a_shaft_apart_are_told_and_either_says_it_anew() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let shaft = id(&ask(&mut parent, "add_assembly", json!({ "name": "Layshaft" })));
    let add = |name: &str| {
        id(&ask(
            &mut parent,
            "add_part",
            json!({ "name": name, "assembly": shaft }),
        ))
    };
    let [x, y, z] = ["x", "y", "z"].map(add);
    meet(&mut parent, &mut child);
    let stack = |notebook: &mut Notebook, parts: [&String; 3]| {
        ask(
            notebook,
            "stack_parts",
            json!({ "assembly": shaft, "parts": parts }),
        );
    };
    stack(&mut parent, [&x, &y, &z]);
    stack(&mut child, [&z, &y, &x]);
    assert_eq!(
        row(&mut child, &shaft),
        (vec!["z".into(), "y".into(), "x".into()], false)
    );
    meet(&mut parent, &mut child);
    let merged = row(&mut parent, &shaft);
    assert!(merged.1, "two said it apart");
    assert_eq!(merged, row(&mut child, &shaft), "it reads alike on both");
    // Whoever looked at the metal says it anew, also where it happens to read so already.
    let stands = merged.0.clone();
    let as_it_stands: Vec<&String> = stands
        .iter()
        .map(|name| match name.as_str() {
            "x" => &x,
            "y" => &y,
            _ => &z,
        })
        .collect();
    stack(&mut parent, [as_it_stands[0], as_it_stands[1], as_it_stands[2]]);
    meet(&mut parent, &mut child);
    for notebook in [&mut parent, &mut child] {
        assert_eq!(row(notebook, &shaft), (stands.clone(), false));
    }
}

#[test]
fn a_part_that_was_struck_out_keeps_no_row_from_being_ordered() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _) = pair(dir.path());
    let shaft = id(&ask(&mut parent, "add_assembly", json!({ "name": "Layshaft" })));
    let add = |name: &str| {
        id(&ask(
            &mut parent,
            "add_part",
            json!({ "name": name, "assembly": shaft }),
        ))
    };
    let [x, y, z] = ["x", "y", "z"].map(add);
    let stack = |notebook: &mut Notebook, parts: &[&String]| {
        ask(
            notebook,
            "stack_parts",
            json!({ "assembly": shaft, "parts": parts }),
        );
    };
    stack(&mut parent, &[&x, &y, &z]);
    ask(
        &mut parent,
        "strike",
        json!({ "name": format!("part:{y}"), "why": "there is one only" }),
    );
    stack(&mut parent, &[&z, &x]);
    assert_eq!(row(&mut parent, &shaft).0, ["z", "x"]);
    // What is left out of the list stands in no row.
    stack(&mut parent, &[&x]);
    assert_eq!(row(&mut parent, &shaft).0, ["x"]);
}
