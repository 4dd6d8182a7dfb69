//! `cargo xtask`: the one door to every task of the house (run, test, check, types, bench).
//!
//! It never links another crate of the workspace: it starts programs and reads files, so that it builds
//! in seconds on a machine that has nothing yet, and so that a broken crate can still be told as broken.

mod bench;
mod beside;
mod browser;
mod check;
mod house;
mod icons;
mod lints;
mod node;
mod python;
mod run;
mod rust_tests;
mod steps;
mod system;
mod test;
mod trouble;
mod types;
mod walk;
mod wasm;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use house::House;
use trouble::Trouble;

/// Every task of the house.
#[derive(Debug, Parser)]
#[command(
    name = "cargo xtask",
    bin_name = "cargo xtask",
    disable_help_subcommand = true
)]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Debug, Subcommand)]
enum Task {
    /// Set everything up, build the demo, open it.
    Run(run::Wish),
    /// Set everything up, then everything that is checked.
    Test(test::Wish),
    /// The house's own rules: layers, heads, lengths, names, paths, what comes from outside.
    Check,
    /// Write the TypeScript types from the registry.
    Types,
    /// Draw the window's icons.
    Icons,
    /// Every benchmark, each with its table.
    Bench {
        /// Only those of these crates.
        crates: Vec<String>,
    },
}

fn main() -> ExitCode {
    match dispatch(Arguments::parse().task) {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("xtask: {trouble}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(task: Task) -> Result<(), Trouble> {
    let house = House::find()?;
    match task {
        Task::Run(wish) => run::run(&house, &wish),
        Task::Test(wish) => test::test(&house, &wish),
        Task::Check => check::report(&house),
        Task::Types => types::write(&house),
        Task::Icons => icons::write(&house),
        Task::Bench { crates } => bench::bench(&house, &crates),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arguments_are_sound() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }
}
