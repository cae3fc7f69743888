//! What Python passes in, as SI values: texts, which the core reads, and anything with `m_as`; never bare numbers.

use crate::errors::{OrRaise, exception};
use pyo3::buffer::PyBuffer;
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyFloat, PyInt, PyString};
use swept::units::{Dimension, Dimensioned, quantity_of};
use swept::{Error, error};

/// One value, or an array of them with its shape.
pub(crate) enum Values<'py> {
    /// A scalar, SI.
    One(f64),
    /// An array, SI, in C order, with its shape.
    Many(Vec<f64>, Bound<'py, PyAny>),
}

/// One quantity of a known dimension.
pub(crate) fn scalar<Q: Dimensioned>(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Q> {
    scalar_of(field, Q::DIMENSION, given).map(Q::from_si)
}

/// One quantity above zero: a size of a part.
pub(crate) fn positive<Q: Dimensioned>(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Q> {
    let q = scalar(field, given)?;
    swept::error::finite_positive(field, q).or_raise(given.py())
}

/// One quantity or none.
pub(crate) fn maybe_of(
    field: &str,
    dimension: Dimension,
    given: Option<&Bound<'_, PyAny>>,
) -> PyResult<Option<f64>> {
    given.map(|g| scalar_of(field, dimension, g)).transpose()
}

/// One SI value of a dimension known at run time.
pub(crate) fn scalar_of(field: &str, dimension: Dimension, given: &Bound<'_, PyAny>) -> PyResult<f64> {
    match values_of(field, dimension, given)? {
        Values::One(si) => Ok(si),
        Values::Many(..) => {
            Err(PyTypeError::new_err(format!("{field} must be one {dimension}, not an array")))
        }
    }
}

/// A list of quantities: a sequence of texts and quantities, or an array-valued quantity.
pub(crate) fn list<Q: Dimensioned>(field: &str, given: &Bound<'_, PyAny>) -> PyResult<Vec<Q>> {
    let refused = || {
        let message = format!("{field} must be a list, such as {field}=[\"{}\"]", Q::DIMENSION.example());
        PyTypeError::new_err(message)
    };
    if given.is_instance_of::<PyString>() {
        return Err(refused());
    }
    if given.hasattr("m_as")? {
        return match values_of(field, Q::DIMENSION, given)? {
            Values::One(si) => Ok(vec![Q::from_si(si)]),
            Values::Many(all, shape) if shape.len()? == 1 => Ok(all.into_iter().map(Q::from_si).collect()),
            Values::Many(..) => Err(refused()),
        };
    }
    let items = given.try_iter().map_err(|_| refused())?.enumerate();
    items.map(|(i, item)| scalar(&format!("{field}[{i}]"), &item?)).collect()
}

/// SI values, finite, of a dimension known at run time.
pub(crate) fn values_of<'py>(
    field: &str,
    dimension: Dimension,
    given: &Bound<'py, PyAny>,
) -> PyResult<Values<'py>> {
    let py = given.py();
    if let Ok(text) = given.cast::<PyString>() {
        let read = quantity_of(text.to_str()?, dimension).map_err(|e| e.at(None, field));
        return read.map(|(si, _)| Values::One(si)).or_raise(py);
    }
    if !given.hasattr("m_as")? {
        return bare(field, dimension, given);
    }
    let magnitude = given
        .call_method1("m_as", (si_name(dimension),))
        .map_err(|e| wrong_dimension(field, dimension, given, e))?;
    check_unit(field, dimension, given)?;
    let values = magnitudes(magnitude)?;
    finite(&values, field, dimension).or_raise(py)?;
    Ok(values)
}

/// Values as texts that the core reads to the same bits, and whether they came as several: texts as they are, quantities in their own unit where the core
/// knows it, numbers for a ratio, or a list or an array of those.
pub(crate) fn text_of(
    field: &str,
    dimension: Dimension,
    given: &Bound<'_, PyAny>,
) -> PyResult<(Vec<String>, bool)> {
    if given.is_instance_of::<PyString>() {
        values_of(field, dimension, given)?;
        return Ok((vec![given.extract()?], false));
    }
    if !given.hasattr("m_as")? {
        if let Ok(items) = given.try_iter() {
            let one = |(i, item): (usize, PyResult<Bound<'_, PyAny>>)| {
                let (mut texts, many) = text_of(&format!("{field}[{i}]"), dimension, &item?)?;
                texts
                    .pop()
                    .filter(|_| !many)
                    .ok_or_else(|| PyTypeError::new_err(format!("{field}[{i}] must be one {dimension}")))
            };
            return Ok((items.enumerate().map(one).collect::<PyResult<_>>()?, true));
        }
        let Values::One(ratio) = bare(field, dimension, given)? else {
            return Err(PyTypeError::new_err(format!("{field} must be one {dimension}, or a list of them")));
        };
        return Ok((vec![ratio.to_string()], false));
    }
    let (all, many) = match values_of(field, dimension, given)? {
        Values::One(si) => (vec![si], false),
        Values::Many(all, shape) if shape.len()? == 1 => (all, true),
        Values::Many(..) => {
            return Err(PyTypeError::new_err(format!("{field} must be a list of one dimension")));
        }
    };
    let text = |value: f64, symbol: &str| format!("{value} {symbol}").trim_end().to_owned();
    Ok(match own_unit(dimension, given, &all) {
        Some((unit, own)) => (own.into_iter().map(|v| text(v, unit.symbol)).collect(), many),
        None => (all.into_iter().map(|si| text(si, dimension.base_symbol())).collect(), many),
    })
}

/// The unit of a quantity with its magnitudes, where the core knows it as what it is.
fn own_unit(
    dimension: Dimension,
    given: &Bound<'_, PyAny>,
    si: &[f64],
) -> Option<(&'static swept::units::Unit, Vec<f64>)> {
    let symbol = given.getattr("units").ok()?.call_method1("__format__", ("~P",)).ok()?.to_string();
    let unit = swept::units::find_for(&symbol, dimension, &symbol).ok()?;
    let own = match magnitudes(given.getattr("magnitude").ok()?).ok()? {
        Values::One(value) => vec![value],
        Values::Many(all, _) => all,
    };
    let alike = |(own, si): (&f64, &f64)| (unit.to_si(*own) - si).abs() <= 1e-12 * si.abs();
    (own.len() == si.len() && own.iter().zip(si).all(alike)).then_some((unit, own))
}

fn finite(values: &Values<'_>, field: &str, dimension: Dimension) -> swept::Result<()> {
    let all = match values {
        Values::One(si) => std::slice::from_ref(si),
        Values::Many(all, _) => all,
    };
    match all.iter().find(|si| !si.is_finite()) {
        None => Ok(()),
        Some(bad) => {
            Err(Error::NotFinite { field: field.into(), value: format!("{bad} {}", dimension.base_symbol()) })
        }
    }
}

/// Takes the magnitudes over, an array in one copy.
fn magnitudes(magnitude: Bound<'_, PyAny>) -> PyResult<Values<'_>> {
    let py = magnitude.py();
    let is_array = magnitude.hasattr("ndim")? && magnitude.getattr("ndim")?.extract::<usize>()? > 0;
    if !is_array && !magnitude.hasattr("__len__")? {
        return magnitude.extract().map(Values::One);
    }
    let array = py.import("numpy")?.call_method1("ascontiguousarray", (magnitude, "float64"))?;
    let values = PyBuffer::<f64>::get(&array)?.to_vec(py)?;
    Ok(Values::Many(values, array.getattr("shape")?))
}

/// A bare number is a ratio, or an error that says what to write.
fn bare<'py>(field: &str, dimension: Dimension, given: &Bound<'py, PyAny>) -> PyResult<Values<'py>> {
    let py = given.py();
    let number =
        given.is_instance_of::<PyFloat>() || given.is_instance_of::<PyInt>() || given.hasattr("__float__")?;
    if !number || given.is_instance_of::<PyBool>() {
        let message = format!(
            "{field} must be a text such as \"{}\" or a pint quantity, not {}",
            dimension.example(),
            given.get_type().name()?
        );
        return Err(PyTypeError::new_err(message));
    }
    if dimension == Dimension::Ratio {
        let value: f64 = given.extract()?;
        let ratio = error::finite(field, swept::units::Ratio::from_si(value)).or_raise(py)?;
        return Ok(Values::One(ratio.si()));
    }
    let value = given.str()?.to_string();
    let message = format!(
        "{field} needs a unit: write it as a text, such as {field}=\"{}\", or as a pint quantity (got {value})",
        dimension.example()
    );
    let error = Error::MissingUnit { value, expected: dimension.name().into(), example: dimension.example() };
    Err(exception(py, &error.at(None, field), message))
}

/// What pint calls the SI unit of a dimension.
pub(crate) fn si_name(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "meter",
        Dimension::Area => "meter ** 2",
        Dimension::Volume => "meter ** 3",
        Dimension::Mass => "kilogram",
        Dimension::Angle => "radian",
        Dimension::RotationalSpeed => "radian / second",
        Dimension::Velocity => "meter / second",
        Dimension::Acceleration => "meter / second ** 2",
        Dimension::Pressure => "pascal",
        Dimension::Force => "newton",
        Dimension::Torque => "newton * meter",
        Dimension::Unbalance => "kilogram * meter",
        Dimension::Temperature => "kelvin",
        Dimension::TemperatureDifference => "kelvin",
        Dimension::DynamicViscosity => "pascal * second",
        Dimension::KinematicViscosity => "meter ** 2 / second",
        Dimension::Time => "second",
        Dimension::Expansion => "1 / kelvin",
        Dimension::SpringRate => "newton / meter",
        Dimension::Frequency => "hertz",
        _ => "",
    }
}

/// Refuses units that pint would convert though they measure something else.
pub(crate) fn check_unit(field: &str, dimension: Dimension, given: &Bound<'_, PyAny>) -> PyResult<()> {
    let Ok(units) = given.getattr("units") else {
        return Ok(());
    };
    let long = units.call_method1("__format__", ("D",)).or_else(|_| units.str().map(Bound::into_any))?;
    let unit = long.str()?.to_string();
    let Some(reason) = refusal(dimension, &unit) else {
        return Ok(());
    };
    let message = format!("{field} is in {unit}: {reason}");
    Err(named_wrong(given, field, dimension, message, unit))
}

const ANGLES: [&str; 8] = ["radian", "degree", "turn", "revolution", "rpm", "cycle", "arc", "grad"];
const ENERGIES: [&str; 10] = [
    "joule",
    "watt",
    "calorie",
    "btu",
    "british_thermal",
    "erg",
    "electron_volt",
    "therm",
    "hartree",
    "rydberg",
];

fn refusal(dimension: Dimension, unit: &str) -> Option<&'static str> {
    let lower = unit.to_lowercase();
    let any = |names: &[&str]| names.iter().any(|name| lower.contains(name));
    match dimension {
        Dimension::RotationalSpeed if !any(&ANGLES) => {
            Some("a shaft speed is in rpm or rad/s; a frequency could mean turns or radians a second")
        }
        Dimension::Angle if !any(&ANGLES) => Some("an angle is in deg or rad"),
        Dimension::Frequency if any(&ANGLES) && !lower.contains("cycle") => {
            Some("a frequency is in Hz or cycles/min; this is a rotational speed")
        }
        Dimension::Torque if any(&ENERGIES) => Some("a torque is in N m; this is an energy"),
        Dimension::TemperatureDifference if lower.starts_with("degree_") => {
            Some("a temperature difference is in K or delta_degC; this is a temperature")
        }
        _ => None,
    }
}

/// pint's refusal to convert, as ours; any other failure of `m_as` as it is.
pub(crate) fn wrong_dimension(
    field: &str,
    dimension: Dimension,
    given: &Bound<'_, PyAny>,
    failed: PyErr,
) -> PyErr {
    let py = given.py();
    let name = failed.get_type(py).name().map(|n| n.to_string()).unwrap_or_default();
    if !matches!(name.as_str(), "DimensionalityError" | "OffsetUnitCalculusError") {
        return failed;
    }
    let value = given.str().map(|s| s.to_string()).unwrap_or_default();
    let message = format!("{field} is {value}; a {dimension} is needed, such as \"{}\"", dimension.example());
    let error = named_wrong(given, field, dimension, message, value);
    error.set_cause(py, Some(failed));
    error
}

fn named_wrong(
    given: &Bound<'_, PyAny>,
    field: &str,
    dimension: Dimension,
    message: String,
    value: String,
) -> PyErr {
    let error = Error::WrongDimension {
        value,
        found: dimension, // not shown: the message says what was found in Python's words
        expected: dimension,
        example: dimension.example(),
    };
    exception(given.py(), &error.at(None, field), message)
}
