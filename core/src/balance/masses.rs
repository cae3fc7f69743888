//! What goes up and down, what goes round, and the bob weight that stands for both on a balancing machine.

use crate::error::{Error, Result, non_negative, out_of_range};
use crate::units::{Dimensioned, Mass, Ratio, written};

/// A connecting rod weighed at both ends, each level with the other supported at its centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodMass {
    big_end: Mass,
    small_end: Mass,
}

impl RodMass {
    /// From the weights of both ends.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] below zero.
    pub fn new(big_end: Mass, small_end: Mass) -> Result<Self> {
        Ok(Self {
            big_end: non_negative("mass of the big end", big_end)?,
            small_end: non_negative("mass of the small end", small_end)?,
        })
    }

    /// From the weights of both ends and of the whole rod, which must agree within what the scale allows.
    ///
    /// # Errors
    /// As [`RodMass::new`]; [`Error::OutOfRange`] where the ends differ from the whole by more than `slack`, with the difference.
    pub fn checked(big_end: Mass, small_end: Mass, total: Mass, slack: Mass) -> Result<Self> {
        let rod = Self::new(big_end, small_end)?;
        let (total, slack) = (non_negative("mass of the rod", total)?, non_negative("slack", slack)?);
        let off = rod.total() - total;
        if off.si().abs() > slack.si() * (1.0 + 1e-9) {
            return Err(out_of_range(
                "mass of both ends",
                rod.total(),
                format!("within {} of the whole rod, {}", written(slack), written(total)),
            ));
        }
        Ok(rod)
    }

    /// What turns with the crankpin.
    pub fn big_end(&self) -> Mass {
        self.big_end
    }

    /// What goes up and down with the piston.
    pub fn small_end(&self) -> Mass {
        self.small_end
    }

    /// Both ends.
    pub fn total(&self) -> Mass {
        self.big_end + self.small_end
    }
}

/// What goes up and down with one cylinder: piston, pin, locks, rings, small end of the rod.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] below zero.
pub fn reciprocating_mass(piston: Mass, pin: Mass, locks: Mass, rings: Mass, rod: &RodMass) -> Result<Mass> {
    let parts = [("piston", piston), ("pin", pin), ("locks", locks), ("rings", rings)];
    let sum: f64 =
        parts.into_iter().map(|(name, m)| non_negative(name, m).map(|m| m.si())).sum::<Result<f64>>()?;
    Ok(Mass::from_si(sum) + rod.small_end)
}

/// What goes round with one rod: its big end, its pair of shells, and the oil that the pin holds.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] below zero.
pub fn rotating_mass(rod: &RodMass, shells: Mass, oil: Mass) -> Result<Mass> {
    Ok(rod.big_end + non_negative("shells", shells)? + non_negative("oil", oil)?)
}

/// The bob weight of one throw: all that goes round on it, and a share of all that goes up and down with its rods.
///
/// # Errors
/// [`Error::WrongLength`] without rods or with lists of different length; [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass below zero, or a
/// share below zero or above one.
///
/// # Source
/// Common practice, no source.
///
/// # Example
/// ```
/// use swept::balance::bob_weight;
/// use swept::units::{Dimensioned, Mass, Ratio};
/// let g = |x: f64| Mass::from_si(x / 1000.0);
/// let bob = bob_weight(&[g(500.0), g(500.0)], &[g(700.0), g(700.0)], Ratio::from_si(0.5))?;
/// assert!((bob.si() - 1.7).abs() < 1e-12);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn bob_weight(rotating: &[Mass], reciprocating: &[Mass], share: Ratio) -> Result<Mass> {
    if rotating.is_empty() || rotating.len() != reciprocating.len() {
        return Err(Error::WrongLength {
            field: "reciprocating masses of a throw".into(),
            found: reciprocating.len(),
            expected: format!("{}, one for each rod, at least 1", rotating.len()),
        });
    }
    if !(0.0..=1.0).contains(&share.si()) {
        return Err(out_of_range("share of the reciprocating mass", share, "0 to 1"));
    }
    let sum = |name: &str, all: &[Mass]| {
        all.iter().map(|m| non_negative(name, *m).map(|m| m.si())).sum::<Result<f64>>()
    };
    let round = sum("rotating mass", rotating)?;
    Ok(Mass::from_si(round + share.si() * sum("reciprocating mass", reciprocating)?))
}

/// How much to take off each part so that all weigh what the lightest weighs.
///
/// # Errors
/// [`Error::WrongLength`] without parts; [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass below zero, or where a part would have to lose more than `most`,
/// with the part and what it would have to lose.
pub fn to_lightest(masses: &[Mass], most: Mass) -> Result<Vec<Mass>> {
    if masses.is_empty() {
        return Err(Error::WrongLength { field: "masses".into(), found: 0, expected: "at least 1".into() });
    }
    let most = non_negative("most to take off", most)?;
    let mut lightest = f64::INFINITY;
    for m in masses {
        lightest = lightest.min(non_negative("mass", *m)?.si());
    }
    let off = |(i, m): (usize, &Mass)| {
        let off = *m - Mass::from_si(lightest);
        if off.si() > most.si() * (1.0 + 1e-9) {
            let allowed = format!("at most {}, the part's limit", written(most));
            return Err(out_of_range(&format!("mass to take off part {}", i + 1), off, allowed));
        }
        Ok(off)
    };
    masses.iter().enumerate().map(off).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn g(x: f64) -> Mass {
        Mass::from_si(x / 1e3)
    }

    #[test]
    fn a_rod_must_weigh_what_its_ends_weigh() {
        let rod = RodMass::checked(g(430.2), g(170.1), g(600.0), g(0.5)).unwrap();
        assert!((rod.total().si() - 0.6003).abs() < 1e-12);
        let error = RodMass::checked(g(430.0), g(172.0), g(600.0), g(0.5)).unwrap_err().to_string();
        assert!(error.contains("0.602") && error.contains("0.6 "), "{error}");
        assert!(RodMass::new(g(-1.0), g(1.0)).is_err());
    }

    #[test]
    fn parts_add_up() {
        let rod = RodMass::new(g(430.0), g(170.0)).unwrap();
        let up_and_down = reciprocating_mass(g(400.0), g(110.0), g(2.0), g(30.0), &rod).unwrap();
        assert!((up_and_down - g(712.0)).si().abs() < 1e-12);
        let round = rotating_mass(&rod, g(45.0), g(4.0)).unwrap();
        assert!((round - g(479.0)).si().abs() < 1e-12);
        let half = Ratio::from_si(0.5);
        let bob = bob_weight(&[round; 2], &[up_and_down; 2], half).unwrap();
        assert!((bob - g(2.0 * 479.0 + 712.0)).si().abs() < 1e-12);
        assert!(bob_weight(&[round], &[up_and_down; 2], half).is_err());
        assert!(bob_weight(&[], &[], half).is_err());
        assert!(bob_weight(&[round], &[up_and_down], Ratio::from_si(1.1)).is_err());
        assert!(reciprocating_mass(g(f64::NAN), g(1.0), g(1.0), g(1.0), &rod).is_err());
    }

    #[test]
    fn nobody_takes_off_more_than_the_part_bears() {
        let off = to_lightest(&[g(402.0), g(400.5), g(401.0)], g(2.0)).unwrap();
        let grams: Vec<f64> = off.iter().map(|m| (m.si() * 1e4).round() / 10.0).collect();
        assert_eq!(grams, [1.5, 0.0, 0.5]);
        assert!(to_lightest(&[g(402.0), g(400.5)], g(1.0)).unwrap_err().to_string().contains("part 1"));
    }

    proptest! {
        #[test]
        fn all_weigh_the_same_afterwards(masses in proptest::collection::vec(300.0..500.0f64, 1..12)) {
            let masses: Vec<Mass> = masses.into_iter().map(g).collect();
            let off = to_lightest(&masses, g(300.0)).unwrap();
            let after: Vec<f64> = masses.iter().zip(&off).map(|(m, o)| (*m - *o).si()).collect();
            prop_assert!(after.iter().all(|m| (m - after[0]).abs() < 1e-12) && off.iter().all(|o| o.si() >= 0.0));
        }
    }
}
