//! What a record is: entities, edits, conflicts, and the rules that read it.
//!
//! Pure: time, randomness and ids are arguments; there is no I/O and no clock in here. It is the only user of
//! Automerge, inside `document`, and no Automerge id, path or head crosses its edge: a change is named by a
//! [`ChangeId`], bytes go in and bytes come out.

pub mod document;
pub mod edit;
pub mod entities;
pub mod entity;
pub mod entry;
pub mod field;
pub mod inside;
pub mod members;
pub mod name;
pub mod refusal;
pub mod remedy;
pub mod rules;
mod shown;
pub mod tightening;
pub mod time;
pub mod trade;
pub mod tree;
pub mod verdict;
pub mod words;

pub use document::{
    Against, Alone, BadClock, BadRecord, Clock, Digest, Logged, Record, Refused, Seat, Sifted, Touched,
    Twice, Written, alone, open_chunks,
};
pub use edit::{Edit, Ids};
pub use entity::{Entity, Fields};
pub use entry::{ChangeId, Claim, Entry, Held, STRUCK, Scalar, Stamp, View};
pub use field::Given;
pub use name::{Id, Kind, Ref};
pub use refusal::Refusal;
pub use shown::shown;
pub use time::{Day, Moment};
pub use tree::Tree;
