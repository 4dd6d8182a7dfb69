//! Values for any field of any kind, made from the record's own tables of fields: what is typed, and how it must
//! read back. A new field or kind is covered without a line here.

use record::entities::fields_of;
use record::field::{FieldDef, Shape};
use record::{Id, Kind, Ref, Scalar};
use serde_json::{Map, Value, json};

use crate::seed::Dice;

/// What an edit gives, as JSON, and how each field must read right after it.
#[derive(Clone, Debug, Default)]
pub struct Fields {
    /// The fields as they go over the wire.
    pub json: Map<String, Value>,
    /// Fields of one value, as they must be kept.
    pub kept: Vec<(String, Option<Scalar>)>,
    /// Prose as it must read.
    pub prose: Vec<(String, String)>,
    /// Sets as they must be.
    pub sets: Vec<(String, Vec<String>)>,
}

/// What a device sees that new entries can point at.
pub trait Seen {
    /// What stands of a kind, in order.
    fn standing(&self, kind: Kind) -> Vec<Id>;
}

/// Measures as typed, each with its exact value in millimetres, newton metres and so on, reckoned by hand: the inch
/// is 25.4 mm (international yard and pound agreement, 1959).
const MEASURES: &[(&str, &str)] = &[
    ("0.30 mm", "0.3 mm"),
    ("12 thou", "0.3048 mm"),
    ("0.012 in", "0.3048 mm"),
    ("1 3/8 in", "34.925 mm"),
    ("77.02mm", "77.02 mm"),
    ("54 Nm", "54 N·m"),
    ("5/16 in", "7.9375 mm"),
];

/// Amounts as typed and as kept.
const AMOUNTS: &[(&str, &str)] = &[
    ("£12.50", "GBP 12.50"),
    ("12.50 GBP", "GBP 12.50"),
    ("€7.99", "EUR 7.99"),
    ("GBP 120.00", "GBP 120.00"),
];

/// Codes are taken from few, so that two devices take the same one.
const CODES: &[&str] = &["B1", "B2", "B3", "b2"];

/// What is measured, written as people write it.
const POINTS: &[&str] = &["end float", "End  float"];

const WORDS: &[&str] = &[
    "seized",
    "scored",
    "Ø 12,5 µm",
    "größer",
    "linke Seite",
    "🔧 tight",
    "half a turn",
    "as found",
    "n\u{303}ot e\u{301}ven",
    "<b>&amp;</b>",
    "'quoted'",
    "\"twice\"",
    "日本語",
];

/// A text that no other in this schedule has.
pub fn token(dice: &mut Dice, count: &mut u64) -> String {
    *count += 1;
    format!("{} {}", dice.pick(WORDS), *count)
}

/// Fields for a new entry of a kind; nothing where something it needs is not there to point at.
pub fn for_new(kind: Kind, seen: &dyn Seen, dice: &mut Dice, count: &mut u64) -> Option<Fields> {
    let mut fields = Fields::default();
    // Where a closed one is, is said of none that is only entered.
    let said = |def: &&FieldDef| !is_own_mark(kind, def) && (kind, def.name) != (Kind::Assembly, "off_car");
    for def in fields_of(kind).iter().filter(said) {
        // An order is mostly for a part: two for one part are to be met with.
        // A reading is mostly made with something: two that differ are to be met with too.
        let likely = match (kind, def.name) {
            (Kind::Order, "part")
            | (Kind::Reading, "value" | "instrument")
            | (Kind::Instrument, "uncertainty") => 90,
            (Kind::Reading, "at" | "grid" | "again") => 15,
            _ => 45,
        };
        if def.required || dice.chance(likely) {
            let given = give(kind, def, seen, dice, count, &mut fields);
            if def.required && !given {
                return None;
            }
        }
    }
    Some(fields)
}

/// What the program marks itself where an assembly is opened or something is measured: by hand it is refused.
fn is_own_mark(kind: Kind, def: &FieldDef) -> bool {
    match kind {
        Kind::Assembly => matches!(def.name, "opened" | "taken_apart"),
        Kind::Reading => def.name == "knew_of",
        _ => false,
    }
}

/// One to three fields of an entry that is there, some of them emptied.
pub fn for_change(kind: Kind, seen: &dyn Seen, dice: &mut Dice, count: &mut u64) -> Fields {
    let mut fields = Fields::default();
    for _ in 0..=dice.below(3) {
        // The first few fields more often, so that two devices meet in one.
        let defs = fields_of(kind);
        let most = if dice.chance(50) {
            defs.len().min(2)
        } else {
            defs.len()
        };
        let def = dice.pick(&defs[..most]);
        if is_own_mark(kind, def) || fields.json.contains_key(def.name) {
            continue;
        }
        if !def.required && dice.chance(12) {
            empty(def, &mut fields);
        } else {
            give(kind, def, seen, dice, count, &mut fields);
        }
    }
    fields
}

fn empty(def: &FieldDef, fields: &mut Fields) {
    fields.json.insert(def.name.to_owned(), Value::Null);
    let name = def.name.to_owned();
    match def.shape {
        Shape::Prose => fields.prose.push((name, String::new())),
        Shape::Set(_) => fields.sets.push((name, Vec::new())),
        _ => fields.kept.push((name, None)),
    }
}

/// Gives one field a value; says whether there was one to give.
#[expect(clippy::too_many_lines, reason = "a shape a line: what is typed for each")]
fn give(
    kind: Kind,
    def: &FieldDef,
    seen: &dyn Seen,
    dice: &mut Dice,
    count: &mut u64,
    fields: &mut Fields,
) -> bool {
    let name = def.name.to_owned();
    let line = |text: &str| Some(Scalar::Line(text.to_owned()));
    let (given, kept) = match def.shape {
        Shape::Line if def.name == "hash" => {
            let hash = blake3::hash(&dice.bytes()).to_hex().to_string();
            (json!(hash), line(&hash))
        }
        Shape::Line if kind == Kind::Container && def.name == "code" => {
            let code = dice.pick(CODES);
            (json!(code), line(code))
        }
        Shape::Line if kind == Kind::HoldPoint && def.name == "met_by" => {
            (json!("counted:4"), line("counted:4"))
        }
        // A time of day, or it is refused.
        Shape::Line if kind == Kind::Job && def.name == "not_before_time" => {
            let time = *dice.pick(&["7:05", "18:30", "23:59"]);
            (json!(time), line(time))
        }
        // What was measured and where, too.
        Shape::Line if kind == Kind::Reading && def.name != "grid_names" && dice.chance(90) => {
            let text = dice.pick(POINTS);
            (json!(text), line(text))
        }
        // What can be tightened at all, mostly: a run that cannot is refused.
        Shape::Line if def.name == "passes" => {
            let text = dice.pick(&["30, 60, 100", "50, 100", "100", "60, 30"]);
            (json!(text), line(text))
        }
        Shape::Whole if matches!(kind, Kind::TighteningRun | Kind::Tightened) => {
            let number = *dice.pick(&[1, 2, 4, 4, 8, 8]);
            (json!(number), Some(Scalar::Whole(number)))
        }
        Shape::Measure if matches!(kind, Kind::TighteningRun | Kind::Tightened) => {
            (json!("54 Nm"), line("54 Nm = 54 N·m"))
        }
        Shape::Line if dice.chance(15) => (json!("as found"), line("as found")),
        Shape::Line => {
            let text = token(dice, count);
            (json!(format!("  {text} ")), line(&text))
        }
        Shape::Prose => {
            let lines: Vec<String> = (0..=dice.below(3)).map(|_| token(dice, count)).collect();
            let text = lines.join("\n");
            fields
                .json
                .insert(name.clone(), json!(text.replace('\n', "\r\n")));
            fields.prose.push((name, text));
            return true;
        }
        Shape::Whole => {
            let number = *dice.pick(&[0, 1, -1, 4, 1962, i32::MAX, i32::MIN]);
            (json!(number), Some(Scalar::Whole(number)))
        }
        Shape::Flag => {
            let flag = dice.chance(50);
            (json!(flag), Some(Scalar::Flag(flag)))
        }
        Shape::Day => {
            let day = format!("2031-03-{:02}", 1 + dice.below(4));
            (json!(day), line(&day))
        }
        Shape::Measure => {
            let (typed, exact) = dice.pick(MEASURES);
            (json!(typed), line(&format!("{typed} = {exact}")))
        }
        Shape::Measures => (
            json!("0.30 mm, 0.32 mm"),
            line("0.30 mm = 0.3 mm; 0.32 mm = 0.32 mm"),
        ),
        Shape::Grid => (
            json!("0.30 mm, 0.32 mm; 0.28 mm, 0.30 mm"),
            line("0.30 mm = 0.3 mm; 0.32 mm = 0.32 mm | 0.28 mm = 0.28 mm; 0.30 mm = 0.3 mm"),
        ),
        Shape::Money => {
            let (typed, kept) = dice.pick(AMOUNTS);
            (json!(typed), line(kept))
        }
        Shape::Lies => {
            let all = seen.standing(Kind::Container);
            let container = dice.one(&all).filter(|_| dice.chance(60));
            let text = match container {
                Some(container) => container.to_string(),
                None => (*dice.pick(&[
                    "place:",
                    "off:on the bench",
                    "away:with the plater",
                    "lost:",
                    "trial:to see how it sits",
                ]))
                .to_owned(),
            };
            (json!(text), line(&text))
        }
        Shape::Ending => {
            let text = dice.pick(&[
                "mended:welded up",
                "lived_with:only the paint",
                "not_so:it was the fan",
            ]);
            (json!(text), line(text))
        }
        Shape::Word(set) => {
            let word = dice.pick(set.words);
            (json!(word), line(word))
        }
        Shape::Link(to) => {
            let all = seen.standing(to);
            let most = if dice.chance(60) {
                all.len().min(2)
            } else {
                all.len()
            };
            match dice.one(&all[..most]) {
                Some(id) => (json!(id), line(id.as_str())),
                None => return false,
            }
        }
        Shape::About(kinds) => {
            let all: Vec<Ref> = kinds
                .iter()
                .flat_map(|kind| seen.standing(*kind).into_iter().map(|id| Ref::new(*kind, id)))
                .collect();
            // Readings are of one thing, so that two keepers measure it.
            let most = if kind == Kind::Reading {
                all.len().min(1)
            } else {
                all.len()
            };
            match dice.one(&all[..most]) {
                Some(about) => (json!(about), line(&about.to_string())),
                None => return false,
            }
        }
        Shape::Set(of) => {
            let mut members: Vec<String> = seen
                .standing(of)
                .into_iter()
                .filter(|_| dice.chance(25))
                .map(|id| id.to_string())
                .collect();
            members.truncate(4);
            fields.json.insert(name.clone(), json!(members));
            fields.sets.push((name, members));
            return true;
        }
    };
    fields.json.insert(name.clone(), given);
    fields.kept.push((name, kept));
    true
}
