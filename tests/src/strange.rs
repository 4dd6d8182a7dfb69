//! Changes as another program could make them: well-formed, and anything but what this project would write. They come from
//! Automerge itself, used on the same document without care, and are altered afterwards in what a change says of itself
//! and in what its operations name. Every choice comes from a seed; nothing in here knows what the project refuses.

use automerge::legacy::{ElementId, Key, ObjectId, Op, OpId, OpType};
use automerge::marks::{ExpandMark, Mark};
use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{
    ActorId, Automerge, Change, ChangeHash, ExpandedChange, ObjId, ObjType, ROOT, ReadDoc, ScalarValue,
};
use record::Kind;
use record::entities::fields_of;

use crate::seed::Dice;

/// Another program's document, and those whose name it may write under.
#[derive(Debug)]
pub struct Stranger {
    doc: Automerge,
    devices: Vec<[u8; 16]>,
}

impl Stranger {
    /// One that has these changes.
    ///
    /// # Panics
    /// Where Automerge does not take them.
    #[must_use]
    pub fn having(changes: &[Vec<u8>], beginning: &[u8], devices: Vec<[u8; 16]>) -> Self {
        let mut doc = Automerge::load(beginning).unwrap();
        for few in changes.chunks(32) {
            doc.load_incremental(&few.concat()).unwrap();
        }
        Self { doc, devices }
    }

    /// Takes further changes over.
    ///
    /// # Panics
    /// Where Automerge does not take them.
    pub fn takes(&mut self, changes: &[Vec<u8>]) {
        for few in changes.chunks(32) {
            self.doc.load_incremental(&few.concat()).unwrap();
        }
    }

    /// A few changes, some of which stand on each other.
    #[must_use]
    pub fn writes(&self, dice: &mut Dice) -> Vec<Vec<u8>> {
        let mut doc = self.doc.fork().with_actor(self.actor(dice));
        let mut made: Vec<ExpandedChange> = Vec::new();
        for _ in 0..=dice.below(3) {
            let mut tx = doc.transaction();
            for _ in 0..=dice.below(3) {
                stroke(&mut tx, dice);
            }
            let words = ["by another program", "", "\u{202e}turned\u{200b}", "a\nb\0c"];
            let message = if dice.chance(3) {
                "long ".repeat(20_000)
            } else {
                (*dice.pick(&words)).to_owned()
            };
            tx.commit_with(
                CommitOptions::default()
                    .with_message(message)
                    .with_time(1_900_000_000),
            );
            made.extend(doc.get_last_local_change().map(|change| change.decode()));
            if dice.chance(20) {
                doc.set_actor(self.actor(dice));
            }
        }
        let heads = self.doc.get_heads();
        let mut out = Vec::new();
        for mut change in made {
            while dice.chance(12) {
                alter(&mut change, &heads, dice);
            }
            out.push(Change::from(change).raw_bytes().to_vec());
        }
        if dice.chance(10) {
            out.reverse();
        }
        out
    }

    fn actor(&self, dice: &mut Dice) -> ActorId {
        match dice.below(40) {
            0 => ActorId::from(dice.bytes()[..12].to_vec()),
            1 => ActorId::from(format!("kinds {}", dice.below(5)).into_bytes()),
            2 => ActorId::from(b"genesis".to_vec()),
            3 => ActorId::from(dice.bytes()[..1].to_vec()),
            4 => ActorId::from(dice.bytes().repeat(5)),
            5..25 => ActorId::from(dice.bytes()),
            _ => {
                let device = *dice.pick(&self.devices);
                ActorId::from([&device[..], &dice.bytes()[..8]].concat())
            }
        }
    }
}

/// Objects that are there, with the keys of maps.
fn objects(tx: &Transaction<'_>, dice: &mut Dice) -> (ObjId, Option<String>) {
    let roots: Vec<String> = tx.keys(ROOT).collect();
    let root = dice.pick(&roots).clone();
    let mut at = ROOT;
    let mut key = Some(root);
    // Down from the root, and seldom not to the end.
    while let Some(inner) = key
        .as_ref()
        .and_then(|key| tx.get(&at, key.as_str()).ok().flatten())
        && inner.0.is_object()
        && !dice.chance(4)
    {
        at = inner.1;
        let keys: Vec<String> = match tx.object_type(&at) {
            Ok(ObjType::Map | ObjType::Table) => tx.keys(&at).collect(),
            _ => Vec::new(),
        };
        key = dice.one(&keys).cloned();
        if key.is_none() {
            break;
        }
    }
    (at, key)
}

fn stroke(tx: &mut Transaction<'_>, dice: &mut Dice) {
    let (object, key) = objects(tx, dice);
    let is_map = matches!(tx.object_type(&object), Ok(ObjType::Map | ObjType::Table));
    if !is_map {
        return in_sequence(tx, &object, dice);
    }
    match dice.below(24) {
        0..8 => make_entry(tx, dice),
        8..20 => {
            let key = field(tx, &object, key, dice);
            let _ = tx.put(&object, key, value(tx, dice));
        }
        20 => {
            if let Some(key) = key {
                let _ = tx.delete(&object, key);
            }
        }
        21 => {
            let is = *dice.pick(&[ObjType::Map, ObjType::List, ObjType::Text, ObjType::Text]);
            let key = field(tx, &object, key, dice);
            if let Ok(mut inner) = tx.put_object(&object, key, is)
                && is == ObjType::Map
            {
                for _ in 0..dice.below(20) {
                    let Ok(next) = tx.put_object(&inner, "deeper", ObjType::Map) else {
                        break;
                    };
                    inner = next;
                }
            }
        }
        22 => {
            let key = field(tx, &object, key, dice);
            if tx.put(&object, key.as_str(), ScalarValue::counter(1)).is_ok() {
                let _ = tx.increment(&object, key, i64::from(dice.number()));
            }
        }
        _ => {
            let key = (*dice.pick(&["schema", "parts", "car", "odd", "sheets"])).to_owned();
            let _ = tx.put(ROOT, key, value(tx, dice));
        }
    }
}

fn in_sequence(tx: &mut Transaction<'_>, object: &ObjId, dice: &mut Dice) {
    let length = tx.length(object);
    match dice.below(8) {
        0..4 => {
            let words = ["Head off.\n", "🔧", "", "\u{202e}\u{0}", "ein größerer Rest "];
            let out = isize::try_from(dice.below(length.min(20) + 1)).unwrap();
            let at = dice.below(length + 1).saturating_sub(out.unsigned_abs());
            let word = *dice.pick(&words);
            let _ = tx.splice_text(object, at, out, word);
        }
        4 => {
            let at = dice.below(length + 1);
            let _ = tx.insert(object, at, value(tx, dice));
        }
        5 => {
            let _ = tx.insert_object(object, dice.below(length + 1), ObjType::Map);
        }
        6 if length > 1 => {
            let name = (*dice.pick(&["bold", "", "a mark of a name that is long"])).to_owned();
            let (from, to) = (dice.below(length), dice.below(length + 1));
            let mark = Mark::new(name, value(tx, dice), from.min(to), from.max(to));
            let _ = tx.mark(object, mark, ExpandMark::Both);
        }
        _ if length > 0 => {
            let at = dice.below(length);
            let _ = tx.put(object, at, value(tx, dice));
        }
        _ => {}
    }
}

/// A key of a map: one that is there, a field of some kind, a set's, or none of ours.
fn field(tx: &Transaction<'_>, object: &ObjId, there: Option<String>, dice: &mut Dice) -> String {
    let kind = *dice.pick(Kind::ALL);
    let of_kind = dice.pick(fields_of(kind)).name;
    match dice.below(8) {
        0..3 => there.unwrap_or_else(|| of_kind.to_owned()),
        3..6 => of_kind.to_owned(),
        6 => format!("{of_kind}:{}", id(tx, kind, dice)),
        _ => {
            let odd = ["struck", "", "a b", "made", "__proto__", "kind", "id", "note:"];
            let _ = object;
            (*dice.pick(&odd)).to_owned()
        }
    }
}

fn id(tx: &Transaction<'_>, kind: Kind, dice: &mut Dice) -> String {
    let known: Vec<String> = match tx.get(ROOT, kind.root()) {
        Ok(Some((value, many))) if value.is_object() => tx.keys(&many).collect(),
        _ => Vec::new(),
    };
    match dice.below(6) {
        0 => dice.uuid().to_string(),
        1 => (*dice.pick(&["car", "x", "2031-03-01_x", "a b", "../../etc"])).to_owned(),
        _ => dice
            .one(&known)
            .cloned()
            .unwrap_or_else(|| dice.uuid().to_string()),
    }
}

/// An entry of some kind with values of any sort, some of which name it itself.
fn make_entry(tx: &mut Transaction<'_>, dice: &mut Dice) {
    let kind = *dice.pick(Kind::ALL);
    let Ok(Some((many_is, many))) = tx.get(ROOT, kind.root()) else {
        return;
    };
    if !many_is.is_object() {
        return;
    }
    let name = if dice.chance(85) {
        dice.uuid().to_string()
    } else {
        id(tx, kind, dice)
    };
    let Ok(entry) = tx.put_object(&many, name.as_str(), ObjType::Map) else {
        return;
    };
    for def in fields_of(kind) {
        match dice.below(6) {
            0 => {}
            1 => {
                if let Ok(text) = tx.put_object(&entry, def.name, ObjType::Text) {
                    let _ = tx.splice_text(&text, 0, 0, "written elsewhere\n");
                }
            }
            2 => {
                let own = [name.clone(), format!("{kind}:{name}")];
                let _ = tx.put(&entry, def.name, dice.pick(&own).as_str());
            }
            3 => {
                let _ = tx.put(&entry, format!("{}:{name}", def.name), true);
            }
            _ => {
                let _ = tx.put(&entry, def.name, value(tx, dice));
            }
        }
    }
}

/// A value of any sort, often one that some field would understand.
fn value(tx: &Transaction<'_>, dice: &mut Dice) -> ScalarValue {
    let kind = *dice.pick(Kind::ALL);
    match dice.below(16) {
        0 => ScalarValue::Null,
        1 => ScalarValue::Boolean(dice.chance(50)),
        2 => ScalarValue::Int(*dice.pick(&[0, 1, -1, 7, i64::MAX, i64::MIN, 1 << 31])),
        3 => ScalarValue::Uint(*dice.pick(&[0, 3, u64::MAX])),
        4 => ScalarValue::F64(*dice.pick(&[0.5, -0.0, 1e300, f64::NAN, f64::INFINITY, 3.0])),
        5 => ScalarValue::Bytes(dice.bytes().to_vec()),
        6 => ScalarValue::Timestamp(*dice.pick(&[0, i64::MAX, i64::MIN])),
        7 => ScalarValue::counter(i64::MAX),
        8..11 => ScalarValue::Str(format!("{kind}:{}", id(tx, kind, dice)).into()),
        11..13 => ScalarValue::Str(id(tx, kind, dice).into()),
        13 => {
            let long = [
                "9".repeat(70_000),
                "B14".to_owned(),
                format!("B{}", u64::MAX),
                "ä".repeat(300),
            ];
            ScalarValue::Str(dice.pick(&long).as_str().into())
        }
        _ => {
            let known = [
                "open",
                "done",
                "met",
                "closed",
                "apart",
                "0.05 mm",
                "0.21, 0.22 mm",
                "1, 2; 3",
                "12.50 EUR",
                "9999-12-31",
                "0000-01-01",
                "2031-02-30",
                "24",
                "-1e9",
                "99999999999999999999 mm",
                "",
                "\u{0}",
                "in_limits",
                "replace",
                "1 2 3 4",
                "25 Nm",
                "M8",
                "360",
                "8,8,8",
                "kN",
                "0.000000001 mm",
            ];
            ScalarValue::Str((*dice.pick(&known)).into())
        }
    }
}

fn any_op(change: &ExpandedChange, dice: &mut Dice) -> OpId {
    let mut known = vec![OpId(u64::from(dice.number()), change.actor_id.clone())];
    for op in &change.operations {
        if let ObjectId::Id(id) = &op.obj {
            known.push(id.clone());
        }
        if let Key::Seq(ElementId::Id(id)) = &op.key {
            known.push(id.clone());
        }
        known.extend(op.pred.iter().cloned());
    }
    let own = change.start_op.get() + dice.below(change.operations.len() + 1) as u64;
    known.push(OpId(own, change.actor_id.clone()));
    known.push(OpId(1 + dice.below(30) as u64, ActorId::from(b"genesis")));
    known.push(OpId(1, ActorId::from(dice.bytes())));
    dice.pick(&known).clone()
}

/// Alters what a change says of itself, or one of its operations.
fn alter(change: &mut ExpandedChange, heads: &[ChangeHash], dice: &mut Dice) {
    let start = change.start_op.get();
    match dice.below(10) {
        0 => {
            let others = [
                1,
                start + 1,
                start.saturating_sub(1).max(1),
                1 << 29,
                1 << 31,
                (1 << 32) - 100,
                1 << 32,
            ];
            change.start_op = (*dice.pick(&others)).try_into().unwrap();
        }
        1 => change.seq = *dice.pick(&[0, 1, 2, change.seq.saturating_add(1), u64::MAX, 1 << 32]),
        2 => {
            let invented = ChangeHash([7; 32]);
            change.deps = match dice.below(4) {
                0 => Vec::new(),
                1 => heads.to_vec(),
                2 => vec![invented],
                _ => change.deps.iter().chain(heads).copied().collect(),
            };
        }
        3 if dice.chance(50) => change.extra_bytes = vec![1, 2, 3],
        3 => change.time = *dice.pick(&[0, i64::MAX, i64::MIN, -1, 1 << 41, -(1 << 39)]),
        4 => change.operations.clear(),
        _ => {
            let other = any_op(change, dice);
            let count = change.operations.len();
            let at = dice.below(count);
            let Some(op) = change.operations.get_mut(at) else {
                return;
            };
            alter_op(op, other, dice);
            if dice.chance(10) {
                let twice = op.clone();
                change.operations.push(twice);
            }
            if dice.chance(10) {
                change.operations.reverse();
            }
        }
    }
}

fn alter_op(op: &mut Op, other: OpId, dice: &mut Dice) {
    match dice.below(7) {
        0 => op.obj = ObjectId::Id(other),
        1 => op.obj = ObjectId::Root,
        2 => op.key = Key::Map("a key".into()),
        3 => {
            op.key = if dice.chance(20) {
                Key::head()
            } else {
                Key::Seq(ElementId::Id(other))
            };
        }
        4 => op.insert = !op.insert,
        5 => {
            op.pred = match dice.below(3) {
                0 => Vec::new(),
                1 => vec![other],
                _ => op.pred.iter().cloned().chain([other]).collect(),
            }
            .into();
        }
        _ => {
            let actions = [
                OpType::Delete,
                OpType::Increment(i64::MAX),
                OpType::Make(ObjType::Map),
                OpType::Make(ObjType::Table),
                OpType::Make(ObjType::Text),
                OpType::MarkEnd(true),
                OpType::Put(ScalarValue::Str("x".into())),
                OpType::Put(ScalarValue::counter(0)),
            ];
            op.action = dice.pick(&actions).clone();
        }
    }
}
