//! The built program as a child process: one call, a session of many calls, the pages on loopback, and what a
//! folder holds before and after. The program must be there and be newer than its sources; it is never built here.

use std::collections::{BTreeMap, VecDeque};
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::OnceLock;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, SystemTime};

use serde_json::{Value, json};

/// The root of the house.
#[must_use]
pub fn house() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// The built program: the one that `WITNESSMARK_BIN` names, or the one beside this test.
///
/// # Panics
/// Where it is not there, or is older than its sources.
pub fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        if let Some(named) = std::env::var_os("WITNESSMARK_BIN") {
            let named = PathBuf::from(named);
            assert!(
                named.is_file(),
                "WITNESSMARK_BIN names no file: {}",
                named.display()
            );
            return named;
        }
        let exe = std::env::current_exe().unwrap();
        // target/debug/deps/TEST: the program lies beside `deps`.
        let path = exe.parent().unwrap().parent().unwrap().join("witnessmark");
        let Some(made) = changed(&path) else {
            panic!(
                "the program is not built: run `cargo build -p cli` first ({})",
                path.display()
            );
        };
        let (newest, source) = newest_source();
        assert!(
            made >= newest,
            "the program is older than {}: run `cargo build -p cli` first",
            source.display()
        );
        path
    })
}

fn changed(path: &Path) -> Option<SystemTime> {
    fs::metadata(path).ok()?.modified().ok()
}

fn newest_source() -> (SystemTime, PathBuf) {
    let mut newest = (SystemTime::UNIX_EPOCH, PathBuf::new());
    let mut open: Vec<PathBuf> = ["reckon", "record", "store", "link", "notebook", "demo", "cli"]
        .iter()
        .map(|name| house().join("crates").join(name).join("src"))
        .collect();
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(&dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let made = changed(&path).unwrap();
                if made > newest.0 {
                    newest = (made, path);
                }
            }
        }
    }
    newest
}

/// What a run of the program left behind.
#[derive(Clone, Debug)]
pub struct Ran {
    /// The exit code.
    pub code: i32,
    /// What it printed.
    pub out: String,
    /// What it complained.
    pub err: String,
}

/// Runs the program with these arguments and waits for it.
///
/// # Panics
/// Where it cannot be started, prints what is no text, or ends by a signal.
#[must_use]
pub fn run<S: AsRef<std::ffi::OsStr>>(args: impl IntoIterator<Item = S>) -> Ran {
    let ran = Command::new(program())
        .args(args)
        .stdin(Stdio::null())
        .env_remove("WITNESSMARK_AT")
        // Whoever debugs the tests gets their backtraces; the program is judged by what a keeper sees.
        .env_remove("RUST_BACKTRACE")
        .output()
        .unwrap();
    Ran {
        code: ran.status.code().unwrap_or(-1),
        out: String::from_utf8(ran.stdout).unwrap(),
        err: String::from_utf8(ran.stderr).unwrap(),
    }
}

/// Runs the program over a folder, with `--json`, and reads its answer.
///
/// # Panics
/// Where it refuses or fails.
pub fn ask(dir: &Path, args: &[&str]) -> Value {
    let mut all = vec!["--json", "--at", dir.to_str().unwrap()];
    all.extend(args);
    let ran = run(&all);
    assert_eq!(ran.code, 0, "{args:?}: {}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

/// Asks a query or does a command of the registry.
///
/// # Panics
/// Where it is refused or fails.
pub fn call(dir: &Path, name: &str, args: &Value) -> Value {
    ask(dir, &["call", name, &args.to_string()])
}

/// Runs what must be refused, in words and as JSON, and looks at the folder before and after.
///
/// # Panics
/// Where it is not refused so.
#[track_caller]
pub fn refused(at: &Path, arguments: &[&str], code: &str) -> String {
    let before = tree(at);
    let at_text = at.to_str().unwrap();
    let mut plain = vec!["--at", at_text];
    plain.extend(arguments);
    let ran = run(&plain);
    assert!(!ran.err.trim().is_empty(), "{arguments:?}: not a word");
    assert_eq!(ran.code, 1, "{arguments:?}: {}", ran.err);
    assert_eq!(
        ran.err.trim_end().lines().count(),
        1,
        "{arguments:?}: {}",
        ran.err
    );
    assert_eq!(ran.out, "", "{arguments:?}");
    let mut as_json = vec!["--json"];
    as_json.extend(plain);
    let ran = run(&as_json);
    let said: Value = serde_json::from_str(&ran.err).unwrap_or_else(|_| panic!("{arguments:?}: {}", ran.err));
    assert_eq!(said["code"], code, "{arguments:?}: {said}");
    assert_eq!(tree(at), before, "{arguments:?} changed the folder");
    said["words"].as_str().unwrap().to_owned()
}

/// `witnessmark --at DIR call -`: requests in, answers out, until it is ended or killed.
#[derive(Debug)]
pub struct Session {
    child: Child,
    stdin: Option<ChildStdin>,
    answers: Receiver<Value>,
    kept: VecDeque<Value>,
}

impl Session {
    /// Begins one.
    ///
    /// # Panics
    /// Where the program cannot be started.
    #[must_use]
    pub fn at(dir: &Path) -> Self {
        let mut child = Command::new(program())
            .args(["--at", dir.to_str().unwrap(), "call", "-"])
            // A backtrace loads the program's symbols, which would be counted as the cost of what it refused.
            .env_remove("RUST_BACKTRACE")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (sender, answers) = channel();
        std::thread::spawn(move || {
            // A line that was cut short by a kill is no answer.
            for line in out.lines().map_while(Result::ok) {
                let Ok(answer) = serde_json::from_str(&line) else {
                    break;
                };
                if sender.send(answer).is_err() {
                    break;
                }
            }
        });
        Self {
            stdin: child.stdin.take(),
            child,
            answers,
            kept: VecDeque::new(),
        }
    }

    /// Hands a request in and waits for nothing; says whether the program still took it.
    pub fn send(&mut self, name: &str, args: &Value) -> bool {
        self.send_line(&json!({ "name": name, "args": args }).to_string())
    }

    /// Hands in a line that may be no request at all.
    pub fn send_line(&mut self, line: &str) -> bool {
        self.stdin
            .as_mut()
            .is_some_and(|stdin| writeln!(stdin, "{line}").is_ok())
    }

    /// The pipe that requests go into, for a thread that fills it.
    pub fn take_stdin(&mut self) -> Option<ChildStdin> {
        self.stdin.take()
    }

    /// The next answer; nothing once the program has ended.
    pub fn answer(&mut self) -> Option<Value> {
        self.kept.pop_front().or_else(|| self.answers.recv().ok())
    }

    /// Hands a request in and gives its reply.
    ///
    /// # Panics
    /// Where it is refused, or the program ends.
    pub fn ask(&mut self, name: &str, args: &Value) -> Value {
        assert!(self.send(name, args), "{name}: the program is gone");
        let answer = self.answer().unwrap_or_else(|| panic!("{name}: no answer"));
        match answer.get("reply") {
            Some(reply) => reply.clone(),
            None => panic!("{name} {args}: {answer}"),
        }
    }

    /// Kills the program at once and gives what it had answered and was not read yet.
    ///
    /// # Panics
    /// Where the system will not kill it.
    pub fn kill(mut self) -> Vec<Value> {
        // SIGKILL: nothing of the program runs after it.
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        let mut rest: Vec<Value> = std::mem::take(&mut self.kept).into();
        rest.extend(self.answers.iter());
        rest
    }

    /// Ends it by closing its input.
    ///
    /// # Panics
    /// Where it does not end well.
    pub fn end(mut self) {
        drop(self.stdin.take());
        let status = self.child.wait().unwrap();
        assert!(status.success(), "{status}");
    }

    /// The child's process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        // A test that panicked leaves no process behind; one that ended already does not mind.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// `witnessmark --at DIR serve`: the pages on loopback.
#[derive(Debug)]
pub struct Served {
    child: Child,
    port: u16,
    token: String,
}

impl Served {
    /// Begins to serve, and waits until it says where.
    ///
    /// # Panics
    /// Where it does not.
    #[must_use]
    pub fn at(dir: &Path) -> Self {
        let mut child = Command::new(program())
            .args(["--json", "--at", dir.to_str().unwrap(), "serve"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap())
            .read_line(&mut line)
            .unwrap();
        let told: Value = serde_json::from_str(&line).unwrap();
        Self {
            child,
            port: u16::try_from(told["port"].as_u64().unwrap()).unwrap(),
            token: told["token"].as_str().unwrap().to_owned(),
        }
    }

    /// One request; nothing where the program ended before it answered whole.
    #[must_use]
    pub fn request(&self, method: &str, path: &str, body: &[u8]) -> Option<(u16, Vec<u8>)> {
        request(self.port, &self.token, method, path, body)
    }

    /// The port and the token, for a thread of its own.
    #[must_use]
    pub fn door(&self) -> (u16, String) {
        (self.port, self.token.clone())
    }

    /// The child's process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Kills it at once.
    ///
    /// # Panics
    /// Where the system will not.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// One HTTP/1.1 request to loopback, by hand: RFC 9112, with a length and a closing.
#[must_use]
pub fn request(port: u16, token: &str, method: &str, path: &str, body: &[u8]) -> Option<(u16, Vec<u8>)> {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(60))).ok()?;
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Witnessmark-Token: {token}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).ok()?;
    stream.write_all(body).ok()?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).ok()?;
    let end = answer.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&answer[..end]).to_lowercase();
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let length: usize = head
        .lines()
        .find_map(|line| line.strip_prefix("content-length:"))?
        .trim()
        .parse()
        .ok()?;
    let body = answer[end + 4..].to_vec();
    (body.len() == length).then_some((status, body))
}

/// Every file of a folder with the BLAKE3 of its bytes. What says who holds the folder, and SQLite's own files that
/// come and go with an open database, are left out.
///
/// # Panics
/// Where a file cannot be read.
#[must_use]
pub fn tree(dir: &Path) -> BTreeMap<PathBuf, String> {
    let mut all = BTreeMap::new();
    let mut open = vec![dir.to_owned()];
    while let Some(at) = open.pop() {
        for entry in fs::read_dir(&at).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                open.push(path);
            } else if !name.starts_with("writer.") && !name.ends_with("-wal") && !name.ends_with("-shm") {
                let hash = blake3::hash(&fs::read(&path).unwrap()).to_hex().to_string();
                all.insert(path.strip_prefix(dir).unwrap().to_owned(), hash);
            }
        }
    }
    all
}

/// Copies a folder that nobody has open, and says of the copy that it is the same device, moved there.
///
/// # Panics
/// Where a file cannot be copied, or the program does not take it so.
pub fn moved(from: &Path, to: &Path) {
    copy(from, to);
    let ran = run(["--at", to.to_str().unwrap(), "folder", "same"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

/// Copies a folder that nobody has open.
///
/// # Panics
/// Where a file cannot be copied.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}
