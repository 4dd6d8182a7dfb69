//! A keeper's notebook in a host of its own, for the stories in network namespaces: it opens a folder, attends with mDNS,
//! and does what lines on standard input say: a command's name, then its arguments as JSON. Each is answered with one
//! line: `ok JSON` or `no JSON`. `photo BYTES` takes a photo of so many bytes of noise. Only tests start it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a part of a test: it stops at the first thing that is not as it must be"
)]

use std::io::BufRead;
use std::path::Path;

use host::{Handle, Surroundings};
use serde_json::{Value, json};
use tests::attending::Seeded;

/// Noise, so that it does not shrink: about so many bytes.
fn picture(bytes: u32) -> Vec<u8> {
    let side = f64::from(bytes / 3).sqrt() as u32;
    let mut seed = 1_u32;
    let image = image::RgbImage::from_fn(side, side, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(seed >> 24) as u8, (seed >> 16) as u8, (seed >> 8) as u8])
    });
    let mut png = std::io::Cursor::new(Vec::new());
    image.write_to(&mut png, image::ImageFormat::Png).unwrap();
    png.into_inner()
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (folder, seed) = (Path::new(&words[0]), words[1].parse::<u64>().unwrap());
    let source = Box::new(Seeded::of(seed));
    let notebook = Handle::new(host::open(folder, "a test", source).unwrap());
    notebook.attend(Surroundings::usual()).unwrap();
    println!("ready");
    for line in std::io::stdin().lock().lines() {
        let line = line.unwrap();
        let (name, rest) = line.split_once(' ').unwrap_or((&line, "{}"));
        let args: Value = serde_json::from_str(rest).unwrap();
        let done = match name {
            "photo" => notebook.with(|notebook| {
                let bytes = picture(u32::try_from(args.as_u64().unwrap()).unwrap());
                let taken = notebook.take_photo(&bytes).unwrap();
                let line = json!({ "hash": taken.hash, "on": "2031-03-01" });
                notebook.call(None, "add_photo", line).map(|_| json!(taken.hash))
            }),
            "original" => notebook.with(|notebook| {
                let hash = args.as_str().unwrap();
                let read = notebook.photo(hash, notebook::PhotoSize::Original);
                read.map(|(_, bytes)| json!(blake3::hash(&bytes).to_hex().as_str()))
            }),
            _ => notebook.with(|notebook| notebook.call(None, name, args)),
        };
        match done {
            Ok(reply) => println!("ok {reply}"),
            Err(refusal) => println!("no {}", json!({ "code": refusal.code, "words": refusal.words })),
        }
    }
    notebook.leave();
}
