//! Closed over something unfinished: one keeper closed the assembly while the other's open job, finding or hold point was on its
//! way. The guard at the bench could not know. Who opened it *after* seeing it closed has made a plan, not a
//! contradiction; whoever closed it with a waiver has said why. What is unfinished the checks say, which the guard asks as well;
//! what else can be closed over stands beside this.

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::checks::{self, CheckDef, Looked, Opening};
use crate::closing_check::Check;
use crate::document::{Ledger, Stroke};
use crate::entities::{Assembly, HoldPoint, Waiver, WaiverFields};
use crate::entry::{Entry, Stamp};
use crate::field::Given;
use crate::holding;
use crate::ids::Ids;
use crate::name::Id;
use crate::name::Kind;
use crate::refusal::Refusal;
use crate::shown::says_something;
use crate::strokes;
use crate::title::title;
use crate::tree::assemblies_around_struck_too;
use crate::view::View;

/// Closed over an open job.
pub(super) static JOB: RuleDef = RuleDef {
    rule: Rule::ClosedOverJob,
    said: "closed over an open job",
    finds: Finds::InRecord(
        &[Kind::Assembly, Kind::Job, Kind::Part, Kind::Waiver],
        |survey, found| over(survey, found, &JOB, Check::Job),
    ),
    choices: &[
        REOPEN,
        ChoiceDef::new(
            ChoiceKey::Word("was_done"),
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
        |survey, found| over(survey, found, &HOLD, Check::HoldPoint),
    ),
    choices: &[
        REOPEN,
        ChoiceDef::new(
            ChoiceKey::Word("was_met"),
            Outcome::Of(1, "was met"),
            |settling, _| was_met(settling),
        )
        .with_why(),
        LET_STAND,
    ],
};

/// It had been met, and this is what was seen: a tap alone meets nothing.
fn was_met(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let why = settling.why.unwrap_or_default();
    if !says_something(why) {
        return Err(Refusal::WhyWanted);
    }
    let name = settling.about(1)?.clone();
    let said = strokes::line(HoldPoint::met_how, why)?;
    Ok(vec![
        strokes::state(name.kind, &name.id, "met"),
        holding::by_nothing(&name.id),
        Stroke::Put(name.kind, name.id, HoldPoint::met_how.to_owned(), said),
    ])
}

/// The assembly is opened up again.
pub(super) const REOPEN: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("reopen"),
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
pub(super) const LET_STAND: ChoiceDef = ChoiceDef::new(
    ChoiceKey::Word("let_stand"),
    Outcome::Of(0, "stays closed"),
    waive,
)
.with_why();

fn waive(settling: &Settling<'_>, ids: &mut dyn Ids) -> Result<Vec<Stroke>, Refusal> {
    let why = settling.why.unwrap_or_default();
    if !says_something(why) {
        return Err(Refusal::WhyWanted);
    }
    let check = settling.point.rule.check().filter(|check| check.is_said());
    let waiver = WaiverFields {
        assembly: Given::Put(settling.about(0)?.id.clone()),
        about: Given::Put(settling.about(1)?.clone()),
        why: Given::Put(why.to_owned()),
        check: check.map_or(Given::Leave, |check| Given::Put(check.word().to_owned())),
    };
    strokes::make::<Waiver>(&Id::from_uuid(ids.fresh()), &waiver)
}

/// What a check finds unfinished in an assembly that was closed.
pub(super) fn over(survey: &Survey<'_>, found: &mut Found, rule: &RuleDef, check: Check) -> bool {
    let Some(def) = checks::def(check) else {
        return false;
    };
    let (view, ledger) = (survey.view, survey.ledger);
    let looked = Looked::at(view);
    // The innermost closed assembly is the one to open again; those around it follow. Where none is closed, nobody is asked how far it is.
    let closed = |home: &Id| -> Vec<&Entry> {
        let around = assemblies_around_struck_too(view, home)
            .into_iter()
            .filter_map(|id| {
                let assembly = view
                    .get(Kind::Assembly, &id)
                    .filter(|assembly| assembly.stands())?;
                (assembly.line(Assembly::state) == Some("closed")).then_some(assembly)
            });
        around.collect()
    };
    let look = |open: &Entry| -> Vec<Point> {
        let mut asked = *def;
        let home = (def.within)(view, open);
        let mut lids = home.as_ref().map(&closed).unwrap_or_default();
        let mut put_there = Vec::new();
        // Entered elsewhere, it may be of what is closed all the same.
        if lids.is_empty() {
            asked.from_the_first = false;
            let also = (def.also)(view, open).into_iter();
            let mut also = also.map(|(home, stamps)| (closed(&home), stamps));
            (lids, put_there) = also.find(|(lids, _)| !lids.is_empty()).unwrap_or_default();
        }
        if lids.is_empty() || (def.unfinished)(&looked, open).is_none() {
            return Vec::new();
        }
        let Some(mut opening) = (def.opening)(&looked, open) else {
            return Vec::new();
        };
        opening.stamps.extend(put_there);
        // What somebody planned who saw the innermost closed, whoever closed around that may not have known of all the same.
        let many = if asked.from_the_first { 1 } else { usize::MAX };
        let point = lids
            .into_iter()
            .take(many)
            .map_while(|assembly| judged(view, ledger, rule, &asked, assembly, open, &opening))
            .find_map(|judged| judged);
        point.into_iter().collect()
    };
    let Some(again) = survey.again(def.kind, &[]) else {
        let each = view.standing(def.kind);
        return found.anew(each.map(|entry| (entry.name().to_string(), look(entry))));
    };
    let mut other = false;
    for name in again {
        let standing = view.find(&name).filter(|entry| entry.stands());
        other |= found.put(&name.to_string(), standing.map(look).unwrap_or_default());
    }
    other
}

/// Whether one closing is at odds with what is open in it: its point, or none where somebody knew of the other. Nothing at all where a
/// reason was given, after which nobody is asked about what is around it either.
fn judged(
    view: &View,
    ledger: &Ledger,
    rule: &RuleDef,
    def: &CheckDef,
    assembly: &Entry,
    open: &Entry,
    opening: &Opening,
) -> Option<Option<Point>> {
    let closing = assembly.fields.get(Assembly::state)?.claims().first()?;
    let after = |stamp: &Stamp| {
        stamp.change != closing.stamp.change && ledger.knew(&stamp.change, &closing.stamp.change)
    };
    // Nobody has planned a finding that a third has had a part in, apart from both: it may be a danger since. (Whoever measures in what
    // they see closed has planned it, whatever became of the limit meanwhile; what was asked from the first goes on as it did.)
    let planned = opening.stamps.iter().any(after)
        && (def.check != Check::Finding || opening.was_before(ledger, &closing.stamp.change));
    let name = open.name().to_string();
    // A reason that was given for an earlier closing says nothing of this one. (What was asked from the first goes on as it did.)
    let closings = || {
        assembly
            .fields
            .get(Assembly::state)
            .into_iter()
            .flat_map(|held| held.claims())
    };
    // Nor does a reason say anything of what its writer could not know: 'to mend' was let stand, and it had become a danger.
    let of_this = |waiver: &Entry| {
        def.from_the_first
            || ((def.check != Check::Finding || opening.was_before(ledger, &waiver.made.change))
                && (ledger.knew(&waiver.made.change, &closing.stamp.change)
                    || closings().any(|claim| claim.stamp.change == waiver.made.change)))
    };
    // Who knew what is asked last: of few waivers, and not of all there are.
    let waived = view
        .naming(&open.name(), Kind::Waiver)
        .filter(|waiver| {
            waiver.stands()
                && waiver.line(Waiver::about) == Some(name.as_str())
                && waiver.line(Waiver::assembly) == Some(assembly.id.as_str())
                && def.check.is_meant_by(waiver.line(Waiver::check))
        })
        .any(of_this);
    if waived {
        return None;
    }
    if planned {
        return Some(None);
    }
    let could_have_known = opening
        .stamps
        .iter()
        .all(|stamp| ledger.knew(&closing.stamp.change, &stamp.change));
    // Nobody asked about it when that was closed, so nobody is at odds with anybody.
    if could_have_known && !def.from_the_first {
        return Some(None);
    }
    let about = vec![assembly.name(), open.name()];
    let changes: Vec<_> = std::iter::once(&closing.stamp.change)
        .chain(opening.stamps.iter().map(|stamp| &stamp.change))
        .collect();
    Some(Some(Point {
        id: identity(rule.rule, &about, "", &changes),
        rule: rule.rule,
        title: format!(
            "'{}' was closed over {} '{}'",
            title(assembly),
            def.called,
            title(open)
        ),
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
                value: opening.value.clone(),
                stamp: opening.by.clone(),
                knew_other: false,
            },
        ],
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        choices: rule.offers(),
    }))
}
