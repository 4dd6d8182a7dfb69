//! What the threads of meetings share: who may come, the net, who is here, and how pairing stands. Each lock is held
//! for a moment only, and never while the notebook is waited for.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, Weak};
use std::time::{Duration, Instant, SystemTime};

use link::identity::Key;
use link::net::{self, Handler, Net, Settings};
use link::talk::{Hash, PhotoKey, Status};
use record::{Id, Moment};

use notebook::live::Circle;
use notebook::{Met, Notebook, Refusal};

use super::pairing::stand::Pairing;
use super::surroundings::Surroundings;
use crate::turns::{InTurns, locked};

/// What the host thread is told.
pub(super) enum Word {
    /// The net has something.
    Net(net::NetEvent),
    /// Who may come may have changed, or what the keeper chose.
    Changed,
    /// Meet whoever can be reached now: a device was paired here, or the keeper asked.
    Now,
    /// Nobody attends any more.
    Stop,
}

/// A connection that stands.
pub(super) struct PeerLine {
    hand: net::Hand,
    /// Set where other records may be shared than before.
    pub(super) changed: AtomicBool,
    /// Set where a conversation that failed is to begin anew at once.
    pub(super) hurry: AtomicBool,
}

impl PeerLine {
    pub(super) fn of(hand: net::Hand) -> Self {
        Self {
            hand,
            changed: AtomicBool::new(true),
            hurry: AtomicBool::new(false),
        }
    }
}

/// A conversation about a record that stands.
pub(super) struct Row {
    /// The other's key.
    pub(super) key: Key,
    /// The record.
    pub(super) record: Id,
    /// The other's device.
    pub(super) device: Id,
    /// How it stands.
    pub(super) status: Status,
    /// Since when the other is here, by this device's clock.
    pub(super) since: Moment,
    /// Set where something may be new in the record.
    pub(super) stale: Arc<AtomicBool>,
    /// Set where other photos are wanted than before.
    pub(super) choice: Arc<AtomicBool>,
    /// Photos that another meeting has brought.
    pub(super) here: Sender<PhotoKey>,
    pub(super) hand: net::Hand,
}

/// A clock that goes on while a laptop sleeps, which the one that never goes back does not: the other clock tells how long that
/// was. Set back, that one says nothing; set forward, whatever has an end ends sooner.
#[derive(Debug)]
struct Awake {
    began: SystemTime,
    /// What was said last; it never says less.
    said: AtomicU64,
}

fn millis(time: Duration) -> u64 {
    u64::try_from(time.as_millis()).unwrap_or(u64::MAX)
}

impl Awake {
    fn since(began: SystemTime) -> Self {
        Self {
            began,
            said: AtomicU64::new(0),
        }
    }

    fn now(&self, awake: Duration, wall: SystemTime) -> u64 {
        let all = wall.duration_since(self.began).unwrap_or_default();
        let now = millis(awake.max(all));
        self.said.fetch_max(now, Ordering::SeqCst).max(now)
    }
}

/// What the threads share.
pub(super) struct Shared {
    began: Instant,
    awake: Awake,
    around: Surroundings,
    notebook: Weak<InTurns>,
    circle: Arc<Mutex<Circle>>,
    tell: Mutex<Sender<Word>>,
    net: Mutex<Option<Arc<Net>>>,
    /// What it was started with.
    chosen: Mutex<Option<Settings>>,
    /// By meeting and record.
    pub(super) rows: Mutex<BTreeMap<(u64, Id), Row>>,
    pub(super) lines: Mutex<BTreeMap<u64, Arc<PeerLine>>>,
    /// Why the last meeting with each ended.
    pub(super) ended: Mutex<BTreeMap<Key, String>>,
    /// Why the last conversation with each about a record ended, whether or not others go on.
    pub(super) ended_about: Mutex<BTreeMap<(Key, Id), String>>,
    /// Who lets this device in no more, in their words; until they do again.
    pub(super) refused: Mutex<BTreeMap<Key, String>>,
    pub(super) pairing: Mutex<Pairing>,
}

/// The net's ear. It holds nothing that holds the net.
struct Ear {
    circle: Arc<Mutex<Circle>>,
    tell: Mutex<Sender<Word>>,
}

impl Handler for Ear {
    fn may(&self, key: &Key) -> bool {
        locked(&self.circle).peers.contains_key(key)
    }

    fn refusal(&self, key: &Key) -> Option<String> {
        locked(&self.circle).revoked.get(key).cloned()
    }

    fn on(&self, event: net::NetEvent) {
        // Nobody listens any more only while all of it is ending.
        let _ = locked(&self.tell).send(Word::Net(event));
    }
}

impl Shared {
    pub(super) fn new(around: Surroundings, notebook: Weak<InTurns>, tell: Sender<Word>) -> Self {
        Self {
            began: Instant::now(),
            awake: Awake::since(SystemTime::now()),
            around,
            notebook,
            circle: Arc::default(),
            tell: Mutex::new(tell),
            net: Mutex::default(),
            chosen: Mutex::default(),
            rows: Mutex::default(),
            lines: Mutex::default(),
            ended: Mutex::default(),
            ended_about: Mutex::default(),
            refused: Mutex::default(),
            pairing: Mutex::default(),
        }
    }

    /// The notebook, for a thread that must not keep it open; none where it is being let go.
    pub(super) fn notebook(&self) -> Option<Weak<InTurns>> {
        (self.notebook.strong_count() > 0).then(|| Weak::clone(&self.notebook))
    }

    /// Milliseconds since it began, in which the machine was awake: what conversations count by.
    pub(super) fn ticks(&self) -> u64 {
        millis(self.began.elapsed())
    }

    /// Milliseconds since it began, in which the machine may have slept: what pairing counts by.
    pub(super) fn now(&self) -> u64 {
        self.awake.now(self.began.elapsed(), SystemTime::now())
    }

    pub(super) fn tell(&self, word: Word) {
        // Nobody listens any more only while all of it is ending.
        let _ = locked(&self.tell).send(word);
    }

    /// Everybody is looked for at once, whenever that would have been due.
    pub(super) fn meet_now(&self) {
        // What ended an earlier meeting says nothing of this one.
        locked(&self.ended).clear();
        locked(&self.ended_about).clear();
        self.tell(Word::Now);
    }

    /// A conversation about a record ended, or came to nothing. Whether that is news.
    pub(super) fn about_ended(&self, key: Key, record: &Id, why: String) -> bool {
        let was = locked(&self.ended_about).insert((key, record.clone()), why.clone());
        was != Some(why)
    }

    /// Somebody greets: whatever ended before says nothing any more.
    pub(super) fn met(&self, key: Key, record: &Id) {
        locked(&self.ended).remove(&key);
        locked(&self.ended_about).remove(&(key, record.clone()));
    }

    /// What failed and rests begins anew now.
    pub(super) fn hurry(&self) {
        for line in locked(&self.lines).values() {
            line.hurry.store(true, Ordering::SeqCst);
            line.hand.knock();
        }
    }

    pub(super) fn circle(&self) -> Circle {
        locked(&self.circle).clone()
    }

    pub(super) fn set_circle(&self, circle: Circle) {
        *locked(&self.circle) = circle;
    }

    /// The net, where it runs.
    pub(super) fn net(&self) -> Option<Arc<Net>> {
        locked(&self.net).clone()
    }

    /// The net, which stops when it is dropped. Not while the notebook is held: farewells take a moment.
    pub(super) fn take_net(&self) -> Option<Arc<Net>> {
        locked(&self.net).take()
    }

    /// The roads as the keeper has chosen them.
    fn settings(&self, notebook: &Notebook) -> Result<Settings, Refusal> {
        let roads = notebook.roads()?;
        Ok(Settings {
            mdns: self.around.mdns,
            relay: roads.relay,
            internet_relays: roads.internet_relays,
            at: self.around.at.clone(),
            before: Vec::new(),
        })
    }

    /// By which roads the net runs is not known any more: it begins anew at the next look.
    pub(super) fn forget_roads(&self) {
        *locked(&self.chosen) = None;
    }

    /// Whether the net runs by other roads than are chosen now.
    pub(super) fn runs_otherwise(&self, notebook: &Notebook) -> Result<bool, Refusal> {
        let settings = self.settings(notebook)?;
        Ok(self.net().is_some() && *locked(&self.chosen) != Some(settings))
    }

    /// The net, started where it does not run yet: a matter of milliseconds, with or without a network.
    pub(super) fn start_net(&self, notebook: &mut Notebook) -> Result<Arc<Net>, Refusal> {
        if let Some(net) = self.net() {
            return Ok(net);
        }
        let Some(identity) = notebook.identity()? else {
            return Err(Refusal::failed(
                "no_identity",
                "this program lends the notebook no secret, so that no other device can know this one",
            ));
        };
        notebook.enter_key(&identity)?;
        let settings = self.settings(notebook)?;
        let ear = Ear {
            circle: Arc::clone(&self.circle),
            tell: Mutex::new(locked(&self.tell).clone()),
        };
        let again = Settings {
            before: notebook.sockets_before()?,
            ..settings.clone()
        };
        let net = Net::start(&identity, again, Arc::new(ear))
            .map_err(|error| Refusal::failed("net", format!("meetings cannot begin: {error}")))?;
        notebook.keep_sockets(&net.sockets())?;
        let net = Arc::new(net);
        *locked(&self.net) = Some(Arc::clone(&net));
        *locked(&self.chosen) = Some(settings);
        Ok(net)
    }

    /// Something may be new in a record: every meeting about it looks.
    pub(super) fn stir(&self, record: &Id) {
        for row in locked(&self.rows).values().filter(|row| row.record == *record) {
            row.stale.store(true, Ordering::SeqCst);
            row.hand.knock();
        }
    }

    /// Whether a record is shared with a device by this key.
    pub(super) fn shares(&self, key: &Key, record: &Id, device: &Id) -> bool {
        let circle = locked(&self.circle);
        let mut with_it = circle.peers.get(key).into_iter().flatten();
        with_it.any(|one| one.record == *record && one.device == *device)
    }

    /// Who may come has changed: each meeting looks which records are shared with the other.
    pub(super) fn look_again(&self) {
        for line in locked(&self.lines).values() {
            line.changed.store(true, Ordering::SeqCst);
            line.hand.knock();
        }
    }

    /// The keeper chose other photos to be fetched, or the connection is another: every meeting goes by it.
    pub(super) fn rethink(&self) {
        for row in locked(&self.rows).values() {
            row.choice.store(true, Ordering::SeqCst);
            row.hand.knock();
        }
    }

    /// An original is here now, and with it its small picture: every meeting about the record is told but the one that
    /// brought it.
    pub(super) fn brought(&self, record: &Id, hash: Hash, by: Option<u64>) {
        for small in [true, false] {
            self.tell_here(record, PhotoKey { hash, small }, by);
        }
    }

    /// A photo, or a small picture alone, is here now.
    pub(super) fn tell_here(&self, record: &Id, photo: PhotoKey, by: Option<u64>) {
        let rows = locked(&self.rows);
        let others = rows
            .iter()
            .filter(|((id, about), _)| about == record && Some(*id) != by);
        for (_, row) in others {
            // A meeting that is ending needs it no more.
            let _ = row.here.send(photo);
            row.hand.knock();
        }
    }

    /// How the meetings stand.
    pub(super) fn meetings(&self) -> Vec<Met> {
        let met = |row: &Row| Met {
            key: row.key,
            record: row.record.clone(),
            device: row.device.clone(),
            status: row.status,
        };
        locked(&self.rows).values().map(met).collect()
    }

    /// Since when a device is here to meet about a record, if it is.
    pub(super) fn since(&self, record: &Id, device: &Id) -> Option<Moment> {
        let rows = locked(&self.rows);
        rows.values()
            .find(|row| row.record == *record && row.device == *device)
            .map(|row| row.since)
    }

    /// Why the last meeting with a device about a record ended, if one did, or why it lets this one in no more.
    pub(super) fn ended(&self, key: &Key, record: &Id) -> Option<String> {
        let refused = locked(&self.refused).get(key).cloned();
        refused
            .or_else(|| locked(&self.ended_about).get(&(*key, record.clone())).cloned())
            .or_else(|| locked(&self.ended).get(key).cloned())
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, UNIX_EPOCH};

    use super::Awake;

    #[test]
    fn time_goes_on_while_the_machine_sleeps_and_never_back() {
        let (second, hour) = (Duration::from_secs(1), Duration::from_secs(3_600));
        let began = UNIX_EPOCH + hour;
        let clock = Awake::since(began);
        assert_eq!(clock.now(second, began + second), 1_000);
        // It slept for ten minutes after a second more.
        assert_eq!(clock.now(2 * second, began + Duration::from_secs(602)), 602_000);
        // Somebody set the clock back, before it began even.
        assert_eq!(clock.now(3 * second, UNIX_EPOCH), 602_000);
        assert_eq!(clock.now(hour, UNIX_EPOCH), 3_600_000);
    }
}
