//! What each operation of a record made: an object, a value, a letter. Whoever judges a change from outside asks here what
//! the operations are that it names. Read from the changes themselves, those that are wanted and no more, and kept
//! in runs; nothing here judges, and nothing is asked of the document but the changes it holds.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use automerge::legacy::{ElementId, Key, ObjectId, Op, OpId, OpType};
use automerge::{ActorId, Automerge, ChangeHash, ExpandedChange, ObjId, ObjType};

use super::bad::{BadRecord, refused};

/// What one operation made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Made<'a> {
    /// A map, a list or a text; under a key of a map, or in a list.
    Object {
        is: ObjType,
        inside: &'a ObjectId,
        key: Option<&'a str>,
    },
    /// A value under a key of a map.
    Value { inside: &'a ObjectId, key: &'a str },
    /// A letter of a text, whose element has the operation's own name.
    Letter { text: &'a ObjectId },
    /// What was put over a letter.
    Over { text: &'a ObjectId, letter: &'a OpId },
    /// Nothing that anybody names again.
    Nothing,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Object { is: ObjType, inside: u32, key: u32 },
    Value { inside: u32, key: u32 },
    Letter { text: u32 },
    Over { text: u32, letter: u32 },
    Nothing,
}

/// No key: an object in a list.
const NO_KEY: u32 = u32::MAX;

/// What the operations of one change made: a run for each that differs from the one before it, so that a page of
/// prose costs as much as a letter.
#[derive(Clone, Debug, Default)]
pub(super) struct Span {
    last: u64,
    runs: Vec<(u64, What)>,
    objects: Vec<ObjectId>,
    keys: Vec<Box<str>>,
    letters: Vec<OpId>,
    /// Texts that were made together with the map they are in: the map's number and the key.
    texts: BTreeSet<(u64, Box<str>)>,
}

/// Names of one sort, each once.
fn place<T: Clone + Eq + std::hash::Hash>(all: &mut Vec<T>, known: &mut HashMap<T, u32>, one: &T) -> u32 {
    if let Some(at) = known.get(one) {
        return *at;
    }
    // A change of so many names would be beyond every budget.
    let at = u32::try_from(all.len()).unwrap_or(NO_KEY.saturating_sub(1));
    all.push(one.clone());
    known.insert(one.clone(), at);
    at
}

impl Span {
    pub(super) fn of(change: &ExpandedChange) -> Self {
        let mut span = Self::default();
        let (mut objects, mut keys, mut letters) = (HashMap::new(), HashMap::new(), HashMap::new());
        let mut number = change.start_op.get();
        for op in &change.operations {
            let inside = place(&mut span.objects, &mut objects, &op.obj);
            let what = match (&op.action, &op.key) {
                (OpType::Make(is), Key::Map(key)) => {
                    if let ObjectId::Id(map) = &op.obj
                        && *is == ObjType::Text
                        && map.actor() == &change.actor_id
                        && map.counter() >= change.start_op.get()
                    {
                        span.texts.insert((map.counter(), Box::from(key.as_str())));
                    }
                    let key = place(&mut span.keys, &mut keys, &Box::from(key.as_str()));
                    What::Object { is: *is, inside, key }
                }
                (OpType::Make(is), Key::Seq(_)) => What::Object {
                    is: *is,
                    inside,
                    key: NO_KEY,
                },
                (OpType::Put(_), Key::Map(key)) => What::Value {
                    inside,
                    key: place(&mut span.keys, &mut keys, &Box::from(key.as_str())),
                },
                (OpType::Put(_), Key::Seq(_)) if op.insert => What::Letter { text: inside },
                (OpType::Put(_), Key::Seq(ElementId::Id(letter))) => What::Over {
                    text: inside,
                    letter: place(&mut span.letters, &mut letters, letter),
                },
                _ => What::Nothing,
            };
            if span.runs.last().is_none_or(|(_, before)| *before != what) {
                span.runs.push((number, what));
            }
            span.last = number;
            number = number.saturating_add(1);
        }
        span
    }

    fn made(&self, number: u64) -> Option<Made<'_>> {
        let at = self.runs.partition_point(|(first, _)| *first <= number);
        let (_, what) = self.runs.get(at.checked_sub(1)?)?;
        let object = |at: u32| self.objects.get(at as usize);
        let key = |at: u32| self.keys.get(at as usize).map(AsRef::as_ref);
        Some(match *what {
            What::Object { is, inside, key: at } => Made::Object {
                is,
                inside: object(inside)?,
                key: key(at),
            },
            What::Value { inside, key: at } => Made::Value {
                inside: object(inside)?,
                key: key(at)?,
            },
            What::Letter { text } => Made::Letter { text: object(text)? },
            What::Over { text, letter } => Made::Over {
                text: object(text)?,
                letter: self.letters.get(letter as usize)?,
            },
            What::Nothing => Made::Nothing,
        })
    }
}

/// What operations made, as far as it was asked.
#[derive(Debug, Default)]
pub(super) struct Ops {
    /// For each actor its changes by the number of their first operation.
    spans: HashMap<ActorId, BTreeMap<u64, Span>>,
}

impl Ops {
    fn span(&self, op: &OpId) -> Option<&Span> {
        let (_, span) = self.spans.get(op.actor())?.range(..=op.counter()).next_back()?;
        (op.counter() <= span.last).then_some(span)
    }

    /// What an operation made; nothing where it is not known.
    pub(super) fn made(&self, op: &OpId) -> Option<Made<'_>> {
        self.span(op)?.made(op.counter())
    }

    /// Whether a map came with a text of its own under this key.
    pub(super) fn came_with_text(&self, map: &OpId, key: &str) -> bool {
        let place = (map.counter(), Box::from(key));
        self.span(map).is_some_and(|span| span.texts.contains(&place))
    }

    /// Enters a change.
    pub(super) fn put(&mut self, change: &ExpandedChange) {
        if !change.operations.is_empty() {
            let of = self.spans.entry(change.actor_id.clone()).or_default();
            of.insert(change.start_op.get(), Span::of(change));
        }
    }

    /// Takes a change away that was entered to be judged, and was not taken in.
    pub(super) fn take_away(&mut self, actor: &ActorId, first: u64) {
        if let Some(of) = self.spans.get_mut(actor) {
            of.remove(&first);
            if of.is_empty() {
                self.spans.remove(actor);
            }
        }
    }

    /// Reads what these operations made, and what lies around it up to the root, from the changes that the document
    /// holds. What is in none of them stays unknown.
    pub(super) fn learn(
        &mut self,
        doc: &Automerge,
        wanted: BTreeSet<(u64, ActorId)>,
    ) -> Result<(), BadRecord> {
        let (mut wanted, mut seen) = (wanted, BTreeSet::new());
        while !wanted.is_empty() {
            let mut changes: BTreeSet<ChangeHash> = BTreeSet::new();
            for (number, actor) in &wanted {
                if self.made(&OpId(*number, actor.clone())).is_none() {
                    changes.extend(doc.hash_for_opid(&ObjId::Id(*number, actor.clone(), 0)));
                }
            }
            for hash in changes {
                // One at a time: then only those operations are walked whose numbers lie between its first and its last.
                let found = doc.bundle([hash]).and_then(|bundle| bundle.to_changes());
                for change in found.map_err(refused)? {
                    self.put(&change.decode());
                }
            }
            let mut next = BTreeSet::new();
            for (number, actor) in &wanted {
                let made = self.made(&OpId(*number, actor.clone()));
                next.extend(made.and_then(around).filter(|outer| !seen.contains(outer)));
            }
            seen.extend(wanted);
            wanted = next;
        }
        Ok(())
    }

    /// The operations that a change names and that are not its own.
    pub(super) fn named(&self, change: &ExpandedChange) -> BTreeSet<(u64, ActorId)> {
        let own = |op: &OpId| op.actor() == &change.actor_id && op.counter() >= change.start_op.get();
        let mut named = BTreeSet::new();
        let mut name = |op: &OpId| {
            if !own(op) && self.made(op).is_none() {
                named.insert((op.counter(), op.actor().clone()));
            }
        };
        for op in &change.operations {
            names(op, &mut name);
        }
        named
    }
}

/// Calls `name` with each operation that this one names.
pub(super) fn names(op: &Op, name: &mut impl FnMut(&OpId)) {
    if let ObjectId::Id(object) = &op.obj {
        name(object);
    }
    if let Key::Seq(ElementId::Id(letter)) = &op.key {
        name(letter);
    }
    for before in op.pred.iter() {
        name(before);
    }
}

/// The object that something is in.
fn around(made: Made<'_>) -> Option<(u64, ActorId)> {
    match made {
        Made::Object { inside, .. } | Made::Value { inside, .. } => of_object(inside),
        Made::Letter { text } | Made::Over { text, .. } => of_object(text),
        Made::Nothing => None,
    }
}

fn of_object(object: &ObjectId) -> Option<(u64, ActorId)> {
    match object {
        ObjectId::Root => None,
        ObjectId::Id(op) => Some((op.counter(), op.actor().clone())),
    }
}
