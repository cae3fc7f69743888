//! A study as text: JSON with written units, for C, Python and files.

use super::axis::Axis;
use super::definition::Study;
use super::figure::{Figure, taken};
use super::given::StudyLimit;
use super::output::Output;
use crate::error::{Error, Result};
use crate::units::{Dimension, Unit, find, number_of};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// A study as it is written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StudyText {
    #[serde(default)]
    fixed: BTreeMap<String, String>,
    axes: Vec<AxisText>,
    #[serde(default)]
    limits: BTreeMap<String, LimitText>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AxisText {
    figure: String,
    from: Option<String>,
    to: Option<String>,
    count: Option<usize>,
    step: Option<String>,
    values: Option<Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LimitText {
    lower: Option<String>,
    upper: Option<String>,
}

/// The most bytes of a study's text.
const MOST_BYTES: usize = 16 << 20;

/// A written figure in study units.
///
/// # Errors
/// Those of a text that is no number with a unit of this dimension, with the field.
pub fn read(text: &str, dimension: Dimension, field: &str) -> Result<f64> {
    let (number, unit) = number_of(text, dimension).map_err(|e| e.at(None, field))?;
    Ok(taken(unit, number))
}

/// Reads a text that is not too long; `what` says what it should be.
pub(super) fn parsed<T: DeserializeOwned>(text: &str, what: &str) -> Result<T> {
    if text.len() > MOST_BYTES {
        let (field, expected) = ("text of the study".into(), format!("at most {MOST_BYTES} bytes"));
        return Err(Error::WrongLength { field, found: text.len(), expected });
    }
    serde_json::from_str(text).map_err(|e| Error::Unreadable {
        value: text.chars().take(40).collect(),
        reason: format!("{what}: {e}"),
    })
}

/// The fixed figures of a text.
pub(super) fn fixed_of(written: &BTreeMap<String, String>) -> Result<Vec<(Figure, f64)>> {
    let mut fixed = Vec::new();
    for (name, text) in written {
        let figure = Figure::parse(name)?;
        fixed.push((figure, read(text, figure.dimension(), &format!("fixed.{name}"))?));
    }
    Ok(fixed)
}

/// The limits of a text.
pub(super) fn limits_of(written: &BTreeMap<String, LimitText>) -> Result<Vec<StudyLimit>> {
    let mut limits = Vec::new();
    for (name, limit) in written {
        let output = Output::parse(name)?;
        let one = |text: &Option<String>, side: &str| {
            let field = format!("limits.{name}.{side}");
            text.as_ref().map(|t| read(t, output.dimension(), &field)).transpose()
        };
        let (lower, upper) = (one(&limit.lower, "lower")?, one(&limit.upper, "upper")?);
        // Told as it is written, with its unit.
        if let (Some(least), Some(most)) = (&limit.lower, &limit.upper)
            && lower > upper
        {
            let (field, allowed) =
                (format!("limits.{name}.lower"), format!("at most the upper limit, {most}"));
            return Err(Error::OutOfRange { field, value: least.clone(), allowed });
        }
        limits.push(StudyLimit { output, lower, upper });
    }
    Ok(limits)
}

impl AxisText {
    fn axis(&self, figure: Figure, field: &str) -> Result<Axis> {
        let one = |text: &str, name: &str| read(text, figure.dimension(), &format!("{field}.{name}"));
        let made = match (&self.values, &self.from, &self.to, self.count, &self.step) {
            (Some(values), None, None, None, None) => {
                let read = values.iter().enumerate().map(|(i, t)| one(t, &format!("values[{}]", i + 1)));
                Axis::list(read.collect::<Result<_>>()?)
            }
            (None, Some(from), Some(to), Some(count), None) => {
                Axis::count(one(from, "from")?, one(to, "to")?, count)
            }
            (None, Some(from), Some(to), None, Some(step)) => {
                Axis::step(one(from, "from")?, one(to, "to")?, one(step, "step")?)
            }
            _ => {
                let remedy = "an axis has from, to and count; from, to and step; or values".into();
                Err(Error::MissingKey { field: field.into(), remedy })
            }
        };
        made.map_err(|e| e.at(None, field))
    }
}

impl Study {
    /// A study from its text: JSON with `axes` (a list, the last fastest; each with `figure` and `from`, `to` and `count`, or `from`, `to` and `step`, or `values`),
    /// `fixed` figures and `limits` with `lower` and `upper`; every figure a text with its unit.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for what is no such JSON; as [`Study::new`], with the field.
    ///
    /// # Example
    /// ```
    /// use swept::study::{Goal, Output, Study, Workers};
    /// let study = Study::parse(r#"{
    ///     "axes": [
    ///         {"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 101},
    ///         {"figure": "stroke", "from": "70 mm", "to": "95 mm", "step": "0.1 mm"}
    ///     ],
    ///     "fixed": {"cylinders": "4", "speed": "7500 rpm"},
    ///     "limits": {"mean_piston_speed": {"upper": "22 m/s"}, "displacement": {"upper": "2000 cm3"}}
    /// }"#)?;
    /// let best = study.best(1, Output::Displacement, Goal::Maximise, &Workers::default())?;
    /// assert!(best[0].value <= 2.0e6 && best[0].value > 1.999e6); // mm3
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let written: StudyText = parsed(text, "a study is JSON with axes, fixed and limits")?;
        let mut axes = Vec::new();
        for axis in &written.axes {
            let figure = Figure::parse(&axis.figure)?;
            axes.push((figure, axis.axis(figure, &format!("axes.{}", axis.figure))?));
        }
        Self::new(&fixed_of(&written.fixed)?, axes, limits_of(&written.limits)?)
    }
}

/// The unit in which a figure or an output of this dimension is shown: mm, cm3, deg, rpm, m/s, m/s2, kN, g.
///
/// # Errors
/// None for the dimensions of a study.
pub fn shown_unit(dimension: Dimension, inch: bool) -> Result<&'static Unit> {
    find(match (dimension, inch) {
        (Dimension::Length, false) => "mm",
        (Dimension::Length, true) => "in",
        (Dimension::Volume, false) => "cm3",
        (Dimension::Volume, true) => "in3",
        (Dimension::Angle, _) => "deg",
        (Dimension::RotationalSpeed, _) => "rpm",
        (Dimension::Velocity, false) => "m/s",
        (Dimension::Velocity, true) => "ft/s",
        (Dimension::Acceleration, _) => "m/s2",
        (Dimension::Force, false) => "kN",
        (Dimension::Force, true) => "lbf",
        (Dimension::Mass, _) => "g",
        _ => "",
    })
}
