//! Every page says the same whether it is made from the whole document or from what of the read tables it asked for: what a page looks
//! for and was not lent would be missing from it without a word.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::path::Path;

use notebook::{Notebook, Source};
use record::{Kind, Moment};
use serde_json::{Value, json};

struct Counted(i64);

impl Source for Counted {
    fn now(&mut self) -> Moment {
        self.0 += 1;
        Moment::from_seconds(self.0)
    }

    fn random(&mut self) -> [u8; 16] {
        self.0 += 1;
        u128::from(self.0.unsigned_abs())
            .wrapping_mul(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c834)
            .to_le_bytes()
    }
}

fn open(dir: &Path) -> Notebook {
    host::open(dir, "a test", Box::new(Counted(2_000_000_000))).unwrap()
}

fn ask(notebook: &mut Notebook, name: &str, args: &Value) -> Value {
    notebook
        .call(None, name, args.clone())
        .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal:?}"))
}

/// Every page of a record, with what it is asked with.
fn pages(notebook: &mut Notebook) -> Vec<(&'static str, Value)> {
    let mut all = vec![
        ("car", json!({})),
        ("stores", json!({})),
        ("points", json!({})),
        ("agreed", json!({})),
        ("saved", json!({})),
        ("tonight", json!({})),
        ("away", json!({})),
        ("members", json!({})),
    ];
    for kind in Kind::ALL {
        all.push(("list", json!({ "kind": kind })));
        for line in ask(notebook, "list", &json!({ "kind": kind }))
            .as_array()
            .unwrap()
        {
            let name = line["name"].as_str().unwrap();
            let id = name.split_once(':').unwrap().1;
            let by_id = json!({ "id": id });
            match kind {
                Kind::Assembly => {
                    all.push(("assembly", by_id));
                    all.push(("close_up_check", json!({ "assembly": id })));
                }
                Kind::Finding => all.push(("finding", by_id)),
                Kind::Reading => all.push(("reading", by_id)),
                Kind::Photo => all.push(("photo", json!({ "photo": id }))),
                Kind::TighteningRun => all.push(("tightening_run", by_id)),
                Kind::KeptAnswer => all.push(("kept_answer", by_id)),
                _ => {}
            }
            if matches!(kind, Kind::Assembly | Kind::Container | Kind::Part) {
                all.push(("strike_check", json!({ "name": name })));
            }
            if matches!(kind, Kind::Assembly | Kind::Part | Kind::Finding | Kind::Job) {
                all.push(("pictures", json!({ "about": name })));
            }
            all.push(("entry", json!({ "kind": kind, "id": id })));
        }
    }
    all
}

#[test]
fn a_page_is_the_same_from_the_document_and_from_what_it_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    demo::build(dir.path()).unwrap();
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
