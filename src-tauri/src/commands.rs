//! What a page may ask of the shell: one call into the registry, one channel of patches, and bytes in and out.
//!
//! Nothing is decided here. Each command is async and does its work on a thread that may block, so that the
//! window never waits for a disk.

use serde::Deserialize;
use serde_json::Value;
use tauri::ipc::{Channel, InvokeBody, Request};
use tauri::{AppHandle, Manager, Runtime};

use crate::face::{Face, Told, broken, bytes_wanted};

/// One request to the registry, as a page sends it.
#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// Which record, where the folder keeps several.
    #[serde(default)]
    record: Option<String>,
    /// The command's or query's name.
    name: String,
    /// Its arguments, as its JSON Schema says.
    #[serde(default)]
    args: Value,
}

/// Runs a command or query of the registry and gives its reply with what that was made of, or the refusal as `{code, words, args, fault}`.
#[tauri::command(async)]
pub(crate) async fn call<R: Runtime>(app: AppHandle<R>, request: Asked) -> Result<Value, Told> {
    aside(app, move |face| {
        face.answer(request.record.as_deref(), &request.name, request.args)
    })
    .await
}

/// Sends every patch from now on into the page's channel, until the page goes away.
#[tauri::command(async)]
pub(crate) async fn watch<R: Runtime>(app: AppHandle<R>, patches: Channel<Value>) -> Result<(), Told> {
    aside(app, move |face| {
        face.watch(move |patch| patches.send(patch).is_ok());
        Ok(())
    })
    .await
}

/// Takes a photo's bytes (the raw body); replies with what became of it.
#[tauri::command(async)]
pub(crate) async fn put_photo<R: Runtime>(app: AppHandle<R>, request: Request<'_>) -> Result<Value, Told> {
    let bytes = body(&request)?;
    aside(app, move |face| face.take_photo(&bytes)).await
}

/// Takes a carry file's bytes (the raw body); replies with what it brought.
#[tauri::command(async)]
pub(crate) async fn carry_in<R: Runtime>(app: AppHandle<R>, request: Request<'_>) -> Result<Value, Told> {
    let (record, bytes) = (record(&request), body(&request)?);
    let (passphrase, welcome) = (named(&request, PASSPHRASE), named(&request, WELCOME).is_some());
    aside(app, move |face| {
        face.carry_in(record.as_deref(), &bytes, passphrase.as_deref(), welcome)
    })
    .await
}

/// Joins a car by a carry file's bytes (the raw body), where the folder keeps no such car; the headers name the
/// keeper and the device, percent-encoded.
#[tauri::command(async)]
pub(crate) async fn join<R: Runtime>(app: AppHandle<R>, request: Request<'_>) -> Result<Value, Told> {
    let (keeper, device) = (
        named(&request, KEEPER).unwrap_or_default(),
        named(&request, DEVICE),
    );
    let bytes = body(&request)?;
    let passphrase = named(&request, PASSPHRASE);
    aside(app, move |face| {
        face.join(&keeper, device.as_deref(), &bytes, passphrase.as_deref())
    })
    .await
}

/// Does `work` with the open notebook on a thread that may block.
async fn aside<R: Runtime, T: Send + 'static>(
    app: AppHandle<R>,
    work: impl FnOnce(&Face) -> Result<T, Told> + Send + 'static,
) -> Result<T, Told> {
    tauri::async_runtime::spawn_blocking(move || work(&app.state::<Face>()))
        .await
        .map_err(|stopped| broken(&stopped))?
}

/// The header that names the record beside a raw body, where the folder keeps several.
const RECORD: &str = "witnessmark-record";
/// The headers of [`join`].
const KEEPER: &str = "witnessmark-keeper";
const DEVICE: &str = "witnessmark-device";
/// The header of [`carry_in`] and [`join`] for a file that is sealed to a passphrase.
const PASSPHRASE: &str = "witnessmark-passphrase";
/// The header of [`carry_in`] that lets a newcomer in; there or not.
const WELCOME: &str = "witnessmark-welcome";

fn record(request: &Request<'_>) -> Option<String> {
    named(request, RECORD)
}

/// A header's words, when it has any. Headers carry ASCII only, so the page percent-encodes them (RFC 3986).
fn named(request: &Request<'_>, header: &str) -> Option<String> {
    let text = request.headers().get(header)?.to_str().ok()?;
    (!text.is_empty()).then(|| decode(text))
}

/// Undoes percent-encoding; what is no such code stays as it is.
fn decode(text: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        let code = after
            .get(..2)
            .and_then(|two| std::str::from_utf8(two).ok())
            .filter(|_| *first == b'%');
        match code.and_then(|two| u8::from_str_radix(two, 16).ok()) {
            Some(byte) => {
                bytes.push(byte);
                rest = after.get(2..).unwrap_or_default();
            }
            None => {
                bytes.push(*first);
                rest = after;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

fn body(request: &Request<'_>) -> Result<Vec<u8>, Told> {
    match request.body() {
        InvokeBody::Raw(bytes) => Ok(bytes.clone()),
        InvokeBody::Json(_) => Err(bytes_wanted()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_carry_any_name() {
        let check = |text: &str, expected: &str| assert_eq!(decode(text), expected);
        check("Ann", "Ann");
        check("Zo%C3%AB%20and%20co", "Zo\u{eb} and co");
        check("100%", "100%");
        check("%zz%4", "%zz%4");
        check("", "");
    }
}
