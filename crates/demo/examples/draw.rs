//! Renders every drawing of the demo into a folder, to be looked at: `cargo run -p demo --example draw -- FOLDER [NAME …]`.
//! It touches nothing else.

use std::path::PathBuf;

use demo::{Easel, Sources};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let into = PathBuf::from(args.next().ok_or("into which folder?")?);
    let only: Vec<String> = args.collect();
    std::fs::create_dir_all(&into)?;
    let sources = Sources::embedded();
    let easel = Easel::new(&sources)?;
    for path in sources.within("drawings", "svg") {
        let name = path.trim_start_matches("drawings/");
        if !only.is_empty() && !only.iter().any(|one| name.starts_with(one.as_str())) {
            continue;
        }
        let picture = easel.picture(name)?;
        let ending = if picture.starts_with(b"\x89PNG") {
            "png"
        } else {
            "jpg"
        };
        let file = into.join(name).with_extension(ending);
        println!("{} {} bytes", file.display(), picture.len());
        std::fs::write(file, picture)?;
    }
    Ok(())
}
