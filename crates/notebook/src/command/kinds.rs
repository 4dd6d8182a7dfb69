//! Adding and changing, for every kind that a keeper enters. The fields are the record's own.

use record::entities as e;
use record::{Edit, Id, Kind, PhotoHash, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Registered};
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::reply::json;

/// What was made or changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct Made {
    /// Its id.
    pub(crate) id: Id,
    /// A reference to it.
    pub(crate) name: Ref,
}

impl Made {
    pub(super) fn of(kind: Kind, id: Id) -> Self {
        Self {
            name: Ref::new(kind, id.clone()),
            id,
        }
    }
}

macro_rules! adding {
    ($($kind:ident $fields:ident: $add:ident $name:literal $says:literal;)+) => {$(
        #[doc = $says]
        #[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
        #[serde(transparent)]
        pub(crate) struct $add(pub(crate) e::$fields);

        impl Command for $add {
            type Reply = Made;
            const NAME: &'static str = $name;
            const SAYS: &'static str = $says;
            const WRITES: bool = true;
            fn run(self, desk: &mut Desk<'_>) -> Result<Made, Refusal> {
                before_adding(desk, Kind::$kind, &self.0)?;
                let id = desk.notebook().fresh_id();
                desk.write(&Edit::add::<e::$kind>(id.clone(), &self.0)?)?;
                Ok(Made::of(Kind::$kind, id))
            }
        }
    )+
        /// Every command that adds one of a kind.
        pub(super) fn adding() -> Vec<Registered> {
            vec![$(Registered::of::<$add>()),+]
        }
    };
}

adding! {
    Keeper KeeperFields: AddKeeper "add_keeper" "Enters another keeper.";
    Assembly AssemblyFields: AddAssembly "add_assembly" "Enters an assembly.";
    Part PartFields: AddPart "add_part" "Enters a part.";
    Finding FindingFields: AddFinding "add_finding" "Enters what was found on a part or assembly.";
    Job JobFields: AddJob "add_job" "Enters work to do.";
    Try TryFields: AddTry "add_try" "Enters one attempt at a job and what came of it.";
    Photo PhotoFields: AddPhoto "add_photo" "Enters a photo whose bytes this device has taken.";
    Container ContainerFields: AddContainer "add_container" "Enters a bag, bin, box or shelf.";
    Limit LimitFields: AddLimit "add_limit" "Enters a wanted value or range with its source.";
    Instrument InstrumentFields: AddInstrument "add_instrument" "Enters what readings are made with.";
    Reading ReadingFields: AddReading "add_reading" "Enters a measured value.";
    Order OrderFields: AddOrder "add_order" "Enters something to find, ask for or buy.";
    HoldPoint HoldPointFields: AddHoldPoint "add_hold_point" "Enters what must be so before an assembly may close.";
    TighteningRun TighteningRunFields: AddTighteningRun "add_tightening_run" "Begins a tightening run: bolts, order and passes.";
}

macro_rules! changing {
    ($($kind:ident $fields:ident: $change:ident $name:literal $says:literal;)+) => {$(
        #[doc = $says]
        #[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
        #[serde(deny_unknown_fields)]
        pub(crate) struct $change {
            /// Which one.
            pub(crate) id: Id,
            /// The fields to change: one left out stays, `null` empties it.
            pub(crate) fields: e::$fields,
        }

        impl Command for $change {
            type Reply = Made;
            const NAME: &'static str = $name;
            const SAYS: &'static str = $says;
            const WRITES: bool = true;
            fn run(self, desk: &mut Desk<'_>) -> Result<Made, Refusal> {
                desk.write(&Edit::change::<e::$kind>(self.id.clone(), &self.fields)?)?;
                Ok(Made::of(Kind::$kind, self.id))
            }
        }
    )+
        /// Every command that changes one of a kind.
        pub(super) fn changing() -> Vec<Registered> {
            vec![$(Registered::of::<$change>()),+]
        }
    };
}

changing! {
    Car CarFields: ChangeCar "change_car" "Changes what is known of the car; its id is 'car'.";
    Device DeviceFields: ChangeDevice "change_device" "Changes a device's name.";
    Keeper KeeperFields: ChangeKeeper "change_keeper" "Changes a keeper.";
    Assembly AssemblyFields: ChangeAssembly "change_assembly" "Changes an assembly; it is closed by 'close_up' only.";
    Part PartFields: ChangePart "change_part" "Changes a part.";
    Finding FindingFields: ChangeFinding "change_finding" "Changes a finding.";
    Job JobFields: ChangeJob "change_job" "Changes a job.";
    Try TryFields: ChangeTry "change_try" "Changes a try.";
    Photo PhotoFields: ChangePhoto "change_photo" "Changes what a photo shows or its caption.";
    Container ContainerFields: ChangeContainer "change_container" "Changes a container.";
    Limit LimitFields: ChangeLimit "change_limit" "Changes a limit.";
    Instrument InstrumentFields: ChangeInstrument "change_instrument" "Changes an instrument.";
    Reading ReadingFields: ChangeReading "change_reading" "Changes a reading.";
    Order OrderFields: ChangeOrder "change_order" "Changes an order.";
    HoldPoint HoldPointFields: ChangeHoldPoint "change_hold_point" "Changes a hold point, or says that it is met.";
    TighteningRun TighteningRunFields: ChangeTighteningRun "change_tightening_run" "Changes a tightening run.";
}

/// A photo is entered only after its bytes are safe on this device.
fn before_adding(desk: &mut Desk<'_>, kind: Kind, fields: &impl Serialize) -> Result<(), Refusal> {
    if kind != Kind::Photo {
        return Ok(());
    }
    let fields = json(fields)?;
    let hash = fields
        .get("hash")
        .and_then(serde_json::Value::as_str)
        .and_then(PhotoHash::from_hex);
    bytes_are_here(desk, hash.as_ref())
}

/// Refuses a photo whose original is not on this device.
pub(super) fn bytes_are_here(desk: &mut Desk<'_>, original: Option<&PhotoHash>) -> Result<(), Refusal> {
    let kept = match original {
        Some(hash) => desk.notebook().store.photo(hash)?,
        None => None,
    };
    kept.map(|_| ()).ok_or_else(no_bytes)
}

/// The refusal of a photo that is entered before its bytes are here.
pub(super) fn no_bytes() -> Refusal {
    Refusal::input(
        "no_photo",
        "hand in the photo's bytes first; then enter it by its hash",
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use record::{Kind, Moment};
    use serde::{Serialize, Serializer, ser};

    use super::before_adding;
    use crate::desk::Desk;
    use crate::notebook::Notebook;
    use crate::source::Source;

    struct Still;

    impl Source for Still {
        fn now(&mut self) -> Moment {
            Moment::from_seconds(1_930_000_000)
        }

        fn random(&mut self) -> [u8; 16] {
            [7; 16]
        }
    }

    /// What cannot be written out.
    struct Unsayable;

    impl Serialize for Unsayable {
        fn serialize<S: Serializer>(&self, _: S) -> Result<S::Ok, S::Error> {
            Err(ser::Error::custom("it cannot be said"))
        }
    }

    #[test]
    fn what_cannot_be_written_out_is_refused_as_that_and_not_as_a_photo_that_is_missing() {
        let mut notebook = Notebook::in_memory(Box::new(Still)).unwrap();
        let mut desk = Desk::new(&mut notebook, None);
        let refused = before_adding(&mut desk, Kind::Photo, &Unsayable).unwrap_err();
        assert_eq!(refused.code, "json");
        let missing = before_adding(&mut desk, Kind::Photo, &serde_json::json!({ "hash": "none" }));
        assert_eq!(missing.unwrap_err().code, "no_photo");
    }
}
