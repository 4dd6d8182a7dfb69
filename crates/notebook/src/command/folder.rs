//! The data folder itself: which device it is, where that is in doubt, and which of its cars is shown; and a passphrase
//! that is proposed. Nothing here writes into a record.

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::passphrase::proposed;
use crate::refusal::Refusal;
use crate::wire::{FolderPage, GivenUp, Proposed, Underway};

/// Says which car this device shows from now on.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChooseRecord {
    /// Which.
    pub(crate) record: Id,
}

impl Command for ChooseRecord {
    type Reply = Done;
    const NAME: &'static str = "choose_record";
    const SAYS: &'static str = "Says which car this device shows from now on.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let row = desk.notebook().meant(Some(self.record.as_str()))?;
        desk.notebook().choose(&row.id)?;
        Ok(Done::YES)
    }
}

/// How the data folder stands.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Folder {}

impl Command for Folder {
    type Reply = FolderPage;
    const NAME: &'static str = "folder";
    const SAYS: &'static str =
        "Whether it is to be said that this data folder is the same device, moved here, or a copy.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<FolderPage, Refusal> {
        desk.notebook().folder_page()
    }
}

/// Says which device this data folder is: the same, moved or restored; or a copy, which becomes a device of its own.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct FolderIs {
    /// Whether it is a copy, beside which the other goes on, or was stolen.
    pub(crate) copy: bool,
    /// What the copy is called.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) device_name: Option<String>,
}

impl Command for FolderIs {
    type Reply = FolderPage;
    const NAME: &'static str = "folder_is";
    const SAYS: &'static str = "Says which device this data folder is: the same, moved here; or a copy, which becomes a device of its own.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<FolderPage, Refusal> {
        if self.copy {
            desk.notebook().folder_is_copy(self.device_name.as_deref())?;
        } else {
            desk.notebook().folder_is_same()?;
        }
        desk.notebook().folder_page()
    }
}

/// Gives up entries that a check tells are gone, where nobody has them any more.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct LetGo {}

impl Command for LetGo {
    type Reply = GivenUp;
    const NAME: &'static str = "let_go";
    const SAYS: &'static str = "Gives up entries that a check tells are gone: it is silent about them from then on. Should a device that has them be met later, they come back all the same.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<GivenUp, Refusal> {
        let says = desk.notebook().store.let_go()?;
        if says.is_empty() {
            let words = "a check tells of nothing that is gone: there is nothing to give up";
            return Err(Refusal::input("nothing_gone", words));
        }
        Ok(GivenUp { says })
    }
}

/// Six words that a file may be sealed to.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Passphrase {}

impl Command for Passphrase {
    type Reply = Proposed;
    const NAME: &'static str = "passphrase";
    const SAYS: &'static str =
        "Proposes six words that a carry file may be sealed to; they are kept nowhere.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Proposed, Refusal> {
        let random = desk.notebook().source.random();
        Ok(Proposed {
            words: proposed(random).to_string(),
        })
    }
}

/// The long work that goes on.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct WhatIsUnderway {}

impl Command for WhatIsUnderway {
    type Reply = Vec<Underway>;
    const NAME: &'static str = "underway";
    const SAYS: &'static str =
        "Lists the long work that goes on: a check, a carry file on its way out, the read tables made anew.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<Underway>, Refusal> {
        Ok(desk.notebook().works.lines())
    }
}

/// Stops long work.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Stop {
    /// Its number.
    pub(crate) number: u32,
}

impl Command for Stop {
    type Reply = Done;
    const NAME: &'static str = "stop";
    const SAYS: &'static str =
        "Stops long work: no file of it is left, and what it had not come to stays as it was.";
    // What is kept is as before by it; it ends what is being done.
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        if desk.notebook().works.stop(self.number) {
            return Ok(Done::YES);
        }
        Err(Refusal::input(
            "not_under_way",
            "that is over already: there is nothing to stop",
        ))
    }
}
