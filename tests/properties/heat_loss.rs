//! Heat loss: conservation, monotonicity, and what must not matter.

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};
use tundish::design::heat_loss::HeatLoss;
use tundish::render::json as answer;
use tundish::survey::{Faces, Room, Survey};

use super::houses::{built_house, heat_loss, house, room};

/// Relative difference that sums of a hundred doubles may show: a hundred times their unit of 2.2e-16, and a margin.
const ROUNDING: f64 = 1e-12;

/// The size of the flows of a house, against which rounding is measured (W).
fn size(loss: &HeatLoss) -> f64 {
    let elements = loss.rooms.iter().flat_map(|room| &room.elements);
    1.0 + elements.map(|element| element.transmission_w.abs() + element.thermal_bridging_w.abs()).sum::<f64>()
        + loss.rooms.iter().map(|room| room.ventilation_w.abs() + room.thermal_bridging_w.abs()).sum::<f64>()
}

fn same(one: &HeatLoss, other: &HeatLoss) -> Result<(), TestCaseError> {
    let allowed = ROUNDING * size(one);
    prop_assert!((one.dwelling.design_heat_loss_w - other.dwelling.design_heat_loss_w).abs() <= allowed);
    prop_assert_eq!(one.rooms.len(), other.rooms.len());
    for (a, b) in one.rooms.iter().zip(&other.rooms) {
        for (x, y) in [
            (a.transmission_w, b.transmission_w),
            (a.ventilation_w, b.ventilation_w),
            (a.to_rooms_w, b.to_rooms_w),
            (a.thermal_bridging_w, b.thermal_bridging_w),
            (a.design_heat_loss_w, b.design_heat_loss_w),
        ] {
            prop_assert!((x - y).abs() <= allowed, "{x} became {y}");
        }
    }
    Ok(())
}

/// Ids of a random room of a job and of a random surface of it.
fn pick(job: &Value, room: Index, surface: Index) -> (String, String) {
    let rooms: Vec<&String> = job["rooms"].as_object().unwrap().keys().collect();
    let id = (*room.get(&rooms)).clone();
    let surfaces: Vec<&String> = job["rooms"][&id]["surfaces"].as_object().unwrap().keys().collect();
    let surface = (*surface.get(&surfaces)).clone();
    (id, surface)
}

/// Whether what an element faces is colder than its room, by the outside temperatures of the survey.
fn is_colder(survey: &Survey, loss: &HeatLoss, room: tundish::list::Index<Room>, faces: Faces) -> bool {
    let element = survey.rooms[room].elements.iter().position(|element| element.faces == faces).unwrap();
    loss.rooms[room].elements[element].difference_k > 0.0
}

/// A job with one of its surfaces in two parts.
fn split(job: &Value, at: Index, surface: Index, share: f64) -> Value {
    let (id, surface) = pick(job, at, surface);
    let mut split = job.clone();
    let surfaces = split["rooms"][&id]["surfaces"].as_object_mut().unwrap();
    let whole = surfaces[&surface].clone();
    let area_m2 = whole["area_m2"].as_f64().unwrap();
    let openings_m2 = whole.pointer("/openings/hole/area_m2").and_then(Value::as_f64).unwrap_or(0.0);
    // the opening stays in the first part, which must be large enough for it
    let first_m2 = openings_m2 + (area_m2 - openings_m2) * share;
    let mut rest = whole.clone();
    rest.as_object_mut().unwrap().remove("openings");
    rest["area_m2"] = json!(area_m2 - first_m2);
    surfaces[&surface]["area_m2"] = json!(first_m2);
    surfaces.insert("rest".to_owned(), rest);
    split
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn flows_between_rooms_cancel_and_the_dwelling_loses_what_passes_its_outer_boundary(job in house()) {
        let (survey, loss) = heat_loss(&job);
        let allowed = ROUNDING * size(&loss);
        // what the height of a room adds is for its emitters and no loss of the dwelling
        let rooms_w: f64 = loss.rooms.iter().map(|room| room.design_heat_loss_w - room.height_w).sum();
        let to_rooms_w: f64 = loss.rooms.iter().map(|room| room.to_rooms_w).sum();
        prop_assert!(to_rooms_w.abs() <= allowed, "{to_rooms_w} W are lost between rooms");
        prop_assert!((rooms_w - loss.dwelling.design_heat_loss_w).abs() <= allowed);
        let mut boundary_w = 0.0;
        for (room, lost) in survey.rooms.iter().zip(&loss.rooms) {
            for (element, lost) in room.elements.iter().zip(&lost.elements) {
                if !matches!(element.faces, Faces::Room(_)) {
                    boundary_w += lost.transmission_w;
                }
            }
            boundary_w += lost.thermal_bridging_w + lost.ventilation_w;
        }
        prop_assert!((boundary_w - loss.dwelling.design_heat_loss_w).abs() <= allowed);
    }

    #[test]
    fn what_one_room_gives_through_a_partition_the_other_gets(job in house()) {
        let (survey, loss) = heat_loss(&job);
        for (a, room) in survey.rooms.enumerate() {
            for (element, lost) in room.elements.iter().zip(&loss.rooms[a].elements) {
                let Faces::Room(b) = element.faces else { continue };
                let back = survey.rooms[b].elements.iter().zip(&loss.rooms[b].elements);
                let mut back = back.filter(|(other, _)| other.faces == Faces::Room(a));
                prop_assert!(back.any(|(_, other)| other.transmission_w == -lost.transmission_w), "{lost:?}");
            }
        }
    }

    #[test]
    fn loss_grows_with_the_area_of_an_element_whose_far_side_is_colder_and_falls_where_it_is_warmer(
        job in house(), at in any::<Index>(), surface in any::<Index>(), more in 1.01..2.0_f64,
    ) {
        let (id, surface) = pick(&job, at, surface);
        let mut larger = job.clone();
        let place = &mut larger["rooms"][&id]["surfaces"][&surface];
        place["area_m2"] = json!(place["area_m2"].as_f64().unwrap() * more);
        // thermal bridges by coefficient are shared out by area, so another room's share would shrink
        larger["dwelling"]["thermal_bridging"] = json!({"kind": "allowance", "allowance_w_m2k": 0.05});
        let mut before = job.clone();
        before["dwelling"]["thermal_bridging"] = larger["dwelling"]["thermal_bridging"].clone();
        let ((survey, small), (_, large)) = (heat_loss(&before), heat_loss(&larger));
        let index = room(&survey, &id);
        let element = survey.names.elements[index]
            .iter()
            .position(|name| name.surface == surface && name.opening.is_none() && name.declared_in.is_none())
            .unwrap();
        let difference_k = small.rooms[index].elements[element].difference_k;
        let grown_w = large.rooms[index].design_heat_loss_w - small.rooms[index].design_heat_loss_w;
        let allowed = ROUNDING * size(&large);
        prop_assert!(grown_w * difference_k.signum() >= -allowed, "{difference_k} K: {grown_w} W");
        if difference_k.abs() > 0.01 {
            prop_assert!(grown_w.abs() > 0.0, "{difference_k} K and nothing changed");
        }
        if matches!(survey.rooms[index].elements[element].faces, Faces::Room(_)) {
            prop_assert!((large.dwelling.design_heat_loss_w - small.dwelling.design_heat_loss_w).abs() <= allowed);
        }
    }

    #[test]
    fn loss_grows_with_a_u_value_where_every_element_of_it_has_a_colder_far_side(
        job in house(), construction in 0..4_usize, more in 1.01..1.9_f64,
    ) {
        let mut worse = job.clone();
        let place = &mut worse["constructions"][format!("c{construction}")]["u_value_w_m2k"];
        *place = json!(place.as_f64().unwrap() * more);
        let ((survey, small), (_, large)) = (heat_loss(&job), heat_loss(&worse));
        for (index, room) in survey.rooms.enumerate() {
            let used: Vec<f64> = room.elements.iter().zip(&small.rooms[index].elements)
                .filter(|(element, _)| element.construction.number() == construction)
                .map(|(_, lost)| lost.difference_k)
                .collect();
            let grown_w = large.rooms[index].design_heat_loss_w - small.rooms[index].design_heat_loss_w;
            if used.is_empty() {
                prop_assert_eq!(grown_w, 0.0);
            } else if used.iter().all(|k| *k > 0.01) {
                prop_assert!(grown_w > 0.0);
            } else if used.iter().all(|k| *k < -0.01) {
                prop_assert!(grown_w < 0.0);
            }
        }
    }

    #[test]
    fn loss_grows_as_it_gets_colder_outside(job in house(), colder_k in 0.1..10.0_f64) {
        let mut colder = job.clone();
        let outside_c = job["site"]["climate"]["outside_design_c"].as_f64().unwrap();
        colder["site"]["climate"]["outside_design_c"] = json!(outside_c - colder_k);
        let ((survey, mild), (_, cold)) = (heat_loss(&job), heat_loss(&colder));
        // negative psi-values can outweigh the surfaces: then the house is no house, and it is left out
        prop_assume!(mild.dwelling.transmission_coefficient_w_k > 0.0);
        let negative = mild.rooms.iter().any(|room| room.thermal_bridging_w < 0.0);
        prop_assume!(!negative);
        for (index, (a, b)) in mild.rooms.enumerate().map(|(index, a)| (index, (a, &cold.rooms[index]))) {
            prop_assert!(b.design_heat_loss_w >= a.design_heat_loss_w - ROUNDING * size(&cold));
            prop_assert!(is_colder(&survey, &mild, index, Faces::Outside));
        }
        prop_assert!(cold.dwelling.design_heat_loss_w > mild.dwelling.design_heat_loss_w);
    }

    #[test]
    fn splitting_a_surface_in_two_changes_nothing(
        job in house(), at in any::<Index>(), surface in any::<Index>(), share in 0.01..0.99_f64,
    ) {
        same(&heat_loss(&job).1, &heat_loss(&split(&job, at, surface, share)).1)?;
    }

    #[test]
    fn it_does_not_matter_which_of_two_rooms_declares_what_stands_between_them(job in house(), at in any::<Index>()) {
        let count = job["rooms"].as_object().unwrap().len();
        prop_assume!(count > 1);
        let (here, there) = (at.index(count - 1), at.index(count - 1) + 1);
        let (here, there) = (format!("r{here}"), format!("r{there}"));
        let partition = job["rooms"][&here]["surfaces"]["next"].clone();
        let mut back = partition.clone();
        back["faces"]["room"] = json!(here);
        let mut in_both = job.clone();
        in_both["rooms"][&there]["surfaces"]["back"] = back;
        let mut moved = in_both.clone();
        moved["rooms"][&here]["surfaces"].as_object_mut().unwrap().remove("next");
        let declared = heat_loss(&job).1;
        same(&declared, &heat_loss(&in_both).1)?;
        same(&declared, &heat_loss(&moved).1)?;
    }

    #[test]
    fn moving_a_partition_between_like_rooms_changes_no_total(job in house(), share in -0.9..0.9_f64) {
        let mut job = job;
        job["dwelling"]["ventilation"] = json!({"kind": "air_changes"});
        let mut like = job["rooms"]["r0"].clone();
        like["surfaces"].as_object_mut().unwrap().remove("next");
        job["rooms"]["r0"]["surfaces"]["next"] = json!({
            "part": "wall", "construction": "c0", "area_m2": 9, "faces": {"kind": "room", "room": "like"}
        });
        job["rooms"]["like"] = like;
        if job["rooms"].get("r1").is_some() {
            job["rooms"]["r1"]["surfaces"]["back"] = json!({
                "part": "wall", "construction": "c0", "area_m2": 5, "faces": {"kind": "room", "room": "r0"}
            });
        }
        let (_, before) = heat_loss(&job);
        let area_m2 = job["rooms"]["r0"]["floor_area_m2"].as_f64().unwrap();
        job["rooms"]["r0"]["floor_area_m2"] = json!(area_m2 * (1.0 + share));
        job["rooms"]["like"]["floor_area_m2"] = json!(area_m2 * (1.0 - share));
        let (_, after) = heat_loss(&job);
        let moved_w = after.dwelling.design_heat_loss_w - before.dwelling.design_heat_loss_w;
        prop_assert!(moved_w.abs() <= ROUNDING * size(&before), "{moved_w} W");
    }

    #[test]
    fn built_houses_cancel_between_rooms_and_take_no_more_air_at_one_time_than_room_by_room(job in built_house()) {
        let (survey, loss) = heat_loss(&job);
        let allowed = ROUNDING * size(&loss);
        let to_rooms_w: f64 = loss.rooms.iter().map(|room| room.to_rooms_w).sum();
        prop_assert!(to_rooms_w.abs() <= allowed, "{to_rooms_w} W are lost between rooms");
        let rooms_w: f64 = loss.rooms.iter().map(|room| room.ventilation_w).sum();
        // air warmer than its room can only come from warmer rooms, and is given in both sums
        prop_assert!(loss.dwelling.ventilation_w <= rooms_w + allowed, "{} of {rooms_w}", loss.dwelling.ventilation_w);
        for space in &loss.spaces {
            let warmest_c = survey.rooms.iter().map(|room| room.inside_c).fold(f64::NEG_INFINITY, f64::max);
            let between = (loss.outside_design_c - 1e-9)..=(warmest_c + 1e-9);
            prop_assert!(between.contains(&space.temperature_c), "{}", space.temperature_c);
        }
        prop_assert!(loss.u_values_w_m2k.iter().all(|u| *u > 0.0 && u.is_finite()));
    }

    #[test]
    fn an_unheated_space_gives_what_it_takes(job in built_house()) {
        let (survey, loss) = heat_loss(&job);
        let space = *loss.spaces.iter().next().unwrap();
        let mut taken_w = 0.0;
        for (room, lost) in survey.rooms.iter().zip(&loss.rooms) {
            for (element, lost) in room.elements.iter().zip(&lost.elements) {
                if element.faces == Faces::UnheatedSpace(tundish::list::Index::new(0)) {
                    taken_w += lost.transmission_w + lost.thermal_bridging_w;
                }
            }
        }
        let given_w = space.exchange.outside_w_k * (space.temperature_c - loss.outside_design_c);
        prop_assert!((taken_w - given_w).abs() <= ROUNDING * size(&loss), "{taken_w} in, {given_w} out");
    }

    #[test]
    fn splitting_a_surface_of_a_built_house_changes_nothing(
        job in built_house(), at in any::<Index>(), surface in any::<Index>(), share in 0.01..0.99_f64,
    ) {
        // a window in two is two windows, and air leaks by their number
        let (room, halved) = pick(&job, at, surface);
        prop_assume!(job["rooms"][&room]["surfaces"][&halved]["construction"] != "c2");
        same(&heat_loss(&job).1, &heat_loss(&split(&job, at, surface, share)).1)?;
    }

    #[test]
    fn the_order_of_rooms_does_not_matter(job in house()) {
        let mut turned = job.clone();
        let rooms = turned["rooms"].as_object().unwrap().clone();
        turned["rooms"] = rooms.into_iter().rev().collect::<serde_json::Map<_, _>>().into();
        let ((_, mut loss), (_, back)) = (heat_loss(&job), heat_loss(&turned));
        loss.rooms = loss.rooms.into_iter().rev().collect();
        same(&loss, &back)?;
    }

    #[test]
    fn every_figure_is_finite_and_can_be_written(job in house()) {
        let (survey, loss) = heat_loss(&job);
        let text = answer::to_string(&loss.answer(&survey, None)).unwrap();
        prop_assert!(!text.contains("null"));
        let read: Value = serde_json::from_str(&text).unwrap();
        prop_assert!(read["dwelling"]["design_heat_loss_w"].as_f64().unwrap().is_finite());
    }
}
