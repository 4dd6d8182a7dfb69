//! Makes the list of the shell's commands known to Tauri, and makes sure that there are pages to embed.
//!
//! It never builds the pages: `cargo xtask run` and `cargo xtask test` do.

use std::path::Path;

/// The commands that a page may be allowed to call; `capabilities/main.json` allows them, and nothing else.
const COMMANDS: &[&str] = &["call", "watch", "put_photo", "carry_in", "join"];

/// What a window shows when nobody has built the pages.
const NO_PAGES: &str = "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n<title>Witnessmark</title>\n\
    <h1>The pages are not built</h1>\n<p>Run <code>cargo xtask run</code>: it builds them and opens this window again.</p>\n</html>\n";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let pages = Path::new("../ui/dist");
    if !pages.join("index.html").is_file() {
        std::fs::create_dir_all(pages)?;
        std::fs::write(pages.join("index.html"), NO_PAGES)?;
    }
    println!("cargo:rerun-if-changed=../ui/dist");
    let manifest = tauri_build::AppManifest::new().commands(COMMANDS);
    tauri_build::try_build(tauri_build::Attributes::new().app_manifest(manifest))?;
    Ok(())
}
