//! Properties over random contents, random damage and random bytes. A failure prints its seed and the smallest case.

use link::carry::{CarryError, Hash, Head, Writer};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::forge::{Forge, deflated, hash, small, taken, written};

/// Bytes that pack well or not at all.
fn bytes(length: std::ops::Range<usize>) -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        vec(any::<u8>(), length.clone()),
        (any::<u8>(), length).prop_map(|(b, n)| vec![b; n])
    ]
}

fn changes() -> impl Strategy<Value = Vec<(Hash, Vec<u8>)>> {
    let small = vec((any::<Hash>(), bytes(1..400)), 0..30);
    let large = vec((any::<Hash>(), bytes(1..300_000)), 0..4);
    prop_oneof![3 => small, 1 => large]
}

fn heads() -> impl Strategy<Value = Head> {
    let hex = || {
        vec(
            any::<Hash>().prop_map(|h| h.iter().map(|b| format!("{b:02x}")).collect::<String>()),
            0..5,
        )
    };
    (any::<[String; 6]>(), hex(), hex(), any::<bool>(), any::<u32>()).prop_map(
        |(text, heads, base, whole, schema)| {
            let [record, car, device, keeper, keeper_name, sent] = text;
            let base = if whole { Vec::new() } else { base };
            Head {
                record,
                car,
                device,
                keeper,
                keeper_name,
                sent,
                heads,
                whole,
                base,
                schema,
                ..Head::default()
            }
        },
    )
}

fn frames() -> impl Strategy<Value = Vec<u8>> {
    let letter = prop_oneof![
        Just(b'C'),
        Just(b'P'),
        Just(b'B'),
        Just(b'H'),
        Just(b'E'),
        any::<u8>()
    ];
    let payload = prop_oneof![
        vec(any::<u8>(), 0..80),
        vec(any::<u8>(), 40),
        // A slice of entries that are nearly right.
        (
            vec((any::<Hash>(), 0..50_u32, vec(any::<u8>(), 0..50)), 0..6),
            any::<bool>(),
            -1..2_i64
        )
            .prop_map(|(entries, pack, off)| {
                let open: Vec<u8> = entries
                    .iter()
                    .flat_map(|(hash, says, bytes)| crate::forge::entry(hash, *says, bytes))
                    .collect();
                let says = (open.len() as i64 + off).max(0) as u32;
                let packed = if pack { deflated(&open) } else { open };
                [vec![u8::from(pack)], says.to_le_bytes().to_vec(), packed].concat()
            }),
    ];
    (vec((letter, payload), 0..8), 0..4_usize, 0..3_usize).prop_map(|(frames, changes, photos)| {
        let mut forge = Forge::new(changes, photos);
        for (letter, payload) in frames {
            forge = forge.frame(letter, &payload);
        }
        forge.end([changes as u64, photos as u64, 0, 0])
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn what_goes_in_comes_out(head in heads(), changes in changes(), photos in vec(bytes(0..5000), 0..4)) {
        let head = Head { changes: changes.len() as u64, photos: photos.len() as u64, ..head };
        let mut writer = Writer::new(Vec::new(), head.clone()).unwrap();
        for (hash, bytes) in &changes {
            writer.change(hash, bytes).unwrap();
        }
        for photo in &photos {
            writer.photo(&hash(photo), photo.len() as u64, &mut photo.as_slice()).unwrap();
        }
        let (file, wrote) = writer.finish().unwrap();
        let (contents, kept) = taken(&file).unwrap();
        prop_assert_eq!(contents, wrote);
        prop_assert_eq!(kept.head, Some(head));
        prop_assert!(kept.changes == changes);
        let photos: Vec<_> = photos.into_iter().map(|p| (hash(&p), p.len() as u64, p)).collect();
        prop_assert!(kept.photos == photos);
    }

    #[test]
    fn damage_is_refused(
        changes in vec((any::<Hash>(), bytes(1..200)), 0..8),
        hits in vec((any::<prop::sample::Index>(), 1..=255_u8), 1..6),
    ) {
        let whole = written(&changes, &[]);
        let mut file = whole.clone();
        for (at, by) in hits {
            let at = at.index(file.len());
            file[at] ^= by;
        }
        prop_assume!(file != whole);
        prop_assert!(taken(&file).is_err());
    }

    #[test]
    fn any_bytes_are_refused(start in 0..3_usize, bytes in vec(any::<u8>(), 0..3000)) {
        // From nothing, after a right front, and after half of a right file.
        let whole = small();
        let mut file = match start {
            0 => Vec::new(),
            1 => whole[..16].to_vec(),
            _ => whole[..whole.len() / 2].to_vec(),
        };
        file.extend(bytes);
        prop_assert!(taken(&file).is_err());
    }

    #[test]
    fn any_frames_with_a_right_hash_end_in_an_answer(file in frames()) {
        match taken(&file) {
            // What is taken keeps every promise that was checked.
            Ok((contents, kept)) => {
                prop_assert_eq!(contents.changes, kept.changes.len() as u64);
                prop_assert_eq!(contents.head.changes, contents.changes);
            }
            // It begins as it should and the memory it lies in does not fail.
            Err(
                error @ (CarryError::Io(_)
                | CarryError::Empty
                | CarryError::Foreign
                | CarryError::Newer { .. }
                | CarryError::Sealed { .. }
                | CarryError::Unopened),
            ) => prop_assert!(false, "{error:?}"),
            Err(_) => {}
        }
    }
}
