//! Designs listed row by row, from columns or scattered over ranges: questions with the interpreter free meanwhile, answers in arrays that NumPy allocates.

use crate::arrays::{Column, Room, RowsRoom, apart};
use crate::errors::OrRaise;
use crate::shown::{int64s, unit_of};
use crate::streamed::Streamed;
use crate::study::{By, asked, best_of_by, design_of, row_of, rows_of, table_of, teller};
use pyo3::prelude::*;
use std::sync::Arc;
use swept::Error;
use swept::study::{Best, BestOf, Columns, Figure, Named, Output, PlainCopies, Scatter, Tally, best_of};

type Any<'py> = Bound<'py, PyAny>;

/// Rows, feasible and refused ones.
type Counts = (u64, u64, u64);

/// A column of some rows: the figure, an array, the symbol of its unit if it has one.
type PyColumn<'py> = (&'static str, Any<'py>, Option<&'static str>);

/// Where the rows come from.
enum Rows {
    Columns(Columns<'static>),
    Scatter(Scatter),
}

/// Asks the rows, wherever they come from.
macro_rules! of {
    ($rows:expr, $listed:ident => $question:expr) => {
        match $rows {
            Rows::Columns($listed) => $question,
            Rows::Scatter($listed) => $question,
        }
    };
}

/// Listed designs, read and checked.
#[pyclass(frozen, name = "NativeListed", module = "swept._swept")]
pub(crate) struct PyListed {
    rows: Rows,
    kept: Arc<Kept>,
}

/// What rows are read from, kept as long as they are; shared by the parts of a whole.
#[derive(Default)]
struct Kept {
    columns: Vec<(Figure, Column)>,
    /// The number of the first row.
    first: u64,
}

impl Kept {
    fn spans(&self) -> Vec<(usize, usize)> {
        self.columns.iter().map(|(_, column)| column.span()).collect()
    }
}

fn counts(tally: Tally) -> Counts {
    (tally.rows, tally.feasible, tally.refused)
}

fn best_rows<'py>(py: Python<'py>, best: &[Best]) -> PyResult<Any<'py>> {
    int64s(py, &best.iter().map(|b| b.row as i64).collect::<Vec<_>>())
}

/// Rows that Python passes in; one that cannot be becomes one that is not there.
fn listed_rows(given: &Any<'_>) -> PyResult<Vec<u64>> {
    Ok(rows_of(given)?.into_iter().map(|r| u64::try_from(r).unwrap_or(u64::MAX)).collect())
}

/// The array that the feasible rows are written to, made when it is known how many there are.
struct Made {
    array: Py<PyAny>,
    room: RowsRoom,
}

impl Made {
    fn new(py: Python<'_>, feasible: usize) -> PyResult<Self> {
        RowsRoom::new(py, feasible).map(|(array, room)| Self { array: array.unbind(), room })
    }
}

#[pymethods]
impl PyListed {
    /// Columns by figure, what all rows share as a text, and the number of the first row.
    #[staticmethod]
    fn of_columns(
        py: Python<'_>,
        text: &str,
        columns: Vec<(String, Bound<'_, PyAny>)>,
        first: u64,
    ) -> PyResult<Self> {
        let mut kept = Kept { columns: Vec::new(), first };
        for (name, given) in &columns {
            let figure = Figure::parse(name).or_raise(py)?;
            let column = Column::new(&format!("columns.{name}"), figure.dimension(), given)?;
            kept.columns.push((figure, column));
        }
        let slices = kept.columns.iter().map(|(figure, column)| {
            // SAFETY: the columns are kept beside what reads the slices.
            (*figure, column.unit, unsafe { column.values() })
        });
        let rows = Columns::parse(text, slices.collect()).and_then(|rows| rows.starting(first));
        Ok(Self { rows: Rows::Columns(rows.or_raise(py)?), kept: Arc::new(kept) })
    }

    /// Scattered designs, from their text.
    #[staticmethod]
    fn of_scatter(py: Python<'_>, text: &str) -> PyResult<Self> {
        let rows = Scatter::parse(text).or_raise(py)?;
        Ok(Self { rows: Rows::Scatter(rows), kept: Arc::default() })
    }

    /// The number of the first row, and the one before which they end.
    #[getter]
    fn rows(&self) -> (u64, u64) {
        of!(&self.rows, listed => listed.numbers())
    }

    /// Part i of n of its rows, whose numbers stay the same.
    fn partition(&self, py: Python<'_>, i: u64, n: u64) -> PyResult<Self> {
        let rows = match &self.rows {
            Rows::Columns(listed) => listed.partition(i, n).map(Rows::Columns),
            Rows::Scatter(listed) => listed.partition(i, n).map(Rows::Scatter),
        };
        Ok(Self { rows: rows.or_raise(py)?, kept: Arc::clone(&self.kept) })
    }

    /// Some of its rows, from one to before another, whose numbers stay the same.
    fn between(&self, first: u64, end: u64) -> Self {
        let rows = match &self.rows {
            Rows::Columns(listed) => Rows::Columns(listed.between(first, end)),
            Rows::Scatter(listed) => Rows::Scatter(listed.between(first, end)),
        };
        Self { rows, kept: Arc::clone(&self.kept) }
    }

    /// What its rows are read from: of each figure the name, its values in these rows, the symbol of their unit.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Vec<PyColumn<'py>>> {
        let (first, end) = self.rows();
        let place = |row: u64| (row - self.kept.first) as isize;
        let one = |(figure, column): &(Figure, Column)| {
            let values = column.some(py, place(first), place(end))?;
            Ok((figure.name(), values, column.unit.map(|unit| unit.symbol)))
        };
        self.kept.columns.iter().map(one).collect()
    }

    /// The figures that are known, those that vary first.
    #[getter]
    fn figures(&self) -> Vec<&'static str> {
        of!(&self.rows, listed => listed.figures()).into_iter().map(Figure::name).collect()
    }

    /// The outputs whose figures are all known.
    #[getter]
    fn outputs(&self) -> Vec<&'static str> {
        of!(&self.rows, listed => listed.known_outputs()).into_iter().map(Output::name).collect()
    }

    /// How many rows there are, and how many are feasible or refused.
    fn count(&self, py: Python<'_>, threads: usize, progress: Option<&Any<'_>>) -> PyResult<Counts> {
        let tally = asked(py, threads, &teller(progress), |workers| of!(&self.rows, l => l.count(workers)))?;
        Ok(counts(tally))
    }

    /// The best feasible rows by an output, the best first.
    fn best<'py>(
        &self,
        py: Python<'py>,
        best: By,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let Some(best) = best_of_by(Some(best)).or_raise(py)? else { return best_rows(py, &[]) };
        let found = asked(py, threads, &teller(progress), |w| of!(&self.rows, l => l.best(best, w)))?;
        best_rows(py, &found)
    }

    /// Of the best rows of parts, the best of all.
    fn best_of<'py>(&self, py: Python<'py>, rows: &Any<'py>, best: By) -> PyResult<Any<'py>> {
        let Some(BestOf { k, output, goal }) = best_of_by(Some(best)).or_raise(py)? else {
            return best_rows(py, &[]);
        };
        let rows = listed_rows(rows)?;
        let values =
            of!(&self.rows, listed => listed.values_of(&rows, Named::Output(output))).or_raise(py)?;
        let parts = rows.into_iter().zip(values).map(|(row, value)| Best { row: row.into(), value });
        best_rows(py, &best_of(parts.collect(), k, goal))
    }

    /// The feasible rows, rising, with the counts and the best of them, in one pass.
    fn filter<'py>(
        &self,
        py: Python<'py>,
        best: Option<By>,
        threads: usize,
        progress: Option<&Any<'py>>,
    ) -> PyResult<(Counts, Any<'py>, Any<'py>)> {
        let best = best_of_by(best).or_raise(py)?;
        let (found, made) = asked(py, threads, &teller(progress), |workers| {
            let mut made: Option<PyResult<Made>> = None;
            let slot = &mut made;
            let found = of!(&self.rows, listed => listed.filter_to(
                best,
                move |feasible| match slot.insert(Python::attach(|py| Made::new(py, feasible))) {
                    Ok(made) => Ok(made.room.rows()),
                    // NumPy's own error is raised instead.
                    Err(_) => Err(Error::Stopped { done: 1.0 }),
                },
                workers,
            ));
            Ok((found, made))
        })?;
        let made = made.transpose()?;
        let (tally, best) = found.or_raise(py)?;
        let rows = match made {
            Some(made) => made.array.into_bound(py),
            None => int64s(py, &[])?,
        };
        Ok((counts(tally), rows, best_rows(py, &best)?))
    }

    /// How many rows each limit alone excludes, by output.
    fn excluded(
        &self,
        py: Python<'_>,
        threads: usize,
        progress: Option<&Any<'_>>,
    ) -> PyResult<Vec<(&'static str, u128)>> {
        let found = asked(py, threads, &teller(progress), |w| of!(&self.rows, l => l.excluded(w)))?;
        Ok(found.into_iter().map(|e| (e.limit.output.name(), e.designs)).collect())
    }

    /// Outputs, each with the symbol of its unit in the display system; refused where a figure is not known.
    fn symbols(&self, py: Python<'_>, names: Vec<String>) -> PyResult<Vec<(String, &'static str)>> {
        let one = |name: String| {
            let output = Output::parse(&name).or_raise(py)?;
            of!(&self.rows, listed => listed.named(&name)).or_raise(py)?;
            Ok((name, unit_of(py, output.dimension())?.map_or("", |unit| unit.symbol)))
        };
        names.into_iter().map(one).collect()
    }

    /// Outputs of all rows in the units of the display system, with flags of the feasible ones, written to arrays: past the caches where these are reused.
    #[expect(clippy::too_many_arguments)]
    fn write(
        &self,
        py: Python<'_>,
        out: Vec<(String, Bound<'_, PyAny>)>,
        flags: Option<&Any<'_>>,
        best: Option<By>,
        reused: bool,
        threads: usize,
        progress: Option<&Any<'_>>,
    ) -> PyResult<(Counts, Py<PyAny>)> {
        let best = best_of_by(best).or_raise(py)?;
        let rows = of!(&self.rows, listed => listed.rows());
        let (mut rooms, mut asked_for) = (Vec::new(), Vec::new());
        for (name, array) in &out {
            let output = Output::parse(name).or_raise(py)?;
            rooms.push(Room::<f64>::new(name, rows, array)?);
            asked_for.push((output, unit_of(py, output.dimension())?));
        }
        let flags = flags.map(|array| Room::<u8>::new("flags", rows, array)).transpose()?;
        let written = rooms.iter().map(Room::span).chain(flags.iter().map(Room::span)).collect();
        apart(written, &self.kept.spans())?;
        // SAFETY: no two share memory, and none does with the columns; the rooms are kept to the end.
        let columns =
            asked_for.into_iter().zip(&rooms).map(|((o, unit), room)| (o, unit, unsafe { room.slice() }));
        // SAFETY: as above.
        let (columns, marks) = (columns.collect(), flags.as_ref().map(|flags| unsafe { flags.slice() }));
        let (tally, best) = asked(py, threads, &teller(progress), |workers| match reused {
            true => of!(&self.rows, l => l.outputs_in(columns, marks, best, &Streamed::new(), workers)),
            false => of!(&self.rows, l => l.outputs_in(columns, marks, best, &PlainCopies, workers)),
        })?;
        Ok((counts(tally), best_rows(py, &best)?.unbind()))
    }

    /// Refuses names that it does not know, or has no value for.
    fn know(&self, py: Python<'_>, names: Vec<String>) -> PyResult<()> {
        let know = |name: &String| of!(&self.rows, listed => listed.named(name)).map(|_| ());
        names.iter().try_for_each(know).or_raise(py)
    }

    /// Figures and outputs of rows: of each its name, the symbol of its unit in the display system, its values.
    fn table<'py>(
        &self,
        py: Python<'py>,
        rows: &Any<'py>,
        names: Vec<String>,
    ) -> PyResult<Vec<(String, String, Any<'py>)>> {
        let rows = listed_rows(rows)?;
        let find = |name: &str| of!(&self.rows, listed => listed.named(name));
        table_of(py, &names, find, |named| of!(&self.rows, listed => listed.values_of(&rows, named)))
    }

    /// Figures and outputs of one row, as quantities by name.
    fn design<'py>(&self, py: Python<'py>, row: &Any<'py>) -> PyResult<Vec<(&'static str, Any<'py>)>> {
        let row = u64::try_from(row_of(row)?).unwrap_or(u64::MAX);
        let known = of!(&self.rows, listed => (listed.figures(), listed.known_outputs()));
        design_of(py, known, |named| of!(&self.rows, listed => listed.values_of(&[row], named)))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyListed>()
}
