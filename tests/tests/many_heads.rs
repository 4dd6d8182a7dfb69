//! A file of a thousand changes of which none builds on another: what came in can be carried out again, and carried on.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, ObjType, ROOT, ReadDoc};
use notebook::Notebook;
use serde_json::json;
use tests::device::unpacked;
use tests::folder::Seeded;
use tests::forge::file_of;

const MANY: u8 = 250;

#[test]
fn a_thousand_heads_that_came_in_go_out_again() {
    let dir = tempfile::tempdir().unwrap();
    let open = |name: &str, seed| {
        let place = dir.path().join(name);
        host::open(&place, "a test", Box::new(Seeded::of(seed))).unwrap()
    };
    let mut parent = open("parent", 1);
    parent
        .call(
            None,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        )
        .unwrap();
    let file = dir.path().join("out.carry");
    let out = |notebook: &mut Notebook| {
        let said = notebook.call(None, "carry_out", json!({ "open": true, "file": file }));
        (said, std::fs::read(&file))
    };
    let changes = unpacked(&out(&mut parent).1.unwrap());
    let mut doc = Automerge::new();
    for change in &changes {
        doc.load_incremental(change).unwrap();
    }
    let record = parent.call(None, "records", json!({})).unwrap()[0]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let (_, parts) = doc.get(ROOT, "parts").unwrap().unwrap();
    let mut all = changes;
    for page in 0..4_u8 {
        for number in 0..MANY {
            let mut actor = vec![7_u8; 16];
            actor[0] = page;
            actor[1] = number;
            actor.extend([number; 8]);
            let mut other = doc.fork().with_actor(ActorId::from(actor));
            let mut tx = other.transaction();
            let id = format!("01a223{page:02x}-{number:04x}-7000-8000-000000000000");
            let part = tx.put_object(&parts, id, ObjType::Map).unwrap();
            tx.put(&part, "name", "washer").unwrap();
            tx.commit_with(CommitOptions::default().with_time(1_900_000_000));
            all.push(other.get_last_local_change().unwrap().raw_bytes().to_vec());
        }
    }
    std::fs::write(&file, file_of(&record, &all)).unwrap();
    parent
        .call(None, "carry_in", json!({ "file": file, "welcome": true }))
        .unwrap();
    std::fs::remove_file(&file).unwrap();
    let washers = parent.call(None, "list", json!({ "kind": "part" })).unwrap();
    // A list shows so many; the search knows of the others.
    assert!(washers.as_array().unwrap().len() >= 500);
    let (said, _) = out(&mut parent);
    said.unwrap();
    let mut child = open("child", 2);
    child
        .call(None, "join_record", json!({ "file": file, "keeper": "Wilf" }))
        .unwrap();
    assert_eq!(
        child.call(None, "list", json!({ "kind": "part" })).unwrap(),
        washers
    );
}
