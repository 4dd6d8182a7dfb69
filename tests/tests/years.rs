//! What a page costs as a record grows: how many entries are read for it, which no machine's speed has a part in, and by the way how long
//! it takes. `WITNESSMARK_YEARS="16 4 1"` names the shares of nine years that are written, the smallest first; the times are of this build.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::sync::Arc;
use std::time::Instant;

use tests::years::{Clock, Costs, EVENINGS, Garage, exponent, longest};

/// Pages of one thing, for which no more may be read as the record grows. What lists everything of its kind is not among them.
const OF_ONE_THING: [&str; 8] = [
    "assembly",
    "entry",
    "history",
    "pictures",
    "close_up_check",
    "finding",
    "reading",
    "strike_check",
];

fn at_share(share: usize) -> Costs {
    let dir = tempfile::tempdir().unwrap();
    let mut garage = Garage::of(11);
    let began = Instant::now();
    {
        let clock = Clock::of(Arc::clone(&garage.at), 11);
        let mut notebook = host::open(dir.path(), "years", Box::new(clock)).unwrap();
        garage.begin(&mut notebook);
        garage.evenings(&mut notebook, EVENINGS / share);
    }
    let written = began.elapsed().as_secs_f64();
    let costs = Costs::of(dir.path(), &mut garage);
    if std::env::var("WITNESSMARK_YEARS").is_ok() {
        println!("long work at 1/{share}: longest step in ms with the notebook, and beside it");
        for step in longest(dir.path(), &garage) {
            println!(
                "{:12} {:24} {:8.1} {:8.1}",
                step.command, step.what, step.turn, step.beside
            );
        }
    }
    println!(
        "1/{share}: {} changes written in {written:.1} s, {} closings refused; {} assemblies, {} parts",
        costs.changes,
        garage.refused,
        garage.assemblies.len(),
        garage.parts.len()
    );
    costs
}

#[test]
fn what_is_read_for_a_page_of_one_thing_stays_as_the_record_grows() {
    let shares = std::env::var("WITNESSMARK_YEARS").unwrap_or_else(|_| "32 8".to_owned());
    let shares = shares.split_whitespace().map(|share| share.parse().unwrap());
    let all: Vec<Costs> = shares.map(at_share).collect();
    let [.., small, large] = all.as_slice() else {
        panic!("two sizes are held against each other");
    };
    println!("what, ms at each size, power, entries read at each size, bytes of the answer");
    for (at, row) in large.rows.iter().enumerate() {
        let each: Vec<String> = all
            .iter()
            .map(|costs| format!("{:9.2}", costs.rows[at].middle))
            .collect();
        let read: Vec<String> = all
            .iter()
            .map(|costs| format!("{:6}", costs.rows[at].read))
            .collect();
        let power = exponent(
            (small.changes, small.rows[at].middle),
            (large.changes, row.middle),
        );
        println!(
            "{:24} {} {power:6.2}  {} {:8}",
            row.what,
            each.join(" "),
            read.join(" "),
            row.bytes
        );
    }
    for page in OF_ONE_THING {
        let read = |costs: &Costs| {
            let row = costs.rows.iter().find(|row| row.what == format!("cold {page}"));
            row.unwrap().read
        };
        assert_eq!(
            read(small),
            read(large),
            "entries that are read for the page '{page}'"
        );
    }
}
