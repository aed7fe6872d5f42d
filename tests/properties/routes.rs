//! Routes that nobody drew: the tree of right-angled ways.

use proptest::prelude::*;
use serde_json::{Value, json};
use tundish::methods::rectilinear_tree::{Place, Tree};
use tundish::methods::{Off, routes};

use super::houses::{house, prepared};

fn between_m(a: Place, b: Place) -> f64 {
    (a.x_m - b.x_m).abs() + (a.y_m - b.y_m).abs()
}

/// Length of the least tree that goes from end to end, by adding the nearest again and again (m).
fn from_end_to_end_m(root: Place, ends: &[Place]) -> f64 {
    let (mut reached, mut left, mut length_m) = (vec![root], ends.to_vec(), 0.0);
    while !left.is_empty() {
        let away_m = |end: &Place| reached.iter().map(|one| between_m(*one, *end)).fold(f64::INFINITY, f64::min);
        let next = (0..left.len()).min_by(|&a, &b| away_m(&left[a]).total_cmp(&away_m(&left[b]))).unwrap();
        length_m += away_m(&left[next]);
        reached.push(left.remove(next));
    }
    length_m
}

fn places(most: usize) -> impl Strategy<Value = Vec<Place>> {
    // on a grid of half metres ways meet and coincide
    let place = (0_i32..40, 0_i32..30).prop_map(|(x, y)| Place { x_m: 0.5 * f64::from(x), y_m: 0.5 * f64::from(y) });
    prop::collection::vec(place, 1..most)
}

proptest! {
    #[test]
    fn a_tree_shares_its_ways_and_never_beats_the_shortest(ends in places(14), old in 0_usize..14) {
        let root = Place { x_m: 7.5, y_m: 5.0 };
        let mut tree = Tree::new(root);
        let joints = tree.reach(&ends).unwrap();
        let found_m = tree.length_m();
        for (end, joint) in ends.iter().zip(&joints) {
            prop_assert_eq!(tree.joints()[*joint].place, *end);
        }
        for (number, joint) in tree.joints().iter().enumerate() {
            let Some(from) = joint.from else { prop_assert_eq!(number, 0); continue };
            let before = tree.joints()[from].place;
            prop_assert!(before.x_m == joint.place.x_m || before.y_m == joint.place.y_m);
            prop_assert!(tree.way_m(number) > 0.0);
            // every way leads back to the root
            let way = std::iter::successors(Some(number), |&at| tree.joints()[at].from).take(tree.joints().len() + 1);
            prop_assert_eq!(way.last(), Some(0));
        }
        let plain_m = from_end_to_end_m(root, &ends);
        prop_assert!(found_m <= plain_m + 1e-9 && found_m >= plain_m * 2.0 / 3.0 - 1e-9, "{} {}", found_m, plain_m);
        // what is reached later adds to it, and moves nothing that stands
        let (first, then) = ends.split_at(old.min(ends.len()));
        let mut grown = Tree::new(root);
        grown.reach(first).unwrap();
        let before_m = grown.length_m();
        grown.reach(then).unwrap();
        prop_assert!(grown.length_m() >= before_m - 1e-9);
        prop_assert!(grown.length_m() <= before_m + plain_m + 1e-9);
    }

    #[test]
    fn a_storey_comes_to_its_trunk_and_branches(area_m2 in 5.0_f64..500.0, emitters in 1_u32..30) {
        let ends = f64::from(emitters);
        let found = routes::of_storey(area_m2, ends, &mut Off);
        prop_assert!(found.branch_m > 0.0 && found.piece_m > 0.0);
        let whole_m = (ends + 1.0) * found.piece_m + ends * found.branch_m;
        prop_assert!((whole_m - found.route_m).abs() < 1e-9 * found.route_m);
        let more = routes::of_storey(area_m2, ends + 1.0, &mut Off);
        let wider = routes::of_storey(1.1 * area_m2, ends, &mut Off);
        prop_assert!(more.route_m > found.route_m && wider.route_m > found.route_m);
    }

    /// Whatever is known of a house, each radiator is served once, every run leads on to several or ends, and what lies there
    /// already is just what leads to what hung before.
    #[test]
    fn estimated_runs_of_any_house_are_a_tree(
        mut job in house(),
        told in prop::collection::vec((-1_i32..3, prop::option::of((0.0..20.0_f64, 0.0..12.0_f64)), any::<bool>(), 1_usize..3), 6),
        is_kept in any::<bool>(),
        stands in prop::option::of(0_usize..6),
    ) {
        let ids: Vec<String> = job["rooms"].as_object().unwrap().keys().cloned().collect();
        let mut old = 0;
        for (id, (storey, position, hung_before, radiators)) in ids.iter().zip(&told) {
            let room = &mut job["rooms"][id];
            room["storey"] = json!(storey);
            if let Some((x_m, y_m)) = position {
                room["position"] = json!({"x_m": x_m, "y_m": y_m});
            }
            for number in 0..*radiators {
                let existing = json!({"kind": "rated", "output_w": 1000, "water_l": 5, "keep": "if_enough"});
                let radiator = if *hung_before { json!({"kind": "radiator", "existing": existing}) } else { json!({"kind": "radiator"}) };
                room["emitters"][format!("rad{number}")] = radiator;
                old += usize::from(*hung_before);
            }
        }
        let mut pipework = json!({});
        if is_kept {
            pipework["existing"] = json!({"kind": "kept", "outside_diameters_mm": [15, 22]});
        }
        if let Some(id) = stands.and_then(|number| ids.get(number)) {
            pipework["riser"] = json!({"room": id});
        }
        job["pipework"] = pipework;
        let survey = prepared(&job).survey;
        let runs = &survey.pipes.runs;
        let count = |of: &dyn Fn(&Value) -> usize| job["rooms"].as_object().unwrap().values().map(of).sum::<usize>();
        let radiators = count(&|room| room["emitters"].as_object().unwrap().len());
        let served: Vec<_> = runs.iter().flat_map(|run| run.serves.clone()).collect();
        prop_assert_eq!(served.len(), radiators);
        prop_assert!(served.iter().enumerate().all(|(number, end)| !served[..number].contains(end)));
        let mut laid_ends = 0;
        for (index, run) in runs.enumerate() {
            prop_assert!(run.length_m > 0.0 && run.length_m.is_finite());
            prop_assert!(run.from.is_none_or(|from| from < index));
            let behind: Vec<_> = runs.iter().filter(|other| other.from == Some(index)).collect();
            let leads_on = behind.len() > 1;
            prop_assert!(leads_on == run.serves.is_empty() && (leads_on || behind.is_empty()));
            prop_assert!(runs.iter().filter(|other| other.id == run.id).count() == 1);
            // a tube that lies there begins at the plant or at another
            prop_assert!(run.laid.is_none() || run.from.is_none_or(|from| runs[from].laid.is_some()));
            prop_assert!(run.laid.is_none() || behind.is_empty() || behind.iter().any(|other| other.laid.is_some()));
            laid_ends += usize::from(run.laid.is_some() && !run.serves.is_empty());
        }
        prop_assert_eq!(laid_ends, if is_kept { old } else { 0 });
    }
}
