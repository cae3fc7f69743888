//! Checks against published figures and closed forms. Nobody saw the original texts: "from memory" and "as transcribed" say how
//! each figure came here.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use approx::{assert_abs_diff_eq, assert_relative_eq};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use swept::Result;
use swept::geometry::*;
use swept::metrology::*;
use swept::units::*;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1000.0)
}

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn slider() -> (Cylinder, AngularVelocity) {
    let c = Cylinder::new(mm(101.6), mm(88.392), mm(144.78), mm(0.0)).unwrap();
    (c, parse("6000 rpm").unwrap())
}

/// Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.4 to 2.6 and 2.11 (from memory); figures of an
/// independent computation, which counts acceleration positive towards the head: the sign is turned here.
#[test]
fn slider_crank_at_six_angles() {
    let (c, w) = slider();
    let rows = [
        (30.0, 7.617505586248484, 17.59870747666684, -17901.389493879946, 1.7756080898298072),
        (45.0, 16.357791805086435, 23.976547838381638, -12470.802425581123, 2.6655367708138558),
        (75.0, 39.19415500223323, 29.040785004827782, 275.840776720297, 4.990716298082399),
        (120.0, 71.44490708595143, 20.242787818149328, 11381.53538797864, 8.274461079889168),
        (150.0, 84.16722307756257, 10.170458306944056, 12319.227652296882, 9.569836723889754),
        (180.0, 88.392, 0.0, 12121.686056124627, 10.0),
    ];
    let clearance = c.swept_volume() / 9.0;
    for (angle, x, v, a, ratio) in rows {
        assert_relative_eq!(c.piston_position(deg(angle)).si(), x / 1000.0, max_relative = 1e-9);
        assert_relative_eq!(c.piston_velocity(deg(angle), w).si(), v, max_relative = 1e-9, epsilon = 1e-9);
        assert_relative_eq!(c.piston_acceleration(deg(angle), w).si(), -a, max_relative = 1e-9);
        let volume = c.cylinder_volume(deg(angle), clearance) / clearance;
        assert_relative_eq!(volume.si(), ratio, max_relative = 1e-9);
    }
}

/// Closed forms r w^2 (1 + r/l) and r w^2 (1 - r/l); largest speed by an independent computation.
#[test]
fn slider_crank_extremes() {
    let (c, w) = slider();
    assert_relative_eq!(c.mean_piston_speed(w).si(), 17.6784, max_relative = 1e-12);
    assert_relative_eq!(c.peak_acceleration(w).si(), 22774.0768, max_relative = 1e-8);
    assert_relative_eq!(c.piston_acceleration(deg(180.0), w).si(), -12121.6861, max_relative = 1e-8);
    let fastest = c.piston_velocity(deg(74.309428), w).si();
    assert_relative_eq!(fastest, 29.043434, max_relative = 1e-7);
    assert!(c.piston_velocity(deg(74.2), w).si() < fastest && c.piston_velocity(deg(74.4), w).si() < fastest);
}

/// S = sqrt((l+r)^2 - d^2) - sqrt((l-r)^2 - d^2) and the dead centres; figures of an independent computation; its
/// position is at 90 deg of the throw from the cylinder axis.
#[test]
fn pin_offset_moves_the_dead_centres() {
    for (d, top, bottom, at_90) in
        [(1.0, -0.303192188, 179.4303594666, 51.428561497), (-1.0, 0.303192188, 180.5696405334, 50.78741425)]
    {
        let c = Cylinder::new(mm(101.6), mm(88.392), mm(144.78), mm(d)).unwrap();
        assert_relative_eq!(c.travel().si(), 88.394325235e-3, max_relative = 1e-10);
        assert_relative_eq!(c.top_dead_centre().si().to_degrees(), top, max_relative = 1e-8);
        assert_relative_eq!(c.bottom_dead_centre().si().to_degrees(), bottom, max_relative = 1e-10);
        assert_relative_eq!(
            c.piston_position(deg(90.0) - c.top_dead_centre()).si(),
            at_90 / 1000.0,
            max_relative = 1e-9
        );
    }
}

/// Khurmi and Gupta, Theory of Machines, example 15.3, as worked in an open textbook companion: 6.54 m/s near 75 deg by the
/// two-term approximation, which is within half a percent of the exact motion.
#[test]
fn largest_velocity_of_a_textbook_engine() {
    let c = Cylinder::new(mm(300.0), mm(600.0), mm(1000.0), mm(0.0)).unwrap();
    let v = c.piston_velocity(deg(75.0), parse("200 rpm").unwrap()).si();
    assert_relative_eq!(v, 6.54, max_relative = 5e-3);
}

/// H. N. Gupta, Fundamentals of Internal Combustion Engines, example 2.1, as worked in an open textbook companion.
#[test]
fn compression_ratio_of_a_textbook_engine() {
    let c = Cylinder::new(mm(200.0), mm(250.0), mm(500.0), mm(0.0)).unwrap();
    assert_relative_eq!(c.swept_volume().si(), 7853.98e-6, max_relative = 1e-6);
    let ratio = compression_ratio(c.swept_volume(), Volume::from_si(1570e-6)).unwrap();
    assert_relative_eq!(ratio.si(), 6.00254, max_relative = 1e-5);
}

/// Identities; figures of an independent computation. Trapped ratio: Heywood (1988), the idea of an effective ratio (from memory).
#[test]
fn static_and_trapped_compression_ratio() {
    let inch = |x: f64| Length::from_si(x * 0.0254);
    let c = Cylinder::new(inch(4.0), inch(3.48), inch(5.7), inch(0.0)).unwrap();
    let volumes = ClearanceVolume {
        chamber: Volume::from_si(64e-6),
        gasket: disc_volume(inch(4.1), inch(0.041)),
        deck: disc_volume(c.bore(), inch(0.015)),
        crown: Volume::from_si(5e-6),
        crevice: Volume::from_si(0.0),
    };
    assert_relative_eq!(c.swept_volume().si(), 716.6222e-6, max_relative = 1e-7);
    assert_relative_eq!(volumes.gasket.si(), 8.870388e-6, max_relative = 1e-7);
    assert_relative_eq!(volumes.deck.si(), 3.088889e-6, max_relative = 1e-6);
    let ratio = compression_ratio(c.swept_volume(), volumes.total().unwrap()).unwrap();
    assert_relative_eq!(ratio.si(), 9.851638, max_relative = 1e-7);
    let (c, _) = slider();
    let clearance = clearance_volume_for(Ratio::from_si(10.0), c.swept_volume()).unwrap();
    assert_relative_eq!(clearance.si(), 79.624689e-6, max_relative = 1e-8);
    assert_relative_eq!(c.piston_position(deg(180.0 + 66.0)).si(), 67.915795e-3, max_relative = 1e-7);
    let trapped = trapped_compression_ratio(&c, clearance, deg(66.0)).unwrap();
    assert_relative_eq!(trapped.si(), 7.91513, max_relative = 1e-6);
}

fn mpa(p: Pressure) -> f64 {
    p.si() / 1e6
}

/// Boresi and Schmidt, Advanced Mechanics of Materials, examples 11.1 and 11.2; Ugural and Fenster, example 8.1, all as worked in open
/// textbook companions; Hearn, Mechanics of Materials 1, examples 10.1 and 10.2 (from memory).
#[test]
fn thick_cylinders_of_the_textbooks() {
    let p = |x: f64| Pressure::from_si(x * 1e6);
    let c = ThickCylinder::new(mm(10.0), mm(50.0)).unwrap();
    for (r, radial, hoop) in [(10.0, -300.0, 325.0), (25.0, -37.5, 62.5), (50.0, 0.0, 25.0)] {
        assert_abs_diff_eq!(mpa(c.radial_stress(p(300.0), p(0.0), mm(r)).unwrap()), radial, epsilon = 1e-6);
        assert_abs_diff_eq!(mpa(c.hoop_stress(p(300.0), p(0.0), mm(r)).unwrap()), hoop, epsilon = 1e-6);
    }
    let c = ThickCylinder::new(mm(100.0), mm(400.0)).unwrap();
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(150.0), p(0.0), mm(100.0)).unwrap()), 170.0, epsilon = 1e-6);
    assert_abs_diff_eq!(mpa(c.axial_stress_closed(p(150.0), p(0.0)).unwrap()), 10.0, epsilon = 1e-6);
    let c = ThickCylinder::new(mm(150.0), mm(200.0)).unwrap();
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(70.0), p(0.0), mm(150.0)).unwrap()), 250.0, epsilon = 1e-6);
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(0.0), p(54.6875), mm(150.0)).unwrap()), -250.0, epsilon = 1e-6);
    let c = ThickCylinder::new(mm(100.0), mm(150.0)).unwrap();
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(60.0), p(30.0), mm(100.0)).unwrap()), 48.0, epsilon = 1e-6);
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(60.0), p(30.0), mm(150.0)).unwrap()), 18.0, epsilon = 1e-6);
    assert_abs_diff_eq!(mpa(c.axial_stress_closed(p(60.0), p(30.0)).unwrap()), -6.0, epsilon = 1e-6);
    let c = ThickCylinder::new(mm(80.0), mm(160.0)).unwrap();
    assert_abs_diff_eq!(mpa(c.hoop_stress(p(34.0), p(10.0), mm(80.0)).unwrap()), 30.0, epsilon = 1e-6);
    assert!(c.hoop_stress(p(1.0), p(0.0), mm(79.9)).is_err());
}

/// JCGM 100:2008 (GUM), annex H.1, end gauge (as transcribed): l = l_S + d - l_S (dalpha theta + alpha_S dtheta).
#[test]
fn gum_h1_end_gauge() {
    // l_S, d (its random and systematic parts), alpha_S, theta, dalpha, dtheta; nm, 1/degC, degC.
    let x = [50_000_623.0, 215.0, 0.0, 0.0, 11.5e-6, -0.1, 0.0, 0.0];
    let u = [25.0, 5.8, 3.9, 6.7, 1.2e-6, 0.41, 0.58e-6, 0.029];
    let f = |x: &[f64]| Ok(x[0] + x[1] + x[2] + x[3] - x[0] * (x[6] * x[5] + x[4] * x[7]));
    let b = propagate(&x, &u, f).unwrap();
    assert_relative_eq!(b.value, 50_000_838.0, max_relative = 1e-9);
    assert_abs_diff_eq!(b.standard, 31.71, epsilon = 0.05);
    assert_abs_diff_eq!(b.contributions[6].abs(), 2.9, epsilon = 0.05);
    assert_abs_diff_eq!(b.contributions[7].abs(), 16.7, epsilon = 0.05);
    let d = (5.8f64.powi(2) + 3.9f64.powi(2) + 6.7f64.powi(2)).sqrt();
    let v = effective_degrees_of_freedom(&[25.0, d, 2.9, 16.7], &[18.0, 25.6, 50.0, 2.0]).unwrap();
    assert_abs_diff_eq!(v, 16.66, epsilon = 0.1);
    let k = coverage_factor(0.99, v.floor()).unwrap();
    assert_abs_diff_eq!(k, 2.92, epsilon = 0.005);
    assert_abs_diff_eq!(b.expanded(k), 93.0, epsilon = 0.7);
}

/// JCGM 100:2008 (GUM), annex H.2, resistance, reactance and impedance read together (as transcribed).
#[test]
fn gum_h2_correlated_readings() {
    let v = [5.007, 4.994, 5.005, 4.990, 4.999];
    let i = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
    let phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
    let means = [&v, &i, &phi].map(|s| type_a(s).unwrap());
    let r = |a: &[f64], b: &[f64]| correlation_of_means(a, b).unwrap();
    assert_abs_diff_eq!(r(&v, &i), -0.36, epsilon = 0.005);
    assert_abs_diff_eq!(r(&v, &phi), 0.86, epsilon = 0.005);
    assert_abs_diff_eq!(r(&i, &phi), -0.65, epsilon = 0.005);
    let x = means.map(|m| m.mean);
    let u = means.map(|m| m.standard);
    let matrix = [1.0, r(&v, &i), r(&v, &phi), r(&v, &i), 1.0, r(&i, &phi), r(&v, &phi), r(&i, &phi), 1.0];
    let check = |f: &dyn Fn(&[f64]) -> Result<f64>, value: f64, standard: f64| {
        let b = propagate_correlated(&x, &u, &matrix, f).unwrap();
        assert_abs_diff_eq!(b.value, value, epsilon = 1e-3);
        assert_abs_diff_eq!(b.standard, standard, epsilon = 1e-3);
    };
    check(&|x| Ok(x[0] / x[1] * x[2].cos()), 127.732, 0.071);
    check(&|x| Ok(x[0] / x[1] * x[2].sin()), 219.847, 0.295);
    check(&|x| Ok(x[0] / x[1]), 254.260, 0.236);
}

/// JCGM 101:2008, 9.2.2 and 9.2.4 (from memory): the sum of four inputs, by the law of propagation and by sampling.
#[test]
fn gum_supplement_1_additive_models() {
    let sum = |x: &[f64]| Ok(x.iter().sum());
    let normal = propagate(&[0.0; 4], &[1.0; 4], sum).unwrap();
    assert_abs_diff_eq!(normal.standard, 2.0, epsilon = 1e-12);
    let k = coverage_factor(0.95, f64::INFINITY).unwrap();
    assert_abs_diff_eq!(normal.expanded(k), 3.92, epsilon = 1e-3);
    let one_large = propagate(&[0.0; 4], &[1.0, 1.0, 1.0, 10.0], sum).unwrap();
    assert_abs_diff_eq!(one_large.standard, 10.15, epsilon = 0.01);
    assert_abs_diff_eq!(one_large.expanded(k), 19.9, epsilon = 0.05);
    // Rectangular inputs: the sampled interval is 17.0, which shows where the normal assumption ends.
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    let mut rectangular = |u: f64| (rng.random::<f64>() * 2.0 - 1.0) * u * 3f64.sqrt();
    let mut sums: Vec<f64> = (0..200_000)
        .map(|_| rectangular(1.0) + rectangular(1.0) + rectangular(1.0) + rectangular(10.0))
        .collect();
    sums.sort_by(f64::total_cmp);
    let half = (sums[195_000] - sums[5_000]) / 2.0;
    assert_abs_diff_eq!(half, 17.0, epsilon = 0.17);
}

/// Box and Muller, from the generator's uniform numbers.
fn normal(rng: &mut impl Rng) -> f64 {
    let (a, b): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

/// The chain's derivatives against sampling (JCGM 101): the compression ratio from five uncertain readings.
#[test]
fn the_compression_ratio_agrees_with_sampling() {
    let x = [86e-3, 86e-3, 42e-6, 4.2e-6, 0.25e-3];
    let u = [10e-6, 20e-6, 0.15e-6, 0.1e-6, 15e-6];
    let f = |x: &[f64]| -> Result<f64> {
        let c = Cylinder::new(Length::from_si(x[0]), Length::from_si(x[1]), mm(143.0), mm(0.5))?;
        let v = ClearanceVolume {
            chamber: Volume::from_si(x[2]),
            gasket: disc_volume(mm(87.0), mm(1.0)),
            deck: disc_volume(c.bore(), Length::from_si(x[4])),
            crown: Volume::from_si(x[3]),
            crevice: Volume::from_si(0.0),
        };
        Ok(compression_ratio(c.swept_volume(), v.total()?)?.si())
    };
    let budget = propagate(&x, &u, f).unwrap();
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let n = 100_000;
    let samples: Vec<f64> = (0..n)
        .map(|_| {
            let at: Vec<f64> = x.iter().zip(&u).map(|(x, u)| x + u * normal(&mut rng)).collect();
            f(&at).unwrap()
        })
        .collect();
    let sampled = type_a(&samples).unwrap();
    let deviation = sampled.standard * (n as f64).sqrt();
    assert_abs_diff_eq!(sampled.mean, budget.value, epsilon = 4.0 * sampled.standard);
    assert_relative_eq!(deviation, budget.standard, max_relative = 0.01);
}

/// JCGM 106:2012, 7.4 example 1 (from memory); ISO 14253-1:2017 default rule (from memory).
#[test]
fn conformity_of_the_standards() {
    let upper = Limits::new(None, Some(-5.4)).unwrap();
    assert_abs_diff_eq!(conformance_probability(-5.47, 0.05, &upper), 0.92, epsilon = 0.005);
    let limits = Limits::new(Some(86.0), Some(86.022)).unwrap();
    let u = 0.0008;
    for (y, p, accepted) in [(86.01, 1.0, true), (86.0207, 0.947919, false), (86.0213, 0.809213, false)] {
        assert_abs_diff_eq!(conformance_probability(y, u, &limits), p, epsilon = 1e-6);
        assert_eq!(verdict(y, u, &limits) == Verdict::Pass, accepted);
    }
    let (_, upper) = limits.acceptance(u).unwrap();
    assert_abs_diff_eq!(upper.unwrap(), 86.02068, epsilon = 1e-9);
}

/// 201 cars of the 1985 yearbook (tests/reference/README.md): bore and stroke give the printed displacement for most rows; some
/// thirty rows are data errors, so the distribution is asserted, never that all agree.
#[test]
fn displacement_of_the_cars_of_1985() {
    let text = include_str!("../../tests/reference/cars.csv");
    let mut errors: Vec<f64> = text
        .lines()
        .skip(1)
        .map(|line| {
            let f: Vec<f64> = line.split(',').map(|x| x.parse().unwrap_or(f64::NAN)).collect();
            let inch = |x: f64| Length::from_si(x * 0.0254);
            let c = Cylinder::new(inch(f[2]), inch(f[3]), inch(4.0 * f[3]), inch(0.0)).unwrap();
            let layout = Layout::inline(&vec![deg(0.0); f[1] as usize], Cycle::FourStroke).unwrap();
            let in3 = layout.displacement(&c).si() / 16.387064e-6;
            100.0 * (in3 / f[4] - 1.0)
        })
        .collect();
    assert_eq!(errors.len(), 201);
    errors.sort_by(f64::total_cmp);
    let within = |limit: f64| errors.iter().filter(|e| e.abs() <= limit).count();
    assert_eq!([0.5, 1.0, 2.0, 5.0, 10.0].map(within), [104, 131, 164, 181, 192]);
    assert_abs_diff_eq!(errors[100], -0.112901, epsilon = 1e-6);
    assert_abs_diff_eq!(errors[0], -65.326133, epsilon = 1e-6);
    assert_abs_diff_eq!(errors[200], 49.42961, epsilon = 1e-5);
    let mean = errors.iter().sum::<f64>() / 201.0;
    assert_abs_diff_eq!(mean, -0.579075, epsilon = 1e-6);
}
