//! Samples of designs whose readings are uncertain; statistics cross in the units shown.

use crate::errors::OrRaise;
use crate::farmed::farmed;
use crate::shown::{array_of, column, many, united};
use crate::study::{Told, asked, teller};
use pyo3::buffer::PyBuffer;
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::PySlice;
use swept::study::{Figure, Output, Sampled, Sampling, Sensitivity, Share, Spread, Workers};
use swept::units::Dimension;
use swept::{Error, metrology};

type Any<'py> = Bound<'py, PyAny>;

/// Count, of how many, share, standard error.
type PyShare = (u64, u64, f64, f64);

/// Name, symbol of the unit, statistics, used, refused, share outside.
type PySpread<'py> = (&'static str, String, Any<'py>, u64, u64, Option<PyShare>);

/// How many are impossible, the share that holds all limits, how each output is spread.
type PySampled<'py> = (u64, Option<PyShare>, Vec<PySpread<'py>>);

/// Name, used, refused, and by reading: name, first-order index, its error, total index, its error.
type PyVariances = (&'static str, u64, u64, Vec<(&'static str, f64, f64, f64, f64)>);

/// More values than this in one array are taken for a slip.
const MOST_VALUES: u64 = 1_000_000_000;

/// Values that are drawn before they are copied into an array.
const PART: usize = 1 << 22;

fn share(share: &Share) -> PyShare {
    (share.count, share.of, share.share, share.error)
}

fn outputs_of(py: Python<'_>, names: &[String]) -> PyResult<Vec<Output>> {
    names.iter().map(|name| Output::parse(name)).collect::<swept::Result<_>>().or_raise(py)
}

/// A whole number, zero or more.
fn whole(field: &str, given: &Any<'_>) -> PyResult<u64> {
    let py = given.py();
    let whole = given
        .call_method0("__index__")
        .map_err(|_| PyTypeError::new_err(format!("{field} must be a whole number, not {given}")))?;
    let refused = || Error::OutOfRange {
        field: field.into(),
        value: whole.to_string(),
        allowed: format!("0 to {}", u64::MAX),
    };
    whole.extract().map_err(|_| refused()).or_raise(py)
}

/// Mean, deviation, their standard errors, the quantiles, their standard errors, as those of the unit shown.
fn statistics(spread: &Spread) -> Vec<f64> {
    let quantiles = spread.quantiles.iter();
    let mut all = vec![spread.mean, spread.deviation, spread.mean_error, spread.deviation_error];
    all.extend(quantiles.clone().map(|q| q.value).chain(quantiles.map(|q| q.error)));
    all
}

fn sampled<'py>(py: Python<'py>, found: &Sampled) -> PyResult<PySampled<'py>> {
    let one = |spread: &Spread| {
        let (symbol, values) = column(py, spread.output.dimension(), statistics(spread))?;
        let outside = spread.outside.as_ref().map(share);
        let values = many(py, spread.output.dimension(), &values)?;
        Ok((spread.output.name(), symbol.to_owned(), values, spread.used, spread.refused, outside))
    };
    let spreads = found.outputs.iter().map(one).collect::<PyResult<_>>()?;
    Ok((found.impossible, found.feasible.as_ref().map(share), spreads))
}

fn variances(found: &[Sensitivity]) -> Vec<PyVariances> {
    let one = |of: &Sensitivity| {
        let readings = of.readings.iter();
        let readings = readings.map(|v| (v.figure.name(), v.first, v.first_error, v.total, v.total_error));
        (of.output.name(), of.used, of.refused, readings.collect())
    };
    found.iter().map(one).collect()
}

/// Designs whose readings are uncertain, read and checked.
#[pyclass(frozen, name = "NativeSampling", module = "swept._swept")]
pub(crate) struct PySampling(Sampling);

impl PySampling {
    /// Fills an array part by part.
    fn filled<'py>(
        py: Python<'py>,
        (first, count): (&Any<'py>, &Any<'py>),
        dimension: Dimension,
        (threads, told): (usize, Told<'_>),
        draw: impl Fn(u64, &mut [f64], &Workers<'_>) -> swept::Result<()> + Sync,
    ) -> PyResult<Any<'py>> {
        let (first, count) = (whole("first", first)?, whole("count", count)?);
        if count > MOST_VALUES {
            let allowed = format!("up to {MOST_VALUES} in one array");
            return Err(Error::OutOfRange { field: "count".into(), value: count.to_string(), allowed })
                .or_raise(py);
        }
        let out = py.import("numpy")?.call_method1("empty", (count, "float64"))?;
        // What it refuses, it refuses of no values as well.
        py.detach(|| draw(first, &mut [], &Workers::new(1))).or_raise(py)?;
        for start in (0..count).step_by(PART) {
            let end = count.min(start + PART as u64);
            let share = |of_part: f64| (start as f64 + of_part * (end - start) as f64) / count as f64;
            let values = asked(py, threads, &|py, of_part| told(py, share(of_part)), |workers| {
                let mut values = vec![f64::NAN; (end - start) as usize];
                draw(first.saturating_add(start), &mut values, workers).map(|()| values)
            })?;
            let (_, values) = column(py, dimension, values)?;
            let part = out.get_item(PySlice::new(py, start as isize, end as isize, 1))?;
            PyBuffer::<f64>::get(&part)?.copy_from_slice(py, &values)?;
        }
        united(py, dimension, out)
    }
}

#[pymethods]
impl PySampling {
    #[new]
    fn new(py: Python<'_>, text: &str) -> PyResult<Self> {
        py.detach(|| Sampling::parse(text)).or_raise(py).map(Self)
    }

    /// The figures that have readings.
    #[getter]
    fn readings(&self) -> Vec<&'static str> {
        self.0.readings().iter().map(|(figure, _)| figure.name()).collect()
    }

    /// Statistics of outputs over so many samples: how many are impossible, the share that holds all limits, and by output how it is spread.
    fn sample<'py>(
        &self,
        py: Python<'py>,
        n: &Any<'py>,
        outputs: Vec<String>,
        quantiles: Vec<f64>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<PySampled<'py>> {
        let (n, outputs) = (whole("n", n)?, outputs_of(py, &outputs)?);
        let ask = |workers: &Workers<'_>| self.0.sample(n, &outputs, &quantiles, workers);
        sampled(py, &asked(py, threads, &teller(progress), ask)?)
    }

    /// The same, with the samples drawn by whom a function finds: called with a request and how many parts there are, it iterates over what `answer` gives for
    /// ranges of parts that follow one another.
    fn sample_on<'py>(
        &self,
        py: Python<'py>,
        n: &Any<'py>,
        outputs: Vec<String>,
        quantiles: Vec<f64>,
        farm: &Any<'py>,
    ) -> PyResult<PySampled<'py>> {
        let (n, outputs) = (whole("n", n)?, outputs_of(py, &outputs)?);
        let found = farmed(farm, |farm, workers| self.0.sample_on(n, &outputs, &quantiles, farm, workers))?;
        sampled(py, &found)
    }

    /// What parts of a request come to, from the first to before the last.
    fn answer(
        &self,
        py: Python<'_>,
        request: &str,
        first: u64,
        end: u64,
        threads: usize,
        progress: Option<&Any<'_>>,
    ) -> PyResult<String> {
        asked(py, threads, &teller(progress), |workers| self.0.answer(request, (first, end), workers))
    }

    /// An output of samples, as one array-valued quantity; of numbers, an array. No number for a sample that is refused.
    fn values<'py>(
        &self,
        py: Python<'py>,
        output: &str,
        first: &Any<'py>,
        count: &Any<'py>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let output = Output::parse(output).or_raise(py)?;
        let told = teller(progress);
        Self::filled(py, (first, count), output.dimension(), (threads, &told), |first, out, workers| {
            self.0.values(first, output, out, workers)
        })
    }

    /// The draws of a reading for samples, as one array-valued quantity; of numbers, an array.
    fn draws<'py>(
        &self,
        py: Python<'py>,
        figure: &str,
        first: &Any<'py>,
        count: &Any<'py>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let figure = Figure::parse(figure).or_raise(py)?;
        let told = teller(progress);
        Self::filled(py, (first, count), figure.dimension(), (threads, &told), |first, out, workers| {
            self.0.draws(first, figure, out, workers)
        })
    }

    /// By output: samples used and refused, and what of its variance comes from each reading.
    fn sensitivity(
        &self,
        py: Python<'_>,
        outputs: Vec<String>,
        n: &Any<'_>,
        threads: usize,
        progress: Option<&Any<'_>>,
    ) -> PyResult<Vec<PyVariances>> {
        let (n, outputs) = (whole("n", n)?, outputs_of(py, &outputs)?);
        let found =
            asked(py, threads, &teller(progress), |workers| self.0.sensitivity(n, &outputs, workers))?;
        Ok(variances(&found))
    }

    /// The same, with the samples drawn by whom a function finds, as in `sample_on`.
    fn sensitivity_on(
        &self,
        py: Python<'_>,
        outputs: Vec<String>,
        n: &Any<'_>,
        farm: &Any<'_>,
    ) -> PyResult<Vec<PyVariances>> {
        let (n, outputs) = (whole("n", n)?, outputs_of(py, &outputs)?);
        let found = farmed(farm, |farm, workers| self.0.sensitivity_on(n, &outputs, farm, workers))?;
        Ok(variances(&found))
    }

    /// The linear propagation to an output: the symbol of its unit; its value, its standard uncertainty and the contribution of each reading in that unit; the share
    /// of each.
    fn linear<'py>(&self, py: Python<'py>, output: &str) -> PyResult<(String, Any<'py>, Any<'py>)> {
        let output = Output::parse(output).or_raise(py)?;
        let budget: metrology::Budget = py.detach(|| self.0.linear(output)).or_raise(py)?;
        let shares: Vec<f64> = (0..budget.contributions.len()).map(|i| budget.share(i)).collect();
        let values = [budget.value, budget.standard].into_iter().chain(budget.contributions).collect();
        let (symbol, values) = column(py, output.dimension(), values)?;
        Ok((symbol.to_owned(), many(py, output.dimension(), &values)?, array_of(py, &shares)?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PySampling>()
}
