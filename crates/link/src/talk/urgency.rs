//! What goes first where several things wait for one line. It decides no turn: that is the hub's.

/// How urgent something is: what is less urgent waits for what is more, of whichever record that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Changes, and words about them.
    Changes,
    /// Small pictures.
    Smalls,
    /// Originals.
    Photos,
}

impl Urgency {
    /// Of a photo or a small picture.
    #[must_use]
    pub fn of(small: bool) -> Self {
        if small { Self::Smalls } else { Self::Photos }
    }
}
