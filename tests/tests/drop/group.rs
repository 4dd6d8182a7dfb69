//! Some devices with one record and one drop, each with what it noted of it; all of it in memory but for the place.

use link::drop::{DropLimits, Place, Plan, Told};
use tests::act::Act;
use tests::device::Device;
use tests::ledger::Reckoned;
use tests::seed::Dice;

use crate::party::{Club, Full, Keys, Shelf};

pub(crate) struct Group {
    pub(crate) dice: Dice,
    reckoned: Reckoned,
    pub(crate) devices: Vec<Device>,
    pub(crate) shelves: Vec<Shelf>,
    club: Club,
    tokens: u64,
}

impl Group {
    /// So many devices, all with the same.
    pub(crate) fn of(count: usize, seed: u64) -> Self {
        let mut dice = Dice::of(seed);
        let mut reckoned = Reckoned::default();
        let first = Device::first(&mut dice, &mut reckoned);
        let shelf = Shelf::of(Keys::of(1));
        let mut group = Group {
            dice,
            reckoned,
            devices: vec![first],
            club: Club::of([&shelf.keys]),
            shelves: vec![shelf],
            tokens: 0,
        };
        for _ in 1..count {
            group.join();
        }
        group
    }

    /// One more joins, with everything that the first one has.
    pub(crate) fn join(&mut self) {
        let whole = self.devices[0].parcel(None, false);
        let device = Device::joining(&mut self.dice, &whole, None, &mut self.reckoned);
        self.devices.push(device);
        let number = u8::try_from(self.devices.len()).unwrap();
        let shelf = Shelf::of(Keys::of(number));
        self.club.join(&shelf.keys);
        self.shelves.push(shelf);
    }

    pub(crate) fn edit(&mut self, at: usize, times: usize) {
        for _ in 0..times {
            let device = &mut self.devices[at];
            let mut hand = std::mem::take(&mut device.hand);
            let act = Act::any(device, &mut hand, &mut self.dice, &mut self.tokens);
            device.hand = hand;
            device.act(&act, &mut self.reckoned);
        }
    }

    /// A look that nothing goes wrong at.
    pub(crate) fn look(&mut self, at: usize, place: &mut dyn Place, limits: &DropLimits, now: i64) -> Told {
        let mut full = Full {
            device: &mut self.devices[at],
            reckoned: &mut self.reckoned,
        };
        let told = self.shelves[at]
            .look(place, &mut full, &self.club, limits, now)
            .unwrap();
        assert!(told.stopped.is_none() && told.faults.is_empty(), "{told:?}");
        told
    }

    /// What the next look would do.
    pub(crate) fn ahead(&mut self, at: usize, place: &mut dyn Place, limits: &DropLimits, now: i64) -> Plan {
        let mut full = Full {
            device: &mut self.devices[at],
            reckoned: &mut self.reckoned,
        };
        self.shelves[at].ahead(place, &mut full, &self.club, limits, now)
    }
}
