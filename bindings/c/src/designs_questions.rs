//! Questions asked of all rows of listed designs, the answers in the caller's arrays.

use crate::columns::{check_apart, check_fits, check_room, room, si_unit, span};
use crate::designs::{of, swept_designs};
use crate::status::{Outcome, check_out, guard, slice, swept_status, text, write, write_list};
use crate::study::{asked, borrowed, goal, swept_workers};
use crate::study_questions::{exclusion, swept_study_exclusion};
use core::ffi::c_char;
use swept::Error;
use swept::study::{BestOf, Output, PlainCopies, Tally, si};

/// How many rows.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_designs_counts {
    /// All rows.
    pub rows: u64,
    /// Those that hold every limit.
    pub feasible: u64,
    /// Those in which a varied figure is no number or one that it cannot be, or whose rod is too short for its crank to turn. They are not feasible, and count as
    /// excluded by no limit.
    pub refused: u64,
}

/// An output of rows and where it goes: an array that the caller owns.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_output_column {
    /// The name of the output, such as "displacement"; swept_study_output_name() has all.
    pub output: *const c_char,
    /// A place for each row that is asked for; values are in SI.
    pub values: *mut f64,
}

fn counts(tally: Tally) -> swept_designs_counts {
    swept_designs_counts { rows: tally.rows, feasible: tally.feasible, refused: tally.refused }
}

/// How many rows there are, and how many are feasible or refused: exact. Pass null as `workers` for as many threads as the machine runs at once and no watch.
///
/// # Safety
/// `designs` is alive, `workers` null or valid for a read, its watch null or a function that may be called with its `user`; `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_count(
    designs: *const swept_designs,
    workers: *const swept_workers,
    out: *mut swept_designs_counts,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let tally = unsafe {
            let designs = borrowed(designs, "designs")?;
            asked(workers, |workers| of!(designs, listed => listed.count(workers)))?
        };
        write(out, counts(tally))
    })
}

/// What each limit alone excludes of the rows that are not refused, in the order of the names of the outputs, and how many limits there are. A `capacity` below their
/// number is a wrong length; 64 places always suffice.
///
/// # Safety
/// As swept_designs_count(); `out` is valid for writes of `capacity` exclusions, or null with a capacity of zero, `out_count` for one number; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_excluded(
    designs: *const swept_designs,
    workers: *const swept_workers,
    out: *mut swept_study_exclusion,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let designs = unsafe { borrowed(designs, "designs")? };
        check_fits(of!(designs, listed => listed.limits().len()), capacity, "limits")?;
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| of!(designs, listed => listed.excluded(workers)))? };
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe { write_list(out, found.iter().map(exclusion)) };
        write(out_count, found.len())
    })
}

/// The best feasible rows by an output, at most `capacity` of them: exact, the better first, of equal ones the lower row. `maximise` is 1 for the greatest, 0 for the
/// least. Written are their numbers, their values in SI, and how many there are. Rows whose output is no number are left out.
///
/// # Safety
/// As swept_designs_count(); `output` is a zero-terminated text; `out_rows` and `out_values` are valid for writes of `capacity` numbers, or null with a capacity of
/// zero, `out_count` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_best(
    designs: *const swept_designs,
    workers: *const swept_workers,
    output: *const c_char,
    maximise: i32,
    out_rows: *mut u64,
    out_values: *mut f64,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out_rows, capacity)?;
        check_room(out_values, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let (designs, output) = unsafe { (borrowed(designs, "designs")?, text(output, "output")?) };
        let best = BestOf { k: capacity, output: Output::parse(output)?, goal: goal(maximise)? };
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| of!(designs, listed => listed.best(best, workers)))? };
        // Rows of listed designs have numbers of 64 bits.
        let rows = found.iter().map(|best| best.row as u64);
        let values = found.iter().map(|found| si(best.output.dimension(), found.value));
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe {
            write_list(out_rows, rows);
            write_list(out_values, values);
        }
        write(out_count, found.len())
    })
}

/// The feasible ones of so many rows from the first, rising, and how many they are: all at once, or a block of rows after the other, so that they are never all in
/// memory. As many places as `rows` always suffice. With a `capacity` of zero only their number is written; any other below it is a wrong length, and the message says
/// how many there are. Rows that are not there are out of range.
///
/// # Safety
/// As swept_designs_count(); `out_rows` is valid for writes of `capacity` numbers, or null with a capacity of zero, `out_count` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_feasible(
    designs: *const swept_designs,
    workers: *const swept_workers,
    first: u64,
    rows: u64,
    out_rows: *mut u64,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out_rows, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let designs = unsafe { borrowed(designs, "designs")?.slice(first, rows)? };
        if capacity == 0 {
            // SAFETY: as above.
            let tally = unsafe { asked(workers, |workers| of!(designs, listed => listed.count(workers)))? };
            return write(out_count, tally.feasible as usize);
        }
        let places = |feasible: usize| match feasible <= capacity {
            // SAFETY: no more than `capacity`, which was checked; the caller promises as many places.
            true => Ok(unsafe { room(out_rows, feasible) }),
            false => {
                let expected = format!("at least {feasible}, the number of feasible rows");
                Err(Error::WrongLength { field: "capacity".into(), found: capacity, expected })
            }
        };
        // SAFETY: as above.
        let (tally, _) = unsafe {
            asked(workers, |workers| of!(designs, listed => listed.filter_to(None, places, workers)))?
        };
        write(out_count, tally.feasible as usize)
    })
}

/// Outputs of so many rows from the first, in SI, a flag for each, 1 where the row is feasible, else 0, and how many of them are feasible or refused: of all rows
/// at once, or of a block of rows after the other. NaN where a row is refused or an output is no number. `out_feasible` and `out_counts` may be null where they are not
/// wanted. Rows that are not there are out of range, and so are arrays that share memory with one another or with the columns. Where the watch stops the call,
/// some of the arrays may have been written.
///
/// # Safety
/// As swept_designs_count(); `columns` is valid for reads of `count` columns, each with a zero-terminated text and values valid for writes of `rows` doubles;
/// `out_feasible` is null or valid for writes of `rows` flags, `out_counts` null or valid for a write; any other null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_designs_outputs(
    designs: *const swept_designs,
    workers: *const swept_workers,
    first: u64,
    rows: usize,
    columns: *const swept_output_column,
    count: usize,
    out_feasible: *mut u8,
    out_counts: *mut swept_designs_counts,
) -> swept_status {
    guard(|| {
        // SAFETY: passed on from the caller.
        let (designs, columns) =
            unsafe { (borrowed(designs, "designs")?, slice(columns, count, "columns")?) };
        let some = designs.slice(first, rows as u64)?;
        let one = |column: &swept_output_column| -> Outcome<_> {
            // SAFETY: passed on from the caller.
            let output = Output::parse(unsafe { text(column.output, "output of a column")? })?;
            check_room(column.values, rows)?;
            Ok((output, si_unit(output.dimension())?, column.values))
        };
        let asked_for = columns.iter().map(one).collect::<Outcome<Vec<_>>>()?;
        let flags = (!out_feasible.is_null()).then_some(out_feasible);
        let mut written: Vec<_> = asked_for.iter().map(|(_, _, values)| span(*values, rows)).collect();
        written.extend(flags.map(|flags| span(flags, rows)));
        check_apart(written, &designs.spans)?;
        // SAFETY: checked, and apart from all that is read and written; the caller promises as many places.
        let to = |(output, unit, values): (_, _, *mut f64)| (output, unit, unsafe { room(values, rows) });
        let to = asked_for.into_iter().map(to).collect();
        // SAFETY: as above.
        let flags = flags.map(|flags| unsafe { room(flags, rows) });
        // SAFETY: passed on from the caller.
        let (tally, _) = unsafe {
            asked(
                workers,
                |workers| of!(some, listed => listed.outputs_in(to, flags, None, &PlainCopies, workers)),
            )?
        };
        if out_counts.is_null() { Ok(()) } else { write(out_counts, counts(tally)) }
    })
}
