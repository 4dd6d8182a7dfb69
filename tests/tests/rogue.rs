//! A member that does harm: a device that was paired in good faith and now speaks as it likes, with its own key, over a
//! real connection. Whatever it sends ends with one clear reason, leaves the record as it was and the others answering,
//! and costs no more than 256 MB of memory in all (the issue's own figure; peak of this process, VmHWM, proc(5)).
//! Linux only.
#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{self, Got, Handler, Meeting, Net, Settings};
use link::talk::{Bytes, Digest, Hash, Hashes, Hello, Message, PART_OPEN, PhotoKey, VERSION};
use notebook::{Handle, PhotoSize};
use serde_json::{Value, json};
use tests::attending::{LONG, ask, attend, is_alike, open, pair, until};
use tests::forge::{Made, chunk, deflated, packed_chunk};

const MOST_KB: u64 = 256_000_000 / 1024;

fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}

fn other(notebook: &Handle) -> Value {
    ask(notebook, "meetings", json!({}))["devices"][0].clone()
}

fn digest(notebook: &Handle) -> Value {
    ask(notebook, "digest", json!({}))["digest"].clone()
}

/// Hands meetings over, and lets everybody in.
struct Ear(Mutex<Sender<Meeting>>);

impl Handler for Ear {
    fn may(&self, _: &Key) -> bool {
        true
    }

    fn on(&self, event: net::Event) {
        if let net::Event::Here(meeting) = event {
            // Nobody waits for it where the test is over.
            let _ = self.0.lock().unwrap().send(meeting);
        }
    }
}

/// A device with a member's key that speaks as it likes.
struct Rogue {
    net: Net,
    came: Receiver<Meeting>,
    record: Hash,
    device: String,
    host: (Key, Vec<net::Address>),
}

impl Rogue {
    fn new(identity: &Identity, record: &str, device: &str, host: (Key, Vec<net::Address>)) -> Self {
        let (tell, came) = channel();
        let settings = Settings {
            at: vec!["127.0.0.1:0".parse().unwrap()],
            ..Settings::default()
        };
        let net = Net::start(identity, settings, Arc::new(Ear(Mutex::new(tell)))).unwrap();
        Self {
            net,
            came,
            record: blake3::derive_key("witnessmark 2026 the record of a meeting", record.as_bytes()),
            device: device.to_owned(),
            host,
        }
    }

    fn hello(&self) -> Message {
        Message::Hello(Hello {
            version: VERSION,
            record: self.record,
            device: self.device.clone(),
            heads: Hashes(vec![[7; 32]]),
        })
    }

    /// Reaches the host; nothing where it lets this key in no more.
    fn meet(&self, within: Duration) -> Option<Meeting> {
        self.net.wish(vec![self.host.clone()]);
        self.net.nudge();
        let meeting = self.came.recv_timeout(within).ok();
        self.net.wish(Vec::new());
        meeting
    }

    /// Says these frames, answers each photo that is wanted with `photo`, and listens until the other is gone; where the
    /// other stays, it is left when all was answered.
    fn says(&self, frames: &[Vec<u8>], photo: Option<&[u8]>) {
        let meeting = self.meet(LONG).unwrap();
        for frame in frames {
            // The host may have had enough by now.
            let _ = meeting.send(frame.clone());
        }
        let (began, mut quiet) = (Instant::now(), 0);
        let most = if photo.is_some() {
            Duration::from_secs(4)
        } else {
            LONG
        };
        while began.elapsed() < most {
            match meeting.receive(Duration::from_millis(100)) {
                Got::Frame(frame) => {
                    quiet = 0;
                    if let (Some(photo), Ok(Message::Want { key, from })) =
                        (photo, Message::from_bytes(&frame))
                    {
                        let piece = Message::Piece {
                            key,
                            offset: from,
                            total: photo.len() as u64,
                            bytes: Bytes(
                                photo
                                    .get(usize::try_from(from).unwrap()..)
                                    .unwrap_or_default()
                                    .to_vec(),
                            ),
                        };
                        let _ = meeting.send(piece.to_bytes());
                    }
                }
                // All was said and answered.
                Got::Nothing if photo.is_some() && quiet > 5 => return,
                Got::Nothing => quiet += 1,
                Got::Gone => return,
            }
        }
        assert!(photo.is_some(), "the host listens on to nonsense");
    }
}

fn part(open: &[u8]) -> Message {
    Message::Changes {
        number: 1,
        ends: 0,
        left: 0,
        open: u32::try_from(open.len()).unwrap(),
        packed: false,
        part: Bytes(open.to_vec()),
    }
}

/// Changes as the stream has them.
fn stream(changes: &[Vec<u8>]) -> Message {
    let mut open = Vec::new();
    for change in changes {
        open.extend(u32::try_from(change.len()).unwrap().to_le_bytes());
        open.extend(change);
    }
    assert!(open.len() <= PART_OPEN);
    part(&open)
}

fn made(rows: u64) -> Made {
    Made {
        deps: Vec::new(),
        actor: vec![9; 16],
        seq: 1,
        start: 1,
        message: Vec::new(),
        rows,
        action: 1,
    }
}

/// What is said after the greeting, and words of the reason that the host's keeper reads.
fn harms(rogue: &Rogue) -> Vec<(&'static str, Vec<Message>, &'static str)> {
    let after = |messages: Vec<Message>| {
        let mut all = vec![rogue.hello()];
        all.extend(messages);
        all
    };
    let greeting = |change: fn(&mut Hello)| {
        let Message::Hello(mut hello) = rogue.hello() else {
            unreachable!()
        };
        change(&mut hello);
        vec![Message::Hello(hello)]
    };
    vec![
        (
            "another record",
            greeting(|hello| hello.record = [1; 32]),
            "record",
        ),
        (
            "a later version",
            greeting(|hello| hello.version = 9_999),
            "version",
        ),
        (
            "another device than its key's",
            greeting(|hello| hello.device = "019c0000-0000-7000-8000-000000000000".to_owned()),
            "another device",
        ),
        (
            "two greetings that differ",
            after(vec![
                greeting(|hello| hello.device = "019c0000-0000-7000-8000-000000000000".to_owned()).remove(0),
            ]),
            "",
        ),
        (
            "parts answered that never were sent",
            after(vec![Message::Took {
                parts: 900,
                heads: Hashes(Vec::new()),
            }]),
            "",
        ),
        (
            "a part that opens to less than it says",
            after(vec![Message::Changes {
                number: 1,
                ends: 0,
                left: 0,
                open: 200_000,
                packed: true,
                part: Bytes(deflated(&vec![0; 150_000])),
            }]),
            "",
        ),
        (
            "a part that opens to a gigabyte",
            after(vec![Message::Changes {
                number: 1,
                ends: 0,
                left: 0,
                open: u32::MAX,
                packed: true,
                part: Bytes(deflated(&vec![0; 64 << 20])),
            }]),
            "",
        ),
        (
            "a change that is nonsense",
            after(vec![stream(&[vec![0xab; 400]])]),
            "",
        ),
        (
            "a change that claims a billion operations",
            after(vec![stream(&[chunk(&made(1_000_000_000).body())])]),
            "",
        ),
        (
            "a change that inflates to four megabytes",
            after(vec![stream(&[packed_chunk(
                &Made {
                    message: vec![b'm'; 4_100_000],
                    ..made(1)
                }
                .body(),
            )])]),
            "",
        ),
        (
            "a change that builds on what nobody has",
            after(vec![stream(&[chunk(
                &Made {
                    deps: vec![[5; 32]],
                    ..made(1)
                }
                .body(),
            )])]),
            "",
        ),
    ]
}

/// What is said in vain: nobody asked for it, and nothing follows from it.
fn vain() -> Vec<(&'static str, Message)> {
    let key = PhotoKey {
        hash: [3; 32],
        small: false,
    };
    vec![
        (
            "a photo that nobody wants",
            Message::Piece {
                key,
                offset: 0,
                total: 40,
                bytes: Bytes(vec![1; 40]),
            },
        ),
        (
            "a comparison of what never went",
            Message::Compare {
                sent: 77,
                taken: 99,
                digest: Digest::default(),
            },
        ),
        ("a photo that is nowhere", Message::Want { key, from: u64::MAX }),
    ]
}

#[test]
fn a_member_that_does_harm_is_sent_away_with_a_reason_and_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = (
        open(&dir.path().join("parent"), 1),
        open(&dir.path().join("child"), 2),
    );
    let record = ask(
        &parent,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    )["id"]
        .as_str()
        .unwrap()
        .to_owned();
    ask(&parent, "add_assembly", json!({ "name": "gearbox" }));
    let addresses = pair(&parent, &child, "Wilf");
    let members = ask(&child, "members", json!({}));
    let of = |this: bool| {
        let found = members.as_array().unwrap().iter().find(|one| one["this"] == this);
        found.unwrap().clone()
    };
    let key: Key = of(false)["key"].as_str().unwrap().parse().unwrap();
    let device = of(true)["device"].as_str().unwrap().to_owned();

    // A photo of which the child keeps the entry, and will send other bytes.
    let mut image = std::io::Cursor::new(Vec::new());
    image::RgbImage::from_pixel(40, 30, image::Rgb([9, 90, 200]))
        .write_to(&mut image, image::ImageFormat::Png)
        .unwrap();
    let image = image.into_inner();
    let hash = child.with(|child| child.take_photo(&image).unwrap()).hash;
    let lies = file_of(&dir.path().join("child"), &hash);
    let aside = dir.path().join("aside");
    std::fs::rename(&lies, &aside).unwrap();
    ask(&child, "add_photo", json!({ "hash": hash, "on": "2031-03-01" }));
    until("the photo's entry is there", || digest(&parent) == digest(&child));
    child.leave();
    until("the child is gone", || other(&parent)["phase"] == "away");
    let before = digest(&parent);

    let text = std::fs::read_to_string(dir.path().join("child/device.key")).unwrap();
    let identity = Identity::from_text(&text).unwrap();
    let rogue = Rogue::new(&identity, &record, &device, (key, addresses));
    for (what, messages, words) in harms(&rogue) {
        let frames: Vec<Vec<u8>> = messages.iter().map(Message::to_bytes).collect();
        refused(&rogue, &parent, what, &frames, words);
        assert_eq!(digest(&parent), before, "{what} changed the record");
    }
    let hello = rogue.hello().to_bytes();
    let mut cut = part(&[1; 3_000]).to_bytes();
    cut.truncate(900);
    let raw: [(&str, Vec<u8>); 3] = [
        ("nonsense", vec![0xff; 5_000]),
        ("a message that is cut", cut),
        (
            "a count of four thousand million",
            vec![4, 1, 0xff, 0xff, 0xff, 0xff, 0x0f],
        ),
    ];
    for (what, frame) in raw {
        refused(&rogue, &parent, what, &[hello.clone(), frame], "cannot be read");
        assert_eq!(digest(&parent), before, "{what} changed the record");
    }

    for (what, message) in vain() {
        rogue.says(&[hello.clone(), message.to_bytes()], Some(b"no picture"));
        until("it is away", || other(&parent)["phase"] == "away");
        assert_eq!(digest(&parent), before, "{what} changed the record");
    }

    // The wrong bytes for a photo: longer, other ones, no picture. None of them lands.
    let mut wrong = image.clone();
    wrong[60] ^= 1;
    for bytes in [wrong, vec![7; 90_000], b"not a picture".to_vec()] {
        rogue.says(std::slice::from_ref(&hello), Some(&bytes));
        until("it is away", || other(&parent)["phase"] == "away");
        assert!(
            parent.with(|parent| parent.photo(&hash, PhotoSize::Original).is_err()),
            "a wrong photo landed"
        );
    }
    assert_eq!(digest(&parent), before);
    drop(rogue);

    // The honest device meets as before, and its photo comes.
    std::fs::rename(&aside, &lies).unwrap();
    attend(&child);
    for side in [&parent, &child] {
        until("live again", || is_alike(side));
    }
    until("the photo", || {
        let read = parent.with(|parent| parent.photo(&hash, PhotoSize::Original).ok());
        read.is_some_and(|(_, bytes)| bytes == image)
    });
    for side in [&parent, &child] {
        assert_eq!(ask(side, "check", json!({}))["sound"], true);
    }

    // A new key: the old one opens nothing any more, and gets not one byte.
    child.leave();
    drop(child);
    std::fs::remove_file(dir.path().join("child/device.key")).unwrap();
    let child = open(&dir.path().join("child"), 3);
    until("a new key stands in the record", || {
        let members = ask(&child, "members", json!({}));
        let own = members.as_array().unwrap().iter().find(|one| one["this"] == true);
        own.unwrap()["key"] != of(true)["key"]
    });
    let addresses = pair(&parent, &child, "Wilf");
    let shut_out = |what: &str, identity: &Identity| {
        let rogue = Rogue::new(identity, &record, &device, (key, addresses.clone()));
        let Some(meeting) = rogue.meet(Duration::from_secs(3)) else {
            return;
        };
        // It was let go before it could speak; what it says finds nobody.
        let _ = meeting.send(rogue.hello().to_bytes());
        let heard = meeting.receive(Duration::from_secs(3));
        assert!(matches!(heard, Got::Gone), "{what} is let in");
    };
    shut_out("an old key", &identity);
    // Revoked: the same for the key that stood until now.
    child.leave();
    ask(
        &parent,
        "revoke",
        json!({ "device": device, "why": "it did harm" }),
    );
    let text = std::fs::read_to_string(dir.path().join("child/device.key")).unwrap();
    shut_out("a revoked device", &Identity::from_text(&text).unwrap());
    let peak = peak_kb();
    println!("peak of everything in this process: {peak} kB");
    assert!(peak < MOST_KB, "{peak} kB");
}

/// Where a file of this name lies under a folder.
fn file_of(under: &Path, name: &str) -> PathBuf {
    let mut folders = vec![under.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path
                .file_name()
                .is_some_and(|file| file.to_string_lossy().starts_with(name))
            {
                return path;
            }
        }
    }
    panic!("no file {name}")
}

/// Says what does harm, and sees what the host's keeper is told.
fn refused(rogue: &Rogue, parent: &Handle, what: &str, frames: &[Vec<u8>], words: &str) {
    rogue.says(frames, None);
    until("it is away", || other(parent)["phase"] == "away");
    let ended = other(parent)["ended"].as_str().unwrap_or_default().to_owned();
    println!("{what}: {ended}");
    assert!(!ended.is_empty(), "no word on {what}");
    assert!(
        ended.contains(words),
        "{what}: '{ended}' says nothing of '{words}'"
    );
}
