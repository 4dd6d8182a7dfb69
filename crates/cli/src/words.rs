//! Answers in words, for a person at a shell. It formats and never reckons.

use qrcode::Color;
use qrcode::render::Renderer;
use qrcode::render::unicode::Dense1x2;
use serde_json::Value;

pub(crate) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or_default()
}

pub(crate) fn number(value: &Value, key: &str) -> u64 {
    value.get(key).and_then(Value::as_u64).unwrap_or_default()
}

/// `1 change`, `2 changes`, `3 entries`.
pub(crate) fn counted(value: &Value, key: &str, one: &str) -> String {
    match (number(value, key), one.strip_suffix('y')) {
        (1, _) => format!("1 {one}"),
        (many, Some(stem)) => format!("{many} {stem}ies"),
        (many, None) => format!("{many} {one}s"),
    }
}

pub(crate) fn list<'a>(value: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    value.get(key).and_then(Value::as_array).into_iter().flatten()
}

pub(crate) fn items(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

pub(crate) fn begun(reply: &Value) -> String {
    format!(
        "This device keeps '{}' for {}.",
        text(reply, "car"),
        text(reply, "keeper_name")
    )
}

pub(crate) fn carried_out(reply: &Value) -> String {
    let whole = reply.get("whole") == Some(&Value::Bool(true));
    let what = if whole {
        "everything; a newcomer may join by it"
    } else {
        "what the other lacked"
    };
    format!(
        "Wrote '{}': {}, {}, {} bytes ({what}). {}",
        record::shown(text(reply, "file")),
        counted(reply, "changes", "change"),
        counted(reply, "photos", "photo"),
        number(reply, "bytes"),
        text(reply, "says"),
    )
}

pub(crate) fn met(reply: &Value) -> String {
    let mut out = format!(
        "Met {}: {} and {} new here; {} to settle.",
        text(reply, "from"),
        counted(reply, "changes", "change"),
        counted(reply, "photos", "photo"),
        counted(reply, "points", "point"),
    );
    for line in list(reply, "news").filter_map(Value::as_str) {
        out.push_str("\n  ");
        out.push_str(line);
    }
    out
}

/// Light modules around a QR code, ISO/IEC 18004.
const QUIET: u32 = 4;

/// A ticket as text, and as a QR code of half blocks: two rows of modules in a line, with its quiet zone.
pub(crate) fn ticket(reply: &Value) -> String {
    if reply.get("voice") == Some(&Value::Bool(true)) {
        return format!(
            "{}\nRead these digits to the other keeper. On the other device, on the same network: witnessmark pair DIGITS. They let one device in, for {} seconds.",
            text(reply, "ticket"),
            number(reply, "seconds")
        );
    }
    let modules: Vec<Color> = list(reply, "qr")
        .flat_map(items)
        .map(|dark| {
            if dark == &Value::Bool(true) {
                Color::Dark
            } else {
                Color::Light
            }
        })
        .collect();
    let side = list(reply, "qr").count();
    // The renderer panics over what is no square.
    let out = if side.checked_mul(side) == Some(modules.len()) {
        // Light is what is printed, so that it reads on a dark screen.
        Renderer::<Dense1x2>::new(&modules, side, QUIET)
            .dark_color(Dense1x2::Light)
            .light_color(Dense1x2::Dark)
            .build()
    } else {
        String::new()
    };
    format!(
        "{out}\n{}\nOn the other device: witnessmark pair TICKET. It lets one device in, for {} seconds.",
        text(reply, "ticket"),
        number(reply, "seconds")
    )
}

/// What a pairing is about: the car and whose device, what it would change, or why nothing can come of it.
pub(crate) fn about(reply: &Value) -> String {
    let Some(about) = reply.get("about").filter(|about| !about.is_null()) else {
        return String::new();
    };
    let mut lines = vec![format!("'{}', with {}", text(about, "car"), text(about, "with"))];
    let says = about.get("says").and_then(Value::as_array);
    lines.extend(
        says.into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .map(str::to_owned),
    );
    let cannot = text(about, "cannot");
    if !cannot.is_empty() {
        lines.push(format!("Nothing can come of it: {cannot}."));
    }
    lines.join("\n")
}

pub(crate) fn digits(reply: &Value) -> String {
    format!(
        "{}\n{}\nDoes the other device show the same digits? Type yes, or no where they differ.",
        about(reply),
        text(reply, "code")
    )
}

pub(crate) fn paired(reply: &Value) -> String {
    format!("Paired with {}.", text(reply, "with"))
}

pub(crate) fn proposed(reply: &Value) -> String {
    text(reply, "words").to_owned()
}

pub(crate) fn given_up(reply: &Value) -> String {
    let lines: Vec<&str> = list(reply, "says").filter_map(Value::as_str).collect();
    lines.join("\n")
}

pub(crate) fn folder(reply: &Value) -> String {
    let says = text(reply, "says");
    if says.is_empty() {
        return format!("This is '{}'; nothing is asked of it.", text(reply, "device"));
    }
    if matches!(text(reply, "doubt"), "key" | "damaged") {
        return format!(
            "{says}\nTo go on with all that is here as a device of its own, which the others let in once more: witnessmark folder copy\nTo give this device another key, which the others believe only after pairing anew: witnessmark folder same"
        );
    }
    format!(
        "{says}\nIs it the same device, moved or restored: witnessmark folder same\nOr a copy, beside which the other goes on, or was stolen: witnessmark folder copy"
    )
}

pub(crate) fn members(reply: &Value) -> String {
    let line = |one: &Value| {
        let this = if one.get("this") == Some(&Value::Bool(true)) {
            " (this device)"
        } else {
            ""
        };
        let revoked = one.get("revoked").filter(|revoked| !revoked.is_null());
        let unnamed = one.get("unnamed").and_then(Value::as_bool);
        if let Some(met) = unnamed {
            let until = if met {
                "met once"
            } else {
                "was met, and is met no more"
            };
            return format!(
                "{}: paired here, and the record does not name it; {until}. To cut it off: witnessmark cut\n  {}",
                text(one, "name"),
                text(one, "device")
            );
        }
        let standing = match (revoked, text(one, "key")) {
            (Some(revoked), _) => format!("; met no more: {}{}", text(revoked, "why"), knew(one)),
            (None, "") => "; not paired, met by carry file".to_owned(),
            (None, _) => String::new(),
        };
        format!(
            "{}: {}{this}{standing}\n  {}",
            text(one, "keeper_name"),
            text(one, "name"),
            text(one, "device")
        )
    };
    items(reply).map(line).collect::<Vec<_>>().join("\n")
}

/// The drops whose password a lost device knew.
fn knew(one: &Value) -> String {
    let drops = one.get("knew").and_then(Value::as_array);
    let line = |drop: &Value| {
        let sure = drop.get("sure") == Some(&Value::Bool(true));
        let how = if sure { "knew" } else { "may have known" };
        format!(
            "\n  it {how} the password of '{}': change it there, and add the drop anew here",
            text(drop, "name")
        )
    };
    drops.into_iter().flatten().map(line).collect()
}

pub(crate) fn meetings(reply: &Value) -> String {
    let line = |one: &Value| {
        let stands = match text(one, "phase") {
            "away" if text(one, "last_met").is_empty() => "never met".to_owned(),
            "away" => format!("away, last met {}", text(one, "last_met")),
            "live" if one.get("difference") == Some(&Value::Bool(true)) => {
                "here, and it should hold the same but does not".to_owned()
            }
            "live" => "here, nothing is lacking".to_owned(),
            "photos" => format!("here, {} to follow", counted(one, "photos_left", "photo")),
            _ => "here, changes go both ways".to_owned(),
        };
        format!(
            "{}'s {}: {stands}; {} sent, {} taken",
            text(one, "keeper_name"),
            text(one, "name"),
            counted(one, "sent", "change"),
            number(one, "got")
        )
    };
    let lines: Vec<String> = list(reply, "devices").map(line).collect();
    if lines.is_empty() {
        "No other device has a part in this record yet: pair one.".to_owned()
    } else {
        lines.join("\n")
    }
}

pub(crate) fn relay(reply: &Value) -> String {
    match text(reply, "relay") {
        "" => "No relay: devices meet on the same network only.".to_owned(),
        relay => format!(
            "Devices meet through the relay {relay}. It sees their keys and addresses, and when and how much they exchange; never what."
        ),
    }
}

pub(crate) fn photos(reply: &Value) -> String {
    let which = match text(reply, "photos") {
        "asked" => "Originals come when they are asked for",
        _ => "All originals come",
    };
    let by = match text(reply, "photos_by") {
        "unmetered" => "; over a metered connection only those that are asked for",
        _ => "",
    };
    format!("{which}{by}. Small pictures always come.")
}

pub(crate) fn taken_in(reply: &Value) -> String {
    let mut says = counted(reply, "entered", "photo");
    says.push_str(" taken in");
    if number(reply, "were_here") > 0 {
        says.push_str(&format!(", {} here before", number(reply, "were_here")));
    }
    says.push('.');
    for left in list(reply, "left_out") {
        says.push_str(&format!(
            "\nNot taken in: {}: {}",
            text(left, "file"),
            text(left, "why")
        ));
    }
    says
}

pub(crate) fn photo(reply: &Value) -> String {
    if reply.get("here") == Some(&Value::Bool(true)) {
        return "It is on this device.".to_owned();
    }
    let missing = reply.get("missing").unwrap_or(&Value::Null);
    let held: Vec<&str> = list(missing, "held_by").filter_map(Value::as_str).collect();
    let who = match held.as_slice() {
        [] => "it is not known who has it".to_owned(),
        [one] => format!("{one} has it"),
        many => format!("{} have it", many.join(" and ")),
    };
    let comes = if missing.get("asked") == Some(&Value::Bool(true)) {
        "; it is asked for, and comes when they meet"
    } else {
        ""
    };
    format!("Not on this device: {who}{comes}.")
}

pub(crate) fn digest(reply: &Value) -> String {
    format!(
        "{}\n{}, {}, {}, {} to settle",
        text(reply, "digest"),
        counted(reply, "changes", "change"),
        counted(reply, "entries", "entry"),
        counted(reply, "photos", "photo"),
        counted(reply, "points", "point"),
    )
}

pub(crate) fn checked(reply: &Value) -> String {
    let sound = reply.get("sound") == Some(&Value::Bool(true));
    let mut out = String::from(if sound {
        "Everything is as it was written."
    } else {
        "Something is broken."
    });
    for line in list(reply, "found") {
        let mark = if line.get("broken") == Some(&Value::Bool(true)) {
            "broken"
        } else {
            "note"
        };
        out.push_str(&format!("\n  {mark}: {}", text(line, "says")));
    }
    out
}

pub(crate) fn rebuilt(reply: &Value) -> String {
    let changed = reply.get("changed") == Some(&Value::Bool(true));
    let what = if changed {
        "they were not as the document has them"
    } else {
        "they read as before"
    };
    format!(
        "Made {} and {} anew; {what}.",
        counted(reply, "entries", "entry"),
        counted(reply, "points", "point")
    )
}

pub(crate) fn demo(reply: &Value) -> String {
    format!(
        "Built two devices:\n  {}\n  {}",
        text(reply, "parent"),
        text(reply, "child")
    )
}

pub(crate) fn commands(reply: &Value) -> String {
    let line = |one: &Value| {
        let mark = if one.get("writes") == Some(&Value::Bool(true)) {
            "*"
        } else {
            " "
        };
        format!("{mark} {:18} {}", text(one, "name"), text(one, "says"))
    };
    let lines: Vec<String> = items(reply).map(line).collect();
    format!(
        "{}\n\n* changes something. Add --json for the schema of each.",
        lines.join("\n")
    )
}

pub(crate) fn calculations(reply: &Value) -> String {
    let mut out = String::new();
    for one in items(reply) {
        out.push_str(&format!(
            "{}  {} ({})\n    {}\n",
            text(one, "name"),
            text(one, "title"),
            text(one, "place_words"),
            text(one, "about")
        ));
        for argument in list(one, "arguments") {
            let required = argument.get("required") == Some(&Value::Bool(true));
            let need = if required { "" } else { " (may be left out)" };
            out.push_str(&format!(
                "      {}=…  {}{need}\n          {}\n",
                text(argument, "name"),
                text(argument, "words"),
                taken(argument)
            ));
        }
    }
    out.trim_end().to_owned()
}

/// What an argument takes: its unit, a text that is taken, the ranges, and what stands where nothing is given.
fn taken(argument: &Value) -> String {
    let measured = |several: &str| match (text(argument, "unit"), text(argument, "kind")) {
        ("", _) => format!("{several}a number"),
        (unit, kind) => format!(
            "{several}{} in {unit} or any other unit of it",
            kind.replace('_', " ")
        ),
    };
    let mut parts = vec![match text(argument, "want") {
        "quantity" => measured(""),
        "list" => measured("several, each "),
        "grid" => measured("rows, each value "),
        "number" => "a number".to_owned(),
        "whole" => "a whole number".to_owned(),
        "gauge" => "a gauge number".to_owned(),
        "thread" => "a thread".to_owned(),
        "choice" => {
            let names: Vec<&str> = list(argument, "choices")
                .map(|choice| text(choice, "name"))
                .collect();
            format!("one of {}", names.join(", "))
        }
        _ => "a text".to_owned(),
    }];
    if text(argument, "want") != "choice" && !text(argument, "example").is_empty() {
        parts.push(format!("like {}", text(argument, "example")));
    }
    for (key, words) in [("reject", "refused outside"), ("warn", "unusual outside")] {
        if let Some(range) = argument.get(key).filter(|range| !range.is_null()) {
            parts.push(format!("{words} {}", text(range, "text")));
        }
    }
    if let Some(default) = argument.get("default").and_then(Value::as_str) {
        parts.push(format!("{default} where nothing is given"));
    }
    parts.join("; ")
}

pub(crate) fn answer(reply: &Value) -> String {
    let mut lines: Vec<String> = Vec::new();
    // What can hurt comes before the number that one reads off: first what these numbers do, then what to mind in any case.
    for (key, head) in [("warnings", "Warning"), ("cautions", "Caution")] {
        for note in list(reply, key) {
            lines.push(format!("{head}: {}", text(note, "words")));
        }
    }
    for verdict in list(reply, "verdicts") {
        lines.push(text(verdict, "words").to_owned());
    }
    for value in list(reply, "values") {
        lines.push(format!("  {}: {}", text(value, "words"), text(value, "text")));
    }
    for table in list(reply, "tables") {
        lines.push(format!("  {}:", text(table, "words")));
        for line in list(table, "lines") {
            let why = match text(line, "why") {
                "" => String::new(),
                why => format!(" ({why})"),
            };
            lines.push(format!("    {}{why}", text(line, "words")));
        }
    }
    let inputs: Vec<String> = list(reply, "inputs")
        .map(|input| {
            let taken = if input.get("by_default") == Some(&Value::Bool(true)) {
                ", not given"
            } else {
                ""
            };
            format!("{} {}{taken}", text(input, "words"), text(input, "typed"))
        })
        .collect();
    lines.push(format!("  From: {}", inputs.join("; ")));
    for formula in list(reply, "formulas") {
        lines.push(format!(
            "  {}: {}",
            text(formula, "name"),
            text(formula, "written")
        ));
    }
    let notes = [("conditions", "Holds for"), ("sources", "Source")];
    for (key, head) in notes {
        for note in list(reply, key) {
            let standing = match text(note, "standing") {
                "" | "published" => String::new(),
                other => format!(" ({})", other.replace('_', " ")),
            };
            lines.push(format!("  {head}: {}{standing}", text(note, "words")));
        }
    }
    lines.join("\n")
}
