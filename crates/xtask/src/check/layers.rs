//! Who may depend on whom, read from the manifests: reckon ← record ← {store, link, book} ← notebook ← host ←
//! {demo} ← {cli, src-tauri}, and notebook ← web, which has no host; tests sees all; xtask sees none.
//!
//! It looks at declared edges of every kind (normal, dev, build): an edge that is not declared cannot be used.

use cargo_metadata::Metadata;

use super::Fault;

/// A workspace member as this rule sees it.
#[derive(Debug, Clone)]
pub(crate) struct Member {
    name: String,
    needs: Vec<String>,
    by_default: bool,
}

const BELOW_NOTEBOOK: &[&str] = &["reckon", "record", "store", "link", "book"];
const BELOW_HOST: &[&str] = &["reckon", "record", "store", "link", "book", "notebook"];
const BELOW_DEMO: &[&str] = &["reckon", "record", "store", "link", "book", "notebook", "host"];
const BELOW_FACES: &[&str] = &[
    "reckon", "record", "store", "link", "book", "notebook", "host", "demo",
];

/// Each member and what it may see of the house. A crate that is not here has no place yet.
const MAY_SEE: &[(&str, &[&str])] = &[
    ("reckon", &[]),
    ("record", &["reckon"]),
    ("store", &["reckon", "record"]),
    ("link", &["reckon", "record"]),
    ("book", &["reckon", "record"]),
    ("notebook", BELOW_NOTEBOOK),
    ("host", BELOW_HOST),
    ("demo", BELOW_DEMO),
    ("cli", BELOW_FACES),
    ("web", BELOW_HOST),
    ("witnessmark-desktop", BELOW_FACES),
    (
        "tests",
        &[
            "reckon",
            "record",
            "store",
            "link",
            "book",
            "notebook",
            "host",
            "demo",
            "cli",
            "web",
            "witnessmark-desktop",
        ],
    ),
    ("xtask", &[]),
];

/// Outside crates that have one owner, by the start of their name; `tests` may use them as well.
const OWNED: &[(&str, &[&str])] = &[
    ("automerge", &["record"]),
    ("rusqlite", &["store"]),
    ("libsqlite3-sys", &["store"]),
    ("tauri", &["witnessmark-desktop"]),
    ("iroh", &["link"]),
    ("object_store", &["link"]),
    ("age", &["link"]),
    ("spake2", &["link"]),
    ("typst", &["book"]),
    ("axum", &["cli"]),
    ("tokio", &["cli", "link"]),
];

/// The shell needs a webview on the machine, so a plain `cargo test` leaves it out.
const LEFT_OUT: &str = "witnessmark-desktop";

/// The members with their declared edges.
pub(crate) fn members(metadata: &Metadata) -> Vec<Member> {
    let defaults: Vec<_> = metadata
        .workspace_default_packages()
        .iter()
        .map(|package| package.id.clone())
        .collect();
    metadata
        .workspace_packages()
        .into_iter()
        .map(|package| Member {
            name: package.name.to_string(),
            needs: package
                .dependencies
                .iter()
                .map(|need| need.name.clone())
                .collect(),
            by_default: defaults.contains(&package.id),
        })
        .collect()
}

/// Every edge that the order forbids.
pub(crate) fn faults(members: &[Member]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for member in members {
        let Some((_, may_see)) = MAY_SEE.iter().find(|(name, _)| *name == member.name) else {
            faults.push(Fault::new(
                &member.name,
                "has no place in the order of layers; give it one in xtask's layers.rs",
            ));
            continue;
        };
        for need in &member.needs {
            let ours = members.iter().any(|other| other.name == *need);
            if ours && !may_see.contains(&need.as_str()) {
                faults.push(Fault::new(&member.name, format!("may not depend on {need}")));
            }
            for (start, owners) in OWNED {
                let owned = !ours && (need == start || need.starts_with(&format!("{start}-")));
                if owned && member.name != "tests" && !owners.contains(&member.name.as_str()) {
                    faults.push(Fault::new(
                        &member.name,
                        format!("may not depend on {need}: only {} does", owners.join(", ")),
                    ));
                }
            }
        }
        match (member.name == LEFT_OUT, member.by_default) {
            (true, true) => faults.push(Fault::new(&member.name, "must stay out of default-members")),
            (false, false) => faults.push(Fault::new(
                &member.name,
                "is not among default-members, so `cargo test` forgets it",
            )),
            _ => {}
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(members: &[(&str, &[&str])], expected: &[&str]) {
        let members: Vec<_> = members
            .iter()
            .map(|(name, needs)| Member {
                name: (*name).to_owned(),
                needs: needs.iter().map(|need| (*need).to_owned()).collect(),
                by_default: *name != LEFT_OUT,
            })
            .collect();
        let told: Vec<_> = faults(&members)
            .iter()
            .map(|fault| format!("{}: {}", fault.place, fault.what))
            .collect();
        assert_eq!(told, expected);
    }

    #[test]
    fn the_order_itself_is_clean() {
        check(
            &[
                ("reckon", &["num-rational"]),
                ("record", &["reckon", "automerge"]),
                ("store", &["record", "rusqlite"]),
                ("link", &["record", "iroh"]),
                ("notebook", &["record", "store", "link", "reckon"]),
                ("host", &["notebook", "store", "link"]),
                ("demo", &["host", "notebook"]),
                ("cli", &["demo", "notebook", "axum", "tokio"]),
                (LEFT_OUT, &["host", "notebook", "tauri", "tauri-build"]),
                ("tests", &["cli", "store", "automerge", "rusqlite"]),
                ("xtask", &["cargo_metadata"]),
            ],
            &[],
        );
    }

    #[test]
    fn forbidden_edges_are_told() {
        check(
            &[("reckon", &["record"]), ("record", &[])],
            &["reckon: may not depend on record"],
        );
        check(
            &[("store", &["link"]), ("link", &["store"])],
            &["store: may not depend on link", "link: may not depend on store"],
        );
        check(
            &[("record", &["store"]), ("store", &[])],
            &["record: may not depend on store"],
        );
        check(
            &[("xtask", &["reckon"]), ("reckon", &[])],
            &["xtask: may not depend on reckon"],
        );
        check(
            &[("notebook", &["host"]), ("host", &["notebook"])],
            &["notebook: may not depend on host"],
        );
        check(
            &[("demo", &["cli"]), ("cli", &[])],
            &["demo: may not depend on cli"],
        );
    }

    #[test]
    fn owned_crates_have_one_owner() {
        check(
            &[("store", &["automerge"])],
            &["store: may not depend on automerge: only record does"],
        );
        check(
            &[("notebook", &["rusqlite"])],
            &["notebook: may not depend on rusqlite: only store does"],
        );
        check(
            &[("cli", &["tauri"])],
            &["cli: may not depend on tauri: only witnessmark-desktop does"],
        );
        check(
            &[("notebook", &["iroh-blobs"])],
            &["notebook: may not depend on iroh-blobs: only link does"],
        );
        check(
            &[("notebook", &["tokio"])],
            &["notebook: may not depend on tokio: only cli, link does"],
        );
    }

    #[test]
    fn a_crate_needs_a_place() {
        check(
            &[("cellar", &[])],
            &["cellar: has no place in the order of layers; give it one in xtask's layers.rs"],
        );
    }

    #[test]
    fn default_members_are_all_but_the_shell() {
        let member = |name: &str, by_default| Member {
            name: name.into(),
            needs: vec![],
            by_default,
        };
        assert_eq!(faults(&[member("reckon", false)]).len(), 1);
        assert_eq!(faults(&[member(LEFT_OUT, true)]).len(), 1);
        assert_eq!(
            faults(&[member("reckon", true), member(LEFT_OUT, false)]).len(),
            0
        );
    }
}
