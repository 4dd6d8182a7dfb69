//! The places of this machine that a drop may lie in: a folder, a bucket, a server. Nothing is sent here.

use std::path::Path;

use link::drop::{Bucket, DropError, Store, WebDav};
use notebook::Places;
use notebook::drop::plain;
use notebook::wire::DropPlace;
use zeroize::Zeroize as _;

/// Those of a machine with folders and a network.
pub(crate) struct Machine;

impl Places for Machine {
    fn can_be(&self, place: &DropPlace) -> Result<(), String> {
        if let DropPlace::Folder { path } = place {
            let path = Path::new(path);
            if !path.is_absolute() {
                return Err("a drop's folder is named by its full path".to_owned());
            }
            if store::Folder::lies_in_a_folder(path) {
                return Err("that folder is a data folder or lies in one, and what is in a data folder is this device's alone; name one outside it".to_owned());
            }
        }
        opened(place).map(drop).map_err(|error| plain(&error))
    }

    fn folder_name(&self, path: &str) -> String {
        Path::new(path)
            .file_name()
            .map_or_else(|| "folder".to_owned(), |name| name.to_string_lossy().into_owned())
    }
}

/// The place itself.
pub(super) fn opened(place: &DropPlace) -> Result<Store, DropError> {
    match place {
        DropPlace::Folder { path } => Store::folder(Path::new(path)),
        DropPlace::S3 {
            endpoint,
            bucket,
            prefix,
            region,
            key,
            secret,
        } => {
            let mut bucket = Bucket {
                endpoint: Some(endpoint.clone()).filter(|endpoint| !endpoint.is_empty()),
                bucket: bucket.clone(),
                prefix: prefix.clone(),
                region: region.clone(),
                key: key.clone(),
                secret: secret.clone(),
            };
            let store = Store::bucket(&bucket);
            bucket.secret.zeroize();
            store
        }
        DropPlace::Webdav { url, user, password } => {
            let login = user.clone().zip(Some(password.clone().unwrap_or_default()));
            let mut webdav = WebDav {
                url: url.clone(),
                login,
            };
            let store = Store::webdav(&webdav);
            if let Some((_, password)) = &mut webdav.login {
                password.zeroize();
            }
            store
        }
    }
}
