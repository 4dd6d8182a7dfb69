//! The Stores place, as plain lists.

use record::entities::{Container, Order};
use record::words::OrderState;
use record::{Entity, Entry, Kind, Ref, Tree};

use super::Reader;
use crate::wire::{ContainerLine, Named, OrderLine, StoresPage};

/// The page, from a view of containers, parts and orders.
pub(crate) fn stores(read: &Reader<'_>) -> StoresPage {
    let view = read.view;
    let named = |entry: &Entry| Named {
        name: entry.name(),
        title: record::edit::title(entry),
    };
    let containers = Tree::of_containers(view)
        .lines()
        .into_iter()
        .filter_map(|(depth, id)| {
            let container = Container::read(view.get(Kind::Container, &id)?);
            let lies_here = |entry: &&Entry| entry.line("container") == Some(id.as_str());
            Some(ContainerLine {
                code: view.get(Kind::Container, &id)?.called("code"),
                name: container.name.map(|name| record::shown(&name)),
                place: container.place,
                depth: u32::try_from(depth).unwrap_or(u32::MAX),
                parts: view.standing(Kind::Part).filter(lies_here).map(named).collect(),
                id: id.clone(),
            })
        });
    let mut orders: Vec<OrderLine> = view
        .standing(Kind::Order)
        .map(|entry| {
            let order = Order::read(entry);
            OrderLine {
                id: order.id,
                what: entry.called("what"),
                part: order.part.map(|id| read.named(&Ref::new(Kind::Part, id))),
                state: order.state.unwrap_or(OrderState::ToFind),
                from: order.from,
                price: order.price,
                due: order.due,
            }
        })
        .collect();
    orders.sort_by(|a, b| (&a.state, a.due, &a.what, &a.id).cmp(&(&b.state, b.due, &b.what, &b.id)));
    let nowhere = |entry: &&Entry| entry.line("container").is_none();
    StoresPage {
        containers: containers.collect(),
        in_struck: super::inside::in_struck(read, Kind::Container),
        nowhere: view.standing(Kind::Part).filter(nowhere).map(named).collect(),
        orders,
    }
}
