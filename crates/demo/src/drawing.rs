//! Drawings as pictures: an SVG of the demo's sources in, JPEG or PNG bytes out, the same bytes every time on one
//! machine. It reads no font, no file and no clock.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, RgbImage};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

use crate::error::DemoError;
use crate::letters::Letters;
use crate::sources::Sources;

/// Width and height of every picture, in pixels.
pub const SIZE: (u32, u32) = (1280, 960);
/// The paper.
const PAPER: [u8; 3] = [244, 238, 222];
/// JPEG quality: the thin lines stay clean, and a picture stays under 400 KB.
const QUALITY: u8 = 84;
/// What every drawing shares.
const SHARED: &str = "drawings/bench/marking-out.svg";

/// Renders the demo's drawings.
#[derive(Debug)]
pub struct Easel<'a> {
    sources: &'a Sources,
    letters: Letters,
    shared: &'a str,
}

impl<'a> Easel<'a> {
    /// Gets the alphabet and the shared shapes ready.
    ///
    /// # Errors
    /// One of them is not there or cannot be read.
    pub fn new(sources: &'a Sources) -> Result<Self, DemoError> {
        let page = sources.text(SHARED)?;
        // From after the root's first tag to its last: what goes at the head of each drawing.
        let wrong = || DemoError::Unreadable {
            file: SHARED.to_owned(),
            why: "it is no SVG".to_owned(),
        };
        let root = page.find("<svg").ok_or_else(wrong)?;
        let body = page
            .get(root..)
            .and_then(|rest| rest.split_once('>'))
            .ok_or_else(wrong)?
            .1;
        let shared = body.rsplit_once("</svg>").ok_or_else(wrong)?.0;
        Ok(Self {
            sources,
            letters: Letters::read(sources)?,
            shared,
        })
    }

    /// Renders one drawing, by its file name under `drawings`. It says itself what it wants to be: a root with
    /// `data-as="png"` becomes a PNG, any other a JPEG.
    ///
    /// # Errors
    /// It is not there, or cannot be rendered.
    pub fn picture(&self, drawing: &str) -> Result<Vec<u8>, DemoError> {
        let wrong = |why: String| DemoError::Drawing {
            drawing: drawing.to_owned(),
            why,
        };
        let svg = self.sources.text(&format!("drawings/{drawing}"))?;
        let root = svg.find("<svg").ok_or_else(|| wrong("it is no SVG".to_owned()))?;
        let opened = svg
            .get(root..)
            .and_then(|rest| rest.find('>'))
            .and_then(|end| root.checked_add(end)?.checked_add(1));
        let (head, body) = opened
            .and_then(|at| svg.split_at_checked(at))
            .ok_or_else(|| wrong("it has no root".to_owned()))?;
        let whole = self
            .letters
            .put_in(drawing, &[head, self.shared, body].concat())?;
        let tree = Tree::from_str(&whole, &Options::default()).map_err(|why| wrong(why.to_string()))?;
        let (wide, high) = SIZE;
        if (tree.size().width(), tree.size().height()) != (wide as f32, high as f32) {
            return Err(wrong(format!("it must be {wide} by {high}")));
        }
        let mut canvas = Pixmap::new(wide, high).ok_or_else(|| wrong("no room for its pixels".to_owned()))?;
        resvg::render(&tree, Transform::identity(), &mut canvas.as_mut());
        let picture = on_paper(&canvas);
        let mut out = Cursor::new(Vec::new());
        let done = if head.contains("data-as=\"png\"") {
            let encoder =
                PngEncoder::new_with_quality(&mut out, CompressionType::Default, FilterType::Adaptive);
            encoder.write_image(picture.as_raw(), wide, high, ExtendedColorType::Rgb8)
        } else {
            let encoder = JpegEncoder::new_with_quality(&mut out, QUALITY);
            encoder.write_image(picture.as_raw(), wide, high, ExtendedColorType::Rgb8)
        };
        done.map_err(|why| wrong(why.to_string()))?;
        Ok(out.into_inner())
    }
}

/// Lays the drawing on paper: a grain, a few soft stains, darker towards the corners.
fn on_paper(canvas: &Pixmap) -> RgbImage {
    let (wide, high) = SIZE;
    let mut pixels = canvas.pixels().iter();
    let mut picture = RgbImage::new(wide, high);
    for (x, y, out) in picture.enumerate_pixels_mut() {
        let (over, alpha) = match pixels.next() {
            // Premultiplied: colour and what shows through add up.
            Some(pixel) => ([pixel.red(), pixel.green(), pixel.blue()], pixel.alpha()),
            None => ([0; 3], 0),
        };
        let light = light(x, y);
        for ((out, over), paper) in out.0.iter_mut().zip(over).zip(PAPER) {
            let through = f32::from(paper) * f32::from(255 - alpha) / 255.0;
            *out = ((f32::from(over) + through) * light).round().clamp(0.0, 255.0) as u8;
        }
    }
    picture
}

/// How light the paper is at a place, 1 being as it came.
fn light(x: u32, y: u32) -> f32 {
    let (wide, high) = SIZE;
    let (across, down) = (x as f32 / wide as f32 - 0.5, y as f32 / high as f32 - 0.5);
    let corner = (across * across + down * down) * 0.12;
    let grain = (soft(x, y, 3) - 0.5) * 0.022;
    let stain = (soft(x, y, 160) - 0.5) * 0.035;
    1.0 + grain + stain - corner
}

/// Noise between 0 and 1 that changes over about `step` pixels.
fn soft(x: u32, y: u32, step: u32) -> f32 {
    let (left, top) = (x / step, y / step);
    let ease = |part: u32| {
        let part = part as f32 / step as f32;
        part * part * (3.0 - 2.0 * part)
    };
    let (right_part, down_part) = (ease(x % step), ease(y % step));
    let row = |y: u32| {
        let (a, b) = (spot(left, y, step), spot(left.wrapping_add(1), y, step));
        a + (b - a) * right_part
    };
    let (above, below) = (row(top), row(top.wrapping_add(1)));
    above + (below - above) * down_part
}

/// A number between 0 and 1 for one place of a grid.
fn spot(x: u32, y: u32, step: u32) -> f32 {
    let mut mix = x.wrapping_mul(0x9e37_79b1) ^ y.wrapping_mul(0x85eb_ca77) ^ step.wrapping_mul(0xc2b2_ae3d);
    mix = (mix ^ (mix >> 15)).wrapping_mul(0x2c1b_3c6d);
    mix = (mix ^ (mix >> 12)).wrapping_mul(0x297a_2d39);
    (mix ^ (mix >> 15)) as f32 / u32::MAX as f32
}
