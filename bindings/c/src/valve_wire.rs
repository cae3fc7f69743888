//! A helical spring of round wire, and the masses and the stiffness of a valve train.

use crate::status::{Outcome, answer, answer_with, finite_results, get, q, swept_status};
use swept::units::{Dimensioned, Mass};
use swept::valvetrain::spring::{
    harmonic_frequency_ratio, mass_at_tip, surge_frequency, train_deflection, train_frequency,
};
use swept::valvetrain::{HelicalSpring, SpringControl, TrainMasses};

use crate::valve_lift::cam;

/// A cylindrical helical compression spring of round wire.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_helical_spring {
    /// Diameter of the wire, m.
    pub wire_m: f64,
    /// Mean diameter of the coil, outside less wire, above the wire's, m.
    pub mean_diameter_m: f64,
    /// Active coils.
    pub active_coils: f64,
    /// Coils in all, at least the active ones; two more with squared and ground ends.
    pub total_coils: f64,
}

/// Figures of a helical spring.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_helical_figures {
    /// Spring index: mean over wire diameter.
    pub index: f64,
    /// Wahl's factor, for curvature and direct shear.
    pub wahl_factor: f64,
    /// Bergstraesser's factor, for the same.
    pub bergstraesser_factor: f64,
    /// Solid height with ground ends: wire diameter x coils in all, m.
    pub solid_height_m: f64,
}

/// The moving parts of one valve's train.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_train_masses {
    /// Valve, kg.
    pub valve_kg: f64,
    /// Retainer with locks, kg.
    pub retainer_and_locks_kg: f64,
    /// All springs of the valve, kg.
    pub springs_kg: f64,
    /// Rocker as a mass at its tip, such as swept_mass_at_tip() gives; zero without one; kg.
    pub rocker_kg: f64,
    /// Lifter and pushrod together, kg.
    pub lifter_and_pushrod_kg: f64,
    /// Ratio of valve to lifter.
    pub ratio: f64,
}

impl swept_helical_spring {
    fn checked(self) -> Outcome<HelicalSpring> {
        let (wire, mean) = (q("wire diameter", self.wire_m)?, q("mean coil diameter", self.mean_diameter_m)?);
        let (active, total) = (q("active coils", self.active_coils)?, q("coils in all", self.total_coils)?);
        Ok(HelicalSpring::new(wire, mean, active, total)?)
    }
}

impl swept_train_masses {
    fn checked(self) -> Outcome<TrainMasses> {
        let mass = Mass::from_si;
        let (valve, retainer, springs) =
            (mass(self.valve_kg), mass(self.retainer_and_locks_kg), mass(self.springs_kg));
        let (rocker, lifter) = (mass(self.rocker_kg), mass(self.lifter_and_pushrod_kg));
        let ratio = q("rocker ratio", self.ratio)?;
        Ok(TrainMasses::new(valve, retainer, springs, rocker, lifter, ratio)?)
    }
}

/// Reads a spring.
///
/// # Safety
/// `spring` is null or valid for a read.
unsafe fn read(spring: *const swept_helical_spring) -> Outcome<HelicalSpring> {
    // SAFETY: passed on from the caller.
    unsafe { get(spring, "spring")? }.checked()
}

/// Rate of a helical spring, N/m: G d^4 / (8 D^3 n), with the shear modulus G.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_helical_spring_rate(
    spring: *const swept_helical_spring,
    shear_modulus_pa: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(spring)? }.rate(q("shear modulus", shear_modulus_pa)?)?.si()))
}

/// Index, factors of curvature and solid height of a helical spring.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_helical_spring_figures(
    spring: *const swept_helical_spring,
    out: *mut swept_helical_figures,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let spring = unsafe { read(spring)? };
        let factors = [spring.index(), spring.wahl_factor(), spring.bergstraesser_factor()];
        let [index, wahl_factor, bergstraesser_factor] = finite_results(factors.map(Dimensioned::si))?;
        let [solid_height_m] = finite_results([spring.solid_height().si()])?;
        Ok(swept_helical_figures { index, wahl_factor, bergstraesser_factor, solid_height_m })
    })
}

/// Mass of the active coils, kg.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_helical_spring_active_mass(
    spring: *const swept_helical_spring,
    density_kg_m3: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(spring)? }.active_mass(density_kg_m3)?.si()))
}

/// Shear stress on the inside of the coil, Pa: K 8 F D / (pi d^3), with a factor of curvature K from swept_helical_spring_figures().
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_helical_spring_shear_stress(
    spring: *const swept_helical_spring,
    load_n: f64,
    factor: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let spring = unsafe { read(spring)? };
        Ok(spring.shear_stress(q("load of the spring", load_n)?, q("factor of curvature", factor)?)?.si())
    })
}

/// Lowest natural frequency of a spring between two ends that hold still (surge), Hz: 1/2 sqrt(rate / mass of the active coils).
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_surge_frequency(
    rate_n_per_m: f64,
    active_mass_kg: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (rate, mass) = (q("spring rate", rate_n_per_m)?, q("mass of the active coils", active_mass_kg)?);
        Ok(surge_frequency(rate, mass)?.si())
    })
}

/// A natural frequency over that of a harmonic (1 or more) of the cam at a crank speed: at 1 the harmonic meets it; with the first harmonic it is the order
/// that does.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_harmonic_frequency_ratio(
    frequency_hz: f64,
    crank_rad_s: f64,
    harmonic: u32,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (frequency, crank) = (q("natural frequency", frequency_hz)?, q("crank speed", crank_rad_s)?);
        Ok(harmonic_frequency_ratio(frequency, crank, harmonic)?.si())
    })
}

/// Effective mass at the valve, kg: valve + retainer and locks + springs / 3 + rocker + (lifter and pushrod) / ratio^2.
///
/// # Safety
/// `masses` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_effective_mass(
    masses: *const swept_train_masses,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(masses, "masses")? }.checked()?.effective().si()))
}

/// The mass at a rocker's tip that has its moment of inertia about the pivot, kg: inertia / arm^2, the arm from the pivot to the stem's axis.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_mass_at_tip(inertia_kg_m2: f64, arm_m: f64, out: *mut f64) -> swept_status {
    answer(out, || Ok(mass_at_tip(inertia_kg_m2, q("arm of the rocker", arm_m)?)?.si()))
}

/// How far the valve train gives under a force at the valve, m: force / stiffness. A static estimate.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_deflection(
    force_n: f64,
    stiffness_n_per_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let stiffness = q("stiffness of the valve train", stiffness_n_per_m)?;
        Ok(train_deflection(q("force at the valve", force_n)?, stiffness)?.si())
    })
}

/// Natural frequency of the valve train as one mass on its stiffness, both at the valve, Hz. An estimate.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_train_frequency(
    stiffness_n_per_m: f64,
    effective_mass_kg: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let stiffness = q("stiffness of the valve train", stiffness_n_per_m)?;
        Ok(train_frequency(stiffness, q("effective mass", effective_mass_kg)?)?.si())
    })
}

/// Frequency of the lobe's main event, lift and return taken as one oscillation, Hz: cam speed / duration, the duration as an angle of the cam of at most a
/// turn. A natural frequency of the train should stand well above it.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_event_frequency(
    duration_rad: f64,
    crank_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let duration = cam("duration as an angle of the cam", duration_rad)?;
        Ok(SpringControl::event_frequency(duration, q("crank speed", crank_rad_s)?)?.si())
    })
}
