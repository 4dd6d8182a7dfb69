//! Lines of lists: one entry as a row of a page, with names in place of ids.

use std::collections::BTreeSet;

use record::across;
use record::cautions;
use record::edit::is_open;
use record::ending::{End, ended, is_suspected, said_to_hurt};
use record::entities::{Device, Finding, HoldPoint, Job, Keeper, Part, PartRef, Photo, PhotoRef};
use record::holding::{MetBy, counted_otherwise, seen_before};
use record::home;
use record::lies::whereabouts;
use record::members::{device_name, keeper_name};
use record::titles::Titles;
use record::words::{HoldState, How, HowBad, Words};
use record::{Entity, Entry, Id, Kind, PhotoHash, Ref, Stamp, View, called, shown};

use super::whose::whose;
use crate::stands::{Missing, Photos, Stands};
use crate::wire::{
    By, FindingEnd, FindingLine, HoldLine, MissingPhoto, Named, PartLine, PhotoLine, SeenBefore, StruckOut,
};

/// Reads entries of one view as lines.
pub(crate) struct Reader<'a> {
    /// The entries.
    pub(crate) view: &'a View,
    /// How the photos stand here.
    pub(crate) photos: &'a Photos,
    /// What they are called.
    titles: Titles<'a>,
}

impl<'a> Reader<'a> {
    pub(crate) fn of(view: &'a View, photos: &'a Photos) -> Self {
        Self {
            view,
            photos,
            titles: Titles::of(view),
        }
    }
}

impl Reader<'_> {
    /// The keeper whose device this is, where the page looks at photos and so knows the device.
    pub(crate) fn me(&self) -> Option<Id> {
        let device = self.photos.this.as_ref()?;
        self.view.keeper_of(device)
    }

    /// Who wrote something.
    pub(crate) fn by(&self, stamp: &Stamp) -> By {
        let keeper = stamp
            .device
            .as_ref()
            .and_then(|device| self.view.keeper_of(device));
        let device = stamp.device.as_ref();
        By {
            name: keeper
                .as_ref()
                .map_or_else(String::new, |id| keeper_name(self.view, id)),
            pattern: self.pattern(keeper.as_ref()),
            device: device.map_or_else(String::new, |id| device_name(self.view, id)),
            keeper,
            at: stamp.at,
        }
    }

    /// Whoever put the state that an entry shows; several where each did without knowing of the others.
    pub(crate) fn state_by(&self, entry: &Entry) -> Vec<By> {
        let stamps = record::deed::whose(entry, Job::state);
        stamps.into_iter().map(|stamp| self.by(stamp)).collect()
    }

    /// A keeper's pattern: the one they chose, else the next by their place among the keepers.
    pub(crate) fn pattern(&self, keeper: Option<&Id>) -> String {
        let Some(keeper) = keeper else {
            return "plain".to_owned();
        };
        let chosen = self
            .view
            .one::<Keeper>(keeper)
            .and_then(|keeper| keeper.pattern());
        chosen.map_or_else(
            || {
                let place = self
                    .view
                    .all(Kind::Keeper)
                    .position(|entry| &entry.id == keeper)
                    .unwrap_or(0);
                let all = record::words::Pattern::ALL;
                (*all.get(place % all.len()).unwrap_or(&"plain")).to_owned()
            },
            |pattern| pattern.word().to_owned(),
        )
    }

    pub(crate) fn struck(&self, entry: &Entry) -> Option<StruckOut> {
        entry.struck().map(|(why, stamp)| StruckOut {
            why: why.to_owned(),
            by: self.by(stamp),
        })
    }

    /// A reference with its title; the bare id of what is not in the view.
    pub(crate) fn named(&self, name: &Ref) -> Named {
        let title = self.view.find(name);
        Named {
            name: name.clone(),
            title: title.map_or_else(|| name.id.to_string(), |entry| self.titles.title(entry)),
        }
    }

    pub(super) fn linked(&self, kind: Kind, id: Option<Id>) -> Option<Named> {
        id.map(|id| self.named(&Ref::new(kind, id)))
    }

    /// The assembly that something is in, by way of its part if need be.
    pub(crate) fn home(&self, about: &Ref) -> Option<Id> {
        home::assembly_of(self.view, about)
    }

    pub(crate) fn part(&self, here: PartRef<'_>) -> PartLine {
        let entry = here.entry();
        let part = Part::read(entry);
        PartLine {
            id: part.id,
            name: called(part.name.as_deref()),
            position: part.position,
            way_round: part.way_round,
            in_row: part.order.is_some(),
            row_contradicts: entry
                .fields
                .get(Part::order)
                .is_some_and(record::Held::contradicts),
            nothing: record::lies::nothing_belongs(here),
            marks: part.marks,
            quantity: part.quantity,
            number: part.number,
            decision: part.decision,
            decision_why: part.decision_why,
            differs: part.differs,
            differs_why: part.differs_why,
            old_one: part.old_one,
            use_once: part.use_once.unwrap_or(false),
            lies: whereabouts(self.view, here).said,
            // Nobody is asked about the keys of a row: whoever looks at it says it anew.
            contradicts: entry
                .fields
                .iter()
                .any(|(field, held)| field != Part::order && held.contradicts()),
            struck: self.struck(entry),
        }
    }

    fn end(&self, entry: &Entry) -> Option<FindingEnd> {
        let claim = entry.fields.get(Finding::ended)?.claims().first()?;
        let end = End::of(claim.value.as_ref()?.line().filter(|kept| !kept.is_empty())?);
        Some(FindingEnd {
            word: end.word().to_owned(),
            job: self.linked(Kind::Job, end.job().cloned()),
            words: end.words().map(shown),
            holds: end.holds(self.view, entry),
            by: self.by(&claim.stamp),
        })
    }

    /// The usual cautions of a finding that somebody says can hurt, by what was seen and what on.
    pub(crate) fn cautions(&self, entry: &Entry) -> Vec<reckon::Note> {
        if !said_to_hurt(entry) {
            return Vec::new();
        }
        let about = across::about(entry).and_then(|about| about.name());
        let about = about.map_or_else(String::new, |about| self.named(&about).title);
        cautions::notes(&[&about, across::what(entry).unwrap_or_default()])
    }

    pub(crate) fn finding(&self, entry: &Entry) -> Option<FindingLine> {
        let finding = Finding::read(entry);
        Some(FindingLine {
            cautions: self.cautions(entry),
            open: Finding::of(entry).is_some_and(|finding| {
                let sound = finding.how_bad() == Some(HowBad::Sound);
                finding.stands() && !sound && !ended(self.view, finding)
            }),
            suspected: Finding::of(entry)
                .is_some_and(|finding| finding.stands() && is_suspected(self.view, finding)),
            how_sure: finding.how_sure,
            came_by: finding.came_by,
            end: self.end(entry),
            end_contradicts: entry
                .fields
                .get(Finding::ended)
                .is_some_and(record::Held::contradicts),
            about: self.named(&finding.about?),
            id: finding.id,
            what: called(finding.what.as_deref()),
            how_bad: finding.how_bad,
            on: finding.on,
            by: self.by(&entry.made),
            struck: self.struck(entry),
        })
    }

    pub(crate) fn hold(&self, entry: &Entry) -> HoldLine {
        let hold = HoldPoint::read(entry);
        let before = seen_before(entry);
        HoldLine {
            id: hold.id,
            what: called(hold.what.as_deref()),
            how: hold.how.unwrap_or(How::Seen),
            state: hold.state.unwrap_or(HoldState::Open),
            open: entry.stands() && is_open(entry),
            wanted: hold.wanted,
            limit: hold.limit.map(|id| self.named(&Ref::new(Kind::Limit, id))),
            met_how: hold.met_how.filter(|_| before.is_none()),
            seen_before: before.map(|claim| SeenBefore {
                words: claim
                    .value
                    .as_ref()
                    .and_then(record::Scalar::line)
                    .map_or_else(String::new, shown),
                // Beside what it was met by in one change, the day that was said; else when it was written.
                on: hold.on.filter(|_| {
                    entry
                        .claims(HoldPoint::on)
                        .iter()
                        .any(|on| on.stamp.change == claim.stamp.change)
                }),
                by: self.by(&claim.stamp),
            }),
            by_what: MetBy::shown(entry)
                .and_then(|by| by.name())
                .map(|name| self.named(&name)),
            not_by: Vec::new(),
            asks: Vec::new(),
            counted: match MetBy::shown(entry) {
                Some(MetBy::Counted(number)) => Some(number),
                Some(_) => None,
                None => counted_otherwise(entry).map(|(counted, _)| counted),
            },
            state_by: self.state_by(entry),
            by: self.by(&entry.made),
            struck: self.struck(entry),
        }
    }

    /// Who has a photo that is not here. Whoever entered it had it then, and is taken to have it until it says
    /// otherwise.
    fn missing(&self, known: &Missing, entry: &Entry) -> MissingPhoto {
        let mut devices: Vec<&Id> = known
            .said
            .iter()
            .filter(|(_, held)| **held)
            .map(|(id, _)| id)
            .collect();
        if let Some(by) = &entry.made.device
            && !known.said.contains_key(by)
        {
            devices.push(by);
        }
        let mut held_by: Vec<String> = devices
            .into_iter()
            .filter(|id| Some(*id) != self.photos.this.as_ref())
            .filter(|id| {
                let device = self.view.one::<Device>(id);
                device.is_some_and(|device| device.stands() && device.revoked().is_none())
            })
            .map(|id| {
                let keeper = self
                    .view
                    .keeper_of(id)
                    .map(|keeper| keeper_name(self.view, &keeper));
                whose(keeper.as_deref().unwrap_or_default(), &device_name(self.view, id))
            })
            .collect();
        held_by.sort();
        MissingPhoto {
            held_by,
            small: known.small,
            asked: known.asked,
            waits: self.photos.wait && !known.asked,
        }
    }

    /// The photos on which something is to be seen, by day and id.
    pub(crate) fn pictures(&self, about: &Ref) -> Vec<PhotoLine> {
        let finding = (about.kind == Kind::Finding)
            .then(|| self.view.one::<Finding>(&about.id))
            .flatten();
        let named: BTreeSet<Id> = finding
            .into_iter()
            .flat_map(|finding| finding.photos())
            .filter_map(|photo| photo.id())
            .collect();
        let shows = |photo: &PhotoRef<'_>| {
            photo.about().is_some_and(|mention| mention.is(about)) || named.contains(photo.id())
        };
        let shown = self.view.naming(about, Kind::Photo);
        let shown: BTreeSet<Id> = shown.map(|entry| entry.id.clone()).collect();
        let mut found: Vec<PhotoLine> = shown
            .union(&named)
            .filter_map(|id| self.view.one::<Photo>(id))
            .filter(shows)
            .map(|photo| self.photo(photo.entry()))
            .collect();
        found.sort_by(|a, b| (&a.on, &a.id).cmp(&(&b.on, &b.id)));
        found
    }

    pub(crate) fn photo(&self, entry: &Entry) -> PhotoLine {
        let photo = Photo::read(entry);
        let hash = photo.hash.unwrap_or_default();
        let original = PhotoHash::from_hex(&hash);
        let stands = original.map_or(Stands::Missing(Missing::default()), |original| {
            self.photos.stands(original)
        });
        let (here, missing) = match &stands {
            Stands::Here(here) => (Some(*here), None),
            Stands::Missing(known) => (None, Some(self.missing(known, entry))),
        };
        PhotoLine {
            id: photo.id,
            missing,
            here: here.is_some(),
            not_drawn: here.is_some_and(|here| !here.small),
            width: here.map(|here| here.width),
            height: here.map(|here| here.height),
            hash,
            caption: photo.caption,
            about: photo.about.map(|about| self.named(&about)),
            stage: photo.stage,
            on: photo.on,
            by: self.by(&entry.made),
            struck: self.struck(entry),
        }
    }
}
