//! The torque that a manual prints: in other units, against its own second figure, and with an adapter on the wrench.
//!
//! Never corrects a manual: both figures are kept as printed.

use crate::answer::{ReckonRefusal, RefusalCode, Sheet, Standing};
use crate::calculation::Given;
use crate::fastener::wrench_setting;
use crate::quantity::{Angle, Length, Torque, Unit};

/// The manual's torque in the four units that manuals use, and whether its own two figures agree.
pub(super) fn conversions(given: &Given, sheet: &mut Sheet, torque: Torque) {
    let mut units = [
        ("torque_n_m", Unit::NewtonMetre),
        ("torque_lbf_ft", Unit::PoundForceFoot),
        ("torque_lbf_in", Unit::PoundForceInch),
        ("torque_kgf_m", Unit::KilogramForceMetre),
    ];
    // The unit that was typed comes last: it is the others that are asked for.
    units.sort_by_key(|(_, unit)| given.unit("torque") == Some(*unit));
    for (key, unit) in units {
        sheet.value_in(key, format!("the torque in {}", unit.symbol()), torque, unit);
    }
    sheet.formula(
        "units",
        "conversion",
        "the same torque, by the units' exact factors",
    );
    sheet.source(
        "units",
        "1 lbf·ft = 1.3558179483314004 N·m, 1 kgf·m = 9.80665 N·m, exact by definition (NIST SP 811, appendix B)",
        Standing::Published,
    );
    if let Some(also) = given.get::<Torque>("torque_also") {
        let percent = (also / torque - 1.0) * 100.0;
        sheet.number(
            "mismatch_percent",
            "the second figure is higher by, in %",
            percent,
        );
        // Rounding to two figures alone gives up to 5 %.
        if percent.abs() > 5.0 {
            sheet.warning(
                "mismatch",
                format!("The manual's two figures differ by {:.0} %: one of them is a slip. Keep both as printed.", percent.abs()),
            );
        }
    }
    let tolerance = if torque.in_n_m() <= 10.0 { 6 } else { 4 };
    sheet.condition(
        "wrench",
        format!("A torque wrench that meets ISO 6789 may still be ±{tolerance} % out here."),
    );
    sheet.source(
        "wrench",
        "ISO 6789: ±6 % up to 10 N·m, ±4 % above",
        Standing::Published,
    );
}

/// What to set on the wrench with an adapter.
pub(super) fn adapter(
    given: &Given,
    sheet: &mut Sheet,
    torque: Option<Torque>,
) -> Result<bool, ReckonRefusal> {
    let (arm, extension) = (
        given.get::<Length>("wrench_length"),
        given.get::<Length>("adapter_length"),
    );
    let missing = |name: &str, words: &str| Err(ReckonRefusal::of(RefusalCode::Missing, name, words));
    let (arm, extension, torque) = match (arm, extension, torque) {
        (None, None, _) => return Ok(false),
        (Some(arm), Some(extension), Some(torque)) => (arm, extension, torque),
        (None, _, _) => {
            return missing(
                "wrench_length",
                "The length of the wrench is needed for an adapter.",
            );
        }
        (_, None, _) => return missing("adapter_length", "The length of the adapter is needed."),
        (_, _, None) => {
            return missing(
                "torque",
                "The torque wanted at the fastener is needed for an adapter.",
            );
        }
    };
    let angle: Angle = given.need("adapter_angle")?;
    let setting = wrench_setting(torque, arm, extension, angle);
    // Turned back by more than the wrench is long, an adapter would have to be pulled the wrong way.
    if setting.in_n_m() <= 0.0 || setting / torque > 10.0 {
        return Err(ReckonRefusal::of(
            RefusalCode::Impossible,
            "adapter_angle",
            "With the adapter turned back so far the wrench cannot turn the fastener sensibly.",
        ));
    }
    sheet.value("wrench_setting", "set the wrench to", setting);
    sheet.formula(
        "wrench_setting",
        "wrench with an adapter",
        "set = T · L / (L + E · cos α)",
    );
    sheet.source(
        "wrench_setting",
        "follows from the two arms; at 90° the setting is the torque itself",
        Standing::Derived,
    );
    sheet.condition("grip", "Pull at the middle of the grip: L is measured to there.");
    Ok(true)
}
