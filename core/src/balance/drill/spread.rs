//! How far holes of one site stand from each other, and the best that so many holes of a pool do while they keep apart.
//!
//! The bores of a site fall into classes by the room they need. Of two classes the least number of angle steps between two of their
//! holes is known; the holes of a site are then chosen along the angle from first to last, class by class, and the sites share the holes.

use super::candidate::{Candidates, Choice, Column, hull};
use super::relax::{Node, Point, score_of, with};
use super::site::{DrillSite, Hole};
use crate::units::Dimensioned;

/// The most classes of a site.
pub(super) const CLASSES: usize = 4;

/// No step is so far.
const NEVER: usize = usize::MAX;

/// Rounding of webs, m.
const ROUNDING: f64 = 1e-9;

type Hull = Vec<(f64, f64)>;

/// The classes of a site's bores.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Spread {
    /// Steps of the angle grid.
    steps: usize,
    /// Least steps between two holes of two classes.
    apart: [[usize; CLASSES]; CLASSES],
    /// Need of room at which each class but the first begins.
    from: Vec<usize>,
}

impl Spread {
    pub(super) fn new(site: &DrillSite, holes: &[Hole]) -> Self {
        let steps = site.angles().len();
        let needs: Vec<usize> = holes.iter().map(|hole| between(site, steps, hole, hole)).collect();
        let (low, high) =
            needs.iter().fold((NEVER, 0), |(low, high), need| (low.min(*need), high.max((*need).min(steps))));
        let width = high.saturating_sub(low) + 1;
        let from = (1..CLASSES).map(|class| low.saturating_add((class * width).div_ceil(CLASSES))).collect();
        let mut spread = Self { steps, apart: [[0; CLASSES]; CLASSES], from };
        let mut small: [Vec<&Hole>; CLASSES] = Default::default();
        for (hole, need) in holes.iter().zip(&needs) {
            if let Some(of) = small.get_mut(spread.class(*need)) {
                keep_smallest(of, hole);
            }
        }
        for (row, a) in spread.apart.iter_mut().zip(&small) {
            for (entry, b) in row.iter_mut().zip(&small) {
                let pairs = a.iter().flat_map(|x| b.iter().map(move |y| (x, y)));
                *entry = pairs.map(|(x, y)| between(site, steps, x, y)).min().unwrap_or(NEVER);
            }
        }
        spread
    }

    fn class(&self, need: usize) -> usize {
        self.from.iter().filter(|from| need >= **from).count()
    }

    /// The class of a hole of the site.
    pub(super) fn class_of(&self, site: &DrillSite, hole: &Hole) -> usize {
        self.class(between(site, self.steps, hole, hole))
    }
}

/// The hull of each class of a column's choices, in order of amount as they are.
pub(super) fn hulls(choices: &[Choice]) -> [Hull; CLASSES] {
    let mut parts: [Vec<Choice>; CLASSES] = Default::default();
    for choice in choices {
        if let Some(part) = parts.get_mut(choice.class) {
            part.push(*choice);
        }
    }
    parts.map(|part| hull(&part))
}

/// Keeps the holes that need the least room: none of them is both narrower and shallower than another.
fn keep_smallest<'h>(kept: &mut Vec<&'h Hole>, hole: &'h Hole) {
    let within = |a: &Hole, b: &Hole| a.bore.diameter <= b.bore.diameter && a.bore.depth <= b.bore.depth;
    if !kept.iter().any(|other| within(other, hole)) {
        kept.retain(|other| !within(hole, other));
        kept.push(hole);
    }
}

/// The least steps between two holes; more than there are where none is enough.
fn between(site: &DrillSite, steps: usize, a: &Hole, b: &Hole) -> usize {
    let first = site.place(&a.bore, 0.0);
    let half = (core::f64::consts::PI / site.step.si()).ceil().min(steps as f64) as usize;
    let clear = |step: usize| {
        let other = site.place(&b.bore, step as f64 * site.step.si());
        first.web(&other) >= site.web.si() - ROUNDING
    };
    let (mut low, mut high) = (0, half + 1);
    while high - low > 1 {
        let middle = (low + high) / 2;
        if clear(middle) { high = middle } else { low = middle }
    }
    if high > half { NEVER } else { high }
}

/// The best of so many holes that end at each step and class or before, with where the last of them stands.
#[derive(Debug, Clone, Default)]
struct Layer {
    /// By step: value, and (step, class) of the last hole.
    upto: Vec<[(f64, usize, usize); CLASSES]>,
    /// By step: class of the hole before.
    before: Vec<[usize; CLASSES]>,
}

const NONE: (f64, usize, usize) = (f64::INFINITY, 0, 0);

impl Layer {
    fn best(&self, step: usize, class: usize) -> (f64, usize, usize) {
        self.upto.get(step).and_then(|row| row.get(class)).copied().unwrap_or(NONE)
    }

    /// The best of all.
    fn last(&self) -> (f64, usize, usize) {
        let row = self.upto.last().copied().unwrap_or([NONE; CLASSES]);
        row.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or(NONE)
    }

    /// One hole more after this layer, or the first holes. No hole that must be is passed over.
    fn next(before: Option<&Self>, places: &[Step], apart: &[[usize; CLASSES]; CLASSES]) -> Self {
        let mut layer = Self::default();
        let mut running = [NONE; CLASSES];
        let mut must = None;
        for (step, place) in places.iter().enumerate() {
            if place.must {
                running = [NONE; CLASSES];
            }
            let mut from = [0; CLASSES];
            for (class, ((score, run), from)) in place
                .scores
                .iter()
                .zip(&mut running)
                .zip(&mut from)
                .enumerate()
                .filter(|(_, ((s, _), _))| s.is_finite())
            {
                let (least, of) = match before {
                    Some(before) => reach(before, step, class, must, apart),
                    None => (if must.is_some() { f64::INFINITY } else { 0.0 }, 0),
                };
                *from = of;
                if score + least < run.0 {
                    *run = (score + least, step, class);
                }
            }
            if place.must {
                must = Some(step);
            }
            layer.before.push(from);
            layer.upto.push(running);
        }
        layer
    }
}

/// The best of a layer that a hole at a step leaves room to, and the class of its last hole, which stands at no lower step than one that must be.
fn reach(
    before: &Layer,
    step: usize,
    class: usize,
    must: Option<usize>,
    apart: &[[usize; CLASSES]; CLASSES],
) -> (f64, usize) {
    let mut best = (f64::INFINITY, 0);
    for (other, row) in apart.iter().enumerate() {
        let Some(far) = row.get(class).and_then(|apart| step.checked_sub(*apart)) else { continue };
        let value = before.best(far, other).0;
        if value < best.0 && must.is_none_or(|must| far >= must) {
            best = (value, other);
        }
    }
    best
}

/// One step of a site's angles: what a hole of each class does there.
#[derive(Debug, Clone, Copy)]
struct Step<'c> {
    scores: [f64; CLASSES],
    /// The column, for its sums; none where the hole is fixed and counted already.
    column: Option<&'c Column>,
    /// Whether there must be a hole.
    must: bool,
}

/// The steps of a site with the holes fixed, those that must be and those that may be.
fn steps<'c>(all: &'c Candidates, node: &Node, site: usize, count: usize, p: &Point) -> Vec<Step<'c>> {
    let mut steps = vec![Step { scores: [f64::INFINITY; CLASSES], column: None, must: false }; count];
    let free =
        node.pool.iter().map(|index| (index, false)).chain(node.chosen.iter().map(|index| (index, true)));
    for (index, must) in free {
        let Some(column) = all.columns.get(*index).filter(|column| column.site == site) else { continue };
        let Some(step) = steps.get_mut(column.step) else { continue };
        step.scores
            .iter_mut()
            .zip(&column.classes)
            .for_each(|(entry, hull)| *entry = score_of(column, hull, p).0);
        (step.column, step.must) = (Some(column), must);
    }
    for (index, choice) in node.fixed {
        let Some(column) = all.columns.get(*index).filter(|column| column.site == site) else { continue };
        let Some(step) = steps.get_mut(column.step) else { continue };
        if let Some(score) = step.scores.get_mut(choice.class) {
            *score = 0.0;
        }
        step.must = true;
    }
    steps
}

/// The holes of one site: by number, the best value and its sum of unbalances and metal; nothing for numbers that cannot be.
fn site_best(spread: &Spread, steps: &[Step], most: usize, p: &Point) -> Vec<Option<(f64, Point)>> {
    let none = steps.iter().all(|step| !step.must);
    let mut best = vec![none.then_some((0.0, Point::default()))];
    let mut layers: Vec<Layer> = Vec::new();
    for _ in 0..most {
        let layer = Layer::next(layers.last(), steps, &spread.apart);
        let value = layer.last().0;
        layers.push(layer);
        best.push(value.is_finite().then(|| (value, traced(spread, &layers, steps, p))));
    }
    best
}

/// Unbalances and metal of the best of the last layer, traced back hole by hole.
fn traced(spread: &Spread, layers: &[Layer], steps: &[Step], p: &Point) -> Point {
    let mut sum = Point::default();
    let (_, mut step, mut class) = layers.last().map_or(NONE, Layer::last);
    for (index, layer) in layers.iter().enumerate().rev() {
        let column = steps.get(step).and_then(|step| step.column);
        if let Some((column, hull)) = column.and_then(|column| Some((column, column.classes.get(class)?))) {
            let (_, amount, metal) = score_of(column, hull, p);
            sum = with(&sum, column, amount, metal);
        }
        let Some(below) = index.checked_sub(1).and_then(|index| layers.get(index)) else { break };
        let other = layer.before.get(step).and_then(|row| row.get(class)).copied().unwrap_or_default();
        let apart = spread.apart.get(other).and_then(|row| row.get(class)).copied().unwrap_or_default();
        (_, step, class) = below.best(step.saturating_sub(apart), other);
    }
    sum
}

/// The best of a node's holes that are not fixed, keeping apart on each site, and their unbalances and metal; nothing where so many do
/// not fit.
pub(super) fn spaced(all: &Candidates, node: &Node, fewer: bool, p: &Point) -> Option<Point> {
    let there = |site: usize| {
        let on = |index: &usize| all.columns.get(*index).is_some_and(|column| column.site == site);
        node.chosen.iter().filter(|index| on(index)).count()
            + node.fixed.iter().filter(|(index, _)| on(index)).count()
    };
    let whole = node.more + node.chosen.len() + node.fixed.len();
    let mut totals: Vec<Option<(f64, Point)>> = vec![None; whole + 1];
    if let Some(none) = totals.first_mut() {
        *none = Some((0.0, Point::default()));
    }
    for (site, spread) in all.spreads.iter().enumerate() {
        let room = if node.pool.is_empty() { 0 } else { node.room.get(site).copied().unwrap_or_default() };
        let most = there(site) + room.min(node.more);
        if most > 0 {
            let here = site_best(spread, &steps(all, node, site, spread.steps, p), most, p);
            totals = shared(&totals, &here);
        }
    }
    let least = |a: &&(f64, Point), b: &&(f64, Point)| a.0.total_cmp(&b.0);
    let best = if fewer { totals.iter().flatten().min_by(least) } else { totals.last()?.as_ref() };
    best.map(|(_, point)| *point)
}

/// The best by number of holes of the sites before, and of one more.
fn shared(before: &[Option<(f64, Point)>], here: &[Option<(f64, Point)>]) -> Vec<Option<(f64, Point)>> {
    let best = |count: usize| {
        let pairs = here.iter().enumerate().filter_map(|(holes, entry)| {
            let (value, point) = (*entry)?;
            let (rest, sum) = (*before.get(count.checked_sub(holes)?)?)?;
            Some((rest + value, sum, point))
        });
        let (value, mut sum, point) = pairs.min_by(|a, b| a.0.total_cmp(&b.0))?;
        sum.iter_mut().zip(point).for_each(|(part, more)| *part += more);
        Some((value, sum))
    };
    (0..before.len()).map(best).collect()
}
