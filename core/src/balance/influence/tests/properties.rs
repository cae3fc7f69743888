//! What must always hold of a correction, and its uncertainty against sampling.

use super::*;
use proptest::prelude::*;

/// Against 4000 drawn surveys of one rotor: the weights, and how far what truly remains with them strays from what was predicted.
#[test]
fn uncertainty_agrees_with_sampling() {
    let mut random = Random::seeded(7);
    let rotor = Rotor {
        influence: vec![
            vec![Complex64::new(1.0, 0.2), Complex64::new(0.3, -0.1)],
            vec![Complex64::new(-0.2, 0.4), Complex64::new(0.9, 0.0)],
            vec![Complex64::new(0.5, 0.5), Complex64::new(0.4, -0.6)],
        ],
        unbalance: vec![Complex64::new(1.5, 1.0), Complex64::new(-2.0, 0.5)],
    };
    let else_ = [Complex64::new(0.05, 0.0), Complex64::new(0.0, -0.04), Complex64::new(0.02, 0.03)];
    let runs = [
        (vec![Complex64::new(1.5, 0.0), Complex64::ZERO], true),
        (vec![Complex64::ZERO, Complex64::new(0.0, 1.5)], false),
        (vec![Complex64::new(0.0, -1.0), Complex64::new(1.0, 0.0)], false),
    ];
    let exact = rotor.survey(&runs, &else_, PhaseConvention::Lag, quiet);
    let (relative, phase, absolute) = (0.003, 1.5f64.to_radians(), 0.003);
    let polar = ReadingUncertainty::polar(Ratio::from_si(relative), Angle::from_si(phase)).unwrap();
    let stated = polar.and(ReadingUncertainty::absolute(absolute).unwrap());
    let found = exact.clone().with_uncertainty(stated).correct().unwrap();
    let staying = [Complex64::new(1.5, 0.0), Complex64::ZERO];

    let draws = 4_000;
    let mut weights = vec![Vec::new(); 2];
    let mut left = vec![Vec::new(); 3];
    for _ in 0..draws {
        let mut noisy = |v: &VibrationReading| {
            let v = v.complex(PhaseConvention::Lag);
            let polar =
                v * (1.0 + random.normal() * relative) * Complex64::from_polar(1.0, random.normal() * phase);
            VibrationReading::from_complex(polar + random.complex() * absolute, PhaseConvention::Lag).unwrap()
        };
        let mut survey = exact.clone();
        survey.baseline = survey.baseline.iter().map(&mut noisy).collect();
        let again = |run: &TrialRun| {
            TrialRun::new(
                run.weights().to_vec(),
                run.readings().iter().map(&mut noisy).collect(),
                run.stays(),
            )
        };
        survey.runs = survey.runs.iter().map(again).collect();
        let drawn = survey.correct().unwrap();
        let w = complex(&drawn.weights);
        let on: Vec<Complex64> = w.iter().zip(&staying).map(|(a, b)| a + b).collect();
        weights.iter_mut().zip(&w).for_each(|(all, w)| all.push(*w));
        let strays = rotor.vibration(&on, &else_).into_iter().zip(&drawn.predicted);
        let strays = strays.map(|(v, promised)| v - promised.complex(PhaseConvention::Lag));
        left.iter_mut().zip(strays).for_each(|(all, v)| all.push(v));
    }
    let spread = |values: &[f64]| {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (values.len() - 1) as f64).sqrt()
    };
    let of = |values: &[Complex64], part: &dyn Fn(&Complex64) -> f64| {
        spread(&values.iter().map(part).collect::<Vec<_>>())
    };
    for (plane, u) in found.uncertainty.weights.iter().enumerate() {
        let (all, direction) = (&weights[plane], found.weights[plane].complex());
        assert_relative_eq!(u.real.si(), of(all, &|w| w.re), max_relative = 0.1);
        assert_relative_eq!(u.imaginary.si(), of(all, &|w| w.im), max_relative = 0.1);
        assert_relative_eq!(u.amount.si(), of(all, &|w| w.norm()), max_relative = 0.1);
        assert_relative_eq!(u.angle.unwrap().si(), of(all, &|w| (w / direction).arg()), max_relative = 0.1);
    }
    for (all, u) in left.iter().zip(&found.uncertainty.predicted) {
        assert_relative_eq!(u.real, of(all, &|v| v.re), max_relative = 0.1);
        assert_relative_eq!(u.imaginary, of(all, &|v| v.im), max_relative = 0.1);
    }
}

fn well_conditioned(rotor: &Rotor) -> bool {
    let matrix = InfluenceMatrix::new(&rotor.influence, PhaseConvention::Lead).unwrap();
    matrix.condition().unwrap() < 30.0
}

proptest! {
    #[test]
    fn a_correction_applied_leaves_what_it_promised(
        seed in 0u64..1_000_000, planes in 1usize..4, more in 0usize..3, times in 1usize..3, stays: bool, lag: bool
    ) {
        let mut random = Random::seeded(seed);
        let rotor = Rotor::random(planes + more, planes, &mut random);
        prop_assume!(well_conditioned(&rotor));
        let convention = if lag { PhaseConvention::Lag } else { PhaseConvention::Lead };
        let else_: Vec<Complex64> = (0..rotor.sensors()).map(|_| random.complex()).collect();
        let runs = in_turn(planes, times, stays);
        let found = rotor.survey(&runs, &else_, convention, quiet).correct().unwrap();
        let on: Vec<Complex64> = (0..planes)
            .map(|p| runs.iter().filter(|r| r.1).map(|r| r.0[p]).sum::<Complex64>() + found.weights[p].complex())
            .collect();
        let after = rotor.vibration(&on, &else_);
        for (after, promised) in after.iter().zip(&found.predicted) {
            prop_assert!((after - promised.complex(convention)).norm() < 1e-9);
            prop_assert!(more > 0 || after.norm() < 1e-9);
        }
        // The unbalance found is the opposite of all weights on.
        for (u, w) in found.unbalance.iter().zip(&on) {
            prop_assert!((u.complex() + w).norm() < 1e-9);
        }
        // No other weights leave less.
        let sum = |v: &[Complex64]| v.iter().map(|v| v.norm_sqr()).sum::<f64>();
        let other: Vec<Complex64> = on.iter().map(|w| w + random.complex() * 0.1).collect();
        prop_assert!(sum(&rotor.vibration(&other, &else_)) >= sum(&after) - 1e-9);
    }

    #[test]
    fn the_rotor_alone_is_found_where_nothing_else_shakes(seed in 0u64..1_000_000, planes in 1usize..4, more in 0usize..3) {
        let mut random = Random::seeded(seed);
        let rotor = Rotor::random(planes + more, planes, &mut random);
        prop_assume!(well_conditioned(&rotor));
        let else_ = vec![Complex64::ZERO; rotor.sensors()];
        let found = rotor.survey(&in_turn(planes, 1, false), &else_, PhaseConvention::Lead, quiet).correct().unwrap();
        for (u, truth) in found.unbalance.iter().zip(&rotor.unbalance) {
            prop_assert!((u.complex() - truth).norm() < 1e-9);
        }
    }
}

/// Mean square of what truly remains, over many rotors read with noise: with every run made three times against once.
#[test]
fn more_runs_leave_no_more() {
    let mut random = Random::seeded(3);
    let (mut once, mut thrice, mut rotors) = (0.0, 0.0, 0);
    while rotors < 400 {
        let rotor = Rotor::random(2, 2, &mut random);
        if !well_conditioned(&rotor) {
            continue;
        }
        rotors += 1;
        let left = |times: usize, random: &mut Random| {
            let noise = || random.complex() * 0.01;
            let survey =
                rotor.survey(&in_turn(2, times, false), &[Complex64::ZERO; 2], PhaseConvention::Lead, noise);
            let on = complex(&survey.correct().unwrap().weights);
            rotor.vibration(&on, &[Complex64::ZERO; 2]).iter().map(|v| v.norm_sqr()).sum::<f64>()
        };
        once += left(1, &mut random);
        thrice += left(3, &mut random);
    }
    assert!(thrice < 0.6 * once, "{thrice} against {once}");
}

/// The vibration that truly remains after a square correction has the deviation that was predicted for it.
#[test]
fn what_remains_is_as_large_as_predicted() {
    let mut random = Random::seeded(11);
    let rotor = Rotor {
        influence: vec![
            vec![Complex64::new(1.0, 0.2), Complex64::new(0.3, -0.1)],
            vec![Complex64::new(-0.2, 0.4), Complex64::new(0.9, 0.0)],
        ],
        unbalance: vec![Complex64::new(1.5, 1.0), Complex64::new(-2.0, 0.5)],
    };
    let (runs, none) = (in_turn(2, 1, false), [Complex64::ZERO; 2]);
    let noise = 0.005;
    let stated = ReadingUncertainty::absolute(noise).unwrap();
    let exact = rotor.survey(&runs, &none, PhaseConvention::Lead, quiet).with_uncertainty(stated);
    let predicted = exact.correct().unwrap().uncertainty.predicted;
    let drawn = 4_000;
    let mut squares = [0.0; 2];
    for _ in 0..drawn {
        let survey = rotor.survey(&runs, &none, PhaseConvention::Lead, || random.complex() * noise);
        let on = complex(&survey.correct().unwrap().weights);
        squares.iter_mut().zip(rotor.vibration(&on, &none)).for_each(|(sum, v)| *sum += v.norm_sqr());
    }
    for (sum, u) in squares.iter().zip(&predicted) {
        assert_relative_eq!(u.magnitude(), (sum / drawn as f64).sqrt(), max_relative = 0.1);
    }
}
