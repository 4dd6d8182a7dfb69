//! `witnessmark`: every command of the notebook from a shell, and the pages on loopback.
//!
//! It words nothing and decides nothing: it hands in what was typed and prints what came back. Exit codes: 0 done,
//! 1 refused (the input was at fault; nothing was changed), 2 failed.

mod arguments;
mod machine;
mod serve;
mod shell;
mod words;

use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;
use notebook::{Fault, Refusal};

use arguments::Arguments;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            if matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) {
                // Printing can only fail where there is nowhere to print to.
                let _ = error.print();
                return ExitCode::SUCCESS;
            }
            let json = std::env::args_os().any(|argument| argument == "--json");
            complain(&Refusal::input("arguments", in_a_line(&error)), json);
            return ExitCode::from(1);
        }
    };
    let json = arguments.json;
    match shell::run(arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(refusal) => {
            complain(&refusal, json);
            ExitCode::from(match refusal.fault {
                Fault::Input => 1,
                Fault::Program => 2,
            })
        }
    }
}

/// What was wrong with what was typed, without the lines of usage that follow it.
fn in_a_line(error: &clap::Error) -> String {
    if error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        return "say what to do; --help shows what may be typed".to_owned();
    }
    let rendered = error.to_string();
    let said: Vec<&str> = rendered
        .lines()
        .take_while(|line| !line.starts_with("Usage:") && !line.starts_with("For more information"))
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    let said = said.join(" ");
    format!(
        "{}; --help shows what may be typed",
        said.trim_start_matches("error: ")
    )
}

/// One line: words, or JSON with a code.
fn complain(refusal: &Refusal, json: bool) {
    if json {
        eprintln!("{}", serde_json::to_string(refusal).unwrap_or_default());
    } else {
        eprintln!("witnessmark: {}", refusal.words.replace('\n', " "));
    }
}
