//! All holes that may be made, by column: a site at one angle, with every bore its tools make there.

use super::hole::Place;
use super::site::{DrillSite, Hole};
use super::spread::{CLASSES, Spread, hulls};
use super::{DrillPlane, DrilledHole};
use crate::error::{Error, Result};
use crate::units::Dimensioned;
use core::f64::consts::PI;
use num_complex::Complex64;

/// The most holes that may be chosen from.
const MOST_CANDIDATES: usize = 200_000;

/// Rounding of webs: this much less is enough, m.
const ROUNDING: f64 = 1e-9;

/// One hole of a column, with its amount and metal in the scales of the search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Choice {
    /// Unbalance that it changes, over the greatest of all.
    pub(super) amount: f64,
    /// Metal that it removes, over the greatest of all.
    pub(super) metal: f64,
    pub(super) hole: Hole,
    pub(super) place: Place,
    /// Which class of the site's holes by the room they need.
    pub(super) class: usize,
}

/// A site at one angle.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Column {
    pub(super) site: usize,
    /// The first site of the same cheek: a name for the cheek.
    pub(super) cheek: usize,
    pub(super) angle: f64,
    /// Least metal beside each hole, m.
    pub(super) web: f64,
    /// What one unit of amount adds to the unbalance of each plane.
    pub(super) effect: [Complex64; 2],
    /// By amount, then metal.
    pub(super) choices: Vec<Choice>,
    /// Lower convex hull of (amount, metal): no mean of choices has less metal for its amount.
    pub(super) hull: Vec<(f64, f64)>,
    /// Which step of the site's angles.
    pub(super) step: usize,
    /// The hull of each class of choices by the room they need.
    pub(super) classes: [Vec<(f64, f64)>; CLASSES],
    /// The hole that needs the least room.
    smallest: Option<Place>,
}

/// The columns of all sites, and the scales of their amounts (kg m) and metal (kg).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidates {
    pub(super) columns: Vec<Column>,
    /// The most holes that fit on each site.
    pub(super) room: Vec<usize>,
    /// How far the holes of each site stand apart.
    pub(super) spreads: Vec<Spread>,
    pub(super) amount: f64,
    pub(super) metal: f64,
}

/// Refuses more holes to choose from than can be searched.
pub(super) fn check_count(sites: &[DrillSite]) -> Result<()> {
    let found: usize = sites.iter().map(|site| site.holes().len() * site.angles().len()).sum();
    if found <= MOST_CANDIDATES {
        return Ok(());
    }
    let expected = format!("at most {MOST_CANDIDATES}; take wider steps");
    Err(Error::WrongLength { field: "holes to choose from".into(), found, expected })
}

impl Candidates {
    pub(super) fn new(planes: &[DrillPlane; 2], sites: &[DrillSite], drilled: &[DrilledHole]) -> Self {
        let mut columns: Vec<Column> = Vec::new();
        let mut spreads = Vec::new();
        for (index, site) in sites.iter().enumerate() {
            let cheek = sites.iter().position(|other| other.cheek == site.cheek).unwrap_or(index);
            let there: Vec<Place> =
                drilled.iter().filter(|hole| hole.cheek == site.cheek).map(DrilledHole::place).collect();
            let effect = effects(planes, site);
            let holes = site.holes();
            let spread = Spread::new(site, &holes);
            let classes: Vec<usize> = holes.iter().map(|hole| spread.class_of(site, hole)).collect();
            let holes: Vec<(Hole, usize)> = holes.into_iter().zip(classes).collect();
            for (step, angle) in site.angles().into_iter().enumerate() {
                let turned = effect.map(|part| Complex64::from_polar(part, angle));
                let bare = Column { site: index, cheek, angle, step, effect: turned, ..Column::default() };
                columns.extend(column(site, bare, &holes, &there));
            }
            spreads.push(spread);
        }
        let all = || columns.iter().flat_map(|column| &column.choices);
        let amount = all().map(|choice| choice.amount).fold(f64::MIN_POSITIVE, f64::max);
        let metal = all().map(|choice| choice.metal).fold(f64::MIN_POSITIVE, f64::max);
        columns.iter_mut().for_each(|column| column.scale(amount, metal));
        let room = (0..sites.len()).map(|site| room(&columns, site, sites)).collect();
        Self { columns, room, spreads, amount, metal }
    }

    /// Whether two holes of one cheek leave the web between them, and any two others always.
    pub(super) fn apart(a: (&Column, &Choice), b: (&Column, &Choice)) -> bool {
        a.0.cheek != b.0.cheek || a.1.place.web(&b.1.place) >= a.0.web.max(b.0.web) - ROUNDING
    }

    /// Whether any hole of one column leaves the web to any hole of another.
    pub(super) fn columns_apart(a: &Column, b: &Column) -> bool {
        match (a.smallest, b.smallest) {
            (Some(x), Some(y)) if a.cheek == b.cheek => x.web(&y) >= a.web.max(b.web) - ROUNDING,
            _ => true,
        }
    }
}

/// How much of a hole's unbalance counts in each plane, below zero where the hole takes it away.
///
/// By lever arms: (z_B - z) / (z_B - z_A) in plane A, (z - z_A) / (z_B - z_A) in plane B; outside the planes one of them changes sign.
///
/// # Source
/// ISO 21940-11, resolution into two planes (from memory).
pub(super) fn effects(planes: &[DrillPlane; 2], site: &DrillSite) -> [f64; 2] {
    let [a, b] = planes.each_ref().map(|plane| plane.position.si());
    let z = site.position.si();
    let sign = if site.adds() { 1.0 } else { -1.0 };
    [sign * (b - z) / (b - a), sign * (z - a) / (b - a)]
}

/// A column with the holes that keep the web to the ends of the metal and to the holes that are there; nothing where none does.
fn column(site: &DrillSite, bare: Column, holes: &[(Hole, usize)], there: &[Place]) -> Option<Column> {
    let angle = bare.angle;
    let web = site.web.si();
    let free = |place: &Place| {
        site.clears_ends(place) && there.iter().all(|other| place.web(other) >= web - ROUNDING)
    };
    let mut choices: Vec<Choice> = holes
        .iter()
        .map(|(hole, class)| (hole, *class, site.place(&hole.bore, angle)))
        .filter(|(_, _, place)| free(place))
        .map(|(hole, class, place)| Choice {
            amount: hole.amount,
            metal: hole.removed,
            hole: *hole,
            place,
            class,
        })
        .collect();
    choices.sort_by(|a, b| a.amount.total_cmp(&b.amount).then(a.metal.total_cmp(&b.metal)));
    let least = |f: fn(&Hole) -> f64| choices.iter().map(|c| f(&c.hole)).min_by(f64::total_cmp);
    let (diameter, depth) = (least(|h| h.bore.diameter)?, least(|h| h.bore.depth)?);
    let smallest = Some(site.place(&super::hole::Bore { diameter, depth, cone: 0.0 }, angle));
    Some(Column { web, choices, smallest, ..bare })
}

impl Column {
    fn scale(&mut self, amount: f64, metal: f64) {
        for choice in &mut self.choices {
            choice.amount /= amount;
            choice.metal /= metal;
        }
        self.hull = hull(&self.choices);
        self.classes = hulls(&self.choices);
    }
}

/// Lower convex hull of the metal over the amount, from choices in order of amount.
pub(super) fn hull(choices: &[Choice]) -> Vec<(f64, f64)> {
    let mut hull: Vec<(f64, f64)> = Vec::new();
    for point in choices.iter().map(|choice| (choice.amount, choice.metal)) {
        while let [.., a, b] = hull.as_slice() {
            let turn = (b.0 - a.0) * (point.1 - a.1) - (b.1 - a.1) * (point.0 - a.0);
            if turn > 0.0 {
                break;
            }
            hull.pop();
        }
        let same = hull.last().is_some_and(|last| last.0 == point.0);
        if !same {
            hull.push(point);
        }
    }
    hull
}

/// The most holes that fit on a site: of holes that need the least room, each as near to the one before as it may.
fn room(columns: &[Column], site: usize, sites: &[DrillSite]) -> usize {
    let mut last: Option<&Column> = None;
    let mut count = 0;
    for column in columns.iter().filter(|column| column.site == site) {
        if last.is_none_or(|last| Candidates::columns_apart(last, column)) {
            last = Some(column);
            count += 1;
        }
    }
    // Beyond half a turn, where one begins may matter by one.
    let wide = sites.get(site).is_some_and(|site| (site.to - site.from).si() > PI);
    count + usize::from(wide)
}
