//! Parts that have a temperature of their own, and which reading grows with which part.

/// A part, by its number; press fits add two each after these.
pub(super) type Part = usize;

pub(super) const BLOCK: Part = 0;
pub(super) const BORES: Part = 1;
pub(super) const MAIN_HOUSINGS: Part = 2;
pub(super) const CRANK: Part = 3;
pub(super) const RODS: Part = 4;
pub(super) const SHELLS: Part = 5;
pub(super) const CROWNS: Part = 6;
pub(super) const SKIRTS: Part = 7;
pub(super) const PINS: Part = 8;
pub(super) const TOP_RINGS: Part = 9;
pub(super) const SECOND_RINGS: Part = 10;

/// How many parts every engine has.
pub(super) const COUNT: usize = 11;

/// The inner part of the i-th press fit; the outer one follows.
pub(super) const fn press_inner(i: usize) -> Part {
    COUNT + 2 * i
}

/// What its temperature is called in a state, and where its material stands.
pub(super) const fn names(part: Part) -> (&'static str, &'static str) {
    match part {
        BLOCK => ("block", "block"),
        BORES => ("bores", "bores"),
        MAIN_HOUSINGS => ("main_housings", "main_housings"),
        CRANK => ("crank", "crank"),
        RODS => ("rods", "rods"),
        SHELLS => ("shells", "shells"),
        CROWNS => ("crowns", "pistons"),
        SKIRTS => ("skirts", "pistons"),
        PINS => ("pins", "pins"),
        TOP_RINGS => ("top_rings", "rings"),
        SECOND_RINGS => ("second_rings", "rings"),
        _ => ("the press fit", "the press fit"),
    }
}

/// Entries by the beginning of their name, the longer before the shorter: a length that grows with this part.
const BELONGING: [(&str, Part); 23] = [
    ("block.bore_spacing", BLOCK),
    ("block.deck_height", BLOCK),
    ("block.bore", BORES),
    ("block.planned_bore", BORES),
    ("hone stock", BORES),
    ("crank.thrust_bearing_width", MAIN_HOUSINGS),
    ("crank.", CRANK),
    ("rods.length", RODS),
    ("rods.big_end_bore", RODS),
    ("rods.width", RODS),
    ("rods.small_end_bore", RODS),
    ("main_bearings.housing_bore", MAIN_HOUSINGS),
    ("main_bearings.upper_", SHELLS),
    ("main_bearings.lower_", SHELLS),
    ("main_bearings.shell_", SHELLS),
    ("rod_bearings.shell_", SHELLS),
    ("rod_bearings.upper_", SHELLS),
    ("rod_bearings.lower_", SHELLS),
    ("pistons.diameter", SKIRTS),
    ("pistons.pin_bore", SKIRTS),
    ("pistons.", CROWNS),
    ("pins.diameter", PINS),
    ("rings.", CROWNS),
];

/// Parts of the ring itself; the rest of its table is the groove.
const RING_ITSELF: [&str; 3] = [".width", ".radial_thickness", ".gauge_bore"];

/// The part that an entry grows with; none for what does not grow, or is no length.
pub(super) fn belonging(field: &str) -> Option<Part> {
    for (table, part) in [("rings.top", TOP_RINGS), ("rings.second", SECOND_RINGS)] {
        let entry = field.strip_prefix(table);
        if entry.is_some_and(|e| RING_ITSELF.iter().any(|name| e.starts_with(name))) {
            return Some(part);
        }
    }
    if field.contains(".end_gap") {
        return None; // its own growth is below a micrometre
    }
    BELONGING.iter().find(|(start, _)| field.starts_with(start)).map(|(_, part)| *part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_length_knows_its_part() {
        assert_eq!(belonging("block.bore[3]"), Some(BORES));
        assert_eq!(belonging("block.bore_spacing"), Some(BLOCK));
        assert_eq!(belonging("crank.crankpin, crankpin 2"), Some(CRANK));
        assert_eq!(belonging("rings.top.width[1]"), Some(TOP_RINGS));
        assert_eq!(belonging("rings.top.groove_width"), Some(CROWNS));
        assert_eq!(belonging("rings.second.gauge_bore"), Some(SECOND_RINGS));
        assert_eq!(belonging("rings.second.end_gap[2]"), None);
        assert_eq!(belonging("head.gasket_thickness"), None);
        assert_eq!(belonging("pistons.compression_height, cylinder 2"), Some(CROWNS));
    }
}
