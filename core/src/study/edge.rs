//! Limits that one varied figure alone decides, as limits of that figure.

use super::batch::Ends;
use super::boxes::Bounded;
use super::figure::Figure;
use super::given::{Given, StudyLimit, possible};
use super::output::Direction;
use super::plan::{Value, visit};

/// The figure that alone decides a limit, and from where to where it holds it: exact, for outputs that rounding never turns. None for other limits.
pub(super) fn figure_ends(given: &Given, limit: &StudyLimit) -> Option<(usize, Ends)> {
    let shape = given.shape();
    let mut varied: Vec<Figure> = Vec::new();
    visit(Value::Output(limit.output), shape, &mut |value| {
        if let Value::Figure(figure) = value
            && given.place_of(figure).is_some()
            && !varied.contains(&figure)
        {
            varied.push(figure);
        }
    });
    let [figure] = varied.as_slice() else { return None };
    let place = given.place_of(*figure)?;
    let bounded = Bounded::new(limit.output, shape);
    let rises = match bounded.direction(*figure) {
        Direction::Rises => true,
        Direction::Falls => false,
        Direction::Still | Direction::Either => return None,
    };
    if !limit.output.is_monotone_to_the_bit(shape.offset) {
        return None;
    }
    let fixed = given.design([]);
    let at = |x: f64| {
        let mut design = fixed;
        if let Some(slot) = design.get_mut(figure.index()) {
            *slot = x;
        }
        bounded.at(&design)
    };
    let (least, most) = possible(*figure);
    if at(least).is_nan() || at(most).is_nan() {
        return None;
    }
    let (lower, upper) = limit.ends();
    // The first number from which an output that rises is high enough, and the first from which it is too high; the other way round for one that falls.
    let from = first((least, most), |x| if rises { at(x) >= lower } else { at(x) <= upper });
    let beyond = first((least, most), |x| if rises { at(x) > upper } else { at(x) < lower });
    let from = from.map_or(f64::INFINITY, value_of);
    let to = beyond.map_or(most, |place| value_of(place.saturating_sub(1)));
    Some((place, (from, to)))
}

/// Places of numbers in their order, one apart.
fn place_of(x: f64) -> i64 {
    let bits = x.to_bits() as i64;
    if bits < 0 { i64::MIN - bits } else { bits }
}

fn value_of(place: i64) -> f64 {
    f64::from_bits(if place < 0 { i64::MIN - place } else { place } as u64)
}

/// The place of the first number in a range for which something holds that holds for all above it.
fn first((least, most): Ends, holds: impl Fn(f64) -> bool) -> Option<i64> {
    if !holds(most) {
        return None;
    }
    // Somewhere above the low place, up to the high one.
    let (mut low, mut high) = (place_of(least) - 1, place_of(most));
    while i128::from(high) - i128::from(low) > 1 {
        let middle = (i128::from(low) + i128::from(high)).div_euclid(2) as i64;
        if holds(value_of(middle)) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}
