//! A device with a member's key that speaks as it likes, over a real connection.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{self, Got, Handler, Meeting, Net, Settings};
use link::talk::{Bytes, FrameCame, Hash, Hashes, Hello, Message, Several, Tag, VERSION};
use tests::attending::LONG;

/// Hands meetings over, and lets everybody in.
struct Ear(Mutex<Sender<Meeting>>);

impl Handler for Ear {
    fn may(&self, _: &Key) -> bool {
        true
    }

    fn on(&self, event: net::NetEvent) {
        if let net::NetEvent::Here(meeting) = event {
            // Nobody waits for it where the test is over.
            let _ = self.0.lock().unwrap().send(meeting);
        }
    }
}

/// What a record is called among its devices.
pub(crate) fn named(record: &str) -> Hash {
    blake3::derive_key("witnessmark 2026 the record of a meeting", record.as_bytes())
}

/// The same between two that meet.
pub(crate) fn short(name: &Hash) -> Tag {
    *name.first_chunk().unwrap()
}

/// A device with a member's key that speaks as it likes.
pub(crate) struct Rogue {
    net: Net,
    came: Receiver<Meeting>,
    pub(crate) record: Hash,
    device: String,
    host: (Key, Vec<net::Address>),
}

impl Rogue {
    pub(crate) fn new(
        identity: &Identity,
        record: &str,
        device: &str,
        host: (Key, Vec<net::Address>),
    ) -> Self {
        let (tell, came) = channel();
        let settings = Settings {
            at: vec!["127.0.0.1:0".parse().unwrap()],
            ..Settings::default()
        };
        let net = Net::start(identity, settings, Arc::new(Ear(Mutex::new(tell)))).unwrap();
        Self {
            net,
            came,
            record: named(record),
            device: device.to_owned(),
            host,
        }
    }

    pub(crate) fn hello(&self) -> Message {
        Message::Hello(Hello {
            version: VERSION,
            record: self.record,
            device: self.device.clone(),
            heads: Hashes(vec![[7; 32]]),
            digest: link::talk::DIGEST,
        })
    }

    /// Reaches the host; nothing where it lets this key in no more.
    pub(crate) fn meet(&self, within: Duration) -> Option<Meeting> {
        self.net.wish(vec![self.host.clone()]);
        self.net.nudge();
        let meeting = self.came.recv_timeout(within).ok();
        self.net.wish(Vec::new());
        meeting
    }

    /// Reaches the host, says which records it shares, and waits until the other has said it. Of two that dial each other at
    /// once one meeting takes the other's place: then again.
    pub(crate) fn begins(&self, records: &[Hash]) -> (Meeting, Several) {
        let began = Instant::now();
        loop {
            let meeting = self.meet(LONG).unwrap();
            if let Some(several) = self.greets(&meeting, records) {
                return (meeting, several);
            }
            assert!(began.elapsed() < LONG, "the host does not greet");
        }
    }

    /// Nothing where the meeting ends before that.
    fn greets(&self, meeting: &Meeting, records: &[Hash]) -> Option<Several> {
        let mut several = Several::default();
        let list = several.share(&records.iter().map(short).collect()).unwrap();
        meeting.send(list).ok()?;
        while !several.is_greeted() {
            let Got::Frame(frame) = meeting.receive(LONG) else {
                return None;
            };
            let _ = several.got(&frame).unwrap();
        }
        Some(several)
    }

    /// Says these frames and nothing else, and listens until the other is gone.
    pub(crate) fn blurts(&self, frames: &[Vec<u8>]) {
        let meeting = self.meet(LONG).unwrap();
        for frame in frames {
            // The host may have had enough by now.
            let _ = meeting.send(frame.clone());
        }
        let began = Instant::now();
        while meeting.receive(LONG) != Got::Gone {
            assert!(began.elapsed() < LONG, "the host listens on to nonsense");
        }
    }

    /// Greets and says these messages, answers each photo that is wanted with `photo`, and listens until the other is gone;
    /// where the other stays, it is left when all was answered.
    pub(crate) fn says(&self, messages: &[Vec<u8>], photo: Option<&[u8]>) {
        let (meeting, mut several) = self.begins(&[self.record]);
        let tag = short(&self.record);
        for message in messages {
            // The host may have had enough by now.
            let _ = meeting.send(several.about(&tag, message).unwrap());
        }
        let (began, mut quiet) = (Instant::now(), 0);
        let most = if photo.is_some() {
            Duration::from_secs(4)
        } else {
            LONG
        };
        while began.elapsed() < most {
            match meeting.receive(Duration::from_millis(100)) {
                Got::Frame(frame) => {
                    quiet = 0;
                    let Ok(FrameCame::About(_, message)) = several.got(&frame) else {
                        continue;
                    };
                    if let (Some(photo), Ok(Message::Want { key, from })) =
                        (photo, Message::from_bytes(&message))
                    {
                        let piece = Message::Piece {
                            key,
                            offset: from,
                            total: photo.len() as u64,
                            bytes: Bytes(
                                photo
                                    .get(usize::try_from(from).unwrap()..)
                                    .unwrap_or_default()
                                    .to_vec(),
                            ),
                        };
                        let _ = meeting.send(several.about(&tag, &piece.to_bytes()).unwrap());
                    }
                }
                // All was said and answered.
                Got::Nothing if photo.is_some() && quiet > 5 => return,
                Got::Nothing => quiet += 1,
                Got::Gone => return,
            }
        }
        assert!(photo.is_some(), "the host listens on to nonsense");
    }
}
