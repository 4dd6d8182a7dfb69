//! The undersizes that bearing shells are made in. It only lists them, and judges no journal.

use reckon::Length;

/// Undersizes that shells are made in, mirrored from the oversizes of check-values C (common practice, no source).
pub(super) fn undersizes(inch: bool) -> Vec<(f64, &'static str)> {
    if inch {
        let sizes = [
            (0.010, "0.010 in"),
            (0.020, "0.020 in"),
            (0.030, "0.030 in"),
            (0.040, "0.040 in"),
            (0.060, "0.060 in"),
        ];
        sizes
            .iter()
            .map(|(inches, named)| (Length::from_inch(*inches).in_mm(), *named))
            .collect()
    } else {
        vec![
            (0.25, "0.25 mm"),
            (0.50, "0.50 mm"),
            (0.75, "0.75 mm"),
            (1.00, "1.00 mm"),
        ]
    }
}
