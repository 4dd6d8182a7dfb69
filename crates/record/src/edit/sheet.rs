//! Day sheets: notes, rewriting, hours. A sheet needs no making: its month is laid down by the document.

use crate::document::{Draft, Rewrite, Stroke};
use crate::entities::{Assembly, Sheet};
use crate::entry::Scalar;
use crate::field::{MOST_PROSE_BYTES, Misfit, Stored, prose_of, prose_within};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::shown::called;
use crate::spelled::sheet_id;
use crate::standing::standing;
use crate::strokes::misfit;
use crate::time::Day;
use crate::view::View;

/// Most bytes of a sheet that is rewritten.
const MOST_SHEET_BYTES: usize = 4 << 20;

fn keeper_stands(view: &View, keeper: &Id) -> Result<(), Refusal> {
    standing(view, &Ref::new(Kind::Keeper, keeper.clone())).map(drop)
}

pub(super) fn note(view: &View, day: Day, keeper: &Id, text: &str) -> Result<Draft, Refusal> {
    keeper_stands(view, keeper)?;
    let text = prose_of(text.trim()).map_err(|why| misfit("text", why))?;
    if text.is_empty() {
        return Err(Refusal::Missing {
            kind: Kind::Sheet,
            field: "text",
        });
    }
    let stroke = Stroke::Write(
        day,
        keeper.clone(),
        Rewrite {
            before: None,
            after: format!("{text}\n"),
        },
    );
    Ok(Draft {
        message: format!("Noted on the sheet of {day}"),
        strokes: vec![stroke],
    })
}

/// A note that is of an assembly too: the sheet says so by its name, for whoever reads the day, and keeps which it was.
pub(super) fn note_of(
    view: &View,
    day: Day,
    keeper: &Id,
    text: &str,
    assembly: &Id,
) -> Result<Draft, Refusal> {
    let mut draft = note(view, day, keeper, &note_text(view, assembly, text)?)?;
    let id = sheet_id(day, keeper).ok_or_else(|| Refusal::Unknown(Ref::new(Kind::Keeper, keeper.clone())))?;
    let of = view
        .get(Kind::Sheet, &id)
        .map(|sheet| sheet.members(Sheet::notes_of));
    let mut of: Vec<Id> = of
        .into_iter()
        .flatten()
        .filter_map(|id| id.parse().ok())
        .collect();
    if !of.contains(assembly) {
        of.push(assembly.clone());
        let named = Stroke::Put(Kind::Sheet, id, Sheet::notes_of.to_owned(), Stored::Set(of));
        draft.strokes.push(named);
    }
    Ok(draft)
}

/// A note of an assembly as it stands on the sheet: nothing where it says nothing.
///
/// # Errors
/// Where there is no such assembly, or it is struck out.
pub fn note_text(view: &View, assembly: &Id, text: &str) -> Result<String, Refusal> {
    let entry = standing(view, &Ref::new(Kind::Assembly, assembly.clone()))?;
    if text.trim().is_empty() {
        return Ok(String::new());
    }
    let name = called(entry.line(Assembly::name));
    // Further lines stand in, so that the note ends where it ends.
    let text = text.trim().replace('\n', &format!("\n{FURTHER}"));
    Ok(format!("{LEAD}{name}: {text}"))
}

/// How a note begins that is of an assembly too, and each further line of it.
const LEAD: &str = "In ";
const FURTHER: &str = "  ";

/// The notes of a sheet that say which assembly they are of: its name as it was then, and the note.
#[must_use]
pub fn notes_in(sheet: &str) -> Vec<(String, String)> {
    let mut notes: Vec<(String, String)> = Vec::new();
    let mut within = false;
    for line in sheet.lines() {
        if let Some((of, said)) = line.strip_prefix(LEAD).and_then(|rest| rest.split_once(": ")) {
            notes.push((of.to_owned(), said.to_owned()));
            within = true;
        } else if let (Some(more), true, Some((_, said))) =
            (line.strip_prefix(FURTHER), within, notes.last_mut())
        {
            said.push('\n');
            said.push_str(more);
        } else {
            within = false;
        }
    }
    notes
}

pub(super) fn rewrite(
    view: &View,
    day: Day,
    keeper: &Id,
    before: &str,
    after: &str,
) -> Result<Draft, Refusal> {
    keeper_stands(view, keeper)?;
    // Notes make a sheet as long as they like, and what can be added to can be rewritten: as much may be put in at once as a
    // note may have.
    let before = prose_within(before, MOST_SHEET_BYTES).map_err(|why| misfit("before", why))?;
    let most = before.len().saturating_add(MOST_PROSE_BYTES);
    let after = prose_within(after, most).map_err(|why| misfit("after", why))?;
    let strokes = if before == after {
        Vec::new()
    } else {
        vec![Stroke::Write(
            day,
            keeper.clone(),
            Rewrite {
                before: Some(before),
                after,
            },
        )]
    };
    Ok(Draft {
        message: format!("Wrote on the sheet of {day}"),
        strokes,
    })
}

pub(super) fn hours(view: &View, day: Day, keeper: &Id, hours: &str) -> Result<Draft, Refusal> {
    keeper_stands(view, keeper)?;
    let hours = hours.trim().replace(',', ".");
    let fits = hours.is_empty()
        || hours
            .parse::<f64>()
            .is_ok_and(|count| (0.0..=24.0).contains(&count));
    if !fits {
        let why = Misfit::Unclear("hours of a day are a number from 0 to 24, such as 2.5".to_owned());
        return Err(misfit("hours", why));
    }
    let id = sheet_id(day, keeper).ok_or_else(|| Refusal::Unknown(Ref::new(Kind::Keeper, keeper.clone())))?;
    let value = Stored::Scalar((!hours.is_empty()).then_some(Scalar::Line(hours)));
    let stroke = Stroke::Put(Kind::Sheet, id, "hours".to_owned(), value);
    Ok(Draft {
        message: format!("Put the hours of {day}"),
        strokes: vec![stroke],
    })
}
