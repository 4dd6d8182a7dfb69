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

use std::process::ExitCode;

use house::House;
use trouble::Trouble;

/// What a person sees when they ask for nothing, or for something unknown.
const USAGE: &str = "\
cargo xtask run [--browser] [--into DIR] [--fresh]   set up, build the demo, open it
cargo xtask test [--only STEP]… [--list]   set up, then everything that is checked
cargo xtask check    the house's own rules: layers, heads, lengths, names, paths, what comes from outside
cargo xtask types    write the TypeScript types from the registry
cargo xtask icons    draw the window's icons
cargo xtask bench [CRATE]…   every benchmark, or those of some crates, each with its table
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match dispatch(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("xtask: {trouble}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(arguments: &[String]) -> Result<(), Trouble> {
    let Some((task, rest)) = arguments.split_first() else {
        print!("{USAGE}");
        return Err(Trouble::words("which task?"));
    };
    match task.as_str() {
        "run" => run::run(&House::find()?, &run::Wish::read(rest)?),
        "test" => test::test(&House::find()?, &test::Wish::read(rest)?),
        "check" => check::report(&House::find()?),
        "types" => types::write(&House::find()?),
        "icons" => icons::write(&House::find()?),
        "bench" => bench::bench(&House::find()?, rest),
        "help" | "--help" | "-h" => {
            print!("{USAGE}");
            Ok(())
        }
        other => {
            print!("{USAGE}");
            Err(Trouble::words(format!("there is no task `{other}`")))
        }
    }
}
