//! `cargo xtask bench`: every benchmark of every crate, one after another, each printing its own table.
//!
//! It never runs under `test`: a time that fails on a busy machine says nothing about the code.

use cargo_metadata::{Metadata, TargetKind};

use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// Runs them all; none at all is a failure, so that a lost bench is noticed.
pub(crate) fn bench(house: &House) -> Result<(), Trouble> {
    let benches = benches(&house.metadata);
    if benches.is_empty() {
        return Err(Trouble::words("no crate of the workspace has a bench"));
    }
    for (package, bench) in benches {
        println!("\n== {package}: {bench}");
        do_it(
            house
                .cargo()
                .args(["bench", "--package", &package, "--bench", &bench]),
        )?;
    }
    Ok(())
}

/// Package and bench names, in the order of packages.
fn benches(metadata: &Metadata) -> Vec<(String, String)> {
    let mut found: Vec<_> = metadata
        .workspace_packages()
        .into_iter()
        .flat_map(|package| {
            let benches = package
                .targets
                .iter()
                .filter(|target| target.kind.contains(&TargetKind::Bench));
            benches.map(|target| (package.name.to_string(), target.name.clone()))
        })
        .collect();
    found.sort();
    found
}
