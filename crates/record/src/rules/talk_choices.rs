//! The choices of a point as a talk says them: what each does, naming the thing, and what is left to do with one's hands once it is
//! chosen. It carries nothing out.

use super::point::{Point, Side};
use super::rule::Rule;
use super::same_code::next_free_code;
use super::talk::{MOST_SAID, Talk};
use super::together::{Question, SaidToo};
use crate::entities::{Assembly, Container, Limit, Order, Part};
use crate::entry::Scalar;
use crate::lies::Lies;
use crate::name::{Kind, Ref};
use crate::said::typed;
use crate::shown::shown;

/// What a choice says and comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChoiceWords {
    /// What it does, naming the thing.
    pub says: String,
    /// What is left to do with one's hands once it is chosen; often nothing.
    pub now: Vec<String>,
}

impl Talk<'_> {
    /// What a choice does, and what is to be done then. `with` is what else holds with a value that is chosen.
    #[must_use]
    pub fn choice(&self, question: &Question<'_>, key: &str, with: &[SaidToo<'_>]) -> ChoiceWords {
        let mut words = self.worded(question, key, with);
        let mut choices = question.lead.choices.iter();
        // Where no reason is asked for, none is announced.
        if !choices.any(|one| one.key == key && one.wants_why) {
            for asks in [", and say why", ", and say how"] {
                words.says = words.says.replace(asks, "");
            }
        }
        words
    }

    /// What holding to one of several settlements puts back to what stood before the other, in a few words. What was written since stays:
    /// a lid that was opened meanwhile is closed by no choice.
    #[must_use]
    pub fn puts_back(&self, fields: &[(Ref, String)]) -> String {
        let mut things: Vec<(String, Vec<String>)> = Vec::new();
        // That it was opened goes with how it stands.
        let marks = |name: &Ref, field: &str| {
            name.kind == Kind::Assembly && matches!(field, Assembly::opened | Assembly::taken_apart)
        };
        for (name, field) in fields.iter().filter(|(name, field)| !marks(name, field)) {
            let (thing, label) = match name.kind {
                Kind::Waiver => ("the reason that was given for it".to_owned(), None),
                _ => (
                    self.full(name),
                    Some(Self::label(name.kind, field).to_lowercase()),
                ),
            };
            match things.iter_mut().find(|(one, _)| *one == thing) {
                Some((_, labels)) => labels.extend(label),
                None => things.push((thing, label.into_iter().collect())),
            }
        }
        if things.is_empty() {
            return "puts nothing back: the rest stays as it stands now".to_owned();
        }
        let each = things.into_iter().map(|(thing, labels)| match labels.is_empty() {
            true => thing,
            false => format!("{thing} ({})", labels.join(", ")),
        });
        format!(
            "puts back what the other wrote: {}",
            each.collect::<Vec<_>>().join("; ")
        )
    }

    fn worded(&self, question: &Question<'_>, key: &str, with: &[SaidToo<'_>]) -> ChoiceWords {
        let point = question.lead;
        let named = self.of_a_lid(point, key);
        let named = named.or_else(|| self.of_two_things(point, key));
        let named = named.or_else(|| plain(key).map(|says| just(says.to_owned())));
        named.unwrap_or_else(|| self.numbered(point, key, with))
    }

    /// A choice about what an assembly was closed over, opened on, or tightened in.
    fn of_a_lid(&self, point: &Point, key: &str) -> Option<ChoiceWords> {
        let thing = |at: usize| self.nth(point, at);
        Some(match key {
            "reopen" => then(
                format!("Open {} up again", thing(0)),
                format!(
                    "Leave {} open, or take it apart as far as this needs: {}",
                    thing(0),
                    thing(1)
                ),
            ),
            "let_stand" => just(format!("Leave {} closed, and say why", thing(0))),
            "was_done" => just(format!("It was done before it was closed: {}", thing(1))),
            "was_met" => just(format!("It was met before it was closed: {}", thing(1))),
            "was_mended" => just(format!("It was mended, and say how: {}", thing(1))),
            "was_put_in" => then(
                format!("{} is in its place", thing(1)),
                "Look where it lay: it is not to lie there any more.".to_owned(),
            ),
            "strike_run" => then(
                format!("Strike the run out, and say why: {}", thing(1)),
                "What was tightened in it is not known to be tight: begin a new run where it matters."
                    .to_owned(),
            ),
            "open_again" => just(format!("It is open again: {}", thing(0))),
            "is_met" => just(format!("It is met all the same, and say why: {}", thing(0))),
            "tighten_again" => then(
                format!("Those bolts are to be tightened again: {}", thing(0)),
                "Slacken them before the first pass, as the run says; what may be used only once is bought new."
                    .to_owned(),
            ),
            "is_tight" => just(format!(
                "They were tightened after {} was together again, and say how that is known: {}",
                thing(1),
                thing(0)
            )),
            _ => return None,
        })
    }

    /// A choice between two containers with one code, or two orders for one part.
    fn of_two_things(&self, point: &Point, key: &str) -> Option<ChoiceWords> {
        let thing = |at: usize| self.nth(point, at);
        Some(match key {
            "first_keeps" | "second_keeps" => {
                let (keeps, gives) = if key == "first_keeps" { (0, 1) } else { (1, 0) };
                let (code, keeps_code) = (
                    self.line(point, gives, Container::code),
                    self.line(point, keeps, Container::code),
                );
                let fresh = next_free_code(self.view, &code);
                let (keep, give) = (self.in_bag(point, keeps), self.in_bag(point, gives));
                then(
                    format!("{keep} keeps {keeps_code}; {give} becomes {fresh}"),
                    format!("Write {fresh} on {give}, where it says {code}."),
                )
            }
            "one_container" => then(
                "It is one and the same container: what is in either is in it".to_owned(),
                format!("See that {} holds what both lists name.", thing(0)),
            ),
            "cancel_first" | "cancel_second" => {
                let (off, stays) = if key == "cancel_first" { (0, 1) } else { (1, 0) };
                let order = |at: usize| self.order(point, at);
                let state = self.line(point, off, Order::state);
                let now = match (self.from(point, off), state.as_str()) {
                    (Some(from), "ordered" | "asked") => {
                        format!(
                            "Tell {} that {} is not wanted any more.",
                            shown(&from),
                            thing(off)
                        )
                    }
                    (_, "in") => format!("Send back what came: {}.", thing(off)),
                    _ => format!("Look no further for {}: {} stays.", thing(off), order(stays)),
                };
                then(format!("Cancel {}; {} stays", order(off), order(stays)), now)
            }
            _ => return None,
        })
    }

    /// One of what a point is about, by its number.
    fn nth(&self, point: &Point, at: usize) -> String {
        point
            .about
            .get(at)
            .map_or_else(|| "it".to_owned(), |name| self.full(name))
    }

    /// A choice that is one of the sides, or is called after one.
    fn numbered(&self, point: &Point, key: &str, with: &[SaidToo<'_>]) -> ChoiceWords {
        if point.rule == Rule::SettledTwoWays {
            return just(self.as_settled(point, key));
        }
        if let Some(at) = key
            .strip_prefix("take_out_")
            .and_then(|at| at.parse::<usize>().ok())
        {
            let side = point.sides.get(at.saturating_sub(1));
            let what = side.map_or_else(|| "it".to_owned(), |side| self.full(&side.about));
            return just(format!(
                "Take '{what}' out again: it stands where it stood before"
            ));
        }
        let Some(side) = point.sides.iter().find(|side| side.key == key) else {
            return just(key.replace('_', " "));
        };
        match point.rule {
            Rule::ReadingsDiffer => {
                let value = side.value.as_ref().and_then(Scalar::line);
                let value = value.map(typed).unwrap_or_default();
                just(format!("{value} stands, the other is struck out"))
            }
            Rule::SaidApart => self.as_one_had_it(side),
            _ => self.keeping(point, side, with),
        }
    }

    /// As somebody settled it before.
    fn as_settled(&self, point: &Point, key: &str) -> String {
        let so = point
            .sides
            .iter()
            .filter(|side| side.value.as_ref().and_then(Scalar::line) == Some(key));
        let mut who: Vec<String> = so.map(|side| self.name(&side.stamp)).collect();
        who.dedup();
        if who.is_empty() {
            key.replace('_', " ")
        } else {
            format!("As {} settled it", who.join(" and "))
        }
    }

    /// All that one of two said apart.
    fn as_one_had_it(&self, side: &Side) -> ChoiceWords {
        let said = self.value(side.about.kind, "", side.value.as_ref());
        let whose = match self.is_me(&side.stamp) {
            true => "As you had it".to_owned(),
            false => format!("As {} had it", self.name(&side.stamp)),
        };
        if side.about.kind == Kind::Assembly {
            let thing = self.full(&side.about);
            return then(
                format!("{whose}: {said}"),
                format!("See where {thing} is: it is said to be {said}."),
            );
        }
        let judged = match side.about.kind {
            Kind::Limit => Limit::low,
            _ => "",
        };
        ChoiceWords {
            says: format!("{whose}, the rest as it stood then: {said}"),
            now: self.then(&side.about, judged, side.value.as_ref(), &said),
        }
    }

    /// One of several values of a field, with what was said with it.
    fn keeping(&self, point: &Point, side: &Side, with: &[SaidToo<'_>]) -> ChoiceWords {
        let field = point.field.as_deref().unwrap_or_default();
        let kind = side.about.kind;
        let short = |value: &str| value.chars().count() <= MOST_SAID;
        let value = self.value(kind, field, side.value.as_ref());
        let mut said = vec![if short(&value) {
            value.clone()
        } else {
            format!("what {} wrote", self.name_or_you(&side.stamp))
        }];
        let more = with.iter().filter(|too| too.value.is_some());
        let more = more.map(|too| self.value(kind, too.field, too.value.as_ref()));
        said.extend(more.filter(|value| short(value)));
        ChoiceWords {
            says: format!("Keep: {}", said.join(", ")),
            now: self.then(&side.about, field, side.value.as_ref(), &value),
        }
    }

    /// What is to be done once a value holds.
    fn then(&self, name: &Ref, field: &str, value: Option<&Scalar>, said: &str) -> Vec<String> {
        let thing = self.full(name);
        let word = value.and_then(Scalar::line).unwrap_or_default();
        let now = match (name.kind, field) {
            (Kind::Part, Part::decision) if word == "replace" => {
                format!("See that {thing} is on order, or order it.")
            }
            (Kind::Part, Part::decision) if word == "recondition" => {
                format!("Call off another {thing}, where one is on order.")
            }
            (Kind::Part, Part::container) if value.is_some() => match Lies::of(word) {
                Lies::In(_) => format!("See that {thing} lies in {said}."),
                _ => format!("See that it is so: {thing} is {said}."),
            },
            (Kind::Container, Container::place | Container::inside) if value.is_some() => {
                format!("See that {thing} is there: {said}.")
            }
            (Kind::Container, Container::code) if value.is_some() => {
                format!("See that it says {said} on it.")
            }
            (Kind::Assembly, Assembly::state) => format!("See that {thing} is {said}."),
            (Kind::Limit, Limit::low | Limit::high) => {
                format!(
                    "What was measured against {thing} is judged anew: look at it before anything is cut or fitted."
                )
            }
            (Kind::Order, Order::state | Order::from) => {
                format!("Ask where {thing} stands: it is said to be {said}.")
            }
            _ => return Vec::new(),
        };
        vec![now]
    }
}

/// A choice after which nothing is left to do.
fn just(says: String) -> ChoiceWords {
    ChoiceWords {
        says,
        now: Vec::new(),
    }
}

/// A choice that leaves something to do at the car.
fn then(says: String, now: String) -> ChoiceWords {
    ChoiceWords { says, now: vec![now] }
}

/// The words of a choice that says the same of whatever it is about.
fn plain(key: &str) -> Option<&'static str> {
    Some(match key {
        "is_ended" => "It has its end all the same, and say why",
        "go_together" => "What both said goes together, and say why",
        "both_wanted" => "Both are wanted, and say why",
        "both_stand" => "Both stand, and say why",
        "move_up" => "It stays struck out; what was worked on moves up and stands",
        "take_back" => "Take the strike back: it stands again, with all that went with it",
        "strike_too" => "It stays struck out, and what is left in it is struck out too",
        "leave" => "It stays struck out; what is in it is left there",
        "stay_struck" => "It stays struck out",
        "as_it_is" => "Neither: leave all as it stands now, and say why",
        _ => return None,
    })
}
