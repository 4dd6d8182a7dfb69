//! Verdicts: a reading of the merged record, judged against its limit by the instrument it was made with. Computed at
//! every look from what the record says now, by `reckon`, and never stored as truth: when a limit or an instrument
//! changes, so does the verdict. A reading without a limit is not judged.
//!
//! The decision rule is that of ISO 14253-1:2017, as `reckon::uncertainty` has it.

use reckon::uncertainty::{Judgement, Side};
use reckon::{Typed, VerdictWord};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::edit::title;
use crate::entry::{Entry, View};
use crate::name::{Id, Kind};

/// How far a value read to a step δ can be off: rectangular over the step, so 0.29 δ standard (JCGM 100, F.2.2.1),
/// expanded with k = 2.
const OF_RESOLUTION: f64 = 0.58;

/// What a reading says of its limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub struct Verdict {
    /// In limits, below, above, or too close to call.
    pub word: VerdictWord,
    /// The verdict in a sentence: by how much, or what would decide it.
    pub words: String,
}

fn typed(entry: &Entry, field: &str) -> Option<Typed> {
    Typed::from_kept(entry.line(field)?).ok()
}

fn linked<'a>(view: &'a View, entry: &Entry, field: &str, kind: Kind) -> Option<&'a Entry> {
    let id: Id = entry.line(field)?.parse().ok()?;
    view.get(kind, &id).filter(|linked| linked.stands())
}

/// What an instrument's expanded uncertainty is, in the base unit: as stated, else what its smallest step alone makes.
///
/// Nothing for an instrument of another kind, or for a thermometer: a temperature typed is no difference.
fn expanded(instrument: &Entry, kind: reckon::Kind) -> Option<(f64, bool)> {
    let fits = |typed: &Typed| typed.kind() == kind && kind != reckon::Kind::Temperature;
    let stated = typed(instrument, "uncertainty")
        .filter(fits)
        .map(|typed| (typed.value(), true));
    let step = || typed(instrument, "resolution").filter(fits);
    stated.or_else(|| step().map(|step| (step.value() * OF_RESOLUTION, false)))
}

/// Judges a reading; nothing where it has no limit, or where reading and limit are of different kinds.
#[must_use]
pub fn of_reading(view: &View, reading: &Entry) -> Option<Verdict> {
    let value = typed(reading, "value")?;
    let limit = linked(view, reading, "limit", Kind::Limit)?;
    let (low, high) = (typed(limit, "low"), typed(limit, "high"));
    if [&low, &high]
        .into_iter()
        .flatten()
        .any(|bound| bound.kind() != value.kind())
    {
        return None;
    }
    let limits = reckon::uncertainty::Limits::typed(low.as_ref(), high.as_ref())?;
    let instrument = linked(view, reading, "instrument", Kind::Instrument);
    let known = instrument.and_then(|one| expanded(one, value.kind()));
    let uncertainty = known.map_or(reckon::uncertainty::Uncertainty::NONE, |(expanded, _)| {
        reckon::uncertainty::Uncertainty::expanded_by(expanded, 2.0)
    });
    let judged = reckon::uncertainty::judge(value.value(), limits, uncertainty);
    // A length of the reading's own unit; a difference of temperatures has no zero to shift.
    let shown = |base: f64| {
        reckon::shown(
            value.unit().from_base(base) - value.unit().from_base(0.0),
            value.unit(),
        )
    };
    let words = match judged.word {
        VerdictWord::InLimits => format!("in limits by {}", shown(judged.inside_by)),
        VerdictWord::TooCloseToCall => too_close(view, instrument, &judged, value.kind(), shown),
        _ if judged.near == Side::Low => format!("below the limit by {}", shown(judged.inside_by.abs())),
        _ => format!("above the limit by {}", shown(judged.inside_by.abs())),
    };
    let caveat = match known {
        Some((_, true)) => "",
        Some((_, false)) => {
            "; the instrument's uncertainty is not stated, only its smallest step was counted"
        }
        None => "; taken as exact, since nothing is known of the instrument's uncertainty",
    };
    Some(Verdict {
        word: judged.word,
        words: format!("{words}{caveat}"),
    })
}

fn too_close(
    view: &View,
    used: Option<&Entry>,
    judged: &Judgement,
    kind: reckon::Kind,
    shown: impl Fn(f64) -> String,
) -> String {
    let with = used.map_or_else(
        || "this instrument".to_owned(),
        |used| format!("'{}'", title(used)),
    );
    let Some(decides) = judged.decides else {
        return format!(
            "too close to call with {with}: it stands on the limit, and no instrument would decide it"
        );
    };
    // The coarsest that is fine enough: the micrometer stays in its box where the caliper will do.
    let fits = view.standing(Kind::Instrument).filter_map(|one| {
        let (uncertainty, stated) = expanded(one, kind)?;
        (stated && uncertainty <= decides).then(|| (uncertainty, title(one)))
    });
    let best = fits.max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
    let what = best.map_or_else(
        || format!("an instrument good to ±{} would decide it", shown(decides)),
        |(_, name)| format!("'{name}' would decide it"),
    );
    format!("too close to call with {with}; {what}")
}
