//! Sentences that more than one calculation says, so that they are worded once. Only words; nothing is reckoned here.

/// Key and sentence: whose word counts.
pub(crate) const MANUAL_WINS: (&str, &str) = (
    "manual_wins",
    "The car's own manual, drawing or label wins over this answer.",
);

/// Key and sentence: what an answer is not.
pub(crate) const NOT_FITNESS: (&str, &str) = (
    "not_fitness",
    "This is arithmetic, not a statement that anything is fit for the road.",
);

/// Key and sentence: the temperature of lengths. Source: ISO 1.
pub(crate) const AT_20_C: (&str, &str) = ("at_20_c", "Lengths are stated at 20 °C (ISO 1).");
