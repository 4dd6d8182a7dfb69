//! Under which heading what came is told: the assembly it is in, the car, or what stands in neither. It decides nothing else.

use record::entities::{Settlement, Tightened, Try};
use record::{Entity as _, Entry, Id, Kind, Link, Mention, Ref, View, across, home};

use crate::page::lines::Reader;

/// Where something is told.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Place {
    Sheets,
    Car,
    Assembly(Id),
    /// Photos of which nobody has said yet what they show.
    Unsorted,
    Stores,
    Bench,
    Keepers,
}

impl Place {
    pub(super) fn rank(&self) -> u8 {
        match self {
            Self::Sheets => 0,
            Self::Car => 1,
            Self::Assembly(_) => 2,
            Self::Unsorted => 3,
            Self::Stores => 4,
            Self::Bench => 5,
            Self::Keepers => 6,
        }
    }

    pub(super) fn title(&self, read: &Reader<'_>) -> String {
        match self {
            Self::Sheets => "On the day sheets".to_owned(),
            Self::Car => "The car".to_owned(),
            Self::Assembly(id) => read.named(&Ref::new(Kind::Assembly, id.clone())).title,
            Self::Unsorted => "Photos that do not say yet what they show".to_owned(),
            Self::Stores => "Stores".to_owned(),
            Self::Bench => "Bench".to_owned(),
            Self::Keepers => "Keepers".to_owned(),
        }
    }

    pub(super) fn about(&self) -> Option<Ref> {
        match self {
            Self::Car => Some(Ref::new(Kind::Car, Id::car())),
            Self::Assembly(id) => Some(Ref::new(Kind::Assembly, id.clone())),
            _ => None,
        }
    }

    /// Where an entry is told.
    pub(super) fn of(view: &View, entry: &Entry) -> Self {
        // What it names leads on; another program may have made a ring of that.
        let mut at = entry;
        for _ in 0..8 {
            let next = match at.kind {
                Kind::Assembly => return Self::here(view, &at.name()),
                Kind::Part | Kind::Job | Kind::HoldPoint | Kind::TighteningRun => {
                    return Self::here(view, &at.name());
                }
                Kind::Sheet => return Self::Sheets,
                Kind::Car => return Self::Car,
                Kind::Keeper | Kind::Device => return Self::Keepers,
                Kind::Container => return Self::Stores,
                Kind::Instrument => return Self::Bench,
                Kind::Try => Try::of(at).and_then(|attempt| linked(Kind::Job, attempt.job())),
                Kind::Order => linked(Kind::Part, across::part(at)),
                Kind::Tightened => Tightened::of(at).and_then(|bolt| linked(Kind::TighteningRun, bolt.run())),
                Kind::Settlement => {
                    Settlement::of(at).and_then(|settled| settled.about()?.split(' ').next()?.parse().ok())
                }
                Kind::Waiver => linked(Kind::Assembly, across::assembly(at)),
                // What a kind is about, or where it is, if it says so.
                _ => across::about(at)
                    .and_then(Mention::name)
                    .or_else(|| linked(Kind::Assembly, across::assembly(at))),
            };
            match next.and_then(|name| view.find(&name)) {
                Some(next) => at = next,
                None => return Self::without(at.kind),
            }
        }
        Self::without(entry.kind)
    }

    fn here(view: &View, name: &Ref) -> Self {
        home::assembly_of(view, name).map_or(Self::Car, Self::Assembly)
    }

    fn without(kind: Kind) -> Self {
        match kind {
            Kind::Order => Self::Stores,
            Kind::Photo => Self::Unsorted,
            Kind::Limit | Kind::KeptAnswer | Kind::Reading => Self::Bench,
            Kind::Settlement => Self::Keepers,
            _ => Self::Car,
        }
    }
}

fn linked(kind: Kind, to: Option<Link<'_>>) -> Option<Ref> {
    Some(Ref::new(kind, to?.id()?))
}
