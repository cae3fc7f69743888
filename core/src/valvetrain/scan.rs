//! The least of a figure over a turn of the cam: at fixed steps, then refined about the least of them.

use super::{CamAngle, Lift};
use crate::error::{Error, Result, finite};
use crate::units::{Angle, Dimensioned};
use core::f64::consts::TAU;

/// Steps in a turn of the cam: every half degree.
const STEPS: i32 = 720;

/// Golden sections of the two steps about the least one, to some millionths of a second of arc.
const REFINEMENTS: u32 = 40;

/// The golden section, (sqrt(5) - 1) / 2.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// The first angle from -180 to 180 degrees where the figure is least, and the figure. Infinity passes for "of no concern here".
pub(super) fn least(figure: impl Fn(CamAngle) -> Result<f64>) -> Result<(CamAngle, f64)> {
    let step = TAU / f64::from(STEPS);
    let at = |rad: f64| {
        let value = figure(cam(rad))?;
        if value.is_nan() {
            return Err(Error::NotFinite {
                field: "figure of the lift curve".into(),
                value: value.to_string(),
            });
        }
        Ok((rad, value))
    };
    let mut best = at(-TAU / 2.0)?;
    for i in 1..=STEPS {
        best = lesser(best, at(step * f64::from(i - STEPS / 2))?);
    }
    let (mut low, mut high) = (best.0 - step, best.0 + step);
    for _ in 0..REFINEMENTS {
        let reach = (high - low) * GOLDEN;
        let (left, right) = (at(high - reach)?, at(low + reach)?);
        best = lesser(lesser(best, left), right);
        if left.1 <= right.1 { high = right.0 } else { low = left.0 }
    }
    Ok((cam(best.0).wrapped(), best.1))
}

/// As [`least`], for the greatest.
pub(super) fn greatest(figure: impl Fn(CamAngle) -> Result<f64>) -> Result<(CamAngle, f64)> {
    let (angle, value) = least(|angle| Ok(-figure(angle)?))?;
    Ok((angle, -value))
}

/// Passes a lift on whose lift, velocity and acceleration are finite.
pub(super) fn checked(lift: Lift) -> Result<Lift> {
    finite("lift", lift.lift)?;
    finite("velocity per radian of the cam", lift.velocity)?;
    finite("acceleration per radian squared of the cam", lift.acceleration)?;
    Ok(lift)
}

/// Where on the cam, for a message.
pub(super) fn place(angle: CamAngle) -> String {
    format!("at {:.3} deg of the cam from the nose", angle.on_cam().si().to_degrees())
}

fn cam(rad: f64) -> CamAngle {
    CamAngle::of_cam(Angle::from_si(rad))
}

fn lesser(old: (f64, f64), new: (f64, f64)) -> (f64, f64) {
    if new.1 < old.1 { new } else { old }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn finds_a_least_and_a_greatest_between_the_steps(place in -3.1..3.1f64) {
            let (angle, value) = least(|a| Ok((a.on_cam().si() - place).powi(2))).unwrap();
            prop_assert!((angle.on_cam().si() - place).abs() < 1e-7 && value < 1e-14);
            let (angle, value) = greatest(|a| Ok((a.on_cam().si() - place).cos())).unwrap();
            prop_assert!((angle.on_cam().si() - place).abs() < 1e-7 && (value - 1.0).abs() < 1e-14);
        }

        #[test]
        fn finds_the_edge_of_a_jump(edge in -3.0..3.0f64) {
            // Falls towards the edge, then is of no concern.
            let falling = |a: CamAngle| Ok(if a.on_cam().si() < edge { -a.on_cam().si() } else { f64::INFINITY });
            let (angle, _) = least(falling).unwrap();
            prop_assert!((angle.on_cam().si() - edge).abs() < 1e-8);
        }
    }

    #[test]
    fn not_a_number_is_refused() {
        assert!(least(|a| Ok(if a.on_cam().si() > 1.0 { f64::NAN } else { 0.0 })).is_err());
        let bad = Lift { acceleration: crate::units::Length::from_si(f64::NAN), ..Lift::default() };
        assert!(checked(bad).is_err());
    }
}
