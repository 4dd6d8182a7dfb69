//! By what a hold point was met, as its one scalar says. Whether that still holds is asked of the whole record, elsewhere.

use crate::name::{Id, Kind, Ref};

/// The word before the colon of a count.
const COUNTED: &str = "counted";

/// By what a hold point was met, besides words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MetBy {
    /// So many were counted.
    Counted(i32),
    /// This reading.
    Reading(Id),
    /// This photo.
    Photo(Id),
}

impl MetBy {
    /// From the stored text; nothing for what a newer version says.
    #[must_use]
    pub fn of(kept: &str) -> Option<Self> {
        if let Some((COUNTED, number)) = kept.split_once(':') {
            return number.parse().ok().map(Self::Counted);
        }
        let name: Ref = kept.parse().ok()?;
        match name.kind {
            Kind::Reading => Some(Self::Reading(name.id)),
            Kind::Photo => Some(Self::Photo(name.id)),
            _ => None,
        }
    }

    /// As it is stored.
    #[must_use]
    pub fn kept(&self) -> String {
        match self {
            Self::Counted(number) => format!("{COUNTED}:{number}"),
            Self::Reading(id) => Ref::new(Kind::Reading, id.clone()).to_string(),
            Self::Photo(id) => Ref::new(Kind::Photo, id.clone()).to_string(),
        }
    }

    /// The entry that it was met by.
    #[must_use]
    pub fn name(&self) -> Option<Ref> {
        match self {
            Self::Counted(_) => None,
            Self::Reading(id) => Some(Ref::new(Kind::Reading, id.clone())),
            Self::Photo(id) => Some(Ref::new(Kind::Photo, id.clone())),
        }
    }
}
