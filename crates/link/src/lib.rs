//! How one device's record reaches another.
//!
//! For now this is the carry file alone: bytes in, bytes out over [`std::io::Read`] and [`std::io::Write`].
//! Meetings over a network come to this crate later.
//!
//! What this crate never does: it knows nothing of what a change means (no Automerge: the record checks each
//! change against its hash and bounds what a change inflates to), it keeps nothing (no SQLite, no folders), it
//! has no clock (the moment of sending is given by the caller), it opens no socket.

pub mod carry;
