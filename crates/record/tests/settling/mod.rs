//! Two devices whose records are edited apart and settled: what the tests of the rules share.

#![allow(dead_code, reason = "each test file uses a part of this")]

pub(crate) mod lids;
pub(crate) mod made;

use record::entities::*;
use record::rules::{self, Point, Rule};
use record::{Edit, Given, Id};

use crate::workshop::{Device, meet};

pub(crate) fn pair() -> (Device, Device) {
    let mut parent = Device::first("parent", 1);
    let mut child = Device::joining("child", 2, &parent, None);
    meet(&mut parent, &mut child);
    (parent, child)
}

pub(crate) fn points(device: &Device) -> Vec<Point> {
    rules::points(device.record.view(), device.record.ledger())
}

pub(crate) fn of(device: &Device, rule: Rule) -> Vec<Point> {
    points(device)
        .into_iter()
        .filter(|point| point.rule == rule)
        .collect()
}

pub(crate) fn settle(device: &mut Device, point: &Point, choice: &str, why: Option<&str>) {
    let edit = Edit::Settle {
        point: point.id.clone(),
        choice: choice.to_owned(),
        why: why.map(str::to_owned),
    };
    device.edit(&edit);
}

pub(crate) fn assembly(device: &mut Device, name: &str) -> Id {
    device.make::<Assembly>(AssemblyFields {
        name: name.into(),
        ..Default::default()
    })
}

pub(crate) fn job(device: &mut Device, what: &str, assembly: &Id) -> Id {
    device.make::<Job>(JobFields {
        what: what.into(),
        assembly: Given::Put(assembly.clone()),
        ..Default::default()
    })
}

pub(crate) fn close(device: &mut Device, assembly: &Id) {
    device.edit(&Edit::CloseUp {
        assembly: assembly.clone(),
        waive: Vec::new(),
    });
}
