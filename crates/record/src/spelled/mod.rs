//! What single values say: how a finding ended, where a part lies, by what a hold point was met, whose a day sheet is. Each is one
//! scalar with a spelling of its own, so that no merge puts one keeper's word beside the other's. Nothing here looks at a record.

mod end;
mod lies;
mod met_by;
mod sheet;

pub use end::{End, Ending};
pub use lies::{Lies, LiesIn};
pub use met_by::MetBy;
pub use sheet::{sheet_id, sheet_parts};
