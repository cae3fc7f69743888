//! One cylinder with its slider-crank: bore, stroke, rod length, pin offset.

use crate::error::{Result, finite, finite_positive, out_of_range};
use crate::units::{
    Acceleration, Angle, AngularVelocity, Area, Dimensioned, Length, Ratio, Velocity, Volume, written,
};
use core::f64::consts::PI;

/// Bore, stroke, rod length and pin offset of one cylinder; impossible to build invalid.
///
/// The stroke is twice the crank radius, as a crank is specified; with a pin offset the piston travels a little
/// further ([`Cylinder::travel`]). The pin offset is positive towards the major thrust side.
///
/// # Example
/// ```
/// use swept::geometry::Cylinder;
/// use swept::units::{parse, Dimensioned};
/// let c = Cylinder::new(parse("86 mm")?, parse("86 mm")?, parse("143 mm")?, parse("0 mm")?)?;
/// assert!((c.swept_volume().si() - 499.557e-6).abs() < 1e-9);
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "Plain", into = "Plain")]
pub struct Cylinder {
    bore: Length,
    stroke: Length,
    rod_length: Length,
    pin_offset: Length,
}

/// No engine is larger, and nothing overflows below it.
const MOST_METRES: f64 = 1000.0;

/// The cylinder as plain SI numbers, for serde.
#[derive(serde::Serialize, serde::Deserialize)]
struct Plain {
    bore_m: f64,
    stroke_m: f64,
    rod_length_m: f64,
    pin_offset_m: f64,
}

impl From<Cylinder> for Plain {
    fn from(c: Cylinder) -> Self {
        Self {
            bore_m: c.bore.si(),
            stroke_m: c.stroke.si(),
            rod_length_m: c.rod_length.si(),
            pin_offset_m: c.pin_offset.si(),
        }
    }
}

impl TryFrom<Plain> for Cylinder {
    type Error = crate::Error;
    fn try_from(p: Plain) -> Result<Self> {
        let length = Length::from_si;
        Self::new(length(p.bore_m), length(p.stroke_m), length(p.rod_length_m), length(p.pin_offset_m))
    }
}

impl Cylinder {
    /// A cylinder from bore, stroke (twice the crank radius), rod length (centre to centre) and pin offset.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless bore, stroke and rod length are above zero and at most 1000 m, and
    /// crank radius + |pin offset| < rod length (else the crank cannot turn).
    pub fn new(bore: Length, stroke: Length, rod_length: Length, pin_offset: Length) -> Result<Self> {
        let bore = finite_positive("bore", bore)?;
        let stroke = finite_positive("stroke", stroke)?;
        let rod_length = finite_positive("rod length", rod_length)?;
        let pin_offset = finite("pin offset", pin_offset)?;
        for (name, length) in [("bore", bore), ("stroke", stroke), ("rod length", rod_length)] {
            if length.si() > MOST_METRES {
                return Err(out_of_range(name, length, format!("at most {MOST_METRES} m")));
            }
        }
        let least = stroke / 2.0 + pin_offset.abs();
        if least >= rod_length {
            let allowed = format!("above crank radius + |pin offset| = {}", written(least));
            return Err(out_of_range("rod length", rod_length, allowed));
        }
        Ok(Self { bore, stroke, rod_length, pin_offset })
    }

    /// A cylinder of figures that were checked before, or whose outputs are then checked to be numbers, as a study's are.
    #[inline]
    pub(crate) fn unchecked(bore: Length, stroke: Length, rod_length: Length, pin_offset: Length) -> Self {
        Self { bore, stroke, rod_length, pin_offset }
    }

    /// Bore diameter.
    #[inline]
    pub fn bore(&self) -> Length {
        self.bore
    }

    /// Stroke as the crank is specified: twice the crank radius.
    #[inline]
    pub fn stroke(&self) -> Length {
        self.stroke
    }

    /// Rod length, centre to centre.
    #[inline]
    pub fn rod_length(&self) -> Length {
        self.rod_length
    }

    /// Pin offset, positive towards the major thrust side.
    #[inline]
    pub fn pin_offset(&self) -> Length {
        self.pin_offset
    }

    /// Crank radius (throw): half the stroke.
    #[inline]
    pub fn crank_radius(&self) -> Length {
        self.stroke / 2.0
    }

    /// Pin height above the main centre at true top dead centre: sqrt((l + r)^2 - d^2), which is l + r without offset.
    #[inline]
    pub fn pin_height_at_tdc(&self) -> Length {
        self.dead_centre_height(self.rod_length + self.crank_radius())
    }

    /// Pin height above the main centre at true bottom dead centre: sqrt((l - r)^2 - d^2).
    #[inline]
    pub fn pin_height_at_bdc(&self) -> Length {
        self.dead_centre_height(self.rod_length - self.crank_radius())
    }

    #[inline]
    fn dead_centre_height(&self, reach: Length) -> Length {
        if self.pin_offset.si() == 0.0 {
            return reach;
        }
        (reach * reach - self.pin_offset * self.pin_offset).sqrt()
    }

    /// True piston travel between the dead centres.
    ///
    /// S = sqrt((l + r)^2 - d^2) - sqrt((l - r)^2 - d^2), with l rod length, r crank radius, d pin offset; equal to the
    /// stroke without offset.
    ///
    /// # Source
    /// Geometry; Heywood, Internal Combustion Engine Fundamentals (1988), section 2.2 for d = 0 (from memory).
    #[inline]
    pub fn travel(&self) -> Length {
        if self.pin_offset.si() == 0.0 {
            return self.stroke;
        }
        self.pin_height_at_tdc() - self.pin_height_at_bdc()
    }

    /// Bore area: pi/4 x bore^2.
    #[inline]
    pub fn area(&self) -> Area {
        self.bore * self.bore * (PI / 4.0)
    }

    /// Swept volume of this cylinder: bore area x travel.
    ///
    /// # Source
    /// Heywood (1988), section 2.2 (from memory).
    #[inline]
    pub fn swept_volume(&self) -> Volume {
        self.area() * self.travel()
    }

    /// Rod/stroke ratio: rod length / stroke.
    #[inline]
    pub fn rod_ratio(&self) -> Ratio {
        self.rod_length / self.stroke
    }

    /// Bore/stroke ratio; above one is oversquare.
    #[inline]
    pub fn bore_stroke_ratio(&self) -> Ratio {
        self.bore / self.stroke
    }

    /// Mean piston speed: 2 x travel x revolutions per second.
    ///
    /// # Source
    /// Heywood (1988), eq. 2.9 (from memory).
    #[inline]
    pub fn mean_piston_speed(&self, speed: AngularVelocity) -> Velocity {
        Velocity::from_si(self.travel().si() * speed.si() / PI)
    }

    /// Largest magnitude of the piston acceleration over a revolution at steady speed.
    ///
    /// Without pin offset it is r w^2 (1 + r/l), at top dead centre. With offset it lies near, not at, top dead centre; then the
    /// exact acceleration is searched there.
    ///
    /// # Source
    /// Heywood (1988), section 2.2; any text on slider-cranks (from memory).
    pub fn peak_acceleration(&self, speed: AngularVelocity) -> Acceleration {
        if self.pin_offset.si() == 0.0 {
            return self.acceleration_at_tdc(speed);
        }
        let at = |angle: f64| self.piston_acceleration(Angle::from_si(angle), speed).si().abs();
        let steps = 720;
        let width = 2.0 * PI / f64::from(steps);
        let best =
            (0..steps).map(|i| f64::from(i) * width).max_by(|a, b| at(*a).total_cmp(&at(*b))).unwrap_or(0.0);
        Acceleration::from_si(at(golden_maximum(best - width, best + width, at)))
    }

    /// Acceleration at top dead centre without pin offset: r w^2 (1 + r/l).
    #[inline]
    pub(crate) fn acceleration_at_tdc(&self, speed: AngularVelocity) -> Acceleration {
        let (r, l, w) = (self.crank_radius().si(), self.rod_length.si(), speed.si());
        Acceleration::from_si(r * (w * w) * (1.0 + r / l))
    }

    /// Largest rod angle to the cylinder axis over a revolution, the angle of peak side thrust: asin((r + |d|) / l).
    #[inline]
    pub fn peak_rod_angle(&self) -> Angle {
        ((self.crank_radius() + self.pin_offset.abs()) / self.rod_length).asin()
    }
}

/// Where a function with one maximum in the interval is largest, by golden sections.
fn golden_maximum(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let ratio = (5f64.sqrt() - 1.0) / 2.0; // golden section
    let (mut a, mut b) = (low, high);
    for _ in 0..60 {
        let (left, right) = (b - ratio * (b - a), a + ratio * (b - a));
        if f(left) >= f(right) {
            b = right;
        } else {
            a = left;
        }
    }
    (a + b) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use proptest::prelude::*;

    fn mm(bore: f64, stroke: f64, rod: f64, offset: f64) -> Result<Cylinder> {
        let l = |x: f64| Length::from_si(x / 1000.0);
        Cylinder::new(l(bore), l(stroke), l(rod), l(offset))
    }

    #[test]
    fn a_crank_that_cannot_turn_is_refused() {
        for (bore, stroke, rod, offset) in [
            (0.0, 86.0, 143.0, 0.0),
            (86.0, -1.0, 143.0, 0.0),
            (86.0, 86.0, 43.0, 0.0),
            (86.0, 86.0, 44.0, -1.0),
        ] {
            let error = mm(bore, stroke, rod, offset).unwrap_err();
            assert_eq!(error.kind(), ErrorKind::OutOfRange);
        }
        assert_eq!(mm(f64::NAN, 86.0, 143.0, 0.0).unwrap_err().kind(), ErrorKind::NotFinite);
    }

    #[test]
    fn serde_goes_through_the_checks() {
        let c = mm(86.0, 86.0, 143.0, 0.5).unwrap();
        let text = serde_json::to_string(&c).unwrap();
        assert_eq!(serde_json::from_str::<Cylinder>(&text).unwrap(), c);
        assert!(serde_json::from_str::<Cylinder>(&text.replace("0.143", "0.01")).is_err());
    }

    proptest! {
        #[test]
        fn displacement_grows_with_bore_and_stroke(b in 30.0..200.0f64, s in 30.0..200.0f64, more in 1.001..1.5f64, d in -3.0..3.0f64) {
            let base = mm(b, s, 400.0, d).unwrap().swept_volume();
            prop_assert!(mm(b * more, s, 400.0, d).unwrap().swept_volume() > base);
            prop_assert!(mm(b, s * more, 400.0, d).unwrap().swept_volume() > base);
        }

        #[test]
        fn peak_acceleration_bounds_every_angle(s in 40.0..120.0f64, n in 1.3..3.0f64, d in -3.0..3.0f64, angle in 0.0..6.3f64) {
            let c = mm(86.0, s, s * n, d).unwrap();
            let w = AngularVelocity::from_si(600.0);
            let peak = c.peak_acceleration(w).si();
            prop_assert!(c.piston_acceleration(Angle::from_si(angle), w).si().abs() <= peak * (1.0 + 1e-9));
        }
    }
}
