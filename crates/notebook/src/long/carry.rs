//! A carry file on its way out. What goes into it is read beside the notebook and is of one moment; the
//! file, on a stick that may be slow, is written with nobody waiting. Dropped before its end, it leaves no file.

use link::identity::Identity;
use record::Id;
use store::Lent;

use super::lookout::Lookout;
use super::moment::{RecordThen, Taking};
use super::packed::{Packed, carry_name};
use super::writing::{CarryWritten, Writing};
use super::{Next, Progress, Work};
use crate::meeting::small;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::sealing::{CarryWish, Sealing};
use crate::wire::CarryOut;

/// A carry file that is being written.
pub(crate) struct Carry {
    wish: CarryWish,
    record: Id,
    stage: Stage,
    written: Option<CarryWritten>,
}

enum Stage {
    /// What is known here of files is asked for.
    Begun,
    /// It is looked at what lies where the file is to be.
    Looking(Box<Lookout>, Lent),
    /// Who can read it is decided.
    Sealing,
    Taking(Box<Taking>, Sealing, Option<Identity>),
    /// Changes of this device are to be signed first.
    Signing(Box<RecordThen>, Lent, Sealing, Option<Identity>),
    Packing(Box<RecordThen>, Lent, Sealing, Option<Identity>),
    Writing(Box<Writing>),
    /// All of it is written, and it has no name yet.
    Ending(Box<Writing>),
    Remembering,
    Done,
}

impl Carry {
    pub(crate) fn new(record: &Id, wish: CarryWish) -> Self {
        Self {
            wish,
            record: record.clone(),
            stage: Stage::Begun,
            written: None,
        }
    }
}

impl Work for Carry {
    type Answer = CarryOut;

    fn next(&self) -> Next {
        match &self.stage {
            Stage::Begun | Stage::Sealing | Stage::Signing(..) | Stage::Remembering => Next::Turn,
            Stage::Taking(taking, ..) => taking.next(),
            Stage::Looking(..) | Stage::Packing(..) | Stage::Writing(_) | Stage::Ending(_) => Next::Beside,
            Stage::Done => Next::Nothing,
        }
    }

    fn turn(&mut self, notebook: &mut Notebook, _rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Done) {
            Stage::Begun => match self.wish.file.clone() {
                Some(path) => {
                    let lookout = notebook.lookout(&self.record, path, self.wish.passphrase.as_ref());
                    Stage::Looking(Box::new(lookout?), notebook.store.lend())
                }
                None => Stage::Sealing,
            },
            Stage::Sealing => {
                let sealing = notebook.sealing(&self.record, &self.wish)?;
                let signer = notebook.signer()?.cloned();
                let taking = Taking::begin(notebook, &self.record, self.wish.to.as_ref())?;
                Stage::Taking(Box::new(taking), sealing, signer)
            }
            Stage::Taking(taking, sealing, signer) => {
                let (moment, files) = taking.turn(notebook)?;
                taken(moment, files, sealing, signer)
            }
            Stage::Signing(mut moment, files, sealing, signer) => {
                let signatures = notebook.sign_these(&self.record, &moment.unsigned())?;
                moment.signatures.extend(signatures);
                Stage::Packing(moment, files, sealing, signer)
            }
            Stage::Remembering => {
                if let Some(written) = &self.written {
                    // One that cannot be remembered is asked about when it would be written over.
                    let _ = notebook.remember_sum(&self.record, &written.sum);
                }
                if let Some(to) = self.wish.to.as_ref().filter(|_| !self.wish.photos) {
                    notebook.photos_were_left_out(&self.record, to)?;
                }
                Stage::Done
            }
            other => other,
        };
        Ok(())
    }

    fn beside(&mut self, rows: u32) -> Result<(), Refusal> {
        self.stage = match std::mem::replace(&mut self.stage, Stage::Done) {
            Stage::Looking(lookout, files) => {
                lookout.may_lie_there(&files)?;
                Stage::Sealing
            }
            Stage::Taking(mut taking, sealing, signer) => match taking.beside()? {
                Some(moment) => taken(moment, taking.files, sealing, signer),
                None => Stage::Taking(taking, sealing, signer),
            },
            Stage::Packing(moment, files, sealing, signer) => {
                let packed = Packed::of(&moment, self.wish.photos, signer.as_ref());
                let name = carry_name(&moment.row.car, moment.now);
                drop(moment);
                let writing = Writing::begin(&self.wish, &self.record, packed, &name, files, sealing)?;
                Stage::Writing(Box::new(writing))
            }
            Stage::Writing(mut writing) => {
                if writing.step(rows)? {
                    Stage::Writing(writing)
                } else {
                    Stage::Ending(writing)
                }
            }
            Stage::Ending(writing) => {
                self.written = Some(writing.end()?);
                Stage::Remembering
            }
            other => other,
        };
        Ok(())
    }

    fn progress(&self) -> Progress {
        match &self.stage {
            Stage::Writing(writing) => writing.progress(),
            Stage::Ending(_) | Stage::Remembering | Stage::Done => Progress {
                what: "the end of the file",
                ..Progress::default()
            },
            _ => Progress {
                what: "reading the record",
                ..Progress::default()
            },
        }
    }

    fn can_be_stopped(&self) -> bool {
        // From then on the file is there.
        self.written.is_none()
    }

    fn answer(self) -> Result<CarryOut, Refusal> {
        let unfinished = || Refusal::failed("carry_io", "the carry file was not written to its end");
        let written = self.written.ok_or_else(unfinished)?;
        Ok(CarryOut {
            name: written.name,
            file: written.place,
            bytes: written.bytes,
            changes: small(written.changes),
            photos: small(written.photos),
            whole: written.whole,
            seal: written.sealing.kind(),
            says: written.sealing.says(),
        })
    }
}

/// What is to be done with a moment.
fn taken(moment: RecordThen, files: Lent, sealing: Sealing, signer: Option<Identity>) -> Stage {
    let moment = Box::new(moment);
    if moment.unsigned().is_empty() {
        Stage::Packing(moment, files, sealing, signer)
    } else {
        Stage::Signing(moment, files, sealing, signer)
    }
}
