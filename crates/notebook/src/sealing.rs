//! Who can read a carry file: how one that goes out is sealed, and how one that comes in is opened. What comes in is in
//! this folder's room only while it is read, and not a word of it is believed before its signature was found good.

use std::io::{BufReader, Seek as _};

use link::carry::{self, CarryError, Seal};
use link::identity::{Identity, Key};
use link::seal::{Opener, OpeningKey, SealError, is_seal};
use record::Id;
use record::Kind;
use record::entities::{Device, Keeper};
use record::members::Member;
use store::Incoming;
use zeroize::Zeroizing;

use crate::long::Lookout;
use crate::notebook::Notebook;
use crate::parcel::{SUM_LETTERS, sum_of};
use crate::passphrase;
use crate::refusal::Refusal;
use crate::spooled::Spooled;
use crate::wire::CarrySeal;

/// What is wished of a carry file.
#[derive(Clone, Default)]
pub(crate) struct CarryWish {
    /// The device it is for.
    pub(crate) to: Option<Id>,
    /// Where to write it.
    pub(crate) file: Option<String>,
    /// Whether photos go along.
    pub(crate) photos: bool,
    /// Seal it to this.
    pub(crate) passphrase: Option<Zeroizing<String>>,
    /// Leave it open.
    pub(crate) open: bool,
}

/// How a file is sealed.
pub(crate) enum Sealing {
    Open,
    Members {
        identity: Identity,
        seals: Vec<String>,
        names: Vec<String>,
    },
    Passphrase {
        identity: Identity,
        passphrase: Zeroizing<String>,
    },
}

impl Sealing {
    pub(crate) fn kind(&self) -> CarrySeal {
        match self {
            Sealing::Open => CarrySeal::Open,
            Sealing::Members { .. } => CarrySeal::Members,
            Sealing::Passphrase { .. } => CarrySeal::Passphrase,
        }
    }

    /// Who can read it, as a sentence.
    pub(crate) fn says(&self) -> String {
        match self {
            Sealing::Open => "Whoever finds this file can read it: it is not sealed.".to_owned(),
            Sealing::Members { names, .. } if names.is_empty() => {
                "Only this device can read this file.".to_owned()
            }
            Sealing::Members { names, .. } => {
                format!("Only this device and {} can read this file.", names.join(", "))
            }
            Sealing::Passphrase { .. } => {
                "Whoever knows the passphrase can read this file. Tell it by another road than the file goes."
                    .to_owned()
            }
        }
    }
}

/// A carry file that is read.
pub(crate) type CarryFile = BufReader<Box<dyn Incoming>>;

/// A carry file that came, open.
pub(crate) struct Came {
    pub(crate) file: CarryFile,
    /// The key that signed it and the record that it was sealed for; nothing of an open one.
    pub(crate) signed: Option<(Key, String)>,
}

impl Notebook {
    /// What anybody who finds a file may know of a record: the car's name and the people's.
    fn names_of(&mut self, record: &Id) -> Result<Vec<String>, Refusal> {
        let car = self.store.record(record)?.car;
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Keeper, Kind::Device])?;
        let keepers = view.each_standing::<Keeper>().filter_map(|keeper| keeper.name());
        let devices = view.each_standing::<Device>().filter_map(|device| device.name());
        let names = keepers.chain(devices).map(str::to_owned);
        Ok(std::iter::once(car).chain(names).collect())
    }

    /// Decides how a file is sealed.
    pub(crate) fn sealing(&mut self, record: &Id, wish: &CarryWish) -> Result<Sealing, Refusal> {
        if wish.open {
            if wish.passphrase.is_some() {
                let words = "a carry file is either open or sealed to a passphrase: choose one";
                return Err(Refusal::input("seal_how", words));
            }
            // Whoever reads it learns at least what the next one can be sealed to.
            if self.newer().is_none()
                && let Some(identity) = self.identity()?
            {
                self.enter_key(&identity)?;
            }
            return Ok(Sealing::Open);
        }
        let no_key = || {
            Refusal::input(
                "seal_wanted",
                "this device has no key to sign with: the file can only be written open",
            )
        };
        if let Some(passphrase) = &wish.passphrase {
            let known = self.names_of(record)?;
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            let passphrase = passphrase::plain(passphrase);
            passphrase::good(&passphrase, &known)?;
            let identity = self.identity()?.ok_or_else(no_key)?;
            self.enter_key(&identity)?;
            return Ok(Sealing::Passphrase { identity, passphrase });
        }
        let identity = self.identity()?.ok_or_else(no_key)?;
        let this = self.device()?.id;
        let members = self.members(record)?;
        let has = |one: &Member| one.seal.as_deref().is_some_and(is_seal);
        let others: Vec<&Member> = members
            .iter()
            .filter(|one| one.device != this && one.stands())
            .collect();
        match &wish.to {
            Some(to) => match members.iter().find(|one| one.device == *to) {
                Some(one) if !one.stands() => {
                    let words = format!("'{}' was revoked: nothing is sealed to it any more", one.name);
                    return Err(Refusal::input("revoked", words));
                }
                Some(one) if !has(one) => return Err(unsealed(&[one.name.as_str()])),
                Some(_) => {}
                None => {
                    let name = record::Ref::new(record::Kind::Device, to.clone());
                    return Err(record::Refusal::Unknown(name).into());
                }
            },
            None if others.is_empty() => {
                return Err(Refusal::input(
                    "seal_wanted",
                    "nobody else is in this record yet, so there is nobody to seal it to: give a passphrase for the newcomer, or say that whoever finds the file may read it",
                ));
            }
            None => {
                let without: Vec<&str> = others
                    .iter()
                    .filter(|one| !has(one))
                    .map(|one| one.name.as_str())
                    .collect();
                if !without.is_empty() {
                    return Err(unsealed(&without));
                }
            }
        }
        self.enter_key(&identity)?;
        let members = self.members(record)?;
        let readers: Vec<&Member> = members.iter().filter(|one| one.stands() && has(one)).collect();
        Ok(Sealing::Members {
            seals: readers.iter().filter_map(|one| one.seal.clone()).collect(),
            names: readers
                .iter()
                .filter(|one| one.device != this)
                .map(|one| one.name.clone())
                .collect(),
            identity,
        })
    }

    /// What it takes to tell whether a file may be written at a place.
    pub(crate) fn lookout(
        &mut self,
        record: &Id,
        path: String,
        passphrase: Option<&Zeroizing<String>>,
    ) -> Result<Lookout, Refusal> {
        // Without a key that can be read an earlier file cannot be told from another's, and is left as it lies.
        let identity = self.identity().ok().flatten();
        // One that cannot be told from another's is left as it lies.
        let known = self.store.carry_files(record).unwrap_or_default();
        Ok(Lookout {
            record: record.clone(),
            path,
            passphrase: passphrase.cloned(),
            key: identity.and_then(|identity| OpeningKey::of(&identity).ok()),
            known: known.into_iter().collect(),
        })
    }

    /// Remembers a sealed file that was written or taken in here, by the sum that stands at its end: without its passphrase
    /// nobody could tell it from another's.
    pub(crate) fn remember_file(&mut self, record: &Id, path: &str) -> Result<(), Refusal> {
        // A file that is not remembered is not written over later: nothing is lost by it.
        let opened = self.store.incoming(path).ok();
        match opened.and_then(|mut file| sum_of(file.as_mut())) {
            Some(sum) => self.remember_sum(record, &sum),
            None => Ok(()),
        }
    }

    /// As [`remember_file`](Self::remember_file), by the sum that stands at the end of the file, or the beginning of that.
    pub(crate) fn remember_sum(&mut self, record: &Id, sum: &str) -> Result<(), Refusal> {
        let sum: String = sum.chars().take(SUM_LETTERS).collect();
        let mut all = self.store.carry_files(record)?;
        all.retain(|one| *one != sum);
        all.insert(0, sum);
        all.truncate(MOST_FILES);
        Ok(self.store.keep_carry_files(record, &all)?)
    }

    /// Opens a carry file, however it is sealed.
    ///
    /// # Errors
    /// `passphrase_wanted`, `passphrase_wrong`, `not_for_this_device`, or what else is wrong with it.
    pub(crate) fn open_carry(&mut self, path: &str, passphrase: Option<&str>) -> Result<Came, Refusal> {
        let words = |error| format!("'{path}' cannot be opened: {error}");
        let opened = self
            .store
            .incoming(path)
            .map_err(|error| Refusal::input("carry_file", words(error)))?;
        let mut file = BufReader::new(opened);
        let seal = carry::seal_of(&mut file)?;
        file.rewind().map_err(CarryError::Io)?;
        if seal == Seal::Open {
            return Ok(Came { file, signed: None });
        }
        // Sealing packs nothing, so what is inside is shorter than the file.
        let limit = file.get_ref().length().map_err(CarryError::Io)?;
        let key;
        let typed = passphrase.map(passphrase::plain);
        let opener = match (seal, &typed) {
            (Seal::Passphrase, None) => {
                return Err(Refusal::input(
                    "passphrase_wanted",
                    "this carry file is sealed to a passphrase: ask the keeper who wrote it",
                ));
            }
            (Seal::Passphrase, Some(typed)) => Opener::Passphrase(typed),
            _ => {
                let Some(identity) = self.identity()? else {
                    return Err(CarryError::Seal(SealError::NotForMe).into());
                };
                key = OpeningKey::of(&identity).map_err(CarryError::Seal)?;
                Opener::Device(&key)
            }
        };
        let mut room = Spooled(self.store.room()?);
        let mut opened = carry::unseal(&mut file, &opener, None, limit, &mut room);
        // A program before this one sealed to the spaces as they were typed.
        if let (Err(CarryError::Seal(SealError::WrongPassphrase)), Some(passphrase)) = (&opened, passphrase)
            && typed.as_ref().is_some_and(|typed| typed.as_str() != passphrase)
        {
            opened = carry::unseal(&mut file, &Opener::Passphrase(passphrase), None, limit, &mut room);
        }
        let opened = opened?;
        let signer = Key::from_bytes(opened.sender).ok_or(CarryError::Seal(SealError::NotSigned))?;
        Ok(Came {
            file: BufReader::new(room.0),
            signed: Some((signer, opened.record)),
        })
    }
}

/// Most sealed files that are remembered of a record.
const MOST_FILES: usize = 32;

/// A file of this record that names another one inside was not made by this program.
pub(crate) fn same_record(came: &Came, head: &carry::Head) -> Result<(), Refusal> {
    match &came.signed {
        Some((_, record)) if *record != head.record => Err(CarryError::Seal(SealError::Malformed).into()),
        _ => Ok(()),
    }
}

fn unsealed(names: &[&str]) -> Refusal {
    Refusal::input(
        "seal_wanted",
        format!(
            "nothing can be sealed to {} yet: meet it, or carry in a file from it; till then give a passphrase, or say that whoever finds the file may read it",
            names.join(", ")
        ),
    )
}
