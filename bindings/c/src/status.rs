//! Statuses, the last error of a thread, and the guard around every call.

use core::cell::RefCell;
use core::ffi::{CStr, c_char};
use std::ffi::CString;
use std::panic::{AssertUnwindSafe, catch_unwind};
use swept::units::Dimensioned;
use swept::{Error, ErrorKind};

/// What a call came to. The values never change once released.
#[allow(non_camel_case_types)]
#[repr(i32)]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum swept_status {
    /// The outputs are written.
    SWEPT_OK = 0,
    /// A figure outside what the formula or the part allows.
    SWEPT_OUT_OF_RANGE = 1,
    /// NaN or infinity, given or resulting.
    SWEPT_NOT_FINITE = 2,
    /// A unit of another dimension than the one needed.
    SWEPT_WRONG_DIMENSION = 3,
    /// A number without its unit.
    SWEPT_MISSING_UNIT = 4,
    /// A unit that the table does not hold.
    SWEPT_UNKNOWN_UNIT = 5,
    /// A text that is no number with a unit, or no study.
    SWEPT_UNREADABLE = 6,
    /// A list of another length than is needed.
    SWEPT_WRONG_LENGTH = 7,
    /// No value in the range searched satisfies the equation.
    SWEPT_NO_SOLUTION = 8,
    /// A key the build document does not have.
    SWEPT_UNKNOWN_KEY = 9,
    /// A key the build document must have.
    SWEPT_MISSING_KEY = 10,
    /// A text that is not TOML, or a value of the wrong form.
    SWEPT_SYNTAX = 11,
    /// A long question that was told to stop.
    SWEPT_STOPPED = 12,
    /// A kind of error that this header does not know yet.
    SWEPT_OTHER = 99,
    /// A pointer that must not be null is.
    SWEPT_NULL_POINTER = 100,
    /// A text that is not UTF-8.
    SWEPT_NOT_UTF8 = 101,
    /// A defect of swept itself; please report it.
    SWEPT_INTERNAL = 102,
}

use swept_status::*;

/// Why a call failed.
pub(crate) enum Failure {
    Core(Error),
    Null(&'static str),
    NotUtf8(&'static str),
    /// A search that ends without what was asked for, in its own words.
    Nothing(String),
}

impl From<Error> for Failure {
    fn from(error: Error) -> Self {
        Self::Core(error)
    }
}

pub(crate) type Outcome<T = ()> = Result<T, Failure>;

/// The status of a kind of error.
pub fn status_of(kind: ErrorKind) -> swept_status {
    match kind {
        ErrorKind::OutOfRange => SWEPT_OUT_OF_RANGE,
        ErrorKind::NotFinite => SWEPT_NOT_FINITE,
        ErrorKind::WrongDimension => SWEPT_WRONG_DIMENSION,
        ErrorKind::MissingUnit => SWEPT_MISSING_UNIT,
        ErrorKind::UnknownUnit => SWEPT_UNKNOWN_UNIT,
        ErrorKind::Unreadable => SWEPT_UNREADABLE,
        ErrorKind::WrongLength => SWEPT_WRONG_LENGTH,
        ErrorKind::NoSolution => SWEPT_NO_SOLUTION,
        ErrorKind::UnknownKey => SWEPT_UNKNOWN_KEY,
        ErrorKind::MissingKey => SWEPT_MISSING_KEY,
        ErrorKind::Syntax => SWEPT_SYNTAX,
        ErrorKind::Stopped => SWEPT_STOPPED,
        // The enum is non-exhaustive; a test walks every kind and finds none here.
        _ => SWEPT_OTHER,
    }
}

#[derive(Default)]
struct LastError {
    message: CString,
    field: CString,
    line: i32,
}

thread_local! {
    static LAST: RefCell<LastError> = RefCell::default();
}

fn c_text(text: &str) -> CString {
    CString::new(text.replace('\0', "\u{fffd}")).unwrap_or_default()
}

fn remember(message: &str, field: &str, line: usize) {
    let last = LastError {
        message: c_text(message),
        field: c_text(field),
        line: i32::try_from(line).unwrap_or(i32::MAX),
    };
    // A thread that is ending has no last error any more: nothing to keep then.
    let _ = LAST.try_with(|cell| *cell.borrow_mut() = last);
}

/// Runs the body of a call: an error or a panic becomes a status and the thread's last error.
pub(crate) fn guard(body: impl FnOnce() -> Outcome) -> swept_status {
    match catch_unwind(AssertUnwindSafe(body)) {
        Ok(Ok(())) => SWEPT_OK,
        Ok(Err(Failure::Core(error))) => {
            remember(&error.to_string(), error.field().unwrap_or(""), error.line().unwrap_or(0));
            status_of(error.kind())
        }
        Ok(Err(Failure::Null(name))) => {
            remember(&format!("{name} is a null pointer"), name, 0);
            SWEPT_NULL_POINTER
        }
        Ok(Err(Failure::NotUtf8(name))) => {
            remember(&format!("{name} is not UTF-8"), name, 0);
            SWEPT_NOT_UTF8
        }
        Ok(Err(Failure::Nothing(why))) => {
            remember(&why, "", 0);
            SWEPT_NO_SOLUTION
        }
        Err(_) => {
            remember("a defect of swept itself; please report it", "", 0);
            SWEPT_INTERNAL
        }
    }
}

/// A finite quantity from its SI value.
pub(crate) fn q<Q: Dimensioned>(field: &str, si: f64) -> Outcome<Q> {
    Ok(swept::error::finite(field, Q::from_si(si))?)
}

/// A finite quantity above zero from its SI value: a size of a part.
pub(crate) fn positive<Q: Dimensioned>(field: &str, si: f64) -> Outcome<Q> {
    Ok(swept::error::finite_positive(field, Q::from_si(si))?)
}

/// Refuses a null output before anything is computed.
pub(crate) fn check_out<T>(out: *mut T) -> Outcome {
    if out.is_null() { Err(Failure::Null("out")) } else { Ok(()) }
}

/// Passes a finite result on.
pub(crate) fn finite_result(value: f64) -> Outcome<f64> {
    if value.is_finite() {
        return Ok(value);
    }
    Err(Error::NotFinite { field: "the result".into(), value: value.to_string() }.into())
}

/// Writes a result that was checked.
pub(crate) fn write<T>(out: *mut T, value: T) -> Outcome {
    check_out(out)?;
    // SAFETY: not null; the caller promises that `out` is valid for a write.
    unsafe { out.write(value) };
    Ok(())
}

/// Writes a finite result.
pub(crate) fn put(out: *mut f64, value: f64) -> Outcome {
    check_out(out)?;
    write(out, finite_result(value)?)
}

/// Writes a list, after every check.
///
/// # Safety
/// `out` is valid for as many writes as there are values.
pub(crate) unsafe fn write_list<T>(out: *mut T, values: impl Iterator<Item = T>) {
    for (i, value) in values.enumerate() {
        // SAFETY: passed on from the caller.
        unsafe { out.add(i).write(value) };
    }
}

/// A call with one result: refuses a null output, then writes what `f` makes.
pub(crate) fn answer(out: *mut f64, f: impl FnOnce() -> Outcome<f64>) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(out, f()?)
    })
}

/// A call with two results, written both or neither.
pub(crate) fn answer_two(
    first: *mut f64,
    second: *mut f64,
    f: impl FnOnce() -> Outcome<(f64, f64)>,
) -> swept_status {
    guard(|| {
        check_out(first)?;
        check_out(second)?;
        let (a, b) = f()?;
        let (a, b) = (finite_result(a)?, finite_result(b)?);
        write(first, a)?;
        write(second, b)
    })
}

/// A call with one struct as its result.
pub(crate) fn answer_with<T>(out: *mut T, f: impl FnOnce() -> Outcome<T>) -> swept_status {
    guard(|| {
        check_out(out)?;
        write(out, f()?)
    })
}

/// Passes finite results on.
pub(crate) fn finite_results<const N: usize>(values: [f64; N]) -> Outcome<[f64; N]> {
    for value in values {
        finite_result(value)?;
    }
    Ok(values)
}

/// Reads a struct behind a pointer.
///
/// # Safety
/// `p` is null or valid for a read.
pub(crate) unsafe fn get<T: Copy>(p: *const T, name: &'static str) -> Outcome<T> {
    if p.is_null() {
        return Err(Failure::Null(name));
    }
    // SAFETY: not null; the caller promises that it is valid for a read.
    Ok(unsafe { p.read() })
}

/// Reads an array; a null pointer is fine for an empty one.
///
/// # Safety
/// `p` is null or valid for reads of `len` values while the slice is used.
pub(crate) unsafe fn slice<'a, T>(p: *const T, len: usize, name: &'static str) -> Outcome<&'a [T]> {
    if len == 0 {
        return Ok(&[]);
    }
    if p.is_null() {
        return Err(Failure::Null(name));
    }
    // No array is larger than this; a negative number turned into a size is.
    if len > isize::MAX as usize / size_of::<T>().max(1) {
        let expected = "at most what the memory can hold".into();
        return Err(Error::WrongLength { field: name.into(), found: len, expected }.into());
    }
    // SAFETY: not null, not too long; the caller promises `len` valid values.
    Ok(unsafe { core::slice::from_raw_parts(p, len) })
}

/// The entry of an index.
pub(crate) fn entry<'a, T>(list: &'a [T], index: usize, what: &str) -> Outcome<&'a T> {
    list.get(index).ok_or_else(|| {
        let allowed = format!("below {}, the number of {what}", list.len());
        Error::OutOfRange { field: "index".into(), value: index.to_string(), allowed }.into()
    })
}

/// Reads a zero-terminated text.
///
/// # Safety
/// `p` is null or a zero-terminated text that lives while the result is used.
pub(crate) unsafe fn text<'a>(p: *const c_char, name: &'static str) -> Outcome<&'a str> {
    if p.is_null() {
        return Err(Failure::Null(name));
    }
    // SAFETY: not null; the caller promises the terminating zero.
    unsafe { CStr::from_ptr(p) }.to_str().map_err(|_| Failure::NotUtf8(name))
}

/// What was wrong with the last failing call of this thread; empty when none failed. Valid until the next failure.
#[unsafe(no_mangle)]
pub extern "C" fn swept_last_error_message() -> *const c_char {
    LAST.try_with(|cell| cell.borrow().message.as_ptr()).unwrap_or(c"".as_ptr())
}

/// The argument or document entry that the last failing call of this thread named; empty when none.
#[unsafe(no_mangle)]
pub extern "C" fn swept_last_error_field() -> *const c_char {
    LAST.try_with(|cell| cell.borrow().field.as_ptr()).unwrap_or(c"".as_ptr())
}

/// The line of the document that the last failing call of this thread named, from 1; 0 when none.
#[unsafe(no_mangle)]
pub extern "C" fn swept_last_error_line() -> i32 {
    LAST.try_with(|cell| cell.borrow().line).unwrap_or(0)
}

/// The name of a status, such as "SWEPT_OUT_OF_RANGE"; "SWEPT_OTHER" for a number that is none. Static.
#[unsafe(no_mangle)]
pub extern "C" fn swept_status_name(status: i32) -> *const c_char {
    name_of(status).as_ptr()
}

/// Takes a number, not the enum: a caller may pass any.
fn name_of(status: i32) -> &'static CStr {
    match status {
        0 => c"SWEPT_OK",
        1 => c"SWEPT_OUT_OF_RANGE",
        2 => c"SWEPT_NOT_FINITE",
        3 => c"SWEPT_WRONG_DIMENSION",
        4 => c"SWEPT_MISSING_UNIT",
        5 => c"SWEPT_UNKNOWN_UNIT",
        6 => c"SWEPT_UNREADABLE",
        7 => c"SWEPT_WRONG_LENGTH",
        8 => c"SWEPT_NO_SOLUTION",
        9 => c"SWEPT_UNKNOWN_KEY",
        10 => c"SWEPT_MISSING_KEY",
        11 => c"SWEPT_SYNTAX",
        12 => c"SWEPT_STOPPED",
        100 => c"SWEPT_NULL_POINTER",
        101 => c"SWEPT_NOT_UTF8",
        102 => c"SWEPT_INTERNAL",
        _ => c"SWEPT_OTHER",
    }
}

/// The version of this ABI: major x 1000000 + minor x 1000 + patch of the library.
#[unsafe(no_mangle)]
pub extern "C" fn swept_abi_version() -> u32 {
    let part = |text: &str| text.parse::<u32>().unwrap_or(0);
    let (major, minor) = (part(env!("CARGO_PKG_VERSION_MAJOR")), part(env!("CARGO_PKG_VERSION_MINOR")));
    major * 1_000_000 + minor * 1_000 + part(env!("CARGO_PKG_VERSION_PATCH"))
}

/// The version of the library, such as "0.1.0"; static.
#[unsafe(no_mangle)]
pub extern "C" fn swept_version() -> *const c_char {
    concat!(env!("CARGO_PKG_VERSION"), "\0").as_ptr().cast()
}

#[cfg(test)]
#[allow(clippy::panic, clippy::unwrap_used)]
mod tests {
    use super::*;

    fn message() -> String {
        // SAFETY: a zero-terminated text, valid until this thread's next failure.
        unsafe { CStr::from_ptr(swept_last_error_message()) }.to_str().unwrap().to_owned()
    }

    #[test]
    fn a_panic_becomes_a_status_and_the_next_call_works() {
        assert_eq!(guard(|| panic!("on purpose, by the test")), SWEPT_INTERNAL);
        assert!(message().contains("defect"));
        assert_eq!(guard(|| Ok(())), SWEPT_OK);
    }

    #[test]
    fn the_last_error_is_of_its_thread_and_stays_until_the_next() {
        assert_eq!(guard(|| Err(Failure::Null("here"))), SWEPT_NULL_POINTER);
        let there = std::thread::spawn(|| {
            let before = message();
            assert_eq!(guard(|| Err(Failure::NotUtf8("there"))), SWEPT_NOT_UTF8);
            (before, message())
        });
        assert_eq!(there.join().unwrap(), (String::new(), "there is not UTF-8".into()));
        assert_eq!(guard(|| Ok(())), SWEPT_OK);
        assert_eq!(message(), "here is a null pointer");
    }

    #[test]
    fn a_size_that_no_array_has_is_refused_unread() {
        let one = 1.0;
        // SAFETY: refused before anything is read.
        let refused = guard(|| unsafe { slice(&raw const one, usize::MAX, "list") }.map(|_: &[f64]| ()));
        assert_eq!(refused, SWEPT_WRONG_LENGTH);
    }
}
