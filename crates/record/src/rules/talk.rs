//! A point said as a talk: what is asked, who did what, what each choice comes to, and what is left to do at the bench when it is
//! chosen. Names stand whole and with their place, values as a keeper would say them. It finds nothing and writes nothing, and
//! never says which side is right.

use super::point::{Point, Side};
use super::rule::Rule;
use super::same_code::next_free_code;
use super::together::{Question, SaidToo};
use crate::across;
use crate::ending::End;
use crate::entities::{Assembly, Container, Keeper, Limit, Order, Part, Reading};
use crate::entity::field_of;
use crate::entry::{Entry, STRUCK, Scalar, Stamp, View};
use crate::field::Shape;
use crate::name::{Id, Kind, Ref};
use crate::shown::shown;
use crate::title::{title, whole};
use crate::words::{OrderState, Words as _};

/// Longest value that a question says; a longer one stands with its side alone.
const MOST_SAID: usize = 60;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Whom the talk is told to, and what there is to tell of.
#[derive(Clone, Copy, Debug)]
pub struct Talk<'v> {
    /// The entries.
    pub view: &'v View,
    /// The keeper who looks, who is 'you'.
    pub me: Option<&'v Id>,
}

/// What a choice says and comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChoiceWords {
    /// What it does, naming the thing.
    pub says: String,
    /// What is left to do with one's hands once it is chosen; often nothing.
    pub now: Vec<String>,
}

impl Talk<'_> {
    /// What is asked.
    #[must_use]
    pub fn asks(&self, question: &Question<'_>) -> String {
        let point = question.lead;
        let about = |at: usize| {
            point
                .about
                .get(at)
                .map_or_else(String::new, |name| self.full(name))
        };
        if point.rule.is_of_a_closing() {
            let over = match point.about.get(1).map(|name| name.kind) {
                Some(Kind::Job) => "with a job open",
                Some(Kind::HoldPoint) => "with a hold point open",
                Some(Kind::TighteningRun) => "with a tightening run unfinished",
                Some(Kind::Finding) => "over a finding without an end",
                Some(Kind::Reading) => "over a reading that is not in its limits",
                Some(Kind::Part) if point.rule == Rule::ClosedOverStored => {
                    "while a part of it lay in a container"
                }
                Some(Kind::Part) => "over a part that is to be replaced",
                _ => "over an assembly that is not closed",
            };
            return format!("{} was closed {over}: {}", about(0), about(1));
        }
        match point.rule {
            Rule::TwoValues => self.which(point),
            Rule::SameCode => {
                let code = self.line(point, 0, Container::code);
                let (one, two) = (self.in_bag(point, 0), self.in_bag(point, 1));
                format!("Two containers are called {code}: {one}, and {two}")
            }
            Rule::TwoOrders => {
                let part = self.ordered(point).unwrap_or_else(|| about(0));
                let from = |at: usize| {
                    self.from(point, at)
                        .map_or_else(|| "nobody said whom".to_owned(), |from| shown(&from))
                };
                format!("{part} is on order twice: from {}, and from {}", from(0), from(1))
            }
            _ => point.title.clone(),
        }
    }

    fn which(&self, point: &Point) -> String {
        let (Some(name), Some(field)) = (point.about.first(), point.field.as_deref()) else {
            return point.title.clone();
        };
        let thing = self.full(name);
        if field == STRUCK {
            return format!("{thing}: is it struck out, and why?");
        }
        let values: Vec<String> = point
            .sides
            .iter()
            .map(|side| self.value(name.kind, field, side.value.as_ref()))
            .collect();
        let def = field_of(name.kind, plain(field));
        let label = label(name.kind, field);
        let long = values.iter().any(|value| value.chars().count() > MOST_SAID);
        let word = def.is_some_and(|def| matches!(def.shape, Shape::Word(_)));
        if long {
            return format!("{thing}: ‘{label}’ was said {}", many_ways(values.len()));
        }
        let values = values.join(" or ");
        if word {
            format!("{thing}: {values}?")
        } else {
            format!("{thing}: {}, {values}?", lower(&label))
        }
    }

    /// What one side did.
    #[must_use]
    pub fn did(&self, point: &Point, side: &Side) -> String {
        let who = self.who(&side.stamp);
        let thing = self.full(&side.about);
        let other = point.sides.iter().find(|one| one.key != side.key);
        let had = if other.is_some_and(|other| side.stamp.at < other.stamp.at) {
            "had "
        } else {
            ""
        };
        let entry = self.view.find(&side.about);
        if point.rule.is_of_a_closing() {
            if side.key == "side_1" {
                return format!("{who} closed {thing}.");
            }
            return match side.about.kind {
                Kind::Job => format!("{who} {had}asked for this: {thing}."),
                Kind::HoldPoint => format!("{who} {had}wanted this first: {thing}."),
                Kind::Finding => format!("{who} {had}found this: {thing}."),
                Kind::Reading => {
                    let value = entry.and_then(|entry| entry.line(Reading::value)).map(typed);
                    let value = value.map_or_else(String::new, |value| format!(" {value}"));
                    let how = side.value.as_ref().and_then(Scalar::line).unwrap_or_default();
                    let how = how.replace('_', " ");
                    format!("{who} {had}measured{value}, {how}: {thing}.")
                }
                Kind::TighteningRun => {
                    let far = side.value.as_ref().and_then(Scalar::line).unwrap_or_default();
                    let begun = if had.is_empty() { "began" } else { "had begun" };
                    format!("{who} {begun} to tighten {thing}: {far}.")
                }
                Kind::Part if point.rule == Rule::ClosedOverStored => {
                    let lies = self.link(entry, Part::container, Kind::Container);
                    let lies = lies.unwrap_or_else(|| "a container".to_owned());
                    format!("{who} {had}put {thing} into {lies}.")
                }
                Kind::Part => format!("{who} {had}decided to replace {thing}."),
                _ => {
                    let state = side.value.as_ref().and_then(Scalar::line).unwrap_or("open");
                    format!("{who} {had}left {thing} {}.", state.replace('_', " "))
                }
            };
        }
        match point.rule {
            Rule::SameCode => {
                let at = point
                    .about
                    .iter()
                    .position(|name| *name == side.about)
                    .unwrap_or_default();
                format!(
                    "{who} wrote {} on {}.",
                    self.line(point, at, Container::code),
                    self.in_bag(point, at)
                )
            }
            Rule::TwoOrders => {
                let at = point
                    .about
                    .iter()
                    .position(|name| *name == side.about)
                    .unwrap_or_default();
                let from = self
                    .from(point, at)
                    .map_or_else(String::new, |from| format!(" from {}", shown(&from)));
                let state = side.value.as_ref().and_then(Scalar::line).unwrap_or("to find");
                format!("{who} entered {thing}{from}; it is {}.", order_state(state))
            }
            Rule::ReadingsDiffer => {
                let value = side
                    .value
                    .as_ref()
                    .and_then(Scalar::line)
                    .map(typed)
                    .unwrap_or_default();
                let with = self.link(entry, Reading::instrument, Kind::Instrument);
                let with = with.map_or_else(String::new, |with| format!(" with {with}"));
                format!("{who} measured {value}{with}.")
            }
            Rule::TwoValues => {
                let field = point.field.as_deref().unwrap_or_default();
                let value = self.value(side.about.kind, field, side.value.as_ref());
                if side.value.is_none() {
                    format!("{who} took it away.")
                } else {
                    format!("{who} said: {value}")
                }
            }
            Rule::EndedApart if side.key == "side_1" => format!(
                "{who} ended it: {}.",
                self.value(Kind::Finding, "", side.value.as_ref())
            ),
            Rule::EndedApart => format!(
                "{who} wrote on it: {}.",
                self.value(Kind::Finding, "", side.value.as_ref())
            ),
            Rule::StruckWorkedOn | Rule::InEachOther => {
                format!(
                    "{who}, {thing}: {}.",
                    self.value(side.about.kind, "", side.value.as_ref())
                )
            }
            _ => format!("{who}: {}", side.title),
        }
    }

    /// What a choice does, and what is to be done then. `with` is what else holds with a value that is chosen.
    #[must_use]
    pub fn choice(&self, question: &Question<'_>, key: &str, with: &[SaidToo<'_>]) -> ChoiceWords {
        let point = question.lead;
        let thing = |at: usize| {
            point
                .about
                .get(at)
                .map_or_else(|| "it".to_owned(), |name| self.full(name))
        };
        let just = |says: String| ChoiceWords {
            says,
            now: Vec::new(),
        };
        let then = |says: String, now: String| ChoiceWords { says, now: vec![now] };
        match key {
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
                format!("{} is in, and out of its container", thing(1)),
                "Look into the container: it is not to lie there any more.".to_owned(),
            ),
            "strike_run" => then(
                format!("Strike the run out, and say why: {}", thing(1)),
                "What was tightened in it is not known to be tight: begin a new run where it matters."
                    .to_owned(),
            ),
            "open_again" => just(format!("It is open again: {}", thing(0))),
            "is_ended" => just("It has its end all the same, and say why".to_owned()),
            "first_keeps" | "second_keeps" => {
                let (keeps, gives) = if key == "first_keeps" { (0, 1) } else { (1, 0) };
                let code = self.line(point, gives, Container::code);
                let fresh = next_free_code(self.view, &code);
                let (keep, give) = (self.in_bag(point, keeps), self.in_bag(point, gives));
                then(
                    format!("{keep} keeps {code}; {give} becomes {fresh}"),
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
            "both_wanted" => just("Both are wanted, and say why".to_owned()),
            "both_stand" => just("Both stand, and say why".to_owned()),
            "move_up" => just("It stays struck out; what was worked on moves up and stands".to_owned()),
            "take_back" => {
                just("Take the strike back: it stands again, with all that went with it".to_owned())
            }
            "strike_too" => just("It stays struck out, and what is left in it is struck out too".to_owned()),
            "leave" => just("It stays struck out; what is in it is left there".to_owned()),
            "stay_struck" => just("It stays struck out".to_owned()),
            "as_it_is" => just("Neither: leave all as it stands now, and say why".to_owned()),
            _ => self.numbered(point, key, with),
        }
    }

    /// A choice that is one of the sides, or is called after one.
    fn numbered(&self, point: &Point, key: &str, with: &[SaidToo<'_>]) -> ChoiceWords {
        if point.rule == Rule::SettledTwoWays {
            let so = point
                .sides
                .iter()
                .filter(|side| side.value.as_ref().and_then(Scalar::line) == Some(key));
            let mut who: Vec<String> = so.map(|side| self.name(&side.stamp)).collect();
            who.dedup();
            let says = if who.is_empty() {
                key.replace('_', " ")
            } else {
                format!("As {} settled it", who.join(" and "))
            };
            return ChoiceWords {
                says,
                now: Vec::new(),
            };
        }
        if let Some(at) = key
            .strip_prefix("take_out_")
            .and_then(|at| at.parse::<usize>().ok())
        {
            let side = point.sides.get(at.saturating_sub(1));
            let what = side.map_or_else(|| "it".to_owned(), |side| self.full(&side.about));
            let says = format!("Take '{what}' out again: it stands where it stood before");
            return ChoiceWords {
                says,
                now: Vec::new(),
            };
        }
        let Some(side) = point.sides.iter().find(|side| side.key == key) else {
            let says = key.replace('_', " ");
            return ChoiceWords {
                says,
                now: Vec::new(),
            };
        };
        if point.rule == Rule::ReadingsDiffer {
            let value = side
                .value
                .as_ref()
                .and_then(Scalar::line)
                .map(typed)
                .unwrap_or_default();
            return ChoiceWords {
                says: format!("{value} stands, the other is struck out"),
                now: Vec::new(),
            };
        }
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
            (Kind::Part, Part::container) if value.is_some() => format!("See that {thing} lies in {said}."),
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

    /// What something is called, whole, with its position; and where another is called alike, with where it is.
    #[must_use]
    pub fn full(&self, name: &Ref) -> String {
        let Some(entry) = self.view.find(name) else {
            return "something that is not here".to_owned();
        };
        let called = self.called(entry);
        let alike = |other: &Entry| other.id != entry.id && self.called(other) == called;
        if !matches!(
            entry.kind,
            Kind::Part | Kind::Assembly | Kind::Job | Kind::HoldPoint | Kind::Finding
        ) || !self.view.standing(entry.kind).any(alike)
        {
            return called;
        }
        let home = match entry.kind {
            Kind::Assembly => entry.line(Assembly::parent).and_then(|id| id.parse().ok()),
            _ => across::home(self.view, name),
        };
        let home = home.and_then(|id: Id| self.view.get(Kind::Assembly, &id));
        home.map_or(called.clone(), |home| {
            format!("{called} (in {})", self.called(home))
        })
    }

    fn called(&self, entry: &Entry) -> String {
        let called = whole(entry).map_or_else(|| title(entry), |whole| shown(&whole));
        let position = match entry.kind {
            Kind::Part => entry.line(Part::position),
            Kind::Reading => entry.line(Reading::at),
            _ => None,
        };
        match position.filter(|position| !position.is_empty()) {
            Some(position) => format!("{called}, {}", shown(position)),
            None => called,
        }
    }

    /// A value as a keeper says it.
    #[must_use]
    pub fn value(&self, kind: Kind, field: &str, value: Option<&Scalar>) -> String {
        let shape = field_of(kind, plain(field)).map(|def| def.shape);
        let text = match value {
            None => return "nothing".to_owned(),
            Some(Scalar::Flag(flag)) => {
                let words = if field.contains(':') {
                    ("in", "out")
                } else {
                    ("yes", "no")
                };
                return if *flag { words.0 } else { words.1 }.to_owned();
            }
            Some(Scalar::Whole(number)) => return number.to_string(),
            Some(Scalar::Line(text)) => text,
        };
        if text.is_empty() {
            return "nothing".to_owned();
        }
        match shape {
            Some(Shape::Link(kind)) => text
                .parse()
                .map_or_else(|_| shown(text), |id| self.full(&Ref::new(kind, id))),
            Some(Shape::About(_)) => text
                .parse()
                .map_or_else(|_| shown(text), |name: Ref| self.full(&name)),
            Some(Shape::Ending) => End::of(text).told(|job| self.full(&Ref::new(Kind::Job, job.clone()))),
            Some(Shape::Word(set)) => set
                .said(text)
                .map_or_else(|| text.replace('_', " "), str::to_owned),
            Some(Shape::Measure | Shape::Measures | Shape::Grid) => typed(text),
            Some(Shape::Day) => day(text),
            _ => shown(text),
        }
    }

    /// A choice that says nothing of itself.
    #[must_use]
    pub fn chosen(&self, key: &str) -> String {
        key.replace('_', " ")
    }

    /// What a field is called, for what it is of.
    #[must_use]
    pub fn label(kind: Kind, field: &str) -> String {
        label(kind, field)
    }

    /// Who wrote something: 'You', or their name.
    #[must_use]
    pub fn who(&self, stamp: &Stamp) -> String {
        if self.is_me(stamp) {
            "You".to_owned()
        } else {
            self.name(stamp)
        }
    }

    fn name_or_you(&self, stamp: &Stamp) -> String {
        if self.is_me(stamp) {
            "you".to_owned()
        } else {
            self.name(stamp)
        }
    }

    fn is_me(&self, stamp: &Stamp) -> bool {
        let keeper = stamp
            .device
            .as_ref()
            .and_then(|device| self.view.keeper_of(device));
        keeper.is_some() && keeper.as_ref() == self.me
    }

    fn name(&self, stamp: &Stamp) -> String {
        let keeper = stamp
            .device
            .as_ref()
            .and_then(|device| self.view.keeper_of(device));
        let keeper = keeper.and_then(|id| self.view.get(Kind::Keeper, &id));
        let name = keeper.map(|keeper| keeper.called(Keeper::name));
        name.filter(|name| !name.is_empty())
            .unwrap_or_else(|| "Somebody".to_owned())
    }

    fn entry(&self, point: &Point, at: usize) -> Option<&Entry> {
        self.view.find(point.about.get(at)?)
    }

    fn line(&self, point: &Point, at: usize, field: &str) -> String {
        let entry = self.entry(point, at);
        entry
            .and_then(|entry| entry.line(field))
            .map(shown)
            .unwrap_or_default()
    }

    fn link(&self, entry: Option<&Entry>, field: &str, kind: Kind) -> Option<String> {
        let id = entry?.line(field)?.parse().ok()?;
        Some(self.full(&Ref::new(kind, id)))
    }

    /// What a bag holds, and whose label it is: `your ‘Gearbox shims’`.
    fn in_bag(&self, point: &Point, at: usize) -> String {
        let name = self.line(point, at, Container::name);
        let what = if name.is_empty() {
            "one that does not say what is in it".to_owned()
        } else {
            format!("‘{name}’")
        };
        let stamp = point
            .sides
            .iter()
            .find(|side| Some(&side.about) == point.about.get(at));
        let Some(side) = stamp else { return what };
        if self.is_me(&side.stamp) {
            format!("your {what}")
        } else {
            format!("{}’s {what}", self.name(&side.stamp))
        }
    }

    fn from(&self, point: &Point, at: usize) -> Option<String> {
        let from = self.entry(point, at)?.line(Order::from)?;
        (!from.is_empty()).then(|| from.to_owned())
    }

    fn order(&self, point: &Point, at: usize) -> String {
        let side = point.sides.get(at);
        let whose = match side {
            Some(side) if self.is_me(&side.stamp) => "your order".to_owned(),
            Some(side) => format!("{}’s order", self.name(&side.stamp)),
            None => "the order".to_owned(),
        };
        self.from(point, at)
            .map_or(whose.clone(), |from| format!("{whose} from {}", shown(&from)))
    }

    fn ordered(&self, point: &Point) -> Option<String> {
        self.link(self.entry(point, 0), Order::part, Kind::Part)
    }
}

/// A field without the member of its set.
fn plain(field: &str) -> &str {
    field.split(':').next().unwrap_or(field)
}

fn label(kind: Kind, field: &str) -> String {
    if field == STRUCK {
        return "Struck out".to_owned();
    }
    let field = plain(field);
    field_of(kind, field).map_or_else(|| field.replace('_', " "), |def| def.label.to_owned())
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_lowercase).collect();
    first + letters.as_str()
}

fn many_ways(count: usize) -> String {
    match count {
        2 => "two ways".to_owned(),
        3 => "three ways".to_owned(),
        count => format!("{count} ways"),
    }
}

/// What was typed, of one value, several, or rows of them.
fn typed(kept: &str) -> String {
    let one = |value: &str| value.split(" = ").next().unwrap_or(value).to_owned();
    let row = |row: &str| row.split("; ").map(one).collect::<Vec<_>>().join(", ");
    shown(&kept.split(" | ").map(row).collect::<Vec<_>>().join(" / "))
}

/// A day as it is said.
fn day(text: &str) -> String {
    let Ok(day) = text.parse::<crate::time::Day>() else {
        return shown(text);
    };
    let date = day.date();
    let month = usize::try_from(date.month())
        .ok()
        .and_then(|month| MONTHS.get(month.saturating_sub(1)));
    month.map_or_else(
        || shown(text),
        |month| format!("{} {month} {}", date.day(), date.year()),
    )
}

fn order_state(word: &str) -> String {
    let said = OrderState::SET.said(word);
    said.map_or_else(|| word.replace('_', " "), str::to_owned)
}
