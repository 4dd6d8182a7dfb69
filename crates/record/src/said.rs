//! A field and its value as a person reads them: labels, words of closed sets, measures as they were typed, names in place of ids. Every
//! face, question and history says a value by this, so that one value has one reading. It judges nothing, finds nothing by itself and
//! leaves the spelling that is kept as it is.

use crate::ending::End;
use crate::entities::field_of;
use crate::entities::{Assembly, Device, HoldPoint, Part, Photo, Reading, Settlement};
use crate::entry::{Claim, Entry, Held, STRUCK, Scalar};
use crate::field::{FieldDef, Shape};
use crate::holding::{MetBy, seen_before};
use crate::lies::Lies;
use crate::name::{Id, Kind, Ref};
use crate::shown::{printable, shown};
use crate::time::Day;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Signs of currencies as English writes them; any other stands as its code (ISO 4217). From the names of currencies of the Unicode
/// Common Locale Data Repository, `en-GB`.
const SIGNS: [(&str, &str); 7] = [
    ("GBP", "£"),
    ("EUR", "€"),
    ("USD", "US$"),
    ("AUD", "A$"),
    ("CAD", "CA$"),
    ("NZD", "NZ$"),
    ("JPY", "JP¥"),
];

/// A field as it is kept, `what` or `after:0190…`, in its two halves: the field, and of a set the element.
#[must_use]
pub fn halves(field: &str) -> (&str, Option<&str>) {
    field
        .split_once(':')
        .map_or((field, None), |(set, element)| (set, Some(element)))
}

/// The field of the table; nothing for one of a newer version.
#[must_use]
pub fn def_of(kind: Kind, field: &str) -> Option<&'static FieldDef> {
    field_of(kind, halves(field).0)
}

/// What a field is called, an element of a set as its set; of a newer version without its underscores.
///
/// ```
/// use record::{Kind, said};
/// assert_eq!(said::label(Kind::Finding, "what"), "What was seen");
/// assert_eq!(said::label(Kind::Job, "needs_parts:0190"), "Parts to have in hand");
/// assert_eq!(said::label(Kind::Part, "heat_number"), "heat number");
/// ```
#[must_use]
pub fn label(kind: Kind, field: &str) -> String {
    if field == STRUCK {
        return "Struck out".to_owned();
    }
    def_of(kind, field).map_or_else(|| halves(field).0.replace('_', " "), |def| def.label.to_owned())
}

/// What a field of an entry is called as that stands: what was seen of a hold point that is open again was seen before, and holds no more.
#[must_use]
pub fn label_of(entry: &Entry, field: &str) -> String {
    let before = matches!(field, HoldPoint::met_how | HoldPoint::on) && seen_before(entry).is_some();
    match (before, field) {
        (true, HoldPoint::met_how) => "What was seen before it was open again".to_owned(),
        (true, _) => "Day of that".to_owned(),
        (false, _) => label(entry.kind, field),
    }
}

/// The same within a sentence: `how many are wanted`.
#[must_use]
pub fn label_within(kind: Kind, field: &str) -> String {
    lowered(&label(kind, field))
}

/// A label within a sentence; what begins with two capitals stays as it is.
#[must_use]
pub fn lowered(label: &str) -> String {
    let mut letters = label.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => label.to_owned(),
    }
}

/// Whether the program keeps a field for itself: a mark of bytes, a key, a place in a list. No person reads it.
#[must_use]
pub fn is_for_the_program(kind: Kind, field: &str) -> bool {
    match kind {
        Kind::Photo => field == Photo::hash,
        Kind::Assembly => field == Assembly::order,
        Kind::Reading => field == Reading::knew_of,
        Kind::Part => field == Part::order,
        Kind::Device => field == Device::key || field == Device::seal,
        Kind::Settlement => {
            field == Settlement::stood || field == Settlement::point || field == Settlement::of_point
        }
        _ => false,
    }
}

/// A value in words. `named` says what another entry is called.
///
/// ```
/// use record::{Kind, Scalar, said};
/// let line = |text: &str| Some(Scalar::Line(text.to_owned()));
/// let value = |kind: Kind, field: &str, kept: Option<Scalar>| said::value(kind, field, kept.as_ref(), &|name| name.to_string());
/// assert_eq!(value(Kind::Finding, "how_bad", line("watch")), "watch it");
/// assert_eq!(value(Kind::Reading, "value", line("12 thou = 0.3048 mm")), "12 thou");
/// assert_eq!(value(Kind::Order, "price", line("GBP 1234.50")), "£1,234.50");
/// assert_eq!(value(Kind::Order, "due", line("2031-03-01")), "1 March 2031");
/// assert_eq!(value(Kind::Order, "due", None), "nothing");
/// ```
#[must_use]
pub fn value(kind: Kind, field: &str, value: Option<&Scalar>, named: &dyn Fn(&Ref) -> String) -> String {
    let text = match value {
        None => return "nothing".to_owned(),
        Some(Scalar::Flag(flag)) => {
            let (yes, no) = match halves(field).1 {
                Some(_) => ("in", "out"),
                None => ("yes", "no"),
            };
            return if *flag { yes } else { no }.to_owned();
        }
        Some(Scalar::Whole(number)) => return number.to_string(),
        Some(Scalar::Line(text)) if text.is_empty() => return "nothing".to_owned(),
        Some(Scalar::Line(text)) => text,
    };
    if (kind, field) == (Kind::HoldPoint, HoldPoint::met_by) {
        return met_by(text, named);
    }
    match def_of(kind, field).map(|def| def.shape) {
        Some(Shape::Link(kind)) => text
            .parse()
            .map_or_else(|_| shown(text), |id| named(&Ref::new(kind, id))),
        Some(Shape::About(_)) => text
            .parse()
            .map_or_else(|_| shown(text), |name: Ref| named(&name)),
        Some(Shape::Lies) => Lies::of(text).told(|id| named(&Ref::new(Kind::Container, id.clone()))),
        Some(Shape::Ending) => End::of(text).told(|id| named(&Ref::new(Kind::Job, id.clone()))),
        Some(Shape::Word(set)) => set
            .said(text)
            .map_or_else(|| shown(text).replace('_', " "), str::to_owned),
        Some(Shape::Measure | Shape::Measures | Shape::Grid) => typed(text),
        Some(Shape::Day) => day(text),
        Some(Shape::Money) => money(text),
        Some(Shape::Prose) => printable(text),
        _ => shown(text),
    }
}

/// What a value of a field names; nothing where it names nothing, or what cannot be read as a name.
#[must_use]
pub fn names(kind: Kind, field: &str, value: Option<&Scalar>) -> Option<Ref> {
    let (_, element) = halves(field);
    let to = |kind: Kind, id: &str| Some(Ref::new(kind, id.parse::<Id>().ok()?));
    let shape = def_of(kind, field)?.shape;
    if let (Shape::Set(kind), Some(element)) = (shape, element) {
        return to(kind, element);
    }
    let text = value?.line()?;
    if (kind, field) == (Kind::HoldPoint, HoldPoint::met_by) {
        return MetBy::of(text)?.name();
    }
    match shape {
        Shape::Link(kind) => to(kind, text),
        Shape::About(_) => text.parse().ok(),
        Shape::Lies => to(Kind::Container, Lies::of(text).container()?.as_str()),
        Shape::Ending => Some(Ref::new(Kind::Job, End::of(text).job()?.clone())),
        _ => None,
    }
}

/// What a kept measure comes to exactly, where that says something else than what was typed.
///
/// ```
/// use record::said::exact;
/// assert_eq!(exact("12 thou = 0.3048 mm"), Some("0.3048 mm"));
/// assert_eq!(exact("0.30 mm = 0.3 mm"), None);
/// ```
#[must_use]
pub fn exact(kept: &str) -> Option<&str> {
    let (typed, exact) = kept.rsplit_once(" = ")?;
    // A fraction of what was meant is told by what was typed.
    (bare(typed) != bare(exact) && !exact.contains('/')).then_some(exact)
}

/// A value as a form takes it: as it was typed, the elements of a set together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AsTyped {
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Whole(i32),
    /// Text; measures as they were typed.
    Line(String),
    /// Ids that are in a set.
    Set(Vec<String>),
}

/// A value of a field as a form takes it.
#[must_use]
pub fn as_typed(kind: Kind, field: &str, value: &Scalar) -> AsTyped {
    match value {
        Scalar::Flag(flag) => AsTyped::Flag(*flag),
        Scalar::Whole(number) => AsTyped::Whole(*number),
        Scalar::Line(text) => AsTyped::Line(match def_of(kind, field).map(|def| def.shape) {
            Some(Shape::Measure | Shape::Measures | Shape::Grid) => each_typed(text),
            _ => text.clone(),
        }),
    }
}

/// Every field of an entry as a form takes it, by its name; nothing for one that was emptied.
pub fn form_of(entry: &Entry) -> impl Iterator<Item = (&str, Option<AsTyped>)> {
    let mut last = None;
    entry.fields.iter().filter_map(move |(name, held)| {
        let (field, element) = halves(name);
        if element.is_none() {
            let value = held.value().map(|value| as_typed(entry.kind, name, value));
            return Some((field, value));
        }
        // The elements of a set stand beside each other.
        if last == Some(field) {
            return None;
        }
        last = Some(field);
        Some((
            field,
            Some(AsTyped::Set(entry.members(field).map(str::to_owned).collect())),
        ))
    })
}

/// An earlier value of a field as it would be put to have it stand again; nothing where it stands, is not one value alone, is of a
/// shape that is put otherwise, or cannot be emptied. Whether a form asks for the field is not said.
#[must_use]
pub fn can_be_put_back(entry: &Entry, field: &str, then: &[Claim]) -> Option<Option<AsTyped>> {
    let def = field_of(entry.kind, field)?;
    let [claim] = then else { return None };
    let by_itself = !matches!(
        def.shape,
        Shape::Set(_) | Shape::Measures | Shape::Grid | Shape::Ending
    );
    let stands = entry.fields.get(field).and_then(Held::value) == claim.value.as_ref();
    let empties = claim.value.is_none() && def.required;
    let put = || {
        claim
            .value
            .as_ref()
            .map(|value| as_typed(entry.kind, field, value))
    };
    (by_itself && !stands && !empties).then(put)
}

/// What was typed, of one value, several, or rows of them.
#[must_use]
pub fn typed(kept: &str) -> String {
    let row = |row: &str| row.split("; ").map(one_typed).collect::<Vec<_>>().join(", ");
    shown(&kept.split(" | ").map(row).collect::<Vec<_>>().join(" / "))
}

/// The same, parted as it is kept.
fn each_typed(kept: &str) -> String {
    let row = |row: &str| row.split("; ").map(one_typed).collect::<Vec<_>>().join("; ");
    kept.split(" | ").map(row).collect::<Vec<_>>().join(" | ")
}

fn one_typed(kept: &str) -> &str {
    kept.rsplit_once(" = ").map_or(kept, |(typed, _)| typed)
}

/// A measure without what is only spelling: spaces, noughts before and behind.
fn bare(text: &str) -> String {
    let text: String = text.chars().filter(|letter| !letter.is_whitespace()).collect();
    let end = text
        .find(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number = match number.split_once('.') {
        Some((whole, part)) => {
            let part = part.trim_end_matches('0');
            let point = if part.is_empty() { "" } else { "." };
            format!("{}{point}{part}", whole.trim_start_matches('0'))
        }
        None => number.trim_start_matches('0').to_owned(),
    };
    format!("{number}{unit}")
}

fn met_by(text: &str, named: &dyn Fn(&Ref) -> String) -> String {
    // Two keepers may each have met it by another.
    let one = |one: &str| match MetBy::of(one) {
        Some(MetBy::Counted(number)) => format!("{number} counted"),
        Some(by) => by.name().map_or_else(|| shown(one), |name| named(&name)),
        None => one.parse().map_or_else(|_| shown(one), |name: Ref| named(&name)),
    };
    text.split_whitespace().map(one).collect::<Vec<_>>().join(", ")
}

/// A day as it is said.
fn day(text: &str) -> String {
    let Ok(day) = text.parse::<Day>() else {
        return shown(text);
    };
    let date = day.date();
    let month = usize::try_from(date.month())
        .ok()
        .and_then(|month| MONTHS.get(month.saturating_sub(1)));
    month.map_or_else(
        || shown(text),
        |month| format!("{} {month} {}", date.day(), date.year()),
    )
}

/// `GBP 12.50` as `£12.50`; what is no amount as it is.
fn money(text: &str) -> String {
    let Some((code, amount)) = text.split_once(' ') else {
        return shown(text);
    };
    let (sign, amount) = match amount.strip_prefix('-') {
        Some(amount) => ("-", amount),
        None => ("", amount),
    };
    let (whole, part) = match amount.split_once('.') {
        Some((whole, part)) => (whole, Some(part)),
        None => (amount, None),
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || part.is_some_and(|part| !digits(part)) {
        return shown(text);
    }
    let mut grouped = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && whole.len().saturating_sub(at) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    let part = part.map_or_else(String::new, |part| format!(".{part}"));
    match SIGNS.iter().find(|(known, _)| *known == code) {
        Some((_, of)) => format!("{sign}{of}{grouped}{part}"),
        None => format!("{sign}{code} {grouped}{part}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entities::{Car, Part};

    fn line(text: &str) -> Scalar {
        Scalar::Line(text.to_owned())
    }

    #[test]
    fn what_was_typed_is_told_and_its_exact_value_where_that_is_another() {
        let check = |kept: &str, said: &str, more: Option<&str>| {
            assert_eq!((typed(kept).as_str(), exact(kept)), (said, more), "{kept}");
        };
        check("12 thou = 0.3048 mm", "12 thou", Some("0.3048 mm"));
        check("0.300 mm = 0.3 mm", "0.300 mm", None);
        check(".3 mm = 0.3 mm", ".3 mm", None);
        check("25mm = 25 mm", "25mm", None);
        check("1/3 in = 127/15 mm", "1/3 in", None);
        check("as found", "as found", None);
        assert_eq!(
            typed("0.31 mm = 0.31 mm; 12 thou = 0.3048 mm"),
            "0.31 mm, 12 thou"
        );
        assert_eq!(
            typed("1 mm = 1 mm; 2 mm = 2 mm | 3 mm = 3 mm; 4 mm = 4 mm"),
            "1 mm, 2 mm / 3 mm, 4 mm"
        );
        assert_eq!(
            each_typed("1 mm = 1 mm; 2 mm = 2 mm | 3 mm = 3 mm; 4 mm = 4 mm"),
            "1 mm; 2 mm | 3 mm; 4 mm"
        );
    }

    #[test]
    fn money_is_written_with_its_sign_or_its_code() {
        let check = |kept: &str, said: &str| assert_eq!(money(kept), said);
        check("GBP 12.50", "£12.50");
        check("EUR -3.00", "-€3.00");
        check("JPY 1234567", "JP¥1,234,567");
        check("CHF 999.95", "CHF 999.95");
        check("a fair price", "a fair price");
    }

    #[test]
    fn what_a_value_names_is_told_by_its_shape() {
        let id = "0198f3a2-7c11-7000-8000-00000000beef";
        let check = |kind, field: &str, kept: &str, wanted: &str| {
            let found = names(kind, field, Some(&line(kept)));
            assert_eq!(
                found.map(|name| name.to_string()),
                Some(wanted.to_owned()),
                "{field}"
            );
        };
        check(Kind::Part, Part::assembly, id, &format!("assembly:{id}"));
        check(Kind::Part, Part::container, id, &format!("container:{id}"));
        check(Kind::Finding, "about", "car:car", "car:car");
        check(
            Kind::Finding,
            "ended",
            &format!("mended_by:{id}"),
            &format!("job:{id}"),
        );
        check(
            Kind::HoldPoint,
            HoldPoint::met_by,
            &format!("photo:{id}"),
            &format!("photo:{id}"),
        );
        let after = format!("after:{id}");
        let element = names(Kind::Job, &after, Some(&Scalar::Flag(false)));
        assert_eq!(element, Some(Ref::new(Kind::Job, id.parse().unwrap())));
        assert_eq!(names(Kind::Part, Part::container, Some(&line("off:bench"))), None);
        assert_eq!(names(Kind::Car, Car::name, Some(&line("Tern"))), None);
    }

    #[test]
    fn what_a_hold_point_was_met_by_is_told_whatever_it_was() {
        let said = |kept: &str| {
            value(Kind::HoldPoint, HoldPoint::met_by, Some(&line(kept)), &|_| {
                "it".into()
            })
        };
        assert_eq!(said("counted:4"), "4 counted");
        assert_eq!(said("reading:0198f3a2-7c11-7000-8000-00000000beef"), "it");
    }
}
