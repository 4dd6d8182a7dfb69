//! The desktop window: a thin shell that carries calls, patches and photos between the pages and the notebook.
//!
//! It never decides anything about a record, and it is the only crate that knows Tauri. The pages come from
//! `ui/dist`, built into the program; nothing is fetched from a network.

mod commands;
mod face;
mod folder;
mod photo;

use host::Surroundings;
use tauri::http::header;
use tauri::{App, Manager, RunEvent, Runtime, WebviewWindowBuilder};

use face::Face;

/// Opens the window and stays until it is closed.
///
/// A data folder that cannot be opened, or no screen to show a window on, is told in one line on standard
/// error and ends the program with 2.
#[cfg_attr(mobile, tauri::mobile_entry_point)]
pub fn run() {
    let built = tauri::Builder::default()
        .register_asynchronous_uri_scheme_protocol("photo", |context, request, responder| {
            let app = context.app_handle().clone();
            let range = request
                .headers()
                .get(header::RANGE)
                .and_then(|range| range.to_str().ok());
            let (path, range) = (request.uri().path().to_owned(), range.map(str::to_owned));
            tauri::async_runtime::spawn_blocking(move || {
                let face = app.try_state::<Face>();
                responder.respond(photo::answer(face.as_deref(), &path, range.as_deref()));
            });
        })
        .setup(|app| open(app))
        .invoke_handler(tauri::generate_handler![
            commands::call,
            commands::watch,
            commands::put_photo,
            commands::carry_in,
            commands::join
        ])
        .build(tauri::generate_context!());
    match built {
        Ok(app) => app.run(|app, event| {
            // The others are told that this device goes, or they would wait for it.
            if let (RunEvent::Exit, Some(face)) = (event, app.try_state::<Face>()) {
                face.leave();
            }
        }),
        Err(error) => {
            eprintln!("witnessmark-desktop: {error}");
            std::process::exit(2);
        }
    }
}

/// Opens the notebook on the asked or the platform's folder, before the first page is shown.
fn open<R: Runtime>(app: &App<R>) -> Result<(), Box<dyn std::error::Error>> {
    let asked = folder::asked(std::env::args_os().skip(1), std::env::var_os(folder::VARIABLE))?;
    let folder = match asked {
        Some(folder) => folder,
        // A phone gives each program a place of its own; elsewhere it is the one that `witnessmark` opens, too.
        None if cfg!(mobile) => app.path().app_data_dir()?,
        None => app.path().data_dir()?.join("witnessmark"),
    };
    let face = Face::open(&folder)?;
    // A second trace of one program, as in its tests, is the first one's.
    let _ = host::leave_trace(Some(&folder), false);
    // In the background; without a network nothing waits for it.
    face.attend(Surroundings::usual())?;
    app.manage(face);
    // Only now: a page that loads earlier would call a notebook that is not there yet.
    for window in &app.config().app.windows {
        WebviewWindowBuilder::from_config(app, window)?.build()?;
    }
    Ok(())
}
