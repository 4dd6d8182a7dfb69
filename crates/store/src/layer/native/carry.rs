//! Carry files on a disk. One that is being written has another name until it is whole and synced: a stick pulled
//! out early leaves no half file under a good name. What is in them is never looked at here.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use super::Folder;
use super::owner;
use super::sync::sync_folder;
use crate::layer::{Outgoing, SetDown};

/// A carry file that is being written; dropped before it is kept, it leaves nothing.
pub(super) struct Written {
    out: Option<BufWriter<File>>,
    part: PathBuf,
    path: PathBuf,
    place: String,
}

/// What a carry file is called until it is whole.
pub(super) fn part_of(path: &Path) -> PathBuf {
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    PathBuf::from(part)
}

impl Outgoing for Written {
    fn place(&self) -> &str {
        &self.place
    }

    fn name(&self) -> String {
        let name = self.path.file_name();
        name.map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default()
    }

    /// Synced, and given its name when it is.
    fn keep(mut self: Box<Self>) -> io::Result<u64> {
        let Some(out) = self.out.take() else {
            return Err(io::Error::other("the file was closed already"));
        };
        let file = out.into_inner().map_err(io::IntoInnerError::into_error)?;
        file.sync_all()?;
        let length = file.metadata()?.len();
        drop(file);
        std::fs::rename(&self.part, &self.path)?;
        if let Some(dir) = self.path.parent().filter(|dir| !dir.as_os_str().is_empty()) {
            sync_folder(dir).map_err(io::Error::other)?;
        }
        Ok(length)
    }
}

/// How the name of a file begins that is being handed in; no carry file that is written out has one like it.
const COMES_IN: &str = ".in-";

/// A file that is being handed in; dropped, it is gone.
#[derive(Debug)]
pub(super) struct HandedIn {
    file: File,
    path: PathBuf,
    place: String,
}

impl SetDown for HandedIn {
    fn place(&self) -> &str {
        &self.place
    }
}

impl Write for HandedIn {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Drop for HandedIn {
    fn drop(&mut self) {
        // One that cannot be taken away now is swept at the next opening.
        let _ = std::fs::remove_file(&self.path);
    }
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.as_mut().map_or_else(
            || Err(io::Error::other("the file was closed already")),
            |out| out.write(bytes),
        )
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.as_mut().map_or(Ok(()), Write::flush)
    }
}

impl Drop for Written {
    fn drop(&mut self) {
        // After `keep` there is nothing of that name; a half file that cannot be taken away is only clutter.
        let _ = std::fs::remove_file(&self.part);
    }
}

impl Folder {
    /// Begins a carry file: at a path, or under a name in this folder's own place for them.
    pub(super) fn outgoing(&self, path: Option<&Path>, name: &str) -> io::Result<Written> {
        let named = match path {
            Some(path) if within_a_folder(path) => {
                return Err(io::Error::new(
                    io::ErrorKind::InvalidInput,
                    "that place is inside a data folder, whose own files would be lost; name one outside it",
                ));
            }
            Some(path) => path.to_owned(),
            None => {
                owner::make_folder(&self.carry_dir())?;
                self.carry_dir().join(name)
            }
        };
        let part = part_of(&named);
        // What goes elsewhere goes to somebody, who may be another user of another machine.
        let file = match path {
            Some(_) => File::create(&part)?,
            None => owner::writing().create(true).truncate(true).open(&part)?,
        };
        let out = Some(BufWriter::new(file));
        Ok(Written {
            out,
            part,
            place: named.to_string_lossy().into_owned(),
            path: named,
        })
    }

    /// Opens a carry file to read.
    pub(super) fn incoming(&self, path: &Path) -> io::Result<File> {
        // Asked first: a folder opens and reads as nothing, and a pipe would keep the program waiting.
        if !std::fs::metadata(path)?.is_file() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is no file"));
        }
        File::open(path)
    }

    /// Room for bytes that come another way, in this folder's own place for carry files.
    pub(super) fn set_down(&self, name: &str) -> io::Result<HandedIn> {
        owner::make_folder(&self.carry_dir())?;
        let path = self.carry_dir().join(format!("{COMES_IN}{name}.carry"));
        let file = owner::new_file(&path)?;
        Ok(HandedIn {
            file,
            place: path.to_string_lossy().into_owned(),
            path,
        })
    }

    /// Takes away what a program that was killed had set down.
    pub(super) fn sweep_set_down(&self) {
        for entry in std::fs::read_dir(self.carry_dir())
            .into_iter()
            .flatten()
            .flatten()
        {
            if entry.file_name().to_string_lossy().starts_with(COMES_IN) {
                // One that stays is only clutter.
                let _ = std::fs::remove_file(entry.path());
            }
        }
    }

    /// Whether a path is a data folder, this one or another, or leads into one.
    #[must_use]
    pub fn lies_in_a_folder(path: &Path) -> bool {
        let whole = std::fs::canonicalize(path).or_else(|_| std::path::absolute(path));
        let whole = whole.unwrap_or_else(|_| path.to_owned());
        whole.ancestors().any(|dir| dir.join(super::DATABASE).is_file())
    }

    /// The bytes of a file in this folder's own place, by its name alone.
    pub(super) fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        let plain = Path::new(name).file_name() == Some(name.as_ref());
        if plain {
            std::fs::read(self.carry_dir().join(name))
        } else {
            Err(io::ErrorKind::NotFound.into())
        }
    }
}

/// Whether a path leads into a data folder, this one or another, under a name that a file of its own may have.
pub(super) fn within_a_folder(path: &Path) -> bool {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    // No file of a folder's own is called so; the deepest is a photo, two folders down.
    whole.extension().is_none_or(|ending| ending != "carry")
        && whole
            .ancestors()
            .skip(1)
            .take(3)
            .any(|dir| dir.join(super::DATABASE).is_file())
}

#[cfg(test)]
mod tests {
    use super::within_a_folder;

    #[test]
    fn no_carry_file_is_written_over_a_folders_own() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("witnessmark.sqlite"), b"all of it").unwrap();
        for own in [
            "witnessmark.sqlite",
            "device.key",
            "witnessmark.tally",
            "photos/ab/abcd",
        ] {
            assert!(within_a_folder(&dir.path().join(own)), "{own}");
        }
        for fine in ["all.carry", "carry/all.carry"] {
            assert!(!within_a_folder(&dir.path().join(fine)), "{fine}");
        }
        let elsewhere = tempfile::tempdir().unwrap();
        assert!(!within_a_folder(&elsewhere.path().join("stick")));
    }
}
