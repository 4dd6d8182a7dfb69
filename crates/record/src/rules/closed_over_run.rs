//! Closed over an unfinished tightening run: one keeper closed the assembly while the other had begun the run, made it longer or
//! taken a bolt back. It never says that a bolt is tight that nobody logged.

use super::closed_over::{LET_STAND, REOPEN, over};
use super::def::{ChoiceDef, ChoiceKey, Finds, Outcome, RuleDef};
use super::rule::Rule;
use crate::closing_check::Check;
use crate::name::Kind;
use crate::strokes;

/// Closed over an unfinished tightening run.
pub(super) static RUN: RuleDef = RuleDef {
    rule: Rule::ClosedOverRun,
    said: "closed over an unfinished tightening run",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::TighteningRun, Kind::Tightened, Kind::Waiver],
        |survey, found| over(survey, found, &RUN, Check::TighteningRun),
    ),
    choices: &[
        REOPEN,
        // What nobody logged is not put down as tight: the run is struck out, and says why.
        ChoiceDef::new(
            ChoiceKey::Word("strike_run"),
            Outcome::Of(1, "is struck out"),
            |settling, _| {
                let why = strokes::line("why", settling.why.unwrap_or_default())?;
                Ok(vec![strokes::strike(settling.about(1)?, why)])
            },
        )
        .with_why(),
        LET_STAND,
    ],
};
