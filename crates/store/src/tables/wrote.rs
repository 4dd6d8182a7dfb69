//! What a change wrote into a field, as a few bytes in a row: numbers in place of actors. It reads no table.

use record::Scalar;
use record::past::{Letters, Op, Put, Run, What, Wrote};
use serde::{Deserialize, Serialize};

use super::actors::Actors;
use crate::StoreError;

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
    gone: Vec<(LyingOp, u64)>,
}

#[derive(Serialize, Deserialize)]
struct LyingRun {
    first: u64,
    at: Option<LyingOp>,
    over: bool,
    whole: bool,
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
    for put in &wrote.puts {
        lying.puts.push(LyingPut {
            number: put.number,
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
    for letters in &wrote.letters {
        let mut put = Vec::with_capacity(letters.put.len());
        for run in &letters.put {
            put.push(LyingRun {
                first: run.first,
                at: run.at.as_ref().map(&mut lie).transpose()?,
                over: run.over,
                whole: run.whole,
                letters: run.letters.clone(),
            });
        }
        let mut gone = Vec::with_capacity(letters.gone.len());
        for (first, count) in &letters.gone {
            gone.push((lie(first)?, *count));
        }
        lying.letters.push(LyingLetters {
            text: lie(&letters.text)?,
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
    let lying: Lying = postcard::from_bytes(bytes)
        .map_err(|error| StoreError::damaged(format!("what a change wrote cannot be read ({error})")))?;
    let mut op = |(number, actor): LyingOp| {
        Ok::<_, StoreError>(Op {
            number,
            actor: actors.name(actor)?,
        })
    };
    let mut wrote = Wrote::default();
    for put in lying.puts {
        wrote.puts.push(Put {
            number: put.number,
            what: match put.what {
                LyingWhat::Empty => What::Plain(None),
                LyingWhat::Flag(flag) => What::Plain(Some(Scalar::Flag(flag))),
                LyingWhat::Whole(number) => What::Plain(Some(Scalar::Whole(number))),
                LyingWhat::Line(line) => What::Plain(Some(Scalar::Line(line))),
                LyingWhat::Text => What::Text,
                LyingWhat::Other => What::Other,
            },
            inside: put.inside.map(&mut op).transpose()?,
        });
    }
    for over in lying.over {
        wrote.over.push(op(over)?);
    }
    for letters in lying.letters {
        let mut put = Vec::with_capacity(letters.put.len());
        for run in letters.put {
            put.push(Run {
                first: run.first,
                at: run.at.map(&mut op).transpose()?,
                over: run.over,
                whole: run.whole,
                letters: run.letters,
            });
        }
        let mut gone = Vec::with_capacity(letters.gone.len());
        for (first, count) in letters.gone {
            gone.push((op(first)?, count));
        }
        wrote.letters.push(Letters {
            text: op(letters.text)?,
            put,
            gone,
        });
    }
    Ok(wrote)
}
