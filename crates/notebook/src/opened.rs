//! A document that is open, with its points kept up, and those as rows of the read tables. It opens and keeps none.

use record::Record;
use record::rules::{FoundPoints, Point};
use store::PointRow;

use crate::refusal::Refusal;

/// A document in memory, with its points kept up.
pub(crate) struct Opened {
    pub(crate) record: Record,
    pub(crate) points: FoundPoints,
    /// Whether the read tables have these points, as far as this program put them there.
    pub(crate) points_kept: bool,
    /// Whether what this device wrote unsigned was looked for since the record was opened.
    pub(crate) signed: bool,
}

/// Points as rows of the read tables.
pub(crate) fn point_rows(points: &[Point]) -> Result<Vec<PointRow>, Refusal> {
    let row = |point: &Point| {
        let json =
            serde_json::to_string(point).map_err(|error| Refusal::failed("json", error.to_string()))?;
        Ok(PointRow {
            id: point.id.clone(),
            json,
        })
    };
    points.iter().map(row).collect()
}
