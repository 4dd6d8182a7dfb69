//! Said apart, and read as one: a torque and its conditions, a value and its instrument, a decision and its reason, the bounds of a limit.
//! Each keeper wrote one of them without the other's, so nobody has said what stands there together.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::entities::*;
use record::rules::{Point, Rule};
use record::words::{Decision, Layout};
use record::{Given, Id, Kind, Ref};
use settling::{assembly, of, pair, points, settle};
use workshop::{Device, day, meet};

/// One thing, with the two fields that two keepers write apart, and what they were and become.
struct Story {
    kind: Kind,
    make: fn(&mut Device) -> Id,
    one: fn(&mut Device, &Id),
    other: fn(&mut Device, &Id),
    /// Each field with what it was and what it was put to.
    fields: [(&'static str, &'static str, &'static str); 2],
}

fn a_run(device: &mut Device) -> Id {
    let head = assembly(device, "cylinder head");
    device.make::<TighteningRun>(TighteningRunFields {
        what: "head bolts".into(),
        assembly: Given::Put(head),
        layout: Given::Put(Layout::Circle),
        bolts: Given::Put(4),
        torque: "60 Nm".into(),
        conditions: "threads dry".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    })
}

fn a_part(device: &mut Device) -> Id {
    device.make::<Part>(PartFields {
        name: "control box".into(),
        decision: Given::Put(Decision::Reuse),
        decision_why: "it was working when it was parked".into(),
        ..Default::default()
    })
}

fn a_limit(device: &mut Device) -> Id {
    device.make::<Limit>(LimitFields {
        what: "end float".into(),
        low: "0.10 mm".into(),
        high: "0.30 mm".into(),
        ..Default::default()
    })
}

fn a_reading(device: &mut Device) -> Id {
    let crank = device.make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    device.make::<Reading>(ReadingFields {
        what: "end float".into(),
        about: Given::Put(Ref::new(Kind::Part, crank)),
        value: "0.20 mm".into(),
        on: Given::Put(day("2030-03-17")),
        ..Default::default()
    })
}

fn limited(device: &mut Device, id: &Id, low: Option<&str>, high: Option<&str>) {
    let given = |text: Option<&str>| text.map_or(Given::Leave, Into::into);
    let fields = LimitFields {
        low: given(low),
        high: given(high),
        ..Default::default()
    };
    device.change::<Limit>(id, fields);
}

const STORIES: [Story; 4] = [
    Story {
        kind: Kind::TighteningRun,
        make: a_run,
        one: |device, id| {
            let torque = TighteningRunFields {
                torque: "45 Nm".into(),
                ..Default::default()
            };
            device.change::<TighteningRun>(id, torque);
        },
        other: |device, id| {
            let conditions = TighteningRunFields {
                conditions: "threads oiled".into(),
                ..Default::default()
            };
            device.change::<TighteningRun>(id, conditions);
        },
        fields: [
            ("torque", "60 Nm = 60 N·m", "45 Nm = 45 N·m"),
            ("conditions", "threads dry", "threads oiled"),
        ],
    },
    Story {
        kind: Kind::Part,
        make: a_part,
        one: |device, id| {
            let decision = PartFields {
                decision: Given::Put(Decision::Replace),
                ..Default::default()
            };
            device.change::<Part>(id, decision);
        },
        other: |device, id| {
            let why = PartFields {
                decision_why: "the windings are whole".into(),
                ..Default::default()
            };
            device.change::<Part>(id, why);
        },
        fields: [
            ("decision", "reuse", "replace"),
            (
                "decision_why",
                "it was working when it was parked",
                "the windings are whole",
            ),
        ],
    },
    Story {
        kind: Kind::Limit,
        make: a_limit,
        one: |device, id| limited(device, id, Some("0.15 mm"), None),
        other: |device, id| limited(device, id, None, Some("0.25 mm")),
        fields: [
            ("low", "0.10 mm = 0.1 mm", "0.15 mm = 0.15 mm"),
            ("high", "0.30 mm = 0.3 mm", "0.25 mm = 0.25 mm"),
        ],
    },
    Story {
        kind: Kind::Reading,
        make: a_reading,
        one: |device, id| {
            let value = ReadingFields {
                value: "0.25 mm".into(),
                ..Default::default()
            };
            device.change::<Reading>(id, value);
        },
        other: |device, id| {
            let gauge = device.make::<Instrument>(InstrumentFields {
                name: "dial gauge".into(),
                ..Default::default()
            });
            let instrument = ReadingFields {
                instrument: Given::Put(gauge),
                ..Default::default()
            };
            device.change::<Reading>(id, instrument);
        },
        fields: [
            ("value", "0.20 mm = 0.2 mm", "0.25 mm = 0.25 mm"),
            ("instrument", "", ""),
        ],
    },
];

fn line(device: &Device, kind: Kind, id: &Id, field: &str) -> String {
    device.entry(kind, id).line(field).unwrap_or_default().to_owned()
}

fn told(point: &Point) -> Vec<String> {
    let sides = point.sides.iter();
    sides
        .map(|side| side.value.as_ref().unwrap().line().unwrap().to_owned())
        .collect()
}

#[test]
fn what_nobody_has_said_together_is_one_question_and_stands_as_one_had_it() {
    for story in STORIES {
        for choice in ["side_1", "side_2", "go_together"] {
            let (mut nell, mut wilf) = pair();
            let id = (story.make)(&mut nell);
            meet(&mut nell, &mut wilf);
            (story.one)(&mut nell, &id);
            (story.other)(&mut wilf, &id);
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), points(&wilf));
            let found = points(&nell);
            assert_eq!(found.len(), 1, "{:?}: {found:?}", story.kind);
            assert_eq!(found[0].rule, Rule::SaidApart);
            settle(&mut wilf, &found[0], choice, Some("we rang"));
            meet(&mut nell, &mut wilf);
            assert_eq!(points(&nell), [], "{:?}, {choice}", story.kind);
            for (at, (field, was, is)) in story.fields.into_iter().enumerate() {
                let theirs = choice == "go_together" || choice == format!("side_{}", at + 1);
                let now = line(&nell, story.kind, &id, field);
                if field == "instrument" {
                    assert_eq!(!now.is_empty(), theirs, "{choice}");
                } else {
                    assert_eq!(now, if theirs { is } else { was }, "{field}, {choice}");
                }
            }
        }
    }
}

/// Whoever writes one knowing the other's is at odds with nobody, nor is who writes them alike, or fills in what a page lacks.
#[test]
fn what_was_written_with_the_others_before_one_is_no_point() {
    for story in STORIES {
        let (mut nell, mut wilf) = pair();
        let id = (story.make)(&mut nell);
        (story.one)(&mut nell, &id);
        meet(&mut nell, &mut wilf);
        (story.other)(&mut wilf, &id);
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&nell), [], "{:?}", story.kind);
    }
    let (mut nell, mut wilf) = pair();
    let id = a_limit(&mut nell);
    meet(&mut nell, &mut wilf);
    let book = LimitFields {
        book: "workshop manual".into(),
        ..Default::default()
    };
    nell.change::<Limit>(&id, book);
    let page = LimitFields {
        page: "41".into(),
        ..Default::default()
    };
    wilf.change::<Limit>(&id, page);
    meet(&mut nell, &mut wilf);
    assert_eq!(
        points(&nell),
        [],
        "book and page are filled in by whoever has the book"
    );
}

/// Raised here and lowered there, each as one may: together they judge nothing, and nobody may leave them so.
#[test]
fn bounds_that_cross_when_two_meet_are_settled_one_way_or_the_other() {
    for (choice, low, high) in [
        ("side_1", "0.28 mm = 0.28 mm", "0.30 mm = 0.3 mm"),
        ("side_2", "0.10 mm = 0.1 mm", "0.12 mm = 0.12 mm"),
    ] {
        let (mut nell, mut wilf) = pair();
        let id = a_limit(&mut nell);
        meet(&mut nell, &mut wilf);
        limited(&mut nell, &id, Some("0.28 mm"), None);
        limited(&mut wilf, &id, None, Some("0.12 mm"));
        meet(&mut nell, &mut wilf);
        let found = of(&wilf, Rule::SaidApart);
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].title,
            "'end float': not below 0.28 mm and not above 0.12 mm were said apart, and leave nothing between"
        );
        assert_eq!(told(&found[0]), ["Not below: 0.28 mm", "Not above: 0.12 mm"]);
        let keys: Vec<&str> = found[0].choices.iter().map(|one| one.key.as_str()).collect();
        assert_eq!(keys, ["side_1", "side_2"], "they cannot go together");
        settle(&mut wilf, &found[0], choice, None);
        meet(&mut nell, &mut wilf);
        assert_eq!(points(&nell), []);
        assert_eq!(line(&nell, Kind::Limit, &id, "low"), low);
        assert_eq!(line(&nell, Kind::Limit, &id, "high"), high);
    }
}

/// Settled apart, each for themselves: one question about the settlements, and none about what they left between them.
#[test]
fn settled_two_ways_it_is_asked_once_again() {
    let (mut nell, mut wilf) = pair();
    let id = a_limit(&mut nell);
    meet(&mut nell, &mut wilf);
    limited(&mut nell, &id, Some("0.28 mm"), None);
    limited(&mut wilf, &id, None, Some("0.12 mm"));
    meet(&mut nell, &mut wilf);
    let found = of(&wilf, Rule::SaidApart);
    settle(&mut nell, &found[0], "side_1", None);
    settle(&mut wilf, &found[0], "side_2", None);
    meet(&mut nell, &mut wilf);
    let again = points(&nell);
    assert_eq!(again.len(), 1, "{again:?}");
    assert_eq!(again[0].rule, Rule::SettledTwoWays);
    let mut said: Vec<&str> = again[0].sides.iter().map(|side| side.title.as_str()).collect();
    said.sort_unstable();
    assert_eq!(
        said,
        [
            "'end float' is as child had it: Not above: 0.12 mm",
            "'end float' is as parent had it: Not below: 0.28 mm"
        ]
    );
    settle(&mut nell, &again[0], "side_2", None);
    meet(&mut nell, &mut wilf);
    assert_eq!(points(&wilf), []);
    assert_eq!(line(&wilf, Kind::Limit, &id, "low"), "0.10 mm = 0.1 mm");
    assert_eq!(line(&wilf, Kind::Limit, &id, "high"), "0.12 mm = 0.12 mm");
}
