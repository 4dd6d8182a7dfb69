//! What came in while one was away: which comings there are, what one of them brought, and that it was read. They open no document.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::{AwayPage, CamePage};

/// What came in while one was away.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Away {
    /// Only those of which something was not read yet.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) unread: Option<bool>,
}

impl Command for Away {
    type Reply = AwayPage;
    const NAME: &'static str = "away";
    const SAYS: &'static str = "What came in while one was away: each coming, and how much was not read yet.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<AwayPage, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().away(&record, self.unread.unwrap_or(false))
    }
}

/// What one coming brought.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct WhatCame {
    /// Which; the newest where nothing is said.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) coming: Option<u32>,
}

impl Command for WhatCame {
    type Reply = Option<CamePage>;
    const NAME: &'static str = "what_came";
    const SAYS: &'static str = "What one coming brought, by assembly: points to settle first, then who did what. Nothing where nothing came yet.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Option<CamePage>, Refusal> {
        let record = desk.row()?.id;
        let points = desk.points()?;
        desk.notebook().what_came(&record, self.coming, &points)
    }
}

/// Says that a coming was read, as far as it has come.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadComing {
    /// Which.
    pub(crate) coming: u32,
}

impl Command for ReadComing {
    type Reply = Done;
    const NAME: &'static str = "read_coming";
    const SAYS: &'static str = "Says that what one coming brought was read, as far as it has come.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let record = desk.row()?.id;
        desk.notebook().was_read(&record, self.coming)?;
        Ok(Done::YES)
    }
}
