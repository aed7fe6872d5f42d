//! Runs that nobody drew: a tree by storeys for what no run of the job serves.

use std::collections::{BTreeMap, BTreeSet};

use super::kept::{self, Seen};
use super::run::Run;
use super::sketch::{Kind, Piece, Reached, Sketch};
use super::unserved::Unserved;
use super::{End, Gathering, Pipework};
use crate::job::pipework::Place as Lies;
use crate::list::{Index, List};
use crate::methods::rectilinear_tree::Place;
use crate::survey::assumed::{By, Pipes as Assumed};
use crate::survey::doubted::Doubted;
use crate::survey::serves::Serves;
use crate::survey::storeys::storey_of;
use crate::survey::{Climate, EmitterAt, Lagging, Room};

/// What a storey comes to.
struct OfStorey {
    storey: i32,
    ends: Vec<Reached>,
    by: By,
    pieces: std::ops::Range<usize>,
}

impl Gathering<'_> {
    /// Lays a tree of estimated runs to what no run serves, storey by storey, as an assumption. With faults about there are none.
    pub(super) fn serve_the_rest(
        &mut self,
        runs: &mut List<Run>,
        rooms: &List<Room>,
        (written, seen): (&Pipework, &Seen),
        climate: &Climate,
    ) {
        if !self.faults.is_empty() {
            return;
        }
        let unserved = self.unserved(runs, rooms, written);
        if unserved.is_empty() {
            return;
        }
        if !written.runs.is_empty() {
            for one in &unserved {
                self.notes.add(&Doubted::RunMissing { serves: self.serves_of(one.reached.end) });
            }
        }
        let (storey, riser) = self.riser(written, &unserved);
        let branch_bends = self.catalogue.defaults.estimated_run_bends.value;
        let mut sketch = Sketch { branch_bends, ..Sketch::default() };
        let (mut up, mut down) = (None, None);
        let reached = || unserved.iter().map(|one| one.storey).chain([storey]);
        let (lowest, highest) = (reached().min().unwrap_or(storey), reached().max().unwrap_or(storey));
        let mut storeys = Vec::new();
        for at in (storey..=highest).chain((lowest..storey).rev()) {
            let first = sketch.pieces.len();
            let stands = if at >= storey { &mut up } else { &mut down };
            let before = if at > storey { at - 1 } else { at + 1 };
            if at != storey {
                *stands = sketch.riser((*stands, at), self.storeys.rise_m(before, at));
            }
            let root = (*stands, at);
            let ends: Vec<Reached> = unserved.iter().filter(|one| one.storey == at).map(|one| one.reached).collect();
            let by = self.reach(&mut sketch, root, riser, &ends);
            storeys.push(OfStorey { storey: at, ends, by, pieces: first..sketch.pieces.len() });
        }
        let is_old = old_behind(&sketch.pieces, &unserved);
        self.note_storeys(storeys, &sketch.pieces, (&is_old, seen));
        self.lay_estimated(runs, sketch.joined(), (&unserved, seen), (written, climate));
    }

    /// Reaches what is on one storey: by places where all emitters there have one, and by floor area where not.
    fn reach(&self, sketch: &mut Sketch, root: (Option<usize>, i32), riser: Option<Place>, ends: &[Reached]) -> By {
        let is_manifold = |one: &&Reached| matches!(one.end, End::Manifold(_));
        let emitters: Vec<Reached> = ends.iter().filter(|one| !is_manifold(one)).copied().collect();
        let all_known = riser.is_some() && emitters.iter().all(|one| one.place.is_some());
        let (mut placed, mut others) = (Vec::new(), Vec::new());
        for one in ends {
            match one.place.filter(|_| riser.is_some() && (all_known || is_manifold(&one))) {
                Some(place) => placed.push((place, *one)),
                None => others.push(*one),
            }
        }
        // the schema keeps places finite
        if let Some(riser) = riser.filter(|_| !placed.is_empty()) {
            if sketch.by_places(root, riser, &placed).is_err() {
                others = ends.to_vec();
            }
        }
        let rooms = || self.job.rooms.values().filter(|room| storey_of(room) == root.1);
        let area_m2: f64 = rooms().map(|room| room.floor_area_m2).sum();
        let (manifolds, emitters): (Vec<Reached>, Vec<Reached>) = others.iter().partition(|one| is_manifold(one));
        for one in &manifolds {
            sketch.manifold_by_area(root, area_m2, one.end);
        }
        let is_narrow = self.is_narrow(&rooms().collect::<Vec<_>>(), area_m2);
        if !emitters.is_empty() {
            sketch.by_area(root, area_m2, is_narrow, &emitters);
        }
        match (others.is_empty(), is_narrow && !emitters.is_empty()) {
            (true, _) => By::Places,
            (false, true) => By::NarrowArea,
            (false, false) => By::Area,
        }
    }

    fn note_storeys(&mut self, storeys: Vec<OfStorey>, pieces: &[Piece], (old, seen): (&[u32], &Seen)) {
        let spread_percent = 100.0 * self.catalogue.defaults.estimated_run_spread.value;
        for OfStorey { storey, ends, by, pieces: of_storey } in storeys {
            let sum = |is: &dyn Fn(usize) -> bool| -> f64 {
                of_storey.clone().filter(|&number| is(number)).map(|number| pieces[number].length_m).sum::<f64>() + 0.0
            };
            let manifolds = ends.iter().filter(|one| matches!(one.end, End::Manifold(_))).count();
            let route_m = sum(&|_| true);
            let riser_m = sum(&|number| pieces[number].kind == Kind::Riser);
            let kept_m = sum(&|number| seen.is_any() && old[number] > 0);
            let emitters = ends.len() - manifolds;
            if !ends.is_empty() {
                let found = Assumed::Runs { storey, emitters, manifolds, route_m, riser_m, kept_m, by, spread_percent };
                self.notes.add(&found);
            }
        }
    }

    /// Makes runs of the pieces.
    fn lay_estimated(
        &mut self,
        runs: &mut List<Run>,
        pieces: Vec<Piece>,
        (unserved, seen): (&[Unserved], &Seen),
        (written, climate): (&Pipework, &Climate),
    ) {
        let old = old_behind(&pieces, unserved);
        let first = runs.len();
        let mut taken: BTreeSet<String> = runs.iter().map(|run| run.id.clone()).collect();
        let mut numbers = BTreeMap::new();
        for (piece, old) in pieces.into_iter().zip(old) {
            let laid = seen.behind(old).filter(|_| old > 0);
            let length_m = piece.length_m;
            let (open_m, surrounding_c, open_c) = self.surroundings(Lies::Occupied, length_m, (None, None), climate);
            // what lies under floors already is not insulated
            let lagging = if laid.is_some() {
                Lagging::Bare
            } else {
                self.lagging("/pipework", None, written.insulation.as_ref(), (open_m, Lies::Occupied, true))
            };
            runs.push(Run {
                id: self.id_of(&piece, &mut taken, &mut numbers),
                at: if laid.is_some() { kept::AT } else { "/pipework/runs" }.to_owned(),
                from: piece.from.map(|from| Index::new(first + from)),
                length_m,
                bends: piece.bends,
                losses: Vec::new(),
                place: Lies::Occupied,
                velocity_max_m_s: None,
                open_m,
                surrounding_c,
                open_c,
                lagging,
                joists: None,
                laid,
                serves: piece.serves.into_iter().collect(),
            });
        }
    }

    /// What an estimated run is called: what it serves, or what it is and on which storey; no other run is called so.
    fn id_of(&self, piece: &Piece, taken: &mut BTreeSet<String>, numbers: &mut BTreeMap<String, u32>) -> String {
        let below = if piece.storey < 0 { "below-" } else { "" };
        let storey = format!("{below}{}", piece.storey.unsigned_abs());
        let name = match (piece.serves, piece.kind) {
            (Some(end), _) => format!("estimated-{}", self.serves_of(end).word()),
            (None, Kind::Riser) => format!("estimated-riser-{storey}"),
            (None, Kind::Trunk | Kind::Branch) => format!("estimated-trunk-{storey}"),
        };
        let is_one_of_many = piece.serves.is_none() && piece.kind != Kind::Riser;
        let mut id = name.clone();
        while is_one_of_many && id == name || !taken.insert(id.clone()) {
            let number = numbers.entry(name.clone()).or_default();
            *number += 1;
            id = format!("{name}-{number}");
        }
        id
    }

    /// An end as the job names it.
    fn serves_of(&self, end: End) -> Serves {
        match end {
            End::Manifold(index) => {
                let manifolds = self.job.pipework.as_ref().map(|pipework| &pipework.manifolds);
                let found = manifolds.and_then(|manifolds| manifolds.get_index(index.number()));
                Serves::Manifold(found.map(|(id, _)| id.clone()).unwrap_or_default())
            }
            End::Radiator(EmitterAt { room, emitter }) => {
                let found = self.job.rooms.get_index(room.number());
                let (room, emitter) = found.map_or((String::new(), None), |(id, room)| {
                    (id.clone(), room.emitters.keys().nth(emitter.number()).cloned())
                });
                Serves::Emitter { room, emitter: emitter.unwrap_or_default() }
            }
        }
    }
}

/// How many emitters that hung before are behind each piece.
fn old_behind(pieces: &[Piece], unserved: &[Unserved]) -> Vec<u32> {
    let is_old = |end: End| unserved.iter().any(|one| one.reached.end == end && one.reached.is_old);
    let mut behind: Vec<u32> = pieces.iter().map(|piece| u32::from(piece.serves.is_some_and(is_old))).collect();
    for (number, piece) in pieces.iter().enumerate().rev() {
        if let Some(from) = piece.from {
            behind[from] += behind[number];
        }
    }
    behind
}
