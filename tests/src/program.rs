//! Placeholder while the rest is written, to be filled.
