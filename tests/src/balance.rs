//! The vectors of masses, shaking forces, unbalance and trial weights.

use crate::Vector;
use swept::Result;
use swept::balance::influence::{Correction, InfluenceSurvey, PhaseConvention, TrialRun, VibrationReading};
use swept::balance::unbalance::{BalanceGrade, UnbalanceVector, allocate_to_bearings};
use swept::balance::{
    CounterweightSector, Harmonic, ShakingCylinder, ShakingEngine, ThrowPiston, best_share, bob_weight,
};
use swept::geometry::{Cylinder, Station};
use swept::units::{Angle, Dimensioned};

impl Vector {
    fn throw(&self) -> Vec<ThrowPiston> {
        let angles = self.list("bank_angle").into_iter().zip(self.list("pin_angle"));
        let pistons = angles.zip(self.list("reciprocating"));
        pistons
            .map(|((bank_angle, pin_angle), reciprocating)| ThrowPiston {
                bank_angle,
                pin_angle,
                reciprocating,
            })
            .collect()
    }

    /// Cylinders of one size.
    fn shaking(&self) -> Result<ShakingEngine> {
        let cylinder =
            Cylinder::new(self.q("bore")?, self.q("stroke")?, self.q("rod_length")?, self.q("pin_offset")?)?;
        let angles = self.list("bank_angle").into_iter().zip(self.list("throw_angle"));
        let places = self.list("position").into_iter().zip(self.list("reciprocating"));
        let cylinders = angles.zip(places).map(|((bank_angle, throw_angle), (position, reciprocating))| {
            let station = Station { bank_angle, throw_angle };
            ShakingCylinder { cylinder, station, position, reciprocating }
        });
        ShakingEngine::new(cylinders.collect(), Vec::new())
    }

    fn harmonic(&self, found: &Harmonic) -> f64 {
        self.pick(&[
            ("forward_amount", found.forward.norm()),
            ("backward_amount", found.backward.norm()),
            ("greatest_amount", found.greatest()),
            ("least_amount", found.least()),
        ])
    }

    fn vibrations(&self, amplitudes: &str, phases: &str) -> Result<Vec<VibrationReading>> {
        let amplitudes = self.lists.get(amplitudes).into_iter().flatten();
        let pairs = amplitudes.zip(self.list::<Angle>(phases));
        pairs.map(|(amplitude, phase)| VibrationReading::new(*amplitude, phase)).collect()
    }

    fn correction(&self) -> Result<Correction> {
        let baseline = self.vibrations("baseline_amplitudes", "baseline_phases")?;
        let readings = self.vibrations("reading_amplitudes", "reading_phases")?;
        let weights = self.list("weight_amounts").into_iter().zip(self.list("weight_angles"));
        let weights: Vec<UnbalanceVector> =
            weights.map(|(amount, angle)| UnbalanceVector::heavy_at(amount, angle)).collect::<Result<_>>()?;
        let sensors = baseline.len().max(1);
        let planes = weights.len() / (readings.len() / sensors).max(1);
        let runs = weights.chunks(planes.max(1)).zip(readings.chunks(sensors));
        let runs = runs.map(|(weights, readings)| TrialRun::new(weights.to_vec(), readings.to_vec(), false));
        InfluenceSurvey::new(baseline, runs.collect(), PhaseConvention::Lead)?.correct()
    }

    /// In the plane that the vector names.
    fn corrected(&self) -> Result<f64> {
        let found = self.correction()?;
        let plane = self.si("plane") as usize;
        let of = |list: &[UnbalanceVector], figure: fn(&UnbalanceVector) -> f64| {
            list.get(plane).map_or(f64::NAN, figure)
        };
        Ok(self.pick(&[
            ("amount", of(&found.weights, |w| w.amount().si())),
            ("angle", of(&found.weights, |w| w.angle().si())),
            ("unbalance", of(&found.unbalance, |u| u.amount().si())),
            ("heavy_at", of(&found.unbalance, |u| u.angle().si())),
            ("condition", found.condition),
        ]))
    }

    pub(crate) fn run_balance(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "bob_weight" => bob_weight(&v.list("rotating"), &v.list("reciprocating"), v.q("share")?)?.si(),
            "best_share" => best_share(&v.throw())?.si(),
            "counterweight_sector_unbalance" => {
                let (inner, outer) = (v.q("inner_radius")?, v.q("outer_radius")?);
                let (angle, thickness) = (v.q("included_angle")?, v.q("thickness")?);
                CounterweightSector::new(inner, outer, angle, thickness, v.si("density"))?.unbalance().si()
            }
            "permissible_unbalance" => {
                BalanceGrade::parse(v.text("grade"))?.permissible(v.q("mass")?, v.q("speed")?)?.si()
            }
            "allocate_to_bearings" => {
                let (first, second) = (v.q("centre_to_first")?, v.q("centre_to_second")?);
                let found = allocate_to_bearings(v.q("permissible")?, first, second)?;
                v.pick(&[("first", found.a.si()), ("second", found.b.si())])
            }
            "shaking_force" => v.harmonic(&v.shaking()?.force(v.si("order") as usize)?),
            "shaking_moment" => v.harmonic(&v.shaking()?.moment(v.si("order") as usize, v.q("about")?)?),
            "correct_by_trials" => v.corrected()?,
            _ => return self.run_valvetrain(),
        }))
    }
}
