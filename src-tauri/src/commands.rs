//! What a page may ask of the shell: one call into the registry, one channel of patches, and bytes in and out.
//!
//! Nothing is decided here. Each command is async and does its work on a thread that may block, so that the
//! window never waits for a disk.

use serde::Deserialize;
use serde_json::Value;
use tauri::ipc::{Channel, InvokeBody, Request, Response};
use tauri::{AppHandle, Manager, Runtime};

use crate::face::{Face, Told};

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

/// Runs a command or query of the registry and gives its reply, or the refusal as `{code, args}`.
#[tauri::command(async)]
pub(crate) async fn call<R: Runtime>(app: AppHandle<R>, request: Asked) -> Result<Value, Told> {
    aside(app, move |face| {
        face.call(request.record.as_deref(), &request.name, request.args)
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
    let (record, bytes) = (record(&request), body(&request)?);
    aside(app, move |face| face.take_photo(record.as_deref(), bytes)).await
}

/// Takes a carry file's bytes (the raw body); replies with what it brought.
#[tauri::command(async)]
pub(crate) async fn carry_in<R: Runtime>(app: AppHandle<R>, request: Request<'_>) -> Result<Value, Told> {
    let (record, bytes) = (record(&request), body(&request)?);
    aside(app, move |face| face.carry_in(record.as_deref(), bytes)).await
}

/// Makes a carry file and gives its bytes, for the page to save where the person says.
#[tauri::command(async)]
pub(crate) async fn carry_out<R: Runtime>(app: AppHandle<R>, request: Asked) -> Result<Response, Told> {
    aside(app, move |face| {
        face.carry_out(request.record.as_deref(), request.args)
    })
    .await
    .map(Response::new)
}

/// Does `work` with the open notebook on a thread that may block.
async fn aside<R: Runtime, T: Send + 'static>(
    app: AppHandle<R>,
    work: impl FnOnce(&Face) -> Result<T, Told> + Send + 'static,
) -> Result<T, Told> {
    tauri::async_runtime::spawn_blocking(move || work(&app.state::<Face>()))
        .await
        .map_err(|stopped| Told::broken(&stopped))?
}

/// The header that names the record beside a raw body, where the folder keeps several.
const RECORD: &str = "witnessmark-record";

fn record(request: &Request<'_>) -> Option<String> {
    request.headers().get(RECORD)?.to_str().ok().map(str::to_owned)
}

fn body(request: &Request<'_>) -> Result<Vec<u8>, Told> {
    match request.body() {
        InvokeBody::Raw(bytes) => Ok(bytes.clone()),
        InvokeBody::Json(_) => Err(Told::bytes_wanted()),
    }
}
