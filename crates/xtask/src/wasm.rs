//! The core compiles for a browser, from the bench to the notebook, checked for `wasm32-unknown-unknown`: link without a network
//! of the machine's own, store with SQLite's C compiled for it.
//!
//! It never links and never runs: no page of ours holds it yet. Where randomness comes from is for the program around the core
//! to say, so here none is there (`getrandom_backend="unsupported"`), and a crate of the core that turned one on would be told.

use std::ffi::OsStr;
use std::path::Path;
use std::process::Command;

use crate::beside::{Job, Share};
use crate::house::{House, ask, on_the_path};
use crate::system;
use crate::trouble::Trouble;

/// The step's name.
pub(crate) const STEP: &str = "wasm";

const TARGET: &str = "wasm32-unknown-unknown";

/// What must compile there.
const CORE: [&str; 5] = ["reckon", "record", "store", "link", "notebook"];

/// What compiles SQLite for it, and packs the parts together: the first that is there.
const COMPILERS: [[&str; 2]; 2] = [["clang-16", "llvm-ar-16"], ["clang", "llvm-ar"]];

/// Debian's Rust for its browsers; with the library's sources it makes the target's library itself.
const DEBIANS: [&str; 2] = ["/usr/bin/cargo", "/usr/bin/rustc"];

/// The check as a job: by the toolchain that this task was started with, where it knows the target; else by Debian's, which is
/// installed where it may be.
pub(crate) fn jobs(house: &House) -> Result<Vec<Job>, Trouble> {
    system::provide(house, &[system::TO_COMPILE_C_FOR_A_BROWSER])?;
    let command = if knows_the_target() {
        with_core(house.cargo(), house)?
    } else {
        system::provide(house, &[system::TO_CHECK_FOR_A_BROWSER])?;
        debians(house)?
    };
    Ok(vec![Job {
        step: STEP,
        name: CORE.join("-"),
        command,
        share: Share::Whole,
    }])
}

/// Whether the target's library lies in the toolchain.
fn knows_the_target() -> bool {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let libraries = ask(Command::new(rustc).args(["--print", "target-libdir", "--target", TARGET]));
    libraries.is_some_and(|folder| Path::new(folder.trim()).is_dir())
}

fn debians(house: &House) -> Result<Command, Trouble> {
    let [cargo, rustc] = DEBIANS;
    let missing = DEBIANS.iter().find(|program| !Path::new(program).is_file());
    if let Some(program) = missing {
        return Err(Trouble::words(format!(
            "no Rust here knows {TARGET}: neither this toolchain (rustup target add {TARGET}) nor Debian's ({program})"
        )));
    }
    let mut command = with_core(house.command(cargo), house)?;
    command
        .arg("-Zbuild-std=std,panic_abort")
        // Making the library is for a nightly compiler to offer, or for one that is told so.
        .env("RUSTC_BOOTSTRAP", "1")
        .env("RUSTC", rustc);
    Ok(command)
}

/// The question itself, in a target folder of its own: Cargo lets two work in one only by turns.
fn with_core(mut cargo: Command, house: &House) -> Result<Command, Trouble> {
    let there = COMPILERS
        .iter()
        .find(|names| names.iter().all(|name| on_the_path(name)));
    let Some([compiler, packer]) = there else {
        return Err(Trouble::words(
            "nothing here compiles C for a browser: neither clang-16 with llvm-ar-16 nor clang with llvm-ar",
        ));
    };
    cargo.args(["check", "--locked", "--no-default-features", "--target", TARGET]);
    // It is never linked, so that nobody waits for SQLite to be made fast.
    cargo.args(["--config", "profile.dev.package.libsqlite3-sys.opt-level=0"]);
    for name in CORE {
        cargo.args(["--package", name]);
    }
    for flags in ["RUSTFLAGS", "CARGO_ENCODED_RUSTFLAGS", "RUSTC_WORKSPACE_WRAPPER"] {
        cargo.env_remove(flags);
    }
    cargo
        .env("CARGO_TARGET_DIR", house.target().join(STEP))
        .env(
            "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS",
            OsStr::new("--cfg getrandom_backend=\"unsupported\""),
        )
        .env("CC_wasm32_unknown_unknown", compiler)
        .env("AR_wasm32_unknown_unknown", packer)
        // It is one of the jobs, and takes no more than its share.
        .env("CARGO_BUILD_JOBS", "1");
    Ok(cargo)
}
