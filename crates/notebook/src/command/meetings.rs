//! Beginning, joining and meeting by carry file.

use std::path::PathBuf;

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Command;
use crate::desk::Desk;
use crate::wire::{CarryOut, Meeting, RecordLine};
use crate::{Notebook, RebuildReport, Refusal};

/// Begins the record of a car on this device.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct StartRecord {
    /// What the car is called.
    pub(crate) car: String,
    /// The first keeper's name.
    pub(crate) keeper: String,
    /// What this device is called.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) device_name: Option<String>,
}

impl Command for StartRecord {
    type Reply = RecordLine;
    const NAME: &'static str = "start_record";
    const SAYS: &'static str = "Begins the record of a car on this device.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<RecordLine, Refusal> {
        desk.notebook
            .start_record(&self.car, &self.keeper, self.device_name.as_deref())
    }
}

/// Joins a record from a carry file that holds everything.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct JoinRecord {
    /// The carry file.
    pub(crate) file: PathBuf,
    /// Whose device this is: a keeper of the record by name, or a new one.
    pub(crate) keeper: String,
    /// What this device is called.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) device_name: Option<String>,
}

impl Command for JoinRecord {
    type Reply = RecordLine;
    const NAME: &'static str = "join_record";
    const SAYS: &'static str = "Joins a record from a carry file that holds everything.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<RecordLine, Refusal> {
        desk.notebook
            .join_record(&self.file, &self.keeper, self.device_name.as_deref())
    }
}

/// Writes a carry file for one device, or with everything.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct CarryOutFile {
    /// The device it is for; left out, it holds everything and a newcomer may join by it.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) to: Option<Id>,
    /// Where to write it; left out, into this folder's own `carry`.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) file: Option<PathBuf>,
}

impl Command for CarryOutFile {
    type Reply = CarryOut;
    const NAME: &'static str = "carry_out";
    const SAYS: &'static str = "Writes a carry file: what one device lacks, or everything.";
    // It changes nothing in the record.
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<CarryOut, Refusal> {
        let record = desk.row()?.id;
        desk.notebook
            .carry_out(Some(record.as_str()), self.to.as_ref(), self.file.as_deref())
    }
}

/// Takes a carry file in.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct CarryInFile {
    /// The carry file.
    pub(crate) file: PathBuf,
}

impl Command for CarryInFile {
    type Reply = Meeting;
    const NAME: &'static str = "carry_in";
    const SAYS: &'static str = "Takes a carry file in, into the record it belongs to.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Meeting, Refusal> {
        let named = desk.named().map(str::to_owned);
        desk.notebook.carry_in(named.as_deref(), &self.file)
    }
}

/// Makes the read tables anew from the document.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Rebuild {}

impl Command for Rebuild {
    type Reply = RebuildReport;
    const NAME: &'static str = "rebuild";
    const SAYS: &'static str = "Makes the read tables anew from the document.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<RebuildReport, Refusal> {
        let record = desk.row()?.id;
        Notebook::rebuild(desk.notebook, &record)
    }
}
