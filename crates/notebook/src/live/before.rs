//! What a keeper is told of a pairing before saying that the digits are the same: which car, whose device, what would
//! change. It enters nothing, and believes nothing of what the other says but that it says so.

use link::identity::Key;
use record::entities::Keeper;
use record::{Id, Kind};
use store::ThisDevice;

use super::admit::{Introduction, place};
use crate::notebook::Notebook;
use crate::page::whose;
use crate::refusal::Refusal;
use crate::wire::PairAbout;

/// Names as a sentence has them: `Rosalind, Wilf and Odile`.
fn and(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

impl Notebook {
    /// What the host's keeper is told of a newcomer.
    pub fn before_admitting(&mut self, record: &Id, said: &Introduction) -> Result<PairAbout, Refusal> {
        let row = self.store.record(record)?;
        let this = self.device()?.id;
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let with = whose(&said.keeper, &said.name);
        let mut about = PairAbout {
            car: row.car.clone(),
            with: with.clone(),
            ..PairAbout::default()
        };
        match place(view, &this, said) {
            Err(refusal) => about.cannot = Some(refusal.words),
            Ok(place) => {
                about.kept = place.there || said.keeps(record);
                about.says.push(if place.there {
                    format!(
                        "{with} keeps '{}' already: it is met by the key that it has now.",
                        row.car
                    )
                } else if about.kept {
                    format!(
                        "{with} keeps '{}' already, as after joining by a file: its entry comes with the first meeting.",
                        row.car
                    )
                } else {
                    format!(
                        "{with} gets all of the record of '{}', and may write in it.",
                        row.car
                    )
                });
                if place.keeper.is_none() && !about.kept {
                    let names: Vec<String> = view
                        .each_standing::<Keeper>()
                        .filter_map(|keeper| keeper.name().map(str::to_owned))
                        .collect();
                    about.says.push(format!(
                        "{} is new to it, and becomes a keeper beside {}.",
                        said.keeper,
                        and(&names)
                    ));
                }
            }
        }
        Ok(about)
    }

    /// What a newcomer's keeper is told of the host.
    pub fn before_coming_in(
        &mut self,
        this: &ThisDevice,
        key: &Key,
        said: &Introduction,
    ) -> Result<PairAbout, Refusal> {
        let (record, host) = (said.record()?, said.device()?);
        let with = whose(&said.keeper, &said.name);
        let mut about = PairAbout {
            car: said.car.clone(),
            with: with.clone(),
            ..PairAbout::default()
        };
        if let Err(refusal) = self.may_come_in(this, key, said) {
            about.cannot = Some(refusal.words);
            return Ok(about);
        }
        let Some(row) = self.store.records()?.into_iter().find(|row| row.id == record) else {
            let keepers = if said.keepers.is_empty() {
                said.keeper.clone()
            } else {
                and(&said.keepers)
            };
            about.says.push(format!(
                "You get all of the record of '{}', kept by {keepers}, and may write in it.",
                said.car
            ));
            return Ok(about);
        };
        about.kept = true;
        // Its name here is the one that the keeper knows; what the other calls it is only told.
        about.car = row.car.clone();
        about
            .says
            .push(format!("You keep this one already: '{}'.", row.car));
        if said.car != row.car {
            about
                .says
                .push(format!("The other device calls it '{}'.", said.car));
        }
        let named = self.members(&record)?.iter().any(|one| one.device == host);
        about.says.push(if named {
            format!("Your record names {with}; from now on the two meet by themselves.")
        } else {
            format!(
                "Your record does not name {with}. It is met once, and no more where it is not named then; you find it under Devices, and can cut it off there."
            )
        });
        Ok(about)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_as_a_sentence_has_them() {
        let check = |names: &[&str], expected: &str| {
            let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
            assert_eq!(and(&names), expected);
        };
        check(&[], "");
        check(&["Rosalind"], "Rosalind");
        check(&["Rosalind", "Wilf"], "Rosalind and Wilf");
        check(&["Rosalind", "Wilf", "Odile"], "Rosalind, Wilf and Odile");
    }
}
