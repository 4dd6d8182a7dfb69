//! Pictures of few bytes that ask for much memory, each made here by the published format (ITU-T T.81; PNG, third edition;
//! RFC 9649), and pictures of one colour that are as large as a camera's. All of them are well formed.

use std::io::Write;

use flate2::write::ZlibEncoder;
use flate2::{Compression, Crc};

/// How a JPEG's lines are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scan {
    /// All components in one scan.
    Together,
    /// A scan for each component, so that a decoder keeps all of it until the last.
    Apart,
    /// Progressive: the same, and wider.
    Progressive,
}

fn segment(out: &mut Vec<u8>, marker: u8, body: &[u8]) {
    out.extend([0xFF, marker]);
    out.extend(u16::try_from(body.len() + 2).unwrap().to_be_bytes());
    out.extend(body);
}

/// A grey JPEG of so many components: each block is two bits, or one of a progressive picture.
///
/// # Panics
/// Never, for what a JPEG can be.
#[must_use]
pub fn jpeg(width: u16, height: u16, components: u8, scan: Scan) -> Vec<u8> {
    let mut out = vec![0xFF, 0xD8];
    let mut table = vec![0];
    table.extend([1; 64]);
    segment(&mut out, 0xDB, &table);
    let mut frame = vec![8];
    frame.extend(height.to_be_bytes());
    frame.extend(width.to_be_bytes());
    frame.push(components);
    for id in 1..=components {
        frame.extend([id, 0x11, 0]);
    }
    let progressive = scan == Scan::Progressive;
    segment(&mut out, if progressive { 0xC2 } else { 0xC0 }, &frame);
    // One code of one bit: no difference, and the end of the block.
    for class in [0x00, 0x10] {
        let mut codes = vec![class, 1];
        codes.extend([0; 15]);
        codes.push(0);
        segment(&mut out, 0xC4, &codes);
    }
    let blocks = usize::from(width.div_ceil(8)) * usize::from(height.div_ceil(8));
    let bits = blocks * if progressive { 1 } else { 2 };
    let all: Vec<u8> = (1..=components).collect();
    let scans: Vec<&[u8]> = match scan {
        Scan::Apart => all.chunks(1).collect(),
        _ => vec![&all],
    };
    for ids in scans {
        let mut start = vec![u8::try_from(ids.len()).unwrap()];
        for id in ids {
            start.extend([*id, 0]);
        }
        start.extend([0, if progressive { 0 } else { 63 }, 0]);
        segment(&mut out, 0xDA, &start);
        out.resize(out.len() + (bits * ids.len()).div_ceil(8), 0);
    }
    out.extend([0xFF, 0xD9]);
    out
}

fn chunk(out: &mut Vec<u8>, name: [u8; 4], body: &[u8]) {
    let mut crc = Crc::new();
    crc.update(&name);
    crc.update(body);
    out.extend(u32::try_from(body.len()).unwrap().to_be_bytes());
    out.extend(name);
    out.extend(body);
    out.extend(crc.sum().to_be_bytes());
}

/// A black PNG, RGB.
///
/// # Panics
/// Never.
#[must_use]
pub fn png(width: u32, height: u32) -> Vec<u8> {
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut head = width.to_be_bytes().to_vec();
    head.extend(height.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    chunk(&mut out, *b"IHDR", &head);
    let row = vec![0; 1 + 3 * width as usize];
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::new(1));
    for _ in 0..height {
        packed.write_all(&row).unwrap();
    }
    chunk(&mut out, *b"IDAT", &packed.finish().unwrap());
    chunk(&mut out, *b"IEND", &[]);
    out
}

/// Bits from the lowest up, as a lossless WebP is read.
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    used: usize,
}

impl Bits {
    fn put(&mut self, value: u32, count: usize) {
        for bit in 0..count {
            if self.used.is_multiple_of(8) {
                self.bytes.push(0);
            }
            let last = self.bytes.last_mut().unwrap();
            let one = value.checked_shr(u32::try_from(bit).unwrap()).unwrap_or(0) & 1;
            *last |= u8::try_from(one).unwrap() << (self.used % 8);
            self.used += 1;
        }
    }

    /// A tree of one code that takes no bits.
    fn only(&mut self, symbol: u8) {
        self.put(0b101, 3);
        self.put(u32::from(symbol), 8);
    }

    fn webp(mut self) -> Vec<u8> {
        if self.bytes.len() % 2 == 1 {
            self.bytes.push(0);
        }
        let length = u32::try_from(self.bytes.len()).unwrap();
        let mut out = b"RIFF".to_vec();
        out.extend((length + 12).to_le_bytes());
        out.extend(b"WEBPVP8L");
        out.extend(length.to_le_bytes());
        out.extend(self.bytes);
        out
    }
}

fn lossless(width: u32, height: u32) -> Bits {
    let mut bits = Bits::default();
    bits.put(0x2F, 8);
    bits.put(width - 1, 14);
    bits.put(height - 1, 14);
    // Its alpha is used; version 0; no transform.
    bits.put(1, 1);
    bits.put(0, 3);
    bits.put(0, 1);
    bits
}

/// A lossless WebP of one colour: no pixel takes a bit.
#[must_use]
pub fn webp(width: u32, height: u32) -> Vec<u8> {
    let mut bits = lossless(width, height);
    // No colour cache, one group of codes.
    bits.put(0, 2);
    for _ in 0..5 {
        bits.only(0);
    }
    bits.webp()
}

/// A WebP of sixteen pixels with so many groups of codes: each has a tree of 2,328 codes of 11 and 12 bits.
#[must_use]
pub fn webp_of_tables(groups: u16) -> Vec<u8> {
    let mut bits = lossless(4, 4);
    // A colour cache of 11 bits makes the alphabet longer.
    bits.put(1, 1);
    bits.put(11, 4);
    // Groups of codes are told by a picture of one pixel, whose red and green name the last of them.
    bits.put(1, 1);
    bits.put(0, 3);
    bits.put(0, 1);
    let [red, green] = (groups - 1).to_be_bytes();
    for symbol in [green, red, 0, 0, 0] {
        bits.only(symbol);
    }
    for _ in 0..groups {
        // Lengths are told by three codes: 16, which repeats, has one bit; 11 and 12 have two.
        bits.put(0, 1);
        bits.put(12, 4);
        for symbol in [17, 18, 0, 1, 2, 3, 4, 5, 16, 6, 7, 8, 9, 10, 11, 12] {
            bits.put(
                if symbol == 16 {
                    1
                } else {
                    2 * u32::from(symbol == 11 || symbol == 12)
                },
                3,
            );
        }
        bits.put(0, 1);
        // The first bit of a code comes first: 11 is one, nought; 12 is one, one.
        bits.put(0b01, 2);
        for _ in 0..294 {
            bits.put(0b110, 3);
        }
        bits.put(0b000, 3);
        bits.put(0b11, 2);
        for _ in 0..93 {
            bits.put(0b110, 3);
        }
        bits.put(0b11, 2);
        for _ in 0..4 {
            bits.only(0);
        }
    }
    // The pixels: each is the first of the codes of 11 bits.
    bits.put(0, 16 * 11);
    bits.webp()
}
