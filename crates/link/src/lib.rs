//! How one device's record reaches another: by a carry file, over a network, through a place that both can write to.
//!
//! In the middle stands [`talk`], the conversation of two devices about one record: pure, told what happened and saying
//! what is to be done; [`talk::hub`] is a whole meeting of theirs, and [`dialler`] says when one dials the other, both in time
//! that is an argument. What carries them is thin, and [`frame`] bounds what a stream may bring. The carry file ([`carry`])
//! is bytes in, bytes out over [`std::io::Read`] and [`std::io::Write`]. The drop ([`drop`]) is a meeting through a place
//! that both can write to and neither trusts; what lies there, and what a carry file holds, is closed by [`seal`].
//!
//! What this crate never does: it knows nothing of what a change means (no Automerge: the record checks each
//! change against its hash and bounds what a change inflates to), it keeps nothing (no SQLite, no folders of the
//! program), and it reads no clock (moments and randomness are given by the caller; a network's own timers apart).
//!
//! What a machine lends stands behind two features, both on unless somebody turns them off: `net` (a network of its own, by iroh)
//! and `places` (drops in folders, buckets and on servers, by object_store). Without them nothing of either is compiled,
//! and what is left compiles for a browser.

pub mod address;
pub mod carry;
pub mod dialler;
pub mod drop;
pub mod frame;
pub mod identity;
#[cfg(feature = "net")]
pub mod net;
pub mod pair;
pub mod seal;
pub mod talk;
pub mod vouch;
