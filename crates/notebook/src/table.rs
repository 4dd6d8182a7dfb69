//! The table of kinds and fields as the pages have it: written from the record's own, so that no page keeps a second one. Like
//! the types of the wire it is committed and compared in the tests; nobody edits it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use record::Kind;
use record::entities::fields_of;
use record::field::{FieldDef, Shape};
use record::words::ClosedSet;
use serde::Serialize;

/// A kind as the pages have it.
#[derive(Serialize)]
struct KindRow {
    said: &'static str,
    stays: bool,
    fields: Rows<FieldRow>,
}

/// A field as the pages have it.
#[derive(Serialize)]
struct FieldRow {
    label: &'static str,
    shape: &'static str,
    required: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    to: Vec<Kind>,
    #[serde(skip_serializing_if = "Option::is_none")]
    set: Option<&'static str>,
}

/// Rows by name, in the order of the table.
struct Rows<T>(Vec<(&'static str, T)>);

impl<T: Serialize> Serialize for Rows<T> {
    fn serialize<S: serde::Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_map(self.0.iter().map(|(name, row)| (name, row)))
    }
}

/// The word for a shape; what it names; the closed set that it takes its word from.
fn shape(shape: Shape) -> (&'static str, Vec<Kind>, Option<&'static ClosedSet>) {
    let plain = |word| (word, Vec::new(), None);
    match shape {
        Shape::Line => plain("line"),
        Shape::Prose => plain("prose"),
        Shape::Whole => plain("whole"),
        Shape::Flag => plain("flag"),
        Shape::Day => plain("day"),
        Shape::Measure => plain("measure"),
        Shape::Measures => plain("measures"),
        Shape::Grid => plain("grid"),
        Shape::Ending => plain("ending"),
        Shape::Lies => ("lies", vec![Kind::Container], None),
        Shape::Money => plain("money"),
        Shape::Word(set) => ("word", Vec::new(), Some(set)),
        Shape::Link(kind) => ("link", vec![kind], None),
        Shape::About(kinds) => ("about", kinds.to_vec(), None),
        Shape::Set(kind) => ("set", vec![kind], None),
    }
}

fn row(def: &FieldDef) -> FieldRow {
    let (word, to, set) = shape(def.shape);
    FieldRow {
        label: def.label,
        shape: word,
        required: def.required,
        to,
        set: set.map(|set| set.name),
    }
}

/// The whole generated file.
///
/// # Errors
/// A table that cannot be written as JSON.
pub fn field_table() -> serde_json::Result<String> {
    let mut kinds = Vec::new();
    let mut sets: BTreeMap<&str, Rows<&str>> = BTreeMap::new();
    for kind in Kind::ALL {
        let defs = fields_of(*kind);
        for set in defs.iter().filter_map(|def| shape(def.shape).2) {
            let words = set.words.iter().copied().zip(set.said.iter().copied());
            sets.insert(set.name, Rows(words.collect()));
        }
        let fields = Rows(defs.iter().map(|def| (def.name, row(def))).collect());
        kinds.push((
            kind.word(),
            KindRow {
                said: kind.said(),
                stays: kind.stays(),
                fields,
            },
        ));
    }
    let mut out = String::from(TYPES);
    // Writing into a string cannot fail.
    let _ = write!(
        out,
        "/** The closed sets: each word, and what it is called when it is shown. */\nexport const SETS = {} as const;\n\n\
         /** Every kind with its fields, in the order of the record. */\nexport const KINDS = {} as const satisfies Readonly<Record<Kind, KindDef>>;\n\n\
         /** Every currency that money is kept in, by its three letters. */\nexport const CURRENCIES: readonly string[] = {};\n",
        serde_json::to_string_pretty(&sets)?,
        serde_json::to_string_pretty(&Rows(kinds))?,
        serde_json::to_string(&reckon::Currency::codes())?,
    );
    Ok(out)
}

const TYPES: &str = "// The kinds of a record with their fields. Generated from the record's own tables; never edited by hand.

import type { Kind } from './wire';

/** What a field may hold. */
export type Shape = 'line' | 'prose' | 'whole' | 'flag' | 'day' | 'measure' | 'measures' | 'grid' | 'ending' | 'lies' | 'money' | 'word' | 'link' | 'about' | 'set';

/** One field of a kind. */
export interface FieldDef {
  readonly label: string;
  readonly shape: Shape;
  readonly required: boolean;
  /** The kinds that a link, an about or a set names. */
  readonly to?: readonly Kind[];
  /** The closed set that a word is of. */
  readonly set?: SetName;
}

/** One kind. */
export interface KindDef {
  readonly said: string;
  /** Whether no face offers to strike it out. */
  readonly stays: boolean;
  readonly fields: Readonly<Record<string, FieldDef>>;
}

/** A closed set. */
export type SetName = keyof typeof SETS;

";
