//! What is given of all designs of a study: fixed figures, and which figures vary; the checks that every kind of study shares.

use super::figure::Figure;
use super::output::Output;
use super::plan::{Shape, Value, visit};
use crate::error::{Error, Result};

/// Figures that are what they mostly are where nothing is said.
const DEFAULTS: [(Figure, f64); 4] = [
    (Figure::PinOffset, 0.0),
    (Figure::CreviceVolume, 0.0),
    (Figure::Cylinders, 1.0),
    (Figure::CamAdvance, 0.0),
];

/// What one cylinder has where nothing is said; of more cylinders they depend on the layout.
const OF_ONE_CYLINDER: [Figure; 2] = [Figure::FirstOrderFactor, Figure::SecondOrderFactor];

/// Where a factor that is missing comes from.
const LAYOUT: &str = "; of more than one cylinder a factor comes from the layout, as from engine.throw_angles (and engine.bank_angle of a vee) of a build document";

/// Fixed figures and those that vary.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Given {
    /// By figure: a fixed value.
    fixed: [Option<f64>; Figure::ALL.len()],
    /// In the order in which they were given.
    varied: Vec<Figure>,
}

impl Given {
    /// Refuses a figure given twice, a deck height beside a deck clearance, and a fixed figure that is none.
    pub(super) fn new(fixed: &[(Figure, f64)], varied: Vec<Figure>) -> Result<Self> {
        let mut seen = [false; Figure::ALL.len()];
        for figure in fixed.iter().map(|(f, _)| *f).chain(varied.iter().copied()) {
            if let Some(again) = seen.get_mut(figure.index())
                && core::mem::replace(again, true)
            {
                let remedy = "given twice; a figure is fixed or varied, once".into();
                return Err(Error::UnknownKey { field: figure.name().into(), remedy });
            }
        }
        let has = |figure: Figure| seen.get(figure.index()).copied().unwrap_or(false);
        if has(Figure::DeckHeight) && has(Figure::DeckClearance) {
            let remedy = "deck_clearance, which the deck height follows, or deck_height, not both".into();
            return Err(Error::UnknownKey { field: Figure::DeckClearance.name().into(), remedy });
        }
        fixed.iter().try_for_each(|(figure, value)| check_value(*figure, *value))?;
        let unsaid = DEFAULTS.iter().filter(|(figure, _)| !has(*figure));
        let mut given = Self { fixed: [None; Figure::ALL.len()], varied };
        for (figure, value) in fixed.iter().chain(unsaid) {
            if let Some(slot) = given.fixed.get_mut(figure.index()) {
                *slot = Some(*value);
            }
        }
        if given.fixed(Figure::Cylinders) == Some(1.0) {
            for figure in OF_ONE_CYLINDER.into_iter().filter(|figure| !has(*figure)) {
                if let Some(slot) = given.fixed.get_mut(figure.index()) {
                    *slot = Some(1.0);
                }
            }
        }
        Ok(given)
    }

    pub(super) fn fixed(&self, figure: Figure) -> Option<f64> {
        self.fixed.get(figure.index()).copied().flatten()
    }

    /// The figures that vary, in the order in which they were given.
    pub(super) fn varied(&self) -> &[Figure] {
        &self.varied
    }

    /// Where a figure varies, which of those it is.
    pub(super) fn place_of(&self, figure: Figure) -> Option<usize> {
        self.varied.iter().position(|f| *f == figure)
    }

    pub(super) fn shape(&self) -> Shape {
        Shape {
            offset: self.fixed(Figure::PinOffset) != Some(0.0),
            deck_follows: self.fixed(Figure::DeckClearance).is_some()
                || self.place_of(Figure::DeckClearance).is_some(),
        }
    }

    /// All figures of a design; no number where one is not given.
    pub(super) fn design(&self, varied: impl IntoIterator<Item = f64>) -> [f64; Figure::ALL.len()] {
        let mut all = self.fixed.map(|v| v.unwrap_or(f64::NAN));
        for (figure, value) in self.varied.iter().zip(varied) {
            if let Some(slot) = all.get_mut(figure.index()) {
                *slot = value;
            }
        }
        all
    }

    /// Refuses limits that are none, and those on outputs whose figures are not all given.
    pub(super) fn check_limits(&self, limits: &[StudyLimit]) -> Result<()> {
        limits.iter().try_for_each(StudyLimit::check)?;
        limits.iter().try_for_each(|limit| self.check_output(limit.output))
    }

    /// Refuses an output whose figures are not all given.
    pub(super) fn check_output(&self, output: Output) -> Result<()> {
        let mut missing = Vec::new();
        visit(Value::Output(output), self.shape(), &mut |value| {
            if let Value::Figure(figure) = value
                && self.fixed(figure).is_none()
                && self.place_of(figure).is_none()
                && !missing.contains(&figure.name())
            {
                missing.push(figure.name());
            }
        });
        match missing.first() {
            None => Ok(()),
            Some(first) => {
                let layout = OF_ONE_CYLINDER.iter().any(|figure| missing.contains(&figure.name()));
                let from = if layout { LAYOUT } else { "" };
                let remedy = format!("{} needs {}, fixed or varied{from}", output.name(), missing.join(", "));
                Err(Error::MissingKey { field: (*first).into(), remedy })
            }
        }
    }

    /// Refuses a rod that is too short for its crank to turn somewhere in the ranges of the varied figures; a figure whose range is not told is not looked at.
    pub(super) fn check_turns(&self, varied: impl Fn(usize) -> Option<(f64, f64)>) -> Result<()> {
        let range = |figure: Figure| match self.place_of(figure) {
            Some(place) => varied(place),
            None => self.fixed(figure).map(|v| (v, v)),
        };
        let (Some(stroke), Some(rod), Some(offset)) =
            (range(Figure::Stroke), range(Figure::RodLength), range(Figure::PinOffset))
        else {
            return Ok(());
        };
        let offset = offset.0.abs().max(offset.1.abs());
        if turns(stroke.1, rod.0, offset) {
            return Ok(());
        }
        let least = least_rod(stroke.1, offset);
        Err(Error::OutOfRange {
            field: Figure::RodLength.name().into(),
            value: format!("{} mm at its least", rod.0),
            allowed: format!("above half the greatest stroke + |pin offset| = {least} mm"),
        })
    }
}

/// What a rod must be longer than for its crank to turn.
#[inline(always)]
pub(super) fn least_rod(stroke: f64, offset: f64) -> f64 {
    stroke / 2.0 + offset.abs()
}

/// Whether the rod is long enough for the crank to turn.
#[inline(always)]
pub(super) fn turns(stroke: f64, rod: f64, offset: f64) -> bool {
    rod > least_rod(stroke, offset)
}

/// A limit on an output, both ends included, in study units (mm, mm3, deg, rad/s, mm/s, mm/s2, kg, kg mm/s2). Outputs are compared as they are
/// computed, in numbers of 64 bits: a design that stands on a limit may be rounded to either side of it, and a limit set wider by 1e-9 of itself takes it in.
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
    /// From the least to the greatest that it allows.
    #[inline]
    pub(super) fn ends(&self) -> (f64, f64) {
        (self.lower.unwrap_or(f64::NEG_INFINITY), self.upper.unwrap_or(f64::INFINITY))
    }

    /// Whether a value is inside; no number never is.
    #[inline]
    #[cfg(test)]
    pub(super) fn holds(&self, value: f64) -> bool {
        let (lower, upper) = self.ends();
        value >= lower && value <= upper
    }

    fn check(&self) -> Result<()> {
        let field = || format!("limit on {}", self.output.name());
        for value in [self.lower, self.upper].into_iter().flatten() {
            if value.is_nan() {
                return Err(Error::NotFinite { field: field(), value: value.to_string() });
            }
        }
        match (self.lower, self.upper) {
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
}

/// The least and the greatest number that a figure can be, and that in words.
const fn allowed(figure: Figure) -> (f64, f64, &'static str) {
    use Figure as F;
    // The least number above zero.
    let above = f64::from_bits(1);
    match figure {
        F::PinOffset
        | F::DeckClearance
        | F::CrownVolume
        | F::IntakeClosing
        | F::IntakeStaticClearance
        | F::ExhaustStaticClearance => (f64::MIN, f64::MAX, "any"),
        F::GasketThickness
        | F::CreviceVolume
        | F::ChamberVolume
        | F::Speed
        | F::FirstOrderFactor
        | F::SecondOrderFactor
        | F::IntakeLift
        | F::ExhaustLift => (0.0, f64::MAX, "zero or more"),
        F::IntakeDuration | F::ExhaustDuration => (above, 720.0, "above zero, up to 720 deg"),
        F::IntakeCentreline | F::ExhaustCentreline => {
            (-360.0, 360.0, "from -360 to 360 deg from overlap top dead centre")
        }
        F::CamAdvance => (-360.0, 360.0, "from -360 to 360 deg"),
        F::IntakeValveAngle | F::ExhaustValveAngle => (0.0, 90f64.next_down(), "from 0 to below 90 deg"),
        _ => (above, f64::MAX, "above zero"),
    }
}

/// The least and the greatest number that a figure can be.
pub(super) const fn possible(figure: Figure) -> (f64, f64) {
    let (least, most, _) = allowed(figure);
    (least, most)
}

/// Refuses what a figure cannot be.
pub(super) fn check_value(figure: Figure, value: f64) -> Result<()> {
    let field = || figure.name().into();
    if !value.is_finite() {
        return Err(Error::NotFinite { field: field(), value: value.to_string() });
    }
    let (least, most, allowed) = allowed(figure);
    if figure == Figure::Cylinders && value.fract() != 0.0 {
        let (value, allowed) = (value.to_string(), "a whole number".into());
        return Err(Error::OutOfRange { field: field(), value, allowed });
    }
    if (least..=most).contains(&value) {
        return Ok(());
    }
    Err(Error::OutOfRange { field: field(), value: value.to_string(), allowed: allowed.into() })
}
