//! A tree of right-angled ways on a plan that reaches every end from one root and shares what it can.

use super::error::MethodError;

/// A place on a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right (m).
    pub x_m: f64,
    /// Upward on the plan (m).
    pub y_m: f64,
}

/// A joint of the tree: an end, a corner, or where a way leaves another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// Where it is.
    pub place: Place,
    /// Joint that the way comes from, straight along one of the two axes; nothing at the root, which is the first.
    pub from: Option<usize>,
}

/// The tree as far as it has grown.
///
/// It grows by the end that lies nearest to what stands already, joints and ways alike, and there by the corner of two that brings
/// the ends that are left nearest. So it is never longer than the least tree that goes from end to end, and as no tree of
/// right-angled ways is shorter than two thirds of that, never longer than one and a half times the shortest of all.
///
/// # Source
/// Common practice of the trade for the way (pipes run square to the walls and share a trunk). That no tree of right-angled ways is
/// shorter than two thirds of the least from end to end is a theorem of 1976 (from memory, confirm).
/// # Units
/// m.
/// # Validity
/// One level without obstacles.
/// # Errors
/// [`MethodError::Impossible`] for a place that is no number.
/// # Examples
/// ```
/// # use tundish_engine::methods::rectilinear_tree::{Place, Tree};
/// let at = |x_m, y_m| Place { x_m, y_m };
/// let mut tree = Tree::new(at(0.0, 0.0));
/// // two rooms either side of a corridor share it
/// tree.reach(&[at(6.0, 2.0), at(6.0, -2.0)]).unwrap();
/// assert_eq!(tree.length_m(), 10.0);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    joints: Vec<Joint>,
}

/// An end that is not reached yet.
#[derive(Clone, Copy)]
struct Waiting {
    place: Place,
    /// Way to the nearest of the tree (m), and where that is.
    away_m: f64,
    nearest: Place,
}

impl Tree {
    /// A tree of nothing but its root.
    #[must_use]
    pub fn new(root: Place) -> Self {
        Self { joints: vec![Joint { place: root, from: None }] }
    }

    /// The joints; each stands at the end of its own way.
    #[must_use]
    pub fn joints(&self) -> &[Joint] {
        &self.joints
    }

    /// Whole length (m).
    #[must_use]
    pub fn length_m(&self) -> f64 {
        (0..self.joints.len()).map(|joint| self.way_m(joint)).sum()
    }

    /// Length of the way that ends at a joint (m).
    #[must_use]
    pub fn way_m(&self, joint: usize) -> f64 {
        let Joint { place, from } = self.joints[joint];
        from.map_or(0.0, |from| between_m(self.joints[from].place, place))
    }

    /// Reaches more ends, and tells at which joint each of them is.
    ///
    /// # Errors
    /// [`MethodError::Impossible`] for a place that is no number.
    pub fn reach(&mut self, ends: &[Place]) -> Result<Vec<usize>, MethodError> {
        if ends.iter().any(|end| !(end.x_m.is_finite() && end.y_m.is_finite())) {
            return Err(MethodError::Impossible { reason: "a place on a plan is not a number" });
        }
        let mut joints = vec![0; ends.len()];
        let mut waiting = self.waiting(ends);
        while let Some(next) = nearest(&waiting) {
            let end = waiting.remove(next);
            let leaves = self.joint_at(end.nearest);
            let turns_at = corner(end, &waiting);
            let mut at = leaves;
            for place in [turns_at, end.place] {
                at = self.lead_on(at, place, &mut waiting);
            }
            for (joint, place) in joints.iter_mut().zip(ends) {
                if *place == end.place {
                    *joint = at;
                }
            }
        }
        Ok(joints)
    }

    /// The ends by their places, each with its way to what stands.
    fn waiting(&self, ends: &[Place]) -> Vec<Waiting> {
        let mut waiting: Vec<Waiting> = Vec::with_capacity(ends.len());
        for &place in ends {
            if waiting.iter().any(|known| known.place == place) {
                continue;
            }
            let mut one = Waiting { place, away_m: f64::INFINITY, nearest: place };
            for joint in &self.joints {
                let from = joint.from.map_or(joint.place, |from| self.joints[from].place);
                one.may_come_from(from, joint.place);
            }
            waiting.push(one);
        }
        waiting
    }

    /// The joint at a place of the tree; a way that passes there is parted.
    fn joint_at(&mut self, place: Place) -> usize {
        if let Some(joint) = self.joints.iter().position(|joint| joint.place == place) {
            return joint;
        }
        let passes = |joint: &Joint| {
            joint.from.is_some_and(|from| nearest_on(self.joints[from].place, joint.place, place) == place)
        };
        let Some(parted) = self.joints.iter().position(passes) else { return 0 };
        self.joints.push(Joint { place, from: self.joints[parted].from });
        let new = self.joints.len() - 1;
        self.joints[parted].from = Some(new);
        new
    }

    /// Leads the tree on from a joint straight to a place, and lets the ends that wait know.
    fn lead_on(&mut self, from: usize, place: Place, waiting: &mut [Waiting]) -> usize {
        if self.joints[from].place == place {
            return from;
        }
        self.joints.push(Joint { place, from: Some(from) });
        for one in waiting {
            one.may_come_from(self.joints[from].place, place);
        }
        self.joints.len() - 1
    }
}

impl Waiting {
    /// Takes a straight way for the nearest of the tree, if it is.
    fn may_come_from(&mut self, from: Place, to: Place) {
        let nearest = nearest_on(from, to, self.place);
        let away_m = between_m(nearest, self.place);
        if away_m < self.away_m {
            (self.away_m, self.nearest) = (away_m, nearest);
        }
    }
}

/// The end that lies nearest to the tree, the first of those alike.
fn nearest(waiting: &[Waiting]) -> Option<usize> {
    (0..waiting.len()).min_by(|&a, &b| waiting[a].away_m.total_cmp(&waiting[b].away_m))
}

/// The corner of two on the way to an end that brings the ends that are left nearest; of two alike the one that goes to the
/// right first.
fn corner(end: Waiting, left: &[Waiting]) -> Place {
    let (from, to) = (end.nearest, end.place);
    let corners = [Place { x_m: to.x_m, y_m: from.y_m }, Place { x_m: from.x_m, y_m: to.y_m }];
    let left_m = corners.map(|corner| -> f64 {
        let each = left.iter().map(|one| {
            let mut one = *one;
            one.may_come_from(from, corner);
            one.may_come_from(corner, to);
            one.away_m
        });
        each.sum()
    });
    if left_m[1] < left_m[0] { corners[1] } else { corners[0] }
}

/// The place of a straight way that lies nearest to another.
fn nearest_on(from: Place, to: Place, place: Place) -> Place {
    let within = |a: f64, b: f64, at: f64| at.clamp(a.min(b), a.max(b));
    Place { x_m: within(from.x_m, to.x_m, place.x_m), y_m: within(from.y_m, to.y_m, place.y_m) }
}

/// Way between two places, square to the walls (m).
fn between_m(a: Place, b: Place) -> f64 {
    (a.x_m - b.x_m).abs() + (a.y_m - b.y_m).abs()
}
