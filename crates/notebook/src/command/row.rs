//! The order in which the parts of an assembly stand along a shaft, said as one list. Which keys that writes is worked out by the record.

use std::collections::BTreeSet;

use record::entities::{Part, PartFields};
use record::{Edit, Entity as _, Entry, Given, Held, Id, Kind, Link, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;

/// Parts of an assembly as they are stacked.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct StackParts {
    /// The assembly.
    pub(crate) assembly: Id,
    /// Its parts from one end to the other; one that is not among them stands in no row.
    pub(crate) parts: Vec<Id>,
}

impl Command for StackParts {
    type Reply = Done;
    const NAME: &'static str = "stack_parts";
    const SAYS: &'static str =
        "Says in which order the parts of an assembly stand along a shaft, as one change.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let name = Ref::new(Kind::Assembly, self.assembly.clone());
        let is_here = |part: &Entry| {
            let home = Part::of(part).and_then(|part| part.assembly());
            home.and_then(Link::id).as_ref() == Some(&self.assembly)
        };
        let order = |part: &Entry| part.line(Part::order).map(str::to_owned);
        // Put in order by two apart, the keys of a row say what neither meant: whoever says it anew says all of it.
        let said_apart = |part: &Entry| part.fields.get(Part::order).is_some_and(Held::contradicts);
        let (here, apart): (Vec<(Id, Option<String>)>, bool) = desk.read(|view| {
            let parts = view.naming(&name, Kind::Part);
            let parts: Vec<&Entry> = parts.filter(|part| part.stands() && is_here(part)).collect();
            let keys = parts.iter().map(|part| (part.id.clone(), order(part)));
            (keys.collect(), parts.iter().any(|part| said_apart(part)))
        })?;
        let key_of = |id: &Id| {
            let found = here.iter().find(|(part, _)| part == id);
            found.map(|(_, key)| key.as_deref()).ok_or_else(|| {
                Refusal::input(
                    "not_in_it",
                    "one of these parts is not in that assembly: look at it again",
                )
            })
        };
        let standing: Vec<Option<&str>> = self.parts.iter().map(key_of).collect::<Result<_, _>>()?;
        let in_row: BTreeSet<&Id> = self.parts.iter().collect();
        if in_row.len() != self.parts.len() {
            return Err(Refusal::input("twice", "one part stands in the row twice"));
        }
        let put = |id: &Id, order: Given<String>| {
            let fields = PartFields {
                order,
                ..PartFields::default()
            };
            Edit::change::<Part>(id.clone(), &fields)
        };
        let mut edits = Vec::new();
        let keys = match apart {
            true => record::row::evenly(standing.len()),
            false => record::row::keys(&standing),
        };
        for (at, key) in keys {
            if let Some(id) = self.parts.get(at) {
                edits.push(put(id, Given::Put(key))?);
            }
        }
        for (id, key) in &here {
            if key.is_some() && !in_row.contains(id) {
                edits.push(put(id, Given::Clear)?);
            }
        }
        if !edits.is_empty() {
            let message = "Put parts in their order along the shaft".to_owned();
            desk.write(&Edit::Together { message, edits })?;
        }
        Ok(Done::YES)
    }
}
