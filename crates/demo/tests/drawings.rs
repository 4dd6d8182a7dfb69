//! The drawings: each a picture of the size it should be, the same bytes every time, and a slip in one named.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic
)]

use demo::{Easel, SIZE, Sources};

#[test]
fn each_is_a_picture_of_its_own() {
    let sources = Sources::embedded();
    let easel = Easel::new(&sources).unwrap();
    let mut seen = std::collections::BTreeSet::new();
    let mut kinds = std::collections::BTreeMap::new();
    for path in sources.within("drawings", "svg") {
        let name = path.trim_start_matches("drawings/");
        let bytes = easel.picture(name).unwrap();
        let format = image::guess_format(&bytes).unwrap();
        *kinds.entry(format!("{format:?}")).or_insert(0) += 1;
        let picture = image::load_from_memory(&bytes).unwrap().to_luma8();
        assert_eq!(picture.dimensions(), SIZE, "{name}");
        // Ink and paper both: a drawing that rendered to nothing has no dark pixel.
        let dark = picture.pixels().filter(|pixel| pixel.0[0] < 90).count();
        let light = picture.pixels().filter(|pixel| pixel.0[0] > 200).count();
        assert!(
            dark > 4_000 && light > 100_000,
            "{name}: {dark} dark, {light} light"
        );
        assert!(seen.insert(bytes), "{name} is another one's picture");
    }
    assert!(kinds.values().sum::<usize>() >= 24);
    assert!(
        kinds.contains_key("Jpeg") && kinds.contains_key("Png"),
        "{kinds:?}"
    );
}

#[test]
fn it_is_the_same_every_time() {
    let sources = Sources::embedded();
    let once = Easel::new(&sources).unwrap().picture("shim-pack.svg").unwrap();
    let again = Easel::new(&sources).unwrap().picture("shim-pack.svg").unwrap();
    assert!(once == again, "two renderings differ");
}

fn refused(svg: &str, says: &str) {
    let sources = Sources::embedded().with("drawings/slip.svg", svg);
    let why = Easel::new(&sources)
        .unwrap()
        .picture("slip.svg")
        .expect_err("it must be refused")
        .to_string();
    assert!(why.contains("slip.svg") && why.contains(says), "{why}");
}

#[test]
fn a_slip_in_a_drawing_is_named() {
    let root = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1280\" height=\"960\">";
    refused("nothing", "no SVG");
    refused(&format!("{root}<path"), "slip");
    refused(
        &format!("{root}<text x=\"1\" y=\"2\" font-size=\"9\" class=\"hand\">漢</text></svg>"),
        "alphabet",
    );
    refused(
        &format!("{root}<text x=\"1\" y=\"2\" class=\"hand\">A</text></svg>"),
        "font-size",
    );
    refused(
        &format!("{root}<text x=\"1\" y=\"2\" font-size=\"9\" class=\"sans\">A</text></svg>"),
        "sans",
    );
    refused(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10\" height=\"10\"></svg>",
        "1280",
    );
}
