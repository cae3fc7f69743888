use super::*;
use crate::ErrorKind;
use crate::units::{Angle, Dimensioned, Ratio, Unbalance};
use approx::assert_relative_eq;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

mod properties;

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn read(amplitude: f64, phase: f64) -> VibrationReading {
    VibrationReading::new(amplitude, deg(phase)).unwrap()
}

fn heavy(amount: f64, angle: f64) -> UnbalanceVector {
    UnbalanceVector::heavy_at(Unbalance::from_si(amount), deg(angle)).unwrap()
}

fn near(value: Complex64, amount: f64, angle: f64) {
    assert!((value.norm() - amount).abs() < 1e-4, "{value} has {} and not {amount}", value.norm());
    let turned = value / Complex64::from_polar(1.0, angle.to_radians());
    assert!(
        turned.arg().to_degrees().abs() < 1e-3,
        "{value} at {} and not {angle}",
        value.arg().to_degrees()
    );
}

/// Random numbers, about normal with unit deviation: the sum of twelve uniform ones.
struct Random(ChaCha8Rng);

impl Random {
    fn seeded(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    fn uniform(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }

    fn complex(&mut self) -> Complex64 {
        Complex64::new(self.normal(), self.normal())
    }
}

/// A rotor that answers weights by known coefficients.
struct Rotor {
    influence: Vec<Vec<Complex64>>,
    unbalance: Vec<Complex64>,
}

impl Rotor {
    fn random(sensors: usize, planes: usize, random: &mut Random) -> Self {
        let influence = (0..sensors).map(|_| (0..planes).map(|_| random.complex()).collect()).collect();
        Self { influence, unbalance: (0..planes).map(|_| random.complex()).collect() }
    }

    /// Vibration with weights on, and what else shakes each sensor.
    fn vibration(&self, weights: &[Complex64], else_: &[Complex64]) -> Vec<Complex64> {
        let row = |(a, e): (&Vec<Complex64>, &Complex64)| {
            a.iter().zip(&self.unbalance).zip(weights).map(|((a, u), w)| a * (u + w)).sum::<Complex64>() + e
        };
        self.influence.iter().zip(else_).map(row).collect()
    }

    fn sensors(&self) -> usize {
        self.influence.len()
    }

    fn planes(&self) -> usize {
        self.unbalance.len()
    }

    /// A survey with `runs` of weights, each reading with noise.
    fn survey(
        &self,
        runs: &[(Vec<Complex64>, bool)],
        else_: &[Complex64],
        convention: PhaseConvention,
        mut noise: impl FnMut() -> Complex64,
    ) -> InfluenceSurvey {
        let mut readings = |weights: &[Complex64]| {
            let noisy = self.vibration(weights, else_).into_iter().map(|v| v + noise());
            noisy.map(|v| VibrationReading::from_complex(v, convention).unwrap()).collect::<Vec<_>>()
        };
        let baseline = readings(&vec![Complex64::ZERO; self.planes()]);
        let mut on = vec![Complex64::ZERO; self.planes()];
        let trial = |(w, stays): &(Vec<Complex64>, bool)| {
            let all: Vec<Complex64> = on.iter().zip(w).map(|(a, b)| a + b).collect();
            let read = readings(&all);
            if *stays {
                on = all;
            }
            TrialRun::new(
                w.iter().map(|w| UnbalanceVector::from_complex(*w).unwrap()).collect(),
                read,
                *stays,
            )
        };
        let runs = runs.iter().map(trial).collect();
        InfluenceSurvey::new(baseline, runs, convention).unwrap()
    }
}

/// One unit weight in each plane in turn, `times` over.
fn in_turn(planes: usize, times: usize, stays: bool) -> Vec<(Vec<Complex64>, bool)> {
    let run = |i: usize| {
        let mut w = vec![Complex64::ZERO; planes];
        w[i % planes] = Complex64::from_polar(1.0, i as f64);
        (w, stays)
    };
    (0..planes * times).map(run).collect()
}

fn quiet() -> Complex64 {
    Complex64::ZERO
}

fn complex(vectors: &[UnbalanceVector]) -> Vec<Complex64> {
    vectors.iter().map(UnbalanceVector::complex).collect()
}

/// Rao, Mechanical Vibrations, chapter 9, example 9.2 (data from memory); one ounce at the radius stands as one kg m.
fn turbine_rotor() -> InfluenceSurvey {
    let left =
        TrialRun::in_plane(0, 2, heavy(10.0, 270.0), vec![read(6.0, 125.0), read(4.5, 230.0)]).unwrap();
    let right =
        TrialRun::in_plane(1, 2, heavy(12.0, 180.0), vec![read(6.0, 35.0), read(10.5, 160.0)]).unwrap();
    let baseline = vec![read(8.5, 60.0), read(6.5, 205.0)];
    InfluenceSurvey::new(baseline, vec![left, right], PhaseConvention::Lead).unwrap()
}

#[test]
fn two_planes_of_a_textbook() {
    let found = turbine_rotor().correct().unwrap();
    let a = |sensor, plane| found.influence.coefficient(sensor, plane).unwrap();
    near(a(0, 0), 0.807112, 287.6435);
    near(a(1, 0), 0.307912, 76.8562);
    near(a(0, 1), 0.331313, 99.6275);
    near(a(1, 1), 0.623498, 302.0988);
    near(found.unbalance[0].complex(), 10.0561, 145.5548);
    near(found.unbalance[1].complex(), 5.8774, 248.2559);
    near(found.weights[0].complex(), 10.0561, 325.5548);
    near(found.weights[1].complex(), 5.8774, 68.2559);
    assert_eq!(found.unbalance[0].add_at().si().to_degrees().round(), 326.0);
    assert!(found.predicted.iter().all(|v| v.amplitude() < 1e-13));
    assert_relative_eq!(found.condition, CONDITION_OF_TURBINE, max_relative = 1e-9);
    assert_relative_eq!(found.influence.condition().unwrap(), found.condition, max_relative = 1e-12);
    assert!(found.uncertainty.weights.iter().all(|u| u.amount.si() == 0.0));
}

/// From trace and determinant of A* A: the roots of s^2 - tr s + det = 0 are the squares of the singular values.
const CONDITION_OF_TURBINE: f64 = 2.3407653598915745;

/// One plane, from both conventions: the disc that answers 30 deg late is corrected at the same place of the rotor.
#[test]
fn lag_is_lead_counted_the_other_way() {
    let found = |convention, sign: f64| {
        // Heavy by 3 at 100 deg, answering at its angle less 30 deg; the trial weight of 1 at 0 deg.
        let (before, after) = (Complex64::from_polar(3.0, 100f64.to_radians()), Complex64::ONE);
        let shown = |u: Complex64| read(2.0 * u.norm(), sign * (u.arg().to_degrees() - 30.0));
        let run = TrialRun::in_plane(0, 1, heavy(1.0, 0.0), vec![shown(before + after)]).unwrap();
        InfluenceSurvey::new(vec![shown(before)], vec![run], convention).unwrap().correct().unwrap()
    };
    near(found(PhaseConvention::Lead, 1.0).unbalance[0].complex(), 3.0, 100.0);
    near(found(PhaseConvention::Lag, -1.0).unbalance[0].complex(), 3.0, 100.0);
    assert!((found(PhaseConvention::Lead, -1.0).unbalance[0].angle().si().to_degrees() - 260.0).abs() < 1e-6);
}

#[test]
fn predictions_come_back_in_the_convention_of_the_readings() {
    let a = vec![vec![Complex64::from_polar(2.0, 0.3)]];
    let weights = [heavy(1.0, 40.0)];
    let phase = |convention| {
        let matrix = InfluenceMatrix::new(&a, convention).unwrap();
        matrix.predict(&[read(0.0, 0.0)], &weights).unwrap()[0].phase().si()
    };
    let lead = 0.3 + 40f64.to_radians();
    assert_relative_eq!(phase(PhaseConvention::Lead), lead, max_relative = 1e-14);
    assert_relative_eq!(phase(PhaseConvention::Lag), core::f64::consts::TAU - lead, max_relative = 1e-14);
}

#[test]
fn known_coefficients_serve_another_day() {
    let found = turbine_rotor().correct().unwrap();
    let later = [read(3.0, 20.0), read(1.0, 300.0)];
    let weights = found.influence.correct(&later).unwrap();
    let after = found.influence.predict(&later, &weights).unwrap();
    assert!(after.iter().all(|v| v.amplitude() < 1e-13));
    assert_eq!(found.influence.predict(&later, &weights[..1]).unwrap_err().kind(), ErrorKind::WrongLength);
}

/// Two numbers against one weight: V0 = (3, 1), A = (1, 1) leave +1 and -1; with the first sensor counting three times, 0.5 and -1.5.
#[test]
fn least_squares_over_the_sensors_with_and_without_weights() {
    let run = TrialRun::in_plane(0, 1, heavy(1.0, 0.0), vec![read(4.0, 0.0), read(2.0, 0.0)]).unwrap();
    let survey =
        InfluenceSurvey::new(vec![read(3.0, 0.0), read(1.0, 0.0)], vec![run], PhaseConvention::Lead).unwrap();
    let left = |survey: &InfluenceSurvey| -> Vec<Complex64> {
        survey.correct().unwrap().predicted.iter().map(|v| v.complex(PhaseConvention::Lead)).collect()
    };
    let even = left(&survey);
    near(even[0], 1.0, 0.0);
    near(even[1], 1.0, 180.0);
    let weighted = left(&survey.with_sensor_weights(vec![3.0, 1.0]).unwrap());
    near(weighted[0], 0.5, 0.0);
    near(weighted[1], 1.5, 180.0);
}

/// Readings 0, 1 and, of the same run again, 4 of a weight of 1: by even weights (0, 2.5), with the last run left almost out (0, 1).
#[test]
fn least_squares_over_the_runs_with_and_without_weights() {
    let run = |v| TrialRun::in_plane(0, 1, heavy(1.0, 0.0), vec![read(v, 0.0)]).unwrap();
    let survey =
        InfluenceSurvey::new(vec![read(0.0, 0.0)], vec![run(1.0), run(4.0)], PhaseConvention::Lead).unwrap();
    let coefficient = |s: &InfluenceSurvey| s.influence().unwrap().coefficient(0, 0).unwrap().re;
    assert_relative_eq!(coefficient(&survey), 2.5, max_relative = 1e-13);
    let survey = survey.with_run_weights(vec![1.0, 3.0, 1.0]).unwrap();
    assert_relative_eq!(coefficient(&survey), 1.75, max_relative = 1e-13);
}

#[test]
fn a_balancing_machine_is_corrected_by_the_opposite() {
    let m = Length::from_si;
    let shown = [
        PlacedUnbalance::new(heavy(3e-4, 20.0), m(0.1)).unwrap(),
        PlacedUnbalance::new(heavy(2e-4, 250.0), m(0.5)).unwrap(),
    ];
    let weights = correction_of_unbalance(&shown, m(0.1), m(0.5)).unwrap();
    near(weights[0].vector().complex() * 1e4, 3.0, 200.0);
    near(weights[1].vector().complex() * 1e4, 2.0, 70.0);
    let elsewhere = correction_of_unbalance(&shown, m(0.0), m(0.7)).unwrap();
    let left: Vec<PlacedUnbalance> = shown.iter().chain(&elsewhere).copied().collect();
    let left = to_planes(&left, m(0.1), m(0.5)).unwrap();
    assert!(left.iter().all(|u| u.vector().amount().si() < 1e-18));
    assert!(correction_of_unbalance(&shown, m(0.2), m(0.2)).is_err());
}

fn message(result: Result<Correction>) -> String {
    result.unwrap_err().to_string()
}

fn survey_of(weights: &[[UnbalanceVector; 2]]) -> InfluenceSurvey {
    let rotor = Rotor {
        influence: vec![
            vec![Complex64::new(1.0, 0.2), Complex64::new(0.3, -0.1)],
            vec![Complex64::new(-0.2, 0.4), Complex64::new(0.9, 0.0)],
        ],
        unbalance: vec![Complex64::new(1.0, 1.0), Complex64::new(-2.0, 0.5)],
    };
    let runs: Vec<_> = weights.iter().map(|w| (complex(w), false)).collect();
    rotor.survey(&runs, &[Complex64::ZERO; 2], PhaseConvention::Lead, quiet)
}

#[test]
fn trial_weights_that_tell_nothing_are_named() {
    let (none, one) = (UnbalanceVector::none(), heavy(1.0, 30.0));
    let text = message(survey_of(&[[one, none], [one, none]]).correct());
    assert_eq!(text, "trial weight in plane 2 is none; allowed: a weight in each plane, in one run at least");
    let text = message(survey_of(&[[one, one], [one, one]]).correct());
    assert!(text.starts_with("load of trial runs 1 and 2 is the same weights;"), "{text}");
    let double = heavy(2.0, 30.0);
    let text = message(survey_of(&[[one, one], [double, double]]).correct());
    assert!(text.starts_with("condition of the trial weights is "), "{text}");
    // Repeated runs are welcome where the others tell the planes apart.
    assert!(survey_of(&[[one, none], [one, none], [none, one]]).correct().is_ok());
}

#[test]
fn a_trial_that_changed_nothing_is_named() {
    let survey = |second: VibrationReading| {
        let runs = [read(4.0, 50.0), second].into_iter().enumerate();
        let runs =
            runs.map(|(i, v)| TrialRun::in_plane(i, 2, heavy(1.0, 0.0), vec![v, read(2.0, 0.0)]).unwrap());
        InfluenceSurvey::new(vec![read(3.0, 0.0), read(2.0, 0.0)], runs.collect(), PhaseConvention::Lead)
            .unwrap()
    };
    let text = message(survey(read(3.0, 0.0)).correct());
    assert!(text.starts_with("change of vibration by trial run 2 is 0;"), "{text}");
    let uncertain =
        |u: f64| survey(read(3.125, 0.0)).with_uncertainty(ReadingUncertainty::absolute(u).unwrap());
    let text = message(uncertain(0.05).correct());
    assert!(
        text.starts_with("change of vibration by trial run 2 is 0.125;")
            && text.contains("heavier trial weight"),
        "{text}"
    );
    assert!(!uncertain(0.04).correct().unwrap_err().to_string().contains("change of vibration"));
    // A weight that stays has moved the readings; the next one is held against those, not against the baseline.
    let first = TrialRun::new(vec![heavy(1.0, 0.0), UnbalanceVector::none()], vec![read(5.0, 0.0); 2], true);
    let second = TrialRun::in_plane(1, 2, heavy(1.0, 0.0), vec![read(5.0, 0.0); 2]).unwrap();
    let base = vec![read(3.0, 0.0), read(2.0, 0.0)];
    let stayed = InfluenceSurvey::new(base, vec![first, second], PhaseConvention::Lead).unwrap();
    let text = message(stayed.correct());
    assert!(text.starts_with("change of vibration by trial run 2 is 0;"), "{text}");
}

#[test]
fn planes_that_act_alike_are_refused_with_the_condition_number() {
    let a = |x: f64| {
        vec![vec![Complex64::ONE, Complex64::ONE], vec![Complex64::ONE, Complex64::new(1.0 + x, 0.0)]]
    };
    let correct = |x: f64| {
        InfluenceMatrix::new(&a(x), PhaseConvention::Lead)
            .unwrap()
            .correct(&[read(1.0, 0.0), read(1.0, 90.0)])
    };
    assert!(correct(0.1).is_ok());
    let text = correct(1e-3).unwrap_err().to_string();
    assert!(
        text.starts_with("condition of the influence coefficients is 4002.0")
            && text.contains("at most 1000"),
        "{text}"
    );
    assert!(correct(0.0).unwrap_err().to_string().contains("coefficients is inf;"));
    let none = InfluenceMatrix::new(&[vec![Complex64::ZERO]], PhaseConvention::Lead).unwrap();
    assert!(none.correct(&[read(1.0, 0.0)]).is_err());
    assert!(none.condition().unwrap().is_infinite());
}

#[test]
fn wrong_lengths_and_numbers_are_refused() {
    let kind =
        |baseline, runs| InfluenceSurvey::new(baseline, runs, PhaseConvention::Lead).unwrap_err().kind();
    let run = |planes, sensors| {
        TrialRun::in_plane(0, planes, heavy(1.0, 0.0), vec![read(1.0, 0.0); sensors]).unwrap()
    };
    let base = |n| vec![read(2.0, 0.0); n];
    assert_eq!(kind(base(1), vec![]), ErrorKind::WrongLength);
    assert_eq!(kind(base(0), vec![run(1, 0)]), ErrorKind::WrongLength);
    assert_eq!(kind(base(2), vec![run(2, 2)]), ErrorKind::WrongLength);
    assert_eq!(kind(base(1), vec![run(2, 1), run(2, 1)]), ErrorKind::WrongLength);
    assert_eq!(kind(base(2), vec![run(2, 2), run(2, 1)]), ErrorKind::WrongLength);
    assert_eq!(kind(base(2), vec![run(2, 2), run(1, 2)]), ErrorKind::WrongLength);
    assert!(TrialRun::in_plane(2, 2, heavy(1.0, 0.0), base(2)).is_err());
    assert_eq!(VibrationReading::new(f64::NAN, deg(0.0)).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(VibrationReading::new(1.0, deg(f64::INFINITY)).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(VibrationReading::new(-1.0, deg(0.0)).unwrap_err().kind(), ErrorKind::OutOfRange);
    assert!(ReadingUncertainty::absolute(-1.0).is_err());
    assert!(ReadingUncertainty::polar(Ratio::from_si(0.01), deg(f64::NAN)).is_err());
    let lead = PhaseConvention::Lead;
    let nan = Complex64::new(f64::NAN, 0.0);
    assert_eq!(InfluenceMatrix::new(&[vec![nan]], lead).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(InfluenceMatrix::new(&[], lead).unwrap_err().kind(), ErrorKind::WrongLength);
    assert!(InfluenceMatrix::new(&[vec![nan; 2], vec![nan; 1]], lead).is_err());
    assert!(turbine_rotor().with_sensor_weights(vec![1.0]).is_err());
    assert!(turbine_rotor().with_sensor_weights(vec![1.0, 0.0]).is_err());
    assert!(turbine_rotor().with_run_weights(vec![1.0, 1.0, f64::NAN]).is_err());
    assert!(turbine_rotor().with_run_weights(vec![1.0, 1.0]).is_err());
}

/// Figures at the edge of what a number holds give an answer or an error: no panic, no endless search.
#[test]
fn extreme_figures_come_to_an_end() {
    let sizes = [1e-320, 1e-300, 1e-160, 1.0, 1e160, 1e300, 1.7e308];
    let mut answers = 0;
    for size in sizes {
        for amount in sizes {
            let run = |i, v| {
                TrialRun::in_plane(i, 2, heavy(amount, 0.0), vec![read(v, 30.0), read(size, 0.0)]).unwrap()
            };
            let base = vec![read(size, 0.0), read(size / 2.0, 200.0)];
            let runs = vec![run(0, size / 3.0), run(1, size)];
            let survey = InfluenceSurvey::new(base, runs, PhaseConvention::Lead).unwrap();
            if let Ok(found) = survey.correct() {
                assert!(found.weights.iter().all(|w| w.amount().si().is_finite()));
                answers += 1;
            }
        }
    }
    assert!(answers > 5);
}

/// Every entry of a matrix at the edge of what a number holds, in turn beside ones of other sizes.
#[test]
fn extreme_coefficients_come_to_an_end() {
    let sizes = [0.0, 5e-324, 1e-160, 1.0, 1e160, 1.7e308];
    for code in 0..sizes.len().pow(4) {
        let entry =
            |i: u32| Complex64::new(sizes[code / sizes.len().pow(i) % sizes.len()], f64::from(i) * 0.1);
        let rows = [vec![entry(0), entry(1)], vec![entry(2), entry(3)]];
        let matrix = InfluenceMatrix::new(&rows, PhaseConvention::Lead).unwrap();
        if let Ok(weights) = matrix.correct(&[read(1.0, 0.0), read(1e-9, 10.0)]) {
            assert!(weights.iter().all(|w| w.amount().si().is_finite()));
        }
    }
}
