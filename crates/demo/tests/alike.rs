//! Every page says the same whether it is made from the whole document or from what of the read tables it asked for: what a page looks
//! for and was not lent would be missing from it without a word.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod pages;

use pages::{ask, open, pages};
use serde_json::{Value, json};

#[test]
fn a_page_is_the_same_from_the_document_and_from_what_it_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    demo::build(dir.path(), "2025-11-16".parse().unwrap()).unwrap();
    for keeper in ["parent", "child"] {
        let mut notebook = open(&dir.path().join(keeper));
        let pages = pages(&mut notebook);
        assert!(pages.len() > 600, "{} pages", pages.len());
        drop(notebook);
        // Each from nothing at hand, then from what those before it left there, then from the document.
        let mut notebook = open(&dir.path().join(keeper));
        let cold: Vec<Value> = pages
            .iter()
            .map(|(name, args)| {
                notebook.forget_read();
                ask(&mut notebook, name, args)
            })
            .collect();
        let warm: Vec<Value> = pages
            .iter()
            .map(|(name, args)| ask(&mut notebook, name, args))
            .collect();
        let record = ask(&mut notebook, "records", &json!({}))[0]["id"]
            .as_str()
            .unwrap()
            .parse()
            .unwrap();
        notebook.document_of(&record).unwrap();
        for ((name, args), (cold, warm)) in pages.iter().zip(cold.iter().zip(&warm)) {
            let whole = ask(&mut notebook, name, args);
            assert_eq!(*cold, whole, "{keeper}: {name} {args} from nothing at hand");
            assert_eq!(*warm, whole, "{keeper}: {name} {args} from what is at hand");
        }
    }
}
