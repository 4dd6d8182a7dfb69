//! A folder whose carry files go out to a disk that stands still until it is told to go on: what goes on meanwhile is seen by
//! events, and nothing sleeps.

use std::io::{self, Read, Write};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use record::PhotoHash;
use store::{
    Connection, Found, Incoming, Layer, Outgoing, Private, Room, SetDown, StoreError, TallyFile, Whereabouts,
};

/// The disk's side of a write that stands still.
#[derive(Debug)]
pub(crate) struct Gate {
    held: Mutex<Sender<()>>,
    go_on: Mutex<Receiver<()>>,
}

/// A gate, word of each write that stands still at it, and what lets all of them go on when it is dropped.
pub(crate) fn gate() -> (Arc<Gate>, Receiver<()>, Sender<()>) {
    let (held, is_held) = channel();
    let (release, go_on) = channel();
    let gate = Gate {
        held: Mutex::new(held),
        go_on: Mutex::new(go_on),
    };
    (Arc::new(gate), is_held, release)
}

impl Gate {
    fn pass(&self) {
        // Whoever listened is gone at the end of a test; nothing stands still then.
        let _ = self.held.lock().map(|held| held.send(()));
        let _ = self.go_on.lock().map(|go_on| go_on.recv());
    }
}

/// A layer whose carry files are written through a gate.
#[derive(Debug)]
pub(crate) struct Slow {
    pub(crate) inner: Box<dyn Layer>,
    pub(crate) gate: Arc<Gate>,
}

struct Held {
    inner: Box<dyn Outgoing>,
    gate: Arc<Gate>,
}

impl Write for Held {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.gate.pass();
        self.inner.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl Outgoing for Held {
    fn place(&self) -> &str {
        self.inner.place()
    }

    fn name(&self) -> String {
        self.inner.name()
    }

    fn keep(self: Box<Self>) -> io::Result<u64> {
        self.inner.keep()
    }
}

/// Hands a call on to the layer inside.
macro_rules! handed_on {
    ($($name:ident($($arg:ident: $type:ty),*) -> $out:ty;)*) => {
        $(fn $name(&self, $($arg: $type),*) -> $out {
            self.inner.$name($($arg),*)
        })*
    };
}

impl Layer for Slow {
    fn again(&self) -> Box<dyn Layer> {
        Box::new(Self {
            inner: self.inner.again(),
            gate: Arc::clone(&self.gate),
        })
    }

    fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>> {
        Ok(Box::new(Held {
            inner: self.inner.outgoing(place, name)?,
            gate: Arc::clone(&self.gate),
        }))
    }

    fn database_name(&self) -> &str {
        self.inner.database_name()
    }

    fn sweep_set_down(&self) {
        self.inner.sweep_set_down();
    }

    handed_on! {
        is_there() -> bool;
        whereabouts() -> Whereabouts;
        is_closed() -> bool;
        lay_out() -> Result<(), StoreError>;
        connect_reading() -> Result<Connection, StoreError>;
        connect() -> Result<Connection, StoreError>;
        connect_beside() -> Result<Option<Connection>, StoreError>;
        tally() -> Option<(Box<dyn TallyFile>, u64)>;
        keep_photo(from: &mut dyn Read, most: u64, wanted: Option<&PhotoHash>) -> Result<(PhotoHash, u64), StoreError>;
        has_photo(hash: &PhotoHash) -> bool;
        hash_photo(hash: &PhotoHash) -> Result<Option<PhotoHash>, StoreError>;
        open_photo(hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError>;
        list_photos() -> Result<Vec<Found>, StoreError>;
        part_length(hash: &PhotoHash) -> Result<u64, StoreError>;
        part_add(hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError>;
        parts() -> Result<Vec<(String, Option<PhotoHash>, u64)>, StoreError>;
        part_open(hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, StoreError>;
        part_drop(hash: &PhotoHash) -> Result<(), StoreError>;
        private(which: Private) -> Result<Option<String>, StoreError>;
        keep_private(which: Private, text: &str) -> Result<(), StoreError>;
        lay_private_beside(which: Private) -> Result<(), StoreError>;
        room() -> Result<Box<dyn Room>, StoreError>;
        part_of(place: &str) -> String;
        is_own(place: &str) -> bool;
        incoming(place: &str) -> io::Result<Box<dyn Incoming>>;
        set_down(name: &str) -> io::Result<Box<dyn SetDown>>;
        carried(name: &str) -> io::Result<Vec<u8>>;
    }
}
