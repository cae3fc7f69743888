//! The bores of columns that have one hole each: searched hole by hole, the last two by geometry.

use super::candidate::{Candidates, Choice, Column};
use super::relax::{Bound, Node, Point, SPACED, bound, dot, gain, refutes, support_spaced, with};
use super::search::{Chosen, Kept, Search, keep};

/// A plan with less metal by less than this share is no better.
const SAME: f64 = 1e-9;

/// Slack of the intervals of amounts that are looked through; what is found there is checked.
const SLACK: f64 = 1e-9;

/// p.x of a choice.
fn value(column: &Column, choice: &Choice, p: &Point) -> f64 {
    let metal = p.get(4).copied().unwrap_or_default();
    gain(column, p) * choice.amount + metal * choice.metal
}

/// Whether both planes are inside their limits.
pub(super) fn inside(base: &Point, limits: &[f64; 2]) -> bool {
    let [x, y, z, w, _] = base;
    let [a, b] = limits;
    x.hypot(*y) <= *a && z.hypot(*w) <= *b
}

/// Where |u + t v|^2 <= r2.
fn within(uu: f64, uv: f64, vv: f64, r2: f64) -> Option<(f64, f64)> {
    if vv <= f64::MIN_POSITIVE {
        return (uu <= r2).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    let (middle, rest) = (-uv / vv, (r2 - uu) / vv);
    let square = middle * middle + rest;
    // The difference of large squares rounds: a slack far above that, and far below any step.
    let half = square + SLACK * SLACK + 1e-14 * middle * middle;
    (half >= 0.0).then(|| (middle - half.sqrt() - SLACK, middle + half.sqrt() + SLACK))
}

/// Choices with amounts in an interval.
fn between(column: &Column, (low, high): (f64, f64)) -> &[Choice] {
    let from = column.choices.partition_point(|choice| choice.amount < low);
    let to = column.choices.partition_point(|choice| choice.amount <= high);
    column.choices.get(from..to).unwrap_or_default()
}

impl Search<'_> {
    /// Searches the bores of the free columns; its bound where that refutes them.
    pub(super) fn settle(
        &mut self,
        base: &Point,
        fixed: &mut Vec<Chosen>,
        free: &[usize],
        start: &Point,
    ) -> Option<Bound> {
        match free {
            [] => self.accept(base, fixed),
            [last] => self.last(base, fixed, *last),
            [a, b] => self.pair(base, fixed, *a, *b),
            _ => return self.fix(base, fixed, free, start),
        }
        None
    }

    fn accept(&mut self, base: &Point, fixed: &[Chosen]) {
        let [.., metal] = *base;
        if inside(base, &self.target.limits) && self.target.ceiling.is_none_or(|ceiling| metal <= ceiling) {
            self.best = Some((metal, fixed.to_vec()));
            self.target.ceiling = self.target.ceiling.map(|_| metal * (1.0 - SAME));
        }
    }

    fn apart(&self, fixed: &[Chosen], column: &Column, choice: &Choice) -> bool {
        let clear = |(index, other): &Chosen| {
            self.column(*index).is_some_and(|there| Candidates::apart((there, other), (column, choice)))
        };
        fixed.iter().all(clear)
    }

    /// The last hole: of those that bring both planes inside, the one with the least metal.
    fn last(&mut self, base: &Point, fixed: &mut Vec<Chosen>, index: usize) {
        let Some(column) = self.column(index) else { return };
        self.work = self.work.saturating_sub(1);
        let Some(interval) = self.reach(base, column) else { return };
        for choice in between(column, interval) {
            self.work = self.work.saturating_sub(1);
            if self.apart(fixed, column, choice) {
                fixed.push((index, *choice));
                self.accept(&with(base, column, choice.amount, choice.metal), fixed);
                fixed.pop();
            }
        }
    }

    /// The amounts of a column that bring both planes inside.
    fn reach(&self, base: &Point, column: &Column) -> Option<(f64, f64)> {
        let [x, y, z, w, _] = *base;
        let [a, b] = column.effect;
        let [limit_a, limit_b] = self.target.limits;
        let in_a = within(x * x + y * y, x * a.re + y * a.im, a.norm_sqr(), limit_a * limit_a)?;
        let in_b = within(z * z + w * w, z * b.re + w * b.im, b.norm_sqr(), limit_b * limit_b)?;
        Some((in_a.0.max(in_b.0), in_a.1.min(in_b.1)))
    }

    /// A vector of both planes over their limits: inside, its length is at most the root of 2.
    fn over_limits(&self, point: &Point) -> Point {
        let [x, y, z, w, _] = *point;
        let [a, b] = self.target.limits;
        [x / a, y / a, z / b, w / b, 0.0]
    }

    /// The last two holes: what the second cannot change tells which first ones may serve.
    fn pair(&mut self, base: &Point, fixed: &mut Vec<Chosen>, first: usize, second: usize) {
        let (Some(a), Some(b)) = (self.column(first), self.column(second)) else { return };
        self.work = self.work.saturating_sub(4);
        let zero = Point::default();
        let there = self.over_limits(base);
        let [va, vb] = [a, b].map(|column| self.over_limits(&with(&zero, column, 1.0, 0.0)));
        let bb = dot(&vb, &vb);
        let across = |u: &Point, v: &Point| dot(u, v) - dot(u, &vb) * dot(v, &vb) / bb;
        let interval = within(across(&there, &there), across(&there, &va), across(&va, &va), 2.0);
        let least = b.choices.iter().map(|choice| choice.metal).fold(f64::INFINITY, f64::min);
        for choice in interval.map(|interval| between(a, interval)).unwrap_or_default() {
            let next = with(base, a, choice.amount, choice.metal);
            let [.., metal] = next;
            let heavy = self.target.ceiling.is_some_and(|ceiling| metal + least > ceiling);
            if self.stopped() || heavy || !self.apart(fixed, a, choice) {
                continue;
            }
            fixed.push((first, *choice));
            self.last(&next, fixed, second);
            fixed.pop();
        }
    }

    /// One hole of three or more: every bore that no vector refutes.
    fn fix(&mut self, base: &Point, fixed: &mut Vec<Chosen>, free: &[usize], start: &Point) -> Option<Bound> {
        let node = Node { base: *base, fixed: &fixed.clone(), chosen: free, pool: &[], more: 0, room: &[] };
        let bound = bound(self.candidates, &self.target, &node, start, &mut self.work);
        if bound.refutes() {
            return Some(bound);
        }
        let free = self.best_pair_last(free);
        let (index, rest) = free.split_first()?;
        let column = self.column(*index)?;
        let mut kept = Vec::new();
        // Without the column, so that it holds for all its bores.
        let others = fixed.clone();
        let bare = Node { base: *base, fixed: &others, chosen: rest, pool: &[], more: 0, room: &[] };
        keep(&mut kept, bound.p, support_spaced(self.candidates, &self.target, &bare, &bound.p).1);
        for choice in &column.choices {
            let refuted = |kept: &Kept| refutes(kept.rest + value(column, choice, &kept.p));
            self.work = self.work.saturating_sub(kept.len() as u64);
            if self.stopped() {
                break;
            }
            if kept.iter().any(refuted) || !self.apart(fixed, column, choice) {
                continue;
            }
            fixed.push((*index, *choice));
            let next = with(base, column, choice.amount, choice.metal);
            let below = self.settle(&next, fixed, rest, &bound.p);
            fixed.pop();
            if let Some(below) = below {
                self.work = self.work.saturating_sub(10 * SPACED);
                keep(&mut kept, below.p, support_spaced(self.candidates, &self.target, &bare, &below.p).1);
            }
        }
        None
    }

    /// The columns with the two that are most unlike at the end.
    fn best_pair_last(&self, free: &[usize]) -> Vec<usize> {
        let zero = Point::default();
        let vectors: Vec<(usize, Point)> = free
            .iter()
            .filter_map(|index| {
                Some((*index, self.over_limits(&with(&zero, self.column(*index)?, 1.0, 0.0))))
            })
            .collect();
        let mut best = (f64::NEG_INFINITY, 0, 0);
        for (at, (i, a)) in vectors.iter().enumerate() {
            for (j, b) in vectors.iter().skip(at + 1) {
                let area = dot(a, a) * dot(b, b) - dot(a, b) * dot(a, b);
                if area > best.0 {
                    best = (area, *i, *j);
                }
            }
        }
        let (_, i, j) = best;
        free.iter().copied().filter(|k| *k != i && *k != j).chain([i, j]).collect()
    }
}
