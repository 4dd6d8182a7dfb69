//! `cargo xtask test`: set-up and then everything that is checked, as named and timed steps.
//!
//! One profile and one set of packages (`--workspace`) throughout, so that nothing is built twice. A step
//! whose tests are not there fails: nothing is skipped and counted.

use crate::house::{House, do_it};
use crate::steps::{Step, go};
use crate::trouble::Trouble;
use crate::{check, node, python, system, types};

/// What the person asked for.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Wish {
    only: Vec<String>,
    keep_going: bool,
    list: bool,
    /// Random schedules to run, where other than the usual number.
    schedules: Option<u32>,
}

impl Wish {
    /// Reads the arguments after `test`.
    pub(crate) fn read(arguments: &[String]) -> Result<Self, Trouble> {
        let mut wish = Self::default();
        let mut rest = arguments.iter();
        while let Some(argument) = rest.next() {
            match argument.as_str() {
                "--keep-going" => wish.keep_going = true,
                "--list" => wish.list = true,
                "--only" => {
                    let step = rest
                        .next()
                        .ok_or_else(|| Trouble::words("--only needs a step; `--list` names them"))?;
                    wish.only.push(step.clone());
                }
                "--schedules" => {
                    let number = rest.next().and_then(|text| text.parse().ok());
                    wish.schedules =
                        Some(number.ok_or_else(|| Trouble::words("--schedules needs a number"))?);
                }
                other => return Err(Trouble::words(format!("test does not know `{other}`"))),
            }
        }
        Ok(wish)
    }
}

/// Runs the steps and prints their table; the last line is `N passed, N failed`.
pub(crate) fn test(house: &House, wish: &Wish) -> Result<(), Trouble> {
    let steps = steps(house, wish.schedules);
    if wish.list {
        for step in &steps {
            println!("{:<10} {}", step.name, step.about);
        }
        return Ok(());
    }
    let table = go(&steps, &wish.only, wish.keep_going)?;
    print!("{}", table.text());
    match table.failed() {
        0 => Ok(()),
        // The counts stay the last line, so the failure is told by the exit code alone.
        _ => std::process::exit(1),
    }
}

/// The steps, cheap ones first where nothing forces another order.
fn steps(house: &House, schedules: Option<u32>) -> Vec<Step<'_>> {
    fn step<'a>(
        name: &'static str,
        about: &'static str,
        work: impl Fn() -> Result<(), Trouble> + 'a,
    ) -> Step<'a> {
        Step {
            name,
            about,
            work: Box::new(work),
        }
    }
    vec![
        step("system", "system packages, Node and npm are there", || {
            system::provide(
                house,
                &[system::TO_BUILD, system::TO_OPEN_A_WINDOW, system::TO_TEST],
            )?;
            system::node_is_there()
        }),
        step(
            "house",
            "layers, heads, lengths, names, paths, what comes from outside",
            || check::report(house),
        ),
        step("fmt", "Rust is formatted", || {
            do_it(house.cargo().args(["fmt", "--all", "--", "--check"]))
        }),
        step("npm", "npm packages of ui and tests", || {
            node::install(house, node::UI)?;
            node::install_tests(house)
        }),
        step("python", "reference libraries of the oracles", || {
            python::prepare(house)
        }),
        step("pages", "the UI is built", || {
            node::script(house, node::UI, "build")
        }),
        step("clippy", "no warning, in every target of every crate", || {
            do_it(
                house
                    .cargo()
                    .args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]),
            )
        }),
        step("build", "the programs, the shell and every Rust test", || {
            do_it(house.cargo().args(["build", "--workspace", "--bins"]))?;
            do_it(house.cargo().args(["test", "--workspace", "--no-run"]))
        }),
        step(
            "types",
            "the committed TypeScript types are those of the registry",
            || types::check_fresh(house),
        ),
        step("rust", "unit, property, scenario and interop tests", move || {
            do_it(
                house
                    .cargo()
                    .args(["test", "--workspace", "--no-fail-fast"])
                    .envs(schedules.map(|number| ("WITNESSMARK_SCHEDULES", number.to_string())))
                    .env("WITNESSMARK_BIN", house.program("witnessmark"))
                    .env("WITNESSMARK_PYTHON", python::program(house)),
            )
        }),
        step(
            "ui-check",
            "types and accessibility warnings of the pages",
            || node::script(house, node::UI, "check"),
        ),
        step("ui-test", "unit tests of the pages", || {
            node::script(house, node::UI, "test")
        }),
        step("browser", "the two-device story in a browser", || {
            node::script(house, node::BROWSER, "browser")
        }),
        step("window", "the real window, under a screen of its own", || {
            node::window(house)
        }),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arguments() {
        let read = |text: &str| Wish::read(&text.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
        let wish = read("--only fmt --only house --keep-going").unwrap();
        assert_eq!(wish.only, ["fmt", "house"]);
        assert!(wish.keep_going && !wish.list);
        assert!(read("--only").is_err());
        assert!(read("--schedules many").is_err());
        assert!(read("--sometimes").is_err());
    }

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
