//! Clearances that are one dimension less another. Positive is a gap.

use crate::units::{Dimensioned, Length};

/// Piston-to-wall clearance on the diameter: bore - piston diameter at the gauge point.
pub fn piston_to_wall(bore: Length, piston_diameter: Length) -> Length {
    bore - piston_diameter
}

/// Clearance of a pin in a boss, a bush or a rod eye, on the diameter: bore - pin. Below zero the pin is pressed in.
pub fn pin_clearance(bore: Length, pin_diameter: Length) -> Length {
    bore - pin_diameter
}

/// Ring back clearance: (bore - groove root diameter) / 2 - radial thickness of the ring, on one side with the piston central.
pub fn back_clearance(bore: Length, groove_root_diameter: Length, radial_thickness: Length) -> Length {
    (bore - groove_root_diameter) / 2.0 - radial_thickness
}

/// Ring side clearance, all of it on one side: groove width - ring width.
pub fn side_clearance(groove_width: Length, ring_width: Length) -> Length {
    groove_width - ring_width
}

/// Crankshaft end float (end play, thrust clearance): width of the thrust journal between its faces - width of the thrust
/// bearing over its faces.
pub fn end_float(thrust_journal_width: Length, thrust_bearing_width: Length) -> Length {
    thrust_journal_width - thrust_bearing_width
}

/// Rod side clearance of a crankpin: pin width - the widths of all rods on it.
pub fn rod_side_clearance(crankpin_width: Length, rod_widths: &[Length]) -> Length {
    let rods: f64 = rod_widths.iter().map(|w| w.si()).sum();
    crankpin_width - Length::from_si(rods)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_is_positive() {
        let mm = |x: f64| Length::from_si(x / 1000.0);
        let near = |a: Length, b: f64| (a.si() * 1000.0 - b).abs() < 1e-9;
        assert!(near(piston_to_wall(mm(86.0), mm(85.96)), 0.04));
        assert!(near(pin_clearance(mm(22.005), mm(21.998)), 0.007));
        assert!(near(pin_clearance(mm(21.970), mm(21.998)), -0.028));
        assert!(near(back_clearance(mm(86.0), mm(78.4), mm(3.3)), 0.5));
        assert!(near(side_clearance(mm(1.23), mm(1.19)), 0.04));
        assert!(near(end_float(mm(25.0), mm(24.9)), 0.1));
        assert!(near(rod_side_clearance(mm(48.4), &[mm(24.0), mm(24.0)]), 0.4));
        assert!(near(rod_side_clearance(mm(23.0), &[mm(24.0)]), -1.0));
    }
}
