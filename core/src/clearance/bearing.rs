//! Plain bearings: housing, two shells, journal.

use crate::error::{Result, finite, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::PI;

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

/// Wall of an eccentric shell at an angle from its crown: crown wall - offset x (1 - cos angle).
///
/// The bore of such a shell is struck about a centre that lies `offset` beyond that of its outside, so the wall thins from the crown
/// towards the parting faces. To first order in the offset; the next term is the offset squared over the diameter, a few nanometres.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an offset below zero, an angle beyond 90 deg either way, or a wall that the
/// offset eats up.
///
/// # Source
/// Geometry of two circles, to first order.
pub fn shell_wall(crown_wall: Length, offset: Length, angle: Angle) -> Result<Length> {
    let crown_wall = finite("wall at the crown", crown_wall)?;
    let offset = non_negative("offset", offset)?;
    let angle = within_a_half_shell(angle)?;
    let wall = crown_wall - offset * (1.0 - angle.si().cos());
    if wall.si() <= 0.0 {
        let allowed = format!("so small that some wall is left of {}", written(crown_wall));
        return Err(out_of_range("offset", offset, allowed));
    }
    Ok(wall)
}

/// The offset of an eccentric shell from its wall at the crown and at an angle: (crown wall - wall) / (1 - cos angle).
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an angle within a degree of the crown or beyond 90 deg either way.
///
/// # Source
/// [`shell_wall`], solved for the offset.
pub fn shell_offset(crown_wall: Length, wall: Length, angle: Angle) -> Result<Length> {
    let drop = finite("wall at the crown", crown_wall)? - finite("wall at the angle", wall)?;
    let angle = within_a_half_shell(angle)?;
    if angle.si().abs() < PI / 180.0 {
        return Err(out_of_range("angle", angle, "at least a degree from the crown"));
    }
    Ok(drop / (1.0 - angle.si().cos()))
}

fn within_a_half_shell(angle: Angle) -> Result<Angle> {
    let angle = finite("angle from the crown", angle)?;
    if angle.si().abs() > PI / 2.0 {
        return Err(out_of_range("angle from the crown", angle, "at most 90 deg either way"));
    }
    Ok(angle)
}

/// Interference on the diameter that the crush of a pair of shells gives: the sum of both crush heights over pi.
///
/// The crush height (overstand, nip) is what a half shell stands proud of its half of the housing, along the circumference, under the maker's
/// checking load. With the cap torqued, the surplus of both halves becomes a circumference too large for the housing.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] below zero.
///
/// # Source
/// Geometry of the circle.
pub fn crush_interference(upper_crush_height: Length, lower_crush_height: Length) -> Result<Length> {
    let upper = non_negative("crush height of the upper shell", upper_crush_height)?;
    let lower = non_negative("crush height of the lower shell", lower_crush_height)?;
    Ok((upper + lower) / PI)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(x: f64) -> Length {
        Length::from_si(x / 1e6)
    }

    fn deg(x: f64) -> Angle {
        Angle::from_si(x.to_radians())
    }

    /// The exact wall: distance from the bore's circle to the outside along the ray of the angle, seen from the outside's centre.
    #[test]
    fn the_wall_of_an_eccentric_shell_is_that_of_two_circles() {
        let (outside, crown, offset) = (29.5e-3_f64, 2.0e-3, 20e-6);
        // The bore's circle touches the crown wall: its centre lies towards the crown by -offset, its radius is outside - crown + offset.
        let bore = outside - crown + offset;
        for angle in [0.0_f64, 30.0, 60.0, 75.0, 90.0] {
            let (sin, cos) = angle.to_radians().sin_cos();
            let ray = -offset * cos + (bore * bore - offset * offset * sin * sin).sqrt();
            let wall = shell_wall(um(2000.0), um(20.0), deg(angle)).unwrap().si();
            assert!((wall - (outside - ray)).abs() < 10e-9, "{angle}");
            if angle > 0.0 {
                let back = shell_offset(um(2000.0), Length::from_si(wall), deg(angle)).unwrap();
                assert!((back - um(20.0)).si().abs() < 1e-12);
            }
        }
        assert!(shell_wall(um(2000.0), um(-1.0), deg(10.0)).is_err());
        assert!(shell_wall(um(2000.0), um(3000.0), deg(90.0)).is_err());
        assert!(shell_wall(um(2000.0), um(10.0), deg(91.0)).is_err());
        assert!(shell_offset(um(2000.0), um(1990.0), deg(0.0)).is_err());
    }

    #[test]
    fn crush_is_a_longer_circumference() {
        let found = crush_interference(um(40.0), um(50.0)).unwrap();
        let diameter = 59e-3;
        assert!((found.si() - ((PI * diameter + 90e-6) / PI - diameter)).abs() < 1e-15);
        assert!(crush_interference(um(-1.0), um(50.0)).is_err());
    }
}
