//! The fewest holes, then the least metal: searches by number of holes, then under ceilings of metal.

use super::candidate::{Candidates, Column};
use super::plan::of_plane;
use super::relax::{Bound, Node, Point, Target, bound, distance, dot, with};
use super::search::{Chosen, End, Search};
use super::settle::inside;
use core::f64::consts::{FRAC_PI_2, PI};
use num_complex::Complex64;

/// Ceilings of metal above its bound that are tried in turn, as shares of it; then the metal of the plan at hand.
const CEILINGS: [f64; 6] = [0.0005, 0.002, 0.008, 0.03, 0.1, f64::INFINITY];

/// Searches for holes nearer to limits that cannot be reached, at most, and how near the factor found is to its bound.
const NEARER: u64 = 20;
const NEAR: f64 = 0.01;

/// The share of the work that goes into choosing among plans of as little metal, and the most searches for it.
const SHARE_OF_TIES: u64 = 20;
const TIES: u64 = 12;

/// Metal that is nearer than this share is the same.
const SAME: f64 = 2e-9;

/// The best plan found and what is proved of it, in the scales of the search.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Solved {
    pub(super) holes: Vec<Chosen>,
    pub(super) metal: f64,
    /// No plan has fewer holes.
    pub(super) least_holes: usize,
    /// No plan with so many holes takes less metal.
    pub(super) least_metal: f64,
}

impl Solved {
    pub(super) fn proved(&self) -> bool {
        self.least_holes >= self.holes.len() && self.least_metal >= self.metal * (1.0 - SAME)
    }
}

/// What came out of the search.
pub(super) enum Outcome {
    Plan(Solved),
    /// Not even means of holes reach the limits.
    OutOfReach,
    /// Every plan was refuted, though means of holes would do.
    Refuted,
    /// Work ran out; no plan has fewer holes than this.
    Exhausted,
}

/// The first plan found, with a bound of the holes and the work left; or none.
enum Found {
    Plan { holes: Vec<Chosen>, least: usize, work: u64 },
    None(Outcome),
}

/// Holes that come nearest to the limits.
pub(super) struct Nearest {
    pub(super) holes: Vec<Chosen>,
    /// The greater of both unbalances over their limits with these holes.
    pub(super) factor: f64,
    /// No holes reach less.
    pub(super) least: f64,
}

/// The problem in the scales of the search.
pub(super) struct Problem<'c> {
    pub(super) candidates: &'c Candidates,
    pub(super) base: Point,
    pub(super) limits: [f64; 2],
    pub(super) most: usize,
}

impl Problem<'_> {
    fn start(&self) -> Point {
        let length = dot(&self.base, &self.base).sqrt().max(f64::MIN_POSITIVE);
        self.base.map(|part| part / length)
    }

    fn target(&self, ceiling: Option<f64>) -> Target {
        Target { limits: self.limits, ceiling, fewer: false }
    }

    /// Solves it within an amount of work.
    pub(super) fn solve(&self, effort: u64) -> Outcome {
        match self.find(effort) {
            Found::Plan { holes, least, work } => {
                let mut solved = self.lighten(holes, least, work);
                self.leave_less(&mut solved, effort / SHARE_OF_TIES);
                Outcome::Plan(solved)
            }
            Found::None(outcome) => outcome,
        }
    }

    /// A plan with the fewest holes.
    fn find(&self, effort: u64) -> Found {
        if inside(&self.base, &self.limits) {
            return Found::Plan { holes: Vec::new(), least: 0, work: effort };
        }
        if self.relaxed(self.limits).refutes() {
            return Found::None(Outcome::OutOfReach);
        }
        let (mut work, mut least) = (effort, None);
        for holes in 1..=self.most {
            let share = if holes == self.most { work } else { work / 3 };
            let mut search = self.search(share, None);
            let end = search.run(&self.base, holes, &self.start());
            work = work - share + search.work;
            if let Some((_, plan)) = search.best {
                return Found::Plan { holes: plan, least: least.unwrap_or(holes), work };
            }
            if end == End::Exhausted {
                least = least.or(Some(holes));
            }
        }
        Found::None(if least.is_some() { Outcome::Exhausted } else { Outcome::Refuted })
    }

    /// The holes that bring both planes nearest to their limits, and a factor of the limits below which no holes bring them.
    pub(super) fn nearest(&self, refuted: bool, effort: u64) -> Nearest {
        let mut near = Nearest { holes: Vec::new(), factor: self.factor(&[]), least: self.least_factor() };
        if refuted {
            near.least = near.least.max(1.0);
        }
        let (mut low, mut gapless) = (near.least.max(1.0), true);
        for _ in 0..NEARER {
            if near.factor <= low * (1.0 + NEAR) {
                break;
            }
            // As long as all below is refuted, in steps that are easily refuted.
            let middle = (low * near.factor).sqrt();
            let factor = if gapless { middle.min(2.0 * low) } else { middle };
            let limits = self.limits.map(|limit| limit * factor);
            let wider = Self { candidates: self.candidates, base: self.base, limits, most: self.most };
            match wider.find(effort / (2 * NEARER)) {
                Found::Plan { holes, .. } => {
                    near.factor = self.factor(&holes);
                    near.holes = holes;
                }
                Found::None(outcome) => {
                    low = factor;
                    gapless &= !matches!(outcome, Outcome::Exhausted);
                    near.least = if gapless { near.least.max(low) } else { near.least };
                }
            }
        }
        near
    }

    /// The greater of both unbalances over their limits, with these holes.
    fn factor(&self, holes: &[Chosen]) -> f64 {
        let mut base = self.base;
        for (index, choice) in holes {
            if let Some(column) = self.candidates.columns.get(*index) {
                base = with(&base, column, choice.amount, choice.metal);
            }
        }
        let [x, y, z, w, _] = base;
        let [a, b] = self.limits;
        (x.hypot(y) / a).max(z.hypot(w) / b)
    }

    fn search(&self, work: u64, ceiling: Option<f64>) -> Search<'_> {
        let target = self.target(ceiling);
        Search { candidates: self.candidates, target, work, first: ceiling.is_none(), best: None }
    }

    /// From a plan to one with as many holes and the least metal.
    fn lighten(&self, holes: Vec<Chosen>, least_holes: usize, mut work: u64) -> Solved {
        if holes.is_empty() {
            return Solved { holes, metal: 0.0, least_holes: 0, least_metal: 0.0 };
        }
        let metal: f64 = holes.iter().map(|(_, choice)| choice.metal).sum();
        let (first, start) = self.least_metal(holes.len(), metal);
        let mut solved = Solved { holes, metal, least_holes, least_metal: first };
        let mut gapless = true;
        let mut at = 0;
        while let Some(share) = CEILINGS.get(at) {
            if solved.least_metal >= solved.metal * (1.0 - SAME) || work == 0 {
                break;
            }
            let ceiling = (first * (1.0 + share)).min(solved.metal * (1.0 - SAME));
            let last = ceiling >= solved.metal * (1.0 - SAME);
            let budget = if last { work } else { work / 4 };
            let mut search = self.search(budget, Some(ceiling));
            let end = search.run(&self.base, solved.holes.len(), &start);
            work = work - budget + search.work;
            let found = search.best.is_some();
            if let Some((metal, holes)) = search.best {
                (solved.metal, solved.holes) = (metal, holes);
            }
            match end {
                End::Finished if found || last => {
                    solved.least_metal = if gapless || found { solved.metal } else { solved.least_metal };
                    break;
                }
                End::Finished => solved.least_metal = solved.least_metal.max(ceiling),
                End::Exhausted => gapless = false,
            }
            at += 1;
        }
        solved
    }

    /// From a plan to one with as many holes and no more metal that leaves less of the limits: halving between what is found and what is not.
    fn leave_less(&self, solved: &mut Solved, effort: u64) {
        let (mut low, mut high) = (0.0, self.factor(&solved.holes));
        for _ in 0..TIES {
            if solved.holes.is_empty() || high <= low * (1.0 + NEAR) {
                return;
            }
            let factor = (low + high) / 2.0;
            let limits = self.limits.map(|limit| limit * factor);
            let nearer = Self { candidates: self.candidates, base: self.base, limits, most: self.most };
            let ceiling = Some(solved.metal * (1.0 + SAME));
            let mut search = Search { first: true, ..nearer.search(effort / TIES, ceiling) };
            search.run(&self.base, solved.holes.len(), &self.start());
            match search.best {
                Some((_, holes)) => {
                    high = self.factor(&holes);
                    solved.holes = holes;
                }
                None => low = factor,
            }
        }
    }

    /// A bound of the metal of plans with so many holes, no more than `most`, and the vector that gives it.
    fn least_metal(&self, holes: usize, most: f64) -> (f64, Point) {
        let (mut low, mut high, mut best) = (0.0, most, self.start());
        for _ in 0..24 {
            let ceiling = (low + high) / 2.0;
            let bound = self.whole(&self.target(Some(ceiling)), holes, &best);
            if bound.refutes() {
                // The same vector refutes every ceiling up to where its value is zero.
                let [.., slope] = bound.p;
                let further = if slope > 0.0 { ceiling + bound.value / slope } else { most };
                low = further.clamp(ceiling, high);
                best = bound.p;
            } else {
                high = ceiling;
            }
        }
        (low, best)
    }

    fn whole(&self, target: &Target, holes: usize, start: &Point) -> Bound {
        let pool: Vec<usize> = (0..self.candidates.columns.len()).collect();
        let room = &self.candidates.room;
        let node = Node { base: self.base, fixed: &[], chosen: &[], pool: &pool, more: holes, room };
        bound(self.candidates, target, &node, start, &mut u64::MAX.clone())
    }

    /// The relaxation with all holes that may be made, or fewer.
    fn relaxed(&self, limits: [f64; 2]) -> Bound {
        let target = Target { limits, ceiling: None, fewer: true };
        self.whole(&target, self.most, &self.start())
    }

    /// A bound of the greater of both unbalances over their limits, whatever is drilled: from the relaxation.
    fn least_factor(&self) -> f64 {
        let (mut low, mut high) = (0.0, self.factor(&[]));
        for _ in 0..40 {
            let factor = (low + high) / 2.0;
            if self.relaxed(self.limits.map(|limit| limit * factor)).refutes() {
                low = factor
            } else {
                high = factor
            }
        }
        low
    }

    /// What one plane keeps with any amounts at the angles of the sites, whatever becomes of the other.
    ///
    /// The distance of its unbalance to the cone of what the holes change: none inside the cone, else that to its nearest ray.
    pub(super) fn beyond_angles(&self, plane: usize) -> f64 {
        let [x, y, z, w, _] = self.base;
        let read = of_plane([Complex64::new(x, y), Complex64::new(z, w)], plane);
        let turn = |column: &Column| (of_plane(column.effect, plane) / -read).arg();
        let turns = || self.candidates.columns.iter().map(turn).filter(|turn| turn.is_finite());
        let ahead = turns().filter(|turn| *turn >= 0.0).fold(f64::INFINITY, f64::min);
        let behind = turns().filter(|turn| *turn <= 0.0).fold(f64::INFINITY, |least, turn| least.min(-turn));
        if ahead + behind < PI {
            return 0.0;
        }
        read.norm() * ahead.min(behind).min(FRAC_PI_2).sin()
    }

    /// A bound of the unbalance of one plane, whatever becomes of the other.
    pub(super) fn least_in_plane(&self, plane: usize) -> f64 {
        let mut all = self.candidates.clone();
        for column in &mut all.columns {
            let [a, b] = column.effect;
            column.effect = if plane == 0 { [a, Default::default()] } else { [Default::default(), b] };
        }
        let [x, y, z, w, _] = self.base;
        let base = if plane == 0 { [x, y, 0.0, 0.0, 0.0] } else { [0.0, 0.0, z, w, 0.0] };
        let length = dot(&base, &base).sqrt();
        if length <= 0.0 {
            return 0.0;
        }
        let pool: Vec<usize> = (0..all.columns.len()).collect();
        let target = Target { limits: [0.0, 0.0], ceiling: None, fewer: true };
        let node =
            Node { base, fixed: &[], chosen: &[], pool: &pool, more: self.most, room: &self.candidates.room };
        distance(&all, &target, &node, &base.map(|part| part / length)).value.clamp(0.0, length)
    }
}
