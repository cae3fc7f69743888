//! The least spread of one figure, those before it kept: windows tried, narrowed and refuted.
//!
//! Every order has a least value of each figure, and that is a level of its table. A region holds a range of levels for the least value
//! of each figure up to the one sought; all its orders have every value in the window from the range's start to its end plus the
//! spread allowed. A region whose windows no order keeps to is refuted; one with an order that is no better is divided.

use super::at;
use super::cover::{Outcome, cover};
use super::figure::{MatchedFigure, Parts};

/// The nodes that a region may take in the first round; four times as many in each round after.
const FIRST_ALLOWANCE: u64 = 1024;

/// The most levels in a range for which a refuted width is rounded up to the next difference of levels.
const ROUNDED: usize = 64;

/// The search for the least spread of the figure that comes after the settled ones.
pub(super) struct Stage<'a> {
    figures: &'a [MatchedFigure],
    figure: &'a MatchedFigure,
    settled: &'a [f64],
    order: Vec<Parts>,
    spread: f64,
    open: Vec<Region>,
}

#[derive(Clone)]
struct Region {
    /// The first and the last level that the least value of each figure may be.
    ranges: Vec<(usize, usize)>,
    /// No order of the region has a spread below this.
    refuted: f64,
}

impl<'a> Stage<'a> {
    pub(super) fn new(
        figures: &'a [MatchedFigure],
        figure: &'a MatchedFigure,
        settled: &'a [f64],
        order: Vec<Parts>,
    ) -> Self {
        let whole = |figure: &MatchedFigure| (0, figure.levels.len().saturating_sub(1));
        let ranges = figures.iter().take(settled.len() + 1).map(whole).collect();
        let spread = figure.spread(&order);
        Self { figures, figure, settled, order, spread, open: vec![Region { ranges, refuted: 0.0 }] }
    }

    /// The best order, its spread, and the proved lower bound of the spread: equal where it is the least.
    pub(super) fn finish(mut self, nodes: &mut u64) -> (Vec<Parts>, f64, f64) {
        let mut for_bound = *nodes / 4;
        *nodes -= for_bound;
        self.narrow(nodes);
        *nodes += for_bound;
        for_bound = *nodes;
        let bound = self.bound(&mut for_bound);
        *nodes = for_bound;
        let proved = bound >= self.spread - self.figure.same;
        (self.order, self.spread, if proved { self.spread } else { bound })
    }

    /// Refutes and divides regions until none is left or the nodes ran out.
    fn narrow(&mut self, nodes: &mut u64) {
        let mut allowance = FIRST_ALLOWANCE;
        while !self.open.is_empty() && *nodes > 0 {
            let mut stack = core::mem::take(&mut self.open);
            stack.reverse();
            while let Some(region) = stack.pop() {
                match self.test(&region, self.spread, allowance, nodes) {
                    Outcome::Refuted => {}
                    Outcome::Found(order) if self.accept(&order) => stack.push(region),
                    Outcome::Found(order) => match self.divide(&region, Some(&order)) {
                        Some(parts) => stack.extend(parts),
                        None => self.open.push(region),
                    },
                    Outcome::Exhausted => match self.divide(&region, None) {
                        Some(parts) => self.open.extend(parts),
                        None => self.open.push(region),
                    },
                }
            }
            allowance = allowance.saturating_mul(4);
        }
    }

    /// Refutes narrower windows in the regions left, by bisection.
    fn bound(&mut self, nodes: &mut u64) -> f64 {
        let mut high = self.spread;
        loop {
            let least = self.open.iter().map(|region| self.least(region)).fold(f64::INFINITY, f64::min);
            high = high.min(self.spread);
            if high - least <= 2.0 * self.figure.same || *nodes == 0 {
                return least.min(self.spread);
            }
            let width = least + (high - least) / 2.0;
            if !self.refute(width, nodes) {
                high = width;
            }
        }
    }

    /// Whether a spread below the width is refuted in every region left.
    fn refute(&mut self, width: f64, nodes: &mut u64) -> bool {
        let mut regions = core::mem::take(&mut self.open);
        let allowance = *nodes / (2 * regions.len().max(1) as u64) + 1;
        let mut all = true;
        for region in &mut regions {
            if !all || self.least(region) >= width - self.figure.same {
                continue;
            }
            match self.test(region, width, allowance, nodes) {
                Outcome::Refuted => region.refuted = width,
                Outcome::Found(order) => {
                    self.accept(&order);
                    all = false;
                }
                Outcome::Exhausted => all = false,
            }
        }
        self.open = regions;
        all
    }

    /// Looks for an order of the region with a spread below the width.
    fn test(&self, region: &Region, width: f64, allowance: u64, nodes: &mut u64) -> Outcome {
        let mut own = allowance.min(*nodes);
        *nodes -= own;
        let outcome = cover(self.figures, &self.windows(region, width), &self.order, &mut own);
        *nodes += own;
        outcome
    }

    fn windows(&self, region: &Region, width: f64) -> Vec<(f64, f64)> {
        let window = |(index, figure): (usize, &MatchedFigure)| {
            let Some((first, last)) = region.ranges.get(index) else { return figure.limits };
            let room = self.settled.get(index).map_or(width - figure.same, |settled| settled + figure.same);
            let (low, high) = (figure.level(*first), figure.level(*last) + room);
            (low.max(figure.limits.0), high.min(figure.limits.1))
        };
        self.figures.iter().enumerate().map(window).collect()
    }

    /// Takes an order that is better.
    fn accept(&mut self, order: &[Parts]) -> bool {
        let spread = self.figure.spread(order);
        let better = spread < self.spread - self.figure.same / 2.0 && self.grown(order).is_none();
        if better {
            self.order = order.to_vec();
            self.spread = spread;
        }
        better
    }

    /// The first settled figure whose spread has grown.
    fn grown(&self, order: &[Parts]) -> Option<usize> {
        let mut settled = self.figures.iter().zip(self.settled);
        settled.position(|(figure, settled)| figure.spread(order) > settled + 1.5 * figure.same)
    }

    /// Halves a range: of the figure that an order shows to be too wide, else of the one widest for its spread.
    fn divide(&self, region: &Region, order: Option<&[Parts]>) -> Option<[Region; 2]> {
        let index = match order {
            Some(order) => self.grown(order).unwrap_or(self.settled.len()),
            None => self.widest(region)?,
        };
        let (first, last) = *region.ranges.get(index).filter(|(first, last)| first < last)?;
        let middle = first + (last - first) / 2;
        let half = |range: (usize, usize)| {
            let mut half = region.clone();
            half.ranges.iter_mut().skip(index).take(1).for_each(|old| *old = range);
            half
        };
        Some([half((first, middle)), half((middle + 1, last))])
    }

    fn widest(&self, region: &Region) -> Option<usize> {
        let entries = region.ranges.iter().zip(self.figures).enumerate();
        let width = |(index, ((first, last), figure)): (usize, (&(usize, usize), &MatchedFigure))| {
            let spread = self.settled.get(index).copied().unwrap_or(self.spread);
            (
                index,
                (figure.level(*last) - figure.level(*first)) / spread.max(figure.same).max(f64::MIN_POSITIVE),
            )
        };
        let widest = entries.map(width).filter(|(_, width)| *width > 0.0).max_by(|a, b| a.1.total_cmp(&b.1));
        widest.map(|(index, _)| index)
    }

    /// The least spread not refuted in a region.
    fn least(&self, region: &Region) -> f64 {
        let levels = &self.figure.levels;
        let (first, last) = at(&region.ranges, self.settled.len());
        if last - first >= ROUNDED {
            return region.refuted;
        }
        let next = |index: usize| {
            let low = self.figure.level(index);
            let next = levels.partition_point(|v| *v < low + region.refuted - self.figure.same);
            levels.get(next).map_or(f64::INFINITY, |v| (v - low).max(0.0))
        };
        (first..=last).map(next).fold(f64::INFINITY, f64::min)
    }
}
