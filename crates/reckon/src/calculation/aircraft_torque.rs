//! The torque table of FAA AC 43.13-1B for aircraft nuts: a look-up, for comparison, in the table's own words.
//!
//! Never carried over to other bolts: the car's own manual gives the car's torques.

use super::{Argument, BenchPlace, Calculation, Choice, Danger, Given, Want};
use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::quantity::{Torque, Unit};

/// Thread; recommended from and to for tension and for shear nuts; most allowed for tension and for shear nuts; in lbf·in.
/// Source: FAA AC 43.13-1B, table 7-1, all rows, fine series and then coarse, as two transcriptions of it agree.
type Row = (&'static str, [f64; 2], [f64; 2], [f64; 2]);

const FINE: &[Row] = &[
    ("8-36", [12.0, 15.0], [7.0, 9.0], [20.0, 12.0]),
    ("10-32", [20.0, 25.0], [12.0, 15.0], [40.0, 25.0]),
    ("1/4-28", [50.0, 70.0], [30.0, 40.0], [100.0, 60.0]),
    ("5/16-24", [100.0, 140.0], [60.0, 85.0], [225.0, 140.0]),
    ("3/8-24", [160.0, 190.0], [95.0, 110.0], [390.0, 240.0]),
    ("7/16-20", [450.0, 500.0], [270.0, 300.0], [840.0, 500.0]),
    ("1/2-20", [480.0, 690.0], [290.0, 410.0], [1_100.0, 660.0]),
    ("9/16-18", [800.0, 1_000.0], [480.0, 600.0], [1_600.0, 960.0]),
    ("5/8-18", [1_100.0, 1_300.0], [600.0, 780.0], [2_400.0, 1_400.0]),
    (
        "3/4-16",
        [2_300.0, 2_500.0],
        [1_300.0, 1_500.0],
        [5_000.0, 3_000.0],
    ),
    (
        "7/8-14",
        [2_500.0, 3_000.0],
        [1_500.0, 1_800.0],
        [7_000.0, 4_200.0],
    ),
    (
        "1-14",
        [3_700.0, 5_500.0],
        [2_200.0, 3_300.0],
        [10_000.0, 6_000.0],
    ),
    (
        "1 1/8-12",
        [5_000.0, 7_000.0],
        [3_000.0, 4_200.0],
        [15_000.0, 9_000.0],
    ),
    (
        "1 1/4-12",
        [9_000.0, 11_000.0],
        [5_400.0, 6_600.0],
        [25_000.0, 15_000.0],
    ),
];

const COARSE: &[Row] = &[
    ("8-32", [12.0, 15.0], [7.0, 9.0], [20.0, 12.0]),
    ("10-24", [20.0, 25.0], [12.0, 15.0], [35.0, 21.0]),
    ("1/4-20", [40.0, 50.0], [25.0, 30.0], [75.0, 45.0]),
    ("5/16-18", [80.0, 90.0], [48.0, 55.0], [160.0, 100.0]),
    ("3/8-16", [160.0, 185.0], [95.0, 100.0], [275.0, 170.0]),
    ("7/16-14", [235.0, 255.0], [140.0, 155.0], [475.0, 280.0]),
    ("1/2-13", [400.0, 480.0], [240.0, 290.0], [880.0, 520.0]),
    ("9/16-12", [500.0, 700.0], [300.0, 420.0], [1_100.0, 650.0]),
    ("5/8-11", [700.0, 900.0], [420.0, 540.0], [1_500.0, 900.0]),
    ("3/4-10", [1_150.0, 1_600.0], [700.0, 950.0], [2_500.0, 1_500.0]),
    (
        "7/8-9",
        [2_200.0, 3_000.0],
        [1_300.0, 1_800.0],
        [4_600.0, 2_700.0],
    ),
];

/// Rows whose shear figures the table marks as estimated.
const ESTIMATED: &[&str] = &["1-14", "1 1/8-12", "1 1/4-12"];

/// The row whose least shear figure is printed 600 where 60 % of its tension figure, as in the rows beside it, is 660. Makers' reprints
/// have 660.
const PRINTED_TWO_WAYS: &str = "5/8-18";

const NUTS: &[Choice] = &[
    Choice {
        name: "tension",
        words: "tension type nuts, MS20365 and AN310",
    },
    Choice {
        name: "shear",
        words: "shear type nuts, MS20364 and AN320",
    },
];

pub(super) const CALCULATION: Calculation = Calculation {
    name: "aircraft_torque",
    title: "Aircraft hardware torque",
    place: BenchPlace::Fasteners,
    about: "The torque range of a published table for aircraft nuts on bolts loaded primarily in shear, for comparison with a manual's figure.",
    arguments: &[
        Argument::new("thread", "", "the thread: Unified, fine or coarse", Want::Thread)
            .required()
            .such_as("1/4-28", "1/4-20"),
        Argument::new("nut", "", "the type of the nut", Want::Choice(NUTS))
            .or("tension")
            .such_as("tension", "shear"),
    ],
    dangers: &[Danger::Torque],
    contradictions: &[],
    run,
};

fn run(given: &Given, sheet: &mut Sheet) -> Result<(), ReckonRefusal> {
    let name = given
        .thread("thread")
        .map(|thread| thread.name().to_owned())
        .unwrap_or_default();
    let rows = || FINE.iter().chain(COARSE);
    let Some((_, tension, shear, [most_tension, most_shear])) = rows().find(|row| row.0 == name) else {
        let names: Vec<&str> = rows().map(|row| row.0).collect();
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "thread",
            format!("The table has {}; {name} is not in it.", names.join(", ")),
        ));
    };
    let in_shear = given.choice("nut") == Some("shear");
    let ([low, high], most, stresses) = if in_shear {
        (
            shear,
            most_shear,
            "24,000 psi in the bolts as recommended, 54,000 psi at the most",
        )
    } else {
        (
            tension,
            most_tension,
            "40,000 psi in the bolts as recommended, 90,000 psi at the most",
        )
    };
    let unit = sheet.pick(Unit::NewtonMetre, Unit::PoundForceInch);
    sheet.value_in("torque_low", "torque, from", Torque::from_lbf_in(*low), unit);
    sheet.value_in("torque_high", "torque, to", Torque::from_lbf_in(*high), unit);
    sheet.value_in("torque_most", "never more than", Torque::from_lbf_in(*most), unit);
    sheet.formula("table", "table", "a look-up, no formula");
    sheet.source(
        "ac_43_13",
        if COARSE.iter().any(|row| row.0 == name) {
            "FAA AC 43.13-1B (9/8/98), table 7-1, coarse thread series"
        } else {
            "FAA AC 43.13-1B (9/8/98), table 7-1, fine thread series"
        },
        Standing::Published,
    );
    if in_shear && ESTIMATED.contains(&name.as_str()) {
        sheet.condition(
            "estimated",
            "The table itself marks this row's figures for shear nuts as estimated.",
        );
    }
    if in_shear && name == PRINTED_TWO_WAYS {
        sheet.condition(
            "two_ways",
            "The table prints 600 lbf·in here; reprints of it have 660, which is 60 % of 1100 as in the rows beside it. Which was meant is not known.",
        );
        sheet.source(
            "two_ways",
            "600: two transcriptions of the table; 660: a maker's reprint of it; the table itself was not seen",
            Standing::FromMemory,
        );
    }
    sheet.condition(
        "lubrication",
        "In the table's words, derived from oil free cadmium plated threads: dry and plated, not bare and not oiled.",
    );
    sheet.condition(
        "loaded",
        format!("In the table's words, bolts loaded primarily in shear: it counts on {stresses}."),
    );
    sheet.condition(
        "grade",
        "Cadmium-plated steel aircraft nuts and their bolts only; not car bolts, and not bolts that a joint pulls at.",
    );
    sheet.condition("drag", "The nut's own friction drag is measured and added.");
    Ok(())
}
