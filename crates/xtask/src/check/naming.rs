//! Which names a file of Rust says: what it takes by `use`, what it hands on, what it defines, and every path in its code. Enough to
//! tell which file names which; no compiler.
//!
//! Tests are left out, and so is what stands in comments and texts.

use std::collections::BTreeSet;

/// A name that is taken by `use`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Use {
    /// The path as written, without its braces; the last part is `*` for all of a module.
    pub(crate) path: Vec<String>,
    /// What it is called here.
    pub(crate) called: String,
    /// Whether it is handed on.
    pub(crate) handed_on: bool,
}

/// What a file names.
#[derive(Debug, Default)]
pub(crate) struct Names {
    /// By `use`.
    pub(crate) uses: Vec<Use>,
    /// Paths and single names anywhere else.
    pub(crate) paths: BTreeSet<Vec<String>>,
    /// What it defines.
    pub(crate) defines: BTreeSet<String>,
    /// What of that others see: type names that are `pub`, in whatever way.
    pub(crate) types: BTreeSet<String>,
}

impl Names {
    /// Reads a file.
    pub(crate) fn of(text: &str) -> Self {
        let words = without_tests(words(text));
        let mut names = Self::default();
        let mut at = 0;
        while let Some(word) = words.get(at) {
            let next = words.get(at + 1).map(String::as_str);
            match word.as_str() {
                "use" if next.is_some_and(|next| is_name(next) || next == "{") => {
                    let end = end_of(&words, at, ";");
                    tree(
                        &[],
                        between(&words, at + 1, end),
                        is_seen(&words, at),
                        &mut names.uses,
                    );
                    at = end;
                }
                "mod" if words.get(at + 2).is_some_and(|end| end == ";") => at += 3,
                // Who may see a thing is no name that it says.
                "pub" if next == Some("(") && words.get(at + 2).is_some_and(|inside| inside == "in") => {
                    at = end_of(&words, at, ")") + 1;
                }
                "struct" | "enum" | "union" | "trait" | "type" | "fn" | "const" | "static" | "mod" => {
                    // A macro's own name for it is none.
                    let Some(name) = next.filter(|next| is_name(next)).map(str::to_owned) else {
                        at += 1;
                        continue;
                    };
                    if is_seen(&words, at) && matches!(word.as_str(), "struct" | "enum") {
                        names.types.insert(name.clone());
                    }
                    names.defines.insert(name);
                    at += 2;
                }
                "macro_rules" => {
                    names.defines.extend(words.get(at + 2).cloned());
                    at += 3;
                }
                name if is_name(name) => {
                    let mut path = vec![name.to_owned()];
                    while words.get(at + 1).is_some_and(|word| word == "::")
                        && let Some(part) = words.get(at + 2).filter(|part| is_name(part))
                    {
                        path.push(part.clone());
                        at += 2;
                    }
                    names.paths.insert(path);
                    at += 1;
                }
                _ => at += 1,
            }
        }
        names
    }

    /// Whether its code says a name by itself or at the head of a path.
    pub(crate) fn says(&self, name: &str) -> bool {
        self.paths
            .iter()
            .any(|path| path.first().is_some_and(|first| first == name))
    }
}

fn is_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Whether what begins here is `pub`, in whatever way.
fn is_seen(words: &[String], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|before| words.get(before));
    before.is_some_and(|before| matches!(before.as_str(), "pub" | ")"))
}

/// The words from one place to before another; none where they do not stand in that order.
fn between(words: &[String], from: usize, to: usize) -> &[String] {
    words.get(from..to).unwrap_or_default()
}

/// Where the next such word stands, or the end.
fn end_of(words: &[String], from: usize, end: &str) -> usize {
    let found = words.iter().skip(from).position(|word| word == end);
    found.map_or(words.len(), |ahead| from + ahead)
}

/// The names of `a::{b, c as d}`.
fn tree(before: &[String], words: &[String], handed_on: bool, uses: &mut Vec<Use>) {
    let mut path = before.to_vec();
    for (at, word) in words.iter().enumerate() {
        match word.as_str() {
            "::" => {}
            "{" => {
                for part in parts(between(words, at + 1, words.len().saturating_sub(1))) {
                    tree(&path, part, handed_on, uses);
                }
                return;
            }
            "as" => break,
            part => path.push(part.to_owned()),
        }
    }
    if path.last().is_some_and(|last| last == "self") && path.len() > before.len() && !before.is_empty() {
        path.pop();
    }
    let renamed = words
        .iter()
        .position(|word| word == "as")
        .and_then(|at| words.get(at + 1));
    let called = renamed.or(path.last()).cloned().unwrap_or_default();
    if !path.is_empty() {
        uses.push(Use {
            path,
            called,
            handed_on,
        });
    }
}

/// What stands between the commas of the outermost level.
fn parts(words: &[String]) -> Vec<&[String]> {
    let (mut deep, mut from, mut parts) = (0_usize, 0, Vec::new());
    for (at, word) in words.iter().enumerate() {
        match word.as_str() {
            "{" => deep += 1,
            "}" => deep = deep.saturating_sub(1),
            "," if deep == 0 => {
                parts.push(between(words, from, at));
                from = at + 1;
            }
            _ => {}
        }
    }
    parts.push(between(words, from, words.len()));
    parts.into_iter().filter(|part| !part.is_empty()).collect()
}

/// Leaves out whatever stands behind `#[cfg(test)]`.
fn without_tests(words: Vec<String>) -> Vec<String> {
    const MARK: [&str; 7] = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut left = Vec::with_capacity(words.len());
    let mut at = 0;
    while let Some(word) = words.get(at) {
        if !words
            .iter()
            .skip(at)
            .zip(MARK)
            .map(|(word, mark)| word == mark)
            .eq([true; 7])
        {
            left.push(word.clone());
            at += 1;
            continue;
        }
        let mut deep = 0_usize;
        at += MARK.len();
        while let Some(word) = words.get(at) {
            at += 1;
            match word.as_str() {
                "{" => deep += 1,
                "}" if deep <= 1 => break,
                "}" => deep -= 1,
                ";" if deep == 0 => break,
                _ => {}
            }
        }
    }
    left
}

/// Names, `::` and single signs, without comments and texts.
fn words(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let is = |at: usize, c: char| chars.get(at) == Some(&c);
    let in_name = |at: usize| chars.get(at).is_some_and(|c| c.is_alphanumeric() || *c == '_');
    let (mut words, mut at) = (Vec::new(), 0);
    while let Some(c) = chars.get(at).copied() {
        if c == '/' && is(at + 1, '/') {
            while at < chars.len() && !is(at, '\n') {
                at += 1;
            }
        } else if c == '/' && is(at + 1, '*') {
            at += 2;
            while at < chars.len() && !(is(at, '*') && is(at + 1, '/')) {
                at += 1;
            }
            at += 2;
        } else if c == 'r' && (is(at + 1, '"') || is(at + 1, '#') && (is(at + 2, '"') || is(at + 2, '#'))) {
            let marks = chars.iter().skip(at + 1).take_while(|c| **c == '#').count();
            at += marks + 2;
            while at < chars.len() && !(is(at, '"') && (1..=marks).all(|on| is(at + on, '#'))) {
                at += 1;
            }
            at += marks + 1;
        } else if c == '"' {
            at += 1;
            while at < chars.len() && !is(at, '"') {
                at += if is(at, '\\') { 2 } else { 1 };
            }
            at += 1;
        } else if c == '\'' && (is(at + 1, '\\') || is(at + 2, '\'')) {
            // A letter by itself; a lifetime has no second stroke.
            at += 2;
            while at < chars.len() && !is(at, '\'') {
                at += 1;
            }
            at += 1;
        } else if c == '\'' {
            at += 1;
            while in_name(at) {
                at += 1;
            }
        } else if in_name(at) {
            let from = at;
            while in_name(at) {
                at += 1;
            }
            words.push(chars.iter().take(at).skip(from).collect());
        } else if c == ':' && is(at + 1, ':') {
            words.push("::".to_owned());
            at += 2;
        } else {
            if !c.is_whitespace() {
                words.push(c.to_string());
            }
            at += 1;
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_file_takes_says_and_defines_is_read() {
        let names = Names::of(
            "// use crate::not;\n\
             mod child;\n\
             pub(crate) use child::{Given as Taken, inner::*};\n\
             use crate::{a::{self, B}, c};\n\
             pub struct Own<'a> { is: &'a str }\n\
             fn run() -> char { c::go(\"crate::text\"); super::d::Up::new(); '\\'' }\n\
             #[cfg(test)]\nmod tests { use crate::only_tested; fn a() { if b {} } }\n\
             const AFTER: &str = r#\"crate::raw \" text\"#;",
        );
        let uses: Vec<String> = names
            .uses
            .iter()
            .map(|one| format!("{} as {} {}", one.path.join("::"), one.called, one.handed_on))
            .collect();
        assert_eq!(
            uses,
            [
                "child::Given as Taken true",
                "child::inner::* as * true",
                "crate::a as a false",
                "crate::a::B as B false",
                "crate::c as c false",
            ]
        );
        assert_eq!(names.defines.iter().collect::<Vec<_>>(), ["AFTER", "Own", "run"]);
        assert_eq!(names.types.iter().collect::<Vec<_>>(), ["Own"]);
        let path = |text: &str| text.split("::").map(str::to_owned).collect::<Vec<_>>();
        assert!(names.paths.contains(&path("c::go")));
        assert!(names.paths.contains(&path("super::d::Up::new")));
        let said: Vec<&String> = names.paths.iter().flatten().collect();
        assert!(
            !["text", "raw", "only_tested", "not"]
                .iter()
                .any(|word| said.iter().any(|one| one == word)),
            "{said:?}"
        );
    }
}
