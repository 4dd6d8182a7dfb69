//! Every page of a record, and a notebook to ask them of.

use std::path::Path;

use notebook::{Notebook, Source};
use record::{Kind, Moment};
use serde_json::{Value, json};

/// A clock that goes on by a second at each look.
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

/// Opens a folder of the demo, years after it.
pub(crate) fn open(dir: &Path) -> Notebook {
    host::open(dir, "a test", Box::new(Counted(2_000_000_000))).unwrap()
}

/// Asks, and has no refusal.
pub(crate) fn ask(notebook: &mut Notebook, name: &str, args: &Value) -> Value {
    notebook
        .call(None, name, args.clone())
        .unwrap_or_else(|refusal| panic!("{name} {args}: {refusal:?}"))
}

/// Every page of a record, with what it is asked with.
pub(crate) fn pages(notebook: &mut Notebook) -> Vec<(&'static str, Value)> {
    let mut all = vec![
        ("car", json!({})),
        ("stores", json!({})),
        ("points", json!({})),
        ("agreed", json!({})),
        ("differs", json!({})),
        ("earlier_hand", json!({})),
        ("saved", json!({})),
        ("tonight", json!({})),
        ("begun", json!({})),
        ("car_own", json!({})),
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
