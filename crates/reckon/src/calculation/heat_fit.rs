//! How much a part grows when it is heated, and how warm it must be to go on.
//!
//! Never lets a bearing get hotter than it bears.

use super::{Argument, Calculation, Choice, Danger, Given, LENGTH, Place, Want};
use crate::answer::{Refusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Kind, Length, Temperature, Unit};

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
    choice("other", "something else: its own limit, to be found out"),
];

const fn choice(name: &'static str, words: &'static str) -> Choice {
    Choice { name, words }
}

pub(super) const CALCULATION: Calculation = Calculation {
    name: "heat_fit",
    title: "Heat to fit",
    place: Place::HeatAndFits,
    about: "How much a bore grows with heat, and how hot it must be so that a part with interference drops in.",
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
            "how much the inner part is larger than the bore, cold",
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
        Argument::new("part", "", "what is heated, for its limit", Want::Choice(PARTS))
            .or("other")
            .such_as("open_bearing", "other"),
    ],
    dangers: &[Danger::Heat, Danger::Springs],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), Refusal> {
    let diameter: Length = given.need("diameter")?;
    let (expansion, shown) = match given.choice("material") {
        Some("iron") => (11.4e-6, "11.4"),
        Some("aluminium") => (21.5e-6, "21.5"),
        Some("magnesium") => (26.0e-6, "26.0"),
        Some("bronze") => (18.0e-6, "18.0"),
        _ => (11.5e-6, "11.5"),
    };
    let room = given.need::<Temperature>("room")?.in_c();
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    let hot = given.get::<Temperature>("hot").map(Temperature::in_c);
    let interference = given.get::<Length>("interference");
    let mut hottest = hot;
    if let Some(interference) = interference {
        let clearance: Length = given.need("clearance")?;
        let needed = (interference + clearance) / (diameter * expansion);
        if room + needed > 400.0 {
            return Err(Refusal::of(
                RefusalCode::Impossible,
                "interference",
                format!(
                    "It would take {needed:.0} K: heat alone does not do it. Cool the other part too, or press it."
                ),
            ));
        }
        sheet.raw("warmer", "warmer than the other part by", needed, Unit::Kelvin);
        sheet.value("heat_to", "heat to", Temperature::from_c(room + needed));
        sheet.formula(
            "warmer",
            "difference of temperatures",
            "ΔT = (interference + clearance) / (α · D)",
        );
        hottest = Some(hottest.unwrap_or(f64::MIN).max(room + needed));
    }
    if let Some(hot) = hot {
        let grows = diameter * (expansion * (hot - room));
        sheet.value_in("grows", "the diameter grows by (minus: shrinks)", grows, fine);
        sheet.formula("grows", "expansion", "ΔD = α · D · ΔT");
    }
    let Some(hottest) = hottest else {
        return Err(Refusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Give the interference, or how hot it is made.",
        ));
    };
    let most = match given.choice("part") {
        Some("open_bearing") => Some(120.0),
        Some("sealed_bearing") => Some(80.0),
        _ => None,
    };
    if let Some(most) = most {
        sheet.value("most", "that bearing bears at most", Temperature::from_c(most));
        if hottest > most + 1e-9 {
            sheet.warning(
                "too_hot",
                "That is hotter than the bearing bears: cool the shaft, or press it.",
            );
        }
        sheet.source(
            "bearing",
            "bearing mounting guides: open bearings up to 120 °C, sealed up to 80 °C, never a flame",
            Standing::Published,
        );
    }
    sheet.source(
        "expansion",
        "handbook coefficients of expansion at about room temperature",
        Standing::FromMemory,
    );
    sheet.condition(
        "expansion",
        format!("α = {shown} · 10⁻⁶ a kelvin; alloys differ by a few per cent."),
    );
    sheet.condition(
        "quick",
        "It cools at once when the cold part touches it: all is laid ready, and it goes home in one move.",
    );
    Ok(())
}
