//! What the tests share: a sink that keeps everything, a small honest file, and a forge that lays down frames by the
//! documented layout with no check at all. The forge never calls the crate's writer, so it also checks the layout.

use std::convert::Infallible;
use std::io::{Cursor, Write};

use link::carry::{CarryError, Contents, Hash, Head, Limits, Sink, Stopped, Wanted, Writer, read};

/// Keeps all that it is handed.
#[derive(Debug, Default, PartialEq, Clone)]
pub(crate) struct Kept {
    pub(crate) head: Option<Head>,
    pub(crate) changes: Vec<(Hash, Vec<u8>)>,
    pub(crate) photos: Vec<(Hash, u64, Vec<u8>)>,
    pub(crate) ended: usize,
}

impl Sink for Kept {
    type Refusal = Infallible;
    fn head(&mut self, head: &Head) -> Result<(), Infallible> {
        self.head = Some(head.clone());
        Ok(())
    }
    fn change(&mut self, hash: Hash, bytes: Vec<u8>) -> Result<(), Infallible> {
        self.changes.push((hash, bytes));
        Ok(())
    }
    fn photo(&mut self, hash: Hash, length: u64) -> Result<Wanted, Infallible> {
        self.photos.push((hash, length, Vec::new()));
        Ok(Wanted::Yes)
    }
    fn photo_piece(&mut self, piece: &[u8]) -> Result<(), Infallible> {
        self.photos.last_mut().unwrap().2.extend_from_slice(piece);
        Ok(())
    }
    fn photo_end(&mut self) -> Result<(), Infallible> {
        self.ended += 1;
        Ok(())
    }
}

/// Reads with the default limits; a refused file must not have reached the sink.
pub(crate) fn taken(bytes: &[u8]) -> Result<(Contents, Kept), CarryError> {
    taken_within(bytes, &Limits::default())
}

pub(crate) fn taken_within(bytes: &[u8], limits: &Limits) -> Result<(Contents, Kept), CarryError> {
    let mut kept = Kept::default();
    match read(&mut Cursor::new(bytes), limits, &mut kept) {
        Ok(contents) => Ok((contents, kept)),
        Err(Stopped::File(error)) => {
            assert_eq!(kept, Kept::default(), "a refused file reached the sink: {error}");
            Err(error)
        }
        Err(Stopped::Sink(never)) => match never {},
    }
}

/// Bytes that do not pack, the same for the same name on every machine.
pub(crate) fn noise(name: &str, length: usize) -> Vec<u8> {
    let mut bytes = vec![0; length];
    blake3::Hasher::new()
        .update(name.as_bytes())
        .finalize_xof()
        .fill(&mut bytes);
    bytes
}

pub(crate) fn hash(bytes: &[u8]) -> Hash {
    *blake3::hash(bytes).as_bytes()
}

pub(crate) fn head(changes: usize, photos: usize) -> Head {
    Head {
        record: "0190b5f0-0000-7000-8000-000000000001".into(),
        car: "Aunt Dilys's Tern".into(),
        device: "0190b5f0-0000-7000-8000-000000000002".into(),
        keeper: "0190b5f0-0000-7000-8000-000000000003".into(),
        keeper_name: "Wilf Ashdown".into(),
        sent: "2031-03-01T18:20:05Z".into(),
        heads: vec!["a1".repeat(32)],
        whole: true,
        changes: changes as u64,
        photos: photos as u64,
        schema: 1,
        ..Head::default()
    }
}

/// A file of the writer.
pub(crate) fn written(changes: &[(Hash, Vec<u8>)], photos: &[Vec<u8>]) -> Vec<u8> {
    let mut writer = Writer::new(Vec::new(), head(changes.len(), photos.len())).unwrap();
    for (hash, bytes) in changes {
        writer.change(hash, bytes).unwrap();
    }
    for photo in photos {
        writer
            .photo(&hash(photo), photo.len() as u64, &mut photo.as_slice())
            .unwrap();
    }
    writer.finish().unwrap().0
}

pub(crate) fn some_changes(count: usize, length: usize) -> Vec<(Hash, Vec<u8>)> {
    (0..count)
        .map(|n| {
            let bytes = noise(&format!("change {n}"), length);
            (hash(&bytes), bytes)
        })
        .collect()
}

/// A few hundred bytes with every kind of frame in them.
pub(crate) fn small() -> Vec<u8> {
    let mut changes = some_changes(2, 20);
    changes.push((
        hash(b"dull"),
        b"seized, seized, seized, seized, seized, seized, seized".to_vec(),
    ));
    written(&changes, &[noise("photo", 50)])
}

/// Lays down frames as told.
pub(crate) struct Forge {
    pub(crate) bytes: Vec<u8>,
}

impl Forge {
    /// The front of a file with this format, must-understand flags, may-ignore flags, seal and blank bytes.
    pub(crate) fn fronted(format: u16, must: u8, may: u8, seal: u8, free: [u8; 3]) -> Self {
        let mut bytes = b"\xE7wmcarry".to_vec();
        bytes.extend_from_slice(&format.to_le_bytes());
        bytes.extend_from_slice(&[must, may, seal]);
        bytes.extend_from_slice(&free);
        Forge { bytes }
    }

    /// An ordinary front and a head that promises these counts.
    pub(crate) fn new(changes: usize, photos: usize) -> Self {
        Forge::fronted(1, 0, 0, 0, [0; 3]).frame(b'H', &serde_json::to_vec(&head(changes, photos)).unwrap())
    }

    pub(crate) fn frame(self, letter: u8, payload: &[u8]) -> Self {
        let length = payload.len() as u32;
        self.lying(letter, length, payload)
    }

    /// A frame that says `length`, whatever it holds.
    pub(crate) fn lying(mut self, letter: u8, length: u32, payload: &[u8]) -> Self {
        self.bytes.push(letter);
        self.bytes.extend_from_slice(&length.to_le_bytes());
        self.bytes.extend_from_slice(payload);
        self
    }

    pub(crate) fn plain(self, open: &[u8]) -> Self {
        self.slice(0, open.len() as u32, open)
    }

    pub(crate) fn packed(self, open: &[u8]) -> Self {
        self.slice(1, open.len() as u32, &deflated(open))
    }

    pub(crate) fn slice(self, packing: u8, says: u32, packed: &[u8]) -> Self {
        let mut payload = vec![packing];
        payload.extend_from_slice(&says.to_le_bytes());
        payload.extend_from_slice(packed);
        self.frame(b'C', &payload)
    }

    pub(crate) fn photo(self, hash: Hash, length: u64) -> Self {
        let mut payload = hash.to_vec();
        payload.extend_from_slice(&length.to_le_bytes());
        self.frame(b'P', &payload)
    }

    /// The end, with a right BLAKE3: the file is as its sender made it.
    pub(crate) fn end(mut self, counts: [u64; 4]) -> Vec<u8> {
        self.bytes.push(b'E');
        self.bytes.extend_from_slice(&64_u32.to_le_bytes());
        for count in counts {
            self.bytes.extend_from_slice(&count.to_le_bytes());
        }
        let digest = blake3::hash(&self.bytes);
        self.bytes.extend_from_slice(digest.as_bytes());
        self.bytes
    }
}

/// An entry of the list of changes.
pub(crate) fn entry(hash: &Hash, says: u32, bytes: &[u8]) -> Vec<u8> {
    let mut entry = hash.to_vec();
    entry.extend_from_slice(&says.to_le_bytes());
    entry.extend_from_slice(bytes);
    entry
}

pub(crate) fn deflated(open: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(open).unwrap();
    encoder.finish().unwrap()
}

/// A DEFLATE stream made longer by empty stored blocks (RFC 1951, 3.2.4) until it swells by just what is believed.
pub(crate) fn deflated_to(open: &[u8], length: usize) -> Vec<u8> {
    let mut stream = Vec::with_capacity(length + 1024);
    let mut compress = flate2::Compress::new(flate2::Compression::best(), false);
    compress
        .compress_vec(open, &mut stream, flate2::FlushCompress::Sync)
        .unwrap();
    assert_eq!(compress.total_in(), open.len() as u64);
    while stream.len() + 5 < length {
        stream.extend_from_slice(&[0, 0, 0, 0xFF, 0xFF]);
    }
    stream.extend_from_slice(&[1, 0, 0, 0xFF, 0xFF]);
    stream
}
