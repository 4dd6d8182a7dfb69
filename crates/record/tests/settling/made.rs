//! One contradiction of each rule between three devices, made the same way every time: what the tests hold that go over all rules.

#![allow(dead_code, reason = "each test file uses a part of this")]

use std::collections::BTreeSet;

use record::entities::*;
use record::rules::{Point, Rule};
use record::words::{AssemblyState, Decision, HoldState, How, HowBad, Layout, OrderState};
use record::{Edit, Given, Id, Kind, Ref};

use super::{assembly, close, job, points};
use crate::workshop::{Device, meet};

/// Three devices of three keepers.
pub(crate) fn three() -> [Device; 3] {
    let mut parent = Device::first("parent", 1);
    let mut child = Device::joining("child", 2, &parent, None);
    meet(&mut parent, &mut child);
    let mut friend = Device::joining("friend", 3, &parent, None);
    meet(&mut parent, &mut friend);
    let mut all = [parent, child, friend];
    everybody(&mut all, &[(0, 1), (0, 2), (0, 1)]);
    all
}

pub(crate) fn everybody(devices: &mut [Device; 3], meetings: &[(usize, usize)]) {
    for (one, two) in meetings {
        let (low, high) = (one.min(two), one.max(two));
        let (left, right) = devices.split_at_mut(*high);
        meet(&mut left[*low], &mut right[0]);
    }
}

/// Every way in which three can meet until all have everything.
pub(crate) const ORDERS: [&[(usize, usize)]; 4] = [
    &[(0, 1), (0, 2), (0, 1)],
    &[(1, 2), (0, 2), (1, 2)],
    &[(0, 2), (1, 2), (0, 1), (0, 2)],
    &[(1, 0), (2, 1), (2, 0)],
];

pub(crate) type Made = fn(&mut [Device; 3]);

pub(crate) fn two_orders(d: &mut [Device; 3]) {
    let gasket = d[0].make::<Part>(PartFields {
        name: "head gasket".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    for device in d.iter_mut().take(2) {
        device.make::<Order>(OrderFields {
            what: "head gasket, copper".into(),
            part: Given::Put(gasket.clone()),
            state: Given::Put(OrderState::Ordered),
            ..Default::default()
        });
    }
}

fn readings(d: &mut [Device; 3]) {
    let crank = d[0].make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    let gauge = d[0].make::<Instrument>(InstrumentFields {
        name: "dial gauge".into(),
        uncertainty: "0.01 mm".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    for (device, value) in d.iter_mut().zip(["0.30 mm", "0.40 mm"]) {
        device.make::<Reading>(ReadingFields {
            what: "end float".into(),
            about: Given::Put(Ref::new(Kind::Part, crank.clone())),
            value: value.into(),
            instrument: Given::Put(gauge.clone()),
            on: Given::Put(crate::workshop::day("2030-03-17")),
            ..Default::default()
        });
    }
}

fn one_code(d: &mut [Device; 3]) {
    for (device, name) in d.iter_mut().zip(["valve springs", "starter bolts"]) {
        let bag = device.make::<Container>(ContainerFields {
            code: "B14".into(),
            name: name.into(),
            ..Default::default()
        });
        for part in ["one", "another"] {
            device.make::<Part>(PartFields {
                name: part.into(),
                container: Given::Put(bag.to_string()),
                ..Default::default()
            });
        }
    }
}

pub(crate) fn closed_over_job(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    job(&mut d[1], "look at the synchro ring", &gearbox);
}

fn closed_over_hold(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    d[1].make::<HoldPoint>(HoldPointFields {
        what: "all oilway plugs are in".into(),
        assembly: Given::Put(gearbox),
        how: Given::Put(How::Counted),
        ..Default::default()
    });
}

fn closed_over_run(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    d[1].make::<TighteningRun>(TighteningRunFields {
        what: "cover bolts".into(),
        assembly: Given::Put(gearbox),
        layout: Given::Put(Layout::Circle),
        bolts: Given::Put(4),
        torque: "24 Nm".into(),
        conditions: "threads dry".into(),
        on: Given::Put(crate::workshop::day("2030-03-17")),
        ..Default::default()
    });
}

fn two_values(d: &mut [Device; 3]) {
    let crank = d[0].make::<Part>(PartFields {
        name: "crankshaft".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    for (device, number) in d.iter_mut().zip(["AX 12", "AX 21"]) {
        device.change::<Part>(
            &crank,
            PartFields {
                number: number.into(),
                ..Default::default()
            },
        );
    }
}

fn struck_worked_on(d: &mut [Device; 3]) {
    let engine = assembly(&mut d[0], "engine");
    let pump = d[0].make::<Assembly>(AssemblyFields {
        name: "water pump".into(),
        parent: Given::Put(engine),
        ..Default::default()
    });
    let seal = job(&mut d[0], "press the seal in", &pump);
    everybody(d, ORDERS[0]);
    d[0].edit(&Edit::Strike {
        name: Ref::new(Kind::Assembly, pump.clone()),
        why: "it is the spare engine's".into(),
        inside: Some(record::edit::Becomes::StrikeToo),
        into: None,
    });
    d[1].change::<Job>(
        &seal,
        JobFields {
            outcome: "it went in with the drift".into(),
            ..Default::default()
        },
    );
    job(&mut d[1], "fit the impeller", &pump);
}

fn in_each_other(d: &mut [Device; 3]) {
    let both = [assembly(&mut d[0], "water pump"), assembly(&mut d[0], "cooling")];
    everybody(d, ORDERS[0]);
    for (device, (what, place)) in d.iter_mut().zip([(0, 1), (1, 0)]) {
        device.change::<Assembly>(
            &both[what],
            AssemblyFields {
                parent: Given::Put(both[place].clone()),
                ..Default::default()
            },
        );
    }
}

fn closed_over_finding(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    d[1].make::<Finding>(FindingFields {
        about: Given::Put(Ref::new(Kind::Assembly, gearbox)),
        what: "the case is cracked at the mounting".into(),
        how_bad: Given::Put(HowBad::Danger),
        on: Given::Put(crate::workshop::day("2030-03-17")),
        ..Default::default()
    });
}

fn closed_over_reading(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let limit = d[0].make::<Limit>(LimitFields {
        what: "end float".into(),
        high: "0.20 mm".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    d[1].make::<Reading>(ReadingFields {
        what: "end float".into(),
        about: Given::Put(Ref::new(Kind::Assembly, gearbox)),
        value: "0.35 mm".into(),
        limit: Given::Put(limit),
        on: Given::Put(crate::workshop::day("2030-03-17")),
        ..Default::default()
    });
}

fn a_part(device: &mut Device, gearbox: &Id) -> Id {
    device.make::<Part>(PartFields {
        name: "tail bearing".into(),
        assembly: Given::Put(gearbox.clone()),
        ..Default::default()
    })
}

fn closed_over_wanted(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let bearing = a_part(&mut d[0], &gearbox);
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    let replace = PartFields {
        decision: Given::Put(Decision::Replace),
        ..Default::default()
    };
    d[1].change::<Part>(&bearing, replace);
}

fn closed_over_stored(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let bearing = a_part(&mut d[0], &gearbox);
    let bag = d[0].make::<Container>(ContainerFields {
        code: "B14".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    let away = PartFields {
        container: Given::Put(bag.to_string()),
        ..Default::default()
    };
    d[1].change::<Part>(&bearing, away);
}

fn closed_over_assembly(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let lid = d[0].make::<Assembly>(AssemblyFields {
        name: "lid".into(),
        parent: Given::Put(gearbox.clone()),
        ..Default::default()
    });
    close(&mut d[0], &lid);
    everybody(d, ORDERS[0]);
    close(&mut d[0], &gearbox);
    let off = AssemblyFields {
        state: Given::Put(AssemblyState::Off),
        ..Default::default()
    };
    d[1].change::<Assembly>(&lid, off);
}

fn ended_apart(d: &mut [Device; 3]) {
    let brakes = assembly(&mut d[0], "front brakes");
    let hose = d[0].make::<Finding>(FindingFields {
        about: Given::Put(Ref::new(Kind::Assembly, brakes)),
        what: "the hose is chafed".into(),
        how_bad: Given::Put(HowBad::Mend),
        on: Given::Put(crate::workshop::day("2030-03-17")),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    d[0].change::<Finding>(
        &hose,
        FindingFields {
            ended: "mended:tape around it".into(),
            ..Default::default()
        },
    );
    d[1].change::<Finding>(
        &hose,
        FindingFields {
            how_bad: Given::Put(HowBad::Danger),
            ..Default::default()
        },
    );
}

fn met_apart(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let hold = d[0].make::<HoldPoint>(HoldPointFields {
        what: "thirteen lid bolts are in".into(),
        assembly: Given::Put(gearbox),
        how: Given::Put(How::Counted),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    d[0].change::<HoldPoint>(
        &hold,
        HoldPointFields {
            state: Given::Put(HoldState::Met),
            met_how: "13".into(),
            ..Default::default()
        },
    );
    d[1].change::<HoldPoint>(
        &hold,
        HoldPointFields {
            what: "fourteen lid bolts are in".into(),
            ..Default::default()
        },
    );
}

fn tightened_apart(d: &mut [Device; 3]) {
    let gearbox = assembly(&mut d[0], "gearbox");
    let run = d[0].make::<TighteningRun>(TighteningRunFields {
        what: "cover bolts".into(),
        assembly: Given::Put(gearbox.clone()),
        layout: Given::Put(Layout::Circle),
        bolts: Given::Put(4),
        torque: "24 Nm".into(),
        conditions: "threads dry".into(),
        on: Given::Put(crate::workshop::day("2030-03-17")),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    for bolt in 1..=2 {
        d[0].make::<Tightened>(TightenedFields {
            run: Given::Put(run.clone()),
            pass: Given::Put(1),
            place: Given::Put(bolt),
            torque: "7.2 Nm".into(),
            on: Given::Put(crate::workshop::day("2030-03-17")),
            ..Default::default()
        });
    }
    for state in [AssemblyState::Apart, AssemblyState::Fitted] {
        let stands = AssemblyFields {
            state: Given::Put(state),
            ..Default::default()
        };
        d[1].change::<Assembly>(&gearbox, stands);
    }
}

fn said_apart(d: &mut [Device; 3]) {
    let limit = d[0].make::<Limit>(LimitFields {
        what: "end float".into(),
        low: "0.10 mm".into(),
        high: "0.30 mm".into(),
        book: "workshop manual".into(),
        page: "41".into(),
        ..Default::default()
    });
    everybody(d, ORDERS[0]);
    d[0].change::<Limit>(
        &limit,
        LimitFields {
            high: "0.25 mm".into(),
            ..Default::default()
        },
    );
    d[1].change::<Limit>(
        &limit,
        LimitFields {
            page: "143".into(),
            ..Default::default()
        },
    );
}

pub(crate) const RULES: [(Rule, Made); 18] = [
    (Rule::TwoOrders, two_orders),
    (Rule::ReadingsDiffer, readings),
    (Rule::SameCode, one_code),
    (Rule::ClosedOverJob, closed_over_job),
    (Rule::ClosedOverHold, closed_over_hold),
    (Rule::ClosedOverRun, closed_over_run),
    (Rule::TwoValues, two_values),
    (Rule::StruckWorkedOn, struck_worked_on),
    (Rule::InEachOther, in_each_other),
    (Rule::ClosedOverFinding, closed_over_finding),
    (Rule::ClosedOverReading, closed_over_reading),
    (Rule::ClosedOverWanted, closed_over_wanted),
    (Rule::ClosedOverStored, closed_over_stored),
    (Rule::ClosedOverAssembly, closed_over_assembly),
    (Rule::EndedApart, ended_apart),
    (Rule::MetApart, met_apart),
    (Rule::TightenedApart, tightened_apart),
    (Rule::SaidApart, said_apart),
];

/// Every rule but the one that these are settled two ways for: a rule that is added and not made here is told.
#[test]
fn every_rule_is_made() {
    let made: BTreeSet<Rule> = RULES.iter().map(|(rule, _)| *rule).collect();
    let all = Rule::ALL
        .iter()
        .copied()
        .filter(|rule| *rule != Rule::SettledTwoWays);
    assert_eq!(made, all.collect());
}

/// The one point that every device shows.
pub(crate) fn the_one(devices: &[Device; 3], what: &str) -> Point {
    let mut shown = devices.iter().map(points);
    let mut first = shown.next().unwrap();
    for other in shown {
        assert_eq!(first, other, "{what}: two devices show other points");
    }
    let titles: Vec<&str> = first.iter().map(|point| point.title.as_str()).collect();
    assert_eq!(first.len(), 1, "{what}: {titles:?}");
    first.remove(0)
}

pub(crate) fn with_point(made: Made, what: &str) -> ([Device; 3], Point) {
    let mut devices = three();
    made(&mut devices);
    everybody(&mut devices, ORDERS[0]);
    let point = the_one(&devices, what);
    (devices, point)
}
