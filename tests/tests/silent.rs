//! A device whose keeper turned meetings off is silent: it has no socket by which anybody could be met. (Linux tells which
//! sockets a program has; elsewhere only its own word is asked.)

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use serde_json::json;
use tests::attending::{ask, open, two, until};

/// How many UDP sockets this process has.
#[cfg(target_os = "linux")]
fn sockets() -> usize {
    let own: Vec<String> = std::fs::read_dir("/proc/self/fd")
        .unwrap()
        .filter_map(|fd| {
            Some(
                std::fs::read_link(fd.ok()?.path())
                    .ok()?
                    .to_string_lossy()
                    .into_owned(),
            )
        })
        .filter_map(|link| Some(link.strip_prefix("socket:[")?.strip_suffix(']')?.to_owned()))
        .collect();
    ["udp", "udp6"]
        .iter()
        .flat_map(|kind| {
            let table = std::fs::read_to_string(format!("/proc/self/net/{kind}")).unwrap_or_default();
            table.lines().skip(1).map(str::to_owned).collect::<Vec<_>>()
        })
        .filter(|line| {
            line.split_whitespace()
                .nth(9)
                .is_some_and(|inode| own.iter().any(|one| one == inode))
        })
        .count()
}

#[cfg(not(target_os = "linux"))]
fn sockets() -> usize {
    0
}

#[test]
fn with_meetings_off_there_is_no_socket() {
    let dir = tempfile::tempdir().unwrap();
    let (host, guest) = two(dir.path());
    assert!(
        !cfg!(target_os = "linux") || sockets() > 0,
        "the count sees what is there"
    );
    for side in [&host, &guest] {
        let page = ask(side, "live", json!({ "on": false }));
        assert_eq!(page["on"], false);
    }
    for side in [&host, &guest] {
        until("it listens no more", || {
            ask(side, "meetings", json!({}))["listening"] == false
        });
    }
    until("no socket is left", || sockets() == 0);
    // Whatever is written, it stays so; and so it begins at the next start.
    ask(&host, "note", json!({ "day": "2031-03-01", "text": "Quiet." }));
    std::thread::sleep(std::time::Duration::from_secs(1));
    assert_eq!(sockets(), 0);
    guest.leave();
    drop(guest);
    let guest = open(&dir.path().join("second"), 3);
    std::thread::sleep(std::time::Duration::from_secs(1));
    assert_eq!(
        (sockets(), &ask(&guest, "meetings", json!({}))["listening"]),
        (0, &json!(false))
    );
    for side in [host, guest] {
        side.leave();
    }
}
