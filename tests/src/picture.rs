//! Small pictures to hand in as photos, each another, made here and never read from anywhere.

use std::io::Cursor;

use image::{ImageFormat, Rgb, RgbImage};

/// A PNG of this size that no other number gives.
#[must_use]
pub fn png(number: u32, side: u32) -> Vec<u8> {
    let mut picture = RgbImage::new(side, side);
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        // A pattern that does not pack, so that a large picture has many bytes.
        let mixed = (x ^ y.rotate_left(7))
            .wrapping_mul(2_654_435_761)
            .wrapping_add(number);
        let [a, b, c, _] = mixed.wrapping_mul(0x9E37_79B9).to_le_bytes();
        *pixel = Rgb([a, b, c]);
    }
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).unwrap();
    out.into_inner()
}
