//! Two cars are shared with a member that does harm in one of them.

use std::time::{Duration, Instant};

use host::Handle;
use link::identity::{Identity, Key};
use link::net::Got;
use link::talk::{FrameCame, Hash, Hashes, Hello, Message, PhotoKey, Several, Tag};
use serde_json::{Value, json};
use tests::attending::{LONG, ask, open, pair, until};

use super::device::{Rogue, named, short};

/// A message that was heard, and about which car.
type Heard = (usize, Message);

fn in_car(side: &Handle, car: &str, name: &str, args: Value) -> Value {
    side.with(|notebook| notebook.call(Some(car), name, args))
        .unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

/// Two cars are shared with the rogue, a third with somebody else. Harm in one leaves the other talking, and of the third
/// nothing is ever said, even to one that knows its name.
#[test]
#[expect(clippy::too_many_lines, reason = "one story, told in its order")]
fn harm_in_one_record_leaves_the_other_talking_and_a_third_is_never_told_of() {
    let dir = tempfile::tempdir().unwrap();
    let (parent, child) = (
        open(&dir.path().join("parent"), 11),
        open(&dir.path().join("child"), 12),
    );
    let begin = |car: &str| {
        let id = ask(
            &parent,
            "start_record",
            json!({ "car": car, "keeper": "Rosalind" }),
        )["id"]
            .clone();
        ask(&parent, "choose_record", json!({ "record": id }));
        id.as_str().unwrap().to_owned()
    };
    let first = begin("Tern");
    let mut addresses = pair(&parent, &child, "Wilf");
    let second = begin("Wren");
    addresses.extend(pair(&parent, &child, "Wilf"));
    let third = begin("Plover");
    let ida = open(&dir.path().join("ida"), 13);
    pair(&parent, &ida, "Ida");
    // A photo of the second, which is shared with the rogue, and one of the third, which is not.
    let photo = |car: &str, number: u8| -> Hash {
        let mut image = std::io::Cursor::new(Vec::new());
        image::RgbImage::from_pixel(40, 30, image::Rgb([number, 90, 200]))
            .write_to(&mut image, image::ImageFormat::Png)
            .unwrap();
        let taken = parent.with(|parent| parent.take_photo(image.get_ref()).unwrap());
        in_car(
            &parent,
            car,
            "add_photo",
            json!({ "hash": taken.hash, "on": "2031-03-01" }),
        );
        *blake3::hash(image.get_ref()).as_bytes()
    };
    let (shared, private) = (photo(&second, 1), photo(&third, 2));
    let line = |car: &str| in_car(&parent, car, "meetings", json!({}))["devices"][0].clone();
    for car in [&first, &second, &third] {
        until("met about each", || {
            line(car)["phase"] == "live" && line(car)["alike"] == true
        });
    }
    let members = in_car(&child, &first, "members", json!({}));
    let of = |this: bool| {
        let found = members.as_array().unwrap().iter().find(|one| one["this"] == this);
        found.unwrap().clone()
    };
    let key: Key = of(false)["key"].as_str().unwrap().parse().unwrap();
    let device = of(true)["device"].as_str().unwrap().to_owned();
    child.leave();
    until("the child is gone", || {
        line(&first)["phase"] == "away" && line(&second)["phase"] == "away"
    });
    let text = std::fs::read_to_string(dir.path().join("child/device.key")).unwrap();
    let identity = Identity::from_text(&text).unwrap();
    let before: Vec<Value> = [&first, &second, &third]
        .iter()
        .map(|car| in_car(&parent, car, "digest", json!({}))["digest"].clone())
        .collect();

    let rogue = Rogue::new(&identity, &first, &device, (key, addresses));
    let names = [&first, &second, &third].map(|car| named(car));
    let tags = names.map(|name| short(&name));
    let (meeting, mut several) = rogue.begins(&names);
    let both: Vec<Tag> = several.open().into_keys().collect();
    assert!(both.len() == 2 && both.contains(&tags[0]) && both.contains(&tags[1]));
    let hello = |record: Hash| {
        let Message::Hello(hello) = rogue.hello() else {
            unreachable!()
        };
        Message::Hello(Hello { record, ..hello })
    };
    let say = |several: &Several, at: usize, message: &Message| {
        meeting
            .send(several.about(&tags[at], &message.to_bytes()).unwrap())
            .unwrap();
    };
    // A frame about the third, made as one about the second with the third's name in it.
    let mut frame = several.about(&tags[1], &hello(names[2]).to_bytes()).unwrap();
    frame[1..17].copy_from_slice(&tags[2]);
    meeting.send(frame).unwrap();
    for at in [0, 1] {
        say(&several, at, &hello(names[at]));
    }
    say(
        &several,
        0,
        &Message::Took {
            parts: 900,
            heads: Hashes(Vec::new()),
        },
    );

    let mut heard: Vec<Heard> = Vec::new();
    let mut listen = |several: &mut Several, what: &str, enough: fn(&[Heard]) -> bool| {
        let began = Instant::now();
        while !enough(&heard) {
            assert!(began.elapsed() < LONG, "{what}: {heard:?}");
            match meeting.receive(Duration::from_millis(100)) {
                Got::Frame(frame) => {
                    assert!(
                        !frame.windows(16).any(|some| some == tags[2]),
                        "the third is told of"
                    );
                    if let FrameCame::About(tag, message) = several.got(&frame).unwrap() {
                        let at = tags.iter().position(|one| *one == tag).unwrap();
                        heard.push((at, Message::from_bytes(&message).unwrap()));
                    }
                }
                Got::Nothing => {}
                Got::Gone => panic!("{what}: the host is gone: {heard:?}"),
            }
        }
        heard.clear();
    };
    listen(&mut several, "a farewell of the first", |heard| {
        heard
            .iter()
            .any(|(at, message)| *at == 0 && matches!(message, Message::Bye { .. }))
    });
    until("the first is over", || line(&first)["phase"] == "away");
    assert!(
        line(&first)["ended"].as_str().unwrap().contains("took more"),
        "{}",
        line(&first)
    );
    assert_ne!(line(&second)["phase"], "away");
    // The second talks on, and the first does when it begins anew.
    say(
        &several,
        1,
        &Message::Who {
            number: 1,
            hashes: Hashes(vec![[3; 32]]),
        },
    );
    listen(&mut several, "an answer about the second", |heard| {
        heard
            .iter()
            .any(|(at, message)| *at == 1 && matches!(message, Message::Holds { .. }))
    });
    // Photos are served of the shared record only, the small ones too.
    for small in [false, true] {
        for (hash, is_there) in [(private, false), (shared, true), ([9; 32], false)] {
            let key = PhotoKey { hash, small };
            say(&several, 1, &Message::Want { key, from: 0 });
            if is_there {
                listen(&mut several, "a photo of the second", |heard| {
                    heard
                        .iter()
                        .any(|(at, message)| *at == 1 && matches!(message, Message::Piece { .. }))
                });
            } else {
                listen(&mut several, "no photo", |heard| {
                    assert!(
                        !heard
                            .iter()
                            .any(|(_, message)| matches!(message, Message::Piece { .. })),
                        "a photo of a car that is not shared"
                    );
                    heard
                        .iter()
                        .any(|(at, message)| *at == 1 && matches!(message, Message::NoPhoto { .. }))
                });
            }
        }
    }
    meeting.send(several.anew(&tags[0]).unwrap()).unwrap();
    listen(&mut several, "the first greets anew", |heard| {
        heard
            .iter()
            .any(|(at, message)| *at == 0 && matches!(message, Message::Hello(_)))
    });
    until("the first is here again", || line(&first)["phase"] != "away");
    drop(meeting);
    until("both are away", || {
        line(&first)["phase"] == "away" && line(&second)["phase"] == "away"
    });
    let after: Vec<Value> = [&first, &second, &third]
        .iter()
        .map(|car| in_car(&parent, car, "digest", json!({}))["digest"].clone())
        .collect();
    assert_eq!(before, after);
}
