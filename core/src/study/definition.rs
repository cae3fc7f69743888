//! A study: fixed figures, axes, limits.

use super::axis::Axis;
use super::figure::Figure;
use super::output::Output;
use super::plan::{Program, Shape, Value};
use crate::error::{Error, Result};

/// A limit on an output, in study units (mm, mm3, deg, rad/s, mm/s, mm/s2, kg, kg mm/s2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudyLimit {
    /// Of what.
    pub output: Output,
    /// At least.
    pub lower: Option<f64>,
    /// At most.
    pub upper: Option<f64>,
}

impl StudyLimit {
    /// Both ends; where there is none, infinity.
    #[inline]
    pub(super) fn ends(&self) -> (f64, f64) {
        (self.lower.unwrap_or(f64::NEG_INFINITY), self.upper.unwrap_or(f64::INFINITY))
    }

    /// Whether a value is inside; no number never is.
    #[cfg(test)]
    pub(super) fn holds(&self, value: f64) -> bool {
        let (lower, upper) = self.ends();
        value >= lower && value <= upper
    }
}

/// Designs on a grid of axes, and their limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// By figure: a fixed value.
    fixed: [Option<f64>; Figure::ALL.len()],
    axes: Vec<(Figure, Axis)>,
    limits: Vec<StudyLimit>,
    /// The rows of a part; all where there is none.
    rows: Option<(u128, u128)>,
}

/// Figures that are what they mostly are where nothing is said.
const DEFAULTS: [(Figure, f64); 6] = [
    (Figure::PinOffset, 0.0),
    (Figure::CreviceVolume, 0.0),
    (Figure::Cylinders, 1.0),
    (Figure::FirstOrderFactor, 1.0),
    (Figure::SecondOrderFactor, 1.0),
    (Figure::CamAdvance, 0.0),
];

impl Study {
    /// Fixed figures, axes (the last fastest) and limits.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] for a figure given twice, or a deck height beside a deck clearance; [`Error::NotFinite`]; [`Error::OutOfRange`] for a figure not
    /// above zero that must be, and limits the wrong way round; [`Error::MissingKey`] for a figure that a limited output needs.
    pub fn new(fixed: &[(Figure, f64)], axes: Vec<(Figure, Axis)>, limits: Vec<StudyLimit>) -> Result<Self> {
        let mut all = [None; Figure::ALL.len()];
        let mut seen = [false; Figure::ALL.len()];
        for figure in fixed.iter().map(|(f, _)| *f).chain(axes.iter().map(|(f, _)| *f)) {
            if let Some(again) = seen.get_mut(figure.index())
                && core::mem::replace(again, true)
            {
                let remedy = "given twice; a figure is fixed or on one axis".into();
                return Err(Error::UnknownKey { field: figure.name().into(), remedy });
            }
        }
        for (figure, value) in fixed {
            check_value(*figure, *value)?;
            if let Some(slot) = all.get_mut(figure.index()) {
                *slot = Some(*value);
            }
        }
        for (figure, axis) in &axes {
            axis.values().iter().try_for_each(|v| check_value(*figure, *v))?;
        }
        let has = |figure: Figure| seen.get(figure.index()).copied().unwrap_or(false);
        if has(Figure::DeckHeight) && has(Figure::DeckClearance) {
            let remedy = "deck_clearance, which the deck height follows, or deck_height, not both".into();
            return Err(Error::UnknownKey { field: Figure::DeckClearance.name().into(), remedy });
        }
        for (figure, value) in DEFAULTS {
            if let Some(slot) = all.get_mut(figure.index())
                && !has(figure)
            {
                *slot = Some(value);
            }
        }
        limits.iter().try_for_each(check_limit)?;
        let study = Self { fixed: all, axes, limits, rows: None };
        study.limits.iter().try_for_each(|limit| study.check_output(limit.output))?;
        study.check_turns()?;
        Ok(study)
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
        if i >= n {
            let (field, value) = ("part".into(), format!("{i} of {n}"));
            return Err(Error::OutOfRange {
                field,
                value,
                allowed: "from 0 to before the number of parts".into(),
            });
        }
        let (start, end) = self.rows()?;
        let (each, more) = ((end - start) / u128::from(n), (end - start) % u128::from(n));
        let first = |i: u64| start + u128::from(i) * each + u128::from(i).min(more);
        Ok(Self { rows: Some((first(i), first(i + 1))), ..self.clone() })
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
        let mut figures = self.fixed.map(|v| v.unwrap_or(f64::NAN));
        for (figure, value) in self.design(row)? {
            if let Some(slot) = figures.get_mut(figure.index()) {
                *slot = value;
            }
        }
        Ok(program.run(&figures))
    }

    pub(super) fn fixed(&self, figure: Figure) -> Option<f64> {
        self.fixed.get(figure.index()).copied().flatten()
    }

    /// Where a figure is an axis, which.
    pub(super) fn axis_of(&self, figure: Figure) -> Option<usize> {
        self.axes.iter().position(|(f, _)| *f == figure)
    }

    pub(super) fn shape(&self) -> Shape {
        Shape {
            offset: self.fixed(Figure::PinOffset) != Some(0.0),
            deck_follows: self.fixed(Figure::DeckClearance).is_some()
                || self.axis_of(Figure::DeckClearance).is_some(),
        }
    }

    /// Refuses an output whose figures are not all given.
    pub(super) fn check_output(&self, output: Output) -> Result<()> {
        let mut missing = Vec::new();
        visit(Value::Output(output), self.shape(), &mut |value| {
            if let Value::Figure(figure) = value
                && self.fixed(figure).is_none()
                && self.axis_of(figure).is_none()
                && !missing.contains(&figure.name())
            {
                missing.push(figure.name());
            }
        });
        match missing.first() {
            None => Ok(()),
            Some(first) => Err(Error::MissingKey {
                field: (*first).into(),
                remedy: format!("{} needs {}, fixed or on an axis", output.name(), missing.join(", ")),
            }),
        }
    }

    /// Refuses a grid with a rod that is too short for its crank to turn.
    fn check_turns(&self) -> Result<()> {
        let range = |figure: Figure| {
            let fixed = self.fixed(figure).map(|v| (v, v));
            let axis = self.axes.iter().find(|(f, _)| *f == figure).map(|(_, a)| a.range(0, a.len()));
            fixed.or(axis)
        };
        let (Some(stroke), Some(rod)) = (range(Figure::Stroke), range(Figure::RodLength)) else {
            return Ok(());
        };
        let offset = range(Figure::PinOffset).map_or(0.0, |(low, high)| low.abs().max(high.abs()));
        let least = stroke.1 / 2.0 + offset;
        if rod.0 > least {
            return Ok(());
        }
        Err(Error::OutOfRange {
            field: Figure::RodLength.name().into(),
            value: format!("{} mm at its least", rod.0),
            allowed: format!("above half the greatest stroke + |pin offset| = {least} mm"),
        })
    }
}

/// Visits a value and all that it takes, each after what it takes.
pub(super) fn visit(value: Value, shape: Shape, see: &mut impl FnMut(Value)) {
    for input in value.inputs(shape) {
        visit(input, shape, see);
    }
    see(value);
}

fn check_value(figure: Figure, value: f64) -> Result<()> {
    use Figure as F;
    if !value.is_finite() {
        return Err(Error::NotFinite { field: figure.name().into(), value: value.to_string() });
    }
    let (holds, allowed) = match figure {
        F::PinOffset
        | F::DeckClearance
        | F::CrownVolume
        | F::IntakeClosing
        | F::CamAdvance
        | F::IntakeStaticClearance
        | F::ExhaustStaticClearance => (true, "any"),
        F::GasketThickness
        | F::CreviceVolume
        | F::ChamberVolume
        | F::Speed
        | F::FirstOrderFactor
        | F::SecondOrderFactor
        | F::IntakeLift
        | F::ExhaustLift => (value >= 0.0, "zero or more"),
        F::IntakeDuration | F::ExhaustDuration => {
            (value > 0.0 && value <= 720.0, "above zero, up to 720 deg")
        }
        F::IntakeCentreline | F::ExhaustCentreline => {
            (value.abs() <= 360.0, "from -360 to 360 deg from overlap top dead centre")
        }
        F::IntakeValveAngle | F::ExhaustValveAngle => {
            ((0.0..90.0).contains(&value), "from 0 to below 90 deg")
        }
        _ => (value > 0.0, "above zero"),
    };
    if holds {
        return Ok(());
    }
    Err(Error::OutOfRange { field: figure.name().into(), value: value.to_string(), allowed: allowed.into() })
}

fn check_limit(limit: &StudyLimit) -> Result<()> {
    let field = || format!("limit on {}", limit.output.name());
    for value in [limit.lower, limit.upper].into_iter().flatten() {
        if value.is_nan() {
            return Err(Error::NotFinite { field: field(), value: value.to_string() });
        }
    }
    match (limit.lower, limit.upper) {
        (Some(lower), Some(upper)) if lower > upper => Err(Error::OutOfRange {
            field: field(),
            value: format!("from {lower}"),
            allowed: format!("at most the upper limit, {upper}"),
        }),
        (None, None) => {
            Err(Error::MissingKey { field: field(), remedy: "it needs a lower or an upper limit".into() })
        }
        _ => Ok(()),
    }
}
