//! What is found in heated floors and fan convectors, reckoned by hand: heat downward by zone, the thinnest insulation, why nothing fits.

use serde_json::{Value, json};

use super::floor_job::{job, losing, near, row};
use super::helpers::{close, fixture, rooms_of, shared_service, warned};

/// Source: EN 1264-3, by hand: Ro 1/10.8 + 0.045/1.2 = 0.130093 m²K/W; 45 W/m² upward send (0.130093 · 45 + 21 - 10)/1.25 = 13.48333 W/m²
/// downward, 188.767 W under 14 m², of which 53.933 under the 4 m² of an edge.
#[tokio::test]
async fn each_zone_tells_what_it_sends_downward() {
    for (edge_m2, occupied_w, edge_w) in [(0.0, 188.767, None), (4.0, 134.833, Some(53.933))] {
        let job = job(&json!({"edge_area_m2": edge_m2, "design_on": {"kind": "standard"}}));
        let row = row(shared_service(), &job).await;
        near("all", &row["downward_w"], 188.767, 1e-3);
        near("occupied", &row["floor"]["occupied_zone"]["downward_w"], occupied_w, 1e-3);
        let edge = row["floor"].get("edge_zone").map(|zone| &zone["downward_w"]);
        assert_eq!(edge.is_some(), edge_w.is_some());
        edge.zip(edge_w).into_iter().for_each(|(edge, edge_w)| near("edge", edge, edge_w, 1e-3));
    }
}

/// Laid at its closest spacing a floor needs the flow that it needs where it may have no other.
#[tokio::test]
async fn the_closest_spacing_needs_what_it_needs_alone() {
    let least = async |spacings_mm: Value, figure: &str| {
        let row = row(shared_service(), &job(&json!({"spacings_mm": spacings_mm}))).await;
        (row["spacing_mm"].clone(), row["floor"][figure].clone())
    };
    let (spacing_mm, if_closest) = least(json!([100, 150, 200]), "flow_temperature_least_if_closest_c").await;
    let (_, alone) = least(json!([100]), "flow_temperature_least_c").await;
    assert_eq!((spacing_mm, if_closest), (json!(200.0), alone));
}

/// A floor that lacks heat is at the limit of its surface or it is not: 150 W/m² are beyond any floor at 29 °C, 80 W/m² only wants
/// warmer water than 34 °C.
#[tokio::test]
async fn a_floor_that_lacks_heat_tells_whether_its_surface_holds_it() {
    for (w_m2, flow_c, held) in [(80.0, 34.0, false), (150.0, 50.0, true)] {
        let answer = shared_service().answer("/v1/emitters", &losing(w_m2, flow_c, &json!({}))).await;
        let unmet = &answer["emitters"]["unmet"][0];
        assert_eq!((&unmet["code"], &unmet["values"]["at_surface_limit"]), (&json!("floor_too_weak"), &json!(held)));
    }
}

/// Source: EN 1264-4: 1.25 m²K/W towards an unheated space, 2.0 towards the open at -9 °C. Of several undersides the one that lacks most
/// is told: 0.5 lack 0.75, 1.0 lack 0.25; 1.5 before the open lack 0.5, 1.7 lack 0.3. By its U-value alone a floor has 1/U - 0.17.
#[tokio::test]
async fn of_several_undersides_the_one_that_lacks_most_is_told() {
    let inside = json!({"kind": "temperature", "temperature_c": 10});
    let open = json!({"kind": "outside"});
    for (has, also, wanted_m2k_w, told_m2k_w) in [
        ((0.5, &inside), (1.0, &inside), 1.25, 0.5),
        ((1.1, &inside), (1.5, &open), 2.0, 1.5),
        ((0.5, &inside), (1.7, &open), 1.25, 0.5),
    ] {
        for sides in [[has, also], [also, has]] {
            let mut job = job(&json!({}));
            job["rooms"]["room"]["surfaces"].as_object_mut().unwrap().remove("floor");
            for (id, (m2k_w, faces)) in ["a", "b"].into_iter().zip(sides) {
                job["constructions"][id] = json!({"kind": "known", "u_value_w_m2k": 1.0 / (m2k_w + 0.17)});
                job["rooms"]["room"]["surfaces"][id] =
                    json!({"part": "floor", "construction": id, "area_m2": 7, "faces": faces});
            }
            let answer = shared_service().answer("/v1/emitters", &job).await;
            let told = warned(&answer, "thin_insulation");
            assert_eq!(told.len(), 1, "{sides:?}");
            close(&told[0]["values"]["wanted_m2k_w"], wanted_m2k_w, 1e-6);
            close(&told[0]["values"]["has_m2k_w"], told_m2k_w, 1e-6);
        }
    }
}

/// Why no fan convector hangs there is told in a word: none is 100 mm high, none is as quiet as 5 dB. Beside a floor that carries the room
/// one is left out with that reason, and without one where it would fit.
#[tokio::test]
async fn why_no_fan_convector_hangs_is_told_in_a_word() {
    let service = shared_service();
    for (limit, why) in [
        (json!({"fit": {"height_max_mm": 100}}), Some("none_fits")),
        (json!({"sound_max_db": 5}), Some("none_quiet_enough")),
        (json!({}), None),
    ] {
        let mut fan = json!({"kind": "fan_convector"});
        fan.as_object_mut().unwrap().extend(limit.as_object().unwrap().clone());
        let mut alone = rooms_of(&[(1400.0, 20.0, json!({"fan": fan}))]);
        alone["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 52.5});
        let unmet = service.answer("/v1/emitters", &alone).await["emitters"]["unmet"].clone();
        let told = unmet.as_array().unwrap().iter().map(|row| row["values"]["why"].as_str().unwrap());
        assert_eq!(told.collect::<Vec<_>>(), why.into_iter().collect::<Vec<_>>());
        let mut beside = fixture("bungalow");
        beside["heating"]["flow_temperature"] = json!({"kind": "fixed", "flow_temperature_c": 40});
        beside["rooms"]["living"]["emitters"]["fan"] = fan;
        let answer = service.answer("/v1/emitters", &beside).await;
        let left_out = warned(&answer, "emitter_left_out");
        assert_eq!(left_out.len(), 1, "{limit}");
        assert_eq!(left_out[0]["values"].get("why").and_then(Value::as_str), why, "{limit}");
    }
}
