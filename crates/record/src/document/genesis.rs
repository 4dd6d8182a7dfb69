//! The fixed beginning of every record: the maps at the root, made once and built into the program as bytes, so
//! that any two devices share it. Two devices that each made their own maps could never see each other's entries.

use automerge::{Automerge, ROOT, ReadDoc};

use super::bad::{BadRecord, refused};

/// The beginning of version 1. Never to be changed: later versions add fixed changes of their own after it.
pub(super) const GENESIS: &[u8] = include_bytes!("genesis-1.bin");

/// Who wrote it.
pub(super) const ACTOR: &[u8] = b"genesis";

pub(super) fn document() -> Result<Automerge, BadRecord> {
    Automerge::load(GENESIS).map_err(refused)
}

/// The version of a document's shape; the largest where two devices disagree.
pub(super) fn schema(doc: &Automerge) -> i64 {
    let found = doc.get_all(ROOT, "schema").unwrap_or_default();
    found
        .iter()
        .filter_map(|(value, _)| value.as_i64().or_else(|| value.as_u64()?.try_into().ok()))
        .max()
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use automerge::transaction::{CommitOptions, Transactable};
    use automerge::{ActorId, ObjType};

    use crate::name::Kind;

    /// The maps of version 1. A later version's kinds come by a fixed change of their own, not by adding here.
    const ROOTS_1: &[&str] = &[
        "car",
        "keepers",
        "devices",
        "assemblies",
        "parts",
        "findings",
        "jobs",
        "tries",
        "sheets",
        "photos",
        "containers",
        "limits",
        "instruments",
        "readings",
        "orders",
        "hold_points",
        "waivers",
        "settlements",
    ];

    /// How the beginning was made. The bytes in the program are compared with it, so neither can drift.
    pub(in crate::document) fn make() -> Vec<u8> {
        let mut doc = Automerge::new().with_actor(ActorId::from(ACTOR));
        let mut tx = doc.transaction();
        tx.put(ROOT, "schema", 1_i64).unwrap();
        for root in ROOTS_1 {
            let many = tx.put_object(ROOT, *root, ObjType::Map).unwrap();
            if *root == "car" {
                let car = tx.put_object(&many, "car", ObjType::Map).unwrap();
                tx.put_object(&car, "note", ObjType::Text).unwrap();
            }
        }
        tx.commit_with(
            CommitOptions::default()
                .with_message("The beginning of a record")
                .with_time(0),
        );
        doc.get_changes(&[])
            .iter()
            .flat_map(|change| change.raw_bytes().to_vec())
            .collect()
    }

    #[test]
    fn the_bytes_in_the_program_are_the_beginning() {
        if std::env::var_os("WITNESSMARK_WRITE_GENESIS").is_some() {
            std::fs::write(
                concat!(env!("CARGO_MANIFEST_DIR"), "/src/document/genesis-1.bin"),
                make(),
            )
            .unwrap();
        }
        assert_eq!(make(), GENESIS);
        let doc = document().unwrap();
        assert_eq!(schema(&doc), 1);
        for kind in Kind::ALL.iter().filter(|kind| kind.since() == 1) {
            assert!(doc.get(ROOT, kind.root()).unwrap().is_some(), "no map for {kind}");
        }
    }
}
