//! Closed over what was found or measured, or over what is not put together: a finding that has no end, a reading out of its limits, a
//! part that is not in, an inner assembly that is not closed. It says nothing of what was closed by somebody who had it before them.

use super::closed_over::{LET_STAND, REOPEN, over};
use super::def::{ChoiceDef, ChoiceKey, Finds, Outcome, RuleDef};
use super::rule::Rule;
use crate::closing_check::Check;
use crate::document::Stroke;
use crate::ending::End;
use crate::entities::{Finding, Part};
use crate::field::Stored;
use crate::name::Kind;
use crate::refusal::Refusal;
use crate::shown::says_something;
use crate::strokes;

/// Closed over a finding that has no end.
pub(super) static FINDING: RuleDef = RuleDef {
    rule: Rule::ClosedOverFinding,
    said: "closed over an open finding",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::Finding, Kind::Part, Kind::Job, Kind::Waiver],
        |survey, found| over(survey, found, &FINDING, Check::Finding),
    ),
    choices: &[
        REOPEN,
        // How it was mended is said: a tap alone mends nothing.
        ChoiceDef::new(
            ChoiceKey::Word("was_mended"),
            Outcome::Of(1, "was mended"),
            |settling, _| {
                let why = settling.why.unwrap_or_default();
                if !says_something(why) {
                    return Err(Refusal::WhyWanted);
                }
                let kept = strokes::line(Finding::ended, &End::Mended(why).kept())?;
                let name = settling.about(1)?.clone();
                Ok(vec![Stroke::Put(
                    name.kind,
                    name.id,
                    Finding::ended.to_owned(),
                    kept,
                )])
            },
        )
        .with_why(),
        LET_STAND,
    ],
};

/// Closed over a reading that is not in its limits.
pub(super) static READING: RuleDef = RuleDef {
    rule: Rule::ClosedOverReading,
    said: "closed over a reading that is not in its limits",
    finds: Finds::InRecord(
        &[
            Kind::Assembly,
            Kind::Reading,
            Kind::Limit,
            Kind::Instrument,
            Kind::Part,
            Kind::Job,
            Kind::Order,
            Kind::Waiver,
        ],
        |survey, found| over(survey, found, &READING, Check::Reading),
    ),
    choices: &[REOPEN, LET_STAND],
};

/// Closed over a part that is to be replaced.
pub(super) static WANTED: RuleDef = RuleDef {
    rule: Rule::ClosedOverWanted,
    said: "closed over a part that is to be replaced",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::Part, Kind::Order, Kind::Job, Kind::Waiver],
        |survey, found| over(survey, found, &WANTED, Check::PartWanted),
    ),
    choices: &[REOPEN, LET_STAND],
};

/// Closed over a part that lies in a container.
pub(super) static STORED: RuleDef = RuleDef {
    rule: Rule::ClosedOverStored,
    said: "closed over a part that is not in",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::Part, Kind::Container, Kind::Waiver],
        |survey, found| over(survey, found, &STORED, Check::PartStored),
    ),
    choices: &[
        REOPEN,
        ChoiceDef::new(
            ChoiceKey::Word("was_put_in"),
            Outcome::Of(1, "is in its place"),
            |settling, _| {
                let name = settling.about(1)?.clone();
                let nowhere = Stored::Scalar(None);
                Ok(vec![Stroke::Put(
                    name.kind,
                    name.id,
                    Part::container.to_owned(),
                    nowhere,
                )])
            },
        ),
        LET_STAND,
    ],
};

/// Closed over an inner assembly that is not closed.
pub(super) static ASSEMBLY: RuleDef = RuleDef {
    rule: Rule::ClosedOverAssembly,
    said: "closed over an assembly that is not closed",
    finds: Finds::InRecord(&[Kind::Assembly, Kind::Waiver], |survey, found| {
        over(survey, found, &ASSEMBLY, Check::Assembly)
    }),
    choices: &[REOPEN, LET_STAND],
};
