//! A point said as a talk: what is asked, who did what, what each choice comes to, and what is left to do at the bench when it is
//! chosen. Names stand whole and with their place, values as a keeper would say them. It finds nothing and writes nothing, and
//! never says which side is right.

use super::point::{Point, Side};
use super::rule::Rule;
use super::together::Question;
use crate::entities::{Assembly, Container, HoldPoint, Keeper, Order, Part, Reading};
use crate::entry::{Entry, STRUCK, Scalar, Stamp};
use crate::field::Shape;
use crate::home;
use crate::lies::Lies;
use crate::name::{Id, Kind, Ref};
use crate::said::{self, typed};
use crate::shown::shown;
use crate::title::whole;
use crate::verdict::limits_of;
use crate::view::View;
use crate::words::{AssemblyState, Differs, HoldState, OrderState, Words as _};

/// Longest value that a question says; a longer one stands with its side alone.
pub(super) const MOST_SAID: usize = 60;

/// Whom the talk is told to, and what there is to tell of.
#[derive(Clone, Copy, Debug)]
pub struct Talk<'v> {
    /// The entries.
    pub view: &'v View,
    /// The keeper who looks, who is 'you'.
    pub me: Option<&'v Id>,
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
                Some(Kind::Part) if point.rule == Rule::ClosedOverStored => "while a part of it was not in",
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
        let def = said::def_of(name.kind, field);
        let label = said::label(name.kind, field);
        let long = values.iter().any(|value| value.chars().count() > MOST_SAID);
        if long {
            return format!("{thing}: ‘{label}’ was said {}", many_ways(values.len()));
        }
        let shape = def.map(|def| def.shape);
        let values: Vec<String> = match shape {
            Some(Shape::Line | Shape::Prose) => values.iter().map(|value| format!("‘{value}’")).collect(),
            _ => values,
        };
        let (values, label) = (values.join(" or "), lower(&label));
        match shape {
            Some(Shape::Word(_)) => format!("{thing}: {values}?"),
            Some(Shape::Measure) => format!("{thing}: {label} {values}?"),
            _ => format!("{thing}: {label}, {values}?"),
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
            return self.did_at_closing(point, side, &who, had);
        }
        match point.rule {
            Rule::SameCode => {
                let at = point.at(&side.about);
                format!(
                    "{who} wrote {} on {}.",
                    self.line(point, at, Container::code),
                    self.in_bag(point, at)
                )
            }
            Rule::TwoOrders => {
                let at = point.at(&side.about);
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
            Rule::EndedApart | Rule::MetApart | Rule::TightenedApart | Rule::SaidApart => {
                self.did_apart(point.rule, side, &who, had)
            }
            Rule::StruckWorkedOn | Rule::InEachOther => {
                format!(
                    "{who}, {thing}: {}.",
                    self.value(side.about.kind, "", side.value.as_ref())
                )
            }
            _ => format!("{who}: {}", side.title),
        }
    }

    /// What one side of a closing did: closed it, or left something in it undone.
    fn did_at_closing(&self, point: &Point, side: &Side, who: &str, had: &str) -> String {
        let thing = self.full(&side.about);
        let entry = self.view.find(&side.about);
        if side.key == "side_1" {
            return format!("{who} closed {thing}.");
        }
        // Whoever moved it there, or took back what ended it, has not found or asked for it.
        let made = entry.is_some_and(|entry| entry.made.change == side.stamp.change);
        if !made && side.about.kind != Kind::Part && side.about.kind != Kind::Assembly {
            let own = |entry: &Entry| {
                let mut all = entry.fields.values().flat_map(|held| held.claims());
                all.any(|claim| claim.stamp.change == side.stamp.change)
            };
            // A reading is judged by its limit and its instrument, which are others' entries.
            if let Some(entry) = entry.filter(|entry| !own(entry)) {
                let what = self.judged_by(entry, own);
                let what = what.unwrap_or_else(|| "something".to_owned());
                return format!("{who} {had}changed {what}, which this hangs on: {thing}.");
            }
            let asked = side.value.as_ref().and_then(Scalar::line);
            if side.about.kind == Kind::HoldPoint && asked == Some(HoldState::Open.word()) {
                return format!("{who} {had}brought it about that this is asked anew: {thing}.");
            }
            let kind = side.about.kind.word().replace('_', " ");
            let far = side.value.as_ref().and_then(Scalar::line).unwrap_or_default();
            let far = match far.is_empty() {
                true => String::new(),
                false => format!(" ({})", far.replace('_', " ")),
            };
            return format!("{who} {had}changed this {kind}: {thing}{far}.");
        }
        match side.about.kind {
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
                self.took_elsewhere(entry, &thing, who, had)
            }
            Kind::Part
                if matches!(
                    side.value.as_ref().and_then(Scalar::line).map(Lies::of),
                    Some(Lies::Trial(_))
                ) =>
            {
                format!("{who} {had}put {thing} on for trial.")
            }
            Kind::Part => match side.value.as_ref().and_then(Scalar::line).map(Differs::from_word) {
                Some(Differs::StandIn) => format!("{who} {had}put {thing} in as a stand-in."),
                Some(Differs::Aid) => format!("{who} {had}put {thing} in as an aid that comes out again."),
                _ => format!("{who} {had}decided to replace {thing}."),
            },
            _ => {
                let state = side.value.as_ref().and_then(Scalar::line).unwrap_or("open");
                format!("{who} {had}left {thing} {}.", state.replace('_', " "))
            }
        }
    }

    /// Where somebody took a part that was then closed in.
    fn took_elsewhere(&self, part: Option<&Entry>, thing: &str, who: &str, had: &str) -> String {
        match part.and_then(|part| part.line(Part::container)).map(Lies::of) {
            Some(Lies::Off(_)) => format!("{who} {had}left {thing} off the car."),
            Some(Lies::Away(_)) => format!("{who} {had}sent {thing} away."),
            Some(Lies::Scrapped(_)) => format!("{who} {had}scrapped {thing}."),
            Some(Lies::Lost(_)) => format!("{who} {had}looked for {thing} in vain."),
            _ => {
                let into = self.link(part, Part::container, Kind::Container);
                let into = into.unwrap_or_else(|| "a container".to_owned());
                format!("{who} {had}put {thing} into {into}.")
            }
        }
    }

    /// What one side did to something that the other wrote on, met, tightened or said apart from it.
    fn did_apart(&self, rule: Rule, side: &Side, who: &str, had: &str) -> String {
        let thing = self.full(&side.about);
        match rule {
            Rule::EndedApart if side.key == "side_1" => format!(
                "{who} ended it: {}.",
                self.value(Kind::Finding, "", side.value.as_ref())
            ),
            Rule::EndedApart if side.about.kind == Kind::Try => format!(
                "{who} tried, and it did not work: {}.",
                self.value(Kind::Try, "", side.value.as_ref())
            ),
            Rule::EndedApart => format!(
                "{who} wrote on it: {}.",
                self.value(Kind::Finding, "", side.value.as_ref())
            ),
            Rule::MetApart if side.key == "side_1" => {
                let how = self.value(Kind::HoldPoint, "", side.value.as_ref());
                format!("{who} said that it was met: {how}.")
            }
            Rule::MetApart if side.about.kind == Kind::Assembly => {
                let took = if had.is_empty() { "took" } else { "had taken" };
                let state = side.value.as_ref().and_then(Scalar::line);
                match state.map(AssemblyState::from_word) {
                    Some(AssemblyState::Apart) => format!("{who} {took} {thing} apart."),
                    Some(AssemblyState::Off) => format!("{who} {took} {thing} off."),
                    _ => format!("{who} {had}opened {thing}."),
                }
            }
            Rule::TightenedApart if side.key == "side_1" => {
                let bolts = self.value(Kind::TighteningRun, "", side.value.as_ref());
                format!("{who} {had}tightened {thing}: {}.", lower(&bolts))
            }
            Rule::TightenedApart => {
                let took = if had.is_empty() { "took" } else { "had taken" };
                format!("{who} {took} {thing} off or apart.")
            }
            Rule::SaidApart if side.about.kind == Kind::Assembly => {
                let said = self.value(Kind::Assembly, "", side.value.as_ref());
                format!("{who} {had}left it {said}.")
            }
            Rule::SaidApart => {
                let said = self.value(side.about.kind, "", side.value.as_ref());
                format!("{who} said: {said}")
            }
            _ => format!("{who} changed what that rests on: {thing}."),
        }
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
            _ => home::assembly_of(self.view, name),
        };
        let home = home.and_then(|id: Id| self.view.get(Kind::Assembly, &id));
        home.map_or(called.clone(), |home| {
            format!("{called} (in {})", self.called(home))
        })
    }

    fn called(&self, entry: &Entry) -> String {
        whole(entry)
    }

    /// A value as a keeper says it.
    #[must_use]
    pub fn value(&self, kind: Kind, field: &str, value: Option<&Scalar>) -> String {
        // Two readings of one point are called alike: which of them met it is told by what was measured.
        let by_reading = (kind, field) == (Kind::HoldPoint, HoldPoint::met_by);
        let named = |name: &Ref| match self
            .view
            .find(name)
            .filter(|entry| by_reading && entry.kind == Kind::Reading)
        {
            Some(reading) => match reading.line(Reading::value) {
                Some(value) => format!("{} of {}", typed(value), self.full(name)),
                None => self.full(name),
            },
            None => self.full(name),
        };
        let words = said::value(kind, field, value, &named);
        // In a sentence a text of several lines goes on in one.
        shown(&words)
    }

    /// Which of what a reading is judged by somebody wrote on, in words.
    fn judged_by(&self, reading: &Entry, wrote: impl Fn(&Entry) -> bool) -> Option<String> {
        let instrument = reading.line(Reading::instrument).and_then(|id| id.parse().ok());
        let instrument = instrument.map(|id| Ref::new(Kind::Instrument, id));
        let limits = limits_of(reading).into_iter();
        let mut all = limits.map(|id| Ref::new(Kind::Limit, id)).chain(instrument);
        let found = all.find(|name| self.view.find(name).is_some_and(&wrote))?;
        Some(match found.kind {
            Kind::Instrument => format!("the instrument {}", self.full(&found)),
            _ => format!("the limit {}", self.full(&found)),
        })
    }

    /// A choice that says nothing of itself.
    #[must_use]
    pub fn chosen(&self, key: &str) -> String {
        key.replace('_', " ")
    }

    /// What a field is called, for what it is of.
    #[must_use]
    pub fn label(kind: Kind, field: &str) -> String {
        said::label(kind, field)
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

    pub(super) fn name_or_you(&self, stamp: &Stamp) -> String {
        if self.is_me(stamp) {
            "you".to_owned()
        } else {
            self.name(stamp)
        }
    }

    pub(super) fn is_me(&self, stamp: &Stamp) -> bool {
        let keeper = stamp
            .device
            .as_ref()
            .and_then(|device| self.view.keeper_of(device));
        keeper.is_some() && keeper.as_ref() == self.me
    }

    pub(super) fn name(&self, stamp: &Stamp) -> String {
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

    pub(super) fn line(&self, point: &Point, at: usize, field: &str) -> String {
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
    pub(super) fn in_bag(&self, point: &Point, at: usize) -> String {
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

    pub(super) fn from(&self, point: &Point, at: usize) -> Option<String> {
        let from = self.entry(point, at)?.line(Order::from)?;
        (!from.is_empty()).then(|| from.to_owned())
    }

    pub(super) fn order(&self, point: &Point, at: usize) -> String {
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

fn order_state(word: &str) -> String {
    let said = OrderState::SET.said(word);
    said.map_or_else(|| word.replace('_', " "), str::to_owned)
}
