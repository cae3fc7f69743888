//! A study: fixed figures, axes, limits.

use super::axis::Axis;
use super::figure::Figure;
use super::given::{Given, StudyLimit, check_value};
use super::output::Output;
use super::plan::Shape;
use super::program::Program;
use crate::error::{Error, Result};

/// Part i of n of some rows, from the first to before the last: the parts are in their order and as even as can be.
///
/// # Errors
/// [`Error::OutOfRange`] for no part of that number.
pub(super) fn part_of((start, end): (u128, u128), i: u64, n: u64) -> Result<(u128, u128)> {
    if i >= n {
        let (field, value) = ("part".into(), format!("{i} of {n}"));
        return Err(Error::OutOfRange {
            field,
            value,
            allowed: "from 0 to before the number of parts".into(),
        });
    }
    let (each, more) = ((end - start) / u128::from(n), (end - start) % u128::from(n));
    let first = |i: u64| start + u128::from(i) * each + u128::from(i).min(more);
    Ok((first(i), first(i + 1)))
}

/// Designs on a grid of axes, and their limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    given: Given,
    axes: Vec<(Figure, Axis)>,
    limits: Vec<StudyLimit>,
    /// The rows of a part; all where there is none.
    rows: Option<(u128, u128)>,
}

impl Study {
    /// Fixed figures, axes (the last fastest) and limits.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] for a figure given twice, or a deck height beside a deck clearance; [`Error::NotFinite`]; [`Error::OutOfRange`] for a figure not
    /// above zero that must be, and limits the wrong way round; [`Error::MissingKey`] for a figure that a limited output needs.
    pub fn new(fixed: &[(Figure, f64)], axes: Vec<(Figure, Axis)>, limits: Vec<StudyLimit>) -> Result<Self> {
        let given = Given::new(fixed, axes.iter().map(|(f, _)| *f).collect())?;
        for (figure, axis) in &axes {
            axis.values().iter().try_for_each(|v| check_value(*figure, *v))?;
        }
        given.check_limits(&limits)?;
        given.check_turns(|place| axes.get(place).map(|(_, a)| a.range(0, a.len())))?;
        Ok(Self { given, axes, limits, rows: None })
    }

    /// The axes, the last fastest.
    pub fn axes(&self) -> &[(Figure, Axis)] {
        &self.axes
    }

    /// The limits.
    pub fn limits(&self) -> &[StudyLimit] {
        &self.limits
    }

    /// The same with other limits.
    pub(super) fn with_limits(&self, limits: Vec<StudyLimit>) -> Self {
        Self { limits, ..self.clone() }
    }

    /// How many designs.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond 2^127.
    pub fn designs(&self) -> Result<u128> {
        let product = self.axes.iter().try_fold(1u128, |all, (_, a)| all.checked_mul(a.len() as u128));
        product.filter(|all| *all < 1 << 127).ok_or_else(|| Error::OutOfRange {
            field: "designs".into(),
            value: "more than 1.7e38".into(),
            allowed: "up to 1.7e38, for their row numbers".into(),
        })
    }

    /// The rows that questions are asked of, from the first to before the last: all, or those of a part.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn rows(&self) -> Result<(u128, u128)> {
        match self.rows {
            Some(rows) => Ok(rows),
            None => Ok((0, self.designs()?)),
        }
    }

    /// Part i of n of its rows, counted from 0: each row is in exactly one part, and the parts are in their order and as even as can be. Row numbers stay those of
    /// the whole grid, so that answers of parts merge to that of the whole: counts add, rows follow one another, the best of all are the best of the best.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`Error::OutOfRange`] for no part of that number.
    pub fn partition(&self, i: u64, n: u64) -> Result<Self> {
        Ok(Self { rows: Some(part_of(self.rows()?, i, n)?), ..self.clone() })
    }

    /// The same asked of some of its rows only, from one to before another, as far as it has them. Row numbers stay those of the whole grid.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn between(&self, first: u128, end: u128) -> Result<Self> {
        let (start, last) = self.rows()?;
        let (first, end) = (first.clamp(start, last), end.clamp(start, last));
        Ok(Self { rows: Some((first, end.max(first))), ..self.clone() })
    }

    /// The figures of a design by its row number.
    pub fn design(&self, row: u128) -> Result<Vec<(Figure, f64)>> {
        let designs = self.designs()?;
        if row >= designs {
            let (field, value) = ("row".into(), row.to_string());
            return Err(Error::OutOfRange { field, value, allowed: format!("below {designs}") });
        }
        let mut rest = row;
        let mut found = Vec::with_capacity(self.axes.len());
        for (figure, axis) in self.axes.iter().rev() {
            let place = (rest % axis.len() as u128) as usize;
            rest /= axis.len() as u128;
            found.push((*figure, axis.values().get(place).copied().unwrap_or(f64::NAN)));
        }
        found.reverse();
        Ok(found)
    }

    /// An output of one design.
    ///
    /// # Errors
    /// As [`Study::design`]; [`Error::MissingKey`] for a figure that it needs.
    pub fn output_of(&self, row: u128, output: Output) -> Result<f64> {
        self.check_output(output)?;
        self.run(row, &Program::of(output, self.shape()))
    }

    fn run(&self, row: u128, program: &Program) -> Result<f64> {
        let design = self.design(row)?;
        Ok(program.run(&self.given.design(design.into_iter().map(|(_, value)| value))))
    }

    pub(super) fn given(&self) -> &Given {
        &self.given
    }

    pub(super) fn fixed(&self, figure: Figure) -> Option<f64> {
        self.given.fixed(figure)
    }

    /// Where a figure is an axis, which.
    pub(super) fn axis_of(&self, figure: Figure) -> Option<usize> {
        self.given.place_of(figure)
    }

    pub(super) fn shape(&self) -> Shape {
        self.given.shape()
    }

    /// Refuses an output whose figures are not all given.
    pub(super) fn check_output(&self, output: Output) -> Result<()> {
        self.given.check_output(output)
    }
}
