//! Every written unit, once: its spellings, its dimension and its exact size.

use super::Dimension;
use core::f64::consts::PI;

/// One written unit.
///
/// `SI value = (written value + offset) x numerator / denominator`. Both are exact in binary64, save for pi,
/// so a conversion costs two roundings at most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// How swept prints it.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub spellings: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// Decimals that are worth printing in a table of this trade.
    pub decimals: usize,
    numerator: f64,
    denominator: f64,
    offset: f64,
}

impl Unit {
    /// The SI value of `value` of this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.numerator / self.denominator
    }

    /// How many of this unit the SI value is.
    pub fn from_si(&self, si: f64) -> f64 {
        si * self.denominator / self.numerator - self.offset
    }

    /// The SI size of a difference of `value` of this unit: as [`Unit::to_si`], without the zero offset of a
    /// temperature scale.
    pub fn difference_to_si(&self, value: f64) -> f64 {
        value * self.numerator / self.denominator
    }

    /// How many of this unit an SI difference is.
    pub fn difference_from_si(&self, si: f64) -> f64 {
        si * self.denominator / self.numerator
    }

    /// How many parts one of this unit is, where the SI unit has so many: 25.4 thousandths for the inch.
    pub(crate) fn in_parts(&self, parts: f64) -> f64 {
        self.numerator * parts / self.denominator
    }

    /// The SI value written in this unit, to 15 or 16 significant digits where those read back within the
    /// rounding of the conversion itself, else with all.
    pub fn write(&self, si: f64) -> String {
        let value = self.from_si(si);
        let rounded = |digits: usize| format!("{value:.digits$e}").parse::<f64>().ok();
        let near = |v: &f64| (self.to_si(*v) - si).abs() <= 2.0 * f64::EPSILON * si.abs();
        let short = [14, 15].into_iter().filter_map(rounded).find(near);
        self.with_symbol(short.unwrap_or(value).to_string())
    }

    /// The SI value rounded to the decimals of the trade.
    pub fn show(&self, si: f64) -> String {
        self.rounded(self.from_si(si), self.decimals)
    }

    /// The value (in this unit) rounded to `decimals`, never "-0".
    pub fn rounded(&self, value: f64, decimals: usize) -> String {
        let text = format!("{value:.decimals$}");
        let zero = text.trim_start_matches('-').chars().all(|c| "0.".contains(c));
        let text = if zero { text.trim_start_matches('-') } else { &text };
        self.with_symbol(text.to_owned())
    }

    #[cfg(test)]
    pub(super) fn offset_for_test(&self) -> f64 {
        self.offset
    }

    fn with_symbol(&self, number: String) -> String {
        match self.symbol {
            "" => number,
            "%" => number + "%",
            symbol => number + " " + symbol,
        }
    }
}

const fn row(
    symbol: &'static str,
    spellings: &'static [&'static str],
    dimension: Dimension,
    decimals: usize,
    numerator: f64,
    denominator: f64,
) -> Unit {
    Unit { symbol, spellings, dimension, decimals, numerator, denominator, offset: 0.0 }
}

const fn scale(unit: Unit, offset: f64) -> Unit {
    Unit { offset, ..unit }
}

use Dimension as D;

// lbf = 0.45359237 kg x 9.80665 m/s2 = 8896443230521/2e12 N; psi = lbf/(0.0254 m)^2.
const LBF: f64 = 8_896_443_230_521.0; // NIST SP 811 (2008) App. B.8, from memory; exact by definition
const LB: f64 = 45_359_237.0; // kg x 1e8; NIST SP 811 (2008) App. B.8, from memory; exact by definition
const IN3: f64 = 2_048_383.0; // m3 x 125e9, 0.0254 m cubed; exact by definition

/// The millimetre.
pub const MILLIMETRE: Unit =
    row("mm", &["millimeter", "millimeters", "millimetre", "millimetres"], Dimension::Length, 3, 1.0, 1e3);

/// The number one, unit of ratios.
pub const RATIO: Unit = row("", &[":1", "1"], Dimension::Ratio, 3, 1.0, 1.0);

/// Every unit that can be written, the preferred spelling first.
///
/// # Source
/// The exact definitions behind NIST Special Publication 811 (2008), appendix B.8, from memory: inch = 25.4 mm,
/// pound = 0.45359237 kg, standard gravity = 9.80665 m/s2, US gallon = 231 in3.
#[rustfmt::skip]
pub static TABLE: &[Unit] = &[
    MILLIMETRE,
    row("um", &["micrometer", "micrometers", "micrometre", "micrometres", "micron", "microns"], D::Length, 1, 1.0, 1e6),
    row("cm", &["centimeter", "centimetre"], D::Length, 4, 1.0, 1e2),
    row("m", &["meter", "metre", "meters", "metres"], D::Length, 6, 1.0, 1.0),
    row("in", &["inch", "inches"], D::Length, 4, 127.0, 5e3),
    row("thou", &["mil", "mils"], D::Length, 2, 127.0, 5e6),
    row("ft", &["foot", "feet"], D::Length, 4, 381.0, 1250.0),
    row("mm2", &[], D::Area, 2, 1.0, 1e6),
    row("cm2", &[], D::Area, 3, 1.0, 1e4),
    row("m2", &[], D::Area, 6, 1.0, 1.0),
    row("in2", &["sq in"], D::Area, 4, 16129.0, 25e6),
    row("cm3", &["cc", "ml", "mL"], D::Volume, 2, 1.0, 1e6),
    row("mm3", &[], D::Volume, 1, 1.0, 1e9),
    row("l", &["L", "liter", "litre", "liters", "litres"], D::Volume, 4, 1.0, 1e3),
    row("m3", &[], D::Volume, 8, 1.0, 1.0),
    row("in3", &["cu in", "ci", "cid"], D::Volume, 3, IN3, 125e9),
    row("US fl oz", &["fl oz"], D::Volume, 3, 473_176_473.0, 16e12),
    row("US qt", &[], D::Volume, 4, 473_176_473.0, 5e11),
    row("US gal", &[], D::Volume, 4, 473_176_473.0, 125e9),
    row("g", &["gram", "grams", "gramme", "grammes"], D::Mass, 1, 1.0, 1e3),
    row("kg", &["kilogram", "kilograms"], D::Mass, 4, 1.0, 1.0),
    row("mg", &[], D::Mass, 0, 1.0, 1e6),
    row("oz", &["ounce", "ounces"], D::Mass, 3, LB, 16e8),
    row("lb", &["lbs", "lbm", "pound", "pounds"], D::Mass, 4, LB, 1e8),
    row("deg", &["degree", "degrees"], D::Angle, 2, PI, 180.0),
    row("rad", &["radian", "radians"], D::Angle, 5, 1.0, 1.0),
    row("rpm", &["r/min", "rev/min"], D::RotationalSpeed, 0, PI, 30.0),
    row("rad/s", &[], D::RotationalSpeed, 3, 1.0, 1.0),
    row("deg/s", &[], D::RotationalSpeed, 1, PI, 180.0),
    row("m/s", &[], D::Velocity, 3, 1.0, 1.0),
    row("ft/min", &["fpm"], D::Velocity, 1, 127.0, 25e3),
    row("ft/s", &[], D::Velocity, 2, 381.0, 1250.0),
    row("m/s2", &[], D::Acceleration, 1, 1.0, 1.0),
    row("ft/s2", &[], D::Acceleration, 1, 381.0, 1250.0),
    row("gn", &[], D::Acceleration, 1, 980_665.0, 1e5),
    row("MPa", &["N/mm2"], D::Pressure, 2, 1e6, 1.0),
    row("kPa", &[], D::Pressure, 2, 1e3, 1.0),
    row("Pa", &[], D::Pressure, 0, 1.0, 1.0),
    row("GPa", &[], D::Pressure, 3, 1e9, 1.0),
    row("bar", &[], D::Pressure, 2, 1e5, 1.0),
    row("psi", &["lbf/in2"], D::Pressure, 1, LBF, 1_290_320_000.0),
    row("ksi", &[], D::Pressure, 3, LBF, 1_290_320.0),
    row("inHg", &["in Hg"], D::Pressure, 2, 3_386_388_640_341.0, 1e9), // conventional, 13595.1 kg/m3 x gn x inch
    row("N", &["newton", "newtons"], D::Force, 1, 1.0, 1.0),
    row("kN", &[], D::Force, 3, 1e3, 1.0),
    row("lbf", &[], D::Force, 2, LBF, 2e12),
    row("ozf", &[], D::Force, 2, LBF, 32e12),
    row("N m", &["Nm"], D::Torque, 2, 1.0, 1.0),
    row("lbf ft", &["ft lbf"], D::Torque, 2, LBF * 381.0, 25e14),
    row("lbf in", &["in lbf"], D::Torque, 2, LBF * 127.0, 1e16),
    row("ozf in", &["in ozf"], D::Torque, 2, 1_129_848_290_276_167.0, 16e16),
    row("g mm", &["gmm"], D::Unbalance, 1, 1.0, 1e6),
    row("g cm", &["gcm"], D::Unbalance, 2, 1.0, 1e5),
    row("kg m", &[], D::Unbalance, 9, 1.0, 1.0),
    row("oz in", &["in oz"], D::Unbalance, 4, 5_760_623_099.0, 8e12),
    scale(row("degC", &["C", "celsius"], D::Temperature, 1, 1.0, 1.0), 273.15),
    scale(row("degF", &["F", "fahrenheit"], D::Temperature, 1, 5.0, 9.0), 459.67),
    row("K", &["kelvin"], D::Temperature, 2, 1.0, 1.0),
    row("K", &["kelvin", "degC", "C"], D::TemperatureDifference, 2, 1.0, 1.0),
    row("degF", &["F"], D::TemperatureDifference, 2, 5.0, 9.0),
    row("Pa s", &[], D::DynamicViscosity, 5, 1.0, 1.0),
    row("mPa s", &["cP"], D::DynamicViscosity, 2, 1.0, 1e3),
    row("ureyn", &["microreyn"], D::DynamicViscosity, 3, LBF, 1_290_320_000e6),
    row("mm2/s", &["cSt"], D::KinematicViscosity, 2, 1.0, 1e6),
    row("m2/s", &[], D::KinematicViscosity, 8, 1.0, 1.0),
    RATIO,
    row("%", &["percent"], D::Ratio, 2, 1.0, 1e2),
    row("s", &[], D::Time, 4, 1.0, 1.0),
    row("ms", &[], D::Time, 2, 1.0, 1e3),
    row("um/m/K", &["ppm/K", "um/m/degC"], D::Expansion, 2, 1.0, 1e6),
    row("m/m/K", &["m/m/degC"], D::Expansion, 8, 1.0, 1.0),
    row("in/in/degF", &[], D::Expansion, 8, 9.0, 5.0),
    row("N/mm", &[], D::SpringRate, 2, 1e3, 1.0),
    row("N/m", &[], D::SpringRate, 0, 1.0, 1.0),
    row("lbf/in", &[], D::SpringRate, 1, LBF, 5.08e10),
    row("Hz", &["hertz"], D::Frequency, 1, 1.0, 1.0),
    row("cycles/min", &["cpm"], D::Frequency, 0, 1.0, 60.0),
];
