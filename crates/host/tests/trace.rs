//! What goes on in the background leaves a trace: a pairing, a meeting that ends, a look at a drop that is not there. No word of
//! the record is in it, nor where the drop lies.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../../notebook/tests/folders/mod.rs"]
mod folders;
mod living;

use living::{LONG, ask, two, until};
use serde_json::json;

#[test]
fn a_meeting_and_a_look_leave_a_trace_without_a_word_of_the_record() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("trace");
    // The trace begins before there is a folder, as in a program's first run.
    assert!(host::leave_trace(Some(&at), false));
    assert!(!host::leave_trace(Some(&at), false), "once for a program");
    std::fs::create_dir(&at).unwrap();
    let (parent, child) = two(&dir.path().join("of"));
    let there = dir.path().join("a stick");
    std::fs::create_dir(&there).unwrap();
    let place = json!({ "place": { "folder": { "path": there } }, "name": "blue stick", "photos": false });
    ask(&parent, "drop_add", place);
    std::fs::remove_dir_all(&there).unwrap();
    ask(&parent, "drop_look", json!({}));
    child.leave();
    let said = || std::fs::read_to_string(at.join("trace.log")).unwrap_or_default();
    for line in [
        "a pairing is done",
        "somebody is here",
        "a meeting is over",
        "there was no look",
    ] {
        until(line, LONG, || said().contains(line));
    }
    parent.leave();
    let said = said();
    for word in ["Tern", "Rosalind", "Wilf", "gearbox", "stick", "127.0.0.1"] {
        assert!(!said.contains(word), "'{word}' is in the trace:\n{said}");
    }
}
