//! Entries as whoever did something left them: a day tells what was said then, and says beside it what reads otherwise now. It reads only
//! what somebody wrote in since, and says nothing of what it cannot know.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::BTreeSet;

use record::past::Strands;
use record::{Entry, Held, Kind, Ref, Stamp, View, deed, links_of};

/// What was said then.
pub(crate) struct Then<'a> {
    view: &'a View,
    past: &'a Strands,
    /// How many seconds the clock of whoever looks is ahead of UTC.
    east: i64,
    /// What it named then, and is not at hand.
    lacks: RefCell<BTreeSet<Ref>>,
}

impl<'a> Then<'a> {
    pub(crate) fn of(view: &'a View, past: &'a Strands, east: i64) -> Self {
        Self {
            view,
            past,
            east,
            lacks: RefCell::default(),
        }
    }

    /// An entry as whoever wrote a change left it that day; as it reads now, where nobody wrote in it since.
    pub(crate) fn left<'e>(&self, entry: &'e Entry, by: &Stamp) -> Cow<'e, Entry> {
        let theirs = |stamp: &Stamp| self.is_theirs(stamp, by);
        // What was done to it since is told by itself; but how a hold point was met is said only beside that it was, and a danger is one
        // as long as it has no end.
        let by_itself = !matches!(entry.kind, Kind::HoldPoint | Kind::Finding);
        let told = |field: &str| by_itself && deed::is_deed(entry.kind, field);
        let said = entry.fields.iter().filter(|(field, _)| !told(field));
        let mut claims = said.map(|(_, held)| held).flat_map(Held::claims);
        let as_it_is = claims.all(|claim| {
            let change = claim.stamp.change;
            change == by.change || change == entry.made.change || theirs(&claim.stamp)
        });
        if as_it_is {
            return Cow::Borrowed(entry);
        }
        let Some(then) = self.past.left_by(&entry.name(), &by.change, theirs) else {
            return Cow::Borrowed(entry);
        };
        for (_, target) in links_of(&then) {
            if let Ok(name) = target.parse::<Ref>()
                && self.view.find(&name).is_none()
            {
                self.lacks.borrow_mut().insert(name);
            }
        }
        Cow::Owned(then)
    }

    /// Whether the same keeper wrote it, on the same day.
    fn is_theirs(&self, stamp: &Stamp, by: &Stamp) -> bool {
        let keeper = |stamp: &Stamp| stamp.device.as_ref().and_then(|id| self.view.keeper_of(id));
        let day = |stamp: &Stamp| stamp.at.seconds().saturating_add(self.east).div_euclid(86_400);
        day(stamp) == day(by) && keeper(stamp).is_some_and(|one| Some(one) == keeper(by))
    }

    /// What was named then and is not at hand.
    pub(crate) fn lacks(self) -> BTreeSet<Ref> {
        self.lacks.into_inner()
    }
}
