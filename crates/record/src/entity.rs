//! The table of kinds: one declaration a kind yields the typed reading, borrowed and owned, the fields an edit may give, and
//! the field list that checks, schemas, read tables, forms and pages go by: a field's label stands beside it. No behaviour lives here, and no rule.
//!
//! Code that knows the kind reads a field through the kind's view, never by the field's name as text:
//! ```
//! # use record::entities::Part;
//! # use record::{Entity, Entry, Id, View};
//! /// What the assembly of a part is called; nothing where it has none, or none that is there.
//! fn assembly_of<'a>(view: &'a View, entry: &'a Entry) -> Option<&'a str> {
//!     let part = Part::of(entry)?;
//!     view.one::<record::entities::Assembly>(&part.assembly()?.id()?)?.name()
//! }
//! ```

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
    /// An entry of this kind, read where it lies.
    type Ref<'a>: Copy;
    /// The view of an entry; nothing where it is of another kind.
    fn of(entry: &Entry) -> Option<Self::Ref<'_>>;
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

macro_rules! entity {
    (@required must) => { true };
    (@required may) => { false };
    ($(#[doc = $says:literal])+ $name:ident / $fields:ident / $view:ident {
        $($(#[doc = $field_says:literal])+ $need:ident $field:ident: $shape:ty = $label:literal,)+
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

        $(#[doc = $says])+
        ///
        /// It reads the entry where it lies: the value shown, nothing where it was never put or was emptied.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub struct $view<'a>(&'a $crate::entry::Entry);

        impl<'a> $view<'a> {
            /// Which one.
            #[must_use]
            pub fn id(self) -> &'a $crate::name::Id {
                &self.0.id
            }
            /// Whether it stands, that is, was not struck out.
            #[must_use]
            pub fn stands(self) -> bool {
                self.0.stands()
            }
            /// The entry, with every claim and every stamp.
            #[must_use]
            pub fn entry(self) -> &'a $crate::entry::Entry {
                self.0
            }
            $(
                $(#[doc = $field_says])+
                #[must_use]
                pub fn $field(self) -> <$shape as $crate::field::Field>::Shown<'a> {
                    <$shape as $crate::field::Field>::shown(self.0, $name::$field)
                }
            )+
        }

        #[cfg(test)]
        impl $view<'_> {
            /// Every field, for the test of the views: as the view reads it, made a value of its own, and as the owned
            /// reading has it.
            fn sides(self) -> Vec<(&'static str, [serde_json::Value; 3])> {
                use $crate::entity::tests::{Raw as _, json};
                let read = <$name as $crate::entity::Entity>::read(self.0);
                assert_eq!((&read.id, read.stands), (self.id(), self.stands()));
                vec![$((
                    stringify!($field),
                    [
                        self.$field().raw(),
                        json(<$shape as $crate::field::Field>::owned(self.$field())),
                        json(read.$field),
                    ],
                )),+]
            }
        }

        #[cfg(test)]
        impl $name {
            /// Every field of an entry of this kind, for the test of the views.
            pub(crate) fn sides_of(entry: &$crate::entry::Entry) -> Option<Vec<(&'static str, [serde_json::Value; 3])>> {
                <$name as $crate::entity::Entity>::of(entry).map($view::sides)
            }
        }

        // Spelled as the fields are, since a declaration has no other spelling of them.
        #[allow(non_upper_case_globals)]
        impl $name {
            $(
                /// The name of the field, for whoever asks for its claims or puts a value.
                ///
                $(#[doc = $field_says])+
                pub const $field: &'static str = stringify!($field);
            )+
        }

        impl $crate::entity::Entity for $name {
            const KIND: $crate::name::Kind = $crate::name::Kind::$name;
            const FIELDS: &'static [$crate::field::FieldDef] = &[$($crate::field::FieldDef {
                name: stringify!($field),
                label: $label,
                says: concat!($($field_says),+),
                shape: <$shape as $crate::field::Field>::SHAPE,
                required: entity!(@required $need),
            }),+];
            type Fields = $fields;
            type Ref<'a> = $view<'a>;
            fn of(entry: &$crate::entry::Entry) -> Option<$view<'_>> {
                (entry.kind == <Self as $crate::entity::Entity>::KIND).then_some($view(entry))
            }
            fn read(entry: &$crate::entry::Entry) -> Self {
                Self {
                    id: entry.id.clone(),
                    stands: entry.stands(),
                    $($field: <$shape as $crate::field::Field>::read(entry, $name::$field),)+
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

#[cfg(test)]
pub(crate) mod tests;
