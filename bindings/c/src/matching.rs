//! Which part goes to which place.

use crate::status::{Failure, Outcome, check_out, guard, slice, swept_status};
use swept::Error;
use swept::clearance::matching::{DEFAULT_EFFORT, MatchedFigure, match_parts};

/// A figure to be evened out over the places, in any unit.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_matched_figure {
    /// The types of parts that it depends on, from 0.
    pub depends: *const usize,
    /// How many these are, at most 3.
    pub depends_count: usize,
    /// A value for each place and each part of those types, in row order: the place first, then the types as `depends` lists them; for n
    /// places and k types n to the power k + 1 values.
    pub values: *const f64,
    /// How many values there are.
    pub values_count: usize,
    /// The least value allowed; NaN for none.
    pub lower: f64,
    /// The greatest value allowed; NaN for none.
    pub upper: f64,
}

/// Reads a figure.
///
/// # Safety
/// Its pointers are null or valid for reads of their counts.
unsafe fn figure(given: &swept_matched_figure, places: usize, types: usize) -> Outcome<MatchedFigure> {
    // SAFETY: passed on from the caller.
    let (depends, values) = unsafe {
        (
            slice(given.depends, given.depends_count, "depends")?,
            slice(given.values, given.values_count, "values")?,
        )
    };
    let needed = (0..=depends.len()).try_fold(1usize, |n, _| n.checked_mul(places));
    if needed != Some(values.len()) {
        let expected = needed.map_or("fewer places".into(), |n| n.to_string());
        return Err(Error::WrongLength { field: "values".into(), found: values.len(), expected }.into());
    }
    let limit = |x: f64| (!x.is_nan()).then_some(x);
    let at = |place: usize, parts: &[usize]| {
        let index =
            depends.iter().fold(place, |index, t| index * places + parts.get(*t).copied().unwrap_or(0));
        Ok(values.get(index).copied().unwrap_or(f64::NAN))
    };
    let limits = (limit(given.lower), limit(given.upper));
    MatchedFigure::new(places, types, depends, limits, at).map_err(Failure::from)
}

/// Matches parts to places: `types` types of parts, `places` of each, every part used once, so that the limits hold everywhere and the spread
/// (greatest value less least) of the first figure is the least, then that of the second, and so on. `effort` is how many nodes the search may
/// take, 0 for the default. Written are the part of each type at each place, from 0, in row order (`places` times `types`); of each figure the spread and
/// a proved lower bound of it, equal where the spread is proved the least; then 1 if all are proved, else 0. At most 16 places and 4 types.
///
/// # Safety
/// `figures` is valid for reads of `count` figures, `out_parts` for writes of places times types, `out_spreads` and `out_bounds` of `count`
/// values, `out_proved` of one; null is refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // four sizes and four outputs: a struct would only hide them
pub unsafe extern "C" fn swept_match_parts(
    places: usize,
    types: usize,
    figures: *const swept_matched_figure,
    count: usize,
    effort: u64,
    out_parts: *mut usize,
    out_spreads: *mut f64,
    out_bounds: *mut f64,
    out_proved: *mut i32,
) -> swept_status {
    guard(|| {
        check_out(out_parts)?;
        [out_spreads, out_bounds].into_iter().try_for_each(check_out)?;
        check_out(out_proved)?;
        // SAFETY: passed on from the caller.
        let given = unsafe { slice(figures, count, "figures")? };
        // SAFETY: as above, for what each figure points to.
        let read = given.iter().map(|f| unsafe { figure(f, places, types) });
        let figures = read.collect::<Outcome<Vec<MatchedFigure>>>()?;
        let effort = if effort == 0 { DEFAULT_EFFORT } else { effort };
        let found = match_parts(places, types, &figures, effort)?;
        // SAFETY: the caller promises as many places as are written.
        unsafe {
            for (i, part) in found.assignment.iter().flatten().enumerate() {
                out_parts.add(i).write(*part);
            }
            for (i, (spread, bound)) in found.spreads.iter().zip(&found.bounds).enumerate() {
                out_spreads.add(i).write(*spread);
                out_bounds.add(i).write(*bound);
            }
            out_proved.write(i32::from(found.proved));
        }
        Ok(())
    })
}
