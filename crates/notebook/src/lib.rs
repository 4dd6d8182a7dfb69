//! The program without a face: one writer, one registry of commands and queries, patches out.
//!
//! A command goes in, one transaction changes the document, the log and the read tables, and what changed comes out
//! as a patch. Faces (the shell, the window, the loopback page) hand in JSON and hand out JSON; they hold no rule.
//! It draws no screen and has no machine: it opens no file, starts no thread, holds no lock, and takes its clock, its randomness and
//! its store from whoever opens it. Whoever looks after it in the background (a host) asks for one turn at a time.

mod ahead;
mod aside;
mod attend;
mod background;
mod begin;
mod behind;
mod came;
mod carrying;
mod command;
mod compact;
mod desk;
pub mod drop;
mod fetch;
mod health;
mod home;
pub mod live;
mod long;
mod marks;
mod meeting;
mod notebook;
mod opened;
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
mod stands;
mod table;
mod tour;
mod turns;
mod unsigned;
mod up_to_date;
mod vouching;
pub mod wire;
mod writing;

pub use ahead::{Ahead, ReadAhead};
pub use aside::SetAside;
pub use background::{LooksAtDrops, Meets, Met, Places};
pub use command::{Registered, registry, typescript};
pub use compact::{Due, Sound};
pub use long::{Long, Next, Progress, stopped};
pub use notebook::Notebook;
pub use page::whose;
pub use parcel::{bytes_of, hex};
pub use peers::heads_of;
pub use photo::{Decoded, MOST_BYTES as MOST_PHOTO, PhotoSize, TakenPhoto, look_at_photo, photo_hash};
pub use refusal::{Fault, Refusal};
pub use source::Source;
pub use spooled::Spooled;
pub use store::SetDown;
pub use table::field_table;
pub use turns::Turns;
pub use up_to_date::Deriving;
pub use wire::{HealthLine, HealthReport, RebuildReport, RecordDigest};
