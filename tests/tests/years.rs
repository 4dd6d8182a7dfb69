//! What a page and an edit cost as a record grows. Ratios of one run, so that no machine's speed can fail it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::time::Instant;

use tests::years::{Clock, Costs, EVENINGS, Garage, exponent};

fn at_share(share: usize) -> Costs {
    let dir = tempfile::tempdir().unwrap();
    let mut garage = Garage::of(11);
    let began = Instant::now();
    {
        let clock = Clock::of(std::sync::Arc::clone(&garage.at), 11);
        let mut notebook = host::open(dir.path(), "years", Box::new(clock)).unwrap();
        garage.begin(&mut notebook);
        garage.evenings(&mut notebook, EVENINGS / share);
    }
    let costs = Costs::of(dir.path(), &mut garage);
    println!(
        "1/{share}: {} changes in {:.1} s, {} closings refused; {} assemblies, {} parts",
        costs.changes,
        began.elapsed().as_secs_f64(),
        garage.refused,
        garage.assemblies.len(),
        garage.parts.len()
    );
    costs
}

#[test]
fn what_a_page_and_an_edit_cost_stays_as_the_record_grows() {
    let shares = [16, 4];
    let all: Vec<Costs> = shares.iter().map(|share| at_share(*share)).collect();
    for (at, row) in all[0].rows.iter().enumerate() {
        let each: Vec<String> = all.iter().map(|costs| format!("{:9.2}", costs.rows[at].middle)).collect();
        let last = all.len() - 1;
        let power = exponent(
            (all[last - 1].changes, all[last - 1].rows[at].middle),
            (all[last].changes, all[last].rows[at].middle),
        );
        println!("{:24} {} {power:6.2}  {:8}", row.what, each.join(" "), all[last].rows[at].bytes);
    }
}
