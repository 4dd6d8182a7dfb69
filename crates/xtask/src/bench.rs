//! `cargo xtask bench`: every benchmark of every crate, one after another, each printing its own table.
//!
//! It never runs under `test`: a time that fails on a busy machine says nothing about the code.

use cargo_metadata::{Metadata, TargetKind};

use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// Runs those of the named packages, or all; none at all is a failure, so that a lost bench is noticed.
pub(crate) fn bench(house: &House, packages: &[String]) -> Result<(), Trouble> {
    let benches = chosen(benches(&house.metadata), packages)?;
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

/// The benches of the named packages, each of which must have one.
fn chosen(all: Vec<(String, String)>, packages: &[String]) -> Result<Vec<(String, String)>, Trouble> {
    if all.is_empty() {
        return Err(Trouble::words("no crate of the workspace has a bench"));
    }
    for package in packages {
        if !all.iter().any(|(name, _)| name == package) {
            return Err(Trouble::words(format!("`{package}` has no bench")));
        }
    }
    Ok(all
        .into_iter()
        .filter(|(name, _)| packages.is_empty() || packages.contains(name))
        .collect())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_package_without_a_bench_is_told() {
        let all = || {
            vec![
                ("reckon".to_owned(), "answers".to_owned()),
                ("store".to_owned(), "edits".to_owned()),
            ]
        };
        let names = |told: Vec<(String, String)>| told.into_iter().map(|(name, _)| name).collect::<Vec<_>>();
        assert_eq!(names(chosen(all(), &[]).unwrap()), ["reckon", "store"]);
        assert_eq!(names(chosen(all(), &["store".into()]).unwrap()), ["store"]);
        assert!(chosen(all(), &["link".into()]).is_err());
        assert!(chosen(Vec::new(), &[]).is_err());
    }
}
