//! Whether this data folder is still the one that its key was made for. A folder that was copied or restored would go on
//! as the same device beside the other: so where it lies elsewhere, has come without its key, or something else has
//! written as this device, its keeper is asked once, 'the same, moved' or 'a copy'. Until then it is read and not
//! written, and meets nobody. It never answers by itself, and locks nobody out: one word is enough, and no other device.

use link::identity::{Identity, IdentityError};
use record::{Moment, Record, Written};
use store::{Batch, Doubt, Home, ThisDevice};
use zeroize::Zeroizing;

use crate::notebook::Notebook;
use crate::pending::Pending;
use crate::refusal::Refusal;
use crate::wire::{FolderDoubt, FolderPage};

impl From<Doubt> for FolderDoubt {
    fn from(kept: Doubt) -> Self {
        match kept {
            Doubt::Place => Self::Place,
            Doubt::Key => Self::Key,
            Doubt::Damaged => Self::Damaged,
            Doubt::Twin => Self::Twin,
        }
    }
}

impl FolderDoubt {
    fn kept(self) -> Doubt {
        match self {
            Self::Place => Doubt::Place,
            Self::Key => Doubt::Key,
            Self::Damaged => Doubt::Damaged,
            Self::Twin => Doubt::Twin,
        }
    }

    /// What was seen, as a sentence.
    pub(crate) fn says(self) -> &'static str {
        match self {
            Self::Place => {
                "This data folder lies elsewhere than it did: on another machine, or as another folder."
            }
            Self::Key => {
                "This data folder is without its key, the file 'device.key', as out of a backup: nothing can be signed here. Where that file is kept elsewhere, put it back and start anew."
            }
            Self::Damaged => {
                "The key of this data folder, the file 'device.key', is empty or damaged: nothing can be signed here. Where a sound copy of that file is kept elsewhere, put it back and start anew."
            }
            Self::Twin => {
                "Something else has written as this device: this data folder was copied, or it is older than what was written in it, as out of a backup."
            }
        }
    }

    /// Whether it is about the key alone, which may be put back.
    pub(crate) fn is_of_key(self) -> bool {
        matches!(self, Self::Key | Self::Damaged)
    }

    /// What the keeper can answer, as a sentence.
    pub(crate) fn answers(self) -> &'static str {
        if self.is_of_key() {
            "Say 'witnessmark folder copy', and it goes on with all that is here as a device of its own, which the others let in once more; or 'witnessmark folder same', and the same device is given another key, which the others believe only after pairing anew"
        } else {
            "Say first whether it is the same device, moved here, or a copy beside which the other goes on ('witnessmark folder same', or 'witnessmark folder copy')"
        }
    }
}

/// Why nothing is written until the keeper has answered.
pub(crate) fn asked(doubt: FolderDoubt) -> Refusal {
    Refusal::input("same_or_copy", format!("{} {}", doubt.says(), doubt.answers()))
}

impl Notebook {
    /// Looks where the folder lies, as it is opened.
    pub(crate) fn look_home(&mut self) -> Result<(), Refusal> {
        if self.newer().is_some() {
            return Ok(());
        }
        self.doubt = self.store.asked()?.map(FolderDoubt::from);
        // What of the key cannot be told now is told where it is needed.
        let key = self
            .key_doubt()
            .unwrap_or(self.doubt.filter(|doubt| doubt.is_of_key()));
        match (self.doubt, key) {
            // Where that cannot be written down, as on a full disk, it is seen again at the next start.
            (None, Some(doubt)) => drop(self.ask(doubt)),
            (Some(was), None) if was.is_of_key() => {
                // It was put back.
                self.store.ask(None)?;
                self.doubt = None;
            }
            _ => {}
        }
        let Some(was) = self.store.home()?.filter(|_| self.doubt.is_none()) else {
            return Ok(());
        };
        if self.store.whereabouts().is_other_than(&was.at) {
            self.ask(FolderDoubt::Place)?;
        }
        Ok(())
    }

    fn ask(&mut self, doubt: FolderDoubt) -> Result<(), Refusal> {
        self.doubt = Some(doubt);
        self.doubt_changed();
        Ok(self.store.ask(Some(doubt.kept()))?)
    }

    /// Meetings end, or may begin, and every page shows it.
    fn doubt_changed(&mut self) {
        if let Some(live) = &self.live {
            live.roads_changed();
        }
        // Only pages that are open wait for this; whoever asks is told that the folder cannot be read.
        let records = self.store.records().unwrap_or_default();
        for row in records {
            self.tell(&crate::wire::Patch {
                record: row.id,
                touched: Vec::new(),
                marks: Vec::new(),
                points: false,
                underway: None,
            });
        }
    }

    /// Whether the keeper has yet to say which device this is.
    ///
    /// # Errors
    /// Where they have.
    pub fn is_itself(&self) -> Result<(), Refusal> {
        self.doubt.map_or(Ok(()), |doubt| Err(asked(doubt)))
    }

    /// The key is at home here: kept with the first key, and where an older program did not.
    pub(crate) fn at_home(&mut self) -> Result<(), Refusal> {
        if self.newer().is_some() || self.store.home()?.is_some() {
            return Ok(());
        }
        self.settle_home()
    }

    fn settle_home(&mut self) -> Result<(), Refusal> {
        let home = Home {
            since: Some(self.now()),
            at: self.store.whereabouts(),
        };
        Ok(self.store.settle(home)?)
    }

    /// A folder without a key, whose device is known by one in a record: it has come here without it.
    pub(crate) fn came_without_key(&mut self) -> Result<(), Refusal> {
        if self.doubt.is_none() && self.is_known_by_a_key()? {
            self.ask(FolderDoubt::Key)?;
        }
        self.is_itself()
    }

    /// A folder that once had a key, and is known by one, has lost it. Where it never had any, another device may have
    /// written one for it, and that is nothing to stop at.
    pub(crate) fn has_lost_its_key(&mut self) -> Result<bool, Refusal> {
        Ok(self.store.home()?.is_some() && self.is_known_by_a_key()?)
    }

    fn is_known_by_a_key(&mut self) -> Result<bool, Refusal> {
        let Some(this) = self.store.device()? else {
            return Ok(false);
        };
        for row in self.store.records()? {
            let all = self.members(&row.id)?;
            if all.iter().any(|one| one.device == this.id && one.key.is_some()) {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// What is wrong with the key as it lies in the folder now. One that a newer program wrote is whole.
    pub(crate) fn key_doubt(&mut self) -> Result<Option<FolderDoubt>, Refusal> {
        match self.store.secret()?.map(Zeroizing::new) {
            Some(text) => Ok(match Identity::from_text(&text) {
                Ok(_) | Err(IdentityError::Newer(_)) => None,
                Err(_) => Some(FolderDoubt::Damaged),
            }),
            None if self.has_lost_its_key()? => Ok(Some(FolderDoubt::Key)),
            None => Ok(None),
        }
    }

    /// What the keeper has to say, or what is wrong with the key by now.
    ///
    /// # Errors
    /// Where the key cannot be read: that is not the same as a key with which nothing is wrong.
    pub(crate) fn doubt_now(&mut self) -> Result<Option<FolderDoubt>, Refusal> {
        match self.doubt {
            Some(doubt) => Ok(Some(doubt)),
            None => self.key_doubt(),
        }
    }

    /// What came from outside may be what something else wrote as this device.
    pub(crate) fn look_for_twin(&mut self, written: &Written) -> Result<(), Refusal> {
        if self.doubt.is_some() {
            return Ok(());
        }
        let Some(this) = self.store.device()? else {
            return Ok(());
        };
        let mut own = written
            .changes
            .iter()
            .filter(|change| change.device.as_ref() == Some(&this.id))
            .peekable();
        if own.peek().is_none() {
            return Ok(());
        }
        let Some(home) = self.store.home()? else {
            return Ok(());
        };
        let since = home.since.map_or(i64::MIN, Moment::seconds);
        // What was written before the keeper last said that this is the one may have been lost with a disk.
        if own.any(|change| !self.is_this_run(&change.actor) && change.at.seconds() > since) {
            self.ask(FolderDoubt::Twin)?;
        }
        Ok(())
    }

    /// How the folder stands.
    pub(crate) fn folder_page(&mut self) -> Result<FolderPage, Refusal> {
        let doubt = self.doubt_now()?;
        Ok(FolderPage {
            doubt,
            says: doubt.map(|doubt| doubt.says().to_owned()),
            device: self.store.device()?.map(|device| device.name),
            old_tables: self.old_tables()?,
        })
    }

    /// The keeper says that this is the same device, moved or restored: it goes on as it was.
    pub(crate) fn folder_is_same(&mut self) -> Result<(), Refusal> {
        if self.store.secret()?.is_none() || self.key_doubt()?.is_some() {
            // Its key is gone for good; without a new one the same would be asked again.
            self.renew_identity()?;
        }
        self.settle_home()?;
        self.store.ask(None)?;
        self.doubt = None;
        self.catch_up_or_look()?;
        self.doubt_changed();
        Ok(())
    }

    /// The keeper says that this is a copy: it becomes a device of its own in every record, with keys of its own, and
    /// goes on reading what was sealed to the other.
    pub(crate) fn folder_is_copy(&mut self, name: Option<&str>) -> Result<(), Refusal> {
        let Some(was) = self.store.device()? else {
            // There is no device yet that it could be a copy of.
            return self.folder_is_same();
        };
        let doubt = self.doubt.take();
        let done = self.become_another(&was, name);
        if done.is_err() {
            // It is asked again, and nothing was lost.
            self.doubt = doubt;
            self.forget_all();
        }
        done?;
        self.settle_home()?;
        self.store.ask(None)?;
        self.catch_up_or_look()?;
        if let Some(live) = &self.live {
            live.is_another();
        }
        self.doubt_changed();
        Ok(())
    }

    fn become_another(&mut self, was: &ThisDevice, name: Option<&str>) -> Result<(), Refusal> {
        let name = name.map(str::trim).filter(|name| !name.is_empty());
        let new = ThisDevice {
            id: self.fresh_id(),
            name: name.map_or_else(|| format!("copy of {}", was.name), str::to_owned),
        };
        self.forget_all();
        self.renew_identity()?;
        for row in self.store.records()? {
            // Whatever its log lacks is mended before another writes on.
            self.document(&row.id)?;
            self.forget(&row.id);
            let loaded = self.store.load(&row.id)?;
            let mut document = Record::open(loaded.snapshot.as_deref(), &loaded.log, self.seat(&new.id)?)?;
            let written = match &row.keeper {
                Some(keeper) => self.enter_device(&mut document, &new, keeper)?,
                // Not a word of it has come here yet.
                None => Written::default(),
            };
            let batch = Batch {
                device: Some(&new),
                ..Batch::default()
            };
            let _ = self.keep(Pending::begun(&row.id, document, written), &batch)?;
        }
        // What lies in a drop was put there by the other.
        self.forget_drop_notes()?;
        Ok(())
    }
}
