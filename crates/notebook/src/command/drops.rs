//! Drops: where they lie, what a look found, and asking for one. Each command answers at once; looking goes on in the
//! background.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::{DropAheadPage, DropPlace, DropsPage};

/// The drops of this record.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Drops {}

impl Command for Drops {
    type Reply = DropsPage;
    const NAME: &'static str = "drops";
    const SAYS: &'static str =
        "The places through which this record meets other devices, and what was found there.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<DropsPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().drops_page(&record)
    }
}

/// Adds a drop. It is looked at in the background from then on.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct DropAdd {
    /// Where it lies.
    pub(crate) place: DropPlace,
    /// What to call it; left out, by what it lies in.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) name: Option<String>,
    /// Whether photos go through it too.
    pub(crate) photos: bool,
    /// Said once more that a password may go over plain http, where anybody on the way can take it.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) in_the_open: Option<bool>,
}

impl Command for DropAdd {
    type Reply = DropsPage;
    const NAME: &'static str = "drop_add";
    const SAYS: &'static str = "Adds a place through which this record meets other devices.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<DropsPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().drop_add(
            &record,
            self.place,
            self.name.as_deref(),
            self.photos,
            self.in_the_open.unwrap_or(false),
        )?;
        desk.notebook().drops_page(&record)
    }
}

/// Forgets a drop. What lies there stays there.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct DropRemove {
    /// Which: its id or its name.
    pub(crate) drop: String,
}

impl Command for DropRemove {
    type Reply = DropsPage;
    const NAME: &'static str = "drop_remove";
    const SAYS: &'static str = "Forgets a drop; what lies there stays there.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<DropsPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().drop_remove(&record, &self.drop)?;
        desk.notebook().drops_page(&record)
    }
}

/// Asks for a look at a drop, or at all of them, now. It happens in the background.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct DropLook {
    /// Which: its id or its name; left out, all of them.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) drop: Option<String>,
}

impl Command for DropLook {
    type Reply = DropsPage;
    const NAME: &'static str = "drop_look";
    const SAYS: &'static str = "Asks for a look at a drop, or at all of them, in the background.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<DropsPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().drop_look(&record, self.drop.as_deref())?;
        desk.notebook().drops_page(&record)
    }
}

/// How much the next look at a drop would read and write. It is worked out in the background: ask again while it is
/// busy.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct DropAhead {
    /// Which: its id or its name.
    pub(crate) drop: String,
}

impl Command for DropAhead {
    type Reply = DropAheadPage;
    const NAME: &'static str = "drop_ahead";
    const SAYS: &'static str =
        "How much the next look at a drop would read and write; ask again while it is busy.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<DropAheadPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().drop_ahead(&record, &self.drop)
    }
}
