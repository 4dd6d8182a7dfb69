//! The same drop over places from outside: a folder, an S3 server (moto) and a WebDAV server (wsgidav) that the test starts
//! on loopback. A server that cannot be started fails the test.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use link::drop::{Bucket, DropError, DropLimits, Place, Store, WebDav};
use serde_json::{Value, json};
use tests::program::{ask, call};

use crate::group::Group;

/// A server of `tests/oracles/serve.py`; it ends when its standard input does.
pub(crate) struct Server {
    child: Child,
    port: u16,
}

fn python() -> PathBuf {
    if let Some(named) = std::env::var_os("WITNESSMARK_PYTHON") {
        return PathBuf::from(named);
    }
    // …/target/<profile>/deps/<test>: the libraries lie in …/target/venv.
    let test = std::env::current_exe().unwrap();
    test.ancestors().nth(3).unwrap().join("venv/bin/python")
}

impl Server {
    fn start(args: &[&str]) -> Self {
        let python = python();
        assert!(
            python.exists(),
            "the servers' Python is not there: run `cargo xtask test`, which makes it"
        );
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("oracles/serve.py");
        let mut child = Command::new(python)
            .arg(script)
            .args(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let port = line
            .trim()
            .strip_prefix("port ")
            .and_then(|port| port.parse().ok());
        let port = port.unwrap_or_else(|| panic!("the server {args:?} did not start: {line:?}"));
        Server { child, port }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        drop(self.child.stdin.take());
        let _ = self.child.wait();
    }
}

/// A server that speaks S3, and a bucket in it.
pub(crate) fn bucket() -> (Server, Bucket) {
    let server = Server::start(&["s3"]);
    // A bucket is made by its owner, not by this program.
    let mut line = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
    line.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    write!(
        line,
        "PUT /club HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
        server.port
    )
    .unwrap();
    let mut answer = String::new();
    BufReader::new(line).read_line(&mut answer).unwrap();
    assert!(answer.contains(" 200 "), "{answer}");
    let bucket = Bucket {
        endpoint: Some(format!("http://127.0.0.1:{}", server.port)),
        bucket: "club".to_owned(),
        key: "a-key".to_owned(),
        secret: "a-secret".to_owned(),
        ..Bucket::default()
    };
    (server, bucket)
}

/// Two devices meet through `place`, each through a connection of its own, with a photo of more than one piece.
fn meet(mut places: [Store; 2]) {
    let began = Instant::now();
    let mut two = Group::of(2, 7);
    let mut limits = DropLimits::default();
    limits.batches = 3;
    let mut now = 1_930_000_000;
    let photo: Vec<u8> = std::iter::repeat_with(|| two.dice.bytes())
        .take(40_000)
        .flatten()
        .collect();
    let hash = *blake3::hash(&photo).as_bytes();
    two.shelves[0].photos.insert(hash, photo.clone());
    two.shelves[1].wanted.insert(hash);
    assert_eq!(places[0].list("nothing-here").unwrap(), []);
    // What is told before is what is done then: a photo and the whole record, packed to less than it is.
    let ahead = two.ahead(0, &mut places[0], &limits, now);
    assert_eq!(ahead.to_put(), (1, photo.len() as u64));
    assert_eq!(ahead.to_write().0, two.devices[0].record.count());
    assert_eq!((ahead.to_read(), ahead.bytes_there()), ((0, 0), 0));
    for round in 0..8 {
        for at in [0, 1] {
            two.edit(at, 3);
            let told = two.look(at, &mut places[at], &limits, now);
            assert!(
                round > 0 || at == 1 || (told.photos_put == 1 && told.written == 2),
                "{told:?}"
            );
            assert!(round > 0 || at == 0 || told.photos_fetched == 1, "{told:?}");
        }
        now += 40_000;
    }
    for at in [0, 1, 0, 1, 0, 1] {
        two.look(at, &mut places[at], &limits, now);
        now += 100_000;
    }
    assert_eq!(two.devices[0].record.heads(), two.devices[1].record.heads());
    assert_eq!(two.devices[0].record.digest(), two.devices[1].record.digest());
    assert_eq!(two.shelves[1].photos[&hash], photo);
    let names = link::drop::Names::new(crate::party::SECRET, crate::party::RECORD);
    let there = places[0].list(&names.record()).unwrap();
    assert_eq!(there, {
        let mut seen = places[1].list(&names.record()).unwrap();
        seen.sort_by_key(|seen| there.iter().position(|one| one.path == seen.path));
        seen
    });
    // Eight rounds wrote eight batches each; written anew and the old ones taken away, few are left.
    assert!(there.len() <= 9, "{} files are left", there.len());
    let folders: BTreeSet<&str> = there
        .iter()
        .map(|seen| seen.path.rsplit_once('/').unwrap().0)
        .collect();
    assert_eq!(folders.len(), 3, "two devices' batches and one's photo");
    println!("met in {:?}", began.elapsed());
    let ahead = two.ahead(0, &mut places[0], &limits, now);
    assert!(ahead.is_idle(), "{ahead:?}");
    assert_eq!(
        ahead.bytes_there(),
        there.iter().map(|seen| seen.size).sum::<u64>()
    );

    // Bytes as they were written, a limit that holds, and what is not there.
    let mut bytes = Vec::new();
    places[1].read(&there[0].path, there[0].size, &mut bytes).unwrap();
    assert_eq!(bytes.len() as u64, there[0].size);
    let short = places[1].read(&there[0].path, there[0].size - 1, &mut Vec::new());
    assert!(matches!(short, Err(DropError::TooLarge { .. })));
    places[0].write("a/b/c", b"once".to_vec()).unwrap();
    places[1].remove("a/b/c").unwrap();
    places[1].remove("a/b/c").unwrap();
    let gone = places[0].read("a/b/c", 10, &mut Vec::new());
    assert!(matches!(gone, Err(DropError::Gone)));
}

/// Two folders of the program itself meet through a place, which each was told of by `drop_add`.
fn meet_by_the_program(place: &Value) {
    let root = tempfile::tempdir().unwrap();
    let (one, two) = (root.path().join("one"), root.path().join("two"));
    let file = root.path().join("x.carry");
    let file = file.to_str().unwrap();
    let spoken = "three words by voice";
    ask(&one, &["start", "--keeper", "Rosalind", "--car", "Tern"]);
    ask(&one, &["carry", "out", file, "--passphrase", spoken]);
    ask(&two, &["join", file, "--keeper", "Wilf", "--passphrase", spoken]);
    ask(&two, &["carry", "out", file]);
    ask(&one, &["carry", "in", "--welcome", file]);
    for at in [&one, &two] {
        let page = call(
            at,
            "drop_add",
            &json!({ "place": place, "name": "the club", "photos": true }),
        );
        assert_eq!(page["drops"][0]["name"], "the club", "{page}");
    }
    let look = |at: &Path| {
        let told = ask(at, &["drop", "look"])["drops"][0]["told"].clone();
        assert_eq!(
            (&told["stopped"], &told["faults"]),
            (&Value::Null, &json!([])),
            "{told}"
        );
        told
    };
    for (at, name) in [(&one, "gearbox"), (&two, "back axle"), (&one, "hood frame")] {
        call(at, "add_assembly", &json!({ "name": name }));
        assert_eq!(look(at)["written"], 1, "{name}");
        let other = if at == &one { &two } else { &one };
        assert_eq!(look(other)["batches"], 1, "{name}");
        assert_eq!(ask(&one, &["digest"]), ask(&two, &["digest"]), "{name}");
    }
}

#[test]
fn through_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    meet([
        Store::folder(folder.path()).unwrap(),
        Store::folder(folder.path()).unwrap(),
    ]);
    let missing = Store::folder(&folder.path().join("not-there"));
    assert!(matches!(missing, Err(DropError::NoPlace(_))));
}

#[test]
fn through_a_bucket() {
    let (_server, bucket) = bucket();
    meet([Store::bucket(&bucket).unwrap(), Store::bucket(&bucket).unwrap()]);
    meet_by_the_program(&json!({ "s3": {
        "endpoint": bucket.endpoint, "bucket": bucket.bucket, "prefix": "garage",
        "key": bucket.key, "secret": bucket.secret,
    } }));
    let none = Bucket {
        bucket: "another-club".to_owned(),
        ..bucket
    };
    let error = Store::bucket(&none).unwrap().write("a/b/c", vec![1]).unwrap_err();
    assert!(!error.to_string().contains("club"), "{error}");
}

#[test]
fn through_webdav() {
    let folder = tempfile::tempdir().unwrap();
    let server = Server::start(&["webdav", folder.path().to_str().unwrap()]);
    let login = |password: &str| WebDav {
        url: format!("http://127.0.0.1:{}/", server.port),
        login: Some(("dilys".to_owned(), password.to_owned())),
    };
    let right = login("a lathe and a kettle");
    meet([Store::webdav(&right).unwrap(), Store::webdav(&right).unwrap()]);
    // What lies in the folder behind the server is what was put through it.
    assert!(std::fs::read_dir(folder.path()).unwrap().count() >= 1);
    meet_by_the_program(&json!({ "webdav": {
        "url": right.url, "user": "dilys", "password": "a lathe and a kettle",
    } }));
    let wrong = Store::webdav(&login("a kettle")).unwrap().list("a").unwrap_err();
    assert!(matches!(wrong, DropError::Place(_)), "{wrong}");
    assert!(!wrong.to_string().contains("kettle"), "{wrong}");
}

#[test]
fn a_place_that_is_not_there_does_not_hang() {
    // A port that nobody listens on: taken, and given back.
    let port = std::net::TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap()
        .port();
    let began = Instant::now();
    let gone = WebDav {
        url: format!("http://127.0.0.1:{port}/"),
        login: None,
    };
    let error = Store::webdav(&gone).unwrap().list("a").unwrap_err();
    assert!(matches!(error, DropError::Place(_)), "{error}");
    assert!(began.elapsed() < Duration::from_secs(25), "{:?}", began.elapsed());
}
