//! A bad line between two devices: a UDP proxy that carries so many bytes a second, spoils one packet in so many, and
//! breaks again and again. A short break ends with other ports, as behind a router that forgot; in a long one the
//! connection dies. Everything is drawn from a seed; the moments are the machine's. It knows nothing of what it carries.

use std::net::{SocketAddr, UdpSocket};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Longer than a net takes to find that it hears nothing.
const DEAD: Duration = Duration::from_millis(5_600);
const BLINK: Duration = Duration::from_millis(300);
/// The longest datagram that is carried.
const DATAGRAM: usize = 2_048;

/// What the line is like.
#[derive(Clone, Copy)]
pub(crate) struct Manners {
    pub(crate) seed: u64,
    /// Between breaks, at least and at most.
    pub(crate) stands: (Duration, Duration),
    /// After so many breaks it stands.
    pub(crate) breaks: u64,
    /// One packet of so many has one bit turned.
    pub(crate) spoils: u64,
    /// Bytes a second, each way.
    pub(crate) rate: u64,
}

/// What it did.
#[derive(Default)]
pub(crate) struct Did {
    pub(crate) packets: AtomicU64,
    pub(crate) spoiled: AtomicU64,
    /// Lost in breaks.
    pub(crate) lost: AtomicU64,
    /// Bytes that came to it on the way to the guest.
    pub(crate) bytes: AtomicU64,
    pub(crate) blinks: AtomicU64,
    pub(crate) deaths: AtomicU64,
}

/// A seeded draw (SplitMix64).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    pub(crate) fn below(&mut self, count: u64) -> u64 {
        self.next() % count
    }
}

/// The running proxy.
pub(crate) struct Line {
    pub(crate) at: SocketAddr,
    pub(crate) did: Arc<Did>,
    over: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Line {
    /// Listens on IPv6 loopback for one side, and speaks to the other from IPv4 loopback: the two have no other way.
    pub(crate) fn new(to: SocketAddr, manners: Manners) -> Self {
        let front = UdpSocket::bind("[::1]:0").expect("this test needs ::1");
        let at = front.local_addr().unwrap();
        let did = Arc::<Did>::default();
        let over = Arc::<AtomicBool>::default();
        let carrier = Carrier {
            front,
            to,
            manners,
            did: Arc::clone(&did),
            over: Arc::clone(&over),
        };
        let thread = std::thread::spawn(move || carrier.run());
        Self {
            at,
            did,
            over,
            thread: Some(thread),
        }
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        self.over.store(true, Ordering::SeqCst);
        self.thread.take().unwrap().join().unwrap();
    }
}

struct Carrier {
    front: UdpSocket,
    to: SocketAddr,
    manners: Manners,
    did: Arc<Did>,
    over: Arc<AtomicBool>,
}

impl Carrier {
    fn run(self) {
        let mut dice = Dice(self.manners.seed);
        let caller = Arc::new(Mutex::new(None::<SocketAddr>));
        // Breaks by turns short and long, so that both happen in a short run as well.
        let mut long = dice.below(2) == 0;
        let mut breaks = 0;
        while !self.over.load(Ordering::SeqCst) {
            let back = UdpSocket::bind("127.0.0.1:0").unwrap();
            let (least, most) = self.manners.stands;
            let span = u64::try_from((most - least).as_millis()).unwrap();
            let stands = least + Duration::from_millis(dice.below(span + 1));
            let forever = Duration::from_secs(3_600);
            let until = Instant::now()
                + if breaks < self.manners.breaks {
                    stands
                } else {
                    forever
                };
            breaks += 1;
            let seeds = [dice.next(), dice.next()];
            std::thread::scope(|scope| {
                let there = || {
                    self.carry(&self.front, seeds[0], until, |from, bytes| {
                        *caller.lock().unwrap() = Some(from);
                        let _ = back.send_to(bytes, self.to);
                    });
                };
                let here = || {
                    self.carry(&back, seeds[1], until, |_, bytes| {
                        self.did.bytes.fetch_add(bytes.len() as u64, Ordering::Relaxed);
                        if let Some(caller) = *caller.lock().unwrap() {
                            let _ = self.front.send_to(bytes, caller);
                        }
                    });
                };
                scope.spawn(there);
                scope.spawn(here);
            });
            if self.over.load(Ordering::SeqCst) {
                return;
            }
            let count = if long { &self.did.deaths } else { &self.did.blinks };
            count.fetch_add(1, Ordering::Relaxed);
            self.swallow(&back, Instant::now() + if long { DEAD } else { BLINK });
            long = !long;
        }
    }

    /// Carries one way until then, at its rate, from a queue of a quarter of a second.
    fn carry(&self, from: &UdpSocket, seed: u64, until: Instant, mut send: impl FnMut(SocketAddr, &[u8])) {
        let mut dice = Dice(seed);
        from.set_read_timeout(Some(Duration::from_millis(5))).unwrap();
        let mut free = Instant::now();
        let mut bytes = [0; DATAGRAM];
        while Instant::now() < until && !self.over.load(Ordering::SeqCst) {
            let (length, caller) = match from.recv_from(&mut bytes) {
                Ok(got) => got,
                // Nothing came; or Linux tells a sender on loopback that nobody listens there now.
                Err(_) => continue,
            };
            let packet = &mut bytes[..length];
            self.did.packets.fetch_add(1, Ordering::Relaxed);
            if dice.below(self.manners.spoils) == 0 {
                let bit = dice.below(length as u64 * 8) as usize;
                packet[bit / 8] ^= 1 << (bit % 8);
                self.did.spoiled.fetch_add(1, Ordering::Relaxed);
            }
            free =
                free.max(Instant::now()) + Duration::from_secs_f64(length as f64 / self.manners.rate as f64);
            send(caller, packet);
            let ahead = free.saturating_duration_since(Instant::now());
            // The socket's own buffer is the queue; what it does not hold is lost, as at any router.
            if ahead > Duration::from_millis(2) {
                std::thread::sleep(ahead);
            }
        }
    }

    /// Loses whatever comes from either side until then.
    fn swallow(&self, back: &UdpSocket, until: Instant) {
        let short = Some(Duration::from_millis(2));
        self.front.set_read_timeout(short).unwrap();
        back.set_read_timeout(short).unwrap();
        let mut bytes = [0; DATAGRAM];
        while Instant::now() < until && !self.over.load(Ordering::SeqCst) {
            if self.front.recv_from(&mut bytes).is_ok() {
                self.did.lost.fetch_add(1, Ordering::Relaxed);
            }
            if let Ok((length, _)) = back.recv_from(&mut bytes) {
                self.did.bytes.fetch_add(length as u64, Ordering::Relaxed);
                self.did.lost.fetch_add(1, Ordering::Relaxed);
            }
        }
    }
}
