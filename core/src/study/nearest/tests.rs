//! The bounded search against every angle, and every angle against the formula written out.

use super::*;
use crate::geometry::Cylinder;
use crate::study::wide::{WithSimd, wide};
use crate::units::{Dimensioned, Length};
use proptest::prelude::*;

/// Stroke, rod length, pin offset; rise, duration, centre.
type Case = [f64; 6];

fn crank([stroke, rod, offset, ..]: Case) -> SliderCrank {
    let [stroke, rod, offset] = [stroke, rod, offset].map(Length::from_si);
    Cylinder::unchecked(stroke, stroke, rod, offset).slider_crank()
}

fn lobe([.., rise, duration, centre]: Case) -> Lobe {
    Lobe::new(rise, duration, centre)
}

struct Find<Q>(Case, core::marker::PhantomData<Q>);

impl<Q: Search> WithSimd for Find<Q> {
    type Output = Nearest;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Nearest {
        let mut search = Q::new();
        search.set(simd, Angles::table(), crank(self.0));
        search.nearest(simd, Angles::table(), &lobe(self.0))
    }
}

fn find<Q: Search>(case: Case) -> Nearest {
    wide(Find::<Q>(case, core::marker::PhantomData))
}

/// The formula at all angles, as it is stated.
fn written([stroke, rod, offset, rise, duration, centre]: Case) -> Vec<(f64, f64)> {
    let (r, l, d) = (stroke / 2.0, rod, offset);
    let at = |t: i32| {
        let (sin, cos) = f64::from(t.rem_euclid(360)).to_radians().sin_cos();
        let drop = ((l + r).powi(2) - d * d).sqrt() - r * cos - (l * l - (r * sin + d).powi(2)).sqrt();
        let u = (f64::from(t) - centre).abs() / (duration / 2.0);
        let lift = if u < 1.0 { rise * (1.0 - u.powi(3) * (10.0 - 15.0 * u + 6.0 * u * u)) } else { 0.0 };
        (drop - lift, f64::from(t))
    };
    (-360..360).map(at).collect()
}

fn bits(nearest: Nearest) -> (u64, u64) {
    (nearest.below.to_bits(), nearest.degree.to_bits())
}

fn case() -> impl Strategy<Value = Case> {
    let rod = prop_oneof![8 => 1.3..2.4f64, 1 => 0.52..0.7f64];
    let share = prop_oneof![2 => Just(0.0), 4 => -0.05..0.05f64, 1 => -0.999..0.999f64];
    let rise = prop_oneof![1 => Just(0.0), 8 => 4.0..16.0f64, 1 => 1e-9..1e-3f64, 1 => 50.0..200.0f64];
    let duration = prop_oneof![8 => 200.0..330.0f64, 1 => 0.5..60.0f64, 1 => 330.0..720.0f64];
    let centre = prop_oneof![
        4 => 90.0..125.0f64,
        4 => -125.0..-90.0f64,
        2 => -360.0..360.0f64,
        1 => -2000.0..2000.0f64,
        1 => (-360i32..360).prop_map(f64::from),
    ];
    (50.0..130.0f64, rod, share, rise, duration, centre).prop_map(|(s, n, share, rise, duration, centre)| {
        let rod = s * n;
        [s, rod, share * (rod - s / 2.0), rise, duration, centre]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]
    #[test]
    fn the_bounded_search_finds_what_every_angle_has(case in case()) {
        prop_assert_eq!(bits(find::<Bounded>(case)), bits(find::<Every>(case)));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    #[test]
    fn every_angle_is_the_formula_and_the_first_of_equals(case in case()) {
        let (found, all) = (find::<Every>(case), written(case));
        let off = 1e-13 * (case[0] + case[1] + case[3]) + crank(case).rounding();
        let least = all.iter().map(|(below, _)| *below).fold(f64::INFINITY, f64::min);
        prop_assert!((found.below - least).abs() <= off, "{found:?} {least}");
        for (below, degree) in all {
            prop_assert!(degree != found.degree || below <= least + off);
            prop_assert!(degree >= found.degree || below > least - off, "{degree} is before {found:?}");
        }
        prop_assert_eq!(lobe(case).at(&crank(case), found.degree).to_bits(), found.below.to_bits());
    }

    #[test]
    fn vectors_of_any_width_find_the_same(case in case()) {
        let narrow = pulp::Scalar;
        let one = |q: Nearest| bits(q);
        prop_assert_eq!(
            one(Find::<Bounded>(case, core::marker::PhantomData).with_simd(narrow)),
            one(find::<Bounded>(case))
        );
        #[cfg(target_arch = "x86_64")]
        if let Some(simd) = pulp::x86::V3::try_new() {
            let find = Find::<Bounded>(case, core::marker::PhantomData);
            prop_assert_eq!(one(pulp::Simd::vectorize(simd, find)), one(self::find::<Bounded>(case)));
        }
    }
}

#[test]
fn a_valve_on_its_seat_is_nearest_at_the_first_top_dead_centre() {
    for rise in [0.0, 9.0] {
        let found = find::<Bounded>([86.0, 143.0, 0.0, rise, 80.0, 180.0]);
        assert_eq!(found, Nearest { below: 0.0, degree: -360.0 });
    }
    // With the pin offset by 2 mm the piston is highest 0.6 degrees before: at -1, and a turn later at 359.
    assert_eq!(find::<Bounded>([80.0, 150.0, 2.0, 0.0, 80.0, 180.0]).degree, -1.0);
}

#[test]
fn what_is_no_engine_has_no_nearest() {
    let good = [86.0, 143.0, 0.5, 9.0, 270.0, 108.0];
    let with = |place: usize, value: f64| {
        let mut case = good;
        case[place] = value;
        case
    };
    assert!(find::<Bounded>(good).below < 0.0);
    let mut bad: Vec<Case> = (0..6)
        .flat_map(|place| [f64::NAN, f64::INFINITY, f64::NEG_INFINITY].map(|value| with(place, value)))
        .collect();
    bad.extend([
        with(0, 0.0),
        with(0, -86.0),
        with(1, 43.4),
        with(1, -143.0),
        with(2, 101.0),
        with(3, -1.0),
        with(4, 0.0),
        with(4, -270.0),
    ]);
    for case in bad {
        for found in [find::<Bounded>(case), find::<Every>(case)] {
            assert!(found.below.is_nan() && found.degree.is_nan(), "{case:?} {found:?}");
        }
        assert!(lobe(case).at(&crank(case), f64::NAN).is_nan());
    }
}
