//! What is kept is what can be judged by and worked to: limits the right way up, and rows that say how many.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod workshop;

use record::edit::EditError;
use record::entities::{Assembly, AssemblyFields, Limit, LimitFields, TighteningRun, TighteningRunFields};
use record::words::Layout;
use record::{Edit, Entity, Given, Id, Refusal};
use workshop::Device;

/// The field that an edit is refused for.
fn refused_for<E: Entity>(device: &mut Device, fields: &E::Fields) -> String {
    let id = Id::from_uuid(uuid::Uuid::from_u128(7));
    let edit = Edit::add::<E>(id, fields).unwrap();
    match device.try_edit(&edit) {
        Err(EditError::Refused(Refusal::Misfit { field, .. })) => field,
        other => panic!("{other:?}"),
    }
}

fn limit(low: &str, high: &str) -> LimitFields {
    LimitFields {
        what: "stem diameter".into(),
        low: Given::Put(low.to_owned()),
        high: Given::Put(high.to_owned()),
        ..Default::default()
    }
}

#[test]
fn limits_upside_down_are_asked_about_in_any_unit() {
    let mut parent = Device::first("Rosalind", 1);
    assert_eq!(
        refused_for::<Limit>(&mut parent, &limit("8.10 mm", "8.05 mm")),
        "high"
    );
    // 0.320 in is 8.128 mm (international yard and pound agreement, 1959).
    assert_eq!(
        refused_for::<Limit>(&mut parent, &limit("0.320 in", "8.10 mm")),
        "high"
    );
    let kept = parent.make::<Limit>(limit("8.05 mm", "8.10 mm"));
    let turned = LimitFields {
        high: Given::Put("8.00 mm".to_owned()),
        ..Default::default()
    };
    assert!(
        parent
            .try_edit(&Edit::change::<Limit>(kept, &turned).unwrap())
            .is_err()
    );
    // One and the same is a size, not a slip.
    parent.make::<Limit>(limit("8.05 mm", "8.05 mm"));
}

fn run(assembly: &Id, bolts: i32, rows: Option<i32>, torque: &str, passes: &str) -> TighteningRunFields {
    TighteningRunFields {
        what: "Head nuts".into(),
        assembly: Given::Put(assembly.clone()),
        layout: Given::Put(Layout::Rows),
        bolts: Given::Put(bolts),
        rows: rows.map_or(Given::Leave, Given::Put),
        torque: Given::Put(torque.to_owned()),
        passes: Given::Put(passes.to_owned()),
        conditions: Given::Put("threads oiled".to_owned()),
        on: Given::Put("2031-03-01".parse().unwrap()),
        ..Default::default()
    }
}

#[test]
fn rows_are_asked_for_and_each_fault_is_said_of_its_own_field() {
    let mut parent = Device::first("Rosalind", 1);
    let head = parent.make::<Assembly>(AssemblyFields {
        name: "cylinder head".into(),
        ..Default::default()
    });
    let mut field = |run| refused_for::<TighteningRun>(&mut parent, &run);
    assert_eq!(field(run(&head, 10, None, "60 Nm", "30, 60, 100")), "rows");
    assert_eq!(field(run(&head, 10, Some(3), "60 Nm", "30, 60, 100")), "rows");
    assert_eq!(field(run(&head, 10, Some(2), "60 Nm", "60, 30")), "passes");
    assert_eq!(
        field(run(&head, 10, Some(2), "60000 Nm", "30, 60, 100")),
        "torque"
    );
    parent.make::<TighteningRun>(run(&head, 10, Some(2), "60 Nm", "30, 60, 100"));
}
