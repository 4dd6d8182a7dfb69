//! What is about to be entered twice, asked while it is typed; and many of one part entered as one act. It refuses no double: it hints.

use record::alike::{Typed, alike, free_code};
use record::entities::{Part, PartFields};
use record::{Edit, Given, Id, Kind, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::Command;
use super::kinds::Made;
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::{AlikeLine, AlikePage};

/// Most that are entered at once.
const MOST_AT_ONCE: usize = 64;

/// What is there already that would be entered again.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct AlikeTo {
    /// Of which kind it will be: a part, a job, an order or a container.
    pub(crate) kind: Kind,
    /// What was typed of its name, its code or what it says.
    pub(crate) words: String,
    /// A part's position.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) position: Option<String>,
    /// The part that it is for.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) part: Option<Id>,
    /// The assembly that it is in.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) assembly: Option<Id>,
    /// The one that is being changed.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) besides: Option<Id>,
}

impl Command for AlikeTo {
    type Reply = AlikePage;
    const NAME: &'static str = "alike";
    const SAYS: &'static str = "What is there already that would be entered again, and which code is free.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<AlikePage, Refusal> {
        let typed = Typed {
            kind: self.kind,
            words: &self.words,
            position: self.position.as_deref().unwrap_or_default(),
            part: self.part.as_ref(),
            assembly: self.assembly.as_ref(),
            besides: self.besides.as_ref(),
        };
        desk.read(|view| {
            let found = alike(view, &typed).into_iter().map(|one| AlikeLine {
                what: crate::wire::Named {
                    name: one.what,
                    title: one.title,
                },
                says: one.says,
                on: one.on,
            });
            let free = (self.kind == Kind::Container)
                .then(|| free_code(view, &self.words))
                .flatten();
            AlikePage {
                found: found.collect(),
                free,
            }
        })
    }
}

/// Parts that are alike but for where they are.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct AddParts {
    /// What all of them have.
    pub(crate) part: PartFields,
    /// The position of each: `cylinder 1`, `cylinder 2`.
    pub(crate) positions: Vec<String>,
}

/// What was made in one act.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct MadeMany {
    /// Each, in the order of the positions.
    pub(crate) made: Vec<Made>,
}

impl Command for AddParts {
    type Reply = MadeMany;
    const NAME: &'static str = "add_parts";
    const SAYS: &'static str = "Enters several parts that are alike but for their position, as one change.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<MadeMany, Refusal> {
        let many = self.positions.len();
        if !(2..=MOST_AT_ONCE).contains(&many) {
            return Err(Refusal::input(
                "positions",
                format!("from 2 to {MOST_AT_ONCE} positions are taken at once, and there are {many}"),
            ));
        }
        let mut edits = Vec::new();
        let mut made = Vec::new();
        for position in self.positions {
            let id = desk.notebook().fresh_id();
            let fields = PartFields {
                position: Given::Put(position),
                ..self.part.clone()
            };
            edits.push(Edit::add::<Part>(id.clone(), &fields)?);
            made.push(Made {
                name: Ref::new(Kind::Part, id.clone()),
                id,
            });
        }
        let name = self
            .part
            .name
            .put()
            .map_or_else(String::new, |name| record::shown(name));
        desk.write(&Edit::Together {
            message: format!("Added {many} parts '{name}'"),
            edits,
        })?;
        Ok(MadeMany { made })
    }
}
