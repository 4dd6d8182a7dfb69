//! Whether one part goes into another with heat, cold or both: each part grows and shrinks by its own metal and its own
//! temperature, and how warm the outer one must be so that it goes on.
//!
//! Never lets a bearing, a casting or a hardened part get hotter than it bears.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing, VerdictWord};
use crate::quantity::{Kind, Length, Temperature, Unit, shown};

const MATERIALS: &[Choice] = &[
    choice("steel", "steel, 11.5 · 10⁻⁶ a kelvin"),
    choice("iron", "grey cast iron, 11.4 · 10⁻⁶ a kelvin"),
    choice("aluminium", "cast aluminium 356, 21.5 · 10⁻⁶ a kelvin"),
    choice("magnesium", "magnesium AZ91, 26.0 · 10⁻⁶ a kelvin"),
    choice("bronze", "bronze, 18.0 · 10⁻⁶ a kelvin"),
];

const PARTS: &[Choice] = &[
    choice("open_bearing", "an open bearing: 120 °C at most"),
    choice("sealed_bearing", "a sealed or greased bearing: 80 °C at most"),
    choice("casting", "a casting of aluminium or magnesium: 150 °C at most"),
    choice(
        "tempered",
        "a hardened or tempered part: what it was tempered at; 150 °C where that is not known",
    ),
    choice("plated", "a plated part: 120 °C at most"),
    choice("other", "something else: its own limit, to be found out"),
];

const fn choice(name: &'static str, words: &'static str) -> Choice {
    Choice { name, words }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "heat_fit",
    title: "Heat to fit",
    place: BenchPlace::HeatAndFits,
    about: "How much two parts grow and shrink, each by its own metal, and how hot one must be so that the other drops in.",
    arguments: &[
        Argument::new("diameter", "D", "the diameter of the fit", LENGTH)
            .required()
            .within(2.0, 500.0)
            .such_as("30 mm", "1.181 in"),
        Argument::new("material", "", "what is heated", Want::Choice(MATERIALS))
            .required()
            .such_as("steel", "aluminium"),
        Argument::new(
            "interference",
            "",
            "how much the inner part is larger than the bore, both at 20 °C",
            LENGTH,
        )
        .within(0.0, 1.0)
        .such_as("0.018 mm", "0.0007 in"),
        Argument::new("clearance", "", "the room wanted for assembling", LENGTH)
            .within(0.0, 1.0)
            .or("0.02 mm")
            .such_as("0.02 mm", "0.0008 in"),
        Argument::new("hot", "", "how hot it is made", Want::Quantity(Kind::Temperature))
            .within(-100.0, 400.0)
            .usually(-80.0, 200.0)
            .such_as("100 °C", "212 °F"),
        Argument::new(
            "room",
            "",
            "the temperature of the other part",
            Want::Quantity(Kind::Temperature),
        )
        .within(-100.0, 60.0)
        .or("20 °C")
        .such_as("20 °C", "68 °F"),
        Argument::new(
            "other_material",
            "",
            "what the other part is made of",
            Want::Choice(MATERIALS),
        )
        .or("steel")
        .such_as("steel", "bronze"),
        Argument::new("part", "", "what is heated, for its limit", Want::Choice(PARTS))
            .or("other")
            .such_as("open_bearing", "other"),
    ],
    dangers: &[Danger::Heat, Danger::Springs],
    contradictions: &[],
    run,
};

/// Colder than any household freezer, in °C: cooled with dry ice or liquid nitrogen. Common practice, no source.
const DEEP: f64 = -25.0;
const DEEP_COLD: (&str, &str) = (
    "deep_cold",
    "Dry ice and liquid nitrogen burn the skin at a touch, drive the air out of a closed room and burst a closed vessel: insulated gloves, \
     goggles and long sleeves, tongs, in the open air or where it is well aired, never in a car or a pit. So cold, steel and iron turn \
     brittle: no hammer. Local law and licensed practice come first.",
);

/// Lengths are stated at this, in °C (ISO 1).
const STATED_AT: f64 = 20.0;

/// What a metal is, its expansion a kelvin, and that as it is shown.
fn metal(name: Option<&'static str>) -> (&'static str, f64, &'static str) {
    match name {
        Some("iron") => ("grey cast iron", 11.4e-6, "11.4"),
        Some("aluminium") => ("cast aluminium", 21.5e-6, "21.5"),
        Some("magnesium") => ("magnesium", 26.0e-6, "26.0"),
        Some("bronze") => ("bronze", 18.0e-6, "18.0"),
        _ => ("steel", 11.5e-6, "11.5"),
    }
}

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let diameter: Length = given.need("diameter")?;
    let (outer, expands, outer_shown) = metal(given.choice("material"));
    let (inner, inner_expands, inner_shown) = metal(given.choice("other_material"));
    let room = given.need::<Temperature>("room")?.in_c();
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let hot = given.get::<Temperature>("hot").map(Temperature::in_c);
    let interference = given.get::<Length>("interference");
    // Cooled, the inner part shrinks by its own metal, not by that of the part it goes into.
    let inner_grows = diameter * (inner_expands * (room - STATED_AT));
    if room < DEEP || hot.is_some_and(|hot| hot < DEEP) {
        sheet.caution(DEEP_COLD);
    }
    let mut hottest = hot;
    if let Some(interference) = interference {
        let clearance: Length = given.need("clearance")?;
        let needed = STATED_AT + (interference + clearance + inner_grows) / (diameter * expands);
        if let Some(hot) = hot {
            let grows = diameter * (expands * (hot - STATED_AT));
            enough(sheet, grows - inner_grows - interference, clearance);
        }
        if needed > 400.0 {
            return Err(ReckonRefusal::of(
                RefusalCode::Impossible,
                "interference",
                format!(
                    "It would take {:.0} K: heat alone does not do it. Cool the other part too, or press it.",
                    needed - room
                ),
            ));
        }
        if needed > STATED_AT || hot.is_some() {
            sheet.value("heat_to", "heat to", Temperature::from_c(needed));
        } else if hot.is_none() {
            sheet.verdict(
                "fit",
                VerdictWord::InLimits,
                "No heat is needed: with the other part so cold it goes in as it is.".to_owned(),
            );
        }
        sheet.raw(
            "warmer",
            "warmer than the other part by",
            needed - room,
            Unit::Kelvin,
        );
        sheet.formula(
            "warmer",
            "how hot",
            "t = 20 °C + (interference + clearance + αi · D · (ti − 20 °C)) / (αo · D)",
        );
        // What it is told to be heated to is held against the ceiling as well as what it was made.
        hottest = Some(hottest.map_or(needed, |hot| hot.max(needed)));
    }
    if let Some(hot) = hot {
        let grows = diameter * (expands * (hot - STATED_AT));
        sheet.value_in("grows", "the diameter grows by (minus: shrinks)", grows, fine);
        sheet.formula("grows", "expansion", "ΔD = α · D · ΔT, each part from 20 °C");
    }
    if (room - STATED_AT).abs() > 1e-9 {
        sheet.value_in(
            "other_grows",
            "the other part grows by (minus: shrinks)",
            inner_grows,
            fine,
        );
    }
    let Some(hottest) = hottest else {
        return Err(ReckonRefusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Give the interference, or how hot it is made.",
        ));
    };
    ceiling(given, sheet, hottest);
    rests_on(sheet, [(outer, outer_shown), (inner, inner_shown)]);
    Ok(())
}

/// What the answer rests on, and what it holds for.
fn rests_on(sheet: &mut Sheet, [(outer, outer_shown), (inner, inner_shown)]: [(&str, &str); 2]) {
    sheet.source(
        "expansion",
        "handbook coefficients of expansion at about room temperature",
        Standing::FromMemory,
    );
    sheet.condition(
        "expansion",
        format!(
            "Outside {outer}, α = {outer_shown} · 10⁻⁶ a kelvin; inside {inner}, α = {inner_shown} · 10⁻⁶; alloys differ by a few per cent."
        ),
    );
    sheet.condition(
        "at_20_c",
        "The interference is that of both parts at 20 °C (ISO 1).",
    );
    sheet.condition(
        "quick",
        "It cools at once when the cold part touches it: all is laid ready, and it goes home in one move.",
    );
}

/// Whether the room there is then is what was wanted; a shortfall is told.
fn enough(sheet: &mut Sheet, play: Length, wanted: Length) {
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let told = |length: Length| shown(fine.from_base(length.in_mm()), fine);
    let short = wanted - play;
    let (word, words) = if short.in_mm() > 1e-9 {
        let how = if play.in_mm() < 0.0 {
            format!("still {} too tight to go in", told(Length::default() - play))
        } else {
            format!("{} of room, where {} is wanted", told(play), told(wanted))
        };
        (
            VerdictWord::BelowLimits,
            format!("Not enough: {} short; {how}.", told(short)),
        )
    } else {
        (
            VerdictWord::InLimits,
            format!(
                "Enough: {} of room, where {} is wanted.",
                told(play),
                told(wanted)
            ),
        )
    };
    sheet.verdict("fit", word, words);
    sheet.value_in(
        "play",
        "room between the parts then (minus: too tight)",
        play,
        fine,
    );
}

/// What the heated part bears, and whether it gets hotter.
fn ceiling(given: &Given, sheet: &mut Sheet, hottest: f64) {
    let cast = matches!(given.choice("material"), Some("aluminium" | "magnesium"));
    let (what, most) = match given.choice("part") {
        Some("open_bearing") => ("an open bearing", 120.0),
        Some("sealed_bearing") => ("a sealed bearing", 80.0),
        Some("tempered") => ("a hardened or tempered part", 150.0),
        Some("plated") => ("a plated part", 120.0),
        Some("casting") => ("a casting", 150.0),
        _ if cast => ("a casting of aluminium or magnesium", 150.0),
        _ => {
            sheet.condition(
                "ceiling",
                "Castings, hardened, tempered and plated parts, seals and varnish each bear only so much: say what it is, or find its limit out.",
            );
            if hottest > 150.0 + 1e-9 {
                sheet.warning(
                    "ceiling",
                    "So hot, a hardened part goes soft, a plated one loses its plating, and a casting its strength: find out first what this part bears.",
                );
            }
            return;
        }
    };
    sheet.value("most", format!("{what} bears at most"), Temperature::from_c(most));
    if hottest > most + 1e-9 {
        sheet.warning(
            "too_hot",
            format!("That is hotter than {what} bears: cool the part that goes in, or press it."),
        );
        sheet.caution(DEEP_COLD);
    }
    if what.ends_with("bearing") {
        sheet.source(
            "bearing",
            "bearing mounting guides: open bearings up to 120 °C, sealed up to 80 °C, never a flame",
            Standing::Published,
        );
    } else {
        sheet.source(
            "ceiling",
            "150 °C for light castings and for hardened parts whose tempering is not known, 120 °C for plated ones",
            Standing::CommonPractice,
        );
    }
}
