//! How sure a correction is, from how sure the readings are.

use super::InfluenceSurvey;
use crate::error::Result;
use crate::metrology::propagate;
use crate::units::{Angle, Dimensioned, Unbalance};
use nalgebra::DMatrix;
use num_complex::Complex64;

/// Standard uncertainties of a correction.
#[derive(Debug, Clone, PartialEq)]
pub struct CorrectionUncertainty {
    /// Of the weights to add, plane by plane.
    pub weights: Vec<WeightUncertainty>,
    /// Of the vibration predicted to remain, sensor by sensor.
    pub predicted: Vec<VibrationUncertainty>,
}

/// Standard uncertainty of a weight to add.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightUncertainty {
    /// Of the part towards angle zero.
    pub real: Unbalance,
    /// Of the part towards 90 deg.
    pub imaginary: Unbalance,
    /// Of the amount.
    pub amount: Unbalance,
    /// Of the angle; none where there is no weight.
    pub angle: Option<Angle>,
}

/// Standard uncertainty of a vibration predicted to remain, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VibrationUncertainty {
    /// Of the real part.
    pub real: f64,
    /// Of the imaginary part.
    pub imaginary: f64,
}

impl VibrationUncertainty {
    /// Both parts together: the root mean square of the amplitude that will be found where none is predicted.
    pub fn magnitude(&self) -> f64 {
        self.real.hypot(self.imaginary)
    }
}

impl InfluenceSurvey {
    /// Standard uncertainties of a correction, by the law of propagation over all readings, each along its own direction and across it.
    ///
    /// What will remain is V0 + A W with the weights as they are put on: they do not change any more with the readings.
    ///
    /// # Source
    /// JCGM 102:2011 (GUM, any number of output quantities), with [`propagate`] (from memory).
    pub(super) fn propagated(
        &self,
        fit: &DMatrix<Complex64>,
        total: &[Complex64],
        more: &[Complex64],
    ) -> Result<CorrectionUncertainty> {
        let readings = self.vibrations();
        let standard: Vec<f64> =
            readings.iter().flat_map(|v| <[f64; 2]>::from(self.uncertainty.parts(*v))).collect();
        let weight = |plane: usize, x: &[f64]| -> Result<Complex64> {
            let (influence, baseline) = self.fitted(fit, &moved(&readings, x))?;
            let (weights, _) = influence.solve(&baseline, &self.sensor_weights)?;
            Ok(weights.get(plane).copied().unwrap_or_default())
        };
        let remains = |sensor: usize, x: &[f64]| -> Result<Complex64> {
            let (influence, baseline) = self.fitted(fit, &moved(&readings, x))?;
            Ok(influence.answer(&baseline, total).get(sensor).copied().unwrap_or_default())
        };
        let weights = more.iter().enumerate();
        let weights =
            weights.map(|(plane, w)| Ok(of_weight(*w, &deviations(&standard, |x| weight(plane, x))?)));
        let predicted = (0..self.baseline.len()).map(|sensor| {
            let parts = deviations(&standard, |x| remains(sensor, x))?;
            Ok(VibrationUncertainty {
                real: root_sum(&parts, |d| d.re),
                imaginary: root_sum(&parts, |d| d.im),
            })
        });
        Ok(CorrectionUncertainty {
            weights: weights.collect::<Result<_>>()?,
            predicted: predicted.collect::<Result<_>>()?,
        })
    }
}

/// The readings moved by `x`: along each reading, then across it.
fn moved(readings: &[Complex64], x: &[f64]) -> Vec<Complex64> {
    let direction = |v: &Complex64| if v.norm() > 0.0 { v / v.norm() } else { Complex64::ONE };
    let by = |pair: &[f64]| match pair {
        [along, across] => Complex64::new(*along, *across),
        _ => Complex64::ZERO,
    };
    readings.iter().zip(x.chunks(2)).map(|(v, pair)| v + direction(v) * by(pair)).collect()
}

/// What each input's standard uncertainty does to a complex figure.
fn deviations(standard: &[f64], f: impl Fn(&[f64]) -> Result<Complex64>) -> Result<Vec<Complex64>> {
    let here = vec![0.0; standard.len()];
    let real = propagate(&here, standard, |x| Ok(f(x)?.re))?;
    let imaginary = propagate(&here, standard, |x| Ok(f(x)?.im))?;
    let parts = real.contributions.iter().zip(&imaginary.contributions);
    Ok(parts.map(|(re, im)| Complex64::new(*re, *im)).collect())
}

fn root_sum(deviations: &[Complex64], part: impl Fn(Complex64) -> f64) -> f64 {
    deviations.iter().map(|d| part(*d).powi(2)).sum::<f64>().sqrt()
}

fn of_weight(weight: Complex64, deviations: &[Complex64]) -> WeightUncertainty {
    let size = weight.norm();
    let direction = if size > 0.0 { weight.conj() / size } else { Complex64::ONE };
    let across = root_sum(deviations, |d| (d * direction).im);
    WeightUncertainty {
        real: Unbalance::from_si(root_sum(deviations, |d| d.re)),
        imaginary: Unbalance::from_si(root_sum(deviations, |d| d.im)),
        amount: Unbalance::from_si(root_sum(deviations, |d| (d * direction).re)),
        angle: (size > 0.0).then(|| Angle::from_si(across / size)),
    }
}
