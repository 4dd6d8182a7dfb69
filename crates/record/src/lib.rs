//! What a record is: entities, edits, conflicts, and the rules that read it.
//!
//! Pure: time, randomness and ids are arguments; there is no I/O and no clock in here. It is the only user of
//! Automerge, inside `document`, and no Automerge id, path or head crosses its edge: a change is named by a
//! [`ChangeId`], bytes go in and bytes come out.
//!
//! Two devices write apart, meet, and read what came of it as a mechanic would:
//! ```
//! use record::entities::{Part, PartFields};
//! use record::rules::{Rule, points};
//! use record::words::Decision;
//! use record::{Edit, Given, Id, Ids, Kind, Moment, Record, Seat};
//!
//! /// Ids are the caller's: here they are counted, so that the same comes of it every time.
//! struct Counted(u128);
//! impl Ids for Counted {
//!     fn fresh(&mut self) -> uuid::Uuid {
//!         self.0 += 1;
//!         uuid::Uuid::from_u128(self.0)
//!     }
//! }
//!
//! let mut ids = Counted(0);
//! let [mut parent, mut child] =
//!     [1, 2].map(|device| Record::begin(Seat { device: uuid::Uuid::from_u128(device), run: [0; 8] }).unwrap());
//!
//! let part: Id = Id::from_uuid(ids.fresh());
//! let crank = Edit::add::<Part>(part.clone(), &PartFields { name: "crankshaft".into(), ..Default::default() });
//! parent.edit(&crank?, Moment::from_seconds(1_900_000_000), &mut ids)?;
//!
//! // A meeting: each takes the changes that the other holds and it does not.
//! let meet = |one: &mut Record, two: &mut Record| {
//!     let bytes = |of: &Record, known: &Record| -> Vec<Vec<u8>> {
//!         of.changes_since(&known.heads()).into_iter().map(|(_, bytes)| bytes).collect()
//!     };
//!     let (there, back) = (bytes(one, two), bytes(two, one));
//!     two.receive(&there).unwrap();
//!     one.receive(&back).unwrap();
//! };
//! meet(&mut parent, &mut child);
//! assert_eq!(child.view().one::<Part>(&part).unwrap().name(), Some("crankshaft"));
//!
//! // Apart, one wants it ground and the other put back as it is.
//! let decide = |decision| Edit::change::<Part>(part.clone(), &PartFields { decision: Given::Put(decision), ..Default::default() });
//! parent.edit(&decide(Decision::Recondition)?, Moment::from_seconds(1_900_000_060), &mut ids)?;
//! child.edit(&decide(Decision::Reuse)?, Moment::from_seconds(1_900_000_060), &mut ids)?;
//! meet(&mut parent, &mut child);
//!
//! // Both records are the same, and neither hides what the other keeper wrote.
//! assert_eq!(parent.digest(), child.digest());
//! let open = points(child.view(), child.ledger());
//! assert_eq!(open[0].rule, Rule::TwoValues);
//! // One of them settles it, and it is settled for both.
//! let settle = Edit::Settle { point: open[0].id.clone(), choice: open[0].sides[0].key.clone(), why: None };
//! child.edit(&settle, Moment::from_seconds(1_900_000_120), &mut ids)?;
//! meet(&mut parent, &mut child);
//! assert!(points(parent.view(), parent.ledger()).is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod across;
pub mod alike;
pub mod cautions;
mod checks;
mod closing_check;
pub mod deed;
pub mod deed_said;
pub mod document;
pub mod edit;
pub mod ending;
pub mod entities;
pub mod entity;
pub mod entry;
pub mod field;
mod given;
mod hash;
pub mod holding;
pub mod home;
mod ids;
pub mod inside;
pub mod lies;
mod links;
pub mod measured_again;
pub mod meets;
pub mod members;
pub mod name;
pub mod open;
mod opened;
pub mod own_word;
pub mod past;
pub mod refusal;
pub mod remedy;
pub mod row;
pub mod rules;
pub mod said;
mod several;
mod shown;
pub mod spelled;
mod standing;
mod strokes;
pub mod tightening;
pub mod time;
pub mod title;
pub mod titles;
pub mod trade;
pub mod tree;
pub mod verdict;
mod view;
pub mod words;
mod wrote;

pub use deed::Deed;
pub use document::{
    Against, Alone, BadClock, BadRecord, Clock, Digest, Logged, Record, Refused, Seat, Sifted, Touched,
    Twice, Written, alone, open_chunks,
};
pub use edit::Edit;
pub use entity::{Entity, Fields};
pub use entry::{Claim, Entry, Held, STRUCK, Scalar, Stamp};
pub use field::Given;
pub use hash::{ChangeId, Hex, PhotoHash};
pub use ids::Ids;
pub use links::links_of;
pub use name::{Id, Kind, Link, Mention, Ref};
pub use refusal::Refusal;
pub use shown::{called, printable, shown};
pub use time::{Day, Moment};
pub use tree::Tree;
pub use view::{Lack, View};
