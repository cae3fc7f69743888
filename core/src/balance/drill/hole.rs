//! A hole in a counterweight: the mass it takes away, its unbalance, and the web left beside it.

use super::site::Way;
use core::f64::consts::PI;

/// The figures of one bored or drilled hole, SI.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Bore {
    /// Across the full diameter.
    pub(super) diameter: f64,
    /// Depth of the full diameter.
    pub(super) depth: f64,
    /// Height of the cone below it; zero where the bottom is flat.
    pub(super) cone: f64,
}

impl Bore {
    /// A bore whose bottom is a cone with this angle across; pi is flat.
    pub(super) fn pointed(diameter: f64, depth: f64, point: f64) -> Self {
        let cone = if point >= PI { 0.0 } else { diameter / 2.0 / (point / 2.0).tan() };
        Self { diameter, depth, cone }
    }

    fn section(&self) -> f64 {
        PI / 4.0 * self.diameter * self.diameter
    }

    /// Volume of cylinder and cone.
    pub(super) fn volume(&self) -> f64 {
        self.section() * (self.depth + self.cone / 3.0)
    }

    /// Volume of the cylinder alone: what a slug as long as the full depth fills.
    pub(super) fn cylinder(&self) -> f64 {
        self.section() * self.depth
    }

    /// Integral of the radius over the volume, for a mouth at a radius from the crank axis.
    ///
    /// Radial, x the distance from the axis along the drill: A h (R - h/2) of the cylinder and A c/3 (R - h - c/4) of the cone, whose
    /// centroid stands a quarter of its height from its base. Axial: all at one radius.
    pub(super) fn moment(&self, way: Way, mouth: f64) -> f64 {
        match way {
            Way::Axial => self.volume() * mouth,
            Way::Radial => {
                let bottom = mouth - self.depth;
                let cylinder = self.depth * (mouth - self.depth / 2.0);
                self.section() * (cylinder + self.cone / 3.0 * (bottom - self.cone / 4.0))
            }
        }
    }
}

/// Where a hole stands on its cheek: as seen along the crank axis, the line its axis covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) angle: f64,
    /// From the crank axis to the mouth.
    pub(super) outer: f64,
    /// From the crank axis to the end of the full diameter.
    pub(super) inner: f64,
    /// Along the crank axis.
    pub(super) position: f64,
    pub(super) way: Way,
    pub(super) diameter: f64,
}

impl Place {
    pub(super) fn new(bore: &Bore, way: Way, mouth: f64, angle: f64, position: f64) -> Self {
        let inner = match way {
            Way::Radial => mouth - bore.depth,
            Way::Axial => mouth,
        };
        Self { angle, outer: mouth, inner, position, way, diameter: bore.diameter }
    }

    /// The metal between two holes of one cheek at the thinnest, below zero where they meet.
    ///
    /// Radial holes converge, so the thinnest is at the end of the shallower one. Two radial holes may stand beside each other along the
    /// crank axis; of any other pair only the distance seen along the axis counts.
    pub(super) fn web(&self, other: &Self) -> f64 {
        let apart = self.apart(other);
        let along = match (self.way, other.way) {
            (Way::Radial, Way::Radial) => self.position - other.position,
            _ => 0.0,
        };
        apart.hypot(along) - (self.diameter + other.diameter) / 2.0
    }

    /// Least distance of the two axes seen along the crank: two pieces of rays from the centre.
    fn apart(&self, other: &Self) -> f64 {
        let turn = self.angle - other.angle;
        let (cos, sin) = (turn.cos(), turn.sin());
        let to_ray = |radius: f64, low: f64, high: f64| {
            let foot = (radius * cos).clamp(low, high);
            (radius * cos - foot).hypot(radius * sin)
        };
        to_ray(self.inner, other.inner, other.outer)
            .min(to_ray(self.outer, other.inner, other.outer))
            .min(to_ray(other.inner, self.inner, self.outer))
            .min(to_ray(other.outer, self.inner, self.outer))
    }

    /// The metal between the hole and an edge of the counterweight: a line from the centre at this angle.
    pub(super) fn web_to_edge(&self, edge: f64) -> f64 {
        let turn = (self.angle - edge).abs();
        let apart = if turn < PI / 2.0 { self.inner * turn.sin() } else { self.inner };
        apart - self.diameter / 2.0
    }
}
