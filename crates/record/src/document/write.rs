//! One edit, one change: the strokes of a draft are put per field, only where they differ, and committed with a
//! message in the trade's words. Whether the edit is right was decided before; nothing here refuses for a reason
//! of the trade.

use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{ActorId, Automerge, Change, ObjId, ObjType, ReadDoc, ScalarValue, Value};

use super::bad::{BadRecord, refused};
use super::gate::MOST_OPERATIONS;
use super::later;
use super::lines::bring;
use super::month::laying;
use super::named::{change_id, object_of};
use super::reach::Reached;
use super::record::Record;
use super::seat::Seat;
use super::written::{Logged, Written};
use crate::entities::fields_of;
use crate::entry::Scalar;
use crate::field::{Shape, Stored};
use crate::name::{Id, Kind};
use crate::spelled::{sheet_id, sheet_parts};
use crate::time::{Day, Moment};

/// One stroke of an edit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Stroke {
    /// Makes an entity, with its prose fields empty and ready to be written in.
    Make(Kind, Id),
    /// Puts a field.
    Put(Kind, Id, String, Stored),
    /// Makes room for what is put next, where just that stands already: so it is a value of its own, and not nothing. Else
    /// nobody who says otherwise apart from it would be at odds with anybody.
    Anew(Kind, Id, String),
    /// Brings a sheet's text from what its writer saw to what they made of it.
    Write(Day, Id, Rewrite),
}

/// A text as its writer saw it and as they left it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Rewrite {
    /// What they saw; nothing when they only add at the end.
    pub(crate) before: Option<String>,
    /// What they made of it, or what is to be added.
    pub(crate) after: String,
}

/// An edit, decided and worded, ready to be committed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Draft {
    pub(crate) message: String,
    pub(crate) strokes: Vec<Stroke>,
}

impl Record {
    /// Commits a draft as one change. A draft that changes nothing makes none.
    ///
    /// Whatever goes wrong, the document is as it was: a laying that was made for an edit goes with it.
    pub(crate) fn commit(&mut self, draft: &Draft, now: Moment) -> Result<Written, BadRecord> {
        // A folder may hold a change that came before the gate looked at numbers: Automerge would fail at the next one.
        if self.ledger.highest() >= MOST_OPERATIONS {
            return Err(BadRecord::UsedUp);
        }
        let mut fresh = self.layings(draft)?;
        let made = if fresh.is_empty() {
            committed(&mut self.doc, draft, now)?
        } else {
            // Automerge rolls a transaction back, but takes in a change for good: so where one must be laid first, once a
            // month, the edit is tried on a copy.
            let mut ahead = self.doc.clone();
            ahead.apply_changes(fresh.clone()).map_err(refused)?;
            let made = committed(&mut ahead, draft, now)?;
            if made.is_some() {
                self.doc = ahead;
            }
            made
        };
        let Some(made) = made else {
            return Ok(Written::default());
        };
        fresh.push(made);
        Ok(self.take_in(fresh))
    }

    /// What must be laid before a draft can be written and is not laid yet, each once.
    fn layings(&self, draft: &Draft) -> Result<Vec<Change>, BadRecord> {
        let mut fresh: Vec<Change> = Vec::new();
        for stroke in &draft.strokes {
            let laying = match stroke {
                Stroke::Write(day, keeper, _) => self.month_to_lay(*day, keeper)?,
                Stroke::Put(Kind::Sheet, id, ..) => match sheet_parts(id) {
                    Some((day, keeper)) => self.month_to_lay(day, &keeper)?,
                    None => None,
                },
                Stroke::Make(kind, _) if kind.since() > 1 && !later::laid(&self.doc, *kind) => {
                    Some(later::laying(kind.since())?)
                }
                Stroke::Make(..) | Stroke::Put(..) | Stroke::Anew(..) => None,
            };
            if let Some(laying) = laying
                && fresh.iter().all(|other| other.hash() != laying.hash())
            {
                fresh.push(laying);
            }
        }
        Ok(fresh)
    }

    /// The laying of a keeper's sheets of a month, where they are not laid yet.
    fn month_to_lay(&self, day: Day, keeper: &Id) -> Result<Option<Change>, BadRecord> {
        let laid = sheet_id(day, keeper).is_some_and(|id| object_of(&self.doc, Kind::Sheet, &id).is_some());
        if laid {
            return Ok(None);
        }
        laying(day, keeper).map(Some)
    }

    /// Enters changes that the document already has into the ledger and the view.
    pub(super) fn take_in(&mut self, changes: Vec<Change>) -> Written {
        let mut written = Written::default();
        for change in &changes {
            let deps: Vec<_> = change.deps().iter().map(change_id).collect();
            let id = change_id(&change.hash());
            // One more than the number of operations, less one: a change may have none.
            let last = (change.start_op().get().saturating_add(change.len() as u64)).saturating_sub(1);
            let number = (change.seq(), last);
            self.ledger
                .add(id, change.actor_id(), number, change.timestamp(), &deps);
        }
        for change in changes {
            let reached = self.reach.of(&self.doc, &change);
            written.add_touched(&reached.touched);
            written.changes.push(logged(&change, reached));
        }
        self.refresh(&written.touched);
        written
    }

    /// Every change of the record as a log row, for making the store's derived tables anew.
    #[must_use]
    pub fn log_rows(&mut self) -> Vec<Logged> {
        let changes = self.doc.get_changes(&[]);
        changes
            .iter()
            .map(|change| logged(change, self.reach.of(&self.doc, change)))
            .collect()
    }
}

/// Writes a draft into a document; nothing where it changes nothing. Not committed, it is rolled back.
fn committed(doc: &mut Automerge, draft: &Draft, now: Moment) -> Result<Option<Change>, BadRecord> {
    let mut tx = doc.transaction();
    for stroke in &draft.strokes {
        apply(&mut tx, stroke)?;
    }
    let options = CommitOptions::default()
        .with_message(draft.message.clone())
        .with_time(now.seconds());
    let (hash, _) = tx.commit_with(options);
    let Some(hash) = hash else { return Ok(None) };
    let change = doc.get_change_by_hash(&hash);
    change
        .map(Some)
        .ok_or_else(|| BadRecord::Refused("a committed change is not there".to_owned()))
}

fn logged(change: &Change, reached: Reached) -> Logged {
    Logged {
        id: change_id(&change.hash()),
        deps: change.deps().iter().map(change_id).collect(),
        actor: change.actor_id().to_hex_string(),
        device: Seat::device_of(change.actor_id()),
        at: Moment::from_seconds(change.timestamp()),
        message: change.message().unwrap_or_default().to_owned(),
        bytes: change.raw_bytes().to_vec(),
        touched: reached.touched,
        wrote: reached.wrote,
        deeds: reached.deeds,
    }
}

fn apply(tx: &mut Transaction<'_>, stroke: &Stroke) -> Result<(), BadRecord> {
    match stroke {
        Stroke::Make(kind, id) => make(tx, *kind, id),
        Stroke::Put(kind, id, field, stored) => {
            let object = existing(tx, *kind, id)?;
            put(tx, &object, field, stored)
        }
        Stroke::Anew(kind, id, field) => {
            let object = existing(tx, *kind, id)?;
            let stands = tx.get(&object, field.as_str()).map_err(refused)?;
            match stands {
                Some((Value::Scalar(value), _)) => {
                    tx.put(&object, field.as_str(), another(&value)).map_err(refused)
                }
                _ => Ok(()),
            }
        }
        Stroke::Write(day, keeper, rewrite) => {
            let id = sheet_id(*day, keeper).ok_or_else(|| gone(Kind::Sheet, keeper))?;
            let object = existing(tx, Kind::Sheet, &id)?;
            let text = text_of(tx, &object, "text")?;
            let now = tx.text(&text).map_err(refused)?;
            match &rewrite.before {
                None => {
                    let gap = if now.is_empty() || now.ends_with('\n') {
                        ""
                    } else {
                        "\n"
                    };
                    let end = tx.length(&text);
                    tx.splice_text(&text, end, 0, &format!("{gap}{}", rewrite.after))
                        .map_err(refused)
                }
                Some(before) => bring(tx, &text, &rewritten(&now, before, &rewrite.after)?),
            }
        }
    }
}

fn gone(kind: Kind, id: &Id) -> BadRecord {
    BadRecord::Refused(format!("{kind} '{id}' has no map"))
}

fn make(tx: &mut Transaction<'_>, kind: Kind, id: &Id) -> Result<(), BadRecord> {
    let found = tx.get(automerge::ROOT, kind.root()).map_err(refused)?;
    let (_, many) = found.ok_or_else(|| gone(kind, id))?;
    let object = tx.put_object(&many, id.as_str(), ObjType::Map).map_err(refused)?;
    for field in fields_of(kind).iter().filter(|field| field.shape == Shape::Prose) {
        tx.put_object(&object, field.name, ObjType::Text)
            .map_err(refused)?;
    }
    Ok(())
}

fn existing(tx: &Transaction<'_>, kind: Kind, id: &Id) -> Result<ObjId, BadRecord> {
    let found = tx.get(automerge::ROOT, kind.root()).map_err(refused)?;
    let (_, many) = found.ok_or_else(|| gone(kind, id))?;
    let found = tx.get(&many, id.as_str()).map_err(refused)?;
    found
        .filter(|(value, _)| value.is_object())
        .map(|(_, object)| object)
        .ok_or_else(|| gone(kind, id))
}

fn text_of(tx: &mut Transaction<'_>, object: &ObjId, field: &str) -> Result<ObjId, BadRecord> {
    match tx.get(object, field).map_err(refused)? {
        Some((Value::Object(ObjType::Text), text)) => Ok(text),
        // Only an entry that another program made comes without its prose.
        _ => tx.put_object(object, field, ObjType::Text).map_err(refused),
    }
}

fn put(tx: &mut Transaction<'_>, object: &ObjId, field: &str, stored: &Stored) -> Result<(), BadRecord> {
    match stored {
        Stored::Prose(text) => {
            let object = text_of(tx, object, field)?;
            bring(tx, &object, text)
        }
        Stored::Scalar(scalar) => put_scalar(tx, object, field, scalar.as_ref()),
        Stored::Set(wanted) => {
            let prefix = format!("{field}:");
            let keys: Vec<String> = tx.keys(object).filter(|key| key.starts_with(&prefix)).collect();
            for key in keys {
                let keeps = key
                    .strip_prefix(&prefix)
                    .is_some_and(|id| wanted.iter().any(|w| w.as_str() == id));
                if !keeps {
                    put_scalar(tx, object, &key, Some(&Scalar::Flag(false)))?;
                }
            }
            for id in wanted {
                put_scalar(tx, object, &format!("{prefix}{id}"), Some(&Scalar::Flag(true)))?;
            }
            Ok(())
        }
    }
}

/// Puts a value unless it, and no other, stands there already: over a contradiction it is put even when it is the
/// one shown, since that is what settles.
fn put_scalar(
    tx: &mut Transaction<'_>,
    object: &ObjId,
    field: &str,
    scalar: Option<&Scalar>,
) -> Result<(), BadRecord> {
    let wanted = match scalar {
        None => ScalarValue::Null,
        Some(Scalar::Flag(flag)) => ScalarValue::Boolean(*flag),
        Some(Scalar::Whole(number)) => ScalarValue::Int(i64::from(*number)),
        Some(Scalar::Line(text)) => ScalarValue::Str(text.as_str().into()),
    };
    let stands = tx.get_all(object, field).map_err(refused)?;
    let same = |value: &Value<'_>| matches!(value, Value::Scalar(scalar) if **scalar == wanted);
    let nothing_to_clear = stands.is_empty() && scalar.is_none();
    if nothing_to_clear || (stands.len() == 1 && stands.iter().all(|(value, _)| same(value))) {
        return Ok(());
    }
    if stands.len() > 1 && stands.last().is_some_and(|(value, _)| same(value)) {
        // Putting the value that is shown would only make Automerge delete the others: someone who settles the same
        // point otherwise, far away, would then overrule this without a word. Emptied first, it is a value of its
        // own, and two settlements that disagree are two values again.
        tx.put(object, field, another(&wanted)).map_err(refused)?;
    }
    tx.put(object, field, wanted).map_err(refused)
}

/// A value that is not this one, and that nobody gets to see.
fn another(value: &ScalarValue) -> ScalarValue {
    if *value == ScalarValue::Null {
        ScalarValue::Boolean(false)
    } else {
        ScalarValue::Null
    }
}

/// What a sheet is to read: what its writer did to the text they saw, done to the text that is there now.
///
/// Two copies of the seen text are edited apart, one to the writer's and one to the present one, and merged: the
/// same thing that would have happened had the writer's device met the other a moment later.
fn rewritten(now: &str, before: &str, after: &str) -> Result<String, BadRecord> {
    if before == now {
        return Ok(after.to_owned());
    }
    // Named, so that which of two lines at one place comes first is not left to chance.
    let mut seen = Automerge::new().with_actor(ActorId::from(b"writer"));
    let mut tx = seen.transaction();
    let text = tx
        .put_object(automerge::ROOT, "text", ObjType::Text)
        .map_err(refused)?;
    tx.splice_text(&text, 0, 0, before).map_err(refused)?;
    tx.commit();
    let mut theirs = seen.fork().with_actor(ActorId::from(b"meanwhile"));
    for (doc, wanted) in [(&mut seen, after), (&mut theirs, now)] {
        let mut tx = doc.transaction();
        bring(&mut tx, &text, wanted)?;
        tx.commit();
    }
    seen.merge(&mut theirs).map_err(refused)?;
    seen.text(&text).map_err(refused)
}
