//! Distance between the heads of two open valves.
//!
//! A head is a flat round body: the cylinder between the two edges of its margin. Two such bodies are nearest at an edge of one of
//! them (or, where two margins cross, hardly nearer); the distance of a point to such a body is a closed form.

use super::{CrankGrid, ValveHead, ValveMotion};
use crate::error::{Result, finite, non_negative};
use crate::units::{Angle, Dimensioned, Length};
use core::f64::consts::PI;
use nalgebra::Vector3;

/// Places on an edge that a search starts from.
const PLACES: i32 = 64;

/// Stems that lie nearer to a common plane than this (m of centre from the plane) are taken to lie in it.
const FLAT: f64 = 1e-12;

/// Two valves above one bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValvePair {
    first: ValveHead,
    second: ValveHead,
    turned: Angle,
}

/// The distance between two heads; zero where they meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadDistance {
    /// The distance between the nearest points found.
    pub distance: Length,
    /// What the distance is proved to be at least: the gap between two parallel planes that part the heads.
    pub at_least: Length,
}

/// The least distance between two heads while both valves are open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastHeadDistance {
    /// The distance.
    pub least: HeadDistance,
    /// The first crank angle of the grid that has it, from overlap top dead centre.
    pub crank: Angle,
    /// The lift of the first valve there.
    pub first_lift: Length,
    /// The lift of the second valve there.
    pub second_lift: Length,
}

/// A head as a body in space. SI.
#[derive(Clone, Copy)]
struct Body {
    /// Centre of the lower face.
    centre: Vector3<f64>,
    /// Up the stem, unit length.
    up: Vector3<f64>,
    radius: f64,
    margin: f64,
}

impl Body {
    /// A head with its plane of tilt turned about the bore axis, at a lift.
    fn new(head: &ValveHead, turned: f64, lift: f64) -> Self {
        let ((sin, cos), (s, c)) = (head.tilt.si().sin_cos(), turned.sin_cos());
        let at = |u: f64, v: f64, z: f64| Vector3::new(u * c - v * s, u * s + v * c, z);
        let up = at(-sin, 0.0, cos);
        let seated = at(head.offset.si(), head.sideways.si(), head.height.si());
        Self { centre: seated - up * lift, up, radius: head.diameter.si() / 2.0, margin: head.margin.si() }
    }

    /// The point of the body nearest to a point.
    fn nearest(&self, point: &Vector3<f64>) -> Vector3<f64> {
        let from = point - self.centre;
        let height = from.dot(&self.up);
        let across = from - self.up * height;
        let reach = across.norm();
        let share = if reach > self.radius { self.radius / reach } else { 1.0 };
        self.centre + self.up * height.clamp(0.0, self.margin) + across * share
    }

    /// How far the body reaches along a direction of unit length.
    fn reach(&self, direction: &Vector3<f64>) -> f64 {
        let up = direction.dot(&self.up);
        let across = (direction - self.up * up).norm();
        self.centre.dot(direction) + self.radius * across + (self.margin * up).max(0.0)
    }

    /// Two directions square to the stem and to each other.
    fn axes(&self) -> (Vector3<f64>, Vector3<f64>) {
        // Any axis that is far from the stem's direction serves.
        let aside = if self.up.x.abs() < 0.6 { Vector3::x() } else { Vector3::y() };
        let first = self.up.cross(&aside).normalize();
        (first, self.up.cross(&first))
    }

    /// The centres of the two edges of the margin.
    fn edges(&self) -> [Vector3<f64>; 2] {
        [self.centre, self.centre + self.up * self.margin]
    }
}

/// Two points, one of each body, and their distance.
#[derive(Clone, Copy)]
struct Chord {
    from: Vector3<f64>,
    to: Vector3<f64>,
    length: f64,
}

impl Chord {
    fn new(from: Vector3<f64>, body: &Body) -> Self {
        let to = body.nearest(&from);
        Self { from, to, length: (to - from).norm() }
    }

    fn shorter(self, other: Self) -> Self {
        if other.length < self.length { other } else { self }
    }
}

impl ValvePair {
    /// Two valves; the plane of tilt of the second is turned about the bore axis from that of the first: by 180 deg with the stems in a V
    /// that opens upward, by zero with both leaning the same way.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`].
    pub fn new(first: ValveHead, second: ValveHead, turned: Angle) -> Result<Self> {
        Ok(Self { first, second, turned: finite("angle between the valves' planes of tilt", turned)? })
    }

    /// The distance between the heads at two lifts.
    ///
    /// With stems and centres in one plane the nearest points lie in that plane (both heads are alike on its two sides), so that the corners
    /// of the two sections, held against the other head, answer exactly. Else every edge is looked at in 64 places, and the best place is
    /// closed in on. Either way the direction n between the points found proves a bound: the distance of two convex bodies is at
    /// least min(n a) over the one less max(n b) over the other. A bound of zero or less tells of heads that meet.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    ///
    /// # Source
    /// Separating planes: Boyd and Vandenberghe, Convex Optimization, section 2.5 and 8.2 (from memory).
    pub fn distance(&self, first_lift: Length, second_lift: Length) -> Result<HeadDistance> {
        let first = Body::new(&self.first, 0.0, non_negative("lift of the first valve", first_lift)?.si());
        let lift = non_negative("lift of the second valve", second_lift)?.si();
        Ok(distance(&first, &Body::new(&self.second, self.turned.si(), lift)))
    }

    /// The least distance between the heads over the angles of a grid at which both valves are open; none without such an angle.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    pub fn least<F: Fn(Angle) -> Length, G: Fn(Angle) -> Length>(
        &self,
        grid: CrankGrid,
        first: &ValveMotion<F>,
        second: &ValveMotion<G>,
    ) -> Result<Option<LeastHeadDistance>> {
        let closed = Length::from_si(0.0);
        let mut best: Option<LeastHeadDistance> = None;
        for step in -grid.half()..=grid.half() {
            let crank = grid.angle(step);
            let (first_lift, second_lift) = (first.at(crank)?, second.at(crank)?);
            if first_lift <= closed || second_lift <= closed {
                continue;
            }
            let least = self.distance(first_lift, second_lift)?;
            if best.is_none_or(|b| least.distance < b.least.distance) {
                best = Some(LeastHeadDistance { least, crank, first_lift, second_lift });
            }
        }
        Ok(best)
    }
}

fn distance(a: &Body, b: &Body) -> HeadDistance {
    let chord = match common_plane(a, b) {
        Some(normal) => corner(a, b, &normal).shorter(corner(b, a, &normal)),
        None => edge(a, b).shorter(edge(b, a)),
    };
    let proved = if chord.length > 0.0 { parted(a, b, &chord).max(parted(b, a, &chord)) } else { 0.0 };
    let found = if proved > 0.0 { chord.length } else { 0.0 };
    // Rounding may set the proof above the distance.
    HeadDistance { distance: Length::from_si(found), at_least: Length::from_si(proved.clamp(0.0, found)) }
}

/// The normal of the plane that holds both stems, where there is one.
fn common_plane(a: &Body, b: &Body) -> Option<Vector3<f64>> {
    let between = b.centre - a.centre;
    let normal =
        [a.up.cross(&b.up), a.up.cross(&between), a.axes().0].into_iter().find(|n| n.norm() > FLAT)?;
    let normal = normal.normalize();
    (normal.dot(&between).abs() <= FLAT && normal.dot(&b.up).abs() <= FLAT).then_some(normal)
}

/// The shortest chord from a corner of the section of `a` to `b`.
fn corner(a: &Body, b: &Body, normal: &Vector3<f64>) -> Chord {
    let out = normal.cross(&a.up).normalize() * a.radius;
    let [low, high] = a.edges();
    let [p, q, r, s] = [low + out, low - out, high + out, high - out].map(|corner| Chord::new(corner, b));
    p.shorter(q).shorter(r).shorter(s)
}

/// The shortest chord from an edge of `a` to `b`.
fn edge(a: &Body, b: &Body) -> Chord {
    let (e, f) = a.axes();
    let [low, high] = a.edges().map(|centre| {
        let at = |angle: f64| Chord::new(centre + (e * angle.cos() + f * angle.sin()) * a.radius, b);
        around(at)
    });
    low.shorter(high)
}

/// The shortest chord of a turn: the best of equal steps, closed in on by golden sections.
fn around(at: impl Fn(f64) -> Chord) -> Chord {
    let step = 2.0 * PI / f64::from(PLACES);
    let length = |k: &i32| at(step * f64::from(*k)).length;
    let best = (0..PLACES).min_by(|a, b| length(a).total_cmp(&length(b))).unwrap_or(0);
    let ratio = (5f64.sqrt() - 1.0) / 2.0; // golden section
    let (mut low, mut high) = (step * f64::from(best - 1), step * f64::from(best + 1));
    for _ in 0..45 {
        let (left, right) = (high - ratio * (high - low), low + ratio * (high - low));
        if at(left).length <= at(right).length {
            high = right;
        } else {
            low = left;
        }
    }
    at((low + high) / 2.0).shorter(at(step * f64::from(best)))
}

/// How far `b` is beyond `a` in the direction of a chord.
fn parted(a: &Body, b: &Body, chord: &Chord) -> f64 {
    let direction = (chord.to - chord.from) / chord.length;
    -b.reach(&-direction) - a.reach(&direction)
}
