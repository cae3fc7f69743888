//! Studies: the handle, and what stands in its rows.

use crate::status::{Failure, Outcome, check_out, guard, slice, swept_status, text, write, write_list};
use core::ffi::{c_char, c_void};
use std::ffi::CString;
use std::sync::LazyLock;
use swept::Error;
use swept::study::{Figure, Goal, Output, RowStream, Study, Workers, si};

/// Designs on a grid of axes, with the limits that they must hold. Opaque; made by swept_study_new() and swept_study_partition(), asked by any number of threads at
/// once, freed by swept_study_free().
#[allow(non_camel_case_types)]
#[derive(Debug)]
pub struct swept_study {
    pub(crate) study: Study,
}

/// The feasible rows of a study, to be taken some at a time. Opaque; made by swept_study_rows_new(), freed by swept_study_rows_free().
#[allow(non_camel_case_types)]
#[derive(Debug)]
pub struct swept_study_rows {
    pub(crate) stream: RowStream,
}

/// Asked from time to time while a long call is at work, on the thread that called: `done` is the share that is done, `user` what was passed beside it. Any other answer than
/// 0 stops the call, which then gives SWEPT_STOPPED. It must return: neither longjmp nor an exception may leave it.
#[allow(non_camel_case_types)]
pub type swept_watch = Option<unsafe extern "C" fn(done: f64, user: *mut c_void) -> i32>;

/// How a question is worked on; the answer is the same for any number of threads.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_workers {
    /// How many threads; 0 for as many as the machine runs at once.
    pub threads: usize,
    /// Asked whether to go on; null where nobody is to be asked.
    pub watch: swept_watch,
    /// Passed to the watch as it is.
    pub user: *mut c_void,
}

/// The most threads: more were a slip.
const MOST_THREADS: usize = 4096;

/// Asks a question by workers, null for those of a machine that nobody watches.
///
/// # Safety
/// `workers` is null or valid for a read, its watch null or a function that may be called with its user.
pub(crate) unsafe fn asked<T>(
    workers: *const swept_workers,
    question: impl FnOnce(&Workers<'_>) -> swept::Result<T>,
) -> Outcome<T> {
    if workers.is_null() {
        return Ok(question(&Workers::default())?);
    }
    // SAFETY: not null; the caller promises that it is valid for a read.
    let swept_workers { threads, watch, user } = unsafe { workers.read() };
    if threads > MOST_THREADS {
        let allowed = format!("up to {MOST_THREADS}, 0 for as many as the machine runs at once");
        return Err(Error::OutOfRange { field: "threads".into(), value: threads.to_string(), allowed }.into());
    }
    let workers = Workers::new(threads);
    match watch {
        None => Ok(question(&workers)?),
        Some(watch) => {
            // SAFETY: the caller promises that it may be called with its user.
            let goes_on = |done: f64| unsafe { watch(done, user) } == 0;
            Ok(question(&workers.watched(&goes_on))?)
        }
    }
}

/// Borrows a handle.
///
/// # Safety
/// `handle` is null or came from swept, and lives while the result is used.
pub(crate) unsafe fn borrowed<'a, T>(handle: *const T, name: &'static str) -> Outcome<&'a T> {
    // SAFETY: the caller promises that it came from swept and is alive where it is not null.
    unsafe { handle.as_ref() }.ok_or(Failure::Null(name))
}

/// Reads a text of so many bytes.
///
/// # Safety
/// `json` is null or valid for reads of `length` bytes while the result is used.
pub(crate) unsafe fn json_of<'a>(json: *const c_char, length: usize) -> Outcome<&'a str> {
    // SAFETY: passed on from the caller.
    let bytes = unsafe { slice(json.cast::<u8>(), length, "json")? };
    core::str::from_utf8(bytes).map_err(|_| Failure::NotUtf8("json"))
}

/// Hands a handle over to the caller.
pub(crate) fn give<T>(out: *mut *mut T, handle: T) -> Outcome {
    check_out(out)?;
    write(out, Box::into_raw(Box::new(handle)))
}

/// Frees a handle; null is fine.
///
/// # Safety
/// `handle` is null or came from `give` and was not freed yet.
pub(crate) unsafe fn free<T>(handle: *mut T) {
    if !handle.is_null() {
        // SAFETY: the caller promises that it came from `give`, which boxed it.
        drop(unsafe { Box::from_raw(handle) });
    }
}

/// Which way is better.
pub(crate) fn goal(maximise: i32) -> Outcome<Goal> {
    match maximise {
        0 => Ok(Goal::Minimise),
        1 => Ok(Goal::Maximise),
        other => Err(crate::clearance::not_one_of("maximise", other, "0 or 1")),
    }
}

/// The names with their terminating zeros.
fn zero_terminated(names: &[&str]) -> Vec<CString> {
    names.iter().map(|name| CString::new(*name).unwrap_or_default()).collect()
}

static OUTPUTS: LazyLock<Vec<CString>> = LazyLock::new(|| zero_terminated(&Output::ALL.map(Output::name)));
static FIGURES: LazyLock<Vec<CString>> = LazyLock::new(|| zero_terminated(&Figure::ALL.map(Figure::name)));

fn name_at(names: &[CString], index: usize) -> *const c_char {
    names.get(index).map_or(core::ptr::null(), |name| name.as_ptr())
}

/// The name of an output, static.
pub(crate) fn output_name(output: Output) -> *const c_char {
    let place = Output::ALL.iter().position(|o| *o == output);
    place.map_or(core::ptr::null(), |place| name_at(&OUTPUTS, place))
}

/// The name of a figure, static.
pub(crate) fn figure_name(figure: Figure) -> *const c_char {
    let place = Figure::ALL.iter().position(|f| *f == figure);
    place.map_or(core::ptr::null(), |place| name_at(&FIGURES, place))
}

/// The names of the outputs of a study, such as "displacement", one after another from 0 on; null after the last. Static. Values are in SI by what they are: a
/// volume m3, a length m, a speed of the piston m/s, an acceleration m/s2, a force N, an angle rad; a ratio has no unit.
#[unsafe(no_mangle)]
pub extern "C" fn swept_study_output_name(index: usize) -> *const c_char {
    name_at(&OUTPUTS, index)
}

/// The names of the figures of a design, such as "bore", one after another from 0 on; null after the last. Static. Values are in SI by what they are: a length m, a
/// volume m3, a speed of the crank rad/s, an angle rad, a mass kg; a number has no unit.
#[unsafe(no_mangle)]
pub extern "C" fn swept_study_figure_name(index: usize) -> *const c_char {
    name_at(&FIGURES, index)
}

/// A study from its text: JSON, `length` bytes of UTF-8, with `axes`, a list of objects, the last varying fastest: each has a `figure` and either `from`, `to` and
/// `count`, or `from`, `to` and `step`, or `values`; `fixed`, an object of figures; `limits`, an object of outputs, each with `lower`, `upper` or both. Every
/// value is a text with its unit: {"axes": [{"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 101}], "fixed": {"stroke": "86 mm"},
/// "limits": {"swept_volume": {"upper": "500 cm3"}}}. A text that is no such JSON is unreadable; a figure that a limited output needs must be there.
///
/// # Safety
/// `json` is valid for reads of `length` bytes, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_new(
    json: *const c_char,
    length: usize,
    out: *mut *mut swept_study,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let json = unsafe { json_of(json, length)? };
        give(out, swept_study { study: Study::parse(json)? })
    })
}

/// Part `part` of `parts`, counted from 0: a study that is asked about those rows only. Each row is in exactly one part, the parts are in their order and as even as can
/// be; row numbers stay those of the whole grid. So counts of parts add up, rows of parts follow one another, and the best of all are the best of the best.
///
/// # Safety
/// `study` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_partition(
    study: *const swept_study,
    part: u64,
    parts: u64,
    out: *mut *mut swept_study,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let study = unsafe { &borrowed(study, "study")?.study };
        give(out, swept_study { study: study.partition(part, parts)? })
    })
}

/// Frees a study; null is fine.
///
/// # Safety
/// `study` is null or came from swept and was not freed yet; nothing uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_free(study: *mut swept_study) {
    // SAFETY: passed on from the caller.
    unsafe { free(study) }
}

/// What stands in rows, in SI: the figure of that name where the study has it, fixed or on an axis, else the output. NaN where an output is no number, such as a
/// ratio without a volume above the piston. A row that the grid does not have is out of range; a figure that is missing is told.
///
/// # Safety
/// `study` is alive, `name` a zero-terminated text; `rows` is valid for reads of `count` rows and `out` for writes of as many values, or both null with a count of
/// zero; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_study_values(
    study: *const swept_study,
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
        let (study, name, rows) =
            unsafe { (&borrowed(study, "study")?.study, text(name, "name")?, slice(rows, count, "rows")?) };
        let named = study.named(name)?;
        let rows: Vec<u128> = rows.iter().map(|row| u128::from(*row)).collect();
        let values = study.values_of(&rows, named)?;
        // SAFETY: one for each row, and the caller promises as many places.
        unsafe { write_list(out, values.into_iter().map(|value| si(named.dimension(), value))) };
        Ok(())
    })
}
