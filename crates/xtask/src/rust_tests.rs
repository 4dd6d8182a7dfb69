//! The Rust tests as jobs: each binary that Cargo built, run in its package's folder as Cargo would, and the examples of
//! the documentation.
//!
//! It never leaves one out: a package that should have tests and built none is told by Cargo's own list, which this reads.

use std::process::{Command, Stdio};

use cargo_metadata::Message;

use crate::beside::{Job, Share};
use crate::house::House;
use crate::python;
use crate::trouble::Trouble;

/// The step that these are a part of.
pub(crate) const STEP: &str = "rust";

/// Begun first where nothing is known of this machine yet: what takes longest.
const LONG: [&str; 11] = [
    "tests/netns",
    "tests/schedules",
    "tests/oracles",
    "tests/copied",
    "tests/drop",
    "demo/build",
    "tests/main_job",
    "tests/kill",
    "link/net",
    "link/link",
    "record/two_ways",
];

/// Those that wait for a network's patience to end, and keep a core busy for a tenth of their time.
const WAIT: [&str; 1] = ["tests/netns"];

/// Every test binary, and the documentation's examples. They are built already; where they are not, Cargo builds them now.
pub(crate) fn jobs(house: &House, schedules: Option<u32>) -> Result<Vec<Job>, Trouble> {
    let mut list = house.linting_cargo();
    list.args([
        "test",
        "--workspace",
        "--no-run",
        "--quiet",
        "--message-format",
        "json-render-diagnostics",
    ])
    .stderr(Stdio::inherit());
    let output = list.output().map_err(|source| Trouble::Io {
        what: "`cargo test --no-run`".to_owned(),
        source,
    })?;
    if !output.status.success() {
        return Err(Trouble::words(format!(
            "`cargo test --no-run` ended with {}",
            output.status
        )));
    }
    let mut jobs = Vec::new();
    for message in Message::parse_stream(output.stdout.as_slice()) {
        let message = message.map_err(|source| Trouble::Io {
            what: "what Cargo says that it built".to_owned(),
            source,
        })?;
        let Message::CompilerArtifact(built) = message else {
            continue;
        };
        let (Some(program), true) = (&built.executable, built.profile.test) else {
            continue;
        };
        let package = built
            .manifest_path
            .parent()
            .unwrap_or(house.metadata.workspace_root.as_path());
        let kind = if built.target.is_bin() { "-bin" } else { "" };
        let name = format!(
            "{}/{}{kind}",
            package.file_name().unwrap_or("workspace"),
            built.target.name
        );
        let mut command = house.command(program);
        command
            .current_dir(package)
            .env("CARGO_MANIFEST_DIR", package)
            // The cores are shared out by jobs already.
            .env("RUST_TEST_THREADS", "1");
        jobs.push(job(house, name, command, schedules));
    }
    if jobs.is_empty() {
        return Err(Trouble::words("Cargo built no test at all"));
    }
    let mut examples = house.linting_cargo();
    examples.args(["test", "--workspace", "--doc", "--no-fail-fast"]);
    jobs.push(job(house, "documentation".to_owned(), examples, schedules));
    let place = |job: &Job| {
        LONG.iter()
            .position(|name| job.name == *name)
            .unwrap_or(LONG.len())
    };
    jobs.sort_by_key(place);
    Ok(jobs)
}

fn job(house: &House, name: String, mut command: Command, schedules: Option<u32>) -> Job {
    command
        .envs(schedules.map(|number| ("WITNESSMARK_SCHEDULES", number.to_string())))
        .env("WITNESSMARK_BIN", house.program("witnessmark"))
        .env("WITNESSMARK_PYTHON", python::program(house));
    let share = if WAIT.contains(&name.as_str()) {
        Share::Little
    } else {
        Share::Whole
    };
    Job {
        step: STEP,
        name,
        command,
        share,
    }
}
