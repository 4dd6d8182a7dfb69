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

/// What is told, and that the end says too that it could not be done.
#[track_caller]
fn failed(at: &Path, arguments: &[&str]) -> String {
    let output = run(at, arguments, "");
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    let told = [output.stdout, output.stderr].concat();
    String::from_utf8(told).unwrap()
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
    let said = failed(&one, &["drop", "look"]);
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
    said += &failed(&one, &["drop", "look"]);
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

/// A full disk, in memory and in a name space of its own: nothing of the look can be kept, and the shell neither shows the look before
/// it as if it were this one nor ends well. A stick that is away ends no better.
#[test]
fn a_look_that_fails_says_so_and_does_not_end_well() {
    let dir = tempfile::tempdir().unwrap();
    let (disk, stick) = (dir.path().join("disk"), dir.path().join("stick"));
    for folder in [&disk, &stick] {
        std::fs::create_dir(folder).unwrap();
    }
    let script = r#"
        mount -t tmpfs -o size=6m tmpfs "$DISK" || exit 90
        "$PROGRAM" --at "$DISK/one" start --car Tern --keeper Rosalind >/dev/null || exit 91
        "$PROGRAM" --at "$DISK/one" drop folder "$STICK" --name 'the stick' >/dev/null || exit 92
        "$PROGRAM" --at "$DISK/one" drop look >"$OUT/well" || exit 93
        cat /dev/zero >"$DISK/fill" 2>/dev/null
        "$PROGRAM" --at "$DISK/one" drop look 'the stick' >"$OUT/full" 2>"$OUT/full.said"
        echo $? >"$OUT/full.end"
        rm "$DISK/fill"
        mv "$STICK" "$STICK.away"
        "$PROGRAM" --at "$DISK/one" drop look >"$OUT/away" 2>"$OUT/away.said"
        echo $? >"$OUT/away.end"
        mv "$STICK.away" "$STICK"
        "$PROGRAM" --at "$DISK/one" drop look >"$OUT/again" || exit 94
    "#;
    let done = Command::new("unshare")
        .args(["-rm", "sh", "-c", script])
        .env("PROGRAM", env!("CARGO_BIN_EXE_witnessmark"))
        .env("DISK", &disk)
        .env("STICK", &stick)
        .env("OUT", dir.path())
        .output()
        .unwrap();
    assert!(
        done.status.success(),
        "{:?}: {}",
        done.status,
        String::from_utf8_lossy(&done.stderr)
    );
    let out = |name: &str| std::fs::read_to_string(dir.path().join(name)).unwrap();
    assert!(!out("well").contains("failed") && !out("again").contains("failed"));
    for name in ["full", "away"] {
        assert_eq!(out(&format!("{name}.end")).trim(), "2", "{name}: {}", out(name));
        let said = out(&format!("{name}.said"));
        assert!(
            said.contains("'the stick' could not be looked at: "),
            "{name}: {said}"
        );
    }
    assert!(
        out("full").contains("failed, and nothing of it could be kept"),
        "{}",
        out("full")
    );
    assert!(
        out("full").contains("What follows is of the look before it."),
        "{}",
        out("full")
    );
    assert!(
        out("away").contains("The last look failed: The folder is not there."),
        "{}",
        out("away")
    );
    assert!(!out("away").contains("taken:"), "{}", out("away"));
}

/// Whoever has read enough closes the pipe: that is no fault of the program's. What a file is called steers no terminal.
#[test]
fn a_closed_pipe_is_no_fault_and_a_files_name_steers_no_terminal() {
    let dir = tempfile::tempdir().unwrap();
    let one = dir.path().join("one");
    words(&one, &["start", "--car", "Tern", "--keeper", "Rosalind"], "");
    let mut child = Command::new(env!("CARGO_BIN_EXE_witnessmark"))
        .arg("commands")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Closed before a line is read.
    drop(child.stdout.take());
    let ended = child.wait_with_output().unwrap();
    assert!(ended.status.success(), "{:?}", ended.status);
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "");

    let stick = dir.path().join("stick\u{1b}]0;x\u{7}\nnot a line");
    std::fs::create_dir(&stick).unwrap();
    words(&one, &["drop", "folder", text(&stick)], "");
    let told = words(&one, &["drop", "list"], "");
    assert!(
        !told.chars().any(|letter| letter.is_control() && letter != '\n'),
        "{told:?}"
    );
    assert_eq!(told.trim_end().lines().count(), 1, "{told:?}");
    let file = stick.join("a\u{202e}b\u{1b}[2J\n.carry");
    let told = words(&one, &["carry", "out", text(&file), "--open"], "");
    assert!(!told.contains(['\u{1b}', '\u{202e}', '\u{7}']), "{told:?}");
    assert_eq!(told.trim_end().lines().count(), 1, "{told:?}");
}
