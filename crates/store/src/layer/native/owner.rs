//! A data folder is its owner's alone: folders 0700, files 0600, also where an older program made them otherwise. Where a
//! file system or a system knows no such thing, it is as open as that makes it, and a check says so. It never touches what is
//! not the program's: a folder that holds anything else stays as open as it is, and only what is ours in it is closed.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::Path;

/// Everything that lies in a data folder, by the beginning of its name.
#[cfg(unix)]
const OURS: [&str; 11] = [
    "witnessmark.sqlite",
    "witnessmark.tally",
    "photos",
    "carry",
    "partial",
    "room",
    "writer.",
    "device.key",
    "drops.key",
    "tour.json",
    "trace.",
];

/// Makes a folder, and those above it that are not there.
pub(super) fn make_folder(path: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(path)
}

/// How a file of the folder is opened that is to be written. Elsewhere than on Unix a folder in a person's own profile
/// is theirs alone by the system's own rules.
pub(super) fn writing() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.write(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options
}

/// A file that must be new.
pub(super) fn new_file(path: &Path) -> io::Result<File> {
    writing().create_new(true).open(path)
}

/// A whole file, in place of one that is there.
pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    use std::io::Write as _;
    writing().create(true).truncate(true).open(path)?.write_all(bytes)
}

/// Makes a folder that an older program left open its owner's alone, with all that is in it. Where that cannot be done,
/// it stays as it is: the check tells.
#[cfg(unix)]
pub(super) fn close(dir: &Path) {
    if is_closed(dir) {
        return;
    }
    let Ok(inside) = fs::read_dir(dir) else {
        return;
    };
    let ours = |name: &std::ffi::OsStr| {
        let name = name.to_string_lossy();
        OURS.iter().any(|known| name.starts_with(known))
    };
    let names: Vec<_> = inside.flatten().map(|one| one.file_name()).collect();
    // A folder that holds other things is somebody's for other reasons, and stays as they have it.
    let all = names.iter().all(|name| ours(name));
    for name in names.iter().filter(|name| ours(name)) {
        shut(&dir.join(name), 3);
    }
    if all {
        set(dir, 0o700);
    }
}

#[cfg(not(unix))]
pub(super) fn close(_dir: &Path) {}

/// Whether nobody else may look into a folder.
#[cfg(unix)]
pub(super) fn is_closed(dir: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt as _;
    fs::metadata(dir).is_ok_and(|meta| meta.permissions().mode() & 0o077 == 0)
}

#[cfg(not(unix))]
pub(super) fn is_closed(_dir: &Path) -> bool {
    true
}

#[cfg(unix)]
fn shut(path: &Path, deep: u8) {
    let Ok(meta) = fs::symlink_metadata(path) else {
        return;
    };
    if meta.is_file() {
        set(path, 0o600);
    } else if meta.is_dir() {
        if deep > 0 {
            for inside in fs::read_dir(path).into_iter().flatten().flatten() {
                shut(&inside.path(), deep - 1);
            }
        }
        set(path, 0o700);
    }
}

#[cfg(unix)]
fn set(path: &Path, mode: u32) {
    use std::os::unix::fs::PermissionsExt as _;
    // A file system that knows no owners says no, or says yes and does nothing.
    let _ = fs::set_permissions(path, fs::Permissions::from_mode(mode));
}
