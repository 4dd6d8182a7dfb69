//! Tightened here, taken apart there: one keeper tightened bolts of an assembly while the other took it off or apart. The merge shows the run as far as it
//! was tightened, and nobody knows whether that was before it came apart or after. Whoever takes it apart knowing what was tightened has
//! those turns struck out by the same change. It never says that a bolt is tight that nobody logged.

use super::def::{ChoiceDef, ChoiceKey, Finds, Found, Outcome, RuleDef, Settling, Survey, nothing};
use super::point::{Point, Side, identity};
use super::rule::Rule;
use crate::document::{Ledger, Stroke};
use crate::entities::Tightened;
use crate::entity::Entity as _;
use crate::entry::{Entry, Scalar, Stamp};
use crate::name::Kind;
use crate::opened;
use crate::refusal::Refusal;
use crate::tightening::bolts_named;
use crate::title::title;
use crate::view::View;

/// Bolts were tightened, and the assembly was taken apart.
pub(super) static RULE: RuleDef = RuleDef {
    rule: Rule::TightenedApart,
    said: "bolts were tightened, and the assembly was taken apart",
    finds: Finds::InRecord(&[Kind::TighteningRun, Kind::Tightened, Kind::Assembly], look),
    choices: &[
        ChoiceDef::new(
            ChoiceKey::Word("tighten_again"),
            Outcome::Of(0, "is to be tightened again"),
            |settling, _| again(settling),
        ),
        ChoiceDef::new(
            ChoiceKey::Word("is_tight"),
            Outcome::Of(0, "was tightened after that"),
            nothing,
        )
        .with_why(),
    ],
};

/// The turns that were made apart from that hold nothing any more.
fn again(settling: &Settling<'_>) -> Result<Vec<Stroke>, Refusal> {
    let view = settling.view();
    let run = view.find(settling.about(0)?).ok_or(Refusal::NoSuchPoint)?;
    let assembly = view.find(settling.about(1)?).ok_or(Refusal::NoSuchPoint)?;
    let changes = &settling.point.changes;
    let turns = opened::turns(view, &run.id).filter(|turn| changes.contains(&turn.made.change));
    opened::loosened(assembly, turns)
}

fn look(survey: &Survey<'_>, found: &mut Found) -> bool {
    let view = survey.view;
    survey.each(Kind::TighteningRun, found, |run| point(view, survey.ledger, run))
}

fn point(view: &View, ledger: &Ledger, run: &Entry) -> Option<Point> {
    let (assembly, taken, turns) = opened::tightened_apart(view, ledger, run)?;
    let last = turns
        .iter()
        .map(|turn| &turn.made)
        .max_by_key(|stamp| (stamp.at, &stamp.change))?;
    let bolts = turns
        .iter()
        .filter_map(|turn| Tightened::of(turn)?.place())
        .collect();
    let about = vec![run.name(), assembly.name()];
    let changes: Vec<_> = std::iter::once(&taken.stamp.change)
        .chain(turns.iter().map(|turn| &turn.made.change))
        .collect();
    let side = |key: &str, of: &Entry, value: String, stamp: &Stamp| Side {
        key: key.to_owned(),
        about: of.name(),
        title: title(of),
        value: Some(Scalar::Line(value)),
        stamp: stamp.clone(),
        knew_other: false,
    };
    Some(Point {
        id: identity(Rule::TightenedApart, &about, "", &changes),
        rule: Rule::TightenedApart,
        title: format!(
            "'{}' was tightened, and '{}' was taken off or apart",
            title(run),
            title(assembly)
        ),
        sides: vec![
            side("side_1", run, bolts_named(&bolts), last),
            side("side_2", assembly, "taken off or apart".to_owned(), &taken.stamp),
        ],
        changes: changes.into_iter().copied().collect(),
        about,
        field: None,
        part_of: None,
        reopened: None,
        choices: RULE.offers(),
    })
}
