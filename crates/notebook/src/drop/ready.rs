//! What a look at a drop needs of the notebook, and what it goes by, so that nothing is looked at for nothing.

use std::collections::BTreeSet;

use link::carry::Head;
use link::drop::Names;
use link::identity::Identity;
use record::document::SCHEMA;
use record::entities::Keeper;
use record::{ChangeId, Id, Kind, PhotoHash};
use store::DropRow;

use super::places::Kept;
use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// What a look goes by, but for the place: the newest changes, how many photos are here, and which go through the drop.
#[derive(Debug, PartialEq, Eq)]
pub struct Resting {
    heads: Vec<ChangeId>,
    here: usize,
    through: (bool, BTreeSet<PhotoHash>),
}

/// What a look needs of the notebook.
#[derive(Debug)]
pub struct Ready {
    /// The drop.
    pub kept: Kept,
    /// What was noted of it.
    pub row: DropRow,
    /// Who signs and opens.
    pub identity: Identity,
    /// What the record's folders are called there.
    pub names: Names,
    /// To whom it is sealed.
    pub readers: Vec<String>,
    /// What this device says of itself.
    pub head: Head,
    /// Now, in seconds.
    pub now: i64,
}

/// Why there is no look.
#[derive(Debug)]
pub enum Not {
    /// The notebook refused.
    Refused(Refusal),
    /// In words for the page.
    Said(String),
}

impl Not {
    /// In words for the page.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Refused(refusal) => refusal.words,
            Self::Said(words) => words,
        }
    }
}

impl From<Refusal> for Not {
    fn from(refusal: Refusal) -> Self {
        Not::Refused(refusal)
    }
}

impl From<store::StoreError> for Not {
    fn from(error: store::StoreError) -> Self {
        Not::Refused(error.into())
    }
}

impl Notebook {
    /// The drop of an id, whatever record it belongs to.
    ///
    /// # Errors
    /// Where the drops cannot be read.
    pub fn drop_of(&self, drop: &str) -> Result<Option<Kept>, Refusal> {
        Ok(self.kept_drops()?.into_iter().find(|kept| kept.id == drop))
    }

    /// What a look at a drop needs.
    ///
    /// # Errors
    /// Why there is none.
    pub fn ready_to_look(&mut self, kept: Kept) -> Result<Ready, Not> {
        let this = self.device()?;
        let row = self.store.record(&kept.record)?;
        let Some(identity) = self.identity()? else {
            return Err(Not::Said(
                "this device has no key, so it can sign nothing".to_owned(),
            ));
        };
        // Whoever reads what is written there must find in the record whose it is.
        self.enter_key(&identity)?;
        let members = self.members(&kept.record)?;
        if let Some(says) = self.revoked_here(&kept.record)? {
            return Err(Not::Said(says));
        }
        let standing = members.iter().filter(|one| one.stands());
        let readers = standing.filter_map(|one| one.seal.clone()).collect();
        let now = self.now();
        let noted = self.store.drop_row(&kept.record, &kept.id)?.unwrap_or_default();
        let document = &self.document(&kept.record)?.record;
        let Some(car) = document.view().get(Kind::Car, &Id::car()) else {
            return Err(Not::Said("the record has no car yet".to_owned()));
        };
        // The change that began the record: whoever has the record has its hash, and nobody else can work it out.
        let names = Names::new(car.made.change.hex().as_bytes(), kept.record.as_str());
        let keeper_name = row
            .keeper
            .as_ref()
            .and_then(|keeper| Some(document.view().one::<Keeper>(keeper)?.name()?.to_owned()));
        let head = Head {
            device: this.id.to_string(),
            keeper: row.keeper.as_ref().map(ToString::to_string).unwrap_or_default(),
            keeper_name: keeper_name.unwrap_or_default(),
            sent: now.to_string(),
            heads: document.heads().iter().map(ToString::to_string).collect(),
            schema: SCHEMA,
            ..Head::default()
        };
        Ok(Ready {
            row: noted,
            identity,
            names,
            readers,
            head,
            now: now.seconds(),
            kept,
        })
    }

    /// What a look would go by now.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn resting(&mut self, kept: &Kept) -> Result<Resting, Refusal> {
        Ok(Resting {
            heads: self.document(&kept.record)?.record.heads(),
            here: self.store.photos_here(&kept.record)?.len(),
            through: self.photos_through(&kept.record, kept.photos, kept.by_line())?,
        })
    }
}
