//! Photos as bytes: is it one, how large is it, a small picture of it. An original is never altered.

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::{NewPhoto, PhotoMeta};
use ts_rs::TS;

use crate::{Notebook, Refusal};

/// Most bytes of an original.
pub(crate) const MOST_BYTES: usize = 64 << 20;
/// Most pixels along one side; nothing is decoded beyond.
const MOST_SIDE: u32 = 20_000;
/// Most memory that decoding may take.
const MOST_DECODED: u64 = 512 << 20;
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
}

/// What decoding told of a photo.
pub(crate) struct Decoded {
    pub(crate) meta: PhotoMeta,
    pub(crate) thumb: Vec<u8>,
}

fn no_photo() -> Refusal {
    Refusal::input(
        "no_photo",
        "this is no photo that can be shown here (JPEG, PNG or WebP); nothing was kept",
    )
}

/// Decodes a photo under limits and makes its small picture, turned the way it was held.
pub(crate) fn decode(bytes: &[u8]) -> Result<Decoded, Refusal> {
    if bytes.len() > MOST_BYTES {
        return Err(Refusal::input(
            "photo_too_large",
            format!("the photo has more than {MOST_BYTES} bytes; nothing was kept"),
        ));
    }
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|_| no_photo())?;
    let mime = match reader.format() {
        Some(ImageFormat::Jpeg) => "image/jpeg",
        Some(ImageFormat::Png) => "image/png",
        Some(ImageFormat::WebP) => "image/webp",
        _ => return Err(no_photo()),
    };
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_SIDE);
    limits.max_image_height = Some(MOST_SIDE);
    limits.max_alloc = Some(MOST_DECODED);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|_| no_photo())?;
    let orientation = decoder.orientation().map_err(|_| no_photo())?;
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|_| no_photo())?;
    picture.apply_orientation(orientation);
    let (width, height) = (picture.width(), picture.height());
    let small = if width.max(height) > THUMB {
        picture.thumbnail(THUMB, THUMB)
    } else {
        picture
    };
    let mut thumb = Cursor::new(Vec::new());
    let written = DynamicImage::from(small.to_rgb8()).write_to(&mut thumb, ImageFormat::Jpeg);
    written.map_err(|error| Refusal::failed("thumb", error.to_string()))?;
    let meta = PhotoMeta {
        mime: mime.to_owned(),
        width,
        height,
        camera: String::new(),
    };
    Ok(Decoded {
        meta,
        thumb: thumb.into_inner(),
    })
}

/// A small picture that another device made of an original that is not here. Nothing but that device's word says what
/// it shows, so it is held to be a JPEG no larger than this program makes them, decoded under limits, and written anew:
/// what is kept and shown is of this program's own making. Nothing where it is not one.
#[cfg_attr(
    not(any(feature = "live", test)),
    expect(dead_code, reason = "small pictures come where devices meet")
)]
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
        let (new, taken) = self.original(bytes, None)?;
        self.store.enter_photos(&[new])?;
        Ok(taken)
    }

    /// Keeps an original and makes its row, still to be entered.
    pub(crate) fn original(
        &mut self,
        bytes: &[u8],
        wanted: Option<&str>,
    ) -> Result<(NewPhoto, TakenPhoto), Refusal> {
        self.may_write()?;
        let Decoded { meta, thumb } = decode(bytes)?;
        let mut from = bytes;
        let kept = self.store.keep_photo(&mut from, MOST_BYTES as u64, wanted)?;
        let taken = TakenPhoto {
            hash: kept.hash().to_owned(),
            width: meta.width,
            height: meta.height,
            mime: meta.mime.clone(),
        };
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
        match size {
            PhotoSize::Thumb => Ok(("image/jpeg".to_owned(), self.store.thumb(hash)?.ok_or_else(none)?)),
            PhotoSize::Original => {
                let row = self.store.photo(hash)?.ok_or_else(none)?;
                Ok((row.meta.mime, self.store.photo_bytes(hash, 0, row.length)?))
            }
        }
    }

    /// A stretch of an original, its type, and its whole length.
    ///
    /// # Errors
    /// When it is not on this device.
    pub fn photo_stretch(
        &self,
        hash: &str,
        start: u64,
        most: u64,
    ) -> Result<(String, Vec<u8>, u64), Refusal> {
        let row = self
            .store
            .photo(hash)?
            .ok_or_else(|| Refusal::from(store::StoreError::NoPhoto(hash.chars().take(64).collect())))?;
        Ok((
            row.meta.mime,
            self.store.photo_bytes(hash, start, most)?,
            row.length,
        ))
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
