//! What is sampled as text: JSON with written units, as that of a study.

use super::definition::Sampling;
use super::distribution::Distribution;
use crate::error::Result;
use crate::study::figure::Figure;
use crate::study::text::{LimitText, fixed_of, limits_of, parsed, read};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SamplingText {
    readings: BTreeMap<String, ReadingText>,
    #[serde(default)]
    correlations: Vec<(String, String, f64)>,
    #[serde(default)]
    fixed: BTreeMap<String, String>,
    #[serde(default)]
    limits: BTreeMap<String, LimitText>,
    #[serde(default)]
    seed: u64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "snake_case")]
enum ReadingText {
    Normal(NormalText),
    Uniform(UniformText),
    Triangular(TriangularText),
    Truncated(TruncatedText),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NormalText {
    mean: String,
    deviation: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct UniformText {
    low: String,
    high: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TriangularText {
    low: String,
    mode: String,
    high: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TruncatedText {
    mean: String,
    deviation: String,
    low: String,
    high: String,
}

impl ReadingText {
    fn distribution(&self, figure: Figure) -> Result<Distribution> {
        let one = |text: &str, name: &str| {
            read(text, figure.dimension(), &format!("readings.{}.{name}", figure.name()))
        };
        Ok(match self {
            Self::Normal(t) => Distribution::Normal {
                mean: one(&t.mean, "normal.mean")?,
                deviation: one(&t.deviation, "normal.deviation")?,
            },
            Self::Uniform(t) => Distribution::Uniform {
                low: one(&t.low, "uniform.low")?,
                high: one(&t.high, "uniform.high")?,
            },
            Self::Triangular(t) => Distribution::Triangular {
                low: one(&t.low, "triangular.low")?,
                mode: one(&t.mode, "triangular.mode")?,
                high: one(&t.high, "triangular.high")?,
            },
            Self::Truncated(t) => Distribution::Truncated {
                mean: one(&t.mean, "truncated.mean")?,
                deviation: one(&t.deviation, "truncated.deviation")?,
                low: one(&t.low, "truncated.low")?,
                high: one(&t.high, "truncated.high")?,
            },
        })
    }
}

impl Sampling {
    /// What is sampled from its text: JSON with `readings` (by figure: `normal` with `mean` and `deviation`; `uniform` with `low` and `high`; `triangular` with
    /// `low`, `mode` and `high`; or `truncated` with `mean` and `deviation` of the normal distribution, `low` and `high`), `correlations` (a list of two figures
    /// and a coefficient each), `fixed` figures and `limits` as in a study, and a `seed`, 0 where nothing is said; every figure a text with its unit.
    ///
    /// # Errors
    /// [`crate::Error::Unreadable`] for what is no such JSON; as [`Sampling::new`], with the field.
    ///
    /// # Example
    /// ```
    /// use swept::study::{Output, Sampling, Workers};
    /// let sampling = Sampling::parse(r#"{
    ///     "readings": {
    ///         "bore": {"normal": {"mean": "86 mm", "deviation": "0.01 mm"}},
    ///         "stroke": {"uniform": {"low": "85.98 mm", "high": "86.02 mm"}}
    ///     },
    ///     "correlations": [["bore", "stroke", 0.3]],
    ///     "fixed": {"cylinders": "4"},
    ///     "limits": {"displacement": {"upper": "1998.8 cm3"}},
    ///     "seed": 1
    /// }"#)?;
    /// let found = sampling.sample(100_000, &[Output::Displacement], &[0.5], &Workers::default())?;
    /// let displacement = &found.outputs[0];
    /// assert!((displacement.mean / 1998.228e3 - 1.0).abs() < 1e-5); // mm3
    /// assert!(displacement.outside.is_some_and(|outside| outside.share < 0.2));
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let written: SamplingText =
            parsed(text, "it is JSON with readings, correlations, fixed, limits and seed")?;
        let mut readings = Vec::new();
        for (name, reading) in &written.readings {
            let figure = Figure::parse(name)?;
            readings.push((figure, reading.distribution(figure)?));
        }
        let mut correlations = Vec::new();
        for (a, b, coefficient) in &written.correlations {
            correlations.push((Figure::parse(a)?, Figure::parse(b)?, *coefficient));
        }
        let (fixed, limits) = (fixed_of(&written.fixed)?, limits_of(&written.limits)?);
        Self::new(&readings, &correlations, &fixed, limits, written.seed)
    }
}
