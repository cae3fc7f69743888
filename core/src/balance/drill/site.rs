//! Where a shop may drill or add slugs, and with which tools.

use super::hole::{Bore, Place};
use super::task::DrilledHole;
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::{FRAC_PI_2, PI, TAU};

/// Density of cast iron of crankshafts, kg/m3 (grey and nodular iron 7.0 to 7.3 g/cm3; ASM Handbook vol. 1, from memory).
pub const IRON_DENSITY: f64 = 7200.0;

/// Density of steel, kg/m3 (plain carbon and low alloy 7.85 g/cm3; Callister, Materials Science and Engineering, table B.1, from memory).
pub const STEEL_DENSITY: f64 = 7850.0;

/// Least density of a tungsten heavy alloy, kg/m3 (17 g/cm3, class 1; ASTM B777, from memory).
pub const LEAST_HEAVY_ALLOY_DENSITY: f64 = 17_000.0;

/// Greatest density of a tungsten heavy alloy, kg/m3 (18.5 g/cm3, class 4; ASTM B777, from memory).
pub const GREATEST_HEAVY_ALLOY_DENSITY: f64 = 18_500.0;

/// Angle across the point of a common twist drill: 118 deg, in rad (common practice, no source).
pub const POINT_ANGLE: f64 = 118.0 * PI / 180.0;

/// Slack of grids: an end of a range that a whole number of steps misses by rounding belongs to it.
const GRID: f64 = 1e-9;

/// The most steps of one grid.
const MOST_STEPS: f64 = 10_000.0;

/// Which way a hole goes into a counterweight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// From outside towards the crank axis; the radius is that of the mouth.
    Radial,
    /// Parallel to the crank axis, through a face of the cheek; the radius is that of the hole's axis.
    Axial,
}

/// A slug that the shop stocks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slug {
    /// Its diameter: that of its hole.
    pub diameter: Length,
    /// Its length: the depth of its hole, full diameter.
    pub length: Length,
}

/// What is done at a site.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// Holes are drilled and left empty.
    Drill {
        /// Drills that the shop has.
        diameters: Vec<Length>,
        /// Angle across the drill's point, 90 to 180 deg; usually [`POINT_ANGLE`].
        point: Angle,
        /// Least depth of the full diameter.
        least: Length,
        /// Greatest depth of the full diameter; the point goes deeper.
        greatest: Length,
        /// Step of the depth, from the least.
        step: Length,
    },
    /// Holes are bored parallel to the crank axis and filled with slugs of heavy alloy.
    AddSlugs {
        /// Slugs that the shop has.
        stock: Vec<Slug>,
        /// Density of the slugs, kg/m3.
        density: f64,
        /// Angle across the point that the drill leaves under a slug, empty; nothing where the bore goes through or is flat.
        point: Option<Angle>,
    },
}

/// A part of a counterweight where holes are allowed.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillSite {
    /// The counterweight; sites with one name share its metal.
    pub cheek: String,
    /// Along the crank axis: the centroid of the holes.
    pub position: Length,
    /// One end of the counterweight's metal, in running direction from the crank's zero.
    pub from: Angle,
    /// Its other end, further in running direction; a full turn apart has no ends.
    pub to: Angle,
    /// Step of the angle, from the first end.
    pub step: Angle,
    /// Which way the holes go.
    pub way: Way,
    /// Radius of the mouth (radial) or of the hole's axis (axial).
    pub radius: Length,
    /// Least metal between holes of one counterweight, and between a hole and either end.
    pub web: Length,
    /// Density of the counterweight, kg/m3, such as [`IRON_DENSITY`].
    pub density: f64,
    /// Width of the cheek along the crank axis, where known: a radial hole is narrower, an axial one no deeper.
    pub width: Option<Length>,
    /// Drilling, or slugs.
    pub work: Work,
}

/// One hole that a site and its tools allow: its bore, the metal it takes and the amount of unbalance it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hole {
    pub(super) bore: Bore,
    /// Metal of the crank that is removed, kg.
    pub(super) removed: f64,
    /// Mass of the slug, kg.
    pub(super) slug: f64,
    /// Unbalance, kg m: taken away at the angle of the hole, or added there by a slug; always above zero.
    pub(super) amount: f64,
}

impl DrillSite {
    /// Whether holes here make their angle heavier.
    pub fn adds(&self) -> bool {
        matches!(self.work, Work::AddSlugs { .. })
    }

    /// Angle across the point that the drill leaves; a straight angle for a flat bottom.
    pub fn point(&self) -> Angle {
        match &self.work {
            Work::Drill { point, .. } => *point,
            Work::AddSlugs { point, .. } => point.unwrap_or(Angle::from_si(PI)),
        }
    }

    /// Checks every figure.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`], [`Error::WrongLength`] for figures that no counterweight or tool has.
    pub(crate) fn check(&self) -> Result<()> {
        finite("position of a site", self.position)?;
        let (from, to) =
            (finite("angle range of a site", self.from)?, finite("angle range of a site", self.to)?);
        let turn = (to - from).si();
        if !(0.0..=TAU + GRID).contains(&turn) {
            return Err(out_of_range(
                "end of an angle range",
                to,
                format!("up to one turn after {}", written(from)),
            ));
        }
        let step = finite_positive("angle step", self.step)?;
        grid_fits("angle step", step, turn)?;
        let radius = finite_positive("radius of a site", self.radius)?;
        non_negative("web", self.web)?;
        density_in("density of a site", self.density, 1000.0, 25_000.0)?;
        if let Some(width) = self.width {
            finite_positive("width of a cheek", width)?;
        }
        self.check_work()?;
        self.holes().iter().try_for_each(|hole| self.check_hole(hole, radius.si()))
    }

    fn check_work(&self) -> Result<()> {
        match &self.work {
            Work::Drill { diameters, point, least, greatest, step } => {
                some("drill diameters", diameters.len())?;
                diameters.iter().try_for_each(|d| finite_positive("drill diameter", *d).map(|_| ()))?;
                point_angle(*point)?;
                let least = finite_positive("least depth", *least)?;
                let greatest = finite("greatest depth", *greatest)?;
                if greatest < least {
                    return Err(out_of_range(
                        "greatest depth",
                        greatest,
                        format!("at least {}", written(least)),
                    ));
                }
                let step = finite_positive("depth step", *step)?;
                grid_fits("depth step", step, (greatest - least).si())
            }
            Work::AddSlugs { stock, density, point } => {
                some("slugs in stock", stock.len())?;
                for slug in stock {
                    finite_positive("slug diameter", slug.diameter)?;
                    finite_positive("slug length", slug.length)?;
                }
                point.map_or(Ok(()), point_angle)?;
                density_in("density of slugs", *density, self.density, 25_000.0)?;
                match self.way {
                    Way::Axial => Ok(()),
                    Way::Radial => Err(Error::OutOfRange {
                        field: "way of slugs".into(),
                        value: "radial".into(),
                        allowed: "axial: the counterweight must hold a slug against the force outwards"
                            .into(),
                    }),
                }
            }
        }
    }

    fn check_hole(&self, hole: &Hole, radius: f64) -> Result<()> {
        let bore = hole.bore;
        let (diameter, depth) = (Length::from_si(bore.diameter), Length::from_si(bore.depth));
        let mouth = written(self.radius);
        match self.way {
            Way::Radial => {
                if bore.depth + bore.cone >= radius {
                    let allowed = format!("with its point short of the crank axis, {mouth} below the mouth");
                    return Err(out_of_range("depth of a hole", depth, allowed));
                }
                self.within_width("hole diameter", diameter)?;
            }
            Way::Axial => {
                if bore.diameter / 2.0 >= radius {
                    return Err(out_of_range("hole diameter", diameter, format!("a radius below {mouth}")));
                }
                self.within_width("depth of a hole", depth)?;
                self.point_within_width(&bore)?;
            }
        }
        if hole.amount > 0.0 {
            return Ok(());
        }
        let value = format!("{} kg/m3", self.density);
        let allowed = "a slug heavier than the metal its hole takes away".into();
        Err(Error::OutOfRange { field: "slug".into(), value, allowed })
    }

    /// The drill's point stays in the metal: what it would take from the air beyond is no metal.
    fn point_within_width(&self, bore: &Bore) -> Result<()> {
        let deep = Length::from_si(bore.depth + bore.cone);
        match self.width {
            Some(width) if deep.si() > width.si() * (1.0 + GRID) => {
                let allowed = format!(
                    "up to the width of the cheek, {}; with a point of 180 deg for a flat bottom or a bore right through",
                    written(width)
                );
                Err(out_of_range("depth of a hole with the drill's point", deep, allowed))
            }
            _ => Ok(()),
        }
    }

    fn within_width(&self, field: &str, size: Length) -> Result<()> {
        match self.width {
            Some(width) if size > width => {
                Err(out_of_range(field, size, format!("up to the width of the cheek, {}", written(width))))
            }
            _ => Ok(()),
        }
    }

    /// Every hole the tools make, by diameter and depth.
    pub(super) fn holes(&self) -> Vec<Hole> {
        match &self.work {
            Work::Drill { diameters, point, least, greatest, step } => {
                let depths = grid(least.si(), greatest.si(), step.si());
                let bore = |d: &Length, depth: f64| Bore::pointed(d.si(), depth, point.si());
                diameters.iter().flat_map(|d| depths.iter().map(move |h| self.drilled(bore(d, *h)))).collect()
            }
            Work::AddSlugs { stock, density, point } => {
                let point = point.map_or(PI, Dimensioned::si);
                let bore = |slug: &Slug| Bore::pointed(slug.diameter.si(), slug.length.si(), point);
                stock.iter().map(|slug| self.filled(bore(slug), *density)).collect()
            }
        }
    }

    fn drilled(&self, bore: Bore) -> Hole {
        let amount = self.density * bore.moment(self.way, self.radius.si());
        Hole { bore, removed: self.density * bore.volume(), slug: 0.0, amount }
    }

    fn filled(&self, bore: Bore, density: f64) -> Hole {
        let (removed, slug) = (self.density * bore.volume(), density * bore.cylinder());
        Hole { bore, removed, slug, amount: (slug - removed) * self.radius.si() }
    }

    /// The angles of the grid.
    pub(super) fn angles(&self) -> Vec<f64> {
        let (from, to) = (self.from.si(), self.to.si());
        let mut angles = grid(from, to, self.step.si());
        // A full turn ends where it began.
        if self.is_round() && angles.last().is_some_and(|last| last - from > TAU - 1e-6) {
            angles.pop();
        }
        angles
    }

    /// Whether the metal goes all around.
    pub(super) fn is_round(&self) -> bool {
        (self.to - self.from).si() >= TAU - 1e-9
    }

    /// Where a hole stands.
    pub(super) fn place(&self, bore: &Bore, angle: f64) -> Place {
        Place::new(bore, self.way, self.radius.si(), angle, self.position.si())
    }

    /// Refuses a hole that is there already but cannot be on this counterweight: not within its metal by angle, not near its radius (a quarter above or half of
    /// it), not within its width along the crank (half its radius where the width is not known).
    pub(super) fn check_holds(&self, hole: &DrilledHole) -> Result<()> {
        let (from, turn) = (self.from.si(), (self.to - self.from).si());
        let angle = (hole.angle.si() - from + GRID).rem_euclid(TAU);
        if !self.is_round() && angle > turn + 2.0 * GRID {
            let allowed =
                format!("within the metal of its cheek, from {} to {}", written(self.from), written(self.to));
            return Err(out_of_range("angle of a drilled hole", hole.angle, allowed));
        }
        let (least, most) = (self.radius * 0.5, self.radius * 1.25);
        if hole.radius < least || hole.radius > most {
            let allowed = format!("near that of its cheek, from {} to {}", written(least), written(most));
            return Err(out_of_range("radius of a drilled hole", hole.radius, allowed));
        }
        let reach = self.width.unwrap_or(self.radius * 0.5);
        if (hole.position - self.position).abs() > reach {
            let allowed = format!("within {} of its cheek, at {}", written(reach), written(self.position));
            return Err(out_of_range("position of a drilled hole", hole.position, allowed));
        }
        Ok(())
    }

    /// Whether a hole keeps the web to both ends of the metal.
    pub(super) fn clears_ends(&self, place: &Place) -> bool {
        let clears = |edge: Angle| place.web_to_edge(edge.si()) >= self.web.si() - GRID;
        self.is_round() || (clears(self.from) && clears(self.to))
    }
}

/// From the lower end in whole steps, the upper end with it where a step falls on it.
fn grid(low: f64, high: f64, step: f64) -> Vec<f64> {
    let steps = ((high - low) / step + 1e-6).floor().clamp(0.0, MOST_STEPS) as usize;
    (0..=steps).map(|i| (low + i as f64 * step).min(high)).collect()
}

fn grid_fits<Q: Dimensioned>(field: &str, step: Q, range: f64) -> Result<()> {
    let least = range / MOST_STEPS;
    if step.si() >= least {
        return Ok(());
    }
    Err(out_of_range(field, step, format!("at least {}", written(Q::from_si(least)))))
}

fn some(field: &str, found: usize) -> Result<()> {
    if found > 0 {
        return Ok(());
    }
    Err(Error::WrongLength { field: field.into(), found, expected: "at least 1".into() })
}

/// A flatter cone than its half ball keeps the webs that are measured at the end of the full diameter.
fn point_angle(point: Angle) -> Result<()> {
    let point = finite("point angle", point)?;
    if (FRAC_PI_2..=PI).contains(&point.si()) {
        return Ok(());
    }
    let [least, greatest] = [FRAC_PI_2, PI].map(|a| written(Angle::from_si(a)));
    Err(out_of_range("point angle", point, format!("from {least} to {greatest}")))
}

pub(crate) fn density_in(field: &str, density: f64, low: f64, high: f64) -> Result<()> {
    if !density.is_finite() {
        return Err(Error::NotFinite { field: field.into(), value: density.to_string() });
    }
    if density >= low && density <= high {
        return Ok(());
    }
    let allowed = format!("from {low} to {high} kg/m3");
    Err(Error::OutOfRange { field: field.into(), value: format!("{density} kg/m3"), allowed })
}
