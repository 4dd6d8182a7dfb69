//! Where the workspace is, and how a child program is started in it.
//!
//! No path is built in: the root and the target folder come from `cargo metadata` at run time, so a moved
//! or copied tree works. It never changes the tree.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use cargo_metadata::{Metadata, MetadataCommand};

use crate::trouble::Trouble;

/// No step of the house takes this long on two cores; a child that does has hung.
pub(crate) const LONGEST: Duration = Duration::from_secs(45 * 60);

/// The workspace, as Cargo describes it.
pub(crate) struct House {
    /// Members with their direct dependencies; outside packages are not resolved.
    pub(crate) metadata: Metadata,
}

impl House {
    /// Asks Cargo. `cargo run` says where this crate's manifest is; a copied binary asks from where it stands.
    pub(crate) fn find() -> Result<Self, Trouble> {
        let mut locate = Command::new(cargo_program());
        locate.args(["locate-project", "--workspace", "--message-format", "plain"]);
        if let Some(folder) = std::env::var_os("CARGO_MANIFEST_DIR") {
            locate.current_dir(PathBuf::from(folder));
        }
        let manifest = ask(&mut locate).ok_or_else(|| Trouble::words("there is no Cargo workspace here"))?;
        // Asked for the root's own manifest: from a member's folder, Cargo names that member as the only default.
        Ok(Self {
            metadata: MetadataCommand::new()
                .manifest_path(manifest.trim_end())
                .no_deps()
                .exec()?,
        })
    }

    /// Every package that some of these targets builds, with who needs it; and whether all targets could be asked. Cargo
    /// fetches what it has not seen yet; where it cannot, only what this machine builds is told.
    pub(crate) fn whole(&self, targets: &[String]) -> Result<(Metadata, bool), Trouble> {
        let ask = |targets: &[String], more: &str| {
            let mut options = vec!["--locked".to_owned()];
            options.extend((!more.is_empty()).then(|| more.to_owned()));
            for target in targets {
                options.extend(["--filter-platform".to_owned(), target.clone()]);
            }
            let mut command = MetadataCommand::new();
            command
                .manifest_path(self.at("Cargo.toml"))
                .other_options(options);
            command.exec()
        };
        match ask(targets, "") {
            Ok(metadata) => Ok((metadata, true)),
            Err(why) => match host() {
                Some(host) => Ok((ask(&[host], "--offline").map_err(|_| why)?, false)),
                None => Err(why.into()),
            },
        }
    }

    /// The folder of the workspace's `Cargo.toml`.
    pub(crate) fn root(&self) -> &Path {
        self.metadata.workspace_root.as_std_path()
    }

    /// A path inside the workspace.
    pub(crate) fn at(&self, inside: &str) -> PathBuf {
        self.root().join(inside)
    }

    /// The target folder, wherever the environment puts it.
    pub(crate) fn target(&self) -> &Path {
        self.metadata.target_directory.as_std_path()
    }

    /// A program that `cargo build` has made in the one profile that run and test share.
    pub(crate) fn program(&self, name: &str) -> PathBuf {
        self.target()
            .join("debug")
            .join(format!("{name}{}", std::env::consts::EXE_SUFFIX))
    }

    /// A child in the workspace's root, without what Cargo told *this* program about its own package.
    pub(crate) fn command(&self, program: impl AsRef<OsStr>) -> Command {
        let mut command = Command::new(program);
        command.current_dir(self.root()).stdin(Stdio::null());
        for (name, _) in std::env::vars_os() {
            let name = name.to_string_lossy().into_owned();
            if name.starts_with("CARGO_PKG_") || name.starts_with("CARGO_MANIFEST_") {
                command.env_remove(name);
            }
        }
        command
    }

    /// The same Cargo that started this task.
    pub(crate) fn cargo(&self) -> Command {
        self.command(cargo_program())
    }

    /// Cargo, where clippy compiles what is ours: it is rustc that warns of more. So the workspace is linted while it is built, and
    /// what comes from outside, which rustc compiles either way, is there once for both. Cargo keeps what this builds beside what a
    /// plain `cargo build` makes of the workspace; neither makes the other build again.
    ///
    /// For the dev profile alone: clippy reads what a function does before it is optimised, so it has rustc leave out its own
    /// optimisations (`mir-opt-level=0`); LLVM's stay.
    pub(crate) fn linting_cargo(&self) -> Command {
        let mut cargo = self.cargo();
        cargo
            .env("RUSTC_WORKSPACE_WRAPPER", clippy(&cargo_program()))
            // What to warn of is the workspace's to say.
            .env_remove("CLIPPY_ARGS");
        cargo
    }
}

/// The clippy of the same toolchain: it stands beside Cargo, or on the path.
fn clippy(cargo: &OsStr) -> PathBuf {
    let name = format!("clippy-driver{}", std::env::consts::EXE_SUFFIX);
    let beside = Path::new(cargo).with_file_name(&name);
    if beside.is_file() { beside } else { name.into() }
}

/// The Cargo that started this task, or the one on the path.
fn cargo_program() -> std::ffi::OsString {
    std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}

/// The target that this machine's compiler builds for.
fn host() -> Option<String> {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let told = ask(Command::new(rustc).arg("-vV"))?;
    let host = told.lines().find_map(|line| line.strip_prefix("host: "))?;
    Some(host.to_owned())
}

/// Runs a child to its end, showing the command first; anything but success is trouble.
pub(crate) fn do_it(command: &mut Command) -> Result<(), Trouble> {
    let shown = show(command);
    println!("$ {shown}");
    let status = wait(command, &shown, LONGEST)?;
    if status.success() {
        Ok(())
    } else {
        Err(Trouble::words(format!("`{shown}` ended with {status}")))
    }
}

/// Waits for a child at most `longest`, then ends it by its own id.
pub(crate) fn wait(command: &mut Command, shown: &str, longest: Duration) -> Result<ExitStatus, Trouble> {
    let io = |source| Trouble::Io {
        what: format!("`{shown}`"),
        source,
    };
    let mut child = command.spawn().map_err(io)?;
    let started = Instant::now();
    let mut pause = Duration::from_millis(2);
    loop {
        if let Some(status) = child.try_wait().map_err(io)? {
            return Ok(status);
        }
        if started.elapsed() > longest {
            child.kill().map_err(io)?;
            child.wait().map_err(io)?;
            return Err(Trouble::words(format!(
                "`{shown}` was ended after {} s",
                longest.as_secs()
            )));
        }
        std::thread::sleep(pause);
        pause = (pause * 2).min(Duration::from_millis(100));
    }
}

/// What a child prints on its standard output, when it succeeds.
pub(crate) fn ask(command: &mut Command) -> Option<String> {
    let output = command.stderr(Stdio::null()).output().ok()?;
    if output.status.success() {
        String::from_utf8(output.stdout).ok()
    } else {
        None
    }
}

/// The command as a person would type it: file names only for programs, so that no line is a path long.
fn show(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let mut words = vec![
        program
            .file_name()
            .unwrap_or(command.get_program())
            .to_string_lossy()
            .into_owned(),
    ];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}

/// Whether a program of this name stands on the path.
pub(crate) fn on_the_path(name: &str) -> bool {
    std::env::var_os("PATH")
        .is_some_and(|path| std::env::split_paths(&path).any(|folder| folder.join(name).is_file()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failing_child_is_trouble_with_its_command() {
        let trouble = do_it(Command::new("sh").args(["-c", "exit 3"]))
            .unwrap_err()
            .to_string();
        assert!(trouble.contains("sh -c exit 3"), "{trouble}");
        assert!(do_it(Command::new("sh").args(["-c", "exit 0"])).is_ok());
    }

    #[test]
    fn a_hung_child_is_ended() {
        let started = Instant::now();
        let trouble = wait(
            Command::new("sleep").arg("30"),
            "sleep 30",
            Duration::from_millis(50),
        )
        .unwrap_err();
        assert!(started.elapsed() < Duration::from_secs(10));
        assert!(trouble.to_string().contains("was ended"), "{trouble}");
    }

    #[test]
    fn programs_are_looked_for_on_the_path() {
        assert!(on_the_path("sh"));
        assert!(!on_the_path("no-such-program-of-this-name"));
    }
}
