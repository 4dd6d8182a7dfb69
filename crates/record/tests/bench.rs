//! What the bench leaves in the record: kinds that came after the beginning, and tightening runs that go on where they
//! were left, on either device.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod workshop;

use record::edit::{EditError, blockers};
use record::entities::*;
use record::tightening::RunStanding;
use record::words::Layout;
use record::{Edit, Given, Id, Kind, Refusal};
use workshop::{Device, meet};

fn kept(device: &mut Device, answer: &str) -> Id {
    device.make::<KeptAnswer>(KeptAnswerFields {
        what: "Displacement".into(),
        calculation: "displacement".into(),
        inputs: "bore = 77 mm\nstroke = 64 mm".into(),
        answer: answer.into(),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    })
}

fn assembly(device: &mut Device) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: "Cylinder head".into(),
        ..Default::default()
    })
}

fn run_fields(assembly: &Id, bolts: i32, rows: Option<i32>) -> TighteningRunFields {
    TighteningRunFields {
        what: "Head nuts".into(),
        assembly: Given::Put(assembly.clone()),
        layout: Given::Put(if rows.is_some() {
            Layout::Rows
        } else {
            Layout::Circle
        }),
        bolts: Given::Put(bolts),
        rows: rows.map_or(Given::Leave, Given::Put),
        torque: "36 lb-ft".into(),
        passes: "50, 100".into(),
        conditions: "threads oiled".into(),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    }
}

fn tighten(device: &mut Device, run: &Id, times: usize) {
    for _ in 0..times {
        let entry = device.entry(Kind::TighteningRun, run).clone();
        let (pass, place) = RunStanding::of(device.record.view(), &entry)
            .unwrap()
            .next
            .unwrap();
        device.make::<Tightened>(TightenedFields {
            run: Given::Put(run.clone()),
            pass: Given::Put(pass),
            place: Given::Put(place),
            torque: "36 lb-ft".into(),
            on: Given::Put("2031-03-01".parse().unwrap()),
            ..Default::default()
        });
    }
}

fn standing(device: &Device, run: &Id) -> RunStanding {
    RunStanding::of(device.record.view(), device.entry(Kind::TighteningRun, run)).unwrap()
}

/// Takes back the last turn.
fn take_back(device: &mut Device, run: &Id) {
    let last: Vec<Id> = standing(device, run).last().cloned().collect();
    assert!(!last.is_empty());
    for entry in last {
        device.edit(&Edit::strike(record::Ref::new(Kind::Tightened, entry), "undone"));
    }
}

#[test]
fn two_devices_that_keep_their_first_answers_apart_both_have_both() {
    let mut nell = Device::first("Nell", 1);
    let mut wilf = Device::joining("Wilf", 2, &nell, None);
    meet(&mut nell, &mut wilf);
    let hers = kept(&mut nell, "1192 cm³");
    let his = kept(&mut wilf, "1131 cm³");
    meet(&mut nell, &mut wilf);
    for device in [&nell, &wilf] {
        assert_eq!(
            device.entry(Kind::KeptAnswer, &hers).line("answer"),
            Some("1192 cm³")
        );
        assert_eq!(
            device.entry(Kind::KeptAnswer, &his).line("answer"),
            Some("1131 cm³")
        );
    }
    assert_eq!(nell.record.digest(), wilf.record.digest());
}

#[test]
fn a_run_goes_on_where_the_other_device_left_it_and_blocks_closing_until_it_is_done() {
    let mut nell = Device::first("Nell", 3);
    let head = assembly(&mut nell);
    let run = nell.make::<TighteningRun>(run_fields(&head, 8, None));
    // ASME PCC-1, legacy cross-pattern of eight: 1-5-3-7-2-6-4-8; then the full torque, then round and round.
    let orders: Vec<Vec<i32>> = standing(&nell, &run)
        .plan
        .passes
        .iter()
        .map(|pass| pass.order.clone())
        .collect();
    assert_eq!(
        orders,
        [
            vec![1, 5, 3, 7, 2, 6, 4, 8],
            vec![1, 5, 3, 7, 2, 6, 4, 8],
            (1..=8).collect()
        ]
    );
    assert_eq!(standing(&nell, &run).plan.passes[0].torque, "18.0 lbf·ft");
    tighten(&mut nell, &run, 3);
    let mut wilf = Device::joining("Wilf", 4, &nell, None);
    assert_eq!(standing(&wilf, &run).next, Some((1, 7)));
    tighten(&mut wilf, &run, 6);
    assert_eq!(standing(&wilf, &run).next, Some((2, 5)));
    // Undone, it is the next again.
    take_back(&mut wilf, &run);
    assert_eq!(standing(&wilf, &run).next, Some((2, 1)));
    assert_eq!(blockers(wilf.record.view(), &[], &head).len(), 1);
    meet(&mut nell, &mut wilf);
    assert_eq!(standing(&nell, &run), standing(&wilf, &run));
    tighten(&mut nell, &run, 16);
    assert_eq!(standing(&nell, &run).next, None);
    assert_eq!(
        (standing(&nell, &run).done(), standing(&nell, &run).turns()),
        (24, 24)
    );
    assert_eq!(blockers(nell.record.view(), &[], &head), []);
}

#[test]
fn what_is_taken_back_is_the_last_turn_whatever_the_clocks_say() {
    let mut nell = Device::first("Nell", 6);
    let head = assembly(&mut nell);
    let run = nell.make::<TighteningRun>(run_fields(&head, 8, None));
    let mut wilf = Device::joining("Wilf", 7, &nell, None);
    // Hers is a year ahead of his, and his stands still: within one second, or a year apart, the turns are as they were.
    nell.now += 31_536_000;
    tighten(&mut nell, &run, 3);
    meet(&mut nell, &mut wilf);
    for _ in 0..8 {
        wilf.now -= 60;
        tighten(&mut wilf, &run, 1);
    }
    let mut order: Vec<(i32, i32)> = Vec::new();
    while !standing(&wilf, &run).log.is_empty() {
        take_back(&mut wilf, &run);
        order.push(standing(&wilf, &run).next.unwrap());
    }
    order.reverse();
    // ASME PCC-1, legacy cross-pattern of eight, the first pass and three of the second.
    let places: Vec<i32> = order.iter().map(|(_, place)| *place).collect();
    assert_eq!(places, [1, 5, 3, 7, 2, 6, 4, 8, 1, 5, 3]);
}

#[test]
fn a_turn_that_both_logged_apart_is_taken_back_whole() {
    let mut nell = Device::first("Nell", 8);
    let head = assembly(&mut nell);
    let run = nell.make::<TighteningRun>(run_fields(&head, 8, None));
    let mut wilf = Device::joining("Wilf", 9, &nell, None);
    tighten(&mut nell, &run, 2);
    tighten(&mut wilf, &run, 2);
    meet(&mut nell, &mut wilf);
    assert_eq!(standing(&nell, &run).log.len(), 4);
    take_back(&mut nell, &run);
    assert_eq!(
        standing(&nell, &run).next,
        Some((1, 5)),
        "it is not tight by the other's entry"
    );
    assert_eq!(standing(&nell, &run).log.len(), 2);
}

#[test]
fn a_run_that_cannot_be_tightened_is_not_begun() {
    let mut nell = Device::first("Nell", 5);
    let head = assembly(&mut nell);
    let mut refused = |fields: TighteningRunFields| {
        let id = Id::from_uuid(record::Ids::fresh(&mut nell.ids));
        match nell.try_edit(&Edit::add::<TighteningRun>(id, &fields).unwrap()) {
            Err(EditError::Refused(Refusal::Misfit { field, why })) => format!("{field}: {why}"),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(
        refused(run_fields(&head, 10, Some(3))),
        "rows: 10 bolts do not fill 3 rows alike"
    );
    assert_eq!(
        refused(run_fields(&head, 2, None)),
        "bolts: 2 is not from 3 to 64"
    );
    let falling = TighteningRunFields {
        passes: "100, 60".into(),
        ..run_fields(&head, 8, None)
    };
    assert!(refused(falling).contains("must rise"));
}

#[test]
fn a_pass_says_its_torque_exactly_and_not_as_it_is_shown() {
    let check = |torque: &str, passes: &str, kept: &[&str]| {
        let torque = reckon::parse_any(torque).unwrap().kept();
        let plan = record::tightening::plan(record::tightening::RunGiven {
            layout: &Layout::Circle,
            bolts: 6,
            rows: None,
            torque: &torque,
            passes: Some(passes),
        });
        let found: Vec<String> = plan.unwrap().passes.into_iter().map(|pass| pass.kept).collect();
        assert_eq!(found, kept, "{torque}");
        for kept in found {
            let typed = reckon::Typed::from_kept(&kept).unwrap();
            assert_eq!(typed.kept(), kept);
        }
    };
    // Worked by hand: 0.33 x 36.5 = 12.045, of which 12.0 N·m is shown; 0.66 x 36.5 = 24.09.
    check(
        "36.5 N·m",
        "33, 66, 100",
        &[
            "12.045 N·m = 12.045 N·m",
            "24.09 N·m = 24.09 N·m",
            "36.5 N·m = 36.5 N·m",
            "36.5 N·m = 36.5 N·m",
        ],
    );
    // Worked by hand, 36.1234567890123 / 3 has 27 decimals, more than can be typed: the run goes on with what is shown.
    check(
        "36.1234567890123 N·m",
        "33.333333333333, 100",
        &[
            "12.0 N·m = 12 N·m",
            "36.1234567890123 N·m = 36.1234567890123 N·m",
            "36.1234567890123 N·m = 36.1234567890123 N·m",
        ],
    );
    // What is shown is exact here, and stands as it is shown.
    check(
        "54 N·m",
        "30, 100",
        &["16.2 N·m = 16.2 N·m", "54.0 N·m = 54 N·m", "54 N·m = 54 N·m"],
    );
    // 1 lbf = 0.45359237 kg x 9.80665 m/s² (NIST SP 811, B.8), 1 ft = 0.3048 m: 8.91 lbf·ft is
    // 8.91 x 4.4482216152605 x 0.3048 N·m.
    check(
        "27 lbf·ft",
        "33, 100",
        &[
            "8.91 lbf·ft = 12.080337919632777564 N·m",
            "27.0 lbf·ft = 36.6070846049478108 N·m",
            "27 lbf·ft = 36.6070846049478108 N·m",
        ],
    );
}
