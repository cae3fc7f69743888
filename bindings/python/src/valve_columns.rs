//! The least clearances of the valves of many designs, from columns.

use crate::arrays::{Column, Room, apart};
use crate::errors::OrRaise;
use crate::shown::unit_of;
use crate::study::{asked, teller};
use pyo3::prelude::*;
use swept::study::{Figure, LeastColumns, read, shown, taken, valve_clearances, valve_columns};
use swept::units::Dimension;

/// The values of a figure in study units: those passed in where they are in these, else converted.
enum Values<'v> {
    There(&'v [f64]),
    Made(Vec<f64>),
}

impl Values<'_> {
    fn slice(&self) -> &[f64] {
        match self {
            Self::There(values) => values,
            Self::Made(values) => values,
        }
    }
}

/// Writes clearance and angle of the intake, then of the exhaust valve to four arrays, in the units of the display system, of which the symbols are given back.
#[pyfunction]
#[pyo3(signature = (columns, fixed, out, threads, progress, /))]
fn write_valve_clearances(
    py: Python<'_>,
    columns: Vec<(String, Bound<'_, PyAny>)>,
    fixed: Vec<(String, String)>,
    out: [Bound<'_, PyAny>; 4],
    threads: usize,
    progress: Option<&Bound<'_, PyAny>>,
) -> PyResult<[&'static str; 2]> {
    let mut given = Vec::new();
    let mut kept = Vec::new();
    for (name, array) in &columns {
        let figure = Figure::parse(name).or_raise(py)?;
        kept.push((figure, Column::new(&format!("columns.{name}"), figure.dimension(), array)?));
    }
    for (figure, column) in &kept {
        // SAFETY: the columns are kept to the end.
        let there = unsafe { column.values() };
        let values = match column.unit.filter(|unit| taken(unit, 1.0) != 1.0) {
            None => Values::There(there),
            Some(unit) => Values::Made(there.iter().map(|v| taken(unit, *v)).collect()),
        };
        given.push((*figure, values));
    }
    for (name, value) in &fixed {
        let figure = Figure::parse(name).or_raise(py)?;
        let value = read(value, figure.dimension(), &format!("fixed.{name}")).or_raise(py)?;
        given.push((figure, Values::Made(vec![value])));
    }
    let slices: Vec<(Figure, &[f64])> =
        given.iter().map(|(figure, values)| (*figure, values.slice())).collect();
    let (crank, valves) = valve_columns(&slices).or_raise(py)?;
    let rows = kept.first().map_or(0, |(_, column)| {
        // SAFETY: as above.
        unsafe { column.values() }.len()
    }) as u64;
    let names = ["intake_clearance", "intake_angle", "exhaust_clearance", "exhaust_angle"];
    let mut rooms = Vec::new();
    for (name, array) in names.iter().zip(&out) {
        rooms.push(Room::<f64>::new(name, rows, array)?);
    }
    let spans: Vec<_> = kept.iter().map(|(_, column)| column.span()).collect();
    apart(rooms.iter().map(Room::span).collect(), &spans)?;
    // SAFETY: no two share memory, and none does with the columns; the rooms are kept to the end.
    let mut slices = rooms.iter().map(|room| unsafe { room.slice() });
    let mut next = || slices.next().unwrap_or_default();
    let [intake, exhaust] = [(next(), next()), (next(), next())];
    asked(py, threads, &teller(progress), |workers| {
        let least = [&mut *intake.0, &mut *exhaust.0];
        let [intake_clearance, exhaust_clearance] = least;
        let to = [
            LeastColumns { clearance: intake_clearance, angle: &mut *intake.1 },
            LeastColumns { clearance: exhaust_clearance, angle: &mut *exhaust.1 },
        ];
        valve_clearances(&crank, &valves, to, workers)
    })?;
    let length = unit_of(py, Dimension::Length)?;
    if let Some(unit) = length.filter(|unit| taken(unit, 1.0) != 1.0) {
        for value in intake.0.iter_mut().chain(exhaust.0.iter_mut()) {
            *value = shown(unit, *value);
        }
    }
    Ok([length.map_or("", |unit| unit.symbol), "deg"])
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(write_valve_clearances, m)?)
}
