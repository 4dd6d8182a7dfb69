//! Day sheets: notes, rewriting, hours. A sheet needs no making: its month is laid down by the document.

use crate::document::month::sheet_id;
use crate::document::{Draft, Rewrite, Stroke};
use crate::edit::check;
use crate::entry::{Scalar, View};
use crate::field::{MOST_PROSE_BYTES, Misfit, Stored, prose_of, prose_within};
use crate::name::{Id, Kind, Ref};
use crate::refusal::Refusal;
use crate::strokes::misfit;
use crate::time::Day;

/// Most bytes of a sheet that is rewritten.
const MOST_SHEET_BYTES: usize = 4 << 20;

fn keeper_stands(view: &View, keeper: &Id) -> Result<(), Refusal> {
    check::standing(view, &Ref::new(Kind::Keeper, keeper.clone())).map(drop)
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
