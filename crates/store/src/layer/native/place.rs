//! Where a data folder lies, by what the system tells. Of the machine's own number only a hash is kept, as the systems that give it
//! ask for (machine-id(5)).

use std::path::Path;

use data_encoding::HEXLOWER;

use crate::layer::Whereabouts;

/// Where a folder lies.
pub(super) fn of(dir: &Path) -> Whereabouts {
    Whereabouts {
        machine: machine_uid::get().ok().map(|id| hashed(&id)),
        folder: number(dir),
    }
}

fn hashed(id: &str) -> String {
    let hash = blake3::derive_key("witnessmark whereabouts of a data folder 1", id.trim().as_bytes());
    HEXLOWER.encode(hash.first_chunk::<16>().map_or(&[][..], |half| half))
}

/// The folder's number in its file system: a copy has another, and one that was renamed keeps it.
#[cfg(unix)]
fn number(dir: &Path) -> Option<u64> {
    use std::os::unix::fs::MetadataExt as _;
    std::fs::metadata(dir).ok().map(|meta| meta.ino())
}

/// Elsewhere the machine alone tells.
#[cfg(not(unix))]
fn number(_dir: &Path) -> Option<u64> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_lies_elsewhere_and_a_renamed_folder_does_not() {
        let dir = tempfile::tempdir().unwrap();
        let (one, two) = (dir.path().join("one"), dir.path().join("two"));
        std::fs::create_dir(&one).unwrap();
        let was = of(&one);
        std::fs::rename(&one, &two).unwrap();
        assert!(!of(&two).is_other_than(&was));
        std::fs::create_dir(&one).unwrap();
        assert_eq!(of(&one).is_other_than(&was), cfg!(unix));
    }

    #[test]
    fn another_machine_is_another_place_and_what_is_not_told_is_none() {
        let at = Whereabouts::from_text;
        assert!(at("machine:a folder:1").is_other_than(&at("machine:b folder:1")));
        assert!(at("machine:a folder:1").is_other_than(&at("machine:a folder:2")));
        assert!(!at("machine:a folder:1").is_other_than(&at("folder:1")));
        assert!(!at("machine:a later:9").is_other_than(&at("")));
        assert!(!hashed("0123456789abcdef\n").contains("0123456789abcdef"));
    }
}
