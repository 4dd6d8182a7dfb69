//! Each stands in the other: what two or three devices put into each other apart is a point, and every way to settle it leaves
//! a car in which everything has a place again.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use record::edit::Becomes;
use record::entities::*;
use record::rules::Rule;
use record::{Edit, Given, Id, Kind, Ref, Tree};
use settling::{assembly, pair, points, settle};
use workshop::{Device, meet};

fn into(device: &mut Device, kind: Kind, what: &Id, place: &Id) {
    match kind {
        Kind::Assembly => device.change::<Assembly>(
            what,
            AssemblyFields {
                parent: Given::Put(place.clone()),
                ..Default::default()
            },
        ),
        _ => device.change::<Container>(
            what,
            ContainerFields {
                inside: Given::Put(place.clone()),
                ..Default::default()
            },
        ),
    }
}

fn made(device: &mut Device, kind: Kind, name: &str) -> Id {
    match kind {
        Kind::Assembly => assembly(device, name),
        _ => device.make::<Container>(ContainerFields {
            code: name.into(),
            ..Default::default()
        }),
    }
}

fn place(device: &Device, kind: Kind, id: &Id) -> Option<String> {
    let field = if kind == Kind::Assembly {
        "parent"
    } else {
        "inside"
    };
    device.entry(kind, id).line(field).map(str::to_owned)
}

/// [Seen on the program before this: no point; and striking one with all that is in it struck both.]
#[test]
fn two_that_were_put_into_each_other_are_a_point_with_two_ways_on() {
    for kind in [Kind::Assembly, Kind::Container] {
        for out in 0..2 {
            let (mut parent, mut child) = pair();
            let around = made(&mut parent, kind, "engine");
            let both = [
                made(&mut parent, kind, "water pump"),
                made(&mut parent, kind, "cooling"),
            ];
            into(&mut parent, kind, &both[0], &around);
            meet(&mut parent, &mut child);
            into(&mut parent, kind, &both[0], &both[1]);
            into(&mut child, kind, &both[1], &both[0]);
            meet(&mut parent, &mut child);

            let found = points(&parent);
            assert_eq!(found, points(&child));
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].rule, Rule::InEachOther);
            assert!(
                found[0].title.contains("each stand in the other"),
                "{}",
                found[0].title
            );
            let keys: Vec<&str> = found[0].choices.iter().map(|one| one.key.as_str()).collect();
            assert_eq!(keys, ["take_out_1", "take_out_2"]);
            assert!(found[0].sides.iter().all(|side| !side.knew_other));

            let taken = found[0].about[out].id.clone();
            settle(&mut child, &found[0], keys[out], None);
            meet(&mut parent, &mut child);
            assert_eq!(points(&parent), Vec::new());
            let other = both.iter().find(|id| **id != taken).unwrap();
            // It goes back to where it stood, the other stays in it.
            let before = (taken == both[0]).then(|| around.to_string());
            assert_eq!(place(&parent, kind, &taken), before);
            assert_eq!(place(&parent, kind, other).as_deref(), Some(taken.as_str()));
        }
    }
}

#[test]
fn three_in_a_ring_and_one_in_itself_are_opened_where_one_says() {
    let (mut parent, mut child) = pair();
    let mut third = Device::joining("third", 3, &parent, None);
    let ring: Vec<Id> = ["front", "middle", "rear"]
        .map(|name| assembly(&mut parent, name))
        .to_vec();
    meet(&mut parent, &mut child);
    meet(&mut parent, &mut third);
    into(&mut parent, Kind::Assembly, &ring[0], &ring[1]);
    into(&mut child, Kind::Assembly, &ring[1], &ring[2]);
    into(&mut third, Kind::Assembly, &ring[2], &ring[0]);
    meet(&mut parent, &mut child);
    meet(&mut parent, &mut third);
    meet(&mut parent, &mut child);
    let found = points(&parent);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].rule, found[0].choices.len()), (Rule::InEachOther, 3));
    settle(&mut parent, &found[0], "take_out_2", None);
    assert_eq!(points(&parent), Vec::new());
    let tree = Tree::of_assemblies(parent.record.view());
    assert_eq!(tree.children(None).len(), 1);
    assert_eq!(tree.within(&found[0].about[1].id).len(), 3);
}

#[test]
fn what_stands_in_one_that_is_struck_out_of_a_ring_does_not_move_into_the_ring() {
    let (mut parent, mut child) = pair();
    let both = [
        assembly(&mut parent, "water pump"),
        assembly(&mut parent, "cooling"),
    ];
    meet(&mut parent, &mut child);
    into(&mut parent, Kind::Assembly, &both[0], &both[1]);
    into(&mut child, Kind::Assembly, &both[1], &both[0]);
    meet(&mut parent, &mut child);
    parent.edit(&Edit::Strike {
        name: Ref::new(Kind::Assembly, both[0].clone()),
        why: "it is the spare engine's".into(),
        inside: Some(Becomes::MoveUp),
        into: None,
    });
    // The other stands at the top, not in itself.
    assert_eq!(place(&parent, Kind::Assembly, &both[1]), None);
    assert!(parent.entry(Kind::Assembly, &both[1]).stands());
    assert_eq!(points(&parent), Vec::new());
}
