//! The program without a face: one writer, one registry of commands and queries, patches out.
//!
//! A command goes in, one transaction changes the document, the log and the read tables, and what changed comes out
//! as a patch. Faces (the shell, the window, the loopback page) hand in JSON and hand out JSON; they hold no rule.
//! It draws no screen and takes its clock and its randomness from whoever opens it. It is synchronous but for `live`,
//! which meets other devices in the background, and only where a face asks for it.

mod aside;
mod begin;
mod carrying;
mod command;
mod compact;
mod desk;
#[cfg(feature = "live")]
mod drop;
mod fetch;
mod health;
mod home;
mod live;
mod meeting;
mod notebook;
mod opening;
mod own;
mod page;
mod pages;
mod parcel;
mod passphrase;
mod peers;
mod pending;
mod photo;
mod refusal;
mod revoked;
mod sealing;
mod shelf;
mod source;
mod spooled;
mod table;
mod typescript;
mod unsigned;
mod vouching;
pub mod wire;

pub use command::{Registered, registry};
pub use health::{HealthLine, HealthReport, RebuildReport, RecordDigest};
#[cfg(feature = "live")]
pub use live::Surroundings;
pub use notebook::{Handle, Notebook};
pub use opening::Deriving;
pub use photo::{MOST_BYTES as MOST_PHOTO, PhotoSize, TakenPhoto};
pub use refusal::{Fault, Refusal};
pub use source::Source;
pub use store::SetDown;
pub use table::field_table;
pub use typescript::typescript;
