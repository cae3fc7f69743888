//! The least clearances of the valves of many designs, from columns.

use crate::arrays::{Column, Room, apart};
use crate::errors::OrRaise;
use crate::shown::unit_of;
use crate::study::{asked, teller};
use pyo3::prelude::*;
use std::collections::BTreeMap;
use swept::Error;
use swept::study::{CrankColumns, Figure, LeastColumns, ValveColumns, read, shown, taken, valve_clearances};
use swept::units::Dimension;

/// The figures that are read, with what each is where nothing is said.
const FIGURES: [(Figure, Option<f64>); 14] = [
    (Figure::Stroke, None),
    (Figure::RodLength, None),
    (Figure::PinOffset, Some(0.0)),
    (Figure::CamAdvance, Some(0.0)),
    (Figure::IntakeStaticClearance, None),
    (Figure::IntakeLift, None),
    (Figure::IntakeDuration, None),
    (Figure::IntakeCentreline, None),
    (Figure::IntakeValveAngle, Some(0.0)),
    (Figure::ExhaustStaticClearance, None),
    (Figure::ExhaustLift, None),
    (Figure::ExhaustDuration, None),
    (Figure::ExhaustCentreline, None),
    (Figure::ExhaustValveAngle, Some(0.0)),
];

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
    let mut given = BTreeMap::new();
    let mut kept = Vec::new();
    for (name, array) in &columns {
        let figure = figure_of(name).or_raise(py)?;
        kept.push((figure, Column::new(&format!("columns.{name}"), figure.dimension(), array)?));
    }
    for (figure, column) in &kept {
        // SAFETY: the columns are kept to the end.
        let there = unsafe { column.values() };
        let values = match column.unit.filter(|unit| taken(unit, 1.0) != 1.0) {
            None => Values::There(there),
            Some(unit) => Values::Made(there.iter().map(|v| taken(unit, *v)).collect()),
        };
        given.insert(*figure, values);
    }
    for (name, value) in &fixed {
        let figure = figure_of(name).or_raise(py)?;
        let value = read(value, figure.dimension(), &format!("fixed.{name}")).or_raise(py)?;
        if given.insert(figure, Values::Made(vec![value])).is_some() {
            let remedy = "given twice; a figure is fixed or a column, once".into();
            return Err(Error::UnknownKey { field: name.clone(), remedy }).or_raise(py);
        }
    }
    for (figure, usual) in FIGURES {
        match (given.contains_key(&figure), usual) {
            (true, _) => {}
            (false, Some(usual)) => drop(given.insert(figure, Values::Made(vec![usual]))),
            (false, None) => {
                let remedy = "the clearances need it, fixed or as a column".into();
                return Err(Error::MissingKey { field: figure.name().into(), remedy }).or_raise(py);
            }
        }
    }
    let at = |figure: Figure| given.get(&figure).map(Values::slice).unwrap_or_default();
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
    let crank = CrankColumns {
        stroke: at(Figure::Stroke),
        rod_length: at(Figure::RodLength),
        pin_offset: at(Figure::PinOffset),
        cam_advance: at(Figure::CamAdvance),
    };
    let valves = [
        ValveColumns {
            static_clearance: at(Figure::IntakeStaticClearance),
            lift: at(Figure::IntakeLift),
            duration: at(Figure::IntakeDuration),
            centreline: at(Figure::IntakeCentreline),
            valve_angle: at(Figure::IntakeValveAngle),
        },
        ValveColumns {
            static_clearance: at(Figure::ExhaustStaticClearance),
            lift: at(Figure::ExhaustLift),
            duration: at(Figure::ExhaustDuration),
            centreline: at(Figure::ExhaustCentreline),
            valve_angle: at(Figure::ExhaustValveAngle),
        },
    ];
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

/// The figure of a name, of those that are read.
fn figure_of(name: &str) -> swept::Result<Figure> {
    let figure = Figure::parse(name)?;
    if FIGURES.iter().any(|(known, _)| *known == figure) {
        return Ok(figure);
    }
    let remedy = format!("it has no part in them; they have {}", FIGURES.map(|(f, _)| f.name()).join(", "));
    Err(Error::UnknownKey { field: name.into(), remedy })
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(write_valve_clearances, m)?)
}
