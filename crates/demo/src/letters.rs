//! Letters as strokes: every `<text>` of a drawing becomes paths before it is rendered, so that a picture looks the
//! same on a machine without a single font. The alphabet is a source file of the demo.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use resvg::usvg::roxmltree::{Document, Node};
use serde::Deserialize;

use crate::error::DemoError;
use crate::sources::{Sources, table};

/// Where the alphabet is.
pub(crate) const FILE: &str = "drawings/bench/letters.toml";
/// How high a capital is on the letters' own grid.
const CAPITAL: f32 = 10.0;
/// How wide a space is on that grid.
const SPACE: f32 = 3.6;

/// The alphabet of the drawings.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Letters {
    letters: BTreeMap<char, (f32, String)>,
}

/// How a text is put on: what it looks like to have been made with.
struct Manner {
    /// Width of the stroke on the letters' grid.
    stroke: f32,
    /// Room after each letter on the letters' grid.
    room: f32,
    /// How much a letter may stand out of line, as a part of the grid.
    unsteady: f32,
}

impl Manner {
    fn of(class: &str) -> Option<Self> {
        Some(match class {
            // A pencil, and the same in blue or, on blue, in white.
            "hand" | "blue" | "light" => Self {
                stroke: 0.95,
                room: 2.1,
                unsteady: 0.35,
            },
            // Number punches: thick, each struck by itself and not quite in line.
            "stamp" | "struck" => Self {
                stroke: 1.5,
                room: 3.2,
                unsteady: 0.8,
            },
            _ => return None,
        })
    }
}

impl Letters {
    /// Reads the alphabet.
    ///
    /// # Errors
    /// It is not there or is not a table of letters.
    pub fn read(sources: &Sources) -> Result<Self, DemoError> {
        let unreadable = |why: toml::de::Error| DemoError::Unreadable {
            file: FILE.to_owned(),
            why: why.message().to_owned(),
        };
        table(FILE, sources.text(FILE)?)?.try_into().map_err(unreadable)
    }

    /// The drawing with every text put as strokes.
    ///
    /// # Errors
    /// It is no XML, a text has no place, size or known class, or a letter is not in the alphabet.
    pub fn put_in(&self, drawing: &str, svg: &str) -> Result<String, DemoError> {
        let wrong = |why: String| DemoError::Drawing {
            drawing: drawing.to_owned(),
            why,
        };
        let page = Document::parse(svg).map_err(|why| wrong(why.to_string()))?;
        let mut out = String::with_capacity(svg.len().saturating_mul(2));
        let mut from = 0;
        for node in page
            .descendants()
            .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")))
        {
            let range = node.range();
            out.push_str(svg.get(from..range.start).unwrap_or_default());
            out.push_str(&self.strokes(node).map_err(wrong)?);
            from = range.end;
        }
        out.push_str(svg.get(from..).unwrap_or_default());
        Ok(out)
    }

    fn strokes(&self, node: Node<'_, '_>) -> Result<String, String> {
        let text = node.text().unwrap_or_default().trim();
        let number = |name: &str| -> Result<f32, String> {
            let given = node.attribute(name).and_then(|value| value.parse().ok());
            given.ok_or_else(|| format!("the text '{text}' has no number '{name}'"))
        };
        let (x, y, size) = (number("x")?, number("y")?, number("font-size")?);
        let class = node.attribute("class").unwrap_or_default();
        let manner = Manner::of(class).ok_or_else(|| format!("the text '{text}' has the class '{class}'"))?;
        let mut at = 0.0;
        let mut paths = String::new();
        for (place, letter) in text.chars().enumerate() {
            if letter == ' ' {
                at += SPACE + manner.room;
                continue;
            }
            let (wide, path) = self
                .letters
                .get(&letter)
                .ok_or_else(|| format!("'{letter}' in '{text}' is not in the alphabet"))?;
            let (turn, drop) = stance(text, place, &manner);
            // Writing to a String cannot fail.
            let _ = write!(
                paths,
                "<path d=\"{path}\" transform=\"translate({at:.2} {drop:.2}) rotate({turn:.2} {:.2} -5)\"/>",
                wide / 2.0
            );
            at += wide + manner.room;
        }
        let whole = (at - manner.room).max(0.0);
        let scale = size / CAPITAL;
        let left = match node.attribute("text-anchor") {
            Some("middle") => -whole / 2.0,
            Some("end") => -whole,
            _ => 0.0,
        };
        let turned = node.attribute("transform").unwrap_or_default();
        Ok(format!(
            "<g class=\"{class}\" stroke-width=\"{}\" transform=\"{turned} translate({x} {y}) scale({scale}) translate({left:.2} 0)\">{paths}</g>",
            manner.stroke
        ))
    }
}

/// How far a letter leans and stands out of line: the same for the same letter of the same text, always.
fn stance(text: &str, place: usize, manner: &Manner) -> (f32, f32) {
    let mut mix: u32 = 2_166_136_261;
    for byte in text.bytes().chain(place.to_le_bytes()) {
        mix = (mix ^ u32::from(byte)).wrapping_mul(16_777_619);
    }
    let part = |bits: u32| (bits & 0xff) as f32 / 127.5 - 1.0;
    (
        part(mix >> 8) * manner.unsteady * 6.0,
        part(mix >> 16) * manner.unsteady,
    )
}
