//! The figures of the valve train: timing, clearances to piston, bore and each other, springs, cam profile, breathing.

use super::chain::{Chain, NEVER_MET, Place, PlaceKind};
use super::document::Document;
use super::operation::{Machining, Operation, for_ratio, machining};
use super::readings::Point;
use super::terms::What;
use super::valve_keys::{ValveKeys, ValveTrainKeys};
use super::valve_meeting::Meeting;
use super::valve_springs::set;
use crate::error::Result;
use crate::geometry::{Cylinder, trapped_compression_ratio};
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::breathing::{mach_index, mean_gas_speed, speed_of_sound_in_air};
use crate::valvetrain::pocket::{CrankGrid, ValvePair};
use crate::valvetrain::spring::harmonic_frequency_ratio;
use crate::valvetrain::timing::{CamTiming, ValveKind};
use core::f64::consts::PI;
use std::sync::Arc;

const FIELD: &str = "valves";

/// "intake" and "exhaust" as what tells two figures of the engine apart.
fn place_of(v: &ValveKeys) -> Place {
    Place::engine().with(v.kind.name())
}

impl Chain {
    /// All figures of the valve train.
    pub(super) fn add_valves(&mut self, doc: &Document) -> Result<()> {
        let Some(valves) = &doc.valves else { return Ok(()) };
        let keys = Arc::new(ValveTrainKeys::read(valves, doc, &mut self.readings)?);
        // Lobes that never reach the checking lift are refused here, not at the first figure.
        let timing = keys.timing(&Point::new(&self.readings, &self.readings.values));
        timing.map_err(|e| {
            let of_lift = e.field() == Some("checking lift");
            self.readings.place(e, if of_lift { "valves.checking_lift" } else { FIELD })
        })?;
        self.add_timing(&keys);
        for kind in 0..keys.valves.len() {
            self.add_valve(&keys, kind)?;
        }
        self.add_valve_to_valve(&keys);
        self.add_breathing(&keys);
        self.valves = Some(keys);
        Ok(())
    }

    fn add_timing(&mut self, keys: &Arc<ValveTrainKeys>) {
        type Of = fn(&CamTiming) -> Angle;
        let figures: [(What, Of); 11] = [
            (What::IntakeCentreline, |t| t.intake().centreline()),
            (What::ExhaustCentreline, |t| -t.exhaust().centreline()),
            (What::LobeSeparation, |t| t.lobe_separation().on_cam()),
            (What::CamAdvance, CamTiming::advance),
            (What::IntakeOpening, |t| t.intake().events().opening),
            (What::IntakeClosing, |t| t.intake().events().closing),
            (What::ExhaustOpening, |t| t.exhaust().events().opening),
            (What::ExhaustClosing, |t| t.exhaust().events().closing),
            (What::IntakeDuration, |t| t.intake().duration()),
            (What::ExhaustDuration, |t| t.exhaust().duration()),
            (What::ValveOverlap, CamTiming::overlap),
        ];
        for (what, of) in figures {
            let k = keys.clone();
            self.add(what, Place::engine(), "valves.checking_lift", set_cam(keys), move |at| {
                Ok(of(&k.timing(at)?).si())
            });
        }
        if let Some(drive) = keys.drive {
            self.add(What::DriveAdvance, Place::engine(), FIELD, Vec::new(), move |at| {
                Ok(drive.advance(at)?.si())
            });
        }
        for v in &keys.valves {
            let Some(ground) = v.ground else { continue };
            let (v, cuts) = (v.clone(), vec![machining(Operation::SetCam, [v.advance.index])]);
            self.add(What::AdvanceOverGround, place_of(&v), FIELD, cuts, move |at| {
                let ground: Angle = at.get(ground);
                let signed = match v.kind {
                    ValveKind::Intake => ground,
                    ValveKind::Exhaust => -ground,
                };
                Ok((signed - v.crank_centreline(at)?).si())
            });
        }
    }

    /// The figures of one kind of valve.
    fn add_valve(&mut self, keys: &Arc<ValveTrainKeys>, kind: usize) -> Result<()> {
        let Some(v) = keys.valves.get(kind) else { return Ok(()) };
        let lifted = v.clone();
        self.add(What::ValveLift, place_of(v), FIELD, Vec::new(), move |at| {
            Ok(lifted.greatest_lift(at)?.si())
        });
        match v.retainer {
            None => self.lacks(What::RetainerToSeal, &format!("valves.{}.retainer_to_seal", v.kind.name())),
            Some(gap) => {
                let (valve, cuts) = (v.clone(), vec![machining(Operation::CutGuide, [gap.index])]);
                self.add(What::RetainerToSeal, place_of(v), FIELD, cuts, move |at| {
                    Ok((at.get(gap) - valve.greatest_lift(at)?).si())
                });
            }
        }
        self.add_springs(v);
        self.add_cam_profile(v);
        self.add_to_piston(keys, v, kind)
    }

    fn add_springs(&mut self, v: &ValveKeys) {
        if v.springs.is_empty() {
            return self.lacks(What::CoilBindMargin, &format!("valves.{}.springs", v.kind.name()));
        }
        for (i, spring) in v.springs.iter().copied().enumerate() {
            let detail = match v.springs.len() {
                1 => v.kind.name().to_owned(),
                _ => format!("{}, spring {}", v.kind.name(), i + 1),
            };
            let place = || Place::engine().with(detail.clone());
            let cuts = || vec![machining(Operation::SetSpringHeight, [spring.installed.index])];
            let valve = v.clone();
            self.add(What::CoilBindMargin, place(), FIELD, cuts(), move |at| {
                Ok(spring.coil_bind_margin(valve.greatest_lift(at)?, at).si())
            });
            if !spring.has_coils() {
                let field = format!("valves.{}.springs[{}]", v.kind.name(), i + 1);
                self.lacks(
                    What::SpringShearStress,
                    &format!("{field}: wire_diameter, mean_diameter and active_coils"),
                );
            } else {
                let valve = v.clone();
                self.add(What::SpringShearStress, place(), FIELD, cuts(), move |at| {
                    Ok(spring.stress(valve.greatest_lift(at)?, at)?.map_or(f64::NAN, Dimensioned::si))
                });
                if let Some(speed) = self.keys.speed {
                    self.add(What::SpringFrequencyRatio, place(), FIELD, Vec::new(), move |at| {
                        let Some(frequency) = spring.frequency(at)? else { return Ok(f64::NAN) };
                        Ok(harmonic_frequency_ratio(frequency, at.get(speed), 1)?.si())
                    });
                }
            }
        }
        let all = machining(Operation::SetSpringHeight, v.springs.iter().map(|s| s.installed.index));
        let (seated, open) = (v.clone(), v.clone());
        self.add(What::SpringSeatLoad, place_of(v), FIELD, vec![all.clone()], move |at| {
            Ok(set(&seated.springs, at)?.seat_load().si())
        });
        self.add(What::SpringOpenLoad, place_of(v), FIELD, vec![all.clone()], move |at| {
            Ok(set(&open.springs, at)?.load(open.greatest_lift(at)?)?.si())
        });
        let (Some(moving), valve) = (v.moving, v.clone()) else {
            return self.lacks(What::FloatSpeed, &format!("valves.{}.moving", v.kind.name()));
        };
        self.add(What::FloatSpeed, place_of(v), FIELD, vec![all], move |at| {
            let motion = valve.motion_on_cam(at)?;
            let control = valve.control(&moving, at)?;
            Ok(control.float_speed(|cam| Ok(motion(cam)))?.crank.si())
        });
    }

    fn add_cam_profile(&mut self, v: &ValveKeys) {
        let Some(profile) = v.profile else {
            return self.lacks(What::LeastCamRadius, &format!("valves.{}.lobe.follower", v.kind.name()));
        };
        let curve = v.curve.clone();
        self.add(What::LeastCamRadius, place_of(v), FIELD, Vec::new(), move |at| {
            Ok(profile.least_radius(&curve, at)?.si())
        });
        if profile.roller.is_some() {
            let curve = v.curve.clone();
            self.add(What::CamPressureAngle, place_of(v), FIELD, Vec::new(), move |at| {
                Ok(profile.pressure_angle(&curve, at)?.map_or(f64::NAN, Dimensioned::si))
            });
        }
    }

    /// Clearance of one kind of valve to piston, pocket wall and bore, in each cylinder.
    fn add_to_piston(&mut self, keys: &Arc<ValveTrainKeys>, v: &ValveKeys, kind: usize) -> Result<()> {
        let what = match v.kind {
            ValveKind::Intake => What::IntakeValveToPiston,
            ValveKind::Exhaust => What::ExhaustValveToPiston,
        };
        let needs = v.needs_for_head();
        if !needs.is_empty() {
            self.lacks(what, &needs);
            return Ok(());
        }
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let Some((piston, ways)) = self.piston_to_head_of(i) else {
                self.lacks(what, "what piston-to-head needs");
                return Ok(());
            };
            let place = || Place::nth(PlaceKind::Cylinder, i);
            let mut cuts: Vec<Machining> = Vec::new();
            cuts.extend(
                v.pocket
                    .as_ref()
                    .and_then(|p| p.depths.get(i))
                    .map(|k| machining(Operation::DeepenPocket, [k.index])),
            );
            cuts.push(machining(Operation::SetCam, [v.advance.index]));
            cuts.extend(ways);
            let at_piston = Arc::new(Meeting::new(keys.clone(), kind, (i, c), piston));
            let m = at_piston.clone();
            self.add(what, place(), FIELD, cuts, move |at| {
                Ok(m.least(at)?.map_or(f64::NAN, |l| l.clearance.si()))
            });
            self.add_to_walls(&at_piston, v.kind.name(), place())?;
        }
        for what in [What::ValveToPocketWall, What::ValveToBore] {
            if !self.figures.iter().any(|f| f.what == what) {
                self.lacks(what, NEVER_MET);
            } else {
                self.not_computed.retain(|n| n.term != what.term().term);
            }
        }
        Ok(())
    }

    /// Clearance to the wall of the pocket, where the head comes below the crown, and to the bore.
    fn add_to_walls(&mut self, meeting: &Arc<Meeting>, kind: &'static str, place: Place) -> Result<()> {
        for (what, pocket) in [(What::ValveToPocketWall, true), (What::ValveToBore, false)] {
            let at = Point::new(&self.readings, &self.readings.values);
            // What is wrong elsewhere is told where that is evaluated.
            let there = match meeting.least_wall(&at, pocket) {
                Ok(found) => found.is_some(),
                Err(e) if e.field().is_some_and(|f| f.contains("pocket")) => {
                    return Err(self.readings.place(e, &format!("{FIELD}.{kind}.pocket")));
                }
                Err(_) => true,
            };
            if there {
                let m = meeting.clone();
                self.add(what, place.clone().with(kind), FIELD, Vec::new(), move |at| {
                    Ok(m.least_wall(at, pocket)?.unwrap_or(f64::NAN))
                });
            }
        }
        Ok(())
    }

    /// How far the crown of a cylinder stays from the head, and what changes it; none where it is not known.
    pub(super) fn piston_to_head_of(
        &self,
        cylinder: usize,
    ) -> Option<(super::chain::Formula, Vec<Machining>)> {
        let here = |f: &&super::chain::Figure| {
            f.what == What::PistonToHead && f.state.is_none() && f.place.index == Some(cylinder + 1)
        };
        let figure = self.figures.iter().find(here)?;
        Some((figure.formula.clone(), figure.cuts.clone()))
    }

    fn add_valve_to_valve(&mut self, keys: &Arc<ValveTrainKeys>) {
        let needs: Vec<String> =
            keys.valves.iter().map(ValveKeys::needs_for_head).filter(|n| !n.is_empty()).collect();
        if !needs.is_empty() || keys.turned.is_none() {
            let turned = keys.turned.is_none().then(|| "valves.turned".to_owned());
            return self
                .lacks(What::ValveToValve, &needs.into_iter().chain(turned).collect::<Vec<_>>().join(", "));
        }
        let (Some(turned), k) = (keys.turned, keys.clone()) else { return };
        self.add(What::ValveToValve, Place::engine(), FIELD, set_cam(keys), move |at| {
            let [intake, exhaust] = &k.valves;
            let (Some(first), Some(second)) = (intake.valve_head(at)?, exhaust.valve_head(at)?) else {
                return Ok(f64::NAN);
            };
            let (a, b) = (intake.motion(at)?, exhaust.motion(at)?);
            let apart = |second| -> Result<Length> {
                let pair = ValvePair::new(first, second, turned)?;
                let seated = || Ok(pair.distance(Length::from_si(0.0), Length::from_si(0.0))?.at_least);
                pair.least(CrankGrid::new(360)?, &a, &b)?.map_or_else(seated, |l| Ok(l.least.at_least))
            };
            let given = apart(second)?;
            // Where a cylinder has two of a kind, the other stands mirrored.
            let mirrored = intake.count.max(exhaust.count) > 1;
            let least = if mirrored { given.min(apart(second.mirrored())?) } else { given };
            Ok(least.si())
        });
    }

    /// What the intake valves let through, and the compression ratio that their closing leaves.
    fn add_breathing(&mut self, keys: &Arc<ValveTrainKeys>) {
        self.add_trapped_ratio(keys);
        let (Some(speed), Some(_)) = (self.keys.speed, keys.intake().seat) else {
            let mut needs = keys.intake().needs_for_seat();
            if self.keys.speed.is_none() {
                needs.push("engine.speed".into());
            }
            return self.lacks(What::IntakeGasSpeed, &needs.join(", "));
        };
        let Some(c) = self.keys.cylinders.first().copied() else { return };
        let k = keys.clone();
        self.add(What::IntakeGasSpeed, Place::engine(), FIELD, Vec::new(), move |at| {
            let cylinder = c.cylinder(at)?;
            let Some(poppet) = k.intake().poppet(at)? else { return Ok(f64::NAN) };
            let all = poppet.throat_area() * k.intake().count as f64;
            Ok(mean_gas_speed(cylinder.mean_piston_speed(at.get(speed)), cylinder.area(), all)?.si())
        });
        let (Some(air), Some(flow), Some(head)) = (keys.air, keys.flow, keys.intake().head_diameter()) else {
            return self.lacks(What::IntakeMachIndex, "valves.air_temperature, valves.flow_coefficient");
        };
        let count = keys.intake().count as f64;
        self.add(What::IntakeMachIndex, Place::engine(), FIELD, Vec::new(), move |at| {
            let (cylinder, head) = (c.cylinder(at)?, at.get(head));
            let all = head * head * (core::f64::consts::FRAC_PI_4 * count);
            let gas = mean_gas_speed(cylinder.mean_piston_speed(at.get(speed)), cylinder.area(), all)?;
            Ok(mach_index(gas, at.get(flow), speed_of_sound_in_air(at.get(air))?)?.si())
        });
    }

    /// The trapped compression ratio by the cam, where the document does not state the closing itself.
    fn add_trapped_ratio(&mut self, keys: &Arc<ValveTrainKeys>) {
        if self.keys.intake_closing.is_some() {
            return;
        }
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let Ok(volumes) = c.volumes() else { return };
            let (k, place) = (keys.clone(), Place::nth(PlaceKind::Cylinder, i));
            let cuts = for_ratio(&self.keys.cylinders, &c);
            self.add(What::TrappedCompressionRatio, place, FIELD, cuts, move |at| {
                let cylinder = c.cylinder(at)?;
                let closing = k.closing_after_lowest(&cylinder, at)?;
                let clearance = c.clearance_volume(volumes, at)?.total()?;
                Ok(trapped_compression_ratio(&cylinder, clearance, closing)?.si())
            });
        }
        let term = What::TrappedCompressionRatio.term().term;
        self.not_computed.retain(|n| n.term != term);
    }
}

impl ValveTrainKeys {
    /// Where the intake closes, from where the piston of a cylinder is lowest. A wheel counts from half a turn after top dead centre; with an offset pin the piston is
    /// lowest a little aside.
    pub(super) fn closing_after_lowest(&self, cylinder: &Cylinder, at: &Point<'_>) -> Result<Angle> {
        let lowest = cylinder.bottom_dead_centre() - cylinder.top_dead_centre();
        Ok(self.timing(at)?.intake().events().closing + Angle::from_si(PI) - lowest)
    }
}

/// What sets the cam, or both.
fn set_cam(keys: &Arc<ValveTrainKeys>) -> Vec<Machining> {
    let [intake, exhaust] = &keys.valves;
    let mut ways = vec![machining(Operation::SetCam, [intake.advance.index])];
    if exhaust.advance.index != intake.advance.index {
        ways.push(machining(Operation::SetCam, [exhaust.advance.index]));
    }
    ways
}
