//! Which reading the variance of an output comes from: by samples over the whole of the distributions, and by the slopes at the means.

use super::chain::Chain;
use super::definition::Sampling;
use super::farm::{Farm, Hands};
use super::shares::{Ratio, Sharing, Sums};
use crate::error::{Error, Result};
use crate::metrology::{Budget, propagate};
use crate::study::figure::Figure;
use crate::study::given::{check_value, turns};
use crate::study::output::Output;
use crate::study::program::Program;
use crate::study::workers::Workers;

/// What of the variance of an output comes from one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variance {
    /// The reading.
    pub figure: Figure,
    /// First-order index: the share of the variance that the reading accounts for alone. An estimate: a small one may come out below zero.
    pub first: f64,
    /// Its standard error.
    pub first_error: f64,
    /// Total index: the share that it has a part in, alone or together with others.
    pub total: f64,
    /// Its standard error.
    pub total_error: f64,
}

/// Where the variance of an output comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// The output.
    pub output: Output,
    /// Samples that it could be told of with every reading exchanged.
    pub used: u64,
    /// The others.
    pub refused: u64,
    /// Its variance, in squared study units.
    pub variance: f64,
    /// By reading, in the order of the figures.
    pub readings: Vec<Variance>,
}

impl Sampling {
    /// Which share of the variance of outputs comes from which reading: first-order and total indices, from so many samples drawn twice and once more for each
    /// reading. The readings must be independent. A reading that an output does not take has none of it, exactly.
    ///
    /// With A and B two sets of samples, and AB the first with the column of one reading from the second: first = 1 - mean (f(B) - f(AB))^2 / (2 V),
    /// total = mean (f(A) - f(AB))^2 / (2 V), V the variance of both sets. Standard errors by the delta method.
    ///
    /// # Errors
    /// As [`Sampling::sample`]; [`Error::OutOfRange`] for correlated readings.
    ///
    /// # Source
    /// Saltelli and others, Variance based sensitivity analysis of model output, Comput. Phys. Commun. 181 (2010) 259, table 2: the estimators of Jansen (from
    /// memory).
    pub fn sensitivity(
        &self,
        samples: u64,
        outputs: &[Output],
        workers: &Workers,
    ) -> Result<Vec<Sensitivity>> {
        self.sensitivity_with(samples, outputs, Hands { workers, farm: None })
    }

    /// The same, to the bit, with the samples drawn and evaluated by whom a farm finds.
    ///
    /// # Errors
    /// As [`Sampling::sensitivity`]; those of the farm; [`Error::Unreadable`] for answers that are none, or not in their order.
    pub fn sensitivity_on(
        &self,
        samples: u64,
        outputs: &[Output],
        farm: &dyn Farm,
        workers: &Workers,
    ) -> Result<Vec<Sensitivity>> {
        self.sensitivity_with(samples, outputs, Hands { workers, farm: Some(farm) })
    }

    fn sensitivity_with(&self, samples: u64, outputs: &[Output], hands: Hands) -> Result<Vec<Sensitivity>> {
        self.check(samples, outputs)?;
        self.check_independent("shares of the variance")?;
        let shift = |output: &Output| {
            let value = self.study().output_of(0, *output)?;
            Ok(if value.is_finite() { value } else { 0.0 })
        };
        let shifts = outputs.iter().map(shift).collect::<Result<Vec<f64>>>()?;
        let mut all = vec![Sums::new(self.readings().len()); outputs.len()];
        let sharing = Sharing { samples, outputs: outputs.to_vec(), shifts };
        hands.each_part(self, &sharing, |part| {
            all.iter_mut().zip(&part).for_each(|(all, part)| all.append(part));
        })?;
        let chain = Chain::new(self.study(), outputs);
        let one = |(place, (output, sums)): (usize, (&Output, &Sums))| Sensitivity {
            output: *output,
            used: sums.used,
            refused: samples - sums.used,
            variance: sums.variance(),
            readings: self.variances(sums, |reading| chain.depends(place, reading)),
        };
        Ok(outputs.iter().zip(&all).enumerate().map(one).collect())
    }

    fn variances(&self, sums: &Sums, depends: impl Fn(usize) -> bool) -> Vec<Variance> {
        let one = |(reading, ((figure, _), [first, total])): (usize, (&(Figure, _), &[Ratio; 2]))| {
            if !depends(reading) {
                let figure = *figure;
                return Variance { figure, first: 0.0, first_error: 0.0, total: 0.0, total_error: 0.0 };
            }
            let ((rest, first_error), (total, total_error)) = (sums.ratio(first), sums.ratio(total));
            Variance { figure: *figure, first: 1.0 - rest, first_error, total, total_error }
        };
        self.readings().iter().zip(&sums.readings).enumerate().map(one).collect()
    }

    /// The standard uncertainty of an output by the linear propagation of those of its readings, with the part of each reading, in the order of the figures;
    /// [`Budget::share`] is its share of the variance. The readings must be independent.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that the output needs; [`Error::OutOfRange`] for correlated readings, and where the output is no number at the means.
    ///
    /// # Source
    /// JCGM 100:2008 (GUM), 5.1.2, with half of what the output moves by from one standard uncertainty below the mean to one above for the slope times the
    /// uncertainty, 5.1.3 note 2 (from memory), as [`propagate`].
    pub fn linear(&self, output: Output) -> Result<Budget> {
        self.check(1, &[output])?;
        self.check_independent("shares of the variance")?;
        let study = self.study();
        let program = Program::of(output, study.shape());
        let (means, deviations): (Vec<f64>, Vec<f64>) =
            self.readings().iter().map(|(_, d)| d.moments()).unzip();
        let fixed = Figure::ALL.map(|figure| study.fixed(figure).unwrap_or(f64::NAN));
        propagate(&means, &deviations, |values| {
            let mut figures = fixed;
            for ((figure, _), value) in self.readings().iter().zip(values) {
                check_value(*figure, *value)?;
                if let Some(slot) = figures.get_mut(figure.index()) {
                    *slot = *value;
                }
            }
            let [stroke, rod, offset] = [Figure::Stroke, Figure::RodLength, Figure::PinOffset]
                .map(|figure| figures.get(figure.index()).copied().unwrap_or(f64::NAN));
            let value = program.run(&figures);
            // Where one of the three is not given, nothing can be said of them.
            let known = !(stroke + rod + offset).is_nan();
            if value.is_finite() && (!known || turns(stroke, rod, offset)) {
                return Ok(value);
            }
            Err(Error::NotFinite { field: output.name().into(), value: value.to_string() })
        })
    }
}
