//! Axes: the values that a figure takes.

use crate::error::{Error, Result};

/// The most values of one axis.
const MOST_VALUES: usize = 10_000_000;

/// The values of a figure, in study units, in their order.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    values: Vec<f64>,
    rises: bool,
}

impl Axis {
    /// The values as listed.
    ///
    /// # Errors
    /// [`Error::WrongLength`] for none, or more than ten million; [`Error::NotFinite`].
    pub fn list(values: Vec<f64>) -> Result<Self> {
        let found = values.len();
        if found == 0 || found > MOST_VALUES {
            let expected = format!("1 to {MOST_VALUES}");
            return Err(Error::WrongLength { field: "values of an axis".into(), found, expected });
        }
        if let Some(bad) = values.iter().find(|v| !v.is_finite()) {
            return Err(Error::NotFinite { field: "value of an axis".into(), value: bad.to_string() });
        }
        let rises = values.is_sorted();
        Ok(Self { values, rises })
    }

    /// So many values evenly from one to another, both included: first + i (last - first) / (count - 1).
    ///
    /// # Errors
    /// As [`Axis::list`].
    pub fn count(first: f64, last: f64, count: usize) -> Result<Self> {
        if count == 1 && first != last {
            let (field, expected) =
                ("count of an axis".into(), "2 or more, from one value to another".into());
            return Err(Error::WrongLength { field, found: 1, expected });
        }
        if count > MOST_VALUES {
            let expected = format!("1 to {MOST_VALUES}");
            return Err(Error::WrongLength { field: "values of an axis".into(), found: count, expected });
        }
        let step = if count > 1 { (last - first) / (count - 1) as f64 } else { 0.0 };
        let mut values: Vec<f64> = (0..count).map(|i| first + i as f64 * step).collect();
        if let Some(end) = values.last_mut() {
            *end = last;
        }
        Self::list(values)
    }

    /// From one value by steps up to another, which is included where a step falls on it.
    ///
    /// # Errors
    /// As [`Axis::list`]; [`Error::OutOfRange`] for a step that does not lead from one to the other.
    pub fn step(first: f64, last: f64, step: f64) -> Result<Self> {
        let steps = (last - first) / step;
        if !steps.is_finite() || steps < 0.0 {
            let (field, value) = ("step of an axis".into(), step.to_string());
            return Err(Error::OutOfRange { field, value, allowed: format!("from {first} towards {last}") });
        }
        // A last step that rounding misses belongs to it.
        let whole = (steps + 1e-9).floor();
        if whole >= MOST_VALUES as f64 {
            let expected = format!("1 to {MOST_VALUES}");
            return Err(Error::WrongLength {
                field: "values of an axis".into(),
                found: whole as usize,
                expected,
            });
        }
        Self::list((0..=whole as usize).map(|i| first + i as f64 * step).collect())
    }

    /// The values.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// Never true: an axis has a value.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }

    /// The least and the greatest of some of its values.
    pub(super) fn range(&self, from: usize, to: usize) -> (f64, f64) {
        let some = self.values.get(from..to).unwrap_or_default();
        if self.rises {
            return (some.first().copied().unwrap_or(f64::NAN), some.last().copied().unwrap_or(f64::NAN));
        }
        let start = (f64::INFINITY, f64::NEG_INFINITY);
        some.iter().fold(start, |(low, high), v| (low.min(*v), high.max(*v)))
    }
}
