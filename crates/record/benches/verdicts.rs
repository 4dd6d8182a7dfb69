//! What a look at 2,000 readings costs: each judged by its own instrument against its own limits, with the words, from
//! the merged record alone; and what their remedies and the comparing of two keepers' readings cost on top.

#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make an undocumented function; a bench may stop"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use record::entities::{
    Assembly, AssemblyFields, Instrument, InstrumentFields, Limit, LimitFields, Part, PartFields, Reading,
    ReadingFields,
};
use record::verdict::Judge;
use record::{Edit, Entity, Given, Id, Ids, Kind, Moment, Record, Ref, Seat, remedy, rules};

/// How many readings.
const READINGS: u32 = 2_000;

/// Ids in a row.
struct Row(u128);
impl Ids for Row {
    fn fresh(&mut self) -> uuid::Uuid {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835);
        uuid::Builder::from_random_bytes(self.0.to_be_bytes()).into_uuid()
    }
}

struct Garage {
    record: Record,
    ids: Row,
}

impl Garage {
    fn make<E: Entity>(&mut self, fields: &E::Fields) -> Id {
        let id = Id::from_uuid(self.ids.fresh());
        let edit = Edit::add::<E>(id.clone(), fields).expect("fields that fit");
        let now = Moment::from_seconds(1_930_000_000);
        drop(self.record.edit(&edit, now, &mut self.ids).expect("an edit"));
        id
    }
}

/// Most of one value, a tenth measured again, a tenth as a grid; typed in millimetres, thou and inches.
fn garage() -> Garage {
    let mut ids = Row(1);
    let seat = Seat {
        device: ids.fresh(),
        run: [0; 8],
    };
    let mut garage = Garage {
        record: Record::begin(seat).expect("a record begins"),
        ids,
    };
    let assembly = garage.make::<Assembly>(&AssemblyFields {
        name: "engine".into(),
        ..Default::default()
    });
    let part = garage.make::<Part>(&PartFields {
        name: "block".into(),
        assembly: Given::Put(assembly),
        ..Default::default()
    });
    let limits: Vec<Id> = (0..40)
        .map(|number| {
            garage.make::<Limit>(&LimitFields {
                what: format!("bore {number}").as_str().into(),
                low: "77.00 mm".into(),
                high: format!("77.{number:02} mm").as_str().into(),
                ..Default::default()
            })
        })
        .collect();
    let instruments: Vec<Id> = (1..=12)
        .map(|number| {
            garage.make::<Instrument>(&InstrumentFields {
                name: format!("gauge {number}").as_str().into(),
                uncertainty: format!("0.{number:03} mm").as_str().into(),
                ..Default::default()
            })
        })
        .collect();
    let nth = |all: &[Id], number: u32| all.iter().cycle().nth(number as usize).expect("some").clone();
    for number in 0..READINGS {
        let hundredths = number % 60;
        let mut fields = ReadingFields {
            what: "bore".into(),
            about: Given::Put(Ref::new(Kind::Part, part.clone())),
            at: format!("point {number}").as_str().into(),
            instrument: Given::Put(nth(&instruments, number)),
            limit: Given::Put(nth(&limits, number)),
            on: Given::Put("2031-03-01".parse().expect("a day")),
            ..Default::default()
        };
        match number % 10 {
            0 => {
                fields.grid = format!("77.{hundredths:02}, 77.05; 77.03, 77.02; 77.01, 77.01 mm")
                    .as_str()
                    .into();
            }
            1 => {
                fields.value = format!("77.{hundredths:02} mm").as_str().into();
                fields.again = "77.02, 77.03, 77.02 mm".into();
            }
            2 => fields.value = format!("3.0{:02} in", 30 + number % 9).as_str().into(),
            _ => fields.value = format!("77.{hundredths:02} mm").as_str().into(),
        }
        garage.make::<Reading>(&fields);
    }
    garage
}

fn verdicts(criterion: &mut Criterion) {
    let garage = garage();
    let view = garage.record.view();
    let judge = Judge::of(view);
    let judged = view
        .standing(Kind::Reading)
        .filter(|reading| judge.verdict(reading).is_some())
        .count();
    assert_eq!(judged, READINGS as usize, "every reading is judged");
    criterion.bench_function("verdicts of 2,000 readings", |bencher| {
        bencher.iter(|| {
            let judge = Judge::of(black_box(view));
            let words: usize = view
                .standing(Kind::Reading)
                .filter_map(|reading| judge.verdict(reading))
                .map(|verdict| verdict.words.len())
                .sum();
            words
        });
    });
    criterion.bench_function("remedies of 2,000 readings", |bencher| {
        bencher.iter(|| {
            let judge = Judge::of(black_box(view));
            let count: usize = view
                .standing(Kind::Reading)
                .map(|reading| remedy::of_reading(&judge, reading).len())
                .sum();
            count
        });
    });
    criterion.bench_function("points of 2,000 readings", |bencher| {
        bencher.iter(|| rules::points(black_box(view), garage.record.ledger()).len());
    });
}

criterion_group!(benches, verdicts);
criterion_main!(benches);
