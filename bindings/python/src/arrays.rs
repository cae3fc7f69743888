//! NumPy arrays as slices, without a copy.
//!
//! Unsafe code: slices of memory that NumPy owns, which is kept in place by the buffer that goes with each. As with NumPy's own functions that let other threads run,
//! an array that a question reads or writes is not to be written by another thread meanwhile.

use crate::errors::{OrRaise, exception};
use crate::given::{check_unit, si_name, wrong_dimension};
use pyo3::buffer::{Element, PyBuffer};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PySlice, PyTuple};
use swept::Error;
use swept::units::{Dimension, Unit, find_for};

type Any<'py> = Bound<'py, PyAny>;

/// A column that Python passed in, in a unit, with the buffer that holds it in place.
pub(crate) struct Column {
    /// As it is read: where it had to be converted, not the one passed in.
    array: Py<PyAny>,
    buffer: PyBuffer<f64>,
    pub(crate) unit: Option<&'static Unit>,
}

impl Column {
    /// From an array-valued quantity, an array and the symbol of its unit, or an array of ratios.
    pub(crate) fn new(field: &str, dimension: Dimension, given: &Any<'_>) -> PyResult<Self> {
        let (array, unit) = match given.cast::<PyTuple>() {
            Ok(pair) if pair.len() == 2 => {
                let symbol: String = pair.get_item(1)?.extract().map_err(|_| wanted(field, dimension))?;
                let unit = find_for(&symbol, dimension, &symbol).map_err(|e| e.at(None, field));
                (pair.get_item(0)?, Some(unit.or_raise(given.py())?))
            }
            Ok(_) => return Err(wanted(field, dimension)),
            Err(_) if given.hasattr("m_as")? => quantities(field, dimension, given)?,
            Err(_) if dimension == Dimension::Ratio => (given.clone(), None),
            Err(_) if given.hasattr("ndim")? => return Err(without_unit(field, dimension, given)),
            Err(_) => return Err(wanted(field, dimension)),
        };
        let array = floats(field, &array)?;
        let buffer = PyBuffer::get(&array)?;
        Ok(Self {
            array: array.unbind(),
            buffer,
            unit: unit.filter(|u| u.dimension != Dimension::Ratio || u.symbol == "%"),
        })
    }

    /// Its values, for as long as the column is kept.
    ///
    /// # Safety
    /// The column is kept for longer than the slice.
    pub(crate) unsafe fn values(&self) -> &'static [f64] {
        slice(&self.buffer)
    }

    /// Some of its values, as an array of the same memory.
    pub(crate) fn some<'py>(&self, py: Python<'py>, first: isize, end: isize) -> PyResult<Any<'py>> {
        self.array.bind(py).get_item(PySlice::new(py, first, end, 1))
    }

    /// From its first byte to before its last.
    pub(crate) fn span(&self) -> (usize, usize) {
        span(&self.buffer)
    }
}

fn span<T: Element>(buffer: &PyBuffer<T>) -> (usize, usize) {
    let start = buffer.buf_ptr() as usize;
    (start, start + buffer.len_bytes())
}

/// The items of a contiguous buffer, which lives as long as the caller says.
fn slice<'s>(buffer: &PyBuffer<f64>) -> &'s [f64] {
    if buffer.item_count() == 0 {
        return &[];
    }
    // SAFETY: contiguous, of this type and aligned, which `PyBuffer` and `floats` checked; every bit pattern is a double.
    unsafe { std::slice::from_raw_parts(buffer.buf_ptr().cast(), buffer.item_count()) }
}

/// The writable items of a buffer.
///
/// # Safety
/// No other slice of this memory is used at the same time.
unsafe fn slice_mut<'s, T: Element>(buffer: &PyBuffer<T>) -> &'s mut [T] {
    if buffer.item_count() == 0 {
        return &mut [];
    }
    // SAFETY: contiguous, writable, of this type and aligned, as its maker checked; alone, as the caller says.
    unsafe { std::slice::from_raw_parts_mut(buffer.buf_ptr().cast(), buffer.item_count()) }
}

fn wanted(field: &str, dimension: Dimension) -> PyErr {
    let symbol = dimension.example().rsplit(' ').next().unwrap_or_default();
    PyTypeError::new_err(match dimension {
        Dimension::Ratio => format!("{field} must be an array of numbers"),
        _ => format!(
            "{field} must be an array with its unit, such as (array, \"{symbol}\"), or a pint quantity of an array"
        ),
    })
}

fn without_unit(field: &str, dimension: Dimension, given: &Any<'_>) -> PyErr {
    let error = Error::MissingUnit {
        value: format!("an array of {}", given.getattr("dtype").map(|d| d.to_string()).unwrap_or_default()),
        expected: dimension.name().into(),
        example: dimension.example(),
    };
    let symbol = dimension.example().rsplit(' ').next().unwrap_or_default();
    let message = format!("{field} needs a unit: write it as (array, \"{symbol}\"), or as a pint quantity");
    exception(given.py(), &error.at(None, field), message)
}

/// The magnitudes of a quantity in its own unit where the core knows it as what it is, else in SI, converted once.
fn quantities<'py>(
    field: &str,
    dimension: Dimension,
    given: &Any<'py>,
) -> PyResult<(Any<'py>, Option<&'static Unit>)> {
    let py = given.py();
    if let Ok(own) = given.getattr("units") {
        let scale = given.get_type().call1((1.0, &own))?;
        let si = scale
            .call_method1("m_as", (si_name(dimension),))
            .map_err(|e| wrong_dimension(field, dimension, &scale, e))?;
        check_unit(field, dimension, given)?;
        let symbol = own.call_method1("__format__", ("~P",)).map(|s| s.to_string()).unwrap_or_default();
        let (si, known): (f64, _) = (si.extract()?, find_for(&symbol, dimension, &symbol).ok());
        if let Some(unit) = known.filter(|u| (u.to_si(1.0) - si).abs() <= 1e-12 * si.abs()) {
            return Ok((given.getattr("magnitude")?, Some(unit)));
        }
    }
    let converted = given
        .call_method1("m_as", (si_name(dimension),))
        .map_err(|e| wrong_dimension(field, dimension, given, e))?;
    let base = find_for(dimension.base_symbol(), dimension, dimension.base_symbol()).or_raise(py)?;
    Ok((converted, Some(base)))
}

/// A contiguous array of one dimension as floats: the same memory where it is that already.
fn floats<'py>(field: &str, given: &Any<'py>) -> PyResult<Any<'py>> {
    let py = given.py();
    let numpy = py.import("numpy")?;
    let array = numpy.call_method1("asarray", (given,))?;
    let kind: String = array.getattr("dtype")?.getattr("kind")?.extract()?;
    if !matches!(kind.as_str(), "f" | "i" | "u") || array.getattr("ndim")?.extract::<usize>()? != 1 {
        return Err(PyTypeError::new_err(format!("{field} must be an array of numbers of one dimension")));
    }
    numpy.call_method1("require", (array, "float64", ["C", "A"]))
}

/// An array that a question writes to.
pub(crate) struct Room<T: Element>(PyBuffer<T>);

impl<T: Element> Room<T> {
    /// Refuses what is no contiguous writable array of so many.
    pub(crate) fn new(field: &str, rows: u64, given: &Any<'_>) -> PyResult<Self> {
        let refused =
            |reason: String| PyErr::new::<PyValueError, _>(format!("out for {field} must be {reason}"));
        let kind = if size_of::<T>() == 1 { "flags of one byte" } else { "float64" };
        let buffer = PyBuffer::<T>::get(given)
            .map_err(|_| PyTypeError::new_err(format!("out for {field} must be a NumPy array of {kind}")))?;
        if buffer.dimensions() != 1 || !buffer.is_c_contiguous() {
            return Err(refused("contiguous, of one dimension".into()));
        }
        if buffer.readonly() {
            return Err(refused("writable".into()));
        }
        if buffer.item_count() as u64 != rows {
            let error = Error::WrongLength {
                field: format!("out for {field}"),
                found: buffer.item_count(),
                expected: format!("{rows}, as there are rows"),
            };
            return Err(error).or_raise(given.py());
        }
        Ok(Self(buffer))
    }

    /// From its first byte to before its last.
    pub(crate) fn span(&self) -> (usize, usize) {
        span(&self.0)
    }

    /// Its memory.
    ///
    /// # Safety
    /// As checked by [`apart`], no other slice of this memory is used at the same time; the room is kept for longer.
    pub(crate) unsafe fn slice<'s>(&self) -> &'s mut [T] {
        // SAFETY: as the caller says.
        unsafe { slice_mut(&self.0) }
    }
}

/// Refuses arrays to write to that share memory with one another or with what is read.
pub(crate) fn apart(mut written: Vec<(usize, usize)>, read: &[(usize, usize)]) -> PyResult<()> {
    let meet = |a: &(usize, usize), b: &(usize, usize)| a.0 < b.1 && b.0 < a.1;
    written.sort_unstable();
    let among = written.windows(2).any(|pair| matches!(pair, [a, b] if meet(a, b)));
    if among || written.iter().any(|w| read.iter().any(|r| meet(w, r))) {
        let message = "arrays to write to must not share memory with one another or with the columns";
        return Err(PyValueError::new_err(message));
    }
    Ok(())
}

/// A new array of rows, int64, to be written as the core numbers them.
pub(crate) struct RowsRoom(PyBuffer<i64>);

impl RowsRoom {
    pub(crate) fn new(py: Python<'_>, count: usize) -> PyResult<(Any<'_>, Self)> {
        let array = py.import("numpy")?.call_method1("empty", (count, "int64"))?;
        Ok((array.clone(), Self(PyBuffer::get(&array)?)))
    }

    /// Its memory; rows are below 2^63, so that their bits are the same with and without a sign.
    pub(crate) fn rows(&mut self) -> &mut [u64] {
        // SAFETY: the array is new, so that nobody else has its memory.
        let rows = unsafe { slice_mut(&self.0) };
        // SAFETY: both types are of one size and alignment, and any bits are a value of either.
        unsafe { std::slice::from_raw_parts_mut(rows.as_mut_ptr().cast(), rows.len()) }
    }
}
