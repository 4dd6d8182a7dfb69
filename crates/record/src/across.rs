//! What entries of several kinds say alike: a state, a day, what they are about, where they are. It is for code that works on
//! more than one kind; whoever knows the kind reads through its view. A kind without the field says nothing, and no entry is
//! changed or judged here.

use crate::entities::{Finding, Job, Part};
use crate::entry::Entry;
use crate::name::{Link, Mention};

/// How it stands, in the word of its own kind's set.
#[must_use]
pub fn state(entry: &Entry) -> Option<&str> {
    entry.line(Job::state)
}

/// The day it was entered, seen or made, as it is kept.
#[must_use]
pub fn on(entry: &Entry) -> Option<&str> {
    entry.line(Part::on)
}

/// What it is about.
#[must_use]
pub fn about(entry: &Entry) -> Option<Mention<'_>> {
    entry.line(Finding::about).map(Mention)
}

/// What it says: what is to be done, got, met or was seen.
#[must_use]
pub fn what(entry: &Entry) -> Option<&str> {
    entry.line(Job::what)
}

/// What it is called.
#[must_use]
pub fn name(entry: &Entry) -> Option<&str> {
    entry.line(Part::name)
}

/// The assembly that it names.
#[must_use]
pub fn assembly(entry: &Entry) -> Option<Link<'_>> {
    entry.line(Part::assembly).map(Link)
}

/// The part that it names.
#[must_use]
pub fn part(entry: &Entry) -> Option<Link<'_>> {
    entry.line(Job::part).map(Link)
}

/// The reading that it mends.
#[must_use]
pub fn remedy_of(entry: &Entry) -> Option<Link<'_>> {
    entry.line(Job::remedy_of).map(Link)
}
