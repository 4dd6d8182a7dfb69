//! What drawing a photo small would cost in memory, told by its header alone: pixels, how they are packed, and what the
//! decoder keeps of the file beside them. Whoever made the file may have lied everywhere else, so nothing of it is
//! decoded here, and where a header can be read two ways the dearer one counts.

use image::ImageFormat;
use image::metadata::Orientation;

/// Most memory that drawing one photo small may take, its file included: of the 256 MB that anything hostile may cost,
/// the rest is left for the road by which it came, and for what an earlier one left in the heap (66 MB were seen).
pub(super) const MOST: u64 = 184_000_000;
/// What is told beside a PNG's picture (profiles, texts) may take this much of it.
pub(super) const MOST_TOLD: u64 = 16_000_000;

/// A photo as its header says it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Weighed {
    pub(super) format: ImageFormat,
    /// Pixels as they lie in the file.
    pub(super) width: u32,
    pub(super) height: u32,
    /// How it was held, where that is cheap to know.
    pub(super) held: Orientation,
    /// Bytes that drawing it may take, the file's own included.
    pub(super) cost: u64,
}

impl Weighed {
    /// Whether it is drawn small.
    pub(super) fn fits(&self) -> bool {
        self.cost <= MOST
    }

    /// Its size as it was held.
    pub(super) fn as_held(&self) -> (u32, u32) {
        turned((self.width, self.height), self.held)
    }
}

/// A size as it is when a picture is turned the way it was held.
pub(super) fn turned((width, height): (u32, u32), held: Orientation) -> (u32, u32) {
    match held {
        Orientation::Rotate90
        | Orientation::Rotate270
        | Orientation::Rotate90FlipH
        | Orientation::Rotate270FlipH => (height, width),
        _ => (width, height),
    }
}

/// Weighs a photo. Nothing where it is none of the three kinds, or its header says nothing that can be.
pub(super) fn weigh(bytes: &[u8]) -> Option<Weighed> {
    let weighed = if bytes.starts_with(&[0xFF, 0xD8]) {
        jpeg(bytes)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        png(bytes)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        webp(bytes)
    } else {
        None
    };
    weighed.filter(|photo| photo.width > 0 && photo.height > 0)
}

fn at<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..)?.first_chunk::<N>().copied()
}

/// What a JPEG's frame header says (ITU-T T.81, B.2.2).
#[derive(Clone, Default)]
struct Frame {
    width: u64,
    height: u64,
    /// Horizontal and vertical sampling of each component.
    sampling: Vec<(u64, u64)>,
    progressive: bool,
}

impl Frame {
    /// `body` begins behind the segment's length.
    fn read(body: &[u8], progressive: bool) -> Option<Self> {
        let [_, high, low, wide, narrow, count] = at::<6>(body, 0)?;
        let components = body.get(6..)?.chunks_exact(3).take(usize::from(count));
        let sampling: Vec<(u64, u64)> = components
            .filter_map(|one| one.get(1))
            .map(|hv| (u64::from(hv >> 4), u64::from(hv & 15)))
            .collect();
        let whole = sampling.len() == usize::from(count) && !sampling.is_empty();
        whole.then(|| Self {
            width: u64::from(u16::from_be_bytes([wide, narrow])),
            height: u64::from(u16::from_be_bytes([high, low])),
            sampling,
            progressive,
        })
    }

    /// Bytes of the picture, of coefficients where the whole picture's have to be kept until its end, and of a row of blocks.
    fn cost(&self, kept: bool, odd: bool) -> u64 {
        let pixels = self.width * self.height;
        let components = self.sampling.len() as u64;
        let picture = pixels * if components == 1 { 1 } else { 3 };
        let rows = self.width * components * 128;
        let across = self.sampling.iter().map(|(h, _)| *h).max().unwrap_or(1).max(1);
        let down = self.sampling.iter().map(|(_, v)| *v).max().unwrap_or(1).max(1);
        let blocks = self.width.div_ceil(8 * across) * self.height.div_ceil(8 * down);
        let samples: u64 = self.sampling.iter().map(|(h, v)| blocks * h * v * 64).sum();
        let coefficients = match (kept, odd) {
            (_, true) => 8 * (blocks * across * down * 64),
            (true, false) => 2 * samples,
            (false, false) => 0,
        };
        picture + rows + coefficients
    }
}

/// Walks the segments before the first scan. The decoder is patient with files that are not quite right: what it would pass
/// over is passed over here too, and such a file counts as one of the dearest kind.
fn jpeg(bytes: &[u8]) -> Option<Weighed> {
    let mut held = Orientation::NoTransforms;
    let mut frame: Option<Frame> = None;
    let mut odd = false;
    let mut pos = 2_usize;
    loop {
        if *bytes.get(pos)? != 0xFF {
            odd = true;
            pos += 1;
            continue;
        }
        let marker = *bytes.get(pos + 1)?;
        match marker {
            // Fill bytes.
            0xFF => {
                pos += 1;
                continue;
            }
            0x00 | 0x01 | 0xD0..=0xD9 => {
                odd = true;
                pos += 2;
                continue;
            }
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes(at(bytes, pos + 2)?));
        let body = bytes.get(pos + 4..(pos + 2 + length).max(pos + 4))?;
        match marker {
            0xC0..=0xC2 => {
                odd |= frame.is_some();
                frame = Frame::read(body, marker == 0xC2);
                frame.as_ref()?;
            }
            // Tables, restart interval, words and what programs add.
            0xC4 | 0xDB | 0xDD | 0xE0 | 0xE2..=0xEF | 0xFE => {}
            0xE1 => {
                if let Some(exif) = body.strip_prefix(b"Exif\0\0")
                    && let Some(way) = Orientation::from_exif_chunk(exif)
                {
                    held = way;
                }
            }
            0xDA => {
                let frame = frame?;
                let in_scan = usize::from(*body.first()?);
                let kept = frame.progressive || in_scan != frame.sampling.len();
                let file = bytes.len() as u64;
                // The decoder copies the file, keeps what is told before the picture, and puts it together once more.
                let told = 3 * if odd { file } else { pos as u64 };
                return Some(Weighed {
                    format: ImageFormat::Jpeg,
                    width: u32::try_from(frame.width).ok()?,
                    height: u32::try_from(frame.height).ok()?,
                    held,
                    cost: 2 * file + told + frame.cost(kept, odd),
                });
            }
            _ => odd = true,
        }
        pos += 2 + length.max(2);
    }
}

/// The header is the first chunk, always (PNG, third edition, 5.6 and 11.2.1), and a size that is not as it was written
/// (the chunk's CRC tells, 5.3) is not one to keep a photo undrawn by.
fn png(bytes: &[u8]) -> Option<Weighed> {
    let [0, 0, 0, 13, b'I', b'H', b'D', b'R'] = at::<8>(bytes, 8)? else {
        return None;
    };
    if crc32fast::hash(bytes.get(12..29)?) != u32::from_be_bytes(at(bytes, 29)?) {
        return None;
    }
    let width = u32::from_be_bytes(at(bytes, 16)?);
    let height = u32::from_be_bytes(at(bytes, 20)?);
    let [depth, colour] = at::<2>(bytes, 24)?;
    // One channel more may be told by a chunk of transparent colours.
    let channels: u64 = match colour {
        0 => 2,
        2 | 3 | 6 => 4,
        4 => 2,
        _ => return None,
    };
    let row = u64::from(width) * channels * if depth == 16 { 2 } else { 1 };
    // Two rows and a half more are under way.
    let rows = u64::from(height).saturating_add(4);
    Some(Weighed {
        format: ImageFormat::Png,
        width,
        height,
        held: Orientation::NoTransforms,
        cost: row
            .saturating_mul(rows)
            .saturating_add(bytes.len() as u64)
            .saturating_add(MOST_TOLD),
    })
}

/// Walks the chunks (RFC 9649). A lossless picture, or a lossless veil over another, has tables of codes of which a
/// few bits can ask for kilobytes: such a file is drawn only while it is short.
fn webp(bytes: &[u8]) -> Option<Weighed> {
    /// Most that a byte of code tables grows to: a tree of 2,328 codes of 11 and 12 bits is told in 152 bytes and takes
    /// 78 kilobytes, so 515; measured in the test of bombs.
    const TABLES: u64 = 600;
    let mut size: Option<(u64, u64)> = None;
    let (mut dear, mut moves) = (false, false);
    let mut pos = 12_usize;
    while let (Some(name), Some(length)) = (at::<4>(bytes, pos), at::<4>(bytes, pos + 4)) {
        let length = usize::try_from(u32::from_le_bytes(length)).ok()?;
        let body = pos + 8;
        // One that says it is longer than the file is cut, or lies to have room made for it.
        let whole = bytes.get(body..body.checked_add(length)?)?;
        let found = match &name {
            b"VP8X" => {
                let [a, b, c, d, e, f] = at::<6>(whole, 4)?;
                let across = u32::from_le_bytes([a, b, c, 0]);
                let down = u32::from_le_bytes([d, e, f, 0]);
                Some((u64::from(across) + 1, u64::from(down) + 1))
            }
            b"VP8 " => {
                let across = u16::from_le_bytes(at(whole, 6)?) & 0x3FFF;
                let down = u16::from_le_bytes(at(whole, 8)?) & 0x3FFF;
                Some((u64::from(across), u64::from(down)))
            }
            b"VP8L" => {
                dear = true;
                let packed = u32::from_le_bytes(at(whole, 1)?);
                Some((
                    u64::from(packed & 0x3FFF) + 1,
                    u64::from((packed >> 14) & 0x3FFF) + 1,
                ))
            }
            b"ALPH" => {
                dear = true;
                None
            }
            b"ANIM" | b"ANMF" => {
                moves = true;
                None
            }
            _ => None,
        };
        if let Some((across, down)) = found {
            let (width, height) = size.unwrap_or_default();
            size = Some((width.max(across), height.max(down)));
        }
        pos = body + length + (length & 1);
    }
    let (width, height) = size?;
    let (pixels, file) = (width * height, bytes.len() as u64);
    let cost = if moves {
        // Nothing that moves is a photo; nobody draws the first of its pictures.
        u64::MAX
    } else if dear {
        20 * pixels + TABLES * file
    } else {
        6 * pixels + 4 * file
    };
    Some(Weighed {
        format: ImageFormat::WebP,
        width: u32::try_from(width).ok()?,
        height: u32::try_from(height).ok()?,
        held: Orientation::NoTransforms,
        cost,
    })
}
