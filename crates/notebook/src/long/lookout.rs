//! Whether a carry file may be written where it is wished. It looks at what lies there and writes nothing.

use std::io::ErrorKind;

use link::carry::{self, Seal};
use link::seal::{Opener, OpeningKey};
use record::Id;
use store::{Incoming, Lent};
use zeroize::Zeroizing;

use crate::parcel::sum_of;
use crate::passphrase;
use crate::refusal::Refusal;

/// What is known of the files of a record, to tell an earlier one from somebody else's.
pub(crate) struct Lookout {
    pub(crate) record: Id,
    /// Where the file is to lie.
    pub(crate) path: String,
    pub(crate) passphrase: Option<Zeroizing<String>>,
    pub(crate) key: Option<OpeningKey>,
    /// The sums of sealed files that were written or taken in here.
    pub(crate) known: Vec<String>,
}

impl Lookout {
    /// Whether nothing lies there, or an earlier carry file of the same record, as on a stick that goes to and fro. Anything else
    /// there is somebody's, and is not written over.
    ///
    /// # Errors
    /// `would_overwrite`; nothing was touched.
    pub(super) fn may_lie_there(&self, files: &Lent) -> Result<(), Refusal> {
        if files.is_own(&self.path) {
            // A folder's own files are spoken of where the file is begun.
            return Ok(());
        }
        for (place, whole) in [(self.path.clone(), true), (files.part_of(&self.path), false)] {
            let taken = |what: &str| {
                Refusal::input(
                    "would_overwrite",
                    format!(
                        "'{place}' is there already and {what}. Nothing was written over it: name another file, or take that one away first"
                    ),
                )
            };
            let mut file = match files.incoming(&place) {
                Ok(file) => file,
                Err(error) if error.kind() == ErrorKind::NotFound => continue,
                Err(error) => return Err(taken(&format!("is no carry file ({error})"))),
            };
            if file.length().is_ok_and(|length| length == 0) {
                continue;
            }
            let seal = carry::seal_of(&mut file).map_err(|_| taken("is no carry file"))?;
            if whole {
                match self.claimed(file.as_mut(), seal).as_deref() {
                    Some(of) if of == self.record.as_str() => {}
                    None if self.knows(file.as_mut()) => {}
                    Some(_) => return Err(taken("is a carry file of another car")),
                    None => {
                        return Err(taken(
                            "is a carry file that cannot be opened here, so that nobody can tell of which car it is",
                        ));
                    }
                }
            }
        }
        Ok(())
    }

    fn knows(&self, file: &mut dyn Incoming) -> bool {
        sum_of(file).is_some_and(|sum| self.known.contains(&sum))
    }

    /// Which record a carry file says that it is of; nothing where it cannot be opened here.
    fn claimed(&self, mut file: &mut dyn Incoming, seal: Seal) -> Option<String> {
        let typed = self.passphrase.as_ref().map(|typed| passphrase::plain(typed));
        let opener = match seal {
            Seal::Passphrase => typed.as_ref().map(|typed| Opener::Passphrase(typed)),
            _ => self.key.as_ref().map(Opener::Device),
        };
        carry::claimed_record(&mut file, opener.as_ref()).ok()
    }
}
