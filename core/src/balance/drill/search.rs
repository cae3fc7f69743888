//! The search: which columns have a hole each. Which bores they have is settled in `settle`.

use super::candidate::{Candidates, Choice, Column};
use super::relax::{Bound, Node, Point, SPACED, Target, bound, refutes, score, support, support_spaced};

/// The most vectors of refuted siblings that are tried on the next.
const MOST_KEPT: usize = 12;

/// A hole of a plan: its column and its bore.
pub(super) type Chosen = (usize, Choice);

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// All was searched, or the first plan found where that was enough.
    Finished,
    /// The work ran out before.
    Exhausted,
}

/// A search for plans with a number of holes.
pub(super) struct Search<'s> {
    pub(super) candidates: &'s Candidates,
    pub(super) target: Target,
    /// Scorings of a column, or the like, that may still be done.
    pub(super) work: u64,
    /// Whether any plan will do.
    pub(super) first: bool,
    /// The plan with the least metal so far, and its metal.
    pub(super) best: Option<(f64, Vec<Chosen>)>,
}

/// A vector of a refuted sibling, with the bound that it gives without the sibling's own score.
pub(super) struct Kept {
    pub(super) p: Point,
    pub(super) rest: f64,
}

impl<'s> Search<'s> {
    pub(super) fn column(&self, index: usize) -> Option<&'s Column> {
        self.candidates.columns.get(index)
    }

    pub(super) fn stopped(&self) -> bool {
        self.work == 0 || (self.first && self.best.is_some())
    }

    /// Searches all plans of `holes` holes.
    pub(super) fn run(&mut self, base: &Point, holes: usize, start: &Point) -> End {
        let pool: Vec<usize> = (0..self.candidates.columns.len()).collect();
        let room = self.candidates.room.clone();
        let node = Node { base: *base, fixed: &[], chosen: &[], pool: &pool, more: holes, room: &room };
        self.choose(&node, start);
        let found = self.first && self.best.is_some();
        if self.work == 0 && !found { End::Exhausted } else { End::Finished }
    }

    /// Searches a node; its bound where that refutes it.
    fn choose(&mut self, node: &Node, start: &Point) -> Option<Bound> {
        if node.more == 0 {
            return self.settle(&node.base, &mut Vec::new(), node.chosen, start);
        }
        let all = self.candidates;
        let bound = bound(all, &self.target, node, start, &mut self.work);
        if bound.refutes() {
            return Some(bound);
        }
        let scored = self.scored(node, &bound.p);
        let order: Vec<usize> = scored.iter().map(|entry| entry.1).collect();
        let bare = Node { pool: &[], more: 0, ..*node };
        let head = support(all, &self.target, &bare, &bound.p).1;
        let mut kept: Vec<Kept> = Vec::new();
        for (at, (value, index)) in scored.iter().enumerate() {
            let Some(after) = order.get(at + 1..).filter(|rest| rest.len() + 1 >= node.more) else { break };
            let others: f64 = scored.iter().skip(at + 1).take(node.more - 1).map(|entry| entry.0).sum();
            if self.stopped() || refutes(head + value + others) {
                break;
            }
            let Some(column) = self.column(*index) else { continue };
            self.work = self.work.saturating_sub(1 + kept.len() as u64);
            if kept.iter().any(|kept| refutes(kept.rest + score(column, &kept.p).0)) {
                continue;
            }
            if let Some(p) = self.enter(node, *index, after, &bound.p) {
                let rest = Node { pool: after, more: node.more - 1, ..*node };
                self.work = self.work.saturating_sub(after.len() as u64 * SPACED);
                keep(&mut kept, p, support_spaced(all, &self.target, &rest, &p).1);
            }
        }
        None
    }

    /// Searches the plans of a node with a hole of this column and the others of those after it; the vector that refutes them, if one does.
    fn enter(&mut self, node: &Node, index: usize, after: &[usize], start: &Point) -> Option<Point> {
        let column = self.column(index)?;
        let apart =
            |other: &usize| self.column(*other).is_some_and(|other| Candidates::columns_apart(column, other));
        let pool: Vec<usize> = after.iter().copied().filter(apart).collect();
        let mut room = node.room.to_vec();
        if let Some(left) = room.get_mut(column.site) {
            *left = left.saturating_sub(1);
        }
        let mut chosen = node.chosen.to_vec();
        chosen.push(index);
        self.work = self.work.saturating_sub(after.len() as u64);
        let child = Node {
            base: node.base,
            fixed: &[],
            chosen: &chosen,
            pool: &pool,
            more: node.more - 1,
            room: &room,
        };
        self.choose(&child, start).map(|bound| bound.p)
    }

    /// The columns of the pool with room, least score first.
    fn scored(&self, node: &Node, p: &Point) -> Vec<(f64, usize)> {
        let entry = |index: &usize| {
            let column = self.column(*index)?;
            let fits = node.room.get(column.site).is_some_and(|left| *left > 0);
            fits.then(|| (score(column, p).0, *index))
        };
        let mut scored: Vec<(f64, usize)> = node.pool.iter().filter_map(entry).collect();
        scored.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        scored
    }
}

/// Keeps a vector for the siblings to come, the oldest given up.
pub(super) fn keep(kept: &mut Vec<Kept>, p: Point, rest: f64) {
    if kept.len() >= MOST_KEPT {
        kept.remove(0);
    }
    kept.push(Kept { p, rest });
}
