//! Angles of the cam, kept apart from angles of the crank.

use crate::units::{Angle, Dimensioned};

/// An angle of the cam, from the nose of the lobe, positive in running direction.
///
/// The cam of a four-stroke turns once for two turns of the crank. The type keeps cam degrees out of every formula that wants
/// crank degrees, which are plain [`Angle`]s.
///
/// # Example
/// ```
/// use swept::units::{Angle, Dimensioned};
/// use swept::valvetrain::CamAngle;
///
/// let quarter = CamAngle::of_cam(Angle::from_si(core::f64::consts::FRAC_PI_2));
/// assert_eq!(quarter.on_crank().si(), core::f64::consts::PI);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct CamAngle(Angle);

impl CamAngle {
    /// The angle that the cam itself turns through.
    pub fn of_cam(angle: Angle) -> Self {
        Self(angle)
    }

    /// The angle of the cam while the crank turns through `angle`: half of it.
    pub fn of_crank(angle: Angle) -> Self {
        Self(angle / 2.0)
    }

    /// The angle that the cam turns through.
    pub fn on_cam(self) -> Angle {
        self.0
    }

    /// The angle that the crank turns through meanwhile: twice the cam's.
    pub fn on_crank(self) -> Angle {
        self.0 * 2.0
    }

    /// The same place of the cam within half a turn of the nose, -180 to 180 degrees.
    pub fn wrapped(self) -> Self {
        let turn = 2.0 * core::f64::consts::PI;
        let angle = self.0.si();
        Self(Angle::from_si(angle - turn * (angle / turn).round()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cam_turns_half_as_far_and_repeats_after_a_turn() {
        let half_turn = Angle::from_si(core::f64::consts::PI);
        let cam = CamAngle::of_crank(half_turn);
        assert_eq!(cam.on_cam(), half_turn / 2.0);
        assert_eq!(cam.on_crank(), half_turn);
        let once_more = CamAngle::of_cam(cam.on_cam() + half_turn * 2.0).wrapped();
        assert!((once_more.on_cam() - cam.on_cam()).si().abs() < 1e-15);
    }
}
