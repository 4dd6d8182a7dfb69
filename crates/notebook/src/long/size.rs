//! How long a carry file would be, worked out beside the notebook, of one moment. It writes no file and signs no change.

use std::vec::IntoIter;

use link::carry::{CarryError, Limits, Size};
use link::identity::Identity;
use link::vouch::Mark;
use record::members::members;
use record::{ChangeId, Id};
use store::Lent;

use super::moment::{RecordThen, Taking};
use super::packed::Packed;
use super::writing::rows_of;
use super::{Next, Progress, Work};
use crate::meeting::small;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::sealing::CarryWish;
use crate::wire::CarrySize;

/// A size that is being worked out.
pub(crate) struct Sizing {
    wish: CarryWish,
    record: Id,
    stage: Stage,
}

enum Stage {
    Begun,
    Taking(Box<Taking>, Option<Identity>),
    Packing(Box<RecordThen>, Lent, Option<Identity>),
    Counting(Box<Counting>),
    Done(CarrySize),
    /// Only in the middle of a step.
    Nothing,
}

struct Counting {
    size: Size,
    changes: IntoIter<(ChangeId, Vec<u8>)>,
    marks: Vec<Mark>,
    readers: usize,
    told: CarrySize,
}

impl Sizing {
    pub(crate) fn new(record: &Id, wish: CarryWish) -> Self {
        Self {
            wish,
            record: record.clone(),
            stage: Stage::Begun,
        }
    }
}

impl Work for Sizing {
    type Answer = CarrySize;

    fn next(&self) -> Next {
        match &self.stage {
            Stage::Begun => Next::Turn,
            Stage::Taking(taking, _) => taking.next(),
            Stage::Packing(..) | Stage::Counting(_) => Next::Beside,
            Stage::Done(_) | Stage::Nothing => Next::Nothing,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, _rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Nothing) {
            Stage::Begun => {
                let taking = Taking::begin(notebook, &self.record, self.wish.to.as_ref())?;
                Stage::Taking(Box::new(taking), notebook.signer()?.cloned())
            }
            Stage::Taking(taking, signer) => {
                let (moment, files) = taking.turn(notebook)?;
                Stage::Packing(Box::new(moment), files, signer)
            }
            other => other,
        };
        Ok(())
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Nothing) {
            Stage::Taking(mut taking, signer) => match taking.beside()? {
                Some(moment) => Stage::Packing(Box::new(moment), taking.files, signer),
                None => Stage::Taking(taking, signer),
            },
            Stage::Packing(moment, files, signer) => {
                let packed = Packed::of(&moment, self.wish.photos, signer.as_ref());
                Stage::Counting(Box::new(Counting::of(&moment, &files, packed)?))
            }
            Stage::Counting(mut counting) => {
                if counting.step(rows)? {
                    Stage::Counting(counting)
                } else {
                    Stage::Done(counting.end()?)
                }
            }
            other => other,
        };
        Ok(())
    }

    fn progress(&self) -> Progress {
        match &self.stage {
            Stage::Counting(counting) => Progress {
                what: "changes",
                done: u64::from(counting.told.changes).saturating_sub(counting.changes.len() as u64),
                of: u64::from(counting.told.changes),
            },
            _ => Progress {
                what: "reading the record",
                ..Progress::default()
            },
        }
    }

    fn answer(self) -> Result<CarrySize, Refusal> {
        match self.stage {
            Stage::Done(size) => Ok(size),
            _ => Err(Refusal::failed(
                "carry_io",
                "the size was not worked out to its end",
            )),
        }
    }
}

impl Counting {
    fn of(moment: &RecordThen, files: &Lent, packed: Packed) -> Result<Self, Refusal> {
        let mut bytes_photos = 0_u64;
        for hash in &packed.photos {
            let length = files.open_photo(hash)?.length();
            bytes_photos = bytes_photos.saturating_add(length.map_err(CarryError::Io)?);
        }
        let members = members(moment.document.view());
        Ok(Self {
            told: CarrySize {
                changes: small(packed.changes.len()),
                bytes_changes: 0,
                photos: small(packed.photos.len()),
                bytes_photos,
                whole: packed.head.whole,
            },
            size: Size::new(packed.head, Limits::default())?,
            changes: packed.changes.into_iter(),
            marks: packed.marks,
            readers: members.iter().filter(|one| one.stands()).count(),
        })
    }

    fn step(&mut self, rows: u32) -> Result<bool, Refusal> {
        let mut left = rows;
        while left > 0 {
            let Some((id, bytes)) = self.changes.next() else {
                return Ok(false);
            };
            self.size.change(id.bytes(), &bytes)?;
            left = left.saturating_sub(rows_of(bytes.len()));
        }
        Ok(true)
    }

    fn end(mut self) -> Result<CarrySize, Refusal> {
        self.size.marks(&self.marks)?;
        Ok(CarrySize {
            bytes_changes: self.size.sealed(self.readers)?,
            ..self.told
        })
    }
}
