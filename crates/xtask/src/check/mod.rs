//! `cargo xtask check`: the house's own rules, each a pure function from what is there to what is wrong.
//!
//! It never mends anything, and each rule has a test that shows it can fail.

mod brands;
mod circles;
mod fault;
mod fields;
mod heads;
mod layers;
mod lengths;
mod machine;
mod names;
mod naming;
mod outside;
mod owners;
mod paths;
mod quiet;
mod registry;
mod twins;

use fault::{Fault, code_lines};

use crate::house::House;
use crate::trouble::Trouble;
use crate::walk::{Page, pages};

/// Runs every rule, prints every fault, and fails when there is one.
pub(crate) fn report(house: &House) -> Result<(), Trouble> {
    let pages = pages(house.root())?;
    if pages.is_empty() {
        return Err(Trouble::words("the house has no files: is this its root?"));
    }
    type Rule = (&'static str, fn(&[Page]) -> Vec<Fault>);
    let rules: [Rule; 12] = [
        ("brands", brands::faults),
        ("circles", circles::faults),
        ("fields", fields::faults),
        ("heads", heads::faults),
        ("lengths", lengths::faults),
        ("machine", machine::faults),
        ("names", names::faults),
        ("owners", owners::faults),
        ("paths", paths::faults),
        ("quiet", quiet::faults),
        ("registry", registry::faults),
        ("twins", twins::faults),
    ];
    let mut wrong = told("layers", layers::faults(&layers::members(&house.metadata)));
    for (name, rule) in rules {
        wrong += told(name, rule(&pages));
    }
    wrong += outside(house)?;
    println!("{}", lengths::summary(&pages));
    match wrong {
        0 => Ok(()),
        1 => Err(Trouble::words("1 fault in the house")),
        more => Err(Trouble::words(format!("{more} faults in the house"))),
    }
}

/// Licences, bans and sources of what comes from outside, and what of it is a cost.
fn outside(house: &House) -> Result<usize, Trouble> {
    let path = house.at("deny.toml");
    let text = std::fs::read_to_string(&path).map_err(|error| Trouble::file("reading", &path, error))?;
    let rules = match outside::Rules::read(&text) {
        Ok(rules) => rules,
        Err(fault) => return Ok(told("outside", vec![*fault])),
    };
    let (metadata, all) = house.whole(rules.targets())?;
    let wrong = told("outside", rules.faults(&metadata));
    if !all {
        println!("  seen was only what this machine builds: what other systems need could not be fetched");
    }
    if let Some(costs) = rules.costs(&metadata) {
        println!("  {costs}");
    }
    Ok(wrong)
}

/// Prints a rule's faults, and says how many there are.
fn told(rule: &str, mut faults: Vec<Fault>) -> usize {
    faults.sort();
    println!(
        "{rule:<8} {}",
        if faults.is_empty() {
            "clean".to_owned()
        } else {
            format!("{} faults", faults.len())
        }
    );
    for fault in &faults {
        println!("  {}: {}", fault.place, fault.what);
    }
    faults.len()
}
