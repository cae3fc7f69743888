//! Where to drill: the sites of the document, and the plan for what the balancing machine read.

use super::balance_keys::{BalanceKeys, metal_density};
use super::balance_sections::{Balance, Drilled, Site};
use super::balance_table::degrees;
use super::chain::Chain;
use super::document::Text;
use super::drill_rows::{CheekRow, DrillRow, DrillTable, DrilledRow};
use super::readings::{Point, Readings};
use super::sheet::Printed;
use super::terms::What;
use crate::balance::drill::{
    CAUTIONS, DEFAULT_EFFORT, DrillAnswer, DrillPlane, DrillSite, DrillStep, DrillTask, DrilledHole, GUARD,
    POINT_ANGLE, Slug, Way, Work, check_cheek,
};
use crate::error::{Error, Result};
use crate::units::{Angle, Dimensioned, Length, Ratio, Unbalance};

/// Where angles, positions and depths count from.
const REFERENCE: [&str; 5] = [
    "0 deg is the direction in which a crankpin of throw angle 0 deg points: that of bank angle 0 deg with the crank at zero.",
    "Angles count in running direction. Seen from the end where the running direction is counter-clockwise they count counter-clockwise, as drawn here.",
    "Positions along the crank count from the same point as the crankpins' positions in the document.",
    "A radial hole is drilled from outside towards the crank's axis; its radius is that of the mouth. An axial hole is parallel to the crank; its radius is that of its axis.",
    "A depth is that of the full diameter; the drill's point goes deeper. Masses and remainders count the point.",
];

/// The sites of the document, exact figures of the shop's setup.
#[derive(Debug, Clone, Default)]
pub(super) struct Sites {
    sites: Vec<DrillSite>,
    drilled: Vec<DrilledHole>,
    most_holes: Option<usize>,
}

fn needed<Q: Dimensioned>(text: &Option<Text>, field: &str, r: &Readings) -> Result<Q> {
    r.needed(field, text, "a site with drills needs it")
}

fn list<Q: Dimensioned>(texts: &[Text], field: &str, r: &Readings) -> Result<Vec<Q>> {
    texts.iter().enumerate().map(|(i, t)| r.exact(&format!("{field}[{}]", i + 1), t)).collect()
}

fn way_name(way: Way) -> &'static str {
    match way {
        Way::Axial => "axial",
        Way::Radial => "radial",
    }
}

fn way(axial: bool) -> Way {
    if axial { Way::Axial } else { Way::Radial }
}

impl Sites {
    pub(super) fn is_empty(&self) -> bool {
        self.sites.is_empty()
    }

    pub(super) fn read(b: &Balance, r: &Readings) -> Result<Self> {
        let mut sites = Vec::new();
        for (i, site) in b.sites.iter().enumerate() {
            let field = format!("balance.sites[{}]", i + 1);
            let read = read_site(site, &field, r)?;
            read.check().map_err(|e| {
                let own = field_of(&e).map_or(field.clone(), |name| format!("{field}.{name}"));
                r.place(e, &own)
            })?;
            sites.push(read);
        }
        let mut drilled = Vec::new();
        for (i, hole) in b.drilled.iter().enumerate() {
            let field = format!("balance.drilled[{}]", i + 1);
            if !sites.is_empty() {
                let cheek = format!("{field}.cheek");
                check_cheek(&cheek, &hole.cheek, &sites).map_err(|e| r.place(e, &cheek))?;
            }
            let read = read_hole(hole, &field, r)?;
            if let Some(same) = drilled.iter().position(|other| *other == read) {
                let remedy =
                    format!("the same hole as balance.drilled[{}]; a hole is written once", same + 1);
                return Err(r.place(Error::UnknownKey { field: field.clone(), remedy }, &field));
            }
            drilled.push(read);
        }
        Ok(Self { sites, drilled, most_holes: b.most_holes })
    }
}

/// The key of a site that an error is about.
fn field_of(error: &Error) -> Option<&'static str> {
    Some(match error.field()? {
        "position of a site" => "position",
        "angle range of a site" => "from",
        "end of an angle range" => "to",
        "angle step" => "angle_step",
        "radius of a site" => "radius",
        "web" => "web",
        "width of a cheek" => "width",
        "drill diameters" | "drill diameter" | "hole diameter" => "drills",
        "point angle" => "point",
        "least depth" => "least_depth",
        "greatest depth" | "depth of a hole" => "greatest_depth",
        "depth of a hole with the drill's point" => "greatest_depth",
        "depth step" => "depth_step",
        "slugs in stock" | "slug diameter" => "slug_diameters",
        "slug length" => "slug_lengths",
        "density of slugs" => "slug_density",
        "way of slugs" => "axial",
        _ => return None,
    })
}

fn read_site(site: &Site, field: &str, r: &Readings) -> Result<DrillSite> {
    let name = |n: &str| format!("{field}.{n}");
    let point: Angle = match &site.point {
        Some(text) => r.exact(&name("point"), text)?,
        None => Angle::from_si(POINT_ANGLE),
    };
    let drilling = [
        ("drills", !site.drills.is_empty()),
        ("least_depth", site.least_depth.is_some()),
        ("greatest_depth", site.greatest_depth.is_some()),
        ("depth_step", site.depth_step.is_some()),
    ];
    let slugs = !site.slug_diameters.is_empty();
    if let Some((extra, _)) = drilling.iter().find(|(_, there)| slugs && *there) {
        let remedy = "a site has drills or slugs; write another site of the same cheek for the other".into();
        return Err(r.place(Error::UnknownKey { field: name(extra), remedy }, &name(extra)));
    }
    let work = if !slugs {
        Work::Drill {
            diameters: list(&site.drills, &name("drills"), r)?,
            point,
            least: needed(&site.least_depth, &name("least_depth"), r)?,
            greatest: needed(&site.greatest_depth, &name("greatest_depth"), r)?,
            step: needed(&site.depth_step, &name("depth_step"), r)?,
        }
    } else {
        let lengths: Vec<Length> = list(&site.slug_lengths, &name("slug_lengths"), r)?;
        let diameters: Vec<Length> = list(&site.slug_diameters, &name("slug_diameters"), r)?;
        r.exact_length(&name("slug_lengths"), lengths.len(), diameters.len(), "slug diameter")?;
        let pairs = diameters.into_iter().zip(lengths);
        Work::AddSlugs {
            stock: pairs.map(|(diameter, length)| Slug { diameter, length }).collect(),
            density: slug_density(site, &name("slug_density"), r)?,
            point: Some(point),
        }
    };
    Ok(DrillSite {
        cheek: site.cheek.clone(),
        position: r.exact(&name("position"), &site.position)?,
        from: r.exact(&name("from"), &site.from)?,
        to: r.exact(&name("to"), &site.to)?,
        step: r.exact(&name("angle_step"), &site.angle_step)?,
        way: way(site.axial),
        radius: r.exact(&name("radius"), &site.radius)?,
        web: r.exact(&name("web"), &site.web)?,
        density: metal_density(&site.metal).map_err(|e| r.place(e, &name("metal")))?,
        width: site.width.as_ref().map(|t| r.exact(&name("width"), t)).transpose()?,
        work,
    })
}

/// Density of the slugs, kg/m3: a bare number in g/cm3, or with that unit.
fn slug_density(site: &Site, field: &str, r: &Readings) -> Result<f64> {
    let text = site.slug_density.as_ref().map_or("", |t| t.0.as_str());
    let number = text.trim().trim_end_matches("g/cm3").trim().parse::<f64>();
    number.map(|x| x * 1000.0).map_err(|_| {
        let reason = "a slug's density is written as 17.5 g/cm3".into();
        let error = Error::Unreadable { value: text.chars().take(40).collect(), reason };
        r.place(error, field)
    })
}

fn read_hole(hole: &Drilled, field: &str, r: &Readings) -> Result<DrilledHole> {
    let name = |n: &str| format!("{field}.{n}");
    Ok(DrilledHole {
        cheek: hole.cheek.clone(),
        position: r.exact(&name("position"), &hole.position)?,
        angle: r.exact(&name("angle"), &hole.angle)?,
        way: way(hole.axial),
        radius: r.exact(&name("radius"), &hole.radius)?,
        diameter: r.exact(&name("diameter"), &hole.diameter)?,
        depth: r.exact(&name("depth"), &hole.depth)?,
    })
}

impl Chain {
    /// The plan for what was read, where the document has planes, readings, a limit and sites.
    pub(super) fn drill_table(&self, keys: &BalanceKeys, at: &Point<'_>) -> Result<Option<DrillTable>> {
        let Some(task) = self.drill_task(keys, at)? else { return Ok(None) };
        let placed = |e: Error| self.readings.place(e, "balance.sites");
        let amount = self.unit(&What::ResidualUnbalance.term());
        let Ok(guarded) = task.guarded() else { return Ok(Some(self.too_uncertain(&task))) };
        let answer = task.plan(DEFAULT_EFFORT).map_err(placed)?;
        let grams = self.unit(&What::BobWeight.term());
        let (steps, shortfall) = match &answer {
            DrillAnswer::Plan(plan) => (&plan.steps, None),
            DrillAnswer::Short(short) => (&short.nearest, Some(short.to_string())),
        };
        let plan = answer.plan();
        Ok(Some(DrillTable {
            steps: steps.iter().map(|s| self.drill_row(s, task.sites())).collect(),
            inside: plan.is_some(),
            proved: plan.is_some_and(|p| p.proved),
            least_holes: plan.map(|p| p.least_holes),
            removed: plan.map(|p| Printed::new(grams, p.removed.si())),
            shortfall,
            guarded: guarded.iter().map(|u| Printed::new(amount, u.si())).collect(),
            cheeks: self.cheeks(task.sites()),
            drilled: keys.sites.drilled.iter().map(|h| self.drilled_row(h)).collect(),
            reference: REFERENCE.to_vec(),
            // The order of the steps is one of a plan.
            cautions: CAUTIONS
                .into_iter()
                .filter(|c| plan.is_some() || !c.starts_with("Drill the steps"))
                .collect(),
        }))
    }

    /// No plan: the reading's uncertainty leaves nothing of a limit.
    fn too_uncertain(&self, task: &DrillTask) -> DrillTable {
        let amount = self.unit(&What::ResidualUnbalance.term());
        let show = |u: Unbalance| Printed::new(amount, u.si()).text;
        let told = task.planes().iter().zip(["first", "second"]).filter_map(|(plane, word)| {
            let guard = plane.uncertainty * Ratio::from_si(GUARD);
            (plane.limit <= guard).then(|| {
                format!(
                    "the reading of the {word} plane is too uncertain: the guard, {GUARD} standard uncertainties, is {} of a limit of {}",
                    show(guard),
                    show(plane.limit)
                )
            })
        });
        let told: Vec<String> = told.collect();
        DrillTable {
            steps: Vec::new(),
            inside: false,
            proved: false,
            least_holes: None,
            removed: None,
            shortfall: Some(format!("{}; read more exactly", told.join("; "))),
            guarded: Vec::new(),
            cheeks: self.cheeks(task.sites()),
            drilled: Vec::new(),
            reference: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// The task, where all of it is known.
    pub(super) fn drill_task(&self, keys: &BalanceKeys, at: &Point<'_>) -> Result<Option<DrillTask>> {
        let (Some([first, second]), Some([a, b]), Some((limits, _))) =
            (keys.planes, keys.readings, &keys.permissible)
        else {
            return Ok(None);
        };
        if keys.sites.is_empty() {
            return Ok(None);
        }
        let [limit_a, limit_b] = *limits;
        let plane = |position, (amount, angle): (_, _), limit| {
            let amount: super::readings::Key<Unbalance> = amount;
            let angle: super::readings::Key<Angle> = angle;
            let read = at.get(amount);
            // A circle: the uncertainty of the amount, or that of the angle at that amount, whichever is more.
            let sideways = read.si() * self.readings.standard(angle.index);
            let uncertainty = Unbalance::from_si(self.readings.standard(amount.index).max(sideways));
            DrillPlane { position, unbalance: read, heavy_at: at.get(angle), uncertainty, limit }
        };
        let planes = [plane(at.get(first), a, limit_a), plane(at.get(second), b, limit_b)];
        let placed = |e: Error| self.readings.place(e, "balance.sites");
        let mut task = DrillTask::new(planes, keys.sites.sites.clone()).map_err(placed)?;
        let hole = |e: Error| self.readings.place(e, "balance.drilled");
        task = task.with_drilled(keys.sites.drilled.clone()).map_err(hole)?;
        if let Some(most) = keys.sites.most_holes {
            task = task.with_most_holes(most).map_err(|e| self.readings.place(e, "balance.most_holes"))?;
        }
        Ok(Some(task))
    }

    fn drill_row(&self, step: &DrillStep, sites: &[DrillSite]) -> DrillRow {
        let amount = self.unit(&What::ResidualUnbalance.term());
        let (mm, grams) = (self.unit(&What::DeckClearance.term()), self.unit(&What::BobWeight.term()));
        let length = |l: Length| Printed::new(mm, l.si());
        let ((first, first_at), (second, second_at)) = (step.left(0), step.left(1));
        DrillRow {
            cheek: step.hole.cheek.clone(),
            angle_deg: degrees(step.hole.angle),
            way: way_name(step.hole.way),
            position: length(step.hole.position),
            radius: length(step.hole.radius),
            point_deg: sites.get(step.site).map_or(f64::NAN, |s| s.point().si().to_degrees()),
            diameter: length(step.hole.diameter),
            depth: length(step.hole.depth),
            removed: Printed::new(grams, step.removed.si()),
            slug: (step.slug.si() > 0.0).then(|| Printed::new(grams, step.slug.si())),
            left_first: Printed::new(amount, first.si()),
            left_first_deg: degrees(first_at),
            left_second: Printed::new(amount, second.si()),
            left_second_deg: degrees(second_at),
            inside: step.inside,
        }
    }

    fn drilled_row(&self, hole: &DrilledHole) -> DrilledRow {
        let length = |l: Length| Printed::new(self.unit(&What::DeckClearance.term()), l.si());
        DrilledRow {
            cheek: hole.cheek.clone(),
            angle_deg: degrees(hole.angle),
            way: way_name(hole.way),
            radius: length(hole.radius),
            diameter: length(hole.diameter),
            depth: length(hole.depth),
            point_deg: 180.0,
        }
    }

    fn cheeks(&self, sites: &[DrillSite]) -> Vec<CheekRow> {
        let mm = self.unit(&What::DeckClearance.term());
        let row = |s: &DrillSite| CheekRow {
            cheek: s.cheek.clone(),
            way: way_name(s.way),
            position: Printed::new(mm, s.position.si()),
            from_deg: s.from.si().to_degrees(),
            to_deg: s.to.si().to_degrees(),
            radius: Printed::new(mm, s.radius.si()),
        };
        sites.iter().map(row).collect()
    }
}
