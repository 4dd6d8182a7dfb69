//! Readings that the instrument cannot have given.

use crate::{answered, warned};

/// DIN 863-1: a micrometer measures from 0 to 50 mm, the next from 50 to 100 mm; a keeper's own by what was typed.
#[test]
fn an_instrument_outside_its_range_is_said() {
    for (name, arguments, outside) in [
        (
            "verdict",
            "reading=80 mm; high=81 mm; instrument=micrometer",
            true,
        ),
        (
            "verdict",
            "reading=40 mm; high=41 mm; instrument=micrometer",
            false,
        ),
        (
            "verdict",
            "reading=50 mm; high=51 mm; instrument=micrometer",
            false,
        ),
        (
            "verdict",
            "reading=40 mm; high=41 mm; instrument=micrometer_100",
            true,
        ),
        (
            "verdict",
            "reading=40 mm; high=41 mm; uncertainty=5 µm; most=25 mm",
            true,
        ),
        (
            "verdict",
            "reading=20 mm; high=41 mm; uncertainty=5 µm; least=25 mm",
            true,
        ),
        (
            "verdict",
            "reading=25 mm; high=41 mm; uncertainty=5 µm; least=25 mm; most=50 mm",
            false,
        ),
        (
            "verdict",
            "reading=1 in; high=41 mm; uncertainty=5 µm; least=25.4 mm; most=2 in",
            false,
        ),
        (
            "repeated",
            "readings=80.01, 80.02 mm; instrument=micrometer",
            true,
        ),
        (
            "repeated",
            "readings=40.01, 40.02 mm; instrument=micrometer",
            false,
        ),
        (
            "clearance",
            "bore=77.02 mm; inner=76.98 mm; bore_instrument=bore_gauge; inner_instrument=micrometer",
            true,
        ),
        (
            "agree",
            "first=80 mm; second=80.1 mm; first_instrument=micrometer; second_instrument=caliper",
            true,
        ),
        (
            "wear",
            "grid=85.6, 85.5\n85.5, 85.5 mm; nominal=85.4 mm; wear_limit=0.5 mm; instrument=micrometer",
            true,
        ),
    ] {
        assert_eq!(
            warned(&answered(name, arguments), "outside_range"),
            outside,
            "{name} {arguments}"
        );
    }
}
