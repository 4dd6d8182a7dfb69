//! Files made by hand, by the documented layouts and with no check at all: carry files with right checksums that
//! say what no writer of ours would, and changes in Automerge's published binary format that claim far more than
//! they hold. The crates' own writers are never called here.

use std::io::Write;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// The longest slice of a carry file, open.
pub const SLICE: usize = 256 * 1024;

/// Lays down the frames of a carry file as told.
#[derive(Clone, Debug)]
pub struct Forge(pub Vec<u8>);

impl Forge {
    /// An ordinary front, and this head.
    #[must_use]
    pub fn new(head: &Value) -> Self {
        Self::fronted(1, 0, head)
    }

    /// A front of this format and seal, and this head.
    #[must_use]
    pub fn fronted(format: u16, seal: u8, head: &Value) -> Self {
        let mut bytes = b"\xE7wmcarry".to_vec();
        bytes.extend(format.to_le_bytes());
        bytes.extend([0, 0, seal, 0, 0, 0]);
        Self(bytes).frame(b'H', head.to_string().as_bytes())
    }

    /// A frame of this letter.
    #[must_use]
    pub fn frame(mut self, letter: u8, payload: &[u8]) -> Self {
        self.0.push(letter);
        self.0.extend(u32::try_from(payload.len()).unwrap().to_le_bytes());
        self.0.extend(payload);
        self
    }

    /// A slice of the list of changes: its packing, what it says of its open length, its bytes.
    #[must_use]
    pub fn slice(self, packing: u8, says: usize, bytes: &[u8]) -> Self {
        let mut payload = vec![packing];
        payload.extend(u32::try_from(says).unwrap().to_le_bytes());
        payload.extend(bytes);
        self.frame(b'C', &payload)
    }

    /// Plain slices of a list of changes.
    #[must_use]
    pub fn plain(mut self, list: &[u8]) -> Self {
        for piece in list.chunks(SLICE) {
            self = self.slice(0, piece.len(), piece);
        }
        self
    }

    /// A photo of these bytes, under this hash.
    #[must_use]
    pub fn photo(self, hash: [u8; 32], bytes: &[u8]) -> Self {
        let mut payload = hash.to_vec();
        payload.extend((bytes.len() as u64).to_le_bytes());
        self.frame(b'P', &payload).frame(b'B', bytes)
    }

    /// The end with these counts and the right BLAKE3: the file is as its sender made it.
    #[must_use]
    pub fn end(mut self, counts: [u64; 4]) -> Vec<u8> {
        self.0.push(b'E');
        self.0.extend(64_u32.to_le_bytes());
        for count in counts {
            self.0.extend(count.to_le_bytes());
        }
        let digest = blake3::hash(&self.0);
        self.0.extend(digest.as_bytes());
        self.0
    }
}

/// A head that promises these counts, for this record.
#[must_use]
pub fn head(record: &str, changes: usize, photos: usize) -> Value {
    json!({
        "record": record, "car": "Tern", "device": "0190b5f0-0000-7000-8000-000000000002",
        "keeper": "0190b5f0-0000-7000-8000-000000000003", "keeper_name": "Somebody",
        "sent": "2031-03-01T18:20:05Z", "heads": ["a1".repeat(32)], "whole": true,
        "changes": changes, "photos": photos, "schema": 1,
    })
}

/// A whole carry file of these changes, in plain slices.
#[must_use]
pub fn file_of(record: &str, changes: &[Vec<u8>]) -> Vec<u8> {
    let mut list = Vec::new();
    for change in changes {
        list.extend(Sha256::digest(change));
        list.extend(u32::try_from(change.len()).unwrap().to_le_bytes());
        list.extend(change);
    }
    let bytes: usize = changes.iter().map(Vec::len).sum();
    Forge::new(&head(record, changes.len(), 0))
        .plain(&list)
        .end([changes.len() as u64, 0, bytes as u64, 0])
}

/// DEFLATE, as small as it gets.
#[must_use]
pub fn deflated(open: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(open).unwrap();
    encoder.finish().unwrap()
}

/// What a made-up change says.
#[derive(Clone, Debug)]
pub struct Made {
    /// What it builds on.
    pub deps: Vec<[u8; 32]>,
    /// Who wrote it.
    pub actor: Vec<u8>,
    /// Its number.
    pub seq: u64,
    /// The number of its first operation.
    pub start: u64,
    /// Its message.
    pub message: Vec<u8>,
    /// How many times it does the same under the key `a` of the root.
    pub rows: u64,
    /// What it does: 0 makes a map, 1 puts nothing, 4 makes a text.
    pub action: u8,
}

impl Made {
    /// The body of the change: one run of each column, whatever the number of rows.
    #[must_use]
    pub fn body(&self) -> Vec<u8> {
        let mut out = Vec::new();
        uleb(&mut out, self.deps.len() as u64);
        self.deps.iter().for_each(|dep| out.extend(dep));
        uleb(&mut out, self.actor.len() as u64);
        out.extend(&self.actor);
        uleb(&mut out, self.seq);
        uleb(&mut out, self.start);
        out.push(0); // time
        uleb(&mut out, self.message.len() as u64);
        out.extend(&self.message);
        out.push(0); // other actors
        let run = |value: &[u8]| {
            let mut column = Vec::new();
            sleb(&mut column, i64::try_from(self.rows).unwrap());
            column.extend(value);
            column
        };
        let mut no = Vec::new();
        uleb(&mut no, self.rows);
        let columns: [(u8, Vec<u8>); 5] = [
            (0x15, run(&[1, b'a'])), // key
            (0x34, no),              // insert: none
            (0x42, run(&[self.action])),
            (0x56, run(&[0])), // value: nothing
            (0x70, run(&[0])), // predecessors: none
        ];
        uleb(&mut out, columns.len() as u64);
        for (spec, column) in &columns {
            uleb(&mut out, u64::from(*spec));
            uleb(&mut out, column.len() as u64);
        }
        columns.iter().for_each(|(_, column)| out.extend(column));
        out
    }
}

/// A chunk of a body with the right checksum.
#[must_use]
pub fn chunk(body: &[u8]) -> Vec<u8> {
    sealed(body, 1, body)
}

/// A chunk whose body is deflated, with the right checksum (that of the open body).
#[must_use]
pub fn packed_chunk(body: &[u8]) -> Vec<u8> {
    sealed(body, 2, &deflated(body))
}

/// A chunk of this type around these bytes, with the checksum of that body.
#[must_use]
pub fn sealed(body: &[u8], kind: u8, bytes: &[u8]) -> Vec<u8> {
    let mut out = vec![0x85, 0x6f, 0x4a, 0x83];
    out.extend(&id_of(body)[..4]);
    out.push(kind);
    uleb(&mut out, bytes.len() as u64);
    out.extend(bytes);
    out
}

/// The hash of a change with this body.
#[must_use]
pub fn id_of(body: &[u8]) -> [u8; 32] {
    let mut head = vec![1];
    uleb(&mut head, body.len() as u64);
    Sha256::new()
        .chain_update(&head)
        .chain_update(body)
        .finalize()
        .into()
}

fn uleb(out: &mut Vec<u8>, mut value: u64) {
    loop {
        let byte = u8::try_from(value & 0x7f).unwrap();
        value >>= 7;
        if value == 0 {
            out.push(byte);
            return;
        }
        out.push(byte | 0x80);
    }
}

fn sleb(out: &mut Vec<u8>, mut value: i64) {
    loop {
        let byte = u8::try_from(value & 0x7f).unwrap();
        value >>= 7;
        if (value == 0 && byte & 0x40 == 0) || (value == -1 && byte & 0x40 != 0) {
            out.push(byte);
            return;
        }
        out.push(byte | 0x80);
    }
}
