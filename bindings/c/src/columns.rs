//! Columns of figures that the caller owns, and arrays that answers about rows go to: as slices, after every check.

use crate::status::{Outcome, check_out, slice, text};
use core::ffi::c_char;
use swept::Error;
use swept::study::{Figure, Output};
use swept::units::{Dimension, Unit, find_for};

/// A figure of many designs: an array that the caller owns, never written. NaN is no engine: such a row is refused, and counted.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_column {
    /// The name of the figure, such as "bore"; swept_study_figure_name() has all.
    pub figure: *const c_char,
    /// The unit of the values, such as "mm"; null for SI, and for a number without a unit.
    pub unit: *const c_char,
    /// The values.
    pub values: *const f64,
    /// How many they are.
    pub count: usize,
}

/// A column that was read.
pub(crate) struct Column {
    pub(crate) figure: Figure,
    pub(crate) unit: Option<&'static Unit>,
    pub(crate) values: &'static [f64],
}

impl Column {
    /// Where it lies in memory.
    pub(crate) fn span(&self) -> Span {
        span(self.values.as_ptr(), self.values.len())
    }
}

/// The SI unit of a dimension; none for a ratio.
pub(crate) fn si_unit(dimension: Dimension) -> Outcome<Option<&'static Unit>> {
    let symbol = dimension.base_symbol();
    match dimension {
        Dimension::Ratio => Ok(None),
        _ => Ok(Some(find_for(symbol, dimension, symbol)?)),
    }
}

/// Reads columns.
///
/// # Safety
/// `columns` is null or valid for reads of `count` columns, with zero-terminated texts or null, `values` valid for reads of their `count` of doubles that are not
/// written, for as long as the result is used.
pub(crate) unsafe fn columns_of(columns: *const swept_column, count: usize) -> Outcome<Vec<Column>> {
    // SAFETY: passed on from the caller.
    let given = unsafe { slice(columns, count, "columns")? };
    let one = |column: &swept_column| {
        // SAFETY: passed on from the caller.
        let figure = Figure::parse(unsafe { text(column.figure, "figure of a column")? })?;
        let (dimension, field) = (figure.dimension(), format!("columns.{}", figure.name()));
        let unit = if column.unit.is_null() {
            si_unit(dimension)?
        } else {
            // SAFETY: not null; passed on from the caller.
            let symbol = unsafe { text(column.unit, "unit of a column")? };
            Some(find_for(symbol, dimension, symbol).map_err(|e| e.at(None, field))?)
        };
        // SAFETY: passed on from the caller.
        let values = unsafe { slice(column.values, column.count, "values of a column")? };
        Ok(Column { figure, unit, values })
    };
    given.iter().map(one).collect()
}

/// From the first byte of an array to before the last.
pub(crate) type Span = (usize, usize);

/// Where an array that was checked lies.
pub(crate) fn span<T>(array: *const T, count: usize) -> Span {
    let first = array.addr();
    (first, first.saturating_add(count.saturating_mul(size_of::<T>())))
}

/// Refuses arrays to write to that share memory with one another or with what is read.
pub(crate) fn check_apart(mut written: Vec<Span>, read: &[Span]) -> Outcome {
    let meet = |a: &Span, b: &Span| a.0 < b.1 && b.0 < a.1;
    written.retain(|(first, end)| first < end);
    written.sort_unstable();
    let among = written.windows(2).any(|pair| matches!(pair, [a, b] if meet(a, b)));
    if among || written.iter().any(|w| read.iter().any(|r| meet(w, r))) {
        let (field, value) = ("arrays to write to".into(), "in memory that is shared".into());
        let allowed = "apart from one another and from the columns".into();
        return Err(Error::OutOfRange { field, value, allowed }.into());
    }
    Ok(())
}

/// Refuses null where there is room, and room that no array has.
pub(crate) fn check_room<T>(out: *mut T, capacity: usize) -> Outcome {
    if capacity > 0 {
        check_out(out)?;
    }
    if capacity > isize::MAX as usize / size_of::<T>() {
        let (field, expected) = ("capacity".into(), "at most what the memory can hold".into());
        return Err(Error::WrongLength { field, found: capacity, expected }.into());
    }
    Ok(())
}

/// Refuses room for less than there is.
pub(crate) fn check_fits(count: usize, capacity: usize, what: &str) -> Outcome {
    if count > capacity {
        let expected = format!("at least {count}, the number of {what}");
        return Err(Error::WrongLength { field: "capacity".into(), found: capacity, expected }.into());
    }
    Ok(())
}

/// An array of the caller that was checked, to be written to. Its bytes may be any: every one is a value of these types, and nothing is read before it is written.
///
/// # Safety
/// `out` was passed by [`check_room`] with `count`, is valid for as many writes, and no other slice of this memory is used at the same time.
pub(crate) unsafe fn room<'o, T>(out: *mut T, count: usize) -> &'o mut [T] {
    if count == 0 {
        return &mut [];
    }
    // SAFETY: not null and not too long, as was checked; else as the caller promises.
    unsafe { core::slice::from_raw_parts_mut(out, count) }
}

/// Reads names of outputs.
///
/// # Safety
/// `outputs` is null or valid for reads of `count` zero-terminated texts or nulls.
pub(crate) unsafe fn outputs_of(outputs: *const *const c_char, count: usize) -> Outcome<Vec<Output>> {
    // SAFETY: passed on from the caller.
    let given = unsafe { slice(outputs, count, "outputs")? };
    // SAFETY: as above.
    let one = |name: &*const c_char| Ok(Output::parse(unsafe { text(*name, "name of an output")? })?);
    given.iter().map(one).collect()
}
