//! Whether the springs hold the valve train to the cam: force at hand, force needed, the speed where they meet.
//!
//! A kinematic estimate: all parts are rigid and one mass at the valve. Bending, surge of the springs, friction and gas forces, which
//! bring float on earlier or later, are left out.

use super::SpringSet;
use crate::error::{Result, finite_positive, out_of_range};
use crate::units::{AngularVelocity, Dimensioned, Force, Frequency, Mass};
use crate::valvetrain::scan::{checked, least};
use crate::valvetrain::{CamAngle, Lift};
use core::f64::consts::TAU;

/// Springs that hold an effective mass at the valve to its cam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringControl {
    springs: SpringSet,
    mass: Mass,
}

/// Forces at the valve at one angle and speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringForces {
    /// What the springs push.
    pub available: Force,
    /// What it takes to keep the parts on the cam; zero where the cam itself pushes.
    pub needed: Force,
    /// What is left between cam and follower, brought to the valve: spring force + mass x acceleration. Below zero they part.
    pub contact: Force,
}

impl SpringForces {
    /// Spring force less the force needed.
    pub fn margin(&self) -> Force {
        self.available - self.needed
    }
}

/// The speed at which the valve leaves the cam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatSpeed {
    /// Speed of the crank.
    pub crank: AngularVelocity,
    /// Where on the cam it happens first.
    pub angle: CamAngle,
    /// Spring force there, equal to the force needed.
    pub force: Force,
}

/// Where the springs have least left at a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastMargin {
    /// Where on the cam.
    pub angle: CamAngle,
    /// The forces there.
    pub forces: SpringForces,
}

impl SpringControl {
    /// Of springs and the effective mass at the valve, [`TrainMasses::effective`](super::TrainMasses::effective).
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a mass not above zero.
    pub fn new(springs: SpringSet, effective_mass: Mass) -> Result<Self> {
        Ok(Self { springs, mass: finite_positive("effective mass", effective_mass)? })
    }

    /// The springs.
    pub fn springs(&self) -> &SpringSet {
        &self.springs
    }

    /// The effective mass.
    pub fn mass(&self) -> Mass {
        self.mass
    }

    /// Forces at a motion of the valve and a crank speed: needed is -m a omega^2 where the acceleration a per radian squared of the
    /// cam is below zero, with omega the speed of the cam, half the crank's.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a speed not above zero; as [`SpringSet::load`].
    ///
    /// # Source
    /// Newton; Norton, Cam Design and Manufacturing Handbook, chapter on force-closed cam-follower dynamics (from memory).
    pub fn forces(&self, valve: Lift, crank: AngularVelocity) -> Result<SpringForces> {
        let cam = finite_positive("crank speed", crank)?.si() / 2.0;
        let available = self.springs.load(checked(valve)?.lift)?;
        let inertia = self.mass.si() * valve.acceleration.si() * cam * cam;
        Ok(SpringForces {
            available,
            needed: Force::from_si((-inertia).max(0.0)),
            contact: available + Force::from_si(inertia),
        })
    }

    /// The speed at which the springs no longer hold the valve to the cam: the least over a turn of omega = sqrt(F / (-m a)), as crank
    /// speed.
    ///
    /// The motion is that of the valve, such as [`Train::valve_with_lash`](crate::valvetrain::rocker::Train::valve_with_lash) of a curve.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a motion without negative acceleration; as [`SpringSet::load`];
    /// what the motion itself refuses.
    ///
    /// # Source
    /// As [`SpringControl::forces`]: margin zero.
    pub fn float_speed(&self, motion: impl Fn(CamAngle) -> Result<Lift>) -> Result<FloatSpeed> {
        let squared = |angle| {
            let valve = checked(motion(angle)?)?;
            let force = self.springs.load(valve.lift)?.si();
            let pull = -self.mass.si() * valve.acceleration.si();
            Ok(if pull > 0.0 { force / pull } else { f64::INFINITY })
        };
        let (angle, least) = least(squared)?;
        let valve = motion(angle)?;
        if least.is_infinite() {
            let allowed = "below zero somewhere: without it the valve cannot leave the cam";
            return Err(out_of_range("acceleration of the valve", valve.acceleration, allowed));
        }
        let crank = AngularVelocity::from_si(2.0 * least.sqrt());
        Ok(FloatSpeed { crank, angle, force: self.springs.load(valve.lift)? })
    }

    /// Where the springs have least left over a turn at a crank speed: spring force less force needed, with the valve seated too.
    ///
    /// # Errors
    /// As [`SpringControl::forces`]; what the motion itself refuses.
    pub fn least_margin(
        &self,
        motion: impl Fn(CamAngle) -> Result<Lift>,
        crank: AngularVelocity,
    ) -> Result<LeastMargin> {
        let (angle, _) = least(|angle| Ok(self.forces(motion(angle)?, crank)?.margin().si()))?;
        Ok(LeastMargin { angle, forces: self.forces(motion(angle)?, crank)? })
    }

    /// The frequency of the lobe's main event, lift and return taken as one oscillation: cam speed / duration, with the duration as an
    /// angle of the cam.
    ///
    /// A natural frequency of the train ([`train_frequency`](super::train_frequency)) should stand well above it.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a duration or speed not above zero, a duration beyond a turn.
    ///
    /// # Source
    /// Common practice, no source.
    pub fn event_frequency(duration: CamAngle, crank: AngularVelocity) -> Result<Frequency> {
        let duration = finite_positive("duration as an angle of the cam", duration.on_cam())?;
        if duration.si() > TAU {
            return Err(out_of_range("duration as an angle of the cam", duration, "at most 360 deg"));
        }
        Ok(Frequency::from_si(finite_positive("crank speed", crank)?.si() / 2.0 / duration.si()))
    }
}
