//! What came in while a keeper was away: by which road and from whom it is written down as it comes, and how it is told of afterwards. It
//! is this device's own and stands in no record; what it tells is made of entries, deeds and points at every look.

use std::collections::BTreeSet;

use record::past::Strands;
use record::rules::Point;
use record::{ChangeId, Entry, Id, Kind, Moment, Ref};
use store::{Came, ComingRow, WasRow};

use crate::notebook::Notebook;
use crate::page::{self, Brought};
use crate::refusal::Refusal;
use crate::wire::{AsideBy, AwayPage, CamePage, CamePlace, ComingLine, Patch, Road, Unread};

/// Most sentences of what came in that are told where there are no pages.
const MOST_SENTENCES: usize = 50;

/// Most letters of what a text read before it was written otherwise.
const MOST_OF_WHAT_WAS: usize = 1_000;

/// Seconds without a word after which a whole record has come, where both were never seen to have the same.
const JOINS_WITHIN: i64 = 30;

impl Road {
    const ALL: [Self; 4] = [Self::File, Self::Live, Self::Drop, Self::Joined];

    const fn word(self) -> &'static str {
        match self {
            Self::File => "file",
            Self::Live => "live",
            Self::Drop => "drop",
            Self::Joined => "joined",
        }
    }

    fn of(word: &str) -> Self {
        let known = Self::ALL.into_iter().find(|road| road.word() == word);
        // A road that only a newer program knows is some file to this one.
        known.unwrap_or(Self::File)
    }
}

impl Notebook {
    /// How what is taken in now came. Who is only coming in gets the whole record, and was not away from it.
    pub(crate) fn came_by<'a>(
        &mut self,
        record: &Id,
        by: AsideBy,
        from: Option<&'a Id>,
        coming_in: bool,
    ) -> Result<Came<'a>, Refusal> {
        let road = match by {
            AsideBy::Carry => Road::File,
            AsideBy::Meeting => Road::Live,
            AsideBy::Drop => Road::Drop,
        };
        let at = self.now();
        // The rest of a whole record comes after the word whose device this is.
        let joining = coming_in || (road != Road::File && self.is_joining(record, at)?);
        let road = if joining { Road::Joined } else { road };
        Ok(Came {
            road: road.word(),
            device: from,
            at,
            goes_on: road != Road::File,
        })
    }

    /// Whether the record is still coming whole, and nothing was written here since.
    fn is_joining(&self, record: &Id, now: Moment) -> Result<bool, Refusal> {
        let Some(last) = self.store.comings(record)?.into_iter().next() else {
            return Ok(false);
        };
        let age = now.seconds().saturating_sub(last.ended.seconds());
        let came_whole = self.store.came_whole(record)?;
        if came_whole || last.road != Road::Joined.word() || !(0..=JOINS_WITHIN).contains(&age) {
            return Ok(false);
        }
        let this = self.device()?.id;
        Ok(self.store.made_after(record, &this, 0)?.0 == 0)
    }

    /// Both have the same: what comes from now on is news, also where the record was only just joined.
    pub(crate) fn came_whole(&mut self, record: &Id) -> Result<(), Refusal> {
        if !self.store.came_whole(record)? {
            self.store.keep_came_whole(record)?;
        }
        Ok(())
    }

    /// The comings of a record, and what of them was not read.
    pub(crate) fn away(&mut self, record: &Id, only_unread: bool) -> Result<AwayPage, Refusal> {
        let this = self.device()?.id;
        let points = self.points_of(record)?;
        let (mut comings, mut unread) = (
            Vec::new(),
            Unread {
                first: 0,
                comings: 0,
                things: 0,
                points: 0,
            },
        );
        let mut asked: BTreeSet<String> = BTreeSet::new();
        let rows = self.store.comings(record)?;
        for row in rows.into_iter().filter(|row| !only_unread || !row.read) {
            let line = self.coming_line(record, &row, &this, &points)?;
            if line.unread {
                unread.first = row.number;
                unread.comings = unread.comings.saturating_add(1);
                let amount = self.store.came_amount(record, row.number, &this, true)?;
                unread.things = unread.things.saturating_add(amount.things);
                let changes = self.changes_of(record, row.number, &this, true)?;
                asked.extend(page::asked_with(&points, &changes));
            }
            if (line.things > 0 || line.road == Road::Joined) && (line.unread || !only_unread) {
                comings.push(line);
            }
        }
        unread.points = u32::try_from(asked.len()).unwrap_or(u32::MAX);
        Ok(AwayPage {
            unread: (unread.comings > 0).then_some(unread),
            comings,
        })
    }

    /// What is told with what it read before, of entries that come in: nobody sees otherwise that a limit was another.
    pub(crate) fn was(&self, record: &Id, coming: &[Entry]) -> Result<Vec<WasRow>, Refusal> {
        let mut was = Vec::new();
        for entry in coming {
            let fields = page::told_with_what_it_was(entry.kind);
            if fields.is_empty() {
                continue;
            }
            let Some(before) = self.store.find(record, &entry.name())? else {
                continue;
            };
            for field in fields
                .iter()
                .filter(|field| before.value(field) != entry.value(field))
            {
                let read = before.line(field).unwrap_or_default();
                was.push(WasRow {
                    name: entry.name(),
                    field: (*field).to_owned(),
                    was: read.chars().take(MOST_OF_WHAT_WAS).collect(),
                });
            }
        }
        Ok(was)
    }

    fn points_of(&self, record: &Id) -> Result<Vec<Point>, Refusal> {
        let rows = self.store.points(record)?;
        Ok(rows
            .iter()
            .filter_map(|row| serde_json::from_str(&row.json).ok())
            .collect())
    }

    fn changes_of(
        &self,
        record: &Id,
        number: u32,
        own: &Id,
        unread: bool,
    ) -> Result<BTreeSet<ChangeId>, Refusal> {
        let changes = self.store.came_changes(record, number, own, unread)?;
        Ok(changes.into_iter().collect())
    }

    fn coming_line(
        &mut self,
        record: &Id,
        row: &ComingRow,
        own: &Id,
        points: &[Point],
    ) -> Result<ComingLine, Refusal> {
        let road = Road::of(&row.road);
        let things = self.store.came_amount(record, row.number, own, false)?.things;
        let changes = self.changes_of(record, row.number, own, false)?;
        let points = page::asked_with(points, &changes).len();
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let from = row.devices.iter().map(|device| {
            let keeper = view.keeper_of(device);
            let keeper =
                keeper.map_or_else(String::new, |keeper| record::members::keeper_name(view, &keeper));
            page::whose(&keeper, &record::members::device_name(view, device))
        });
        Ok(ComingLine {
            number: row.number,
            road,
            from: from.collect(),
            at: row.ended,
            things,
            points: u32::try_from(points).unwrap_or(u32::MAX),
            unread: !row.read && things > 0 && road != Road::Joined,
        })
    }

    /// What one coming brought; the newest where none is named.
    pub(crate) fn what_came(
        &mut self,
        record: &Id,
        number: Option<u32>,
        points: &[Point],
    ) -> Result<Option<CamePage>, Refusal> {
        let this = self.device()?.id;
        let all = self.store.comings(record)?;
        let none = || {
            Refusal::input(
                "no_coming",
                "nothing of that is kept here: only the newest sixty comings are",
            )
        };
        let row = match number {
            Some(number) => all.iter().find(|row| row.number == number).ok_or_else(none)?,
            None => match all.first() {
                Some(row) => row,
                None => return Ok(None),
            },
        };
        let coming = self.coming_line(record, row, &this, points)?;
        let changes = self.changes_of(record, row.number, &this, false)?;
        // A whole record that came is no news: every page of it is new.
        let places = match coming.road {
            Road::Joined => Vec::new(),
            _ => self.places_of(record, row.number, points)?,
        };
        let mut next = None;
        for other in all
            .iter()
            .rev()
            .filter(|other| !other.read && other.number != row.number)
        {
            if next.is_none() && self.coming_line(record, other, &this, &[])?.unread {
                next = Some(other.number);
            }
        }
        let points = self.page(record, |read| page::points_of(read, points, &changes))?;
        Ok(Some(CamePage {
            points,
            only_smaller: !places.is_empty()
                && places
                    .iter()
                    .all(|place| place.lines.is_empty() && place.photos.is_empty()),
            coming,
            places,
            next,
        }))
    }

    fn places_of(&mut self, record: &Id, number: u32, points: &[Point]) -> Result<Vec<CamePlace>, Refusal> {
        let this = self.device()?.id;
        let me = self.store.record(record)?.keeper;
        let (changes, done) = self.store.came(record, number, &this)?;
        let touched = changes.iter().flat_map(|change| &change.touched);
        let names: BTreeSet<&Ref> = touched
            .map(|(name, _)| name)
            .filter(|name| name.kind == Kind::Sheet)
            .collect();
        let mut sheets: Vec<Entry> = Vec::new();
        for name in names {
            sheets.extend(self.store.find(record, name)?);
        }
        let was = self.store.came_was(record, number)?;
        let mut past = Strands::default();
        loop {
            let brought = Brought {
                was: &was,
                past: &past,
                changes: &changes,
                done: &done,
                sheets: &sheets,
            };
            let places = self.page(record, |read| page::places(read, me.as_ref(), &brought, points))?;
            if !self.store.lend_past(record, &mut past)? {
                return Ok(places);
            }
        }
    }

    /// What one coming brought, in plain sentences.
    pub(crate) fn told_of(&mut self, record: &Id, number: u32) -> Result<Vec<String>, Refusal> {
        let places = self.places_of(record, number, &[])?;
        Ok(page::sentences(&places, MOST_SENTENCES))
    }

    /// A coming was read, as far as it has come.
    pub(crate) fn was_read(&mut self, record: &Id, number: u32) -> Result<(), Refusal> {
        let rows = self.store.comings(record)?;
        if rows.iter().any(|row| row.number == number && !row.read) {
            self.store.came_read(record, number)?;
            self.tell(&Patch {
                record: record.clone(),
                touched: Vec::new(),
                marks: Vec::new(),
                points: false,
                underway: None,
            });
        }
        Ok(())
    }
}
