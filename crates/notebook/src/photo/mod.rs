//! Photos as bytes: is it one, how large is it, a small picture of it. An original is never altered, and one that
//! would take too much memory to draw is never decoded: it is kept whole, without a small picture.

mod taken;
mod weigh;

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits};
use record::{Day, PhotoHash};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{NewPhoto, PhotoMeta};
use ts_rs::TS;

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// Most bytes of an original.
pub const MOST_BYTES: usize = 64 << 20;
/// Most memory that decoding a small picture may take.
const MOST_SMALL: u64 = 8 << 20;
/// Longest side of the small picture.
const THUMB: u32 = 480;

/// Which size of a photo is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhotoSize {
    /// As it was taken.
    Original,
    /// A small picture, JPEG.
    Thumb,
}

/// A photo that is kept on this device.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct TakenPhoto {
    /// BLAKE3 of its bytes.
    pub hash: String,
    /// Pixels across, as it is shown.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Such as `image/jpeg`.
    pub mime: String,
    /// Whether it is kept whole without a small picture, which would take too much memory to draw.
    pub not_drawn: bool,
    /// The day on which it was taken, by its camera's clock; nothing where its header does not say.
    pub taken_on: Option<Day>,
    /// The hour and minute by that clock, such as `18:05`.
    pub taken_at: Option<String>,
}

impl TakenPhoto {
    fn told(hash: &PhotoHash, meta: &PhotoMeta, not_drawn: bool, clock: Option<taken::Taken>) -> Self {
        Self {
            hash: hash.to_string(),
            width: meta.width,
            height: meta.height,
            mime: meta.mime.clone(),
            not_drawn,
            taken_on: clock.as_ref().map(|clock| clock.on),
            taken_at: clock.map(|clock| clock.at),
        }
    }
}

/// The hash by which a photo is known: BLAKE3 of its bytes as they are.
#[must_use]
pub fn photo_hash(bytes: &[u8]) -> PhotoHash {
    PhotoHash::from_bytes(*blake3::hash(bytes).as_bytes())
}

/// What was seen of a photo.
#[derive(Debug)]
pub struct Decoded {
    /// Its size and type.
    pub meta: PhotoMeta,
    /// Its small picture; empty where it is too large to be drawn.
    pub thumb: Vec<u8>,
    /// When it was taken, as its header says.
    pub(crate) taken: Option<taken::Taken>,
}

fn no_photo() -> Refusal {
    Refusal::input(
        "no_photo",
        "this is no photo that can be shown here (JPEG, PNG or WebP); nothing was kept",
    )
}

/// Looks at a photo, and makes its small picture, turned the way it was held, where its header says that this
/// takes no more memory than it may.
///
/// # Errors
/// When it is no photo, or is too large.
pub fn look_at_photo(bytes: &[u8]) -> Result<Decoded, Refusal> {
    if bytes.len() > MOST_BYTES {
        return Err(Refusal::input(
            "photo_too_large",
            format!("the photo has more than {MOST_BYTES} bytes; nothing was kept"),
        ));
    }
    let weighed = weigh::weigh(bytes).ok_or_else(no_photo)?;
    let mime = match weighed.format {
        ImageFormat::Jpeg => "image/jpeg",
        ImageFormat::Png => "image/png",
        _ => "image/webp",
    };
    let drawn = if weighed.fits() {
        draw(bytes, weighed)?
    } else {
        None
    };
    let (width, height, thumb) = drawn.unwrap_or_else(|| {
        let (width, height) = weighed.as_held();
        (width, height, Vec::new())
    });
    let meta = PhotoMeta {
        mime: mime.to_owned(),
        width,
        height,
        camera: String::new(),
    };
    let taken = taken::taken(bytes);
    Ok(Decoded { meta, thumb, taken })
}

/// Draws a photo small: its size as it was held, and the picture. Nothing where the decoder finds that it would take
/// more than its header said.
fn draw(bytes: &[u8], weighed: weigh::Weighed) -> Result<Option<(u32, u32, Vec<u8>)>, Refusal> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), weighed.format);
    let mut limits = Limits::default();
    limits.max_image_width = Some(weighed.width);
    limits.max_image_height = Some(weighed.height);
    limits.max_alloc = Some(weigh::MOST_TOLD);
    reader.limits(limits);
    let mut decoder = match reader.into_decoder() {
        Ok(decoder) => decoder,
        Err(ImageError::Limits(_)) => return Ok(None),
        Err(_) => return Err(no_photo()),
    };
    if decoder.dimensions() != (weighed.width, weighed.height) {
        return Ok(None);
    }
    let orientation = decoder.orientation().map_err(|_| no_photo())?;
    let picture = match DynamicImage::from_decoder(decoder) {
        Ok(picture) => picture,
        Err(ImageError::Limits(_)) => return Ok(None),
        Err(_) => return Err(no_photo()),
    };
    let (width, height) = weigh::turned((picture.width(), picture.height()), orientation);
    let mut small = if picture.width().max(picture.height()) > THUMB {
        picture.thumbnail(THUMB, THUMB)
    } else {
        picture
    };
    small.apply_orientation(orientation);
    let mut thumb = Cursor::new(Vec::new());
    let written = DynamicImage::from(small.to_rgb8()).write_to(&mut thumb, ImageFormat::Jpeg);
    written.map_err(|error| Refusal::failed("thumb", error.to_string()))?;
    Ok(Some((width, height, thumb.into_inner())))
}

/// A small picture that another device made of an original that is not here. Nothing but that device's word says what
/// it shows, so it is held to be a JPEG no larger than this program makes them, decoded under limits, and written anew:
/// what is kept and shown is of this program's own making. Nothing where it is not one.
pub(crate) fn small_of(bytes: &[u8]) -> Option<Vec<u8>> {
    if bytes.len() > store::Store::SMALL_MOST {
        return None;
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
    let mut limits = Limits::default();
    limits.max_image_width = Some(THUMB);
    limits.max_image_height = Some(THUMB);
    limits.max_alloc = Some(MOST_SMALL);
    reader.limits(limits);
    let picture = reader.decode().ok()?;
    let mut thumb = Cursor::new(Vec::new());
    DynamicImage::from(picture.to_rgb8())
        .write_to(&mut thumb, ImageFormat::Jpeg)
        .ok()?;
    Some(thumb.into_inner()).filter(|thumb| thumb.len() <= store::Store::SMALL_MOST)
}

impl Notebook {
    /// Keeps a photo's bytes on this device; `add_photo` then enters it in the record.
    ///
    /// # Errors
    /// When it is no photo, is too large, or the disk refuses: nothing is kept then.
    pub fn take_photo(&mut self, bytes: &[u8]) -> Result<TakenPhoto, Refusal> {
        self.may_write()?;
        let seen = look_at_photo(bytes)?;
        self.keep_seen(bytes, seen)
    }

    /// A photo whose original is on this device already, by its hash: it need not be looked at again, nor kept.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn photo_here(&self, bytes: &[u8], hash: &PhotoHash) -> Result<Option<TakenPhoto>, Refusal> {
        let Some(row) = self.store.photo(hash)? else {
            return Ok(None);
        };
        // One that is gone from the disk, or is damaged there, is kept anew: that is how it heals.
        let lies = self.store.photo_bytes(hash, 0, row.length);
        if !lies.is_ok_and(|lies| photo_hash(&lies) == *hash) {
            return Ok(None);
        }
        Ok(Some(TakenPhoto::told(
            hash,
            &row.meta,
            !row.small,
            taken::taken(bytes),
        )))
    }

    /// Keeps a photo that was looked at.
    ///
    /// # Errors
    /// When the disk refuses: nothing is kept then.
    pub fn keep_seen(&mut self, bytes: &[u8], seen: Decoded) -> Result<TakenPhoto, Refusal> {
        let (new, taken) = self.original(bytes, None, seen)?;
        self.store.enter_photos(&[new])?;
        Ok(taken)
    }

    /// Keeps an original that was looked at and makes its row, still to be entered.
    pub(crate) fn original(
        &mut self,
        bytes: &[u8],
        wanted: Option<&PhotoHash>,
        seen: Decoded,
    ) -> Result<(NewPhoto, TakenPhoto), Refusal> {
        self.may_write()?;
        let Decoded {
            meta,
            thumb,
            taken: clock,
        } = seen;
        let mut from = bytes;
        let kept = self.store.keep_photo(&mut from, MOST_BYTES as u64, wanted)?;
        let taken = TakenPhoto::told(kept.hash(), &meta, thumb.is_empty(), clock);
        let added = self.now();
        Ok((
            NewPhoto {
                kept,
                meta,
                thumb,
                added,
            },
            taken,
        ))
    }

    /// The bytes of a photo and their type.
    ///
    /// # Errors
    /// When it is not on this device.
    pub fn photo(&self, hash: &str, size: PhotoSize) -> Result<(String, Vec<u8>), Refusal> {
        let none = || Refusal::from(store::StoreError::NoPhoto(hash.chars().take(64).collect()));
        let hash = &PhotoHash::from_hex(hash).ok_or_else(none)?;
        match size {
            PhotoSize::Thumb => {
                let thumb = self.store.thumb(hash)?.filter(|thumb| !thumb.is_empty());
                Ok(("image/jpeg".to_owned(), thumb.ok_or_else(none)?))
            }
            PhotoSize::Original => {
                let row = self.store.photo(hash)?.ok_or_else(none)?;
                Ok((row.meta.mime, self.store.photo_bytes(hash, 0, row.length)?))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    fn jpeg(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        let picture = image::RgbImage::from_fn(width, height, |x, y| image::Rgb([x as u8, y as u8, 9]));
        picture.write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn a_small_picture_of_another_device_is_bounded_and_written_anew() {
        let good = jpeg(THUMB, 360);
        let kept = small_of(&good).unwrap();
        assert!(kept.starts_with(&[0xff, 0xd8]) && kept.len() <= store::Store::SMALL_MOST);
        // Whatever is stuck to it does not stay.
        let secret = b"<script>nothing of this</script>";
        let kept = small_of(&[&good, &secret[..]].concat()).unwrap();
        assert!(!kept.windows(secret.len()).any(|some| some == secret));
        let mut png = Cursor::new(Vec::new());
        image::RgbImage::new(9, 9)
            .write_to(&mut png, ImageFormat::Png)
            .unwrap();
        // One that is cut within its lines is drawn as far as it goes; one that is cut before them is none.
        let cut = good.get(..20).unwrap();
        let long = [good.clone(), vec![0; store::Store::SMALL_MOST]].concat();
        let wide = jpeg(THUMB + 1, 20);
        for bad in [&[][..], b"no picture", cut, &long, &wide, png.get_ref()] {
            assert!(small_of(bad).is_none(), "{} bytes", bad.len());
        }
    }
}
