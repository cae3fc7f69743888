//! Listed designs as text: JSON with written units, for C, Python and files.

use super::columns::Columns;
use super::figure::Figure;
use super::scatter::Scatter;
use super::text::{LimitText, fixed_of, limits_of, parsed, read};
use crate::error::Result;
use crate::units::Unit;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ColumnsText {
    #[serde(default)]
    fixed: BTreeMap<String, String>,
    #[serde(default)]
    limits: BTreeMap<String, LimitText>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScatterText {
    #[serde(default)]
    fixed: BTreeMap<String, String>,
    ranges: Vec<RangeText>,
    designs: u64,
    #[serde(default)]
    limits: BTreeMap<String, LimitText>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeText {
    figure: String,
    from: String,
    to: String,
}

impl<'c> Columns<'c> {
    /// Columns with fixed figures and limits from a text: JSON with `fixed` and `limits`, as [`super::Study::parse`] reads them.
    ///
    /// # Errors
    /// [`crate::Error::Unreadable`] for what is no such JSON; as [`Columns::in_units`].
    pub fn parse(text: &str, columns: Vec<(Figure, Option<&'static Unit>, &'c [f64])>) -> Result<Self> {
        let written: ColumnsText = parsed(text, "what columns share is JSON with fixed and limits")?;
        Self::in_units(&fixed_of(&written.fixed)?, columns, limits_of(&written.limits)?)
    }
}

impl Scatter {
    /// Scattered designs from their text: JSON with `ranges` (a list, each with `figure`, `from` and `to`), `designs` (how many), and `fixed` and `limits` as
    /// [`super::Study::parse`] reads them.
    ///
    /// # Errors
    /// [`crate::Error::Unreadable`] for what is no such JSON; as [`Scatter::new`].
    ///
    /// # Example
    /// ```
    /// use swept::study::{Scatter, Workers};
    /// let study = Scatter::parse(r#"{
    ///     "ranges": [{"figure": "bore", "from": "80 mm", "to": "90 mm"}, {"figure": "stroke", "from": "70 mm", "to": "95 mm"}],
    ///     "designs": 1000000,
    ///     "limits": {"bore_stroke_ratio": {"lower": "1"}}
    /// }"#)?;
    /// let share = study.count(&Workers::default())?.feasible as f64 / 1e6;
    /// assert!((share - 0.6).abs() < 1e-4, "{share}");
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let written: ScatterText =
            parsed(text, "scattered designs are JSON with ranges, designs, fixed and limits")?;
        let mut ranges = Vec::new();
        for range in &written.ranges {
            let figure = Figure::parse(&range.figure)?;
            let one = |text: &str, end: &str| {
                read(text, figure.dimension(), &format!("ranges.{}.{end}", range.figure))
            };
            ranges.push((figure, one(&range.from, "from")?, one(&range.to, "to")?));
        }
        Self::new(&fixed_of(&written.fixed)?, ranges, written.designs, limits_of(&written.limits)?)
    }
}
