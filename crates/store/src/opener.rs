//! Who opens a data folder, and when: the words that another process is told. It opens nothing.

use record::Moment;

/// Who opens a folder, and when: what another process is told that finds it in use.
#[derive(Clone, Copy, Debug)]
pub struct Opener<'a> {
    /// What the program calls itself, such as `witnessmark serve`.
    pub program: &'a str,
    /// Now.
    pub now: Moment,
}
