//! Queries: the pages, and what else a face asks for. None of them changes the record, and none opens the document but the check.

use std::collections::BTreeMap;

use record::edit::Blocker;
use record::entities::Keeper;
use record::members::keeper_name;
use record::past::Past as _;
use record::titles::Titles;
use record::{Day, Entity as _, Id, Kind, Ref, called, verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use crate::desk::Desk;
use crate::long::at_once;
use crate::long::check::CheckWork;
use crate::page::{self, Peers, Reader};
use crate::refusal::Refusal;
use crate::shelf::Shelf;
use crate::vouching::Vouched;
use crate::wire::{
    AgreedLine, AssemblyPage, CarOwn, CarPage, DayPage, DiffersLine, EntryPage, Explained, FindingLine,
    FindingPage, HealthReport, HereNow, HistoryLine, Hit, InsideOut, JobLine, KeepersPage, Named, PointOut,
    QuestionPage, RecordDigest, RecordLine, Saved, StoresPage,
};

/// Most hits of a search.
const MOST_HITS: u32 = 60;

/// Lines of a history, where nobody asks for more: a day sheet has what was written in it again beside every one.
const HISTORY: u32 = 100;

macro_rules! query {
    ($name:literal $says:literal $command:ident { $($(#[$attr:meta])* $field:ident: $type:ty,)* } -> $reply:ty, |$this:ident, $desk:ident| $body:expr) => {
        #[doc = $says]
        #[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
        #[serde(deny_unknown_fields)]
        pub(crate) struct $command { $($(#[$attr])* pub(crate) $field: $type,)* }

        impl Command for $command {
            type Reply = $reply;
            const NAME: &'static str = $name;
            const SAYS: &'static str = $says;
            const WRITES: bool = false;
            fn run($this, $desk: &mut Desk<'_>) -> Result<$reply, Refusal> { $body }
        }
    };
}

query! { "records" "Lists the cars that this device keeps."
    Records {} -> Vec<RecordLine>, |self, desk| records(desk)
}

query! { "saved" "Says where the last words are."
    SavedWhere {} -> Saved, |self, desk| saved(desk)
}

query! { "day" "What each keeper wrote and did on one date."
    DayOf {
        /// The date.
        day: Day,
        /// How many minutes the keeper's clock is ahead of UTC; none where nothing is said.
        #[serde(default)]
        #[ts(optional = nullable)]
        minutes_east: Option<i32>,
    } -> DayPage, |self, desk| {
        let east = i64::from(self.minutes_east.unwrap_or(0)).saturating_mul(60);
        super::day::day(desk, self.day, east)
    }
}

query! { "car" "The car and its assemblies, with what is open inside."
    CarOf {} -> CarPage, |self, desk| desk.page(page::car)
}

query! { "car_own" "What is the car's own: jobs and hold points of no assembly, and readings of the whole car."
    OwnOf {} -> CarOwn, |self, desk| {
        let points = desk.points()?;
        desk.page(|read| page::own(read, &points))
    }
}

query! { "begun" "Jobs that are begun and left half done, each with where it stopped, what was said last first."
    Begun {} -> Vec<JobLine>, |self, desk| desk.page(page::begun)
}

query! { "assembly" "Inside an assembly."
    AssemblyOf {
        /// Which.
        id: Id,
    } -> AssemblyPage, |self, desk| {
        let points = desk.points()?;
        let unknown = record::Refusal::Unknown(Ref::new(Kind::Assembly, self.id.clone()));
        let record = desk.row()?.id;
        let name = Ref::new(Kind::Assembly, self.id.clone());
        let deeds = desk.deeds_of(&name)?;
        let sheets = desk.store_of(&[Kind::Sheet]).naming(&record, Kind::Sheet, &name)?;
        let found = desk.page(|read| page::assembly(read, &self.id, &points, &deeds, &sheets))?;
        found.ok_or_else(|| unknown.into())
    }
}

query! { "finding" "One finding: how it stands, and the jobs around it that could have mended it."
    FindingOf {
        /// Which.
        id: Id,
    } -> FindingPage, |self, desk| {
        let unknown = record::Refusal::Unknown(Ref::new(Kind::Finding, self.id.clone()));
        let mut deeds = BTreeMap::new();
        for assembly in desk.page(|read| page::closed_over_it(read, &self.id))? {
            let name = Ref::new(Kind::Assembly, assembly.clone());
            let of_it = desk.deeds_of(&name)?;
            let _ = deeds.insert(assembly, of_it);
        }
        let found = desk.page(|read| page::finding(read, &self.id, &deeds))?;
        found.ok_or_else(|| unknown.into())
    }
}

query! { "keepers" "Keepers, devices, and what is to be settled."
    Keepers {} -> KeepersPage, |self, desk| keepers(desk)
}

query! { "points" "Points to settle, in one order on every device."
    Points {} -> Vec<PointOut>, |self, desk| {
        let points = desk.points()?;
        desk.page(|read| page::points(read, &points))
    }
}

query! { "question" "One point to settle, told as a talk: who did what, what stood before, and what each choice comes to. Nothing where it is settled."
    QuestionOf {
        /// The point, or one that is asked with it.
        point: String,
    } -> Option<QuestionPage>, |self, desk| {
        let points = desk.points()?;
        desk.page_of_past(|read, past| page::question(read, past, &points, &self.point))
    }
}

query! { "agreed" "What was agreed: what, why, by whom and when; the two hundred newest."
    Agreed {} -> Vec<AgreedLine>, |self, desk| desk.page(page::agreed)
}

query! { "differs" "What differs from the book: every part that is not as it should be, what is in only for now first."
    WhatDiffers {} -> Vec<DiffersLine>, |self, desk| desk.page(page::differs)
}

query! { "earlier_hand" "All that an earlier hand did: the findings that came by it, what is open first."
    EarlierHand {} -> Vec<FindingLine>, |self, desk| desk.page(page::earlier_hand)
}

query! { "stores" "Containers, what is nowhere, and orders."
    Stores {} -> StoresPage, |self, desk| desk.page(page::stores)
}

query! { "search" "Finds entries by the beginnings of their words; the sixty that fit best, where there are more."
    Search {
        /// What is looked for.
        text: String,
    } -> Vec<Hit>, |self, desk| {
        let record = desk.row()?.id;
        let store = &desk.notebook().store;
        let mut words = record::trade::widened(&store::words_of(&self.text));
        let mut hits = store.search_any(&record, &words, MOST_HITS)?;
        if hits.is_empty() {
            // Nothing is called so: what a slip of the fingers makes of it may be.
            for alternatives in &mut words {
                if let [word] = alternatives.as_slice() {
                    let near = store.near_words(word)?;
                    alternatives.extend(near);
                }
            }
            hits = store.search_any(&record, &words, MOST_HITS)?;
        }
        // A letter more is asked for at each keystroke: only what was found is read, and what that stands in, by its key.
        let mut view = record::View::default();
        let store = &desk.notebook().store;
        for hit in &hits {
            let name = Ref::new(hit.kind, hit.id.clone());
            page::with_around(&mut view, name, &mut |name| store.find(&record, name).ok().flatten());
        }
        Ok(hits.into_iter().map(|hit| {
            let name = Ref::new(hit.kind, hit.id);
            let entry = view.find(&name);
            let within = entry.and_then(|entry| record::home::within(&view, entry));
            let part = entry.and_then(record::entities::Part::of).filter(|_| !hit.struck);
            Hit {
                lies: part.map(|part| record::lies::whereabouts(&view, part).said),
                old_one: part.and_then(|part| part.old_one()),
                line: if hit.excerpt == hit.title { String::new() } else { hit.excerpt },
                within: within.map(|around| Named { name: around.name(), title: record::title::title(around) }),
                struck: hit.struck,
                what: Named { name, title: hit.title },
            }
        }).collect())
    }
}

query! { "explain" "What a trade word means, in one line, and what else it is called."
    Explain {
        /// The word; left empty, all of them.
        word: String,
    } -> Vec<Explained>, |self, _desk| {
        let all = record::trade::TRADE_WORDS.iter();
        let meant = |entry: &&record::trade::TradeWord| {
            self.word.trim().is_empty() || record::trade::trade_word(&self.word) == Some(*entry)
        };
        Ok(all.filter(meant).map(|entry| Explained {
            names: entry.names.iter().map(|name| (*name).to_owned()).collect(),
            means: entry.means.to_owned(),
        }).collect())
    }
}

query! { "entry" "One entry: every field in words, what it names, every value that stands for it and who wrote that, and what to mind."
    EntryOf {
        /// Its kind.
        kind: Kind,
        /// Which.
        id: Id,
    } -> EntryPage, |self, desk| {
        let record = desk.row()?.id;
        let name = Ref::new(self.kind, self.id);
        let found = desk.page(|read| page::entry(read, name.kind, &name.id)).or_else(|refusal| {
            let store = &desk.notebook().store;
            if store.find(&record, &name)?.is_none() {
                return Err(refusal);
            }
            // What it names and cannot be read is told by a check; this one is read all the same.
            let photos = Default::default();
            Shelf::default().read_what_can_be(store, &record, |view| page::entry(&Reader::of(view, &photos), name.kind, &name.id))
        })?;
        found.ok_or_else(|| record::Refusal::Unknown(name).into())
    }
}

query! { "history" "The newest changes of one entry, newest first, with what its fields read right after."
    History {
        /// Its kind.
        kind: Kind,
        /// Which.
        id: Id,
        /// How many changes; a hundred where nothing is said. Where there are as many lines as that, there may be older ones.
        #[serde(default)]
        #[ts(optional = nullable)]
        most: Option<u32>,
    } -> Vec<HistoryLine>, |self, desk| history(desk, self.kind, &self.id, self.most.unwrap_or(HISTORY) as usize)
}

query! { "list" "Names everything of one kind that stands."
    List {
        /// Which kind.
        kind: Kind,
    } -> Vec<Named>, |self, desk| {
        desk.read(|view| {
            let titles = Titles::of(view);
            view.standing(self.kind).map(|entry| Named { name: entry.name(), title: titles.title(entry) }).collect()
        })
    }
}

query! { "close_up_check" "What stands in the way of closing an assembly up."
    CloseUpCheck {
        /// Which.
        assembly: Id,
    } -> Vec<Blocker>, |self, desk| {
        let points = desk.points()?;
        let found = desk.read(|view| {
            view.get(Kind::Assembly, &self.assembly)?;
            Some(record::edit::blockers(view, &points, &self.assembly))
        })?;
        found.ok_or_else(|| record::Refusal::Unknown(Ref::new(Kind::Assembly, self.assembly)).into())
    }
}

query! { "strike_check" "What stands inside an entry, or was left in it, and where that could move to."
    StrikeCheck {
        /// Which, as `assembly:0190…`.
        name: Ref,
    } -> InsideOut, |self, desk| {
        let name = self.name;
        let found = desk.page(|read| page::inside(read, &name))?;
        found.ok_or_else(|| record::Refusal::Unknown(name).into())
    }
}

query! { "digest" "A digest of everything: the same on two devices that have the same."
    DigestOf {} -> RecordDigest, |self, desk| {
        let record = desk.row()?.id;
        desk.notebook().digest(&record)
    }
}

query! { "check" "Reads everything and says in words what is wrong. It changes nothing."
    Check {} -> HealthReport, |self, desk| at_once(desk.notebook(), CheckWork::new())
}

impl Check {
    /// The check that is made in steps.
    pub(crate) fn long(self, _record: &Id) -> CheckWork {
        CheckWork::new()
    }
}

fn records(desk: &mut Desk<'_>) -> Result<Vec<RecordLine>, Refusal> {
    let rows = desk.notebook().store.records()?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let current = desk.notebook().meant(None)?.id;
    let device = desk.notebook().device()?.id;
    let mut lines = Vec::new();
    for row in rows {
        let keeper = row.keeper.clone().unwrap_or_else(Id::car);
        // Of a car that is behind no row can be read yet.
        let named = match desk.notebook().is_caught_up(&row) {
            Ok(()) => desk.notebook().store.entry(&row.id, Kind::Keeper, &keeper)?,
            Err(_) => None,
        };
        lines.push(RecordLine {
            keeper_name: called(named.as_ref().and_then(Keeper::of).and_then(|named| named.name())),
            current: row.id == current,
            id: row.id,
            car: record::shown(&row.car),
            keeper,
            device: device.clone(),
        });
    }
    Ok(lines)
}

fn saved(desk: &mut Desk<'_>) -> Result<Saved, Refusal> {
    let record = desk.row()?.id;
    let device = desk.notebook().device()?.id;
    let peers = desk.notebook().store.peers(&record)?;
    let mut known_own = 0;
    for peer in &peers {
        let known = desk.notebook().store.known(&record, &peer.device)?;
        known_own = known_own.max(known.own);
    }
    let (only_here, since) = desk.notebook().store.made_after(&record, &device, known_own)?;
    let revoked = desk.notebook().revoked_here(&record)?;
    let others: Vec<(Id, String, String)> = desk.read(|view| {
        record::members::members(view)
            .into_iter()
            .filter(|one| one.device != device && one.stands())
            .map(|one| {
                let keeper = one.keeper;
                let keeper = keeper.map_or_else(String::new, |keeper| keeper_name(view, &keeper));
                (one.device, one.name, keeper)
            })
            .collect()
    })?;
    let count = u32::try_from(others.len()).unwrap_or(u32::MAX);
    let mut here = Vec::new();
    for (other, name, keeper_name) in others {
        if let Some(since) = desk.notebook().here_since(&record, &other) {
            here.push(HereNow {
                keeper_name,
                name,
                since,
            });
        }
    }
    here.sort_by_key(|one| one.since);
    Ok(Saved {
        only_here,
        since,
        alone: count == 0,
        others: count,
        here,
        last_met: peers.iter().filter_map(|peer| peer.met).max(),
        points: desk.notebook().asked(&record)?,
        revoked,
    })
}

fn keepers(desk: &mut Desk<'_>) -> Result<KeepersPage, Refusal> {
    let row = desk.row()?;
    let device = desk.notebook().device()?.id;
    let changes = desk.notebook().store.last(&row.id)?;
    let mut peers = Peers::new();
    for peer in desk.notebook().store.peers(&row.id)? {
        let known = desk.notebook().store.known(&row.id, &peer.device)?.all;
        // The fixed beginning is known to everyone and is not in the log.
        peers.insert(peer.device, (peer.met, known.saturating_sub(1)));
    }
    let points = desk.points()?;
    let here = desk.notebook().store.photos_here(&row.id)?.len();
    let missing = desk.notebook().store.photos_wanted(&row.id)?.len();
    let settled = desk.read(|view| view.standing(Kind::Settlement).count())?;
    let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    desk.page(|read| KeepersPage {
        keepers: page::keepers(read, row.keeper.as_ref(), &device, &peers, changes),
        points: page::points(read, &points),
        settled: small(settled),
        changes,
        photos: small(here.saturating_add(missing)),
        photos_missing: small(missing),
    })
}

fn history(desk: &mut Desk<'_>, kind: Kind, id: &Id, most: usize) -> Result<Vec<HistoryLine>, Refusal> {
    let record = desk.row()?.id;
    let name = Ref::new(kind, id.clone());
    let this = desk.this_device()?;
    let store = desk.store_of_meetings();
    let mut rows = store.history(&record, kind, id, None)?;
    rows.drain(..rows.len().saturating_sub(most));
    let vouched = Vouched::of(store, &record, this, &rows)?;
    desk.page_of_past(|read, past| {
        let now = read.view.get(kind, id);
        let line = |row: &store::HistoryRow| {
            let stamp = record::Stamp {
                device: row.device.clone(),
                at: row.at,
                change: row.change,
            };
            let alone = row.fields.len() == 1;
            let fields = row.fields.iter().map(|field| {
                let then = past.field_after(&name, field, &row.change);
                page::then(read, (kind, now), field, &then, alone)
            });
            HistoryLine {
                by: read.by(&stamp),
                message: row.message.clone(),
                fields: fields.collect(),
                claimed: vouched.claimed(past, row),
            }
        };
        let mut lines: Vec<HistoryLine> = rows.iter().map(line).collect();
        // What changed a reading's verdict from outside belongs to its history too.
        let mut judged_anew = match kind {
            Kind::Reading => verdict::steps(read.view, past, id),
            _ => Vec::new(),
        };
        judged_anew.retain(|step| step.name.kind != Kind::Reading);
        if !judged_anew.is_empty() {
            lines.extend(judged_anew.iter().map(|step| HistoryLine {
                by: read.by(&step.stamp),
                message: step.verdict.as_ref().map_or_else(
                    || format!("{}; it is not judged any more", step.words),
                    |verdict| format!("{}; judged anew: {}", step.words, verdict.words),
                ),
                fields: Vec::new(),
                claimed: None,
            }));
            // Changes of other entries come between, by their writers' clocks.
            lines.sort_by_key(|line| line.by.at);
        }
        lines.reverse();
        lines.truncate(most);
        lines
    })
}
