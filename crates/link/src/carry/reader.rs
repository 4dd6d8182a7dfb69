//! Reads a carry file: once through to check all of it in constant memory, then again to hand it on. It never hands on
//! a byte of a file that failed the check, and never believes a size that the file gives of itself.

use std::convert::Infallible;
use std::io::{Read, Seek, SeekFrom};

use super::frame::{
    self, COUNTS, END, END_LENGTH, FrameInput, HEAD, MARKS, PHOTO, PHOTO_LENGTH, PIECE, SLICE,
};
use super::list::List;
use super::slice::SliceOpener;
use super::{CarryBound, CarryError, Contents, Hash, Head, Limits, Sink, Stopped, Wanted};
use crate::vouch::Mark;

/// Checks the whole of a carry file and hands nothing on. Needs about 1 MB of memory, whatever the file.
///
/// The file is read from its beginning. Every length, count and BLAKE3 in it was compared when this returns `Ok`.
/// Whether a change is one, and has the hash it came with, is for the record to say.
pub fn check<F: Read + Seek>(file: &mut F, limits: &Limits) -> Result<Contents, CarryError> {
    file.seek(SeekFrom::Start(0))?;
    match walk(FrameInput::new(&mut *file), limits, None::<&mut Nobody>) {
        Ok(contents) => Ok(contents),
        Err(Stopped::File(error)) => Err(told_apart(file, error)),
        Err(Stopped::Sink(never)) => match never {},
    }
}

/// Reads only the head, to show whose file it is. What comes back was NOT checked: nothing but a preview may rest on it.
pub fn peek(file: &mut impl Read, limits: &Limits) -> Result<Head, CarryError> {
    let mut input = FrameInput::new(file);
    input.preamble()?;
    head(&mut input, limits, &mut Vec::new())
}

/// Checks the whole file as [`check`] does, then hands its contents to `sink`.
///
/// A file that is at fault never reaches the sink. An error of the sink ends the reading at once.
pub fn read<F: Read + Seek, S: Sink + ?Sized>(
    file: &mut F,
    limits: &Limits,
    sink: &mut S,
) -> Result<Contents, Stopped<S::Refusal>> {
    let checked = check(file, limits)?;
    file.seek(SeekFrom::Start(0)).map_err(CarryError::from)?;
    match walk(FrameInput::new(file), limits, Some(sink)) {
        Ok(handed) if handed == checked => Ok(handed),
        Err(Stopped::File(CarryError::Io(failed))) => Err(CarryError::Io(failed).into()),
        // Somebody wrote to the file in between.
        Ok(_) | Err(Stopped::File(_)) => Err(CarryError::Damaged.into()),
        refused => refused,
    }
}

/// A sink for a walk that hands nothing on.
struct Nobody;

impl Sink for Nobody {
    type Refusal = Infallible;
    fn head(&mut self, _: &Head) -> Result<(), Infallible> {
        Ok(())
    }
    fn change(&mut self, _: Hash, _: Vec<u8>) -> Result<(), Infallible> {
        Ok(())
    }
    fn photo(&mut self, _: Hash, _: u64) -> Result<Wanted, Infallible> {
        Ok(Wanted::No)
    }
    fn photo_piece(&mut self, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }
    fn photo_end(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}

/// A damaged length or letter can look like any other fault. So a file that breaks the rules is hashed as it lies: only
/// when it is as its sender made it is the fault the sender's.
fn told_apart<F: Read + Seek>(file: &mut F, error: CarryError) -> CarryError {
    match error {
        CarryError::Malformed { .. }
        | CarryError::TooLarge { .. }
        | CarryError::UnknownPart { .. }
        | CarryError::Swells
        | CarryError::WrongPhoto
        | CarryError::CountsDiffer => {
            let unharmed = file
                .seek(SeekFrom::End(0))
                .and_then(|length| file.seek(SeekFrom::Start(0)).map(|_| length))
                .and_then(|length| frame::unharmed(file, length));
            match unharmed {
                Ok(true) => error,
                Ok(false) => CarryError::Damaged,
                Err(failed) => CarryError::from(failed),
            }
        }
        other => other,
    }
}

fn head(input: &mut FrameInput<impl Read>, limits: &Limits, room: &mut Vec<u8>) -> Result<Head, CarryError> {
    let (letter, length) = input.front()?;
    if letter != HEAD {
        return Err(CarryError::Malformed {
            what: "it does not begin with its first page",
        });
    }
    Head::in_limits(length as u64, limits)?;
    input.payload(length, room)?;
    Head::from_bytes(room, limits)
}

/// Goes through the file once, from its first byte to its last. With a sink, hands on what it holds.
fn walk<F: Read, S: Sink + ?Sized>(
    mut input: FrameInput<F>,
    limits: &Limits,
    mut sink: Option<&mut S>,
) -> Result<Contents, Stopped<S::Refusal>> {
    let malformed = |what| Stopped::File(CarryError::Malformed { what });
    let mut room = Vec::new();
    let mut opener = SliceOpener::new();
    let mut list = List::new(sink.is_some());
    let (mut photos, mut photo_bytes) = (0_u64, 0_u64);

    input.preamble()?;
    let head = head(&mut input, limits, &mut room)?;
    if let Some(sink) = sink.as_deref_mut() {
        sink.head(&head).map_err(Stopped::Sink)?;
    }
    loop {
        let (letter, length) = input.front()?;
        match letter {
            SLICE if photos > 0 => return Err(malformed("a change comes after a photo")),
            SLICE => {
                input.payload(length, &mut room)?;
                let open = opener.open(&room)?;
                list.feed(open, limits, &mut |hash, bytes| match sink.as_deref_mut() {
                    Some(sink) => sink.change(hash, bytes).map_err(Stopped::Sink),
                    None => Ok(()),
                })?;
            }
            PHOTO if length != PHOTO_LENGTH => return Err(malformed("a photo does not begin as it should")),
            PHOTO => {
                if photos >= limits.photo_count {
                    let error = CarryError::TooLarge {
                        what: CarryBound::PhotoCount,
                        limit: limits.photo_count,
                    };
                    return Err(error.into());
                }
                photo_bytes = photo_bytes.saturating_add(photo(&mut input, limits, &mut room, &mut sink)?);
                photos += 1;
            }
            END if length != END_LENGTH => return Err(malformed("it does not end as it should")),
            END => break,
            MARKS => {
                input.payload(length, &mut room)?;
                // An older reader passes over them, and so does this one over what it cannot read.
                let marks = room.chunks(Mark::LENGTH).filter_map(Mark::from_bytes);
                for mark in marks {
                    if let Some(sink) = sink.as_deref_mut() {
                        sink.mark(mark).map_err(Stopped::Sink)?;
                    }
                }
            }
            b'a'..=b'z' => input.payload(length, &mut room)?,
            HEAD | PIECE => return Err(malformed("its parts are not in order")),
            _ => return Err(CarryError::UnknownPart { letter }.into()),
        }
    }
    let mut counts = Vec::with_capacity(COUNTS);
    for count in [list.tally.count, photos, list.tally.bytes, photo_bytes] {
        counts.extend_from_slice(&count.to_le_bytes());
    }
    let counts_said = input.exact::<COUNTS>()?;
    let (digest, said) = input.digests()?;
    if digest != said {
        return Err(CarryError::Damaged.into());
    }
    if !input.at_end()? {
        return Err(CarryError::Trailing.into());
    }
    if !list.complete() {
        return Err(malformed("its last change is not complete"));
    }
    if counts != counts_said || (head.changes, head.photos) != (list.tally.count, photos) {
        return Err(CarryError::CountsDiffer.into());
    }
    let (changes, change_bytes) = (list.tally.count, list.tally.bytes);
    Ok(Contents {
        head,
        changes,
        photos,
        change_bytes,
        photo_bytes,
        digest,
    })
}

/// Goes through one photo, a piece at a time; gives its length.
fn photo<F: Read, S: Sink + ?Sized>(
    input: &mut FrameInput<F>,
    limits: &Limits,
    room: &mut Vec<u8>,
    sink: &mut Option<&mut S>,
) -> Result<u64, Stopped<S::Refusal>> {
    let hash = input.exact::<32>()?;
    let length = u64::from_le_bytes(input.exact::<8>()?);
    if length > limits.photo {
        return Err(CarryError::TooLarge {
            what: CarryBound::Photo,
            limit: limits.photo,
        }
        .into());
    }
    let mut wanted = None;
    if let Some(sink) = sink.as_deref_mut()
        && sink.photo(hash, length).map_err(Stopped::Sink)? == Wanted::Yes
    {
        wanted = Some(sink);
    }
    let mut hasher = blake3::Hasher::new();
    let mut left = length;
    while left > 0 {
        let (letter, piece) = input.front()?;
        if letter != PIECE || piece == 0 || piece as u64 > left {
            return Err(CarryError::Malformed {
                what: "a photo is not as long as it says",
            }
            .into());
        }
        input.payload(piece, room)?;
        hasher.update(room);
        if let Some(sink) = wanted.as_deref_mut() {
            sink.photo_piece(room).map_err(Stopped::Sink)?;
        }
        left -= piece as u64;
    }
    if hasher.finalize().as_bytes() != &hash {
        return Err(CarryError::WrongPhoto.into());
    }
    if let Some(sink) = wanted {
        sink.photo_end().map_err(Stopped::Sink)?;
    }
    Ok(length)
}
