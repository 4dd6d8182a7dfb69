//! Paint: how far it goes, how thick to lay it on wet, how much to buy, and the parts of a mixture.
//!
//! Never says that a paint may be sprayed at home.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, LENGTH, VOLUME, Want};
use crate::answer::{Line, ReckonRefusal, RefusalCode, Sheet, Standing, line, raw_cell};
use crate::quantity::{Area, Kind, Length, Ratio, Unit, Volume};

const METHODS: &[Choice] = &[
    Choice {
        name: "brush",
        words: "brush or roller: 15 % lost",
    },
    Choice {
        name: "spray",
        words: "spray gun: half lost",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "paint",
    title: "Paint",
    place: BenchPlace::FluidsAndPaint,
    about: "How far a paint goes, how thick it must be wet, how much to buy, and the parts of a mixture.",
    arguments: &[
        Argument::new(
            "solids",
            "VS",
            "the part of solids by volume, from the paint's sheet",
            Want::Number,
        )
        .within(0.05, 1.0)
        .such_as("50 %", "50 %"),
        Argument::new("dry", "DFT", "how thick it is to be when dry", LENGTH)
            .within(0.005, 2.0)
            .such_as("50 µm", "2 thou"),
        Argument::new("area", "A", "the area to paint", Want::Quantity(Kind::Area))
            .within(100.0, 1e9)
            .such_as("4 m²", "43 ft²"),
        Argument::new("coats", "", "coats", Want::Whole)
            .within(1.0, 12.0)
            .or("1")
            .such_as("2", "2"),
        Argument::new("method", "", "how it is laid on", Want::Choice(METHODS))
            .or("spray")
            .such_as("spray", "brush"),
        Argument::new(
            "parts",
            "",
            "the parts of the mixture, in order",
            Want::List(Kind::Number),
        )
        .within(0.01, 100.0)
        .such_as("4, 1, 1", "4, 1, 1"),
        Argument::new("mixed", "V", "how much is wanted, mixed", VOLUME)
            .within(1.0, 100_000.0)
            .such_as("1.2 L", "1 US gal"),
    ],
    dangers: &[Danger::Paint],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let unit = if sheet.inch() { Unit::GallonUs } else { Unit::Litre };
    let film = match (given.number("solids"), given.get::<Length>("dry")) {
        (Some(solids), Some(dry)) => {
            goes_far(given, sheet, solids, dry, unit)?;
            true
        }
        (None, None) => false,
        _ => {
            return Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "solids",
                "Solids and dry thickness are needed together.",
            ));
        }
    };
    let mixed = mixture(given, sheet, unit)?;
    if !film && !mixed {
        return Err(ReckonRefusal::of(
            RefusalCode::NothingToReckon,
            "",
            "Give the solids with the dry thickness, or the parts of a mixture with how much is wanted.",
        ));
    }
    sheet.condition(
        "sheet",
        "Solids, thickness, parts and times are those of the paint's own sheet.",
    );
    Ok(())
}

fn goes_far(
    given: &Given,
    sheet: &mut Sheet,
    solids: f64,
    dry: Length,
    unit: Unit,
) -> Result<(), ReckonRefusal> {
    // A litre of solids is a million mm³: over the thickness it gives mm², here m².
    let per_litre = 1e6 * solids / dry.in_mm() / 1e6;
    let fine = sheet.pick(Unit::Micrometre, Unit::Thou);
    if sheet.inch() {
        let square_feet = per_litre * Unit::SquareMetre.to_base(1.0) / Unit::SquareFoot.to_base(1.0)
            * unit.to_base(1.0)
            / 1_000.0;
        sheet.number(
            "coverage",
            "goes as far as, in ft² a US gal, with no loss",
            square_feet,
        );
    } else {
        sheet.number(
            "coverage",
            "goes as far as, in m² a litre, with no loss",
            per_litre,
        );
    }
    sheet.value_in(
        "wet",
        "lay it on wet at",
        Length::from_mm(dry.in_mm() / solids),
        fine,
    );
    if let Some(area) = given.get::<Area>("area") {
        let lost = if given.choice("method") == Some("brush") {
            0.15
        } else {
            0.5
        };
        let coats = given.need_number("coats")?;
        let litres = area.in_mm2() / 1e6 / per_litre * coats / (1.0 - lost);
        sheet.value_in(
            "buy",
            "paint needed, with what is lost",
            Volume::from_litre(litres),
            unit,
        );
        sheet.source(
            "loss",
            "brush or roller 10 to 15 % lost, spray about half",
            Standing::CommonPractice,
        );
    }
    sheet.formula(
        "coverage",
        "coverage",
        "m²/L = 10 · VS % / DFT in µm; wet = DFT / VS",
    );
    sheet.source(
        "coverage",
        "follows from the volume that stays: 1604 ft² a US gal at 1 mil",
        Standing::Derived,
    );
    sheet.source(
        "coverage_printed",
        "UFC 3-190-06 (MIL-HDBK-1110), 2.1.5 Spreading Rate: 1600 ft² a US gal at 1 mil; dry film thickness = wet film thickness × percent solids by volume / 100",
        Standing::Published,
    );
    sheet.condition(
        "thinner",
        "Thinner adds no solids: thinned by a tenth, it goes on a tenth thicker wet.",
    );
    Ok(())
}

fn mixture(given: &Given, sheet: &mut Sheet, unit: Unit) -> Result<bool, ReckonRefusal> {
    let parts: Vec<f64> = given
        .list::<Ratio>("parts")
        .into_iter()
        .map(Ratio::value)
        .collect();
    let mixed = match (parts.is_empty(), given.get::<Volume>("mixed")) {
        (true, None) => return Ok(false),
        (false, Some(mixed)) => mixed,
        (true, Some(_)) => {
            return Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "parts",
                "The parts of the mixture are needed.",
            ));
        }
        (false, None) => {
            return Err(ReckonRefusal::of(
                RefusalCode::Missing,
                "mixed",
                "How much is wanted, mixed, is needed.",
            ));
        }
    };
    let whole: f64 = parts.iter().sum();
    let lines: Vec<Line> = parts
        .iter()
        .enumerate()
        .map(|(at, part)| {
            let volume = mixed * (part / whole);
            let shown = crate::quantity::shown(unit.from_base(volume.in_base()), unit);
            let values = vec![
                raw_cell("part", "part", *part, Unit::One),
                raw_cell("volume", "volume", unit.from_base(volume.in_base()), unit),
            ];
            line(format!("part {}: {shown}", at + 1), "", values)
        })
        .collect();
    sheet.value_in(
        "first_part",
        "of the first part",
        mixed * (parts.first().copied().unwrap_or(0.0) / whole),
        unit,
    );
    sheet.table("mixture", "how much of each part", lines);
    sheet.formula("mixture", "mixture", "each part over the sum of the parts");
    sheet.source("mixture", "follows from the parts by volume", Standing::Derived);
    sheet.condition("by_volume", "Parts by volume, not by weight, unless the sheet says so; mix only what is used within the pot life.");
    Ok(true)
}
