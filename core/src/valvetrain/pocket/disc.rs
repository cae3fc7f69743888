//! A tilted disc seen along the axis of a cylinder: which of its points lie within the cylinder.
//!
//! A point of the disc has the coordinate q along the disc in the plane of the tilt, from -radius to radius, and one square to it.
//! Seen along the axis, q is foreshortened. What is asked are concave functions of q, so that an end or one bisection answers.

/// A disc seen along an axis, SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    pub radius: f64,
    /// From the axis to the centre, in the plane of the tilt.
    pub along: f64,
    /// From the axis to the centre, square to that plane; its size.
    pub sideways: f64,
    /// Sine and cosine of the disc's angle to the section square to the axis; the cosine is above zero.
    pub sin: f64,
    pub cos: f64,
}

impl Disc {
    /// Half the chord at q.
    fn chord(&self, q: f64) -> f64 {
        (self.radius * self.radius - q * q).max(0.0).sqrt()
    }

    /// Square of the distance from the axis to the farther rim point at q: concave, as its terms in q^2 sum to -(sin q)^2.
    fn farthest_squared(&self, q: f64) -> f64 {
        let (s, v) = (self.along + self.cos * q, self.sideways + self.chord(q));
        s * s + v * v
    }

    /// Where [`Disc::farthest_squared`] would be greatest without the offset sideways.
    fn farthest_in_plane(&self) -> f64 {
        let (r, pull, bend) = (self.radius, self.along * self.cos, self.sin * self.sin);
        // Without bend the function is straight and greatest at an end.
        if pull.abs() >= bend * r { r.copysign(pull) } else { pull / bend }
    }

    /// Where [`Disc::farthest_squared`] is greatest.
    fn farthest_at(&self) -> f64 {
        if self.sideways == 0.0 {
            return self.farthest_in_plane();
        }
        let (pull, bend) = (self.along * self.cos, self.sin * self.sin);
        let falls = |q: f64| pull - bend * q <= self.sideways * q / self.chord(q);
        bisect(-self.radius, self.radius, falls)
    }

    /// The greatest distance from the axis of the rim points with q of at most `most` (at least -radius).
    pub(super) fn farthest(&self, most: f64) -> f64 {
        self.farthest_squared(self.farthest_at().min(most)).sqrt()
    }

    /// Whether the whole disc is within a cylinder of this radius about the axis, however it is tilted: quick to tell.
    fn clear_of(&self, cylinder: f64) -> bool {
        let room = cylinder - self.radius;
        room >= 0.0 && self.along * self.along + self.sideways * self.sideways <= room * room
    }

    /// The least q of a point outside a cylinder of this radius about the axis; none where the whole disc is within it.
    pub(super) fn first_outside(&self, cylinder: f64) -> Option<f64> {
        if self.clear_of(cylinder) {
            return None;
        }
        let outside = |q: f64| self.farthest_squared(q) > cylinder * cylinder;
        if outside(-self.radius) {
            return Some(-self.radius);
        }
        // What is outside is one stretch of q: any place in it brackets its start.
        let near = self.farthest_in_plane();
        let place = if outside(near) { near } else { self.farthest_at() };
        outside(place).then(|| bisect(-self.radius, place, outside))
    }
}

/// The first place between `low` and `high` that is `past`, which holds from one place on up to `high`, to 2^-50 of the way: a last bit.
fn bisect(low: f64, high: f64, past: impl Fn(f64) -> bool) -> f64 {
    let (mut a, mut b) = (low, high);
    for _ in 0..50 {
        let middle = a + (b - a) / 2.0;
        if past(middle) {
            b = middle;
        } else {
            a = middle;
        }
    }
    b
}
