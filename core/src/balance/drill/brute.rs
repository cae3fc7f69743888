//! Tests of the plans against every set of a few holes.

use super::tests::{deg, gmm, mm, plane, radial, summed};
use super::*;
use crate::units::{Angle, Dimensioned, Unbalance};
use num_complex::Complex64;
use proptest::prelude::*;

/// One hole that may be made: what it does to both planes, the metal, and where it stands.
#[derive(Debug, Clone)]
struct Candidate {
    change: [Complex64; 2],
    metal: f64,
    web: f64,
    hole: DrilledHole,
}

fn list(planes: &[DrillPlane; 2], sites: &[DrillSite]) -> Vec<Candidate> {
    let mut all = Vec::new();
    for site in sites {
        let share =
            (site.position - planes[0].position).si() / (planes[1].position - planes[0].position).si();
        let (mut angle, end) = (site.from, site.to);
        while angle.si() <= end.si() + 1e-9 {
            for (diameter, depth, metal, amount) in bores(site) {
                let hole = DrilledHole {
                    cheek: site.cheek.clone(),
                    position: site.position,
                    angle,
                    way: site.way,
                    radius: site.radius,
                    diameter,
                    depth,
                };
                let clear = |edge: Angle| {
                    let bottom = if site.way == Way::Radial { site.radius - depth } else { site.radius };
                    bottom.si() * (angle - edge).si().abs().sin() >= (diameter / 2.0 + site.web).si() - 1e-9
                };
                if clear(site.from) && clear(site.to) {
                    let vector = Complex64::from_polar(1.0, angle.si()) * amount;
                    let change = [vector * (1.0 - share), vector * share];
                    all.push(Candidate { change, metal, web: site.web.si(), hole });
                }
            }
            angle += site.step;
        }
    }
    all
}

/// Diameter, depth, metal and amount (below zero where taken away).
fn bores(site: &DrillSite) -> Vec<(crate::units::Length, crate::units::Length, f64, f64)> {
    match &site.work {
        Work::Drill { diameters, point, least, greatest, step } => {
            let mut out = Vec::new();
            for d in diameters {
                let mut depth = *least;
                while depth.si() <= greatest.si() + 1e-9 {
                    let (mass, moment) =
                        summed(site.way, site.radius.si(), d.si(), depth.si(), point.si(), site.density);
                    out.push((*d, depth, mass, -moment));
                    depth += *step;
                }
            }
            out
        }
        Work::AddSlugs { stock, density, .. } => stock
            .iter()
            .map(|slug| {
                let (d, h) = (slug.diameter.si(), slug.length.si());
                let volume = core::f64::consts::FRAC_PI_4 * d * d * h;
                let amount = (density - site.density) * volume * site.radius.si();
                (slug.diameter, slug.length, site.density * volume, amount)
            })
            .collect(),
    }
}

/// The fewest holes, and then the least metal, over every set of up to `most`.
fn best(all: &[Candidate], base: [Complex64; 2], limits: [f64; 2], most: usize) -> Option<(usize, f64)> {
    (0..=most).find_map(|holes| least(all, base, limits, holes, &mut Vec::new()).map(|metal| (holes, metal)))
}

fn least(
    all: &[Candidate],
    at: [Complex64; 2],
    limits: [f64; 2],
    more: usize,
    taken: &mut Vec<usize>,
) -> Option<f64> {
    if more == 0 {
        return (at[0].norm() <= limits[0] && at[1].norm() <= limits[1]).then_some(0.0);
    }
    let mut best: Option<f64> = None;
    for i in taken.last().map_or(0, |last| last + 1)..all.len() {
        let one = &all[i];
        let clear = |j: &usize| {
            let other = &all[*j];
            let web = one.hole.place().web(&other.hole.place());
            other.hole.cheek != one.hole.cheek || web >= one.web.max(other.web) - 1e-9
        };
        if taken.iter().all(clear) {
            taken.push(i);
            let next = [at[0] + one.change[0], at[1] + one.change[1]];
            let rest = least(all, next, limits, more - 1, taken).map(|metal| metal + one.metal);
            taken.pop();
            best = [best, rest].into_iter().flatten().min_by(f64::total_cmp);
        }
    }
    best
}

fn site() -> impl Strategy<Value = DrillSite> {
    let grid = (1_usize..3, 12.0..30.0_f64, 1_usize..3, 6.0..18.0_f64);
    let place = (0_usize..3, 0.0..600.0_f64, 0.0..360.0_f64, 2.0..10.0_f64);
    (grid, place, prop_oneof![Just(0), Just(1), Just(2)]).prop_map(
        |((angles, step, depths, diameter), place, kind)| {
            let (cheek, position, from, web) = place;
            let base = radial(["a", "b", "c"][cheek], position, 0.0);
            let (least, deeper) = (mm(8.0), mm(7.0 * (depths - 1) as f64));
            let drill = Work::Drill {
                diameters: vec![mm(diameter)],
                point: deg(118.0),
                least,
                greatest: least + deeper,
                step: mm(7.0),
            };
            let stock =
                (0..depths).map(|i| Slug { diameter: mm(diameter), length: mm(10.0 + 5.0 * i as f64) });
            let slugs = Work::AddSlugs { stock: stock.collect(), density: 18_000.0, point: None };
            DrillSite {
                from: deg(from),
                to: deg(from + step * (angles + 2) as f64 + 1e-7),
                step: deg(step),
                web: mm(web),
                way: if kind == 0 { Way::Radial } else { Way::Axial },
                radius: mm(70.0),
                width: None,
                work: if kind == 2 { slugs } else { drill },
                ..base
            }
        },
    )
}

fn check(planes: [DrillPlane; 2], sites: Vec<DrillSite>, most: usize) -> Result<(), TestCaseError> {
    let all = list(&planes, &sites);
    let base = planes.map(|plane| Complex64::from_polar(plane.unbalance.si(), plane.heavy_at.si()));
    let task = DrillTask::new(planes, sites).unwrap().with_most_holes(most).unwrap();
    let limits = task.guarded().unwrap().map(Dimensioned::si);
    let expected = best(&all, base, limits, most);
    match (task.plan(DEFAULT_EFFORT).unwrap(), expected) {
        (DrillAnswer::Plan(plan), Some((holes, metal))) => {
            prop_assert!(plan.proved);
            prop_assert_eq!(plan.steps.len(), holes);
            prop_assert!((plan.removed.si() - metal).abs() <= 1e-6 * metal + 1e-12, "{plan:?} {metal}");
        }
        (DrillAnswer::Short(short), None) => {
            prop_assert!(short.shortage != Shortage::Effort);
            // No set of holes goes below the bounds.
            let least = [0, 1].map(|i| nearest(&all, base, most, &mut Vec::new(), &|at| at[i].norm()));
            let factor = |at: [Complex64; 2]| (at[0].norm() / limits[0]).max(at[1].norm() / limits[1]);
            let both = nearest(&all, base, most, &mut Vec::new(), &factor);
            for (bound, found) in short.least.iter().zip(least) {
                prop_assert!(bound.si() <= found * (1.0 + 1e-5) + 1e-9, "{bound:?} {found}");
            }
            prop_assert!(short.least_factor <= both * (1.0 + 1e-5));
            prop_assert!(short.nearest_factor >= both * (1.0 - 1e-5));
            prop_assert!(short.nearest_factor <= both * 1.011);
        }
        (answer, expected) => prop_assert!(false, "{answer:?} but {expected:?}"),
    }
    Ok(())
}

/// The least figure over every set, webs not minded.
fn nearest(
    all: &[Candidate],
    at: [Complex64; 2],
    more: usize,
    taken: &mut Vec<usize>,
    figure: &dyn Fn([Complex64; 2]) -> f64,
) -> f64 {
    let mut best = figure(at);
    for i in taken.last().map_or(0, |last| last + 1)..if more == 0 { 0 } else { all.len() } {
        taken.push(i);
        let [a, b] = all[i].change;
        let clear = taken.iter().rev().skip(1).all(|j| {
            let (one, other) = (&all[i], &all[*j]);
            one.hole.cheek != other.hole.cheek
                || one.hole.place().web(&other.hole.place()) >= one.web.max(other.web) - 1e-9
        });
        if clear {
            best = best.min(nearest(all, [at[0] + a, at[1] + b], more - 1, taken, figure));
        }
        taken.pop();
    }
    best
}

/// Readings that some set of candidates, one of each of the sites, would leave at small vectors.
fn readings(sites: &[DrillSite], picks: &[usize], noise: [(f64, f64); 2], limit: f64) -> [DrillPlane; 2] {
    let mut planes = [plane(50.0, 0.0, 0.0), plane(520.0, 0.0, 0.0)];
    let mut sums = noise.map(|(amount, angle)| Complex64::from_polar(amount * 1e-6, angle.to_radians()));
    for (site, pick) in sites.iter().zip(picks) {
        let all = list(&planes, core::slice::from_ref(site));
        if let Some(one) = all.get(pick % all.len().max(1)) {
            sums = [sums[0] - one.change[0], sums[1] - one.change[1]];
        }
    }
    for (plane, sum) in planes.iter_mut().zip(sums) {
        plane.unbalance = Unbalance::from_si(sum.norm());
        plane.heavy_at = Angle::from_si(sum.arg());
        (plane.limit, plane.uncertainty) = (gmm(limit), gmm(limit / 10.0));
    }
    planes
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_set_of_holes_is_better(
        sites in prop::collection::vec(site(), 1..4),
        picks in prop::collection::vec(0_usize..100, 3),
        noise in [(0.0..150.0_f64, 0.0..360.0_f64), (0.0..150.0_f64, 0.0..360.0_f64)],
        limit in 20.0..400.0_f64,
    ) {
        check(readings(&sites, &picks, noise, limit), sites, 3)?;
    }

    #[test]
    fn no_set_of_holes_is_better_for_any_reading(
        sites in prop::collection::vec(site(), 2..4),
        a in (0.0..3000.0_f64, 0.0..360.0_f64),
        b in (0.0..3000.0_f64, 0.0..360.0_f64),
        limit in 100.0..1500.0_f64,
    ) {
        let wide = |p: DrillPlane| DrillPlane { limit: gmm(limit), ..p };
        check([wide(plane(50.0, a.0, a.1)), wide(plane(520.0, b.0, b.1))], sites, 3)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_set_of_four_holes_is_better(
        sites in prop::collection::vec(site(), 3..5),
        a in (200.0..3000.0_f64, 0.0..360.0_f64),
        b in (200.0..3000.0_f64, 0.0..360.0_f64),
        limit in 200.0..900.0_f64,
    ) {
        let wide = |p: DrillPlane| DrillPlane { limit: gmm(limit), ..p };
        check([wide(plane(50.0, a.0, a.1)), wide(plane(520.0, b.0, b.1))], sites, 4)?;
    }
}
