//! Shaking forces and moments of any layout: by orders, split into parts that turn with and against the crank, and exact in time.
//!
//! A direction across the crank is an angle from bank angle zero, positive in running direction; as a complex number, e^(i angle). The crank angle is
//! that of the layout: a throw stands at its throw angle with the crank at zero. Forces are what the engine does to its mounts. Amounts do
//! not know a speed: a force is its amount (kg m) times the square of the crank's speed, a moment its amount (kg m2) times that square.

use super::unbalance::within_a_turn;
use crate::error::{Error, Result, finite, finite_positive, non_negative};
use crate::geometry::{Cylinder, Station};
use crate::units::{Angle, AngularVelocity, Dimensioned, Force, Length, Mass, Torque, Unbalance};
use core::f64::consts::PI;
use num_complex::Complex64;

/// The highest order that is given.
pub const HIGHEST_ORDER: usize = 6;

/// Samples of one turn behind the orders; the terms that fold back on them are below rounding for rods longer than 1.3 throws.
const SAMPLES: usize = 128;

/// One cylinder that shakes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShakingCylinder {
    /// Bore, stroke, rod and pin offset.
    pub cylinder: Cylinder,
    /// Its bank and its throw.
    pub station: Station,
    /// Along the crank axis.
    pub position: Length,
    /// What goes up and down: piston, rings, pin, locks, small end.
    pub reciprocating: Mass,
}

/// An unbalance that turns with the crank or, on a balance shaft, at a multiple of its speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RotatingMass {
    /// Mass times radius.
    pub unbalance: Unbalance,
    /// Where it is heavy with the crank at zero.
    pub angle: Angle,
    /// Along the crank axis.
    pub position: Length,
    /// Turns for each turn of the crank: 1 on the crank, 2 on a shaft at twice the speed, negative against the crank.
    pub turns: i32,
}

impl RotatingMass {
    /// A mass on the crank at a radius.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass or a radius below zero.
    pub fn on_crank(mass: Mass, radius: Length, angle: Angle, position: Length) -> Result<Self> {
        let amount = non_negative("mass", mass)?.si() * non_negative("radius", radius)?.si();
        Self::new(Unbalance::from_si(amount), angle, position, 1)
    }

    /// An unbalance at a multiple of the crank's speed.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for an amount below zero, or turns of zero or beyond the highest order.
    pub fn new(unbalance: Unbalance, angle: Angle, position: Length, turns: i32) -> Result<Self> {
        if turns == 0 || turns.unsigned_abs() as usize > HIGHEST_ORDER {
            return Err(Error::OutOfRange {
                field: "turns".into(),
                value: turns.to_string(),
                allowed: format!("1 to {HIGHEST_ORDER}, either way"),
            });
        }
        Ok(Self {
            unbalance: non_negative("unbalance", unbalance)?,
            angle: finite("angle", angle)?,
            position: finite("position", position)?,
            turns,
        })
    }

    /// Its force over the square of the crank's speed, with the crank at zero.
    fn amount(&self) -> Complex64 {
        let turns = f64::from(self.turns);
        Complex64::from_polar(self.unbalance.si() * turns * turns, self.angle.si())
    }
}

/// One order of a force or a moment: a vector that turns with the crank and one that turns against it, at `order` times its speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// Which multiple of the crank's speed.
    pub order: usize,
    /// What turns with the crank, at crank angle zero: kg m of a force, kg m2 of a moment.
    pub forward: Complex64,
    /// What turns against it.
    pub backward: Complex64,
}

impl Harmonic {
    /// The greatest amount over a turn: the long half axis of the ellipse.
    pub fn greatest(&self) -> f64 {
        self.forward.norm() + self.backward.norm()
    }

    /// The least amount over a turn: the short half axis of the ellipse.
    pub fn least(&self) -> f64 {
        (self.forward.norm() - self.backward.norm()).abs()
    }

    /// The amplitude of the part in one direction across the crank.
    pub fn along(&self, direction: Angle) -> f64 {
        let turned = Complex64::from_polar(1.0, -direction.si());
        (self.forward * turned + (self.backward * turned).conj()).norm()
    }

    /// The direction of the long half axis, from 0 to 180 deg; of a circle there is none.
    pub fn direction(&self) -> Option<Angle> {
        let (f, b) = (self.forward, self.backward);
        let round = f.norm().min(b.norm()) <= 1e-12 * f.norm().max(b.norm());
        (!round).then(|| Angle::from_si(((f.arg() + b.arg()) / 2.0).rem_euclid(PI)))
    }

    /// The vector at a crank angle.
    pub fn at(&self, crank: Angle) -> Complex64 {
        let turned = Complex64::from_polar(1.0, self.order as f64 * crank.si());
        self.forward * turned + self.backward * turned.conj()
    }
}

/// Harmonics of the acceleration of a piston, over the crank radius and the square of the speed: cosine terms of the throw's angle from the
/// cylinder axis, order 1 to 6, with their phase where the pin is offset.
///
/// Without pin offset they are the real A1 = 1, A2 = 1/R + 1/(4 R^3) + ..., A4, A6 of the textbooks, R = rod length over radius; odd orders above 1 are
/// zero. Here they are sums over one turn of the exact acceleration.
///
/// # Source
/// Fourier; Biezeno and Grammel, Technische Dynamik, for the series (from memory).
pub fn acceleration_harmonics(cylinder: &Cylinder) -> [Complex64; HIGHEST_ORDER] {
    let samples = acceleration_samples(cylinder);
    core::array::from_fn(|i| harmonic_of(&samples, i + 1))
}

/// The amplitude of one order of the force that shakes one cylinder's mounts: mass x radius x square of the speed x |A_n|.
pub(crate) fn order_of_force(cylinder: &Cylinder, order: usize, speed: AngularVelocity, mass: Mass) -> Force {
    let amplitude = harmonic_of(&acceleration_samples(cylinder), order).norm();
    force_of(mass.si() * cylinder.crank_radius().si() * amplitude, speed)
}

/// The acceleration over one turn of the throw from the cylinder axis, over the crank radius, at a speed of one.
fn acceleration_samples(cylinder: &Cylinder) -> Vec<f64> {
    let (speed, radius) = (AngularVelocity::from_si(1.0), cylinder.crank_radius().si());
    let zero = cylinder.top_dead_centre();
    (0..SAMPLES)
        .map(|k| {
            let throw = Angle::from_si(2.0 * PI * k as f64 / SAMPLES as f64);
            cylinder.piston_acceleration(throw - zero, speed).si() / radius
        })
        .collect()
}

/// One harmonic of samples over one turn.
fn harmonic_of(samples: &[f64], order: usize) -> Complex64 {
    let order = order as f64;
    let term =
        |(k, a): (usize, &f64)| Complex64::from_polar(*a, -2.0 * PI * order * k as f64 / SAMPLES as f64);
    samples.iter().enumerate().map(term).sum::<Complex64>() * 2.0 / SAMPLES as f64
}

/// An engine that shakes.
#[derive(Debug, Clone, PartialEq)]
pub struct ShakingEngine {
    cylinders: Vec<ShakingCylinder>,
    rotating: Vec<RotatingMass>,
}

impl ShakingEngine {
    /// From its cylinders and all that turns: crankpins with their rods' big ends, counterweights, balance shafts.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without cylinders and masses; [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass below zero.
    pub fn new(cylinders: Vec<ShakingCylinder>, rotating: Vec<RotatingMass>) -> Result<Self> {
        if cylinders.is_empty() && rotating.is_empty() {
            let expected = "at least 1".into();
            return Err(Error::WrongLength { field: "cylinders and masses".into(), found: 0, expected });
        }
        for c in &cylinders {
            finite("position", c.position)?;
            non_negative("reciprocating mass", c.reciprocating)?;
            finite("bank angle", c.station.bank_angle)?;
            finite("throw angle", c.station.throw_angle)?;
        }
        for m in &rotating {
            RotatingMass::new(m.unbalance, m.angle, m.position, m.turns)?;
        }
        Ok(Self { cylinders, rotating })
    }

    /// Its cylinders.
    pub fn cylinders(&self) -> &[ShakingCylinder] {
        &self.cylinders
    }

    /// What turns.
    pub fn rotating(&self) -> &[RotatingMass] {
        &self.rotating
    }

    /// The same engine with more that turns, such as counterweights.
    ///
    /// # Errors
    /// As [`ShakingEngine::new`].
    pub fn with(&self, more: &[RotatingMass]) -> Result<Self> {
        Self::new(self.cylinders.clone(), self.rotating.iter().chain(more).copied().collect())
    }

    /// One order of the shaking force, kg m.
    ///
    /// Of a cylinder with bank angle b and throw angle t: forward m r A_n e^(i (n (t - b) + b)) / 2, backward m r conj(A_n) e^(i (b - n (t - b))) / 2.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an order other than 1 to 6.
    ///
    /// # Source
    /// Norton, Design of Machinery, chapters 13 and 14; Taylor, The Internal-Combustion Engine, vol. 2, chapter 8 (from memory).
    pub fn force(&self, order: usize) -> Result<Harmonic> {
        self.sum(order, |_| 1.0)
    }

    /// One order of the shaking moment about a position on the crank axis, kg m2: position times force, a vector in the direction of the force.
    ///
    /// # Errors
    /// As [`ShakingEngine::force`]; [`Error::NotFinite`].
    pub fn moment(&self, order: usize, about: Length) -> Result<Harmonic> {
        let about = finite("position", about)?.si();
        self.sum(order, |position| position - about)
    }

    fn sum(&self, order: usize, arm: impl Fn(f64) -> f64) -> Result<Harmonic> {
        if !(1..=HIGHEST_ORDER).contains(&order) {
            return Err(Error::OutOfRange {
                field: "order".into(),
                value: order.to_string(),
                allowed: format!("1 to {HIGHEST_ORDER}"),
            });
        }
        let n = order as f64;
        let (mut forward, mut backward) = (Complex64::ZERO, Complex64::ZERO);
        for c in &self.cylinders {
            let bank = c.station.bank_angle.si();
            let throw = c.station.throw_angle.si() - bank;
            let size = c.reciprocating.si() * c.cylinder.crank_radius().si() * arm(c.position.si()) / 2.0;
            let term = harmonic_of(&acceleration_samples(&c.cylinder), order)
                * Complex64::from_polar(size, n * throw);
            let axis = Complex64::from_polar(1.0, bank);
            forward += term * axis;
            backward += term.conj() * axis;
        }
        for m in self.rotating.iter().filter(|m| m.turns.unsigned_abs() as usize == order) {
            let vector = m.amount() * arm(m.position.si());
            if m.turns > 0 { forward += vector } else { backward += vector }
        }
        Ok(Harmonic { order, forward, backward })
    }

    /// The exact shaking force at a crank angle: (along bank angle zero, across it towards positive angles).
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn force_at(&self, crank: Angle, speed: AngularVelocity) -> Result<(Force, Force)> {
        let f = self.exact(crank, speed, |_| 1.0)?;
        Ok((Force::from_si(f.re), Force::from_si(f.im)))
    }

    /// The exact shaking moment at a crank angle about a position: (of the forces along bank angle zero, of those across it).
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn moment_at(&self, crank: Angle, speed: AngularVelocity, about: Length) -> Result<(Torque, Torque)> {
        let about = finite("position", about)?.si();
        let m = self.exact(crank, speed, |position| position - about)?;
        Ok((Torque::from_si(m.re), Torque::from_si(m.im)))
    }

    fn exact(&self, crank: Angle, speed: AngularVelocity, arm: impl Fn(f64) -> f64) -> Result<Complex64> {
        let crank = finite("crank angle", crank)?;
        let speed = finite_positive("speed", speed)?;
        let mut sum = Complex64::ZERO;
        for c in &self.cylinders {
            let throw = crank + c.station.throw_angle - c.station.bank_angle;
            let angle = throw - c.cylinder.top_dead_centre();
            let size = c.reciprocating.si() * c.cylinder.piston_acceleration(angle, speed).si();
            sum += Complex64::from_polar(size * arm(c.position.si()), c.station.bank_angle.si());
        }
        let w2 = speed.si() * speed.si();
        for m in &self.rotating {
            let turned = Complex64::from_polar(w2, f64::from(m.turns) * crank.si());
            sum += m.amount() * turned * arm(m.position.si());
        }
        Ok(sum)
    }

    /// The two counterweights on the crank, in planes at these positions, that take away all of the first order that turns with the crank, force and
    /// moment: no other pair leaves less.
    ///
    /// What turns against the crank, and the higher orders, no counterweight on the crank reaches.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for planes at one position.
    ///
    /// # Source
    /// Two forces for a force and a moment; Norton, Design of Machinery, section 12.2 (from memory).
    pub fn counterweights(&self, first: Length, second: Length) -> Result<[RotatingMass; 2]> {
        let (first, second) = (finite("first plane", first)?, finite("second plane", second)?);
        let span = second - first;
        if span.si() == 0.0 {
            return Err(crate::error::out_of_range(
                "second plane",
                second,
                "another position than the first",
            ));
        }
        let force = self.force(1)?.forward;
        let at_second = -self.moment(1, first)?.forward / span.si();
        let at_first = -force - at_second;
        let weight = |vector: Complex64, position| RotatingMass {
            unbalance: Unbalance::from_si(vector.norm()),
            angle: within_a_turn(Angle::from_si(vector.arg())),
            position,
            turns: 1,
        };
        Ok([weight(at_first, first), weight(at_second, second)])
    }
}

/// An amount of a [`Harmonic`] of a force, at a speed.
pub fn force_of(amount: f64, speed: AngularVelocity) -> Force {
    Force::from_si(amount * speed.si() * speed.si())
}

/// An amount of a [`Harmonic`] of a moment, at a speed.
pub fn moment_of(amount: f64, speed: AngularVelocity) -> Torque {
    Torque::from_si(amount * speed.si() * speed.si())
}
