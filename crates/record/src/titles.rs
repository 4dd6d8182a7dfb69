//! What an entry is called among others of a record: one that several bear says where each of them is. It decides nothing.

use crate::entry::Entry;
use crate::home::within;
use crate::name::Kind;
use crate::title::{shortened, title};
use crate::view::View;

/// Titles among the entries of a view: one that several bear says where each of them is.
#[derive(Debug)]
pub struct Titles<'v> {
    view: &'v View,
}

impl<'v> Titles<'v> {
    /// Of a view.
    #[must_use]
    pub fn of(view: &'v View) -> Self {
        Self { view }
    }

    /// What an entry is called here: `Gasket, in Gearbox lid` where there is another gasket.
    #[must_use]
    pub fn title(&self, entry: &Entry) -> String {
        let title = title(entry);
        let Some(within) = within(self.view, entry) else {
            return title;
        };
        if !IN_AN_ASSEMBLY.contains(&entry.kind) {
            return title;
        }
        let alike = self.view.called(entry.kind, &title);
        if alike.filter(|one| one.stands()).nth(1).is_none() {
            return title;
        }
        let lies = if matches!(entry.kind, Kind::Finding | Kind::Reading) {
            "on"
        } else {
            "in"
        };
        shortened(&format!("{title}, {lies} {}", crate::title::title(within)))
    }
}

/// The kinds that stand in an assembly, and may be called alike in two.
const IN_AN_ASSEMBLY: [Kind; 6] = [
    Kind::Assembly,
    Kind::Part,
    Kind::Finding,
    Kind::Job,
    Kind::HoldPoint,
    Kind::Reading,
];
