//! What is the car's own: jobs and hold points of no assembly, and readings of the whole car. It reads entries only.

use record::Kind;
use record::rules::Point;
use record::verdict::Judge;

use super::assembly::{holds, jobs};
use super::home::Home;
use super::lines::Reader;
use crate::wire::CarOwn;

/// What is of no assembly, and all that was measured of the car.
pub(crate) fn own(read: &Reader<'_>, points: &[Point]) -> CarOwn {
    let home = Home::of_the_car(read);
    let judge = Judge::of(read.view);
    let mut readings: Vec<_> = home
        .about(read, Kind::Reading)
        .filter(|reading| reading.stands())
        .filter_map(|reading| read.reading(&judge, reading))
        .collect();
    readings.sort_by(|a, b| (&a.what, &a.at, a.on, &a.id).cmp(&(&b.what, &b.at, b.on, &b.id)));
    CarOwn {
        jobs: jobs(read, &home),
        holds: holds(read, &home, &judge, &readings, points),
        readings,
    }
}
