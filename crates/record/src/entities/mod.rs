//! The kinds of a record, each as a table of its fields. Names are those of the trade and of the product's
//! word list; a new field is one line here and nothing elsewhere.

mod bench;
mod people;
mod stores;
mod things;
mod work;

pub use bench::{
    KeptAnswer, KeptAnswerFields, Tightened, TightenedFields, TighteningRun, TighteningRunFields,
};
pub use people::{Car, CarFields, Device, DeviceFields, Keeper, KeeperFields, Sheet, SheetFields};
pub use stores::{Container, ContainerFields, Order, OrderFields};
pub use things::{Assembly, AssemblyFields, Finding, FindingFields, Part, PartFields, Photo, PhotoFields};
pub use work::{
    HoldPoint, HoldPointFields, Instrument, InstrumentFields, Job, JobFields, Limit, LimitFields, Reading,
    ReadingFields, Settlement, SettlementFields, Try, TryFields, Waiver, WaiverFields,
};
