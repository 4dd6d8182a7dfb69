//! Bringing a text to another by whole lines, and inside a line by one stretch of whole words.
//!
//! A diff by letters keeps any letter that old and new happen to share, wherever it stands: when another device
//! takes that old line away, or writes another over it, the new line is left with holes or with the other's letters
//! in it. So a line that is new goes in whole, after the end of the line before it, and a line that is gone goes out
//! whole. Only a line that is plainly the same one, mended, keeps what did not change in it. Nothing here decides
//! what a text should read.

use automerge::transaction::{Transactable, Transaction};
use automerge::{ObjId, ReadDoc, TextEncoding};

use super::bad::{BadRecord, MOST_LETTERS_OUT, refused};

/// Beyond this many pairs of lines a stretch is replaced whole and not compared line by line.
const MOST_PAIRS: usize = 1_000_000;

/// One replacement: from which byte of the old text on, how many of them, by what.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Splice {
    at: usize,
    out: usize,
    put: String,
}

/// Brings a text in the document to what is wanted.
pub(super) fn bring(tx: &mut Transaction<'_>, text: &ObjId, wanted: &str) -> Result<(), BadRecord> {
    let now = tx.text(text).map_err(refused)?;
    let encoding = tx.text_encoding();
    let mut all_out = 0_usize;
    // From the end, so that what is still to come keeps its place.
    for Splice { at, out, put } in splices(&now, wanted).into_iter().rev() {
        let (Some(before), Some(gone)) = (now.get(..at), now.get(at..at.saturating_add(out))) else {
            return Err(BadRecord::Refused("a text was cut inside a letter".to_owned()));
        };
        let (at, out) = (width(encoding, before)?, width(encoding, gone)?);
        all_out = all_out.saturating_add(out);
        if all_out > MOST_LETTERS_OUT {
            return Err(BadRecord::TooMuchAtOnce);
        }
        let out = isize::try_from(out).map_err(refused)?;
        tx.splice_text(text, at, out, &put).map_err(refused)?;
    }
    Ok(())
}

/// How many places a piece of text takes in the document's own count.
fn width(encoding: TextEncoding, text: &str) -> Result<usize, BadRecord> {
    match encoding {
        TextEncoding::UnicodeCodePoint => Ok(text.chars().count()),
        TextEncoding::Utf8CodeUnit => Ok(text.len()),
        TextEncoding::Utf16CodeUnit => Ok(text.encode_utf16().count()),
        TextEncoding::GraphemeCluster => Err(BadRecord::Refused(
            "texts are counted in a way that this program does not know".to_owned(),
        )),
    }
}

/// The replacements that make `new` of `old`, in the order of their places, none reaching into another.
fn splices(old: &str, new: &str) -> Vec<Splice> {
    let (old, new): (Vec<&str>, Vec<&str>) = (
        old.split_inclusive('\n').collect(),
        new.split_inclusive('\n').collect(),
    );
    let mut out = Vec::new();
    let (mut at, mut from, mut to) = (0, 0, 0);
    let mut same = shared(&old, &new);
    // Past the last shared line, for what comes after it.
    same.push((old.len(), new.len()));
    for (next_from, next_to) in same {
        let gone = old.get(from..next_from).unwrap_or_default();
        let fresh = new.get(to..next_to).unwrap_or_default();
        stretch(at, gone, fresh, &mut out);
        at += gone.iter().map(|line| line.len()).sum::<usize>();
        at += old.get(next_from).map_or(0, |line| line.len());
        (from, to) = (next_from.saturating_add(1), next_to.saturating_add(1));
    }
    out
}

/// The lines that stay: pairs of places, the longest row of them that is in order in both.
fn shared(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    let front = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let (old_rest, new_rest) = (
        old.get(front..).unwrap_or_default(),
        new.get(front..).unwrap_or_default(),
    );
    let back = old_rest
        .iter()
        .rev()
        .zip(new_rest.iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let middle_old = old_rest.get(..old_rest.len() - back).unwrap_or_default();
    let middle_new = new_rest.get(..new_rest.len() - back).unwrap_or_default();
    let mut same: Vec<(usize, usize)> = (0..front).map(|at| (at, at)).collect();
    same.extend(
        longest(middle_old, middle_new)
            .into_iter()
            .map(|(a, b)| (front + a, front + b)),
    );
    let starts = (old.len() - back, new.len() - back);
    same.extend((0..back).map(|at| (starts.0 + at, starts.1 + at)));
    same
}

/// The longest common subsequence, by the usual table of lengths from each pair to the ends.
fn longest(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    if old.is_empty() || new.is_empty() || old.len().saturating_mul(new.len()) > MOST_PAIRS {
        return Vec::new();
    }
    let across = new.len() + 1;
    let mut table = vec![0_u32; (old.len() + 1) * across];
    let read = |table: &[u32], a: usize, b: usize| table.get(a * across + b).copied().unwrap_or(0);
    for (a, line) in old.iter().enumerate().rev() {
        for (b, other) in new.iter().enumerate().rev() {
            let length = if line == other {
                read(&table, a + 1, b + 1) + 1
            } else {
                read(&table, a + 1, b).max(read(&table, a, b + 1))
            };
            if let Some(cell) = table.get_mut(a * across + b) {
                *cell = length;
            }
        }
    }
    let (mut a, mut b) = (0, 0);
    let mut pairs = Vec::new();
    while let (Some(line), Some(other)) = (old.get(a), new.get(b)) {
        if line == other {
            pairs.push((a, b));
            (a, b) = (a + 1, b + 1);
        } else if read(&table, a + 1, b) >= read(&table, a, b + 1) {
            a += 1;
        } else {
            b += 1;
        }
    }
    pairs
}

/// One stretch of lines that are not the same: each mended line by its middle, the others whole.
fn stretch(mut at: usize, gone: &[&str], fresh: &[&str], out: &mut Vec<Splice>) {
    let both = gone.len().min(fresh.len());
    let mut whole = Splice {
        at,
        out: 0,
        put: String::new(),
    };
    for (old, new) in gone.iter().zip(fresh) {
        if let Some(mended) = mended(at, old, new) {
            flush(&mut whole, at + old.len(), out);
            out.push(mended);
        } else {
            whole.out += old.len();
            whole.put.push_str(new);
        }
        at += old.len();
    }
    let rest: usize = gone
        .get(both..)
        .unwrap_or_default()
        .iter()
        .map(|line| line.len())
        .sum();
    whole.out += rest;
    whole
        .put
        .extend(fresh.get(both..).unwrap_or_default().iter().copied());
    flush(&mut whole, at + rest, out);
}

/// Hands a replacement on, if there is anything in it, and begins the next.
fn flush(whole: &mut Splice, next: usize, out: &mut Vec<Splice>) {
    let done = std::mem::replace(
        whole,
        Splice {
            at: next,
            out: 0,
            put: String::new(),
        },
    );
    if done.out > 0 || !done.put.is_empty() {
        out.push(done);
    }
}

/// A line that is the same one mended: at least half of it stands, as whole words at its two ends.
fn mended(at: usize, old: &str, new: &str) -> Option<Splice> {
    let (old_words, new_words): (Vec<&str>, Vec<&str>) = (words(old), words(new));
    let front: usize = old_words
        .iter()
        .zip(&new_words)
        .take_while(|(a, b)| a == b)
        .map(|(word, _)| word.len())
        .sum();
    let (old_rest, new_rest) = (old.get(front..)?, new.get(front..)?);
    let back: usize = words(old_rest)
        .iter()
        .rev()
        .zip(words(new_rest).iter().rev())
        .take_while(|(a, b)| a == b)
        .map(|(word, _)| word.len())
        .sum();
    let stands = front + back;
    if stands * 2 < old.len().max(new.len()) {
        return None;
    }
    Some(Splice {
        at: at + front,
        out: old_rest.len() - back,
        put: new_rest.get(..new_rest.len() - back)?.to_owned(),
    })
}

/// A line as words, what stands between them, and its end. Accents and joined signs stay with their word: nothing
/// is ever cut inside a letter.
fn words(line: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut start = 0;
    let mut last: Option<u8> = None;
    for (at, letter) in line.char_indices() {
        let class = match letter {
            '\n' => 0,
            c if c.is_whitespace() => 1,
            c if c.is_ascii_punctuation() => 2,
            _ => 3,
        };
        if last.is_some_and(|last| last != class) {
            out.extend(line.get(start..at));
            start = at;
        }
        last = Some(class);
    }
    out.extend(line.get(start..).filter(|word| !word.is_empty()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(old: &str, new: &str, expected: &[(usize, usize, &str)]) {
        let found = splices(old, new);
        let mut made = old.to_owned();
        for splice in found.iter().rev() {
            made.replace_range(splice.at..splice.at + splice.out, &splice.put);
        }
        assert_eq!(made, new, "{found:?}");
        let found: Vec<(usize, usize, &str)> = found
            .iter()
            .map(|splice| (splice.at, splice.out, splice.put.as_str()))
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn lines_go_in_and_out_whole() {
        check("", "", &[]);
        check("a\n", "a\n", &[]);
        check("", "a\n", &[(0, 0, "a\n")]);
        check("a\nb\nc\n", "a\nc\n", &[(2, 2, "")]);
        check("next\n", "new\nnext\n", &[(0, 0, "new\n")]);
        check("now\n", "now\nnow\n", &[(4, 0, "now\n")]);
        check("seized 3\n", "scored 4\n", &[(0, 9, "scored 4\n")]);
        check("a\nb\n", "b\na\n", &[(0, 2, ""), (4, 0, "a\n")]);
        check("one\ntwo\nthree\n", "", &[(0, 14, "")]);
    }

    #[test]
    fn a_mended_line_keeps_its_ends() {
        check(
            "Gearbox drained.\n",
            "Gearbox drained, 1.9 l.\n",
            &[(15, 0, ", 1.9 l")],
        );
        check(
            "Took the sump off, it was dry\nNext\n",
            "Took the old sump off, it was dry\nNext\n",
            &[(9, 0, "old ")],
        );
        check(
            "half a line",
            "half a line\nand more\n",
            &[(11, 0, "\n"), (11, 0, "and more\n")],
        );
        check("ein größerer Rest\n", "ein größerer 🔧 Rest\n", &[(15, 0, "🔧 ")]);
    }
}
