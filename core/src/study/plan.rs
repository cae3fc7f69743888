//! The steps from figures to outputs, and where in the grid each is known. Every step is one of the library's formulas.

use super::figure::{Figure, ValveFigures};
use super::output::Output;
use super::valves;
use super::wide::{Work, wide};
use crate::balance::shaking::{ShakingCylinder, ShakingEngine, order_of_force};
use crate::error::Result;
use crate::geometry::compression::{ClearanceVolume, disc_volume, ratio_of};
use crate::geometry::{Cylinder, Layout, Station, deck_clearance, piston_to_head, wall_between_bores};
use crate::units::{Angle, AngularVelocity, Dimensioned, Length, Mass, Volume};
use crate::valvetrain::ValveKind;

/// What a step takes or gives: a figure of the design, a volume on the way, or an output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Value {
    Figure(Figure),
    GasketVolume,
    DeckVolume,
    /// Greatest lift along the bore.
    Rise(ValveKind),
    /// Crank angle of greatest lift, with the cam advanced.
    Centre(ValveKind),
    /// How far the piston stands below the valve where it is nearest, were the gap at the seat none.
    Below(ValveKind),
    Output(Output),
}

/// The most values a step takes.
pub(super) const MOST_INPUTS: usize = 7;

/// What of a study decides which figures a step needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Shape {
    /// The pin may be offset.
    pub(super) offset: bool,
    /// The deck clearance is given, and the deck height follows.
    pub(super) deck_follows: bool,
}

fn length(x: f64) -> Length {
    Length::from_si(x)
}

#[inline]
fn cylinder([bore, stroke, rod, offset]: [f64; 4]) -> Cylinder {
    Cylinder::unchecked(length(bore), length(stroke), length(rod), length(offset))
}

/// No part in a formula that does not use it.
const ANY: f64 = 1.0;

impl Value {
    /// The values a step takes; a figure takes none.
    pub(super) fn inputs(self, shape: Shape) -> Vec<Value> {
        use Figure as F;
        use Output as O;
        let of = |figures: &[Figure]| figures.iter().map(|f| Self::Figure(*f)).collect::<Vec<_>>();
        // Rod and offset have no part in travel and the like without an offset.
        let with_rod = |first: &[Figure], last: &[Figure]| {
            let rod: &[Figure] = if shape.offset { &[F::RodLength, F::PinOffset] } else { &[] };
            of(&[first, rod, last].concat())
        };
        let with_offset = |first: &[Figure], last: &[Figure]| {
            let offset: &[Figure] = if shape.offset { &[F::PinOffset] } else { &[] };
            of(&[first, offset, last].concat())
        };
        let deck = match shape.deck_follows {
            true => Self::Figure(F::DeckClearance),
            false => Self::Output(O::DeckClearance),
        };
        match self {
            Self::Figure(_) => Vec::new(),
            Self::GasketVolume => of(&[F::GasketBore, F::GasketThickness]),
            Self::DeckVolume => vec![Self::Figure(F::Bore), deck],
            Self::Rise(valve) => {
                let figures = ValveFigures::of(valve);
                of(&[figures.lift, figures.valve_angle])
            }
            Self::Centre(valve) => of(&[ValveFigures::of(valve).centreline, F::CamAdvance]),
            Self::Below(valve) => {
                let mut all = Self::inputs_of_search(valve);
                all.push(Self::Output(match valve {
                    ValveKind::Intake => O::IntakePistonToValveAngle,
                    ValveKind::Exhaust => O::ExhaustPistonToValveAngle,
                }));
                all
            }
            Self::Output(output) => match output {
                O::SweptVolume => with_rod(&[F::Bore, F::Stroke], &[]),
                O::Displacement => vec![Self::Output(O::SweptVolume), Self::Figure(F::Cylinders)],
                O::DeckClearance if shape.deck_follows => of(&[F::DeckClearance]),
                O::DeckClearance => {
                    with_offset(&[F::Stroke, F::RodLength], &[F::DeckHeight, F::CompressionHeight])
                }
                O::PistonToHead => vec![deck, Self::Figure(F::GasketThickness)],
                O::ClearanceVolume => vec![
                    Self::Figure(F::ChamberVolume),
                    Self::Figure(F::CrownVolume),
                    Self::GasketVolume,
                    Self::DeckVolume,
                    Self::Figure(F::CreviceVolume),
                ],
                O::CompressionRatio => vec![Self::Output(O::SweptVolume), Self::Output(O::ClearanceVolume)],
                O::TrappedCompressionRatio => {
                    let mut all = of(&[F::Bore, F::Stroke, F::RodLength, F::PinOffset, F::IntakeClosing]);
                    all.push(Self::Output(O::ClearanceVolume));
                    all
                }
                O::RodRatio => of(&[F::RodLength, F::Stroke]),
                O::BoreStrokeRatio => of(&[F::Bore, F::Stroke]),
                O::MeanPistonSpeed => with_rod(&[F::Stroke], &[F::Speed]),
                O::PeakAcceleration => with_offset(&[F::Stroke, F::RodLength], &[F::Speed]),
                O::WallBetweenBores => of(&[F::BoreSpacing, F::Bore]),
                O::PeakRodAngle => of(&[F::Stroke, F::RodLength, F::PinOffset]),
                O::PeakInertiaForce => {
                    vec![Self::Figure(F::ReciprocatingMass), Self::Output(O::PeakAcceleration)]
                }
                O::FirstOrderForce | O::SecondOrderForce => {
                    let factor = match output {
                        O::FirstOrderForce => F::FirstOrderFactor,
                        _ => F::SecondOrderFactor,
                    };
                    of(&[F::Stroke, F::RodLength, F::PinOffset, F::Speed, F::ReciprocatingMass, factor])
                }
                O::IntakePistonToValve => {
                    vec![Self::Figure(F::IntakeStaticClearance), Self::Below(ValveKind::Intake)]
                }
                O::ExhaustPistonToValve => {
                    vec![Self::Figure(F::ExhaustStaticClearance), Self::Below(ValveKind::Exhaust)]
                }
                O::IntakePistonToValveAngle => Self::inputs_of_search(ValveKind::Intake),
                O::ExhaustPistonToValveAngle => Self::inputs_of_search(ValveKind::Exhaust),
            },
        }
    }

    /// What the search over the angles takes.
    fn inputs_of_search(valve: ValveKind) -> Vec<Self> {
        use Figure as F;
        let mut all = [F::Stroke, F::RodLength, F::PinOffset].map(Self::Figure).to_vec();
        all.extend([Self::Rise(valve), Self::Figure(ValveFigures::of(valve).duration), Self::Centre(valve)]);
        all
    }

    /// One design: the value from what it takes, in the order of [`Value::inputs`].
    pub(super) fn one(self, shape: Shape, inputs: &[f64]) -> f64 {
        let mut out = [f64::NAN];
        let mut slices: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
        for (slice, value) in slices.iter_mut().zip(inputs) {
            *slice = core::slice::from_ref(value);
        }
        self.fill(shape, &slices, &mut out);
        let [value] = out;
        value
    }

    /// A block of designs. Each input is as long as the output; the formula is the library's own.
    pub(super) fn block(self, shape: Shape, inputs: &[&[f64]; MOST_INPUTS], out: &mut [f64]) {
        wide(Block { value: self, shape, inputs, out });
    }

    #[inline(always)]
    pub(super) fn fill(self, shape: Shape, inputs: &[&[f64]; MOST_INPUTS], out: &mut [f64]) {
        use Output as O;
        let [a, b, c, d, e, f, g] = *inputs;
        match self {
            Self::Figure(_) => {}
            Self::GasketVolume | Self::DeckVolume => {
                map2(out, a, b, |diameter, height| disc_volume(length(diameter), length(height)).si());
            }
            Self::Rise(_) => map2(out, a, b, valves::rise),
            Self::Centre(_) => map2(out, a, b, valves::centre),
            Self::Below(_) => valves::fill_below(out, [a, b, c, d, e, f], g),
            Self::Output(output) => match output {
                O::IntakePistonToValve | O::ExhaustPistonToValve => map2(out, a, b, valves::clearance),
                O::IntakePistonToValveAngle | O::ExhaustPistonToValveAngle => {
                    valves::fill_angles(out, [a, b, c, d, e, f]);
                }
                O::SweptVolume if shape.offset => {
                    map4(out, [a, b, c, d], |bore, stroke, rod, offset| {
                        cylinder([bore, stroke, rod, offset]).swept_volume().si()
                    });
                }
                O::SweptVolume => {
                    map2(out, a, b, |bore, stroke| cylinder([bore, stroke, ANY, 0.0]).swept_volume().si());
                }
                O::Displacement => map2(out, a, b, |swept, cylinders| swept * cylinders),
                O::DeckClearance if shape.deck_follows => out.copy_from_slice(a),
                O::DeckClearance if shape.offset => {
                    map5(out, [a, b, c, d, e], |stroke, rod, offset, deck, piston| {
                        let c = cylinder([ANY, stroke, rod, offset]);
                        deck_clearance(&c, length(deck), length(piston)).si()
                    });
                }
                O::DeckClearance => map4(out, [a, b, c, d], |stroke, rod, deck, piston| {
                    deck_clearance(&cylinder([ANY, stroke, rod, 0.0]), length(deck), length(piston)).si()
                }),
                O::PistonToHead => {
                    map2(out, a, b, |deck, gasket| piston_to_head(length(deck), length(gasket)).si())
                }
                O::ClearanceVolume => map5(out, [a, b, c, d, e], |chamber, crown, gasket, deck, crevice| {
                    let [chamber, crown, gasket, deck, crevice] =
                        [chamber, crown, gasket, deck, crevice].map(Volume::from_si);
                    ClearanceVolume { chamber, gasket, deck, crown, crevice }.sum().si()
                }),
                O::CompressionRatio => map2(out, a, b, |swept, clearance| {
                    let ratio = ratio_of(Volume::from_si(swept), Volume::from_si(clearance)).si();
                    if clearance > 0.0 { ratio } else { f64::NAN }
                }),
                O::TrappedCompressionRatio => {
                    map6(out, inputs, |[bore, stroke, rod, offset, closing], clearance| {
                        trapped([bore, stroke, rod, offset], closing, clearance)
                    });
                }
                O::RodRatio | O::BoreStrokeRatio => map2(out, a, b, |x, stroke| x / stroke),
                O::MeanPistonSpeed if shape.offset => {
                    map4(out, [a, b, c, d], |stroke, rod, offset, speed| {
                        cylinder([ANY, stroke, rod, offset])
                            .mean_piston_speed(AngularVelocity::from_si(speed))
                            .si()
                    });
                }
                O::MeanPistonSpeed => map2(out, a, b, |stroke, speed| {
                    cylinder([ANY, stroke, ANY, 0.0]).mean_piston_speed(AngularVelocity::from_si(speed)).si()
                }),
                O::PeakAcceleration if shape.offset => {
                    map4(out, [a, b, c, d], |stroke, rod, offset, speed| {
                        cylinder([ANY, stroke, rod, offset])
                            .peak_acceleration(AngularVelocity::from_si(speed))
                            .si()
                    });
                }
                O::PeakAcceleration => map3(out, a, b, c, |stroke, rod, speed| {
                    cylinder([ANY, stroke, rod, 0.0])
                        .acceleration_at_tdc(AngularVelocity::from_si(speed))
                        .si()
                }),
                O::WallBetweenBores => {
                    map2(out, a, b, |spacing, bore| wall_between_bores(length(spacing), length(bore)).si());
                }
                O::PeakRodAngle => map3(out, a, b, c, |stroke, rod, offset| {
                    cylinder([ANY, stroke, rod, offset]).peak_rod_angle().si().to_degrees()
                }),
                O::FirstOrderForce => map6(out, inputs, |figures, factor| order_force(1, figures) * factor),
                O::SecondOrderForce => map6(out, inputs, |figures, factor| order_force(2, figures) * factor),
                O::PeakInertiaForce => map2(out, a, b, |mass, acceleration| mass * acceleration),
            },
        }
    }
}

/// Visits a value and all that it takes, each after what it takes.
pub(super) fn visit(value: Value, shape: Shape, see: &mut impl FnMut(Value)) {
    for input in value.inputs(shape) {
        visit(input, shape, see);
    }
    see(value);
}

/// A step over a block, to be done in the widest vectors.
struct Block<'b> {
    value: Value,
    shape: Shape,
    inputs: &'b [&'b [f64]; MOST_INPUTS],
    out: &'b mut [f64],
}

impl Work for Block<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.value.fill(self.shape, self.inputs, self.out);
    }
}

fn trapped(figures: [f64; 4], closing: f64, clearance: f64) -> f64 {
    let c = cylinder(figures);
    let closing = Angle::from_si(closing.to_radians());
    let ratio = crate::geometry::trapped_compression_ratio(&c, Volume::from_si(clearance), closing);
    ratio.map_or(f64::NAN, Dimensioned::si)
}

#[inline(always)]
fn map2(out: &mut [f64], a: &[f64], b: &[f64], f: impl Fn(f64, f64) -> f64) {
    for ((o, a), b) in out.iter_mut().zip(a).zip(b) {
        *o = f(*a, *b);
    }
}

#[inline(always)]
fn map3(out: &mut [f64], a: &[f64], b: &[f64], c: &[f64], f: impl Fn(f64, f64, f64) -> f64) {
    for (((o, a), b), c) in out.iter_mut().zip(a).zip(b).zip(c) {
        *o = f(*a, *b, *c);
    }
}

#[inline(always)]
fn map4(out: &mut [f64], [a, b, c, d]: [&[f64]; 4], f: impl Fn(f64, f64, f64, f64) -> f64) {
    for ((((o, a), b), c), d) in out.iter_mut().zip(a).zip(b).zip(c).zip(d) {
        *o = f(*a, *b, *c, *d);
    }
}

#[inline(always)]
fn map5(out: &mut [f64], [a, b, c, d, e]: [&[f64]; 5], f: impl Fn(f64, f64, f64, f64, f64) -> f64) {
    for (((((o, a), b), c), d), e) in out.iter_mut().zip(a).zip(b).zip(c).zip(d).zip(e) {
        *o = f(*a, *b, *c, *d, *e);
    }
}

fn map6(out: &mut [f64], inputs: &[&[f64]; MOST_INPUTS], f: impl Fn([f64; 5], f64) -> f64) {
    let [a, b, c, d, e, last, _] = *inputs;
    for ((((((o, a), b), c), d), e), last) in out.iter_mut().zip(a).zip(b).zip(c).zip(d).zip(e).zip(last) {
        *o = f([*a, *b, *c, *d, *e], *last);
    }
}

/// One order of the shaking force of one cylinder.
fn order_force(order: usize, [stroke, rod, offset, speed, mass]: [f64; 5]) -> f64 {
    let c = cylinder([ANY, stroke, rod, offset]);
    order_of_force(&c, order, AngularVelocity::from_si(speed), Mass::from_si(mass)).si()
}

/// First- and second-order shaking force of all cylinders of a layout over that of one: the figures `first_order_factor` and `second_order_factor` of a study.
/// What turns with the crank is taken as balanced.
///
/// # Errors
/// As [`ShakingEngine::new`].
pub fn order_factors(layout: &Layout) -> Result<[f64; 2]> {
    // The factors are those of the angles: any cylinder has them.
    let cylinder = Cylinder::new(length(1.0), length(1.0), length(2.0), length(0.0))?;
    let shaking = |station: &Station| ShakingCylinder {
        cylinder,
        station: *station,
        position: length(0.0),
        reciprocating: Mass::from_si(1.0),
    };
    let all = ShakingEngine::new(layout.stations().iter().map(shaking).collect(), Vec::new())?;
    let one =
        |order| order_of_force(&cylinder, order, AngularVelocity::from_si(1.0), Mass::from_si(1.0)).si();
    Ok([all.force(1)?.greatest() / one(1), all.force(2)?.greatest() / one(2)])
}

/// The steps to one output, each after what it takes; for one design at a time.
#[derive(Debug, Clone)]
pub(super) struct Program {
    shape: Shape,
    /// Each step with the places of what it takes: a figure's, or that of a step before, counted after the figures.
    steps: Vec<(Value, [usize; MOST_INPUTS], usize)>,
}

/// Room for the figures and the steps of any program.
pub(super) const PLACES: usize = Figure::ALL.len() + 16;

impl Program {
    pub(super) fn of(output: Output, shape: Shape) -> Self {
        let mut program = Self { shape, steps: Vec::new() };
        program.add(Value::Output(output));
        program
    }

    fn add(&mut self, value: Value) -> usize {
        if let Value::Figure(figure) = value {
            return figure.index();
        }
        if let Some(known) = self.steps.iter().position(|(v, _, _)| *v == value) {
            return Figure::ALL.len() + known;
        }
        let inputs = value.inputs(self.shape);
        let mut places = [0; MOST_INPUTS];
        for (place, input) in places.iter_mut().zip(&inputs) {
            *place = self.add(*input);
        }
        self.steps.push((value, places, inputs.len()));
        Figure::ALL.len() + self.steps.len() - 1
    }

    /// The figures that any step takes.
    pub(super) fn figures(&self) -> impl Iterator<Item = Figure> {
        let takes = |figure: &Figure| {
            let taken = |(_, places, count): &(Value, [usize; MOST_INPUTS], usize)| {
                places.iter().take(*count).any(|place| *place == figure.index())
            };
            self.steps.iter().any(taken)
        };
        Figure::ALL.into_iter().filter(takes)
    }

    /// The values of a block of designs from the columns of their figures; each column and the output are of one length. `room` has a column for each place.
    pub(super) fn run_block(&self, room: &mut [Vec<f64>], out: &mut [f64]) {
        let last = self.steps.len().saturating_sub(1);
        for (i, (value, places, count)) in self.steps.iter().enumerate() {
            let Some((before, after)) = room.split_at_mut_checked(Figure::ALL.len() + i) else { return };
            let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
            for (input, place) in inputs.iter_mut().zip(places).take(*count) {
                *input = before.get(*place).and_then(|column| column.get(..out.len())).unwrap_or_default();
            }
            match after.first_mut().and_then(|column| column.get_mut(..out.len())) {
                Some(column) if i < last => value.block(self.shape, &inputs, column),
                _ => value.block(self.shape, &inputs, out),
            }
        }
    }

    /// The value of a design.
    pub(super) fn run(&self, figures: &[f64; Figure::ALL.len()]) -> f64 {
        let mut values = [f64::NAN; PLACES];
        for (to, from) in values.iter_mut().zip(figures) {
            *to = *from;
        }
        let mut last = f64::NAN;
        for (i, (value, places, count)) in self.steps.iter().enumerate() {
            let mut inputs = [f64::NAN; MOST_INPUTS];
            for (input, place) in inputs.iter_mut().zip(places).take(*count) {
                *input = values.get(*place).copied().unwrap_or(f64::NAN);
            }
            last = value.one(self.shape, &inputs);
            if let Some(slot) = values.get_mut(Figure::ALL.len() + i) {
                *slot = last;
            }
        }
        last
    }
}
