//! What a keeper might do next: any edit there is, made at random from what their device shows. An act may be one
//! that the record refuses; whether it should have been is not decided here.

use std::collections::BTreeSet;

use record::edit::{Becomes, GivenFields, Waive};
use record::entities as e;
use record::{Day, Edit, Id, Kind, Ref, Refusal};
use serde_json::{Map, Value, json};

use crate::seed::Dice;
use crate::value::{self, Fields, Seen, token};

/// What a device shows, as far as acts are made from it.
pub trait Shown: Seen {
    /// The points to settle: each with its choices and whether they want a reason.
    fn points(&self) -> Vec<(String, Vec<(String, bool)>)>;
    /// The text of the device's own keeper's sheet of a day.
    fn sheet(&self, day: &str) -> String;
    /// What stands in the way of closing an assembly.
    fn blockers(&self, assembly: &Id) -> Vec<Ref>;
    /// The device itself.
    fn device(&self) -> Id;
}

/// What a keeper has in hand between two acts.
#[derive(Clone, Debug, Default)]
pub struct Hand {
    /// What this keeper struck out.
    pub struck: BTreeSet<Ref>,
    /// A sheet that is open for writing: its day, and its text as it was then.
    pub open: Option<(String, String)>,
}

/// Something a keeper does.
#[derive(Clone, Debug)]
pub enum Act {
    /// Enters something.
    Add(Kind, Id, Fields),
    /// Changes something.
    Change(Kind, Id, Fields),
    /// Strikes it out, and says what becomes of what stands inside it, or forgets to.
    Strike(Ref, String, Option<Becomes>),
    /// Takes the strike back.
    TakeBack(Ref),
    /// Adds a line to the day's sheet.
    Note(String, String),
    /// Rewrites the day's sheet: before, after, and whether lines were only put in.
    Rewrite(String, String, String, bool),
    /// Puts the day's hours.
    Hours(String, String),
    /// Closes an assembly up.
    CloseUp(Id, Vec<Waive>),
    /// Settles a point.
    Settle(String, String, Option<String>),
}

/// Days are few, so that devices meet on them; two months, so that more than one is laid.
const DAYS: &[&str] = &["2031-02-28", "2031-03-01", "2031-03-02"];

/// What keepers enter by hand: whatever is worked on, and keepers; sheets, waivers and settlements come of other acts, devices
/// of joining.
fn entered() -> Vec<Kind> {
    std::iter::once(Kind::Keeper).chain(Kind::worked_on()).collect()
}

impl Act {
    /// Something to do with what is shown.
    pub fn any(shown: &dyn Shown, hand: &mut Hand, dice: &mut Dice, count: &mut u64) -> Self {
        loop {
            let made = match dice.below(100) {
                0..=26 => Self::add(shown, dice, count),
                27..=54 => Self::change(shown, dice, count),
                55..=59 => Self::strike(shown, dice, count),
                60..=62 => dice
                    .one(&hand.struck.iter().cloned().collect::<Vec<_>>())
                    .cloned()
                    .map(Self::TakeBack),
                63..=72 => Some(Self::Note((*dice.pick(DAYS)).to_owned(), token(dice, count))),
                73..=80 => Some(Self::rewrite(shown, hand, dice, count)),
                81..=83 => {
                    let hours = *dice.pick(&["", "0.5", "2.5", "3,25", "11"]);
                    Some(Self::Hours((*dice.pick(DAYS)).to_owned(), hours.to_owned()))
                }
                84..=91 => Self::close_up(shown, dice, count),
                _ => Self::settle(shown, dice, count),
            };
            if let Some(act) = made {
                return act;
            }
        }
    }

    fn add(shown: &dyn Shown, dice: &mut Dice, count: &mut u64) -> Option<Self> {
        // Assemblies and what contradicts itself come more often.
        let kind = match dice.below(15) {
            0 | 1 => Kind::Assembly,
            2 => Kind::Container,
            3 | 4 => Kind::Order,
            5 | 11 => Kind::Job,
            6 => Kind::HoldPoint,
            7 => Kind::Part,
            8 | 9 => Kind::Reading,
            10 => Kind::Instrument,
            12 => *dice.pick(&[Kind::TighteningRun, Kind::Tightened]),
            _ => *dice.pick(&entered()),
        };
        let id = Id::from_uuid(dice.uuid());
        let fields = value::for_new(kind, shown, dice, count)?;
        Some(Self::Add(kind, id, fields))
    }

    fn change(shown: &dyn Shown, dice: &mut Dice, count: &mut u64) -> Option<Self> {
        let kind = match dice.below(16) {
            0 | 1 => Kind::Car,
            2 => Kind::Device,
            _ => *dice.pick(&entered()),
        };
        let ids = match kind {
            Kind::Car => vec![Id::car()],
            Kind::Device => vec![shown.device()],
            kind => shown.standing(kind),
        };
        // The first few are changed again and again, so that devices meet on them.
        let most = ids.len().min(2);
        let id = dice.one(&ids[..most])?.clone();
        let fields = value::for_change(kind, shown, dice, count);
        (!fields.json.is_empty()).then_some(Self::Change(kind, id, fields))
    }

    fn strike(shown: &dyn Shown, dice: &mut Dice, count: &mut u64) -> Option<Self> {
        let kind = *dice.pick(&entered());
        let ids = shown.standing(kind);
        // A record without keepers writes no sheets; a few are left.
        if kind == Kind::Keeper && ids.len() < 4 {
            return None;
        }
        let name = Ref::new(kind, dice.one(&ids)?.clone());
        let inside = *dice.pick(&[
            None,
            Some(Becomes::MoveUp),
            Some(Becomes::StrikeToo),
            Some(Becomes::Leave),
        ]);
        Some(Self::Strike(name, token(dice, count), inside))
    }

    /// Opens a sheet, or writes back the one that was opened: by now the sheet may read otherwise.
    fn rewrite(shown: &dyn Shown, hand: &mut Hand, dice: &mut Dice, count: &mut u64) -> Self {
        let (day, before) = hand.open.take().unwrap_or_else(|| {
            let day = (*dice.pick(DAYS)).to_owned();
            let text = shown.sheet(&day);
            (day, text)
        });
        if dice.chance(40) {
            hand.open = Some((day.clone(), shown.sheet(&day)));
        }
        let mut lines: Vec<String> = before.split_inclusive('\n').map(str::to_owned).collect();
        let only_in = dice.chance(60) || lines.is_empty();
        let at = dice.below(lines.len() + 1);
        if only_in {
            // A line put between others ends like a line, and the one before it too.
            if let Some(last) = lines.last_mut().filter(|last| !last.ends_with('\n')) {
                last.push('\n');
            }
            lines.insert(at, format!("{}\n", token(dice, count)));
        } else {
            match dice.below(3) {
                0 => drop(lines.remove(at.min(lines.len() - 1))),
                1 => lines.clear(),
                _ => {
                    let at = at.min(lines.len() - 1);
                    lines[at] = format!("{}\n", token(dice, count));
                }
            }
        }
        Self::Rewrite(day, before, lines.concat(), only_in)
    }

    fn close_up(shown: &dyn Shown, dice: &mut Dice, count: &mut u64) -> Option<Self> {
        let assembly = dice.one(&shown.standing(Kind::Assembly))?.clone();
        let blockers = shown.blockers(&assembly);
        let waive = if dice.chance(60) {
            let waive = |about: Ref| Waive::all_of(about, token(dice, count));
            blockers.into_iter().map(waive).collect()
        } else {
            Vec::new()
        };
        Some(Self::CloseUp(assembly, waive))
    }

    fn settle(shown: &dyn Shown, dice: &mut Dice, count: &mut u64) -> Option<Self> {
        let (point, choices) = dice.one(&shown.points())?.clone();
        let (choice, wants_why) = dice.one(&choices)?.clone();
        let why = (wants_why || dice.chance(30)).then(|| token(dice, count));
        Some(Self::Settle(point, choice, why))
    }

    /// As an edit of the record, by this keeper.
    ///
    /// # Errors
    /// Where the record says that a field does not fit.
    pub fn edit(&self, keeper: &Id) -> Result<Edit, Refusal> {
        let day = |day: &str| -> Day { day.parse().unwrap() };
        let keeper = keeper.clone();
        Ok(match self.clone() {
            Self::Add(kind, id, fields) => Edit::Add {
                id,
                fields: given(kind, fields.json)?,
            },
            Self::Change(kind, id, fields) => Edit::Change {
                id,
                fields: given(kind, fields.json)?,
            },
            Self::Strike(name, why, inside) => Edit::Strike {
                name,
                why,
                inside,
                into: None,
            },
            Self::TakeBack(name) => Edit::TakeBack { name },
            Self::Note(on, text) => Edit::Note {
                day: day(&on),
                keeper,
                text,
            },
            Self::Rewrite(on, before, after, _) => Edit::Rewrite {
                day: day(&on),
                keeper,
                before,
                after,
            },
            Self::Hours(on, hours) => Edit::Hours {
                day: day(&on),
                keeper,
                hours,
            },
            Self::CloseUp(assembly, waive) => Edit::CloseUp { assembly, waive },
            Self::Settle(point, choice, why) => Edit::Settle { point, choice, why },
        })
    }

    /// As a command of the registry: its name and its arguments.
    #[must_use]
    pub fn command(&self) -> (String, Value) {
        match self.clone() {
            Self::Add(kind, _, fields) => (format!("add_{kind}"), Value::Object(fields.json)),
            Self::Change(kind, id, fields) => (
                format!("change_{kind}"),
                json!({ "id": id, "fields": fields.json }),
            ),
            Self::Strike(name, why, inside) => (
                "strike".into(),
                json!({ "name": name, "why": why, "inside": inside }),
            ),
            Self::TakeBack(name) => ("take_back".into(), json!({ "name": name })),
            Self::Note(day, text) => ("note".into(), json!({ "day": day, "text": text })),
            Self::Rewrite(day, before, after, _) => (
                "write_sheet".into(),
                json!({ "day": day, "before": before, "after": after }),
            ),
            Self::Hours(day, hours) => ("put_hours".into(), json!({ "day": day, "hours": hours })),
            Self::CloseUp(assembly, waive) => {
                ("close_up".into(), json!({ "assembly": assembly, "waive": waive }))
            }
            Self::Settle(point, choice, why) => (
                "settle".into(),
                json!({ "point": point, "choice": choice, "why": why }),
            ),
        }
    }
}

/// Fields from the wire for a kind known only at run time.
///
/// # Errors
/// Where a field does not fit.
///
/// # Panics
/// Where the wire does not take the JSON at all: the tables of fields and the wire's types disagree then.
pub fn given(kind: Kind, json: Map<String, Value>) -> Result<GivenFields, Refusal> {
    macro_rules! of {
        ($($name:ident $fields:ident),+ $(,)?) => {
            match kind {
                $(Kind::$name => {
                    let fields: e::$fields = serde_json::from_value(Value::Object(json)).unwrap();
                    GivenFields::of::<e::$name>(&fields)
                })+
            }
        };
    }
    of! {
        Car CarFields, Keeper KeeperFields, Device DeviceFields, Assembly AssemblyFields, Part PartFields,
        Finding FindingFields, Job JobFields, Try TryFields, Sheet SheetFields, Photo PhotoFields,
        Container ContainerFields, Limit LimitFields, Instrument InstrumentFields, Reading ReadingFields,
        Order OrderFields, HoldPoint HoldPointFields, Waiver WaiverFields, Settlement SettlementFields,
        KeptAnswer KeptAnswerFields, TighteningRun TighteningRunFields, Tightened TightenedFields,
    }
}
