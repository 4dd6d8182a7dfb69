//! Answers that could hurt someone or ruin a part, by the areas of the trade: what must be said, and never is left unsaid. Each check
//! names its source, or says that it is common practice. Here is only what the areas share.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may say what it expects the short way"
)]

#[path = "../ask/mod.rs"]
mod ask;
mod bolts;
mod brakes;
mod electrics;
mod heat;
mod instruments;
mod limits;
mod rings;
#[path = "../seed/mod.rs"]
mod seed;
mod tables;
mod untrue;
mod valves;

use ask::ask;
use reckon::{Answer, VerdictWord};

#[track_caller]
fn answered(name: &str, arguments: &str) -> Answer {
    ask(name, arguments).unwrap_or_else(|refusal| panic!("{name} {arguments}: {refusal}"))
}

#[track_caller]
fn warned(answer: &Answer, key: &str) -> bool {
    answer.warnings.iter().any(|note| note.key == key)
}

/// The verdict of this key: its word, and that it says this.
#[track_caller]
fn verdict(name: &str, arguments: &str, key: &str, word: VerdictWord, says: &str) {
    let answer = answered(name, arguments);
    let found = answer.verdicts.iter().find(|verdict| verdict.key == key);
    let found = found.unwrap_or_else(|| panic!("{name} {arguments}: {:?}", answer.verdicts));
    assert_eq!(found.word, word, "{name} {arguments}: {}", found.words);
    assert!(
        found.words.contains(says),
        "{name} {arguments}: {:?} does not say {says:?}",
        found.words
    );
}

/// Everything an answer says, in one text.
fn all_words(answer: &Answer) -> String {
    let notes = answer
        .warnings
        .iter()
        .chain(&answer.cautions)
        .chain(&answer.conditions);
    let verdicts = answer.verdicts.iter().map(|verdict| verdict.words.clone());
    let lines = answer.tables.iter().flat_map(|table| &table.lines);
    let said = notes
        .map(|note| note.words.to_string())
        .chain(verdicts)
        .chain(lines.map(|line| format!("{} {}", line.words, line.why)))
        .chain(answer.sources.iter().map(|source| source.words.to_string()));
    said.collect::<Vec<_>>().join("\n")
}
