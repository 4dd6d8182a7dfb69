//! Photos of a meeting, kept: a short turn for each piece, and what is slow, looking at one that is whole, between two turns.

use std::io::{self, Read};
use std::sync::Weak;

use link::talk::{Hash, Kept};
use notebook::Decoded;
use notebook::live::{Piece, Smalls, Step};
use record::{Id, PhotoHash};

use crate::darkroom::Darkroom;
use crate::turns::{InTurns, turn};

/// What is seen of a photo that came, where it is the one that was named and a picture at all.
fn look_at(part: &mut impl Read, named: Hash) -> io::Result<Option<Decoded>> {
    let darkroom = Darkroom::enter();
    let mut bytes = Vec::new();
    part.read_to_end(&mut bytes)?;
    let right = *blake3::hash(&bytes).as_bytes() == named;
    Ok(if right { darkroom.decode(&bytes).ok() } else { None })
}

/// Keeps a piece, and the photo when it is whole.
pub(super) fn keep(
    notebook: &Weak<InTurns>,
    record: &Id,
    piece: &Piece,
    smalls: &mut Smalls,
) -> Option<Kept> {
    if piece.key.small {
        let picture = match smalls.add(piece) {
            Ok(picture) => picture,
            Err(kept) => return Some(kept),
        };
        let name = PhotoHash::from_bytes(piece.key.hash);
        return turn(notebook, |notebook| notebook.keep_small(record, &name, &picture))
            .map(|kept| kept.map_or(Kept::Cannot, |()| Kept::Whole));
    }
    let total = match turn(notebook, |notebook| notebook.add_piece(piece))? {
        Ok(Step::Said(kept)) => return Some(kept),
        Ok(Step::Judge(total)) => total,
        Err(_) => return Some(Kept::Cannot),
    };
    let hash = PhotoHash::from_bytes(piece.key.hash);
    // Outside of a turn; what is read into memory for it is gone again before the next.
    let Ok(mut part) = turn(notebook, |notebook| notebook.part_open(&hash, total))? else {
        return Some(Kept::Cannot);
    };
    let Ok(seen) = look_at(&mut part, piece.key.hash) else {
        return Some(Kept::Cannot);
    };
    let put = turn(notebook, |notebook| match seen {
        Some(seen) => notebook
            .part_open(&hash, total)
            .and_then(|mut part| notebook.put_in_place(record, &hash, &mut part, seen))
            .map(|()| Kept::Whole),
        None => notebook.part_drop(&hash).map(|()| Kept::Wrong),
    })?;
    Some(put.unwrap_or(Kept::Cannot))
}
