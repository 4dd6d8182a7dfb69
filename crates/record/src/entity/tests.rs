//! The views read what a read by the field's name as text has always read, for every kind and field, whatever another program
//! wrote there.

use rand::seq::IndexedRandom as _;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json as js};

use crate::entities as e;
use crate::entities::fields_of;
use crate::entry::Entry;
use crate::field::{FieldDef, Links, Shape};
use crate::lies::Lies;
use crate::name::{Id, Kind, Link, Mention, Ref};
use crate::time::Day;
use crate::words::Words;

pub(crate) fn json(value: impl serde::Serialize) -> Value {
    serde_json::to_value(value).unwrap()
}

/// What a view shows, as it is kept.
pub(crate) trait Raw {
    fn raw(self) -> Value;
}

impl Raw for Option<&str> {
    fn raw(self) -> Value {
        json(self)
    }
}
impl Raw for Option<i32> {
    fn raw(self) -> Value {
        json(self)
    }
}
impl Raw for Option<bool> {
    fn raw(self) -> Value {
        json(self)
    }
}
impl Raw for Option<Day> {
    fn raw(self) -> Value {
        json(self)
    }
}
impl<W: Words> Raw for Option<W> {
    fn raw(self) -> Value {
        json(self.as_ref().map(Words::word))
    }
}
impl Raw for Option<Link<'_>> {
    fn raw(self) -> Value {
        json(self.map(Link::as_str))
    }
}
impl Raw for Option<Lies<'_>> {
    fn raw(self) -> Value {
        json(self.map(Lies::kept))
    }
}
impl Raw for Option<Mention<'_>> {
    fn raw(self) -> Value {
        json(self.map(Mention::as_str))
    }
}
impl Raw for Links<'_> {
    fn raw(self) -> Value {
        json(self.map(Link::as_str).collect::<Vec<_>>())
    }
}

type Sides = fn(&Entry) -> Option<Vec<(&'static str, [Value; 3])>>;

macro_rules! sides_of_each {
    ($($name:ident,)+) => { const ALL: &[Sides] = &[$(e::$name::sides_of),+]; };
}
crate::name::each_kind!(sides_of_each);

/// A value that may fit a field, or not.
fn some_value(rng: &mut ChaCha8Rng, def: &FieldDef) -> Value {
    const ODD: &[&str] = &[
        "",
        " ",
        "\u{202e}enohp",
        "open",
        "a word of later",
        "widget:0190-a",
        "part:",
        "part:0190-a",
        "0190-a",
        "an id, that is none",
        "2031-03-01",
        "2031-3-1",
        "2031-02-30",
        "12 thou = 0.3048 mm",
        "two\nlines",
    ];
    let word = match def.shape {
        Shape::Word(all) if rng.random_bool(0.7) => all.words.choose(rng).copied(),
        _ => None,
    };
    match rng.random_range(0..8) {
        0 => Value::Null,
        1 => js!(rng.random_bool(0.5)),
        2 => js!(rng.random_range(-3..3)),
        _ => js!(word.or_else(|| ODD.choose(rng).copied())),
    }
}

fn some_claims(rng: &mut ChaCha8Rng, def: &FieldDef) -> Value {
    let stamp = js!({ "device": null, "at": "2031-03-01T18:20:05Z", "change": "0".repeat(64) });
    let many = rng.random_range(0..3);
    let claims = (0..many).map(|_| js!({ "value": some_value(rng, def), "stamp": stamp }));
    Value::Array(claims.collect())
}

fn some_entry(rng: &mut ChaCha8Rng, kind: Kind) -> Entry {
    let mut fields = serde_json::Map::new();
    for def in fields_of(kind) {
        if rng.random_bool(0.2) {
            continue;
        }
        fields.insert(def.name.to_owned(), some_claims(rng, def));
        for member in ["0190-a", "0190-b", "no id"] {
            if rng.random_bool(0.3) {
                fields.insert(format!("{}:{member}", def.name), some_claims(rng, def));
            }
        }
    }
    if rng.random_bool(0.3) {
        let why = FieldDef {
            shape: Shape::Line,
            ..fields_of(kind)[0]
        };
        fields.insert("struck".to_owned(), some_claims(rng, &why));
    }
    let stamp = js!({ "device": "tablet", "at": "2031-03-01T18:20:05Z", "change": "1".repeat(64) });
    serde_json::from_value(js!({ "kind": kind, "id": "0190-me", "made": stamp, "fields": fields })).unwrap()
}

/// What stands first for a field, read from the entry's JSON.
fn first<'a>(entry: &'a Value, field: &str) -> &'a Value {
    &entry["fields"][field][0]["value"]
}

/// The field as code read it that named it as text: kept, and understood.
fn by_name(entry: &Value, def: &FieldDef) -> [Value; 2] {
    let value = first(entry, def.name);
    let line = value.as_str().filter(|text| !text.is_empty());
    let understood = |fits: &dyn Fn(&str) -> bool| json(line.filter(|text| fits(text)));
    let twice = |value: Value| [value.clone(), value];
    match def.shape {
        Shape::Line
        | Shape::Prose
        | Shape::Measure
        | Shape::Measures
        | Shape::Grid
        | Shape::Money
        | Shape::Ending
        | Shape::Lies
        | Shape::Word(_) => twice(json(line)),
        Shape::Whole => twice(json(value.as_i64())),
        Shape::Flag => twice(json(value.as_bool())),
        Shape::Day => twice(understood(&|text| text.parse::<Day>().is_ok())),
        Shape::Link(_) => [json(line), understood(&|text| text.parse::<Id>().is_ok())],
        Shape::About(_) => [json(line), understood(&|text| text.parse::<Ref>().is_ok())],
        Shape::Set(_) => {
            let all = entry["fields"].as_object().unwrap().keys();
            let here = all.filter(|key| first(entry, key) == &js!(true));
            let members: Vec<&str> = here
                .filter_map(|key| key.strip_prefix(def.name)?.strip_prefix(':'))
                .collect();
            let ids: Vec<&&str> = members.iter().filter(|id| id.parse::<Id>().is_ok()).collect();
            [json(&members), json((!ids.is_empty()).then_some(ids))]
        }
    }
}

#[test]
fn a_view_reads_what_was_read_by_name() {
    let seed = rand::rng().random();
    println!("seed {seed}");
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut read = 0;
    for round in 0..60 {
        for kind in Kind::ALL {
            let entry = some_entry(&mut rng, *kind);
            let plain = json(&entry);
            // The view of its own kind answers, and no other.
            let mut views = ALL.iter().filter_map(|view| view(&entry));
            let (sides, None) = (views.next().unwrap(), views.next()) else {
                panic!("seed {seed}: two kinds take a {kind}");
            };
            assert_eq!(sides.len(), fields_of(*kind).len());
            for ((name, [shown, owned, whole]), def) in sides.into_iter().zip(fields_of(*kind)) {
                let [kept, understood] = by_name(&plain, def);
                let at = format!("seed {seed}, round {round}: {kind}.{name} of {plain}");
                assert_eq!(name, def.name, "{at}");
                assert_eq!(shown, kept, "{at}");
                assert_eq!(owned, understood, "{at}");
                assert_eq!(whole, understood, "{at}");
                read += usize::from(!kept.is_null());
            }
        }
    }
    assert!(read > 1_000, "hardly anything was there to be read: {read}");
}

#[test]
fn a_reference_is_told_from_another_without_reading_it() {
    let part: Ref = "part:0190-a".parse().unwrap();
    let said = |text: &'static str| Mention(text).is(&part);
    assert!(said("part:0190-a"));
    for other in [
        "part:0190-b",
        "job:0190-a",
        "part:0190-a:b",
        "part0190-a",
        "widget:0190-a",
        "",
    ] {
        assert!(!said(other), "{other}");
    }
    assert_eq!(Link::from(&part.id), Link("0190-a"));
    assert_eq!(Link("an id, that is none").id(), None);
}
