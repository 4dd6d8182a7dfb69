//! The end of a schedule: all lines hold, everybody comes to rest, and everything must be everywhere.

use link::talk::{Phase, Status};
use record::{Record, Seat};

use super::node::since;
use super::world::World;

impl World {
    /// All lines of before break, each device is joined to the next, and nothing more breaks.
    pub(super) fn settle(&mut self) {
        while !self.sessions.is_empty() {
            self.break_line(0);
        }
        self.rot = false;
        // Some fetch nothing at first: the small pictures come all the same, and who has the others is known.
        for at in 0..self.nodes.len() {
            let waits = self.dice.chance(20);
            self.choose(at, waits);
        }
        let count = self.nodes.len();
        let mut order: Vec<usize> = (0..count).collect();
        for at in (1..count).rev() {
            order.swap(at, self.dice.below(at + 1));
        }
        for pair in order.windows(2) {
            self.open(pair[0], pair[1]);
        }
        self.come_to_rest();
        assert_eq!(self.sessions.len(), count - 1, "a line ended");
        self.told_who_has();
        for at in 0..count {
            self.choose(at, false);
        }
        self.come_to_rest();
        for session in std::mem::take(&mut self.sessions) {
            for (side, line) in session.lines.iter().enumerate() {
                let other = &self.nodes[session.ends[1 - side]];
                assert_eq!(line.met.as_deref(), Some(other.device.id.as_str()));
                assert!(line.ended.is_none() && !line.status.difference);
            }
            Self::count(&mut self.told, &session);
        }
    }

    fn come_to_rest(&mut self) {
        for round in 0.. {
            assert!(round < 60, "they do not come to rest: {:#?}", self.standing());
            self.run_out();
            let at_rest =
                |status: &Status| status.phase == Phase::Live && status.alike && status.photos_left == 0;
            if self.standing().iter().all(at_rest) {
                break;
            }
            for node in &mut self.nodes {
                node.now = node.now.saturating_add(1_500);
            }
            for session in 0..self.sessions.len() {
                self.tick(session);
            }
        }
    }

    /// What every device was told of photos that are missing there is so, and nothing is missing without a word.
    fn told_who_has(&mut self) {
        for session in &self.sessions {
            for (side, line) in session.lines.iter().enumerate() {
                let (node, other) = (
                    &self.nodes[session.ends[side]],
                    &self.nodes[session.ends[1 - side]],
                );
                for key in node.named(&self.pictures) {
                    assert!(!key.small || node.shelf.has(&key) || !other.shelf.has(&key));
                    if key.small || node.shelf.has(&key) {
                        continue;
                    }
                    let told = line.there.get(&key.hash).copied();
                    assert_eq!(
                        told,
                        Some(other.shelf.has(&key)),
                        "who has a photo is told wrongly"
                    );
                    self.told.one("who has a photo told");
                }
            }
        }
    }

    pub(super) fn standing(&self) -> Vec<Status> {
        let lines = self.sessions.iter().flat_map(|session| &session.lines);
        lines.map(|line| line.status).collect()
    }

    /// Until nothing is on its way and nothing is to be done.
    pub(super) fn run_out(&mut self) {
        loop {
            let busy: Vec<(usize, usize)> = (0..self.sessions.len())
                .flat_map(|session| [(session, 0), (session, 1)])
                .filter(|(session, side)| !self.sessions[*session].lines[*side].is_idle())
                .collect();
            let Some((session, side)) = self.dice.one(&busy).copied() else {
                return;
            };
            if self.dice.chance(50) {
                self.arrive(session, side);
            } else {
                self.perform(session, side);
            }
        }
    }

    pub(super) fn hold(&mut self) {
        let (first, others) = self.nodes.split_first().unwrap();
        let digest = first.device.record.digest();
        for node in others {
            let (one, other) = (&node.device, &first.device);
            assert_eq!(one.record.heads(), other.record.heads(), "heads differ");
            assert_eq!(one.record.digest(), digest, "digests differ");
            assert!(one.record.view() == other.record.view(), "read tables differ");
            assert_eq!(one.having, other.having, "what the meetings brought differs");
            assert_eq!(
                one.points.list(one.record.view(), one.record.ledger()),
                other.points.list(other.record.view(), other.record.ledger()),
                "points differ"
            );
        }
        for node in &self.nodes {
            for key in node.named(&self.pictures) {
                let holders = self.nodes.iter().filter(|node| node.shelf.has(&key)).count();
                assert!(
                    node.shelf.has(&key),
                    "a photo is missing that {holders} have; {} of {} bytes are here, small {}",
                    node.shelf.begun(&key),
                    self.pictures[&key].len(),
                    key.small
                );
                self.told.one("photos everywhere");
            }
            for (key, bytes) in node.shelf.whole() {
                assert!(self.pictures.get(key) == Some(bytes), "a wrong byte landed");
            }
        }
        let seat = Seat {
            device: self.dice.uuid(),
            run: [0; 8],
        };
        let mut stranger = Record::begin(seat).unwrap();
        drop(stranger.receive(&since(&first.device.record, &[])).unwrap());
        assert_eq!(stranger.digest(), digest, "all at once, the record is another");
        self.told.found = self.reckoned.hold_against(&mut stranger);
        let at = self.dice.below(self.nodes.len());
        self.nodes[at].device.restart();
    }
}
