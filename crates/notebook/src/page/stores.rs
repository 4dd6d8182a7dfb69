//! The Stores place, as plain lists.

use record::entities::{Container, Order, Part, PartRef};
use record::lies::{Lies, whereabouts};
use record::words::OrderState;
use record::{Entity, Kind, Ref, Tree, called};

use super::lines::Reader;
use crate::wire::{ContainerLine, Named, OrderLine, StoresPage};

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
        nowhere: parts().filter(nowhere).map(named).collect(),
        orders,
    }
}
