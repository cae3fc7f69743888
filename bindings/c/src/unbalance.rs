//! Unbalance of a rigid rotor, correction planes, balance quality grades and what may remain.

use crate::status::{
    Outcome, answer, answer_two, check_out, finite_result, guard, q, slice, swept_status, text, write,
};
use core::ffi::c_char;
use swept::balance::influence::correction_of_unbalance;
use swept::balance::unbalance::{
    self, BalanceGrade, BearingAllocation, PlacedUnbalance, RotorUnbalance, UnbalanceVector,
};
use swept::units::{Dimensioned, Mass, Unbalance};

/// An unbalance in one plane across the shaft. Angles are counted on the rotor from its mark, positive in running direction.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_unbalance {
    /// How much, kg m.
    pub amount_kg_m: f64,
    /// Where the rotor is heavy; of a correction weight, where to add it; rad.
    pub heavy_at_rad: f64,
}

/// An unbalance in a plane at a position along the shaft.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_placed_unbalance {
    /// How much, kg m.
    pub amount_kg_m: f64,
    /// Where the rotor is heavy; of a correction weight, where to add it; rad.
    pub heavy_at_rad: f64,
    /// Along the shaft, from any origin, m.
    pub position_m: f64,
}

/// The unbalance of a rigid rotor: its static and its couple part.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_rotor_unbalance {
    /// The resultant of all planes, kg m.
    pub static_kg_m: f64,
    /// Where it is heavy, rad.
    pub static_heavy_at_rad: f64,
    /// The moment about the centre, unbalance times the distance of the planes, kg m2.
    pub couple_kg_m2: f64,
    /// Where the plane at the greater position is heavy; the other is heavy opposite; rad.
    pub couple_heavy_at_rad: f64,
}

impl swept_unbalance {
    pub(crate) fn checked(&self) -> Outcome<UnbalanceVector> {
        Ok(UnbalanceVector::heavy_at(Unbalance::from_si(self.amount_kg_m), q("angle", self.heavy_at_rad)?)?)
    }

    pub(crate) fn of(vector: &UnbalanceVector) -> Self {
        Self { amount_kg_m: vector.amount().si(), heavy_at_rad: vector.angle().si() }
    }
}

impl swept_placed_unbalance {
    fn checked(&self) -> Outcome<PlacedUnbalance> {
        let vector = swept_unbalance { amount_kg_m: self.amount_kg_m, heavy_at_rad: self.heavy_at_rad };
        Ok(PlacedUnbalance::new(vector.checked()?, q("position", self.position_m)?)?)
    }

    fn of(placed: &PlacedUnbalance) -> Self {
        let swept_unbalance { amount_kg_m, heavy_at_rad } = swept_unbalance::of(&placed.vector());
        Self { amount_kg_m, heavy_at_rad, position_m: placed.position().si() }
    }
}

/// Reads vectors in their planes.
///
/// # Safety
/// `list` is null or valid for reads of `count` vectors.
unsafe fn vectors(list: *const swept_placed_unbalance, count: usize) -> Outcome<Vec<PlacedUnbalance>> {
    // SAFETY: passed on from the caller.
    unsafe { slice(list, count, "vectors")? }.iter().map(swept_placed_unbalance::checked).collect()
}

/// Reads a grade.
///
/// # Safety
/// `grade` is null or a zero-terminated text.
unsafe fn grade_of(grade: *const c_char) -> Outcome<BalanceGrade> {
    // SAFETY: passed on from the caller.
    Ok(BalanceGrade::parse(unsafe { text(grade, "grade")? })?)
}

/// Writes the vectors in two planes that `f` makes.
fn answer_planes(
    out_first: *mut swept_placed_unbalance,
    out_second: *mut swept_placed_unbalance,
    f: impl FnOnce() -> Outcome<[PlacedUnbalance; 2]>,
) -> swept_status {
    guard(|| {
        check_out(out_first)?;
        check_out(out_second)?;
        let [first, second] = f()?;
        write(out_first, swept_placed_unbalance::of(&first))?;
        write(out_second, swept_placed_unbalance::of(&second))
    })
}

/// Static and couple part of the unbalance of a rotor with vectors in any number of planes, about a centre, best the centre of mass. No vectors are a
/// wrong length, here and below; an amount below zero is out of range.
///
/// # Safety
/// `vectors` is valid for reads of `count` vectors, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rotor_unbalance_of(
    vectors: *const swept_placed_unbalance,
    count: usize,
    centre_m: f64,
    out: *mut swept_rotor_unbalance,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let vectors = unsafe { self::vectors(vectors, count)? };
        let rotor = RotorUnbalance::new(&vectors, q("centre", centre_m)?)?;
        let (whole, couple) = (rotor.static_part(), rotor.couple_part());
        let value = swept_rotor_unbalance {
            static_kg_m: whole.amount().si(),
            static_heavy_at_rad: whole.angle().si(),
            couple_kg_m2: finite_result(couple.amount)?,
            couple_heavy_at_rad: couple.angle.si(),
        };
        write(out, value)
    })
}

/// The pair of vectors in two planes that acts as all the vectors together. Planes at one position are out of range.
///
/// # Safety
/// `vectors` is valid for reads of `count` vectors, `out_first` and `out_second` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_unbalance_to_planes(
    vectors: *const swept_placed_unbalance,
    count: usize,
    first_m: f64,
    second_m: f64,
    out_first: *mut swept_placed_unbalance,
    out_second: *mut swept_placed_unbalance,
) -> swept_status {
    answer_planes(out_first, out_second, || {
        // SAFETY: passed on from the caller.
        let vectors = unsafe { self::vectors(vectors, count)? };
        Ok(unbalance::to_planes(&vectors, q("first plane", first_m)?, q("second plane", second_m)?)?)
    })
}

/// The weights to add in two planes against unbalance that a balancing machine shows in two or more planes, heavy at its angles.
///
/// # Safety
/// `vectors` is valid for reads of `count` vectors, `out_first` and `out_second` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_correction_of_unbalance(
    vectors: *const swept_placed_unbalance,
    count: usize,
    first_m: f64,
    second_m: f64,
    out_first: *mut swept_placed_unbalance,
    out_second: *mut swept_placed_unbalance,
) -> swept_status {
    answer_planes(out_first, out_second, || {
        // SAFETY: passed on from the caller.
        let vectors = unsafe { self::vectors(vectors, count)? };
        Ok(correction_of_unbalance(&vectors, q("first plane", first_m)?, q("second plane", second_m)?)?)
    })
}

/// Permissible distance of the centre of mass from the shaft's axis at the highest service speed, m, for a balance quality grade such as "G 6.3" (ISO
/// 21940-11). A text that is no grade is unreadable, a number that is none of the standard is out of range.
///
/// # Safety
/// `grade` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_permissible_eccentricity(
    grade: *const c_char,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let grade = unsafe { grade_of(grade)? };
        Ok(grade.permissible_eccentricity(q("speed", speed_rad_s)?)?.si())
    })
}

/// Permissible residual unbalance of a whole rotor of a mass, kg m, as above.
///
/// # Safety
/// `grade` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_permissible_unbalance(
    grade: *const c_char,
    mass_kg: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let grade = unsafe { grade_of(grade)? };
        Ok(grade.permissible(Mass::from_si(mass_kg), q("speed", speed_rad_s)?)?.si())
    })
}

/// The velocity of the finest balance quality grade that a residual unbalance meets, m/s: 0.0063 for G 6.3. A residual coarser than all grades is out
/// of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_grade_met_by(
    residual_kg_m: f64,
    mass_kg: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (residual, mass) = (Unbalance::from_si(residual_kg_m), Mass::from_si(mass_kg));
        let met = BalanceGrade::met_by(residual, mass, q("speed", speed_rad_s)?)?;
        let coarser = || {
            swept::error::out_of_range(
                "residual unbalance",
                residual,
                "at most what the coarsest grade allows",
            )
        };
        Ok(met.ok_or_else(coarser)?.velocity().si())
    })
}

/// What may remain in the planes of the two bearings, kg m, for a centre of mass between them: in proportion to the distance of the other bearing, each from
/// 0.3 to 0.7 of the whole; then 1 if a share was brought back to that, else 0.
///
/// # Safety
/// `out_first_kg_m`, `out_second_kg_m` and `out_limited` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_allocate_to_bearings(
    permissible_kg_m: f64,
    centre_to_first_m: f64,
    centre_to_second_m: f64,
    out_first_kg_m: *mut f64,
    out_second_kg_m: *mut f64,
    out_limited: *mut i32,
) -> swept_status {
    guard(|| {
        [out_first_kg_m, out_second_kg_m].into_iter().try_for_each(check_out)?;
        check_out(out_limited)?;
        let (first, second) = (
            q("distance to the first bearing", centre_to_first_m)?,
            q("distance to the second bearing", centre_to_second_m)?,
        );
        let found = unbalance::allocate_to_bearings(Unbalance::from_si(permissible_kg_m), first, second)?;
        write(out_first_kg_m, found.a.si())?;
        write(out_second_kg_m, found.b.si())?;
        write(out_limited, i32::from(found.limited))
    })
}

/// What may remain in two correction planes so that neither bearing's allowance is passed at whatever angles, kg m. The first plane is that nearer to
/// the first bearing.
///
/// # Safety
/// `out_first_kg_m` and `out_second_kg_m` are valid for a write; null is refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // two allowances, two bearings, two planes and two outputs
pub unsafe extern "C" fn swept_allocate_to_planes(
    first_allowance_kg_m: f64,
    second_allowance_kg_m: f64,
    first_bearing_m: f64,
    second_bearing_m: f64,
    first_plane_m: f64,
    second_plane_m: f64,
    out_first_kg_m: *mut f64,
    out_second_kg_m: *mut f64,
) -> swept_status {
    answer_two(out_first_kg_m, out_second_kg_m, || {
        let [a, b] = [first_allowance_kg_m, second_allowance_kg_m].map(Unbalance::from_si);
        let bearings = [q("first bearing", first_bearing_m)?, q("second bearing", second_bearing_m)?];
        let planes = [q("first plane", first_plane_m)?, q("second plane", second_plane_m)?];
        let allowed = BearingAllocation { a, b, limited: false };
        let [first, second] = unbalance::allocate_to_planes(allowed, bearings, planes)?;
        Ok((first.si(), second.si()))
    })
}
