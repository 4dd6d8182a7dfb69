//! The N-th call fails, once or for good, as a disk that cannot write any more or that is full.

use std::collections::BTreeMap;

use tests::program::copy;
use tests::seed::Dice;

use crate::rig::{Fault, holds, is_clear, open, room, run, seed, wanted};

const EIO: i32 = 5;
const ENOSPC: i32 = 28;

/// What fails, and how: a dying disk may fail at anything, a full one at what needs room.
const WAYS: &[(&str, i32)] = &[
    ("w", EIO),
    ("s", EIO),
    ("r", EIO),
    ("t", EIO),
    ("c", EIO),
    ("wsrtc", EIO),
    ("w", ENOSPC),
    ("wc", ENOSPC),
    ("wrc", ENOSPC),
];

#[test]
fn a_call_that_fails_loses_nothing_and_is_told_in_words() {
    let root = room();
    let begun = root.path().join("begun");
    let first = run(&begun, 1, 8, Fault::default(), None);
    let mut all = BTreeMap::new();
    for way in WAYS {
        let trial = root.path().join("count");
        copy(&begun, &trial);
        drop(open(&trial, 3).unwrap());
        let fault = Fault {
            kinds: way.0,
            errno: way.1,
            ..Fault::default()
        };
        all.insert(*way, run(&trial, 2, 16, fault, None).calls);
        std::fs::remove_dir_all(&trial).unwrap();
    }
    println!("calls of a run: {all:?}");
    let (from, tries) = (seed(), wanted("WITNESSMARK_FAULTS", 27));
    let (mut refused, mut pages) = (0, 0);
    for number in from..from + tries {
        let mut dice = Dice::of(number);
        let way = WAYS[usize::try_from(number).unwrap() % WAYS.len()];
        let calls = usize::try_from(all[&way]).unwrap();
        let fault = Fault {
            kinds: way.0,
            errno: way.1,
            at: dice.below(calls.max(1)) as u64 + 1,
            good: dice.chance(50),
        };
        let told = format!("seed {number}, {fault:?}");
        let trial = root.path().join("trial");
        copy(&begun, &trial);
        drop(open(&trial, 3).unwrap());
        let said = run(&trial, 2, 16, fault, None);
        for line in &said.lines {
            if let Some(no) = line.strip_prefix("no ").or_else(|| line.strip_prefix("shut ")) {
                assert!(is_clear(no), "{told}: {line}");
                refused += 1;
            }
            if line.starts_with("page ") {
                assert_eq!(line, "page ok", "{told}: a page cannot be read");
                pages += 1;
            }
        }
        let kept: Vec<String> = first.kept().into_iter().chain(said.kept()).collect();
        holds(&trial, &kept, &told);
        std::fs::remove_dir_all(&trial).unwrap();
    }
    println!(
        "{tries} faults from seed {from}: {refused} refusals, {pages} pages read after one, nothing kept was lost"
    );
    assert!(refused > 0, "no fault was ever met");
}
