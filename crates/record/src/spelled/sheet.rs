//! The name of a day sheet, which says whose it is and of which day. It lays no sheet and opens none.

use crate::name::Id;
use crate::time::Day;

/// The id of a keeper's sheet of a day: `2031-03-01_0190…`. No stroke stands in it, since other implementations write
/// the path to an object with strokes.
#[must_use]
pub fn sheet_id(day: Day, keeper: &Id) -> Option<Id> {
    format!("{day}_{keeper}").parse().ok()
}

/// The day and the keeper of a sheet's id.
#[must_use]
pub fn sheet_parts(id: &Id) -> Option<(Day, Id)> {
    let (day, keeper) = id.as_str().split_once('_')?;
    Some((day.parse().ok()?, keeper.parse().ok()?))
}
