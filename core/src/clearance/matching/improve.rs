//! A good order to start from: exchanges of two parts, accepted while they make it little worse (threshold accepting).

use super::figure::{MatchedFigure, Parts};
use super::{MOST_TYPES, at};

/// Exchanges tried for each pair of places.
const EXCHANGES: usize = 1000;

/// The first and the last threshold, in typical steps of a figure.
const THRESHOLDS: (f64, f64) = (1.0, 0.0);

/// How much more an earlier figure's excess counts than the figure to be evened out, and a limit's than that.
const WEIGHTS: (f64, f64) = (4.0, 16.0);

/// Evens out the figure that comes after the settled ones, without letting those grow.
///
/// The order that comes back is the one given unless a better was found: limits first, then the settled spreads, then the figure's own.
pub(super) fn improve(figures: &[MatchedFigure], settled: &[f64], start: &[Parts]) -> Vec<Parts> {
    let kinds = movable(figures, settled.len());
    let n = start.len();
    if n < 2 || kinds.is_empty() {
        return start.to_vec();
    }
    let scales: Vec<f64> = figures.iter().map(|figure| scale(figure, n)).collect();
    let aim = Aim { figures, settled, scales: &scales };
    let mut order = start.to_vec();
    let mut now = aim.badness(&order);
    let mut best = (aim.rank(&order), order.clone());
    let mut random = Random(n as u64);
    let rounds = EXCHANGES * n * (n - 1) / 2;
    for round in 0..rounds {
        let kind = at(&kinds, random.below(kinds.len()));
        let (p, q) = (random.below(n), random.below(n));
        exchange(&mut order, kind, p, q);
        let then = aim.badness(&order);
        // Three times from warm to cold.
        let progress = (3 * round % rounds) as f64 / rounds as f64;
        let threshold = THRESHOLDS.0 + (THRESHOLDS.1 - THRESHOLDS.0) * progress;
        if then > now + threshold * random.unit() {
            exchange(&mut order, kind, p, q);
            continue;
        }
        if then < now && aim.better(&order, &best.0) {
            best = (aim.rank(&order), order.clone());
        }
        now = then;
    }
    best.1
}

/// The types that a figure up to this one, or a limit that can be broken, bears on.
fn movable(figures: &[MatchedFigure], index: usize) -> Vec<usize> {
    let bears = |(i, figure): (usize, &MatchedFigure), kind| {
        figure.depends_on(kind) && (i <= index || !figure.always_within(figure.limits))
    };
    (0..MOST_TYPES).filter(|kind| figures.iter().enumerate().any(|entry| bears(entry, *kind))).collect()
}

/// A typical step of a figure: its range over the places.
fn scale(figure: &MatchedFigure, n: usize) -> f64 {
    let range = figure.levels.last().copied().unwrap_or(0.0) - figure.level(0);
    (range / (4 * n) as f64).max(figure.same).max(f64::MIN_POSITIVE)
}

fn exchange(order: &mut [Parts], kind: usize, p: usize, q: usize) {
    let part = |place: usize| order.get(place).and_then(|parts| parts.get(kind)).copied();
    let (Some(of_p), Some(of_q)) = (part(p), part(q)) else { return };
    for (place, part) in [(p, of_q), (q, of_p)] {
        if let Some(there) = order.get_mut(place).and_then(|parts| parts.get_mut(kind)) {
            *there = part;
        }
    }
}

/// What is aimed at: the figure after the settled ones.
struct Aim<'a> {
    figures: &'a [MatchedFigure],
    settled: &'a [f64],
    scales: &'a [f64],
}

impl Aim<'_> {
    /// One number to go down on: spread, excess over the settled spreads, and what is outside the limits.
    fn badness(&self, order: &[Parts]) -> f64 {
        let one = |(index, (figure, scale)): (usize, (&MatchedFigure, &f64))| {
            let (low, high) = figure.extremes(order);
            let outside = (figure.limits.0 - low).max(0.0) + (high - figure.limits.1).max(0.0);
            let spread = match self.settled.get(index) {
                Some(settled) => WEIGHTS.0 * (high - low - settled - figure.same).max(0.0),
                None if index == self.settled.len() => high - low,
                None => 0.0,
            };
            (spread + WEIGHTS.1 * outside) / scale
        };
        self.figures.iter().zip(self.scales).enumerate().map(one).sum()
    }

    /// The number of figures outside their limits, of settled figures grown, and the spread aimed at.
    fn rank(&self, order: &[Parts]) -> (usize, usize, f64) {
        let outside = self.figures.iter().filter(|figure| !figure.holds(order)).count();
        let grown =
            self.figures.iter().zip(self.settled).filter(|(f, s)| f.spread(order) > *s + f.same).count();
        (outside, grown, self.figures.get(self.settled.len()).map_or(0.0, |figure| figure.spread(order)))
    }

    fn better(&self, order: &[Parts], than: &(usize, usize, f64)) -> bool {
        let same = self.figures.get(self.settled.len()).map_or(0.0, |figure| figure.same);
        let (outside, grown, spread) = self.rank(order);
        (outside, grown) < (than.0, than.1) || (outside, grown) == (than.0, than.1) && spread < than.2 - same
    }
}

/// A fixed sequence of numbers without pattern, so that the result is the same on any machine.
///
/// Splitmix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", 2014; from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
