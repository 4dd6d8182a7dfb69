//! What a page looked at and what a change changed, in one language, so that a page is asked for again where the two meet and nowhere
//! else. A face compares marks and never reads them.
//!
//! It never leaves a mark out: where there would be too many, a wider one stands for them.

use std::collections::BTreeSet;

use record::{Kind, Lack, Ref, View};

/// Most marks of a page; beyond, the kinds stand for their entries.
const MOST_LOOKED_AT: usize = 400;

/// Most entries that a change tells by their marks; one that touched more may have changed anything.
const MOST_TOUCHED: usize = 200;

/// What is to be settled, or the order of it.
const POINTS: &str = "points";

/// What is no entry's: whom one meets, and with it who has a photo that is not here, and who vouches for what.
pub(crate) const ELSEWHERE: &str = "elsewhere";

/// What a page was made of.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct LookedAt {
    lacks: BTreeSet<Lack>,
    points: bool,
    elsewhere: bool,
    /// Something that no mark stands for: a clock, a peer, the log.
    more: bool,
}

impl LookedAt {
    pub(crate) fn add(&mut self, lacks: BTreeSet<Lack>) {
        self.lacks.extend(lacks);
    }

    pub(crate) fn points(&mut self) {
        self.points = true;
    }

    /// What is no entry's.
    pub(crate) fn elsewhere(&mut self) {
        self.elsewhere = true;
    }

    pub(crate) fn more(&mut self) {
        self.more = true;
    }

    /// The marks, none twice; nothing where any change may change the page.
    pub(crate) fn marks(&self) -> Option<Vec<String>> {
        if self.more {
            return None;
        }
        let whole = |lack: &Lack| match lack {
            Lack::Kind(kind)
            | Lack::Called(kind, _)
            | Lack::Asking(kind)
            | Lack::Loose(kind)
            | Lack::Counted(kind) => Some(*kind),
            Lack::One(_) | Lack::Naming(..) => None,
        };
        let mut kinds: BTreeSet<Kind> = self.lacks.iter().filter_map(whole).collect();
        if self.lacks.len() > MOST_LOOKED_AT {
            kinds = self.lacks.iter().map(Lack::kind).collect();
        }
        let some = self.lacks.iter().filter(|lack| !kinds.contains(&lack.kind()));
        let mut marks: BTreeSet<String> = some
            .filter_map(|lack| match lack {
                Lack::One(name) => Some(name.to_string()),
                Lack::Naming(target, kind) => Some(pointing(*kind, target)),
                _ => None,
            })
            .collect();
        marks.extend(kinds.iter().map(Kind::to_string));
        if self.points {
            marks.insert(POINTS.to_owned());
        }
        if self.elsewhere || self.lacks.iter().any(|lack| lack.kind() == Kind::Photo) {
            marks.insert(ELSEWHERE.to_owned());
        }
        Some(marks.into_iter().collect())
    }
}

/// What a change changed; empty where it may be anything. The view is that after it, which knows what pointed where before.
pub(crate) fn changed(view: &View, touched: &[Ref], points: bool) -> Vec<String> {
    if touched.len() > MOST_TOUCHED {
        return Vec::new();
    }
    let mut marks = BTreeSet::new();
    for name in touched {
        marks.insert(name.to_string());
        marks.insert(name.kind.to_string());
        for target in view.pointed_at(name) {
            marks.insert(pointing(name.kind, &target));
        }
    }
    if points {
        marks.insert(POINTS.to_owned());
    }
    marks.into_iter().collect()
}

fn pointing(kind: Kind, target: &Ref) -> String {
    format!("{kind}>{target}")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    fn name(text: &str) -> Ref {
        text.parse().unwrap()
    }

    #[track_caller]
    fn check(lacks: impl IntoIterator<Item = Lack>, expected: &[&str]) {
        let mut looked_at = LookedAt::default();
        looked_at.add(lacks.into_iter().collect());
        assert_eq!(looked_at.marks().unwrap(), expected);
    }

    #[test]
    fn a_kind_stands_for_its_entries_and_no_other() {
        let one = Lack::One(name("part:1"));
        let naming = Lack::Naming(name("assembly:2"), Kind::Job);
        check([one.clone(), naming.clone()], &["job>assembly:2", "part:1"]);
        let photo = Lack::Naming(name("assembly:2"), Kind::Photo);
        check([photo], &["elsewhere", "photo>assembly:2"]);
        check(
            [one.clone(), naming.clone(), Lack::Asking(Kind::Part)],
            &["job>assembly:2", "part"],
        );
        let many = (0..500).map(|number| Lack::One(name(&format!("part:{number}"))));
        check(many.chain([naming]), &["job", "part"]);
    }

    #[test]
    fn whoever_looked_at_more_is_asked_again_by_anything() {
        let mut looked_at = LookedAt::default();
        assert_eq!(
            looked_at.marks(),
            Some(Vec::new()),
            "what looked at nothing never changes"
        );
        looked_at.more();
        assert_eq!(looked_at.marks(), None);
    }

    #[test]
    fn a_change_of_very_much_may_be_anything() {
        let many: Vec<Ref> = (0..300).map(|number| name(&format!("part:{number}"))).collect();
        assert_eq!(changed(&View::default(), &many, true), Vec::<String>::new());
        assert_eq!(
            changed(&View::default(), &many[..1], true),
            ["part", "part:0", "points"]
        );
    }
}
