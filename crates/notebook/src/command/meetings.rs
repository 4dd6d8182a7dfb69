//! Beginning, joining and meeting by carry file.

use record::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use zeroize::Zeroizing;

use super::asked::Command;
use crate::carrying::Carried;
use crate::desk::Desk;
use crate::long::at_once;
use crate::long::carry::Carry;
use crate::long::rebuild::RebuildWork;
use crate::long::size::Sizing;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::sealing::{CarryFile, CarryWish};
use crate::wire::{CarryOut, CarrySize, Meeting, RebuildReport, RecordLine};

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
        desk.notebook()
            .start_record(&self.car, &self.keeper, self.device_name.as_deref())
    }
}

/// Joins a record from a carry file that holds everything.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct JoinRecord {
    /// The carry file.
    pub(crate) file: String,
    /// Whose device this is: a keeper of the record by name, or a new one.
    pub(crate) keeper: String,
    /// What this device is called.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) device_name: Option<String>,
    /// What the file is sealed to, where it is sealed to a passphrase.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) passphrase: Option<String>,
}

impl Command for JoinRecord {
    type Reply = RecordLine;
    const NAME: &'static str = "join_record";
    const SAYS: &'static str = "Joins a record from a carry file that holds everything.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<RecordLine, Refusal> {
        let passphrase = self.passphrase.map(Zeroizing::new);
        desk.notebook().join_record(
            &self.file,
            &self.keeper,
            self.device_name.as_deref(),
            passphrase.as_ref().map(|words| words.as_str()),
        )
    }
}

impl JoinRecord {
    /// Its words alone; the photos are left in the file.
    pub(crate) fn words(self, notebook: &mut Notebook) -> Result<(RecordLine, CarryFile), Refusal> {
        let passphrase = self.passphrase.map(Zeroizing::new);
        notebook.join_words(
            &self.file,
            &self.keeper,
            self.device_name.as_deref(),
            passphrase.as_ref().map(|words| words.as_str()),
        )
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
    pub(crate) file: Option<String>,
    /// Whether photos go along; they do where nothing is said.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) photos: Option<bool>,
    /// Seal it to this, for a newcomer; left out, it is sealed to the record's devices.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) passphrase: Option<String>,
    /// Leave it open, so that whoever finds it can read it.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) open: Option<bool>,
}

impl Command for CarryOutFile {
    type Reply = CarryOut;
    const NAME: &'static str = "carry_out";
    const SAYS: &'static str = "Writes a carry file: what one device lacks, or everything.";
    // At most it says in the record by which key this device is known.
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<CarryOut, Refusal> {
        let record = desk.row()?.id;
        at_once(desk.notebook(), self.long(&record))
    }
}

impl CarryOutFile {
    /// The file on its way out.
    pub(crate) fn long(self, record: &Id) -> Carry {
        let wish = CarryWish {
            to: self.to,
            file: self.file,
            photos: self.photos.unwrap_or(true),
            passphrase: self.passphrase.map(Zeroizing::new),
            open: self.open.unwrap_or(false),
        };
        Carry::new(record, wish)
    }
}

/// How long a carry file would be.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct CarrySizeOf {
    /// The device it would be for; left out, it would hold everything.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) to: Option<Id>,
    /// Whether photos would go along; they would where nothing is said.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) photos: Option<bool>,
}

impl Command for CarrySizeOf {
    type Reply = CarrySize;
    const NAME: &'static str = "carry_size";
    const SAYS: &'static str = "How long a carry file would be: what one device lacks, or everything.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<CarrySize, Refusal> {
        let record = desk.row()?.id;
        at_once(desk.notebook(), self.long(&record))
    }
}

impl CarrySizeOf {
    /// The size that is being worked out.
    pub(crate) fn long(self, record: &Id) -> Sizing {
        let wish = CarryWish {
            to: self.to,
            photos: self.photos.unwrap_or(true),
            ..CarryWish::default()
        };
        Sizing::new(record, wish)
    }
}

/// Takes a carry file in.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct CarryInFile {
    /// The carry file.
    pub(crate) file: String,
    /// What it is sealed to, where it is sealed to a passphrase.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) passphrase: Option<String>,
    /// Lets devices in that the record does not know yet: a keeper has said that the file is theirs.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) welcome: Option<bool>,
}

impl Command for CarryInFile {
    type Reply = Meeting;
    const NAME: &'static str = "carry_in";
    const SAYS: &'static str = "Takes a carry file in, into the record it belongs to.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Meeting, Refusal> {
        let named = desk.named().map(str::to_owned);
        let passphrase = self.passphrase.map(Zeroizing::new);
        desk.notebook().carry_in(
            named.as_deref(),
            &self.file,
            passphrase.as_ref().map(|words| words.as_str()),
            self.welcome.unwrap_or(false),
        )
    }
}

impl CarryInFile {
    /// Its words alone; the photos are left in the file.
    pub(crate) fn words(self, notebook: &mut Notebook, record: Option<&str>) -> Result<Carried, Refusal> {
        let passphrase = self.passphrase.map(Zeroizing::new);
        notebook.carry_words_in(
            record,
            &self.file,
            passphrase.as_ref().map(|words| words.as_str()),
            self.welcome.unwrap_or(false),
        )
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
        Notebook::rebuild(desk.notebook(), &record)
    }
}

impl Rebuild {
    /// The rows on their way to being made anew.
    pub(crate) fn long(self, record: &Id) -> RebuildWork {
        RebuildWork::of(record)
    }
}
