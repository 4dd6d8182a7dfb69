//! Three devices on a real line: one revokes another, the third learns of it from the first and refuses it by itself. The
//! one that was lost is told why and by whom, gets nothing, and what it wrote later comes in by no meeting.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;
mod living;

use host::Handle;
use living::{LONG, ask, attend, digest, ended, has, is_live, open, pair, two, until};
use serde_json::{Value, json};

/// A keeper's device, as another's record has it.
fn member(side: &Handle, keeper: &str) -> Value {
    let members = ask(side, "members", json!({}));
    let mut all = members.as_array().unwrap().iter();
    all.find(|one| one["keeper_name"] == keeper).unwrap().clone()
}

#[test]
fn a_third_device_refuses_one_that_another_revoked() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    let phone = open(&dir.path().join("phone"), 3);
    attend(&phone);
    pair(&parent, &phone, "Ida");
    until("the phone has the record", LONG, || is_live(&phone));
    until("the child knows the phone", LONG, || {
        let members = ask(&child, "members", json!({}));
        members.as_array().unwrap().len() == 3
    });
    // Paired with each other too: without mDNS the phone knows no other way to the child.
    pair(&child, &phone, "Ida");
    let met = |side: &Handle, keeper: &str| {
        let page = ask(side, "meetings", json!({}));
        let mut all = page["devices"].as_array().unwrap().iter();
        all.any(|one| one["keeper_name"] == keeper && one["phase"] == "live" && one["alike"] == true)
    };
    until("the phone and the child meet", LONG, || {
        met(&phone, "Wilf") && met(&child, "Ida")
    });

    phone.leave();
    until("the phone is gone", LONG, || {
        !met(&child, "Ida") && !met(&parent, "Ida")
    });
    let device = member(&parent, "Ida")["device"].clone();
    ask(
        &parent,
        "revoke",
        json!({ "device": device, "why": "left in the taxi" }),
    );
    until("the child has learned it", LONG, || {
        !member(&child, "Ida")["revoked"].is_null()
    });
    // From now on the child is alone, and what it knows is its own to act on.
    parent.leave();
    ask(
        &child,
        "note",
        json!({ "day": "2031-03-02", "text": "propshaft" }),
    );
    ask(&phone, "note", json!({ "day": "2031-03-02", "text": "mischief" }));
    let before = (digest(&child), digest(&phone));

    attend(&phone);
    let told = || {
        ended(&phone, "Wilf").is_some_and(|why| why.contains("revoked") && why.contains("left in the taxi"))
    };
    until("the phone is told why by the child", LONG, told);
    // It asks again after a restart, and whatever it asked left both as they were.
    phone.leave();
    attend(&phone);
    until("it is told again", LONG, told);
    assert!(!is_live(&phone) && !met(&child, "Ida"));
    assert_eq!((digest(&child), digest(&phone)), before);
    assert!(!has(&phone, "propshaft") && !has(&child, "mischief"));
    // The phone itself does not know it: nobody gave it the change.
    assert!(member(&phone, "Ida")["revoked"].is_null());

    // The others meet, the phone still asking: what it wrote later is on neither, not even aside.
    attend(&parent);
    until("the others meet", LONG, || {
        met(&parent, "Wilf") && met(&child, "Rosalind")
    });
    until("it is told by the parent", LONG, || {
        ended(&phone, "Rosalind").is_some_and(|why| why.contains("left in the taxi"))
    });
    assert!(has(&parent, "propshaft"));
    assert_eq!(digest(&parent), digest(&child));
    for side in [&parent, &child] {
        assert!(!has(side, "mischief"));
        assert_eq!(ask(side, "check", json!({}))["sound"], true);
    }
}

#[test]
fn one_that_was_revoked_in_one_record_is_met_about_that_one_no_more() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = two(dir.path());
    // A second car, which the same two share.
    let first = ask(&parent, "records", json!({}))[0]["id"].clone();
    let second = ask(
        &parent,
        "start_record",
        json!({ "car": "Wren", "keeper": "Rosalind" }),
    )["id"]
        .clone();
    for record in [&second, &first] {
        ask(&parent, "choose_record", json!({ "record": record }));
        if record == &second {
            pair(&parent, &child, "Wilf");
        } else {
            ask(&child, "choose_record", json!({ "record": record }));
        }
    }
    for side in [&parent, &child] {
        until("both meet about the first", LONG, || is_live(side));
    }
    let device = member(&parent, "Wilf")["device"].clone();
    ask(
        &parent,
        "revoke",
        json!({ "device": device, "why": "left in the taxi" }),
    );
    until("the meeting about it is over", LONG, || !is_live(&parent));
    let before = digest(&parent);
    ask(&child, "note", json!({ "day": "2031-03-02", "text": "mischief" }));
    // It forgets why the last one ended, asks again, and reads why once more.
    ask(&child, "meet_now", json!({}));
    until("it is told again", LONG, || ended(&child, "Rosalind").is_some());
    assert_eq!(digest(&parent), before);
    assert!(!has(&parent, "mischief"));
    // About the second car they are still two.
    ask(&parent, "choose_record", json!({ "record": second }));
    assert!(member(&parent, "Wilf")["revoked"].is_null());
}

/// [Shown on the program before this: the device stood there twice under one name, once by each.]
#[test]
fn one_that_joined_by_a_file_and_pairs_is_not_entered_a_second_time() {
    let dir = tempfile::tempdir().unwrap();
    let (host, guest) = (
        open(&dir.path().join("host"), 1),
        open(&dir.path().join("guest"), 2),
    );
    ask(
        &host,
        "start_record",
        json!({ "car": "Tern", "keeper": "Rosalind" }),
    );
    let file = ask(&host, "carry_out", json!({ "open": true }))["file"].clone();
    ask(&guest, "join_record", json!({ "file": file, "keeper": "Wilf" }));
    attend(&host);
    attend(&guest);
    pair(&host, &guest, "Wilf");
    for side in [&host, &guest] {
        until("both live", LONG, || is_live(side));
    }
    assert_eq!(digest(&host), digest(&guest));
    let device = member(&host, "Wilf")["device"].clone();
    let history = ask(&host, "history", json!({ "kind": "device", "id": device }));
    let added = history.as_array().unwrap().iter();
    let added = added.filter(|line| line["message"].as_str().unwrap().starts_with("Added device"));
    assert_eq!(added.count(), 1, "{history}");
    let keepers = ask(&host, "keepers", json!({}));
    assert_eq!(keepers["keepers"].as_array().unwrap().len(), 2, "{keepers}");
    // From now on the two meet as devices that the record names.
    assert!(member(&host, "Wilf")["unnamed"].is_null());
}
