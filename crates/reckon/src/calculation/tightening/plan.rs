//! The order and the stages of a tightening, reckoned with measures: what the calculation of the bench writes down, and what a
//! tightening run goes by.
//!
//! Never overrules the order in the car's own manual; what the plan holds for goes with it.

use super::super::argument::{Argument, Want};
use super::super::danger::{Danger, cautions};
use super::super::given::read_exact_list;
use crate::answer::{Note, Problem, ReckonRefusal, RefusalCode};
use crate::pattern::{circle, rectangle};
use crate::quantity::{Exact, Kind, Unit, shown};
use crate::typed::Typed;

pub(super) const DANGERS: &[Danger] = &[Danger::Torque, Danger::Yield];

pub(super) const BOLTS: Argument =
    Argument::new("bolts", "N", "the number of bolts in the ring", Want::Whole)
        .within(3.0, 48.0)
        .such_as("8", "8");
pub(super) const ROWS: Argument = Argument::new("rows", "", "rows of bolts in the rectangle", Want::Whole)
    .within(1.0, 6.0)
    .such_as("2", "2");
pub(super) const COLUMNS: Argument = Argument::new("columns", "", "bolts in each row", Want::Whole)
    .within(1.0, 12.0)
    .such_as("4", "4");
pub(super) const TORQUE: Argument =
    Argument::new("torque", "T", "the last torque", Want::Quantity(Kind::Torque))
        .within(0.05, 3_000.0)
        .usually(1.0, 500.0)
        .such_as("60 N·m", "44 lbf·ft");
pub(super) const STAGES: Argument = Argument::new(
    "stages",
    "",
    "the stages, as parts of the last torque",
    Want::List(Kind::Number),
)
.within(0.01, 1.0)
.or("30, 60, 100 %")
.such_as("30, 60, 100 %", "50, 100 %");

/// How bolts lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bolts {
    /// In a ring of 3 to 48, numbered one after the other round it.
    Ring(i32),
    /// In 1 to 6 rows of 1 to 12 each, numbered along each row.
    Rows {
        /// How many rows.
        rows: i32,
        /// How many bolts in each.
        columns: i32,
    },
}

/// One stage over all bolts.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Which part of the last torque, exact; 1 is all of it.
    pub part: Exact,
    /// Its torque, exact and in N·m, where one was given.
    pub torque: Option<Exact>,
    /// The bolts in their order, numbered from 1.
    pub order: Vec<i32>,
}

impl Stage {
    fn of(part: Exact, torque: Option<&Typed>, order: Vec<i32>) -> Self {
        Self {
            torque: torque.map(|torque| torque.exact().times(&part)),
            part,
            order,
        }
    }

    /// Its torque as it is shown in a unit of torque. Half is rounded away from nought, as on paper, since no float's error is in it.
    #[must_use]
    pub fn shown(&self, unit: Unit) -> Option<String> {
        let torque = self.torque.as_ref().filter(|_| unit.kind() == Kind::Torque)?;
        Some(shown(unit.from_base_exact(torque).to_f64(), unit))
    }

    /// The part in per cent.
    #[must_use]
    pub fn percent(&self) -> f64 {
        self.part.to_f64() * 100.0
    }
}

/// In which order to tighten bolts, and in which stages.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The bolts as the pattern goes, numbered from 1.
    pub order: Vec<i32>,
    /// The stages as asked for, each in that order, and a last round at the whole torque from bolt to bolt: one that still turns was
    /// held back by its neighbour.
    pub stages: Vec<Stage>,
    /// What order and torque hold for; not to be shown without.
    pub conditions: Vec<Note>,
    /// What to mind; not to be shown without.
    pub cautions: Vec<Note>,
}

/// Reads stages as they are typed: `30, 60, 100 %`, or `0.5, 1`.
///
/// # Errors
/// [`RefusalCode::Unclear`] about `stages`, with what could be meant.
pub fn read_stages(text: &str) -> Result<Vec<Exact>, ReckonRefusal> {
    read_exact_list(&STAGES, text)
}

/// Reckons the order and the stages; `stages` are parts of the last torque, rising to 1. A ring is tightened by the cross-pattern of
/// ASME PCC-1 ([`circle`] says for which numbers that is printed), a rectangle from the centre outwards ([`rectangle`], from
/// memory); stages of about 30, 60 and 100 % and a last round are those of ASME PCC-1.
///
/// ```
/// use reckon::{Unit, parse_any, tightening};
///
/// let head = tightening::Bolts::Rows { rows: 2, columns: 5 };
/// let stages = tightening::read_stages("30, 60, 100 %").unwrap();
/// let torque = parse_any("60 N·m").unwrap();
/// let plan = tightening::plan(head, Some(&torque), &stages).unwrap();
/// // Two rows of five: from the middle outwards, three times, and once more round.
/// assert_eq!(plan.order[..2], [3, 8]);
/// assert_eq!(plan.stages.len(), 4);
/// assert_eq!(plan.stages[0].shown(Unit::NewtonMetre).unwrap(), "18.0 N·m");
/// ```
///
/// # Errors
/// [`RefusalCode::Unclear`] for what is no torque; [`RefusalCode::OutOfRange`] for each that is outside its range: bolts as [`Bolts`] says, a torque of 0.05 N·m to 3000 N·m, stages of
/// 0.01 to 1; then [`RefusalCode::Impossible`] for stages that do not rise to 1.
pub fn plan(bolts: Bolts, torque: Option<&Typed>, stages: &[Exact]) -> Result<Plan, ReckonRefusal> {
    let parts: Vec<f64> = stages.iter().map(Exact::to_f64).collect();
    check(bolts, torque, &parts)?;
    let rising = parts
        .iter()
        .zip(parts.iter().skip(1))
        .all(|(one, next)| one < next);
    if !rising || parts.last().is_none_or(|last| (last - 1.0).abs() > 1e-9) {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            STAGES.name,
            "The stages must rise, and the last must be 100 %.",
        ));
    }
    let order = match bolts {
        Bolts::Ring(bolts) => circle(bolts as usize),
        Bolts::Rows { rows, columns } => rectangle(rows as usize, columns as usize),
    };
    let order: Vec<i32> = order.into_iter().map(|bolt| bolt as i32 + 1).collect();
    let round: Vec<i32> = (1_i32..).take(order.len()).collect();
    let mut all: Vec<Stage> = stages
        .iter()
        .map(|part| Stage::of(part.clone(), torque, order.clone()))
        .collect();
    all.push(Stage::of(Exact::whole(1), torque, round));
    Ok(Plan {
        conditions: conditions(bolts, &order),
        cautions: cautions(DANGERS).map(|(key, words)| note(key, words)).collect(),
        stages: all,
        order,
    })
}

/// Holds what was given against the ranges of the bench, every problem at once.
fn check(bolts: Bolts, torque: Option<&Typed>, parts: &[f64]) -> Result<(), ReckonRefusal> {
    let count =
        |argument: &Argument, count: i32| argument.check(&[f64::from(count)], &count.to_string(), false);
    let lie = match bolts {
        Bolts::Ring(bolts) => vec![count(&BOLTS, bolts)],
        Bolts::Rows { rows, columns } => vec![count(&ROWS, rows), count(&COLUMNS, columns)],
    };
    let torque = torque.map(|torque| match torque.kind() {
        Kind::Torque => TORQUE.check(&[torque.value()], torque.text(), false),
        other => {
            let words = format!(
                "“{}” is {}; a torque is wanted here.",
                torque.text(),
                other.words()
            );
            Err(Problem::new(RefusalCode::Unclear, TORQUE.name, words))
        }
    });
    let told: Vec<String> = parts.iter().map(|part| (part * 100.0).to_string()).collect();
    let stages = STAGES.check(parts, &format!("{} %", told.join(", ")), false);
    let all = lie.into_iter().chain(torque).chain([stages]);
    let problems: Vec<Problem> = all.filter_map(Result::err).collect();
    if problems.is_empty() {
        Ok(())
    } else {
        Err(ReckonRefusal { problems })
    }
}

/// What the plan holds for, and the way back.
fn conditions(bolts: Bolts, order: &[i32]) -> Vec<Note> {
    let odd = matches!(bolts, Bolts::Ring(bolts) if bolts % 2 == 1).then(|| {
        note(
            "odd",
            "An odd number has no opposite bolts: the nearest to opposite comes next.",
        )
    });
    let back: Vec<String> = order.iter().rev().map(i32::to_string).collect();
    let loosen = Note {
        key: "loosen".into(),
        words: format!(
            "Loosen in the reverse order, a little at a time: {}.",
            back.join("-")
        )
        .into(),
    };
    let holds_for = HOLDS_FOR.iter().map(|(key, words)| note(key, words));
    odd.into_iter().chain([loosen]).chain(holds_for).collect()
}

fn note(key: &'static str, words: &'static str) -> Note {
    Note {
        key: key.into(),
        words: words.into(),
    }
}

/// What any tightening holds for.
const HOLDS_FOR: &[(&str, &str)] = &[
    (
        "lubrication",
        "A torque holds only for the lubrication it was given for: oil on a thread meant dry stretches the bolt much further.",
    ),
    (
        "grade",
        "The bolts are of the grade and size meant, clean and whole.",
    ),
    (
        "source",
        "Write down where the torque and the order come from: book, edition and page.",
    ),
    (
        "manual_order",
        "Where the car's own manual gives an order or angles, that is the order.",
    ),
];
