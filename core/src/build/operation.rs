//! What a machine, a file or a choice of parts can change, how far, and what to mind.

use super::keys::CylinderKeys;

/// One way to change readings: all of them by the same amount.
#[derive(Debug, Clone)]
pub(super) struct Machining {
    pub(super) operation: Operation,
    /// The readings it moves.
    pub(super) keys: Vec<usize>,
}

/// An operation of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operation {
    MillDeck,
    ChooseGasket,
    MillHead,
    OpenChamber,
    CutCrown,
    FaceCrown,
    FileRing,
    HoneBore,
    GrindJournal,
    HoneHousing,
    ChooseShell,
    HonePinBore,
    OpenPressBore,
    DeepenPocket,
    SetCam,
    SetSpringHeight,
    CutGuide,
}

const MM: f64 = 1e-3;
const CM3: f64 = 1e-6;

impl Operation {
    /// What it is called.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::MillDeck => "mill the deck",
            Self::ChooseGasket => "choose another gasket thickness",
            Self::MillHead => "mill the head face (all chambers of the bank by this volume)",
            Self::OpenChamber => "open up the chamber",
            Self::CutCrown => "cut the crown (deeper dish or lower dome)",
            Self::FaceCrown => "face the crown (less compression height)",
            Self::FileRing => "file the ring gap",
            Self::HoneBore => "hone the bore",
            Self::GrindJournal => "grind the journal undersize",
            Self::HoneHousing => "hone the housing bore",
            Self::ChooseShell => "choose shells of another wall thickness (both halves alike)",
            Self::HonePinBore => "hone the pin bore or bush",
            Self::OpenPressBore => "open up the bore of the press fit",
            Self::DeepenPocket => "deepen the valve pocket",
            Self::SetCam => "set the cam to another advance (crank degrees, retard below zero)",
            Self::SetSpringHeight => "shim the spring or cut its seat (another installed height)",
            Self::CutGuide => "shorten the valve guide",
        }
    }

    /// How far a reading may be moved, SI, as (least, greatest) change. Common practice, no source: the parts maker's
    /// limits come first.
    pub(super) const fn reach(self) -> (f64, f64) {
        match self {
            Self::MillDeck => (-1.5 * MM, 0.0),
            Self::ChooseGasket => (-1.5 * MM, 1.5 * MM),
            Self::MillHead => (-8.0 * CM3, 0.0),
            Self::OpenChamber => (0.0, 8.0 * CM3),
            Self::CutCrown => (0.0, 10.0 * CM3),
            Self::FaceCrown => (-MM, 0.0),
            Self::FileRing => (0.0, MM),
            Self::HoneBore => (0.0, 0.15 * MM),
            Self::GrindJournal => (-MM, 0.0),
            Self::HoneHousing => (0.0, 0.05 * MM),
            Self::ChooseShell => (-0.5 * MM, 0.5 * MM),
            Self::HonePinBore => (0.0, 0.05 * MM),
            Self::OpenPressBore => (0.0, 0.5 * MM),
            Self::DeepenPocket => (0.0, 3.0 * MM),
            Self::SetCam => (-0.21, 0.21), // 12 deg of the crank
            Self::SetSpringHeight => (-2.0 * MM, 2.0 * MM),
            Self::CutGuide => (0.0, 2.0 * MM),
        }
    }

    /// Whether its name says which way it goes, so that an amount needs no sign.
    pub(super) const fn one_way(self) -> bool {
        !matches!(self, Self::ChooseGasket | Self::ChooseShell | Self::SetCam | Self::SetSpringHeight)
    }

    /// What can go wrong or hurt; common practice, no source.
    pub(super) const fn hazard(self) -> &'static str {
        match self {
            Self::MillDeck | Self::MillHead => {
                "Clamp heavy castings and lift them with tested gear; guard the cutter. Check valve-to-piston clearance, gasket step and intake alignment, and the casting's least thickness, afterwards."
            }
            Self::ChooseGasket => {
                "Check piston-to-head and valve-to-piston distance with the clamped thickness; the gasket maker's range and the head bolt's torque procedure come first."
            }
            Self::OpenChamber | Self::CutCrown | Self::FaceCrown => {
                "Crowns and chambers thin to breaking: keep the maker's least thickness over ring lands, pockets and water jackets. Guard the cutter; wear eye protection; weigh the parts again."
            }
            Self::FileRing => {
                "File one end, square, towards the outside face, and take the burr off; rings have sharp edges and break: wear eye protection. A gap cannot be made smaller."
            }
            Self::HoneBore => {
                "Hone under a torque plate; check wall thickness and ring gaps again. Moving parts and stones: guards and eye protection; wash out all grit."
            }
            Self::GrindJournal => {
                "Keep the fillet radius and hardened depth, and use the undersize shells that belong to it, or this only adds clearance; crack-test afterwards. A spinning crank needs guards. The maker's undersizes come first."
            }
            Self::HoneHousing => {
                "Shell crush depends on the housing bore: stay inside the bearing maker's housing limits. Caps torqued by the maker's procedure; guards and eye protection."
            }
            Self::HonePinBore => {
                "Hone in small steps and measure at the same temperature as the pin; a bush that is too loose is replaced, not shimmed. Eye protection; wash out all grit."
            }
            Self::OpenPressBore => {
                "A loose seat or liner wrecks the engine: keep the maker's least interference, hot too. Presses crush and hot parts burn: tested press, guards, gloves, eye protection."
            }
            Self::DeepenPocket => {
                "Keep the piston maker's least thickness under the pocket and over the ring land; the crown volume grows by what is cut, so measure it again. Guard the cutter; wear eye protection; weigh the pistons again."
            }
            Self::SetCam => {
                "Degree the cam again after setting it and turn the engine over two full turns by hand before anything else: a valve that meets a piston wrecks both. The camshaft maker's advice comes first."
            }
            Self::SetSpringHeight => {
                "Springs store energy: compress them in a proper tool, wear eye protection. Seat and open load, coil bind and float change together; keep the spring maker's range and the casting's thickness under the seat."
            }
            Self::CutGuide => "Keep enough guide for the stem and fit the seal again; wash out all chips.",
            Self::ChooseShell => {
                "Only wall grades the bearing maker sells for this housing and journal; measure again with caps torqued by the maker's procedure."
            }
        }
    }
}

pub(super) fn machining(operation: Operation, keys: impl IntoIterator<Item = usize>) -> Machining {
    Machining {
        operation,
        keys: keys.into_iter().collect::<std::collections::BTreeSet<_>>().into_iter().collect(),
    }
}

/// The readings of all cylinders on the bank of this one.
fn on_bank<'a>(
    all: &'a [CylinderKeys],
    bank: usize,
    key: impl Fn(&CylinderKeys) -> Option<usize> + 'a,
) -> impl Iterator<Item = usize> + 'a {
    all.iter().filter(move |c| c.bank == bank).filter_map(key)
}

/// What moves the piston against deck and head.
pub(super) fn for_deck(all: &[CylinderKeys], c: &CylinderKeys, gasket: bool) -> Vec<Machining> {
    let mut ways = vec![
        machining(Operation::MillDeck, on_bank(all, c.bank, |c| c.deck_height.map(|k| k.index))),
        machining(Operation::FaceCrown, c.compression_height.map(|k| k.index)),
    ];
    if gasket {
        ways.push(machining(Operation::ChooseGasket, c.gasket_thickness.map(|k| k.index)));
    }
    ways
}

/// What moves the compression ratio.
pub(super) fn for_ratio(all: &[CylinderKeys], c: &CylinderKeys) -> Vec<Machining> {
    vec![
        machining(Operation::OpenChamber, c.chamber.map(|k| k.index)),
        machining(Operation::MillHead, on_bank(all, c.bank, |c| c.chamber.map(|k| k.index))),
        machining(Operation::CutCrown, c.crown.map(|k| k.index)),
        machining(Operation::MillDeck, on_bank(all, c.bank, |c| c.deck_height.map(|k| k.index))),
        machining(Operation::ChooseGasket, c.gasket_thickness.map(|k| k.index)),
    ]
}
