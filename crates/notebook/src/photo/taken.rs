//! When a photo was taken, by its camera's clock, as its header says (Exif 2.32, CIPA DC-008, 4.6.5). Nothing else of the header is read:
//! least of all the place.

use std::io::Cursor;

use exif::{DateTime, In, Reader, Tag, Value};
use record::Day;

/// What a camera's clock said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Taken {
    /// The day.
    pub(crate) on: Day,
    /// The hour and minute, such as `18:05`.
    pub(crate) at: String,
}

/// When it was taken; nothing where its header does not say, or says what can be no day. When the file was last changed is not taken for it.
pub(crate) fn taken(photo: &[u8]) -> Option<Taken> {
    let header = Reader::new().read_from_container(&mut Cursor::new(photo)).ok()?;
    let tags = [Tag::DateTimeOriginal, Tag::DateTimeDigitized];
    tags.iter().find_map(|tag| {
        let Value::Ascii(lines) = &header.get_field(*tag, In::PRIMARY)?.value else {
            return None;
        };
        let said = DateTime::from_ascii(lines.first()?).ok()?;
        let on = format!("{:04}-{:02}-{:02}", said.year, said.month, said.day);
        let on: Day = on.parse().ok()?;
        let is_a_time = said.hour < 24 && said.minute < 60;
        is_a_time.then(|| Taken {
            on,
            at: format!("{:02}:{:02}", said.hour, said.minute),
        })
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    /// An Exif segment by the standard's own layout (CIPA DC-008, 4.5.2 and 4.6.3): a TIFF header, a directory that leads to Exif's own,
    /// and there one tag of twenty letters.
    fn header(tag: u16, said: &[u8; 19]) -> Vec<u8> {
        let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
        let mut entry = |tag: u16, kind: u16, count: u32, value: u32| {
            tiff.extend(1_u16.to_be_bytes());
            tiff.extend(tag.to_be_bytes());
            tiff.extend(kind.to_be_bytes());
            tiff.extend(count.to_be_bytes());
            tiff.extend(value.to_be_bytes());
            tiff.extend(0_u32.to_be_bytes());
        };
        entry(0x8769, 4, 1, 26);
        entry(tag, 2, 20, 44);
        tiff.extend(said);
        tiff.push(0);
        tiff
    }

    /// A JPEG of nothing but its header.
    fn jpeg(tag: u16, said: &[u8; 19]) -> Vec<u8> {
        let tiff = header(tag, said);
        let length = u16::try_from(tiff.len() + 8).unwrap();
        let mut jpeg = b"\xff\xd8\xff\xe1".to_vec();
        jpeg.extend(length.to_be_bytes());
        jpeg.extend(b"Exif\0\0");
        jpeg.extend(tiff);
        jpeg.extend(b"\xff\xd9");
        jpeg
    }

    const ORIGINAL: u16 = 0x9003;
    const DIGITIZED: u16 = 0x9004;
    const CHANGED: u16 = 0x0132;

    #[test]
    fn the_cameras_clock_is_read_and_what_is_no_time_is_not() {
        let said = |tag, words| taken(&jpeg(tag, words)).map(|taken| (taken.on.to_string(), taken.at));
        let evening = || Some(("2031-03-01".to_owned(), "18:05".to_owned()));
        assert_eq!(said(ORIGINAL, b"2031:03:01 18:05:59"), evening());
        assert_eq!(said(DIGITIZED, b"2031:03:01 18:05:59"), evening());
        // When the file was changed says nothing of when the picture was taken.
        assert_eq!(said(CHANGED, b"2031:03:01 18:05:59"), None);
        // A camera whose clock was never set, and days that are none.
        assert_eq!(said(ORIGINAL, b"0000:00:00 00:00:00"), None);
        assert_eq!(said(ORIGINAL, b"    :  :     :  :  "), None);
        assert_eq!(said(ORIGINAL, b"2031:02:30 18:05:59"), None);
        assert_eq!(said(ORIGINAL, b"2031:03:01 25:05:59"), None);
        assert_eq!(said(ORIGINAL, b"nineteen letters ->"), None);
    }

    #[test]
    fn a_header_that_is_cut_anywhere_is_read_as_far_as_it_says_something() {
        let whole = jpeg(ORIGINAL, b"2031:03:01 18:05:59");
        for end in 0..whole.len() {
            let cut = whole.get(..end).unwrap();
            assert!(taken(cut).is_none_or(|taken| taken.at == "18:05"), "cut at {end}");
        }
        for at in 0..whole.len() {
            let mut turned = whole.clone();
            if let Some(byte) = turned.get_mut(at) {
                *byte = !*byte;
            }
            // Whatever it says: it answers.
            drop(taken(&turned));
        }
    }
}
