//! The chain, end to end: a build document becomes a build sheet.
//!
//! A document is TOML: every figure with its unit and, where known, its expanded uncertainty. The chain takes it to
//! findings: a value, how sure it is (JCGM 100), a verdict by guard bands (ISO 14253-1) and, failing, the cut.

mod balance;
mod balance_keys;
mod balance_sections;
mod balance_table;
mod bearings;
mod bolts;
mod cautions;
mod chain;
mod cut;
mod design;
mod document;
mod drill_rows;
mod drilling;
mod figures;
mod fits;
mod grades;
mod keys;
mod kinds;
mod lines;
mod matching;
mod operation;
mod parse;
mod parts;
mod possible;
mod press;
mod readings;
mod rules;
mod sections;
mod selection;
mod sheet;
mod states;
mod study;
mod terms;
mod tolerances;
mod trials;
mod valve_details;
mod valve_drive;
mod valve_heads;
mod valve_keys;
mod valve_lobes;
mod valve_meeting;
mod valve_profile;
mod valve_sections;
mod valve_springs;
mod valve_table;
mod valves;

pub use balance_table::{
    BalanceTable, CounterweightAdvice, LightenRow, OrderRow, PlaneRow, ThrowRow, Trace, TracePoint,
};
pub use chain::{NotComputed, Place, PlaceKind};
pub use cut::{Change, Cut};
pub use design::{Design, PrintedReading, VolumePart, WallAt, Walls};
pub use document::Display;
pub use drill_rows::{CheekRow, DrillRow, DrillTable, DrilledRow};
pub use matching::{MatchedRow, MatchedSpread, MatchedValue, MatchingTable};
pub use parse::{Build, MOST_BYTES};
pub use selection::{ChosenShells, Filing, Selection};
pub use sheet::{BudgetRow, Counts, Finding, Judgement, Printed, PrintedLimits, Sheet, Spread};
pub use study::{BuildStudy, BuildStudyLimit};
pub use terms::Group;
pub use tolerances::{Contributor, ToleranceStack};
pub use valve_details::{LobePoint, RockerRow, TableRow, ThroatRow, ValveDetails, WheelRow, WheelTable};
pub use valve_table::{MapPoint, SpringPoint, ValvePoint, ValveSide, ValveTable};
