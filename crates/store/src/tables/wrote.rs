//! What a change wrote into a field, as a few bytes in a row: numbers in place of actors. It reads no table.

use record::Scalar;
use record::past::{Gone, Letters, Op, Put, Run, What, Wrote};
use serde::{Deserialize, Serialize};

use super::actors::Actors;
use crate::StoreError;

/// Most letters that one stretch takes out: a change has no more operations.
const MOST_GONE: u64 = 1 << 23;

/// An operation: its number and that of its actor.
type LyingOp = (u64, u32);

#[derive(Serialize, Deserialize)]
struct Lying {
    puts: Vec<LyingPut>,
    over: Vec<LyingOp>,
    letters: Vec<LyingLetters>,
}

#[derive(Serialize, Deserialize)]
struct LyingPut {
    number: u64,
    what: LyingWhat,
    inside: Option<LyingOp>,
}

#[derive(Serialize, Deserialize)]
enum LyingWhat {
    Empty,
    Flag(bool),
    Whole(i32),
    Line(String),
    Text,
    Other,
}

#[derive(Serialize, Deserialize)]
struct LyingLetters {
    text: LyingOp,
    put: Vec<LyingRun>,
    /// The first, how far the next lies from each, and how many.
    gone: Vec<(LyingOp, i64, u64)>,
}

#[derive(Serialize, Deserialize)]
struct LyingRun {
    first: u64,
    count: u64,
    at: Option<LyingOp>,
    over: bool,
    letters: String,
}

/// As it lies in a row.
pub(super) fn lay(wrote: &Wrote, actors: &mut Actors<'_>) -> Result<Vec<u8>, StoreError> {
    let mut lie = |op: &Op| Ok::<_, StoreError>((op.number, actors.number(&op.actor)?));
    let mut lying = Lying {
        puts: Vec::with_capacity(wrote.puts.len()),
        over: Vec::with_capacity(wrote.over.len()),
        letters: Vec::with_capacity(wrote.letters.len()),
    };
    for (number, put) in &wrote.puts {
        lying.puts.push(LyingPut {
            number: *number,
            what: match &put.what {
                What::Plain(None) => LyingWhat::Empty,
                What::Plain(Some(Scalar::Flag(flag))) => LyingWhat::Flag(*flag),
                What::Plain(Some(Scalar::Whole(number))) => LyingWhat::Whole(*number),
                What::Plain(Some(Scalar::Line(line))) => LyingWhat::Line(line.clone()),
                What::Text => LyingWhat::Text,
                What::Other => LyingWhat::Other,
            },
            inside: put.inside.as_ref().map(&mut lie).transpose()?,
        });
    }
    for op in &wrote.over {
        lying.over.push(lie(op)?);
    }
    for (text, letters) in &wrote.letters {
        let mut put = Vec::with_capacity(letters.put.len());
        for run in &letters.put {
            put.push(LyingRun {
                first: run.first,
                count: run.count,
                at: run.at.as_ref().map(&mut lie).transpose()?,
                over: run.over,
                letters: run.letters.clone(),
            });
        }
        let mut gone = Vec::with_capacity(letters.gone.len());
        for one in &letters.gone {
            gone.push((lie(&one.first)?, one.step, one.count));
        }
        lying.letters.push(LyingLetters {
            text: lie(text)?,
            put,
            gone,
        });
    }
    postcard::to_allocvec(&lying).map_err(|error| StoreError::Unfit {
        what: error.to_string(),
    })
}

/// What lies in a row; nothing where a program wrote it that did not know of this.
pub(super) fn read(bytes: &[u8], actors: &mut Actors<'_>) -> Result<Wrote, StoreError> {
    if bytes.is_empty() {
        return Ok(Wrote::default());
    }
    let what = "a row of what a change wrote cannot be read";
    let lying: Lying = postcard::from_bytes(bytes).map_err(|_| StoreError::Derived { what })?;
    let mut op = |(number, actor): LyingOp| {
        Ok::<_, StoreError>(Op {
            number,
            actor: actors.name(actor)?,
        })
    };
    let mut wrote = Wrote::default();
    for put in lying.puts {
        let number = put.number;
        let put = Put {
            what: match put.what {
                LyingWhat::Empty => What::Plain(None),
                LyingWhat::Flag(flag) => What::Plain(Some(Scalar::Flag(flag))),
                LyingWhat::Whole(number) => What::Plain(Some(Scalar::Whole(number))),
                LyingWhat::Line(line) => What::Plain(Some(Scalar::Line(line))),
                LyingWhat::Text => What::Text,
                LyingWhat::Other => What::Other,
            },
            inside: put.inside.map(&mut op).transpose()?,
        };
        wrote.puts.insert(number, put);
    }
    for over in lying.over {
        wrote.over.insert(op(over)?);
    }
    for letters in lying.letters {
        let odd = |run: &LyingRun| run.count != 1 && run.count != run.letters.chars().count() as u64;
        if letters.gone.iter().any(|(.., count)| *count > MOST_GONE) || letters.put.iter().any(odd) {
            return Err(StoreError::Derived { what });
        }
        let mut put = Vec::with_capacity(letters.put.len());
        for run in letters.put {
            put.push(Run {
                first: run.first,
                count: run.count,
                at: run.at.map(&mut op).transpose()?,
                over: run.over,
                letters: run.letters,
            });
        }
        let mut gone = Vec::with_capacity(letters.gone.len());
        for (first, step, count) in letters.gone {
            gone.push(Gone {
                first: op(first)?,
                step,
                count,
            });
        }
        wrote.letters.insert(op(letters.text)?, Letters { put, gone });
    }
    Ok(wrote)
}
