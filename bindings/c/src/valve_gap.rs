//! Clearance of a poppet valve to the piston and to the walls, at one place.

use crate::cylinder::swept_cylinder;
use crate::status::{Outcome, answer_with, finite_results, get, q, swept_status};
use swept::units::{Dimensioned, Length};
use swept::valvetrain::pocket::{CrownPocket, PistonAllowances, PistonToValve, ValveClearances, ValveHead};

/// A valve's head and where it sits. The frame of one valve: z along the cylinder axis, up from the head's face plane; across it in the plane of the stem's
/// tilt, positive to the side the head moves to when it opens; sideways square to both.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_head {
    /// Diameter of the head, m.
    pub diameter_m: f64,
    /// Height of the rim above the lower face, m.
    pub margin_m: f64,
    /// Angle of the stem to the cylinder axis, from 0 to below pi/2, rad.
    pub tilt_rad: f64,
    /// Centre of the lower face from the bore axis when seated, in the plane of the tilt, m.
    pub offset_m: f64,
    /// The same, square to that plane, m.
    pub sideways_m: f64,
    /// Centre of the lower face above the head's face plane when seated (positive: recessed), m.
    pub height_m: f64,
}

/// A valve pocket in the crown, as a cutter leaves it: a flat floor and a wall square to it.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_crown_pocket {
    /// Its centre in the crown plane from the bore axis, in the plane of the valve's tilt, m.
    pub offset_m: f64,
    /// The same, square to that plane, m.
    pub sideways_m: f64,
    /// Diameter, that of the cutter, m.
    pub diameter_m: f64,
    /// Depth below its centre in the crown plane, along the cylinder axis, m.
    pub depth_m: f64,
    /// Angle of the floor to the crown plane, positive where it rises to the side the head moves to: the stem's tilt where the pocket was cut along the stem;
    /// rad.
    pub floor_angle_rad: f64,
}

/// What brings the piston nearer to the head when running than the bare parts say; each zero or more.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_piston_allowances {
    /// Stretch of the rod at speed, m.
    pub rod_stretch_m: f64,
    /// Clearance taken up in bearings and pin, with rock of the piston, m.
    pub bearing_and_rock_m: f64,
    /// Growth with heat, m.
    pub thermal_m: f64,
}

/// One valve above one piston.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_piston_to_valve {
    /// The cylinder.
    pub cylinder: swept_cylinder,
    /// The valve's head, smaller than the bore.
    pub head: swept_valve_head,
    /// Piston-to-head distance at top dead centre, deck clearance + compressed gasket; below zero where the crown stands above the head's face plane; m.
    pub piston_to_head_m: f64,
    /// The pocket, within the bore; null for none.
    pub pocket: *const swept_crown_pocket,
    /// The allowances.
    pub allowances: swept_piston_allowances,
}

/// Clearances of a valve at one place of the piston and one lift; below zero where the parts would meet.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_clearances {
    /// To the piston along the cylinder axis: how far the piston may rise, m.
    pub axial_m: f64,
    /// To the piston along the stem: how far the valve goes when pushed down until it touches, m.
    pub along_stem_m: f64,
    /// From the rim to the pocket's wall, square to it; NaN while the rim is above the crown plane or without a pocket; m.
    pub pocket_wall_m: f64,
    /// From the rim to the bore, square to the cylinder axis, m.
    pub bore_wall_m: f64,
}

impl swept_valve_head {
    pub(crate) fn checked(self) -> Outcome<ValveHead> {
        let length = Length::from_si;
        let (diameter, margin) = (length(self.diameter_m), length(self.margin_m));
        let (offset, sideways) = (length(self.offset_m), length(self.sideways_m));
        let tilt = q("stem angle", self.tilt_rad)?;
        Ok(ValveHead::new(diameter, margin, tilt, offset, sideways, length(self.height_m))?)
    }
}

impl swept_crown_pocket {
    fn checked(self) -> Outcome<CrownPocket> {
        let length = Length::from_si;
        let (offset, sideways) = (length(self.offset_m), length(self.sideways_m));
        let (diameter, depth) = (length(self.diameter_m), length(self.depth_m));
        let floor = q("angle of the pocket's floor", self.floor_angle_rad)?;
        Ok(CrownPocket::new(offset, sideways, diameter, depth, floor)?)
    }
}

impl swept_piston_allowances {
    fn checked(self) -> Outcome<PistonAllowances> {
        let length = Length::from_si;
        let (stretch, rock) = (length(self.rod_stretch_m), length(self.bearing_and_rock_m));
        Ok(PistonAllowances::new(stretch, rock, length(self.thermal_m))?)
    }
}

impl swept_piston_to_valve {
    /// Reads a valve above a piston.
    ///
    /// # Safety
    /// Its pocket is null or valid for a read.
    pub(crate) unsafe fn checked(&self) -> Outcome<PistonToValve> {
        let pocket = match self.pocket.is_null() {
            true => None,
            // SAFETY: passed on from the caller.
            false => Some(unsafe { get(self.pocket, "pocket")? }.checked()?),
        };
        let (cylinder, head) = (self.cylinder.checked()?, self.head.checked()?);
        let (distance, allowances) =
            (q("piston-to-head distance", self.piston_to_head_m)?, self.allowances.checked()?);
        Ok(PistonToValve::new(cylinder, head, distance, pocket, allowances)?)
    }
}

impl swept_valve_clearances {
    fn of(found: &ValveClearances) -> Outcome<Self> {
        let [axial_m, along_stem_m, bore_wall_m] =
            finite_results([found.axial, found.along_stem, found.bore_wall].map(Length::si))?;
        let wall = found.pocket_wall.map(|wall| finite_results([wall.si()])).transpose()?;
        let [pocket_wall_m] = wall.unwrap_or([f64::NAN]);
        Ok(Self { axial_m, along_stem_m, pocket_wall_m, bore_wall_m })
    }
}

/// All clearances at a crank angle from overlap top dead centre and a lift along the stem. Domes are not treated.
///
/// # Safety
/// `gap` is valid for a read, its pocket null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_clearances_at(
    gap: *const swept_piston_to_valve,
    crank_rad: f64,
    lift_m: f64,
    out: *mut swept_valve_clearances,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let gap = unsafe { get(gap, "gap")?.checked()? };
        swept_valve_clearances::of(&gap.at(q("crank angle", crank_rad)?, q("lift", lift_m)?)?)
    })
}

/// All clearances with the piston a distance below top dead centre, at a lift along the stem.
///
/// # Safety
/// As swept_valve_clearances_at().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_clearances_at_position(
    gap: *const swept_piston_to_valve,
    piston_m: f64,
    lift_m: f64,
    out: *mut swept_valve_clearances,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let gap = unsafe { get(gap, "gap")?.checked()? };
        swept_valve_clearances::of(&gap.at_position(q("piston position", piston_m)?, q("lift", lift_m)?)?)
    })
}
