//! The point of a convex hull that is nearest to the origin, one more point at a time.

use super::relax::{Point, dot};

/// Affinely independent points in five dimensions, at most.
const MOST: usize = 6;

/// Weights below this are none.
const NOTHING: f64 = 1e-13;

/// Points whose hull has its nearest point to the origin inside, with its weights.
#[derive(Debug, Clone, Default)]
pub(super) struct Corral {
    points: Vec<(Point, f64)>,
}

impl Corral {
    pub(super) fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    fn nearest(&self) -> Point {
        let mut sum = Point::default();
        for (point, weight) in &self.points {
            sum.iter_mut().zip(point).for_each(|(s, x)| *s += weight * x);
        }
        sum
    }

    /// Adds a point and gives the nearest point of the hull; nothing where rounding leaves no way on.
    pub(super) fn add(&mut self, point: Point) -> Option<Point> {
        let weight = if self.points.is_empty() { 1.0 } else { 0.0 };
        self.points.push((point, weight));
        for _ in 0..2 * MOST {
            let free = affine(&self.points)?;
            if free.iter().take(self.points.len()).all(|weight| *weight > NOTHING) {
                self.points.iter_mut().zip(free).for_each(|(entry, weight)| entry.1 = weight);
                return Some(self.nearest());
            }
            // As far towards the free point as the hull goes; then without the points that have no weight left.
            let far = |((_, old), new): (&(Point, f64), f64)| {
                if new > NOTHING { 1.0 } else { old / (old - new).max(f64::MIN_POSITIVE) }
            };
            let share = self.points.iter().zip(free).map(far).fold(1.0, f64::min);
            self.points.iter_mut().zip(free).for_each(|(entry, new)| entry.1 += share * (new - entry.1));
            let before = self.points.len();
            self.points.retain(|(_, weight)| *weight > NOTHING);
            if self.points.len() == before || self.points.is_empty() {
                return None;
            }
        }
        None
    }
}

/// Weights, of sum 1 and any sign, of the point of the affine hull nearest to the origin: (G + 1 1^T) u = 1, u over its sum.
fn affine(points: &[(Point, f64)]) -> Option<[f64; MOST]> {
    let count = points.len();
    if count > MOST {
        return None;
    }
    let mut rows = [[0.0; MOST + 1]; MOST];
    for (row, (a, _)) in rows.iter_mut().zip(points) {
        row.iter_mut().zip(points).for_each(|(entry, (b, _))| *entry = 1.0 + dot(a, b));
        if let Some(right) = row.last_mut() {
            *right = 1.0;
        }
    }
    for pivot in 0..count {
        let (above, below) = rows.split_at_mut_checked(pivot + 1)?;
        let top = above.last()?;
        let head = *top.get(pivot)?;
        if head < 1e-14 {
            return None;
        }
        for row in below.iter_mut().take(count - pivot - 1) {
            let factor = row.get(pivot)? / head;
            row.iter_mut().zip(top).for_each(|(entry, up)| *entry -= factor * up);
        }
    }
    let mut u = [0.0; MOST];
    for index in (0..count).rev() {
        let row = rows.get(index)?;
        let known: f64 = row.iter().zip(&u).skip(index + 1).map(|(entry, x)| entry * x).sum();
        *u.get_mut(index)? = (row.last()? - known) / row.get(index)?;
    }
    let sum: f64 = u.iter().sum();
    Some(u.map(|part| part / sum))
}
