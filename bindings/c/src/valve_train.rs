//! From lobe to valve: the train, its motion, its growths.

use crate::status::{Outcome, answer, answer_with, get, q, swept_status};
use crate::valve_lift::{borrowed, cam, swept_lift, swept_lift_curve};
use crate::valve_rocker::{swept_rocker, swept_train_derivatives};
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::pocket::ValveMotion;
use swept::valvetrain::{CamAngle, Lift, LiftCurve, Train, TrainGrowths, hot_lash};

/// From the lifter to the valve: one ratio at every lift, or a rocker of real geometry.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_train {
    /// Ratio of valve to lifter, above zero; 1 where the lifter moves the valve itself; does not count over a rocker.
    pub ratio: f64,
    /// The rocker, or null for the ratio.
    pub rocker: *const swept_rocker,
}

/// A lobe with what carries its lift to the valve.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_train {
    /// The lift of the lobe.
    pub curve: *const swept_lift_curve,
    /// From the lifter to the valve.
    pub train: swept_train,
    /// Lash at the valve, m.
    pub lash_m: f64,
}

/// The motion of one valve over the crank angle.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_motion {
    /// The lobe with what carries its lift to the valve.
    pub train: swept_valve_train,
    /// Crank angle of the nose from overlap top dead centre, rad.
    pub centreline_rad: f64,
}

/// How much the parts of a valve train grow from cold to hot; below zero where one shrinks.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_train_growths {
    /// Block, gasket and head, from the cam to the rocker's pivot: opens the lash by the ratio, m.
    pub engine_m: f64,
    /// Lifter and pushrod together: closes the lash by the ratio, m.
    pub pushrod_m: f64,
    /// Head, from the valve's seat to the rocker's pivot: opens the lash, m.
    pub head_m: f64,
    /// Valve, from its seat to the stem tip: closes the lash, m.
    pub valve_m: f64,
}

/// A valve train that was read.
pub(crate) struct Read<'a> {
    curve: &'a LiftCurve,
    train: Train,
    lash: Length,
}

impl swept_train {
    /// Reads a train.
    ///
    /// # Safety
    /// Its rocker is null or valid for a read.
    pub(crate) unsafe fn checked(&self) -> Outcome<Train> {
        if self.rocker.is_null() {
            return Ok(Train::ratio(q("rocker ratio", self.ratio)?)?);
        }
        // SAFETY: passed on from the caller.
        Ok(Train::over(unsafe { get(self.rocker, "rocker")? }.checked()?))
    }
}

impl swept_valve_train {
    /// Reads a valve train; the whole lift of its lobe must be one that the train can follow.
    ///
    /// # Safety
    /// Its curve is null or alive while the result is used, its rocker null or valid for a read.
    pub(crate) unsafe fn checked<'a>(&self) -> Outcome<Read<'a>> {
        // SAFETY: passed on from the caller.
        let (curve, train) = unsafe { (&borrowed(self.curve)?.curve, self.train.checked()?) };
        let read = Read { curve, train, lash: q("lash", self.lash_m)? };
        read.at(CamAngle::of_cam(Angle::from_si(0.0)))?;
        Ok(read)
    }
}

impl Read<'_> {
    /// The motion of the valve at a cam angle from the nose.
    pub(crate) fn at(&self, angle: CamAngle) -> swept::Result<Lift> {
        self.train.valve_with_lash(self.curve.at(angle), self.lash)
    }

    /// The lift of the valve over the crank angle, with the nose at a centreline; not a number, which is refused, where the train cannot follow.
    pub(crate) fn about(&self, centreline: Angle) -> impl Fn(Angle) -> Length {
        move |crank| {
            let valve = self.at(CamAngle::of_crank(crank - centreline));
            valve.map_or(Length::from_si(f64::NAN), |valve| valve.lift)
        }
    }
}

impl swept_valve_motion {
    /// Reads the train.
    ///
    /// # Safety
    /// As [`swept_valve_train::checked`].
    pub(crate) unsafe fn read<'a>(&self) -> Outcome<Read<'a>> {
        // SAFETY: passed on from the caller.
        unsafe { self.train.checked() }
    }

    /// The motion of a train that was read.
    pub(crate) fn of<'a>(
        &self,
        read: &'a Read<'_>,
    ) -> Outcome<ValveMotion<impl Fn(Angle) -> Length + use<'a>>> {
        let centreline: Angle = q("centreline", self.centreline_rad)?;
        Ok(ValveMotion::new(read.about(centreline), centreline)?)
    }
}

/// Lift of the valve, m, at a lift of the lifter, without lash. A lift below zero, or one that the rocker cannot follow, is out of range.
///
/// # Safety
/// `train` is valid for a read, its rocker null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_valve_lift(
    train: *const swept_train,
    lifter_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let train = unsafe { get(train, "train")?.checked()? };
        Ok(train.valve_lift(q("lift of the lifter", lifter_m)?)?.si())
    })
}

/// Lift of the lifter, m, at a lift of the valve, without lash; at the lash, where the valve begins to open.
///
/// # Safety
/// As swept_train_valve_lift().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_lifter_lift(
    train: *const swept_train,
    valve_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let train = unsafe { get(train, "train")?.checked()? };
        Ok(train.lifter_lift(q("lift of the valve", valve_m)?)?.si())
    })
}

/// The ratio at a lift of the lifter, and the next two derivatives of the valve's lift by the lifter's.
///
/// # Safety
/// As swept_train_valve_lift().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_ratio_at(
    train: *const swept_train,
    lifter_m: f64,
    out: *mut swept_train_derivatives,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let train = unsafe { get(train, "train")?.checked()? };
        swept_train_derivatives::of(&train.derivatives(q("lift of the lifter", lifter_m)?)?)
    })
}

/// The motion of the valve from that of the lifter, with a lash at the valve: the lift less the lash, nothing until the lash is taken up. While the valve is
/// open the derivatives are those without lash.
///
/// # Safety
/// `train` and `lifter` are valid for a read, the train's rocker null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_valve_with_lash(
    train: *const swept_train,
    lifter: *const swept_lift,
    lash_m: f64,
    out: *mut swept_lift,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (train, lifter) = unsafe { (get(train, "train")?.checked()?, get(lifter, "lifter")?.checked()?) };
        swept_lift::of(&train.valve_with_lash(lifter, q("lash", lash_m)?)?)
    })
}

/// The motion of the valve at a cam angle from the nose, derivatives by the cam angle.
///
/// # Safety
/// `train` is valid for a read, its curve alive, its rocker null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_train_at(
    train: *const swept_valve_train,
    angle_rad: f64,
    out: *mut swept_lift,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let train = unsafe { get(train, "train")?.checked()? };
        swept_lift::of(&train.at(cam("cam angle", angle_rad)?)?)
    })
}

/// The lift of the valve, m, at a crank angle from overlap top dead centre.
///
/// # Safety
/// `motion` is valid for a read, its curve alive, its rocker null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_motion_at(
    motion: *const swept_valve_motion,
    crank_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (motion, train) = unsafe {
            let motion = get(motion, "motion")?;
            (motion, motion.read()?)
        };
        Ok(motion.of(&train)?.at(q("crank angle", crank_rad)?)?.si())
    })
}

/// Lash at the valve when hot, m: cold lash + ratio (engine - pushrod) + head - valve, with the ratio of the rocker on the base circle. With the lifter on
/// the valve itself the ratio is 1, and the pivot is the cam's own axis. Below zero the valve is held off its seat by so much.
///
/// # Safety
/// `growths` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_hot_lash(
    cold_m: f64,
    ratio: f64,
    growths: *const swept_train_growths,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let given = unsafe { get(growths, "growths")? };
        let length = Length::from_si;
        let (engine, pushrod) = (length(given.engine_m), length(given.pushrod_m));
        let growths =
            TrainGrowths { engine, pushrod, head: length(given.head_m), valve: length(given.valve_m) };
        Ok(hot_lash(q("cold lash", cold_m)?, q("rocker ratio", ratio)?, growths)?.si())
    })
}
