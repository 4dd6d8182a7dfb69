//! What a revoked device wrote later.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::AsidePage;

/// What revoked devices wrote later: set aside, shown, and never merged.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Aside {}

impl Command for Aside {
    type Reply = AsidePage;
    const NAME: &'static str = "aside";
    const SAYS: &'static str = "What revoked devices wrote later: set aside, shown, and never merged.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<AsidePage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().aside(&record)
    }
}
