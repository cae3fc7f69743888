//! The convex relaxation of a choice of holes, and its refutation by a plane.
//!
//! A node of the search stands for all plans that have the holes fixed so far, one hole of each column chosen so far, and so many more from
//! a pool of columns. Relaxed, each hole is any mean of the bores of its column. What the unbalances and the metal can then come
//! to is a convex set S in five dimensions; T is the set of those inside both limits with no more metal than a ceiling. A vector p with
//! min over S of p.x > max over T of p.y refutes the node. Such vectors are sought by the point of S - T nearest to the origin.
//!
//! # Source
//! Wolfe, "Finding the nearest point in a polytope", Mathematical Programming 11 (1976); Gilbert, Johnson, Keerthi (1988), for the
//! difference of sets (from memory).

use super::candidate::{Candidates, Choice, Column};
use super::nearest::Corral;
use super::spread::spaced;
use num_complex::Complex64;

/// Re and Im of plane A, of plane B, metal; in the scales of the search.
pub(super) type Point = [f64; 5];

/// Margin of a refutation over the length of its vector: far above rounding, far below any figure of a drill.
const MARGIN: f64 = 1e-9;

/// Scorings that each column of a pool costs where holes keep apart.
pub(super) const SPACED: u64 = 8;

/// Steps towards the nearest point before a node is left open.
const MOST_STEPS: usize = 40;

pub(super) fn dot(a: &Point, b: &Point) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// What a plan must come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Target {
    pub(super) limits: [f64; 2],
    /// Most metal; none while any plan will do.
    pub(super) ceiling: Option<f64>,
    /// Whether fewer holes than asked for will do as well.
    pub(super) fewer: bool,
}

/// A set of plans.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node<'n> {
    /// Unbalances and metal with the fixed holes.
    pub(super) base: Point,
    /// The holes fixed.
    pub(super) fixed: &'n [(usize, Choice)],
    /// Columns that have one hole each, not fixed yet.
    pub(super) chosen: &'n [usize],
    /// Columns for more holes.
    pub(super) pool: &'n [usize],
    /// How many more.
    pub(super) more: usize,
    /// How many more fit on each site.
    pub(super) room: &'n [usize],
}

/// The vector that bounds a node best, and its bound: refuted where above the margin.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Bound {
    pub(super) p: Point,
    pub(super) value: f64,
}

impl Bound {
    pub(super) fn refutes(&self) -> bool {
        refutes(self.value)
    }
}

/// Whether the value of a vector of length 1 is above the margin.
pub(super) fn refutes(value: f64) -> bool {
    value > MARGIN
}

/// Least of p.x over one hole of a column, relaxed, and where: (value, amount, metal).
pub(super) fn score(column: &Column, p: &Point) -> (f64, f64, f64) {
    score_of(column, &column.hull, p)
}

/// As [`score`], over some of the column's holes by their hull.
pub(super) fn score_of(column: &Column, hull: &[(f64, f64)], p: &Point) -> (f64, f64, f64) {
    let gain = gain(column, p);
    let metal = p.get(4).copied().unwrap_or_default();
    let mut best = (f64::INFINITY, 0.0, 0.0);
    for (amount, removed) in hull {
        let value = gain * amount + metal * removed;
        if value > best.0 {
            break;
        }
        best = (value, *amount, *removed);
    }
    best
}

/// p.x of one unit of amount.
pub(super) fn gain(column: &Column, p: &Point) -> f64 {
    let [a, b] = column.effect;
    let [x, y, z, w, _] = p;
    x * a.re + y * a.im + z * b.re + w * b.im
}

/// Unbalances with an amount of a column, and the metal.
pub(super) fn with(base: &Point, column: &Column, amount: f64, metal: f64) -> Point {
    let [a, b] = column.effect;
    let [x, y, z, w, m] = base;
    [x + amount * a.re, y + amount * a.im, z + amount * b.re, w + amount * b.im, m + metal]
}

/// The holes for more, least score first, no more on a site than fit.
struct Best {
    taken: Vec<(f64, usize, f64, f64)>,
}

impl Best {
    fn offer(&mut self, entry: (f64, usize, f64, f64), columns: &[Column], node: &Node) {
        let site = |index: usize| columns.get(index).map_or(0, |column| column.site);
        let here = site(entry.1);
        let fits = node.room.get(here).copied().unwrap_or_default();
        let full = self.taken.len() >= node.more;
        if fits == 0 || (full && self.taken.last().is_none_or(|last| last.0 <= entry.0)) {
            return;
        }
        if self.taken.iter().filter(|t| site(t.1) == here).count() >= fits {
            match self.taken.iter().rposition(|t| site(t.1) == here) {
                Some(worst) if self.taken.get(worst).is_some_and(|t| t.0 > entry.0) => {
                    self.taken.remove(worst);
                }
                _ => return,
            }
        } else if full {
            self.taken.pop();
        }
        let place = self.taken.partition_point(|t| t.0 <= entry.0);
        self.taken.insert(place, entry);
    }
}

/// The point of S - T that is least along p, and p times it; infinite where too few holes are left. Holes of one site may stand closer than
/// they can, but no more of them than fit.
pub(super) fn support(all: &Candidates, target: &Target, node: &Node, p: &Point) -> (Point, f64) {
    let columns = &all.columns;
    let mut point = chosen(columns, node, p);
    let mut best = Best { taken: Vec::with_capacity(node.more + 1) };
    for index in node.pool.iter().filter(|_| node.more > 0) {
        let Some(column) = columns.get(*index) else { continue };
        let (value, amount, metal) = score(column, p);
        if !(target.fewer && value >= 0.0) {
            best.offer((value, *index, amount, metal), columns, node);
        }
    }
    if best.taken.len() < node.more && !target.fewer {
        return (point, f64::INFINITY);
    }
    for (_, index, amount, metal) in &best.taken {
        if let Some(column) = columns.get(*index) {
            point = with(&point, column, *amount, *metal);
        }
    }
    let point = less_target(point, target, p);
    (point, dot(&point, p))
}

/// As [`support`], with the holes of each site as far apart as they must be: dearer and nearer.
pub(super) fn support_spaced(all: &Candidates, target: &Target, node: &Node, p: &Point) -> (Point, f64) {
    let Some(more) = spaced(all, node, target.fewer, p) else {
        return (node.base, f64::INFINITY);
    };
    let mut sum = node.base;
    sum.iter_mut().zip(more).for_each(|(part, more)| *part += more);
    let point = less_target(sum, target, p);
    (point, dot(&point, p))
}

/// Whether two holes of a node may have to keep apart.
fn crowded(all: &Candidates, node: &Node) -> bool {
    let fixed = node.fixed.iter().map(|(index, _)| index);
    let mut sites: Vec<Option<usize>> = node
        .chosen
        .iter()
        .chain(fixed)
        .map(|index| all.columns.get(*index).map(|column| column.site))
        .collect();
    let count = sites.len();
    if node.more > 0 {
        return node.more + count > 1;
    }
    sites.sort_unstable();
    sites.dedup();
    sites.len() < count
}

/// Unbalances and metal with the fixed holes and one of each column chosen.
fn chosen(columns: &[Column], node: &Node, p: &Point) -> Point {
    let mut point = node.base;
    for column in node.chosen.iter().filter_map(|index| columns.get(*index)) {
        let (_, amount, metal) = score(column, p);
        point = with(&point, column, amount, metal);
    }
    point
}

/// The point less the point of T that is greatest along p.
fn less_target(point: Point, target: &Target, p: &Point) -> Point {
    let [a, b] = target.limits;
    let [x, y, z, w, m] = point;
    let [px, py, pz, pw, pm] = *p;
    let along = |re: f64, im: f64, limit: f64| {
        let vector = Complex64::new(re, im);
        let length = vector.norm();
        if length > 0.0 { vector * (limit / length) } else { Complex64::ZERO }
    };
    let (in_a, in_b) = (along(px, py, a), along(pz, pw, b));
    let metal = match target.ceiling {
        None => 0.0,
        Some(ceiling) if pm > 0.0 => m - ceiling,
        Some(_) => m,
    };
    [x - in_a.re, y - in_a.im, z - in_b.re, w - in_b.im, metal]
}

/// The vector of length 1 that may bound: none that rewards metal.
fn unit(target: &Target, w: &Point) -> Option<Point> {
    let [x, y, z, v, m] = *w;
    let p = [x, y, z, v, if target.ceiling.is_some() { m.max(0.0) } else { 0.0 }];
    let length = dot(&p, &p).sqrt();
    (length > 1e-12).then(|| p.map(|part| part / length))
}

/// The best bound of a node that is found; `start` is a first vector, such as the parent's.
pub(super) fn bound(all: &Candidates, target: &Target, node: &Node, start: &Point, work: &mut u64) -> Bound {
    let enough = |value: f64, _: f64| refutes(value);
    let near = seek(all, target, node, start, work, (support, 1), enough);
    if near.refutes() || !crowded(all, node) {
        return near;
    }
    let nearer = seek(all, target, node, &near.p, work, (support_spaced, SPACED), enough);
    if nearer.value > near.value { nearer } else { near }
}

/// As [`bound`], until the bound cannot get better.
pub(super) fn distance(all: &Candidates, target: &Target, node: &Node, start: &Point) -> Bound {
    let enough = |value: f64, length: f64| value > length * (1.0 - 1e-9);
    seek(all, target, node, start, &mut u64::MAX.clone(), (support_spaced, SPACED), enough)
}

/// A function that gives the least point along a vector, and how many scorings each column costs it.
type Support = (fn(&Candidates, &Target, &Node, &Point) -> (Point, f64), u64);

fn seek(
    all: &Candidates,
    target: &Target,
    node: &Node,
    start: &Point,
    work: &mut u64,
    (support, scorings): Support,
    enough: impl Fn(f64, f64) -> bool,
) -> Bound {
    // A step costs so many scorings besides.
    let cost = node.pool.len() as u64 * scorings + node.chosen.len() as u64 + 40 + 10 * scorings;
    let mut best = Bound { p: *start, value: f64::NEG_INFINITY };
    let mut corral = Corral::default();
    let mut direction = *start;
    for _ in 0..MOST_STEPS {
        *work = work.saturating_sub(cost);
        let Some(p) = unit(target, &direction) else { break };
        let (point, value) = support(all, target, node, &p);
        if value > best.value {
            best = Bound { p, value };
        }
        let begun = !corral.is_empty();
        let length = if begun { dot(&direction, &direction).sqrt() } else { f64::INFINITY };
        if value.is_infinite() || enough(best.value, length) {
            break;
        }
        // No nearer point in this direction: the node stays open.
        if begun && dot(&direction, &direction) - dot(&direction, &point) < 1e-12 {
            break;
        }
        match corral.add(point) {
            Some(nearest) => direction = nearest,
            None => break,
        }
    }
    best
}
