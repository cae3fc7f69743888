//! Matching of parts to places: which piston, pin and rod go to which cylinder, so that the figures come out even.
//!
//! There are n places and n parts of each type; every part is used once. A figure has a value for each place and the parts at it, and
//! limits that must hold at every place. The spread of a figure is its greatest value less its least over the places. The first
//! figure's spread is made as small as it can be, then the second's among all orders with that least spread, and so on.
//!
//! # Method
//! For each figure in turn: exchanges of two parts give a good order; then windows of values, just narrower than the spread found,
//! are tried at every level where the least value may be, those before it held to their spreads. Whether an order keeps to
//! the windows is an exact cover of places and parts, settled by search. A window is refuted without search where it does not hold
//! the mean, which is nearly the same for every order: the values are taken apart into a share of the place and a share of each part,
//! and the largest departure from their sum over the whole table is allowed for. With one type this is the balanced assignment
//! problem (Martello, Pulleyblank, Toth, de Werra, "Balanced optimization problems", Operations Research Letters 3 (1984); from memory).
//!
//! # What is proved
//! The search counts nodes, not time, so that the result is the same on any machine. A spread is *proved* when every window narrower
//! than it has been refuted. Where the nodes run out first, the best order found comes back with a lower bound: every window narrower
//! than the bound has been refuted. The bound of a later figure holds among the orders whose earlier figures have spreads no greater
//! than those reported.
//!
//! Values nearer than [`SAME`] of the table's largest magnitude are taken as equal, and so are spreads: rounding leaves no difference.

mod cover;
mod figure;
mod improve;
mod narrow;

pub use figure::MatchedFigure;

use crate::error::{Error, Result};
use cover::{Outcome, cover};
use figure::{Parts, check_counts, count_out_of_range};
use narrow::Stage;

/// The most places that can be matched.
pub const MOST_PLACES: usize = 16;

/// The most types of parts that can be matched.
pub const MOST_TYPES: usize = 4;

/// Values nearer than this, as a share of the table's largest magnitude, are taken as equal.
pub const SAME: f64 = 1e-9;

/// Nodes of the search that are enough for eight places, and for a good order with a bound at sixteen.
pub const DEFAULT_EFFORT: u64 = 400_000;

/// An order of the parts, how even it is, and what is proved of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Matching {
    /// The part of each type at each place: `assignment[place][type]`.
    pub assignment: Vec<Vec<usize>>,
    /// The greatest value less the least of each figure.
    pub spreads: Vec<f64>,
    /// Proved lower bounds of the spreads; equal to them where they are the least.
    pub bounds: Vec<f64>,
    /// Whether every spread is proved the least.
    pub proved: bool,
    /// The spreads with the parts in the order they came.
    pub delivered: Vec<f64>,
    /// Whether the limits hold with the parts in the order they came.
    pub delivered_holds: bool,
}

/// Matches parts to places, so that every limit holds and the figures are as even as they can be, the first first.
///
/// `effort` is the number of nodes the search may take, such as [`DEFAULT_EFFORT`]. Types that no figure depends on keep the order they
/// came in, and so does all if no order is better.
///
/// # Errors
/// [`Error::OutOfRange`] for 0 or more than 16 places and for 0 or more than 4 types; where no order holds the limits, which is then
/// proved; and, naming the search effort, where none was found but the effort ran out before that was proved.
/// [`Error::WrongLength`] for a figure made for other numbers of places or types.
pub fn match_parts(places: usize, types: usize, figures: &[MatchedFigure], effort: u64) -> Result<Matching> {
    check_counts(places, types)?;
    figures.iter().try_for_each(|figure| fits(figure, places, types))?;
    let delivered: Vec<Parts> = (0..places).map(|place| [place; MOST_TYPES]).collect();
    let mut nodes = effort;
    let mut order = start(figures, &delivered, &mut nodes, effort)?;
    let mut settled = Vec::new();
    let mut bounds = Vec::new();
    for (index, figure) in figures.iter().enumerate() {
        order = improve::improve(figures, &settled, &order);
        let mut share = nodes / (figures.len() - index) as u64;
        nodes -= share;
        let (best, spread, bound) = Stage::new(figures, figure, &settled, order).finish(&mut share);
        nodes += share;
        order = best;
        settled.push(spread);
        bounds.push(bound);
    }
    let spreads: Vec<f64> = figures.iter().map(|figure| figure.spread(&order)).collect();
    let proved = bounds.iter().zip(&settled).all(|(bound, spread)| bound >= spread);
    for (bound, (spread, settled)) in bounds.iter_mut().zip(spreads.iter().zip(&settled)) {
        *bound = if *bound >= *settled { *spread } else { bound.min(*spread) };
    }
    let assignment = order.iter().map(|parts| parts.iter().take(types).copied().collect()).collect();
    let delivered_holds = figures.iter().all(|figure| figure.holds(&delivered));
    let delivered = figures.iter().map(|figure| figure.spread(&delivered)).collect();
    Ok(Matching { assignment, spreads, bounds, proved, delivered, delivered_holds })
}

fn fits(figure: &MatchedFigure, places: usize, types: usize) -> Result<()> {
    for (field, found, expected) in
        [("places of a figure", figure.places, places), ("part types of a figure", figure.types, types)]
    {
        if found != expected {
            return Err(Error::WrongLength { field: field.into(), found, expected: expected.to_string() });
        }
    }
    Ok(())
}

/// An order that holds the limits: the one delivered if it does, else one found by exchanges, else by search.
fn start(figures: &[MatchedFigure], delivered: &[Parts], nodes: &mut u64, effort: u64) -> Result<Vec<Parts>> {
    let holds = |order: &[Parts]| figures.iter().all(|figure| figure.holds(order));
    if holds(delivered) {
        return Ok(delivered.to_vec());
    }
    let improved = improve::improve(figures, &[], delivered);
    if holds(&improved) {
        return Ok(improved);
    }
    let limits: Vec<(f64, f64)> = figures.iter().map(|figure| figure.limits).collect();
    match cover(figures, &limits, delivered, nodes) {
        Outcome::Found(order) => Ok(order),
        Outcome::Refuted => Err(count_out_of_range(
            "the set of limits",
            "held by no order of the parts (proved)",
            "limits that some order holds at every place",
        )),
        Outcome::Exhausted => Err(count_out_of_range(
            "search effort",
            format!("{effort} nodes"),
            "more: no order within the limits was found, and none is proved impossible",
        )),
    }
}

/// The entry of a list; the default past its end, where no index of this module goes.
fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
    list.get(index).copied().unwrap_or_default()
}
