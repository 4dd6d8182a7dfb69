//! What was agreed and is reopened: the settlement is struck out, with why, and its point stands again with both sides as they were. Most
//! rules would not find it any more, since whoever settled it wrote over what contradicted; so the settlement keeps, from when it is
//! reopened, what its point was. Where a rule finds it again by itself, that one stands. It writes nothing.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::point::{Choice, PartOf, Point, Reopened, SaidOfIt, Side};
use super::rule::Rule;
use crate::document::Ledger;
use crate::entities::{Assembly, Settlement};
use crate::entry::{Entry, STRUCK, Scalar};
use crate::hash::ChangeId;
use crate::name::{Kind, Ref};
use crate::title::title;
use crate::view::View;
use crate::words::{AssemblyState, Words as _};

/// A choice of a point by its key, as it is offered; nothing for one that this program does not know to carry out.
pub(super) type Offered = fn(&Point, &str) -> Option<Choice>;

/// What a point was when it was settled, as its settlement keeps it: no more than cannot be read elsewhere.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct PointStood {
    title: String,
    about: Vec<Ref>,
    sides: Vec<StoodSide>,
    choices: Vec<String>,
    changes: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    part_of: Option<PartOf>,
}

#[derive(Debug, Serialize, Deserialize)]
struct StoodSide {
    about: Ref,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    value: Option<Scalar>,
    change: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    knew: bool,
    /// What it is called, where that is not what the entry is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    title: Option<String>,
}

impl PointStood {
    pub(crate) fn of(view: &View, point: &Point) -> Self {
        let side = |side: &Side| StoodSide {
            about: side.about.clone(),
            value: side.value.clone(),
            change: side.stamp.change.to_string(),
            knew: side.knew_other,
            title: Some(side.title.clone())
                .filter(|said| Some(said) != view.find(&side.about).map(title).as_ref()),
        };
        Self {
            title: point.title.clone(),
            about: point.about.clone(),
            sides: point.sides.iter().map(side).collect(),
            choices: point.choices.iter().map(|choice| choice.key.clone()).collect(),
            changes: point.changes.iter().map(ToString::to_string).collect(),
            part_of: point.part_of.clone(),
        }
    }

    fn point(self, view: &View, ledger: &Ledger, settled: &Entry, offered: Offered) -> Option<Point> {
        let word = settled.line(Settlement::rule)?;
        let rule = Rule::ALL.iter().copied().find(|rule| rule.word() == word)?;
        let mut sides = Vec::new();
        for (side, at) in self.sides.into_iter().zip(1_u32..) {
            let change = ChangeId::from_hex(&side.change).filter(|change| ledger.has(change))?;
            let called = view.find(&side.about).map(title);
            sides.push(Side {
                key: format!("side_{at}"),
                title: side.title.or(called)?,
                about: side.about,
                value: side.value,
                stamp: ledger.stamp(change),
                knew_other: side.knew,
            });
        }
        let mut point = Point {
            id: String::new(),
            rule,
            title: self.title,
            about: self.about,
            field: settled.line(Settlement::field).map(str::to_owned),
            part_of: self.part_of,
            sides,
            choices: Vec::new(),
            reopened: None,
            changes: self
                .changes
                .iter()
                .filter_map(|change| ChangeId::from_hex(change))
                .collect(),
        };
        for key in self.choices {
            // What this program does not know to carry out is not offered.
            let choice = offered(&point, &key);
            point.choices.extend(choice);
        }
        Some(point)
    }
}

/// Lays what is reopened beside the points that stand: each by itself, or upon the one that a rule finds again.
pub(super) fn lay(
    view: &View,
    ledger: &Ledger,
    points: &mut Vec<Point>,
    offered: Offered,
    is_settled: impl Fn(&str) -> bool,
) {
    let mut struck: Vec<(&Entry, Reopened)> = view.all(Kind::Settlement).filter_map(reopened).collect();
    struck.sort_by(|(a, _), (b, _)| (a.made.at, &a.id).cmp(&(b.made.at, &b.id)));
    let mut laid: BTreeMap<String, String> = BTreeMap::new();
    for (settled, reopened) in struck {
        let Some(was) = settled.line(Settlement::point) else {
            continue;
        };
        let stood = settled
            .line(Settlement::stood)
            .and_then(|kept| serde_json::from_str::<PointStood>(kept).ok());
        let Some(mut point) = stood.and_then(|stood| stood.point(view, ledger, settled, offered)) else {
            continue;
        };
        // It was opened since, by somebody: there is nothing left to say of how it was closed.
        if point.rule.is_of_a_closing() && !is_closed(view, &point) {
            continue;
        }
        let again = |one: &&mut Point| {
            one.id == was || (one.rule == point.rule && one.about == point.about && one.field == point.field)
        };
        if let Some(again) = points.iter_mut().find(again) {
            again.reopened = Some(reopened);
            continue;
        }
        // Of a point that was reopened before, the first that stood keeps its name.
        let id = laid.get(was).cloned().unwrap_or_else(|| identity(was, settled));
        let _ = laid.insert(id.clone(), id.clone());
        if is_settled(&id) {
            continue;
        }
        point.id = id;
        point.reopened = Some(reopened);
        points.push(point);
    }
}

fn is_closed(view: &View, point: &Point) -> bool {
    let state = point.about.first().and_then(|name| view.find(name));
    state.and_then(|entry| entry.line(Assembly::state)) == Some(AssemblyState::Closed.word())
}

/// That a settlement was reopened, by whom and why.
fn reopened(settled: &Entry) -> Option<(&Entry, Reopened)> {
    let (why, stamp) = settled.struck()?;
    let others = settled.claims(STRUCK).iter();
    let others = others.filter(|claim| claim.stamp.change != stamp.change);
    let reopened = Reopened {
        settlement: settled.id.clone(),
        by: stamp.clone(),
        why: why.to_owned(),
        apart: others
            .map(|claim| SaidOfIt {
                by: claim.stamp.clone(),
                why: claim.value.as_ref().and_then(Scalar::line).map(str::to_owned),
            })
            .collect(),
    };
    Some((settled, reopened))
}

/// The identity of a point that is reopened: the same on every device, and another than before, which is settled.
fn identity(was: &str, settled: &Entry) -> String {
    let mut hasher = blake3::Hasher::new();
    hasher.update(b"reopened\0").update(was.as_bytes());
    hasher.update(b"\0").update(settled.made.change.hex().as_bytes());
    hasher.finalize().to_hex().chars().take(32).collect()
}
