//! Lobes made of motion programmes.

use super::piece::{Form, Piece, TERMS};
use super::{LiftCurve, TURN, degrees};
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::CamAngle;
use core::f64::consts::{PI, TAU};

/// The rise of the 3-4-5 programme, x from 0 to 1: 10 x^3 - 15 x^4 + 6 x^5.
#[inline(always)]
pub(crate) fn rise_345(x: f64) -> f64 {
    x * x * x * (10.0 + x * (6.0 * x - 15.0))
}

/// A rise from 0 to 1 over x from 0 to 1, without velocity at either end.
///
/// # Source
/// Norton, Cam Design and Manufacturing Handbook, chapters 2 to 4 (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Programme {
    /// 10 x^3 - 15 x^4 + 6 x^5: no acceleration at the ends.
    Polynomial345,
    /// 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7: neither acceleration nor jerk at the ends.
    Polynomial4567,
    /// x - sin(2 pi x) / (2 pi): no acceleration at the ends.
    Cycloidal,
    /// (1 - cos(pi x)) / 2: the acceleration jumps at both ends.
    Harmonic,
}

impl Programme {
    /// Integral from zero, value and three derivatives at x.
    pub(super) fn at(self, x: f64) -> [f64; 5] {
        match self {
            Self::Polynomial345 => {
                let (x2, u) = (x * x, 1.0 - x);
                [
                    x2 * x2 * (2.5 + x * (x - 3.0)),
                    rise_345(x),
                    30.0 * x2 * u * u,
                    60.0 * x * u * (1.0 - 2.0 * x),
                    60.0 - 360.0 * x * u,
                ]
            }
            Self::Polynomial4567 => {
                let (x2, u) = (x * x, 1.0 - x);
                [
                    x2 * x2 * x * (7.0 + x * (x * (10.0 - 2.5 * x) - 14.0)),
                    x2 * x2 * (35.0 + x * (x * (70.0 - 20.0 * x) - 84.0)),
                    140.0 * x2 * x * u * u * u,
                    420.0 * x2 * u * u * (1.0 - 2.0 * x),
                    840.0 * x * u * (1.0 - 5.0 * x * u),
                ]
            }
            Self::Cycloidal => {
                let (sin, cos) = (TAU * x).sin_cos();
                [
                    x * x / 2.0 - (1.0 - cos) / (TAU * TAU),
                    x - sin / TAU,
                    1.0 - cos,
                    TAU * sin,
                    TAU * TAU * cos,
                ]
            }
            Self::Harmonic => {
                let (sin, cos) = (PI * x).sin_cos();
                [
                    x / 2.0 - sin / TAU,
                    (1.0 - cos) / 2.0,
                    PI / 2.0 * sin,
                    PI * PI / 2.0 * cos,
                    -PI * PI * PI / 2.0 * sin,
                ]
            }
        }
    }

    /// The integral of the integral from 0 to 1. The integral itself is 1/2 for all: each is symmetrical.
    pub(super) fn second_integral(self) -> f64 {
        match self {
            Self::Polynomial345 => 1.0 / 7.0,
            Self::Polynomial4567 => 5.0 / 36.0,
            Self::Cycloidal => 1.0 / 6.0 - 1.0 / (TAU * TAU),
            Self::Harmonic => 1.0 / 4.0 - 1.0 / (PI * PI),
        }
    }
}

/// Share of a ramp's length over which its velocity builds up.
const BUILD_UP: f64 = 0.25;

/// A ramp between base circle and flank that takes up the lash at constant velocity.
///
/// Over the first quarter of its length the velocity builds up from nothing, as the flank's programme rises; then it is
/// constant: height / (length (1 - 1/8)). The quarter is a choice of this library.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    height: Length,
    length: CamAngle,
}

impl Ramp {
    /// A ramp that gains `height` over `length` of the cam.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for figures not above zero.
    pub fn new(height: Length, length: CamAngle) -> Result<Self> {
        let height = finite_positive("height of the ramp", height)?;
        Ok(Self { height, length: positive_angle("length of the ramp", length)? })
    }

    /// Lift at its upper end.
    pub fn height(&self) -> Length {
        self.height
    }

    /// Its length.
    pub fn length(&self) -> CamAngle {
        self.length
    }

    /// Its constant velocity, per radian of the cam.
    pub fn velocity(&self) -> Length {
        self.height / (self.length.on_cam().si() * (1.0 - BUILD_UP / 2.0))
    }
}

/// One flank of a lobe: a motion programme over a length of the cam, perhaps on a ramp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flank {
    programme: Programme,
    length: CamAngle,
    ramp: Option<Ramp>,
}

impl Flank {
    /// A flank without a ramp.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a length not above zero.
    pub fn new(programme: Programme, length: CamAngle) -> Result<Self> {
        Ok(Self { programme, length: positive_angle("length of the flank", length)?, ramp: None })
    }

    /// The flank with a ramp before it; the length of the ramp comes on top of the flank's.
    ///
    /// The velocity of the ramp, v, dies away over the flank as the programme S rises, and the programme raises the rest of the lift:
    /// s = height + v length (x - integral of S) + (lift - height - v length / 2) S(x). So lift and velocity are continuous whatever
    /// the programme, acceleration where the programme starts and ends without it, and the flank never falls.
    #[must_use]
    pub fn with_ramp(self, ramp: Ramp) -> Self {
        Self { ramp: Some(ramp), ..self }
    }

    /// Length with the ramp, rad.
    fn total(&self) -> f64 {
        self.length.on_cam().si() + self.ramp.map_or(0.0, |r| r.length.on_cam().si())
    }

    /// The pieces of a rising flank that ends at the angle zero, with their starts.
    fn rising(&self, lift: Length) -> Result<Vec<Piece>> {
        let (length, ramp) = (self.length.on_cam().si(), self.ramp_pieces());
        let (height, along) = self.ramp.map_or((0.0, 0.0), |r| (r.height.si(), r.velocity().si() * length));
        let rise = lift.si() - height - along / 2.0;
        if rise <= 0.0 {
            let needs = Length::from_si(height + along / 2.0);
            let needs = crate::units::written(needs);
            return Err(out_of_range(
                "lift",
                lift,
                format!("above {needs}, what the ramp and its speed raise"),
            ));
        }
        let form = Form::Programme { programme: self.programme, base: height, along, fading: -along, rise };
        let main = Piece { start: -length, end: 0.0, mirrored: false, form };
        Ok(ramp.into_iter().flatten().chain([main]).collect())
    }

    fn ramp_pieces(&self) -> Option<[Piece; 2]> {
        let ramp = self.ramp?;
        let (velocity, whole) = (ramp.velocity().si(), ramp.length.on_cam().si());
        let (build_up, end) = (BUILD_UP * whole, -self.length.on_cam().si());
        let (start, joint, gained) = (end - whole, end - whole + build_up, velocity * build_up);
        let form =
            Form::Programme { programme: self.programme, base: 0.0, along: 0.0, fading: gained, rise: 0.0 };
        let constant = Form::Cubic([gained / 2.0, velocity, 0.0, 0.0]);
        Some([
            Piece { start, end: joint, mirrored: false, form },
            Piece { start: joint, end, mirrored: false, form: constant },
        ])
    }
}

impl LiftCurve {
    /// A lobe of two flanks, with a dwell of constant lift between them (zero for none); the nose is the middle of the dwell.
    ///
    /// `lift` is the whole lift, ramps included.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift not above what the ramps raise, a dwell below zero, or a lobe longer than a
    /// turn of the cam.
    ///
    /// # Source
    /// Norton, Cam Design and Manufacturing Handbook, chapters 2 to 4 (from memory); the joint with the ramp is derived at [`Flank::with_ramp`].
    ///
    /// # Example
    /// ```
    /// use swept::units::{self, Dimensioned};
    /// use swept::valvetrain::lift::{Flank, LiftCurve, Programme};
    /// use swept::valvetrain::CamAngle;
    ///
    /// let cam = |text| units::parse(text).map(CamAngle::of_cam);
    /// let flank = Flank::new(Programme::Polynomial345, cam("60 deg")?)?;
    /// let lobe = LiftCurve::of_flanks(units::parse("10 mm")?, flank, flank, cam("0 deg")?)?;
    /// assert!((lobe.lift(cam("30 deg")?).si() - 0.005).abs() < 1e-15);
    /// assert!((lobe.duration_at(units::parse("5 mm")?)?.on_crank().si().to_degrees() - 120.0).abs() < 1e-9);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn of_flanks(lift: Length, opening: Flank, closing: Flank, dwell: CamAngle) -> Result<Self> {
        let lift = finite_positive("lift", lift)?;
        let half = non_negative("dwell", dwell.on_cam())?.si() / 2.0;
        within_a_turn(opening.total() + 2.0 * half + closing.total())?;
        let mut pieces: Vec<Piece> = opening.rising(lift)?.into_iter().map(|p| shifted(p, -half)).collect();
        if half > 0.0 {
            let form = Form::Cubic([lift.si(), 0.0, 0.0, 0.0]);
            pieces.push(Piece { start: -half, end: half, mirrored: false, form });
        }
        pieces.extend(closing.rising(lift)?.into_iter().rev().map(|p| mirror(shifted(p, -half))));
        Ok(Self::of_pieces(pieces, lift.si(), (-half, half)))
    }

    /// A symmetrical polynomial lobe: s = lift (1 + c_p x^p + c_q x^q + ...), with x from 0 at the nose to 1 at `half_length` on either side.
    ///
    /// Three to six exponents, such as 2, 6, 10, 14. With n of them, lift and n - 1 derivatives vanish at the end: four exponents
    /// leave no lift, velocity, acceleration and jerk there. These conditions have the closed solution
    /// c_i = -product over j of e_j / (e_j - e_i), and no other flat spot can lie on the flank (Descartes' rule of signs: the
    /// velocity has n terms, and n - 1 of its roots are at x = 1), so the flank falls all the way.
    ///
    /// # Errors
    /// [`Error::WrongLength`]; [`Error::NotFinite`]; [`Error::OutOfRange`] for exponents that do not rise from 2 (1 would leave a kink at the
    /// nose) to 100 at most, a lift or a half length not above zero, or a lobe longer than a turn.
    ///
    /// # Source
    /// Dudley's polydyne lobes as in Norton, Cam Design and Manufacturing Handbook, and Stoddart, Polydyne cam design (1953; from memory).
    pub fn polynomial(exponents: &[u8], lift: Length, half_length: CamAngle) -> Result<Self> {
        check_exponents(exponents)?;
        let top = finite_positive("lift", lift)?.si();
        let half = positive_angle("half length of the lobe", half_length)?.on_cam().si();
        within_a_turn(2.0 * half)?;
        let mut terms = [(0u8, 0.0); TERMS];
        for (term, &e) in terms.iter_mut().zip(exponents) {
            *term = (e, coefficient(e, exponents));
        }
        let form = Form::Powers { top, terms };
        let closing = Piece { start: 0.0, end: half, mirrored: false, form };
        Ok(Self::of_pieces(vec![mirror(closing), closing], top, (0.0, 0.0)))
    }
}

/// The coefficient of x^e: minus the Lagrange polynomial of the exponents at zero.
fn coefficient(e: u8, exponents: &[u8]) -> f64 {
    let others = exponents.iter().filter(|&&o| o != e).map(|&o| f64::from(o));
    -others.map(|o| o / (o - f64::from(e))).product::<f64>()
}

fn check_exponents(exponents: &[u8]) -> Result<()> {
    if !(3..=TERMS).contains(&exponents.len()) {
        let expected = format!("three to {TERMS} exponents");
        return Err(Error::WrongLength { field: "exponents".into(), found: exponents.len(), expected });
    }
    let mut least = 2;
    for (i, &e) in exponents.iter().enumerate() {
        if !(least..=100).contains(&e) {
            let allowed = format!("{least} to 100, each above the one before");
            return Err(Error::OutOfRange {
                field: format!("exponents[{}]", i + 1),
                value: e.to_string(),
                allowed,
            });
        }
        least = e + 1;
    }
    Ok(())
}

fn positive_angle(field: &str, angle: CamAngle) -> Result<CamAngle> {
    let rad = finite(field, angle.on_cam())?.si();
    if rad > 0.0 {
        return Ok(angle);
    }
    Err(Error::OutOfRange { field: field.into(), value: degrees(rad), allowed: "above zero".into() })
}

fn within_a_turn(total: f64) -> Result<()> {
    if finite("length of the lobe", Angle::from_si(total))?.si() <= TURN {
        return Ok(());
    }
    let allowed = "up to a turn of the cam, 360 deg".into();
    Err(Error::OutOfRange { field: "length of the lobe".into(), value: degrees(total), allowed })
}

fn shifted(piece: Piece, by: f64) -> Piece {
    Piece { start: piece.start + by, end: piece.end + by, ..piece }
}

fn mirror(piece: Piece) -> Piece {
    Piece { start: -piece.end, end: -piece.start, mirrored: !piece.mirrored, ..piece }
}
