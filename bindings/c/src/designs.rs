//! Designs listed row by row: the handle, from columns that the caller owns or scattered over ranges, and what stands in its rows.

use crate::columns::{Column, Span, columns_of, swept_column};
use crate::status::{Outcome, check_out, guard, slice, swept_status, text, write_list};
use crate::study::{borrowed, free, give, json_of};
use core::ffi::c_char;
use swept::Error;
use swept::study::{Columns, Scatter, si};

/// Designs listed row by row, with the limits that they must hold; rows are numbered from 0. Opaque; made by swept_designs_from_columns() and
/// swept_designs_from_scatter(), asked by any number of threads at once, freed by swept_designs_free().
#[allow(non_camel_case_types)]
#[derive(Debug)]
pub struct swept_designs {
    pub(crate) rows: Rows,
    /// Where the columns lie in memory.
    pub(crate) spans: Vec<Span>,
}

/// Where the rows come from.
#[derive(Debug)]
pub(crate) enum Rows {
    Columns(Columns<'static>),
    Scatter(Scatter),
}

/// Asks the rows, wherever they come from.
macro_rules! of {
    ($designs:expr, $listed:ident => $question:expr) => {
        match &$designs.rows {
            $crate::designs::Rows::Columns($listed) => $question,
            $crate::designs::Rows::Scatter($listed) => $question,
        }
    };
}
pub(crate) use of;

impl swept_designs {
    /// So many of its rows from the first, whose numbers stay the same.
    pub(crate) fn slice(&self, first: u64, rows: u64) -> Outcome<Self> {
        let all = of!(self, listed => listed.rows());
        if first > all || rows > all - first {
            let (field, value) = ("rows".into(), format!("{rows} from row {first} on"));
            let allowed = format!("those of the {all} there are");
            return Err(Error::OutOfRange { field, value, allowed }.into());
        }
        let end = first + rows;
        let rows = match &self.rows {
            Rows::Columns(listed) => Rows::Columns(listed.between(first, end)),
            Rows::Scatter(listed) => Rows::Scatter(listed.between(first, end)),
        };
        Ok(Self { rows, spans: self.spans.clone() })
    }
}

/// Designs from columns of one length, each of a figure that varies, and from a text of what all rows share: JSON, `length` bytes of UTF-8, with `fixed` and `limits`
/// as in swept_study_new(): {"fixed": {"cylinders": "4"}, "limits": {"displacement": {"upper": "2000 cm3"}}}, or {}.
///
/// The values are not copied: they are read each time a question is asked. They must stay where they are until swept_designs_free(), and are not to be written while
/// a question runs; between questions they may be. The texts and the array of columns are not needed after the call. Values are not checked here: rows that are no
/// engine are refused one by one, and counted. Columns of different lengths, or none, are a wrong length.
///
/// # Safety
/// `json` is valid for reads of `length` bytes, `columns` for reads of `count` columns, each with zero-terminated texts and its values valid for as long as the designs
/// live; `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_from_columns(
    json: *const c_char,
    length: usize,
    columns: *const swept_column,
    count: usize,
    out: *mut *mut swept_designs,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (json, columns) = unsafe { (json_of(json, length)?, columns_of(columns, count)?) };
        if columns.is_empty() {
            let (field, expected) = ("columns".into(), "1 or more".into());
            return Err(Error::WrongLength { field, found: 0, expected }.into());
        }
        let spans = columns.iter().map(Column::span).collect();
        let columns = columns.into_iter().map(|Column { figure, unit, values }| (figure, unit, values));
        give(out, swept_designs { rows: Rows::Columns(Columns::parse(json, columns.collect())?), spans })
    })
}

/// Designs spread evenly over ranges of figures, from their text: JSON, `length` bytes of UTF-8, with `ranges`, a list of objects with `figure`, `from` and `to`;
/// `designs`, how many, up to 10^10; `fixed` and `limits` as in swept_study_new(): {"ranges": [{"figure": "bore", "from": "80 mm", "to": "90 mm"}], "designs": 1000000,
/// "fixed": {"stroke": "86 mm"}}. Each row is computed from its number (a Kronecker sequence) and is the same for any number of designs; nothing is stored.
///
/// # Safety
/// `json` is valid for reads of `length` bytes, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_from_scatter(
    json: *const c_char,
    length: usize,
    out: *mut *mut swept_designs,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let json = unsafe { json_of(json, length)? };
        give(out, swept_designs { rows: Rows::Scatter(Scatter::parse(json)?), spans: Vec::new() })
    })
}

/// Frees designs; null is fine. The columns are the caller's and stay.
///
/// # Safety
/// `designs` is null or came from swept and was not freed yet; nothing uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_free(designs: *mut swept_designs) {
    // SAFETY: passed on from the caller.
    unsafe { free(designs) }
}

/// What stands in rows, in SI: the figure of that name where the designs have it, fixed or varied, as it is given, else the output: NaN where the row is refused or the
/// output is no number. A row that is not there is out of range; a figure that is missing is told.
///
/// # Safety
/// `designs` is alive, `name` a zero-terminated text; `rows` is valid for reads of `count` rows and `out` for writes of as many values, or both null with a count of
/// zero; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_values(
    designs: *const swept_designs,
    name: *const c_char,
    rows: *const u64,
    count: usize,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        if count > 0 {
            check_out(out)?;
        }
        // SAFETY: passed on from the caller.
        let (designs, name, rows) =
            unsafe { (borrowed(designs, "designs")?, text(name, "name")?, slice(rows, count, "rows")?) };
        let named = of!(designs, listed => listed.named(name))?;
        let values = of!(designs, listed => listed.values_of(rows, named))?;
        // SAFETY: one for each row, and the caller promises as many places.
        unsafe { write_list(out, values.into_iter().map(|value| si(named.dimension(), value))) };
        Ok(())
    })
}
