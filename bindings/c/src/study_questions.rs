//! Questions asked of all designs of a study, the answers in the caller's arrays.

use crate::columns::{check_fits, check_room};
use crate::status::{Failure, Outcome, check_out, guard, slice, swept_status, text, write, write_list};
use crate::study::{
    asked, borrowed, free, give, goal, output_name, swept_study, swept_study_rows, swept_workers,
};
use core::ffi::c_char;
use swept::Error;
use swept::study::{Excluded, Goal, Output, RowStream, si};

/// How many designs.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_study_counts {
    /// All designs of the grid, or of the part; UINT64_MAX where there are more than that.
    pub designs: u64,
    /// Those that hold every limit; UINT64_MAX where there are more.
    pub feasible: u64,
    /// All designs as a double, for a grid of any size: rounded beyond 2^53.
    pub designs_rounded: f64,
    /// The feasible ones as a double.
    pub feasible_rounded: f64,
}

/// What one limit excludes.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_study_exclusion {
    /// The output that is limited; static.
    pub output: *const c_char,
    /// At least, in SI; NaN where there is no lower limit.
    pub lower: f64,
    /// At most, in SI; NaN where there is no upper limit.
    pub upper: f64,
    /// Designs that do not hold it, whatever the others say; UINT64_MAX where there are more.
    pub designs: u64,
    /// The same as a double, rounded beyond 2^53.
    pub designs_rounded: f64,
}

/// An output that is to be as great or as small as can be.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_study_objective {
    /// The name of the output.
    pub output: *const c_char,
    /// 1 for the greatest, 0 for the least.
    pub maximise: i32,
}

/// A count that fits, or the most that does.
fn counted(count: u128) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}

pub(crate) fn exclusion(excluded: &Excluded) -> swept_study_exclusion {
    let limit = excluded.limit;
    let end = |value: Option<f64>| value.map_or(f64::NAN, |v| si(limit.output.dimension(), v));
    swept_study_exclusion {
        output: output_name(limit.output),
        lower: end(limit.lower),
        upper: end(limit.upper),
        designs: counted(excluded.designs),
        designs_rounded: excluded.designs as f64,
    }
}

fn too_large(row: u128) -> Failure {
    let (field, allowed) = ("row".into(), "below 2^64: a part of the rows, or fewer values".into());
    Error::OutOfRange { field, value: row.to_string(), allowed }.into()
}

/// The number of a row, refused where it does not fit.
fn numbered(row: u128) -> Outcome<u64> {
    u64::try_from(row).map_err(|_| too_large(row))
}

/// How many designs there are and how many are feasible: exact, also where most of a grid is never looked at. Pass null as `workers` for as many threads as the
/// machine runs at once and no watch.
///
/// # Safety
/// `study` is alive, `workers` null or valid for a read, its watch null or a function that may be called with its `user`; `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_count(
    study: *const swept_study,
    workers: *const swept_workers,
    out: *mut swept_study_counts,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let count = unsafe {
            let study = &borrowed(study, "study")?.study;
            asked(workers, |workers| study.count(workers))?
        };
        let (designs, feasible) = (counted(count.designs), counted(count.feasible));
        let (designs_rounded, feasible_rounded) = (count.designs as f64, count.feasible as f64);
        write(out, swept_study_counts { designs, feasible, designs_rounded, feasible_rounded })
    })
}

/// What each limit alone excludes, in the order of the names of the outputs, and how many limits there are. A `capacity` below their number is a wrong length; 64
/// places always suffice.
///
/// # Safety
/// As swept_study_count(); `out` is valid for writes of `capacity` exclusions, or null with a capacity of zero, `out_count` for one number; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_excluded(
    study: *const swept_study,
    workers: *const swept_workers,
    out: *mut swept_study_exclusion,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let study = unsafe { &borrowed(study, "study")?.study };
        check_fits(study.limits().len(), capacity, "limits")?;
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| study.excluded(workers))? };
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe { write_list(out, found.iter().map(exclusion)) };
        write(out_count, found.len())
    })
}

/// The best feasible designs by an output, at most `capacity` of them: exact, the better first, of equal ones the lower row. `maximise` is 1 for the greatest, 0
/// for the least. Written are their rows, their values in SI, and how many there are. Designs whose output is no number are left out. A row number of 2^64 or more is
/// out of range, and so is a question that would take too many steps.
///
/// # Safety
/// As swept_study_count(); `output` is a zero-terminated text; `out_rows` and `out_values` are valid for writes of `capacity` numbers, or null with a capacity of
/// zero, `out_count` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_best(
    study: *const swept_study,
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
        let (study, output) = unsafe { (&borrowed(study, "study")?.study, text(output, "output")?) };
        let (output, goal) = (Output::parse(output)?, goal(maximise)?);
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| study.best(capacity, output, goal, workers))? };
        let rows = found.iter().map(|best| numbered(best.row)).collect::<Outcome<Vec<_>>>()?;
        let values = found.iter().map(|best| si(output.dimension(), best.value));
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe {
            write_list(out_rows, rows.into_iter());
            write_list(out_values, values);
        }
        write(out_count, found.len())
    })
}

/// Reads objectives.
///
/// # Safety
/// `objectives` is null or valid for reads of `count` objectives, each with a zero-terminated text or null.
unsafe fn read_objectives(
    objectives: *const swept_study_objective,
    count: usize,
) -> Outcome<Vec<(Output, Goal)>> {
    // SAFETY: passed on from the caller.
    let given = unsafe { slice(objectives, count, "objectives")? };
    let one = |objective: &swept_study_objective| {
        // SAFETY: passed on from the caller.
        let output = unsafe { text(objective.output, "output of an objective")? };
        Ok((Output::parse(output)?, goal(objective.maximise)?))
    };
    given.iter().map(one).collect()
}

/// The feasible designs that no other feasible design beats: none is as good in all objectives and better in one. Exact, the best by the first objective first; of designs
/// with equal objectives the lowest row. From 2 to 8 objectives. Written are the rows, the objectives of each in SI (rows x objectives in row order), and how many
/// rows there are. With a `capacity` of zero only their number is written; any other below it is a wrong length, and the message says how many there are.
///
/// # Safety
/// As swept_study_count(); `objectives` is valid for reads of `count` objectives, the output of each a zero-terminated text; `out_rows` is valid for writes of
/// `capacity` numbers and `out_values` of `capacity` x `count`, or null with a capacity of zero, `out_count` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_pareto(
    study: *const swept_study,
    workers: *const swept_workers,
    objectives: *const swept_study_objective,
    count: usize,
    out_rows: *mut u64,
    out_values: *mut f64,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out_rows, capacity)?;
        check_room(out_values, capacity.saturating_mul(count.max(1)))?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let (study, objectives) =
            unsafe { (&borrowed(study, "study")?.study, read_objectives(objectives, count)?) };
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| study.pareto(&objectives, workers))? };
        if capacity > 0 {
            check_fits(found.len(), capacity, "designs")?;
            let rows = found.iter().map(|design| numbered(design.row)).collect::<Outcome<Vec<_>>>()?;
            let values = found.iter().flat_map(|design| {
                let of = |(v, (output, _)): (&f64, &(Output, Goal))| si(output.dimension(), *v);
                design.values.iter().zip(&objectives).map(of)
            });
            // SAFETY: no more than `capacity`, with `count` values each, and the caller promises as many places.
            unsafe {
                write_list(out_rows, rows.into_iter());
                write_list(out_values, values);
            }
        }
        write(out_count, found.len())
    })
}

/// The feasible rows of a study, to be taken some at a time by swept_study_rows_next(), so that they are never all in memory. They keep what they need of the
/// study, which may be freed before them. A grid with row numbers of 2^64 or more is out of range: take its parts.
///
/// # Safety
/// `study` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_rows_new(
    study: *const swept_study,
    out: *mut *mut swept_study_rows,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let study = unsafe { &borrowed(study, "study")?.study };
        let stream = RowStream::new(study.clone())?;
        let (first, end) = stream.rows();
        if end > first {
            numbered(end - 1)?;
        }
        give(out, swept_study_rows { stream })
    })
}

/// The next feasible rows, rising, and how many they are: as many as there is room for, or fewer at the end, at last none. The watch is told the share of the whole grid that
/// is done; where it stops the call, nothing is written and the next call goes on. Several threads may take rows at once: each row is given once. A
/// `capacity` of zero is a wrong length.
///
/// # Safety
/// `rows` is alive; `workers` is as in swept_study_count(); `out_rows` is valid for writes of `capacity` numbers, `out_count` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_rows_next(
    rows: *const swept_study_rows,
    workers: *const swept_workers,
    out_rows: *mut u64,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out_rows, capacity)?;
        check_out(out_count)?;
        if capacity == 0 {
            let (field, expected) = ("capacity".into(), "1 or more".into());
            return Err(Error::WrongLength { field, found: 0, expected }.into());
        }
        // SAFETY: passed on from the caller.
        let found = unsafe {
            let stream = &borrowed(rows, "rows")?.stream;
            asked(workers, |workers| stream.next(capacity as u128, workers))?
        };
        let count = usize::try_from(found.len()).unwrap_or(capacity).min(capacity);
        // SAFETY: not null and no more than `capacity`; the caller promises as many places, which are zeros before they are a slice.
        let places = unsafe {
            out_rows.write_bytes(0, count);
            core::slice::from_raw_parts_mut(out_rows, count)
        };
        found.write(places);
        write(out_count, count)
    })
}

/// Frees the rows of a study; null is fine.
///
/// # Safety
/// `rows` is null or came from swept and was not freed yet; nothing uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_rows_free(rows: *mut swept_study_rows) {
    // SAFETY: passed on from the caller.
    unsafe { free(rows) }
}
