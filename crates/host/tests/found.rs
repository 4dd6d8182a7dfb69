//! Where others were found is remembered from meetings, and a device listens where it did last: two on loopback, without
//! mDNS, restart and move in turn, and meet each time by what one of them remembers.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;
mod living;

use std::net::UdpSocket;

use host::Handle;
use living::{LONG, attend, attend_at, is_live, two, until};

/// A port that was free a moment ago.
fn free() -> u16 {
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    socket.local_addr().unwrap().port()
}

fn both_leave(one: &Handle, other: &Handle) {
    one.leave();
    other.leave();
    assert!(!is_live(one) && !is_live(other));
}

fn meet(one: &Handle, other: &Handle, what: &str) {
    until(what, LONG, || is_live(one) && is_live(other));
}

#[test]
fn two_that_move_in_turn_meet_by_what_the_other_remembers() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());

    both_leave(&parent, &child);
    attend(&parent);
    attend(&child);
    meet(&parent, &child, "both restarted, each where it was");

    // The child moves. Only it knows where the other is, and the parent learns by the meeting where the child is now.
    let moved = free();
    child.leave();
    attend_at(&child, moved);
    meet(&parent, &child, "the child dials from its new port");

    // Now the parent moves, so that only it knows where the other is: the child listens there again.
    both_leave(&parent, &child);
    attend(&child);
    attend_at(&parent, free());
    meet(&parent, &child, "the parent dials where it met the child last");

    // Somebody else has the child's port: it takes another, and dials where it met the parent last.
    both_leave(&parent, &child);
    let taken = UdpSocket::bind(("127.0.0.1", moved)).unwrap();
    attend(&parent);
    attend(&child);
    meet(&parent, &child, "the child dials though its port is taken");
    drop(taken);
}
