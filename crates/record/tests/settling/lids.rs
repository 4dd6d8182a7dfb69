//! What the tests of closing up share: entries that stand in the way of a lid, the guard asked, the closing tried.

#![allow(dead_code, reason = "each test file uses a part of this")]

use record::edit::{Blocker, Check, EditError, Waive, blockers};
use record::ending::End;
use record::entities::*;
use record::rules::Point;
use record::words::{AssemblyState, HowBad, JobState};
use record::{Edit, Given, Id, Ref, Refusal};

use super::points;
use crate::workshop::{Device, day, meet};

pub(crate) fn inner(device: &mut Device, name: &str, parent: &Id) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: name.into(),
        parent: Given::Put(parent.clone()),
        ..Default::default()
    })
}

pub(crate) fn part(device: &mut Device, name: &str, home: &Id) -> Id {
    device.make::<Part>(PartFields {
        name: name.into(),
        assembly: Given::Put(home.clone()),
        ..Default::default()
    })
}

pub(crate) fn finding(device: &mut Device, about: Ref, what: &str, how_bad: HowBad) -> Id {
    device.make::<Finding>(FindingFields {
        about: Given::Put(about),
        what: what.into(),
        how_bad: Given::Put(how_bad),
        on: Given::Put(day("2031-03-01")),
        ..Default::default()
    })
}

pub(crate) fn reading(device: &mut Device, about: &Ref, value: &str, limit: &Id, on: &str) -> Id {
    device.make::<Reading>(ReadingFields {
        what: "end float".into(),
        about: Given::Put(about.clone()),
        value: value.into(),
        limit: Given::Put(limit.clone()),
        on: Given::Put(day(on)),
        ..Default::default()
    })
}

pub(crate) fn end(device: &mut Device, finding: &Id, how: &End<'_>) {
    let ended = FindingFields {
        ended: how.kept().as_str().into(),
        ..Default::default()
    };
    device.change::<Finding>(finding, ended);
}

pub(crate) fn put(device: &mut Device, job: &Id, state: JobState) {
    let fields = JobFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Job>(job, fields);
}

/// What stands in the way, as the guard has it.
pub(crate) fn asked(device: &Device, assembly: &Id) -> Vec<Blocker> {
    blockers(device.record.view(), &points(device), assembly)
}

pub(crate) fn checks(device: &Device, assembly: &Id) -> Vec<Check> {
    asked(device, assembly)
        .iter()
        .map(|blocker| blocker.check)
        .collect()
}

pub(crate) fn closing(device: &mut Device, assembly: &Id, waive: Vec<Waive>) -> Result<(), Refusal> {
    let edit = Edit::CloseUp {
        assembly: assembly.clone(),
        waive,
    };
    match device.try_edit(&edit) {
        Ok(_) => Ok(()),
        Err(EditError::Refused(refusal)) => Err(refusal),
        Err(broken) => panic!("{broken}"),
    }
}

#[track_caller]
pub(crate) fn still_open(device: &mut Device, assembly: &Id) -> (Vec<Blocker>, String) {
    let refusal = closing(device, assembly, Vec::new()).unwrap_err();
    assert_eq!(refusal.code(), "still_open");
    let says = refusal.to_string();
    match refusal {
        Refusal::StillOpen { blockers, .. } => (blockers, says),
        other => panic!("{other:?}"),
    }
}

/// Each says another number of one bearing, apart: two values to settle.
pub(crate) fn two_numbers(nell: &mut Device, wilf: &mut Device, home: &Id) {
    let bearing = part(nell, "tail bearing", home);
    meet(nell, wilf);
    for (device, number) in [(&mut *nell, "6203"), (&mut *wilf, "6204")] {
        let fields = PartFields {
            number: number.into(),
            ..Default::default()
        };
        device.change::<Part>(&bearing, fields);
    }
    meet(nell, wilf);
}

pub(crate) fn stands(device: &mut Device, assembly: &Id, state: AssemblyState) {
    let fields = AssemblyFields {
        state: Given::Put(state),
        ..Default::default()
    };
    device.change::<Assembly>(assembly, fields);
}

pub(crate) fn weighs(device: &mut Device, finding: &Id, how_bad: HowBad) {
    let fields = FindingFields {
        how_bad: Given::Put(how_bad),
        ..Default::default()
    };
    device.change::<Finding>(finding, fields);
}

pub(crate) fn tried(device: &mut Device, point: &Point, choice: &str, why: &str) -> Result<(), Refusal> {
    let edit = Edit::Settle {
        point: point.id.clone(),
        choice: choice.to_owned(),
        why: Some(why.to_owned()),
    };
    match device.try_edit(&edit) {
        Ok(_) => Ok(()),
        Err(EditError::Refused(refusal)) => Err(refusal),
        Err(broken) => panic!("{broken}"),
    }
}

pub(crate) fn refused(device: &mut Device, edit: &Edit) -> &'static str {
    match device.try_edit(edit) {
        Err(EditError::Refused(refusal)) => refusal.code(),
        came => panic!("{came:?}"),
    }
}
