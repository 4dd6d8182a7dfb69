//! Meeting over a network: who the members are, who is here, pairing, and what the keeper chose. Each command answers
//! at once; what takes time goes on in the background and is asked for again.

use std::collections::BTreeMap;

use link::address::Address;
use link::identity::Key;
use link::talk::{Phase, Status};
use record::entities::{Device, DeviceFields};
use record::{Edit, Given, Id, Kind, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::Choices;
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::{
    KnewDrop, MeetLine, MeetPhase, MeetingsPage, MemberLine, PairTicket, Pairs, PhotosBy, PhotosWanted,
    Revoked,
};

/// Which devices the record is kept on, and which of them are met no more.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Members {}

impl Command for Members {
    type Reply = Vec<MemberLine>;
    const NAME: &'static str = "members";
    const SAYS: &'static str = "The devices that the record is kept on, and which of them are met no more.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<MemberLine>, Refusal> {
        let this = desk.notebook().device()?.id;
        let record = desk.row()?.id;
        let unnamed = desk.notebook().unnamed(&record)?;
        let mut knew: BTreeMap<Id, Vec<KnewDrop>> = BTreeMap::new();
        for one in desk.notebook().members(&record)? {
            if let Some((_, stamp)) = &one.revoked {
                let key = one.key.as_deref().and_then(|key| key.parse().ok());
                let drops = desk.notebook().drops_known(&record, key.as_ref(), stamp.at)?;
                knew.insert(one.device, drops);
            }
        }
        desk.page(|read| {
            let line = |one: record::members::Member| MemberLine {
                keeper_name: keeper_name(read.view, one.keeper.as_ref()),
                this: one.device == this,
                unnamed: None,
                knew: knew.get(&one.device).cloned().unwrap_or_default(),
                sealed_to: one.seal.is_some(),
                revoked: one.revoked.map(|(why, stamp)| Revoked {
                    why,
                    by: read.by(&stamp),
                }),
                device: one.device,
                name: one.name,
                key: one.key,
            };
            let paired = unnamed.iter().map(|one| MemberLine {
                device: one.device.clone(),
                name: one.whose.clone(),
                keeper_name: String::new(),
                this: false,
                unnamed: Some(one.met),
                key: Some(one.key.to_string()),
                sealed_to: false,
                revoked: None,
                knew: Vec::new(),
            });
            record::members::members(read.view)
                .into_iter()
                .map(line)
                .chain(paired)
                .collect()
        })
    }
}

/// Cuts off a device that was paired here and that the record does not name; nothing of it is in the record.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Cut {
    /// Which.
    pub(crate) device: Id,
}

impl Command for Cut {
    type Reply = Done;
    const NAME: &'static str = "cut";
    const SAYS: &'static str = "Cuts off a device that was paired here and that the record does not name.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().cut(&record, &self.device)?;
        Ok(Done::YES)
    }
}

fn keeper_name(view: &record::View, keeper: Option<&Id>) -> String {
    keeper.map_or_else(String::new, |keeper| record::members::keeper_name(view, keeper))
}

/// Says that a device is met no more: lost, sold, stolen. It stands for good.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Revoke {
    /// Which.
    pub(crate) device: Id,
    /// Why.
    pub(crate) why: String,
}

impl Command for Revoke {
    type Reply = Done;
    const NAME: &'static str = "revoke";
    const SAYS: &'static str = "Says that a device is met no more: lost, sold, stolen. It stands for good.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let record = desk.row()?.id;
        if desk.notebook().device()?.id == self.device {
            return Err(Refusal::input(
                "this_device",
                "a device is revoked from another one: this is the one that you are at",
            ));
        }
        let all = desk.notebook().members(&record)?;
        let Some(member) = all.into_iter().find(|one| one.device == self.device) else {
            return Err(record::Refusal::Unknown(Ref::new(Kind::Device, self.device)).into());
        };
        if !member.stands() {
            return Ok(Done::YES);
        }
        if self.why.trim().is_empty() {
            return Err(Refusal::input("why", "say why it is met no more"));
        }
        let fields = DeviceFields {
            revoked: Given::Put(self.why.trim().to_owned()),
            ..Default::default()
        };
        desk.write(&Edit::change::<Device>(self.device, &fields)?)?;
        Ok(Done::YES)
    }
}

/// Who is here, and how meeting each device stands.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Meetings {}

impl Command for Meetings {
    type Reply = MeetingsPage;
    const NAME: &'static str = "meetings";
    const SAYS: &'static str = "Who is here, and how meeting each device stands.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<MeetingsPage, Refusal> {
        meetings(desk)
    }
}

fn meetings(desk: &mut Desk<'_>) -> Result<MeetingsPage, Refusal> {
    let record = desk.row()?.id;
    let this = desk.notebook().device()?.id;
    let live = desk.notebook().live.clone();
    let standing = live.as_ref().map(|live| live.meetings()).unwrap_or_default();
    let peers = desk.notebook().store.peers(&record)?;
    let choices = desk.notebook().store.choices()?;
    let devices = desk.page(|read| {
        let all = record::members::members(read.view);
        // A device that has learnt from its own record that it was revoked asks nobody any more, and says why.
        let revoked = crate::revoked::revoked_here(read.view, &this);
        let others = all.into_iter().filter(|one| one.device != this && one.stands());
        let line = |one: record::members::Member| {
            let key: Option<Key> = one.key.as_deref().and_then(|key| key.parse().ok());
            let here = standing
                .iter()
                .find(|met| met.record == record && met.device == one.device);
            let status = here.map(|met| met.status).unwrap_or_default();
            MeetLine {
                keeper_name: keeper_name(read.view, one.keeper.as_ref()),
                name: one.name,
                phase: here.map_or(MeetPhase::Away, |_| phase(&status)),
                since: live.as_ref().and_then(|live| live.since(&record, &one.device)),
                sent: small(status.sent),
                got: small(status.got),
                lacking_there: small(status.lacking_there),
                lacking_here: small(status.lacking_here),
                photos_left: small(status.photos_left),
                photos_wrong: small(status.photos_wrong),
                alike: status.alike,
                difference: status.difference,
                last_met: peers
                    .iter()
                    .find(|peer| peer.device == one.device)
                    .and_then(|peer| peer.met),
                ended: revoked
                    .clone()
                    .or_else(|| live.as_ref()?.ended(&key?, &record))
                    .filter(|_| here.is_none()),
                device: one.device,
            }
        };
        others.map(line).collect()
    })?;
    Ok(MeetingsPage {
        on: choices.meets,
        listening: live.is_some_and(|live| live.is_listening()),
        relay: choices.relay,
        internet_relays: choices.internet_relays,
        photos: desk.notebook().photos_wanted()?,
        photos_by: desk.notebook().photos_by()?,
        metered: desk.notebook().metered,
        devices,
    })
}

fn phase(status: &Status) -> MeetPhase {
    match status.phase {
        Phase::Greeting => MeetPhase::Greeting,
        Phase::Changes => MeetPhase::Changes,
        Phase::Photos => MeetPhase::Photos,
        Phase::Live => MeetPhase::Live,
        Phase::Ended => MeetPhase::Away,
    }
}

fn small(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Looks for every device of the record at once, whenever that would have been due; answers before it is known who comes.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct MeetNow {}

impl Command for MeetNow {
    type Reply = MeetingsPage;
    const NAME: &'static str = "meet_now";
    const SAYS: &'static str = "Looks for every device of the record at once.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<MeetingsPage, Refusal> {
        let live = desk.notebook().attended()?;
        if !desk.notebook().meetings_are_on()? {
            return Err(Refusal::input(
                "meetings_off",
                "meetings are turned off on this device: turn them on first",
            ));
        }
        live.meet_now();
        meetings(desk)
    }
}

/// Chooses whether and by which roads this device meets others; what is left out stays.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Live {
    /// Whether it meets others at all.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) on: Option<bool>,
    /// The address of a relay of one's own; empty for none.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) relay: Option<String>,
    /// Whether the internet's relays may be used. They see the devices' keys and addresses, and when and how much
    /// they exchange; never what.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) internet_relays: Option<bool>,
    /// Which originals are fetched: all, or those that are asked for one by one. Small pictures always are.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) photos: Option<PhotosWanted>,
    /// By which connections they are fetched unasked.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) photos_by: Option<PhotosBy>,
}

impl Command for Live {
    type Reply = MeetingsPage;
    const NAME: &'static str = "live";
    const SAYS: &'static str = "Chooses whether and by which roads this device meets others.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<MeetingsPage, Refusal> {
        let relay = self.relay.as_deref().map(str::trim);
        if let Some(relay) = relay.filter(|relay| !relay.is_empty()) {
            match relay.parse() {
                Ok(Address::Relay(_)) => {}
                _ => {
                    let words = format!("'{relay}' is not the https address of a relay");
                    return Err(Refusal::input("relay", words));
                }
            }
        }
        let store = &mut desk.notebook().store;
        let was = store.choices()?;
        let choices = Choices {
            meets: self.on.unwrap_or(was.meets),
            relay: relay.map_or(was.relay, |relay| {
                Some(relay.to_owned()).filter(|relay| !relay.is_empty())
            }),
            internet_relays: self.internet_relays.unwrap_or(was.internet_relays),
            only_asked: self
                .photos
                .map_or(was.only_asked, |photos| photos == PhotosWanted::Asked),
            only_unmetered: self
                .photos_by
                .map_or(was.only_unmetered, |by| by == PhotosBy::Unmetered),
            current: was.current,
            pages_port: was.pages_port,
        };
        store.choose(&choices)?;
        if self.photos.is_some() || self.photos_by.is_some() {
            desk.notebook().photos_chosen();
        }
        let roads = self.on.is_some() || self.relay.is_some() || self.internet_relays.is_some();
        if let Some(live) = desk.notebook().live.as_ref().filter(|_| roads) {
            live.roads_changed();
        }
        // Every other page of this device shows it, too.
        let record = desk.row()?.id;
        desk.notebook().show(&record);
        meetings(desk)
    }
}

/// Opens a ticket by which one more device can be paired: two minutes, one guest, three tries.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PairOpen {
    /// Eight digits to read out instead of a ticket, for a device on the same network.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) voice: Option<bool>,
}

impl Command for PairOpen {
    type Reply = PairTicket;
    const NAME: &'static str = "pair_open";
    const SAYS: &'static str = "Opens a ticket, or digits to read out, by which one more device can be paired: two minutes, one guest, three tries.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<PairTicket, Refusal> {
        let record = desk.row()?.id;
        let live = desk.notebook().attended()?;
        live.pair_open(desk.notebook(), &record, self.voice.unwrap_or_default())
    }
}

/// Follows a ticket that another device shows, or digits that its keeper reads out. All of its record comes here once both keepers have confirmed.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PairJoin {
    /// The ticket, as text; or the eight digits that the other keeper reads out, for a device on the same network.
    pub(crate) ticket: String,
    /// Whose device this is: a keeper of the record by name, or a new one. Needed where nobody is known here yet.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) keeper: Option<String>,
    /// What this device is called.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) device_name: Option<String>,
}

impl Command for PairJoin {
    type Reply = Pairs;
    const NAME: &'static str = "pair_join";
    const SAYS: &'static str =
        "Follows a ticket that another device shows, or digits that its keeper reads out.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Pairs, Refusal> {
        let live = desk.notebook().attended()?;
        live.pair_join(
            desk.notebook(),
            &self.ticket,
            self.keeper.as_deref(),
            self.device_name.as_deref(),
        )?;
        Ok(live.pair_code())
    }
}

/// How pairing stands, with the digits that both keepers compare.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PairCode {}

impl Command for PairCode {
    type Reply = Pairs;
    const NAME: &'static str = "pair_code";
    const SAYS: &'static str = "How pairing stands, with the digits that both keepers compare.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Pairs, Refusal> {
        Ok(desk
            .notebook()
            .live
            .as_ref()
            .map(|live| live.pair_code())
            .unwrap_or_default())
    }
}

/// The keeper's word on whether both devices show the same digits; no ends the pairing.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PairConfirm {
    /// Whether they are the same.
    pub(crate) yes: bool,
}

impl Command for PairConfirm {
    type Reply = Pairs;
    const NAME: &'static str = "pair_confirm";
    const SAYS: &'static str =
        "The keeper's word on whether both devices show the same digits; no ends the pairing.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Pairs, Refusal> {
        let live = desk.notebook().attended()?;
        live.pair_confirm(self.yes)?;
        Ok(live.pair_code())
    }
}
