//! The pages on loopback: the same registry over HTTP, for a browser on this machine and for nobody else.
//!
//! It listens on 127.0.0.1 only. Every request names the token of this run, and a `Host` or `Origin` that is not
//! this address is turned away, so that no page from elsewhere can talk to it through the browser.

use std::convert::Infallible;
use std::io::Write as _;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, Path, Query, Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use host::{Handle, Surroundings};
use include_dir::{Dir, include_dir};
use notebook::{Fault, MOST_PHOTO, Notebook, PhotoSize, Refusal, SetDown};
use serde::Deserialize;
use serde_json::{Value, json};
use subtle::ConstantTimeEq;
use tokio::net::TcpListener;
use tokio::sync::{broadcast, watch};
use tokio_stream::StreamExt;
use tokio_stream::wrappers::{BroadcastStream, WatchStream};

use crate::machine;

static PAGES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../ui/dist");

/// Most bytes of one upload: a photo, or a carry file with its photos.
const MOST_UPLOAD: usize = 1 << 30;
/// Most bytes of a command and its arguments: the longest text that an edit takes is far shorter.
const MOST_CALL: usize = 4 << 20;
/// Nothing from elsewhere is ever loaded, run or asked.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; \
    img-src 'self' blob: data:; connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

/// How long requests that are being answered are waited for at the end.
const LAST_ANSWERS: Duration = Duration::from_millis(700);
/// How long the devices that are met are told farewell.
const FAREWELL: Duration = Duration::from_millis(1_000);

struct Face {
    notebook: Handle,
    token: String,
    port: u16,
    patches: broadcast::Sender<String>,
    /// Turns true when serving ends: a stream of patches would never end by itself.
    ending: watch::Receiver<bool>,
}

/// The port that was asked for; with none, the one of last time, where a browser keeps what was typed, or else a free one.
async fn listen(port: u16, before: Option<u16>) -> std::io::Result<TcpListener> {
    let bind = |port| TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    match before.filter(|_| port == 0) {
        Some(before) => match bind(before).await {
            Ok(listener) => Ok(listener),
            Err(_) => bind(0).await,
        },
        None => bind(port).await,
    }
}

/// The patch that names nothing: the pages ask again for all that they show.
const ANYTHING: &str = r#"{"record":"","touched":[],"marks":[],"points":true}"#;

/// Serves until it is ended.
pub(crate) fn run(mut notebook: Notebook, port: u16, json: bool) -> Result<(), Refusal> {
    let failed = |error: std::io::Error| Refusal::failed("serve", error.to_string());
    let (patches, _) = broadcast::channel(256);
    let sender = patches.clone();
    notebook.watch(move |patch| {
        let text = serde_json::to_string(patch).unwrap_or_else(|_| ANYTHING.to_owned());
        // Nobody listening is no fault.
        let _ = sender.send(text);
        true
    });
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(failed)?;
    let done = runtime.block_on(async move {
        let listener = listen(port, notebook.pages_port()?).await.map_err(failed)?;
        let port = listener.local_addr().map_err(failed)?.port();
        // On a full disk the pages can still be read; at the next start they are at another port.
        let _ = notebook.keep_pages_port(port);
        let token: String = machine::random::<16>()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let address = format!("http://127.0.0.1:{port}/#token={token}");
        if json {
            println!("{}", json!({ "address": address, "port": port, "token": token }));
        } else {
            println!("Witnessmark is at {address}\nIt answers this machine only. End it with Ctrl-C.");
        }
        std::io::stdout().flush().map_err(failed)?;
        let (end, ending) = watch::channel(false);
        let notebook = Handle::new(notebook);
        notebook.open_ahead();
        // Whoever turns meetings off in the settings has none; without a network nothing waits for one.
        notebook.caught_up_then(|notebook| {
            notebook.attend(Surroundings::usual())?;
            notebook.attend_drops()
        })?;
        let meetings = notebook.clone();
        let face = Arc::new(Face {
            notebook,
            token,
            port,
            patches,
            ending: ending.clone(),
        });
        let served = axum::serve(listener, router(face)).with_graceful_shutdown(async move {
            asked_to_end().await;
            let _ = end.send(true);
        });
        let done = tokio::select! {
            done = served.into_future() => done.map_err(failed),
            // What is still being answered then is cut; what was acknowledged is on the disk.
            () = late(ending) => Ok(()),
        };
        // Farewells take a moment and block: not in the runtime's own way.
        let farewell = tokio::task::spawn_blocking(move || {
            meetings.leave_drops();
            meetings.leave();
        });
        let _ = tokio::time::timeout(FAREWELL, farewell).await;
        if !json {
            println!("Witnessmark has ended. Everything that was kept is kept.");
        }
        done
    });
    // Whoever still works for a page that is gone is not waited for.
    runtime.shutdown_background();
    done
}

/// Waits until whoever started it asks it to end. Without a signal handler it is ended the hard way, which loses nothing either.
async fn asked_to_end() {
    let pressed = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut told) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = pressed => {}
                _ = told.recv() => {}
            }
            return;
        }
    }
    let _ = pressed.await;
}

/// Some time after it was asked to end.
async fn late(mut ending: watch::Receiver<bool>) {
    if ending.wait_for(|ending| *ending).await.is_err() {
        std::future::pending::<()>().await;
    }
    tokio::time::sleep(LAST_ANSWERS).await;
}

fn router(face: Arc<Face>) -> Router {
    let guarded = Router::new()
        .route("/call", post(call).layer(DefaultBodyLimit::max(MOST_CALL)))
        .route("/patches", get(patches))
        .route("/photo", post(put_photo))
        .route("/photo/{hash}/{size}", get(photo))
        .route("/carry", post(put_carry))
        .route("/carry/{name}", get(carry))
        .layer(DefaultBodyLimit::max(MOST_UPLOAD))
        .layer(middleware::from_fn_with_state(Arc::clone(&face), token));
    Router::new()
        .merge(guarded)
        .fallback(get(page))
        .layer(middleware::from_fn_with_state(Arc::clone(&face), here_only))
        .with_state(face)
}

/// Whether a request was meant for this address.
fn meant_for_here(headers: &HeaderMap, port: u16) -> bool {
    let ours = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let of = |name: header::HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let host = of(header::HOST).is_some_and(|host| ours.iter().any(|our| our == host));
    let origin =
        of(header::ORIGIN).is_none_or(|origin| ours.iter().any(|our| origin == format!("http://{our}")));
    host && origin
}

/// Turns away whatever was not meant for this address.
async fn here_only(State(face): State<Arc<Face>>, request: Request, next: Next) -> Response {
    if !meant_for_here(request.headers(), face.port) {
        return (StatusCode::FORBIDDEN, "this address answers its own page only").into_response();
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

#[derive(Deserialize)]
struct Token {
    token: Option<String>,
}

/// Asks for the token of this run: in a header, or in the address where a browser can send no header.
async fn token(
    State(face): State<Arc<Face>>,
    Query(query): Query<Token>,
    headers: HeaderMap,
    request: Request,
    next: Next,
) -> Response {
    let in_header = headers
        .get("x-witnessmark-token")
        .and_then(|value| value.to_str().ok());
    let given = in_header.or(query.token.as_deref()).unwrap_or_default();
    if !bool::from(given.as_bytes().ct_eq(face.token.as_bytes())) {
        let refusal = Refusal::input(
            "token",
            "this page is of another run of the program; open the address it printed",
        );
        return refused(&refusal, StatusCode::UNAUTHORIZED);
    }
    next.run(request).await
}

fn refused(refusal: &Refusal, status: StatusCode) -> Response {
    (status, Json(json!({ "refusal": refusal }))).into_response()
}

fn answer(result: Result<Value, Refusal>) -> Response {
    match result {
        Ok(reply) => Json(json!({ "reply": reply })).into_response(),
        Err(refusal) => {
            let status = if refusal.fault == Fault::Input {
                StatusCode::UNPROCESSABLE_ENTITY
            } else {
                StatusCode::INTERNAL_SERVER_ERROR
            };
            refused(&refusal, status)
        }
    }
}

/// Work on the notebook, off the threads that answer.
async fn at_work<T: Send + 'static>(
    face: Arc<Face>,
    work: impl FnOnce(&mut Notebook) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let done = tokio::task::spawn_blocking(move || face.notebook.with(work)).await;
    done.unwrap_or_else(|error| Err(broken(&error)))
}

/// A call, off the threads that answer; the notebook is asked in turns.
async fn called<T: Send + 'static>(
    face: Arc<Face>,
    call: impl FnOnce(&Handle) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let done = tokio::task::spawn_blocking(move || call(&face.notebook)).await;
    done.unwrap_or_else(|error| Err(broken(&error)))
}

fn broken(error: &tokio::task::JoinError) -> Refusal {
    Refusal::failed(
        "panic",
        format!("the program failed at this: {error}; nothing of it was kept"),
    )
}

#[derive(Deserialize)]
struct Envelope {
    record: Option<String>,
    name: String,
    #[serde(default)]
    args: Value,
}

async fn call(State(face): State<Arc<Face>>, body: Bytes) -> Response {
    let envelope: Envelope = match serde_json::from_slice(&body) {
        Ok(envelope) => envelope,
        Err(error) => {
            return answer(Err(Refusal::input(
                "arguments",
                format!("the request cannot be read: {error}"),
            )));
        }
    };
    let answered = called(face, move |notebook| {
        notebook.answer(envelope.record.as_deref(), &envelope.name, envelope.args)
    });
    match answered.await {
        Ok(answered) => Json(answered).into_response(),
        Err(refusal) => answer(Err(refusal)),
    }
}

async fn patches(State(face): State<Arc<Face>>) -> Response {
    // A listener that fell behind is told to ask for everything again; none outlives the serving.
    let patches = BroadcastStream::new(face.patches.subscribe()).map(Some);
    let end = WatchStream::new(face.ending.clone())
        .filter(|ending| *ending)
        .map(|_| None);
    let stream = patches.merge(end).map_while(|patch| {
        let event = patch?.map_or_else(
            |_| Event::default().event("behind").data("{}"),
            |patch| Event::default().data(patch),
        );
        Some(Ok::<Event, Infallible>(event))
    });
    Sse::new(stream).keep_alive(KeepAlive::default()).into_response()
}

/// A photo: no more bytes of it are taken in than one may have, and it is looked at while the notebook goes on answering.
async fn put_photo(State(face): State<Arc<Face>>, body: Body) -> Response {
    let Ok(bytes) = axum::body::to_bytes(body, MOST_PHOTO).await else {
        return answer(Err(Refusal::input(
            "photo_too_large",
            format!("the photo has more than {MOST_PHOTO} bytes, or did not come whole; nothing was kept"),
        )));
    };
    let done = tokio::task::spawn_blocking(move || {
        let taken = face.notebook.take_photo(&bytes)?;
        serde_json::to_value(taken).map_err(|error| Refusal::failed("json", error.to_string()))
    });
    answer(done.await.unwrap_or_else(|error| Err(broken(&error))))
}

async fn photo(State(face): State<Arc<Face>>, Path((hash, size)): Path<(String, String)>) -> Response {
    let size = if size == "thumb" {
        PhotoSize::Thumb
    } else {
        PhotoSize::Original
    };
    match at_work(face, move |notebook| notebook.photo(&hash, size)).await {
        // Its address has this run's token, and a browser keeps what it keeps on the disk where anybody may look: an
        // original is kept there by nobody, and a small picture for as long as a page is looked through.
        Ok((mime, bytes)) => {
            let kept = if size == PhotoSize::Thumb {
                "private, max-age=600"
            } else {
                "no-store"
            };
            (
                [
                    (header::CONTENT_TYPE, mime.as_str()),
                    (header::CACHE_CONTROL, kept),
                ],
                bytes,
            )
                .into_response()
        }
        Err(refusal) => refused(&refusal, StatusCode::NOT_FOUND),
    }
}

/// Who joins, where the file is to be joined by.
#[derive(Deserialize)]
struct Joining {
    keeper: Option<String>,
    device_name: Option<String>,
}

/// What a carry file is sealed to, and whether its newcomer is let in. It comes in a header, as a query is written: no
/// address holds it.
#[derive(Default, Deserialize)]
struct Sealed {
    passphrase: Option<String>,
    #[serde(default)]
    welcome: bool,
}

impl Sealed {
    fn of(headers: &HeaderMap) -> Self {
        let text = headers
            .get("x-witnessmark-sealed")
            .and_then(|value| value.to_str().ok());
        text.and_then(|text| format!("/?{text}").parse().ok())
            .and_then(|uri| Query::try_from_uri(&uri).ok())
            .map_or_else(Self::default, |Query(sealed)| sealed)
    }
}

/// Writes an upload down piece by piece, so that no more of it is in memory than a piece.
async fn set_down(face: &Arc<Face>, body: Body) -> Result<Box<dyn SetDown>, Refusal> {
    let mut file = at_work(Arc::clone(face), Notebook::set_down).await?;
    let failed = |error: &dyn std::fmt::Display| {
        Refusal::failed(
            "carry_io",
            format!("the carry file could not be set down: {error}"),
        )
    };
    let mut room = MOST_UPLOAD;
    let mut pieces = body.into_data_stream();
    while let Some(piece) = pieces.next().await {
        let piece = piece.map_err(|error| failed(&error))?;
        room = room.checked_sub(piece.len()).ok_or_else(|| {
            Refusal::input(
                "carry_too_large",
                format!("the carry file has more than {MOST_UPLOAD} bytes; nothing was changed"),
            )
        })?;
        tokio::task::block_in_place(|| file.write_all(&piece)).map_err(|error| failed(&error))?;
    }
    Ok(file)
}

async fn put_carry(
    State(face): State<Arc<Face>>,
    Query(joining): Query<Joining>,
    headers: HeaderMap,
    body: Body,
) -> Response {
    let sealed = Sealed::of(&headers);
    let file = match set_down(&face, body).await {
        Ok(file) => file,
        Err(refusal) => return answer(Err(refusal)),
    };
    answer(
        called(face, move |notebook| {
            let (name, mut args) = match joining.keeper {
                Some(keeper) => {
                    let device = joining.device_name.filter(|name| !name.is_empty());
                    let args = json!({ "file": file.place(), "keeper": keeper, "device_name": device });
                    ("join_record", args)
                }
                None => (
                    "carry_in",
                    json!({ "file": file.place(), "welcome": sealed.welcome }),
                ),
            };
            if let (Some(args), Some(passphrase)) = (args.as_object_mut(), sealed.passphrase) {
                args.insert("passphrase".to_owned(), json!(passphrase));
            }
            notebook.call(None, name, args)
        })
        .await,
    )
}

async fn carry(State(face): State<Arc<Face>>, Path(name): Path<String>) -> Response {
    let found = at_work(face, move |notebook| notebook.carried_out(&name)).await;
    match found {
        Ok(bytes) => (
            [
                (header::CONTENT_TYPE, "application/octet-stream"),
                (header::CONTENT_DISPOSITION, "attachment"),
                (header::CACHE_CONTROL, "no-store"),
            ],
            bytes,
        )
            .into_response(),
        Err(refusal) => refused(&refusal, StatusCode::NOT_FOUND),
    }
}

/// A page of the program. Every address that is not a file is the one page, which finds its own way.
async fn page(request: Request) -> Response {
    let path = request.uri().path().trim_start_matches('/');
    let file = PAGES.get_file(path).or_else(|| PAGES.get_file("index.html"));
    let Some(file) = file else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let mime = match PathBuf::from(file.path())
        .extension()
        .and_then(|ending| ending.to_str())
    {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("json" | "webmanifest") => "application/json",
        Some("woff2") => "font/woff2",
        _ => "application/octet-stream",
    };
    ([(header::CONTENT_TYPE, mime)], file.contents()).into_response()
}
