//! What a remedy says: by how much, towards which value, and what to mind. Amounts come from the reading, its limit and
//! `reckon`; it never rounds but for showing.

use std::f64::consts::PI;

use reckon::uncertainty::{Side, Uncertainty};
use reckon::wear::{self, CLEAN_UP_MM};
use reckon::{Length, Typed, Unit, shown};

use super::one::{Makes, OnTheBench, ReadingPlace, Remedy};
use super::undersize::undersizes;
use crate::cautions::{self, Caution, FACE, FILE, GRIND, GRIT, PISTON, SHIMS, TORQUE};
use crate::entities::{Limit, LimitRef, Reading};
use crate::entity::Entity as _;
use crate::entry::Entry;
use crate::name::Kind;
use crate::said::lowered;
use crate::title::title;
use crate::verdict::{Judge, Judged, Measured, Points};
use crate::view::View;
use crate::words::{Condition, Mend, Property};

/// What the words of one out-of-limits reading are made from.
struct Case<'c> {
    view: &'c View,
    reading: &'c Entry,
    measured: &'c Measured,
    judged: &'c Judged<'c>,
    place: &'c ReadingPlace,
}

/// The remedy of a kind, with its alternatives, and another part where that makes sense.
pub(super) fn remedies(
    view: &View,
    reading: &Entry,
    measured: &Measured,
    judged: &Judged<'_>,
    place: &ReadingPlace,
    mend: &Mend,
) -> Vec<Remedy> {
    let case = Case {
        view,
        reading,
        measured,
        judged,
        place,
    };
    let mut all = match mend {
        Mend::File => case.file(),
        Mend::Hone => vec![case.hone()],
        Mend::Oversize if case.is_ring_gap() => case.next_ring().into_iter().collect(),
        Mend::Oversize => vec![case.oversize()],
        Mend::Shim => vec![case.shim()],
        Mend::Machine => vec![case.machine()],
        Mend::Adjust => vec![case.adjust()],
        Mend::Replace | Mend::Other(_) => Vec::new(),
    };
    // What is only set or filed to size needs no other part.
    let instead = !matches!(mend, Mend::Adjust | Mend::File | Mend::Hone);
    if all.is_empty() || instead {
        all.push(case.replace());
    }
    all
}

/// What decides a reading that is too close to call.
pub(super) fn measure_again(
    judge: &Judge<'_>,
    reading: &Entry,
    measured: &Measured,
    judged: &Judged<'_>,
    place: &ReadingPlace,
) -> Remedy {
    let own = judge
        .uncertainty(reading, measured)
        .map_or(0.0, Uncertainty::expanded);
    let difference = matches!(judged.bounds.judges, Property::OutOfRound | Property::Taper);
    let wanted = judged.judgement.decides.map(|decides| {
        if difference {
            decides / std::f64::consts::SQRT_2
        } else {
            decides
        }
    });
    let decider = wanted.and_then(|wanted| {
        let size = measured.size(&judged.bounds.judges);
        judge.deciding(wanted, measured.unit.kind(), size)
    });
    let with = match (decider, wanted) {
        (Some(decider), _) => format!("with '{}'", title(decider)),
        (None, Some(wanted)) if wanted < own || own <= 0.0 => {
            format!("with something good to ±{}", measured.difference(wanted))
        }
        (None, Some(_)) => "more often, and take the mean".to_owned(),
        (None, None) => "on another day, set anew: it stands on the limit itself".to_owned(),
    };
    let what = title(reading);
    Remedy {
        key: "measure".to_owned(),
        mends: None,
        words: format!("Measure again {with}"),
        makes: Makes::Job,
        title: format!("Measure again {with}: {what} ({})", place.name),
        cautions: Vec::new(),
        calculation: None,
    }
}

impl Case<'_> {
    fn low(&self) -> Option<f64> {
        self.judged.bounds.low.map(Typed::value)
    }

    fn high(&self) -> Option<f64> {
        self.judged.bounds.high.map(Typed::value)
    }

    fn middle(&self) -> Option<f64> {
        Some(f64::midpoint(self.low()?, self.high()?))
    }

    fn too_low(&self) -> bool {
        self.judged.judgement.near == Side::Low
    }

    fn by(&self, base: f64) -> String {
        self.measured.difference(base)
    }

    fn shown(&self, base: f64) -> String {
        self.measured.shown(base)
    }

    /// How far it is out.
    fn out_by(&self) -> String {
        self.by(self.judged.judgement.inside_by.abs())
    }

    /// It reads nought: what is lacking is at least what is reckoned, and how much more nobody knows.
    fn reads_nought(&self) -> bool {
        self.judged.value == 0.0
    }

    fn is_ring_gap(&self) -> bool {
        self.place.said.measures(&["gap"]) && self.place.said.mentions(&["ring"])
    }

    fn made(
        &self,
        key: &str,
        mend: Mend,
        makes: Makes,
        words: String,
        title: String,
        own: &[Caution],
    ) -> Remedy {
        let mut minds: Vec<&Caution> = own.iter().collect();
        minds.extend(cautions::of_measured(self.place.said.anywhere()));
        if self.measured.unit.kind() == reckon::Kind::Torque && !minds.contains(&&TORQUE) {
            minds.push(&TORQUE);
        }
        Remedy {
            key: key.to_owned(),
            mends: Some(mend),
            words,
            makes,
            title,
            cautions: minds.into_iter().map(Caution::note).collect(),
            calculation: None,
        }
    }

    /// The value as it was typed, else as shown, for an argument of the bench.
    fn typed(&self) -> String {
        let typed = self.typed_once();
        typed.map_or_else(|| self.shown(self.judged.value), |typed| typed.text().to_owned())
    }

    /// The value as it was typed, of what was measured once.
    fn typed_once(&self) -> Option<&Typed> {
        let reading = Reading::of(self.reading).filter(|reading| reading.again().is_none());
        reading.and_then(|reading| reading.entry().measure(Reading::value))
    }

    fn bench(&self, name: &str, inputs: &[(&str, Option<String>)]) -> Option<OnTheBench> {
        let inputs = inputs
            .iter()
            .filter_map(|(argument, value)| Some(((*argument).to_owned(), value.clone()?)))
            .collect();
        Some(OnTheBench {
            name: name.to_owned(),
            inputs,
        })
    }

    fn bound(&self, low: bool) -> Option<String> {
        let bounds = &self.judged.bounds;
        let bound = if low { &bounds.low } else { &bounds.high };
        bound.as_ref().map(|typed| typed.text().to_owned())
    }

    fn file(&self) -> Vec<Remedy> {
        let value = self.judged.value;
        let Some(low) = self.low().filter(|_| self.too_low()) else {
            return Vec::new();
        };
        let what = if self.is_ring_gap() {
            "the ring's ends"
        } else {
            "it"
        };
        let calculation = self.is_ring_gap().then(|| {
            self.bench(
                "ring_gap",
                &[
                    ("gap", Some(self.typed())),
                    ("low", self.bound(true)),
                    ("high", self.bound(false)),
                ],
            )
        });
        if self.is_ring_gap() && self.reads_nought() {
            let words = format!(
                "Still to be filed: the ring's ends butt. File until a leaf goes in, measure, and go on to {}",
                self.shown(low)
            );
            let title = format!(
                "File the ring's ends until a leaf goes in, then to {}: {}",
                self.shown(low),
                self.place.name
            );
            return vec![Remedy {
                calculation: calculation.flatten(),
                ..self.made("file", Mend::File, Makes::Job, words, title, &[FILE])
            }];
        }
        let one = |key: &str, to: f64, aim: &str| {
            let more = self.by(to - value);
            let words = format!(
                "File {more} more off {what}: {} to {}{aim}",
                self.shown(value),
                self.shown(to)
            );
            let title = format!(
                "File {more} more off {what}: {}, to {}",
                self.place.name,
                self.shown(to)
            );
            Remedy {
                calculation: calculation.clone().flatten(),
                ..self.made(key, Mend::File, Makes::Job, words, title, &[FILE])
            }
        };
        let mut all = vec![one("file", low, ", the least that is allowed")];
        all.extend(
            self.middle()
                .map(|middle| one("file_middle", middle, ", the middle of the limit")),
        );
        all
    }

    fn hone(&self) -> Remedy {
        let value = self.judged.value;
        let (words, title) = match (self.low(), self.too_low()) {
            (Some(low), true) => {
                let most = self
                    .high()
                    .map_or_else(String::new, |high| format!(", and not over {}", self.shown(high)));
                let more = self.by(low - value);
                (
                    format!(
                        "Hone {more} more out of it: {} to {}{most}",
                        self.shown(value),
                        self.shown(low)
                    ),
                    format!("Hone {} to {}: {more} more", self.place.name, self.shown(low)),
                )
            }
            _ => (
                format!("Hone it until it cleans up; it is out by {}", self.out_by()),
                format!("Hone {} until it cleans up", self.place.name),
            ),
        };
        let bore = (value > 20.0 && value < 250.0).then(|| self.typed());
        Remedy {
            calculation: self.bench("hone", &[("bore", bore)]),
            ..self.made("hone", Mend::Hone, Makes::Job, words, title, &[GRIT])
        }
    }

    /// A ring one size longer round closes its gap by π times the oversize; nothing where that would be too wide as well.
    fn next_ring(&self) -> Option<Remedy> {
        let inch = self.measured.unit.symbol() == Unit::Inch.symbol() || self.measured.unit == Unit::Thou;
        let step = if inch {
            Length::from_inch(0.010)
        } else {
            Length::from_mm(0.25)
        };
        let size = shown(self.measured.unit.from_base(step.in_mm()), self.measured.unit);
        let there = self.judged.value - PI * step.in_mm();
        if self.high().is_some_and(|high| there > high + 1e-9) {
            return None;
        }
        let wanted = self.low().unwrap_or(0.0);
        let then = if there < wanted {
            format!("file {} off it", self.by(wanted - there))
        } else {
            format!("its gap would be {}", self.by(there))
        };
        let words = format!(
            "Too wide by {}: a ring {size} oversize, and {then}",
            self.out_by()
        );
        let title = format!("Piston ring, {size} oversize: {}", self.place.name);
        Some(Remedy {
            calculation: self.bench(
                "ring_gap",
                &[
                    ("gap", Some(self.typed())),
                    ("low", self.bound(true)),
                    ("high", self.bound(false)),
                ],
            ),
            ..self.made(
                "oversize_ring",
                Mend::Oversize,
                Makes::Order,
                words,
                title,
                &[FILE],
            )
        })
    }

    /// The grid as it was typed, or the one value.
    fn grid_typed(&self) -> String {
        match &self.measured.points {
            Points::Grid(grid) => {
                let row = |row: &Vec<Typed>| {
                    let texts: Vec<&str> = row.iter().map(Typed::text).collect();
                    texts.join(", ")
                };
                let rows: Vec<String> = grid.values.iter().map(row).collect();
                rows.join("; ")
            }
            _ => self.typed(),
        }
    }

    /// The bore as it was made: the low end of a limit that judges its size, a new part's before a worn one's.
    fn nominal(&self) -> Option<&Typed> {
        let ids = crate::verdict::limits_of(self.reading);
        let limits = ids.iter().filter_map(|id| self.view.one::<Limit>(id));
        let of_size = |limit: &LimitRef<'_>| {
            limit.stands() && !matches!(limit.judges(), Some(Property::OutOfRound | Property::Taper))
        };
        let mut sizes: Vec<LimitRef<'_>> = limits.filter(of_size).collect();
        sizes.sort_by_key(|limit| limit.condition() != Some(Condition::New));
        let mut low = sizes.iter().filter_map(|limit| limit.entry().measure(Limit::low));
        low.next()
    }

    /// The readings of a bore, rows by height; nothing where they are no lengths. What stands for several of one point is their mean as
    /// it is shown, so that a remedy says what the bench says of what it is handed.
    fn diameters(&self) -> Option<Vec<Vec<Length>>> {
        match &self.measured.points {
            Points::Grid(grid) => {
                let row = |row: &Vec<Typed>| row.iter().map(Typed::length).collect();
                grid.values.iter().map(row).collect()
            }
            _ => {
                let one = match self.typed_once() {
                    Some(typed) => typed.length(),
                    None => reckon::parse_any(&self.shown(self.judged.value)).ok()?.length(),
                };
                Some(vec![vec![one?]])
            }
        }
    }

    /// What it takes to bore it true again, from the bore as it was made; nothing where none follows.
    fn rebore(&self, made: Length, inch: bool) -> Option<wear::Rebore> {
        let bore = wear::Bore::of(&self.diameters()?).ok()?;
        let clean_up = Length::from_mm(CLEAN_UP_MM);
        let sizes = wear::usual_oversizes(inch);
        wear::rebore(&bore, made, Length::default(), clean_up, &sizes).ok()?
    }

    /// The smallest oversize that cleans up, as `reckon` has it.
    fn oversize(&self) -> Remedy {
        let inch = self.measured.unit == Unit::Inch || self.measured.unit == Unit::Thou;
        let nominal = self.nominal();
        let rebore = nominal.and_then(|made| Some((made.length()?, self.rebore(made.length()?, inch)?)));
        let shown = |length: Length| {
            let unit = reckon::Kind::Length.preferred(inch);
            shown(unit.from_base(length.in_base()), unit)
        };
        let clean = if inch { "0.004 in" } else { "0.10 mm" };
        let (words, title) = match rebore.map(|(made, rebore)| (made, rebore.oversize)) {
            Some((made, Some(size))) => {
                let (size, to) = (shown(size), shown(made + size));
                (
                    format!(
                        "Bore and hone {size} oversize, to {to}: the smallest that cleans up, with {clean} to clean up by"
                    ),
                    format!("Rebore {} to {size} oversize ({to})", self.place.name),
                )
            }
            Some((_, None)) => (
                "No usual oversize cleans it up: a liner back to standard, or a larger piston".to_owned(),
                format!("Line {} back to standard", self.place.name),
            ),
            None => (
                format!(
                    "Machine to the next oversize that cleans up; it is out by {}. The bench reckons which, from the size it was made to",
                    self.out_by()
                ),
                format!("Machine {} to the next oversize", self.place.name),
            ),
        };
        let nominal = nominal.map(|made| made.text().to_owned());
        Remedy {
            calculation: self.bench("wear", &[("grid", Some(self.grid_typed())), ("nominal", nominal)]),
            ..self.made(
                "oversize",
                Mend::Oversize,
                Makes::Job,
                words,
                title,
                &[PISTON, GRIT],
            )
        }
    }

    /// A pack takes play up: more of it, less play.
    fn shim(&self) -> Remedy {
        let value = self.judged.value;
        let middle = self.middle();
        let bound = if self.too_low() { self.low() } else { self.high() }.unwrap_or(value);
        let (least, to_middle) = (
            self.by((bound - value).abs()),
            middle.map(|middle| self.by((middle - value).abs())),
        );
        let to_middle_words = to_middle.as_ref().map_or_else(String::new, |amount| {
            format!(", {amount} for the middle of the limit")
        });
        let wanted = to_middle.unwrap_or_else(|| least.clone());
        let (words, title, calculation) = if self.too_low() && self.reads_nought() {
            (
                format!(
                    "It reads nought, so more than {least} of shims is too much, by how much is not known: put a much thinner one in, and measure again"
                ),
                format!(
                    "Put a much thinner shim in and measure again: {}",
                    self.place.name
                ),
                None,
            )
        } else if self.too_low() {
            (
                format!(
                    "Take at least {least} of shims out{to_middle_words}, or thinner ones in their place"
                ),
                format!("Take {wanted} of shims out: {}", self.place.name),
                None,
            )
        } else {
            (
                format!(
                    "Put at least {least} of shims more in{to_middle_words}, or thicker ones in their place"
                ),
                format!("Shim {} by {wanted} more", self.place.name),
                self.bench(
                    "shim_pack",
                    &[
                        ("measured", Some(self.typed())),
                        ("low", self.bound(true)),
                        ("high", self.bound(false)),
                    ],
                ),
            )
        };
        Remedy {
            calculation,
            ..self.made("shim", Mend::Shim, Makes::Job, words, title, &[SHIMS])
        }
    }

    fn machine(&self) -> Remedy {
        let journal = self.place.said.measures(&["journal", "crankpin"]);
        if !journal {
            let words = format!(
                "Skim it true: it is out by {}, so at least that comes off",
                self.out_by()
            );
            let title = format!("Have {} skimmed: out by {}", self.place.name, self.out_by());
            return self.made("machine", Mend::Machine, Makes::Job, words, title, &[FACE]);
        }
        let inch = self.measured.unit == Unit::Inch || self.measured.unit == Unit::Thou;
        let size = self.low().filter(|_| self.too_low()).and_then(|low| {
            let needed = low - self.judged.value + CLEAN_UP_MM;
            undersizes(inch)
                .into_iter()
                .find(|(size, _)| *size >= needed - 1e-9)
        });
        let (words, title) = match size {
            Some((_, named)) => (
                format!(
                    "Grind to {named} undersize: the smallest that cleans up, worn by {} below the limit",
                    self.out_by()
                ),
                format!("Grind {} to {named} undersize", self.place.name),
            ),
            None => (
                format!(
                    "Grind to the next undersize that cleans up; it is out by {}",
                    self.out_by()
                ),
                format!("Grind {} to the next undersize that cleans up", self.place.name),
            ),
        };
        self.made("machine", Mend::Machine, Makes::Job, words, title, &[GRIND, GRIT])
    }

    fn adjust(&self) -> Remedy {
        let bounds = &self.judged.bounds;
        let wanted = match (&bounds.low, &bounds.high) {
            (Some(low), Some(high)) if low.value() < high.value() => {
                format!("between {} and {}", low.text(), high.text())
            }
            (Some(one), _) | (None, Some(one)) => format!("to {}", one.text()),
            (None, None) => "to the limit".to_owned(),
        };
        let way = if self.too_low() { "more" } else { "less" };
        let words = format!(
            "Set it {wanted}: {} {way}, from {}",
            self.out_by(),
            self.shown(self.judged.value)
        );
        let title = format!(
            "Set {} of {} {wanted}",
            lowered(&title(self.reading)),
            self.place.name
        );
        self.made("adjust", Mend::Adjust, Makes::Job, words, title, &[])
    }

    /// Another part, where it is a part that was measured. An assembly is nothing that one buys: what of it is out is to be found first,
    /// and that is work.
    fn replace(&self) -> Remedy {
        let side = if self.too_low() { "below" } else { "above" };
        let about = super::one::about(self.reading);
        if about.is_some_and(|about| about.kind == Kind::Assembly) && !self.is_ring_gap() {
            let words = format!(
                "Find which part of it that comes from, and put another in its place: {} {side} the limit",
                self.out_by()
            );
            let title = format!(
                "Find what of {} puts {} {} {side} its limit, and renew that",
                self.place.name,
                lowered(&title(self.reading)),
                self.out_by()
            );
            return self.made("replace", Mend::Replace, Makes::Job, words, title, &[]);
        }
        let words = format!("Another in its place: {} {side} the limit", self.out_by());
        let limit = Limit::of(self.judged.bounds.entry);
        let title = match (self.is_ring_gap(), limit.and_then(|limit| limit.condition())) {
            (true, _) => format!("Piston ring: {}", self.place.name),
            (false, Some(Condition::Wear)) => {
                format!("New {}, worn out", self.place.name)
            }
            _ => format!("New {}", self.place.name),
        };
        self.made("replace", Mend::Replace, Makes::Order, words, title, &[])
    }
}
