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

use crate::entity::Entity;
use crate::field::FieldDef;
use crate::name::Kind;

/// The field list of a kind known only at run time.
#[must_use]
pub fn fields_of(kind: Kind) -> &'static [FieldDef] {
    match kind {
        Kind::Car => Car::FIELDS,
        Kind::Keeper => Keeper::FIELDS,
        Kind::Device => Device::FIELDS,
        Kind::Assembly => Assembly::FIELDS,
        Kind::Part => Part::FIELDS,
        Kind::Finding => Finding::FIELDS,
        Kind::Job => Job::FIELDS,
        Kind::Try => Try::FIELDS,
        Kind::Sheet => Sheet::FIELDS,
        Kind::Photo => Photo::FIELDS,
        Kind::Container => Container::FIELDS,
        Kind::Limit => Limit::FIELDS,
        Kind::Instrument => Instrument::FIELDS,
        Kind::Reading => Reading::FIELDS,
        Kind::Order => Order::FIELDS,
        Kind::HoldPoint => HoldPoint::FIELDS,
        Kind::Waiver => Waiver::FIELDS,
        Kind::Settlement => Settlement::FIELDS,
        Kind::KeptAnswer => KeptAnswer::FIELDS,
        Kind::TighteningRun => TighteningRun::FIELDS,
        Kind::Tightened => Tightened::FIELDS,
    }
}

/// One field of a kind known only at run time.
#[must_use]
pub fn field_of(kind: Kind, name: &str) -> Option<&'static FieldDef> {
    fields_of(kind).iter().find(|field| field.name == name)
}
