//! Bytes that are not what they are said to be: photos that are none, carry files forged with right checksums,
//! databases of other programs, requests to the loopback page that did not come from it. Each is refused in a word,
//! and nothing is changed by it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tests::forge::{Forge, Made, chunk, file_of, head};
use tests::picture;
use tests::program::{Served, ask, call, refused, request, run, tree};

fn begun(dir: &Path) -> (PathBuf, String) {
    let at = dir.join("device");
    let line = ask(&at, &["start", "--keeper", "Rosalind", "--car", "Tern"]);
    (at, line["id"].as_str().unwrap().to_owned())
}

fn put(served: &Served, path: &str, bytes: &[u8]) -> (u16, Value) {
    let (status, body) = served.request("POST", path, bytes).unwrap();
    (status, serde_json::from_slice(&body).unwrap())
}

#[test]
fn photos_that_are_none() {
    let dir = tempfile::tempdir().unwrap();
    let (at, _) = begun(dir.path());
    // Where its pages are is all that serving remembers.
    Served::at(&at).kill();
    call(&at, "keepers", &json!({}));
    let before = tree(&at);
    let good = picture::png(1, 40);
    // A PNG says its size in bytes 16 to 23 (W3C PNG specification, 11.2.1), with a checksum that decoders check.
    let mut vast = good.clone();
    vast[16..24].copy_from_slice(&[0, 1, 0x86, 0xA0, 0, 1, 0x86, 0xA0]);
    let mut turned = good.clone();
    let middle = turned.len() / 2;
    turned[middle] ^= 0xFF;
    let none: [(&str, Vec<u8>); 8] = [
        ("nothing", Vec::new()),
        ("words", b"this is a photo, honestly".to_vec()),
        ("a half", good[..good.len() / 2].to_vec()),
        ("a head alone", good[..33].to_vec()),
        ("a vast one", vast),
        ("a turned byte", turned),
        ("another sort", b"GIF89a\x01\x00\x01\x00\x00\x00\x00;".to_vec()),
        ("a page", b"<svg xmlns='http://www.w3.org/2000/svg'/>".to_vec()),
    ];
    let served = Served::at(&at);
    for (name, bytes) in &none {
        let (status, answer) = put(&served, "/photo", bytes);
        assert_eq!(
            (status, &answer["refusal"]["code"]),
            (422, &json!("no_photo")),
            "{name}: {answer}"
        );
    }
    let (status, answer) = put(&served, "/photo", &vec![0; (64 << 20) + 1]);
    assert_eq!(
        (status, &answer["refusal"]["code"]),
        (422, &json!("photo_too_large")),
        "{answer}"
    );
    served.kill();
    // A killed program tidies nothing away: what is there is what it kept.
    assert_eq!(call(&at, "keepers", &json!({}))["photos"], 0);
    assert_eq!(tree(&at), before, "a photo that is none left something behind");
    let served = Served::at(&at);
    assert_eq!(
        put(&served, "/photo", &good).0,
        200,
        "and a photo that is one is kept"
    );
    served.kill();
}

#[test]
fn a_photo_in_a_carry_file_that_is_none_is_left_out_and_said() {
    let dir = tempfile::tempdir().unwrap();
    let (at, record) = begun(dir.path());
    let before = tree(&at);
    let words = b"not a picture at all";
    let file = dir.path().join("photo.carry");
    let hash = *blake3::hash(words).as_bytes();
    let bytes = Forge::new(&head(&record, 0, 1))
        .photo(hash, words)
        .end([0, 1, 0, words.len() as u64]);
    std::fs::write(&file, bytes).unwrap();
    let met = ask(&at, &["carry", "in", file.to_str().unwrap()]);
    assert_eq!((&met["changes"], &met["photos"]), (&json!(0), &json!(0)), "{met}");
    assert!(met["news"].to_string().contains("which is no photo"), "{met}");
    let kept: Vec<&PathBuf> = before.keys().collect();
    let now = tree(&at);
    assert_eq!(now.keys().collect::<Vec<_>>(), kept, "something of it was kept");
    // And under another hash than its own, the file is not what it says.
    let bytes = Forge::new(&head(&record, 0, 1))
        .photo([7; 32], words)
        .end([0, 1, 0, words.len() as u64]);
    std::fs::write(&file, bytes).unwrap();
    refused(&at, &["carry", "in", file.to_str().unwrap()], "carry_file");
}

fn change(actor: u8, seq: u64, deps: Vec<[u8; 32]>) -> Vec<u8> {
    let made = Made {
        deps,
        actor: vec![actor; 16],
        seq,
        start: 1,
        message: b"by hand".to_vec(),
        rows: 5,
        action: 1,
    };
    chunk(&made.body())
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn forged_carry_files() {
    let dir = tempfile::tempdir().unwrap();
    let (at, record) = begun(dir.path());
    let with = |key: &str, value: Value| {
        let mut head = head(&record, 0, 0);
        head[key] = value;
        head
    };
    let nothing = [0, 0, 0, 0];
    let mut turned = change(1, 1, Vec::new());
    let last = turned.len() - 1;
    turned[last] ^= 1;
    let mut document = change(1, 1, Vec::new());
    document[8] = 0;
    let one = [b'H'; 32].as_slice();
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        (
            "a newer format",
            Forge::fronted(2, 0, &head(&record, 0, 0)).end(nothing),
            "carry_file",
        ),
        (
            "a sealed one",
            Forge::fronted(1, 1, &head(&record, 0, 0)).end(nothing),
            "carry_file",
        ),
        (
            "a newer record",
            Forge::new(&with("schema", json!(2))).end(nothing),
            "newer_record",
        ),
        (
            "a head without a record",
            Forge::new(&with("record", json!(7))).end(nothing),
            "carry_file",
        ),
        (
            "a head that is no JSON",
            Forge(b"\xE7wmcarry\x01\0\0\0\0\0\0\0".to_vec())
                .frame(b'H', b"{")
                .end(nothing),
            "carry_file",
        ),
        (
            "no head",
            Forge(b"\xE7wmcarry\x01\0\0\0\0\0\0\0".to_vec()).end(nothing),
            "carry_file",
        ),
        (
            "heads that cannot be",
            Forge::new(&with("heads", json!(["x"]))).end(nothing),
            "carry_file",
        ),
        (
            "whole and yet a part",
            Forge::new(&with("base", json!(["a1".repeat(32)]))).end(nothing),
            "carry_file",
        ),
        (
            "fewer changes than promised",
            Forge::new(&head(&record, 3, 0)).end([3, 0, 0, 0]),
            "carry_file",
        ),
        (
            "a frame that nobody knows",
            Forge::new(&head(&record, 0, 0)).frame(b'X', b"?").end(nothing),
            "carry_file",
        ),
        (
            "two heads",
            Forge::new(&head(&record, 0, 0)).frame(b'H', one).end(nothing),
            "carry_file",
        ),
        (
            "another car",
            Forge::new(&head("0190a6e0-0000-7000-8000-00000000dead", 0, 0)).end(nothing),
            "other_record",
        ),
        (
            "words for a change",
            file_of(&record, &[b"a change, honestly".to_vec()]),
            "damaged",
        ),
        ("an empty change", file_of(&record, &[Vec::new()]), "carry_file"),
        (
            "a change with a turned byte",
            file_of(&record, &[turned]),
            "damaged",
        ),
        (
            "a document for a change",
            file_of(&record, &[document]),
            "damaged",
        ),
        (
            "a change on top of one that is nowhere",
            file_of(&record, &[change(1, 1, vec![[3; 32]])]),
            "gap",
        ),
        (
            "a change that is not its writer's first",
            file_of(&record, &[change(1, 9, Vec::new())]),
            "damaged",
        ),
    ];
    for (name, bytes, code) in cases {
        let file = dir.path().join("forged.carry");
        std::fs::write(&file, bytes).unwrap();
        println!("{name}");
        let words = refused(&at, &["carry", "in", file.to_str().unwrap()], code);
        println!("  {words}");
        // Joining by it makes no record either.
        let fresh = tempfile::tempdir().unwrap();
        let ran = run([
            "--at",
            fresh.path().join("new").to_str().unwrap(),
            "join",
            file.to_str().unwrap(),
            "--keeper",
            "Ida",
        ]);
        let joined = ask(&fresh.path().join("new"), &["call", "records"]);
        if code == "other_record" {
            // It is whole, and of a car that is not kept there: a newcomer may.
            assert_eq!(ran.code, 0, "{name}: {}", ran.err);
        } else {
            assert_eq!((ran.code, joined), (1, json!([])), "{name}: {}", ran.err);
        }
    }
    assert_eq!(ask(&at, &["check"])["sound"], true);
}

#[test]
fn folders_that_are_not_ours() {
    let dir = tempfile::tempdir().unwrap();
    let (at, _) = begun(dir.path());
    let file = at.join("witnessmark.sqlite");
    // Another program's database.
    let other = dir.path().join("other");
    std::fs::create_dir_all(&other).unwrap();
    let db = rusqlite::Connection::open(other.join("witnessmark.sqlite")).unwrap();
    db.execute_batch("CREATE TABLE shopping (what TEXT);").unwrap();
    drop(db);
    refused(&other, &["digest"], "foreign_folder");
    refused(
        &other,
        &["start", "--keeper", "Ida", "--car", "Wren"],
        "foreign_folder",
    );
    // A database that is none any more: that is a failure and no refusal, and it is left as it is.
    let bytes = std::fs::read(&file).unwrap();
    let noise: Vec<u8> = bytes.iter().map(|byte| byte ^ 0x5A).collect();
    std::fs::write(&file, &noise).unwrap();
    let before = tree(&at);
    let ran = run(["--json", "--at", at.to_str().unwrap(), "call", "car"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let said: Value = serde_json::from_str(&ran.err).unwrap();
    assert_eq!(said["code"], "damaged_folder", "{said}");
    assert_eq!(tree(&at), before);
    // A folder that is a file.
    let plain = dir.path().join("plain");
    std::fs::write(&plain, "a file").unwrap();
    let ran = run([
        "--at",
        plain.to_str().unwrap(),
        "start",
        "--keeper",
        "Ida",
        "--car",
        "Wren",
    ]);
    assert!(ran.code == 1 || ran.code == 2, "{}", ran.code);
    assert_eq!(ran.err.trim_end().lines().count(), 1, "{}", ran.err);
    assert_eq!(std::fs::read(&plain).unwrap(), b"a file");
}

/// A request with these lines in its head; its status.
fn status(port: u16, head: &str, body: &str) -> u16 {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let head = format!(
        "{head}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(head.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer.split(' ').nth(1).unwrap().parse().unwrap()
}

#[test]
fn the_page_answers_nobody_else() {
    let dir = tempfile::tempdir().unwrap();
    let (at, _) = begun(dir.path());
    // Where its pages are is all that serving remembers.
    Served::at(&at).kill();
    call(&at, "keepers", &json!({}));
    let before = tree(&at);
    let served = Served::at(&at);
    let (port, token) = served.door();
    let add = json!({ "name": "add_part", "args": { "name": "from elsewhere" } }).to_string();
    let here = format!("Host: 127.0.0.1:{port}");
    let key = format!("X-Witnessmark-Token: {token}");
    let ask_by = |lines: &str| status(port, &format!("POST /call HTTP/1.1\r\n{lines}"), &add);
    assert_eq!(ask_by(&here), 401, "without a token");
    assert_eq!(
        ask_by(&format!(
            "{here}\r\nX-Witnessmark-Token: {}",
            "0".repeat(token.len())
        )),
        401
    );
    assert_eq!(
        ask_by(&format!("{here}\r\nX-Witnessmark-Token: {}", &token[1..])),
        401
    );
    assert_eq!(
        ask_by(&format!("Host: elsewhere.example\r\n{key}")),
        403,
        "another host"
    );
    assert_eq!(
        ask_by(&format!("Host: 127.0.0.1:{}\r\n{key}", port ^ 1)),
        403,
        "another port"
    );
    assert_eq!(
        ask_by(&format!("{here}\r\nOrigin: https://elsewhere.example\r\n{key}")),
        403,
        "another page"
    );
    assert_eq!(
        ask_by(&format!("{here}\r\nOrigin: null\r\n{key}")),
        403,
        "a page without a place"
    );
    for (method, path, body, wanted) in [
        ("POST", "/call", "{not json", 422),
        ("POST", "/call", "{\"name\":\"fly\"}", 422),
        ("POST", "/call", "", 422),
        ("POST", "/carry", "not a carry file", 422),
        ("GET", "/photo/none/original", "", 404),
        ("GET", "/photo/..%2F..%2Fwitnessmark.sqlite/original", "", 404),
        ("GET", "/carry/..%2Fwitnessmark.sqlite", "", 404),
        ("GET", "/carry/none.carry", "", 404),
    ] {
        let (status, answer) = request(port, &token, method, path, body.as_bytes()).unwrap();
        assert_eq!(
            status,
            wanted,
            "{method} {path}: {}",
            String::from_utf8_lossy(&answer)
        );
    }
    served.kill();
    assert_eq!(call(&at, "list", &json!({ "kind": "part" })), json!([]));
    assert_eq!(
        tree(&at),
        before,
        "a request that was turned away left something behind"
    );
}
