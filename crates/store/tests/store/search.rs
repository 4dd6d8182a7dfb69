//! Search finds by the beginnings of words, forgives accents and case, and never fails on what a person types.

use proptest::prelude::*;
use record::Kind;
use serde_json::json;
use store::{Batch, words_of};

use crate::made::*;

#[test]
fn words_are_found_by_their_beginnings() {
    let (_dir, mut store, record) = one_record();
    let mut entries = small_record();
    entries.push(entry(
        Kind::Finding,
        "finding-9",
        json!({"about": "car:car", "what": "Café receipt 12.5 thou", "how_bad": "noted"}),
    ));
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let check = |text: &str, expected: &[&str]| {
        let hits = search(&store, &record, text, 20);
        assert_eq!(
            hits.iter().map(|hit| hit.id.as_str()).collect::<Vec<_>>(),
            expected,
            "{text}"
        );
    };
    check("gudg", &["part-1"]);
    check("PIN gudgeon", &["part-1"]);
    check("score", &["part-1"]);
    check("cafe", &["finding-9"]);
    check("cafe\u{301}", &["finding-9"]);
    check("12.5", &["finding-9"]);
    check("gudgeon sludge", &[]);
    // The best first: what has the word in its title comes before what has it in its text.
    let found: Vec<String> = search(&store, &record, "pin", 20)
        .into_iter()
        .map(|hit| hit.id.to_string())
        .collect();
    assert_eq!(found, ["photo-1", "part-1", "2031-03-01_keeper-1"]);
    // Struck out is found, and said to be.
    let hits = search(&store, &record, "wrong part", 9);
    assert_eq!(
        (hits.len(), hits[0].struck, hits[0].title.as_str()),
        (1, true, "Wrong part")
    );
    // Ids, hashes and order keys are no words.
    check("assembly", &[]);
    check("keeper", &[]);
    check(&hash("a picture")[..12], &[]);
    check("a0", &[]);
    for nothing in ["", "   ", "\"", "***", "-- ( ) : ^ + ~", "\0"] {
        check(nothing, &[]);
    }
}

#[test]
fn a_word_may_stand_as_any_of_its_synonyms() {
    let (_dir, mut store, record) = one_record();
    let entries = small_record();
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    let words = |list: &[&[&str]]| -> Vec<Vec<String>> {
        list.iter()
            .map(|alternatives| alternatives.iter().map(|word| (*word).to_owned()).collect())
            .collect()
    };
    let found = |list: &[&[&str]]| store.search_any(&record, &words(list), 9).unwrap().len();
    assert_eq!(found(&[&["wrist pin", "gudgeon pin"]]), 1);
    assert_eq!(found(&[&["wrist pin"]]), 0);
    assert_eq!(found(&[&["wrist pin", "gudgeon pin"], &["polished"]]), 1);
    assert_eq!(found(&[&["\"", "gudgeon\" OR \"sludge"]]), 0);
}

#[test]
fn operators_are_words_like_any_other() {
    assert_eq!(
        words_of("AND OR NOT near(a b)"),
        ["AND", "OR", "NOT", "near(a", "b)"]
    );
    assert_eq!(words_of("say \"when\" *"), ["say", "when"]);
    assert_eq!(words_of(&"x ".repeat(500)).len(), 24);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]
    #[test]
    fn no_text_makes_it_fail(texts in proptest::collection::vec("(\\PC|[\"'*^:(){}+~\\-\u{0}-\u{1f}]| (AND|OR|NOT|NEAR) ){0,60}", 1..8)) {
        thread_local! {
            static FOLDER: (tempfile::TempDir, std::cell::RefCell<store::Store>, record::Id) = {
                let (dir, mut store, record) = one_record();
                let entries = small_record();
                store.commit(&record, &Batch { entries: &entries, ..Batch::default() }).unwrap();
                (dir, std::cell::RefCell::new(store), record)
            };
        }
        FOLDER.with(|(_dir, store, record)| {
            for text in &texts {
                let answer = store.borrow().search_any(record, &asked(text), 5);
                prop_assert!(answer.is_ok(), "{text:?}: {:?}", answer.err());
            }
            let answer = store.borrow().search_any(record, std::slice::from_ref(&texts), 5);
            prop_assert!(answer.is_ok(), "{texts:?}: {:?}", answer.err());
            Ok(())
        })?;
    }

}

proptest! {
    // Each case has a folder of its own.
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    /// What was written is found by what was written, wherever it has a plain word.
    #[test]
    fn a_written_word_is_found(word in "[a-z]{1,20}", before in "\\PC{0,20}", after in "\\PC{0,20}") {
        let (_dir, mut store, record) = one_record();
        let entries = [entry(Kind::Part, "part-1", json!({"name": "Thing", "note": format!("{before} {word} {after}")}))];
        store.commit(&record, &Batch { entries: &entries, ..Batch::default() }).unwrap();
        prop_assert_eq!(search(&store, &record, &word, 5).len(), 1);
    }
}

#[test]
fn a_slip_of_the_fingers_is_a_word_away_and_a_short_word_is_left_alone() {
    let (_dir, mut store, record) = one_record();
    let entries = small_record();
    store
        .commit(
            &record,
            &Batch {
                entries: &entries,
                ..Batch::default()
            },
        )
        .unwrap();
    assert!(
        store
            .near_words("gudgoen")
            .unwrap()
            .contains(&"gudgeon".to_owned())
    );
    assert!(store.near_words("pni").unwrap().is_empty());
    assert!(store.near_words("\" OR *").unwrap().is_empty());
}
