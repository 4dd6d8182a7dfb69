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
