//! A notebook that reads one moment of another's store, beside it. It writes nothing, tells nobody, and has no clock but the moment's.

use record::Moment;
use store::Lent;

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::source::Source;
use crate::wire::FolderDoubt;

/// What such a notebook is made of.
pub(crate) struct Beside {
    files: Lent,
    run: [u8; 8],
    doubt: Option<FolderDoubt>,
    now: Moment,
}

/// The clock of a moment. Nothing is made by whoever reads, so nothing asks it for randomness.
struct Still(Moment);

impl Source for Still {
    fn now(&mut self) -> Moment {
        self.0
    }

    fn random(&mut self) -> [u8; 16] {
        [0; 16]
    }
}

impl Notebook {
    /// What a notebook that reads beside this one is made of.
    pub(crate) fn beside(&mut self) -> Beside {
        Beside {
            files: self.store.lend(),
            run: self.run(),
            doubt: self.doubt,
            now: self.now(),
        }
    }
}

impl Beside {
    /// The notebook; nothing where no reader can be lent.
    pub(crate) fn open(self) -> Result<Option<Notebook>, Refusal> {
        let Some(reader) = self.files.reader()? else {
            return Ok(None);
        };
        let mut notebook = Notebook::of(reader, Box::new(Still(self.now)), self.run);
        notebook.doubt = self.doubt;
        Ok(Some(notebook))
    }
}
