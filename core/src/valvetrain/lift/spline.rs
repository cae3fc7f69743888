//! Cubic splines of one lobe, clamped (no lift, no velocity) at both ends: interpolating, smoothing, and kept monotone.

use super::piece::{Form, Piece};
use crate::error::Result;
use crate::solve::bracketed;

/// One row of the matrix that makes differences of slopes out of lifts: the factors of the lift before, here and after.
///
/// The lifts at both ends are given, so their factors are zero.
struct SlopeChange {
    before: f64,
    here: f64,
    after: f64,
}

/// The clamped spline problem on fixed angles.
///
/// With gamma the second derivatives at the rows and f the lifts, continuity of the slope reads K gamma = A f, where K has
/// h/6, (h + h')/3, h'/6 in a row and A the changes of slope. The smoothing spline minimises
/// sum (y - f)^2 + lambda * integral of f''^2, whose integral is gamma' K gamma; so (K + lambda A A') gamma = A y and
/// f = y - lambda A' gamma. With lambda zero it interpolates.
///
/// # Source
/// Reinsch, Smoothing by spline functions, Numerische Mathematik 10 (1967), there with natural ends (from memory); the clamped ends
/// are derived here.
pub(super) struct Clamped {
    steps: Vec<f64>,
    changes: Vec<SlopeChange>,
}

impl Clamped {
    pub(super) fn new(angles: &[f64]) -> Self {
        let steps: Vec<f64> = angles.iter().zip(angles.iter().skip(1)).map(|(a, b)| b - a).collect();
        let last = steps.len();
        let inverse = |i: Option<usize>| i.and_then(|i| steps.get(i)).map_or(0.0, |h| 1.0 / h);
        let changes = (0..=last).map(|i| {
            let (left, right) = (inverse(i.checked_sub(1)), inverse(Some(i)));
            let free = |j: usize, factor: f64| if j == 0 || j >= last { 0.0 } else { factor };
            SlopeChange {
                before: free(i.saturating_sub(1), left),
                here: free(i, -(left + right)),
                after: free(i + 1, right),
            }
        });
        let changes = changes.collect();
        Self { steps, changes }
    }

    /// Second derivatives of the spline at the rows.
    fn curvatures(&self, lifts: &[f64], lambda: f64) -> Vec<f64> {
        let step = |i: Option<usize>| i.and_then(|i| self.steps.get(i)).copied().unwrap_or(0.0);
        let rows = self.changes.iter().enumerate().map(|(i, row)| {
            let (next, second) = (self.changes.get(i + 1), self.changes.get(i + 2));
            let own = row.before * row.before + row.here * row.here + row.after * row.after;
            let one = next.map_or(0.0, |n| row.here * n.before + row.after * n.here);
            let two = second.map_or(0.0, |n| row.after * n.before);
            let (left, right) = (step(i.checked_sub(1)), step(Some(i)));
            [(left + right) / 3.0 + lambda * own, right / 6.0 + lambda * one, lambda * two]
        });
        let rows: Vec<[f64; 3]> = rows.collect();
        let around = with_neighbours(lifts);
        let right = around
            .zip(&self.changes)
            .map(|([before, here, after], c)| c.before * before + c.here * here + c.after * after);
        solve_pentadiagonal(&rows, right)
    }

    /// Lifts of the smoothing spline at the rows.
    pub(super) fn smoothed(&self, lifts: &[f64], lambda: f64) -> Vec<f64> {
        let curvatures = self.curvatures(lifts, lambda);
        // A' gamma: column j of A has factors in the rows before, at and after j.
        let pulls = with_neighbours(&curvatures).enumerate().map(|(j, [before, here, after])| {
            let row = |i: Option<usize>| i.and_then(|i| self.changes.get(i));
            row(j.checked_sub(1)).map_or(0.0, |r| r.after * before)
                + row(Some(j)).map_or(0.0, |r| r.here * here)
                + row(Some(j + 1)).map_or(0.0, |r| r.before * after)
        });
        lifts.iter().zip(pulls).map(|(y, pull)| y - lambda * pull).collect()
    }

    /// Lifts of the smoothing spline whose residuals have the root mean square `deviation`.
    ///
    /// # Errors
    /// [`Error::NoSolution`](crate::Error::NoSolution) for a deviation that no smoothing reaches.
    pub(super) fn smoothed_to(&self, lifts: &[f64], deviation: f64) -> Result<Vec<f64>> {
        // The residuals grow with lambda all the way. Against h^3 of the steps it has no unit.
        let span: f64 = self.steps.iter().sum();
        let scale = span * span * span;
        let excess = |exponent: f64| {
            let smooth = self.smoothed(lifts, scale * exponent.exp());
            let sum: f64 = lifts.iter().zip(&smooth).map(|(y, f)| (y - f) * (y - f)).sum();
            Ok((sum / lifts.len() as f64).sqrt() - deviation)
        };
        let exponent = bracketed("smoothing", -45.0, 15.0, excess)?;
        Ok(self.smoothed(lifts, scale * exponent.exp()))
    }

    /// Slopes of the interpolating spline at the rows.
    pub(super) fn slopes(&self, lifts: &[f64]) -> Vec<f64> {
        let curvatures = self.curvatures(lifts, 0.0);
        let rises = lifts.iter().zip(lifts.iter().skip(1)).map(|(a, b)| b - a);
        let bends = curvatures.iter().zip(curvatures.iter().skip(1)).map(|(a, b)| 2.0 * a + b);
        let slopes = rises.zip(bends).zip(&self.steps).map(|((rise, bend), h)| rise / h - h * bend / 6.0);
        let mut slopes: Vec<f64> = slopes.chain([0.0]).collect();
        // Clamped: what rounding left of it.
        if let Some(first) = slopes.first_mut() {
            *first = 0.0;
        }
        slopes
    }
}

/// Each value with the one before and the one after, zero beyond the ends.
fn with_neighbours(values: &[f64]) -> impl Iterator<Item = [f64; 3]> {
    let before = core::iter::once(0.0).chain(values.iter().copied());
    let after = values.iter().skip(1).copied().chain([0.0]);
    before.zip(values).zip(after).map(|((before, &here), after)| [before, here, after])
}

/// Solves a symmetrical positive definite system with two bands above the diagonal: L D L', without pivoting, which such a system does not need.
fn solve_pentadiagonal(rows: &[[f64; 3]], right: impl Iterator<Item = f64>) -> Vec<f64> {
    // Of the last row and the one before it: pivot, both factors, right-hand side.
    let (mut last, mut second) = ([1.0, 0.0, 0.0, 0.0], [1.0, 0.0, 0.0, 0.0]);
    let mut reduced = Vec::with_capacity(rows.len());
    for (&[own, one, two], b) in rows.iter().zip(right) {
        let ([d1, l1, q1, z1], [d2, _, q2, z2]) = (last, second);
        let pivot = own - d1 * l1 * l1 - d2 * q2 * q2;
        let row = [pivot, (one - d1 * l1 * q1) / pivot, two / pivot, b - l1 * z1 - q2 * z2];
        reduced.push(row);
        (last, second) = (row, last);
    }
    let (mut next, mut after) = (0.0, 0.0);
    for row in reduced.iter_mut().rev() {
        let [pivot, l, q, z] = *row;
        let x = z / pivot - l * next - q * after;
        row[0] = x;
        (next, after) = (x, next);
    }
    reduced.into_iter().map(|[x, ..]| x).collect()
}

/// The nearest non-decreasing list in the sense of least squares: neighbours out of order are put at their mean.
///
/// # Source
/// Pool-adjacent-violators; Barlow, Bartholomew, Bremner, Brunk, Statistical Inference under Order Restrictions (1972; from memory).
pub(super) fn non_decreasing(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for value in values {
        let (mut mean, mut count) = (value, 1);
        while let Some((above, n)) = blocks.pop_if(|(before, _)| *before > mean) {
            mean = (mean * count as f64 + above * n as f64) / (count + n) as f64;
            count += n;
        }
        blocks.push((mean, count));
    }
    blocks.into_iter().flat_map(|(mean, count)| core::iter::repeat_n(mean, count)).collect()
}

/// One cubic between two rows: its angles, its lifts, the slopes at its ends.
#[derive(Clone, Copy)]
pub(super) struct Segment {
    pub(super) angles: (f64, f64),
    pub(super) lifts: (f64, f64),
    pub(super) slopes: (f64, f64),
}

impl Segment {
    /// The slopes brought to where the cubic is monotone, if they are not there.
    ///
    /// With alpha and beta the slopes over that of the chord, a cubic is monotone when both are not negative and
    /// alpha + beta <= 2, 2 alpha + beta <= 3, alpha + 2 beta <= 3, or alpha^2 + alpha beta + beta^2 - 6 alpha - 6 beta + 9 <= 0. Others are drawn
    /// towards zero onto alpha^2 + beta^2 = 9; in there slopes stay good when a neighbour draws them closer.
    ///
    /// # Source
    /// Fritsch and Carlson, Monotone piecewise cubic interpolation, SIAM Journal on Numerical Analysis 17 (1980; from memory).
    pub(super) fn monotone_slopes(&self) -> Option<(f64, f64)> {
        let chord = (self.lifts.1 - self.lifts.0) / (self.angles.1 - self.angles.0);
        if chord == 0.0 {
            return (self.slopes != (0.0, 0.0)).then_some((0.0, 0.0));
        }
        let (alpha, beta) = (self.slopes.0 / chord, self.slopes.1 / chord);
        let ellipse = alpha * alpha + alpha * beta + beta * beta - 6.0 * (alpha + beta) + 9.0;
        let below = alpha + beta <= 2.0 || 2.0 * alpha + beta <= 3.0 || alpha + 2.0 * beta <= 3.0;
        if alpha >= 0.0 && beta >= 0.0 && (below || ellipse <= 0.0) {
            return None;
        }
        let (alpha, beta) = (alpha.max(0.0), beta.max(0.0));
        let draw = (3.0 / alpha.hypot(beta)).min(1.0);
        Some((draw * alpha * chord, draw * beta * chord))
    }

    /// Whether the lift is greatest between the rows, not at one of them.
    pub(super) fn holds_nose(&self) -> bool {
        self.slopes.0 > 0.0 && self.slopes.1 < 0.0
    }

    fn cubic(&self) -> [f64; 4] {
        let h = self.angles.1 - self.angles.0;
        let (chord, (m0, m1)) = ((self.lifts.1 - self.lifts.0) / h, self.slopes);
        [self.lifts.0, m0, (3.0 * chord - 2.0 * m0 - m1) / h, (m0 + m1 - 2.0 * chord) / (h * h)]
    }

    pub(super) fn piece(&self) -> Piece {
        let (start, end) = self.angles;
        Piece { start, end, mirrored: false, form: Form::Cubic(self.cubic()) }
    }

    /// The piece cut in two at the angle where its slope vanishes; each is written from the foot of its flank.
    pub(super) fn cut_at_nose(&self) -> Result<[Piece; 2]> {
        let whole = self.piece();
        let nose = bracketed("nose", self.angles.0, self.angles.1, |angle| Ok(whole.at(angle)[1]))?;
        let [top, _, a, j] = whole.at(nose);
        let part = |angles: (f64, f64), mirrored: bool| {
            // From the nose downwards, without slope there; a mirror turns the jerk about.
            let jerk = if mirrored { -j } else { j };
            Piece {
                start: angles.0,
                end: angles.1,
                mirrored,
                form: Form::Cubic([top, 0.0, a / 2.0, jerk / 6.0]),
            }
        };
        Ok([part((self.angles.0, nose), true), part((nose, self.angles.1), false)])
    }
}
