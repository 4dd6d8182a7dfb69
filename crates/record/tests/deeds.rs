//! What each change did: deeds are read from the change that put a value, and from no other.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod workshop;

use record::entities::{
    Assembly, AssemblyFields, Container, ContainerFields, HoldPoint, HoldPointFields, Instrument,
    InstrumentFields, Job, JobFields, Part, PartFields,
};
use record::rules::points;
use record::words::{AssemblyState, Decision, HoldState, How, JobState};
use record::{Edit, Given, Logged};
use workshop::{Device, day, meet};

fn pair() -> (Device, Device) {
    let mut parent = Device::first("parent", 1);
    let mut child = Device::joining("child", 2, &parent, None);
    meet(&mut parent, &mut child);
    (parent, child)
}

/// What the newest of these changes did, in words, with the day where one was said.
fn told(changes: &[Logged]) -> Vec<String> {
    let deeds = changes.last().unwrap().deeds.iter();
    deeds
        .map(|deed| match deed.on {
            Some(on) => format!("{} {on}", deed.words()),
            None => deed.words().to_owned(),
        })
        .collect()
}

fn state(state: AssemblyState) -> AssemblyFields {
    AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    }
}

fn change<E: record::Entity>(device: &mut Device, id: &record::Id, fields: &E::Fields) -> Vec<String> {
    told(&device.edit(&Edit::change::<E>(id.clone(), fields).unwrap()))
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn a_deed_is_what_a_change_put_and_not_how_a_thing_was_entered() {
    let (mut parent, _) = pair();
    let add = |parent: &mut Device, edit: Edit| told(&parent.edit(&edit));
    let head = parent.make::<Assembly>(AssemblyFields {
        name: "head".into(),
        ..state(AssemblyState::Off)
    });
    let bag = parent.make::<Container>(ContainerFields {
        code: "B14".into(),
        ..Default::default()
    });
    let id = |parent: &mut Device| record::Id::from_uuid(record::Ids::fresh(&mut parent.ids));
    let (job, hold, stud, clock) = (id(&mut parent), id(&mut parent), id(&mut parent), id(&mut parent));
    let fields = JobFields {
        what: "lap the valves".into(),
        assembly: Given::Put(head.clone()),
        ..Default::default()
    };
    let nothing: [&str; 0] = [];
    assert_eq!(
        add(&mut parent, Edit::add::<Job>(job.clone(), &fields).unwrap()),
        nothing
    );
    let fields = HoldPointFields {
        what: "nuts counted".into(),
        assembly: Given::Put(head.clone()),
        how: Given::Put(How::Counted),
        ..Default::default()
    };
    assert_eq!(
        add(
            &mut parent,
            Edit::add::<HoldPoint>(hold.clone(), &fields).unwrap()
        ),
        nothing
    );
    let fields = PartFields {
        name: "stud".into(),
        container: Given::Put(bag.to_string()),
        decision: Given::Put(Decision::Replace),
        ..Default::default()
    };
    assert_eq!(
        add(&mut parent, Edit::add::<Part>(stud.clone(), &fields).unwrap()),
        ["Put away", "Decided: replace"]
    );
    let fields = InstrumentFields {
        name: "dial gauge".into(),
        checked_on: Given::Put(day("2031-02-03")),
        ..Default::default()
    };
    assert_eq!(
        add(&mut parent, Edit::add::<Instrument>(clock, &fields).unwrap()),
        ["Instrument checked 2031-02-03"]
    );

    assert_eq!(
        change::<Assembly>(&mut parent, &head, &state(AssemblyState::Apart)),
        ["Taken apart"]
    );
    let renamed = AssemblyFields {
        name: "cylinder head".into(),
        ..Default::default()
    };
    assert_eq!(change::<Assembly>(&mut parent, &head, &renamed), nothing);
    let done = |state| JobFields {
        state: Given::Put(state),
        ..Default::default()
    };
    assert_eq!(
        change::<Job>(&mut parent, &job, &done(JobState::Done)),
        ["Job done"]
    );
    assert_eq!(
        change::<Job>(&mut parent, &job, &done(JobState::Open)),
        ["Job open again"]
    );
    let met = HoldPointFields {
        state: Given::Put(HoldState::Met),
        met_how: "13".into(),
        on: Given::Put(day("2031-02-04")),
        ..Default::default()
    };
    assert_eq!(
        change::<HoldPoint>(&mut parent, &hold, &met),
        ["Hold point met 2031-02-04"]
    );
    let out = PartFields {
        container: Given::Clear,
        decision: Given::Clear,
        ..Default::default()
    };
    assert_eq!(
        change::<Part>(&mut parent, &stud, &out),
        ["Out of its container", "Decision taken back"]
    );
}

#[test]
fn whoever_says_which_of_two_states_holds_settled_and_did_neither() {
    let (mut parent, mut child) = pair();
    let head = parent.make::<Assembly>(AssemblyFields {
        name: "head".into(),
        ..Default::default()
    });
    meet(&mut parent, &mut child);
    parent.change::<Assembly>(&head, state(AssemblyState::Off));
    child.change::<Assembly>(&head, state(AssemblyState::Apart));
    meet(&mut parent, &mut child);
    let open = points(child.record.view(), child.record.ledger());
    let point = open.first().unwrap();
    for side in [0, 1] {
        let choice = point.choices.get(side).unwrap().key.clone();
        let settle = Edit::Settle {
            point: point.id.clone(),
            choice,
            why: None,
        };
        let one = if side == 0 { &mut parent } else { &mut child };
        assert_eq!(told(&one.edit(&settle)), ["Settled"]);
    }
    // Which of the two settlements holds: that is settling too.
    meet(&mut parent, &mut child);
    let open = points(child.record.view(), child.record.ledger());
    let point = open.first().unwrap();
    let settle = Edit::Settle {
        point: point.id.clone(),
        choice: point.choices.first().unwrap().key.clone(),
        why: None,
    };
    assert_eq!(told(&child.edit(&settle)), ["Settled"]);
}
