//! Plain bearings: housing, two shells, journal.

use crate::units::Length;

/// Bearing clearance on the diameter: housing bore - upper shell wall - lower shell wall - journal.
///
/// Positive is a gap; negative is interference, which seizes. The walls are read at the crown of each shell, the housing bore
/// with the cap torqued.
///
/// # Source
/// Geometry; common practice, no source.
///
/// # Example
/// ```
/// use swept::{clearance::bearing_clearance, units::{parse, Dimensioned}};
/// let c = bearing_clearance(parse("59.000 mm")?, parse("2.000 mm")?, parse("2.000 mm")?, parse("54.950 mm")?);
/// assert!((c.si() - 0.05e-3).abs() < 1e-12);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn bearing_clearance(
    housing_bore: Length,
    upper_shell: Length,
    lower_shell: Length,
    journal: Length,
) -> Length {
    housing_bore - (upper_shell + lower_shell) - journal
}
