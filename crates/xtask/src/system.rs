//! What the machine itself must have: Debian packages, and Node with npm.
//!
//! It installs only what is missing, only where it may (root, or sudo without a password), and never when
//! `WITNESSMARK_NO_INSTALL=1`; otherwise it says what is missing and how to install it, and stops.

use std::process::{Command, Stdio};

use crate::house::{House, ask, do_it, on_the_path};
use crate::trouble::Trouble;

/// The oldest Node whose versions of the UI's tools run.
const OLDEST_NODE: u64 = 20;

/// A package, and a program that shows it is there where the package's name differs (other Debians, a copy
/// built by hand). Without one, only the package counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Need {
    package: &'static str,
    program: Option<&'static str>,
}

const fn need(package: &'static str, program: Option<&'static str>) -> Need {
    Need { package, program }
}

/// To build the command-line program: SQLite is C.
pub(crate) const TO_BUILD: &[Need] = &[need("gcc", Some("cc")), need("libc6-dev", None)];

/// To build the desktop window, and to show text in it.
pub(crate) const TO_OPEN_A_WINDOW: &[Need] = &[
    need("pkg-config", Some("pkg-config")),
    need("libwebkit2gtk-4.1-dev", None),
    need("fonts-dejavu-core", None),
];

/// To test: a driver for the window, a screen without a screen, a browser, pictures, Python for the oracles, and
/// hosts with a network of their own.
pub(crate) const TO_TEST: &[Need] = &[
    need("webkit2gtk-driver", Some("WebKitWebDriver")),
    need("xvfb", Some("Xvfb")),
    need("chromium-headless-shell", Some("chromium-headless-shell")),
    need("imagemagick", Some("import")),
    need("python3-venv", None),
    need("iproute2", Some("ip")),
    need("nftables", Some("nft")),
];

/// To compile SQLite's C for a browser.
pub(crate) const TO_COMPILE_C_FOR_A_BROWSER: &[Need] =
    &[need("clang-16", Some("clang")), need("llvm-16", Some("llvm-ar"))];

/// To check that the core compiles for a browser, where the toolchain does not know that target: Debian's own, and its library's sources.
pub(crate) const TO_CHECK_FOR_A_BROWSER: &[Need] = &[
    need("rustc-web", None),
    need("cargo-web", None),
    need("rust-web-src", None),
];

/// Sees to it that every need is met, or says what is missing.
pub(crate) fn provide(house: &House, needs: &[&[Need]]) -> Result<(), Trouble> {
    if !on_the_path("dpkg-query") {
        println!(
            "no dpkg-query here: not a Debian-like machine, so nothing is installed; the steps will say what they miss"
        );
        return Ok(());
    }
    let missing = missing(needs, installed, on_the_path);
    if missing.is_empty() {
        println!("system packages: all there");
        return Ok(());
    }
    let forbidden = std::env::var_os("WITNESSMARK_NO_INSTALL").is_some_and(|value| value == "1");
    let Some(prefix) = (if forbidden { None } else { may_install() }) else {
        return Err(Trouble::words(how_to(&missing)));
    };
    println!("system packages: installing {}", missing.join(" "));
    let apt = |words: &[&str]| {
        let mut line: Vec<&str> = prefix.to_vec();
        line.extend(["apt-get", "-o", "DPkg::Lock::Timeout=300"]);
        line.extend(words);
        let (program, rest) = line.split_first().unwrap_or((&"apt-get", &[]));
        let mut command = house.command(program);
        command.args(rest).env("DEBIAN_FRONTEND", "noninteractive");
        do_it(&mut command)
    };
    apt(&["update", "-q"])?;
    // What a person has is theirs: where one would have to go, this ends with apt's own words.
    let mut words = vec!["install", "-q", "-y", "--no-remove", "--no-install-recommends"];
    words.extend(&missing);
    apt(&words)
}

/// Whether all of it is on this machine already. Where that cannot be told, it is not.
pub(crate) fn is_there(needs: &[Need]) -> bool {
    on_the_path("dpkg-query") && missing(&[needs], installed, on_the_path).is_empty()
}

/// The packages that are neither installed nor shown by their program.
fn missing(
    needs: &[&[Need]],
    installed: impl Fn(&str) -> bool,
    on_the_path: impl Fn(&str) -> bool,
) -> Vec<&'static str> {
    needs
        .iter()
        .flat_map(|needs| needs.iter())
        .filter(|need| !(need.program.is_some_and(&on_the_path) || installed(need.package)))
        .map(|need| need.package)
        .collect()
}

fn installed(package: &str) -> bool {
    ask(Command::new("dpkg-query").args(["-W", "-f", "${db:Status-Abbrev}", package]))
        .is_some_and(|status| status.starts_with("ii"))
}

/// What to put before `apt-get`, where installing is allowed.
fn may_install() -> Option<&'static [&'static str]> {
    if ask(Command::new("id").arg("-u")).is_some_and(|id| id.trim() == "0") {
        return Some(&[]);
    }
    let asked = Command::new("sudo")
        .args(["-n", "true"])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    if asked.is_ok_and(|status| status.success()) {
        Some(&["sudo", "-n"])
    } else {
        None
    }
}

fn how_to(missing: &[&str]) -> String {
    let list = missing.join(" ");
    format!(
        "system packages are missing: {list}. Install them with: sudo apt-get install --no-install-recommends {list}"
    )
}

/// Node and npm, which have no one package name to install: they must be there.
pub(crate) fn node_is_there() -> Result<(), Trouble> {
    let version = ask(Command::new("node").arg("--version"));
    node_is_new_enough(version.as_deref())?;
    if on_the_path("npm") {
        Ok(())
    } else {
        Err(Trouble::words(
            "npm is missing; it comes with Node from nodejs.org or your distribution",
        ))
    }
}

fn node_is_new_enough(version: Option<&str>) -> Result<(), Trouble> {
    let major = version
        .and_then(|text| text.trim().strip_prefix('v'))
        .and_then(|text| text.split('.').next())
        .and_then(|text| text.parse::<u64>().ok());
    match major {
        Some(major) if major >= OLDEST_NODE => Ok(()),
        Some(major) => Err(Trouble::words(format!(
            "Node {major} is too old: {OLDEST_NODE} or newer is needed"
        ))),
        None => Err(Trouble::words(format!(
            "Node is missing: install Node {OLDEST_NODE} or newer, with npm"
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_named() {
        let nothing = |_: &str| false;
        assert_eq!(missing(&[TO_BUILD], nothing, nothing), ["gcc", "libc6-dev"]);
        assert_eq!(
            missing(&[TO_BUILD], nothing, |program: &str| program == "cc"),
            ["libc6-dev"]
        );
        assert_eq!(
            missing(&[TO_BUILD], |package: &str| package == "gcc", nothing),
            ["libc6-dev"]
        );
        assert!(missing(&[TO_BUILD, TO_TEST, TO_OPEN_A_WINDOW], |_: &str| true, nothing).is_empty());
        assert!(
            how_to(&["xvfb", "chromium"]).contains("apt-get install --no-install-recommends xvfb chromium")
        );
    }

    #[test]
    fn node_must_be_there_and_new_enough() {
        assert!(node_is_new_enough(Some("v20.20.2\n")).is_ok());
        assert!(
            node_is_new_enough(Some("v18.1.0"))
                .unwrap_err()
                .to_string()
                .contains("too old")
        );
        assert!(
            node_is_new_enough(None)
                .unwrap_err()
                .to_string()
                .contains("missing")
        );
        assert!(
            node_is_new_enough(Some("nonsense"))
                .unwrap_err()
                .to_string()
                .contains("missing")
        );
    }
}
