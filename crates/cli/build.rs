//! The pages are built into the program. Before they were ever built there is nothing to put in: then a page that
//! says so takes their place. It builds no page itself.

use std::path::Path;

fn main() -> std::io::Result<()> {
    let dist = Path::new("../../ui/dist");
    println!("cargo::rerun-if-changed=../../ui/dist");
    let index = dist.join("index.html");
    if !index.exists() {
        std::fs::create_dir_all(dist)?;
        std::fs::write(
            index,
            "<!doctype html><meta charset=utf-8><title>Witnessmark</title>\
             <p>The pages are not built yet: run <code>cargo xtask run</code>.</p>",
        )?;
    }
    Ok(())
}
