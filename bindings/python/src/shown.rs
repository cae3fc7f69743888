//! What Python gets back: quantities of the application registry, in the display system chosen.

use crate::errors::OrRaise;
use crate::given::Values;
use pyo3::buffer::PyBuffer;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use swept::units::{Dimension, Dimensioned, MILLIMETRE, Unit, find_for};

/// A unit of the table with pint's name for it.
struct Shown {
    unit: &'static Unit,
    pint: &'static str,
}

/// Symbol and pint's name: metric, then inch.
#[rustfmt::skip]
const fn names(dimension: Dimension) -> [(&'static str, &'static str); 2] {
    match dimension {
        Dimension::Length => [("mm", "millimeter"), ("in", "inch")],
        Dimension::Area => [("cm2", "centimeter ** 2"), ("in2", "inch ** 2")],
        Dimension::Volume => [("cm3", "centimeter ** 3"), ("in3", "inch ** 3")],
        Dimension::Mass => [("g", "gram"), ("g", "gram")], // as in the trade, in both
        Dimension::Angle => [("deg", "degree"), ("deg", "degree")],
        Dimension::RotationalSpeed => [("rpm", "revolutions_per_minute"), ("rpm", "revolutions_per_minute")],
        Dimension::Velocity => [("m/s", "meter / second"), ("ft/min", "foot / minute")],
        Dimension::Acceleration => [("m/s2", "meter / second ** 2"), ("ft/s2", "foot / second ** 2")],
        Dimension::Pressure => [("MPa", "megapascal"), ("psi", "pound_force_per_square_inch")],
        Dimension::Force => [("N", "newton"), ("lbf", "force_pound")],
        Dimension::Torque => [("N m", "newton * meter"), ("lbf ft", "force_pound * foot")],
        Dimension::Unbalance => [("g mm", "gram * millimeter"), ("oz in", "ounce * inch")],
        Dimension::Temperature => [("degC", "degree_Celsius"), ("degF", "degree_Fahrenheit")],
        Dimension::TemperatureDifference => [("K", "kelvin"), ("degF", "delta_degree_Fahrenheit")],
        Dimension::DynamicViscosity => [("mPa s", "millipascal * second"), ("mPa s", "millipascal * second")],
        Dimension::KinematicViscosity => [("mm2/s", "millimeter ** 2 / second"), ("mm2/s", "millimeter ** 2 / second")],
        Dimension::Time => [("s", "second"), ("s", "second")],
        Dimension::Expansion => {
            [("um/m/K", "micrometer / meter / kelvin"), ("in/in/degF", "1 / delta_degree_Fahrenheit")]
        }
        Dimension::SpringRate => [("N/mm", "newton / millimeter"), ("lbf/in", "force_pound / inch")],
        Dimension::Frequency => [("Hz", "hertz"), ("Hz", "hertz")],
        _ => [("", ""), ("", "")],
    }
}

fn shown(py: Python<'_>, dimension: Dimension) -> PyResult<Shown> {
    let system: String = py.import("swept._quantities")?.call_method0("system")?.extract()?;
    let [metric, inch] = names(dimension);
    let (symbol, pint) = if system == "inch" { inch } else { metric };
    Ok(Shown { unit: find_for(symbol, dimension, symbol).unwrap_or(&MILLIMETRE), pint })
}

fn make<'py, M: IntoPyObject<'py>>(py: Python<'py>, magnitude: M, pint: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("swept._quantities")?.call_method1("make", (magnitude, pint))
}

/// A quantity of a known dimension.
pub(crate) fn quantity<Q: Dimensioned>(py: Python<'_>, q: Q) -> PyResult<Bound<'_, PyAny>> {
    quantity_of(py, Q::DIMENSION, q.si())
}

/// A quantity of a dimension known at run time; a ratio is a float.
pub(crate) fn quantity_of(py: Python<'_>, dimension: Dimension, si: f64) -> PyResult<Bound<'_, PyAny>> {
    if dimension == Dimension::Ratio {
        return Ok(si.into_pyobject(py)?.into_any());
    }
    let shown = shown(py, dimension)?;
    make(py, shown.unit.from_si(si), shown.pint)
}

/// A part of the clearance volume: in cm3 in both systems, as in the trade.
pub(crate) fn small_volume(py: Python<'_>, volume: swept::units::Volume) -> PyResult<Bound<'_, PyAny>> {
    let unit = find_for("cm3", Dimension::Volume, "cm3").unwrap_or(&MILLIMETRE);
    make(py, unit.from_si(volume.si()), "centimeter ** 3")
}

/// The difference of two values of a dimension: of temperatures it has a dimension of its own.
pub(crate) fn difference(dimension: Dimension) -> Dimension {
    match dimension {
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    }
}

/// SI values as one quantity, in the shape that the input had.
pub(crate) fn mapped<'py, Q: Dimensioned>(
    py: Python<'py>,
    values: Values<'py>,
    f: impl Fn(f64) -> Q + Sync,
) -> PyResult<Bound<'py, PyAny>> {
    match values {
        Values::One(si) => quantity(py, f(si)),
        Values::Many(all, shape) => {
            let shown = shown(py, Q::DIMENSION)?;
            let out: Vec<f64> =
                py.detach(|| all.into_iter().map(|si| shown.unit.from_si(f(si).si())).collect());
            make(py, array(py, &out, &shape)?, shown.pint)
        }
    }
}

/// Two figures of each SI value as two quantities, each in the shape that the input had.
pub(crate) fn mapped_pair<'py, Q: Dimensioned + Send>(
    py: Python<'py>,
    values: Values<'py>,
    f: impl Fn(f64) -> swept::Result<(Q, Q)> + Sync,
) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)> {
    match values {
        Values::One(si) => {
            let (first, second) = f(si).or_raise(py)?;
            Ok((quantity(py, first)?, quantity(py, second)?))
        }
        Values::Many(all, shape) => {
            let shown = shown(py, Q::DIMENSION)?;
            let pairs: swept::Result<Vec<(Q, Q)>> = py.detach(|| all.into_iter().map(&f).collect());
            let (first, second): (Vec<f64>, Vec<f64>) = pairs
                .or_raise(py)?
                .into_iter()
                .map(|(a, b)| (shown.unit.from_si(a.si()), shown.unit.from_si(b.si())))
                .unzip();
            let [first, second] = [first, second].map(|out| make(py, array(py, &out, &shape)?, shown.pint));
            Ok((first?, second?))
        }
    }
}

/// A list of quantities as one array-valued quantity.
pub(crate) fn listed<'py, Q: Dimensioned>(py: Python<'py>, all: &[Q]) -> PyResult<Bound<'py, PyAny>> {
    shaped(py, all, Some(&[all.len()]))
}

/// Quantities in the shape that the input had; without a shape the one there is. Ratios are floats.
pub(crate) fn shaped<'py, Q: Dimensioned>(
    py: Python<'py>,
    all: &[Q],
    shape: Option<&[usize]>,
) -> PyResult<Bound<'py, PyAny>> {
    if let (None, [one]) = (shape, all) {
        return quantity(py, *one);
    }
    let shape = PyTuple::new(py, shape.unwrap_or(&[all.len()]))?.into_any();
    if Q::DIMENSION == Dimension::Ratio {
        let out: Vec<f64> = all.iter().map(|q| q.si()).collect();
        return array(py, &out, &shape);
    }
    let shown = shown(py, Q::DIMENSION)?;
    let out: Vec<f64> = all.iter().map(|q| shown.unit.from_si(q.si())).collect();
    make(py, array(py, &out, &shape)?, shown.pint)
}

/// A figure of each SI value, in the shape that the input had.
pub(crate) fn shaped_of<'py, Q: Dimensioned + Send>(
    py: Python<'py>,
    values: Values<'py>,
    f: impl Fn(f64) -> swept::Result<Q> + Sync,
) -> PyResult<Bound<'py, PyAny>> {
    match values {
        Values::One(si) => quantity(py, f(si).or_raise(py)?),
        Values::Many(all, shape) => {
            let found: swept::Result<Vec<Q>> = py.detach(|| all.into_iter().map(&f).collect());
            shaped(py, &found.or_raise(py)?, Some(&shape.extract::<Vec<usize>>()?))
        }
    }
}

/// The unit of the table in which a dimension is shown; none for a ratio.
pub(crate) fn unit_of(py: Python<'_>, dimension: Dimension) -> PyResult<Option<&'static Unit>> {
    if dimension == Dimension::Ratio { Ok(None) } else { shown(py, dimension).map(|s| Some(s.unit)) }
}

/// Values in study units as those of the unit shown, with its symbol.
pub(crate) fn column(
    py: Python<'_>,
    dimension: Dimension,
    mut values: Vec<f64>,
) -> PyResult<(&str, Vec<f64>)> {
    if dimension == Dimension::Ratio {
        return Ok(("", values));
    }
    let unit = shown(py, dimension)?.unit;
    values.iter_mut().for_each(|v| *v = swept::study::shown(unit, *v));
    Ok((unit.symbol, values))
}

/// Values in the unit shown as one array-valued quantity; ratios as an array.
pub(crate) fn many<'py>(
    py: Python<'py>,
    dimension: Dimension,
    values: &[f64],
) -> PyResult<Bound<'py, PyAny>> {
    united(py, dimension, array_of(py, values)?)
}

/// An array of values in the unit shown as one array-valued quantity; ratios as they are.
pub(crate) fn united<'py>(
    py: Python<'py>,
    dimension: Dimension,
    all: Bound<'py, PyAny>,
) -> PyResult<Bound<'py, PyAny>> {
    if dimension == Dimension::Ratio { Ok(all) } else { make(py, all, shown(py, dimension)?.pint) }
}

/// Floats as a NumPy array.
pub(crate) fn array_of<'py>(py: Python<'py>, values: &[f64]) -> PyResult<Bound<'py, PyAny>> {
    array(py, values, &PyTuple::new(py, [values.len()])?.into_any())
}

/// Whole numbers as a NumPy array of 64 bits.
pub(crate) fn int64s<'py>(py: Python<'py>, values: &[i64]) -> PyResult<Bound<'py, PyAny>> {
    let out = py.import("numpy")?.call_method1("empty", (values.len(), "int64"))?;
    PyBuffer::<i64>::get(&out)?.copy_from_slice(py, values)?;
    Ok(out)
}

fn array<'py>(py: Python<'py>, values: &[f64], shape: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
    let out = py.import("numpy")?.call_method1("empty", (shape, "float64"))?;
    PyBuffer::<f64>::get(&out)?.copy_from_slice(py, values)?;
    Ok(out)
}

/// The quantity as a text in the display system chosen, without the last digits, which conversions make up.
pub(crate) fn text<Q: Dimensioned>(py: Python<'_>, q: Q) -> PyResult<String> {
    Ok(written(shown(py, Q::DIMENSION)?.unit, q.si()))
}

/// The SI value in this unit, with 12 significant digits at most.
pub(crate) fn written(unit: &Unit, si: f64) -> String {
    let value = unit.from_si(si);
    let short = format!("{value:.11e}").parse().unwrap_or(value);
    format!("{short} {}", unit.symbol)
}

/// The quantity as a text that reads back to the same bits: in its SI unit.
pub(crate) fn exact<Q: Dimensioned>(q: Q) -> String {
    format!("{} {}", q.si(), Q::DIMENSION.base_symbol())
}
