//! What shifts the phase of a cam: offset keys and bushes, a stretched chain, a milled head or a thicker gasket.
//!
//! Every shift is an advance in crank angle, positive where the cam comes earlier: what [`super::CamTiming::advanced`] takes.

use crate::error::{Result, finite, finite_positive, non_negative, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, written};
use crate::valvetrain::CamAngle;
use core::f64::consts::PI;

/// A part made to shift the phase by an offset at a radius.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OffsetPart {
    /// A stepped key between camshaft and sprocket, at the radius of the shaft.
    ///
    /// The step is flat: the upper half stands off the plane of symmetry of the lower half by the offset e, and meets the surface of the shaft,
    /// radius r, at asin(e / r) of the cam.
    CamKey,
    /// An eccentric bush on the dowel between camshaft and sprocket, at the radius of the dowel's circle.
    ///
    /// Dowel and hole of the sprocket both stand on the radius r, their centres apart by the eccentricity e of the bush: a chord, so the cam turns by
    /// 2 asin(e / 2r).
    CamBush,
    /// A stepped key between crankshaft and sprocket, at the radius of the shaft: asin(e / r) of the crank.
    CrankKey,
}

impl OffsetPart {
    /// The advance, crank angle, that an offset at a radius gives. The offset is positive where the driven part stands ahead in running direction:
    /// the cam of its sprocket, the sprocket of the crank.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a radius not above zero or an offset larger than it.
    ///
    /// # Source
    /// Geometry.
    ///
    /// # Example
    /// ```
    /// use swept::{units::parse, valvetrain::timing::OffsetPart};
    /// let advance = OffsetPart::CamKey.advance(parse("0.5 mm")?, parse("14 mm")?)?;
    /// assert!((advance.value.to_degrees() - 4.0934).abs() < 1e-4);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn advance(self, offset: Length, radius: Length) -> Result<Angle> {
        let radius = finite_positive("radius", radius)?;
        let offset = finite("offset", offset)?;
        if offset.abs() > radius {
            return Err(out_of_range("offset", offset, format!("within the radius, {}", written(radius))));
        }
        let key = (offset / radius).asin();
        Ok(match self {
            Self::CamKey => CamAngle::of_cam(key).on_crank(),
            Self::CamBush => CamAngle::of_cam((offset / (radius * 2.0)).asin() * 2.0).on_crank(),
            Self::CrankKey => key,
        })
    }

    /// The offset that gives an advance, crank angle.
    ///
    /// # Errors
    /// As [`OffsetPart::advance`]; [`crate::Error::NoSolution`] for an advance out of reach.
    pub fn offset_for(self, advance: Angle, radius: Length) -> Result<Length> {
        let wanted = finite("advance", advance)?;
        let most = finite_positive("radius", radius)?.si();
        let off = |offset: f64| Ok((self.advance(Length::from_si(offset), radius)? - wanted).si());
        bracketed("offset", -most, most, off).map(Length::from_si)
    }
}

/// Pitch radius of a sprocket: pitch / (2 sin(pi / teeth)).
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a pitch not above zero or fewer than 3 teeth.
///
/// # Source
/// ISO 606, roller chains and sprockets (from memory); geometry of the regular polygon.
pub fn sprocket_pitch_radius(pitch: Length, teeth: u32) -> Result<Length> {
    let pitch = finite_positive("chain pitch", pitch)?;
    if teeth < 3 {
        return Err(crate::Error::OutOfRange {
            field: "teeth".into(),
            value: teeth.to_string(),
            allowed: "3 or more".into(),
        });
    }
    Ok(pitch / (2.0 * (PI / f64::from(teeth)).sin()))
}

/// A chain or a belt straight from the crank to an overhead cam, tight on the side that the crank pulls.
///
/// The chain is taken as a band on the pitch circles, free between them; a guide that bends the tight span is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainDrive {
    crank_radius: Length,
    cam_radius: Length,
    centre_distance: Length,
}

impl ChainDrive {
    /// From the pitch radii of the sprockets of crank and cam and the distance of their centres.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless the radii are above zero and the centres further apart than their sum.
    pub fn new(crank_radius: Length, cam_radius: Length, centre_distance: Length) -> Result<Self> {
        let crank_radius = finite_positive("pitch radius of the crank sprocket", crank_radius)?;
        let cam_radius = finite_positive("pitch radius of the cam sprocket", cam_radius)?;
        let centre_distance = finite_positive("centre distance", centre_distance)?;
        let least = crank_radius + cam_radius;
        if centre_distance <= least {
            let allowed = format!("above the sum of the pitch radii, {}", written(least));
            return Err(out_of_range("centre distance", centre_distance, allowed));
        }
        Ok(Self { crank_radius, cam_radius, centre_distance })
    }

    /// Pitch radius of the crank sprocket.
    pub fn crank_radius(&self) -> Length {
        self.crank_radius
    }

    /// Pitch radius of the cam sprocket.
    pub fn cam_radius(&self) -> Length {
        self.cam_radius
    }

    /// Distance of the centres.
    pub fn centre_distance(&self) -> Length {
        self.centre_distance
    }

    /// Length of the free tight span, the outer tangent: sqrt(C^2 - (R - r)^2), with the centre distance C and the pitch radii R of the cam and r of the
    /// crank.
    pub fn tight_span(&self) -> Length {
        let (centres, step) = (self.centre_distance.si(), self.step());
        Length::from_si(((centres - step) * (centres + step)).sqrt())
    }

    /// R - r, SI.
    fn step(&self) -> f64 {
        (self.cam_radius - self.crank_radius).si()
    }

    /// What of the chain's length between a tooth of the crank and a tooth of the cam changes with the centre distance, SI: the tangent, and the wraps,
    /// which grow by the tangent's slope g = asin((R - r) / C) on the cam and shrink by it on the crank.
    fn run(&self) -> f64 {
        let step = self.step();
        self.tight_span().si() + step * (step / self.centre_distance.si()).asin()
    }

    /// The advance, crank angle, that stretch brings, never above zero: the cam lags by the elongation of the tight span / R of its own angle.
    ///
    /// What the rollers climb on the teeth of a worn chain is left out.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an elongation below zero or longer than the span.
    ///
    /// # Source
    /// Geometry.
    pub fn advance_from_stretch(&self, elongation: Length) -> Result<Angle> {
        let elongation = non_negative("elongation of the tight span", elongation)?;
        let span = self.tight_span();
        if elongation > span {
            let allowed = format!("at most the span, {}", written(span));
            return Err(out_of_range("elongation of the tight span", elongation, allowed));
        }
        Ok(CamAngle::of_cam(-Angle::from(elongation / self.cam_radius)).on_crank())
    }

    /// The advance, crank angle, that a change of the centre distance brings, the crank standing still: below zero for a milled head or deck (centres
    /// closer), above for a thicker gasket.
    ///
    /// The chain keeps its length from a tooth of the crank to a tooth of the cam. Along the tight side that is arc + tangent + arc, of which
    /// S(C) = sqrt(C^2 - (R - r)^2) + (R - r) asin((R - r) / C) depends on the centre distance; what S loses, the cam makes up by standing back, and the
    /// tensioner takes it from the slack side: cam angle = (S(C + change) - S(C)) / R. For a small change it is change x cos(g) / R, with sin(g) = (R - r) / C.
    ///
    /// The change is taken along the line of centres.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] where the sprockets would touch.
    ///
    /// # Source
    /// Geometry, as derived above.
    pub fn advance_from_centre_distance(&self, change: Length) -> Result<Angle> {
        let change = finite("change of the centre distance", change)?;
        let moved = Self::new(self.crank_radius, self.cam_radius, self.centre_distance + change)?;
        let gained = Length::from_si(moved.run() - self.run());
        Ok(CamAngle::of_cam(Angle::from(gained / self.cam_radius)).on_crank())
    }
}
