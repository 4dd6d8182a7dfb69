//! Asking a notebook by name: the one way from a face to the registry. The notebook itself names no command, and is asked by none of
//! them but through the desk.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::asked::Command as _;
use super::meetings::{CarryInFile, JoinRecord};
use crate::carrying::take_photos;
use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::turns::Turns;
use crate::wire::Answered;
use crate::wire::reply::json;

impl Notebook {
    /// Asks what needs no folder: the bench.
    ///
    /// # Errors
    /// A [`Refusal`] of the calculation, or of a name that needs a folder.
    pub fn without_folder(name: &str, args: Value) -> Result<Value, Refusal> {
        super::without_folder(name, args)
    }

    /// Does a command or answers a query by its name. `record` may be left out where the folder keeps one car, or
    /// where one was chosen.
    ///
    /// # Errors
    /// A [`Refusal`] that says what was not done and why.
    pub fn call(&mut self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Refusal> {
        super::answered(self, record, name, args).map(|answer| answer.reply)
    }

    /// As [`call`](Self::call), with what the answer was made of.
    ///
    /// # Errors
    /// A [`Refusal`] that says what was not done and why.
    pub fn answer(&mut self, record: Option<&str>, name: &str, args: Value) -> Result<Answered, Refusal> {
        super::answered(self, record, name, args)
    }

    /// As [`answer`](Self::answer), where the notebook is lent for a turn at a time: the photos of a carry file are looked at between two
    /// of them.
    ///
    /// # Errors
    /// A [`Refusal`] that says what was not done and why.
    pub fn answer_in_turns(
        mut turns: impl Turns,
        record: Option<&str>,
        name: &str,
        args: Value,
    ) -> Result<Answered, Refusal> {
        // Arguments that do not fit are refused in the registry's words.
        if name == CarryInFile::NAME
            && let Some(asked) = read::<CarryInFile>(&args)
        {
            let mut carried = turns.turn(|notebook| asked.words(notebook, record))?;
            let left_out = match &mut carried.file {
                Some(file) => take_photos(&mut turns, file)?,
                None => Vec::new(),
            };
            return once(&turns.turn(|notebook| notebook.carried(carried, left_out))?);
        }
        if name == JoinRecord::NAME
            && let Some(asked) = read::<JoinRecord>(&args)
        {
            let (line, mut file) = turns.turn(|notebook| asked.words(notebook))?;
            take_photos(&mut turns, &mut file)?;
            return once(&line);
        }
        turns.turn(|notebook| notebook.answer(record, name, args))
    }
}

/// The answer of what is asked for once.
fn once(reply: &impl Serialize) -> Result<Answered, Refusal> {
    Ok(Answered::once(json(reply)?))
}

/// The arguments, where they are those of a call that is done in turns. Others are refused, in words, by the registry.
fn read<T: DeserializeOwned>(args: &Value) -> Option<T> {
    serde_json::from_value(args.clone()).ok()
}
