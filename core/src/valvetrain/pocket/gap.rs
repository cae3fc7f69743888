//! Clearances of one valve at a piston position and a lift.

use super::disc::Disc;
use super::{CrownPocket, PistonToValve};
use crate::error::{Result, finite, non_negative};
use crate::units::{Angle, Dimensioned, Length};

/// A head as large as its pocket is within it, to this much on the radius, m.
const FIT: f64 = 1e-9;

/// Along which line a clearance is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeasuredAlong {
    /// Along the cylinder axis: how far the piston may rise.
    CylinderAxis,
    /// Along the stem: how far the valve goes when pushed down until it touches.
    Stem,
}

/// Clearances of a valve at one place of the piston and one lift; below zero where the parts would meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveClearances {
    /// To the piston along the cylinder axis.
    pub axial: Length,
    /// To the piston along the stem.
    pub along_stem: Length,
    /// From the rim to the pocket's wall, square to it; none while the rim is above the crown plane or without a pocket.
    pub pocket_wall: Option<Length>,
    /// From the rim to the bore, square to the cylinder axis.
    pub bore_wall: Length,
}

/// Least and greatest of a figure.
pub(super) type Range = (f64, f64);

/// The lower face at one place of piston and valve. SI.
struct Face {
    /// Offset of its centre from the bore axis.
    across: f64,
    /// Its centre above the crown plane.
    above_crown: f64,
}

/// A height that changes evenly along the face: `middle` + q `slope`.
#[derive(Clone, Copy)]
struct Height {
    middle: f64,
    slope: f64,
}

impl Height {
    fn at(self, q: f64) -> f64 {
        self.middle + q * self.slope
    }

    fn times(self, factor: f64) -> Self {
        Self { middle: self.middle * factor, slope: self.slope * factor }
    }

    /// The least over a span of the greater of two: at an end or where they cross.
    fn least_greater(self, other: Self, (from, to): Range) -> f64 {
        let greater = |q: f64| self.at(q).max(other.at(q));
        let crossing = (other.middle - self.middle) / (self.slope - other.slope);
        let ends = greater(from).min(greater(to));
        if crossing > from && crossing < to { ends.min(greater(crossing)) } else { ends }
    }
}

impl MeasuredAlong {
    /// Way to go for each unit of height above the crown plane, and above the floor.
    fn factors(self, tilt: f64, floor: f64) -> (f64, f64) {
        match self {
            Self::CylinderAxis => (1.0, 1.0),
            Self::Stem => (1.0 / tilt.cos(), floor.cos() / (tilt - floor).cos()),
        }
    }
}

impl PistonToValve {
    /// All clearances at a crank angle from overlap top dead centre and a lift along the stem.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    pub fn at(&self, crank: Angle, lift: Length) -> Result<ValveClearances> {
        let crank = finite("crank angle", crank)?;
        self.at_position(self.cylinder.piston_position(crank), lift)
    }

    /// All clearances with the piston a distance below top dead centre, at a lift along the stem.
    ///
    /// With t the tilt, L the lift, h the height and o the offset of the valve, r half its diameter, x the piston's distance, s the
    /// piston-to-head distance less the allowances; a, p and d the pocket's floor angle, offset and depth; q from -r to r along the
    /// face in the plane of the tilt:
    ///
    /// above the crown plane K(q) = h - L cos(t) + s + x + q sin(t);
    /// above the floor F(q) = K(q) + d - (o + L sin(t) + q cos(t) - p) tan(a).
    ///
    /// Axial: the least over the face of K, or of max(F, K) within the pocket. Along the stem the same of K / cos(t) and
    /// F cos(a) / cos(t - a): a valve that goes e further comes nearer to the crown by e cos(t), to the floor by
    /// e (cos(t) + sin(t) tan(a)). Each point is held against what lies under it along the pocket's axis where it stands now: exact
    /// where the pocket was cut along the stem, or where the head stays within it on its way.
    ///
    /// To the walls: half the pocket's diameter (half the bore) less the greatest distance from its axis of both edges of the margin; to
    /// the pocket's wall, of their parts below the crown plane.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    ///
    /// # Source
    /// Geometry. Measuring by pushing the valve down: common practice, no source.
    pub fn at_position(&self, piston: Length, lift: Length) -> Result<ValveClearances> {
        let x = finite("piston position", piston)?.si();
        let lift = non_negative("lift", lift)?.si();
        Ok(ValveClearances {
            axial: Length::from_si(self.gap(x, lift, MeasuredAlong::CylinderAxis)),
            along_stem: Length::from_si(self.gap(x, lift, MeasuredAlong::Stem)),
            pocket_wall: self.pocket_wall(x, lift).map(Length::from_si),
            bore_wall: Length::from_si(self.bore_wall(lift)),
        })
    }

    fn face(&self, x: f64, lift: f64) -> Face {
        let (sin, cos) = self.valve.tilt.si().sin_cos();
        let stack = self.piston_to_head.si() - self.allowances.sum().si();
        Face {
            across: self.valve.offset.si() + lift * sin,
            above_crown: self.valve.height.si() - lift * cos + stack + x,
        }
    }

    fn radius(&self) -> f64 {
        self.valve.diameter.si() / 2.0
    }

    fn above_crown(&self, face: &Face) -> Height {
        Height { middle: face.above_crown, slope: self.valve.tilt.si().sin() }
    }

    fn above_floor(&self, face: &Face, pocket: &CrownPocket) -> Height {
        let ((sin, cos), rise) = (self.valve.tilt.si().sin_cos(), pocket.floor_angle.si().tan());
        let under_centre = (face.across - pocket.offset.si()) * rise - pocket.depth.si();
        Height { middle: face.above_crown - under_centre, slope: sin - cos * rise }
    }

    /// The face as seen along the pocket's axis.
    fn seen_in(&self, face: &Face, pocket: &CrownPocket) -> Disc {
        let (sin, cos) = (self.valve.tilt - pocket.floor_angle).si().sin_cos();
        let (rise, run) = pocket.floor_angle.si().sin_cos();
        Disc {
            radius: self.radius(),
            along: (face.across - pocket.offset.si()) * run + face.above_crown * rise,
            sideways: (self.valve.sideways - pocket.sideways).si().abs(),
            sin,
            cos,
        }
    }

    /// Clearance to the piston, SI.
    pub(super) fn gap(&self, x: f64, lift: f64, along: MeasuredAlong) -> f64 {
        let face = self.face(x, lift);
        let Some(pocket) = &self.pocket else {
            let (to_crown, _) = along.factors(self.valve.tilt.si(), 0.0);
            return self.above_crown(&face).times(to_crown).at(-self.radius());
        };
        let (crown, floor) = self.ways(&face, pocket, along);
        self.nearest(crown, floor, self.first_outside(&face, pocket))
    }

    /// The least q of a point outside the pocket, if any is.
    fn first_outside(&self, face: &Face, pocket: &CrownPocket) -> Option<f64> {
        self.seen_in(face, pocket).first_outside(pocket.diameter.si() / 2.0 + FIT)
    }

    /// The least way, with the first point outside the pocket: all before it are within; all after it, within or not, are farther from the
    /// crown than it is, and no point within is nearer than the crown.
    fn nearest(&self, crown: Height, floor: Height, outside: Option<f64>) -> f64 {
        let to = outside.unwrap_or(self.radius());
        let within = floor.least_greater(crown, (-self.radius(), to));
        outside.map_or(within, |q| within.min(crown.at(q)))
    }

    /// The ways to the crown plane and to the floor.
    fn ways(&self, face: &Face, pocket: &CrownPocket, along: MeasuredAlong) -> (Height, Height) {
        let (to_crown, to_floor) = along.factors(self.valve.tilt.si(), pocket.floor_angle.si());
        (self.above_crown(face).times(to_crown), self.above_floor(face, pocket).times(to_floor))
    }

    /// What [`PistonToValve::gap`] is at least, for all piston positions and lifts in two ranges.
    ///
    /// Every point of the head comes nearer to the crown and to the floor as the lift grows and the piston rises. Which points
    /// are outside the pocket may change either way; but a part of the disc that is within the pocket at the corners of the ranges is
    /// within it everywhere between, both being convex.
    pub(super) fn gap_bound(&self, x: Range, lift: Range, along: MeasuredAlong) -> f64 {
        let nearest = self.face(x.0, lift.1);
        let Some(pocket) = &self.pocket else {
            return self.gap(x.0, lift.1, along);
        };
        let (crown, floor) = self.ways(&nearest, pocket, along);
        let corners = [(x.0, lift.0), (x.0, lift.1), (x.1, lift.0), (x.1, lift.1)];
        let outside = |(x, lift): (f64, f64)| {
            // Without the fit's allowance: rounding must not decide what is within.
            self.seen_in(&self.face(x, lift), pocket).first_outside(pocket.diameter.si() / 2.0)
        };
        let first = corners.into_iter().filter_map(outside).min_by(f64::total_cmp);
        self.nearest(crown, floor, first)
    }

    /// Depth of the pocket at which the clearance is `needed`, SI: none where the crown plane outside the pocket, or a head outside it, forbids.
    ///
    /// Each point within the pocket needs `needed` above the floor or above the crown plane; the depth adds to the height above the
    /// floor alone.
    pub(super) fn depth_for(&self, x: f64, lift: f64, needed: f64, along: MeasuredAlong) -> Option<f64> {
        let face = self.face(x, lift);
        let pocket = self.pocket.as_ref()?;
        let (crown, _) = self.ways(&face, pocket, along);
        let outside = self.first_outside(&face, pocket);
        if outside.is_some_and(|q| crown.at(q) < needed) {
            return None;
        }
        let from = -self.radius();
        if crown.at(from) >= needed {
            return Some(0.0);
        }
        let to = outside.unwrap_or(self.radius());
        let to = if crown.slope > 0.0 { to.min((needed - crown.middle) / crown.slope) } else { to };
        let (_, to_floor) = along.factors(self.valve.tilt.si(), pocket.floor_angle.si());
        let floor = self.above_floor(&face, pocket);
        let nearest = floor.at(from).min(floor.at(to)) - pocket.depth.si();
        Some((needed / to_floor - nearest).max(0.0))
    }

    /// The lifts at which the lower face would stand where the edges of the margin are.
    fn edges(&self, lift: f64) -> [f64; 2] {
        [lift, lift - self.valve.margin.si()]
    }

    pub(super) fn pocket_wall(&self, x: f64, lift: f64) -> Option<f64> {
        let pocket = self.pocket.as_ref()?;
        let farthest = |lift: f64| {
            let face = self.face(x, lift);
            let crown = self.above_crown(&face);
            let below = crown.at(-self.radius()) < 0.0;
            let most = if crown.slope > 0.0 { -crown.middle / crown.slope } else { self.radius() };
            below.then(|| self.seen_in(&face, pocket).farthest(most.max(-self.radius())))
        };
        let farthest = self.edges(lift).into_iter().filter_map(farthest).max_by(f64::total_cmp)?;
        Some(pocket.diameter.si() / 2.0 - farthest)
    }

    pub(super) fn bore_wall(&self, lift: f64) -> f64 {
        let (sin, cos) = self.valve.tilt.si().sin_cos();
        let sideways = self.valve.sideways.si().abs();
        let farthest = |lift: f64| {
            let along = self.face(0.0, lift).across;
            Disc { radius: self.radius(), along, sideways, sin, cos }.farthest(self.radius())
        };
        let [lower, upper] = self.edges(lift).map(farthest);
        self.cylinder.bore().si() / 2.0 - lower.max(upper)
    }
}
