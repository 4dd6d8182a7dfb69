//! The Python of the oracles: reference libraries that the tests compare with, in a folder under target.
//!
//! It never touches the machine's own Python packages.

use crate::house::{House, do_it};
use crate::trouble::Trouble;

/// The pinned reference libraries, where the tests name some.
const REQUIREMENTS: &str = "tests/oracles/requirements.txt";
/// Pinned packages of which only the tables are read: taken without what they would need to run.
const ALONE: &str = "tests/oracles/requirements-alone.txt";

/// Makes `target/venv` hold exactly the pinned libraries; does nothing where none are named.
pub(crate) fn prepare(house: &House) -> Result<(), Trouble> {
    let requirements = house.at(REQUIREMENTS);
    let mut wanted = match std::fs::read(&requirements) {
        Ok(wanted) => wanted,
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => {
            println!("{REQUIREMENTS} is not there: no oracle needs Python");
            return Ok(());
        }
        Err(source) => return Err(Trouble::file("reading", &requirements, source)),
    };
    let alone = house.at(ALONE);
    wanted.extend(std::fs::read(&alone).map_err(|source| Trouble::file("reading", &alone, source))?);
    let venv = house.target().join("venv");
    let taken = venv.join("taken-requirements.txt");
    if std::fs::read(&taken).is_ok_and(|taken| taken == wanted) {
        println!("oracles: Python libraries are those of {REQUIREMENTS}");
        return Ok(());
    }
    do_it(
        house
            .command("python3")
            .args(["-m", "venv", "--clear"])
            .arg(&venv),
    )
    .map_err(|trouble| Trouble::words(format!("{trouble} (Debian: apt-get install python3-venv)")))?;
    for (more, file) in [(&[][..], &requirements), (&["--no-deps"][..], &alone)] {
        do_it(
            house
                .command(venv.join("bin/python"))
                .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"])
                // What is used is compiled when it is used: most of it never is.
                .arg("--no-compile")
                .args(more)
                .arg("--requirement")
                .arg(file),
        )?;
    }
    std::fs::write(&taken, wanted).map_err(|source| Trouble::file("writing", &taken, source))
}

/// The Python that has the oracles' libraries, for the tests' environment.
pub(crate) fn program(house: &House) -> std::path::PathBuf {
    house.target().join("venv/bin/python")
}
