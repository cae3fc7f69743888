//! Studies: questions asked of all designs of a grid, with the interpreter free meanwhile; rows and columns cross as NumPy arrays.

use crate::arrays::RowsRoom;
use crate::errors::{OrRaise, exception};
use crate::given::text_of;
use crate::shown::{array_of, column, int64s, many, quantity_of};
use pyo3::buffer::PyBuffer;
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use std::cell::RefCell;
use swept::Error;
use swept::study::{
    Best, BestOf, Efficient, Figure, Goal, Named, Output, RowSet, RowStream, Study, Workers, best_of,
    efficient_of, si,
};

type Any<'py> = Bound<'py, PyAny>;

/// More rows than this in one array are taken for a slip.
const MOST_ROWS: u128 = 1_000_000_000;

/// Told, with the interpreter held, the share that is done.
pub(crate) type Told<'t> = &'t (dyn Fn(Python<'_>, f64) -> PyResult<()> + Sync);

/// Asks a question with the interpreter free. Now and then this thread takes it back to see whether the user wants to stop and to tell the share that is done.
pub(crate) fn asked<T: Send>(
    py: Python<'_>,
    threads: usize,
    told: Told<'_>,
    question: impl FnOnce(&Workers<'_>) -> swept::Result<T> + Send,
) -> PyResult<T> {
    let (answer, stopped) = py.detach(|| {
        let stopped: RefCell<Option<PyErr>> = RefCell::new(None);
        let watch = |done: f64| {
            let on = Python::attach(|py| py.check_signals().and_then(|()| told(py, done)));
            on.map_err(|e| stopped.replace(Some(e))).is_ok()
        };
        let answer = question(&Workers::new(threads).watched(&watch));
        (answer, stopped.into_inner())
    });
    match stopped {
        Some(stopped) => Err(stopped),
        None => answer.or_raise(py),
    }
}

/// Calls what Python passed to be told, if anything.
pub(crate) fn teller(progress: Option<&Any<'_>>) -> impl Fn(Python<'_>, f64) -> PyResult<()> + Sync + use<> {
    let progress = progress.map(|p| p.clone().unbind());
    move |py, done| progress.as_ref().map_or(Ok(()), |p| p.call1(py, (done,)).map(|_| ()))
}

/// Rows as a NumPy array: of 64 bits where every row of the grid fits, else of Python's integers.
fn rows_array<'py>(py: Python<'py>, study: &Study, rows: &RowSet, threads: usize) -> PyResult<Any<'py>> {
    let count = rows.len();
    if count > MOST_ROWS {
        let (field, value) = ("feasible rows".into(), count.to_string());
        let allowed = format!("up to {MOST_ROWS} in one array; blocks() streams them");
        return Err(Error::OutOfRange { field, value, allowed }).or_raise(py);
    }
    if study.designs().or_raise(py)? <= 1 << 63 {
        let (array, mut room) = RowsRoom::new(py, count as usize)?;
        py.detach(|| rows.write_by(room.rows(), &Workers::new(threads))).or_raise(py)?;
        return Ok(array);
    }
    objects(py, rows.iter().collect())
}

/// Rows in any order, as an array of the same kind.
fn any_rows<'py>(py: Python<'py>, study: &Study, rows: Vec<u128>) -> PyResult<Any<'py>> {
    if study.designs().or_raise(py)? <= 1 << 63 {
        return int64s(py, &rows.into_iter().map(|row| row as i64).collect::<Vec<_>>());
    }
    objects(py, rows)
}

fn objects(py: Python<'_>, rows: Vec<u128>) -> PyResult<Any<'_>> {
    py.import("numpy")?.call_method1("array", (rows, "object"))
}

/// Rows that Python passes in.
pub(crate) fn rows_of(given: &Any<'_>) -> PyResult<Vec<u128>> {
    if let Ok(buffer) = PyBuffer::<i64>::get(given) {
        let one = |row: i64| u128::try_from(row).map_err(|_| below_zero(given.py(), &row));
        return buffer.to_vec(given.py())?.into_iter().map(one).collect();
    }
    given.try_iter()?.map(|row| row_of(&row?)).collect()
}

pub(crate) fn row_of(given: &Any<'_>) -> PyResult<u128> {
    let whole = given
        .call_method0("__index__")
        .map_err(|_| PyTypeError::new_err(format!("row must be a whole number, not {given}")))?;
    if whole.lt(0)? {
        return Err(below_zero(given.py(), &whole));
    }
    Ok(whole.extract().unwrap_or(u128::MAX))
}

fn below_zero(py: Python<'_>, row: &impl std::fmt::Display) -> PyErr {
    let error =
        Error::OutOfRange { field: "row".into(), value: row.to_string(), allowed: "0 or more".into() };
    let message = error.to_string();
    exception(py, &error, message)
}

/// An output, and which way it is better.
fn objective(name: &str, maximise: bool) -> swept::Result<(Output, Goal)> {
    Ok((Output::parse(name)?, if maximise { Goal::Maximise } else { Goal::Minimise }))
}

fn all_objectives(given: &[(String, bool)]) -> swept::Result<Vec<(Output, Goal)>> {
    given.iter().map(|(name, maximise)| objective(name, *maximise)).collect()
}

/// How many of the best, by which output, and whether more is better.
pub(crate) type By = (usize, String, bool);

pub(crate) fn best_of_by(by: Option<By>) -> swept::Result<Option<BestOf>> {
    let one =
        |(k, name, maximise): By| objective(&name, maximise).map(|(output, goal)| BestOf { k, output, goal });
    by.map(one).transpose()
}

/// A value in study units as the quantity shown.
fn shown_value<'py>(py: Python<'py>, named: Named, value: f64) -> PyResult<Any<'py>> {
    quantity_of(py, named.dimension(), si(named.dimension(), value))
}

/// Figures and outputs by name: of each its name, the symbol of its unit in the display system, its values.
pub(crate) fn table_of<'py>(
    py: Python<'py>,
    names: &[String],
    find: impl Fn(&str) -> swept::Result<Named>,
    values_of: impl Fn(Named) -> swept::Result<Vec<f64>> + Sync,
) -> PyResult<Vec<(String, String, Any<'py>)>> {
    let one = |name: &String| {
        let named = find(name).or_raise(py)?;
        let values = py.detach(|| values_of(named)).or_raise(py)?;
        let (symbol, values) = column(py, named.dimension(), values)?;
        Ok((named.name().to_owned(), symbol.to_owned(), array_of(py, &values)?))
    };
    names.iter().map(one).collect()
}

/// Figures and outputs of one row as quantities by name.
pub(crate) fn design_of<'py>(
    py: Python<'py>,
    (figures, outputs): (Vec<Figure>, Vec<Output>),
    value_of: impl Fn(Named) -> swept::Result<Vec<f64>>,
) -> PyResult<Vec<(&'static str, Any<'py>)>> {
    let one = |named: Named| {
        let values = value_of(named).or_raise(py)?;
        let value = values.first().copied().unwrap_or(f64::NAN);
        Ok((named.name(), shown_value(py, named, value)?))
    };
    figures.into_iter().map(Named::Figure).chain(outputs.into_iter().map(Named::Output)).map(one).collect()
}

/// A study, read and checked.
#[pyclass(frozen, name = "NativeStudy", module = "swept._swept")]
pub(crate) struct PyStudy(Study);

#[pymethods]
impl PyStudy {
    #[new]
    fn new(py: Python<'_>, text: &str) -> PyResult<Self> {
        py.detach(|| Study::parse(text)).or_raise(py).map(Self)
    }

    /// How many designs the grid has.
    #[getter]
    fn designs(&self, py: Python<'_>) -> PyResult<u128> {
        self.0.designs().or_raise(py)
    }

    /// The figures that are known, those of the axes first.
    #[getter]
    fn figures(&self) -> Vec<&'static str> {
        self.0.figures().into_iter().map(Figure::name).collect()
    }

    /// The outputs whose figures are all known.
    #[getter]
    fn outputs(&self) -> Vec<&'static str> {
        self.0.outputs().into_iter().map(Output::name).collect()
    }

    /// The values of an axis, as one array-valued quantity; of numbers, an array.
    fn axis<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Any<'py>> {
        let figure = Figure::parse(name).or_raise(py)?;
        let found = self.0.axes().iter().find(|(f, _)| *f == figure);
        let (_, axis) = found.ok_or_else(|| {
            let remedy = "it is on no axis of the study".into();
            let error = Error::UnknownKey { field: name.into(), remedy };
            let message = error.to_string();
            exception(py, &error, message)
        })?;
        let (_, values) = column(py, figure.dimension(), axis.values().to_vec())?;
        many(py, figure.dimension(), &values)
    }

    /// The limits on an output as quantities in the display system, either None.
    fn limit<'py>(&self, py: Python<'py>, name: &str) -> PyResult<(Option<Any<'py>>, Option<Any<'py>>)> {
        let output = Output::parse(name).or_raise(py)?;
        let limit = self.0.limits().iter().find(|l| l.output == output);
        let one = |value: Option<f64>| value.map(|v| shown_value(py, Named::Output(output), v)).transpose();
        Ok((one(limit.and_then(|l| l.lower))?, one(limit.and_then(|l| l.upper))?))
    }

    /// How many designs there are, and how many are feasible.
    fn count(&self, py: Python<'_>, threads: usize, progress: Option<&Any<'_>>) -> PyResult<(u128, u128)> {
        let count = asked(py, threads, &teller(progress), |workers| self.0.count(workers))?;
        Ok((count.designs, count.feasible))
    }

    /// The rows of the feasible designs, rising.
    fn feasible<'py>(
        &self,
        py: Python<'py>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let rows = asked(py, threads, &teller(progress), |workers| self.0.feasible(workers))?;
        rows_array(py, &self.0, &rows, threads)
    }

    /// How many rows there are, the feasible ones, rising, and the best of them by an output.
    fn filter<'py>(
        &self,
        py: Python<'py>,
        best: Option<By>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<(u128, Any<'py>, Any<'py>)> {
        let best = best_of_by(best).or_raise(py)?;
        let (rows, found) = asked(py, threads, &teller(progress), |workers| self.0.filter(best, workers))?;
        let (first, end) = self.0.rows().or_raise(py)?;
        let best = any_rows(py, &self.0, found.into_iter().map(|best| best.row).collect())?;
        Ok((end - first, rows_array(py, &self.0, &rows, threads)?, best))
    }

    /// The rows of the best feasible designs by an output, the best first.
    fn best<'py>(
        &self,
        py: Python<'py>,
        k: usize,
        by: &str,
        maximise: bool,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let (output, goal) = objective(by, maximise).or_raise(py)?;
        let found = asked(py, threads, &teller(progress), |workers| self.0.best(k, output, goal, workers))?;
        any_rows(py, &self.0, found.into_iter().map(|best| best.row).collect())
    }

    /// The rows of the feasible designs that no other beats in all outputs; each output with whether it is better greater.
    fn pareto<'py>(
        &self,
        py: Python<'py>,
        objectives: Vec<(String, bool)>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let objectives = all_objectives(&objectives).or_raise(py)?;
        let found = asked(py, threads, &teller(progress), |workers| self.0.pareto(&objectives, workers))?;
        any_rows(py, &self.0, found.into_iter().map(|design| design.row).collect())
    }

    /// Of the best rows of parts, the best of all.
    fn best_of<'py>(
        &self,
        py: Python<'py>,
        rows: &Any<'py>,
        k: usize,
        by: &str,
        maximise: bool,
    ) -> PyResult<Any<'py>> {
        let (rows, (output, goal)) = (rows_of(rows)?, objective(by, maximise).or_raise(py)?);
        let values = self.0.outputs_of(&rows, output).or_raise(py)?;
        let parts = rows.into_iter().zip(values).map(|(row, value)| Best { row, value }).collect();
        any_rows(py, &self.0, best_of(parts, k, goal).into_iter().map(|best| best.row).collect())
    }

    /// Of the rows of parts that no other of their part beats, those that none of any part beats.
    fn efficient_of<'py>(
        &self,
        py: Python<'py>,
        rows: &Any<'py>,
        objectives: Vec<(String, bool)>,
    ) -> PyResult<Any<'py>> {
        let (rows, objectives) = (rows_of(rows)?, all_objectives(&objectives).or_raise(py)?);
        let mut parts: Vec<Efficient> =
            rows.iter().map(|row| Efficient { row: *row, values: Vec::new() }).collect();
        for (output, _) in &objectives {
            let values = self.0.outputs_of(&rows, *output).or_raise(py)?;
            parts.iter_mut().zip(values).for_each(|(design, value)| design.values.push(value));
        }
        let found = efficient_of(parts, &objectives).into_iter().map(|design| design.row);
        any_rows(py, &self.0, found.collect())
    }

    /// Part i of n of its rows, whose numbers stay the same.
    fn partition(&self, py: Python<'_>, i: u64, n: u64) -> PyResult<Self> {
        self.0.partition(i, n).or_raise(py).map(Self)
    }

    /// The first row that is asked, and the one before which it ends.
    #[getter]
    fn rows(&self, py: Python<'_>) -> PyResult<(u128, u128)> {
        self.0.rows().or_raise(py)
    }

    /// How many designs each limit alone excludes, by output.
    fn excluded(
        &self,
        py: Python<'_>,
        threads: usize,
        progress: Option<&Any<'_>>,
    ) -> PyResult<Vec<(&'static str, u128)>> {
        let found = asked(py, threads, &teller(progress), |workers| self.0.excluded(workers))?;
        Ok(found.into_iter().map(|e| (e.limit.output.name(), e.designs)).collect())
    }

    /// Figures and outputs of one row, as quantities by name.
    fn design<'py>(&self, py: Python<'py>, row: &Any<'py>) -> PyResult<Vec<(&'static str, Any<'py>)>> {
        let row = row_of(row)?;
        self.0.design(row).or_raise(py)?;
        design_of(py, (self.0.figures(), self.0.outputs()), |named| self.0.values_of(&[row], named))
    }

    /// Refuses names that it does not know, or has no value for.
    fn know(&self, py: Python<'_>, names: Vec<String>) -> PyResult<()> {
        names.iter().try_for_each(|name| self.0.named(name).map(|_| ())).or_raise(py)
    }

    /// Figures and outputs of rows: of each its name, the symbol of its unit in the display system, its values.
    fn table<'py>(
        &self,
        py: Python<'py>,
        rows: &Any<'py>,
        names: Vec<String>,
    ) -> PyResult<Vec<(String, String, Any<'py>)>> {
        let rows = rows_of(rows)?;
        table_of(py, &names, |name| self.0.named(name), |named| self.0.values_of(&rows, named))
    }

    /// The feasible rows, a block after another.
    fn blocks(&self, py: Python<'_>) -> PyResult<PyBlocks> {
        RowStream::new(self.0.clone()).or_raise(py).map(PyBlocks)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// The feasible rows of a study, a block after another, so that no more than one has to be kept. Stopped, it goes on where it stood.
#[pyclass(frozen, name = "NativeBlocks", module = "swept._swept")]
pub(crate) struct PyBlocks(RowStream);

#[pymethods]
impl PyBlocks {
    /// The next rows, at most so many; none after the last. `progress` is told the share of the designs that are done.
    fn next<'py>(
        &self,
        py: Python<'py>,
        size: usize,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let told = teller(progress);
        let rows = asked(py, threads, &told, |workers| self.0.next(size as u128, workers))?;
        // Told only where no rows can be lost by an exception.
        if rows.is_empty() {
            told(py, 1.0)?;
        }
        rows_array(py, self.0.study(), &rows, threads)
    }

    /// The row up to which the grid has been looked at.
    #[getter]
    fn row(&self) -> u128 {
        self.0.row()
    }
}

/// Values of a figure or an output as the core reads them: texts with their unit.
#[pyfunction]
#[pyo3(signature = (place, name, given, /))]
fn study_texts(place: &str, name: &str, given: &Any<'_>) -> PyResult<(Vec<String>, bool)> {
    let py = given.py();
    let dimension = match place.starts_with("limits") {
        true => Output::parse(name).map(Output::dimension),
        false => Figure::parse(name).map(Figure::dimension),
    };
    text_of(place, dimension.or_raise(py)?, given)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add("STUDY_FIGURES", PyTuple::new(m.py(), Figure::ALL.map(Figure::name))?)?;
    m.add("STUDY_OUTPUTS", PyTuple::new(m.py(), Output::ALL.map(Output::name))?)?;
    m.add_class::<PyStudy>()?;
    m.add_class::<PyBlocks>()?;
    m.add_function(wrap_pyfunction!(study_texts, m)?)
}
