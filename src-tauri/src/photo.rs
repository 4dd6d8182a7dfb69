//! `photo://localhost/RECORD/HASH/SIZE`: photos for the pages, whole or in ranges (RFC 9110, section 14).
//!
//! It never reads a path from the address: a photo is named by its hash, which must be 64 hex digits.

use tauri::http::{Response, StatusCode, header};

use notebook::PhotoSize;

use crate::face::{Face, Photo};

/// What a photo's address says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Asked {
    /// BLAKE3 of the original, in lower hex.
    pub(crate) hash: String,
    /// The original or the thumbnail.
    pub(crate) size: PhotoSize,
}

/// Reads the address's path. The record is there for the reader of a log: a folder keeps each photo once, by its
/// hash, whichever of its cars shows it.
pub(crate) fn read(path: &str) -> Option<Asked> {
    let mut parts = path.strip_prefix('/')?.split('/');
    let (record, hash, size) = (parts.next()?, parts.next()?, parts.next()?);
    let plain = record
        .bytes()
        .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    let hex = hash.len() == 64
        && hash
            .bytes()
            .all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    let size = match size {
        "thumb" => PhotoSize::Thumb,
        "original" => PhotoSize::Original,
        _ => return None,
    };
    (parts.next().is_none() && plain && hex).then(|| Asked {
        hash: hash.into(),
        size,
    })
}

/// Answers one request: the photo, part of it, or why not.
pub(crate) fn answer(face: Option<&Face>, path: &str, range: Option<&str>) -> Response<Vec<u8>> {
    let Some(asked) = read(path) else {
        return bare(StatusCode::BAD_REQUEST);
    };
    let Some(face) = face else {
        return bare(StatusCode::SERVICE_UNAVAILABLE);
    };
    match face.photo(&asked.hash, asked.size) {
        Ok(Some(photo)) => part(&photo, range),
        Ok(None) => bare(StatusCode::NOT_FOUND),
        Err(_) => bare(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

/// The photo, or the one range of it that was asked for.
fn part(photo: &Photo, range: Option<&str>) -> Response<Vec<u8>> {
    let whole = photo.bytes.len();
    let (status, bytes, told) = match range.map(|range| bounds(range, whole)) {
        // What is not one range of bytes is ignored, as the standard allows.
        None | Some(Range::Ignored) => (StatusCode::OK, photo.bytes.clone(), None),
        Some(Range::Part(from, to)) => {
            let bytes = photo.bytes.get(from..=to).unwrap_or_default().to_vec();
            (
                StatusCode::PARTIAL_CONTENT,
                bytes,
                Some(format!("bytes {from}-{to}/{whole}")),
            )
        }
        Some(Range::Outside) => (
            StatusCode::RANGE_NOT_SATISFIABLE,
            Vec::new(),
            Some(format!("bytes */{whole}")),
        ),
    };
    let mut response = Response::builder()
        .status(status)
        .header(header::CONTENT_TYPE, &photo.media)
        .header(header::ACCEPT_RANGES, "bytes")
        // The name is the hash of what it names: it can never change.
        .header(header::CACHE_CONTROL, "private, max-age=31536000, immutable")
        .header(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    if let Some(told) = told {
        response = response.header(header::CONTENT_RANGE, told);
    }
    response
        .body(bytes)
        .unwrap_or_else(|_| bare(StatusCode::INTERNAL_SERVER_ERROR))
}

fn bare(status: StatusCode) -> Response<Vec<u8>> {
    let mut response = Response::new(Vec::new());
    *response.status_mut() = status;
    response
}

/// What a `Range` header asks for, against a length.
#[derive(Debug, PartialEq, Eq)]
enum Range {
    Ignored,
    Part(usize, usize),
    Outside,
}

/// Reads `bytes=FROM-TO`, `bytes=FROM-` and `bytes=-LAST`; bounds are inclusive.
fn bounds(range: &str, whole: usize) -> Range {
    let Some((from, to)) = range
        .strip_prefix("bytes=")
        .and_then(|range| range.trim().split_once('-'))
    else {
        return Range::Ignored;
    };
    let number = |text: &str| text.trim().parse::<usize>().ok();
    let last = whole.saturating_sub(1);
    match (
        from.trim().is_empty(),
        number(from),
        to.trim().is_empty(),
        number(to),
    ) {
        (true, _, false, Some(0)) => Range::Outside,
        (true, _, false, Some(_)) if whole == 0 => Range::Outside,
        (true, _, false, Some(count)) => Range::Part(whole.saturating_sub(count), last),
        (false, Some(from), _, _) if from >= whole => Range::Outside,
        (false, Some(from), true, _) => Range::Part(from, last),
        (false, Some(from), false, Some(to)) if to >= from => Range::Part(from, to.min(last)),
        _ => Range::Ignored,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HASH: &str = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

    #[test]
    fn addresses() {
        let check = |path: &str, expected: Option<PhotoSize>| {
            assert_eq!(read(path).map(|asked| asked.size), expected, "{path}");
        };
        check(&format!("/car-1/{HASH}/thumb"), Some(PhotoSize::Thumb));
        check(&format!("/car-1/{HASH}/original"), Some(PhotoSize::Original));
        check(&format!("/car-1/{HASH}/huge"), None);
        check(&format!("/car-1/{HASH}/thumb/more"), None);
        check(&format!("/../{HASH}/thumb"), None);
        check(&format!("//{HASH}/thumb"), Some(PhotoSize::Thumb));
        check(&format!("{HASH}/thumb"), None);
        check("/car-1/abc/thumb", None);
        check(&format!("/car-1/{}/thumb", HASH.to_uppercase()), None);
        check("/", None);
    }

    /// RFC 9110, section 14.1.2: the forms of a byte range and what cannot be satisfied.
    #[test]
    fn ranges() {
        let check = |range: &str, whole: usize, expected: Range| {
            assert_eq!(bounds(range, whole), expected, "{range}")
        };
        check("bytes=0-499", 10_000, Range::Part(0, 499));
        check("bytes=500-999", 10_000, Range::Part(500, 999));
        check("bytes=-500", 10_000, Range::Part(9_500, 9_999));
        check("bytes=9500-", 10_000, Range::Part(9_500, 9_999));
        check("bytes=0-99999", 10_000, Range::Part(0, 9_999));
        check("bytes=-99999", 10_000, Range::Part(0, 9_999));
        check("bytes=10000-", 10_000, Range::Outside);
        check("bytes=-0", 10_000, Range::Outside);
        check("bytes=-5", 0, Range::Outside);
        check("bytes=5-2", 10_000, Range::Ignored);
        check("bytes=0-1,5-6", 10_000, Range::Ignored);
        check("lines=1-2", 10_000, Range::Ignored);
        check("bytes=", 10_000, Range::Ignored);
    }

    #[test]
    fn a_part_says_which_part_it_is() {
        let photo = Photo {
            bytes: (0..10).collect(),
            media: "image/jpeg".into(),
        };
        let response = part(&photo, Some("bytes=2-4"));
        assert_eq!(response.status(), StatusCode::PARTIAL_CONTENT);
        assert_eq!(response.headers()[header::CONTENT_RANGE], "bytes 2-4/10");
        assert_eq!(response.body(), &[2, 3, 4]);
        let response = part(&photo, None);
        assert_eq!((response.status(), response.body().len()), (StatusCode::OK, 10));
        let response = part(&photo, Some("bytes=10-"));
        assert_eq!(response.status(), StatusCode::RANGE_NOT_SATISFIABLE);
        assert_eq!(response.headers()[header::CONTENT_RANGE], "bytes */10");
    }

    #[test]
    fn a_bad_address_is_refused_before_the_notebook_is_asked() {
        assert_eq!(answer(None, "/x", None).status(), StatusCode::BAD_REQUEST);
        assert_eq!(
            answer(None, &format!("/car/{HASH}/thumb"), None).status(),
            StatusCode::SERVICE_UNAVAILABLE
        );
    }
}
