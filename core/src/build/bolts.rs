//! The figures of bolts: preload by torque, by stretch and by turn, what is left of the proof load, what the joint holds.

use super::chain::{Chain, Place, PlaceKind};
use super::document::{Document, Text};
use super::readings::{Allowed, Key, Point};
use super::sections::Bolt;
use super::terms::What;
use crate::clearance::{
    BoltFriction, BoltedJoint, PropertyClass, ShankStep, Thread, angled_clamp, preload_from_stretch,
    preload_from_turn, shank_stiffness,
};
use crate::error::{Error, Result};
use crate::units::{Angle, Area, Dimensioned, Force, Length, Pressure, Ratio, Torque};
use core::f64::consts::PI;

/// What a bolt's preload is found from.
#[derive(Clone)]
enum Preload {
    Torque { torque: Key<Torque>, friction: FrictionKeys },
    Stretch(Key<Length>),
    Turn(Key<Angle>),
}

#[derive(Clone, Copy)]
struct FrictionKeys {
    thread: Key<Ratio>,
    head: Key<Ratio>,
    diameter: Key<Length>,
}

/// The preload that a joint is reckoned with.
#[derive(Clone)]
enum Known {
    Whole(Preload),
    /// No more than the proof load.
    Capped(Preload, ProofStress),
}

impl Known {
    fn preload(&self, keys: &BoltKeys, at: &Point<'_>) -> Result<Force> {
        match self {
            Self::Whole(way) => keys.preload(way, at),
            Self::Capped(way, proof) => Ok(keys.preload(way, at)?.min(keys.thread.proof_load(proof(at))?)),
        }
    }
}

/// The readings of one bolt.
#[derive(Clone)]
struct BoltKeys {
    thread: Thread,
    /// Lengths of the shank's steps; a step without a diameter carries on the stress area.
    steps: Vec<(Key<Length>, Option<Key<Length>>)>,
    young: Option<Key<Pressure>>,
    parts: Option<Key<Ratio>>,
}

impl BoltKeys {
    fn steps(&self, at: &Point<'_>) -> Vec<ShankStep> {
        let step = |(length, diameter): &(Key<Length>, Option<Key<Length>>)| {
            let round = |d: Length| Area::from_si(d.si() * d.si() * PI / 4.0);
            let area = diameter.map_or(self.thread.stress_area(), |d| round(at.get(d)));
            ShankStep { length: at.get(*length), area }
        };
        self.steps.iter().map(step).collect()
    }

    fn stiffness(&self, at: &Point<'_>) -> Result<f64> {
        let young = self.young.map_or(Pressure::from_si(f64::NAN), |k| at.get(k));
        shank_stiffness(&self.steps(at), young)
    }

    fn preload(&self, way: &Preload, at: &Point<'_>) -> Result<Force> {
        match way {
            Preload::Torque { torque, friction } => {
                let f = BoltFriction::new(
                    at.get(friction.thread),
                    at.get(friction.head),
                    at.get(friction.diameter),
                )?;
                self.thread.preload_from_torque(at.get(*torque), &f)
            }
            Preload::Stretch(stretch) => {
                let young = self.young.map_or(Pressure::from_si(f64::NAN), |k| at.get(k));
                preload_from_stretch(at.get(*stretch), &self.steps(at), young)
            }
            Preload::Turn(turn) => {
                let bolt = self.stiffness(at)?;
                let parts = self.parts.map(|k| at.get(k).si() * bolt);
                preload_from_turn(at.get(*turn), self.thread.pitch(), bolt, parts)
            }
        }
    }
}

impl Chain {
    /// All figures of all bolts.
    pub(super) fn add_bolts(&mut self, doc: &Document) -> Result<()> {
        for (i, bolt) in doc.bolts.iter().enumerate() {
            let field = format!("bolts[{}]", i + 1);
            let first = self.figures.len();
            self.add_bolt(i, bolt, &field)?;
            self.set_limits_from(first, &bolt.limits, &format!("{field}.limits"))?;
        }
        Ok(())
    }

    fn add_bolt(&mut self, i: usize, bolt: &Bolt, field: &str) -> Result<()> {
        if bolt.name.trim().is_empty() {
            let error =
                Error::OutOfRange { field: "name".into(), value: "empty".into(), allowed: "a name".into() };
            return Err(self.readings.place(error, &format!("{field}.name")));
        }
        let place = Place::named(PlaceKind::Bolt, i, &bolt.name);
        let keys = self.bolt_keys(bolt, field)?;
        let proof = self.proof_stress(bolt, &keys.thread, field)?;
        let ways = self.preloads(bolt, &keys, field)?;
        let Some((_, best)) = ways.last().cloned() else {
            self.lacks(
                What::BoltPreload,
                &format!("{field}.torque with friction, .stretch or .turn with the shank"),
            );
            return Ok(());
        };
        for (word, way) in ways {
            let p = place.clone().with(word);
            let (k, w) = (keys.clone(), way.clone());
            self.add(What::BoltPreload, p.clone(), "bolts", Vec::new(), move |at| {
                Ok(k.preload(&w, at)?.si())
            });
            if let Some(proof) = proof.clone() {
                let k = keys.clone();
                self.add(What::BoltProofShare, p, "bolts", Vec::new(), move |at| {
                    Ok((k.preload(&way, at)? / k.thread.proof_load(proof(at))?).si())
                });
            }
        }
        let best = match &proof {
            Some(proof) => Known::Capped(best, proof.clone()),
            None => Known::Whole(best),
        };
        self.add_joint(bolt, field, &place, keys, best)
    }

    /// What the joint holds, from the surest way to know the preload; past the proof load it is taken at the proof load, for a bolt that yields
    /// holds no more.
    fn add_joint(
        &mut self,
        bolt: &Bolt,
        field: &str,
        place: &Place,
        keys: BoltKeys,
        best: Known,
    ) -> Result<()> {
        let one = |chain: &mut Self, name: &str, text: &Option<Text>| {
            chain.readings.maybe::<Force>(&format!("{field}.{name}"), text, Allowed::Positive)
        };
        let outer = one(self, "outer_load", &bolt.outer_load)?;
        let right = PI / 2.0;
        let allowed = Allowed::Between(-right, right, "within 90 deg of the normal");
        let angle: Option<Key<Angle>> =
            self.readings.maybe(&format!("{field}.angle"), &bolt.angle, allowed)?;
        if let Some(angle) = angle {
            let (k, w) = (keys.clone(), best.clone());
            self.add(What::BoltClampingForce, place.clone(), "bolts", Vec::new(), move |at| {
                Ok(angled_clamp(w.preload(&k, at)?, at.get(angle))?.0.si())
            });
            let (k, w) = (keys.clone(), best.clone());
            self.add(What::BoltSidePull, place.clone(), "bolts", Vec::new(), move |at| {
                Ok(angled_clamp(w.preload(&k, at)?, at.get(angle))?.1.si())
            });
        }
        let Some(parts) = keys.parts else { return Ok(()) };
        let joint = move |at: &Point<'_>| -> Result<BoltedJoint> {
            BoltedJoint::new(best.preload(&keys, at)?, Ratio::from_si(1.0), at.get(parts))
        };
        let joint = std::sync::Arc::new(joint);
        let j = joint.clone();
        self.add(What::BoltSeparationLoad, place.clone(), "bolts", Vec::new(), move |at| {
            Ok(j(at)?.separation_load().si())
        });
        let Some(outer) = outer else { return Ok(()) };
        let j = joint.clone();
        self.add(What::BoltLoad, place.clone(), "bolts", Vec::new(), move |at| {
            Ok(j(at)?.bolt_load(at.get(outer))?.si())
        });
        let j = joint.clone();
        self.add(What::BoltSeparationMargin, place.clone(), "bolts", Vec::new(), move |at| {
            Ok((j(at)?.separation_load() / at.get(outer)).si())
        });
        self.add(What::BoltClampLeft, place.clone(), "bolts", Vec::new(), move |at| {
            Ok(joint(at)?.clamp_load(at.get(outer))?.si())
        });
        Ok(())
    }

    fn bolt_keys(&mut self, bolt: &Bolt, field: &str) -> Result<BoltKeys> {
        let thread =
            Thread::parse(&bolt.thread).map_err(|e| self.readings.place(e, &format!("{field}.thread")))?;
        let diameters = format!("{field}.step_diameters");
        self.readings.exact_length(
            &diameters,
            bolt.step_diameters.len(),
            bolt.step_lengths.len(),
            "step length",
        )?;
        let mut steps = Vec::new();
        for (i, (length, diameter)) in bolt.step_lengths.iter().zip(&bolt.step_diameters).enumerate() {
            let r = &mut self.readings;
            let length = r.one(&format!("{field}.step_lengths[{}]", i + 1), length, Allowed::Positive)?;
            let diameter = match diameter.0.trim() {
                "thread" => None,
                _ => Some(r.one(&format!("{diameters}[{}]", i + 1), diameter, Allowed::Positive)?),
            };
            steps.push((length, diameter));
        }
        let r = &mut self.readings;
        Ok(BoltKeys {
            thread,
            steps,
            young: r.maybe(&format!("{field}.young"), &bolt.young, Allowed::Positive)?,
            parts: r.maybe(
                &format!("{field}.parts_over_bolt_stiffness"),
                &bolt.parts_over_bolt_stiffness,
                Allowed::Positive,
            )?,
        })
    }

    /// The ways to know the preload that the document gives enough for, the surest last.
    fn preloads(
        &mut self,
        bolt: &Bolt,
        keys: &BoltKeys,
        field: &str,
    ) -> Result<Vec<(&'static str, Preload)>> {
        use Allowed::Positive;
        let r = &mut self.readings;
        let name = |entry: &str| format!("{field}.{entry}");
        let torque = r.maybe(&name("torque"), &bolt.torque, Positive)?;
        let friction = Allowed::Between(0.0, 1.0, "above 0 and below 1");
        let thread = r.maybe(&name("thread_friction"), &bolt.thread_friction, friction)?;
        let head = r.maybe(&name("head_friction"), &bolt.head_friction, friction)?;
        let least = keys.thread.diameter();
        let words = "above the thread's diameter: the mean of the bearing face";
        let face = Allowed::Between(least.si(), 10.0 * least.si(), words);
        let diameter = r.maybe(&name("head_diameter"), &bolt.head_diameter, face)?;
        let turn = r.maybe(&name("turn"), &bolt.turn, Positive)?;
        let stretch = r.maybe(&name("stretch"), &bolt.stretch, Positive)?;
        let mut ways = Vec::new();
        if let Some(torque) = torque {
            match (thread, head, diameter) {
                (Some(thread), Some(head), Some(diameter)) => ways.push((
                    "by torque",
                    Preload::Torque { torque, friction: FrictionKeys { thread, head, diameter } },
                )),
                _ => self.lacks(
                    What::BoltPreload,
                    &format!("by torque: {field}.thread_friction, .head_friction, .head_diameter"),
                ),
            }
        }
        let shank = !keys.steps.is_empty() && keys.young.is_some();
        if (turn.is_some() || stretch.is_some()) && !shank {
            self.lacks(
                What::BoltPreload,
                &format!("by turn or stretch: {field}.step_lengths, .step_diameters, .young"),
            );
        }
        if turn.is_some() && shank && keys.parts.is_none() {
            self.lacks(What::BoltPreload, &format!("by turn: {field}.parts_over_bolt_stiffness"));
        }
        if let Some(turn) = turn.filter(|_| shank && keys.parts.is_some()) {
            ways.push(("by turn", Preload::Turn(turn)));
        }
        if let Some(stretch) = stretch.filter(|_| shank) {
            ways.push(("by stretch", Preload::Stretch(stretch)));
        }
        Ok(ways)
    }

    /// The proof stress, stated or of the property class.
    fn proof_stress(&mut self, bolt: &Bolt, thread: &Thread, field: &str) -> Result<Option<ProofStress>> {
        let at = format!("{field}.proof_stress");
        let stated = self.readings.maybe::<Pressure>(&at, &bolt.proof_stress, Allowed::Positive)?;
        match (stated, &bolt.property_class) {
            (Some(_), Some(_)) => {
                let remedy = "a property class or a proof stress, not both".into();
                Err(self.readings.place(Error::UnknownKey { field: at.clone(), remedy }, &at))
            }
            (Some(key), None) => Ok(Some(std::sync::Arc::new(move |p: &Point<'_>| p.get(key)))),
            (None, Some(name)) => {
                let class = PropertyClass::named(name)
                    .map_err(|e| self.readings.place(e, &format!("{field}.property_class")))?;
                let stress = class.proof_stress(thread.diameter());
                Ok(Some(std::sync::Arc::new(move |_: &Point<'_>| stress)))
            }
            (None, None) => {
                self.lacks(What::BoltProofShare, &format!("{field}.property_class or .proof_stress"));
                Ok(None)
            }
        }
    }
}

type ProofStress = std::sync::Arc<dyn Fn(&Point<'_>) -> Pressure + Send + Sync>;
