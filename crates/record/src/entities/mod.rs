//! The kinds of a record, each as a table of its fields. Names are those of the trade and of the product's
//! word list; a new field is one line here and nothing elsewhere.

mod bench;
mod people;
mod stores;
mod things;
mod work;

pub use bench::{
    KeptAnswer, KeptAnswerFields, KeptAnswerRef, Tightened, TightenedFields, TightenedRef, TighteningRun,
    TighteningRunFields, TighteningRunRef,
};
pub use people::{
    Car, CarFields, CarRef, Device, DeviceFields, DeviceRef, Keeper, KeeperFields, KeeperRef, Sheet,
    SheetFields, SheetRef,
};
pub use stores::{Container, ContainerFields, ContainerRef, Order, OrderFields, OrderRef};
pub use things::{
    Assembly, AssemblyFields, AssemblyRef, Finding, FindingFields, FindingRef, Part, PartFields, PartRef,
    Photo, PhotoFields, PhotoRef,
};
pub use work::{
    HoldPoint, HoldPointFields, HoldPointRef, Instrument, InstrumentFields, InstrumentRef, Job, JobFields,
    JobRef, Limit, LimitFields, LimitRef, Reading, ReadingFields, ReadingRef, Settlement, SettlementFields,
    SettlementRef, Try, TryFields, TryRef, Waiver, WaiverFields, WaiverRef,
};
