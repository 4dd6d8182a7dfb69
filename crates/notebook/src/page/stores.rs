//! The Stores place, as plain lists.

use record::entities::{Container, Order, Part, PartRef};
use record::lies::{Lies, whereabouts};
use record::words::{OldOne, OrderState};
use record::{Entity, Kind, Ref, Tree, called};

use super::lines::Reader;
use crate::wire::{ContainerLine, Named, OldPartLine, OrderLine, StoresPage};

/// The page, from a view of containers, parts and orders.
pub(crate) fn stores(read: &Reader<'_>) -> StoresPage {
    let view = read.view;
    let parts = || view.each_standing::<Part>();
    let named = |part: PartRef<'_>| Named {
        name: part.entry().name(),
        title: record::edit::title(part.entry()),
    };
    let containers = Tree::of_containers(view)
        .lines()
        .into_iter()
        .filter_map(|(depth, id)| {
            let container = view.one::<Container>(&id)?;
            let lies_here = |part: &PartRef<'_>| part.container() == Some(Lies::In((&id).into()));
            Some(ContainerLine {
                code: called(container.code()),
                name: container.name().map(record::shown),
                place: container.place().map(str::to_owned),
                depth: u32::try_from(depth).unwrap_or(u32::MAX),
                parts: view
                    .naming(&Ref::new(Kind::Container, id.clone()), Kind::Part)
                    .filter_map(Part::of)
                    .filter(|part| part.stands())
                    .filter(lies_here)
                    .map(named)
                    .collect(),
                id: id.clone(),
            })
        });
    let mut orders: Vec<OrderLine> = view
        .standing(Kind::Order)
        .map(|entry| {
            let order = Order::read(entry);
            OrderLine {
                id: order.id,
                what: called(order.what.as_deref()),
                part: order.part.map(|id| read.named(&Ref::new(Kind::Part, id))),
                state: order.state.unwrap_or(OrderState::ToFind),
                from: order.from,
                price: order.price,
                due: order.due,
            }
        })
        .collect();
    orders.sort_by(|a, b| (&a.state, a.due, &a.what, &a.id).cmp(&(&b.state, b.due, &b.what, &b.id)));
    let nowhere = |part: &PartRef<'_>| whereabouts(view, *part).to_seek;
    StoresPage {
        containers: containers.collect(),
        in_struck: super::inside::in_struck(read, Kind::Container),
        old_parts: old_parts(read),
        nowhere: parts().filter(nowhere).map(named).collect(),
        orders,
    }
}

/// Old parts by what becomes of them: what is owed to somebody and what is to be sold wait for a person, the rest only lies there.
fn old_parts(read: &Reader<'_>) -> Vec<OldPartLine> {
    let line = |part: PartRef<'_>| {
        Some(OldPartLine {
            part: read.named(&part.entry().name()),
            old_one: part.old_one()?,
            lies: whereabouts(read.view, part).said,
        })
    };
    let rank = |old_one: &OldOne| match old_one {
        OldOne::CoreOwed => 0,
        OldOne::ToSell => 1,
        OldOne::Spare => 2,
        OldOne::Pattern => 3,
        OldOne::Scrap => 4,
        OldOne::Other(_) => 5,
    };
    let mut all: Vec<OldPartLine> = read.view.each_standing::<Part>().filter_map(line).collect();
    all.sort_by_cached_key(|one| (rank(&one.old_one), one.part.title.clone(), one.part.name.clone()));
    all
}
