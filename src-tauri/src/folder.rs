//! Which data folder the window opens: `--at DIR`, else `WITNESSMARK_AT`, else the platform's own place.
//!
//! It never creates the folder or looks into it: the notebook does.

use std::ffi::OsString;
use std::path::PathBuf;

/// The variable that names a data folder where there is no `--at`.
pub(crate) const VARIABLE: &str = "WITNESSMARK_AT";

/// What was asked for on the command line or in the environment.
///
/// `Ok(None)` means the platform's own place; the error is a line for the person who started the program.
pub(crate) fn asked(
    mut arguments: impl Iterator<Item = OsString>,
    variable: Option<OsString>,
) -> Result<Option<PathBuf>, String> {
    let mut named = variable.filter(|value| !value.is_empty()).map(PathBuf::from);
    while let Some(argument) = arguments.next() {
        match argument.to_str() {
            Some("--at") => match arguments.next() {
                Some(folder) => named = Some(PathBuf::from(folder)),
                None => return Err("--at needs a folder".into()),
            },
            Some(text) if text.starts_with("--at=") => {
                named = text.strip_prefix("--at=").map(PathBuf::from);
            }
            // Platforms add arguments of their own when they open a window; those are not ours to refuse.
            _ => {}
        }
    }
    Ok(named)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(arguments: &[&str], variable: Option<&str>, expected: Option<&str>) {
        let arguments = arguments.iter().map(OsString::from);
        assert_eq!(
            asked(arguments, variable.map(OsString::from)),
            Ok(expected.map(PathBuf::from))
        );
    }

    #[test]
    fn the_argument_wins_over_the_variable() {
        check(&[], None, None);
        check(&[], Some(""), None);
        check(&[], Some("garage"), Some("garage"));
        check(&["--at", "shed"], Some("garage"), Some("shed"));
        check(&["--at=shed"], None, Some("shed"));
        check(&["--display-of-the-platform", "x"], None, None);
        assert!(asked(["--at".into()].into_iter(), None).is_err());
    }
}
