//! A tree of pieces, before it becomes runs.

use super::End;
use crate::methods::rectilinear_tree::{Place, Tree};
use crate::methods::{MethodError, Off, routes};

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// It goes from storey to storey.
    Riser,
    /// It leads on to others.
    Trunk,
    /// It leads to an end.
    Branch,
}

/// Which way a piece goes on the plan, where that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Heading {
    Across,
    Along,
}

/// A straight piece of route.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Piece that it leaves from; nothing at the plant.
    pub from: Option<usize>,
    /// Length of the route, one way (m).
    pub length_m: f64,
    /// Bends, one way.
    pub bends: u32,
    /// Storey that it lies on, or that it rises or falls to.
    pub storey: i32,
    /// What it is.
    pub kind: Kind,
    /// What it serves.
    pub serves: Option<End>,
    heading: Option<Heading>,
}

/// Something to be reached, and where it is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reached {
    /// What it is.
    pub end: End,
    /// Its place on the plan, where it is known.
    pub place: Option<Place>,
    /// Whether something hung there before.
    pub is_old: bool,
}

/// The tree as far as it is drawn.
#[derive(Debug, Clone, Default)]
pub(super) struct Sketch {
    /// Pieces; each stands after the one that it leaves from.
    pub pieces: Vec<Piece>,
    /// Bends of a branch.
    pub branch_bends: u32,
}

impl Sketch {
    fn trunk(
        &mut self,
        (from, storey): (Option<usize>, i32),
        length_m: f64,
        heading: Option<Heading>,
    ) -> Option<usize> {
        self.pieces.push(Piece { from, length_m, bends: 0, storey, kind: Kind::Trunk, serves: None, heading });
        self.pieces.len().checked_sub(1)
    }

    fn branch(&mut self, (from, storey): (Option<usize>, i32), length_m: f64, end: End) {
        let (bends, serves) = (self.branch_bends, Some(end));
        self.pieces.push(Piece { from, length_m, bends, storey, kind: Kind::Branch, serves, heading: None });
    }

    /// A riser to a storey.
    pub(super) fn riser(&mut self, (from, storey): (Option<usize>, i32), length_m: f64) -> Option<usize> {
        let (kind, serves) = (Kind::Riser, None);
        self.pieces.push(Piece { from, length_m, bends: 0, storey, kind, serves, heading: None });
        self.pieces.len().checked_sub(1)
    }

    /// Emitters of a storey by its floor area: a trunk in pieces, and a branch after each. What is new leaves first, so that what
    /// lies there already is not cut short; the last piece is part of the last branch.
    pub(super) fn by_area(&mut self, root: (Option<usize>, i32), area_m2: f64, is_narrow: bool, ends: &[Reached]) {
        let count = ends.len();
        // the schema bounds rooms and their emitters
        let emitters = f64::from(u32::try_from(count).unwrap_or(u32::MAX));
        let found = routes::of_storey(area_m2, emitters, &mut Off);
        let wide_or_narrow = |m: f64| if is_narrow { routes::narrow(m, &mut Off) } else { m };
        let (piece_m, branch_m) = (wide_or_narrow(found.piece_m), wide_or_narrow(found.branch_m));
        let (mut from, storey) = root;
        let new_first = ends.iter().filter(|one| !one.is_old).chain(ends.iter().filter(|one| one.is_old));
        for (number, one) in new_first.enumerate() {
            from = self.trunk((from, storey), piece_m, Some(Heading::Along));
            let last_m = if number + 1 == count { piece_m } else { 0.0 };
            self.branch((from, storey), branch_m + last_m, one.end);
        }
    }

    /// A manifold by the floor area of its storey.
    pub(super) fn manifold_by_area(&mut self, root: (Option<usize>, i32), area_m2: f64, end: End) {
        self.branch(root, routes::to_manifold(area_m2, &mut Off), end);
    }

    /// Ends of a storey by their places: a tree of right-angled ways, first to what hung there before.
    pub(super) fn by_places(
        &mut self,
        (root, storey): (Option<usize>, i32),
        riser: Place,
        ends: &[(Place, Reached)],
    ) -> Result<(), MethodError> {
        let mut tree = Tree::new(riser);
        let mut reached: Vec<(End, usize)> = Vec::with_capacity(ends.len());
        for is_old in [true, false] {
            let these: Vec<&(Place, Reached)> = ends.iter().filter(|(_, one)| one.is_old == is_old).collect();
            let places: Vec<Place> = these.iter().map(|(place, _)| *place).collect();
            let joints = tree.reach(&places)?;
            reached.extend(these.into_iter().zip(joints).map(|((_, one), joint)| (one.end, joint)));
        }
        let pieces = self.joints(&tree, (root, storey));
        let to_end_m = routes::to_end(0.0, &mut Off);
        for (end, joint) in reached {
            self.branch((pieces[joint], storey), to_end_m, end);
        }
        Ok(())
    }

    /// A piece for every joint of a tree, in an order in which each stands after the one that it leaves from.
    fn joints(&mut self, tree: &Tree, (root, storey): (Option<usize>, i32)) -> Vec<Option<usize>> {
        let joints = tree.joints();
        let mut pieces = vec![root; joints.len()];
        // a joint that parted a way stands behind the one that comes from it
        let mut left: Vec<usize> = vec![0];
        while let Some(at) = left.pop() {
            for next in (0..joints.len()).rev().filter(|&next| joints[next].from == Some(at)) {
                let is_along = joints[next].place.y_m.total_cmp(&joints[at].place.y_m).is_eq();
                let heading = if is_along { Heading::Along } else { Heading::Across };
                pieces[next] = self.trunk((pieces[at], storey), tree.way_m(next), Some(heading));
                left.push(next);
            }
        }
        pieces
    }

    /// Draws pieces in one that follow one another without a branch; where they turn there is a bend.
    pub(super) fn joined(self) -> Vec<Piece> {
        let mut pieces = self.pieces;
        let mut leave: Vec<Vec<usize>> = vec![Vec::new(); pieces.len()];
        for (number, piece) in pieces.iter().enumerate() {
            if let Some(from) = piece.from {
                leave[from].push(number);
            }
        }
        let mut is_part = vec![false; pieces.len()];
        for number in 0..pieces.len() {
            let [next] = leave[number][..] else { continue };
            if pieces[number].serves.is_some() {
                continue;
            }
            let Piece { from, length_m, bends, kind, heading, .. } = pieces[number].clone();
            let next = &mut pieces[next];
            let turns = heading.is_some() && next.heading.is_some() && heading != next.heading;
            (next.from, next.length_m) = (from, next.length_m + length_m);
            next.bends += bends + u32::from(turns);
            if kind == Kind::Riser && next.kind == Kind::Trunk {
                next.kind = Kind::Riser;
            }
            is_part[number] = true;
        }
        keep(pieces, &is_part)
    }
}

/// The pieces that are not part of others, with indices among themselves.
fn keep(pieces: Vec<Piece>, is_part: &[bool]) -> Vec<Piece> {
    let mut places = Vec::with_capacity(pieces.len());
    let mut kept = 0;
    for is_part in is_part {
        places.push(kept);
        kept += usize::from(!is_part);
    }
    let left = pieces.into_iter().zip(is_part).filter(|(_, is_part)| !**is_part);
    left.map(|(piece, _)| Piece { from: piece.from.map(|from| places[from]), ..piece }).collect()
}
