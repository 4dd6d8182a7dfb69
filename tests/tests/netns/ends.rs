//! Two ends of a link, without notebooks: they pair, find each other by mDNS, exchange numbered pieces, lose the cable
//! amid them, change address, and meet again within three seconds; and two that have no way to each other meet through
//! a relay.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use crate::space::Space;
use crate::{AGAIN, LONG, SETTLED};

/// An end of a link: the process, and the lines that it says, each with its moment.
struct End {
    name: &'static str,
    child: Child,
    orders: ChildStdin,
    lines: Receiver<(Instant, String)>,
}

impl End {
    fn start(name: &'static str, space: &Space, words: &str) -> Self {
        let mut child = Command::new("ip")
            .args(["netns", "exec", &space.0, env!("CARGO_BIN_EXE_net-end")])
            .args(words.split_whitespace())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let orders = child.stdin.take().unwrap();
        let said = BufReader::new(child.stdout.take().unwrap());
        let (tell, lines) = channel();
        std::thread::spawn(move || {
            for line in said.lines().map_while(Result::ok) {
                if tell.send((Instant::now(), line)).is_err() {
                    return;
                }
            }
        });
        Self {
            name,
            child,
            orders,
            lines,
        }
    }

    fn order(&mut self, order: &str) {
        writeln!(self.orders, "{order}").unwrap();
    }

    /// The next line that begins with this word: its moment, and what follows the word.
    fn hears(&self, word: &str) -> (Instant, String) {
        let until = Instant::now() + LONG;
        loop {
            let rest = until.saturating_duration_since(Instant::now());
            match self.lines.recv_timeout(rest) {
                Ok((when, line)) => {
                    println!("{}: {line}", self.name);
                    assert!(!line.starts_with("ended"), "{}: {line}", self.name);
                    let (first, follows) = line.split_once(' ').unwrap_or((&line, ""));
                    if first == word {
                        return (when, follows.to_owned());
                    }
                }
                Err(RecvTimeoutError::Timeout) => panic!("{} did not say `{word}` in {LONG:?}", self.name),
                Err(RecvTimeoutError::Disconnected) => panic!("{} ended before it said `{word}`", self.name),
            }
        }
    }

    /// Waits until it knows an address of its own; a ticket is made of what it knows.
    fn knows(&mut self, address: &str) {
        self.order(&format!("await {address}"));
        self.hears("found");
    }

    /// Waits until it has so many pieces; how many came twice.
    fn has(&self, pieces: u64) -> u64 {
        loop {
            let (_, said) = self.hears("have");
            let (have, again) = said.split_once(" again ").unwrap();
            if have.parse::<u64>().unwrap() >= pieces {
                return again.parse().unwrap();
            }
        }
    }

    fn key(&self) -> String {
        let (_, said) = self.hears("started");
        let (took, key) = said.split_once(' ').unwrap();
        assert!(
            took.parse::<u64>().unwrap() < 2_000,
            "{} started in {took} ms",
            self.name
        );
        key.to_owned()
    }
}

impl Drop for End {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Pairs the two by a ticket; both show the same digits, and each learns who the other is.
fn pair(host: &mut End, host_key: &str, guest: &mut End, guest_key: &str) {
    host.order("host");
    let (_, ticket) = host.hears("ticket");
    guest.order(&format!("guest {ticket}"));
    let (_, shown) = host.hears("code");
    assert_eq!(shown.len(), "0000 0000 0000".len());
    assert_eq!(guest.hears("code").1, shown);
    let at_host = host.hears("paired").1;
    let at_guest = guest.hears("paired").1;
    assert!(at_host.starts_with(guest_key) && at_guest.starts_with(host_key));
    assert_ne!(at_host, at_guest);
}

#[test]
fn two_hosts_pair_find_each_other_and_meet_again_after_a_break() {
    let (first, second) = (Space::new("a"), Space::new("b"));
    first.cable("to-b", &second, "to-a");
    first.address("to-b", "10.77.1.1");
    second.address("to-a", "10.77.1.2");
    let mut one = End::start("one", &first, "device 1 mdns");
    let mut other = End::start("other", &second, "device 2 mdns");
    let (one_key, other_key) = (one.key(), other.key());
    one.knows("10.77.1.1");
    pair(&mut one, &one_key, &mut other, &other_key);

    // Neither is told where the other is.
    one.order("send 2000");
    let asked = Instant::now();
    one.order(&format!("wish {other_key}"));
    other.order(&format!("wish {one_key}"));
    let found = other.hears("here").0.max(one.hears("here").0);
    println!(
        "== found each other by mDNS in {:?}",
        found.saturating_duration_since(asked)
    );

    // The cable is pulled amid the pieces, and both notice.
    other.has(300);
    second.ip("link set to-a down");
    other.hears("gone");
    one.hears("gone");
    // It comes back with another address.
    second.ip("addr flush dev to-a");
    second.address("to-a", "10.77.1.9");
    let back = Instant::now();
    let again = other.hears("here").0.max(one.hears("here").0);
    let took = again.saturating_duration_since(back);
    println!("== met again at another address after {took:?}");
    assert!(took <= AGAIN, "{took:?}");
    let twice = other.has(2_000);
    println!("== of 2000 pieces {twice} came twice");
    assert_eq!(twice, 0);
}

#[test]
fn an_address_that_changes_under_a_standing_meeting_stops_it_no_longer_than_three_seconds() {
    let (first, second) = (Space::new("c"), Space::new("d"));
    first.cable("to-d", &second, "to-c");
    first.address("to-d", "10.77.2.1");
    second.address("to-c", "10.77.2.2");
    let mut one = End::start("one", &first, "device 1 mdns");
    let mut other = End::start("other", &second, "device 2 mdns");
    let (one_key, other_key) = (one.key(), other.key());
    one.knows("10.77.2.1");
    pair(&mut one, &one_key, &mut other, &other_key);
    one.order("send 20000");
    one.order(&format!("wish {other_key}"));
    other.order(&format!("wish {one_key}"));
    other.has(100);
    second.ip("addr flush dev to-c");
    second.address("to-c", "10.77.2.9");
    let changed = Instant::now();
    // The pieces that were under way do not count: only what comes after the change has been felt.
    let mut last = changed;
    let mut longest = Duration::ZERO;
    loop {
        let (when, said) = other.hears("have");
        longest = longest.max(when.saturating_duration_since(last));
        last = last.max(when);
        if said.starts_with("20000 ") {
            break;
        }
    }
    println!("== the pieces stood still for {longest:?}");
    assert!(longest <= AGAIN, "{longest:?}");
}

/// Whoever waits for long asks seldom who is near; whoever comes is found all the same at once.
#[test]
fn one_that_has_waited_for_long_is_met_as_soon_as_the_other_is_back() {
    let (first, second) = (Space::new("s"), Space::new("t"));
    first.cable("to-t", &second, "to-s");
    first.address("to-t", "10.77.8.1");
    second.address("to-s", "10.77.8.2");
    let mut one = End::start("one", &first, "device 1 mdns");
    let mut other = End::start("other", &second, "device 2 mdns");
    let (one_key, other_key) = (one.key(), other.key());
    one.knows("10.77.8.1");
    pair(&mut one, &one_key, &mut other, &other_key);
    one.order(&format!("wish {other_key}"));
    other.order(&format!("wish {one_key}"));
    other.hears("here");
    one.hears("here");
    second.ip("link set to-s down");
    other.hears("gone");
    one.hears("gone");
    std::thread::sleep(SETTLED);
    second.ip("addr flush dev to-s");
    second.address("to-s", "10.77.8.9");
    let back = Instant::now();
    let again = other.hears("here").0.max(one.hears("here").0);
    let took = again.saturating_duration_since(back);
    println!("== met again after a long break in {took:?}");
    assert!(took <= AGAIN, "{took:?}");
}

#[test]
fn a_host_that_starts_without_a_network_is_there_when_one_comes() {
    let (first, second) = (Space::new("e"), Space::new("f"));
    let mut one = End::start("one", &first, "device 1 mdns");
    let mut other = End::start("other", &second, "device 2 mdns");
    let (one_key, other_key) = (one.key(), other.key());
    first.cable("to-f", &second, "to-e");
    first.address("to-f", "10.77.3.1");
    second.address("to-e", "10.77.3.2");
    one.knows("10.77.3.1");
    pair(&mut one, &one_key, &mut other, &other_key);
    one.order(&format!("wish {other_key}"));
    one.hears("here");
    other.hears("here");
}

/// Both reach the relay's host and nothing else: it does not forward, as a router that keeps strangers out does not.
#[test]
fn hosts_without_a_route_to_each_other_meet_through_a_relay_of_ones_own() {
    let (home, away, between) = (Space::new("g"), Space::new("h"), Space::new("r"));
    between.ip("addr add 10.77.9.9/32 dev lo");
    for (host, end, net) in [(&home, "to-g", 4), (&away, "to-h", 5)] {
        host.cable("out", &between, end);
        host.address("out", &format!("10.77.{net}.2"));
        between.ip(&format!("addr add 10.77.{net}.1/24 dev {end}"));
        between.ip(&format!("link set {end} up"));
        host.ip(&format!("route replace default via 10.77.{net}.1"));
    }
    let forwards = Command::new("ip")
        .args([
            "netns",
            "exec",
            &between.0,
            "cat",
            "/proc/sys/net/ipv4/ip_forward",
        ])
        .output()
        .unwrap();
    assert_eq!(forwards.stdout, b"0\n", "the relay's host must not forward");
    let relay = End::start("relay", &between, "relay 10.77.9.9:3340");
    relay.hears("ready");
    let words = |number| format!("device {number} mdns relay=http://10.77.9.9:3340");
    let mut one = End::start("one", &home, &words(1));
    let mut other = End::start("other", &away, &words(2));
    let (one_key, other_key) = (one.key(), other.key());
    one.knows("10.77.9.9:3340");
    pair(&mut one, &one_key, &mut other, &other_key);
    one.order("send 100");
    let asked = Instant::now();
    one.order(&format!("wish {other_key}"));
    let met = one.hears("here").0;
    other.has(100);
    println!(
        "== met through the relay in {:?}, 100 pieces in {:?}",
        met.saturating_duration_since(asked),
        asked.elapsed()
    );
}

/// The host away sits behind a router that hides its addresses and lets nothing in by itself (masquerade, and forwarding
/// of answers alone, by nftables); the one at home is on a network that only its own router reaches. The relay's host is
/// the one that both can call.
#[test]
fn a_host_behind_a_router_that_hides_it_meets_through_a_relay_of_ones_own() {
    let (home, away) = (Space::new("i"), Space::new("j"));
    let (router, relay_host) = (Space::new("n"), Space::new("o"));
    // Home and the router's outer side are on the relay's networks; the relay's host does not forward.
    home.cable("out", &relay_host, "to-i");
    router.cable("out", &relay_host, "to-n");
    away.cable("out", &router, "to-j");
    for (host, end, there, net) in [
        (&home, "to-i", &relay_host, 11),
        (&router, "to-n", &relay_host, 12),
    ] {
        host.address("out", &format!("10.77.{net}.2"));
        there.ip(&format!("addr add 10.77.{net}.1/24 dev {end}"));
        there.ip(&format!("link set {end} up"));
        host.ip(&format!("route replace default via 10.77.{net}.1"));
    }
    away.address("out", "192.168.77.2");
    router.ip("addr add 192.168.77.1/24 dev to-j");
    router.ip("link set to-j up");
    away.ip("route replace default via 192.168.77.1");
    router.feeds("tee /proc/sys/net/ipv4/ip_forward", "1");
    router.feeds(
        "nft -f -",
        "table ip wm {
           chain hide { type nat hook postrouting priority 100; oifname \"out\" counter masquerade random; }
           chain answers { type filter hook forward priority 0; policy drop;
             iifname \"to-j\" accept
             ct state established,related accept; }
         }",
    );
    let relay = End::start("relay", &relay_host, "relay 10.77.12.1:3340");
    relay.hears("ready");
    // Seen from home the relay is another address of the same host.
    let mut one = End::start("one", &home, "device 1 mdns relay=http://10.77.12.1:3340");
    let mut other = End::start("other", &away, "device 2 mdns relay=http://10.77.12.1:3340");
    let (one_key, other_key) = (one.key(), other.key());
    one.knows("10.77.12.1:3340");
    pair(&mut one, &one_key, &mut other, &other_key);
    one.order("send 200");
    let asked = Instant::now();
    one.order(&format!("wish {other_key}"));
    let met = one.hears("here").0;
    assert_eq!(other.has(200), 0);
    println!(
        "== from behind a router, met through the relay in {:?}, 200 pieces in {:?}",
        met.saturating_duration_since(asked),
        asked.elapsed()
    );
    // It was hidden: connections of its went out under the router's address, and no packet from outside came unasked.
    let rules = router.runs("nft list table ip wm");
    let hidden = rules
        .split("counter packets ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next());
    assert!(hidden.is_some_and(|count| count != "0"), "{rules}");
}
