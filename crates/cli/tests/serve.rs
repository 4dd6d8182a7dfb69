//! Serving: how it ends while pages are open, and what a browser may keep of what it was given. Unix only, for the signal.
#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

use std::io::{BufRead as _, BufReader, Read, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

struct Served {
    child: Child,
    port: u16,
    token: String,
}

impl Served {
    fn at(dir: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_witnessmark"))
            .arg("--at")
            .arg(dir)
            .args(["serve", "--json"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap())
            .read_line(&mut line)
            .unwrap();
        let said: Value = serde_json::from_str(&line).unwrap();
        Self {
            child,
            port: u16::try_from(said["port"].as_u64().unwrap()).unwrap(),
            token: said["token"].as_str().unwrap().to_owned(),
        }
    }

    fn connect(&self, request: &str) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
        let heads = format!(
            " HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nX-Witnessmark-Token: {}\r\n",
            self.port, self.token
        );
        let request = request.replacen('\n', &heads, 1);
        stream.write_all(request.as_bytes()).unwrap();
        stream
    }

    /// Asks once; the answer's head and body.
    fn ask(&self, request: &str, body: &[u8]) -> (String, Vec<u8>) {
        let length = body.len();
        let mut stream = self.connect(&format!(
            "{request}\nConnection: close\r\nContent-Length: {length}\r\n\r\n"
        ));
        stream.write_all(body).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        let head = String::from_utf8(answer[..end].to_vec()).unwrap().to_lowercase();
        (head, answer[end + 4..].to_vec())
    }

    fn call(&self, name: &str, args: Value) -> Value {
        let body = json!({ "name": name, "args": args }).to_string();
        let (head, body) = self.ask("POST /call", body.as_bytes());
        assert!(head.starts_with("http/1.1 200"), "{name}: {head}");
        serde_json::from_slice::<Value>(&body).unwrap()["reply"].clone()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn first_line(stream: &TcpStream) -> String {
    let mut line = String::new();
    BufReader::new(stream).read_line(&mut line).unwrap();
    line
}

#[test]
fn it_ends_within_two_seconds_while_pages_are_open() {
    for signal in ["-INT", "-TERM"] {
        let dir = tempfile::tempdir().unwrap();
        let mut served = Served::at(dir.path());
        served.call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
        // Pages that listen for patches, one that is silent, and one in the middle of sending a photo.
        let open: Vec<TcpStream> = (0..6).map(|_| served.connect("GET /patches\n\r\n")).collect();
        for stream in &open {
            assert!(first_line(stream).starts_with("HTTP/1.1 200"));
        }
        let _silent = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
        let _half = served.connect("POST /photo\nContent-Length: 1000000\r\n\r\nhalf");
        let id = served.child.id().to_string();
        assert!(
            Command::new("kill")
                .args([signal, &id])
                .status()
                .unwrap()
                .success()
        );
        let began = Instant::now();
        let status = loop {
            if let Some(status) = served.child.try_wait().unwrap() {
                break status;
            }
            assert!(
                began.elapsed() < Duration::from_secs(20),
                "{signal}: it goes on serving"
            );
            std::thread::sleep(Duration::from_millis(10));
        };
        let took = began.elapsed();
        println!("{signal}: it ended after {took:?}");
        assert!(took < Duration::from_secs(2), "{signal}: it ended after {took:?}");
        assert!(status.success(), "{signal}: {status}");
        // Every page was told: its stream came to an end.
        for mut stream in open {
            let mut rest = Vec::new();
            stream.read_to_end(&mut rest).unwrap();
        }
        // What was kept is kept, and nobody holds the folder.
        let again = Served::at(dir.path());
        assert_eq!(again.call("records", json!({}))[0]["car"], "Tern");
    }
}

#[test]
fn an_original_stays_in_no_browser_and_a_body_that_is_too_long_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let served = Served::at(dir.path());
    served.call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    // A grey picture of one pixel (PNG, third edition), made by hand.
    let png: &[u8] = &[
        0x89, b'P', b'N', b'G', 13, 10, 26, 10, 0, 0, 0, 13, b'I', b'H', b'D', b'R', 0, 0, 0, 1, 0, 0, 0, 1,
        8, 0, 0, 0, 0, 0x3A, 0x7E, 0x9B, 0x55, 0, 0, 0, 10, b'I', b'D', b'A', b'T', 0x78, 0x9C, 0x63, 0x60,
        0, 0, 0, 2, 0, 1, 0x48, 0xAF, 0xA4, 0x71, 0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xAE, 0x42, 0x60, 0x82,
    ];
    let (head, body) = served.ask("POST /photo", png);
    assert!(
        head.starts_with("http/1.1 200"),
        "{head} {}",
        String::from_utf8_lossy(&body)
    );
    let taken: Value = serde_json::from_slice(&body).unwrap();
    let hash = taken["reply"]["hash"].as_str().unwrap();
    let (head, body) = served.ask(&format!("GET /photo/{hash}/original"), b"");
    assert!(body == png && head.contains("cache-control: no-store"), "{head}");
    let (head, _) = served.ask(&format!("GET /photo/{hash}/thumb"), b"");
    assert!(
        head.contains("image/jpeg") && head.contains("max-age=600"),
        "{head}"
    );
    let (head, body) = served.ask("POST /photo", &vec![0; (64 << 20) + 1]);
    let told: Value = serde_json::from_slice(&body).unwrap();
    assert!(head.starts_with("http/1.1 422"), "{head}");
    assert_eq!(told["refusal"]["code"], "photo_too_large", "{told}");
}

/// What a process has had in memory at the most, as the kernel says (VmHWM, proc(5)).
#[cfg(target_os = "linux")]
fn peak_kb(id: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{id}/status")).unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn a_carry_file_is_not_held_in_memory_while_it_comes_and_leaves_nothing() {
    const SENT: usize = 200 << 20;
    let dir = tempfile::tempdir().unwrap();
    let served = Served::at(dir.path());
    served.call("start_record", json!({ "car": "Tern", "keeper": "Rosalind" }));
    let before = peak_kb(served.child.id());
    let (head, body) = served.ask("POST /carry", &vec![0; SENT]);
    assert!(
        head.starts_with("http/1.1 422"),
        "{head} {}",
        String::from_utf8_lossy(&body)
    );
    let grown = peak_kb(served.child.id()) - before;
    println!("{SENT} bytes sent: {grown} kB more at the peak");
    assert!(grown < 32_000, "{grown} kB for {SENT} bytes");
    // One that breaks off leaves nothing either.
    drop(served.connect("POST /carry\nContent-Length: 1000000\r\n\r\nhalf"));
    let left = || {
        let all = std::fs::read_dir(dir.path().join("carry")).into_iter().flatten();
        all.flatten().map(|one| one.file_name()).collect::<Vec<_>>()
    };
    let began = Instant::now();
    while !left().is_empty() {
        assert!(began.elapsed() < Duration::from_secs(20), "{:?}", left());
        std::thread::sleep(Duration::from_millis(20));
    }
    // What a killed program had set down is gone at the next opening.
    drop(served);
    std::fs::write(dir.path().join("carry/.in-left.carry"), b"half").unwrap();
    let served = Served::at(dir.path());
    assert!(left().is_empty(), "{:?}", left());
    assert_eq!(served.call("records", json!({}))[0]["car"], "Tern");
}
