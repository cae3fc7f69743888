//! Shaking forces and moments, by orders and exact in time.

use crate::cylinder::swept_cylinder;
use crate::status::{
    Outcome, answer, answer_two, check_out, finite_result, get, guard, q, slice, swept_status, write,
    write_list,
};
use swept::balance::shaking::{
    Harmonic, RotatingMass, ShakingCylinder, ShakingEngine, acceleration_harmonics,
};
use swept::balance::unbalance::UnbalanceVector;
use swept::balance::{force_of, moment_of};
use swept::geometry::Station;
use swept::units::{Angle, Dimensioned, Mass, Unbalance};

/// One cylinder that shakes.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_shaking_cylinder {
    /// Bore diameter, m.
    pub bore_m: f64,
    /// Stroke, twice the crank radius, m.
    pub stroke_m: f64,
    /// Rod length, centre to centre, m.
    pub rod_length_m: f64,
    /// Pin offset, positive towards the major thrust side, m.
    pub pin_offset_m: f64,
    /// Its bank, rad.
    pub bank_angle_rad: f64,
    /// Where its throw stands with the crank at zero, counted as the bank angle, rad.
    pub throw_angle_rad: f64,
    /// Along the crank axis, m.
    pub position_m: f64,
    /// What goes up and down: piston, rings, pin, locks, small end, kg.
    pub reciprocating_kg: f64,
}

/// An unbalance that turns with the crank or, on a balance shaft, at a multiple of its speed.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_rotating_mass {
    /// Mass times radius, kg m.
    pub unbalance_kg_m: f64,
    /// Where it is heavy with the crank at zero, rad.
    pub angle_rad: f64,
    /// Along the crank axis, m.
    pub position_m: f64,
    /// Turns for each turn of the crank, 1 to 6 either way: 1 on the crank, 2 on a shaft at twice the speed, negative against the crank.
    pub turns: i32,
}

/// One order of a force or a moment: a vector that turns with the crank and one that turns against it, at the order times its speed. Amounts
/// are kg m of a force and kg m2 of a moment: times the square of the crank's speed they are N and N m.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_harmonic {
    /// Amount of what turns with the crank.
    pub forward_amount: f64,
    /// Its angle with the crank at zero, rad.
    pub forward_angle_rad: f64,
    /// Amount of what turns against the crank.
    pub backward_amount: f64,
    /// Its angle with the crank at zero, rad.
    pub backward_angle_rad: f64,
    /// The greatest amount over a turn: the long half axis of the ellipse.
    pub greatest_amount: f64,
    /// The least amount over a turn: the short half axis of the ellipse.
    pub least_amount: f64,
    /// The direction of the long half axis, from 0 to below pi, rad; NaN for a circle, which has none.
    pub greatest_direction_rad: f64,
}

impl swept_shaking_cylinder {
    fn checked(&self) -> Outcome<ShakingCylinder> {
        let slider = swept_cylinder {
            bore_m: self.bore_m,
            stroke_m: self.stroke_m,
            rod_length_m: self.rod_length_m,
            pin_offset_m: self.pin_offset_m,
        };
        let station = Station {
            bank_angle: q("bank angle", self.bank_angle_rad)?,
            throw_angle: q("throw angle", self.throw_angle_rad)?,
        };
        Ok(ShakingCylinder {
            cylinder: slider.checked()?,
            station,
            position: q("position", self.position_m)?,
            reciprocating: Mass::from_si(self.reciprocating_kg),
        })
    }
}

impl swept_rotating_mass {
    fn checked(&self) -> Outcome<RotatingMass> {
        let (angle, position) = (q("angle", self.angle_rad)?, q("position", self.position_m)?);
        Ok(RotatingMass::new(Unbalance::from_si(self.unbalance_kg_m), angle, position, self.turns)?)
    }

    fn of(mass: &RotatingMass) -> Outcome<Self> {
        Ok(Self {
            unbalance_kg_m: finite_result(mass.unbalance.si())?,
            angle_rad: finite_result(mass.angle.si())?,
            position_m: mass.position.si(),
            turns: mass.turns,
        })
    }
}

impl swept_harmonic {
    fn of(harmonic: &Harmonic) -> Outcome<Self> {
        Ok(Self {
            forward_amount: finite_result(harmonic.forward.norm())?,
            forward_angle_rad: finite_result(harmonic.forward.arg())?,
            backward_amount: finite_result(harmonic.backward.norm())?,
            backward_angle_rad: finite_result(harmonic.backward.arg())?,
            greatest_amount: finite_result(harmonic.greatest())?,
            least_amount: finite_result(harmonic.least())?,
            greatest_direction_rad: harmonic.direction().map_or(f64::NAN, Angle::si),
        })
    }
}

/// Reads an engine.
///
/// # Safety
/// Both lists are null or valid for reads of their counts.
unsafe fn engine(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
) -> Outcome<ShakingEngine> {
    // SAFETY: passed on from the caller.
    let (cylinders, masses) =
        unsafe { (slice(cylinders, cylinder_count, "cylinders")?, slice(masses, mass_count, "masses")?) };
    let cylinders = cylinders.iter().map(swept_shaking_cylinder::checked).collect::<Outcome<_>>()?;
    let masses = masses.iter().map(swept_rotating_mass::checked).collect::<Outcome<_>>()?;
    Ok(ShakingEngine::new(cylinders, masses)?)
}

/// One order, 1 to 6, of the shaking force of an engine on its mounts. Directions across the crank are angles from bank angle zero, positive in running
/// direction. No cylinders and no masses together are a wrong length, here and below.
///
/// # Safety
/// `cylinders` and `masses` are valid for reads of their counts, or null with a count of zero; `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shaking_force(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
    order: usize,
    out: *mut swept_harmonic,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let engine = unsafe { engine(cylinders, cylinder_count, masses, mass_count)? };
        write(out, swept_harmonic::of(&engine.force(order)?)?)
    })
}

/// One order, 1 to 6, of the shaking moment about a position on the crank axis: position times force, a vector in the direction of the force.
///
/// # Safety
/// `cylinders` and `masses` are valid for reads of their counts, or null with a count of zero; `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shaking_moment(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
    order: usize,
    about_m: f64,
    out: *mut swept_harmonic,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let engine = unsafe { engine(cylinders, cylinder_count, masses, mass_count)? };
        write(out, swept_harmonic::of(&engine.moment(order, q("position", about_m)?)?)?)
    })
}

/// The amplitude of an order of a force or a moment in one direction across the crank; the greatest and least amounts given are not looked at.
///
/// # Safety
/// `harmonic` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_harmonic_along(
    harmonic: *const swept_harmonic,
    direction_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let h = unsafe { get(harmonic, "harmonic")? };
        let vector = |amount: f64, angle: f64| -> Outcome<_> {
            Ok(UnbalanceVector::heavy_at(q("amount", amount)?, q("angle", angle)?)?.complex())
        };
        let forward = vector(h.forward_amount, h.forward_angle_rad)?;
        let backward = vector(h.backward_amount, h.backward_angle_rad)?;
        // The amplitude in a direction is the same for every order.
        Ok(Harmonic { order: 1, forward, backward }.along(q("direction", direction_rad)?))
    })
}

/// An amount of an order of a force at a speed of the crank, N: amount x speed^2.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shaking_force_of(
    amount_kg_m: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let amount: Unbalance = q("amount", amount_kg_m)?;
        Ok(force_of(amount.si(), q("speed", speed_rad_s)?).si())
    })
}

/// An amount of an order of a moment at a speed of the crank, N m: amount x speed^2.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shaking_moment_of(
    amount_kg_m2: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let amount: Unbalance = q("amount", amount_kg_m2)?;
        Ok(moment_of(amount.si(), q("speed", speed_rad_s)?).si())
    })
}

/// The exact shaking force at a crank angle, N: along bank angle zero, and across it towards positive angles.
///
/// # Safety
/// `cylinders` and `masses` are valid for reads of their counts, or null with a count of zero; `out_along_n` and `out_across_n` are valid for a write; null is
/// refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // an engine is two lists with their counts
pub unsafe extern "C" fn swept_shaking_force_at(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
    crank_rad: f64,
    speed_rad_s: f64,
    out_along_n: *mut f64,
    out_across_n: *mut f64,
) -> swept_status {
    answer_two(out_along_n, out_across_n, || {
        // SAFETY: passed on from the caller.
        let engine = unsafe { engine(cylinders, cylinder_count, masses, mass_count)? };
        let (along, across) = engine.force_at(q("crank angle", crank_rad)?, q("speed", speed_rad_s)?)?;
        Ok((along.si(), across.si()))
    })
}

/// The exact shaking moment at a crank angle about a position on the crank axis, N m: of the forces along bank angle zero, and of those across it.
///
/// # Safety
/// `cylinders` and `masses` are valid for reads of their counts, or null with a count of zero; `out_along_n_m` and `out_across_n_m` are valid for a write; null
/// is refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // an engine is two lists with their counts
pub unsafe extern "C" fn swept_shaking_moment_at(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
    crank_rad: f64,
    speed_rad_s: f64,
    about_m: f64,
    out_along_n_m: *mut f64,
    out_across_n_m: *mut f64,
) -> swept_status {
    answer_two(out_along_n_m, out_across_n_m, || {
        // SAFETY: passed on from the caller.
        let engine = unsafe { engine(cylinders, cylinder_count, masses, mass_count)? };
        let (crank, about) = (q("crank angle", crank_rad)?, q("position", about_m)?);
        let (along, across) = engine.moment_at(crank, q("speed", speed_rad_s)?, about)?;
        Ok((along.si(), across.si()))
    })
}

/// The two counterweights on the crank, in planes at these positions, that take away all of the first order that turns with the crank, force
/// and moment. Planes at one position are out of range.
///
/// # Safety
/// `cylinders` and `masses` are valid for reads of their counts, or null with a count of zero; `out_first` and `out_second` are valid for a write; null is
/// refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // an engine is two lists with their counts
pub unsafe extern "C" fn swept_shaking_counterweights(
    cylinders: *const swept_shaking_cylinder,
    cylinder_count: usize,
    masses: *const swept_rotating_mass,
    mass_count: usize,
    first_m: f64,
    second_m: f64,
    out_first: *mut swept_rotating_mass,
    out_second: *mut swept_rotating_mass,
) -> swept_status {
    guard(|| {
        check_out(out_first)?;
        check_out(out_second)?;
        // SAFETY: passed on from the caller.
        let engine = unsafe { engine(cylinders, cylinder_count, masses, mass_count)? };
        let [a, b] = engine.counterweights(q("first plane", first_m)?, q("second plane", second_m)?)?;
        let (a, b) = (swept_rotating_mass::of(&a)?, swept_rotating_mass::of(&b)?);
        write(out_first, a)?;
        write(out_second, b)
    })
}

/// Harmonics of the acceleration of a piston, order 1 to 6, with t the angle of the throw from the cylinder axis: acceleration / (radius x speed^2) =
/// sum of real cos(n t) - imaginary sin(n t). Without pin offset the imaginary parts are nothing and the real ones are A1, A2, ... of
/// the textbooks.
///
/// # Safety
/// `cylinder` is valid for a read, `out_real` and `out_imaginary` for writes of six values; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_acceleration_harmonics(
    cylinder: *const swept_cylinder,
    out_real: *mut f64,
    out_imaginary: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_real)?;
        check_out(out_imaginary)?;
        // SAFETY: passed on from the caller.
        let found = acceleration_harmonics(&unsafe { get(cylinder, "cylinder")? }.checked()?);
        found.iter().try_for_each(|a| finite_result(a.re + a.im).map(|_| ()))?;
        // SAFETY: there are six, and the caller promises as many places.
        unsafe {
            write_list(out_real, found.iter().map(|a| a.re));
            write_list(out_imaginary, found.iter().map(|a| a.im));
        }
        Ok(())
    })
}
