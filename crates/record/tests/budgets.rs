//! What changes may unfold to: a change has a budget of its own, so that what was made within the limit is taken in by
//! everybody, and what is written many times over for nothing is not.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod workshop;

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, ROOT, ReadDoc};
use record::{Against, Edit, Id, Kind};
use workshop::{Device, day, meet};

fn rewrite(device: &mut Device, on: &str, before: &str, after: &str) {
    let keeper = device.keeper.clone();
    device.edit(&Edit::Rewrite {
        day: day(on),
        keeper,
        before: before.to_owned(),
        after: after.to_owned(),
    });
}

#[test]
fn three_long_texts_cleared_apart_are_taken_in_together() {
    let mut phone = Device::first("phone", 61);
    let mut laptop = Device::joining("laptop", 62, &phone, None);
    let keeper = phone.keeper.clone();
    // 30,000 letters each: within what is taken out at once, and together beyond what changes may do for nothing.
    let long = "aaaaaaaaa\n".repeat(3_000);
    let days = ["2031-03-01", "2031-03-02", "2031-03-03"];
    for on in days {
        rewrite(&mut phone, on, "", &long);
    }
    meet(&mut phone, &mut laptop);
    let before = laptop.record.heads();
    for on in days {
        rewrite(&mut phone, on, &long, "");
    }
    let cleared = phone.record.changes_since(&before);
    assert_eq!(cleared.len(), 3);
    let bytes: usize = cleared.iter().map(|(_, bytes)| bytes.len()).sum();
    println!("{bytes} bytes take out 90,000 letters");
    meet(&mut phone, &mut laptop);
    for on in days {
        assert_eq!(laptop.sheet(on, &keeper), "");
    }
    // A third device that has nothing takes all of it at once.
    let mut child = Device::joining("child", 63, &phone, None);
    meet(&mut phone, &mut child);
}

#[test]
fn one_text_taken_out_many_times_over_is_not() {
    let mut phone = Device::first("phone", 64);
    let long = "aaaaaaaaa\n".repeat(3_000);
    rewrite(&mut phone, "2031-03-01", "", &long);
    let sheet: Id = format!("2031-03-01_{}", phone.keeper).parse().unwrap();
    let whole = Automerge::load(&phone.record.snapshot()).unwrap();
    let cleared: Vec<Vec<u8>> = (0..6_u8)
        .map(|number| {
            let mut doc = whole.fork().with_actor(ActorId::from([number; 16]));
            let (_, many) = doc.get(ROOT, Kind::Sheet.root()).unwrap().unwrap();
            let (_, map) = doc.get(&many, sheet.as_str()).unwrap().unwrap();
            let (_, text) = doc.get(&map, "text").unwrap().unwrap();
            let mut tx = doc.transaction();
            tx.splice_text(&text, 0, 30_000, "").unwrap();
            tx.commit_with(CommitOptions::default().with_message("cleared").with_time(0));
            doc.get_last_local_change().unwrap().raw_bytes().to_vec()
        })
        .collect();
    let written = phone.record.receive(&cleared).unwrap();
    // The first takes out what stands, two more may do so again as several people do.
    assert_eq!((written.changes.len(), written.refused.len()), (3, 3));
    assert!(
        written
            .refused
            .iter()
            .all(|one| matches!(one.why, Against::Shape(_)))
    );
}

#[test]
fn a_sheet_that_notes_made_long_is_rewritten() {
    let mut phone = Device::first("phone", 65);
    let keeper = phone.keeper.clone();
    let line = "Looked at the gearbox once more.\n";
    for _ in 0..3 {
        phone.edit(&Edit::Note {
            day: day("2031-03-01"),
            keeper: keeper.clone(),
            text: line.repeat(2_400),
        });
    }
    let before = phone.sheet("2031-03-01", &keeper);
    assert!(before.len() > 200_000);
    let after = format!("{}And the last word.\n", before.replacen("Looked", "Stared", 1));
    rewrite(&mut phone, "2031-03-01", &before, &after);
    assert_eq!(phone.sheet("2031-03-01", &keeper), after);
    // A word in the middle, and less at once than may be taken out.
    let shorter = format!("First word.\n{}", &after[50_000..]);
    rewrite(&mut phone, "2031-03-01", &after, &shorter);
    assert_eq!(phone.sheet("2031-03-01", &keeper), shorter);
    // More than a note may have is not put in at once here either.
    let flood = format!("{shorter}{}", line.repeat(6_500));
    let edit = Edit::Rewrite {
        day: day("2031-03-01"),
        keeper: keeper.clone(),
        before: shorter.clone(),
        after: flood,
    };
    assert!(phone.try_edit(&edit).is_err());
    let mut laptop = Device::joining("laptop", 66, &phone, None);
    meet(&mut phone, &mut laptop);
    assert_eq!(laptop.sheet("2031-03-01", &keeper), shorter);
}

#[test]
fn changes_that_know_nothing_of_each_other_end_somewhere() {
    let mut phone = Device::first("phone", 67);
    let beginning = record::Record::begin(workshop::seat(&mut workshop::seeded(1)))
        .unwrap()
        .snapshot();
    let whole = Automerge::load(&beginning).unwrap();
    let loose: Vec<Vec<u8>> = (0..1_500_u32)
        .map(|number| {
            let actor = [number.to_be_bytes(); 4].concat();
            let mut doc = whole.fork().with_actor(ActorId::from(actor));
            let (_, car) = doc.get(ROOT, "car").unwrap().unwrap();
            let (_, car) = doc.get(&car, "car").unwrap().unwrap();
            let mut tx = doc.transaction();
            tx.put(&car, "colour", i64::from(number)).unwrap();
            tx.commit();
            doc.get_last_local_change().unwrap().raw_bytes().to_vec()
        })
        .collect();
    let written = phone.record.receive(&loose).unwrap();
    println!(
        "{} taken in, {} refused",
        written.changes.len(),
        written.refused.len()
    );
    // What a carry file's first page takes: 64 KiB for all heads, of 67 bytes each.
    assert!(
        phone.record.heads().len() * 67 < 60_000,
        "{} heads",
        phone.record.heads().len()
    );
    // An edit ties them together, and the next ones come.
    phone.edit(&Edit::Note {
        day: day("2031-03-01"),
        keeper: phone.keeper.clone(),
        text: "and on it goes".to_owned(),
    });
    assert_eq!(phone.record.heads().len(), 1);
    assert!(!phone.record.receive(&loose).unwrap().changes.is_empty());
}
