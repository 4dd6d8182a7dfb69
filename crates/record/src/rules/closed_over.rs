//! Closed over something open: one keeper closed the assembly while the other's open job or hold point was on its
//! way. The guard at the bench could not know. Who opened it *after* seeing it closed has made a plan, not a
//! contradiction; whoever closed it with a waiver has said why. What else can be closed over stands beside: it says
//! what is unfinished, and this looks whether it was closed over.

use super::def::{ChoiceDef, Finds, Found, Key, Outcome, RuleDef, Settling, Survey};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entities::{Waiver, WaiverFields};
use crate::entry::{Claim, Entry, Scalar, Stamp, View};
use crate::field::Given;
use crate::ids::Ids;
use crate::name::{Id, Kind};
use crate::open::is_open;
use crate::refusal::Refusal;
use crate::strokes;
use crate::title::title;
use crate::tree::Tree;

/// Closed over an open job.
pub(super) static JOB: RuleDef = RuleDef {
    rule: Rule::ClosedOverJob,
    said: "closed over an open job",
    finds: Finds::InRecord(&[Kind::Assembly, Kind::Job, Kind::Waiver], |survey, found| {
        over(survey, found, &JOB, Kind::Job, "job", open_still)
    }),
    choices: &[
        REOPEN,
        ChoiceDef::new(
            Key::Word("was_done"),
            Outcome::Of(1, "was done"),
            |settling, _| Ok(vec![strokes::state(Kind::Job, &settling.about(1)?.id, "done")]),
        ),
        LET_STAND,
    ],
};

/// Closed over an open hold point.
pub(super) static HOLD: RuleDef = RuleDef {
    rule: Rule::ClosedOverHold,
    said: "closed over an open hold point",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::HoldPoint, Kind::Waiver],
        |survey, found| over(survey, found, &HOLD, Kind::HoldPoint, "hold point", open_still),
    ),
    choices: &[
        REOPEN,
        ChoiceDef::new(Key::Word("was_met"), Outcome::Of(1, "was met"), |settling, _| {
            Ok(vec![strokes::state(
                Kind::HoldPoint,
                &settling.about(1)?.id,
                "met",
            )])
        }),
        LET_STAND,
    ],
};

/// The assembly is opened up again.
pub(super) const REOPEN: ChoiceDef = ChoiceDef::new(
    Key::Word("reopen"),
    Outcome::Of(0, "is opened up again"),
    |settling, _| {
        Ok(vec![strokes::state(
            Kind::Assembly,
            &settling.about(0)?.id,
            "fitted",
        )])
    },
);

/// It stays closed, and a waiver says why.
pub(super) const LET_STAND: ChoiceDef =
    ChoiceDef::new(Key::Word("let_stand"), Outcome::Of(0, "stays closed"), waive).with_why();

fn waive(settling: &Settling<'_>, ids: &mut dyn Ids) -> Result<Vec<Stroke>, Refusal> {
    let waiver = WaiverFields {
        assembly: Given::Put(settling.about(0)?.id.clone()),
        about: Given::Put(settling.about(1)?.clone()),
        why: Given::Put(settling.why.unwrap_or_default().to_owned()),
    };
    strokes::make::<Waiver>(&Id::from_uuid(ids.fresh()), &waiver)
}

/// What is unfinished of an entry.
pub(super) struct Unfinished {
    /// What made it so.
    pub(super) opening: Vec<Stamp>,
    /// Who is named beside it.
    pub(super) by: Stamp,
    /// How far it is, as it is shown.
    pub(super) value: Option<Scalar>,
}

/// What of a kind is unfinished in an assembly that was closed.
pub(super) fn over(
    survey: &Survey<'_>,
    found: &mut Found,
    rule: &RuleDef,
    kind: Kind,
    called: &str,
    unfinished: fn(&View, &Entry) -> Option<Unfinished>,
) -> bool {
    let (view, ledger) = (survey.view, survey.ledger);
    let mut tree: Option<Tree> = None;
    let mut look = |open: &Entry| -> Vec<Point> {
        let Some(home) = open.line("assembly").and_then(|id| id.parse::<Id>().ok()) else {
            return Vec::new();
        };
        let tree = tree.get_or_insert_with(|| Tree::of_assemblies_struck_too(view));
        // The innermost closed assembly is the one to open again; those around it follow. Where none is closed, nobody is asked how
        // far it is.
        let closed = tree.upward(&home).into_iter().find_map(|id| {
            let assembly = view
                .get(Kind::Assembly, &id)
                .filter(|assembly| assembly.stands())?;
            (assembly.line("state") == Some("closed")).then_some(assembly)
        });
        let of = closed.and_then(|assembly| Some((assembly, unfinished(view, open)?)));
        let point =
            of.and_then(|(assembly, still)| point(view, ledger, rule, called, assembly, open, &still));
        point.into_iter().collect()
    };
    // Bolts say how far a run is.
    match survey.only(&[Kind::Assembly, Kind::Waiver, Kind::Tightened]) {
        Some(touched) => {
            let mut other = false;
            for (name, entry) in touched.iter().filter(|(name, _)| name.kind == kind) {
                let standing = entry.filter(|entry| entry.stands());
                other |= found.put(&name.to_string(), standing.map(&mut look).unwrap_or_default());
            }
            other
        }
        None => found.anew(
            view.standing(kind)
                .map(|entry| (entry.name().to_string(), look(entry))),
        ),
    }
}

fn first_claim<'a>(entry: &'a Entry, field: &str) -> Option<&'a Claim> {
    entry.fields.get(field)?.claims().first()
}

/// A job or a hold point that is open.
fn open_still(_: &View, open: &Entry) -> Option<Unfinished> {
    if !is_open(open) {
        return None;
    }
    let state = first_claim(open, "state");
    let opening = state.map_or(&open.made, |claim| &claim.stamp);
    let placing = first_claim(open, "assembly").map_or(&open.made, |claim| &claim.stamp);
    Some(Unfinished {
        opening: vec![opening.clone(), placing.clone()],
        by: opening.clone(),
        value: state.and_then(|claim| claim.value.clone()),
    })
}

fn point(
    view: &View,
    ledger: &Ledger,
    rule: &RuleDef,
    called: &str,
    assembly: &Entry,
    open: &Entry,
    still: &Unfinished,
) -> Option<Point> {
    let closing = first_claim(assembly, "state")?;
    let planned = still.opening.iter().any(|stamp| {
        stamp.change != closing.stamp.change && ledger.knew(&stamp.change, &closing.stamp.change)
    });
    let name = open.name().to_string();
    let waived = view.standing(Kind::Waiver).any(|waiver| {
        waiver.line("about") == Some(name.as_str()) && waiver.line("assembly") == Some(assembly.id.as_str())
    });
    if planned || waived {
        return None;
    }
    let could_have_known = still
        .opening
        .iter()
        .all(|stamp| ledger.knew(&closing.stamp.change, &stamp.change));
    let about = vec![assembly.name(), open.name()];
    let changes: Vec<_> = std::iter::once(&closing.stamp.change)
        .chain(still.opening.iter().map(|stamp| &stamp.change))
        .collect();
    Some(Point {
        id: identity(rule.rule, &about, "", &changes),
        rule: rule.rule,
        title: format!("'{}' was closed over {called} '{}'", title(assembly), title(open)),
        sides: vec![
            Side {
                key: "side_1".to_owned(),
                about: assembly.name(),
                title: title(assembly),
                value: closing.value.clone(),
                stamp: closing.stamp.clone(),
                knew_other: could_have_known,
            },
            Side {
                key: "side_2".to_owned(),
                about: open.name(),
                title: title(open),
                value: still.value.clone(),
                stamp: still.by.clone(),
                knew_other: false,
            },
        ],
        changes: changes.into_iter().cloned().collect(),
        about,
        field: None,
        choices: rule.offers(),
    })
}
