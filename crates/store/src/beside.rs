//! The store's side of drops and of what is set aside: notes, parcels, the places' own secrets, and room for a file
//! that is being opened. It knows nothing of what is in any of them.

use record::Id;

use crate::tables::{aside, drops};
use crate::{AsideRow, DropRow, Private, Room, Store, StoreError};

impl Store {
    /// The places of this device's drops with their secrets, as they were kept; none where there are none.
    ///
    /// # Errors
    /// Where they cannot be read.
    pub fn places(&self) -> Result<Option<String>, StoreError> {
        self.folder.private(Private::DropPlaces)
    }

    /// Keeps the places of drops in a file that its owner alone may read, in place of the one before.
    ///
    /// # Errors
    /// The one before stays then.
    pub fn keep_places(&self, text: &str) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.keep_private(Private::DropPlaces, text)
    }

    /// What a folder of the demo shows round of itself, as it was laid; none elsewhere, and empty once it was left.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn tour(&self) -> Result<Option<String>, StoreError> {
        self.folder.private(Private::Tour)
    }

    /// Keeps what is shown round, in place of what was.
    ///
    /// # Errors
    /// What was stays then.
    pub fn keep_tour(&self, text: &str) -> Result<(), StoreError> {
        self.writable()?;
        self.folder.keep_private(Private::Tour, text)
    }

    /// An empty file in this folder for something that is being opened. It has no name any more where the system can do
    /// without one, and is emptied when the folder is opened next where it cannot.
    ///
    /// # Errors
    /// What the system said.
    pub fn room(&self) -> Result<Box<dyn Room>, StoreError> {
        self.folder.room()
    }

    /// What was noted about a drop.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn drop_row(&self, record: &Id, place: &str) -> Result<Option<DropRow>, StoreError> {
        drops::one(&self.db, record, place)
    }

    /// Notes something about a drop, in place of what was noted before; none forgets it.
    ///
    /// # Errors
    /// Nothing was written then.
    pub fn note_drop(&mut self, record: &Id, place: &str, row: Option<&DropRow>) -> Result<(), StoreError> {
        let tx = self.writing()?;
        match row {
            Some(row) => drops::put(&tx, record, place, row)?,
            None => drops::remove(&tx, record, place)?,
        }
        tx.commit()?;
        Ok(())
    }

    /// What was set aside, in the order in which it came, without the changes' bytes.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn aside(&self, record: &Id) -> Result<Vec<AsideRow>, StoreError> {
        aside::all(&self.db, record)
    }

    /// How many parcels were set aside, and the bytes of their changes.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn aside_size(&self, record: &Id) -> Result<(u32, u64), StoreError> {
        aside::size(&self.db, record)
    }

    /// Sets a parcel aside; whether it is new. It stays for good.
    ///
    /// # Errors
    /// Nothing was written then.
    pub fn set_aside(&mut self, record: &Id, row: &AsideRow) -> Result<bool, StoreError> {
        let tx = self.writing()?;
        let new = aside::add(&tx, record, row)?;
        tx.commit()?;
        Ok(new)
    }
}

#[cfg(test)]
mod tests {
    use record::{Id, Moment};

    use crate::{AsideRow, Batch, DropRow, Opener, RecordRow, Store};

    fn open(dir: &std::path::Path) -> (Store, Id) {
        let opener = Opener {
            program: "test",
            now: Moment::from_seconds(0),
        };
        let mut store = Store::open(dir, opener).unwrap();
        let id: Id = "0198f3a2-7c11-7000-8000-00000000beef".parse().unwrap();
        let row = RecordRow {
            id: id.clone(),
            car: "Tern".to_owned(),
            keeper: None,
            since: Moment::from_seconds(1),
        };
        if store.records().unwrap().is_empty() {
            let batch = Batch {
                begin: Some(&row),
                ..Batch::default()
            };
            store.commit(&id, &batch).unwrap();
        }
        (store, id)
    }

    #[test]
    fn what_is_set_aside_is_kept_once_and_stays() {
        let dir = tempfile::tempdir().unwrap();
        let (mut store, id) = open(dir.path());
        let row = AsideRow {
            parcel: "ab".repeat(32),
            device: id.clone(),
            road: "drop".to_owned(),
            came: Moment::from_seconds(7),
            told: "{}".to_owned(),
            bytes: b"as they came".to_vec(),
        };
        assert!(store.set_aside(&id, &row).unwrap());
        let again = AsideRow {
            came: Moment::from_seconds(9),
            ..row.clone()
        };
        assert!(!store.set_aside(&id, &again).unwrap());
        drop(store);
        let (store, id) = open(dir.path());
        let bare = AsideRow {
            bytes: Vec::new(),
            ..row.clone()
        };
        assert_eq!(store.aside(&id).unwrap(), [bare]);
        let kept: Vec<u8> = store
            .db
            .query_row("SELECT bytes FROM aside", [], |row| row.get(0))
            .unwrap();
        assert_eq!(kept, b"as they came");
        assert_eq!(store.aside_size(&id).unwrap(), (1, 12));
        assert!(store.db.execute("DELETE FROM aside", []).is_err());
        assert_eq!(store.aside_size(&id).unwrap(), (1, 12));
    }

    #[test]
    fn what_is_noted_of_a_drop_is_replaced_and_forgotten() {
        let dir = tempfile::tempdir().unwrap();
        let (mut store, id) = open(dir.path());
        assert_eq!(store.drop_row(&id, "one").unwrap(), None);
        for looked in [None, Some(Moment::from_seconds(5))] {
            let row = DropRow {
                book: vec![1, 2, 3],
                looked,
                told: "said".to_owned(),
            };
            store.note_drop(&id, "one", Some(&row)).unwrap();
            assert_eq!(store.drop_row(&id, "one").unwrap(), Some(row));
        }
        store.note_drop(&id, "one", None).unwrap();
        assert_eq!(store.drop_row(&id, "one").unwrap(), None);
    }

    #[test]
    fn the_places_are_their_owners_alone_and_room_leaves_nothing() {
        use std::io::{Read, Seek, Write};
        let dir = tempfile::tempdir().unwrap();
        let (store, _) = open(dir.path());
        assert_eq!(store.places().unwrap(), None);
        store.keep_places("one").unwrap();
        store.keep_places("two").unwrap();
        assert_eq!(store.places().unwrap().as_deref(), Some("two"));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let meta = std::fs::metadata(dir.path().join("drops.key")).unwrap();
            assert_eq!(meta.permissions().mode() & 0o777, 0o600);
        }
        let mut rooms = [store.room().unwrap(), store.room().unwrap()];
        for (at, room) in rooms.iter_mut().enumerate() {
            room.write_all(&[at as u8]).unwrap();
        }
        for (at, room) in rooms.iter_mut().enumerate() {
            let mut found = Vec::new();
            room.rewind().unwrap();
            room.read_to_end(&mut found).unwrap();
            assert_eq!(found, [at as u8]);
        }
        #[cfg(unix)]
        assert_eq!(std::fs::read_dir(dir.path().join("room")).unwrap().count(), 0);
    }
}
