//! Whether there is an order with every figure in its window: an exact cover of places and parts, by search.
//!
//! The options are the allowed combinations of a place with a part of each type; each place and each part must be in just one. The item
//! with the fewest options left is branched on (Knuth's rule for exact covers). A branch is cut where an item has no option left,
//! where the places and the parts of one type have no perfect matching, where the sum of a figure over what remains cannot be
//! spread within its window, and where the same places and parts have failed before. Of parts that are alike in every option only
//! the first free one is tried.

use super::at;
use super::figure::{MatchedFigure, Parts};
use std::collections::HashSet;

/// What a search came to.
pub(super) enum Outcome {
    /// An order with every figure in its window.
    Found(Vec<Parts>),
    /// Proved that there is none.
    Refuted,
    /// The nodes ran out.
    Exhausted,
}

/// The most failed states that are kept.
const MEMO: usize = 1 << 21;

/// The cells of the table of options that are counted as one node.
const CELLS: u64 = 512;

/// Looks for an order with every figure in its window; types that no window bears on stay as in `base`.
///
/// `nodes` is what may be spent; what was spent is taken off.
pub(super) fn cover(
    figures: &[MatchedFigure],
    windows: &[(f64, f64)],
    base: &[Parts],
    nodes: &mut u64,
) -> Outcome {
    let mut tests = Vec::new();
    for (figure, window) in figures.iter().zip(windows).filter(|(f, w)| !f.always_within(**w)) {
        let Some(window) = figure.tightened(*window) else { return Outcome::Refuted };
        tests.push(Test { figure, window });
    }
    let n = base.len();
    let kinds: Vec<usize> =
        (0..4).filter(|kind| tests.iter().any(|test| test.figure.depends_on(*kind))).collect();
    if kinds.is_empty() {
        *nodes = nodes.saturating_sub(1);
        let holds = tests.iter().all(|t| (0..n).all(|place| t.holds(place, 0)));
        return if holds { Outcome::Found(base.to_vec()) } else { Outcome::Refuted };
    }
    let sums: Vec<f64> = tests.iter().map(|test| test.total(n, &kinds)).collect();
    if !tests.iter().zip(&sums).all(|(test, sum)| test.admits(*sum, n)) {
        return Outcome::Refuted;
    }
    let cost = 1 + (n as u64).pow(kinds.len() as u32 + 1) * tests.len() as u64 / CELLS;
    if *nodes < cost {
        *nodes = 0;
        return Outcome::Exhausted;
    }
    *nodes -= cost;
    let table = Table::new(n, &kinds, &tests);
    let mut search = Search { kinds: &kinds, tests: &tests, table: &table, failed: HashSet::new(), nodes };
    let state =
        State { places: mask(n) as u16, free: (0..kinds.len()).fold(0, |f, i| f | mask(n) << (16 * i)) };
    let mut order = base.to_vec();
    match search.visit(state, &table.rows, &sums, &mut order) {
        Some(true) => Outcome::Found(order),
        Some(false) => Outcome::Refuted,
        None => Outcome::Exhausted,
    }
}

fn mask(n: usize) -> u64 {
    (1 << n) - 1
}

/// The bits set, from the lowest on.
fn bits(mut set: u64) -> impl Iterator<Item = usize> {
    core::iter::from_fn(move || {
        let lowest = (set != 0).then(|| set.trailing_zeros() as usize)?;
        set &= set - 1;
        Some(lowest)
    })
}

/// A figure with the window it must keep to.
struct Test<'a> {
    figure: &'a MatchedFigure,
    window: (f64, f64),
}

impl Test<'_> {
    fn holds(&self, place: usize, offset: usize) -> bool {
        let value = self.figure.value_at(place, offset);
        value >= self.window.0 && value <= self.window.1
    }

    /// The shares of a place and of parts, one bit for each in blocks of 16.
    fn shares(&self, place: usize, parts: u64, kinds: &[usize]) -> f64 {
        let part = |bit: usize| self.figure.part_effect(at(kinds, bit / 16), bit % 16);
        self.figure.place_effect(place) + bits(parts).map(part).sum::<f64>()
    }

    /// The shares of all places and parts.
    fn total(&self, n: usize, kinds: &[usize]) -> f64 {
        let places: f64 = (0..n).map(|place| self.figure.place_effect(place)).sum();
        let parts = |kind: &usize| (0..n).map(|part| self.figure.part_effect(*kind, part)).sum::<f64>();
        places + kinds.iter().map(parts).sum::<f64>()
    }

    /// Whether values in the window can have this sum of shares over so many places.
    fn admits(&self, sum: f64, places: usize) -> bool {
        let m = places as f64;
        // What rounding leaves in the sum is far below the room that equal values have.
        let slack = m * self.figure.departure + (m + 1.0) * self.figure.same;
        sum >= m * self.window.0 - slack && sum <= m * self.window.1 + slack
    }
}

/// The options that share their place and all parts but those of the last type.
#[derive(Clone, Copy)]
struct Row {
    place: usize,
    /// One bit for the part of each type but the last, one for every part allowed of the last, in blocks of 16.
    parts: u64,
}

/// All options, and which places and parts are alike in them.
struct Table {
    rows: Vec<Row>,
    /// The last block of 16.
    last: u64,
    /// For each place, and for each bit of a part, the nearest one before it that is alike.
    place_twins: Vec<Option<usize>>,
    part_twins: Vec<(usize, usize)>,
}

impl Table {
    fn new(n: usize, kinds: &[usize], tests: &[Test]) -> Self {
        let width = n.pow(kinds.len() as u32 - 1);
        let mut masks = Vec::with_capacity(n * width);
        for place in 0..n {
            masks.extend((0..width).map(|row| allowed(n, kinds, tests, place, row)));
        }
        let first = kinds.len() - 1;
        let row = |(index, mask): (usize, &u64)| {
            let mut digits = index % width;
            let mut parts = mask << (16 * first);
            for block in 0..first {
                parts |= 1 << (16 * block + digits % n);
                digits /= n;
            }
            (*mask != 0).then_some(Row { place: index / width, parts })
        };
        let rows = masks.iter().enumerate().filter_map(row).collect();
        let before = |k: usize, alike: &dyn Fn(usize) -> bool| (0..k).rev().find(|j| alike(*j));
        let place_alike =
            |j: usize, k: usize| (0..width).all(|r| at(&masks, j * width + r) == at(&masks, k * width + r));
        let place_twins = (0..n).map(|k| before(k, &|j| place_alike(j, k))).collect();
        let mut part_twins = Vec::new();
        for block in 0..kinds.len() {
            let alike = |j: usize, k: usize| part_alike(&masks, n, block, block == first, j, k);
            let twin = |k: usize| before(k, &|j| alike(j, k)).map(|j| (16 * block + k, 16 * block + j));
            part_twins.extend((0..n).filter_map(twin));
        }
        Self { rows, last: 0xffff << (16 * first), place_twins, part_twins }
    }

    /// The parts that wait for one alike that is still free.
    fn waiting(&self, free: u64) -> u64 {
        let waits = |(_, before): &&(usize, usize)| free >> before & 1 == 1;
        self.part_twins.iter().filter(waits).fold(0, |set, (part, _)| set | 1 << part)
    }
}

/// The parts of the last type that may go with a place and a row of the others.
fn allowed(n: usize, kinds: &[usize], tests: &[Test], place: usize, row: usize) -> u64 {
    let Some((last, first)) = kinds.split_last() else { return 0 };
    tests.iter().fold(mask(n), |mut set, test| {
        let mut digits = row;
        let mut offset = 0;
        for kind in first {
            offset += digits % n * at(&test.figure.strides, *kind);
            digits /= n;
        }
        let stride = at(&test.figure.strides, *last);
        if set == 0 || stride == 0 {
            return if set != 0 && test.holds(place, offset) { set } else { 0 };
        }
        for part in bits(set) {
            if !test.holds(place, offset + part * stride) {
                set &= !(1 << part);
            }
        }
        set
    })
}

/// Whether two parts of a type have the same options.
fn part_alike(masks: &[u64], n: usize, block: usize, last: bool, j: usize, k: usize) -> bool {
    if last {
        return masks.iter().all(|set| (set >> j ^ set >> k) & 1 == 0);
    }
    let stride = n.pow(block as u32);
    let with_j = masks.iter().enumerate().filter(|(index, _)| index / stride % n == j);
    let shift = |index: usize| index + k * stride - j * stride;
    with_j.map(|(index, set)| (shift(index), set)).all(|(index, set)| at(masks, index) == *set)
}

/// The places and parts that remain.
#[derive(Clone, Copy)]
struct State {
    places: u16,
    free: u64,
}

struct Search<'a> {
    kinds: &'a [usize],
    tests: &'a [Test<'a>],
    table: &'a Table,
    failed: HashSet<u128>,
    nodes: &'a mut u64,
}

/// What is branched on.
enum Item {
    Place(usize),
    Part(usize),
}

impl Search<'_> {
    /// Whether what remains can be covered; `None` when the nodes ran out.
    fn visit(&mut self, state: State, rows: &[Row], sums: &[f64], order: &mut [Parts]) -> Option<bool> {
        if state.places == 0 {
            return Some(true);
        }
        let key = u128::from(state.free) << 16 | u128::from(state.places);
        if self.failed.contains(&key) {
            return Some(false);
        }
        *self.nodes = self.nodes.checked_sub(1)?;
        if let Some(item) = self.item(state, rows) {
            for (place, parts) in self.options(state, rows, &item) {
                if self.branch(state, rows, sums, order, place, parts)? {
                    return Some(true);
                }
            }
        }
        if self.failed.len() < MEMO {
            self.failed.insert(key);
        }
        Some(false)
    }

    /// Takes one option and visits what remains.
    fn branch(
        &mut self,
        state: State,
        rows: &[Row],
        sums: &[f64],
        order: &mut [Parts],
        place: usize,
        parts: u64,
    ) -> Option<bool> {
        let next = State { places: state.places & !(1 << place), free: state.free & !parts };
        let left = next.places.count_ones() as usize;
        let take = |(sum, test): (&f64, &Test)| sum - test.shares(place, parts, self.kinds);
        let sums: Vec<f64> = sums.iter().zip(self.tests).map(take).collect();
        if !self.tests.iter().zip(&sums).all(|(test, sum)| test.admits(*sum, left)) {
            return Some(false);
        }
        let last = self.table.last;
        let keep = |row: &Row| {
            let parts = row.parts & next.free;
            let whole = row.place != place && (row.parts ^ parts) & !last == 0 && parts & last != 0;
            whole.then_some(Row { parts, ..*row })
        };
        let rows: Vec<Row> = rows.iter().filter_map(keep).collect();
        let covered = self.visit(next, &rows, &sums, order)?;
        if covered && let Some(here) = order.get_mut(place) {
            for bit in bits(parts) {
                if let Some(part) = here.get_mut(at(self.kinds, bit / 16)) {
                    *part = bit % 16;
                }
            }
        }
        Some(covered)
    }

    /// The item with the fewest options; `None` where what remains cannot be covered.
    fn item(&self, state: State, rows: &[Row]) -> Option<Item> {
        let mut of_place = [0_u32; 16];
        let mut of_part = [0_u32; 64];
        let mut edges = [0_u64; 16];
        let last = self.table.last;
        for row in rows {
            let ways = (row.parts & last).count_ones();
            add(&mut of_place, row.place, ways);
            bits(row.parts & !last).for_each(|bit| add(&mut of_part, bit, ways));
            bits(row.parts & last).for_each(|bit| add(&mut of_part, bit, 1));
            if let Some(edges) = edges.get_mut(row.place) {
                *edges |= row.parts;
            }
        }
        let place = bits(state.places.into()).map(|p| (at(&of_place, p), p)).min_by_key(|(ways, _)| *ways)?;
        let part = bits(state.free).map(|b| (at(&of_part, b), b)).min_by_key(|(ways, _)| *ways)?;
        if place.0 == 0
            || part.0 == 0
            || !(0..self.kinds.len()).all(|b| matched(state.places, &edges, 16 * b))
        {
            return None;
        }
        Some(if place.0 <= part.0 { Item::Place(place.1) } else { Item::Part(part.1) })
    }

    /// The options of an item; of places and parts that are alike only the first.
    fn options(&self, state: State, rows: &[Row], item: &Item) -> Vec<(usize, u64)> {
        let last = self.table.last;
        let waiting = self.table.waiting(state.free);
        let place_waits = |place: usize| {
            at(&self.table.place_twins, place).is_some_and(|before| state.places >> before & 1 == 1)
        };
        let mut options = Vec::new();
        for row in rows {
            let (applies, of_last) = match *item {
                Item::Place(place) => (row.place == place, last),
                Item::Part(bit) if last >> bit & 1 == 1 => (!place_waits(row.place), 1 << bit),
                Item::Part(bit) => (row.parts >> bit & 1 == 1 && !place_waits(row.place), last),
            };
            if applies && row.parts & !last & waiting == 0 {
                let firsts = row.parts & !last;
                options
                    .extend(bits(row.parts & of_last & !waiting).map(|bit| (row.place, firsts | 1 << bit)));
            }
        }
        options
    }
}

fn add(list: &mut [u32], index: usize, ways: u32) {
    if let Some(count) = list.get_mut(index) {
        *count += ways;
    }
}

/// Whether each place can have a part of its own of one type: augmenting paths (Kuhn's method).
fn matched(places: u16, edges: &[u64; 16], shift: usize) -> bool {
    let mut owners = [None; 16];
    bits(places.into()).all(|place| augment(place, edges, shift, &mut owners, &mut 0))
}

fn augment(
    place: usize,
    edges: &[u64; 16],
    shift: usize,
    owners: &mut [Option<usize>; 16],
    seen: &mut u64,
) -> bool {
    let candidates = at(edges, place) >> shift & 0xffff;
    loop {
        let Some(part) = bits(candidates & !*seen).next() else { return false };
        *seen |= 1 << part;
        let free = match at(owners, part) {
            None => true,
            Some(owner) => augment(owner, edges, shift, owners, seen),
        };
        if free {
            if let Some(owner) = owners.get_mut(part) {
                *owner = Some(place);
            }
            return true;
        }
    }
}
