//! What day sheets say of an assembly: the notes that were written from inside it. They stand on the day, and are shown here as well.

use record::document::sheet_parts;
use record::entities::{Assembly, Keeper, Sheet};
use record::{Entity as _, Entry, Id, Kind, Ref, called};

use super::lines::Reader;
use crate::wire::NoteLine;

/// The notes of an assembly, the newest day first, from the sheets that name it.
pub(crate) fn notes(read: &Reader<'_>, id: &Id, sheets: &[Entry]) -> Vec<NoteLine> {
    let name = |id: &Id| {
        let assembly = read.view.one::<Assembly>(id);
        called(assembly.and_then(|assembly| assembly.name()))
    };
    let own = name(id);
    let is_another = |of: &str| {
        let mut alike = read.view.called(Kind::Assembly, of);
        alike.any(|entry| &entry.id != id && name(&entry.id) == of)
    };
    let mut lines: Vec<NoteLine> = Vec::new();
    for sheet in sheets {
        let (Some((day, keeper)), Some(said)) = (sheet_parts(&sheet.id), Sheet::of(sheet)) else {
            continue;
        };
        let all = record::edit::notes_in(said.text().unwrap_or_default());
        let has_own = all.iter().any(|(of, _)| *of == own);
        // An assembly that was renamed since is not what its notes call it: then it is one by a name that no other bears.
        let mine = |of: &str| {
            if has_own { of == own } else { !is_another(of) }
        };
        for (_, text) in all.iter().filter(|(of, _)| mine(of)) {
            lines.push(NoteLine {
                sheet: Ref::new(Kind::Sheet, sheet.id.clone()),
                day,
                name: called(read.view.one::<Keeper>(&keeper).and_then(|keeper| keeper.name())),
                pattern: read.pattern(Some(&keeper)),
                text: text.clone(),
            });
        }
    }
    lines.sort_by(|a, b| (b.day, &a.sheet).cmp(&(a.day, &b.sheet)));
    lines
}
