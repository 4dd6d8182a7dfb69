//! The Keepers place, and points to settle with names in place of ids.

use std::collections::BTreeMap;

use record::entities::{Device, DeviceRef, Keeper, KeeperRef};
use record::rules::{Point, Rule, Side};
use record::{Id, Kind, Moment, Scalar, called};

use super::Reader;
use crate::wire::{DeviceLine, KeeperLine, Named, PointOut, SideOut};

/// What is known of other devices: when they last met this one, and how many changes they were known to have.
pub(crate) type Peers = BTreeMap<Id, (Option<Moment>, u32)>;

/// Keepers with their devices, this device's keeper first.
pub(crate) fn keepers(
    read: &Reader<'_>,
    me: Option<&Id>,
    device: &Id,
    peers: &Peers,
    changes: u32,
) -> Vec<KeeperLine> {
    let mut keepers: Vec<KeeperRef<'_>> = read.view.each_standing::<Keeper>().collect();
    keepers.sort_by_key(|keeper| (Some(keeper.id()) != me, called(keeper.name()), keeper.id()));
    let devices_of = |keeper: &Id| {
        let theirs = read
            .view
            .each_standing::<Device>()
            .filter(|device| device.keeper() == Some(keeper.into()));
        let line = |one: DeviceRef<'_>| DeviceLine {
            name: called(one.name()),
            this: one.id() == device,
            last_met: peers.get(one.id()).and_then(|(met, _)| *met),
            lacks: peers
                .get(one.id())
                .map(|(_, knows)| changes.saturating_sub(*knows)),
            id: one.id().clone(),
        };
        let mut lines: Vec<DeviceLine> = theirs.map(line).collect();
        lines.sort_by(|a, b| (!a.this, &a.name, &a.id).cmp(&(!b.this, &b.name, &b.id)));
        lines
    };
    let line = |keeper: &KeeperRef<'_>| KeeperLine {
        id: keeper.id().clone(),
        name: called(keeper.name()),
        pattern: read.pattern(Some(keeper.id())),
        me: Some(keeper.id()) == me,
        devices: devices_of(keeper.id()),
    };
    keepers.iter().map(line).collect()
}

/// Points ready to be shown.
pub(crate) fn points(read: &Reader<'_>, points: &[Point]) -> Vec<PointOut> {
    let out = |point: &Point| PointOut {
        id: point.id.clone(),
        rule: point.rule,
        title: point.title.clone(),
        about: point.about.clone(),
        things: match point.rule {
            Rule::SettledTwoWays => point.about.iter().map(|name| read.named(name)).collect(),
            _ => Vec::new(),
        },
        field: point.field.clone(),
        sides: point.sides.iter().map(|one| side(read, point, one)).collect(),
        choices: point.choices.clone(),
    };
    points.iter().map(out).collect()
}

fn side(read: &Reader<'_>, point: &Point, side: &Side) -> SideOut {
    SideOut {
        key: side.key.clone(),
        // The point knows what it is about; a sheet need not be among the entries at hand.
        about: Named {
            name: side.about.clone(),
            title: side.title.clone(),
        },
        // What a settlement chose is said by the rule, which knows what it was about.
        said: match point.rule {
            Rule::SettledTwoWays => side.title.clone(),
            _ => said(read, side, point.field.as_deref()),
        },
        value: side.value.clone(),
        by: read.by(&side.stamp),
        knew_other: side.knew_other,
    }
}

/// A value as a person reads it.
fn said(read: &Reader<'_>, side: &Side, field: Option<&str>) -> String {
    let shape = field
        .and_then(|field| record::entity::field_of(side.about.kind, field))
        .map(|def| def.shape);
    match (&side.value, shape) {
        (None, _) => "nothing".to_owned(),
        (Some(Scalar::Flag(flag)), _) if field.is_some_and(|field| field.contains(':')) => {
            if *flag { "in" } else { "out" }.to_owned()
        }
        (Some(Scalar::Flag(flag)), _) => if *flag { "yes" } else { "no" }.to_owned(),
        (Some(Scalar::Whole(number)), _) => number.to_string(),
        (Some(Scalar::Line(text)), Some(record::field::Shape::Link(kind))) => text.parse().map_or_else(
            |_| text.clone(),
            |id| read.named(&record::Ref::new(kind, id)).title,
        ),
        (Some(Scalar::Line(text)), Some(record::field::Shape::Ending)) => record::ending::End::of(text)
            .told(|job| read.named(&record::Ref::new(Kind::Job, job.clone())).title),
        (Some(Scalar::Line(text)), Some(record::field::Shape::About(_))) => text
            .parse()
            .map_or_else(|_| text.clone(), |name| read.named(&name).title),
        (Some(Scalar::Line(text)), Some(record::field::Shape::Word(_)) | None) => text.replace('_', " "),
        (Some(Scalar::Line(text)), _) => text.clone(),
    }
}
