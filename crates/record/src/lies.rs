//! Where a part lies: in a container, in its place, off the car, away, scrapped, or not to be found. All of it is one scalar, so that no
//! merge can put one keeper's word beside the other's container; the id of a container alone is what every program has written. It
//! moves nothing, and what nobody said is told as that.

use crate::entities::{Assembly, Container, Part, PartRef};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::{Kind, Link};
use crate::shown::{says_something, shown};
pub use crate::spelled::Lies;
use crate::title::title;
use crate::view::View;
use crate::words::{AssemblyState, Decision};

/// Where a part is, as a mechanic would answer who asks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whereabouts {
    /// The answer: `In the car: gearbox lid`, `B12, in X4, right-hand shelves`.
    pub said: String,
    /// Whether somebody who wants it has to look for it: nobody said, or it was looked for and not found.
    pub to_seek: bool,
}

/// Where a part is: as somebody said, and where nobody did, as its assembly stands.
#[must_use]
pub fn whereabouts(view: &View, part: PartRef<'_>) -> Whereabouts {
    let known = |said: String| Whereabouts { said, to_seek: false };
    let home = part.assembly().and_then(Link::id);
    let home = home.and_then(|id| view.get(Kind::Assembly, &id));
    match part.container() {
        Some(Lies::In(container)) => {
            let container = container.id().and_then(|id| view.get(Kind::Container, &id));
            match container {
                Some(container) if container.stands() => known(within(view, container)),
                Some(container) => Whereabouts {
                    said: format!(
                        "It lay in {}, which was struck out, and nobody has said where since",
                        title(container)
                    ),
                    to_seek: true,
                },
                None => Whereabouts {
                    said: "In a container that this record does not have".to_owned(),
                    to_seek: true,
                },
            }
        }
        Some(Lies::Place) => {
            known(home.map_or_else(|| "In its place".to_owned(), |home| in_place(view, home)))
        }
        Some(Lies::Trial(why)) => {
            let place = home.map_or_else(|| "In its place".to_owned(), |home| in_place(view, home));
            known(format!("{place}, {}", for_trial_said(why)))
        }
        Some(said @ (Lies::Off(words) | Lies::Lost(words))) => Whereabouts {
            said: first_large(&said.told(|_| String::new())),
            to_seek: matches!(said, Lies::Lost(_)) || !says_something(words),
        },
        Some(said) => known(first_large(&said.told(|_| String::new()))),
        // Nothing is to be looked for where nothing belongs.
        None if nothing_belongs(part) => known(first_large(NOTHING)),
        None => match home {
            Some(home) => unsaid(view, home),
            None => Whereabouts {
                said: "Nobody has said where it lies".to_owned(),
                to_seek: true,
            },
        },
    }
}

/// Nobody has said: it is where its assembly is, unless that is in pieces.
fn unsaid(view: &View, home: &Entry) -> Whereabouts {
    let name = title(home);
    match state(home) {
        AssemblyState::Apart => Whereabouts {
            said: format!("{name} is in pieces, and nobody has said where this lies"),
            to_seek: true,
        },
        _ => Whereabouts {
            said: in_place(view, home),
            to_seek: false,
        },
    }
}

fn state(assembly: &Entry) -> AssemblyState {
    Assembly::of(assembly)
        .and_then(|assembly| assembly.state())
        .unwrap_or(AssemblyState::Fitted)
}

/// Whether an assembly is closed and not on the car.
#[must_use]
pub fn closed_off_car(assembly: &Entry) -> bool {
    let off = Assembly::of(assembly).and_then(|assembly| assembly.off_car());
    state(assembly) == AssemblyState::Closed && off == Some(true)
}

/// Whether its way round is that nothing belongs there: an empty place along a shaft, which somebody might take for a lost part.
#[must_use]
pub fn nothing_belongs(part: PartRef<'_>) -> bool {
    let said = part.way_round().map(str::trim).unwrap_or_default();
    said.trim_end_matches('.').eq_ignore_ascii_case(NOTHING)
}

/// The way round of an empty place, as it is written.
const NOTHING: &str = "nothing belongs here";

/// What is on for trial, and why: a part that is said to be, or an assembly as long as it is on the car. It comes off again.
#[must_use]
pub fn for_trial(entry: &Entry) -> Option<&str> {
    if let Some(part) = Part::of(entry) {
        return match part.container()? {
            Lies::Trial(why) => Some(why),
            _ => None,
        };
    }
    let why = Assembly::of(entry)?.for_trial()?;
    let on = match state(entry) {
        AssemblyState::Fitted => true,
        AssemblyState::Closed => !closed_off_car(entry),
        _ => false,
    };
    (on && says_something(why)).then_some(why)
}

/// That something is on for trial, within a sentence.
pub(crate) fn for_trial_said(why: &str) -> String {
    Lies::Trial(why).told(|_| String::new())
}

/// In its assembly, and where that is: the innermost of those around it that is not on the car says so.
fn in_place(view: &View, home: &Entry) -> String {
    let off = around(view, home, Assembly::parent).into_iter().find_map(|one| {
        let how = match state(one) {
            AssemblyState::Off => "off the car",
            AssemblyState::Away => "away",
            AssemblyState::Apart => "in pieces",
            AssemblyState::Closed if closed_off_car(one) => "closed, and off the car",
            _ => return None,
        };
        let kept_in = Assembly::of(one)
            .and_then(|one| one.kept_in()?.id())
            .and_then(|id| view.get(Kind::Container, &id))
            .map(|kept_in| format!(", in {}", within(view, kept_in)))
            .unwrap_or_default();
        let which = match one.id == home.id {
            true => "which".to_owned(),
            false => title(one),
        };
        Some(format!("In {}; {which} is {how}{kept_in}", title(home)))
    });
    let tried = || {
        let around = around(view, home, Assembly::parent);
        let tried = around.into_iter().find_map(|one| Some((one, for_trial(one)?)));
        tried.map_or_else(String::new, |(one, why)| {
            let which = match one.id == home.id {
                true => "which".to_owned(),
                false => title(one),
            };
            format!("; {which} is {}", for_trial_said(why))
        })
    };
    off.unwrap_or_else(|| format!("In the car: {}{}", title(home), tried()))
}

/// A container with what it stands in, and the place where that is. Where several say a place each says its own: the box that was carried
/// to another town is not where the shelf is that it was put on once.
fn within(view: &View, container: &Entry) -> String {
    let all = around(view, container, Container::inside);
    let called = |at: usize, one: &Entry| {
        let code = one.called(Container::code);
        match at == 0 || code.is_empty() {
            true => title(one),
            false => code,
        }
    };
    let place = |one: &Entry| Container::of(one).and_then(|one| one.place()).map(shown);
    let places: Vec<String> = all.iter().filter_map(|one| place(one)).collect();
    let each = all.iter().enumerate().map(|(at, one)| match place(one) {
        Some(place) if places.len() > 1 => format!("{} ({place})", called(at, one)),
        _ => called(at, one),
    });
    let said = each.collect::<Vec<_>>().join(", in ");
    match places.as_slice() {
        [only] => format!("{said}, {only}"),
        _ => said,
    }
}

/// An entry and what it is in, the innermost first. What came from outside may be a ring.
fn around<'v>(view: &'v View, entry: &'v Entry, field: &str) -> Vec<&'v Entry> {
    let mut all = vec![entry];
    let mut at = entry;
    while let Some(up) = at
        .line(field)
        .and_then(|id| view.get(entry.kind, &id.parse().ok()?))
    {
        if all.iter().any(|one| one.id == up.id) {
            break;
        }
        all.push(up);
        at = up;
    }
    all
}

fn first_large(said: &str) -> String {
    let mut letters = said.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

/// Of a part of which nobody has said where it lies, though its assembly is in pieces.
pub(crate) const UNSAID: &str = "not said to be in";

/// Whether a part lies where a hand reaches it: in a container that stands, or off the car. What is away, scrapped or not to be found
/// does not.
pub(crate) fn is_at_hand(view: &View, part: &Entry) -> bool {
    match Part::of(part).and_then(|part| part.container()) {
        Some(Lies::In(container)) => {
            let container = container.id().and_then(|id| view.get(Kind::Container, &id));
            container.is_some_and(Entry::stands)
        }
        Some(Lies::Off(_)) => true,
        _ => false,
    }
}

/// What keeps a part from being in its assembly when that is closed, in a few words.
pub(crate) fn not_in(view: &View, part: &Entry) -> Option<String> {
    let part = Part::of(part)?;
    let Some(lies) = part.container() else {
        if nothing_belongs(part) {
            return None;
        }
        let home = view.get(Kind::Assembly, &part.assembly()?.id()?)?;
        return (state(home) == AssemblyState::Apart).then(|| UNSAID.to_owned());
    };
    match lies {
        Lies::In(container) => {
            let container = view.get(Kind::Container, &container.id()?)?;
            // What was struck out holds nothing any more, and nobody has said that it was put in.
            Some(match container.stands() {
                true => format!("in {}", title(container)),
                false => format!("last seen in {}, which was struck out", title(container)),
            })
        }
        // Whether another is in its place is asked by its decision.
        Lies::Scrapped(_) if part.decision() == Some(Decision::Replace) => None,
        Lies::Off(_) | Lies::Away(_) | Lies::Scrapped(_) | Lies::Lost(_) => {
            Some(lies.told(|_| String::new()))
        }
        Lies::Place | Lies::Trial(_) | Lies::Other(_) => None,
    }
}
