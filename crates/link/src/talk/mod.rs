//! The conversation of two devices about one record: a pure state machine for one peer, the same on both sides;
//! [`Several`], which says about which records two devices talk over one connection, each in a conversation of its own; and
//! [`hub::Hub`], one whole meeting of them: whose turn it is, who is waited for, what begins again and when.
//!
//! It is told what happened ([`Event`]) and says what is to be done ([`Effect`]); a thin host carries frames, asks the
//! record and keeps photos. It opens no socket, no record and no file, reads no clock, and knows nothing of what a change
//! means: changes are bytes, each after those it builds on.
//!
//! # How it goes
//!
//! | both | |
//! | --- | --- |
//! | greet | version, record, device, heads. Another version or record ends it with one clear reason |
//! | tell | where the heads differ: this record's clock, in parts (a *round*) |
//! | send | what the other's clock lacks, in one stream of parts of 256 KiB, four unanswered at a time; then what is new here, in the same stream |
//! | compare | when nothing is on its way: heads, number of changes, entries as they read, photos. A difference begins one more round; one that stays is said ([`Status::difference`]) |
//! | photos | small pictures first, then originals, each from where it was left; half a megabyte unkept at a time |
//! | who has it | which of the originals that are missing here the other has, wanted or not; told again when one comes there |
//! | live | what is new goes at once, a comparison follows two seconds later |
//!
//! Everything is counted from its beginning (parts, bytes of a clock, bytes of a photo), so that a message that comes
//! twice does nothing and one that is missing is noticed. A conversation is made anew for each connection and remembers
//! nothing of the one before: it is told the heads again, and how much of each photo is here.
//!
//! At most four parts of changes, a clock, and half a megabyte of photos are unanswered in one direction. Where the way
//! holds [`MOST_ON_THE_WAY`] bytes (queues of both ends together), two hosts that wait to send never wait for each other;
//! where several conversations share it, a host keeps as many for each until there is room, and listens meanwhile. It may
//! send by [`Message::urgency_of`]: changes overtake photos, and nothing else overtakes anything.
//!
//! # Example
//!
//! ```
//! use link::talk::{Effect, Event, Mine, Talk, Why};
//!
//! let mine = |device: &str| Mine { record: [7; 32], device: device.into(), heads: vec![[1; 32]] };
//! let (mut phone, mut laptop) = (Talk::new(mine("phone")), Talk::new(mine("laptop")));
//! let hello = phone.on(0, Event::Opened);
//! let [Effect::Send(frame)] = hello.as_slice() else { panic!() };
//! let _ = laptop.on(0, Event::Opened);
//! let done = laptop.on(5, Event::Got(frame.clone()));
//! assert!(matches!(&done[0], Effect::Met { device, .. } if device == "phone"));
//! // Nothing is lacking: what both hold is compared, and photos are asked for.
//! assert!(done.contains(&Effect::AskDigest) && done.contains(&Effect::AskPhotos));
//! let garbled = laptop.on(9, Event::Got(vec![0xff; 9]));
//! assert!(matches!(garbled.last(), Some(Effect::Close(Why::Garbled(_)))));
//! ```
//!
//! Sources: the encoding is postcard's published wire format; DEFLATE is RFC 1951. The conversation is our own.

mod asking;
mod compare;
mod event;
mod got;
mod holding;
pub mod hub;
mod message;
mod pack;
mod passed;
mod sending;
mod serving;
mod several;
mod state;
mod taking;
mod urgency;
mod wire;

pub use asking::ASKED_OUT;
pub use event::{Effect, Event, Kept, Mine, Phase, Status, Wanted, Why};
pub use holding::ASKED_ABOUT;
pub use message::{DIGEST, Digest, Garbled, Hello, Message, PhotoKey, VERSION};
pub use pack::{CHANGE_MAX, PART_OPEN};
pub use sending::PARTS_OUT;
pub use serving::{PHOTO_MAX, PIECE, WINDOW};
pub use several::{FrameCame, MOST_ANEW, MOST_RECORDS, Several, Tag};
pub use state::{SAY_EVERY, SILENT_AFTER, Talk};
pub use urgency::Urgency;
pub use wire::{Bytes, Hash, Hashes};

/// Most bytes unanswered in one direction: parts of changes, a clock, photos, and small messages between.
pub const MOST_ON_THE_WAY: usize = 4 << 20;
