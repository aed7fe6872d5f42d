//! Every fault at once: one hides no other, in whatever layer either lies, and none is told that only follows from another.

use serde_json::{Value, json};

use super::helpers::{faults, fixture, problem, shared_service, study};

/// What is told of a job, sorted: pointer and code.
async fn told_by(target: &str, job: &Value) -> Vec<(String, String)> {
    let refused = problem(shared_service().post(target, job).await, 422).await;
    let mut found: Vec<_> =
        faults(&refused).into_iter().map(|(pointer, code)| (pointer.to_owned(), code.to_owned())).collect();
    found.sort_unstable();
    found
}

/// Holds that exactly these faults are told of a job.
async fn hold(job: &Value, expected: &[(&str, &str)]) {
    let mut expected: Vec<_> =
        expected.iter().map(|(pointer, code)| ((*pointer).to_owned(), (*code).to_owned())).collect();
    expected.sort_unstable();
    assert_eq!(told_by("/v1/heat-loss", job).await, expected);
}

/// A study beside a hall, and what stands between them as each of the two has it.
fn pair(of_study_m2: f64, of_hall_m2: f64) -> Value {
    let mut pair = study();
    pair["rooms"]["hall"] = pair["rooms"]["study"].clone();
    for (room, other, area_m2) in [("study", "hall", of_study_m2), ("hall", "study", of_hall_m2)] {
        pair["rooms"][room]["surfaces"]["inner"] = json!({"part": "wall", "construction": "wall", "area_m2": area_m2, "faces": {"kind": "room", "room": other}});
    }
    pair
}

const INNER: &str = "/rooms/study/surfaces/inner";
const NORTH: &str = "/rooms/study/surfaces/north";

#[tokio::test]
async fn a_figure_at_fault_hides_nothing_else_in_its_surface() {
    let mut job = study();
    let north = &mut job["rooms"]["study"]["surfaces"]["north"];
    north["area_m2"] = json!(-4);
    north["construction"] = json!("straw");
    north["openings"] = json!({"window": {"construction": "paper", "area_m2": "large"}});
    north["faces"] = json!({"kind": "room", "room": "attic"});
    hold(
        &job,
        &[
            (&format!("{NORTH}/area_m2"), "too_small"),
            (&format!("{NORTH}/construction"), "unknown_construction"),
            (&format!("{NORTH}/faces/room"), "unknown_room"),
            (&format!("{NORTH}/openings/window/area_m2"), "wrong_type"),
            (&format!("{NORTH}/openings/window/construction"), "unknown_construction"),
        ],
    )
    .await;
}

/// The mirrored cases of the first: whatever member of the surface is at fault, and however, the rest is looked at.
#[tokio::test]
async fn whatever_is_at_fault_in_a_surface_the_rest_of_it_is_looked_at() {
    let mut job = study();
    job["rooms"]["study"]["surfaces"]["north"]["construction"] = json!("straw");
    let unknown = (format!("{NORTH}/construction"), "unknown_construction");
    let spoilt = |member: &str, value: Value| {
        let mut job = job.clone();
        job["rooms"]["study"]["surfaces"]["north"][member] = value;
        job
    };
    for (member, value, at, code) in [
        ("area_m2", json!("9.6"), "/area_m2", "wrong_type"),
        ("area_m2", json!(null), "/area_m2", "wrong_type"),
        ("part", json!("lid"), "/part", "unknown_choice"),
        ("faces", json!("outside"), "/faces", "wrong_type"),
        ("faces", json!({"kind": "moon"}), "/faces/kind", "unknown_choice"),
        ("faces", json!({"kind": "room", "room": "study"}), "/faces/room", "faces_itself"),
        ("faces", json!({"kind": "unheated", "factor": 7}), "/faces/factor", "too_large"),
        ("openings", json!([]), "/openings", "wrong_type"),
        ("colour", json!("red"), "/colour", "unknown_field"),
    ] {
        hold(&spoilt(member, value), &[(&unknown.0, unknown.1), (&format!("{NORTH}{at}"), code)]).await;
    }
    let mut job = job.clone();
    job["rooms"]["study"]["surfaces"]["north"].as_object_mut().unwrap().remove("area_m2");
    hold(&job, &[(&unknown.0, unknown.1), (NORTH, "missing_field")]).await;
}

#[tokio::test]
async fn a_faulty_room_does_not_hide_a_partition_that_disagrees() {
    let apart = pair(7.2, 7.3);
    hold(&apart, &[(INNER, "partition_disagrees")]).await;
    for room in ["study", "hall"] {
        let mut job = apart.clone();
        job["rooms"][room]["height_m"] = json!(-1);
        job["rooms"][room]["use"] = json!("disco");
        job["rooms"][room]["surfaces"]["north"]["area_m2"] = json!(0);
        let at = format!("/rooms/{room}");
        hold(
            &job,
            &[
                (INNER, "partition_disagrees"),
                (&format!("{at}/height_m"), "too_small"),
                (&format!("{at}/use"), "unknown_choice"),
                (&format!("{at}/surfaces/north/area_m2"), "too_small"),
            ],
        )
        .await;
        // a room beside both
        let mut job = apart.clone();
        job["rooms"]["bath"] = json!({"surfaces": []});
        let told = told_by("/v1/heat-loss", &job).await;
        assert!(told.contains(&(INNER.to_owned(), "partition_disagrees".to_owned())), "{told:?}");
    }
}

#[tokio::test]
async fn a_partition_with_a_part_at_fault_is_not_said_to_disagree() {
    // in either room, whatever of the surface is at fault: that alone is told, however far apart the rest would be
    for room in ["study", "hall"] {
        let at = format!("/rooms/{room}/surfaces/inner");
        for (member, value, place, code) in [
            ("area_m2", json!(-7.2), "/area_m2", "too_small"),
            ("construction", json!("straw"), "/construction", "unknown_construction"),
            ("construction", json!("Straw!"), "/construction", "wrong_form"),
            ("part", json!("lid"), "/part", "unknown_choice"),
            ("faces", json!({"kind": "moon"}), "/faces/kind", "unknown_choice"),
            ("faces", json!({"kind": "room", "room": "attic"}), "/faces/room", "unknown_room"),
            (
                "openings",
                json!({"door": {"construction": "wall", "area_m2": -1}}),
                "/openings/door/area_m2",
                "too_small",
            ),
        ] {
            let mut job = pair(7.2, 7.2);
            job["rooms"][room]["surfaces"]["inner"][member] = value;
            hold(&job, &[(&format!("{at}{place}"), code)]).await;
        }
    }
}

#[tokio::test]
async fn a_partition_that_disagrees_names_the_surfaces_of_both_rooms_once() {
    let mut job = pair(10.0, 10.0);
    job["constructions"]["door"] = json!({"kind": "known", "u_value_w_m2k": 2});
    for (room, door_m2) in [("study", 1.6), ("hall", 2.0)] {
        job["rooms"][room]["surfaces"]["inner"]["openings"] =
            json!({"door": {"construction": "door", "area_m2": door_m2}});
    }
    // a door of another size makes the wall another too: one fault
    let refused = problem(shared_service().post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(faults(&refused), [(INNER, "partition_disagrees")]);
    let fault = &refused["errors"][0];
    assert_eq!(fault["also"], json!(["/rooms/hall/surfaces/inner"]));
    let detail = fault["detail"].as_str().unwrap();
    for words in [
        "of door beside study there are 1.60 m² by surface inner of room study",
        "8.00 m² by surface inner of room hall",
    ] {
        assert!(detail.contains(words), "{words}: {detail}");
    }
}

/// Ten faults that have nothing to do with each other: of bounds, of what is unknown, of what disagrees, of rules.
#[tokio::test]
async fn ten_faults_of_different_layers_are_told_at_once() {
    let mut job = fixture("farmhouse");
    let rooms = job["rooms"].as_object_mut().unwrap();
    rooms.extend(pair(7.2, 7.3)["rooms"].as_object().unwrap().clone().into_iter().map(|(id, mut room)| {
        for surface in room["surfaces"].as_object_mut().unwrap().values_mut() {
            surface["construction"] = json!("plank");
            if let Some(other) = surface["faces"]["room"].as_str().map(|other| format!("{other}_2")) {
                surface["faces"]["room"] = json!(other);
            }
        }
        (format!("{id}_2"), room)
    }));
    job["constructions"]["plank"] = json!({"kind": "known", "u_value_w_m2k": 0.5});
    // rules within one object
    job["rooms"]["study_2"]["perimeter_m"] = json!(1);
    job["rooms"]["hall_2"]["surfaces"]["north"]["openings"] = json!({"hole": {"construction": "plank", "area_m2": 40}});
    // bounds, types and choices
    job["rooms"]["study_2"]["height_m"] = json!(-2.4);
    job["rooms"]["hall_2"]["use"] = json!("disco");
    job["dwelling"]["occupants"] = json!("two");
    job["title"] = json!(["farmhouse"]);
    // what the whole document has to know
    job["rooms"]["hall_2"]["surfaces"]["lid"] = json!({"part": "ceiling", "construction": "plank", "area_m2": 3,
        "faces": {"kind": "unheated_space", "space": "attic"}});
    job["pipework"]["runs"]["nowhere"] = json!({"from": "no_such_run", "length_m": 3, "bends": 2, "serves": []});
    job["basis"] = json!({"/rooms/attic": {"known": "measured"}});
    hold(
        &job,
        &[
            ("/rooms/study_2/surfaces/inner", "partition_disagrees"),
            ("/rooms/study_2/perimeter_m", "perimeter_too_short"),
            ("/rooms/hall_2/surfaces/north/openings", "openings_too_large"),
            ("/rooms/study_2/height_m", "too_small"),
            ("/rooms/hall_2/use", "unknown_choice"),
            ("/dwelling/occupants", "wrong_type"),
            ("/title", "wrong_type"),
            ("/rooms/hall_2/surfaces/lid/faces/space", "unknown_space"),
            ("/pipework/runs/nowhere/from", "unknown_run"),
            ("/basis/~1rooms~1attic", "unknown_place"),
        ],
    )
    .await;
}

/// What names a part that is at fault is not at fault itself.
#[tokio::test]
async fn no_fault_is_told_that_only_follows_from_another() {
    let spoilt = |pointer: &str, value: Value| {
        let mut job = fixture("farmhouse");
        *job.pointer_mut(pointer).unwrap() = value;
        job
    };
    for (pointer, value, code) in [
        ("/constructions", json!(7), "wrong_type"),
        ("/rooms", json!("all"), "wrong_type"),
        ("/pipework", json!([]), "wrong_type"),
        ("/pipework/manifolds", json!(true), "wrong_type"),
        ("/pipework/runs", json!(true), "wrong_type"),
        ("/site", json!("here"), "wrong_type"),
        ("/commercial", json!(0), "wrong_type"),
        ("/commercial/quote_date", json!("soon"), "not_a_date"),
        ("/heating", json!(""), "wrong_type"),
        ("/schema", json!(2), "other_schema"),
    ] {
        let told = told_by("/v1/proposal", &spoilt(pointer, value)).await;
        assert_eq!(told, [(pointer.to_owned(), code.to_owned())]);
    }
    // of an emitter whose kind nobody knows it is not said that a run cannot serve it, nor that shares do not add up
    let farmhouse = fixture("farmhouse");
    for (room, emitter) in farmhouse["rooms"].as_object().unwrap().iter().flat_map(|(id, room)| {
        room["emitters"].as_object().into_iter().flatten().map(move |(emitter, _)| (id, emitter))
    }) {
        let at = format!("/rooms/{room}/emitters/{emitter}/kind");
        let told = told_by("/v1/proposal", &spoilt(&at, json!("stove"))).await;
        assert_eq!(told, [(at, "unknown_choice".to_owned())]);
    }
}

/// Where the kind of something is misspelt or missing and only one can be meant, its other members are looked at as that.
#[tokio::test]
async fn a_kind_at_fault_hides_no_other_member_where_one_can_be_meant() {
    for (construction, faults) in [
        // the nearest by its name
        (
            json!({"kind": "layred", "layers": [{"kind": "material", "material": "plasterboard", "thickness_mm": -1}], "colour": 1}),
            vec![("/kind", "unknown_choice"), ("/layers/0/thickness_mm", "too_small"), ("/colour", "unknown_field")],
        ),
        // and what only the whole document knows
        (
            json!({"kind": "layred", "layers": [{"kind": "material", "material": "moondust", "thickness_mm": 10}]}),
            vec![("/kind", "unknown_choice"), ("/layers/0/material", "unknown_material")],
        ),
        // the only one that has such members; a kind that is no text is told once
        (json!({"u_value_w_m2k": "low"}), vec![("", "missing_field"), ("/u_value_w_m2k", "wrong_type")]),
        (json!({"kind": 7, "u_value_w_m2k": -1}), vec![("/kind", "wrong_type"), ("/u_value_w_m2k", "too_small")]),
        // what is missing beside it is told as well
        (json!({"kind": "layerd"}), vec![("/kind", "unknown_choice"), ("", "missing_field")]),
        // nothing is near, and several have such a member: nothing else is known of it
        (json!({"kind": "moon", "description": 1}), vec![("/kind", "unknown_choice")]),
        (json!({"description": 1}), vec![("", "missing_field")]),
    ] {
        let mut job = study();
        job["constructions"]["wall"] = construction;
        let at: Vec<(String, &str)> =
            faults.into_iter().map(|(below, code)| (format!("/constructions/wall{below}"), code)).collect();
        hold(&job, &at.iter().map(|(at, code)| (at.as_str(), *code)).collect::<Vec<_>>()).await;
    }
}

/// Layers, slab and floor of one thing each break several rules: all are told.
#[tokio::test]
async fn rules_of_one_object_hide_no_other_of_it() {
    let taper = |greatest_mm: f64| json!({"outline": "rectangle", "greatest_thickness_mm": greatest_mm});
    let layer =
        |taper: Value| json!({"kind": "conductivity", "conductivity_w_mk": 0.035, "thickness_mm": 50, "taper": taper});
    let mut job = study();
    let mut first = layer(taper(40.0));
    first["bridged_by"] = json!({"kind": "conductivity", "conductivity_w_mk": 0.13, "fraction": 0.1});
    job["constructions"]["wall"] = json!({
        "kind": "layered",
        "layers": [first, layer(taper(90.0))],
        "corrections": {"insulation_layer": 3, "air_gaps": "bridging"}
    });
    let told = told_by("/v1/heat-loss", &job).await;
    let shape: Vec<_> = told
        .iter()
        .filter(|(_, code)| ["unknown_choice", "unknown_field", "missing_field"].contains(&code.as_str()))
        .collect();
    assert!(shape.is_empty(), "{shape:?}");
    for (at, code) in [
        ("layers/0/taper/greatest_thickness_mm", "taper_does_not_grow"),
        ("layers/0/taper", "tapered_and_bridged"),
        ("layers/1/taper", "second_tapered_layer"),
        ("corrections", "tapered_and_corrected"),
        ("corrections/insulation_layer", "no_such_layer"),
    ] {
        assert!(told.contains(&(format!("/constructions/wall/{at}"), code.to_owned())), "{code}: {told:?}");
    }
    assert_eq!(told.len(), 5, "{told:?}");
    let mut job = study();
    job["constructions"]["slab"] = json!({
        "kind": "ground_floor", "soil": "clay", "area_m2": 10, "exposed_perimeter_m": 100, "wall_thickness_mm": 300,
        "layers": [layer(taper(90.0)), layer(taper(90.0))]
    });
    hold(
        &job,
        &[
            ("/constructions/slab/area_m2", "slab_too_narrow"),
            ("/constructions/slab/layers/0/taper", "tapered_in_the_ground"),
            ("/constructions/slab/layers/1/taper", "tapered_in_the_ground"),
        ],
    )
    .await;
}

/// A name that is spelled as none may be is told itself, and nobody is led to it.
#[tokio::test]
async fn a_name_at_fault_is_not_proposed() {
    let mut job = study();
    let wall = job["constructions"]["wall"].clone();
    job["constructions"]["Straw!"] = wall;
    job["rooms"]["study"]["surfaces"]["north"]["construction"] = json!("straw");
    let refused = problem(shared_service().post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(
        faults(&refused),
        [("/constructions/Straw!", "bad_id"), (&*format!("{NORTH}/construction"), "unknown_construction")]
    );
    assert_eq!(refused["errors"][1]["detail"], "there is no construction straw");
}

/// A covering whose figures are at fault is not compared with the other.
#[tokio::test]
async fn figures_at_fault_are_not_compared() {
    let mut job = fixture("farmhouse");
    let floor = &mut job["rooms"]["living"]["emitters"]["floor"];
    floor["worst_covering"] = json!({"thickness_mm": true, "conductivity_w_mk": true});
    let at = "/rooms/living/emitters/floor/worst_covering";
    hold(&job, &[(&format!("{at}/thickness_mm"), "wrong_type"), (&format!("{at}/conductivity_w_mk"), "wrong_type")])
        .await;
}
