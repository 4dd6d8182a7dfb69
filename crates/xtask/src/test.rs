//! `cargo xtask test`: set-up and then everything that is checked, as named and timed steps.
//!
//! One profile, one set of packages (`--workspace`) and one compiler (clippy, which is rustc that warns of more) throughout, so
//! that nothing is built twice. What only checks runs beside everything else that does, once all is built. A step whose tests are not there fails: nothing is skipped and counted.

use std::thread::available_parallelism;

use crate::beside::{Job, Times};
use crate::house::{House, do_it};
use crate::steps::{Bench, Step, Work, go};
use crate::trouble::Trouble;
use crate::{browser, check, lints, node, python, rust_tests, system, types, wasm};

/// What the person asked for.
#[derive(Debug, Default, PartialEq, Eq, clap::Args)]
pub(crate) struct Wish {
    /// Run this step alone; may be said several times.
    #[arg(long, value_name = "STEP")]
    only: Vec<String>,
    /// Name the steps, with the minutes of work that each took when it last ran here.
    #[arg(long)]
    list: bool,
    /// Random schedules to run, where other than the usual number.
    #[arg(long, value_name = "N")]
    schedules: Option<u32>,
}

/// Runs the steps and prints their table; the last line is `N passed, N failed`.
pub(crate) fn test(house: &House, wish: &Wish) -> Result<(), Trouble> {
    let steps = steps(house, wish.schedules);
    let kept = house.target().join("xtask");
    std::fs::create_dir_all(&kept).map_err(|source| Trouble::file("making", &kept, source))?;
    let times = kept.join("times.json");
    if wish.list {
        list(&steps, &Times::read(&times));
        return Ok(());
    }
    let bench = Bench {
        times: &times,
        told: &kept.join("told"),
        cores: available_parallelism().map_or(1, Into::into),
    };
    let table = go(&steps, &wish.only, &bench)?;
    print!("{}", table.text());
    match table.failed() {
        0 => Ok(()),
        // The counts stay the last line, so the failure is told by the exit code alone.
        _ => std::process::exit(1),
    }
}

/// The steps, each with the minutes of work that it took when it last ran here.
fn list(steps: &[Step<'_>], times: &Times) {
    println!("{:<10} {:>7}", "step", "minutes");
    for step in steps {
        let minutes = times
            .minutes(step.name)
            .map_or_else(|| "-".to_owned(), |minutes| format!("{minutes:.1}"));
        println!("{:<10} {minutes:>7}  {}", step.name, step.about);
    }
}

/// The steps: those that make something in the order in which they stand on each other, cheap ones first.
#[expect(clippy::too_many_lines, reason = "the list of the steps")]
fn steps(house: &House, schedules: Option<u32>) -> Vec<Step<'_>> {
    fn step<'a>(
        name: &'static str,
        about: &'static str,
        needs: &'static [&'static str],
        work: impl Fn() -> Result<(), Trouble> + 'a,
    ) -> Step<'a> {
        let work = Work::InTurn(Box::new(work));
        Step {
            name,
            about,
            needs,
            work,
        }
    }
    fn beside<'a>(
        name: &'static str,
        about: &'static str,
        needs: &'static [&'static str],
        jobs: impl Fn() -> Result<Vec<Job>, Trouble> + 'a,
    ) -> Step<'a> {
        let work = Work::Beside(Box::new(jobs));
        Step {
            name,
            about,
            needs,
            work,
        }
    }
    vec![
        step("system", "system packages, Node and npm are there", &[], || {
            system::provide(
                house,
                &[system::TO_BUILD, system::TO_OPEN_A_WINDOW, system::TO_TEST],
            )?;
            system::node_is_there()
        }),
        step(
            "house",
            "layers, heads, lengths, names, paths, what comes from outside",
            &[],
            || check::report(house),
        ),
        step("fmt", "Rust is formatted", &[], || {
            do_it(house.cargo().args(["fmt", "--all", "--", "--check"]))
        }),
        step("npm", "npm packages of ui and tests", &["system"], || {
            node::install(house, node::UI)?;
            node::install_tests(house)
        }),
        step(
            "python",
            "reference libraries of the oracles",
            &["system"],
            || python::prepare(house),
        ),
        step("pages", "the UI is built", &["npm"], || {
            node::script(house, node::UI, "build")
        }),
        step(
            "build",
            "the programs, the shell, every Rust test and bench, linted on the way",
            &["system", "pages"],
            || do_it(house.linting_cargo().args(lints::EVERYTHING)),
        ),
        step(
            "clippy",
            "no warning, in every target of every crate",
            &["build"],
            || lints::none(house),
        ),
        step(
            "types",
            "the committed TypeScript types are those of the registry",
            &["build"],
            || types::check_fresh(house),
        ),
        step(
            "demo",
            "the demo that the stories are played on",
            &["build", "npm"],
            || browser::demo(house),
        ),
        beside(wasm::STEP, "the core compiles for a browser", &[], || {
            wasm::jobs(house)
        }),
        beside(
            browser::STEP,
            "the two-device stories in a browser",
            &["demo"],
            || browser::jobs(house),
        ),
        beside(
            "window",
            "the real window, under a screen of its own",
            &["build", "npm"],
            || Ok(vec![node::window(house)]),
        ),
        beside(
            rust_tests::STEP,
            "unit, property, scenario and interop tests",
            &["build", "python"],
            move || rust_tests::jobs(house, schedules),
        ),
        beside(
            "ui-check",
            "types and accessibility warnings of the pages",
            &["npm"],
            || Ok(vec![node::job(house, "ui-check", node::UI, "check")]),
        ),
        beside("ui-test", "unit tests of the pages", &["npm"], || {
            Ok(vec![node::job(house, "ui-test", node::UI, "test")])
        }),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn step_names_are_distinct() {
        let house = House::find().unwrap();
        let mut names: Vec<_> = steps(&house, None).iter().map(|step| step.name).collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
    }
}
