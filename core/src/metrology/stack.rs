//! Tolerance stacks: what a figure can become when parts are made to their drawing tolerances.

use crate::error::{Error, Result};
use crate::metrology::Limits;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use statrs::distribution::{ContinuousCDF, Normal};

/// Standard deviations between the middle of a tolerance zone and its ends, for parts of a process that just fits its tolerance.
///
/// Common practice, no source.
const SIGMAS: f64 = 3.0;

/// Probability below the lower end of such a zone: that of the normal distribution below -3 standard deviations.
const TAIL: f64 = 0.001_349_898_031_630_094_6; // Phi(-3), Abramowitz and Stegun, table 26.1 (from memory; agrees with statrs)

/// A drawing tolerance: the least and the greatest deviation from the nominal value, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    lower: f64,
    upper: f64,
}

impl Tolerance {
    /// A tolerance that is nothing: the value is exact.
    pub const EXACT: Self = Self { lower: 0.0, upper: 0.0 };

    /// From the deviations.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] with the lower deviation above the upper.
    pub fn new(lower: f64, upper: f64) -> Result<Self> {
        if let Some(bad) = [lower, upper].into_iter().find(|x| !x.is_finite()) {
            return Err(Error::NotFinite { field: "deviation".into(), value: bad.to_string() });
        }
        if lower > upper {
            return Err(Error::OutOfRange {
                field: "lower deviation".into(),
                value: format!("{lower} (SI)"),
                allowed: format!("at most the upper deviation, {upper} (SI)"),
            });
        }
        Ok(Self { lower, upper })
    }

    /// The least deviation.
    pub fn lower(&self) -> f64 {
        self.lower
    }

    /// The greatest deviation.
    pub fn upper(&self) -> f64 {
        self.upper
    }

    fn middle(&self) -> f64 {
        (self.lower + self.upper) / 2.0
    }

    fn half(&self) -> f64 {
        (self.upper - self.lower) / 2.0
    }
}

/// What a figure becomes over the tolerances of its readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// With every reading at its nominal value.
    pub nominal: f64,
    /// With every reading in the middle of its tolerance zone.
    pub middle: f64,
    /// Least and greatest value with every reading at an end of its zone: arithmetic, worst case.
    pub worst: (f64, f64),
    /// Least and greatest value by the root of the sum of squares about the middle.
    pub root_sum_square: (f64, f64),
    /// What half the zone of each reading does to the figure, with its sign.
    pub effects: Vec<f64>,
}

impl Stack {
    /// Share of a reading in the sum of squares, 0 to 1.
    pub fn share(&self, i: usize) -> f64 {
        let all: f64 = self.effects.iter().map(|e| e * e).sum();
        match self.effects.get(i) {
            Some(e) if all > 0.0 => e * e / all,
            _ => 0.0,
        }
    }
}

/// The stack of a figure: nominal, worst case, root of the sum of squares, and the effect of each reading.
///
/// Effects are half the difference of the figure with one reading at the ends of its zone, the others in the middle: the derivative times half
/// the zone where the figure is linear (JCGM 100, 5.1.3 note 2). The worst case starts at the corner that the effects point to and moves one
/// reading at a time to an end or the middle while that goes further: exact for a figure that rises or falls with each reading whatever the
/// others are, as every figure of a chain of dimensions does.
///
/// # Errors
/// [`Error::WrongLength`] where the lists differ; what `f` refuses.
///
/// # Source
/// Shigley, Mechanical Engineering Design, section 1-14 on tolerance stackup (from memory); the root of the sum of squares: JCGM 100:2008, eq. 10.
///
/// # Example
/// ```
/// use swept::metrology::stack::{Tolerance, stack};
/// let t = Tolerance::new(-0.01, 0.01)?;
/// let s = stack(&[50.03, 50.00], &[t, t], |x| Ok(x[0] - x[1]))?;
/// assert!((s.worst.0 - 0.01).abs() < 1e-12 && (s.worst.1 - 0.05).abs() < 1e-12);
/// assert!((s.root_sum_square.1 - (0.03 + 0.01 * 2f64.sqrt())).abs() < 1e-12);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn stack(x: &[f64], tolerances: &[Tolerance], f: impl Fn(&[f64]) -> Result<f64>) -> Result<Stack> {
    same_length(tolerances.len(), x.len())?;
    let nominal = f(x)?;
    let centre: Vec<f64> = x.iter().zip(tolerances).map(|(x, t)| x + t.middle()).collect();
    let middle = f(&centre)?;
    let mut at = centre.clone();
    let mut effects = Vec::with_capacity(x.len());
    for (i, t) in tolerances.iter().enumerate() {
        effects.push(if t.half() == 0.0 { 0.0 } else { effect(&mut at, i, t.half(), &f)? });
    }
    let squares: f64 = effects.iter().map(|e| e * e).sum();
    let rss = squares.sqrt();
    let corner = |sign: f64| extreme(&centre, tolerances, &effects, sign, &f);
    Ok(Stack {
        nominal,
        middle,
        worst: (corner(-1.0)?, corner(1.0)?),
        root_sum_square: (middle - rss, middle + rss),
        effects,
    })
}

/// Half the difference of the figure with reading `i` moved up and down.
fn effect(at: &mut [f64], i: usize, half: f64, f: &impl Fn(&[f64]) -> Result<f64>) -> Result<f64> {
    let mut moved = |by: f64| {
        let Some(entry) = at.get_mut(i) else { return Ok(0.0) };
        let kept = *entry;
        *entry = kept + by;
        let value = f(at);
        if let Some(entry) = at.get_mut(i) {
            *entry = kept;
        }
        value
    };
    Ok((moved(half)? - moved(-half)?) / 2.0)
}

/// The greatest (`sign` 1) or least (`sign` -1) value over the zones.
fn extreme(
    centre: &[f64],
    tolerances: &[Tolerance],
    effects: &[f64],
    sign: f64,
    f: &impl Fn(&[f64]) -> Result<f64>,
) -> Result<f64> {
    let end = |(c, t, e): (&f64, &Tolerance, &f64)| c + t.half() * (sign * e.signum());
    let zones = || centre.iter().zip(tolerances).zip(effects).map(|((c, t), e)| (c, t, e));
    let mut at: Vec<f64> = zones().map(end).collect();
    let mut best = f(&at)?;
    loop {
        let before = best;
        for (i, (c, t, _)) in zones().enumerate() {
            for candidate in [c - t.half(), *c, c + t.half()] {
                let Some(entry) = at.get_mut(i) else { continue };
                let kept = core::mem::replace(entry, candidate);
                let value = f(&at)?;
                if sign * value > sign * best {
                    best = value;
                } else if let Some(entry) = at.get_mut(i) {
                    *entry = kept;
                }
            }
        }
        if best == before {
            return Ok(best);
        }
    }
}

/// How parts are spread over their tolerance zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Distribution {
    /// Normal about the middle of the zone, which ends at three standard deviations.
    Normal,
    /// Anywhere in the zone alike.
    Rectangular,
}

/// What sampling found of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sampled {
    /// How many trials.
    pub trials: usize,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub standard: f64,
    /// The quantiles that three standard deviations of a normal distribution would have: 0.135 % and 99.865 %.
    pub quantiles: (f64, f64),
    /// The share of the trials that is outside the limits, where there are any.
    pub outside: Option<f64>,
}

/// Samples a figure over the tolerances of its readings, which are independent. The same trials give the same bits, always.
///
/// # Errors
/// [`Error::WrongLength`] where the lists differ; [`Error::OutOfRange`] for fewer than 100 or more than 100 million trials; what `f` refuses.
///
/// # Source
/// JCGM 101:2008, clauses 5.3, 6.4 and 7 (from memory). Random numbers: ChaCha with 8 rounds, normal deviates by the inverse of the distribution.
pub fn sample(
    x: &[f64],
    tolerances: &[Tolerance],
    distribution: Distribution,
    trials: usize,
    limits: Option<&Limits>,
    f: impl Fn(&[f64]) -> Result<f64>,
) -> Result<Sampled> {
    same_length(tolerances.len(), x.len())?;
    if !(100..=100_000_000).contains(&trials) {
        return Err(Error::OutOfRange {
            field: "trials".into(),
            value: trials.to_string(),
            allowed: "100 to 100000000".into(),
        });
    }
    let normal = Normal::new(0.0, 1.0).map_err(|e| Error::Unreadable {
        value: "the standard normal distribution".into(),
        reason: e.to_string(),
    })?;
    let mut random = ChaCha8Rng::seed_from_u64(101);
    // Never 0 or 1: the middle of one of 2^53 equal steps.
    let mut uniform = || ((random.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
    let mut at = x.to_vec();
    let mut values = Vec::with_capacity(trials);
    for _ in 0..trials {
        for ((place, nominal), t) in at.iter_mut().zip(x).zip(tolerances) {
            if t.half() == 0.0 {
                *place = nominal + t.middle();
                continue;
            }
            let share = match distribution {
                Distribution::Normal => normal.inverse_cdf(uniform()) / SIGMAS,
                Distribution::Rectangular => 2.0 * uniform() - 1.0,
            };
            *place = nominal + t.middle() + t.half() * share;
        }
        values.push(f(&at)?);
    }
    Ok(summary(values, limits))
}

fn summary(mut values: Vec<f64>, limits: Option<&Limits>) -> Sampled {
    values.sort_by(f64::total_cmp);
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    let quantile = |p: f64| {
        let place = (p * (n - 1.0)).round() as usize;
        values.get(place).copied().unwrap_or(f64::NAN)
    };
    let out = |l: &Limits| {
        let outside = |v: &&f64| l.lower().is_some_and(|low| **v < low) || l.upper().is_some_and(|u| **v > u);
        values.iter().filter(outside).count() as f64 / n
    };
    Sampled {
        trials: values.len(),
        mean,
        standard: (squares / (n - 1.0)).sqrt(),
        quantiles: (quantile(TAIL), quantile(1.0 - TAIL)),
        outside: limits.map(out),
    }
}

fn same_length(found: usize, expected: usize) -> Result<()> {
    if found == expected {
        return Ok(());
    }
    Err(Error::WrongLength {
        field: "tolerances".into(),
        found,
        expected: format!("{expected}, one for each reading"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::propagate;
    use proptest::prelude::*;

    fn t(lower: f64, upper: f64) -> Tolerance {
        Tolerance::new(lower, upper).unwrap()
    }

    /// Where a figure is linear, the root of the sum of squares is three times the standard uncertainty that the chain's derivatives give for
    /// standard uncertainties of a third of half the zone, and sampling agrees within what its trials allow.
    #[test]
    fn a_linear_stack_is_the_law_of_propagation() {
        let f = |x: &[f64]| Ok(x[0] - 0.5 * x[1] - x[2] - x[3]);
        let x = [225.0, 86.0, 148.0, 33.7];
        let zones = [t(-0.05, 0.05), t(0.0, 0.04), t(-0.02, 0.0), t(-0.03, 0.03)];
        let s = stack(&x, &zones, f).unwrap();
        let u: Vec<f64> = zones.iter().map(|z| z.half() / 3.0).collect();
        let budget = propagate(&x, &u, f).unwrap();
        assert!((s.root_sum_square.1 - s.middle - 3.0 * budget.standard).abs() < 1e-12);
        assert!((s.worst.1 - (225.05 - 43.0 - 147.98 - 33.67)).abs() < 1e-12);
        assert!((s.worst.0 - (224.95 - 43.02 - 148.0 - 33.73)).abs() < 1e-12);
        assert!((0..4).map(|i| s.share(i) - budget.share(i)).all(|d| d.abs() < 1e-12));
        let found = sample(&x, &zones, Distribution::Normal, 200_000, None, f).unwrap();
        assert!((found.mean - s.middle).abs() < 4.0 * budget.standard / 200_000f64.sqrt());
        assert!((found.standard / budget.standard - 1.0).abs() < 0.01);
        assert!((found.quantiles.1 - s.root_sum_square.1).abs() < 0.1 * budget.standard);
    }

    /// JCGM 101, 9.2.3: the sum of four rectangular readings of the same width, standard deviation 2 for a half width of sqrt(3).
    #[test]
    fn four_rectangles() {
        let half = 3f64.sqrt();
        let found = sample(&[0.0; 4], &[t(-half, half); 4], Distribution::Rectangular, 200_000, None, |x| {
            Ok(x.iter().sum())
        });
        let found = found.unwrap();
        assert!((found.standard - 2.0).abs() < 0.01 && found.mean.abs() < 0.02);
    }

    #[test]
    fn the_share_outside_is_that_of_the_distribution() {
        let limits = Limits::new(None, Some(1.0)).unwrap();
        let found =
            sample(&[0.0], &[t(-3.0, 3.0)], Distribution::Normal, 200_000, Some(&limits), |x| Ok(x[0]))
                .unwrap();
        assert!((found.outside.unwrap() - 0.158_655).abs() < 0.003);
        let again =
            sample(&[0.0], &[t(-3.0, 3.0)], Distribution::Normal, 200_000, Some(&limits), |x| Ok(x[0]))
                .unwrap();
        assert_eq!(found, again);
    }

    #[test]
    fn what_is_no_tolerance_is_refused() {
        assert!(Tolerance::new(0.1, -0.1).is_err());
        assert!(Tolerance::new(f64::NAN, 0.1).is_err());
        assert!(stack(&[1.0], &[], |x| Ok(x[0])).is_err());
        assert!(sample(&[1.0], &[Tolerance::EXACT], Distribution::Normal, 5, None, |x| Ok(x[0])).is_err());
    }

    proptest! {
        /// The worst case of products and quotients, by all corners.
        #[test]
        fn no_corner_is_worse(x in proptest::collection::vec(1.0..5.0f64, 3), half in proptest::collection::vec(0.0..0.5f64, 3)) {
            let zones: Vec<Tolerance> = half.iter().map(|h| t(-h, *h)).collect();
            let f = |x: &[f64]| Ok(x[0] * x[0] / x[1] - x[2]);
            let s = stack(&x, &zones, f).unwrap();
            let corner = |bits: usize| (0..3).map(|i| x[i] + if bits >> i & 1 == 1 { half[i] } else { -half[i] }).collect::<Vec<f64>>();
            let values: Vec<f64> = (0..8).map(|bits| f(&corner(bits)).unwrap()).collect();
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            let greatest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            prop_assert!((s.worst.0 - least).abs() < 1e-12 && (s.worst.1 - greatest).abs() < 1e-12);
        }

        /// A figure that is largest inside its zones.
        #[test]
        fn a_maximum_inside_is_found_at_the_middle(c in -1.0..1.0f64) {
            let s = stack(&[c], &[t(-0.5, 0.5)], |x| Ok(1.0 - (x[0] - c) * (x[0] - c))).unwrap();
            prop_assert!((s.worst.1 - 1.0).abs() < 1e-12 && (s.worst.0 - 0.75).abs() < 1e-12);
        }
    }
}
