//! The tour that a folder of the demo gives of itself, until it is left. It is this folder's alone: no record holds any of it, and a
//! folder that was not made as a demo has none.

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::Tour;

impl Notebook {
    /// Lays a tour into this folder. Only whoever makes a demo does.
    ///
    /// # Errors
    /// Where it cannot be kept.
    pub fn lay_tour(&self, tour: &Tour) -> Result<(), Refusal> {
        let text =
            serde_json::to_string_pretty(tour).map_err(|error| Refusal::failed("tour", error.to_string()))?;
        Ok(self.store.keep_tour(&text)?)
    }

    /// The tour of this folder; without a step where there is none or it was left. One that was damaged is none: it tells of the demo
    /// and of nothing that anybody wrote.
    pub(crate) fn tour(&self) -> Result<Tour, Refusal> {
        let text = self.store.tour()?.unwrap_or_default();
        Ok(serde_json::from_str(&text).unwrap_or_default())
    }

    /// Leaves it for good; where there is none, nothing is written.
    pub(crate) fn leave_tour(&self) -> Result<(), Refusal> {
        if self.tour()?.steps.is_empty() {
            return Ok(());
        }
        Ok(self.store.keep_tour("")?)
    }
}
