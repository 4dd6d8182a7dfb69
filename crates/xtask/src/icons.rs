//! `cargo xtask icons`: draws the window's icon (a bright line scribed across two parts) and writes it as PNG.
//!
//! It uses no picture library: the drawing is arithmetic, and the PNG writer below does what PNG (ISO/IEC 15948)
//! and DEFLATE (RFC 1951) ask for, no more. A test keeps the committed files equal to the drawing.

use std::path::Path;

use crate::house::House;
use crate::trouble::Trouble;

/// Where the shell keeps them.
const FOLDER: &str = "src-tauri/icons";

/// File names with the length of their side in pixels.
const ICONS: [(&str, u32); 3] = [("32x32.png", 32), ("128x128.png", 128), ("icon.png", 512)];

type Colour = [f64; 4];
const NOTHING: Colour = [0.0, 0.0, 0.0, 0.0];
/// Layout fluid, as it dries on steel.
const FLUID: Colour = [27.0, 63.0, 139.0, 255.0];
/// The same on the part behind.
const FLUID_SHADED: Colour = [20.0, 47.0, 107.0, 255.0];
/// Steel, where the scriber went through.
const SCRIBED: Colour = [246.0, 243.0, 234.0, 255.0];

/// Points per pixel and axis: enough that an edge looks smooth at 32 pixels.
const FINE: u32 = 8;

/// Writes every icon.
pub(crate) fn write(house: &House) -> Result<(), Trouble> {
    for (name, side) in ICONS {
        let path = house.at(FOLDER).join(name);
        save(&path, side)?;
        println!("{FOLDER}/{name}");
    }
    Ok(())
}

fn save(path: &Path, side: u32) -> Result<(), Trouble> {
    std::fs::write(path, png(side, &drawing(side))).map_err(|source| Trouble::file("writing", path, source))
}

/// What is at a point; both axes run from 0 to 1, to the right and down.
fn at(x: f64, y: f64) -> Colour {
    let in_left = (0.06..0.485).contains(&x) && (0.12..0.80).contains(&y);
    let in_right = (0.515..0.94).contains(&x) && (0.20..0.88).contains(&y);
    if !in_left && !in_right {
        return NOTHING;
    }
    // The line climbs a little, as one scribed by hand does, and stops short of the far edges.
    let off_line = (y - (0.56 - 0.12 * x)).abs();
    if off_line < 0.028 && (0.12..0.88).contains(&x) {
        return SCRIBED;
    }
    if in_left { FLUID } else { FLUID_SHADED }
}

/// The picture, row by row, four bytes (red, green, blue, opacity) a pixel.
fn drawing(side: u32) -> Vec<u8> {
    let mut pixels = Vec::new();
    let step = 1.0 / f64::from(side * FINE);
    for row in 0..side {
        for column in 0..side {
            let mut sum = NOTHING;
            for (down, right) in (0..FINE).flat_map(|down| (0..FINE).map(move |right| (down, right))) {
                let x = (f64::from(column * FINE + right) + 0.5) * step;
                let y = (f64::from(row * FINE + down) + 0.5) * step;
                let [red, green, blue, opacity] = at(x, y);
                let [r, g, b, a] = &mut sum;
                *r += red * opacity;
                *g += green * opacity;
                *b += blue * opacity;
                *a += opacity;
            }
            let [red, green, blue, opacity] = sum;
            let share = if opacity > 0.0 { opacity } else { 1.0 };
            let points = f64::from(FINE * FINE);
            pixels.extend([red / share, green / share, blue / share, opacity / points].map(byte));
        }
    }
    pixels
}

/// A value from 0 to 255, rounded.
fn byte(value: f64) -> u8 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to a byte"
    )]
    let byte = value.round().clamp(0.0, 255.0) as u8;
    byte
}

/// A PNG of 8-bit red, green, blue and opacity.
fn png(side: u32, pixels: &[u8]) -> Vec<u8> {
    let row_length = 4 * side as usize;
    let mut above = vec![0_u8; row_length];
    let mut filtered = Vec::new();
    for row in pixels.chunks(row_length) {
        // Filter 2, 'up': a drawing of flat colours becomes rows of zeros.
        filtered.push(2);
        filtered.extend(row.iter().zip(&above).map(|(here, up)| here.wrapping_sub(*up)));
        above = row.to_vec();
    }
    let mut head = Vec::new();
    head.extend(side.to_be_bytes());
    head.extend(side.to_be_bytes());
    head.extend([8, 6, 0, 0, 0]);

    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    chunk(&mut file, b"IHDR", &head);
    chunk(&mut file, b"IDAT", &zlib(&filtered));
    chunk(&mut file, b"IEND", &[]);
    file
}

fn chunk(file: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
    file.extend(u32::try_from(data.len()).unwrap_or(u32::MAX).to_be_bytes());
    file.extend(kind);
    file.extend(data);
    file.extend(crc32(&[kind.as_slice(), data].concat()).to_be_bytes());
}

/// CRC-32 as PNG asks for it, bit by bit.
fn crc32(data: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in data {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                (crc >> 1) ^ 0xEDB8_8320
            } else {
                crc >> 1
            };
        }
    }
    !crc
}

/// Adler-32, which ends a zlib stream (RFC 1950).
fn adler32(data: &[u8]) -> u32 {
    let (mut low, mut high) = (1_u32, 0_u32);
    for byte in data {
        low = (low + u32::from(*byte)) % 65_521;
        high = (high + low) % 65_521;
    }
    (high << 16) | low
}

/// One DEFLATE block with the fixed codes, where only a run of one byte is a match (always at distance 1).
fn zlib(data: &[u8]) -> Vec<u8> {
    let mut bits = Bits::default();
    bits.low_first(1, 1);
    bits.low_first(1, 2);
    let mut rest = data;
    let mut before = None;
    while let Some(first) = rest.first() {
        let run = rest
            .iter()
            .take_while(|byte| Some(**byte) == before)
            .count()
            .min(258);
        if run >= 258 {
            // Code 285 is the length 258; distance code 0 is the distance 1.
            bits.symbol(285);
            bits.high_first(0, 5);
            rest = rest.get(258..).unwrap_or_default();
        } else if (3..=10).contains(&run) {
            // Codes 257 to 264 are the lengths 3 to 10, without extra bits.
            bits.symbol(254 + u32::try_from(run).unwrap_or(3));
            bits.high_first(0, 5);
            rest = rest.get(run..).unwrap_or_default();
        } else if run > 10 {
            bits.symbol(264);
            bits.high_first(0, 5);
            rest = rest.get(10..).unwrap_or_default();
        } else {
            bits.symbol(u32::from(*first));
            before = Some(*first);
            rest = rest.get(1..).unwrap_or_default();
        }
    }
    bits.symbol(256);
    let mut stream = vec![0x78, 0x01];
    stream.extend(bits.finish());
    stream.extend(adler32(data).to_be_bytes());
    stream
}

/// Bits into bytes, the first bit lowest.
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    held: u8,
    count: u8,
}

impl Bits {
    fn bit(&mut self, bit: u32) {
        if bit & 1 == 1 {
            self.held |= 1 << self.count;
        }
        self.count += 1;
        if self.count == 8 {
            self.bytes.push(self.held);
            (self.held, self.count) = (0, 0);
        }
    }

    fn low_first(&mut self, value: u32, width: u32) {
        (0..width).for_each(|place| self.bit(value >> place));
    }

    fn high_first(&mut self, value: u32, width: u32) {
        (0..width).rev().for_each(|place| self.bit(value >> place));
    }

    /// A literal or length symbol in the fixed code (RFC 1951, 3.2.6).
    fn symbol(&mut self, symbol: u32) {
        match symbol {
            0..=143 => self.high_first(0x30 + symbol, 8),
            144..=255 => self.high_first(0x190 + symbol - 144, 9),
            256..=279 => self.high_first(symbol - 256, 7),
            _ => self.high_first(0xC0 + symbol - 280, 8),
        }
    }

    fn finish(mut self) -> Vec<u8> {
        if self.count > 0 {
            self.bytes.push(self.held);
        }
        self.bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn check_sums_of_published_examples() {
        // The check values of CRC-32/ISO-HDLC ("123456789", in the CRC catalogues) and of Adler-32 ("Wikipedia", from memory).
        assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
        assert_eq!(adler32(b"Wikipedia"), 0x11E6_0398);
    }

    #[test]
    fn the_committed_icons_are_the_drawing() {
        let house = House::find().unwrap();
        for (name, side) in ICONS {
            let kept = std::fs::read(house.at(FOLDER).join(name)).unwrap();
            assert!(
                kept == png(side, &drawing(side)),
                "{name} is stale; run `cargo xtask icons`"
            );
        }
    }

    #[test]
    fn the_drawing_is_two_parts_and_one_line() {
        assert_eq!(at(0.01, 0.5), NOTHING);
        assert_eq!(at(0.5, 0.5), NOTHING, "a gap between the parts");
        assert_eq!(at(0.3, 0.3), FLUID);
        assert_eq!(at(0.7, 0.8), FLUID_SHADED);
        assert_eq!(at(0.3, 0.524), SCRIBED);
        assert_eq!(at(0.7, 0.476), SCRIBED);
    }
}
