//! How many commands a second are on the disk, each in a transaction of its own with synchronous=FULL; and what
//! reading costs over a folder of 5,000 entries.

#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make an undocumented function; a bench may stop"
)]

use std::hint::black_box;
use std::path::Path;

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use record::{ChangeId, Entry, Id, Kind, Logged, Moment};
use serde_json::json;
use store::{Batch, Depth, Opener, RecordRow, Store};

fn opened(dir: &Path) -> (Store, Id) {
    let now = Moment::from_seconds(1_930_000_000);
    let mut store = Store::open(
        dir,
        Opener {
            program: "bench",
            now,
        },
    )
    .expect("a fresh folder opens");
    let begin = RecordRow {
        id: id("car-1"),
        car: "Ostrel Falk".to_owned(),
        keeper: None,
        since: now,
    };
    store
        .commit(
            &begin.id,
            &Batch {
                begin: Some(&begin),
                ..Batch::default()
            },
        )
        .expect("a record begins");
    (store, begin.id)
}

fn id(text: &str) -> Id {
    text.parse().expect("an id")
}

fn change(number: u32) -> Logged {
    let hash = |number: u32| {
        ChangeId::from_hex(blake3::hash(&number.to_le_bytes()).to_hex().as_str()).expect("a hash")
    };
    Logged {
        id: hash(number),
        deps: number.checked_sub(1).map(hash).into_iter().collect(),
        actor: "0a".repeat(24),
        device: Some(id("device-1")),
        at: Moment::from_seconds(1_930_000_000),
        message: "Wrote down a finding".to_owned(),
        bytes: vec![number.to_le_bytes()[0]; 180],
        touched: [(
            (Kind::Finding, id(&format!("finding-{number}"))),
            ["what".to_owned(), "on".to_owned()].into(),
        )]
        .into(),
        wrote: record::past::WroteAll::new(),
        deeds: Vec::new(),
    }
}

fn finding(number: u32) -> Entry {
    let stamp = json!({"device": "device-1", "at": "2031-03-01T18:20:05Z", "change": "a".repeat(64)});
    let claim = |text: String| json!([{"value": text, "stamp": stamp}]);
    let entry = json!({"kind": "finding", "id": format!("finding-{number}"), "made": stamp, "fields": {
        "what": claim(format!("Scored at the thrust face, number {number}")),
        "about": claim(format!("part:part-{}", number % 150)),
        "how_bad": claim("watch".to_owned()),
        "on": claim(format!("2031-03-{:02}", number % 28 + 1)),
    }});
    serde_json::from_value(entry).expect("an entry")
}

fn writing(c: &mut Criterion) {
    let dir = tempfile::tempdir().expect("a folder");
    let (mut store, record) = opened(dir.path());
    let mut number = 0_u32;
    let mut group = c.benchmark_group("write");
    group.throughput(Throughput::Elements(1));
    group.bench_function("one durable command", |b| {
        b.iter_batched(
            || {
                number += 1;
                ([change(number)], [finding(number)])
            },
            |(changes, entries)| {
                store.commit(
                    &record,
                    &Batch {
                        changes: &changes,
                        entries: &entries,
                        ..Batch::default()
                    },
                )
            },
            BatchSize::PerIteration,
        );
    });
    group.throughput(Throughput::Elements(2_000));
    group.sample_size(10);
    group.bench_function("2,000 changes taken in at once", |b| {
        b.iter_batched(
            || {
                let first = number + 1;
                number += 2_000;
                (
                    (first..=number).map(change).collect::<Vec<_>>(),
                    (first..=number).map(finding).collect::<Vec<_>>(),
                )
            },
            |(changes, entries)| {
                store.commit(
                    &record,
                    &Batch {
                        changes: &changes,
                        entries: &entries,
                        ..Batch::default()
                    },
                )
            },
            BatchSize::PerIteration,
        );
    });
    group.finish();
}

fn reading(c: &mut Criterion) {
    let dir = tempfile::tempdir().expect("a folder");
    let (mut store, record) = opened(dir.path());
    let (changes, entries): (Vec<_>, Vec<_>) = (1..=5_000)
        .map(|number| (change(number), finding(number)))
        .unzip();
    store
        .commit(
            &record,
            &Batch {
                changes: &changes,
                entries: &entries,
                ..Batch::default()
            },
        )
        .expect("written");
    let mut group = c.benchmark_group("read, of 5,000 entries");
    group.bench_function("all parts", |b| {
        b.iter(|| store.entries(black_box(&record), Kind::Part))
    });
    let words = [["thrust".to_owned()].to_vec(), ["4711".to_owned()].to_vec()];
    group.bench_function("search, two words", |b| {
        b.iter(|| store.search_any(&record, black_box(&words), 20))
    });
    group.bench_function("the days", |b| b.iter(|| store.days(&record, 0, 60)));
    group.bench_function("load the log", |b| b.iter(|| store.load(&record)));
    group.sample_size(10);
    group.bench_function("everything as a view", |b| b.iter(|| store.view(&record)));
    group.bench_function("a whole check", |b| b.iter(|| store.check(None, Depth::Whole)));
    group.finish();
}

criterion_group!(durable, writing, reading);
criterion_main!(durable);
