//! Why an edit is refused: the input's fault, said in one sentence, with a code for the program.
//! Nothing here is about broken documents or disks; those are `BadRecord` and the store's own errors.

use crate::field::Misfit;
use crate::inside::{Becomes, Inner};
use crate::name::{Kind, Ref};
use crate::open::Blocker;

/// An edit that was refused. Nothing was changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// No such entity.
    #[error("this record has no {} '{}'", .0.kind, .0.id)]
    Unknown(Ref),
    /// A required field was not given, or was emptied.
    #[error("a {kind} cannot be without '{field}'")]
    Missing {
        /// Of which kind.
        kind: Kind,
        /// Which field.
        field: &'static str,
    },
    /// A value does not fit its field.
    #[error("'{field}' does not fit: {why}")]
    Misfit {
        /// Which field.
        field: String,
        /// Why.
        why: Misfit,
    },
    /// It was struck out.
    #[error("'{0}' was struck out; take the strike back first")]
    StruckOut(String),
    /// What was agreed was reopened already.
    #[error(
        "what was agreed of '{0}' was reopened already: settle it anew, or let it hold again as it was agreed"
    )]
    Reopened(String),
    /// What was agreed was not reopened.
    #[error("what was agreed of '{0}' is not reopened: it holds")]
    NotReopened(String),
    /// It was not struck out.
    #[error("'{0}' is not struck out")]
    NotStruckOut(String),
    /// The car itself, a sheet, or a device, which is revoked, cannot be struck out.
    #[error("a {0} cannot be struck out")]
    CannotStrike(Kind),
    /// A keeper whose devices are met would go out of sight, and the devices would not.
    #[error("'{0}' has a device that is met: revoke it first, then the keeper can be struck out")]
    HasDevices(String),
    /// A reason is wanted.
    #[error("say why: a reason is kept beside it")]
    WhyWanted,
    /// What can hurt somebody, and anything of brakes, steering and fuel, is not closed over by a reason that serves other things too.
    #[error(
        "'{0}' wants a reason of its own: it can hurt somebody, or has to do with brakes, steering or fuel. Name its check, and its point where it is one"
    )]
    ReasonOfItsOwn(String),
    /// A word is no reason where somebody can be hurt.
    #[error("'{0}' can hurt somebody: say in a few words why it stays so, or how it was mended")]
    SayMore(String),
    /// An assembly is closed by closing it up, which asks what is open in it.
    #[error("an assembly is closed by closing it up, which asks first what is still open in it")]
    OnlyByCloseUp,
    /// A danger goes out of sight by its end, and not by a strike or a milder word.
    #[error(
        "'{0}' can hurt somebody and has no end: as long as that is so it stands. Say first how it was mended, why it is lived with, or why it is no danger"
    )]
    EndFirst(String),
    /// Another point about the same finding goes first, or it would be gone without being settled.
    #[error("settle first what is asked of the same finding: {0}")]
    OtherPointFirst(String),
    /// Only the device that closed an assembly takes that back; any other opens it.
    #[error(
        "this device did not close '{0}', so it cannot take that back: open it, which asks its hold points anew"
    )]
    NotYours(String),
    /// It is closed already.
    #[error("'{0}' is closed already")]
    AlreadyClosed(String),
    /// Something is open in it.
    #[error("'{assembly}' cannot close yet: {}", Blocker::in_short(.blockers))]
    StillOpen {
        /// The assembly's name.
        assembly: String,
        /// What is open in it.
        blockers: Vec<Blocker>,
    },
    /// Something stands inside what is to be struck out.
    #[error(
        "'{title}' has {} in it; say what becomes of that: {}",
        Inner::in_words(.inside),
        Becomes::in_words(Becomes::ALL)
    )]
    StandsInside {
        /// What was to be struck out.
        title: String,
        /// How much of what stands in it.
        inside: Vec<Inner>,
    },
    /// Nothing was left in what was struck out.
    #[error("nothing was left in '{0}'")]
    NothingLeft(String),
    /// What stands inside cannot be without an assembly, and there is none around.
    #[error("'{0}' lies in nothing else, and {1} cannot be without an assembly; say into which one")]
    NowhereToMove(String, String),
    /// A thing cannot lie in itself.
    #[error("'{0}' would end up inside itself")]
    Circle(String),
    /// What was settled then cannot be found in what was known then, or nothing of it is left.
    #[error(
        "what was agreed here cannot be reopened: nothing is left of what it was about. Write it anew where it stands"
    )]
    NothingToReopen,
    /// Both sides do not go into what a settlement keeps.
    #[error("what the two said is too long to be put side by side again: write it anew on its own page")]
    TooLongToReopen,
    /// The point is settled already, or never was.
    #[error("there is no such point to settle; it may have been settled on the other device")]
    NoSuchPoint,
    /// Not one of the point's choices.
    #[error("'{got}' is none of {}", .may.join(", "))]
    NoSuchChoice {
        /// What was given.
        got: String,
        /// What may be chosen.
        may: Vec<String>,
    },
    /// A device that was revoked stays so.
    #[error("a device that was revoked stays revoked; if it was found again, let it join anew")]
    RevokedStands,
    /// Whose a device is stays as it was entered.
    #[error(
        "whose a device is stays as it was entered: everything that was written on it is that keeper's. Let it join anew for another keeper"
    )]
    KeeperStands,
    /// The sheet belongs to somebody else.
    #[error("a day sheet is written by its own keeper")]
    NotYourSheet,
}

impl Refusal {
    /// The code that a face branches on.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Refusal::Unknown(_) => "unknown",
            Refusal::Missing { .. } => "missing",
            Refusal::Misfit { .. } => "misfit",
            Refusal::StruckOut(_) | Refusal::Reopened(_) => "struck_out",
            Refusal::NotStruckOut(_) | Refusal::NotReopened(_) => "not_struck_out",
            Refusal::CannotStrike(_) => "cannot_strike",
            Refusal::WhyWanted => "why_wanted",
            Refusal::ReasonOfItsOwn(_) => "reason_of_its_own",
            Refusal::SayMore(_) => "say_more",
            Refusal::OnlyByCloseUp => "only_by_close_up",
            Refusal::EndFirst(_) => "end_first",
            Refusal::OtherPointFirst(_) => "other_point_first",
            Refusal::NotYours(_) => "not_yours",
            Refusal::AlreadyClosed(_) => "already_closed",
            Refusal::StillOpen { .. } => "still_open",
            Refusal::StandsInside { .. } => "stands_inside",
            Refusal::NothingLeft(_) => "nothing_left",
            Refusal::NowhereToMove(..) => "nowhere_to_move",
            Refusal::Circle(_) => "circle",
            Refusal::NothingToReopen => "nothing_to_reopen",
            Refusal::TooLongToReopen => "too_long_to_reopen",
            Refusal::NoSuchPoint => "no_such_point",
            Refusal::NoSuchChoice { .. } => "no_such_choice",
            Refusal::RevokedStands => "revoked_stands",
            Refusal::HasDevices(_) => "has_devices",
            Refusal::KeeperStands => "keeper_stands",
            Refusal::NotYourSheet => "not_your_sheet",
        }
    }
}
