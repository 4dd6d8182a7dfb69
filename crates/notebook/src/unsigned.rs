//! What a carry file would change that nobody vouches for, in words for a keeper: who is let in, who can read, who is met
//! no more, and what is said in whose name. A keeper is asked before any of it counts. Nothing is decided here, and a file
//! that known devices vouch for whole is never asked about.

use std::collections::{BTreeMap, BTreeSet};

use link::carry::Head;
use link::identity::Key;
use record::entities::{Keeper, KeeperRef};
use record::members::{Member, device_name, keeper_name, members};
use record::{Id, Kind, Record, View, called};
use serde_json::json;

use crate::notebook::Notebook;
use crate::pending::Pending;
use crate::refusal::Refusal;
use crate::vouching::{Received, device_in};

/// Devices and keepers as they stood before a file was taken in.
pub(crate) struct Stood {
    met: BTreeSet<(Id, String)>,
    devices: BTreeMap<Id, Member>,
    words: BTreeMap<Id, String>,
    keepers: BTreeMap<Id, (String, bool)>,
}

/// Every keeper: the name, and whether they stand.
fn keepers(view: &View) -> BTreeMap<Id, (String, bool)> {
    let line = |keeper: KeeperRef<'_>| {
        let name = called(keeper.name());
        (keeper.id().clone(), (name, keeper.stands()))
    };
    view.each::<Keeper>().map(line).collect()
}

impl Stood {
    pub(crate) fn of(record: &Record) -> Self {
        let view = record.view();
        let devices = members(view).into_iter();
        let devices: BTreeMap<Id, Member> = devices.map(|one| (one.device.clone(), one)).collect();
        let words = devices
            .keys()
            .map(|id| (id.clone(), device_in(view, id)))
            .collect();
        Self {
            met: met(record),
            devices,
            words,
            keepers: keepers(view),
        }
    }

    fn called(&self, device: &Id) -> &str {
        self.words
            .get(device)
            .map_or("a device that the record does not know", String::as_str)
    }

    /// What came that no device vouches for which was known, and met, before.
    fn unvouched<'a>(&self, pending: &'a Pending, came: &Received) -> Vec<&'a record::Logged> {
        let known = |device: &Id| {
            let member = self.devices.get(device);
            member.is_some_and(|one| one.stands() && one.key.is_some())
        };
        let vouched = |change: &record::Logged| match &change.device {
            Some(device) => {
                let its = came.sifted.vouched.get(device);
                known(device) && its.is_some_and(|its| its.contains(&change.id))
            }
            // Sheets of a month are laid by every device alike, and by none in particular.
            None => change.touched.keys().all(|(kind, _)| *kind == Kind::Sheet),
        };
        pending
            .written
            .changes
            .iter()
            .filter(|change| !vouched(change))
            .collect()
    }

    /// Whether devices that were known, and met, before vouch for all of it.
    fn vouched_whole(&self, pending: &Pending, came: &Received) -> bool {
        self.unvouched(pending, came).is_empty()
    }

    /// Whom to ask about a file that nobody signed: the keepers of what it says, and of whom it would let in. Nobody asks
    /// themselves, but where there is nobody else.
    fn keepers_to_ask(&self, view: &View, new: &[(String, String)], own: Option<&Id>) -> BTreeSet<String> {
        let stands = |(_, (_, stands)): &(&Id, &(String, bool))| *stands;
        let others = self
            .keepers
            .iter()
            .filter(stands)
            .filter(|(id, _)| Some(*id) != own);
        let known = others.map(|(_, (name, _))| name.clone());
        let mine = view.each_standing::<Keeper>().filter_map(|keeper| keeper.name());
        let mut ask: BTreeSet<String> = known.collect();
        if ask.is_empty() {
            ask.extend(mine.map(record::shown));
        }
        ask.extend(new.iter().map(|(_, keeper)| record::shown(keeper)));
        ask.remove("");
        ask
    }

    /// What would change by a file that no member signed, one sentence each, with the devices it would let in. Nothing
    /// where members vouch for all of it.
    fn asks(&self, pending: &Pending, came: &Received) -> Vec<String> {
        let now = pending.record();
        let unvouched = self.unvouched(pending, came);
        if unvouched.is_empty() {
            return Vec::new();
        }
        let mut says = self.of_devices(now.view());
        for (id, (name, stands)) in keepers(now.view()) {
            match self.keepers.get(&id) {
                None => {
                    // One who comes with a new device is named there.
                    let with = members(now.view()).into_iter();
                    let mut with = with.filter(|one| !self.devices.contains_key(&one.device));
                    if !with.any(|one| one.keeper.as_ref() == Some(&id)) {
                        says.push(format!("it would enter a keeper '{name}'"));
                    }
                }
                Some((was, stood)) => {
                    if *was != name {
                        says.push(format!("it would call the keeper '{was}' '{name}'"));
                    }
                    if *stood != stands {
                        let what = if stands { "bring back" } else { "strike out" };
                        says.push(format!("it would {what} the keeper '{name}'"));
                    }
                }
            }
        }
        let mut by: BTreeMap<Option<&Id>, usize> = BTreeMap::new();
        for change in unvouched {
            let count = by.entry(change.device.as_ref()).or_default();
            *count = count.saturating_add(1);
        }
        let entered: BTreeSet<Id> = members(now.view()).into_iter().map(|one| one.device).collect();
        for (device, count) in by {
            let entries = if count == 1 {
                "one entry".to_owned()
            } else {
                format!("{count} entries")
            };
            match device {
                None => says.push(format!("{entries} of it say nothing of who wrote them")),
                Some(device) => match self.devices.get(device) {
                    Some(one) if !one.stands() => says.push(format!(
                        "it brings {entries} of {}, which was revoked",
                        self.called(device)
                    )),
                    Some(_) => says.push(format!(
                        "it brings {entries} in the name of {}, which did not sign them",
                        self.called(device)
                    )),
                    // A newcomer is asked about already; whoever wrote without being entered is told nowhere else.
                    None if entered.contains(device) => {}
                    None => says.push(format!(
                        "it brings {entries} of a device that the record does not know"
                    )),
                },
            }
        }
        says
    }

    fn of_devices(&self, view: &View) -> Vec<String> {
        let mut says = Vec::new();
        let mut left: BTreeSet<&Id> = self.devices.keys().collect();
        for now in members(view) {
            let called = self.called(&now.device);
            left.remove(&now.device);
            let Some(was) = self.devices.get(&now.device) else {
                if now.key.is_none() || !now.stands() {
                    says.push(format!(
                        "it would enter the device {}",
                        device_in(view, &now.device)
                    ));
                }
                continue;
            };
            match (&was.revoked, &now.revoked) {
                (None, Some((why, _))) => {
                    says.push(format!(
                        "it would revoke {called} ('{}'): it would be met no more",
                        record::shown(why)
                    ));
                }
                (Some(_), None) => says.push(format!("it would let {called} in again, which was revoked")),
                _ => {}
            }
            if was.key.is_some() && was.key != now.key {
                says.push(format!(
                    "it would put another key in the place of that of {called}"
                ));
            }
            if was.seal != now.seal {
                says.push(if was.seal.is_some() {
                    format!("what is sealed to {called} from then on would be sealed to another key, which {called} may not hold")
                } else {
                    format!("it says by which key {called} reads what is sealed: whoever holds that key would read it")
                });
            }
            if was.keeper != now.keeper {
                says.push(format!("it would say that {called} is another keeper's"));
            }
            if was.name != now.name {
                says.push(format!("it would call {called} '{}'", now.name));
            }
        }
        for gone in left {
            says.push(format!("it would strike out the device {}", self.called(gone)));
        }
        says
    }
}

impl Notebook {
    /// What is to be asked of a keeper before a file counts; nothing where members vouch for all of it.
    pub(crate) fn question(
        &mut self,
        stood: &Stood,
        pending: &Pending,
        received: &Received,
        by_member: bool,
    ) -> Result<Option<Refusal>, Refusal> {
        let mut says = Vec::new();
        if !received.sifted.unsigned.is_empty() || !received.other_keys.is_empty() {
            says.push(self.unsigned_words(&pending.id, &received.sifted, &received.other_keys)?);
        }
        let now = pending.record();
        let mut new = Vec::new();
        if !by_member {
            let asks = stood.asks(pending, received);
            new = newcomers(now, &stood.met);
            if asks.is_empty() && says.is_empty() && !new.is_empty() && stood.vouched_whole(pending, received)
            {
                // Whoever let them in vouches for it.
                new.clear();
            }
            says.extend(asks);
        }
        Ok(match (says.is_empty(), new.is_empty()) {
            (true, true) => None,
            (true, false) => Some(newcomer(&new)),
            (false, _) => {
                let rows = self.store.records()?;
                let own = rows.into_iter().find(|row| row.id == pending.id);
                let own = own.and_then(|row| row.keeper);
                Some(unsigned(
                    &says,
                    &new,
                    &stood.keepers_to_ask(now.view(), &new, own.as_ref()),
                ))
            }
        })
    }

    /// Whether the device that a file names as its sender signed what it says it has, with a key that is believed of it.
    pub(crate) fn heads_are_signed(
        &mut self,
        record: &Id,
        received: &Received,
        head: &Head,
    ) -> Result<bool, Refusal> {
        let Ok(device) = head.device.parse::<Id>() else {
            return Ok(false);
        };
        if !self
            .members(record)?
            .iter()
            .any(|one| one.device == device && one.stands())
        {
            return Ok(false);
        }
        let keys = self.store.believed_keys(record)?;
        let mut keys = keys.iter().chain(&received.keys).filter(|(of, _)| *of == device);
        Ok(keys.any(|(_, key)| {
            let key = key.parse::<Key>();
            key.is_ok_and(|key| link::vouch::heads_are_signed(&key, head))
        }))
    }

    /// That something was written twice under one number, in words.
    pub(crate) fn twice_words(&mut self, record: &Id, two: &record::Twice) -> Result<String, Refusal> {
        let name = match &two.device {
            Some(device) => self.device_words(record, device)?,
            None => "a program of no device".to_owned(),
        };
        let proof = if two.vouched {
            "it signed the other one too, which is proof that it wrote both"
        } else {
            "nobody signed the other one"
        };
        Ok(format!(
            "{name} wrote two different changes under one number ({}): the one that came first stays, {proof}; the other stands aside",
            two.number
        ))
    }
}

/// The devices that are met, each with the key that it is met by.
fn met(record: &Record) -> BTreeSet<(Id, String)> {
    let members = members(record.view()).into_iter();
    members
        .filter(Member::stands)
        .filter_map(|one| Some((one.device, one.key?)))
        .collect()
}

/// Who would be met by what just came, and was not before: the device and its keeper, as they call themselves.
fn newcomers(record: &Record, known: &BTreeSet<(Id, String)>) -> Vec<(String, String)> {
    let view = record.view();
    met(record)
        .difference(known)
        .map(|(device, _)| {
            let keeper = view
                .keeper_of(device)
                .map_or_else(String::new, |keeper| keeper_name(view, &keeper));
            (device_name(view, device), keeper)
        })
        .collect()
}

/// The refusal of a file that would let devices in, from nobody who is known to be met. Whoever holds a revoked device
/// could write one, under a key that they made today, so a keeper has to say that it is theirs.
fn newcomer(new: &[(String, String)]) -> Refusal {
    let devices: Vec<String> = new
        .iter()
        .map(|(device, keeper)| format!("'{device}' of {keeper}"))
        .collect();
    let keepers: BTreeSet<&str> = new.iter().map(|(_, keeper)| keeper.as_str()).collect();
    let keepers = keepers.into_iter().collect::<Vec<_>>().join(" and ");
    let devices = devices.join(" and ");
    Refusal::input(
        "newcomer",
        format!(
            "this carry file would let a device in that this record does not know yet: it calls itself {devices}. Ask {keepers}, by voice, whether the file is theirs, and only then take it in and let the device in with it: whoever holds a device that was revoked could come back under such a name"
        ),
    )
    .with(json!({ "devices": devices, "keepers": keepers }))
}

/// The refusal of a file whose words nobody vouches for, until a keeper has said that it is theirs.
fn unsigned(says: &[String], new: &[(String, String)], ask: &BTreeSet<String>) -> Refusal {
    let mut says = says.to_vec();
    for (device, keeper) in new {
        says.push(format!(
            "it would let in a device that calls itself '{device}' of {keeper}"
        ));
    }
    let ask: Vec<&str> = ask.iter().map(String::as_str).collect();
    let ask = if ask.is_empty() {
        "whoever gave it to you".to_owned()
    } else {
        ask.join(" and ")
    };
    Refusal::input(
        "unsigned",
        format!(
            "nobody whom this record knows vouches for all that is in this carry file: {}. Nothing was taken in. Ask {ask}, by voice, whether the file is theirs and says what they meant, and only then take it in as welcome",
            says.join("; ")
        ),
    )
    .with(json!({ "says": says, "keepers": ask }))
}
