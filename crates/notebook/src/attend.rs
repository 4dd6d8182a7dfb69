//! Somebody begins to look after the notebook in the background, or ends it. Who that is and what they do is theirs.

use std::sync::Arc;

use crate::background::{LooksAtDrops, Meets, Places};
use crate::notebook::Notebook;
use crate::refusal::Refusal;

impl Notebook {
    /// Somebody looks after meetings from now on, or nobody does any more; whoever did so far is handed back.
    pub fn attend_meetings(
        &mut self,
        by: Option<Arc<dyn Meets<Notebook>>>,
    ) -> Option<Arc<dyn Meets<Notebook>>> {
        std::mem::replace(&mut self.live, by)
    }

    /// Whether somebody looks after meetings.
    #[must_use]
    pub fn has_meetings_attended(&self) -> bool {
        self.live.is_some()
    }

    /// Somebody looks at drops from now on, or nobody does any more; whoever did so far is handed back.
    pub fn attend_drops(&mut self, by: Option<Arc<dyn LooksAtDrops>>) -> Option<Arc<dyn LooksAtDrops>> {
        std::mem::replace(&mut self.drops, by)
    }

    /// Whether somebody looks at drops.
    #[must_use]
    pub fn has_drops_attended(&self) -> bool {
        self.drops.is_some()
    }

    /// A machine lends the places that drops may lie in.
    pub fn lend_places(&mut self, places: Box<dyn Places>) {
        self.places = places;
    }

    /// The meetings that are looked after here; refused where nobody does.
    pub(crate) fn attended(&self) -> Result<Arc<dyn Meets<Notebook>>, Refusal> {
        if self.live.is_none() {
            self.is_ready()?;
        }
        let none = || {
            Refusal::input(
                "not_attended",
                "no other device can be met from here: open the window or serve, or pair from the shell",
            )
        };
        self.live.clone().ok_or_else(none)
    }
}
