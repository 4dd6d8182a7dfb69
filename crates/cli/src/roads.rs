//! What was found at drops, how long a carry file would be and what was set aside, in words for a person at a shell. It
//! formats and never reckons.

use serde_json::Value;

use crate::words::{counted, list, number, text};

/// Bytes as a person says them.
fn bytes(value: &Value, key: &str) -> String {
    const UNITS: [&str; 4] = ["kB", "MB", "GB", "TB"];
    let mut size = number(value, key);
    if size < 1_000 {
        return format!("{size} bytes");
    }
    let mut unit = "bytes";
    let mut tenths = 0;
    for next in UNITS {
        if size < 1_000 {
            break;
        }
        tenths = size % 1_000 / 100;
        size /= 1_000;
        unit = next;
    }
    format!("{size}.{tenths} {unit}")
}

pub(crate) fn drops(page: &Value) -> String {
    let lines: Vec<String> = list(page, "drops").map(one).collect();
    if lines.is_empty() {
        return "This record has no drop. Add one: witnessmark drop folder PATH.".to_owned();
    }
    lines.join("\n")
}

fn one(line: &Value) -> String {
    let photos = if line.get("photos") == Some(&Value::Bool(true)) {
        "with photos"
    } else {
        "changes only"
    };
    let mut out = format!(
        "{} ({}, {photos})",
        record::shown(text(line, "name")),
        text(line, "kind")
    );
    match line.get("told").filter(|told| !told.is_null()) {
        None => {
            out.push_str(": not looked at yet");
            if let Some(why) = crate::drop::not_looked(line) {
                out.push_str(&format!(
                    "\n  The last look failed, and nothing of it could be kept: {why}"
                ));
            }
        }
        Some(told) => {
            out.push_str(&format!(", looked at {}", text(line, "looked")));
            if let Some(failed) = line.get("failed").filter(|failed| !failed.is_null()) {
                out.push_str(&format!(
                    "\n  The look of {} failed, and nothing of it could be kept: {}\n  What follows is of the look before it.",
                    text(failed, "at"),
                    text(failed, "words")
                ));
            }
            let stopped = text(told, "stopped");
            if !stopped.is_empty() {
                out.push_str("\n  The last look failed: ");
                out.push_str(stopped);
                return out;
            }
            out.push_str(&format!(
                "\n  taken: {}, {}, {} ({}); written: {}, {} of them photos ({}); {} there in all",
                counted(told, "batches", "file"),
                counted(told, "changes", "change"),
                counted(told, "photos_fetched", "photo"),
                bytes(told, "bytes_read"),
                counted(told, "written", "file"),
                number(told, "photos_put"),
                bytes(told, "bytes_written"),
                bytes(told, "bytes_there"),
            ));
            for (key, one, words) in [
                ("photos_left", "photo", "still to come"),
                (
                    "waiting",
                    "file",
                    "waiting for others, or for a device that is not known here yet (pair the two, or carry a file both ways)",
                ),
                ("unfinished", "file", "not all there yet"),
                ("not_for_me", "file", "not sealed for this device"),
                (
                    "aside",
                    "file",
                    "of a revoked device set aside: see witnessmark aside",
                ),
            ] {
                if number(told, key) > 0 {
                    out.push_str(&format!("\n  {} {words}", counted(told, key, one)));
                }
            }
            for fault in list(told, "faults").filter_map(Value::as_str) {
                out.push_str("\n  ");
                out.push_str(fault);
            }
        }
    }
    out
}

pub(crate) fn drop_sizes(page: &Value) -> String {
    let stopped = text(page, "stopped");
    if !stopped.is_empty() {
        return stopped.to_owned();
    }
    let Some(sizes) = page.get("sizes").filter(|sizes| !sizes.is_null()) else {
        return "Nothing is known of it.".to_owned();
    };
    let news: Vec<&str> = list(sizes, "news_from").filter_map(Value::as_str).collect();
    format!(
        "Would read {} ({}) and fetch {} ({}); would write {} (at most {}) and put {} ({}). {} there in all. News from: {}.",
        counted(sizes, "read", "file"),
        bytes(sizes, "bytes_read"),
        counted(sizes, "photos_fetch", "photo"),
        bytes(sizes, "bytes_fetch"),
        counted(sizes, "write", "change"),
        bytes(sizes, "bytes_write"),
        counted(sizes, "photos_put", "photo"),
        bytes(sizes, "bytes_put"),
        bytes(sizes, "bytes_there"),
        if news.is_empty() {
            "nobody".to_owned()
        } else {
            news.join(", ")
        },
    )
}

pub(crate) fn carry_size(reply: &Value) -> String {
    format!(
        "Would hold {} ({}) and {} ({}).",
        counted(reply, "changes", "change"),
        bytes(reply, "bytes_changes"),
        counted(reply, "photos", "photo"),
        bytes(reply, "bytes_photos"),
    )
}

pub(crate) fn aside(reply: &Value) -> String {
    let mut out = String::new();
    for line in list(reply, "lines") {
        out.push_str(&format!(
            "{} from {}'s {}, came {} by {}:\n",
            counted(line, "changes", "change"),
            text(line, "keeper_name"),
            text(line, "device_name"),
            text(line, "came"),
            text(line, "by"),
        ));
        for words in list(line, "words").filter_map(Value::as_str) {
            out.push_str(&format!("  {words}\n"));
        }
    }
    if out.is_empty() {
        out.push_str("Nothing is set aside.");
    } else {
        out.push_str(WRONGLY);
    }
    match number(reply, "not_kept") {
        0 => {}
        times => out.push_str(&format!(
            "\nNot all is here: at most {} files are kept of a record, and {}, the last at {}. Of that nothing is kept.",
            number(reply, "most"),
            if times == 1 {
                "1 more came".to_owned()
            } else {
                format!("more came {times} times")
            },
            text(reply, "not_kept_last"),
        )),
    }
    out
}

/// What a keeper can do who revoked the wrong device.
const WRONGLY: &str = "None of this is in the record. If a device was revoked by mistake: revoking stands for good, so let that device join anew in a new data folder, by pairing or by a carry file, and write there again what is listed here. Its old folder still shows it.";

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::aside;

    #[test]
    fn what_was_not_kept_is_said() {
        let page = |not_kept, last| {
            aside(&json!({ "lines": [], "most": 500, "not_kept": not_kept, "not_kept_last": last }))
        };
        assert_eq!(page(0, json!(null)), "Nothing is set aside.");
        let said = page(2, json!("2031-03-02T18:00:00Z"));
        assert!(
            said.ends_with(
                "at most 500 files are kept of a record, and more came 2 times, the last at 2031-03-02T18:00:00Z. Of that nothing is kept."
            ),
            "{said}"
        );
    }
}
