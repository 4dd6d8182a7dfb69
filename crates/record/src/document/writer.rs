//! From Automerge's operations to what a change wrote into a field. It reads one change and no document.

use automerge::legacy::{ElementId, Key, ObjectId, Op as Operation, OpId, OpType};
use automerge::{ExpandedChange, ObjType, ScalarValue};

use super::claims::plain;
use crate::wrote::{Op, Put, Run, What, Wrote};

/// Automerge reads something in a text that is no letter as this.
const NO_LETTER: &str = "\u{fffc}";

/// Whoever made a change, as its operations are named by.
pub(super) struct Writer {
    actor: String,
}

impl Writer {
    pub(super) fn of(change: &ExpandedChange) -> Self {
        Self {
            actor: change.actor_id.to_hex_string(),
        }
    }

    /// An operation at a key of a map.
    pub(super) fn put(&self, wrote: &mut Wrote, inside: Option<&ObjectId>, number: u64, op: &Operation) {
        let over = op.pred.iter().map(name);
        let what = match &op.action {
            OpType::Put(value) => What::Plain(plain(value)),
            OpType::Make(ObjType::Text) => What::Text,
            OpType::Make(_) => What::Other,
            OpType::Delete => return wrote.over(over, &self.actor),
            OpType::Increment(_) | OpType::MarkBegin(_) | OpType::MarkEnd(_) => return,
        };
        let inside = match inside {
            Some(ObjectId::Id(map)) => Some(name(map)),
            Some(ObjectId::Root) | None => None,
        };
        wrote.put(number, Put { what, inside }, over, &self.actor);
    }

    /// An operation in a text.
    pub(super) fn letter(&self, wrote: &mut Wrote, number: u64, op: &Operation) {
        let (ObjectId::Id(text), Key::Seq(at)) = (&op.obj, &op.key) else {
            return;
        };
        let text = name(text);
        for before in op.pred.iter() {
            wrote.letter_gone(&text, name(before));
        }
        let letters = match &op.action {
            OpType::Put(ScalarValue::Str(letter)) => letter.to_string(),
            OpType::Put(_) | OpType::Make(_) => NO_LETTER.to_owned(),
            OpType::Delete | OpType::Increment(_) | OpType::MarkBegin(_) | OpType::MarkEnd(_) => return,
        };
        let run = Run {
            first: number,
            at: match at {
                ElementId::Head => None,
                ElementId::Id(letter) => Some(name(letter)),
            },
            count: 1,
            over: !op.insert,
            letters,
        };
        wrote.letter(&text, &self.actor, run);
    }
}

fn name(op: &OpId) -> Op {
    Op {
        number: op.counter(),
        actor: op.actor().to_hex_string(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(
        clippy::unwrap_used,
        clippy::indexing_slicing,
        reason = "a test fails by panicking"
    )]

    use automerge::transaction::Transactable;
    use automerge::{ActorId, AutoCommit, ChangeHash, ObjId, ROOT, ReadDoc};
    use rand::{Rng, SeedableRng};

    use super::*;
    use crate::past::{Strand, StrandRow};
    use crate::{ChangeId, Kind, Moment, Ref, Scalar, Stamp};

    const LETTERS: [&str; 5] = ["a", "é", "\u{1f9f0}", "\u{1f468}\u{200d}\u{1f467}", "nut "];

    /// All that the changes of a document wrote in its one text, as a strand.
    fn strand(doc: &mut AutoCommit, text: &ObjId) -> Strand {
        let ObjId::Id(number, actor, _) = text else {
            panic!("a text is no root")
        };
        let text = OpId(*number, actor.clone());
        let row = |change: automerge::Change| {
            let open = change.decode();
            let (writer, mut wrote) = (Writer::of(&open), Wrote::default());
            for (number, op) in (open.start_op.get()..).zip(&open.operations) {
                match &op.obj {
                    ObjectId::Root => writer.put(&mut wrote, None, number, op),
                    ObjectId::Id(of) if *of == text => writer.letter(&mut wrote, number, op),
                    ObjectId::Id(_) => {}
                }
            }
            StrandRow {
                stamp: Stamp {
                    device: None,
                    at: Moment::from_seconds(0),
                    change: ChangeId::from_bytes(change.hash().0),
                },
                actor: change.actor_id().to_hex_string(),
                fields: [("text".to_owned(), wrote)].into(),
            }
        };
        let rows = doc.get_changes(&[]).into_iter().map(row).collect();
        Strand::new(Ref::new(Kind::Sheet, crate::Id::car()), rows)
    }

    fn write(dice: &mut impl Rng, doc: &mut AutoCommit, text: &ObjId) {
        for _ in 0..dice.random_range(1..4) {
            let length = doc.length(text);
            let at = dice.random_range(0..=length);
            let letter = LETTERS[dice.random_range(0..LETTERS.len())];
            match dice.random_range(0..5) {
                // One after the other from behind, as no editor of ours does it.
                1 => {
                    for at in (at..length).rev().step_by(2).take(3) {
                        doc.delete(text, at).unwrap();
                    }
                }
                // One letter of several signs, as another implementation may put it in.
                0 => doc.insert(text, at, letter).unwrap(),
                2 if at < length => doc.put(text, at, letter).unwrap(),
                _ => {
                    let gone = isize::try_from(dice.random_range(0..=(length - at).min(3))).unwrap();
                    doc.splice_text(text, at, gone, letter).unwrap();
                }
            }
        }
        doc.commit();
    }

    /// Three write in one text apart and meet now and then.
    #[test]
    fn a_text_reads_at_any_time_what_automerge_reads_out_of_it() {
        let mut merged = 0;
        for seed in 0..120_u64 {
            let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
            let mut first = AutoCommit::new().with_actor(ActorId::from([1_u8; 24]));
            let text = first.put_object(ROOT, "text", ObjType::Text).unwrap();
            first.commit();
            let mut all: Vec<AutoCommit> = (1..4_u8)
                .map(|one| first.fork().with_actor(ActorId::from([one; 24])))
                .collect();
            let mut times: Vec<Vec<ChangeHash>> = Vec::new();
            for _ in 0..dice.random_range(1..12) {
                let at = dice.random_range(0..3);
                write(&mut dice, &mut all[at], &text);
                if dice.random_range(0..3) == 0 {
                    let mut other = all[dice.random_range(0..3)].clone();
                    all[at].merge(&mut other).unwrap();
                }
                times.push(all[at].get_heads());
            }
            let mut whole = all.remove(0);
            for other in &mut all {
                whole.merge(other).unwrap();
            }
            times.push(whole.get_heads());
            let strand = strand(&mut whole, &text);
            for heads in times {
                let under: Vec<ChangeId> = whole
                    .fork_at(&heads)
                    .unwrap()
                    .get_changes(&[])
                    .iter()
                    .map(|change| ChangeId::from_bytes(change.hash().0))
                    .collect();
                let claims = strand.field_for("text", |change| under.contains(change));
                let reads = whole.text_at(&text, &heads).unwrap();
                assert_eq!(
                    claims[0].value,
                    Some(Scalar::Line(reads)),
                    "seed {seed}, at {heads:?}"
                );
                merged += usize::from(heads.len() > 1);
            }
        }
        assert!(merged > 0, "nobody wrote apart");
    }
}
