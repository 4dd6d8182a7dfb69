//! What a member that does harm says: in a conversation, before it, and in vain.

use link::talk::{Bytes, Digest, Hash, Hashes, Hello, Message, PART_OPEN, PhotoKey, Several, Why};
use tests::forge::{Made, chunk, deflated, packed_chunk};

use super::device::{Rogue, short};

pub(crate) fn part(open: &[u8]) -> Message {
    Message::Changes {
        number: 1,
        ends: 0,
        left: 0,
        open: u32::try_from(open.len()).unwrap(),
        packed: false,
        part: Bytes(open.to_vec()),
    }
}

/// Changes as the stream has them.
fn stream(changes: &[Vec<u8>]) -> Message {
    let mut open = Vec::new();
    for change in changes {
        open.extend(u32::try_from(change.len()).unwrap().to_le_bytes());
        open.extend(change);
    }
    assert!(open.len() <= PART_OPEN);
    part(&open)
}

fn made(rows: u64) -> Made {
    Made {
        deps: Vec::new(),
        actor: vec![9; 16],
        seq: 1,
        start: 1,
        message: Vec::new(),
        rows,
        action: 1,
    }
}

/// What is said after the greeting, and words of the reason that the host's keeper reads.
#[expect(clippy::too_many_lines, reason = "the harms, one by one")]
pub(crate) fn harms(rogue: &Rogue) -> Vec<(&'static str, Vec<Message>, &'static str)> {
    let after = |messages: Vec<Message>| {
        let mut all = vec![rogue.hello()];
        all.extend(messages);
        all
    };
    let greeting = |change: fn(&mut Hello)| {
        let Message::Hello(mut hello) = rogue.hello() else {
            unreachable!()
        };
        change(&mut hello);
        vec![Message::Hello(hello)]
    };
    vec![
        (
            "another record",
            greeting(|hello| hello.record = [1; 32]),
            "record",
        ),
        (
            "a later version",
            greeting(|hello| hello.version = 9_999),
            "version",
        ),
        (
            "another device than its key's",
            greeting(|hello| hello.device = "019c0000-0000-7000-8000-000000000000".to_owned()),
            "another device",
        ),
        (
            "two greetings that differ",
            after(vec![
                greeting(|hello| hello.device = "019c0000-0000-7000-8000-000000000000".to_owned()).remove(0),
            ]),
            "",
        ),
        (
            "parts answered that never were sent",
            after(vec![Message::Took {
                parts: 900,
                heads: Hashes(Vec::new()),
            }]),
            "",
        ),
        (
            "a part that opens to less than it says",
            after(vec![Message::Changes {
                number: 1,
                ends: 0,
                left: 0,
                open: 200_000,
                packed: true,
                part: Bytes(deflated(&vec![0; 150_000])),
            }]),
            "",
        ),
        (
            "a part that opens to a gigabyte",
            after(vec![Message::Changes {
                number: 1,
                ends: 0,
                left: 0,
                open: u32::MAX,
                packed: true,
                part: Bytes(deflated(&vec![0; 64 << 20])),
            }]),
            "",
        ),
        (
            "a change that is nonsense",
            after(vec![stream(&[vec![0xab; 400]])]),
            "",
        ),
        (
            "a change that claims a billion operations",
            after(vec![stream(&[chunk(&made(1_000_000_000).body())])]),
            "",
        ),
        (
            "a change that inflates to four megabytes",
            after(vec![stream(&[packed_chunk(
                &Made {
                    message: vec![b'm'; 4_300_000],
                    ..made(1)
                }
                .body(),
            )])]),
            "",
        ),
        (
            "a change that builds on what nobody has",
            after(vec![stream(&[chunk(
                &Made {
                    deps: vec![[5; 32]],
                    ..made(1)
                }
                .body(),
            )])]),
            "",
        ),
    ]
}

/// What is said instead of a greeting or after it, and words of the reason that the host's keeper reads.
pub(crate) fn blurted(rogue: &Rogue) -> Vec<(&'static str, Vec<Vec<u8>>, &'static str)> {
    let list = |records: &[Hash]| {
        let mut several = Several::default();
        several.share(&records.iter().map(short).collect()).unwrap()
    };
    let ours = list(&[rogue.record]);
    let mut half = ours.clone();
    half[2] -= 1;
    half.pop();
    let mut later = ours.clone();
    later[1] = 99;
    let mut older = ours.clone();
    older[1] = 1;
    let mut again = vec![ours.clone()];
    let mut several = Several::default();
    again.extend(several.share(&[short(&rogue.record)].into()));
    for _ in 0..200 {
        again.extend(several.anew(&short(&rogue.record)));
    }
    vec![
        ("a list of another record", vec![list(&[[1; 32]])], "record"),
        ("a list of a later version", vec![later], "newer"),
        ("a list of an older version", vec![older], "older"),
        ("half a record", vec![half], "half a record"),
        ("a message before any list", vec![vec![1; 40]], "does not greet"),
        (
            "nonsense instead of a list",
            vec![vec![0xff; 5_000]],
            "cannot be read",
        ),
        (
            "nonsense after a list",
            vec![ours.clone(), vec![0xff; 5_000]],
            "cannot be read",
        ),
        ("beginnings without end", again, "again and again"),
        (
            "a farewell",
            vec![ours, Several::bye(&Why::Garbled(String::new()))],
            "could not read",
        ),
    ]
}

/// What is said in vain: nobody asked for it, and nothing follows from it.
pub(crate) fn vain() -> Vec<(&'static str, Message)> {
    let key = PhotoKey {
        hash: [3; 32],
        small: false,
    };
    vec![
        (
            "a photo that nobody wants",
            Message::Piece {
                key,
                offset: 0,
                total: 40,
                bytes: Bytes(vec![1; 40]),
            },
        ),
        (
            "a comparison of what never went",
            Message::Compare {
                sent: 77,
                taken: 99,
                digest: Digest::default(),
            },
        ),
        ("a photo that is nowhere", Message::Want { key, from: u64::MAX }),
    ]
}
