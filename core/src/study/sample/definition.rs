//! What is sampled: fixed figures, readings with their distributions and correlations, limits, a seed.

use super::distribution::Distribution;
use super::normal::MOST_DEVIATE;
use crate::error::{Error, Result};
use crate::study::Axis;
use crate::study::definition::Study;
use crate::study::figure::Figure;
use crate::study::given::{StudyLimit, possible, turns};
use crate::study::output::Output;
use nalgebra::{Cholesky, DMatrix};

/// A design whose readings are uncertain, and the limits on its outputs.
///
/// Sample i of a seed is the same whatever is asked of it, and however many samples there are. What a reading draws depends on which other readings there are, not on
/// the order in which they are given.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampling {
    /// The figures and limits; each reading is an axis of one value, its mean.
    study: Study,
    /// In the order of the figures.
    readings: Vec<(Figure, Distribution)>,
    mixing: Option<Mixing>,
    seed: u64,
}

/// How correlated deviates are made of independent ones.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mixing {
    /// Which readings, by place.
    pub(super) places: Vec<usize>,
    /// The rows of the lower triangle whose product with its transpose is the correlation matrix.
    pub(super) rows: Vec<Vec<f64>>,
}

/// A figure that may be drawn impossible.
#[derive(Debug, Clone, Copy)]
pub(super) struct Guard {
    /// The reading, by place.
    pub(super) place: usize,
    /// What it can be.
    pub(super) least: f64,
    pub(super) most: f64,
}

impl Sampling {
    /// Readings of figures, coefficients of correlation between pairs of them, fixed figures, limits on outputs, and a seed, on which all draws depend.
    ///
    /// A coefficient is that of the normal deviates of two readings. Normal readings have it themselves; others follow the deviates by their ranks (a Gaussian
    /// copula), and their own coefficient is a little smaller. Pairs that are not named are not correlated.
    ///
    /// # Errors
    /// As [`Study::new`], which takes the means as readings; [`Error::OutOfRange`] and [`Error::NotFinite`] for what is no distribution, and for correlations of
    /// which no readings can be drawn, as their matrix is not positive definite; [`Error::MissingKey`] for a correlation with what is not a reading.
    pub fn new(
        readings: &[(Figure, Distribution)],
        correlations: &[(Figure, Figure, f64)],
        fixed: &[(Figure, f64)],
        limits: Vec<StudyLimit>,
        seed: u64,
    ) -> Result<Self> {
        let mut sorted = readings.to_vec();
        sorted.sort_by_key(|(figure, _)| *figure);
        let mut axes = Vec::new();
        for (figure, distribution) in &sorted {
            distribution.check(&format!("reading of {}", figure.name()))?;
            axes.push((*figure, Axis::list(vec![distribution.moments().0])?));
        }
        let study = Study::new(fixed, axes, limits)?;
        let mixing = Mixing::new(&sorted, correlations)?;
        Ok(Self { study, readings: sorted, mixing, seed })
    }

    /// The readings, in the order of the figures.
    pub fn readings(&self) -> &[(Figure, Distribution)] {
        &self.readings
    }

    /// The limits.
    pub fn limits(&self) -> &[StudyLimit] {
        self.study.limits()
    }

    /// The seed.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    pub(super) fn study(&self) -> &Study {
        &self.study
    }

    pub(super) fn mixing(&self) -> Option<&Mixing> {
        self.mixing.as_ref()
    }

    /// The limits on an output, as one interval.
    pub(super) fn limit_of(&self, output: Output) -> Option<(f64, f64)> {
        let all = self.limits().iter().filter(|limit| limit.output == output);
        all.fold(None, |found, limit| {
            let (low, high) = found.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            Some((limit.lower.map_or(low, |l| l.max(low)), limit.upper.map_or(high, |u| u.min(high))))
        })
    }

    /// The greatest deviate of a reading: of a correlated one, the sum of a row.
    fn most_deviate(&self, place: usize) -> f64 {
        let row = self.mixing.as_ref().and_then(|m| {
            let at = m.places.iter().position(|p| *p == place)?;
            m.rows.get(at).map(|row| row.iter().map(|x| x.abs()).sum::<f64>())
        });
        MOST_DEVIATE * row.unwrap_or(1.0)
    }

    /// Least and greatest value that a figure has in any sample.
    fn range(&self, figure: Figure) -> Option<(f64, f64)> {
        let reading = self.readings.iter().enumerate().find(|(_, (f, _))| *f == figure);
        let drawn = reading.map(|(place, (_, d))| d.range(self.most_deviate(place)));
        drawn.or_else(|| self.study.fixed(figure).map(|v| (v, v)))
    }

    /// The readings whose draws must be looked at, as they may be impossible.
    pub(super) fn guards(&self) -> Vec<Guard> {
        let mut guards = Vec::new();
        for (place, (figure, _)) in self.readings.iter().enumerate() {
            let (low, high) = self.range(*figure).unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            let (least, most) = possible(*figure);
            if low < least || high > most {
                guards.push(Guard { place, least, most });
            }
        }
        guards
    }

    /// Whether the crank may be drawn so that it cannot turn with the rod.
    pub(super) fn may_not_turn(&self) -> bool {
        let range = |figure| self.range(figure);
        let (Some(stroke), Some(rod)) = (range(Figure::Stroke), range(Figure::RodLength)) else {
            return false;
        };
        let offset = range(Figure::PinOffset).map_or(0.0, |(low, high)| low.abs().max(high.abs()));
        !turns(stroke.1, rod.0, offset)
    }

    /// Refuses an output whose figures are not all given, and numbers of samples beyond reason.
    pub(super) fn check(&self, samples: u64, outputs: &[Output]) -> Result<()> {
        outputs.iter().try_for_each(|output| self.study.check_output(*output))?;
        if samples == 0 || samples > MOST_SAMPLES {
            return Err(Error::OutOfRange {
                field: "samples".into(),
                value: samples.to_string(),
                allowed: format!("1 to {MOST_SAMPLES}"),
            });
        }
        Ok(())
    }

    /// Refuses correlated readings, for what is only defined without.
    pub(super) fn check_independent(&self, what: &str) -> Result<()> {
        match &self.mixing {
            None => Ok(()),
            Some(_) => Err(Error::OutOfRange {
                field: "correlations".into(),
                value: "given".into(),
                allowed: format!("none, for {what}: the readings must be independent"),
            }),
        }
    }
}

/// Days of work.
const MOST_SAMPLES: u64 = 1 << 40;

impl Mixing {
    /// The triangle of all readings with a correlation; none where there are none.
    fn new(
        readings: &[(Figure, Distribution)],
        correlations: &[(Figure, Figure, f64)],
    ) -> Result<Option<Self>> {
        let field = |a: &Figure, b: &Figure| format!("correlation of {} and {}", a.name(), b.name());
        let mut pairs = Vec::new();
        let mut places = Vec::new();
        for (a, b, coefficient) in correlations {
            let place = |figure: &Figure| {
                readings.iter().position(|(f, _)| f == figure).ok_or_else(|| Error::MissingKey {
                    field: field(a, b),
                    remedy: format!("{} has no reading", figure.name()),
                })
            };
            let pair = (place(a)?.min(place(b)?), place(a)?.max(place(b)?));
            if pair.0 == pair.1 || pairs.iter().any(|(known, _)| *known == pair) {
                let remedy = "given twice, or of a reading with itself".into();
                return Err(Error::UnknownKey { field: field(a, b), remedy });
            }
            if coefficient.is_nan() {
                return Err(Error::NotFinite { field: field(a, b), value: coefficient.to_string() });
            }
            if coefficient.abs() >= 1.0 {
                let (field, value) = (field(a, b), coefficient.to_string());
                return Err(Error::OutOfRange { field, value, allowed: "above -1, below 1".into() });
            }
            if *coefficient != 0.0 {
                places.extend([pair.0, pair.1]);
            }
            pairs.push((pair, *coefficient));
        }
        if places.is_empty() {
            return Ok(None);
        }
        places.sort_unstable();
        places.dedup();
        let of = |i: usize, j: usize| {
            let pair = (places.get(i.min(j)).copied(), places.get(i.max(j)).copied());
            let found = pairs.iter().find(|((a, b), _)| pair == (Some(*a), Some(*b)));
            found.map_or(if i == j { 1.0 } else { 0.0 }, |(_, coefficient)| *coefficient)
        };
        let matrix = DMatrix::from_fn(places.len(), places.len(), of);
        let triangle = Cholesky::new(matrix).ok_or_else(|| Error::OutOfRange {
            field: "correlations".into(),
            value: "a matrix that is not positive definite".into(),
            allowed: "coefficients that can hold together".into(),
        })?;
        let triangle = triangle.l();
        let rows = triangle.row_iter().enumerate().map(|(i, row)| row.iter().take(i + 1).copied().collect());
        Ok(Some(Self { rows: rows.collect(), places }))
    }
}
