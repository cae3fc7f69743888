//! Which share of the reciprocating mass a counterweight should carry: from the general sum, not assumed.

use crate::error::{Error, Result, finite, non_negative};
use crate::units::{Angle, Dimensioned, Mass, Ratio};
use num_complex::Complex64;

/// One piston that hangs on a throw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThrowPiston {
    /// Its bank.
    pub bank_angle: Angle,
    /// Its own pin's angle from the throw, for split pins; zero on a common pin.
    pub pin_angle: Angle,
    /// What goes up and down.
    pub reciprocating: Mass,
}

/// What the first order leaves of the pistons of one throw, as a mass at the crank radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareResidual {
    /// What turns with the crank.
    pub forward: Mass,
    /// What turns against it, which no counterweight on the crank reaches.
    pub backward: Mass,
}

impl ShareResidual {
    /// The greatest over a turn.
    pub fn greatest(&self) -> Mass {
        self.forward + self.backward
    }

    /// The least over a turn.
    pub fn least(&self) -> Mass {
        (self.forward - self.backward).abs()
    }
}

/// The sums of one throw: all its mass, and half of it as vectors that turn with and against the crank.
struct Sums {
    mass: f64,
    forward: Complex64,
    backward: Complex64,
}

fn sums(pistons: &[ThrowPiston]) -> Result<Sums> {
    let (mut mass, mut forward, mut backward) = (0.0, Complex64::ZERO, Complex64::ZERO);
    for p in pistons {
        let m = non_negative("reciprocating mass", p.reciprocating)?.si();
        let (bank, pin) = (finite("bank angle", p.bank_angle)?.si(), finite("pin angle", p.pin_angle)?.si());
        mass += m;
        forward += Complex64::from_polar(m / 2.0, pin);
        backward += Complex64::from_polar(m / 2.0, 2.0 * bank - pin);
    }
    if mass > 0.0 {
        return Ok(Sums { mass, forward, backward });
    }
    Err(Error::WrongLength { field: "pistons with a mass".into(), found: 0, expected: "at least 1".into() })
}

/// What the first order leaves where a counterweight opposite the throw carries a share of the reciprocating mass.
///
/// Forward |sum of m/2 e^(i pin) - share x sum of m|, backward |sum of m/2 e^(i (2 bank - pin))|. With two rods on a common pin of a 90-degree
/// vee the backward part is nothing, and half the mass balances the first order wholly.
///
/// # Errors
/// [`Error::WrongLength`] without a piston; [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass below zero.
///
/// # Source
/// The first order of the slider crank as two vectors of half the mass, one with and one against the crank; Norton, Design of Machinery, chapter 13
/// (from memory).
pub fn residual_of_share(pistons: &[ThrowPiston], share: Ratio) -> Result<ShareResidual> {
    let s = sums(pistons)?;
    let share = finite("share", share)?.si();
    Ok(ShareResidual {
        forward: Mass::from_si((s.forward - share * s.mass).norm()),
        backward: Mass::from_si(s.backward.norm()),
    })
}

/// The share that leaves the least greatest force of the first order: half the mass times the mean cosine of the pins' angles.
///
/// One half on a common pin, whatever the banks; less where the pins of the throw are split and one counterweight serves both.
///
/// # Errors
/// As [`residual_of_share`].
///
/// # Source
/// The share at which the forward part of [`residual_of_share`] is least, the backward part not depending on it.
pub fn best_share(pistons: &[ThrowPiston]) -> Result<Ratio> {
    let s = sums(pistons)?;
    Ok(Ratio::from_si(s.forward.re / s.mass))
}

/// The share that leaves the least force of the first order in one direction across the crank; across it more is left.
///
/// For a single cylinder along its axis all of the mass, across it none.
///
/// # Errors
/// As [`residual_of_share`].
///
/// # Source
/// The least of the amplitude in a direction a, |f e^(-i a) + conj(b e^(-i a))|, over the share.
pub fn best_share_along(pistons: &[ThrowPiston], direction: Angle) -> Result<Ratio> {
    let s = sums(pistons)?;
    let twice = Complex64::from_polar(1.0, 2.0 * finite("direction", direction)?.si());
    Ok(Ratio::from_si((s.forward + s.backward.conj() * twice).re / s.mass))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn piston(bank: f64, pin: f64, mass: f64) -> ThrowPiston {
        let deg = |x: f64| Angle::from_si(x.to_radians());
        ThrowPiston { bank_angle: deg(bank), pin_angle: deg(pin), reciprocating: Mass::from_si(mass) }
    }

    fn share(x: f64) -> Ratio {
        Ratio::from_si(x)
    }

    /// Half is exact for a 90-degree vee with two rods to a throw; other layouts leave what turns against the crank.
    #[test]
    fn half_is_exact_for_the_right_angled_vee_only() {
        let vee = |angle: f64| [piston(angle / 2.0, 0.0, 0.6), piston(-angle / 2.0, 0.0, 0.6)];
        let right = residual_of_share(&vee(90.0), share(0.5)).unwrap();
        assert!(right.greatest().si() < 1e-15);
        // 60 degrees: 1.2/2 x |cos 60| against the crank, as the V twin of the tables: 1.5 = 1 forward + 0.5 backward, times m.
        let narrow = residual_of_share(&vee(60.0), share(0.5)).unwrap();
        assert!((narrow.backward.si() - 0.3).abs() < 1e-12 && narrow.forward.si() < 1e-15);
        let bare = residual_of_share(&vee(60.0), share(0.0)).unwrap();
        assert!((bare.greatest().si() - 1.5 * 0.6).abs() < 1e-12);
        let single = [piston(0.0, 0.0, 0.5)];
        assert!((residual_of_share(&single, share(0.5)).unwrap().backward.si() - 0.25).abs() < 1e-15);
        assert!((best_share_along(&single, Angle::from_si(0.0)).unwrap().si() - 1.0).abs() < 1e-12);
        assert!(
            best_share_along(&single, Angle::from_si(core::f64::consts::FRAC_PI_2)).unwrap().si().abs()
                < 1e-12
        );
        assert!(residual_of_share(&[], share(0.5)).is_err());
        assert!(residual_of_share(&[piston(0.0, 0.0, -1.0)], share(0.5)).is_err());
    }

    proptest! {
        #[test]
        fn no_other_share_is_better(banks in proptest::collection::vec(-90.0..90.0f64, 1..4), pin in -60.0..60.0f64, other in 0.0..1.0f64, direction in 0.0..3.0f64) {
            let pistons: Vec<ThrowPiston> = banks.iter().enumerate().map(|(i, b)| piston(*b, pin * i as f64, 0.4 + 0.1 * i as f64)).collect();
            let best = best_share(&pistons).unwrap();
            let greatest = |s: Ratio| residual_of_share(&pistons, s).unwrap().greatest().si();
            prop_assert!(greatest(best) <= greatest(share(other)) + 1e-12);
            let direction = Angle::from_si(direction);
            let along = |s: f64| {
                let sums = sums(&pistons).unwrap();
                let turned = Complex64::from_polar(1.0, -direction.si());
                (((sums.forward - s * sums.mass) * turned) + (sums.backward * turned).conj()).norm()
            };
            let best = best_share_along(&pistons, direction).unwrap().si();
            prop_assert!(along(best) <= along(other) + 1e-12 && along(best) <= along(best + 0.01) && along(best) <= along(best - 0.01));
        }
    }
}
