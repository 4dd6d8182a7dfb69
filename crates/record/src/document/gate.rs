//! The gate of meaning: what a change from outside does, judged before the document sees it. A well-formed change of
//! another program can number its operations so that nobody can ever write again, delete what others wrote, put another
//! map over all parts, or name what is not there, at which Automerge fails. What no honest writer makes is refused
//! here, each change by itself, with the reason; what does not stand on it comes in.
//!
//! It never mends a change and never guesses what was meant. The own log does not come through here.

use std::collections::{BTreeMap, HashMap, HashSet};

use automerge::legacy::{ElementId, Key, ObjectId, Op, OpId, OpType};
use automerge::{ActorId, Automerge, Change, ExpandedChange, ObjId, ObjType, ROOT, ReadDoc, ScalarValue};

use super::against::{Against, Refused};
use super::bad::BadRecord;
use super::guard::Chunk;
use super::named::change_id;
use super::ops::{Made, names};
use super::record::Record;
use super::seat::Seat;
use super::{alone, genesis, later, month};
use crate::entities::field_of;
use crate::field::Shape;
use crate::hash::ChangeId;
use crate::name::{Id, Kind};

/// The highest number that an operation may have: a ten-year record of twenty devices has a hundredth of it, and
/// Automerge keeps them in 32 bits.
pub(super) const MOST_OPERATIONS: u64 = 1 << 30;
/// Most bytes of an actor. Ours have 24, those of other implementations 16.
const MOST_ACTOR: usize = 64;
/// Most bytes of one letter of a text: an emoji of a family of four has 25.
const MOST_LETTER: usize = 64;
/// Most seconds from 1970 on, or before it: some 34,000 years.
const MOST_SECONDS: u64 = 1 << 40;
/// Most letters of the name of a kind.
const MOST_KIND: usize = 40;
/// Most changes that no other builds on. Each device has one or two; the head of a carry file takes 900.
const MOST_ENDS: usize = 500;

/// What came of judging.
#[derive(Debug, Default)]
pub(super) struct Judged {
    pub(super) fair: Vec<Change>,
    pub(super) refused: Vec<Refused>,
}

/// What is known of the changes of one batch that passed.
#[derive(Default)]
struct Batch {
    /// The highest number of an operation.
    last: BTreeMap<ChangeId, u64>,
    numbers: BTreeMap<(ActorId, u64), ChangeId>,
    /// Entries made, by the map they are in.
    made: HashSet<(ObjectId, String)>,
    /// The changes that no other builds on, as they are after this.
    ends: HashSet<ChangeId>,
    /// Where texts are taken out beyond the budget of all operations together.
    gone: Option<Gone>,
}

/// Letters that were taken out: taking out again what is out already costs whoever writes it nothing.
#[derive(Default)]
struct Gone {
    /// How often that may still be done.
    left: u64,
    actors: HashMap<ActorId, u32>,
    letters: HashSet<(u32, u64)>,
    /// Texts of the document, of which the letters that stand are known.
    texts: HashMap<ObjectId, HashSet<(u32, u64)>>,
}

impl Gone {
    fn name(&mut self, op: &OpId) -> (u32, u64) {
        let next = u32::try_from(self.actors.len()).unwrap_or(u32::MAX);
        let actor = match self.actors.get(op.actor()) {
            Some(actor) => *actor,
            None => *self.actors.entry(op.actor().clone()).or_insert(next),
        };
        (actor, op.counter())
    }

    /// Takes a letter out; `false` where that was done too often.
    fn take_out(&mut self, doc: &Automerge, text: &ObjectId, letter: &OpId) -> bool {
        let name = self.name(letter);
        let mut again = !self.letters.insert(name);
        let here = ObjId::Id(letter.counter(), letter.actor().clone(), 0);
        // One that the document does not have yet came in this batch, and stood.
        if !again && doc.hash_for_opid(&here).is_some() {
            if !self.texts.contains_key(text) {
                let standing = self.standing(doc, text);
                self.texts.insert(text.clone(), standing);
            }
            again = !self
                .texts
                .get(text)
                .is_some_and(|standing| standing.contains(&name));
        }
        if again {
            match self.left.checked_sub(1) {
                Some(left) => self.left = left,
                None => return false,
            }
        }
        true
    }

    fn standing(&mut self, doc: &Automerge, text: &ObjectId) -> HashSet<(u32, u64)> {
        let ObjectId::Id(id) = text else {
            return HashSet::new();
        };
        let text = ObjId::Id(id.counter(), id.actor().clone(), 0);
        let mut standing = HashSet::new();
        for letter in doc.list_range(&text, ..) {
            if let ObjId::Id(number, actor, _) = letter.id() {
                standing.insert(self.name(&OpId(number, actor)));
            }
        }
        standing
    }
}

/// What lies where an operation works.
#[derive(Clone, Copy)]
enum Place<'a> {
    Root,
    /// The map of all entries of a kind; of one that only a newer program knows.
    Many(Option<Kind>),
    /// An entry.
    One(Option<Kind>, &'a OpId),
    Text,
    /// What no record of ours has.
    Elsewhere,
}

impl Record {
    /// Judges changes, each after those it builds on. What passed is known to the gate from then on: it has to be
    /// applied, or the record opened anew.
    ///
    /// `repeats` is how often letters that are out already may be taken out again, where the changes do more than the
    /// budget of all together.
    pub(super) fn judge(&mut self, chunks: Vec<Chunk>, repeats: Option<u64>) -> Result<Judged, BadRecord> {
        let mut judged = Judged::default();
        let mut batch = Batch {
            ends: self.heads().into_iter().collect(),
            gone: repeats.map(|left| Gone {
                left,
                ..Gone::default()
            }),
            ..Batch::default()
        };
        for chunk in chunks {
            match self.judge_one(&chunk, &mut batch)? {
                Ok(change) => {
                    // A newer program may take in what an older one refused.
                    self.refused.remove(&chunk.id);
                    judged.fair.push(change);
                }
                Err(why) => {
                    self.refused.insert(chunk.id);
                    judged.refused.push(refusal(chunk, why));
                }
            }
        }
        Ok(judged)
    }

    fn judge_one(&mut self, chunk: &Chunk, batch: &mut Batch) -> Result<Result<Change, Against>, BadRecord> {
        if let Some(dep) = chunk.deps.iter().find(|dep| self.refused.contains(*dep)) {
            return Ok(Err(Against::StandsOn(*dep)));
        }
        let change = match Change::from_bytes(chunk.bytes.clone()) {
            Ok(change) => change,
            Err(error) => return Ok(Err(Against::Unfit(error.to_string()))),
        };
        let last = match self.head_of(&change, chunk, batch) {
            Ok(last) => last,
            Err(why) => return Ok(Err(why)),
        };
        let open = change.decode();
        let named = self.ops.named(&open);
        self.ops.learn(&self.doc, named)?;
        self.ops.put(&open);
        let mut gone = batch.gone.take();
        let fair = self
            .operations(&change, &open, batch, gone.as_mut())
            .and_then(|made| spelled(&change, open).map(|()| made));
        batch.gone = gone;
        match fair {
            Ok(made) => {
                for dep in &chunk.deps {
                    batch.ends.remove(dep);
                }
                batch.ends.insert(chunk.id);
                batch.made.extend(made);
                batch.last.insert(chunk.id, last);
                batch
                    .numbers
                    .insert((change.actor_id().clone(), change.seq()), chunk.id);
                Ok(Ok(change))
            }
            Err(why) => {
                self.ops.take_away(change.actor_id(), change.start_op().get());
                Ok(Err(why))
            }
        }
    }

    /// Judges all but the operations; the highest number of one.
    fn head_of(&self, change: &Change, chunk: &Chunk, batch: &Batch) -> Result<u64, Against> {
        // A change whose bytes were altered with care can parse: its hash must be the one it came under.
        if change_id(&change.hash()) != chunk.id {
            return Err(Against::Unfit("it has another hash".to_owned()));
        }
        let actor = change.actor_id();
        if actor.to_bytes().is_empty() || actor.to_bytes().len() > MOST_ACTOR {
            return Err(Against::Shape("a writer's name of such a length"));
        }
        if chunk.deps.is_empty() || change.is_empty() {
            return Err(Against::Shape("a change that builds on nothing, or does nothing"));
        }
        // However many a file has that know nothing of each other, what this device has can still be told in a few words.
        if batch.ends.len() >= MOST_ENDS && !chunk.deps.iter().any(|dep| batch.ends.contains(dep)) {
            return Err(Against::Shape("more loose ends than it has devices"));
        }
        // Automerge keeps times by their differences.
        if change.timestamp().unsigned_abs() > MOST_SECONDS {
            return Err(Against::Shape("a time that no clock shows"));
        }
        if !change.extra_bytes().is_empty() {
            return Err(Against::Shape("something behind a change's end"));
        }
        let seq = change.seq();
        let numbered = |seq: u64| {
            let here = self.ledger.numbered(&actor.to_hex_string(), seq);
            here.or_else(|| batch.numbers.get(&(actor.clone(), seq)))
        };
        if numbered(seq).is_some() {
            return Err(Against::SameName);
        }
        // Whoever writes stands on their own last one, and says so: it is how a document holds a writer's without gaps.
        let before = seq.checked_sub(1).filter(|before| *before > 0);
        let stands = |id: &ChangeId| chunk.deps.contains(id);
        if seq == 0 || before.is_some_and(|before| !numbered(before).is_some_and(stands)) {
            return Err(Against::OutOfTurn { found: seq });
        }
        let known = |other: &ActorId| {
            let first = |other: &ActorId| self.ledger.numbered(&other.to_hex_string(), 1).is_some();
            first(other) || batch.numbers.contains_key(&(other.clone(), 1))
        };
        if !change.other_actor_ids().iter().all(known) {
            return Err(Against::Nowhere);
        }
        let mut wanted = 1_u64;
        for dep in &chunk.deps {
            let last = batch.last.get(dep).copied().or_else(|| self.ledger.last(dep));
            wanted = wanted.max(last.unwrap_or(0).saturating_add(1));
        }
        let found = change.start_op().get();
        let count = change.len() as u64;
        if found != wanted || found.saturating_add(count) > MOST_OPERATIONS {
            return Err(Against::Number { found, wanted });
        }
        Ok(found.saturating_add(count).saturating_sub(1))
    }

    /// Judges the operations; the entries that they make.
    fn operations(
        &self,
        change: &Change,
        open: &ExpandedChange,
        batch: &Batch,
        mut gone: Option<&mut Gone>,
    ) -> Result<HashSet<(ObjectId, String)>, Against> {
        if is_fixed(change, open)? {
            return Ok(HashSet::new());
        }
        let (mut made, mut texts) = (HashSet::new(), HashSet::new());
        let mut number = open.start_op.get();
        for op in &open.operations {
            // What has no smaller number did not stand there when this was written.
            let mut smaller = true;
            names(op, &mut |named| smaller &= named.counter() < number);
            if !smaller
                || op
                    .pred
                    .iter()
                    .zip(op.pred.iter().skip(1))
                    .any(|(one, next)| one == next)
            {
                return Err(Against::Nowhere);
            }
            match self.place(&op.obj) {
                Place::Root => return Err(Against::Root),
                Place::Many(kind) => {
                    let key = self.entry(op, kind, batch, &made)?;
                    made.insert((op.obj.clone(), key));
                }
                Place::One(kind, map) => {
                    let own = map.actor() == &open.actor_id && map.counter() >= open.start_op.get();
                    let first = own && texts.insert((map.counter(), op.key.clone()));
                    self.field(op, kind, map, first)?;
                }
                Place::Text => {
                    self.letter(op)?;
                    if let (Some(gone), OpType::Delete) = (&mut gone, &op.action)
                        && !op
                            .pred
                            .iter()
                            .all(|letter| gone.take_out(&self.doc, &op.obj, letter))
                    {
                        return Err(Against::Shape("letters taken out again and again"));
                    }
                }
                Place::Elsewhere => return Err(Against::Nowhere),
            }
            number = number.saturating_add(1);
        }
        Ok(made)
    }

    fn place<'a>(&'a self, object: &'a ObjectId) -> Place<'a> {
        let ObjectId::Id(id) = object else {
            return Place::Root;
        };
        let Some(Made::Object { is, inside, key }) = self.ops.made(id) else {
            return Place::Elsewhere;
        };
        let Some(key) = key else { return Place::Elsewhere };
        let outer = match inside {
            ObjectId::Root => Place::Root,
            // Two steps at most: the map of a kind, an entry.
            ObjectId::Id(outer) => match self.ops.made(outer) {
                Some(Made::Object {
                    is: ObjType::Map,
                    inside: ObjectId::Root,
                    key: Some(root),
                }) => Place::Many(kind_of(root)),
                Some(Made::Object {
                    is: ObjType::Map,
                    inside: ObjectId::Id(many),
                    key: Some(_),
                }) => match self.ops.made(many) {
                    Some(Made::Object {
                        is: ObjType::Map,
                        inside: ObjectId::Root,
                        key: Some(root),
                    }) => Place::One(kind_of(root), outer),
                    _ => Place::Elsewhere,
                },
                _ => Place::Elsewhere,
            },
        };
        match (outer, is) {
            (Place::Root, ObjType::Map) => Place::Many(kind_of(key)),
            (Place::Many(kind), ObjType::Map) => Place::One(kind, id),
            (Place::One(..), ObjType::Text) => Place::Text,
            _ => Place::Elsewhere,
        }
    }

    /// An operation in the map of all entries of a kind; the key of the entry it makes.
    fn entry(
        &self,
        op: &Op,
        kind: Option<Kind>,
        batch: &Batch,
        made: &HashSet<(ObjectId, String)>,
    ) -> Result<String, Against> {
        let Key::Map(key) = &op.key else {
            return Err(Against::Shape("a list in the place of a kind"));
        };
        let key = key.to_string();
        let against = |what| Against::Entry {
            what,
            kind: kind.map_or("entry", Kind::word),
            key: key.chars().take(MOST_KIND).collect(),
        };
        match op.action {
            OpType::Delete => return Err(against("deletes")),
            OpType::Make(ObjType::Map) if op.pred.is_empty() && !op.insert => {}
            _ => return Err(against("puts something over")),
        }
        if key.parse::<Id>().is_err() {
            return Err(Against::Shape("an entry under a name that is none"));
        }
        if kind == Some(Kind::Sheet) {
            return Err(Against::Laying);
        }
        let place = (op.obj.clone(), key.clone());
        // For records of programs before this one: a device that had joined by a file was entered once more by whoever paired
        // with it. Whose it is does not hang on which of the two maps shows (`whose`).
        let twice =
            kind != Some(Kind::Device) && (batch.made.contains(&place) || self.has_entry(&op.obj, &key));
        if made.contains(&place) || twice {
            return Err(against("makes again"));
        }
        Ok(key)
    }

    fn has_entry(&self, many: &ObjectId, key: &str) -> bool {
        let many = match many {
            ObjectId::Root => ROOT,
            ObjectId::Id(id) => ObjId::Id(id.counter(), id.actor().clone(), 0),
        };
        matches!(self.doc.get(&many, key), Ok(Some(_)))
    }

    /// An operation at a field of an entry; whether it is the first there of the change that made the entry.
    fn field(&self, op: &Op, kind: Option<Kind>, map: &OpId, first: bool) -> Result<(), Against> {
        let Key::Map(key) = &op.key else {
            return Err(Against::Shape("a list in the place of an entry"));
        };
        if op.insert {
            return Err(Against::Shape("a list in the place of an entry"));
        }
        match &op.action {
            OpType::Put(value) => plain(value)?,
            OpType::Make(ObjType::Text) => {}
            OpType::Delete if !op.pred.is_empty() => {}
            OpType::Delete => return Err(Against::Nowhere),
            OpType::Make(_) => return Err(Against::Shape("a map or a list in a field")),
            OpType::Increment(_) => return Err(Against::Shape("a counter")),
            OpType::MarkBegin(_) | OpType::MarkEnd(_) => return Err(Against::Shape("a mark")),
        }
        // A text that two people may write in is never replaced; one that another program put where we have a plain value
        // is a value like others. Of a field that only a newer program knows, nobody here can tell.
        let plain_field = kind
            .and_then(|kind| field_of(kind, key.split_once(':').map_or(key.as_str(), |(set, _)| set)))
            .is_some_and(|field| field.shape != Shape::Prose);
        let text = || Against::Text(key.chars().take(MOST_KIND).collect());
        if !plain_field && self.ops.came_with_text(map, key) {
            // Its own making is the one operation that there is at its key.
            if !first || op.action != OpType::Make(ObjType::Text) {
                return Err(text());
            }
        }
        for before in op.pred.iter() {
            match self.ops.made(before) {
                Some(Made::Object {
                    inside,
                    key: Some(at),
                    ..
                }) if *inside == op.obj && at == key.as_str() => {
                    if !plain_field {
                        return Err(text());
                    }
                }
                Some(Made::Value { inside, key: at }) if *inside == op.obj && at == key.as_str() => {}
                _ => return Err(Against::Nowhere),
            }
        }
        Ok(())
    }

    /// An operation in a text.
    fn letter(&self, op: &Op) -> Result<(), Against> {
        let Key::Seq(at) = &op.key else {
            return Err(Against::Shape("a field of a text"));
        };
        match &op.action {
            OpType::Put(ScalarValue::Str(letter)) if letter.len() <= MOST_LETTER => {}
            OpType::Delete => {}
            OpType::MarkBegin(_) | OpType::MarkEnd(_) => return Err(Against::Shape("a mark")),
            OpType::Increment(_) => return Err(Against::Shape("a counter")),
            OpType::Put(_) | OpType::Make(_) => {
                return Err(Against::Shape("something in a text that is no letter"));
            }
        }
        let letter = match at {
            ElementId::Head if op.insert => None,
            ElementId::Head => return Err(Against::Nowhere),
            ElementId::Id(letter) => Some(letter),
        };
        if let Some(letter) = letter
            && !matches!(self.ops.made(letter), Some(Made::Letter { text }) if *text == op.obj)
        {
            return Err(Against::Nowhere);
        }
        if op.insert != op.pred.is_empty() || (op.insert && op.action == OpType::Delete) {
            return Err(Against::Nowhere);
        }
        let there = |before: &OpId| match self.ops.made(before) {
            Some(Made::Letter { text }) => *text == op.obj && Some(before) == letter,
            Some(Made::Over { text, letter: over }) => *text == op.obj && Some(over) == letter,
            _ => false,
        };
        if op.pred.iter().all(there) {
            Ok(())
        } else {
            Err(Against::Nowhere)
        }
    }
}

fn kind_of(root: &str) -> Option<Kind> {
    Kind::ALL.iter().copied().find(|kind| kind.root() == root)
}

fn plain(value: &ScalarValue) -> Result<(), Against> {
    match value {
        ScalarValue::Counter(_) => Err(Against::Shape("a counter")),
        ScalarValue::Unknown { .. } => Err(Against::Shape("a value of a sort that nobody knows")),
        _ => Ok(()),
    }
}

/// Whether it is one of the changes that every device makes alike: the kinds of a later version, the day sheets of a month.
/// Such a one is made anew and compared, never believed.
fn is_fixed(change: &Change, open: &ExpandedChange) -> Result<bool, Against> {
    let actor = change.actor_id().to_bytes();
    if actor == genesis::ACTOR {
        return Err(Against::Root);
    }
    if let Some(version) = actor.strip_prefix(later::ACTOR) {
        return if later::is_laying(version, open) {
            Ok(true)
        } else {
            Err(Against::Root)
        };
    }
    if actor.len() == month::ACTOR_BYTES {
        return if month::is_laying(change, open) {
            Ok(true)
        } else {
            Err(Against::Laying)
        };
    }
    Ok(false)
}

/// Whether it is spelled as Automerge spells it: a document keeps what a change does and not how it was spelled, so that
/// another spelling could be taken in and never handed on.
fn spelled(change: &Change, open: ExpandedChange) -> Result<(), Against> {
    if Change::from(open).hash() == change.hash() {
        Ok(())
    } else {
        Err(Against::Unfit("it is spelled as no writer spells it".to_owned()))
    }
}

/// A change that is not taken in, as it is told of.
fn refusal(chunk: Chunk, why: Against) -> Refused {
    let (at, message, actor) = alone::said(&chunk);
    Refused {
        id: chunk.id,
        device: Seat::device_of(&actor),
        actor: actor.to_hex_string(),
        at,
        message,
        why,
        bytes: chunk.bytes,
    }
}
