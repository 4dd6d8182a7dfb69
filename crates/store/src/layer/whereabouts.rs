//! Where a data folder lies: on which machine, and as which folder of its file system, or as which store of a browser. It is
//! compared and never shown.

/// Where a folder lies, as far as the system tells.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Whereabouts {
    pub(crate) machine: Option<String>,
    pub(crate) folder: Option<u64>,
}

impl Whereabouts {
    /// Whether it is another place than this. What either does not tell is no difference.
    #[must_use]
    pub fn is_other_than(&self, was: &Self) -> bool {
        fn differ<T: PartialEq>(one: &Option<T>, other: &Option<T>) -> bool {
            one.as_ref()
                .zip(other.as_ref())
                .is_some_and(|(one, other)| one != other)
        }
        differ(&self.machine, &was.machine) || differ(&self.folder, &was.folder)
    }

    /// Out of words as programs once kept them, `machine:… folder:…`; others are passed over.
    #[must_use]
    pub(crate) fn from_text(text: &str) -> Self {
        let mut found = Self::default();
        for word in text.split(' ') {
            match word.split_once(':') {
                Some(("machine", id)) => found.machine = Some(id.to_owned()),
                Some(("folder", number)) => found.folder = number.parse().ok(),
                _ => {}
            }
        }
        found
    }
}
