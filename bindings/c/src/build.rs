//! Build documents: text in, sheet out as JSON.

use crate::clearance::not_one_of;
use crate::status::{Failure, Outcome, check_out, guard, slice, swept_status, text};
use core::ffi::c_char;
use std::ffi::CString;
use swept::build::Build;
use swept::metrology::Distribution;

/// Reads a document of `length` bytes.
///
/// # Safety
/// `document` is null or valid for reads of `length` bytes.
unsafe fn read(document: *const c_char, length: usize) -> Outcome<Build> {
    // SAFETY: passed on from the caller.
    let bytes = unsafe { slice(document.cast::<u8>(), length, "document")? };
    let document = core::str::from_utf8(bytes).map_err(|_| Failure::NotUtf8("document"))?;
    Ok(Build::parse(document)?)
}

/// Hands a text over to the caller.
fn give(out: *mut *mut c_char, text: String) -> Outcome {
    // JSON escapes the zero byte, so the text holds none.
    let text = CString::new(text).map_err(|_| Failure::NotUtf8("result"))?;
    // SAFETY: checked not to be null; the caller promises that it is valid for a write.
    unsafe { out.write(text.into_raw()) };
    Ok(())
}

/// Checks a build document (TOML, `length` bytes of UTF-8).
///
/// # Safety
/// `document` is valid for reads of `length` bytes; null is refused, save for an empty one.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_build_check(document: *const c_char, length: usize) -> swept_status {
    // SAFETY: passed on from the caller.
    guard(|| unsafe { read(document, length) }.map(|_| ()))
}

/// A build document (TOML, `length` bytes of UTF-8) to its sheet as JSON; free it with swept_string_free.
///
/// # Safety
/// `document` is valid for reads of `length` bytes, `out_json` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_build_sheet_json(
    document: *const c_char,
    length: usize,
    out_json: *mut *mut c_char,
) -> swept_status {
    guard(|| {
        check_out(out_json)?;
        // SAFETY: passed on from the caller.
        let build = unsafe { read(document, length)? };
        give(out_json, build.sheet()?.to_json())
    })
}

/// One figure of a build document over the drawing tolerances of its readings, as JSON: worst case, root of the sum of squares, what sampling
/// finds, and the contributors. `what` is the figure by its name in documents, `place` counts from 1 over its places, `trials` are 100 to 100
/// million, `rectangular` is 0 for parts that are normally distributed over their tolerance zones, three standard deviations to the ends, 1 for a
/// rectangular distribution. Free the text with swept_string_free.
///
/// # Safety
/// `document` is valid for reads of `length` bytes, `what` is a text that ends with a zero byte, `out_json` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_build_tolerance_stack_json(
    document: *const c_char,
    length: usize,
    what: *const c_char,
    place: usize,
    trials: usize,
    rectangular: i32,
    out_json: *mut *mut c_char,
) -> swept_status {
    guard(|| {
        check_out(out_json)?;
        let distribution = match rectangular {
            0 => Distribution::Normal,
            1 => Distribution::Rectangular,
            other => return Err(not_one_of("rectangular", other, "0 or 1")),
        };
        // SAFETY: passed on from the caller.
        let (build, what) = unsafe { (read(document, length)?, text(what, "what")?) };
        give(out_json, build.tolerance_stack(what, place, trials, distribution)?.to_json())
    })
}

/// The JSON Schema of build documents; free it with swept_string_free.
///
/// # Safety
/// `out_json` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_build_schema_json(out_json: *mut *mut c_char) -> swept_status {
    guard(|| {
        check_out(out_json)?;
        give(out_json, Build::schema_json())
    })
}

/// Frees a text that swept allocated; null is fine.
///
/// # Safety
/// `text` is null or came from swept and was not freed yet.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_string_free(text: *mut c_char) {
    if !text.is_null() {
        // SAFETY: the caller promises that it came from `give`.
        drop(unsafe { CString::from_raw(text) });
    }
}
