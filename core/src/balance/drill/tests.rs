//! Tests of the plans against figures worked out another way.

use super::hole::{Bore, Place};
use super::*;
use crate::error::ErrorKind;
use crate::units::{Angle, Dimensioned, Length, Ratio, Unbalance};
use core::f64::consts::PI;
use num_complex::Complex64;

pub(super) fn mm(x: f64) -> Length {
    Length::from_si(x / 1e3)
}

pub(super) fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

pub(super) fn gmm(x: f64) -> Unbalance {
    Unbalance::from_si(x * 1e-6)
}

pub(super) fn plane(position: f64, unbalance: f64, heavy_at: f64) -> DrillPlane {
    DrillPlane {
        position: mm(position),
        unbalance: gmm(unbalance),
        heavy_at: deg(heavy_at),
        uncertainty: gmm(10.0),
        limit: gmm(70.0),
    }
}

/// A counterweight of 100 deg about an angle, drilled from outside.
pub(super) fn radial(name: &str, position: f64, middle: f64) -> DrillSite {
    DrillSite {
        cheek: name.into(),
        position: mm(position),
        from: deg(middle - 50.0),
        to: deg(middle + 50.0),
        step: deg(5.0),
        way: Way::Radial,
        radius: mm(82.0),
        web: mm(4.0),
        density: IRON_DENSITY,
        width: Some(mm(24.0)),
        work: Work::Drill {
            diameters: [10.0, 12.0, 16.0, 20.0].map(mm).to_vec(),
            point: Angle::from_si(POINT_ANGLE),
            least: mm(8.0),
            greatest: mm(35.0),
            step: mm(1.0),
        },
    }
}

/// The same counterweight with slugs of one diameter.
fn slugged(name: &str, position: f64, middle: f64) -> DrillSite {
    let stock =
        [10.0, 12.0, 15.0, 18.0, 20.0].map(|length| Slug { diameter: mm(18.0), length: mm(length) }).to_vec();
    let work = Work::AddSlugs { stock, density: LEAST_HEAVY_ALLOY_DENSITY, point: None };
    DrillSite { way: Way::Axial, radius: mm(66.0), work, ..radial(name, position, middle) }
}

fn four() -> Vec<DrillSite> {
    vec![
        radial("1", 40.0, 0.0),
        radial("2", 190.0, 180.0),
        radial("3", 380.0, 270.0),
        radial("4", 500.0, 90.0),
    ]
}

fn plan_of(planes: [DrillPlane; 2], sites: Vec<DrillSite>) -> DrillPlan {
    DrillTask::new(planes, sites).unwrap().plan(DEFAULT_EFFORT).unwrap().plan().unwrap().clone()
}

fn short(planes: [DrillPlane; 2], sites: Vec<DrillSite>) -> Shortfall {
    DrillTask::new(planes, sites).unwrap().plan(DEFAULT_EFFORT).unwrap().shortfall().unwrap().clone()
}

/// Mass times radius of a hole, summed over discs across the drill.
pub(super) fn summed(
    way: Way,
    mouth: f64,
    diameter: f64,
    depth: f64,
    point: f64,
    density: f64,
) -> (f64, f64) {
    let cone = diameter / 2.0 / (point / 2.0).tan();
    let slices = 2_000;
    let height = (depth + cone) / slices as f64;
    let (mut mass, mut moment) = (0.0, 0.0);
    for i in 0..slices {
        let down = (i as f64 + 0.5) * height;
        let radius = if down <= depth { diameter / 2.0 } else { (depth + cone - down) * (point / 2.0).tan() };
        let slice = density * PI * radius * radius * height;
        mass += slice;
        moment += slice * if way == Way::Radial { mouth - down } else { mouth };
    }
    (mass, moment)
}

#[test]
fn mass_and_moment_are_the_integrals_over_cylinder_and_cone() {
    for way in [Way::Radial, Way::Axial] {
        for (mouth, diameter, depth, point) in
            [(0.082, 0.02, 0.035, POINT_ANGLE), (0.06, 0.01, 0.008, 2.4), (0.1, 0.03, 0.001, 1.6)]
        {
            let bore = Bore::pointed(diameter, depth, point);
            let (mass, moment) = summed(way, mouth, diameter, depth, point, 7200.0);
            assert!((bore.volume() * 7200.0 / mass - 1.0).abs() < 1e-4, "{mass}");
            assert!((bore.moment(way, mouth) * 7200.0 / moment - 1.0).abs() < 1e-4, "{moment}");
        }
    }
    // 20 mm by 30 mm in iron, flat: 67.858 g.
    assert!((Bore::pointed(0.02, 0.03, PI).volume() * 7200.0 - 0.067_858).abs() < 1e-6);
}

#[test]
fn one_hole_takes_away_what_it_weighs_where_the_crank_is_heavy() {
    // The reading is what a 16 mm hole, 21 mm deep, at 15 deg in the plane of B leaves to take away.
    let (_, moment) = summed(Way::Radial, 0.082, 0.016, 0.021, POINT_ANGLE, IRON_DENSITY);
    let heavy = DrillPlane { unbalance: Unbalance::from_si(moment), ..plane(500.0, 0.0, 15.0) };
    let narrow = |p: DrillPlane| DrillPlane { limit: gmm(20.0), ..p };
    let plan = plan_of([narrow(plane(30.0, 0.0, 0.0)), narrow(heavy)], vec![radial("4", 500.0, 0.0)]);
    let [step] = plan.steps.as_slice() else { panic!("{plan:?}") };
    assert!((step.hole.angle - deg(15.0)).si().abs() < 1e-12);
    assert!(step.inside && plan.proved && plan.least_holes == 1);
    assert!(step.left(0).0 < gmm(1e-6) && step.left(1).0 <= plan.guarded[1]);
    assert_eq!((step.removed, step.hole.cheek.as_str()), (plan.removed, "4"));
}

/// Residuals after each step, from the steps' own figures: bore, angle, position.
fn recomputed(task: &DrillTask, plan: &DrillPlan) -> Vec<[Complex64; 2]> {
    let [a, b] = *task.planes();
    let vector = |p: DrillPlane| Complex64::from_polar(p.unbalance.si(), p.heavy_at.si());
    let (mut at_a, mut at_b) = (vector(a), vector(b));
    let span = (b.position - a.position).si();
    plan.steps
        .iter()
        .map(|step| {
            let site = &task.sites()[step.site];
            let (hole, volume) = (&step.hole, |d: f64, h: f64| PI / 4.0 * d * d * h);
            let amount = match &site.work {
                Work::Drill { point, .. } => {
                    let (d, h) = (hole.diameter.si(), hole.depth.si());
                    -summed(site.way, hole.radius.si(), d, h, point.si(), site.density).1
                }
                Work::AddSlugs { density, .. } => {
                    (density - site.density) * volume(hole.diameter.si(), hole.depth.si()) * hole.radius.si()
                }
            };
            let change = Complex64::from_polar(amount.abs(), hole.angle.si()) * amount.signum();
            let share = (hole.position - a.position).si() / span;
            at_a += change * (1.0 - share);
            at_b += change * share;
            [at_a, at_b]
        })
        .collect()
}

fn assert_keeps_its_promise(task: &DrillTask, plan: &DrillPlan) {
    for (step, [a, b]) in plan.steps.iter().zip(recomputed(task, plan)) {
        let [x, y] = step.residual;
        assert!((x - a).norm() + (y - b).norm() < 2e-9, "{step:?} {a} {b}");
        let limits = [0, 1]
            .map(|plane| task.planes()[plane].limit.si() - 1.65 * task.planes()[plane].uncertainty.si());
        assert_eq!(step.inside, x.norm() <= limits[0] && y.norm() <= limits[1]);
    }
    assert!(plan.steps.last().is_none_or(|step| step.inside));
    for (i, step) in plan.steps.iter().enumerate() {
        for other in plan.steps.iter().skip(i + 1).filter(|other| other.hole.cheek == step.hole.cheek) {
            let turn = (step.hole.angle - other.hole.angle).si();
            let chord = 2.0 * step.hole.radius.si() * (turn / 2.0).sin().abs();
            let web = task.sites()[step.site].web.si();
            assert!(chord >= (step.hole.diameter + other.hole.diameter).si() / 2.0 + web - 1e-9);
        }
    }
}

#[test]
fn a_plan_of_four_counterweights_leaves_what_it_says() {
    for (a, at_a, b, at_b, holes) in
        [(300.0, 20.0, 250.0, 200.0, 2), (900.0, 130.0, 700.0, 250.0, 3), (2500.0, 10.0, 1800.0, 170.0, 3)]
    {
        let task = DrillTask::new([plane(30.0, a, at_a), plane(500.0, b, at_b)], four()).unwrap();
        let answer = task.plan(DEFAULT_EFFORT).unwrap();
        let plan = answer.plan().unwrap();
        assert_keeps_its_promise(&task, plan);
        assert!(plan.proved && plan.steps.len() == holes && plan.least_metal == plan.removed);
        assert_eq!(task.plan(DEFAULT_EFFORT).unwrap(), answer);
    }
}

#[test]
fn inside_already_needs_no_hole() {
    let plan = plan_of([plane(30.0, 50.0, 0.0), plane(500.0, 53.0, 0.0)], four());
    assert!(plan.steps.is_empty() && plan.proved && plan.removed.si() == 0.0);
}

#[test]
fn the_guard_is_taken_from_the_limits() {
    // 60 g mm is inside 70 g mm, and outside 70 - 1.65 x 10.
    let task = DrillTask::new([plane(30.0, 60.0, 0.0), plane(500.0, 0.0, 0.0)], four()).unwrap();
    let bare = task.clone().with_guard(Ratio::from_si(0.0)).unwrap();
    assert!(bare.plan(DEFAULT_EFFORT).unwrap().plan().unwrap().steps.is_empty());
    assert!((task.guarded().unwrap()[0] - gmm(53.5)).si().abs() < 1e-15);
    assert!(task.plan(DEFAULT_EFFORT).unwrap().plan().is_none_or(|plan| !plan.steps.is_empty()));
    let error = task.with_guard(Ratio::from_si(7.0)).unwrap().plan(DEFAULT_EFFORT).unwrap_err();
    assert_eq!(error.field(), Some("limit of a plane"));
}

#[test]
fn slugs_add_where_drilling_cannot_reach() {
    // Heavy at 180 deg with metal about 0 deg alone: no drilling helps, slugs at 0 deg do.
    let planes = [plane(30.0, 2000.0, 180.0), plane(500.0, 2500.0, 185.0)];
    let drills = vec![radial("1", 40.0, 0.0), radial("4", 490.0, 0.0)];
    let shortfall = short(planes, drills.clone());
    assert_eq!(shortfall.shortage, Shortage::NoneHelps(0));
    assert!(shortfall.only_drilling && shortfall.to_string().contains("only adding mass opposite can serve"));
    assert!((shortfall.least[0] - gmm(2000.0)).si().abs() < 1e-9);
    let with: Vec<DrillSite> =
        drills.into_iter().chain([slugged("1", 40.0, 0.0), slugged("4", 490.0, 0.0)]).collect();
    let task = DrillTask::new(planes, with).unwrap();
    let answer = task.plan(DEFAULT_EFFORT).unwrap();
    let plan = answer.plan().unwrap();
    assert!(plan.slugs.si() > 0.0 && plan.proved);
    assert_keeps_its_promise(&task, plan);
}

#[test]
fn what_cannot_be_reached_is_told_with_figures() {
    let shortfall = short([plane(30.0, 90_000.0, 0.0), plane(500.0, 0.0, 0.0)], four());
    assert_eq!(shortfall.shortage, Shortage::Plane(0));
    assert!(shortfall.least[0] > shortfall.guarded[0] && shortfall.least[0] < gmm(90_000.0));
    assert!(shortfall.least_factor >= 1.0 && shortfall.nearest_factor >= shortfall.least_factor);
    assert!(
        shortfall.to_string().contains("the first plane has 90000.0 g mm against a limit less guard of"),
        "{shortfall}"
    );
    // Steps of a quarter turn cannot do what lies between them.
    let coarse = DrillSite { step: deg(90.0), from: deg(0.0), to: deg(360.0), ..radial("4", 500.0, 0.0) };
    let few = DrillTask::new([plane(30.0, 0.0, 0.0), plane(500.0, 150.0, 45.0)], vec![coarse]).unwrap();
    let answer = few.with_most_holes(2).unwrap().plan(DEFAULT_EFFORT).unwrap();
    let between = answer.shortfall().unwrap().clone();
    assert_eq!(between.shortage, Shortage::BetweenSteps);
    assert_near(&between, 1.0101);
    // Both planes heavy where no counterweight takes enough off; the bound is not tight there.
    let webs = short([plane(30.0, 9000.0, 0.0), plane(500.0, 8000.0, 180.0)], four());
    assert_eq!(webs.shortage, Shortage::OutOfReach);
    assert_near(&webs, 1.5);
}

#[test]
fn the_reason_is_the_angle_or_the_room_where_depth_would_not_help() {
    // Metal from -50 to 50 deg, heavy at 110 deg: the holes stand more than 60 deg off, and the sine of that stays whatever the depth.
    let one = || vec![radial("1", 30.0, 0.0)];
    let aside = short([plane(30.0, 3000.0, 110.0), plane(500.0, 0.0, 0.0)], one());
    assert_eq!(aside.shortage, Shortage::Angles(0), "{aside}");
    assert!(aside.to_string().contains("no metal near enough"), "{aside}");
    // Even webs as wide as the counterweight leave no room at all.
    let none: Vec<DrillSite> = one().into_iter().map(|s| DrillSite { web: mm(200.0), ..s }).collect();
    let full = short([plane(30.0, 900.0, 0.0), plane(500.0, 0.0, 0.0)], none);
    assert_eq!(full.shortage, Shortage::NoRoom);
    assert!(full.nearest.is_empty() && full.to_string().starts_with("no hole fits any site"));
}

#[test]
fn of_plans_with_as_little_metal_the_one_that_leaves_less() {
    // One hole of one size in 10 deg steps: all angles take the same metal, 0 deg leaves the least.
    let site = DrillSite { step: deg(10.0), ..radial("4", 500.0, 0.0) };
    let (work, amount) = match &site.work {
        Work::Drill { diameters, point, least, step, .. } => {
            let one = vec![diameters[0]];
            let work =
                Work::Drill { diameters: one, point: *point, least: *least, greatest: *least, step: *step };
            let amount = DrillSite { work: work.clone(), ..site.clone() }.holes()[0].amount;
            (work, amount * 1e6)
        }
        Work::AddSlugs { .. } => unreachable!(),
    };
    let planes =
        [plane(30.0, 0.0, 0.0), DrillPlane { limit: gmm(0.5 * amount), ..plane(500.0, amount, 2.0) }];
    let found = plan_of(planes, vec![DrillSite { work, ..site }]);
    assert_eq!((found.steps.len(), found.proved), (1, true));
    let angle = found.steps[0].hole.angle.si().to_degrees().rem_euclid(360.0);
    assert!(!(1e-9..=360.0 - 1e-9).contains(&angle), "{angle}");
}

/// The nearest holes leave what is said, and no more than so many times the bound.
fn assert_near(shortfall: &Shortfall, times: f64) {
    let last =
        shortfall.nearest.last().map(|step| [step.left(0).0, step.left(1).0]).unwrap_or(shortfall.read);
    let [a, b] = [0, 1].map(|plane| last[plane] / shortfall.guarded[plane]);
    assert!((a.max(b).si() / shortfall.nearest_factor - 1.0).abs() < 1e-9);
    assert!(shortfall.least_factor >= 1.0 && shortfall.nearest_factor > 1.0);
    assert!(shortfall.nearest_factor <= shortfall.least_factor * times, "{shortfall:?}");
    assert!(shortfall.nearest.iter().all(|step| !step.inside));
}

#[test]
fn half_the_work_and_a_new_reading_lead_inside() {
    let task = DrillTask::new([plane(30.0, 2500.0, 10.0), plane(500.0, 1800.0, 170.0)], four()).unwrap();
    let answer = task.plan(DEFAULT_EFFORT).unwrap();
    let first = &answer.plan().unwrap().steps[0];
    // The new reading is off by what a drill that ran 10 % deep takes, and by the machine.
    let read = |plane: usize, error: f64| DrillPlane {
        unbalance: first.left(plane).0 + gmm(error),
        heavy_at: first.left(plane).1 + deg(1.0),
        ..task.planes()[plane]
    };
    let again = task.clone().with_planes([read(0, -60.0), read(1, 40.0)]).unwrap();
    let again = again.with_drilled(vec![first.hole.clone()]).unwrap();
    let answer = again.plan(DEFAULT_EFFORT).unwrap();
    let plan = answer.plan().unwrap();
    assert_keeps_its_promise(&again, plan);
    for step in plan.steps.iter().filter(|step| step.hole.cheek == first.hole.cheek) {
        assert!(step.hole.place().web(&first.hole.place()) >= 0.004 - 1e-9);
    }
}

#[test]
fn webs_are_the_thinnest_metal() {
    let hole = |angle: f64, depth: f64, way: Way| {
        Place::new(&Bore::pointed(0.01, depth, PI), way, 0.08, f64::to_radians(angle), 0.0)
    };
    // Two axial holes: the chord. Two radial ones of 20 and 30 mm: at 60 mm of radius, square to the deeper one.
    let axial = hole(0.0, 0.02, Way::Axial).web(&hole(30.0, 0.02, Way::Axial));
    assert!((axial - (0.16 * (PI / 12.0).sin() - 0.01)).abs() < 1e-12);
    let converging = hole(0.0, 0.02, Way::Radial).web(&hole(30.0, 0.03, Way::Radial));
    assert!((converging - (0.06 * 0.5 - 0.01)).abs() < 1e-12);
    assert!((hole(30.0, 0.02, Way::Radial).web_to_edge(0.0) - (0.06 * 0.5 - 0.005)).abs() < 1e-12);
    assert!(hole(0.0, 0.02, Way::Radial).web(&hole(360.0, 0.02, Way::Radial)) < 0.0);
}

#[test]
fn bad_figures_are_refused() {
    let planes = [plane(30.0, 500.0, 0.0), plane(500.0, 500.0, 0.0)];
    let good = radial("1", 40.0, 0.0);
    let kind = |site: DrillSite| DrillTask::new(planes, vec![site]).map(|_| ()).map_err(|error| error.kind());
    assert_eq!(kind(good.clone()), Ok(()));
    let drills = |diameters: Vec<Length>, greatest: f64, step: f64| DrillSite {
        work: Work::Drill {
            diameters,
            point: deg(118.0),
            least: mm(8.0),
            greatest: mm(greatest),
            step: mm(step),
        },
        ..good.clone()
    };
    let outside = [
        drills(vec![mm(30.0)], 20.0, 1.0),
        drills(vec![mm(10.0)], 80.0, 1.0),
        drills(vec![mm(10.0)], 7.0, 1.0),
        drills(vec![mm(10.0)], 20.0, 1e-6),
        drills(vec![mm(-10.0)], 20.0, 1.0),
        DrillSite { to: deg(-90.0), ..good.clone() },
        DrillSite { density: 7.2, ..good.clone() },
        DrillSite { way: Way::Radial, ..slugged("1", 40.0, 0.0) },
    ];
    for site in outside {
        assert_eq!(kind(site.clone()), Err(ErrorKind::OutOfRange), "{site:?}");
    }
    assert_eq!(kind(drills(vec![], 20.0, 1.0)), Err(ErrorKind::WrongLength));
    assert_eq!(kind(DrillSite { radius: mm(f64::NAN), ..good.clone() }), Err(ErrorKind::NotFinite));
    assert_eq!(DrillTask::new(planes, vec![]).unwrap_err().kind(), ErrorKind::WrongLength);
    let same = [plane(30.0, 500.0, 0.0), plane(30.0, 500.0, 0.0)];
    assert_eq!(
        DrillTask::new(same, vec![good.clone()]).unwrap_err().field(),
        Some("position of the second plane")
    );
    let task = DrillTask::new(planes, vec![good]).unwrap();
    assert!(task.clone().with_most_holes(0).is_err() && task.with_most_holes(13).is_err());
    assert!(CAUTIONS.iter().all(|text| text.ends_with('.')));
}
