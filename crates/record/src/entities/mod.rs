//! The kinds of a record, each as a table of its fields. Names are those of the trade and of the product's
//! word list; a new field is one line here and nothing elsewhere.

mod bench;
mod people;
mod stores;
mod things;
mod work;

// Each kind brings its type, what an edit gives of it and its view.
pub use bench::*;
pub use people::*;
pub use stores::*;
pub use things::*;
pub use work::*;

use crate::entity::Entity as _;
use crate::field::FieldDef;
use crate::name::{Kind, each_kind};

macro_rules! fields_of_each {
    ($($name:ident,)+) => {
        /// The field list of a kind known only at run time.
        #[must_use]
        pub fn fields_of(kind: Kind) -> &'static [FieldDef] {
            match kind { $(Kind::$name => $name::FIELDS,)+ }
        }
    };
}
each_kind!(fields_of_each);

/// One field of a kind known only at run time.
#[must_use]
pub fn field_of(kind: Kind, name: &str) -> Option<&'static FieldDef> {
    fields_of(kind).iter().find(|field| field.name == name)
}
