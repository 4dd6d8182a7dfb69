//! Files made to hurt: each has a right BLAKE3, so each fault is its maker's and is named as such.

use link::carry::{CarryBound, CarryError, Limits, SLICE_MAX, SWELL_MAX};

use crate::forge::{Forge, deflated, deflated_to, entry, hash, head, taken};

#[track_caller]
fn refused(file: Vec<u8>, fits: fn(&CarryError) -> bool) {
    let got = taken(&file).map(|(contents, _)| contents);
    match got {
        Err(error) if fits(&error) => {}
        other => panic!("{other:?}"),
    }
}

fn malformed(error: &CarryError) -> bool {
    matches!(error, CarryError::Malformed { .. })
}

#[test]
fn giant_lengths_are_not_believed() {
    // A frame of 4 GiB; a slice of 4 GiB; a change of 4 GiB; a photo of 16 EiB; a head longer than any.
    refused(
        Forge::new(1, 0).lying(b'C', u32::MAX, b"\0").end([1, 0, 1, 0]),
        malformed,
    );
    refused(
        Forge::new(1, 0)
            .slice(1, u32::MAX, &deflated(&[0; 100]))
            .end([1, 0, 1, 0]),
        malformed,
    );
    refused(
        Forge::new(1, 0).slice(0, u32::MAX, &[0; 100]).end([1, 0, 1, 0]),
        malformed,
    );
    refused(
        Forge::new(1, 0)
            .plain(&entry(&[0; 32], u32::MAX, b"x"))
            .end([1, 0, 1, 0]),
        |e| {
            matches!(
                e,
                CarryError::TooLarge {
                    what: CarryBound::Change,
                    ..
                }
            )
        },
    );
    refused(
        Forge::new(0, 1).photo([0; 32], u64::MAX).end([0, 1, 0, u64::MAX]),
        |e| {
            matches!(
                e,
                CarryError::TooLarge {
                    what: CarryBound::Photo,
                    ..
                }
            )
        },
    );
    let long = vec![b' '; 65 * 1024];
    refused(
        Forge::fronted(1, 0, 0, 0, [0; 3]).frame(b'H', &long).end([0; 4]),
        |e| {
            matches!(
                e,
                CarryError::TooLarge {
                    what: CarryBound::Head,
                    ..
                }
            )
        },
    );
}

#[test]
fn a_slice_opens_to_what_it_says_and_no_more() {
    let list = entry(&[0; 32], 1000, &crate::forge::noise("n", 1000));
    let packed = deflated(&list);
    let right = list.len() as u32;
    assert!(taken(&Forge::new(1, 0).slice(1, right, &packed).end([1, 0, 1000, 0])).is_ok());
    for says in [0, 1, right - 1, right + 1, SLICE_MAX as u32 + 1] {
        refused(
            Forge::new(1, 0).slice(1, says, &packed).end([1, 0, 1000, 0]),
            malformed,
        );
        refused(
            Forge::new(1, 0).slice(0, says, &list).end([1, 0, 1000, 0]),
            malformed,
        );
    }
    refused(
        Forge::new(1, 0).slice(2, right, &packed).end([1, 0, 1000, 0]),
        malformed,
    );
    refused(
        Forge::new(1, 0)
            .slice(1, right, &packed[..packed.len() - 1])
            .end([1, 0, 1000, 0]),
        malformed,
    );
    refused(
        Forge::new(1, 0)
            .slice(1, right, &[packed, vec![0]].concat())
            .end([1, 0, 1000, 0]),
        malformed,
    );
    for short in 0..5 {
        refused(
            Forge::new(1, 0)
                .frame(b'C', &[0, 1, 0, 0, 0][..short])
                .end([1, 0, 1000, 0]),
            malformed,
        );
    }
}

#[test]
fn a_slice_that_swells_is_refused() {
    let list = entry(&[0; 32], (SLICE_MAX - 36) as u32, &vec![0; SLICE_MAX - 36]);
    let counts = [1, 0, (SLICE_MAX - 36) as u64, 0];
    refused(Forge::new(1, 0).packed(&list).end(counts), |e| {
        matches!(e, CarryError::Swells)
    });
    // Just at what is believed, and just beyond.
    let edge = SLICE_MAX / SWELL_MAX;
    let at = deflated_to(&list, edge + 5);
    assert!(at.len() >= edge);
    assert!(taken(&Forge::new(1, 0).slice(1, SLICE_MAX as u32, &at).end(counts)).is_ok());
    let beyond = deflated_to(&list, edge - 10);
    assert!(beyond.len() < edge);
    refused(
        Forge::new(1, 0).slice(1, SLICE_MAX as u32, &beyond).end(counts),
        |e| matches!(e, CarryError::Swells),
    );
}

#[test]
fn all_changes_together_stay_in_the_budget() {
    // 60 changes of 1 MiB, plain: each in its limit, their sum beyond.
    let change = vec![7; 1 << 20];
    let mut list = Vec::new();
    for _ in 0..60 {
        list.extend(entry(&[0; 32], 1 << 20, &change));
    }
    let mut forge = Forge::new(60, 0);
    for slice in list.chunks(SLICE_MAX) {
        forge = forge.plain(slice);
    }
    refused(
        forge.end([60, 0, 60 << 20, 0]),
        |e| matches!(e, CarryError::TooLarge { what: CarryBound::Changes, limit } if *limit == Limits::default().changes),
    );
}

#[test]
fn parts_out_of_order_are_refused() {
    let list = entry(&hash(b"x"), 1, b"x");
    let (photo, counts) = (hash(b"p"), [1, 1, 1, 1]);
    let right = || {
        Forge::new(1, 1)
            .plain(&list)
            .photo(photo, 1)
            .frame(b'B', b"p")
            .end(counts)
    };
    assert!(taken(&right()).is_ok());
    let start = || Forge::new(1, 1);
    let head = serde_json::to_vec(&head(1, 1)).unwrap();
    refused(
        start().photo(photo, 1).frame(b'B', b"p").plain(&list).end(counts),
        malformed,
    );
    refused(start().plain(&list).frame(b'B', b"p").end(counts), malformed);
    refused(start().plain(&list).photo(photo, 1).end(counts), malformed);
    refused(
        start()
            .plain(&list)
            .photo(photo, 1)
            .frame(b'B', b"")
            .frame(b'B', b"p")
            .end(counts),
        malformed,
    );
    refused(
        start()
            .plain(&list)
            .photo(photo, 1)
            .frame(b'B', b"pp")
            .end(counts),
        malformed,
    );
    refused(
        start()
            .plain(&list)
            .photo(photo, 1)
            .frame(b'B', b"p")
            .frame(b'B', b"p")
            .end(counts),
        malformed,
    );
    refused(
        start()
            .frame(b'H', &head)
            .plain(&list)
            .photo(photo, 1)
            .frame(b'B', b"p")
            .end(counts),
        malformed,
    );
    refused(
        Forge::fronted(1, 0, 0, 0, [0; 3]).plain(&list).end(counts),
        malformed,
    );
    refused(start().frame(b'P', &[0; 39]).end(counts), malformed);
    refused(start().frame(b'E', &[0; 63]).end(counts), malformed);
    refused(start().frame(b'Q', b"?").end(counts), |e| {
        matches!(e, CarryError::UnknownPart { letter: b'Q' })
    });
    refused(start().frame(0xFF, b"?").end(counts), |e| {
        matches!(e, CarryError::UnknownPart { .. })
    });
    refused(
        start().plain(&list).photo(photo, 1).frame(b'B', b"q").end(counts),
        |e| matches!(e, CarryError::WrongPhoto),
    );
    refused(start().plain(&entry(&[0; 32], 0, b"")).end(counts), malformed);
    refused(Forge::new(1, 0).plain(&list[..36]).end([1, 0, 1, 0]), malformed);
    refused(
        Forge::new(1, 0).plain(&list).plain(&list[..5]).end([1, 0, 1, 0]),
        malformed,
    );
}

#[test]
fn counts_are_compared() {
    let list = entry(&hash(b"x"), 1, b"x");
    for (changes, counts) in [
        (2, [1, 0, 1, 0]),
        (1, [2, 0, 1, 0]),
        (1, [1, 1, 1, 0]),
        (1, [1, 0, 2, 0]),
        (1, [1, 0, 1, 9]),
    ] {
        refused(Forge::new(changes, 0).plain(&list).end(counts), |e| {
            matches!(e, CarryError::CountsDiffer)
        });
    }
}

#[test]
fn heads_that_cannot_be_are_refused() {
    let with = |head: &[u8]| Forge::fronted(1, 0, 0, 0, [0; 3]).frame(b'H', head).end([0; 4]);
    let good = serde_json::to_string(&head(0, 0)).unwrap();
    assert!(taken(&with(good.as_bytes())).is_ok());
    for bad in [
        "",
        "null",
        "[]",
        "{}",
        "{\"record\":1}",
        &good[1..],
        &format!("{good} x"),
        &"[".repeat(60_000),
    ] {
        refused(with(bad.as_bytes()), malformed);
    }
    refused(with(good.replace("a1a1", "zzzz").as_bytes()), malformed);
    refused(
        with(
            good.replace("\"base\":[]", &format!("\"base\":[\"{}\"]", "0f".repeat(32)))
                .as_bytes(),
        ),
        malformed,
    );
    refused(
        with(good.replace("\"changes\":0", "\"changes\":-1").as_bytes()),
        malformed,
    );
    refused(with(&[good.as_bytes(), b"\xFF"].concat()), malformed);
}
