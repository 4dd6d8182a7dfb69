//! `witnessmark`: every command of the notebook from a shell, and the pages on loopback.
//!
//! It words nothing and decides nothing: it hands in what was typed and prints what came back. Exit codes: 0 done,
//! 1 refused (the input was at fault; nothing was changed), 2 failed.

mod arguments;
mod drop;
mod long;
mod machine;
mod meet;
mod pictures;
mod roads;
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
    // What fails inside is said once, at the end, in a line like any other; a developer asks for more by RUST_BACKTRACE.
    if std::env::var_os("RUST_BACKTRACE").is_none_or(|asked| asked == "0") {
        std::panic::set_hook(Box::new(|_| {}));
    }
    let done = std::panic::catch_unwind(|| shell::run(arguments));
    let done = done.unwrap_or_else(|cause| {
        let said = (cause.downcast_ref::<&str>().copied())
            .or_else(|| cause.downcast_ref::<String>().map(String::as_str));
        let words = format!(
            "the program failed at this and kept nothing of it: {}",
            said.unwrap_or("no more is known")
        );
        Err(Refusal::failed("panic", words))
    });
    match done {
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
    match serde_json::to_string(refusal) {
        Ok(text) if json => eprintln!("{text}"),
        // Where it cannot be written out as JSON its words are said all the same.
        _ => eprintln!("witnessmark: {}", record::shown(&refusal.words)),
    }
}
