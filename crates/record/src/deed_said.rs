//! Deeds and entries as a sentence says them after whoever did it: 'closed up the gearbox', 'put the piston, cylinder 3 into B14'. Each
//! is what stands before the thing and what stands after it, so that the thing can be 'it', or many alike. Words alone: nothing is
//! found, judged or written here.

use crate::across;
use crate::deed::Deed;
use crate::ending::End;
use crate::entities::{Assembly, Container, Part};
use crate::entry::Entry;
use crate::lies::Lies;
use crate::name::{Id, Kind, Mention};
use crate::shown::{called, says_something, shown};
use crate::title::{title, whole};
use crate::view::View;
use crate::words::{AssemblyState, HoldState, JobState, OrderState, Words as _};

/// What was done, without what it was done to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Clause {
    /// What stands before the thing: `put`.
    pub before: String,
    /// What stands after it: `into B14`; often nothing.
    pub after: String,
}

impl Clause {
    fn new(before: impl Into<String>, after: impl Into<String>) -> Self {
        Self {
            before: before.into(),
            after: after.into(),
        }
    }

    /// That it reads otherwise now, and how.
    #[must_use]
    pub fn changed(how: &str) -> Self {
        Self::new("changed", format!("({how})"))
    }

    fn plain(before: &str) -> Self {
        Self::new(before, "")
    }

    /// The clause of a thing, of 'it', or of many.
    #[must_use]
    pub fn of(&self, thing: &str) -> String {
        // A short word stands within: 'closed it up'.
        if let (Some(verb), "it" | "them", true) =
            (self.before.strip_suffix(" up"), thing, self.after.is_empty())
        {
            return format!("{verb} {thing} up");
        }
        let words = [self.before.as_str(), thing, self.after.as_str()];
        let said: Vec<&str> = words.into_iter().filter(|words| !words.is_empty()).collect();
        said.join(" ")
    }
}

/// Names with which one says 'the': those of a keeper's own do without, and so does what is a sentence.
fn with_the(name: &str) -> String {
    let name = name.trim();
    let first = name.split_whitespace().next().unwrap_or_default().to_lowercase();
    let owned = first.ends_with("'s") || first.ends_with("’s");
    if owned
        || matches!(
            first.as_str(),
            "the" | "a" | "an" | "my" | "our" | "his" | "her" | "both" | "all"
        )
    {
        return name.to_owned();
    }
    let mut letters = name.chars();
    let begins = letters.next();
    let second = letters.next();
    // `LH` stays as it is, `Cylinder head` goes on in a sentence.
    let small = second.is_none_or(|second| !second.is_uppercase() && !second.is_numeric());
    match begins {
        Some(begins) if small => {
            let rest: String = name.chars().skip(1).collect();
            format!("the {}{rest}", begins.to_lowercase())
        }
        _ => format!("the {name}"),
    }
}

/// What is quoted stays as it was written, and needs no full stop of its own.
fn quoted(words: &str) -> String {
    format!("‘{}’", words.trim().trim_end_matches('.'))
}

/// What a thing is called within a sentence.
#[must_use]
pub fn thing(view: &View, entry: &Entry) -> String {
    let name = title(entry);
    match entry.kind {
        Kind::Car => "the car".to_owned(),
        Kind::Assembly | Kind::Part | Kind::Instrument => with_the(&whole(entry)),
        Kind::Job => format!("the job {}", quoted(&name)),
        Kind::HoldPoint => format!("the hold point {}", quoted(&name)),
        Kind::Finding => {
            let about = about(view, entry).filter(|about| about.kind == Kind::Part);
            let on = about.map_or_else(String::new, |about| format!(" on {}", thing(view, about)));
            format!("{}{on}", quoted(&name))
        }
        Kind::Reading => {
            let about =
                about(view, entry).map_or_else(String::new, |about| format!(" of {}", thing(view, about)));
            format!("a reading{about}: {}", shown(&name))
        }
        Kind::KeptAnswer => "an answer of the bench".to_owned(),
        Kind::Photo => "a photo".to_owned(),
        Kind::Limit => format!("the limit {}", quoted(&name)),
        Kind::Container | Kind::Keeper | Kind::Device => name,
        _ => quoted(&name),
    }
}

/// What many of a kind are called: `3 jobs`.
#[must_use]
pub fn many(kind: Kind, count: usize) -> String {
    let what = match kind {
        Kind::Assembly => "assemblies",
        Kind::Finding => "things",
        Kind::Order => "things",
        Kind::Try => "things",
        Kind::HoldPoint => "hold points",
        Kind::KeptAnswer => "answers of the bench",
        Kind::TighteningRun => "bolt circles",
        Kind::Part => "parts",
        Kind::Job => "jobs",
        Kind::Reading => "readings",
        Kind::Photo => "photos",
        Kind::Container => "containers",
        Kind::Limit => "limits",
        Kind::Instrument => "instruments",
        Kind::Keeper => "keepers",
        Kind::Device => "devices",
        _ => "entries",
    };
    format!("{count} {what}")
}

/// A name for several: `piston` as `pistons`. As one says it of plain names; a name that is several already stays.
#[must_use]
pub fn several(name: &str) -> String {
    if name.ends_with("ss") || name.ends_with('x') || name.ends_with("sh") || name.ends_with("ch") {
        format!("{name}es")
    } else if name.ends_with('s') {
        name.to_owned()
    } else {
        format!("{name}s")
    }
}

fn about<'v>(view: &'v View, entry: &Entry) -> Option<&'v Entry> {
    view.find(&across::about(entry)?.name()?)
}

/// That an entry was made; nothing for what is told with something else, as a waiver is with its closing.
#[must_use]
pub fn entered(view: &View, entry: &Entry) -> Option<Clause> {
    let of_the_car = about(view, entry).is_some_and(|about| about.kind == Kind::Car);
    Some(match entry.kind {
        Kind::Finding if of_the_car => Clause::plain("said how the car stands:"),
        Kind::Finding => Clause::plain("found"),
        Kind::Job => Clause::plain("asked for"),
        Kind::Try => Clause::plain("tried"),
        Kind::Photo | Kind::Reading => Clause::plain("took"),
        Kind::Container => Clause::plain("labelled"),
        Kind::Limit => Clause::plain("wrote down"),
        Kind::Order => Clause::new("put", "on the list of what is to be found"),
        Kind::HoldPoint => Clause::new("wanted", "to be met before it closes"),
        Kind::KeptAnswer => Clause::plain("kept"),
        Kind::TighteningRun => Clause::plain("began to tighten"),
        Kind::Keeper => Clause::new("entered", "as a keeper of this record"),
        Kind::Device => Clause::new("let", "in, as a device of this record"),
        Kind::Car | Kind::Sheet | Kind::Waiver | Kind::Settlement | Kind::Tightened => return None,
        _ => Clause::plain("entered"),
    })
}

/// That an entry was struck out, and why; or that the line through it was taken back.
#[must_use]
pub fn struck(why: Option<&str>) -> Clause {
    match why {
        Some(why) if !why.trim().is_empty() => Clause::new("struck", format!("out: {}", quoted(&shown(why)))),
        Some(_) => Clause::new("struck", "out"),
        None => Clause::new("took back the line through", ""),
    }
}

/// That something agreed was reopened, and why; or that it holds again as it was agreed.
#[must_use]
pub fn reopened(why: Option<&str>) -> Clause {
    match why {
        Some(why) => Clause::new("reopened", format!("({})", shown(why))),
        None => Clause::plain("took back that it was reopened:"),
    }
}

impl Deed {
    /// What was done, to be said of a thing. `before` is what the field had been put to.
    #[must_use]
    pub fn clause(&self, view: &View, before: Option<&str>) -> Clause {
        let value = self.value.as_deref();
        match self.name.kind {
            Kind::Assembly if self.field == Assembly::off_car => match value {
                Some(_) => Clause::new("took", "off, closed as it is"),
                None => Clause::new("fitted", "closed as it is"),
            },
            Kind::Assembly if self.is_put_together(before) => Clause::new("left", "off the car in one piece"),
            Kind::Assembly => assembly(value),
            Kind::Job => job(value),
            Kind::HoldPoint if self.counted().is_some() => {
                Clause::new("counted", "and not as many as are wanted")
            }
            Kind::HoldPoint => hold_point(value),
            Kind::Order => order(value),
            Kind::Part if self.field == Part::container => lies(view, value, before),
            Kind::Part => decision(value),
            Kind::Instrument => Clause::plain("checked"),
            Kind::Settlement => Clause::plain("settled"),
            Kind::Finding if self.is_of_the_car(view) => match value {
                Some(_) => Clause::new("said that", "holds no longer"),
                None => Clause::new("said that", "holds again"),
            },
            Kind::Finding => ended(view, value),
            _ => Clause::plain("emptied"),
        }
    }

    fn is_of_the_car(&self, view: &View) -> bool {
        let about = view.find(&self.name).and_then(across::about);
        about
            .and_then(Mention::name)
            .is_some_and(|about| about.kind == Kind::Car)
    }
}

fn assembly(value: Option<&str>) -> Clause {
    match value.map(AssemblyState::from_word) {
        Some(AssemblyState::Fitted) => Clause::new("put", "on the car, and left it open"),
        Some(AssemblyState::Off) => Clause::new("took", "off"),
        Some(AssemblyState::Apart) => Clause::new("took", "apart"),
        Some(AssemblyState::Closed) => Clause::plain("closed up"),
        Some(AssemblyState::Away) => Clause::new("sent", "away"),
        Some(AssemblyState::Other(_)) | None => Clause::new("put", "in another state"),
    }
}

fn job(value: Option<&str>) -> Clause {
    match value.map(JobState::from_word) {
        Some(JobState::Open) => Clause::new("opened", "again"),
        Some(JobState::Begun) => Clause::plain("began"),
        Some(JobState::Later) => Clause::new("put", "off to a later round"),
        Some(JobState::Done) => Clause::plain("finished"),
        Some(JobState::Dropped) => Clause::plain("dropped"),
        Some(JobState::Other(_)) | None => Clause::new("put", "in another state"),
    }
}

fn hold_point(value: Option<&str>) -> Clause {
    match value.map(HoldState::from_word) {
        Some(HoldState::Open) => Clause::new("opened", "again"),
        Some(HoldState::Met) => Clause::plain("met"),
        Some(HoldState::Other(_)) | None => Clause::new("put", "in another state"),
    }
}

fn order(value: Option<&str>) -> Clause {
    match value.map(OrderState::from_word) {
        Some(OrderState::ToFind) => Clause::new("put", "back on the list of what is to be found"),
        Some(OrderState::Asked) => Clause::plain("asked a price for"),
        Some(OrderState::Ordered) => Clause::plain("ordered"),
        Some(OrderState::In) => Clause::new("got", "in"),
        Some(OrderState::Returned) => Clause::new("sent", "back"),
        Some(OrderState::Cancelled) => Clause::plain("cancelled"),
        Some(OrderState::Other(_)) | None => Clause::new("put", "in another state"),
    }
}

fn lies(view: &View, value: Option<&str>, before: Option<&str>) -> Clause {
    let code = |id: &Id| {
        let container = view.get(Kind::Container, id);
        container.map_or_else(
            || "a container".to_owned(),
            |entry| called(entry.line(Container::code)),
        )
    };
    let also = |said: &str| match says_something(said) {
        true => format!(": {}", shown(said)),
        false => String::new(),
    };
    match value.map(Lies::of) {
        Some(Lies::In(container)) => {
            let into = container
                .id()
                .map_or_else(|| "a container".to_owned(), |id| code(&id));
            Clause::new("put", format!("into {into}"))
        }
        Some(Lies::Place) => Clause::new("put", "in its place"),
        Some(Lies::Off(said)) => Clause::new("left", format!("off the car{}", also(said))),
        Some(Lies::Away(said)) => Clause::new("sent", format!("away{}", also(said))),
        Some(Lies::Scrapped(said)) => Clause::new("scrapped", also(said).trim_start_matches(": ").to_owned()),
        Some(Lies::Lost(said)) => Clause::new("looked for", format!("and did not find it{}", also(said))),
        Some(Lies::Trial(said)) => Clause::new("put", format!("on for trial{}", also(said))),
        Some(Lies::Other(_)) => Clause::new("put", "elsewhere"),
        None => {
            let out_of = before
                .map(Lies::of)
                .and_then(Lies::container)
                .and_then(|link| link.id());
            let out_of = out_of.map_or_else(|| "its container".to_owned(), |id| code(&id));
            Clause::new("took", format!("out of {out_of}"))
        }
    }
}

fn decision(value: Option<&str>) -> Clause {
    match value {
        Some("reuse") => Clause::new("decided to put", "back"),
        Some("recondition") => Clause::plain("decided to recondition"),
        Some("replace") => Clause::plain("decided to replace"),
        Some(_) => Clause::plain("decided what becomes of"),
        None => Clause::plain("took back what was decided of"),
    }
}

fn ended(view: &View, value: Option<&str>) -> Clause {
    match value.map(End::of) {
        Some(End::MendedBy(job)) => {
            let job = view
                .get(Kind::Job, &job)
                .map_or_else(|| "a job".to_owned(), |job| thing(view, job));
            Clause::new("left", format!("to {job}"))
        }
        Some(End::Mended(how)) => Clause::new("mended", also_said(how)),
        Some(End::LivedWith(why)) => Clause::new("chose to live with", also_said(why)),
        Some(End::NotSo(seen)) => Clause::new("looked, and ruled out", also_said(seen)),
        Some(End::Other(_)) => Clause::new("brought", "to an end"),
        None => Clause::new("found", "open again"),
    }
}

fn also_said(words: &str) -> String {
    match says_something(words) {
        true => format!("({})", shown(words)),
        false => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_goes_on_in_a_sentence_as_one_says_it() {
        let check = |name: &str, said: &str| assert_eq!(with_the(name), said);
        check("Gearbox", "the gearbox");
        check("Cylinder head", "the cylinder head");
        check("Piston, cylinder 3", "the piston, cylinder 3");
        check("LH door", "the LH door");
        check("Aunt's box", "Aunt's box");
        check("The old sump", "The old sump");
    }

    #[test]
    fn what_was_done_is_said_of_a_thing_of_it_and_of_many() {
        let put = Clause::new("put", "into B14");
        assert_eq!(put.of("the piston"), "put the piston into B14");
        assert_eq!(put.of("it"), "put it into B14");
        assert_eq!(put.of(&many(Kind::Part, 4)), "put 4 parts into B14");
        let closed = assembly(Some("closed"));
        assert_eq!(closed.of("the gearbox"), "closed up the gearbox");
        assert_eq!(
            (closed.of("it"), closed.of("them")),
            ("closed it up".to_owned(), "closed them up".to_owned())
        );
        assert_eq!(
            struck(None).of("the job ‘Lap’"),
            "took back the line through the job ‘Lap’"
        );
    }

    #[test]
    fn several_are_said_as_several() {
        assert_eq!(
            ["piston", "bush", "pistons", "journal"].map(several),
            ["pistons", "bushes", "pistons", "journals"]
        );
    }
}
