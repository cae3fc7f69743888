//! Distance between two heads.

use super::*;

fn pair(first: [f64; 6], second: [f64; 6], turned: f64) -> ValvePair {
    ValvePair::new(head(first), head(second), deg(turned)).unwrap()
}

fn at(pair: &ValvePair, first: f64, second: f64) -> (f64, f64) {
    let found = pair.distance(mm(first), mm(second)).unwrap();
    (found.distance.si() * 1e3, found.at_least.si() * 1e3)
}

const V: [[f64; 6]; 2] = [[35.0, 1.2, 16.0, -19.0, 0.0, 5.0], [30.0, 1.4, 18.0, -17.0, 0.0, 5.0]];

/// Independent check: scipy, SLSQP over the points of both bodies.
#[test]
fn two_heads_in_a_v_and_out_of_a_plane() {
    let aside = [30.0, 1.4, 18.0, -17.0, 4.0, 5.0];
    let skew = ([35.0, 1.2, 20.0, -10.0, 3.0, 5.0], [30.0, 1.4, 24.0, -22.0, -25.0, 5.0]);
    for (pair, lifts, expected) in [
        (pair(V[0], V[1], 180.0), (3.0, 2.5), 3.32782211725892),
        (pair(V[0], aside, 170.0), (3.0, 2.5), 3.048337577932015),
        (pair(skew.0, skew.1, 90.0), (3.0, 5.0), 10.113489129450898),
    ] {
        let (distance, at_least) = at(&pair, lifts.0, lifts.1);
        assert_abs_diff_eq!(distance, expected, epsilon = 1e-6);
        assert!(at_least <= distance && at_least > distance - 1e-6, "{at_least} {distance}");
    }
}

/// Closed form: parallel stems, gap across between the rims and height from the upper edge of the lower one to the lower edge of the other.
#[test]
fn two_upright_heads() {
    let p = pair([42.0, 1.2, 0.0, -22.0, 0.0, 0.0], [36.0, 1.4, 0.0, 19.0, 0.0, 0.0], 0.0);
    let (distance, at_least) = at(&p, 1.0, 4.0);
    assert_abs_diff_eq!(distance, (2f64.powi(2) + 1.6f64.powi(2)).sqrt(), epsilon = 1e-12);
    assert_abs_diff_eq!(at_least, distance, epsilon = 1e-12);
    // Side by side the gap across alone counts.
    assert_abs_diff_eq!(at(&p, 3.0, 4.0).0, 2.0, epsilon = 1e-12);
    // One above the other.
    let over = pair([42.0, 1.2, 0.0, 0.0, 0.0, 0.0], [36.0, 1.4, 0.0, 0.0, 0.0, 0.0], 0.0);
    assert_abs_diff_eq!(at(&over, 9.0, 4.0).0, 3.8, epsilon = 1e-12);
}

#[test]
fn heads_that_meet_have_no_distance() {
    let p = pair(V[0], V[1], 180.0);
    let deep = at(&p, 10.0, 10.0);
    assert_eq!(deep, (0.0, 0.0));
    // Crossed in their plane, no corner within the other head.
    let crossed = pair([35.0, 1.0, 60.0, 0.0, 0.0, 0.0], [35.0, 1.0, 60.0, 0.0, 0.0, 0.0], 180.0);
    assert_eq!(at(&crossed, 0.0, 0.0), (0.0, 0.0));
    let skew = pair([35.0, 1.0, 60.0, 0.0, 0.0, 0.0], [35.0, 1.0, 60.0, 0.0, 3.0, 0.0], 90.0);
    assert_eq!(at(&skew, 0.0, 0.0), (0.0, 0.0));
}

#[test]
fn the_least_over_the_overlap() {
    let p = pair(V[0], V[1], 180.0);
    let lift = |peak: f64| {
        move |crank: Angle| {
            let w = (crank.si().to_degrees() - peak) / 140.0;
            if w.abs() < 1.0 { mm(11.0 * (0.5 + 0.5 * (PI * w).cos()).powi(2)) } else { mm(0.0) }
        }
    };
    let (intake, exhaust) =
        (ValveMotion::new(lift(108.0), deg(108.0)), ValveMotion::new(lift(-112.0), deg(-112.0)));
    let (intake, exhaust) = (intake.unwrap(), exhaust.unwrap());
    let found = p.least(CrankGrid::default(), &intake, &exhaust).unwrap().unwrap();
    assert_eq!(found.first_lift, intake.at(found.crank).unwrap());
    assert!(found.first_lift > mm(0.0) && found.second_lift > mm(0.0));
    for step in -279..=279 {
        let crank = deg(f64::from(step) / 10.0);
        let there = p.distance(intake.at(crank).unwrap(), exhaust.at(crank).unwrap()).unwrap();
        assert!(there.distance >= found.least.distance);
    }
    // Cams spread until no angle has both valves open.
    let (early, late) = (exhaust.advanced(deg(60.0)).unwrap(), intake.advanced(deg(-60.0)).unwrap());
    assert_eq!(p.least(CrankGrid::default(), &late, &early).unwrap(), None);
    assert!(p.distance(mm(-1.0), mm(0.0)).is_err());
    assert!(ValvePair::new(head(V[0]), head(V[1]), deg(f64::NAN)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// The proof holds what the points say, but for crossing margins; order does not matter; a plane slightly left changes little.
    #[test]
    fn the_distance_is_proved(
        t in 0.0..30.0f64, u in 0.0..30.0f64, a in -24.0..-15.0f64, b in -24.0..-15.0f64, side in -8.0..8.0f64, turned in 120.0..240.0f64,
        l in 0.0..12.0f64, m in 0.0..12.0f64,
    ) {
        let (first, second) = ([34.0, 1.2, t, a, 0.0, 4.0], [29.0, 1.4, u, b, side, 5.0]);
        let (distance, at_least) = at(&pair(first, second, turned), l, m);
        prop_assert!(at_least >= 0.0 && at_least <= distance);
        prop_assert!(distance - at_least < 0.02, "{distance} {at_least}");
        let flat = [29.0, 1.4, u, b, 0.0, 5.0];
        let (exact, proved) = at(&pair(first, flat, 180.0), l, m);
        prop_assert!((exact - proved).abs() < 1e-9);
        let near = at(&pair(first, [29.0, 1.4, u, b, 1e-6, 5.0], 180.0), l, m).0;
        prop_assert!((exact - near).abs() < 1e-5, "{exact} {near}");
    }
}
