//! The demo's source files, carried inside the program. It reads no folder: what was there at build time is there
//! at run time, whatever the machine. It knows nothing of what the files say.

use std::borrow::Cow;
use std::collections::BTreeMap;

use include_dir::{Dir, include_dir};

use crate::error::DemoError;

static EMBEDDED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/../../demo-project");

/// The source files by their path below `demo-project`, in the order of their names.
#[derive(Clone, Debug)]
pub struct Sources {
    files: BTreeMap<String, Cow<'static, [u8]>>,
}

impl Sources {
    /// The files that this program was built with.
    #[must_use]
    pub fn embedded() -> Self {
        let mut files = BTreeMap::new();
        let mut folders = vec![&EMBEDDED];
        while let Some(folder) = folders.pop() {
            folders.extend(folder.dirs());
            for file in folder.files() {
                let name = file.path().to_string_lossy().replace('\\', "/");
                files.insert(name, Cow::Borrowed(file.contents()));
            }
        }
        Self { files }
    }

    /// The same files with one of them put in place or replaced.
    #[must_use]
    pub fn with(mut self, path: &str, text: &str) -> Self {
        self.files
            .insert(path.to_owned(), Cow::Owned(text.as_bytes().to_vec()));
        self
    }

    /// The same files, each that `change` gives a path and a text with those instead.
    ///
    /// # Errors
    /// A file is not UTF-8.
    pub(crate) fn each(
        &self,
        change: impl Fn(&str, &str) -> Option<(String, String)>,
    ) -> Result<Self, DemoError> {
        let mut files = BTreeMap::new();
        for (path, bytes) in &self.files {
            match change(path, self.text(path)?) {
                Some((path, text)) => files.insert(path, Cow::Owned(text.into_bytes())),
                None => files.insert(path.clone(), bytes.clone()),
            };
        }
        Ok(Self { files })
    }

    /// The text of one file.
    ///
    /// # Errors
    /// It is not there, or is not UTF-8.
    pub fn text(&self, path: &str) -> Result<&str, DemoError> {
        let bytes = self
            .files
            .get(path)
            .ok_or_else(|| DemoError::NoFile(path.to_owned()))?;
        std::str::from_utf8(bytes).map_err(|why| DemoError::Unreadable {
            file: path.to_owned(),
            why: why.to_string(),
        })
    }

    /// One file as a TOML table.
    ///
    /// # Errors
    /// It is not there, is not UTF-8, or is not TOML.
    pub(crate) fn table(&self, path: &str) -> Result<toml::Table, DemoError> {
        table(path, self.text(path)?)
    }

    /// The paths of the files directly in a folder that end in `.ext`, in order.
    pub fn within<'a>(&'a self, folder: &'a str, ext: &'a str) -> impl Iterator<Item = &'a str> {
        self.files.keys().map(String::as_str).filter(move |path| {
            let inside = path.strip_prefix(folder).and_then(|rest| rest.strip_prefix('/'));
            inside.is_some_and(|name| !name.contains('/'))
                && path.rsplit_once('.').is_some_and(|(_, end)| end == ext)
        })
    }
}

/// Reads a text as a TOML table, naming `file` when it is none.
pub(crate) fn table(file: &str, text: &str) -> Result<toml::Table, DemoError> {
    let unreadable = |why: toml::de::Error| DemoError::Unreadable {
        file: file.to_owned(),
        why: why.to_string().trim().to_owned(),
    };
    text.parse::<toml::Table>().map_err(unreadable)
}
