//! Schedules of chance: records, lines, breaks and edits as a seed draws them, and everything everywhere at the end.

use link::talk::hub::{MOST_DOUBLED, REST};
use link::talk::{MOST_ON_THE_WAY, Why};

use crate::world::{Device, Did, World, tag};
use crate::{all_live, has, photo};

struct Dice(blake3::OutputReader);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        let mut bytes = [0; 8];
        self.0.fill(&mut bytes);
        u64::from_le_bytes(bytes) % most
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn everything_comes_through_whatever_the_line_does() {
    let (mut cuts, mut failures, mut hangs, mut photos) = (0, 0, 0, 0);
    for seed in 0..150_u64 {
        let mut dice = Dice(blake3::Hasher::new().update(&seed.to_le_bytes()).finalize_xof());
        let records: Vec<u8> = (1..=1 + dice.below(4) as u8).collect();
        let all: Vec<(u8, &[&str])> = records
            .iter()
            .map(|record| (*record, &["a"] as &[&str]))
            .collect();
        let mut world = World::new(Device::new("phone", &all), Device::new("laptop", &all));
        world.rate = [20, 200, 1_250][dice.below(3) as usize];
        world.latency = dice.below(300);
        for device in &mut world.devices {
            device.takes = dice.below(30);
        }
        let mut written = Vec::new();
        world.connect();
        for step in 0..60 {
            let (at, record) = (dice.below(2) as usize, 1 + dice.below(records.len() as u64) as u8);
            match dice.below(12) {
                0..=4 => {
                    let text = format!("edit {step}");
                    world.write(at, record, &text);
                    written.push((at, record, text));
                }
                5 => {
                    let length = 1 + dice.below(200_000) as usize;
                    photo(
                        &mut world,
                        record,
                        seed * 1_000 + step,
                        length,
                        dice.below(2) == 0,
                    );
                    let wanted = world.devices[1].book(record).wanted();
                    world.tell_photos(1, record, wanted);
                    photos += 1;
                }
                6 => {
                    world.cut();
                    cuts += 1;
                }
                7 => {
                    let refuses = &mut world.devices[at].refuses;
                    failures += 1;
                    if !refuses.remove(&record) {
                        refuses.insert(record);
                    }
                }
                8 => {
                    let shared: Vec<u8> = records.iter().copied().filter(|_| dice.below(4) > 0).collect();
                    world.share(at, &shared);
                }
                9 => {
                    world.devices[at].hangs = true;
                    world.pass(dice.below(90_000));
                    world.devices[at].hangs = false;
                    hangs += 1;
                }
                _ => {}
            }
            let long = [10, 500, 5_000, 70_000][dice.below(4) as usize];
            world.pass(dice.below(long));
            if !world.is_connected() {
                world.pass(dice.below(3_000));
                world.connect();
            }
        }
        // All is well from here on; what failed has rested at the latest after its longest rest.
        for at in 0..2 {
            world.devices[at].refuses.clear();
            world.share(at, &records);
        }
        let end = world.now + (REST << MOST_DOUBLED) + 600_000;
        while !world.until(world.now + 20_000, |world| all_live(world, &records)) {
            assert!(world.now < end, "seed {seed}: they do not come to rest");
            if !world.is_connected() {
                world.connect();
            }
        }
        while world.devices[1].books.values().any(|book| !book.parts.is_empty()) {
            assert!(world.now < end, "seed {seed}: photos are missing");
            for record in &records {
                let wanted = world.devices[1].book(*record).wanted();
                world.tell_photos(1, *record, wanted);
            }
            world.pass(20_000);
        }
        for (at, record, text) in &written {
            for side in 0..2 {
                assert!(
                    has(&world, side, *record, text),
                    "seed {seed}: {text} of {at} is lost"
                );
            }
        }
        hold(seed, &world);
    }
    println!("{cuts} cuts, {failures} turns of a record's luck, {hangs} hangs, {photos} photos");
    assert!(cuts > 100 && failures > 100 && hangs > 100 && photos > 100);
}

/// What may never happen in a meeting of honest sides.
fn hold(seed: u64, world: &World) {
    for device in &world.devices {
        for (at, did) in &device.did {
            match did {
                Did::Sent { bytes, waiting, .. } => {
                    assert!(
                        waiting + bytes <= MOST_ON_THE_WAY / 2 + (1 << 20),
                        "seed {seed}: {waiting}"
                    );
                }
                Did::Over(record, Some(why)) => {
                    let honest = !matches!(
                        why,
                        Why::Garbled(_) | Why::NotUnderstood | Why::Older(_) | Why::Newer(_)
                    );
                    assert!(honest, "seed {seed}: {why} about {:?} at {at}", tag(*record));
                }
                _ => {}
            }
        }
        if let Some((at, why)) = &device.ended {
            assert!(!matches!(why, Why::Garbled(_)), "seed {seed}: {why} at {at}");
        }
    }
}
