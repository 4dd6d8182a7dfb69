//! Places by `object_store`: a folder, memory, an S3 bucket, a WebDAV server. It never opens a file outside the folder it
//! was given, never hands a password or key on to a message, and never waits without an end.

use std::future::Future;
use std::io::Write;
use std::path::Path as Folder;
use std::sync::Arc;
use std::time::Duration;

use data_encoding::BASE64;
use object_store::aws::AmazonS3Builder;
use object_store::client::ClientConfigKey;
use object_store::http::HttpBuilder;
use object_store::local::LocalFileSystem;
use object_store::memory::InMemory;
use object_store::path::Path;
use object_store::prefix::PrefixStore;
use object_store::{ClientOptions, Error, ObjectMeta, ObjectStore, ObjectStoreExt, RetryConfig};
use reqwest::header::{AUTHORIZATION, HeaderMap, HeaderValue};
use tokio_stream::StreamExt;
use url::Url;
use zeroize::Zeroizing;

use super::DropError;
use super::place::{Listed, Place, Seen};

/// How many files of one place are looked at.
const LISTED_MAX: usize = 200_000;
/// How long a server may take to answer a call.
const CONNECT: Duration = Duration::from_secs(10);
/// How long one call may take altogether: the largest photo over a slow line.
const CALL: Duration = Duration::from_secs(300);

/// A bucket that speaks S3.
#[derive(Clone, Default)]
pub struct Bucket {
    /// The server, `https://…`; nothing for the one that the region belongs to.
    pub endpoint: Option<String>,
    /// The bucket's name.
    pub bucket: String,
    /// A folder in it, where not all of it is to be used.
    pub prefix: Option<String>,
    /// The region, where the server has any.
    pub region: Option<String>,
    /// The id of the key.
    pub key: String,
    /// The key's secret.
    pub secret: String,
}

/// A folder on a WebDAV server.
#[derive(Clone, Default)]
pub struct WebDav {
    /// Where it is, `https://…`.
    pub url: String,
    /// Name and password, where it wants them.
    pub login: Option<(String, String)>,
}

/// A place that `object_store` knows.
pub struct Store {
    store: Arc<dyn ObjectStore>,
    calls: tokio::runtime::Runtime,
    /// WebDAV servers may refuse to list more than one folder at a time (RFC 4918, 9.1).
    folder_by_folder: bool,
    /// Most files that are listed.
    most: usize,
}

impl Store {
    /// A folder that is there already: on a stick, on a server in the house, or one that another program copies. What is
    /// written is synced.
    ///
    /// # Errors
    /// [`DropError::NoPlace`] where it is none.
    pub fn folder(folder: &Folder) -> Result<Self, DropError> {
        let store = LocalFileSystem::new_with_prefix(folder)
            .map_err(|_| DropError::NoPlace("there is no such folder, or it may not be read".into()))?;
        Self::of(Arc::new(store.with_fsync(true)), false)
    }

    /// Memory, gone with the value: for trying.
    ///
    /// # Errors
    /// [`DropError::Place`] where the machine gives no thread of calls.
    pub fn memory() -> Result<Self, DropError> {
        Self::of(Arc::new(InMemory::new()), false)
    }

    /// A bucket. An address with `http://` is taken too: what lies there is sealed, but whoever listens on the way learns
    /// who meets there, and could take the key's use for a while.
    ///
    /// # Errors
    /// [`DropError::NoPlace`] where the settings make no place. Nothing is sent yet.
    pub fn bucket(of: &Bucket) -> Result<Self, DropError> {
        secured();
        if let Some(endpoint) = &of.endpoint {
            of_a_server(endpoint)?;
        }
        let mut builder = AmazonS3Builder::new()
            .with_bucket_name(&of.bucket)
            .with_region(of.region.as_deref().unwrap_or("us-east-1"))
            .with_access_key_id(&of.key)
            .with_secret_access_key(&of.secret)
            .with_client_options(options(None))
            .with_retry(retry());
        if let Some(endpoint) = &of.endpoint {
            builder = builder.with_endpoint(endpoint);
        }
        let store = builder
            .build()
            .map_err(|_| DropError::NoPlace("the bucket's settings do not fit together".into()))?;
        match of.prefix.as_deref().filter(|prefix| !prefix.is_empty()) {
            Some(prefix) => Self::of(Arc::new(PrefixStore::new(store, prefix)), false),
            None => Self::of(Arc::new(store), false),
        }
    }

    /// A folder on a WebDAV server.
    ///
    /// # Errors
    /// [`DropError::NoPlace`] where the address is none. Nothing is sent yet.
    pub fn webdav(of: &WebDav) -> Result<Self, DropError> {
        secured();
        of_a_server(&of.url)?;
        let bad = |what: &str| DropError::NoPlace(what.into());
        let mut headers = HeaderMap::new();
        if let Some((name, password)) = &of.login {
            // RFC 7617.
            let login = Zeroizing::new(format!("{name}:{password}"));
            let said = Zeroizing::new(format!(
                "Basic {}",
                *Zeroizing::new(BASE64.encode(login.as_bytes()))
            ));
            let mut said =
                HeaderValue::from_str(&said).map_err(|_| bad("the login cannot be sent to a server"))?;
            said.set_sensitive(true);
            headers.insert(AUTHORIZATION, said);
        }
        let store = HttpBuilder::new()
            .with_url(&of.url)
            .with_client_options(options(Some(headers)))
            .with_retry(retry())
            .build()
            .map_err(|_| bad("the address cannot be read"))?;
        Self::of(Arc::new(store), true)
    }

    fn of(store: Arc<dyn ObjectStore>, folder_by_folder: bool) -> Result<Self, DropError> {
        let calls = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(|error| DropError::Place(error.to_string()))?;
        Ok(Store {
            store,
            calls,
            folder_by_folder,
            most: LISTED_MAX,
        })
    }

    /// Waits for a call. The caller may itself be inside another runtime, so the waiting has a thread of its own.
    fn wait<T: Send>(&self, call: impl Future<Output = Result<T, Error>> + Send) -> Result<T, Error> {
        if tokio::runtime::Handle::try_current().is_err() {
            return self.calls.block_on(call);
        }
        let done = std::thread::scope(|scope| scope.spawn(|| self.calls.block_on(call)).join());
        done.unwrap_or_else(|_| {
            Err(Error::NotSupported {
                source: "the call broke off".into(),
            })
        })
    }
}

/// The files below a folder, at most so many, and whether there are more.
async fn below(store: &dyn ObjectStore, folder: &Path, most: usize) -> Result<(Vec<Seen>, bool), Error> {
    let mut seen = Vec::new();
    let mut listed = store.list(Some(folder));
    while let Some(one) = listed.next().await {
        match one {
            Ok(_) if seen.len() >= most => return Ok((seen, true)),
            Ok(one) => seen.push(as_seen(one)),
            // Taken away while the list was made, or a name that no file of ours has.
            Err(Error::NotFound { .. } | Error::InvalidPath { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    Ok((seen, false))
}

/// The files in a folder alone, where a place lists no deeper.
async fn inside(store: &dyn ObjectStore, folder: &Path, most: usize) -> Result<(Vec<Seen>, bool), Error> {
    match store.list_with_delimiter(Some(folder)).await {
        Ok(listed) => {
            let more = listed.objects.len() > most;
            Ok((listed.objects.into_iter().map(as_seen).take(most).collect(), more))
        }
        Err(Error::NotFound { .. }) => Ok((Vec::new(), false)),
        Err(error) => Err(error),
    }
}

impl Store {
    /// Everything two folders deep, at most so many, and whether there is more.
    async fn all(
        store: &dyn ObjectStore,
        folder: &Path,
        most: usize,
        folder_by_folder: bool,
    ) -> Result<(Vec<Seen>, bool), Error> {
        if !folder_by_folder {
            return below(store, folder, most).await;
        }
        let devices = match store.list_with_delimiter(Some(folder)).await {
            Ok(devices) => devices.common_prefixes,
            Err(Error::NotFound { .. }) => return Ok((Vec::new(), false)),
            Err(error) => return Err(error),
        };
        let mut seen = Vec::new();
        for device in &devices {
            let left = most.saturating_sub(seen.len());
            let (some, more) = inside(store, device, left).await?;
            seen.extend(some);
            if more {
                return Ok((seen, true));
            }
        }
        Ok((seen, false))
    }

    /// The same place, which lists no more than so many files: tests need not make as many as are listed.
    #[must_use]
    pub fn listing_at_most(mut self, most: usize) -> Self {
        self.most = most;
        self
    }
}

impl Place for Store {
    fn list(&mut self, folder: &str) -> Result<Vec<Seen>, DropError> {
        Ok(self.list_known(folder, &[])?.files)
    }

    fn list_known(&mut self, folder: &str, known: &[String]) -> Result<Listed, DropError> {
        let store = Arc::clone(&self.store);
        let (folder_by_folder, most) = (self.folder_by_folder, self.most);
        let folder = Path::from(folder);
        let listed = self.wait(async move {
            let (files, too_long) = Self::all(store.as_ref(), &folder, most, folder_by_folder).await?;
            if !too_long || known.is_empty() {
                let cut = too_long;
                return Ok(Listed { files, too_long, cut });
            }
            let mut listed = Listed {
                too_long,
                ..Listed::default()
            };
            for name in known {
                let folder = folder.clone().join(name.as_str());
                let left = most.saturating_sub(listed.files.len());
                let (some, more) = if folder_by_folder {
                    inside(store.as_ref(), &folder, left).await?
                } else {
                    below(store.as_ref(), &folder, left).await?
                };
                listed.files.extend(some);
                listed.cut |= more;
            }
            Ok(listed)
        });
        listed.map_err(|error| trouble(&error))
    }

    fn read(&mut self, path: &str, limit: u64, into: &mut dyn Write) -> Result<(), DropError> {
        let store = Arc::clone(&self.store);
        let path = Path::from(path);
        let opened =
            self.wait(async move { store.get(&path).await.map(object_store::GetResult::into_stream) });
        let mut stream = opened.map_err(|error| trouble(&error))?;
        let mut left = limit;
        // One piece at a time, so that the writer need not be sent to another thread.
        while let Some(piece) = self
            .wait(async { stream.next().await.transpose() })
            .map_err(|error| trouble(&error))?
        {
            left = left
                .checked_sub(piece.len() as u64)
                .ok_or(DropError::TooLarge { limit })?;
            into.write_all(&piece)?;
        }
        Ok(())
    }

    fn write(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), DropError> {
        let store = Arc::clone(&self.store);
        let path = Path::from(path);
        self.wait(async move { store.put(&path, bytes.into()).await.map(drop) })
            .map_err(|error| trouble(&error))
    }

    fn remove(&mut self, path: &str) -> Result<(), DropError> {
        let store = Arc::clone(&self.store);
        let path = Path::from(path);
        match self.wait(async move { store.delete(&path).await }) {
            Ok(()) | Err(Error::NotFound { .. }) => Ok(()),
            Err(error) => Err(trouble(&error)),
        }
    }
}

fn as_seen(meta: ObjectMeta) -> Seen {
    Seen {
        path: meta.location.to_string(),
        size: meta.size,
        mark: meta
            .e_tag
            .unwrap_or_else(|| meta.last_modified.timestamp_millis().to_string()),
    }
}

/// Whether an address can be a server's: the library that asks it takes any text, and stops the program at some.
fn of_a_server(address: &str) -> Result<(), DropError> {
    let url = Url::parse(address).ok();
    let web = url.is_some_and(|url| ["https", "http"].contains(&url.scheme()) && url.has_host());
    if web && !address.contains(char::is_whitespace) {
        return Ok(());
    }
    let words =
        "that is not the address of a server: it begins with https:// and goes on with the server's name";
    Err(DropError::NoPlace(words.into()))
}

/// A server's own words can hold paths and addresses, and so stay out of ours.
fn trouble(error: &Error) -> DropError {
    DropError::Place(
        match error {
            Error::NotFound { .. } => return DropError::Gone,
            Error::PermissionDenied { .. } => "it does not let this device in",
            Error::Unauthenticated { .. } => "it does not know the name or key it was given",
            _ => "it did not answer as it should",
        }
        .into(),
    )
}

fn options(headers: Option<HeaderMap>) -> ClientOptions {
    let options = ClientOptions::new()
        .with_config(ClientConfigKey::AllowHttp, "true")
        .with_connect_timeout(CONNECT)
        .with_timeout(CALL);
    match headers {
        Some(headers) => options.with_default_headers(headers),
        None => options,
    }
}

fn retry() -> RetryConfig {
    RetryConfig {
        max_retries: 2,
        retry_timeout: Duration::from_secs(20),
        ..RetryConfig::default()
    }
}

/// Says once for the program which library does the sums of TLS. Whoever said so before is left as they are.
fn secured() {
    let _ = rustls::crypto::ring::default_provider().install_default();
}

#[cfg(test)]
mod tests {
    use super::of_a_server;

    #[test]
    fn only_the_address_of_a_server_is_one() {
        for address in [
            "https://store.example",
            "http://127.0.0.1:9000/dav/",
            "https://[2001:db8::7]:1/",
        ] {
            assert!(of_a_server(address).is_ok(), "{address}");
        }
        for address in [
            "store.example:9000",
            "notaurl",
            "https://",
            "file:///x",
            "mailto:a@b",
            "data:,x",
            "gopher://x",
            "https://store.example\n",
            "",
        ] {
            assert!(of_a_server(address).is_err(), "{address}");
        }
    }
}
