//! Whether the springs hold the valve train to the cam.
//!
//! A kinematic estimate: all parts are rigid and one mass at the valve.

use crate::status::{Outcome, answer_with, finite_results, get, q, swept_status};
use crate::valve_lift::swept_lift;
use crate::valve_spring::{swept_installed_spring, together};
use crate::valve_train::swept_valve_train;
use swept::units::Dimensioned;
use swept::valvetrain::SpringControl;
use swept::valvetrain::spring::SpringForces;

/// The springs of one valve, and the mass that they hold to its cam.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_spring_control {
    /// The springs.
    pub springs: *const swept_installed_spring,
    /// How many, at least one.
    pub count: usize,
    /// Effective mass at the valve, such as swept_train_effective_mass() gives, kg.
    pub effective_mass_kg: f64,
}

/// Forces at the valve at one angle and speed.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_spring_forces {
    /// What the springs push, N.
    pub available_n: f64,
    /// What it takes to keep the parts on the cam; zero where the cam itself pushes; N.
    pub needed_n: f64,
    /// What is left between cam and follower, brought to the valve; below zero they part; N.
    pub contact_n: f64,
    /// Available less needed, N.
    pub margin_n: f64,
}

/// The speed at which the valve leaves the cam.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_float {
    /// Speed of the crank, rad/s.
    pub crank_rad_s: f64,
    /// Where on the cam it happens first, from the nose, rad.
    pub angle_rad: f64,
    /// Spring force there, equal to the force needed, N.
    pub force_n: f64,
}

/// Where the springs have least left at a speed.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_spring_margin {
    /// Where on the cam, from the nose, rad.
    pub angle_rad: f64,
    /// The forces there.
    pub forces: swept_spring_forces,
}

impl swept_spring_control {
    /// Reads springs and mass.
    ///
    /// # Safety
    /// Its springs are null or valid for reads of their count.
    unsafe fn checked(&self) -> Outcome<SpringControl> {
        // SAFETY: passed on from the caller.
        let springs = unsafe { together(self.springs, self.count)? };
        Ok(SpringControl::new(springs, q("effective mass", self.effective_mass_kg)?)?)
    }
}

impl swept_spring_forces {
    fn of(found: &SpringForces) -> Outcome<Self> {
        let forces = [found.available, found.needed, found.contact, found.margin()];
        let [available_n, needed_n, contact_n, margin_n] = finite_results(forces.map(Dimensioned::si))?;
        Ok(Self { available_n, needed_n, contact_n, margin_n })
    }
}

/// Forces at a motion of the valve and a crank speed above zero. A lift beyond coil bind is out of range.
///
/// # Safety
/// `control` and `valve` are valid for a read, the springs for reads of their count, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_forces_at(
    control: *const swept_spring_control,
    valve: *const swept_lift,
    crank_rad_s: f64,
    out: *mut swept_spring_forces,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (control, valve) =
            unsafe { (get(control, "control")?.checked()?, get(valve, "valve")?.checked()?) };
        swept_spring_forces::of(&control.forces(valve, q("crank speed", crank_rad_s)?)?)
    })
}

/// The speed at which the springs no longer hold the valve to the cam: the least over a turn. A kinematic estimate: bending, surge, friction and gas forces,
/// which bring float on earlier or later, are left out. A motion beyond coil bind, and one without deceleration, are out of range.
///
/// # Safety
/// `control` and `train` are valid for a read, the springs for reads of their count, the train's curve alive, its rocker null or valid for a read, `out`
/// valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_float_speed(
    control: *const swept_spring_control,
    train: *const swept_valve_train,
    out: *mut swept_float,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (control, train) =
            unsafe { (get(control, "control")?.checked()?, get(train, "train")?.checked()?) };
        let found = control.float_speed(|angle| train.at(angle))?;
        let [crank_rad_s, angle_rad, force_n] =
            finite_results([found.crank.si(), found.angle.on_cam().si(), found.force.si()])?;
        Ok(swept_float { crank_rad_s, angle_rad, force_n })
    })
}

/// Where the springs have least left over a turn at a crank speed, with the valve seated too: spring force less force needed.
///
/// # Safety
/// As swept_float_speed().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_least_spring_margin(
    control: *const swept_spring_control,
    train: *const swept_valve_train,
    crank_rad_s: f64,
    out: *mut swept_spring_margin,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (control, train) =
            unsafe { (get(control, "control")?.checked()?, get(train, "train")?.checked()?) };
        let found = control.least_margin(|angle| train.at(angle), q("crank speed", crank_rad_s)?)?;
        let [angle_rad] = finite_results([found.angle.on_cam().si()])?;
        Ok(swept_spring_margin { angle_rad, forces: swept_spring_forces::of(&found.forces)? })
    })
}
