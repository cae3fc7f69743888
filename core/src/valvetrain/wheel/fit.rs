//! The line through the midpoints of the wheel's readings.

use super::{Row, WheelReadings};
use crate::error::{Result, finite, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};

/// What the midpoints are laid against to find the centreline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MidpointAgainst {
    /// Against the lift; the centreline is the midpoint at the mean of the lifts read. The figure of the trade, but of a lobe with unlike flanks not the nose.
    Lift,
    /// Against the lift, the line continued to the lift of the nose. Near the nose midpoints do not run straight with lift, so the lifts read should reach high.
    LiftToNose(Length),
    /// Against half the duration, the line continued to no duration, which is the nose. Exact for a lobe whose flanks are of one shape but of unlike length; their
    /// difference is asymmetry x duration.
    HalfDuration,
}

/// How fast the midpoint drifts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asymmetry {
    /// The slope of the midpoints. Against the lift: rad per m, negative where the midpoint moves earlier with lift (the closing flank is the longer one).
    /// Against half the duration: rad per rad, (closing - opening flank) / (closing + opening flank), positive for the longer closing flank.
    pub slope: f64,
    /// Its standard uncertainty.
    pub standard: f64,
}

/// Where the uncertainties of a fit come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UncertaintyFrom {
    /// The uncertainty stated of the readings.
    Stated,
    /// The scatter of the residuals, which is larger than what was stated.
    Scatter,
}

/// What the readings at one lift gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelLift {
    /// The lift.
    pub lift: Length,
    /// Midway between opening and closing, from top dead centre.
    pub midpoint: Angle,
    /// Duration: closing - opening, as read.
    pub duration: Angle,
    /// Standard uncertainty of the duration.
    pub duration_standard: Angle,
    /// Reading at opening less what the line says.
    pub opening_residual: Angle,
    /// Reading at closing less what the line says.
    pub closing_residual: Angle,
}

/// Centreline and asymmetry by least squares.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelFit {
    /// The centreline, crank angle from overlap top dead centre.
    pub centreline: Angle,
    /// Its standard uncertainty, that of the wheel's zero included.
    pub centreline_standard: Angle,
    /// The drift of the midpoint; none from one lift only.
    pub asymmetry: Option<Asymmetry>,
    /// Which uncertainty was used, of the stated one and that of the scatter: the larger.
    pub uncertainty_from: UncertaintyFrom,
    /// How many times larger than stated the scatter about the line is: about 1 if the statement holds, sqrt(chi^2 / degrees of freedom). None without a
    /// statement, or with no more lifts than the line needs. Large: the midpoints disagree, so look at the residuals.
    pub scatter_ratio: Option<f64>,
    /// The readings, lift by lift.
    pub lifts: Vec<WheelLift>,
}

impl WheelFit {
    /// The latest less the earliest midpoint.
    pub fn midpoint_spread(&self) -> Angle {
        let midpoints = || self.lifts.iter().map(|l| l.midpoint.si());
        let latest = midpoints().fold(f64::NEG_INFINITY, f64::max);
        Angle::from_si(latest - midpoints().fold(f64::INFINITY, f64::min))
    }
}

impl Row {
    fn midpoint(&self) -> f64 {
        (self.opening + self.closing) / 2.0
    }

    fn duration(&self) -> f64 {
        self.closing - self.opening
    }

    /// Variance of the duration: four times that of the midpoint.
    fn variance(&self) -> f64 {
        self.opening_variance + self.closing_variance
    }

    fn against(&self, against: MidpointAgainst) -> f64 {
        match against {
            MidpointAgainst::Lift | MidpointAgainst::LiftToNose(_) => self.lift,
            MidpointAgainst::HalfDuration => self.duration() / 2.0,
        }
    }
}

/// A weighted straight line y = mean + slope (x - middle), with the variances of mean and slope; they are uncorrelated.
struct Line {
    middle: f64,
    mean: f64,
    mean_variance: f64,
    slope: Option<(f64, f64)>,
}

impl Line {
    fn at(&self, x: f64) -> f64 {
        self.mean + self.slope.map_or(0.0, |(slope, _)| slope * (x - self.middle))
    }

    fn variance_at(&self, x: f64) -> f64 {
        self.mean_variance + self.slope.map_or(0.0, |(_, variance)| variance * (x - self.middle).powi(2))
    }
}

impl WheelReadings {
    /// Centreline and asymmetry by weighted least squares: opening = m - d/2 and closing = m + d/2 at each lift, with a duration d of its own and the midpoint m on
    /// a straight line. The midpoint read has the variance (u_o^2 + u_c^2) / 4, the weight its inverse.
    ///
    /// The uncertainties follow from those stated of the readings. If the residuals scatter more, chi^2 / (lifts - 2) above 1, they are enlarged by its square root, and
    /// [`WheelFit::uncertainty_from`] says so. From one lift only, the centreline is its midpoint and there is no asymmetry.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift of the nose below the highest lift read, or durations all the same against the half duration.
    ///
    /// # Source
    /// Least squares and the enlargement by the residuals (Birge ratio): Bevington and Robinson, Data Reduction and Error Analysis, chapter 6; JCGM 100:2008 (GUM),
    /// H.3 (from memory). Midway between two readings of equal lift: common practice, no source.
    ///
    /// # Example
    /// ```
    /// use swept::{units::parse, valvetrain::wheel::{MidpointAgainst, WheelReadings, WheelUncertainty}};
    /// let lifts = [parse("1 mm")?, parse("4 mm")?];
    /// let uncertainty = WheelUncertainty::Common(parse("0.25 deg")?);
    /// let readings = WheelReadings::new(&lifts, &[parse("-6 deg")?, parse("44 deg")?], &[parse("218 deg")?, parse("168 deg")?], &uncertainty)?;
    /// let fit = readings.fit(MidpointAgainst::HalfDuration)?;
    /// assert!((fit.centreline.value.to_degrees() - 106.0).abs() < 1e-9);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn fit(&self, against: MidpointAgainst) -> Result<WheelFit> {
        let line = self.line(against)?;
        let at = self.nose(against, &line)?;
        let scatter = self.scatter(&line, against);
        let zero = self.zero.standard.si();
        let standard = (line.variance_at(at) * scatter.used + zero * zero).sqrt();
        Ok(WheelFit {
            centreline: Angle::from_si(line.at(at)) - self.zero.offset,
            centreline_standard: Angle::from_si(standard),
            asymmetry: line.slope.map(|(slope, v)| Asymmetry { slope, standard: (v * scatter.used).sqrt() }),
            uncertainty_from: scatter.from,
            scatter_ratio: scatter.observed.filter(|_| self.stated).map(f64::sqrt),
            lifts: self.rows.iter().map(|row| self.lift_of(row, &line, against, scatter.used)).collect(),
        })
    }

    fn line(&self, against: MidpointAgainst) -> Result<Line> {
        let points = || self.rows.iter().map(|r| (r.against(against), r.midpoint(), 4.0 / r.variance()));
        let weight: f64 = points().map(|(_, _, w)| w).sum();
        let middle = points().map(|(x, _, w)| w * x).sum::<f64>() / weight;
        let mean = points().map(|(_, y, w)| w * y).sum::<f64>() / weight;
        let mut line = Line { middle, mean, mean_variance: 1.0 / weight, slope: None };
        if self.rows.len() < 2 {
            return Ok(line);
        }
        let square: f64 = points().map(|(x, _, w)| w * (x - middle).powi(2)).sum();
        // Durations that differ by rounding alone are the same.
        if square <= weight * (1e-9 * middle).powi(2) {
            let same = Angle::from_si(2.0 * middle);
            return Err(out_of_range("durations", same, "not the same at every lift"));
        }
        let product: f64 = points().map(|(x, y, w)| w * (x - middle) * (y - mean)).sum();
        line.slope = Some((product / square, 1.0 / square));
        Ok(line)
    }

    /// The place on the line where the centreline is.
    fn nose(&self, against: MidpointAgainst, line: &Line) -> Result<f64> {
        match against {
            MidpointAgainst::Lift => Ok(line.middle),
            MidpointAgainst::HalfDuration => Ok(0.0),
            MidpointAgainst::LiftToNose(nose) => {
                let highest = Length::from_si(self.rows.last().map_or(0.0, |r| r.lift));
                if finite("lift of the nose", nose)? >= highest {
                    return Ok(nose.si());
                }
                let allowed = format!("at least the highest lift read, {}", written(highest));
                Err(out_of_range("lift of the nose", nose, allowed))
            }
        }
    }

    fn scatter(&self, line: &Line, against: MidpointAgainst) -> Scatter {
        let free = self.rows.len().saturating_sub(2);
        let residuals = self.rows.iter().map(|r| (r.midpoint() - line.at(r.against(against)), r));
        let chi2: f64 = residuals.map(|(off, r)| 4.0 * off * off / r.variance()).sum();
        let observed = (free > 0).then(|| chi2 / free as f64);
        let (used, from) = match (observed, self.stated) {
            (Some(over), false) => (over, UncertaintyFrom::Scatter),
            (Some(over), true) if over > 1.0 => (over, UncertaintyFrom::Scatter),
            (_, true) => (1.0, UncertaintyFrom::Stated),
            // Nothing stated and nothing to see: the stated uncertainty, which is zero.
            (None, false) => (0.0, UncertaintyFrom::Stated),
        };
        Scatter { observed, used, from }
    }

    fn lift_of(&self, row: &Row, line: &Line, against: MidpointAgainst, scale: f64) -> WheelLift {
        let off = row.midpoint() - line.at(row.against(against));
        // The readings share the residual of their sum by their variances: the duration, which is free, takes up the rest.
        let share = |variance: f64| Angle::from_si(2.0 * off * variance / row.variance());
        WheelLift {
            lift: Length::from_si(row.lift),
            midpoint: Angle::from_si(row.midpoint()) - self.zero.offset,
            duration: Angle::from_si(row.duration()),
            duration_standard: Angle::from_si((row.variance() * scale).sqrt()),
            opening_residual: share(row.opening_variance),
            closing_residual: share(row.closing_variance),
        }
    }
}

/// How the residuals compare with the stated variances.
struct Scatter {
    /// chi^2 / degrees of freedom.
    observed: Option<f64>,
    /// The factor on the variances.
    used: f64,
    from: UncertaintyFrom,
}
