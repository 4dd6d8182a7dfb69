//! How long a reading and an answer take: a screen answers while a person types, so each must be far below a frame.
//!
//! Run with `cargo bench -p reckon`; prints a table. Asserts nothing and times no test.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "the bench macro makes an undocumented main"
)]

use std::collections::BTreeMap;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use reckon::{Expect, Preferences, Typed, parse, parse_any, reckon};

fn typed(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect()
}

fn reading(bench: &mut Criterion) {
    bench.bench_function("read 12 thou", |b| {
        b.iter(|| parse(black_box("12 thou"), Expect::length()))
    });
    bench.bench_function("read 1 3/8\" of any kind", |b| {
        b.iter(|| parse_any(black_box("1 3/8\"")))
    });
    bench.bench_function("ask about 12 oz", |b| b.iter(|| parse_any(black_box("12 oz"))));
    bench.bench_function("read a kept value", |b| {
        b.iter(|| Typed::from_kept(black_box("12 thou = 0.3048 mm")))
    });
}

fn answering(bench: &mut Criterion) {
    let preferences = Preferences::default();
    let displacement = typed(&[
        ("bore", "77 mm"),
        ("stroke", "64 mm"),
        ("cylinders", "4"),
        ("chamber", "40 cc"),
        ("wanted_ratio", "9"),
        ("rpm", "4000 rpm"),
    ]);
    let ring_gap = typed(&[
        ("bore", "77 mm"),
        ("gap", "0.21 mm"),
        ("low", "0.30 mm"),
        ("high", "0.45 mm"),
    ]);
    let torque = typed(&[
        ("thread", "M10x1.25"),
        ("class", "8.8"),
        ("friction", "0.12"),
        ("torque", "45 N·m"),
    ]);
    for (name, arguments) in [
        ("displacement", displacement),
        ("ring_gap", ring_gap),
        ("torque", torque),
    ] {
        bench.bench_function(&format!("answer {name}"), |b| {
            b.iter(|| reckon(name, black_box(&arguments), &preferences).unwrap());
        });
    }
}

criterion_group!(benches, reading, answering);
criterion_main!(benches);
