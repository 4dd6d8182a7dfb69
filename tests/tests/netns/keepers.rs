//! Two keepers' notebooks in hosts of their own, as they are used: they pair by voice over mDNS, an edit appears on the
//! other within a second, the cable is pulled amid a photo and comes back under another address, and the photo goes on
//! where it stopped. No address is told to either.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::space::Space;
use crate::{AGAIN, APPEARS, LONG, SETTLED};

/// A keeper's notebook, in a process of its own.
struct Keeper {
    child: Child,
    orders: ChildStdin,
    said: BufReader<ChildStdout>,
}

impl Keeper {
    fn start(space: &Space, folder: &std::path::Path, seed: u32) -> Self {
        let mut child = Command::new("ip")
            .args(["netns", "exec", &space.0, env!("CARGO_BIN_EXE_net-keeper")])
            .arg(folder)
            .arg(seed.to_string())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut keeper = Self {
            orders: child.stdin.take().unwrap(),
            said: BufReader::new(child.stdout.take().unwrap()),
            child,
        };
        assert_eq!(keeper.line(), "ready");
        keeper
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.said.read_line(&mut line).unwrap();
        line.trim_end().to_owned()
    }

    fn asked(&mut self, name: &str, args: &Value) -> Result<Value, Value> {
        writeln!(self.orders, "{name} {args}").unwrap();
        let line = self.line();
        match line.split_once(' ') {
            Some(("ok", reply)) => Ok(serde_json::from_str(reply).unwrap()),
            Some(("no", refusal)) => Err(serde_json::from_str(refusal).unwrap()),
            _ => panic!("{name}: {line}"),
        }
    }

    fn ask(&mut self, name: &str, args: &Value) -> Value {
        self.asked(name, args)
            .unwrap_or_else(|refusal| panic!("{name}: {refusal}"))
    }

    fn pairing(&mut self) -> Value {
        self.ask("pair_code", &json!({}))
    }

    /// Waits for a state of the pairing.
    fn comes_to(&mut self, state: &str) -> Value {
        let until = Instant::now() + LONG;
        loop {
            let stands = self.pairing();
            if stands["state"] == state {
                return stands;
            }
            assert!(Instant::now() < until, "{state} did not come: {stands}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn has(&mut self, text: &str) -> bool {
        let found = self.ask("search", &json!({ "text": text }));
        !found.as_array().unwrap().is_empty()
    }

    fn is_live(&mut self) -> bool {
        let page = self.ask("meetings", &json!({}));
        let devices = page["devices"].as_array().unwrap();
        devices
            .iter()
            .any(|one| one["phase"] == "live" && one["alike"] == true)
    }

    /// Whether anybody is here, however far the meeting is.
    fn meets(&mut self) -> bool {
        let page = self.ask("meetings", &json!({}));
        page["devices"]
            .as_array()
            .unwrap()
            .iter()
            .any(|one| one["phase"] != "away")
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn until(what: &str, within: Duration, mut so: impl FnMut() -> bool) -> Duration {
    let began = Instant::now();
    while !so() {
        assert!(began.elapsed() < within, "{what} within {within:?}");
        std::thread::sleep(Duration::from_millis(10));
    }
    began.elapsed()
}

/// Pairs by the digits that one reads out and the other types; both see the same code.
fn pair_by_voice(host: &mut Keeper, guest: &mut Keeper, name: &str) {
    let digits = host.ask("pair_open", &json!({ "voice": true }));
    assert_eq!((&digits["voice"], &digits["qr"]), (&json!(true), &json!([])));
    let began = Instant::now();
    guest.ask(
        "pair_join",
        &json!({ "ticket": digits["ticket"], "keeper": name }),
    );
    let (here, there) = (host.comes_to("compare"), guest.comes_to("compare"));
    println!("== by voice: digits to compare after {:?}", began.elapsed());
    assert_eq!(here["code"], there["code"]);
    assert_eq!(here["code"].as_str().unwrap().len(), "0000 0000 0000".len());
    for side in [&mut *host, &mut *guest] {
        side.ask("pair_confirm", &json!({ "yes": true }));
    }
    host.comes_to("paired");
    guest.comes_to("paired");
}

/// A word that is written on one is on the other within a second.
fn appears(text: &str, from: &mut Keeper, to: &mut Keeper) {
    from.ask("note", &json!({ "day": "2031-03-01", "text": text }));
    let took = until("an edit on the other", APPEARS, || to.has(text));
    println!("== '{text}' appeared after {took:?}");
    // Not typed faster than a person does.
    until("both live", LONG, || from.is_live() && to.is_live());
}

#[test]
fn two_keepers_pair_by_voice_and_an_edit_appears_and_a_photo_goes_on_after_a_break() {
    let dir = tempfile::tempdir().unwrap();
    let (first, second) = (Space::new("k"), Space::new("l"));
    first.cable("to-l", &second, "to-k");
    first.address("to-l", "10.77.6.1");
    second.address("to-k", "10.77.6.2");
    let mut parent = Keeper::start(&first, &dir.path().join("parent"), 1);
    let mut child = Keeper::start(&second, &dir.path().join("child"), 2);
    parent.ask("start_record", &json!({ "car": "Tern", "keeper": "Rosalind" }));

    let wrong = json!({ "ticket": "1234 5678", "keeper": "Wilf" });
    // Wrong digits: it is said, nothing is kept, and the host's still stand.
    let digits = parent.ask("pair_open", &json!({ "voice": true }));
    assert_ne!(digits["ticket"], wrong["ticket"]);
    child.ask("pair_join", &wrong);
    let ended = child.comes_to("ended");
    println!("== wrong digits: {}", ended["words"]);
    assert_eq!(parent.pairing()["state"], "open");
    assert_eq!(child.ask("records", &json!({})), json!([]));

    pair_by_voice(&mut parent, &mut child, "Wilf");
    until("both live", LONG, || child.is_live() && parent.is_live());
    appears("drained", &mut parent, &mut child);
    appears("degreased", &mut child, &mut parent);
    appears("torqued", &mut parent, &mut child);

    // The cable is pulled amid a photo.
    let hash = parent.ask("photo", &json!(24_000_000));
    let part = dir.path().join("child/partial").join(hash.as_str().unwrap());
    let length = || std::fs::metadata(&part).map_or(0, |file| file.len());
    until("a part of the photo", LONG, || length() > 1_000_000);
    second.ip("link set to-k down");
    until("both notice", LONG, || !child.meets() && !parent.meets());
    let before = length();
    assert!(
        child.asked("original", &hash).is_err(),
        "the photo was faster than the cable"
    );
    assert!(before > 0, "what had come was thrown away");
    second.ip("addr flush dev to-k");
    second.address("to-k", "10.77.6.9");
    let back = Instant::now();
    let took = until("they meet again", LONG, || child.meets());
    println!("== met again at another address after {took:?}; {before} bytes of the photo were there");
    assert!(back.elapsed() <= AGAIN, "{took:?}");
    until("the photo", LONG, || child.asked("original", &hash).is_ok());
    assert_eq!(child.ask("original", &hash), hash);
    until("both live", LONG, || child.is_live() && parent.is_live());
    let digest = |keeper: &mut Keeper| keeper.ask("digest", &json!({}))["digest"].clone();
    assert_eq!(digest(&mut parent), digest(&mut child));
}

/// What a process has cost so far, as the kernel counts it (proc(5)): milliseconds of CPU, and how often one of its
/// threads went to sleep, which is how often one was woken.
fn cost(keeper: &Keeper) -> (u64, u64) {
    let process = format!("/proc/{}", keeper.child.id());
    let stat = std::fs::read_to_string(format!("{process}/stat")).unwrap();
    // After the name in brackets the third field follows; 14 and 15 are user and system time, in hundredths of a second.
    let fields: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
    let hundredths: u64 = fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap();
    let mut woken = 0;
    for task in std::fs::read_dir(format!("{process}/task")).unwrap().flatten() {
        // A thread may end while it is looked at.
        let status = std::fs::read_to_string(task.path().join("status")).unwrap_or_default();
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix("voluntary_ctxt_switches:"));
        woken += line.map_or(0, |count| count.trim().parse::<u64>().unwrap());
    }
    (hundredths * 10, woken)
}

/// Watches for this long; CPU in ms a minute, wake-ups a second.
fn idle(what: &str, keeper: &Keeper) -> (u64, u64) {
    const WATCHED: Duration = Duration::from_secs(15);
    let (cpu, woken) = cost(keeper);
    std::thread::sleep(WATCHED);
    let (more_cpu, more_woken) = cost(keeper);
    let seconds = WATCHED.as_secs();
    let (cpu, woken) = ((more_cpu - cpu) * 60 / seconds, (more_woken - woken) / seconds);
    let status = std::fs::read_to_string(format!("/proc/{}/status", keeper.child.id())).unwrap();
    let memory = status
        .lines()
        .find_map(|line| line.strip_prefix("VmRSS:"))
        .unwrap();
    println!(
        "== {what}: {cpu} ms of CPU a minute, {woken} wake-ups a second, {} in memory",
        memory.trim()
    );
    (cpu, woken)
}

/// Bounds that a polling loop anywhere would break, and a busy machine does not.
#[test]
fn waiting_for_the_other_and_being_with_it_cost_next_to_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let (first, second) = (Space::new("p"), Space::new("q"));
    first.cable("to-q", &second, "to-p");
    first.address("to-q", "10.77.7.1");
    second.address("to-p", "10.77.7.2");
    let mut parent = Keeper::start(&first, &dir.path().join("parent"), 1);
    let mut child = Keeper::start(&second, &dir.path().join("child"), 2);
    parent.ask("start_record", &json!({ "car": "Tern", "keeper": "Rosalind" }));
    pair_by_voice(&mut parent, &mut child, "Wilf");
    until("both live", LONG, || child.is_live() && parent.is_live());
    std::thread::sleep(SETTLED);
    let together = idle("together, nothing to tell", &parent);
    drop(child);
    until("it is gone", LONG, || !parent.meets());
    let left = idle("the other just left", &parent);
    std::thread::sleep(SETTLED);
    let alone = idle("waiting for the other", &parent);
    for (cpu, woken) in [together, left, alone] {
        assert!(cpu <= 1_200, "{cpu} ms of CPU a minute");
        assert!(woken <= 100, "{woken} wake-ups a second");
    }
    assert!(alone.1 <= 6, "{} wake-ups a second while it waits", alone.1);

    // Whoever waits so is found as soon as the other comes.
    let asked = Instant::now();
    let mut child = Keeper::start(&second, &dir.path().join("child"), 3);
    until("they meet", LONG, || child.meets() && parent.meets());
    println!("== met {:?} after the other came", asked.elapsed());
    assert!(asked.elapsed() <= AGAIN, "{:?}", asked.elapsed());
}
