//! Who wrote what is known and not claimed: files made by whoever holds a copy of the record, with and without a device's
//! key. Nothing of them counts as another's without a signature or a keeper's word, and what the other has is believed of
//! what it signed itself.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod folders;

use std::convert::Infallible;
use std::path::Path;

use folders::{ask, device_of, join_keyed, open_keyed, refused};
use link::carry::{self, Head, Limits, Sealed, Sink, Wanted, Writer};
use link::identity::Identity;
use link::seal::{Readers, SigningKey};
use link::vouch::{Mark, sign_heads};
use notebook::{Notebook, Refusal};
use record::entities::{Device, DeviceFields};
use record::{ChangeId, Edit, Given, Id, Ids, Moment, Record, Seat};
use serde_json::json;

/// What a file holds.
#[derive(Default)]
struct Open {
    head: Head,
    hashes: Vec<carry::Hash>,
    changes: Vec<Vec<u8>>,
    marks: Vec<Mark>,
}

impl Sink for Open {
    type Refusal = Infallible;
    fn head(&mut self, head: &Head) -> Result<(), Infallible> {
        self.head = head.clone();
        Ok(())
    }
    fn change(&mut self, hash: carry::Hash, bytes: Vec<u8>) -> Result<(), Infallible> {
        self.hashes.push(hash);
        self.changes.push(bytes);
        Ok(())
    }
    fn mark(&mut self, mark: Mark) -> Result<(), Infallible> {
        self.marks.push(mark);
        Ok(())
    }
    fn photo(&mut self, _: carry::Hash, _: u64) -> Result<Wanted, Infallible> {
        Ok(Wanted::No)
    }
    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }
    fn photo_end(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}

fn read(file: &str) -> Open {
    let mut open = Open::default();
    carry::read(
        &mut std::fs::File::open(file).unwrap(),
        &Limits::default(),
        &mut open,
    )
    .unwrap_or_else(|_| panic!("{file}"));
    open
}

struct Counting(u8);

impl Ids for Counting {
    fn fresh(&mut self) -> uuid::Uuid {
        self.0 += 1;
        uuid::Builder::from_random_bytes([self.0; 16]).into_uuid()
    }
}

/// Two keepers' devices that know each other, and what anyone has who holds a copy of the record.
struct Two {
    dir: tempfile::TempDir,
    host: Notebook,
    wilf: Notebook,
    record: String,
    copy: Open,
}

impl Two {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let mut host = open_keyed(&dir.path().join("rosalind"), 7);
        ask(
            &mut host,
            "start_record",
            json!({ "car": "Tern", "keeper": "Rosalind" }),
        );
        let mut wilf = join_keyed(&mut host, &dir.path().join("wilf"), 2, "Wilf");
        ask(
            &mut wilf,
            "note",
            json!({ "day": "2031-03-01", "text": "brake hose" }),
        );
        let open = ask(&mut wilf, "carry_out", json!({ "open": true }))["file"].clone();
        ask(&mut host, "carry_in", json!({ "file": open }));
        let copy = read(open.as_str().unwrap());
        let record = copy.head.record.clone();
        Self {
            dir,
            host,
            wilf,
            record,
            copy,
        }
    }

    fn of(&mut self, keeper: &str) -> Id {
        device_of(&mut self.host, keeper).parse().unwrap()
    }

    fn identity(&self, folder: &str) -> Identity {
        let text = std::fs::read_to_string(self.dir.path().join(folder).join("device.key")).unwrap();
        Identity::from_text(&text).unwrap()
    }

    /// One change under the name of this device, on top of what the copy has.
    fn forged(&self, device: &Id, run: u8, edit: &Edit) -> (ChangeId, Vec<u8>) {
        let seat = Seat {
            device: device.as_str().parse().unwrap(),
            run: [run; 8],
        };
        let mut record = Record::begin(seat).unwrap();
        drop(record.receive(&self.copy.changes).unwrap());
        let before = record.heads();
        let now = Moment::from_seconds(1_930_000_000);
        drop(record.edit(edit, now, &mut Counting(run)).unwrap());
        record.changes_since(&before).pop().unwrap()
    }

    /// An open file that says that a device wrote it.
    fn file(&self, name: &str, device: &Id, changes: &[&(ChangeId, Vec<u8>)], marks: &[Mark]) -> String {
        let bytes = self.write(Vec::new(), device, changes, marks, None);
        let path = self.dir.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    }

    fn write<W: std::io::Write>(
        &self,
        out: W,
        device: &Id,
        changes: &[&(ChangeId, Vec<u8>)],
        marks: &[Mark],
        by: Option<&Identity>,
    ) -> W {
        let mut head = Head {
            record: self.record.clone(),
            car: "Tern".to_owned(),
            device: device.to_string(),
            keeper_name: "Wilf".to_owned(),
            sent: "2031-03-02T10:00:00Z".to_owned(),
            changes: changes.len() as u64,
            base: self.copy.head.heads.clone(),
            heads: self.copy.head.heads.clone(),
            ..Head::default()
        };
        if let Some(identity) = by {
            sign_heads(identity, &mut head);
        }
        let mut writer = Writer::new(out, head).unwrap();
        for (id, bytes) in changes {
            writer.change(id.bytes(), bytes).unwrap();
        }
        writer.marks(marks).unwrap();
        writer.finish().unwrap().0
    }

    /// Carried in without a word it changes nothing; why.
    fn is_asked_about(&mut self, file: &str) -> Refusal {
        let before = ask(&mut self.host, "digest", json!({}));
        let members = ask(&mut self.host, "members", json!({}));
        let refusal = refused(&mut self.host, "carry_in", json!({ "file": file }));
        assert_eq!(refusal.code, "unsigned", "{refusal}");
        assert_eq!(
            ask(&mut self.host, "digest", json!({})),
            before,
            "nothing was merged"
        );
        assert_eq!(ask(&mut self.host, "members", json!({})), members);
        refusal
    }
}

fn mark(identity: &Identity, record: &str, device: &Id, change: &ChangeId) -> Mark {
    Mark::sign(
        identity,
        record,
        *device.uuid().unwrap().as_bytes(),
        *change.bytes(),
    )
}

fn note(keeper: &Id, text: &str) -> Edit {
    Edit::Note {
        day: "2031-03-02".parse().unwrap(),
        keeper: keeper.clone(),
        text: text.to_owned(),
    }
}

fn keeper_of(notebook: &mut Notebook, keeper: &str) -> Id {
    let page = ask(notebook, "keepers", json!({}));
    let mut all = page["keepers"].as_array().unwrap().iter();
    let its = all.find(|one| one["name"] == keeper).unwrap();
    its["id"].as_str().unwrap().parse().unwrap()
}

#[test]
fn what_both_wrote_is_signed_and_passes_without_a_question() {
    let mut two = Two::new();
    assert!(two.copy.marks.iter().all(|mark| mark.holds(&two.record)));
    assert!(two.copy.marks.len() >= 2, "{}", two.copy.marks.len());
    for side in [&mut two.host, &mut two.wilf] {
        let health = ask(side, "check", json!({}));
        assert_eq!(health["sound"], true, "{health}");
    }
    assert_eq!(
        ask(&mut two.host, "digest", json!({}))["digest"],
        ask(&mut two.wilf, "digest", json!({}))["digest"]
    );
}

#[test]
fn an_unsigned_file_neither_revokes_nor_redirects_a_seal() {
    let mut two = Two::new();
    let (host, wilf) = (two.of("Rosalind"), two.of("Wilf"));
    let revoked = DeviceFields {
        revoked: Given::Put("gone".to_owned()),
        ..DeviceFields::default()
    };
    let seal = DeviceFields {
        seal: Given::Put(Identity::generate(&[9; 64]).recipient().unwrap()),
        ..DeviceFields::default()
    };
    // Whoever holds a copy of the record can write it in anybody's name, and in nobody's that is known.
    let stranger: Id = Id::from_uuid(uuid::Uuid::from_u128(77));
    for by in [&wilf, &host, &stranger] {
        for fields in [&revoked, &seal] {
            let change = two.forged(by, 9, &Edit::change::<Device>(wilf.clone(), fields).unwrap());
            let file = two.file("forged.carry", by, &[&change], &[]);
            let refusal = two.is_asked_about(&file);
            let said = match (*by == stranger, std::ptr::eq(fields, &revoked)) {
                (true, true) => "it would revoke",
                (true, false) => "a device that the record does not know",
                (false, _) => "did not sign these",
            };
            assert!(refusal.words.contains(said), "{refusal}");
        }
    }
    // Nor does a stranger that no device is entered for slip a word in that touches none.
    let keeper = keeper_of(&mut two.host, "Wilf");
    let change = two.forged(&stranger, 9, &note(&keeper, "mischief"));
    let file = two.file("forged.carry", &stranger, &[&change], &[]);
    let refusal = two.is_asked_about(&file);
    assert!(
        refusal
            .words
            .contains("one entry of a device that the record does not know"),
        "{refusal}"
    );
}

#[test]
fn nobody_writes_in_anothers_name() {
    let mut two = Two::new();
    let (host, wilf) = (two.of("Rosalind"), two.of("Wilf"));
    let (keeper, record) = (keeper_of(&mut two.host, "Wilf"), two.record.clone());
    let (own, other) = (two.identity("wilf"), two.identity("rosalind"));
    let change = two.forged(&wilf, 9, &note(&keeper, "mischief"));
    // Unsigned after a signed one; signed by another only; signed by another as if it were theirs.
    for marks in [
        vec![],
        vec![mark(&other, &record, &wilf, &change.0)],
        vec![mark(&other, &record, &host, &change.0)],
        vec![mark(&own, "another record", &wilf, &change.0)],
    ] {
        let file = two.file("forged.carry", &wilf, &[&change], &marks);
        let refusal = two.is_asked_about(&file);
        assert!(refusal.words.contains("Wilf"), "{refusal}");
    }
    // A member that seals and signs the file as itself, with a change in the other's name: here to Wilf's device.
    let hers = keeper_of(&mut two.host, "Rosalind");
    let forged = two.forged(&host, 9, &note(&hers, "mischief"));
    let seal = other.recipient().unwrap();
    let key = SigningKey::of(&own);
    let sealed = Sealed::new(Vec::new(), &key, &record, &Readers::Members(&[seal])).unwrap();
    let sealed = two.write(sealed, &wilf, &[&forged], &[], None).finish().unwrap();
    let path = two.dir.path().join("sealed.carry");
    std::fs::write(&path, sealed).unwrap();
    let refusal = two.is_asked_about(path.to_str().unwrap());
    assert!(refusal.words.contains("Rosalind"), "{refusal}");
    // What Wilf's own key signed passes.
    let file = two.file(
        "own.carry",
        &wilf,
        &[&change],
        &[mark(&own, &record, &wilf, &change.0)],
    );
    assert_eq!(
        ask(&mut two.host, "carry_in", json!({ "file": file }))["changes"],
        1
    );
    // What a keeper stands for passes too, and stays claimed.
    let late = two.forged(&wilf, 10, &note(&keeper, "from the old stick"));
    let file = two.file("late.carry", &wilf, &[&late], &[]);
    ask(
        &mut two.host,
        "carry_in",
        json!({ "file": file, "welcome": true }),
    );
    let health = ask(&mut two.host, "check", json!({}));
    assert_eq!(health["sound"], true, "{health}");
    assert!(health.to_string().contains("nobody signed"), "{health}");
}

#[test]
fn what_the_other_has_is_believed_of_what_it_signed() {
    let mut two = Two::new();
    let wilf = two.of("Wilf");
    for text in ["one", "two", "three"] {
        ask(
            &mut two.host,
            "note",
            json!({ "day": "2031-03-01", "text": text }),
        );
    }
    let lacks = |host: &mut Notebook| {
        let page = ask(host, "keepers", json!({}));
        let mut all = page["keepers"].as_array().unwrap().iter();
        all.find(|one| one["name"] == "Wilf").unwrap()["devices"][0]["lacks"].clone()
    };
    let before = lacks(&mut two.host);
    assert_ne!(before, json!(0));
    let mine = ask(&mut two.host, "carry_out", json!({ "open": true }))["file"].clone();
    two.copy.head.heads = read(mine.as_str().unwrap()).head.heads;
    let empty = two.file("empty.carry", &wilf, &[], &[]);
    let met = ask(&mut two.host, "carry_in", json!({ "file": empty }));
    assert!(met["from"].as_str().unwrap().contains("nobody signed"), "{met}");
    assert_eq!(lacks(&mut two.host), before);
    for (folder, believed) in [("rosalind", before.clone()), ("wilf", json!(0))] {
        let bytes = two.write(Vec::new(), &wilf, &[], &[], Some(&two.identity(folder)));
        std::fs::write(&empty, bytes).unwrap();
        ask(&mut two.host, "carry_in", json!({ "file": empty }));
        assert_eq!(lacks(&mut two.host), believed, "{folder}");
    }
}

#[test]
fn what_was_written_twice_under_one_number_is_proof_and_the_two_go_on_meeting() {
    let mut two = Two::new();
    let wilf = two.of("Wilf");
    let (keeper, record, own) = (
        keeper_of(&mut two.host, "Wilf"),
        two.record.clone(),
        two.identity("wilf"),
    );
    let one = two.forged(&wilf, 9, &note(&keeper, "this"));
    let other = two.forged(&wilf, 9, &note(&keeper, "that"));
    assert_ne!(one.0, other.0);
    let signed = |change: &(ChangeId, Vec<u8>)| vec![mark(&own, &record, &wilf, &change.0)];
    let file = two.file("one.carry", &wilf, &[&one], &signed(&one));
    ask(&mut two.host, "carry_in", json!({ "file": file }));
    let before = ask(&mut two.host, "digest", json!({}));
    let file = two.file("other.carry", &wilf, &[&other], &signed(&other));
    let met = ask(&mut two.host, "carry_in", json!({ "file": file }));
    assert!(
        met["news"].to_string().contains("proof that it wrote both"),
        "{met}"
    );
    assert_eq!(ask(&mut two.host, "digest", json!({})), before);
    let health = ask(&mut two.host, "check", json!({}));
    assert!(
        health["sound"] == true && health.to_string().contains("under one number"),
        "{health}"
    );
    // What does not stand on it goes on.
    ask(
        &mut two.wilf,
        "note",
        json!({ "day": "2031-03-01", "text": "clutch" }),
    );
    let file = ask(&mut two.wilf, "carry_out", json!({}))["file"].clone();
    let met = ask(&mut two.host, "carry_in", json!({ "file": file }));
    assert_eq!(met["changes"], 1, "{met}");
    drop(two.host);
    let mut host = open_keyed(Path::new(&two.dir.path().join("rosalind")), 8);
    assert!(
        ask(&mut host, "check", json!({}))
            .to_string()
            .contains("under one number")
    );
}

#[test]
fn a_receipt_credits_whom_the_record_names_and_prints_nothing_that_steers() {
    let mut two = Two::new();
    let wilf = two.of("Wilf");
    ask(
        &mut two.wilf,
        "note",
        json!({ "day": "2031-03-03", "text": "more of it" }),
    );
    let out = ask(&mut two.wilf, "carry_out", json!({ "open": true }))["file"].clone();
    let real = read(out.as_str().unwrap());
    // The first page is signed for its newest changes; the name on it is not covered.
    let head = Head {
        keeper_name: "Rosalind\u{1b}[2J\u{202e}".to_owned(),
        ..real.head.clone()
    };
    let mut writer = Writer::new(Vec::new(), head).unwrap();
    for (id, bytes) in real.hashes.iter().zip(&real.changes) {
        writer.change(id, bytes).unwrap();
    }
    writer.marks(&real.marks).unwrap();
    let path = two.dir.path().join("renamed.carry");
    std::fs::write(&path, writer.finish().unwrap().0).unwrap();
    let met = ask(&mut two.host, "carry_in", json!({ "file": path }));
    assert_eq!(met["from"], "Wilf", "{met}");
    let saved = ask(&mut two.host, "saved", json!({})).to_string();
    assert!(!saved.contains("u001b") && !saved.contains("[2J"), "{saved}");
    // Of a file that nobody signed only the claim is told, and nothing of it steers a terminal.
    let keeper = keeper_of(&mut two.host, "Wilf");
    let forged = two.forged(&wilf, 9, &note(&keeper, "not his"));
    let file = two.file("forged.carry", &wilf, &[&forged], &[]);
    let refusal = two.is_asked_about(&file);
    assert!(!refusal.words.chars().any(char::is_control), "{refusal:?}");
}
