//! Clearance of a poppet valve to the piston, to the wall of its pocket, to the bore and to the other valve.
//!
//! The frame of one valve: z along the cylinder axis, up from the head's face plane; u across it in the plane of the tilt (the
//! plane through the stem, parallel to the cylinder axis), positive to the side the head moves to when it opens; v square to
//! both. The lower face of the head is a disc; it stands lowest on the side of negative u. Below it is the crown plane, and in
//! that a pocket as a cutter leaves it: a flat floor and a wall square to the floor.
//!
//! Clearances are positive as gaps. A point of the head within the pocket's cylinder is held against the floor or, where the
//! floor has run out of the crown, against the crown plane; every other point is held against the crown plane. Domes are not
//! treated.

mod advance;
mod disc;
mod gap;
mod heads;
mod least;
mod walls;

pub use advance::AdvanceLimits;
pub use gap::{MeasuredAlong, ValveClearances};
pub use heads::{HeadDistance, LeastHeadDistance, ValvePair};
pub use least::{ClearanceSearch, CrankGrid, LeastClearance, ValveMotion};
pub use walls::LeastWall;

use crate::error::{Result, finite, finite_positive, non_negative, out_of_range};
use crate::geometry::Cylinder;
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::PI;

/// The steepest floor, degrees: beyond it a pocket has more wall than floor.
const STEEPEST_FLOOR: f64 = 75.0;

/// Places on half the wall of a tilted pocket where its reach is looked at.
const REACH_STEPS: u32 = 360;

/// A valve's head and where it sits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveHead {
    diameter: Length,
    margin: Length,
    tilt: Angle,
    offset: Length,
    sideways: Length,
    height: Length,
}

impl ValveHead {
    /// The other of two alike in one cylinder: on the other side of the plane of the tilt.
    pub fn mirrored(self) -> Self {
        Self { sideways: -self.sideways, ..self }
    }

    /// A head from its diameter, its margin (height of the rim above the lower face), the tilt of the stem to the cylinder axis, and the
    /// place of the centre of its lower face when seated: offset from the bore axis in the plane of the tilt (positive to the side the
    /// head moves to when it opens), offset sideways (square to that plane), height above the head's face plane (positive: recessed).
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a diameter not above zero, a margin below zero, a tilt outside 0 to below 90 deg.
    pub fn new(
        diameter: Length,
        margin: Length,
        tilt: Angle,
        offset: Length,
        sideways: Length,
        height: Length,
    ) -> Result<Self> {
        let tilt = finite("stem angle", tilt)?;
        if !(0.0..PI / 2.0).contains(&tilt.si()) {
            return Err(out_of_range("stem angle", tilt, "from 0 to below 90 deg"));
        }
        Ok(Self {
            diameter: finite_positive("head diameter", diameter)?,
            margin: non_negative("margin", margin)?,
            tilt,
            offset: finite("offset of the valve", offset)?,
            sideways: finite("sideways offset of the valve", sideways)?,
            height: finite("height of the valve's face", height)?,
        })
    }

    /// Diameter of the head.
    pub fn diameter(&self) -> Length {
        self.diameter
    }

    /// Height of the rim above the lower face.
    pub fn margin(&self) -> Length {
        self.margin
    }

    /// Angle of the stem to the cylinder axis.
    pub fn tilt(&self) -> Angle {
        self.tilt
    }

    /// Offset from the bore axis when seated, in the plane of the tilt.
    pub fn offset(&self) -> Length {
        self.offset
    }

    /// Offset from the bore axis square to the plane of the tilt.
    pub fn sideways(&self) -> Length {
        self.sideways
    }

    /// Height of the lower face's centre above the head's face plane when seated.
    pub fn height(&self) -> Length {
        self.height
    }
}

/// A valve pocket in the crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrownPocket {
    offset: Length,
    sideways: Length,
    diameter: Length,
    depth: Length,
    floor_angle: Angle,
}

impl CrownPocket {
    /// A pocket from its centre in the crown plane (where the cutter's axis meets it) in the frame of its valve, the cutter's diameter, the
    /// depth below that centre along the cylinder axis, and the angle of the floor to the crown plane: equal to the tilt of the stem where
    /// the pocket was cut along the stem.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a diameter not above zero, a depth below zero, a floor steeper than 75 deg.
    pub fn new(
        offset: Length,
        sideways: Length,
        diameter: Length,
        depth: Length,
        floor_angle: Angle,
    ) -> Result<Self> {
        let floor_angle = finite("angle of the pocket's floor", floor_angle)?;
        if floor_angle.si().abs() > STEEPEST_FLOOR.to_radians() {
            let most = Angle::from_si(STEEPEST_FLOOR.to_radians());
            let allowed = format!("at most {} ({STEEPEST_FLOOR} deg) either way", written(most));
            return Err(out_of_range("angle of the pocket's floor", floor_angle, allowed));
        }
        Ok(Self {
            offset: finite("offset of the pocket", offset)?,
            sideways: finite("sideways offset of the pocket", sideways)?,
            diameter: finite_positive("pocket diameter", diameter)?,
            depth: non_negative("pocket depth", depth)?,
            floor_angle,
        })
    }

    /// The same pocket of another depth.
    ///
    /// # Errors
    /// As [`CrownPocket::new`].
    pub fn with_depth(&self, depth: Length) -> Result<Self> {
        Self::new(self.offset, self.sideways, self.diameter, depth, self.floor_angle)
    }

    /// Offset of its centre from the bore axis, in the plane of the valve's tilt.
    pub fn offset(&self) -> Length {
        self.offset
    }

    /// Offset of its centre square to that plane.
    pub fn sideways(&self) -> Length {
        self.sideways
    }

    /// Diameter, square to its wall.
    pub fn diameter(&self) -> Length {
        self.diameter
    }

    /// Depth below its centre in the crown plane, along the cylinder axis.
    pub fn depth(&self) -> Length {
        self.depth
    }

    /// Angle of the floor to the crown plane, positive where it rises to the side the head moves to.
    pub fn floor_angle(&self) -> Angle {
        self.floor_angle
    }

    /// How far its wall reaches from the bore axis.
    ///
    /// With a the floor's angle, p the offset, d the depth: at q from -r to r across the cutter, in the plane of the tilt, the wall meets
    /// the crown plane at p + q / cos(a) and the floor at p + d sin(a) cos(a) + q cos(a); where the floor has run out of the crown,
    /// q > d cos(a)^2 / sin(a), there is no wall. Between the two the distance from the axis has no greatest value. Places are half a
    /// degree of the cutter apart, which leaves less than a micrometre unseen.
    fn reach(&self) -> Length {
        let (offset, sideways, radius) =
            (self.offset.si(), self.sideways.si().abs(), self.diameter.si() / 2.0);
        let (sin, cos) = self.floor_angle.si().sin_cos();
        if sin == 0.0 {
            return Length::from_si(offset.hypot(sideways) + radius);
        }
        let depth = self.depth.si();
        let runs_out = (depth * cos * cos / (sin.abs() * radius)).min(1.0);
        let (side, last) = (sin.signum(), (-runs_out).acos());
        let places = (0..=REACH_STEPS).map(|i| (last * f64::from(i) / f64::from(REACH_STEPS)).sin_cos());
        let reach = places.map(|(across, along)| {
            let q = -side * radius * along;
            let (at_crown, at_floor) = (offset + q / cos, offset + depth * sin * cos + q * cos);
            at_crown.abs().max(at_floor.abs()).hypot(sideways + radius * across)
        });
        Length::from_si(reach.fold(0.0, f64::max))
    }
}

/// What brings the piston nearer to the head when running than the bare parts say; the piston is taken to stand higher by the sum.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PistonAllowances {
    rod_stretch: Length,
    bearing_and_rock: Length,
    thermal: Length,
}

impl PistonAllowances {
    /// Stretch of the rod at speed; clearance taken up in bearings and pin, with rock of the piston; growth with heat.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for one below zero.
    pub fn new(rod_stretch: Length, bearing_and_rock: Length, thermal: Length) -> Result<Self> {
        Ok(Self {
            rod_stretch: non_negative("allowance for rod stretch", rod_stretch)?,
            bearing_and_rock: non_negative("allowance for bearing clearance and rock", bearing_and_rock)?,
            thermal: non_negative("allowance for heat", thermal)?,
        })
    }

    /// Stretch of the rod.
    pub fn rod_stretch(&self) -> Length {
        self.rod_stretch
    }

    /// Clearance taken up in bearings and pin, with rock of the piston.
    pub fn bearing_and_rock(&self) -> Length {
        self.bearing_and_rock
    }

    /// Growth with heat.
    pub fn thermal(&self) -> Length {
        self.thermal
    }

    /// Their sum.
    pub fn sum(&self) -> Length {
        self.rod_stretch + self.bearing_and_rock + self.thermal
    }
}

/// One valve above one piston.
///
/// # Example
/// ```
/// use swept::geometry::Cylinder;
/// use swept::units::{Angle, Dimensioned, Length, parse};
/// use swept::valvetrain::pocket::{CrownPocket, PistonAllowances, PistonToValve, ValveHead};
///
/// let mm = |x: f64| Length::from_si(x / 1000.0);
/// let cylinder = Cylinder::new(mm(86.0), mm(86.0), mm(143.0), mm(0.0))?;
/// let tilt: Angle = parse("14 deg")?;
/// let valve = ValveHead::new(mm(35.0), mm(1.2), tilt, mm(-18.0), mm(0.0), mm(4.0))?;
/// let pocket = CrownPocket::new(mm(-17.5), mm(0.0), mm(38.0), mm(3.0), tilt)?;
/// let gap = PistonToValve::new(cylinder, valve, mm(1.1), Some(pocket), PistonAllowances::default())?;
/// let at_tdc = gap.at(Angle::from_si(0.0), mm(2.0))?;
/// assert!(at_tdc.axial > mm(5.0) && at_tdc.along_stem > mm(5.0));
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PistonToValve {
    cylinder: Cylinder,
    valve: ValveHead,
    piston_to_head: Length,
    pocket: Option<CrownPocket>,
    allowances: PistonAllowances,
}

impl PistonToValve {
    /// A valve above a piston, with the piston-to-head distance at top dead centre (deck clearance + compressed gasket; below zero where
    /// the crown stands above the head's face plane) and the pocket in its crown.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a head not smaller than the bore, a pocket whose wall reaches beyond
    /// the bore, a floor at 90 deg or more to the valve's face.
    pub fn new(
        cylinder: Cylinder,
        valve: ValveHead,
        piston_to_head: Length,
        pocket: Option<CrownPocket>,
        allowances: PistonAllowances,
    ) -> Result<Self> {
        let piston_to_head = finite("piston-to-head distance", piston_to_head)?;
        if valve.diameter >= cylinder.bore() {
            let allowed = format!("below the bore, {}", written(cylinder.bore()));
            return Err(out_of_range("head diameter", valve.diameter, allowed));
        }
        if let Some(pocket) = pocket {
            let most = cylinder.bore() / 2.0;
            if pocket.reach() > most {
                let allowed = format!("at most half the bore, {}", written(most));
                return Err(out_of_range("reach of the pocket from the bore axis", pocket.reach(), allowed));
            }
            let between = (valve.tilt - pocket.floor_angle).abs();
            if between.si() >= PI / 2.0 {
                let allowed = "below 90 deg";
                return Err(out_of_range(
                    "angle of the pocket's floor to the valve's face",
                    between,
                    allowed,
                ));
            }
        }
        Ok(Self { cylinder, valve, piston_to_head, pocket, allowances })
    }

    /// The cylinder.
    pub fn cylinder(&self) -> &Cylinder {
        &self.cylinder
    }

    /// The valve.
    pub fn valve(&self) -> &ValveHead {
        &self.valve
    }

    /// Piston-to-head distance at top dead centre.
    pub fn piston_to_head(&self) -> Length {
        self.piston_to_head
    }

    /// The pocket, where there is one.
    pub fn pocket(&self) -> Option<&CrownPocket> {
        self.pocket.as_ref()
    }

    /// The allowances.
    pub fn allowances(&self) -> &PistonAllowances {
        &self.allowances
    }
}

#[cfg(test)]
mod tests;
