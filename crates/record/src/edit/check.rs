//! What must be so before an edit is done: things it names are there, nothing ends up inside itself, and an
//! assembly is closed only by closing it up.

use crate::ending::{End, said_to_hurt};
use crate::entities::{
    Assembly, Container, Device, Finding, HoldPoint, Job, Limit, Part, Photo, Reading, Tightened,
    TighteningRun,
};
use crate::entity::Entity as _;
use crate::entry::Scalar;
use crate::field::{FieldDef, Misfit, Shape, Stored};
use crate::given::GivenFields;
use crate::holding::{self, MetBy};
use crate::lies::Lies;
use crate::name::{Id, Kind, Link, Ref};
use crate::refusal::Refusal;
use crate::standing::{some_words, standing};
use crate::tightening::RunStanding;
use crate::title::title;
use crate::tree::Tree;
use crate::view::View;
use crate::words::{AssemblyState, Layout, Words as _};

/// Refuses a number of things, or of minutes, that there cannot be.
fn counted(kind: Kind, field: &'static str, number: i32) -> Result<(), Refusal> {
    let why = match (kind, field) {
        (Kind::Part, Part::quantity) if number < 1 => {
            "of a part there is one or more; leave it out where nobody knows how many, or strike the part out where there is none"
        }
        (Kind::HoldPoint, HoldPoint::wanted) if number < 0 => "there cannot be fewer than none",
        (_, Job::minutes) if number < 0 => "nothing takes less than no time",
        (Kind::Job, Job::hands) if number < 1 => "somebody has to do it: one or more",
        _ => return Ok(()),
    };
    Err(Refusal::Misfit {
        field: field.to_owned(),
        why: Misfit::Unclear(why.to_owned()),
    })
}

/// Checks the fields given for one entity against the record.
pub(super) fn fields(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    for (def, value) in given.each() {
        let line = match value {
            Stored::Scalar(Some(Scalar::Line(line))) => Some(line.as_str()),
            _ => None,
        };
        points_at_what_stands(view, def, value, line)?;
        if let Stored::Scalar(Some(Scalar::Whole(number))) = value {
            counted(given.kind(), def.name, *number)?;
        }
        may_be_said(view, id, given, (def, value, line))?;
    }
    match given.kind() {
        Kind::Reading => something_read(view, id, given),
        Kind::Limit => limits_upright(view, id, given),
        Kind::TighteningRun => {
            numbered(given, TighteningRun::bolts, 3..=MOST_BOLTS)?;
            tightened_in_order(view, id, given)
        }
        Kind::Tightened => {
            numbered(given, Tightened::pass, 1..=MOST_BOLTS)?;
            numbered(given, Tightened::place, 1..=MOST_BOLTS)?;
            tightened_as_planned(view, given)
        }
        _ => Ok(()),
    }
}

/// What a field points at is there, and not struck out.
fn points_at_what_stands(
    view: &View,
    def: &FieldDef,
    value: &Stored,
    line: Option<&str>,
) -> Result<(), Refusal> {
    match (def.shape, value, line) {
        (Shape::Lies, _, Some(line)) => {
            if let Some(container) = Lies::of(line).container() {
                standing(view, &link(Kind::Container, container.as_str())?)?;
            }
        }
        (Shape::Link(kind), _, Some(line)) => drop(standing(view, &link(kind, line)?)?),
        (Shape::About(_), _, Some(line)) => {
            let name: Ref = line.parse().map_err(|_| unreadable(def.name, line))?;
            standing(view, &name)?;
        }
        (Shape::Set(kind), Stored::Set(members), _) => {
            for member in members {
                standing(view, &Ref::new(kind, member.clone()))?;
            }
        }
        _ => {}
    }
    Ok(())
}

/// Whether this may be said of the entity by giving a field, or only by the edit that is made for it.
fn may_be_said(
    view: &View,
    id: &Id,
    given: &GivenFields,
    (def, value, line): (&FieldDef, &Stored, Option<&str>),
) -> Result<(), Refusal> {
    match (given.kind(), def.name, line) {
        (Kind::Assembly, Assembly::parent, Some(up)) => {
            no_circle(view, &Tree::of_assemblies(view), Kind::Assembly, id, up)?
        }
        (Kind::Container, Container::inside, Some(up)) => {
            no_circle(view, &Tree::of_containers(view), Kind::Container, id, up)?;
        }
        (Kind::Assembly, Assembly::state, Some("closed")) => {
            // Of two values it is for whoever settles them, and that asks what is open in it.
            let closed = Scalar::Line(AssemblyState::Closed.word().to_owned());
            let state = view
                .get(Kind::Assembly, id)
                .and_then(|assembly| assembly.fields.get(Assembly::state));
            let already = state.is_some_and(|held| held.is_just(Some(&closed)));
            if !already {
                return Err(Refusal::OnlyByCloseUp);
            }
        }
        (Kind::Assembly, Assembly::off_car, _) => closed_as_it_is(view, id, value)?,
        (Kind::Assembly, Assembly::opened | Assembly::taken_apart, _) => return Err(own_mark(def.name)),
        (Kind::Reading, Reading::knew_of, _) => {
            let why = "the program writes it down itself: measure the point again instead";
            return Err(Refusal::Misfit {
                field: def.name.to_owned(),
                why: Misfit::Unclear(why.to_owned()),
            });
        }
        (Kind::HoldPoint, HoldPoint::state, Some("met")) => holding::can_be_met(view, id, given)?,
        (Kind::HoldPoint, HoldPoint::met_by, Some(kept)) if MetBy::of(kept).is_none() => {
            return Err(unreadable(def.name, kept));
        }
        (Kind::Finding, Finding::ended, Some(kept)) => {
            let end = End::of(kept);
            if let Some(job) = end.job() {
                standing(view, &Ref::new(Kind::Job, job.clone()))?;
            }
            let danger = view.get(Kind::Finding, id).filter(|entry| said_to_hurt(entry));
            if let Some((danger, words)) = danger.zip(end.words()) {
                some_words(&title(danger), words)?;
            }
        }
        (Kind::Finding, Finding::because_of, Some(other)) if other == id.as_str() => {
            return Err(Refusal::Misfit {
                field: def.name.to_owned(),
                why: Misfit::Unclear(
                    "nothing comes of itself: pick the finding that came before it".to_owned(),
                ),
            });
        }
        (Kind::Job, Job::undone_by, Some(by)) if by == id.as_str() => {
            return Err(misfit(
                def.name,
                "a job does not undo itself: pick the bigger one",
            ));
        }
        (Kind::Job, Job::not_before_time, Some(time)) if !is_a_time(time) => {
            let why = "a time of day is wanted, as on a clock: 18:30";
            return Err(misfit(def.name, why));
        }
        (Kind::Device, Device::revoked, None)
            if view
                .one::<Device>(id)
                .is_some_and(|device| device.revoked().is_some()) =>
        {
            return Err(Refusal::RevokedStands);
        }
        (Kind::Device, Device::keeper, _)
            if view
                .one::<Device>(id)
                .is_some_and(|device| device.keeper().map(Link::as_str) != line) =>
        {
            return Err(Refusal::KeeperStands);
        }
        (Kind::Photo, Photo::hash, Some(hash)) if crate::hash::PhotoHash::from_hex(hash).is_none() => {
            return Err(unreadable(def.name, hash));
        }
        _ => {}
    }
    Ok(())
}

fn misfit(field: &str, why: &str) -> Refusal {
    Refusal::Misfit {
        field: field.to_owned(),
        why: Misfit::Unclear(why.to_owned()),
    }
}

/// Whether it reads as a time of day, `7:05` or `18:30`.
fn is_a_time(text: &str) -> bool {
    let number = |text: &str, below: u8| {
        let digits = (1..=2).contains(&text.len()) && text.bytes().all(|digit| digit.is_ascii_digit());
        digits && text.parse::<u8>().is_ok_and(|number| number < below)
    };
    text.split_once(':')
        .is_some_and(|(hour, minute)| number(hour, 24) && minute.len() == 2 && number(minute, 60))
}

/// Only of a closed one it is said beside its state whether it is on the car: of any other the state says so.
fn closed_as_it_is(view: &View, id: &Id, given: &Stored) -> Result<(), Refusal> {
    let entry = view.get(Kind::Assembly, id);
    let state = entry.and_then(Assembly::of).and_then(|assembly| assembly.state());
    let off = |value: &Option<Scalar>| *value == Some(Scalar::Flag(true));
    let claims = entry.map_or(&[][..], |entry| entry.claims(Assembly::off_car));
    let stands = claims.first().is_some_and(|claim| off(&claim.value));
    // Of two who said otherwise apart, either may say it once more.
    let agreed = claims.iter().all(|claim| off(&claim.value) == stands);
    let why = match (state, given) {
        (Some(AssemblyState::Closed), Stored::Scalar(given)) if !agreed || off(given) != stands => {
            return Ok(());
        }
        (Some(AssemblyState::Closed), _) if stands => "it is off the car already, closed as it is",
        (Some(AssemblyState::Closed), _) => "it is on the car already, closed as it is",
        _ => "it is not closed: say of it that it is fitted, or off the car",
    };
    Err(Refusal::Misfit {
        field: Assembly::off_car.to_owned(),
        why: Misfit::Unclear(why.to_owned()),
    })
}

/// What the program marks itself, by the change that opens an assembly.
fn own_mark(field: &str) -> Refusal {
    let why = "that is written down when it is opened, taken off or taken apart: say how it stands instead";
    Refusal::Misfit {
        field: field.to_owned(),
        why: Misfit::Unclear(why.to_owned()),
    }
}

/// The most bolts of a run, and passes of one.
const MOST_BOLTS: i32 = 64;

/// A reading says a value or a grid of them.
fn something_read(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    let says = |field: &str| match given.each().find(|(def, _)| def.name == field) {
        Some((_, value)) => !matches!(value, Stored::Scalar(None)),
        None => view
            .get(Kind::Reading, id)
            .is_some_and(|entry| entry.line(field).is_some()),
    };
    if says(Reading::value) || says(Reading::grid) {
        return Ok(());
    }
    Err(Refusal::Missing {
        kind: Kind::Reading,
        field: Reading::value,
    })
}

/// The bolts fill their rows and the passes rise to the last torque: what cannot be tightened is not begun.
fn tightened_in_order(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    let entry = view.get(Kind::TighteningRun, id);
    let value = |field: &str| match given.each().find(|(def, _)| def.name == field) {
        Some((_, Stored::Scalar(value))) => value.clone(),
        Some(_) => None,
        None => entry.and_then(|entry| entry.value(field)).cloned(),
    };
    let line = |field: &str| match value(field) {
        Some(Scalar::Line(line)) => Some(line),
        _ => None,
    };
    let whole = |field: &str| match value(field) {
        Some(Scalar::Whole(number)) => Some(number),
        _ => None,
    };
    // Without these the addition is refused for what it lacks.
    let (Some(layout), Some(bolts), Some(torque)) = (
        line(TighteningRun::layout),
        whole(TighteningRun::bolts),
        line(TighteningRun::torque),
    ) else {
        return Ok(());
    };
    let misfit = |field: &str, why: String| Refusal::Misfit {
        field: field.to_owned(),
        why: Misfit::Unclear(why),
    };
    // A run of before may have been kept without its rows, and was one row then.
    let asked = |field: &str| entry.is_none() || given.each().any(|(def, _)| def.name == field);
    let rows = whole(TighteningRun::rows).filter(|_| layout == Layout::Rows.word());
    if layout == Layout::Rows.word() && rows.is_none() && asked(TighteningRun::layout) {
        let why = "say in how many rows the bolts stand: the order goes by it";
        return Err(misfit(TighteningRun::rows, why.to_owned()));
    }
    let passes = line(TighteningRun::passes);
    let planned = crate::tightening::plan(crate::tightening::RunGiven {
        layout: &crate::words::Words::from_word(&layout),
        bolts,
        rows: whole(TighteningRun::rows),
        torque: &torque,
        passes: passes.as_deref(),
    });
    let at_fault = match rows {
        Some(rows) if rows < 1 || bolts % rows != 0 => TighteningRun::rows,
        _ if reckon::Typed::from_kept(&torque).is_ok_and(|torque| is_a_torque(&torque)) => {
            TighteningRun::passes
        }
        _ => TighteningRun::torque,
    };
    planned.map(drop).map_err(|why| misfit(at_fault, why))
}

/// A turn of the wrench is to what its pass wants, and to no more than the run's torque.
fn tightened_as_planned(view: &View, given: &GivenFields) -> Result<(), Refusal> {
    let whole = |field: &str| match given.scalar(field) {
        Some(Some(Scalar::Whole(number))) => Some(*number),
        _ => None,
    };
    let run = given.line(Tightened::run).and_then(|id| id.parse::<Id>().ok());
    let run = run.and_then(|id| view.get(Kind::TighteningRun, &id));
    let (Some(run), Some(pass), Some(torque)) = (run, whole(Tightened::pass), given.line(Tightened::torque))
    else {
        return Ok(());
    };
    // What cannot be read as a run has no pass to be held against.
    let Ok(standing) = RunStanding::of(view, run) else {
        return Ok(());
    };
    standing.plan.fits(pass, torque).map_err(|why| Refusal::Misfit {
        field: Tightened::torque.to_owned(),
        why: Misfit::Unclear(why),
    })
}

/// Whether a torque alone, in the usual passes, can be reckoned with.
fn is_a_torque(torque: &reckon::Typed) -> bool {
    let given = crate::tightening::RunGiven {
        layout: &Layout::Circle,
        bolts: 4,
        rows: None,
        torque: &torque.kept(),
        passes: None,
    };
    crate::tightening::plan(given).is_ok()
}

/// A limit that is not below more than it is not above judges nothing.
fn limits_upright(view: &View, id: &Id, given: &GivenFields) -> Result<(), Refusal> {
    let entry = view.get(Kind::Limit, id);
    let measure = |field: &str| {
        let line = match given.each().find(|(def, _)| def.name == field) {
            Some((_, Stored::Scalar(Some(Scalar::Line(line))))) => Some(line.as_str()),
            Some(_) => None,
            None => entry.and_then(|entry| entry.line(field)),
        };
        line.and_then(|line| reckon::Typed::from_kept(line).ok())
    };
    let touched = given
        .each()
        .any(|(def, _)| matches!(def.name, Limit::low | Limit::high));
    let (Some(low), Some(high), true) = (measure(Limit::low), measure(Limit::high), touched) else {
        return Ok(());
    };
    if low.kind() == high.kind() && low.value() > high.value() {
        return Err(Refusal::Misfit {
            field: Limit::high.to_owned(),
            why: Misfit::Unclear(format!(
                "not below {} and not above {} leaves nothing between: one of them was meant for the other",
                low.text(),
                high.text()
            )),
        });
    }
    Ok(())
}

fn numbered(given: &GivenFields, field: &str, range: std::ops::RangeInclusive<i32>) -> Result<(), Refusal> {
    let number = given.each().find_map(|(def, value)| match value {
        Stored::Scalar(Some(Scalar::Whole(number))) if def.name == field => Some(*number),
        _ => None,
    });
    match number {
        Some(number) if !range.contains(&number) => Err(Refusal::Misfit {
            field: field.to_owned(),
            why: Misfit::Unclear(format!(
                "{number} is not from {} to {}",
                range.start(),
                range.end()
            )),
        }),
        _ => Ok(()),
    }
}

fn link(kind: Kind, line: &str) -> Result<Ref, Refusal> {
    let id: Id = line.parse().map_err(|_| unreadable("id", line))?;
    Ok(Ref::new(kind, id))
}

fn unreadable(field: &str, line: &str) -> Refusal {
    let why = Misfit::Unclear(format!(
        "'{}' cannot be read",
        line.chars().take(80).collect::<String>()
    ));
    Refusal::Misfit {
        field: field.to_owned(),
        why,
    }
}

fn no_circle(view: &View, tree: &Tree, kind: Kind, id: &Id, up: &str) -> Result<(), Refusal> {
    let up = link(kind, up)?.id;
    if tree.upward(&up).contains(id) {
        let named = view.get(kind, id).map_or_else(|| id.to_string(), title);
        return Err(Refusal::Circle(named));
    }
    Ok(())
}
