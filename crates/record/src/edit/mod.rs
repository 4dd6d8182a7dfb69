//! Edits: what a keeper does, checked against the record and turned into one change with a message in the
//! trade's words. An edit is refused whole or done whole; nothing here deletes.

mod check;
mod close_up;
mod fields;
mod reopen;
mod settle;
mod sheet;
mod strike;

use crate::document::{BadRecord, Draft, Record, Written};
use crate::entity::Entity;
use crate::holding;
use crate::measured_again;
use crate::meets;
use crate::name::{Id, Ref};
use crate::opened;
use crate::refusal::Refusal;
use crate::time::{Day, Moment};
use crate::words::AssemblyState;

pub use crate::closing_check::Check;
pub use crate::given::GivenFields;
pub use crate::ids::Ids;
pub use crate::inside::Becomes;
pub use crate::open::{Blocker, blockers, is_open};
pub use crate::title::title;
pub use close_up::Waive;
pub use sheet::{note_text, notes_in};
pub use strike::needs_a_place;

/// Something a keeper does to the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Makes an entity.
    Add {
        /// Its id, fresh; `car` for the car.
        id: Id,
        /// Its fields.
        fields: GivenFields,
    },
    /// Changes fields of an entity.
    Change {
        /// Which one.
        id: Id,
        /// The fields to change.
        fields: GivenFields,
    },
    /// Several edits that are one act: one change, one message.
    Together {
        /// What was done, in the trade's words.
        message: String,
        /// The edits.
        edits: Vec<Edit>,
    },
    /// Strikes an entity out.
    Strike {
        /// Which.
        name: Ref,
        /// Why.
        why: String,
        /// What becomes of what stands inside it; wanted where something does.
        inside: Option<Becomes>,
        /// Where that moves to, in place of what lies around it.
        into: Option<Id>,
    },
    /// Does something with what was left in an assembly or a container that was struck out.
    ClearStruck {
        /// Which.
        name: Ref,
        /// What becomes of it: it moves up, or is struck out as well.
        inside: Becomes,
        /// Where it moves to, in place of what lies around it.
        into: Option<Id>,
        /// Why, where it is struck out; by itself for the reason that was given before.
        why: Option<String>,
    },
    /// Takes a strike back, and with it what was struck out inside by the same change.
    TakeBack {
        /// Which.
        name: Ref,
    },
    /// Adds a line to a keeper's sheet of a day.
    Note {
        /// The day.
        day: Day,
        /// Whose sheet.
        keeper: Id,
        /// The note.
        text: String,
    },
    /// Adds a line to a keeper's sheet of a day that is of an assembly as well.
    NoteOf {
        /// The day.
        day: Day,
        /// Whose sheet.
        keeper: Id,
        /// The note.
        text: String,
        /// The assembly.
        assembly: Id,
    },
    /// Rewrites a keeper's sheet of a day, from what was seen to what was made of it.
    Rewrite {
        /// The day.
        day: Day,
        /// Whose sheet.
        keeper: Id,
        /// The text that was seen.
        before: String,
        /// The text that is wanted.
        after: String,
    },
    /// Puts the hours of a day.
    Hours {
        /// The day.
        day: Day,
        /// Whose sheet.
        keeper: Id,
        /// As written: `2.5`.
        hours: String,
    },
    /// Closes an assembly up.
    CloseUp {
        /// Which.
        assembly: Id,
        /// What is open in it and is waived, each with a reason.
        waive: Vec<Waive>,
    },
    /// Takes back that an assembly was closed up: it never was, so nothing in it is asked anew.
    NotClosed {
        /// Which.
        assembly: Id,
        /// How it stands.
        state: AssemblyState,
    },
    /// Settles a point.
    Settle {
        /// Which.
        point: String,
        /// One of its choices.
        choice: String,
        /// Why.
        why: Option<String>,
    },
    /// Reopens what was agreed: the point stands again, with both sides as they were.
    Reopen {
        /// One of the settlements of that act.
        settlement: Id,
        /// Why.
        why: String,
    },
    /// Takes back that something was reopened: it holds as it was agreed.
    AgreeAgain {
        /// One of the settlements that were reopened.
        settlement: Id,
    },
}

impl Edit {
    /// A strike through something with nothing inside it.
    #[must_use]
    pub fn strike(name: Ref, why: impl Into<String>) -> Self {
        Self::Strike {
            name,
            why: why.into(),
            inside: None,
            into: None,
        }
    }

    /// An addition from typed fields.
    ///
    /// # Errors
    /// A field that does not fit.
    pub fn add<E: Entity>(id: Id, fields: &E::Fields) -> Result<Self, Refusal> {
        Ok(Self::Add {
            id,
            fields: GivenFields::of::<E>(fields)?,
        })
    }

    /// A change from typed fields.
    ///
    /// # Errors
    /// A field that does not fit.
    pub fn change<E: Entity>(id: Id, fields: &E::Fields) -> Result<Self, Refusal> {
        Ok(Self::Change {
            id,
            fields: GivenFields::of::<E>(fields)?,
        })
    }
}

/// Why an edit came to nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The input was at fault.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The document was at fault.
    #[error(transparent)]
    Broken(#[from] BadRecord),
}

impl Record {
    /// Does an edit: one change, made at `now` by this record's seat.
    ///
    /// # Errors
    /// [`EditError::Refused`] when the edit is not right for the record as it is: nothing was changed.
    pub fn edit(&mut self, edit: &Edit, now: Moment, ids: &mut dyn Ids) -> Result<Written, EditError> {
        let draft = self.draft(edit, ids)?;
        Ok(self.commit(&draft, now)?)
    }

    fn draft(&self, edit: &Edit, ids: &mut dyn Ids) -> Result<Draft, Refusal> {
        let mut draft = self.drafted(edit, ids)?;
        // Whatever it is that strikes.
        strike::no_danger(self.view(), &draft.strokes)?;
        // Whatever it is that opens, rewords, strikes or measures.
        if !matches!(edit, Edit::NotClosed { .. }) {
            let asked = holding::asked_anew(self.view(), &draft.strokes);
            let opened = opened::put_with(self.view(), &draft.strokes)?;
            let known = measured_again::put_with(self.view(), &draft.strokes);
            draft.strokes.extend(asked.into_iter().chain(opened).chain(known));
        }
        Ok(draft)
    }

    fn drafted(&self, edit: &Edit, ids: &mut dyn Ids) -> Result<Draft, Refusal> {
        let view = self.view();
        match edit {
            Edit::Add { id, fields } => fields::add(view, id, fields),
            Edit::Change { id, fields } => {
                meets::can_meet(self, id, fields)?;
                fields::change(view, id, fields)
            }
            Edit::Together { message, edits } => {
                let mut strokes = Vec::new();
                for edit in edits {
                    strokes.extend(self.draft(edit, ids)?.strokes);
                }
                Ok(Draft {
                    message: message.clone(),
                    strokes,
                })
            }
            Edit::Strike {
                name,
                why,
                inside,
                into,
            } => strike::strike(view, name, why, *inside, into.as_ref()),
            Edit::ClearStruck {
                name,
                inside,
                into,
                why,
            } => strike::clear_struck(view, name, *inside, into.as_ref(), why.as_deref()),
            Edit::TakeBack { name } => strike::take_back(view, name),
            Edit::Note { day, keeper, text } => sheet::note(view, *day, keeper, text),
            Edit::NoteOf {
                day,
                keeper,
                text,
                assembly,
            } => sheet::note_of(view, *day, keeper, text, assembly),
            Edit::Rewrite {
                day,
                keeper,
                before,
                after,
            } => sheet::rewrite(view, *day, keeper, before, after),
            Edit::Hours { day, keeper, hours } => sheet::hours(view, *day, keeper, hours),
            Edit::CloseUp { assembly, waive } => close_up::close_up(self, assembly, waive, ids),
            Edit::NotClosed { assembly, state } => close_up::not_closed(self, assembly, state),
            Edit::Settle { point, choice, why } => settle::settle(self, point, choice, why.as_deref(), ids),
            Edit::Reopen { settlement, why } => reopen::reopen(self, settlement, why),
            Edit::AgreeAgain { settlement } => reopen::agree_again(self, settlement),
        }
    }
}
