//! What every sheet says before anyone acts on it.

/// Printed on every sheet.
pub(super) const CAUTIONS: [&str; 6] = [
    "Every figure is arithmetic on what was typed. A wrong reading gives a wrong figure; measure again before cutting.",
    "The parts maker's limits and procedures, local codes, and the judgement of a licensed or qualified person come first.",
    "Metal that is cut off does not come back: check the proposed cut by hand and against the least material the maker allows.",
    "Castings, cranks and presses crush; cutters and spinning parts catch. Use tested lifting gear, guards and eye protection.",
    "Heated, cooled and pressed parts burn, jump and shatter: gloves, eye protection, a guarded press. A bolt past its proof load is replaced, not trusted.",
    "Fasteners are torqued by their maker's procedure. Fuel, hot parts and first start-up need a fire extinguisher and clear space.",
];
