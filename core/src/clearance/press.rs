//! Press and shrink fits of two rings: contact pressure, stresses, holding force, heating, loss when hot.

use super::thermal::heating_for;
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::geometry::ThickCylinder;
use crate::units::{
    Dimensioned, Force, Length, Pressure, Ratio, TemperatureCoefficient, TemperatureInterval, Torque, written,
};
use core::f64::consts::PI;

/// A ring or, without a bore, a solid shaft: diameters and elastic constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressPart {
    inner: Length,
    outer: Length,
    young: Pressure,
    poisson: f64,
}

impl PressPart {
    /// A part from its inner and outer diameter (inner zero: solid), Young's modulus and Poisson's ratio.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless 0 <= inner < outer, the modulus is above zero and Poisson's ratio
    /// from 0 to below 0.5.
    pub fn new(inner: Length, outer: Length, young: Pressure, poisson: Ratio) -> Result<Self> {
        let inner = non_negative("inner diameter", inner)?;
        let outer = finite_positive("outer diameter", outer)?;
        if inner >= outer {
            return Err(out_of_range(
                "inner diameter",
                inner,
                format!("below the outer diameter, {}", written(outer)),
            ));
        }
        let young = finite_positive("Young's modulus", young)?;
        if !(0.0..0.5).contains(&poisson.si()) {
            return Err(out_of_range("Poisson's ratio", poisson, "from 0 to below 0.5"));
        }
        Ok(Self { inner, outer, young, poisson: poisson.si() })
    }

    /// Inner diameter; zero for a solid shaft.
    pub fn inner(&self) -> Length {
        self.inner
    }

    /// Outer diameter.
    pub fn outer(&self) -> Length {
        self.outer
    }

    /// (outer^2 + inner^2) / (outer^2 - inner^2).
    fn shape(&self) -> f64 {
        let (i2, o2) = (self.inner.si().powi(2), self.outer.si().powi(2));
        (o2 + i2) / (o2 - i2)
    }
}

/// Two parts pressed or shrunk together, the outer one's bore on the inner one's outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressFit {
    inner: PressPart,
    outer: PressPart,
    interference: Length,
}

/// Stresses of a press fit, tension positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressStresses {
    /// Hoop stress at the inner part's bore (at its axis, for a solid shaft).
    pub inner_at_bore: Pressure,
    /// Hoop stress of the inner part at the contact.
    pub inner_at_contact: Pressure,
    /// Hoop stress of the outer part at the contact: the largest in it.
    pub outer_at_contact: Pressure,
    /// Hoop stress at the outer part's outside.
    pub outer_at_outside: Pressure,
}

impl PressFit {
    /// Two parts with an interference on the diameter; each with its free (unpressed) diameters.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for an interference below zero or above a tenth of the diameter, or where the
    /// outer part's bore differs from the inner part's outside by more than that tenth.
    pub fn new(inner: PressPart, outer: PressPart, interference: Length) -> Result<Self> {
        let interference = non_negative("interference", interference)?;
        let most = inner.outer / 10.0;
        if interference > most {
            return Err(out_of_range("interference", interference, format!("at most {}", written(most))));
        }
        if (inner.outer - outer.inner).abs() > most {
            let allowed = format!("about the inner part's outside, {}", written(inner.outer));
            return Err(out_of_range("bore of the outer part", outer.inner, allowed));
        }
        Ok(Self { inner, outer, interference })
    }

    /// Diameter of the contact, taken at the free bore of the outer part (its hole).
    pub fn diameter(&self) -> Length {
        self.outer.inner
    }

    /// Interference on the diameter.
    pub fn interference(&self) -> Length {
        self.interference
    }

    /// Contact pressure.
    ///
    /// p = delta / (d_o (s_o + nu_o) / E_o + d_i (s_i - nu_i) / E_i), with the interference delta on the diameter, d_o the free
    /// bore of the outer part, d_i the free outside of the inner one, s = (outer^2 + inner^2) / (outer^2 - inner^2) of each.
    /// With d_o = d_i it is the form of the handbooks.
    ///
    /// # Source
    /// Lame; Shigley, Mechanical Engineering Design, eq. 3-56 (from memory).
    pub fn pressure(&self) -> Pressure {
        let (ring, shaft) = (self.outer, self.inner);
        let give = ring.inner.si() * (ring.shape() + ring.poisson) / ring.young.si()
            + shaft.outer.si() * (shaft.shape() - shaft.poisson) / shaft.young.si();
        Pressure::from_si(self.interference.si() / give)
    }

    /// Hoop stresses at the four surfaces.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an outer part without a wall at the contact.
    ///
    /// # Source
    /// [`ThickCylinder::hoop_stress`].
    pub fn stresses(&self) -> Result<PressStresses> {
        let (p, none) = (self.pressure(), Pressure::from_si(0.0));
        let contact = self.diameter() / 2.0;
        let outside = self.outer.outer / 2.0;
        let ring = ThickCylinder::new(contact, outside)?;
        let (inner_at_bore, inner_at_contact) = if self.inner.inner.si() == 0.0 {
            (-p, -p)
        } else {
            let inside = self.inner.inner / 2.0;
            let shaft = ThickCylinder::new(inside, contact)?;
            (shaft.hoop_stress(none, p, inside)?, shaft.hoop_stress(none, p, contact)?)
        };
        Ok(PressStresses {
            inner_at_bore,
            inner_at_contact,
            outer_at_contact: ring.hoop_stress(p, none, contact)?,
            outer_at_outside: ring.hoop_stress(p, none, outside)?,
        })
    }

    /// Tresca's equivalent stress where it is largest, (inner part, outer part): the largest difference of two principal stresses, without
    /// axial stress. To be held against the yield strength of each.
    ///
    /// Outer part at the contact: hoop stress + pressure. Inner part at its bore: the hoop stress, for there is no pressure; a solid shaft
    /// carries the pressure all over.
    ///
    /// # Errors
    /// As [`PressFit::stresses`].
    ///
    /// # Source
    /// Tresca; Lame; Boresi and Schmidt, Advanced Mechanics of Materials, chapters 4 and 11 (from memory).
    pub fn equivalent_stresses(&self) -> Result<(Pressure, Pressure)> {
        let s = self.stresses()?;
        Ok((s.inner_at_bore.abs(), s.outer_at_contact + self.pressure()))
    }

    /// Axial force that the contact holds: mu p pi d L.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a length not above zero or a friction below zero.
    ///
    /// # Source
    /// Coulomb friction on the contact; Shigley, section 7-8 (from memory).
    pub fn holding_force(&self, length: Length, friction: Ratio) -> Result<Force> {
        let length = finite_positive("length of contact", length)?;
        let friction = non_negative("friction", friction)?;
        Ok(self.pressure() * self.diameter() * length * (PI * friction.si()))
    }

    /// Torque that the contact holds: holding force x d / 2.
    ///
    /// # Errors
    /// As [`PressFit::holding_force`].
    pub fn holding_torque(&self, length: Length, friction: Ratio) -> Result<Torque> {
        let force = self.holding_force(length, friction)?;
        Ok(Torque::from_si(force.si() * self.diameter().si() / 2.0))
    }

    /// By how much to heat the outer part (or to cool the inner one) to assemble with a gap on the diameter:
    /// (delta + gap) / (alpha d).
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a gap below zero or a coefficient not above zero.
    pub fn assembly_temperature(
        &self,
        gap: Length,
        expansion: TemperatureCoefficient,
    ) -> Result<TemperatureInterval> {
        let gap = non_negative("gap", gap)?;
        heating_for(self.interference + gap, self.diameter(), expansion)
    }

    /// The fit with both parts warmer than at assembly: delta - d (alpha_o dT_o - alpha_i dT_i).
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] where the interference is lost, with what is left of it.
    pub fn warmed(
        &self,
        outer: (TemperatureCoefficient, TemperatureInterval),
        inner: (TemperatureCoefficient, TemperatureInterval),
    ) -> Result<Self> {
        let growth = |(alpha, dt): (TemperatureCoefficient, TemperatureInterval)| -> Result<f64> {
            Ok(finite("coefficient of expansion", alpha)?.si() * finite("temperature difference", dt)?.si())
        };
        let left = self.interference - self.diameter() * (growth(outer)? - growth(inner)?);
        if left.si() < 0.0 {
            return Err(Error::OutOfRange {
                field: "interference when warm".into(),
                value: written(left),
                allowed: "zero or more: the fit is loose".into(),
            });
        }
        Self::new(self.inner, self.outer, left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn mm(x: f64) -> Length {
        Length::from_si(x / 1000.0)
    }

    fn part(inner: f64, outer: f64, young: f64, poisson: f64) -> PressPart {
        PressPart::new(mm(inner), mm(outer), Pressure::from_si(young * 1e9), Ratio::from_si(poisson)).unwrap()
    }

    fn mpa(p: Pressure) -> f64 {
        p.si() / 1e6
    }

    /// Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3, as worked in an open textbook companion.
    #[test]
    fn compound_cylinder_of_one_material() {
        let fit =
            PressFit::new(part(300.0, 400.0, 200.0, 0.3), part(400.0, 500.0, 200.0, 0.3), mm(0.2)).unwrap();
        assert_relative_eq!(mpa(fit.pressure()), 12.3047, max_relative = 1e-5);
        let s = fit.stresses().unwrap();
        assert_relative_eq!(mpa(s.outer_at_contact), 56.0547, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.outer_at_outside), 43.75, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.inner_at_bore), -56.25, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.inner_at_contact), -43.9453, max_relative = 1e-5);
        let (inner, outer) = fit.equivalent_stresses().unwrap();
        assert_relative_eq!(mpa(inner), 56.25, max_relative = 1e-5);
        assert_relative_eq!(mpa(outer), 56.0547 + 12.3047, max_relative = 1e-5);
    }

    /// Boresi and Schmidt, Advanced Mechanics of Materials, 6th ed., example 11.3, as worked in an open textbook companion: with equal
    /// radii at the contact the book prints 189.1 MPa; with each part's free radius it is 188.967 MPa.
    #[test]
    fn shrink_fit_of_free_radii() {
        let outer = part(50.0, 100.0, 200.0, 0.29);
        let fit = PressFit::new(part(20.0, 50.144, 200.0, 0.29), outer, mm(0.144)).unwrap();
        assert_relative_eq!(mpa(fit.pressure()), 188.967, max_relative = 1e-5);
        let s = fit.stresses().unwrap();
        assert_relative_eq!(mpa(s.inner_at_bore), -449.921, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.inner_at_contact), -260.954, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.outer_at_contact), 314.945, max_relative = 1e-5);
        assert_relative_eq!(mpa(s.outer_at_outside), 125.978, max_relative = 1e-5);
        let equal = PressFit::new(part(20.0, 50.0, 200.0, 0.29), outer, mm(0.144)).unwrap();
        assert_relative_eq!(mpa(equal.pressure()), 189.1, max_relative = 1e-3);
    }

    /// Closed form: a solid shaft in a ring of the same material, p = E delta / (2 d) (1 - (d / D)^2).
    #[test]
    fn solid_shaft_in_a_ring() {
        let fit = PressFit::new(part(0.0, 40.0, 207.0, 0.3), part(40.0, 80.0, 207.0, 0.3), mm(0.04)).unwrap();
        assert_relative_eq!(mpa(fit.pressure()), 207e3 * 0.04 / 40.0 / 2.0 * 0.75, max_relative = 1e-12);
        let force = fit.holding_force(mm(50.0), Ratio::from_si(0.1)).unwrap();
        assert_relative_eq!(force.si(), 0.1 * fit.pressure().si() * PI * 0.04 * 0.05, max_relative = 1e-12);
        let torque = fit.holding_torque(mm(50.0), Ratio::from_si(0.1)).unwrap();
        assert_relative_eq!(torque.si(), force.si() * 0.02, max_relative = 1e-12);
        assert_eq!(fit.stresses().unwrap().inner_at_bore, -fit.pressure());
    }

    #[test]
    fn heating_to_assemble_and_loss_when_hot() {
        let seat =
            PressFit::new(part(30.0, 36.0, 140.0, 0.25), part(36.0, 60.0, 72.0, 0.33), mm(0.08)).unwrap();
        let (iron, aluminium) =
            (TemperatureCoefficient::from_si(11e-6), TemperatureCoefficient::from_si(21e-6));
        let k = TemperatureInterval::from_si;
        let heat = seat.assembly_temperature(mm(0.02), aluminium).unwrap();
        assert_relative_eq!(heat.si(), 0.1 / (36.0 * 21e-6), max_relative = 1e-12);
        let warm = seat.warmed((aluminium, k(150.0)), (iron, k(200.0))).unwrap();
        assert_relative_eq!(
            warm.interference().si(),
            0.08e-3 - 0.036 * (21e-6 * 150.0 - 11e-6 * 200.0),
            max_relative = 1e-9
        );
        assert!(seat.warmed((aluminium, k(250.0)), (iron, k(100.0))).is_err());
    }

    #[test]
    fn parts_that_cannot_be_are_refused() {
        let steel = Pressure::from_si(2e11);
        let nu = Ratio::from_si(0.3);
        assert!(PressPart::new(mm(50.0), mm(40.0), steel, nu).is_err());
        assert!(PressPart::new(mm(-1.0), mm(40.0), steel, nu).is_err());
        assert!(PressPart::new(mm(0.0), mm(40.0), steel, Ratio::from_si(0.5)).is_err());
        let (shaft, ring) = (part(0.0, 40.0, 200.0, 0.3), part(40.0, 80.0, 200.0, 0.3));
        assert!(PressFit::new(shaft, ring, mm(-0.01)).is_err());
        assert!(PressFit::new(shaft, ring, mm(40.0)).is_err());
        assert!(PressFit::new(shaft, part(60.0, 80.0, 200.0, 0.3), mm(0.01)).is_err());
    }

    proptest! {
        #[test]
        fn pressure_grows_with_interference_and_with_a_thicker_ring(d in 10.0..100.0f64, wall in 2.0..50.0f64, delta in 0.001..0.05f64) {
            let shaft = part(0.0, d, 200.0, 0.3);
            let p = |wall: f64, delta: f64| PressFit::new(shaft, part(d, d + 2.0 * wall, 110.0, 0.26), mm(delta)).unwrap().pressure();
            prop_assert!(p(wall, delta * 1.1) > p(wall, delta));
            prop_assert!(p(wall * 1.1, delta) > p(wall, delta));
        }
    }
}
