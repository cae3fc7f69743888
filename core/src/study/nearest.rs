//! Where over a cycle a valve comes nearest to its piston: at every whole degree of the crank, or only where it can be.

use super::wide::{Aligned, Simd};
use crate::geometry::motion::SliderCrank;
use crate::valvetrain::lift::rise_345;
use std::sync::LazyLock;

/// Whole degrees of a turn of the crank, and of the cycle of two.
const TURN: usize = 360;
const CYCLE: usize = 2 * TURN;

/// Degrees of a block, and blocks of a turn and of the cycle.
const BLOCK: usize = 12;
const TURN_BLOCKS: usize = TURN / BLOCK;
const BLOCKS: usize = CYCLE / BLOCK;

/// Blocks whose bounds are taken at once: more than a valve is open for.
const SPAN: usize = 32;

/// Those and the ends of the last, rounded up to whole vectors.
const ENDS: usize = SPAN + 8;

/// Blocks of the cycle and the ends that the last span reaches to.
const PADDED: usize = BLOCKS - SPAN + ENDS;

/// Degrees that are evaluated at once.
const WINDOW: usize = 40;

/// The angles of a cycle with sine and cosine of each, reduced to one turn: both top dead centres have the same.
pub(super) struct Angles {
    degrees: [f64; CYCLE],
    sin: [f64; TURN + WINDOW],
    cos: [f64; TURN + WINDOW],
    /// The first angle of each block.
    starts: [f64; PADDED],
    start_sin: [f64; ENDS],
    start_cos: [f64; ENDS],
}

static ANGLES: LazyLock<Angles> = LazyLock::new(|| {
    let of = |degree: usize| ((degree % TURN) as f64).to_radians().sin_cos();
    let from_first = |degree: usize| degree as f64 - TURN as f64;
    Angles {
        degrees: core::array::from_fn(from_first),
        sin: core::array::from_fn(|i| of(i).0),
        cos: core::array::from_fn(|i| of(i).1),
        starts: core::array::from_fn(|i| from_first(i * BLOCK)),
        start_sin: core::array::from_fn(|i| of(i * BLOCK).0),
        start_cos: core::array::from_fn(|i| of(i * BLOCK).1),
    }
});

impl Angles {
    /// The table.
    pub(super) fn table() -> &'static Self {
        &ANGLES
    }
}

/// The lift of a valve along the bore: its greatest, times the 3-4-5 rise over half the duration on either side of its centre.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lobe {
    rise: f64,
    centre: f64,
    /// Share of the half duration that a degree is.
    per_degree: f64,
}

impl Lobe {
    /// From the greatest lift along the bore, the duration and the crank angle of greatest lift, both degrees.
    #[inline(always)]
    pub(super) fn new(rise: f64, duration: f64, centre: f64) -> Self {
        Self { rise, centre, per_degree: 2.0 / duration }
    }

    /// Whether it is the lift of any valve.
    #[inline(always)]
    fn is_any(&self) -> bool {
        let positive = self.rise >= 0.0 && self.per_degree > 0.0;
        positive && self.rise.is_finite() && self.per_degree.is_finite() && self.centre.is_finite()
    }

    /// Degrees from its centre.
    #[inline(always)]
    fn away(&self, degree: f64) -> f64 {
        (degree - self.centre).abs()
    }

    /// The share of the greatest lift so many degrees from the centre.
    #[inline(always)]
    fn share(&self, away: f64) -> f64 {
        let x = 1.0 - away * self.per_degree;
        rise_345(if x > 0.0 { x } else { 0.0 })
    }

    /// How far the piston stands below the valve, were the gap none with the valve on its seat and the piston at top dead centre.
    #[inline(always)]
    fn below(&self, drop: f64, away: f64) -> f64 {
        drop - self.rise * self.share(away)
    }

    /// The same at one angle of the cycle, a whole degree.
    pub(super) fn at(&self, crank: &SliderCrank, degree: f64) -> f64 {
        let turned = (degree + TURN as f64) as usize % TURN;
        let table = Angles::table();
        match (table.sin.get(turned), table.cos.get(turned)) {
            (Some(sin), Some(cos)) if !degree.is_nan() => {
                self.below(crank.position(*sin, *cos), self.away(degree))
            }
            _ => f64::NAN,
        }
    }
}

/// The least that a piston stands below a valve, and the first angle where it does, in degrees from overlap top dead centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nearest {
    pub(super) below: f64,
    pub(super) degree: f64,
}

impl Nearest {
    /// What no figures of an engine come to.
    const NONE: Self = Self { below: f64::NAN, degree: f64::NAN };

    /// Before any angle was looked at.
    const UNSEEN: Self = Self { below: f64::INFINITY, degree: f64::NAN };

    /// Looks at angles after those seen before.
    #[inline(always)]
    fn see<S: Simd, const N: usize>(&mut self, simd: S, below: &[f64; N], degrees: &[f64; N]) {
        let least = least(simd, below);
        if least < self.below {
            *self = Self { below: least, degree: first_of(simd, below, degrees, least) };
        }
    }
}

#[inline(always)]
fn lesser(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

/// The least of whole vectors of values, none of which is a NaN.
#[inline(always)]
fn least<S: Simd, const N: usize>(simd: S, values: &[f64; N]) -> f64 {
    let (vectors, _) = S::as_simd_f64s(values);
    let least = vectors.iter().fold(simd.splat_f64s(f64::INFINITY), |a, b| simd.min_f64s(a, *b));
    // Either zero is zero, in vectors of any width.
    simd.reduce_min_f64s(least) + 0.0
}

/// The first angle of rising ones where a value stands.
#[inline(always)]
fn first_of<S: Simd, const N: usize>(simd: S, values: &[f64; N], degrees: &[f64; N], wanted: f64) -> f64 {
    let (values, degrees) = (S::as_simd_f64s(values).0, S::as_simd_f64s(degrees).0);
    let (wanted, mut first) = (simd.splat_f64s(wanted), simd.splat_f64s(f64::INFINITY));
    for (value, degree) in values.iter().zip(degrees) {
        let here = simd.select_f64s(simd.equal_f64s(*value, wanted), *degree, simd.splat_f64s(f64::INFINITY));
        first = simd.min_f64s(first, here);
    }
    simd.reduce_min_f64s(first)
}

/// So many entries from one on.
#[inline(always)]
fn from<const N: usize>(values: &[f64], first: usize) -> Option<&[f64; N]> {
    values.get(first..)?.first_chunk()
}

/// A search over the angles of one crank.
pub(super) trait Search {
    /// Ready for a crank.
    fn new() -> Self;
    /// Takes a crank.
    fn set<S: Simd>(&mut self, simd: S, angles: &Angles, crank: SliderCrank);
    /// The nearest of a valve; no number for what is no lift, or a crank that cannot turn.
    fn nearest<S: Simd>(&mut self, simd: S, angles: &Angles, lobe: &Lobe) -> Nearest;
}

/// Every angle of the cycle.
pub(super) struct Every {
    turns: bool,
    drop: [f64; TURN],
    below: [f64; CYCLE],
}

impl Search for Every {
    #[inline(always)]
    fn new() -> Self {
        Self { turns: false, drop: [f64::NAN; TURN], below: [f64::NAN; CYCLE] }
    }

    #[inline(always)]
    fn set<S: Simd>(&mut self, _: S, angles: &Angles, crank: SliderCrank) {
        self.turns = crank.turns();
        for ((drop, sin), cos) in self.drop.iter_mut().zip(&angles.sin).zip(&angles.cos) {
            *drop = crank.position(*sin, *cos);
        }
    }

    #[inline(always)]
    fn nearest<S: Simd>(&mut self, simd: S, angles: &Angles, lobe: &Lobe) -> Nearest {
        self.nearest_where(simd, angles, lobe, |degree| lobe.away(degree))
    }
}

impl Every {
    /// The nearest of a valve whose degrees from its centre are given by a rule.
    #[inline(always)]
    pub(super) fn nearest_where<S: Simd>(
        &mut self,
        simd: S,
        angles: &Angles,
        lobe: &Lobe,
        away: impl Fn(f64) -> f64,
    ) -> Nearest {
        if !(self.turns && lobe.is_any()) {
            return Nearest::NONE;
        }
        let turns = self.below.as_chunks_mut::<TURN>().0.iter_mut().zip(angles.degrees.as_chunks::<TURN>().0);
        for (below, degrees) in turns {
            for ((below, drop), degree) in below.iter_mut().zip(&self.drop).zip(degrees) {
                *below = lobe.below(*drop, away(*degree));
            }
        }
        let mut found = Nearest::UNSEEN;
        found.see(simd, &self.below, &angles.degrees);
        found
    }
}

/// Only the blocks of angles that can hold the least: that of [`Every`], to the bit.
///
/// Between its dead centres the piston moves one way, and before and after its centre the valve does. So in a block the piston stands no higher than at
/// the ends, or at top dead centre where that is inside, and the valve is no more open than at the ends, or at its centre; a block where even these together are
/// farther apart than an angle already seen cannot hold the least.
pub(super) struct Bounded {
    crank: SliderCrank,
    /// By block of the cycle: the piston at its first angle.
    drop: Aligned<PADDED>,
    /// By block of the cycle: where the piston stands at the highest.
    highest: Aligned<BLOCKS>,
    rounding: f64,
}

impl Search for Bounded {
    #[inline(always)]
    fn new() -> Self {
        let crank = SliderCrank::default();
        Self { crank, drop: Aligned::of(f64::NAN), highest: Aligned::of(f64::NAN), rounding: f64::NAN }
    }

    #[inline(always)]
    fn set<S: Simd>(&mut self, simd: S, angles: &Angles, crank: SliderCrank) {
        (self.crank, self.rounding) = (crank, crank.rounding());
        let Some(starts) = self.drop.first_chunk_mut::<ENDS>() else { return };
        for ((drop, sin), cos) in starts.iter_mut().zip(&angles.start_sin).zip(&angles.start_cos) {
            *drop = crank.position(*sin, *cos);
        }
        let (Some(firsts), Some(ends)) = (from::<SPAN>(starts, 0), from::<SPAN>(starts, 1)) else { return };
        // Top dead centre is beside the least of all starts.
        let beside = least(simd, firsts) + 2.0 * self.rounding;
        for ((highest, first), end) in self.highest.iter_mut().zip(firsts).zip(ends) {
            let lower = lesser(*first, *end);
            *highest = if lower <= beside { lesser(lower, 0.0) } else { lower };
        }
        self.drop.copy_within(ENDS - TURN_BLOCKS..PADDED - TURN_BLOCKS, ENDS);
        self.highest.copy_within(SPAN - TURN_BLOCKS..BLOCKS - TURN_BLOCKS, SPAN);
    }

    #[inline(always)]
    fn nearest<S: Simd>(&mut self, simd: S, angles: &Angles, lobe: &Lobe) -> Nearest {
        if !(self.crank.turns() && lobe.is_any()) {
            return Nearest::NONE;
        }
        let mut found = Nearest::UNSEEN;
        let slack = 2.0 * self.rounding + 16.0 * f64::EPSILON * lobe.rise;
        let opens = lobe.centre - 1.0 / lobe.per_degree;
        let first = ((opens + TURN as f64) / BLOCK as f64) as usize;
        let first = if first < BLOCKS - SPAN { first } else { BLOCKS - SPAN };
        let is_open_within = 2.0 <= ((SPAN - 1) * BLOCK) as f64 * lobe.per_degree;
        let mut span = Span::new();
        let seen = span.bound(simd, self, angles, lobe, first);
        // Where a seated valve could be nearest, all blocks count.
        if is_open_within && seen < -slack {
            span.look(simd, self, angles, lobe, (first, seen + slack), &mut found);
            return found;
        }
        let last = BLOCKS - SPAN;
        let seen =
            lesser(span.bound(simd, self, angles, lobe, last), span.bound(simd, self, angles, lobe, 0));
        span.look(simd, self, angles, lobe, (0, seen + slack), &mut found);
        span.bound(simd, self, angles, lobe, last);
        span.look(simd, self, angles, lobe, (last, seen + slack), &mut found);
        found
    }
}

/// What the clearances of a span of blocks are at least.
struct Span {
    bounds: Aligned<SPAN>,
}

impl Span {
    #[inline(always)]
    fn new() -> Self {
        Self { bounds: Aligned::of(f64::NAN) }
    }

    /// Bounds the blocks from one on; the least at their first angles.
    #[inline(always)]
    fn bound<S: Simd>(
        &mut self,
        simd: S,
        piston: &Bounded,
        angles: &Angles,
        lobe: &Lobe,
        first: usize,
    ) -> f64 {
        let starts = from::<ENDS>(&angles.starts, first);
        let (drops, highest) = (from::<SPAN>(&*piston.drop, first), from::<SPAN>(&*piston.highest, first));
        let (Some(starts), Some(drops), Some(highest)) = (starts, drops, highest) else {
            return f64::NAN;
        };
        let mut shares = Aligned::<ENDS>::of(0.0);
        for (share, degree) in shares.iter_mut().zip(starts) {
            *share = lobe.share(lobe.away(*degree));
        }
        let mut seen = Aligned::<SPAN>::of(0.0);
        for ((seen, drop), share) in seen.iter_mut().zip(drops).zip(&*shares) {
            *seen = drop - lobe.rise * share;
        }
        let half = BLOCK as f64 / 2.0;
        let Some(ends) = from::<SPAN>(&*shares, 1) else { return f64::NAN };
        let firsts = shares.iter().zip(starts);
        for (((bound, highest), (share, degree)), end) in
            self.bounds.iter_mut().zip(highest).zip(firsts).zip(ends)
        {
            let larger = if share > end { *share } else { *end };
            let most = if lobe.away(degree + half) <= half { 1.0 } else { larger };
            *bound = highest - lobe.rise * most;
        }
        least(simd, &seen)
    }

    /// Looks at the angles of the blocks that can be below a limit, the first first.
    #[inline(always)]
    fn look<S: Simd>(
        &self,
        simd: S,
        piston: &Bounded,
        angles: &Angles,
        lobe: &Lobe,
        (first, limit): (usize, f64),
        found: &mut Nearest,
    ) {
        let mut left = 0u64;
        for (block, bound) in self.bounds.iter().enumerate() {
            // A bound that is no number says nothing.
            left |= u64::from(*bound <= limit || bound.is_nan()) << block;
        }
        while left != 0 {
            let block = left.trailing_zeros() as usize;
            let start = (first + block) * BLOCK;
            let start = if start < CYCLE - WINDOW { start } else { CYCLE - WINDOW };
            window(simd, piston, angles, lobe, (start, found));
            left &= u64::MAX << (block + WINDOW / BLOCK);
        }
    }
}

/// Looks at the angles of a window.
#[inline(always)]
fn window<S: Simd>(
    simd: S,
    piston: &Bounded,
    angles: &Angles,
    lobe: &Lobe,
    (start, found): (usize, &mut Nearest),
) {
    let turned = if start < TURN { start } else { start - TURN };
    let degrees = from::<WINDOW>(&angles.degrees, start);
    let (sin, cos) = (from::<WINDOW>(&angles.sin, turned), from::<WINDOW>(&angles.cos, turned));
    let (Some(degrees), Some(sin), Some(cos)) = (degrees, sin, cos) else { return };
    let mut below = Aligned::<WINDOW>::of(0.0);
    for (((below, degree), sin), cos) in below.iter_mut().zip(degrees).zip(sin).zip(cos) {
        *below = lobe.below(piston.crank.position(*sin, *cos), lobe.away(*degree));
    }
    found.see(simd, &below, degrees);
}

#[cfg(test)]
mod tests;
