//! Closed over an unfinished tightening run: one keeper closed the assembly while the other had begun the run, made it longer or
//! taken a bolt back. It never says that a bolt is tight that nobody logged.

use super::closed_over::{LET_STAND, REOPEN, Unfinished, over};
use super::def::{ChoiceDef, Finds, Key, Outcome, RuleDef};
use super::rule::Rule;
use crate::entry::{Entry, STRUCK, Scalar, Stamp, View};
use crate::name::Kind;
use crate::strokes;
use crate::tightening::Standing;

/// Closed over an unfinished tightening run.
pub(super) static RUN: RuleDef = RuleDef {
    rule: Rule::ClosedOverRun,
    said: "closed over an unfinished tightening run",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::TighteningRun, Kind::Tightened, Kind::Waiver],
        |survey, found| {
            let called = "unfinished tightening run";
            over(survey, found, &RUN, Kind::TighteningRun, called, unfinished)
        },
    ),
    choices: &[
        REOPEN,
        // What nobody logged is not put down as tight: the run is struck out, and says why.
        ChoiceDef::new(
            Key::Word("strike_run"),
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

/// What a run's length and place hang on.
const MAKES_IT: [&str; 6] = ["assembly", "layout", "bolts", "rows", "torque", "passes"];

fn unfinished(view: &View, run: &Entry) -> Option<Unfinished> {
    let standing = Standing::of(view, run).ok()?;
    standing.next?;
    let opening = opening(view, run);
    let latest = opening.iter().max_by_key(|stamp| (stamp.at, &stamp.change))?;
    let done = format!("{} of {} turns done", standing.done(), standing.turns());
    Some(Unfinished {
        by: latest.clone(),
        value: Some(Scalar::Line(done)),
        opening,
    })
}

/// What made the run as long as it is and left it unfinished: its beginning, its length, and each bolt that was taken back.
fn opening(view: &View, run: &Entry) -> Vec<Stamp> {
    let of = |entry: &Entry, field: &str| {
        let held = entry.fields.get(field)?;
        Some(held.claims().first()?.stamp.clone())
    };
    let mut stamps = vec![run.made.clone()];
    stamps.extend(MAKES_IT.iter().filter_map(|field| of(run, field)));
    let taken_back = view
        .all(Kind::Tightened)
        .filter(|one| !one.stands() && one.line("run") == Some(run.id.as_str()));
    stamps.extend(taken_back.filter_map(|one| of(one, STRUCK)));
    stamps
}
