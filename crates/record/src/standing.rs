//! What more than one edit asks before it is done: that what it names is there and stands, and that a reason says something.

use crate::entry::Entry;
use crate::name::Ref;
use crate::refusal::Refusal;
use crate::shown::says_something;
use crate::title::title;
use crate::view::View;

/// The entry, if it is there and stands.
pub(crate) fn standing<'a>(view: &'a View, name: &Ref) -> Result<&'a Entry, Refusal> {
    let entry = match (name.kind, view.find(name)) {
        (_, Some(entry)) => entry,
        _ => return Err(Refusal::Unknown(name.clone())),
    };
    if entry.stands() {
        Ok(entry)
    } else {
        Err(Refusal::StruckOut(title(entry)))
    }
}

/// Two words at the least: 'ok' says nothing of a cracked brake hose. (Common practice, no source.)
pub(crate) fn some_words(title: &str, why: &str) -> Result<(), Refusal> {
    let words = why.split_whitespace().filter(|word| says_something(word));
    if words.count() < 2 {
        return Err(Refusal::SayMore(title.to_owned()));
    }
    Ok(())
}
