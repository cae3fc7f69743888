//! Masses, bob weight, the share that a counterweight should carry, and counterweights.

use crate::status::{Outcome, answer, answer_two, check_out, get, guard, q, slice, swept_status, write_list};
use swept::balance::{self, CounterweightSector, RodMass, ThrowPiston};
use swept::units::{Dimensioned, Mass};

/// A connecting rod weighed at both ends, each level with the other supported at its centre.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_rod_mass {
    /// What turns with the crankpin, kg.
    pub big_end_kg: f64,
    /// What goes up and down with the piston, kg.
    pub small_end_kg: f64,
}

/// One piston that hangs on a throw.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_throw_piston {
    /// Its bank, rad.
    pub bank_angle_rad: f64,
    /// Its own pin's angle from the throw, for split pins; zero on a common pin, rad.
    pub pin_angle_rad: f64,
    /// What goes up and down, kg.
    pub reciprocating_kg: f64,
}

/// A counterweight cheek: a sector of a ring, of even thickness.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_counterweight_sector {
    /// Inner radius, from zero to below the outer one, m.
    pub inner_radius_m: f64,
    /// Outer radius, m.
    pub outer_radius_m: f64,
    /// Included angle, above zero and at most a turn, rad.
    pub included_angle_rad: f64,
    /// Thickness along the crank axis, m.
    pub thickness_m: f64,
    /// Density of its metal, kg/m3.
    pub density_kg_m3: f64,
}

impl swept_rod_mass {
    fn checked(self) -> Outcome<RodMass> {
        Ok(RodMass::new(Mass::from_si(self.big_end_kg), Mass::from_si(self.small_end_kg))?)
    }
}

impl swept_counterweight_sector {
    fn checked(self) -> Outcome<CounterweightSector> {
        let (inner, outer) =
            (q("inner radius", self.inner_radius_m)?, q("outer radius", self.outer_radius_m)?);
        let (angle, thickness) =
            (q("included angle", self.included_angle_rad)?, q("thickness", self.thickness_m)?);
        Ok(CounterweightSector::new(inner, outer, angle, thickness, self.density_kg_m3)?)
    }
}

/// Reads a list of masses.
///
/// # Safety
/// `list` is null or valid for reads of `count` values.
unsafe fn masses(list: *const f64, count: usize, name: &'static str) -> Outcome<Vec<Mass>> {
    // SAFETY: passed on from the caller.
    Ok(unsafe { slice(list, count, name)? }.iter().map(|kg| Mass::from_si(*kg)).collect())
}

/// Reads the pistons of a throw.
///
/// # Safety
/// `list` is null or valid for reads of `count` pistons.
unsafe fn pistons(list: *const swept_throw_piston, count: usize) -> Outcome<Vec<ThrowPiston>> {
    // SAFETY: passed on from the caller.
    let given = unsafe { slice(list, count, "pistons")? };
    let piston = |p: &swept_throw_piston| {
        let (bank_angle, pin_angle) = (q("bank angle", p.bank_angle_rad)?, q("pin angle", p.pin_angle_rad)?);
        Ok(ThrowPiston { bank_angle, pin_angle, reciprocating: Mass::from_si(p.reciprocating_kg) })
    };
    given.iter().map(piston).collect()
}

/// Checks that both ends of a rod weigh what the whole rod weighs, within what the scale allows; out of range where they do not.
///
/// # Safety
/// `rod` is valid for a read; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rod_mass_check(
    rod: *const swept_rod_mass,
    total_kg: f64,
    slack_kg: f64,
) -> swept_status {
    guard(|| {
        // SAFETY: passed on from the caller.
        let rod = unsafe { get(rod, "rod")? }.checked()?;
        let (total, slack) = (Mass::from_si(total_kg), Mass::from_si(slack_kg));
        RodMass::checked(rod.big_end(), rod.small_end(), total, slack)?;
        Ok(())
    })
}

/// What goes up and down with one cylinder, kg: piston, pin, locks, rings and the small end of its rod. A mass below zero is out of range,
/// here and below.
///
/// # Safety
/// `rod` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rod_reciprocating_mass(
    rod: *const swept_rod_mass,
    piston_kg: f64,
    pin_kg: f64,
    locks_kg: f64,
    rings_kg: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let rod = unsafe { get(rod, "rod")? }.checked()?;
        let [piston, pin, locks, rings] = [piston_kg, pin_kg, locks_kg, rings_kg].map(Mass::from_si);
        Ok(balance::reciprocating_mass(piston, pin, locks, rings, &rod)?.si())
    })
}

/// What goes round with one rod, kg: its big end, its pair of shells, and the oil that the pin holds.
///
/// # Safety
/// `rod` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rod_rotating_mass(
    rod: *const swept_rod_mass,
    shells_kg: f64,
    oil_kg: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let rod = unsafe { get(rod, "rod")? }.checked()?;
        Ok(balance::rotating_mass(&rod, Mass::from_si(shells_kg), Mass::from_si(oil_kg))?.si())
    })
}

/// The bob weight of one throw with `count` rods, kg: all that goes round on it, and a share, from 0 to 1, of all that goes up and down. No
/// rods are a wrong length.
///
/// # Safety
/// `rotating_kg` and `reciprocating_kg` are valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bob_weight(
    rotating_kg: *const f64,
    reciprocating_kg: *const f64,
    count: usize,
    share: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (round, up_and_down) = unsafe {
            (masses(rotating_kg, count, "rotating_kg")?, masses(reciprocating_kg, count, "reciprocating_kg")?)
        };
        Ok(balance::bob_weight(&round, &up_and_down, q("share of the reciprocating mass", share)?)?.si())
    })
}

/// How much to take off each of `count` parts so that all weigh what the lightest weighs, kg; out of range where one would lose more than
/// `most_kg`. No parts are a wrong length.
///
/// # Safety
/// `masses_kg` is valid for reads and `out_kg` for writes of `count` values; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_masses_to_lightest(
    masses_kg: *const f64,
    count: usize,
    most_kg: f64,
    out_kg: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_kg)?;
        // SAFETY: passed on from the caller.
        let given = unsafe { masses(masses_kg, count, "masses_kg")? };
        let off = balance::to_lightest(&given, Mass::from_si(most_kg))?;
        // SAFETY: one value for each part, and the caller promises as many places.
        unsafe { write_list(out_kg, off.iter().map(|m| m.si())) };
        Ok(())
    })
}

/// The share of the reciprocating mass of one throw that leaves the least greatest force of the first order. No piston with a mass is a
/// wrong length, here and below.
///
/// # Safety
/// `pistons` is valid for reads of `count` pistons, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_best_share(
    pistons: *const swept_throw_piston,
    count: usize,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(balance::best_share(&unsafe { self::pistons(pistons, count)? })?.si()))
}

/// The share that leaves the least force of the first order in one direction across the crank, an angle as that of a bank; across it more is
/// left.
///
/// # Safety
/// `pistons` is valid for reads of `count` pistons, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_best_share_along(
    pistons: *const swept_throw_piston,
    count: usize,
    direction_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let pistons = unsafe { self::pistons(pistons, count)? };
        Ok(balance::best_share_along(&pistons, q("direction", direction_rad)?)?.si())
    })
}

/// What the first order leaves of the pistons of one throw where a counterweight carries a share of the reciprocating mass, as masses at the
/// crank radius, kg: what turns with the crank, and what turns against it, which no counterweight on the crank reaches. The greatest
/// over a turn is their sum.
///
/// # Safety
/// `pistons` is valid for reads of `count` pistons, `out_forward_kg` and `out_backward_kg` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_residual_of_share(
    pistons: *const swept_throw_piston,
    count: usize,
    share: f64,
    out_forward_kg: *mut f64,
    out_backward_kg: *mut f64,
) -> swept_status {
    answer_two(out_forward_kg, out_backward_kg, || {
        // SAFETY: passed on from the caller.
        let pistons = unsafe { self::pistons(pistons, count)? };
        let left = balance::residual_of_share(&pistons, q("share", share)?)?;
        Ok((left.forward.si(), left.backward.si()))
    })
}

/// Mass of a counterweight, kg.
///
/// # Safety
/// `sector` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_counterweight_sector_mass(
    sector: *const swept_counterweight_sector,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(sector, "sector")? }.checked()?.mass().si()))
}

/// Unbalance of a counterweight, its mass times the distance of its centre from the crank axis, kg m.
///
/// # Safety
/// `sector` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_counterweight_sector_unbalance(
    sector: *const swept_counterweight_sector,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(sector, "sector")? }.checked()?.unbalance().si()))
}
