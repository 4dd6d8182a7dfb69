//! The car's stamped numbers held against its papers. It says where they are not the same and never which of them is right.

use record::entities::CarRef;

/// A number as it is compared: how it is spaced and which case it is written in makes no other one of it.
fn bare(number: &str) -> String {
    let letters = number.chars().filter(|letter| letter.is_alphanumeric());
    letters.flat_map(char::to_uppercase).collect()
}

/// Of a car whose papers name neither the number on its engine nor the one on its body: which those are. Nothing where either agrees,
/// and nothing where one of them is not known, since that may be the one that is meant.
pub(super) fn mismatch(car: CarRef<'_>) -> Option<String> {
    let known = |number: Option<&str>| {
        number
            .filter(|number| !bare(number).is_empty())
            .map(str::to_owned)
    };
    says(
        &known(car.papers_number())?,
        &known(car.engine_number())?,
        &known(car.body_number())?,
    )
}

fn says(papers: &str, engine: &str, body: &str) -> Option<String> {
    let same = |stamped: &str| bare(stamped) == bare(papers);
    (!same(engine) && !same(body)).then(|| {
        let swapped = if is_swapped(papers, engine) {
            ", the same figures in another order"
        } else {
            ""
        };
        format!("not what is stamped: the engine says {engine}{swapped}; the body says {body}")
    })
}

/// Whether two numbers are made of the same letters and figures.
fn is_swapped(one: &str, other: &str) -> bool {
    let sorted = |number: &str| {
        let mut letters: Vec<char> = bare(number).chars().collect();
        letters.sort_unstable();
        letters
    };
    sorted(one) == sorted(other)
}

#[cfg(test)]
mod tests {
    use super::says;

    #[test]
    fn papers_that_name_no_number_of_the_car_are_told_of() {
        for (papers, engine, body, expected) in [
            (
                "TE 14471",
                "TE 14417",
                "T2-11862",
                Some(
                    "not what is stamped: the engine says TE 14417, the same figures in another order; the body says T2-11862",
                ),
            ),
            (
                "TE 90000",
                "TE 14417",
                "T2-11862",
                Some("not what is stamped: the engine says TE 14417; the body says T2-11862"),
            ),
            // Written otherwise, it is the same number.
            ("te14417", "TE 14417", "T2-11862", None),
            ("T2 11862", "TE 14417", "T2-11862", None),
        ] {
            assert_eq!(says(papers, engine, body).as_deref(), expected, "{papers}");
        }
    }
}
