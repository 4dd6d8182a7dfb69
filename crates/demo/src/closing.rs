//! An assembly of the story closed up: what lies in a container is put in first, what the sources waive is waived by what the notebook
//! says stands in the way. It closes over nothing that the sources do not name.

use serde_json::{Value as Json, json};

use crate::act::Waived;
use crate::error::DemoError;
use crate::key::{Ids, Key};

type Ask<'a> = dyn FnMut(&str, Json) -> Result<Json, DemoError> + 'a;

/// Closes an assembly up; `refused` says where the sources are at fault.
///
/// # Errors
/// What the notebook refused, or a thing that was never made.
pub(crate) fn close_up(
    ids: &Ids,
    assembly: &Key,
    waive: &[(Waived, String)],
    ask: &mut Ask<'_>,
    refused: &dyn Fn(String) -> DemoError,
) -> Result<(), DemoError> {
    let id = |key: &Key| {
        ids.get(key)
            .ok_or_else(|| refused(format!("{key} was never made")))
    };
    let assembly = id(assembly)?;
    let mut found = ask("close_up_check", json!({ "assembly": assembly }))?;
    let found = found.as_array_mut().map(std::mem::take).unwrap_or_default();
    let said = |blocker: &Json, field: &str| {
        blocker
            .get(field)
            .and_then(Json::as_str)
            .unwrap_or_default()
            .to_owned()
    };
    let (stored, left): (Vec<Json>, Vec<Json>) = found
        .into_iter()
        .partition(|blocker| said(blocker, "check") == "part_stored");
    for part in stored {
        let about = said(&part, "about");
        let part = about.strip_prefix("part:").unwrap_or_default();
        ask(
            "change_part",
            json!({ "id": part, "fields": { "container": null } }),
        )?;
    }
    let mut waived = Vec::new();
    for (what, why) in waive {
        match what {
            Waived::Thing(key) => {
                waived.push(json!({ "about": format!("{}:{}", key.kind, id(key)?), "why": why }));
            }
            Waived::Sort(check) => waived.extend(
                left.iter()
                    .filter(|blocker| said(blocker, "check") == *check)
                    .map(|blocker| json!({ "about": said(blocker, "about"), "check": check, "why": why })),
            ),
        }
    }
    ask("close_up", json!({ "assembly": assembly, "waive": waived }))?;
    Ok(())
}
