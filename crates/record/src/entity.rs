//! The table of kinds: one declaration a kind yields the typed reading, the fields an edit may give, and the
//! field list that checks, schemas and read tables go by. No behaviour lives here, and no rule.

use crate::entry::{Entry, Scalar};
use crate::field::{FieldDef, Misfit, Shape, Stored};
use crate::name::Kind;

/// A kind of entity, typed.
pub trait Entity: Sized {
    /// Which kind.
    const KIND: Kind;
    /// Its fields, in the order they are shown.
    const FIELDS: &'static [FieldDef];
    /// What an edit may give.
    type Fields: Fields;
    /// Reads an entry of this kind.
    fn read(entry: &Entry) -> Self;
}

/// What was given for the fields of one entity.
pub trait Fields {
    /// The fields mentioned, each with the value to store.
    ///
    /// # Errors
    /// The first field whose value does not fit, and why.
    fn stored(&self) -> Result<Vec<(FieldDef, Stored)>, (&'static str, Misfit)>;
}

/// How an emptied field of a shape is stored.
pub(crate) fn emptied(shape: Shape) -> Stored {
    match shape {
        Shape::Prose => Stored::Prose(String::new()),
        Shape::Set(_) => Stored::Set(Vec::new()),
        _ => Stored::Scalar(None::<Scalar>),
    }
}

/// The field list of a kind known only at run time.
#[must_use]
pub fn fields_of(kind: Kind) -> &'static [FieldDef] {
    use crate::entities as e;
    match kind {
        Kind::Car => e::Car::FIELDS,
        Kind::Keeper => e::Keeper::FIELDS,
        Kind::Device => e::Device::FIELDS,
        Kind::Assembly => e::Assembly::FIELDS,
        Kind::Part => e::Part::FIELDS,
        Kind::Finding => e::Finding::FIELDS,
        Kind::Job => e::Job::FIELDS,
        Kind::Try => e::Try::FIELDS,
        Kind::Sheet => e::Sheet::FIELDS,
        Kind::Photo => e::Photo::FIELDS,
        Kind::Container => e::Container::FIELDS,
        Kind::Limit => e::Limit::FIELDS,
        Kind::Instrument => e::Instrument::FIELDS,
        Kind::Reading => e::Reading::FIELDS,
        Kind::Order => e::Order::FIELDS,
        Kind::HoldPoint => e::HoldPoint::FIELDS,
        Kind::Waiver => e::Waiver::FIELDS,
        Kind::Settlement => e::Settlement::FIELDS,
        Kind::KeptAnswer => e::KeptAnswer::FIELDS,
        Kind::TighteningRun => e::TighteningRun::FIELDS,
        Kind::Tightened => e::Tightened::FIELDS,
    }
}

/// One field of a kind known only at run time.
#[must_use]
pub fn field_of(kind: Kind, name: &str) -> Option<&'static FieldDef> {
    fields_of(kind).iter().find(|field| field.name == name)
}

macro_rules! entity {
    (@required must) => { true };
    (@required may) => { false };
    ($(#[doc = $says:literal])+ $name:ident / $fields:ident {
        $($(#[doc = $field_says:literal])+ $need:ident $field:ident: $shape:ty,)+
    }) => {
        $(#[doc = $says])+
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub struct $name {
            /// Which one.
            pub id: $crate::name::Id,
            /// Whether it stands, that is, was not struck out.
            pub stands: bool,
            $($(#[doc = $field_says])+ pub $field: Option<<$shape as $crate::field::Field>::Value>,)+
        }

        /// What an edit gives: a field left out stays, `null` empties it.
        #[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema, ts_rs::TS)]
        #[serde(default, deny_unknown_fields)]
        pub struct $fields {
            $(
                $(#[doc = $field_says])+
                #[serde(skip_serializing_if = "Given::leaves")]
                #[ts(optional = nullable)]
                pub $field: $crate::field::Given<<$shape as $crate::field::Field>::Value>,
            )+
        }

        impl $crate::entity::Entity for $name {
            const KIND: $crate::name::Kind = $crate::name::Kind::$name;
            const FIELDS: &'static [$crate::field::FieldDef] = &[$($crate::field::FieldDef {
                name: stringify!($field),
                says: concat!($($field_says),+),
                shape: <$shape as $crate::field::Field>::SHAPE,
                required: entity!(@required $need),
            }),+];
            type Fields = $fields;
            fn read(entry: &$crate::entry::Entry) -> Self {
                Self {
                    id: entry.id.clone(),
                    stands: entry.stands(),
                    $($field: <$shape as $crate::field::Field>::read(entry, stringify!($field)),)+
                }
            }
        }

        impl $crate::entity::Fields for $fields {
            fn stored(&self) -> Result<Vec<($crate::field::FieldDef, $crate::field::Stored)>, (&'static str, $crate::field::Misfit)> {
                let mut out = Vec::new();
                let mut defs = <$name as $crate::entity::Entity>::FIELDS.iter();
                $(
                    let def = defs.next();
                    let value = match &self.$field {
                        $crate::field::Given::Leave => None,
                        $crate::field::Given::Clear => Some($crate::entity::emptied(<$shape as $crate::field::Field>::SHAPE)),
                        $crate::field::Given::Put(value) => Some(
                            <$shape as $crate::field::Field>::store(value).map_err(|why| (stringify!($field), why))?,
                        ),
                    };
                    if let (Some(def), Some(value)) = (def, value) {
                        out.push((*def, value));
                    }
                )+
                Ok(out)
            }
        }
    };
}
pub(crate) use entity;
