//! Meetings between devices in memory: the conversation of `link` over records, with hosts that do what it wants and
//! lines that break, repeat and delay. Every choice comes from a seed; nothing here sleeps or opens a socket.

pub mod line;
pub mod node;
mod rest;
pub mod shelf;
pub mod told;
mod ways;
mod world;

pub use told::Told;
pub use world::run;
