//! Unbalances in planes along the shaft: resultant and moment, static and couple part, the pair in two planes.

use super::{UnbalanceVector, within_a_turn};
use crate::error::{Error, Result, finite, out_of_range};
use crate::units::{Angle, Dimensioned, Length};
use num_complex::Complex64;

/// An unbalance in a plane at a position on the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedUnbalance {
    vector: UnbalanceVector,
    position: Length,
}

impl PlacedUnbalance {
    /// A vector at a position along the shaft, from any origin.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn new(vector: UnbalanceVector, position: Length) -> Result<Self> {
        Ok(Self { vector, position: finite("position", position)? })
    }

    /// The vector.
    pub fn vector(&self) -> UnbalanceVector {
        self.vector
    }

    /// Along the shaft.
    pub fn position(&self) -> Length {
        self.position
    }

    /// The opposite vector in the same plane: the weight to add.
    pub fn opposite(&self) -> Self {
        Self { vector: self.vector.opposite(), position: self.position }
    }
}

/// A couple: two equal unbalances at opposite angles in two planes, as one vector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoupleUnbalance {
    /// Unbalance times the distance of the planes, kg m2.
    pub amount: f64,
    /// The angle at which the plane at the greater position is heavy; the other one is heavy opposite.
    pub angle: Angle,
}

/// The unbalance of a rigid rotor: the resultant of all its planes and their moment about a centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RotorUnbalance {
    resultant: UnbalanceVector,
    pub(super) moment: Complex64,
    centre: Length,
}

impl RotorUnbalance {
    /// Of vectors in any number of planes, with the moment about a centre, best the centre of mass: sum of U_i, sum of (z_i - centre) U_i.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without vectors; [`Error::NotFinite`].
    ///
    /// # Source
    /// ISO 21940-2, resultant unbalance and resultant moment unbalance (from memory).
    pub fn new(vectors: &[PlacedUnbalance], centre: Length) -> Result<Self> {
        if vectors.is_empty() {
            let expected = "at least 1".into();
            return Err(Error::WrongLength { field: "unbalance vectors".into(), found: 0, expected });
        }
        let centre = finite("centre", centre)?;
        let about = |u: &PlacedUnbalance| u.vector.complex() * (u.position - centre).si();
        let moment: Complex64 = vectors.iter().map(about).sum();
        if !moment.is_finite() {
            return Err(Error::NotFinite {
                field: "moment of the unbalance".into(),
                value: moment.to_string(),
            });
        }
        let resultant = UnbalanceVector::from_complex(vectors.iter().map(|u| u.vector.complex()).sum())?;
        Ok(Self { resultant, moment, centre })
    }

    /// The static part: the resultant, in the plane of the centre.
    pub fn static_part(&self) -> UnbalanceVector {
        self.resultant
    }

    /// The couple part: the moment about the centre.
    pub fn couple_part(&self) -> CoupleUnbalance {
        CoupleUnbalance {
            amount: self.moment.norm(),
            angle: within_a_turn(Angle::from_si(self.moment.arg())),
        }
    }

    /// The centre that the parts refer to.
    pub fn centre(&self) -> Length {
        self.centre
    }

    /// The couple part as a pair in two planes: C / (b - a) in plane b, its opposite in plane a.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for planes at one position.
    pub fn couple_in(&self, a: Length, b: Length) -> Result<[PlacedUnbalance; 2]> {
        let span = span_of(a, b)?;
        let at_b = PlacedUnbalance::new(UnbalanceVector::from_complex(self.moment / span)?, b)?;
        Ok([PlacedUnbalance { vector: at_b.vector.opposite(), position: a }, at_b])
    }

    /// All of it in two planes, the dynamic unbalance: U_b = (C + (centre - a) R) / (b - a), U_a = R - U_b, with the resultant R and the
    /// moment C about the centre.
    ///
    /// # Errors
    /// As [`RotorUnbalance::couple_in`].
    ///
    /// # Source
    /// Two forces for a force and a moment; Norton, Design of Machinery, section 12.2 (from memory).
    pub fn dynamic_in(&self, a: Length, b: Length) -> Result<[PlacedUnbalance; 2]> {
        let span = span_of(a, b)?;
        let whole = self.resultant.complex();
        let at_b = (self.moment + whole * (self.centre - a).si()) / span;
        let placed = |u, position| PlacedUnbalance::new(UnbalanceVector::from_complex(u)?, position);
        Ok([placed(whole - at_b, a)?, placed(at_b, b)?])
    }
}

/// The distance from plane a to plane b, m, with its sign.
pub(super) fn span_of(a: Length, b: Length) -> Result<f64> {
    let span = finite("second plane", b)? - finite("first plane", a)?;
    if span.si() == 0.0 {
        return Err(out_of_range("second plane", b, "another position than the first"));
    }
    Ok(span.si())
}

/// The pair of vectors in planes a and b that acts as all the vectors together: for a change of correction planes, or to gather many planes in two.
///
/// # Errors
/// As [`RotorUnbalance::new`] and [`RotorUnbalance::dynamic_in`].
///
/// # Source
/// [`RotorUnbalance::dynamic_in`].
pub fn to_planes(vectors: &[PlacedUnbalance], a: Length, b: Length) -> Result<[PlacedUnbalance; 2]> {
    RotorUnbalance::new(vectors, a)?.dynamic_in(a, b)
}
