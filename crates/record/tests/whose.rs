//! Whose a device is stays as it was entered, whatever is written over it later, by whom and how: what was written on it keeps its
//! keeper, and the attempt is a point that everybody sees. One that was revoked stays so, also where it is entered again. The other
//! program is Automerge itself.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod settling;
mod workshop;

use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{ActorId, Automerge, ObjId, ObjType, ROOT, ReadDoc};
use record::edit::EditError;
use record::entities::{Device as DeviceEntity, DeviceFields};
use record::members::members;
use record::rules::Rule;
use record::{Edit, Given, Id, Kind, Refusal};
use settling::{pair, points, settle};
use workshop::{Device, meet};

/// What another program writes as a run of this device's, on everything that the device has.
fn forged(as_device: &Device, on: &Device, work: impl FnOnce(&mut Transaction<'_>, &ObjId)) -> Vec<u8> {
    let mut actor = as_device.device.uuid().unwrap().as_bytes().to_vec();
    actor.extend([9_u8; 8]);
    let mut doc = Automerge::load(&on.record.snapshot())
        .unwrap()
        .with_actor(ActorId::from(actor));
    let (_, many) = doc.get(ROOT, Kind::Device.root()).unwrap().unwrap();
    let mut tx = doc.transaction();
    work(&mut tx, &many);
    tx.commit_with(
        CommitOptions::default()
            .with_message("whose")
            .with_time(1_900_000_000),
    );
    doc.get_last_local_change().unwrap().raw_bytes().to_vec()
}

fn whose(on: &Device, device: &Device) -> Option<Id> {
    on.record.view().keeper_of(&device.device)
}

/// The one point, settled by its one choice: the device stays whose it was, everywhere.
fn seen_and_settled(parent: &mut Device, child: &mut Device) {
    let (owner, id) = (child.keeper.clone(), child.device.clone());
    let found = points(parent);
    assert_eq!(found, points(child));
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(
        (found[0].rule, found[0].field.as_deref()),
        (Rule::TwoValues, Some("keeper"))
    );
    assert_eq!(found[0].choices.len(), 1, "{:?}", found[0].choices);
    let key = found[0].choices[0].key.clone();
    settle(parent, &found[0], &key, None);
    meet(parent, child);
    for device in [&*parent, &*child] {
        assert_eq!(points(device), Vec::new());
        assert_eq!(device.record.view().keeper_of(&id), Some(owner.clone()));
    }
}

/// [Seen on the program before this: the words went over to the other keeper, and there was no point.]
#[test]
fn words_keep_their_keeper_when_another_is_written_over_the_device() {
    // By another device, and by the device itself in whose name it is.
    for itself in [false, true] {
        let (mut parent, mut child) = pair();
        let thief = parent.keeper.clone();
        let by = if itself { &child } else { &parent };
        let change = forged(by, &parent, |tx, many| {
            let (_, map) = tx.get(many, child.device.as_str()).unwrap().unwrap();
            tx.put(&map, "keeper", thief.as_str()).unwrap();
        });
        parent.take(&[(parent.record.heads()[0], change)]);
        meet(&mut parent, &mut child);
        for device in [&parent, &child] {
            assert_eq!(whose(device, &child), Some(child.keeper.clone()));
        }
        seen_and_settled(&mut parent, &mut child);
    }
}

#[test]
fn nor_is_a_device_another_keepers_because_it_is_entered_again_or_its_keeper_emptied() {
    let (mut parent, mut child) = pair();
    let thief = parent.keeper.clone();
    let id = child.device.clone();
    // The newest map of two is shown, and knows nothing of the revoking.
    parent.change::<DeviceEntity>(
        &id,
        DeviceFields {
            revoked: Given::Put("sold".into()),
            ..Default::default()
        },
    );
    meet(&mut parent, &mut child);
    let change = {
        // As if whoever wrote this had not had the device: its place is empty where they stand.
        let mut actor = parent.device.uuid().unwrap().as_bytes().to_vec();
        actor.extend([9_u8; 8]);
        let mut doc = Automerge::load(&parent.record.snapshot())
            .unwrap()
            .with_actor(ActorId::from(actor));
        let (_, many) = doc.get(ROOT, Kind::Device.root()).unwrap().unwrap();
        let mut tx = doc.transaction();
        let map = tx.put_object(&many, id.as_str(), ObjType::Map).unwrap();
        tx.put(&map, "name", "child").unwrap();
        tx.put(&map, "keeper", thief.as_str()).unwrap();
        tx.commit_with(CommitOptions::default().with_time(1_900_000_000));
        let mut open = doc.get_last_local_change().unwrap().decode();
        open.operations[0].pred = Vec::new().into();
        automerge::Change::from(open).raw_bytes().to_vec()
    };
    parent.take(&[(parent.record.heads()[0], change)]);
    meet(&mut parent, &mut child);
    for device in [&parent, &child] {
        assert_eq!(whose(device, &child), Some(child.keeper.clone()));
        let members = members(device.record.view());
        let member = members.iter().find(|one| one.device == id).unwrap();
        assert_eq!(member.revoked.as_ref().map(|(why, _)| why.as_str()), Some("sold"));
    }

    let (mut parent, mut child) = pair();
    let emptied = forged(&parent, &parent, |tx, many| {
        let (_, map) = tx.get(many, child.device.as_str()).unwrap().unwrap();
        tx.delete(&map, "keeper").unwrap();
    });
    parent.take(&[(parent.record.heads()[0], emptied)]);
    meet(&mut parent, &mut child);
    assert_eq!(whose(&parent, &child), Some(child.keeper.clone()));
    assert_eq!(points(&parent), Vec::new());
}

#[test]
fn this_program_does_not_write_another_keeper_over_a_device() {
    let (mut parent, child) = pair();
    let to = |keeper: &Id| {
        let fields = DeviceFields {
            keeper: Given::Put(keeper.clone()),
            ..Default::default()
        };
        Edit::change::<DeviceEntity>(child.device.clone(), &fields).unwrap()
    };
    let thief = parent.keeper.clone();
    match parent.try_edit(&to(&thief)) {
        Err(EditError::Refused(Refusal::KeeperStands)) => {}
        other => panic!("not refused: {other:?}"),
    }
    parent.edit(&to(&child.keeper));
    assert_eq!(whose(&parent, &child), Some(child.keeper.clone()));
}

/// What another writes over a device's key or seal, or in striking it out, changes nothing of whom it is known by: it is seen, and
/// settled by the device's own word alone. [Seen on the program before this: what was meant for one keeper was sealed to a
/// device that had been revoked, and two honest devices could no longer meet on any road.]
#[test]
fn keys_are_a_devices_own_to_say_and_no_device_is_struck_out() {
    let (mut parent, mut child) = pair();
    let id = child.device.clone();
    let keyed = |key: &str, seal: &str| DeviceFields {
        key: Given::Put(key.to_owned()),
        seal: Given::Put(seal.to_owned()),
        ..Default::default()
    };
    child.change::<DeviceEntity>(&id, keyed("child's", "child's seal"));
    meet(&mut parent, &mut child);
    let known = |on: &Device| {
        let member = members(on.record.view())
            .into_iter()
            .find(|one| one.device == id)
            .unwrap();
        (member.key.unwrap(), member.seal.unwrap())
    };
    let own = ("child's".to_owned(), "child's seal".to_owned());
    assert_eq!(known(&parent), own);
    // Twice over, so that the device's own word lies two changes back.
    parent.change::<DeviceEntity>(&id, keyed("thief's", "thief's seal"));
    parent.change::<DeviceEntity>(&id, keyed("thief's other", "thief's seal"));
    let strike = Edit::strike(record::Ref::new(Kind::Device, id.clone()), "slip");
    assert!(matches!(
        parent.try_edit(&strike),
        Err(EditError::Refused(Refusal::CannotStrike(Kind::Device)))
    ));
    // Another program does what ours refuses.
    let struck = forged(&parent, &parent, |tx, many| {
        let (_, map) = tx.get(many, id.as_str()).unwrap().unwrap();
        tx.put(&map, "struck", "slip").unwrap();
    });
    parent.take(&[(parent.record.heads()[0], struck)]);
    meet(&mut parent, &mut child);
    let found = points(&parent);
    assert_eq!(found, points(&child));
    let fields: Vec<_> = found
        .iter()
        .map(|point| point.field.as_deref().unwrap())
        .collect();
    let mut sorted = fields.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, ["key", "seal", "struck"]);
    for on in [&parent, &child] {
        assert_eq!(known(on), own);
    }
    for point in &found {
        assert_eq!(point.choices.len(), 1, "{point:?}");
        settle(&mut parent, point, &point.choices[0].key, None);
    }
    meet(&mut parent, &mut child);
    assert_eq!(points(&parent), Vec::new());
    assert_eq!(known(&parent), own);
    // The device's own next word counts at once.
    child.change::<DeviceEntity>(&id, keyed("child's new", "child's new seal"));
    meet(&mut parent, &mut child);
    assert_eq!(
        known(&parent),
        ("child's new".to_owned(), "child's new seal".to_owned())
    );
    assert_eq!(points(&parent), Vec::new());
}
