//! What a meeting costs after two devices wrote 2,000 changes each, apart: how long, how it splits, and how many bytes
//! cross against the changes' own. In memory: no line, no disk, one thread. It prints a table; it judges the bytes
//! alone, since machines differ.
//!
//! `cargo bench -p tests --bench meeting`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a bench that cannot run says so"
)]

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use link::talk::hub::HubEvent;
use link::talk::{Effect, Event, Phase};
use record::edit::EditError;
use record::{Edit, Id, Kind, Moment, Record, Seat};
use tests::act::given;
use tests::device::Device;
use tests::ledger::Reckoned;
use tests::seed::Dice;
use tests::talk::line::{Line, Wants};
use tests::talk::node::Node;
use tests::value::{Seen, for_change, for_new};

/// Changes written apart on each device.
const APART: usize = 2_000;
/// Most bytes that may cross for each byte of the changes.
const MOST: f64 = 1.3;

/// What is seen on a record.
struct Sight<'a>(&'a Record);

impl Seen for Sight<'_> {
    fn standing(&self, kind: Kind) -> Vec<Id> {
        let entries = self.0.view().standing(kind);
        entries.map(|entry| entry.id.clone()).take(40).collect()
    }
}

/// Writes so many changes: notes on the day, new entries, changed ones.
fn write(record: &mut Record, keeper: &Id, many: usize, dice: &mut Dice, count: &mut u64) {
    let kinds = [
        Kind::Part,
        Kind::Finding,
        Kind::Job,
        Kind::Assembly,
        Kind::Container,
        Kind::Reading,
    ];
    let wanted = record.count() + many;
    let mut now = 1_900_000_000;
    while record.count() < wanted {
        now += 60;
        let kind = *dice.pick(&kinds);
        let sight = Sight(record);
        let edit = match dice.below(10) {
            0..=3 => Some(Edit::Note {
                day: format!("2031-{:02}-{:02}", 3 + dice.below(6), 1 + dice.below(28))
                    .parse()
                    .unwrap(),
                keeper: keeper.clone(),
                text: format!(
                    "Half a turn more on stud {}, then it held. {count}",
                    dice.below(12)
                ),
            }),
            4..=7 => for_new(kind, &sight, dice, count).map(|fields| Edit::Add {
                id: Id::from_uuid(dice.uuid()),
                fields: given(kind, fields.json).unwrap(),
            }),
            _ => dice.one(&sight.standing(kind)).cloned().map(|id| Edit::Change {
                id,
                fields: given(kind, for_change(kind, &sight, dice, count).json).unwrap(),
            }),
        };
        *count += 1;
        match edit.map(|edit| record.edit(&edit, Moment::from_seconds(now), dice)) {
            Some(Err(EditError::Refused(_))) | None => {}
            Some(done) => drop(done.unwrap()),
        }
    }
}

/// A record of one's own, opened from a snapshot.
fn seated(snapshot: &[u8], dice: &mut Dice) -> Record {
    let mut run = [0; 8];
    run.copy_from_slice(&dice.bytes()[..8]);
    let seat = Seat {
        device: dice.uuid(),
        run,
    };
    Record::open(Some(snapshot), &[], seat).unwrap()
}

fn name(effect: &Effect) -> &'static str {
    match effect {
        Effect::AskClock => "own clock",
        Effect::AskLacking(_) => "what the other lacks",
        Effect::Take(_) => "taking changes in (record alone)",
        Effect::AskDigest => "digest of everything",
        _ => "photos (none)",
    }
}

/// A host that takes changes in with nothing of the tests' own reckoning.
fn perform(record: &mut Record, node: &mut Node, effect: Effect, reckoned: &mut Reckoned) -> Vec<Event> {
    let event = match effect {
        Effect::AskClock => Event::Clock(record.clock().to_bytes()),
        Effect::AskLacking(clock) => {
            let clock = record::Clock::from_bytes(&clock).unwrap();
            let lacking = record.lacking(&clock).into_iter().map(|(_, bytes)| bytes);
            Event::Lacking(Ok(lacking.collect()))
        }
        Effect::Take(changes) => {
            drop(record.receive(&changes).unwrap());
            Event::Taken(Ok(record.heads().iter().map(|head| *head.bytes()).collect()))
        }
        Effect::AskDigest => {
            std::mem::swap(&mut node.device.record, record);
            let digest = node.digest(&BTreeMap::new());
            std::mem::swap(&mut node.device.record, record);
            Event::Mine(digest)
        }
        other => return node.perform(other, &BTreeMap::new(), reckoned, false).events,
    };
    vec![event]
}

#[expect(clippy::too_many_lines, reason = "one measurement after the other")]
fn main() {
    let mut dice = Dice::of(4);
    let mut reckoned = Reckoned::default();
    let mut count = 0;
    let first = Device::first(&mut dice, &mut reckoned);
    let keepers = [first.keeper.clone(), first.keeper.clone()];
    let snapshot = first.record.snapshot();
    let second = Device::joining(
        &mut dice,
        &first.parcel(None, false),
        Some(keepers[0].clone()),
        &mut reckoned,
    );
    let mut nodes = [Node::new(first, 0), Node::new(second, 0)];
    let mut records = [seated(&snapshot, &mut dice), seated(&snapshot, &mut dice)];
    for (record, keeper) in records.iter_mut().zip(&keepers) {
        write(record, keeper, APART, &mut dice, &mut count);
    }
    let clocks = [records[0].clock(), records[1].clock()];
    let own: usize = [(0, 1), (1, 0)]
        .into_iter()
        .flat_map(|(one, other)| records[one].lacking(&clocks[other]))
        .map(|(_, bytes)| bytes.len())
        .sum();

    let started = Instant::now();
    let mut split: BTreeMap<&str, (u32, Duration)> = BTreeMap::new();
    let mut lines = [0, 1].map(|at| Line::new(0, nodes[at].device.id.as_str(), at == 0));
    let mut frames = 0_u32;
    let mut timed = |what: &'static str, since: Instant| {
        let row = split.entry(what).or_default();
        row.0 += 1;
        row.1 += since.elapsed();
    };
    let mut now = 0;
    while !lines.iter().all(|line| line.is_idle() && line.status.alike) {
        for at in 0..2 {
            if lines[1 - at].listens
                && let Some(frame) = lines[at].out.pop_front()
            {
                let since = Instant::now();
                lines[1 - at].on(now, HubEvent::Got(frame));
                timed("the conversation, packing and opening", since);
                frames += 1;
            }
            let since = Instant::now();
            let wants = lines[at].next(now);
            timed("the conversation, packing and opening", since);
            match wants {
                Wants::Mine => {
                    let mut mine = nodes[at].mine();
                    mine.heads = records[at].heads().iter().map(|head| *head.bytes()).collect();
                    lines[at].begun(now, mine);
                }
                Wants::Effect(effect) => {
                    let what = name(&effect);
                    let since = Instant::now();
                    let events = perform(&mut records[at], &mut nodes[at], effect, &mut reckoned);
                    timed(what, since);
                    let since = Instant::now();
                    for event in events {
                        lines[at].tell(now, event);
                    }
                    timed("the conversation, packing and opening", since);
                }
                Wants::Nothing => {}
            }
        }
        if lines.iter().all(Line::is_idle) {
            // Nothing but time goes on.
            now += 200;
            assert!(now < 60_000, "they do not end alike: {:?}", lines[0].status);
            lines.iter_mut().for_each(Line::wake);
        }
    }
    let whole = started.elapsed();
    for line in &lines {
        let status = &line.status;
        assert!(
            status.phase == Phase::Live && status.alike && !status.difference,
            "{status:?}"
        );
    }
    assert_eq!(records[0].digest(), records[1].digest());
    let sent: u64 = lines.iter().map(|line| line.sent).sum();
    println!("| a meeting after {APART} changes on each side, both sides on one thread | times | ms |");
    println!("| --- | ---: | ---: |");
    for (what, (times, took)) in &split {
        println!("| {what} | {times} | {:.1} |", took.as_secs_f64() * 1_000.0);
    }
    println!("| all | | {:.1} |", whole.as_secs_f64() * 1_000.0);
    #[allow(clippy::cast_precision_loss, reason = "a few million at most")]
    let ratio = sent as f64 / own as f64;
    println!("\n{frames} frames, {sent} bytes for changes of {own} bytes: {ratio:.3} (may be {MOST})");
    assert!(ratio <= MOST, "too many bytes cross");
}
