//! Drops, sealed carry files and what is set aside, at a shell: two folders that never meet but through a third place.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

fn run(at: &Path, arguments: &[&str], typed: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_witnessmark"))
        .arg("--at")
        .arg(at)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that reads nothing may be gone already.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    child.wait_with_output().unwrap()
}

#[track_caller]
fn words(at: &Path, arguments: &[&str], typed: &str) -> String {
    let output = run(at, arguments, typed);
    let trouble = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{arguments:?}: {trouble}");
    String::from_utf8(output.stdout).unwrap()
}

#[track_caller]
fn json(at: &Path, arguments: &[&str]) -> Value {
    let told = words(at, &[arguments, &["--json"]].concat(), "");
    serde_json::from_str(&told).unwrap_or_else(|trouble| panic!("{arguments:?}: {trouble}: {told}"))
}

#[track_caller]
fn refused(at: &Path, arguments: &[&str], code: &str) -> String {
    let output = run(at, &[arguments, &["--json"]].concat(), "");
    assert_eq!(output.status.code(), Some(1), "{arguments:?}");
    let told: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert_eq!(told["code"], code, "{told}");
    told["words"].as_str().unwrap().to_owned()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn two_folders_meet_through_a_stick() {
    let dir = tempfile::tempdir().unwrap();
    let (one, two) = (dir.path().join("one"), dir.path().join("two"));
    let (file, stick) = (dir.path().join("x.carry"), dir.path().join("stick"));
    std::fs::create_dir(&stick).unwrap();
    words(&one, &["start", "--car", "Tern", "--keeper", "Rosalind"], "");
    let alone = refused(&one, &["carry", "out", text(&file)], "seal_wanted");
    assert!(alone.contains("passphrase"), "{alone}");
    // A passphrase by standard input stands in no list of processes.
    let said = words(
        &one,
        &["carry", "out", text(&file), "--passphrase", "-"],
        "three words by voice\n",
    );
    assert!(said.contains("passphrase"), "{said}");
    let join = ["join", text(&file), "--keeper", "Wilf"];
    refused(&two, &join, "passphrase_wanted");
    words(
        &two,
        &[&join[..], &["--passphrase", "-"]].concat(),
        "three words by voice\n",
    );
    let said = words(&two, &["carry", "out", text(&file)], "");
    assert!(said.contains("Only this device and"), "{said}");
    // The newcomer's device is not known yet: whose it says it is stands in the refusal, and the keeper says yes.
    let asked = refused(&one, &["carry", "in", text(&file)], "newcomer");
    assert!(asked.contains("Ask Wilf"), "{asked}");
    words(&one, &["carry", "in", text(&file), "--welcome"], "");
    let said = words(&one, &["carry", "out", text(&file), "--open", "--to", "Wilf"], "");
    assert!(said.contains("Whoever finds this file can read it"), "{said}");
    let said = words(&one, &["carry", "size", "--to", "Wilf"], "");
    assert!(said.starts_with("Would hold"), "{said}");

    assert!(words(&one, &["drop", "list"], "").contains("has no drop"));
    for at in [&one, &two] {
        let said = words(at, &["drop", "folder", text(&stick), "--name", "the stick"], "");
        assert!(
            said.contains("the stick (folder, with photos): not looked at yet"),
            "{said}"
        );
    }
    refused(&one, &["drop", "folder", text(&stick)], "drop_there");
    refused(
        &one,
        &["drop", "folder", text(&dir.path().join("nowhere"))],
        "drop_place",
    );
    words(&one, &["call", "add_assembly", r#"{ "name": "gearbox" }"#], "");
    let said = words(&one, &["drop", "ahead", "the stick"], "");
    assert!(said.starts_with("Would read 0 files"), "{said}");
    let page = json(&one, &["drop", "look"]);
    assert_eq!(page["drops"][0]["told"]["written"], 1, "{page}");
    let said = words(&two, &["drop", "look", "the stick"], "");
    assert!(said.contains("taken: 1 file, "), "{said}");
    words(&one, &["drop", "look"], "");
    assert_eq!(
        json(&one, &["digest"])["digest"],
        json(&two, &["digest"])["digest"]
    );

    // A lost device: what it puts there later is listed, and is in no part of the record.
    assert!(words(&one, &["aside"], "").contains("Nothing is set aside"));
    words(&one, &["revoke", "Wilf", "--why", "lost in the yard"], "");
    words(
        &two,
        &["call", "add_assembly", r#"{ "name": "axle of a finder" }"#],
        "",
    );
    words(&two, &["drop", "look"], "");
    let before = json(&one, &["digest"]);
    let said = words(&one, &["drop", "look"], "");
    assert!(said.contains("see witnessmark aside"), "{said}");
    let said = words(&one, &["aside"], "");
    assert!(
        said.contains("axle of a finder") && said.contains("by mistake"),
        "{said}"
    );
    assert_eq!(json(&one, &["digest"]), before);

    std::fs::rename(&stick, dir.path().join("drawer")).unwrap();
    let said = words(&one, &["drop", "look"], "");
    assert!(said.contains("put the stick in"), "{said}");
    assert!(words(&one, &["drop", "remove", "the stick"], "").contains("has no drop"));
    refused(&one, &["drop", "look", "the stick"], "no_drop");
}

#[test]
fn a_servers_secret_is_read_and_never_told() {
    let dir = tempfile::tempdir().unwrap();
    let one = dir.path().join("one");
    words(&one, &["start", "--car", "Tern", "--keeper", "Rosalind"], "");
    let bucket = [
        "drop",
        "s3",
        "http://127.0.0.1:9",
        "club",
        "--key",
        "an-id",
        "--name",
        "club",
    ];
    let web = [
        "drop",
        "webdav",
        "http://127.0.0.1:9/dav",
        "--user",
        "rosalind",
        "--no-photos",
    ];
    let mut said = words(&one, &bucket, "very-secret-key\n");
    said += &words(&one, &web, "very-secret-word\n");
    // Nobody listens there: said, and no more than that.
    said += &words(&one, &["drop", "look"], "");
    said += &json(&one, &["drop", "list"]).to_string();
    assert!(said.contains("could not be reached"), "{said}");
    for secret in ["very-secret", "an-id", "127.0.0.1"] {
        assert!(!said.contains(secret), "{secret} in {said}");
    }
    let kept = std::fs::read_to_string(one.join("drops.key")).unwrap();
    assert!(kept.contains("very-secret-key") && kept.contains("very-secret-word"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let meta = std::fs::metadata(one.join("drops.key")).unwrap();
        assert_eq!(meta.permissions().mode() & 0o777, 0o600);
    }
    // No database and no export has it.
    for file in ["witnessmark.sqlite", "witnessmark.sqlite-wal"] {
        let bytes = std::fs::read(one.join(file)).unwrap_or_default();
        let word = b"very-secret";
        assert!(!bytes.windows(word.len()).any(|window| window == word), "{file}");
    }
}
