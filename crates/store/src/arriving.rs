//! What stands beside the database and goes out by no meeting, carry file or drop: the device's secret, and parts of photos
//! that a meeting has begun to bring. Whoever copies the folder copies it too. It neither reads the secret nor takes a part for a photo.

use std::io::Read;

use record::PhotoHash;

use crate::tables::photos;
use crate::{Private, Store, StoreError};

impl Store {
    /// The device's secret as it was kept; none in a folder that was restored or copied without it.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn secret(&self) -> Result<Option<String>, StoreError> {
        self.folder.private(Private::DeviceKey)
    }

    /// Keeps the device's secret in a file that its owner alone may read, in place of the one before.
    ///
    /// # Errors
    /// The one before stays then.
    pub fn keep_secret(&self, text: &str) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.keep_private(Private::DeviceKey, text)
    }

    /// Lays a secret that is damaged beside, as the file `device.key.damaged`.
    ///
    /// # Errors
    /// It stays where it is then.
    pub fn lay_secret_beside(&self) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.lay_private_beside(Private::DeviceKey)
    }

    /// How many bytes of a photo a meeting has brought that broke off.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn part_length(&self, hash: &PhotoHash) -> Result<u64, StoreError> {
        self.folder.part_length(hash)
    }

    /// Adds the next bytes of a photo that is on its way.
    ///
    /// # Errors
    /// What the disk said.
    pub fn part_add(&self, hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.part_add(hash, bytes)
    }

    /// What has come of a photo, at most `most` bytes of it, to read from the beginning.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn part_open(&self, hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, StoreError> {
        self.folder.part_open(hash, most)
    }

    /// Clears away parts of photos that nobody waits for: those that came otherwise, and those that no record names.
    /// It is done at each opening; a part that is waited for stays, however long.
    pub(crate) fn sweep_parts(&self) -> Result<(), StoreError> {
        for hash in self.folder.parts()?.into_iter().filter_map(|(_, hash, _)| hash) {
            if !self.is_awaited(&hash)? {
                self.folder.part_drop(&hash)?;
            }
        }
        Ok(())
    }

    /// Whether some record names this photo and its original is not here.
    pub(crate) fn is_awaited(&self, hash: &PhotoHash) -> Result<bool, StoreError> {
        Ok(!self.folder.has_photo(hash) && photos::is_named_by_any(&self.db, hash)?)
    }

    /// Gives up what has come of a photo.
    ///
    /// # Errors
    /// What the disk said.
    pub fn part_drop(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.part_drop(hash)
    }
}

#[cfg(test)]
mod tests {
    use record::Moment;

    use crate::{Opener, Store};

    fn open(dir: &std::path::Path) -> Store {
        let opener = Opener {
            program: "test",
            now: Moment::from_seconds(0),
        };
        Store::open(dir, opener).unwrap()
    }

    #[test]
    fn the_secret_is_its_owners_alone() {
        let dir = tempfile::tempdir().unwrap();
        let store = open(dir.path());
        assert_eq!(store.secret().unwrap(), None);
        store.keep_secret("one").unwrap();
        store.keep_secret("two").unwrap();
        assert_eq!(store.secret().unwrap().as_deref(), Some("two"));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let meta = std::fs::metadata(dir.path().join("device.key")).unwrap();
            assert_eq!(meta.permissions().mode() & 0o777, 0o600);
        }
        assert!(!dir.path().join("device.key.new").exists());
    }
}
