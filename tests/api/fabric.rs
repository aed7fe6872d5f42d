//! Elements from their parts, over `POST /v1/heat-loss`: what each form does, and how wrong ones are told.

use serde_json::{Value, json};

use super::helpers::{close, faults, problem, shared_service, study};

/// The study with further constructions, each with a surface of 1 m² of a part that faces something.
fn with(parts: &[(&str, Value, &str, Value)]) -> Value {
    let mut job = study();
    job["dwelling"]["construction_year"] = json!(1970);
    job["dwelling"]["thermal_bridging"] = json!({"kind": "allowance", "allowance_w_m2k": 0});
    for (id, construction, part, faces) in parts {
        job["constructions"][*id] = construction.clone();
        job["rooms"]["study"]["surfaces"][*id] =
            json!({"part": part, "construction": id, "area_m2": 1, "faces": faces});
    }
    job
}

fn outside() -> Value {
    json!({"kind": "outside"})
}

fn u_value(answer: &Value, id: &str) -> Value {
    let rows = answer["heat_loss"]["constructions"].as_array().unwrap();
    rows.iter().find(|row| row["construction"] == id).unwrap_or_else(|| panic!("no {id}"))["u_value_w_m2k"].clone()
}

/// Source: ISO 6946. 100 mm at 0.04 W/(mK) is 2.5 m²K/W; with surfaces 0.13 + 0.04 outward, 0.10 + 0.04 upward, 0.17 +
/// 0.04 downward, and the inside surface twice towards a space of given temperature.
#[tokio::test]
async fn one_construction_has_a_u_value_for_each_way_that_heat_flows() {
    let wool = json!({"kind": "layered", "layers": [{"kind": "conductivity", "thickness_mm": 100, "conductivity_w_mk": 0.04}]});
    let mut job = with(&[("wool", wool, "wall", outside())]);
    let surfaces = &mut job["rooms"]["study"]["surfaces"];
    let given = json!({"kind": "temperature", "temperature_c": 5});
    for (id, part, faces) in [("up", "roof", outside()), ("down", "floor", outside()), ("in", "wall", given)] {
        surfaces[id] = json!({"part": part, "construction": "wool", "area_m2": 1, "faces": faces});
    }
    let answer = shared_service().answer("/v1/heat-loss", &job).await;
    let expected = [
        ("horizontal", "outside", 1.0 / (2.5 + 0.17)),
        ("up", "outside", 1.0 / (2.5 + 0.14)),
        ("down", "outside", 1.0 / (2.5 + 0.21)),
        ("horizontal", "inside", 1.0 / (2.5 + 0.26)),
    ];
    let rows = answer["heat_loss"]["constructions"].as_array().unwrap();
    for (flow, beyond, u_value) in expected {
        let row = rows.iter().find(|row| row["heat_flow"] == flow && row["beyond"] == beyond);
        close(&row.unwrap_or_else(|| panic!("{flow} {beyond}: {rows:?}"))["u_value_w_m2k"], u_value, 1e-6);
    }
    assert_eq!(rows.len(), 5, "one row for each way, and the wall of known U-value: {rows:?}");
}

/// Heat passes a floor between two rooms in one direction only, so that its U-value is one and its flows cancel,
/// whichever room declares it.
#[tokio::test]
async fn a_floor_between_rooms_has_the_u_value_of_the_way_that_heat_flows() {
    let service = shared_service();
    for (upper_c, lower_c, flow, surface) in [(21, 18, "down", 0.17), (18, 21, "up", 0.10)] {
        for declared_above in [true, false] {
            let mut job = study();
            job["dwelling"]["thermal_bridging"] = json!({"kind": "allowance", "allowance_w_m2k": 0});
            job["constructions"]["floor"] =
                json!({"kind": "layered", "layers": [{"kind": "resistance", "resistance_m2k_w": 0.5}]});
            let room = job["rooms"]["study"].clone();
            job["rooms"] = json!({"upper": room, "lower": room});
            job["rooms"]["upper"]["inside_design_c"] = json!(upper_c);
            job["rooms"]["lower"]["inside_design_c"] = json!(lower_c);
            let (room, part, other) =
                if declared_above { ("upper", "floor", "lower") } else { ("lower", "ceiling", "upper") };
            job["rooms"][room]["surfaces"]["between"] = json!({
                "part": part, "construction": "floor", "area_m2": 10, "faces": {"kind": "room", "room": other}
            });
            let answer = service.answer("/v1/heat-loss", &job).await;
            let rows = answer["heat_loss"]["constructions"].as_array().unwrap();
            let rows: Vec<&Value> = rows.iter().filter(|row| row["construction"] == "floor").collect();
            assert_eq!((rows.len(), &rows[0]["heat_flow"]), (1, &json!(flow)));
            close(&rows[0]["u_value_w_m2k"], 1.0 / (0.5 + 2.0 * surface), 1e-6);
            let to_rooms: f64 = answer["heat_loss"]["rooms"]
                .as_array()
                .unwrap()
                .iter()
                .map(|room| room["to_rooms_w"].as_f64().unwrap())
                .sum();
            assert!(to_rooms.abs() < 1e-9, "{to_rooms}");
        }
    }
}

/// Source: ISO 6946:2007. A well ventilated layer leaves out itself and what lies outside it, and its surface is as
/// sheltered as one inside; between 500 and 1500 mm² the element lies between that and the still one.
#[tokio::test]
async fn air_layers_count_as_they_are_ventilated() {
    let wall = |openings_mm2_m: f64| {
        json!({"kind": "layered", "layers": [
            {"kind": "resistance", "resistance_m2k_w": 0.3},
            {"kind": "air", "thickness_mm": 50, "openings_mm2_m": openings_mm2_m},
            {"kind": "resistance", "resistance_m2k_w": 2.0}
        ]})
    };
    let (still, open) = (0.13 + 2.0 + 0.18 + 0.3 + 0.04, 0.13 + 2.0 + 0.13);
    let service = shared_service();
    for (openings_mm2_m, total) in
        [(0.0, still), (499.0, still), (500.0, still), (1000.0, 0.5 * (still + open)), (1500.0, open), (9000.0, open)]
    {
        let answer = service.answer("/v1/heat-loss", &with(&[("rain", wall(openings_mm2_m), "wall", outside())])).await;
        close(&u_value(&answer, "rain"), 1.0 / total, 1e-6);
    }
}

/// Materials and typical U-values are looked up, named in the assumptions, and refused where they are not known.
#[tokio::test]
async fn materials_and_typical_elements_come_from_the_catalogue() {
    let service = shared_service();
    let wall =
        json!({"kind": "layered", "layers": [{"kind": "material", "material": "softwood", "thickness_mm": 130}]});
    let cavity = json!({"kind": "typical", "element": "cavity_wall"});
    let later = json!({"kind": "typical", "element": "cavity_wall", "construction_year": 1990});
    let job = with(&[
        ("log", wall, "wall", outside()),
        ("cavity", cavity, "wall", outside()),
        ("later", later, "wall", outside()),
    ]);
    let answer = service.answer("/v1/heat-loss", &job).await;
    // RdSAP 2012: a cavity wall as built, 1967 to 1975 and 1983 to 1990
    assert_eq!((u_value(&answer, "cavity"), u_value(&answer, "later")), (json!(1.6), json!(0.6)));
    let told = answer["notes"]["assumptions"].as_array().unwrap().iter();
    let told: Vec<(&str, &str)> =
        told.map(|note| (note["code"].as_str().unwrap(), note["pointer"].as_str().unwrap())).collect();
    assert!(told.contains(&("typical_u_value", "/constructions/cavity")), "{told:?}");
    let mut job = with(&[
        (
            "log",
            json!({"kind": "layered", "layers": [{"kind": "material", "material": "unobtainium", "thickness_mm": 10}]}),
            "wall",
            outside(),
        ),
        ("odd", json!({"kind": "typical", "element": "paper_wall"}), "wall", outside()),
        ("undated", json!({"kind": "typical", "element": "cob_wall"}), "wall", outside()),
    ]);
    job["dwelling"].as_object_mut().unwrap().remove("construction_year");
    let refused = problem(service.post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(
        faults(&refused),
        [
            ("/constructions/log/layers/0/material", "unknown_material"),
            ("/constructions/odd/element", "unknown_element"),
            ("/constructions/undated", "missing_field"),
        ]
    );
}

/// A thermal bridge by conductivity and by resistance are one and the same, and so are a material and its conductivity.
#[tokio::test]
async fn forms_that_mean_the_same_give_the_same() {
    let layer = |bridge: Value| {
        json!({"kind": "layered", "layers": [
            {"kind": "conductivity", "thickness_mm": 140, "conductivity_w_mk": 0.04, "bridged_by": bridge}
        ]})
    };
    let by_conductivity = layer(json!({"kind": "conductivity", "fraction": 0.15, "conductivity_w_mk": 0.12}));
    let by_resistance = layer(json!({"kind": "resistance", "fraction": 0.15, "resistance_m2k_w": 0.14 / 0.12}));
    let size = json!({"kind": "window", "glazing_u_value_w_m2k": 1.1, "frame_u_value_w_m2k": 1.4, "spacer_psi_w_mk": 0.06,
        "measures": {"kind": "sizes", "width_mm": 1000, "height_mm": 1200, "frame_width_mm": 80}});
    let mut areas = size.clone();
    areas["measures"] = json!({"kind": "areas", "glass_area_m2": 0.84 * 1.04, "frame_area_m2": 1.2 - 0.84 * 1.04, "glass_edge_m": 3.76});
    let answer = shared_service()
        .answer(
            "/v1/heat-loss",
            &with(&[
                ("a", by_conductivity, "wall", outside()),
                ("b", by_resistance, "wall", outside()),
                ("c", size, "wall", outside()),
                ("d", areas, "wall", outside()),
            ]),
        )
        .await;
    close(&u_value(&answer, "a"), u_value(&answer, "b").as_f64().unwrap(), 1e-6);
    close(&u_value(&answer, "c"), u_value(&answer, "d").as_f64().unwrap(), 1e-6);
}

#[tokio::test]
async fn wrong_fabric_is_told_all_at_once_and_where_it_is() {
    let layer = |thickness_mm: f64, conductivity_w_mk: f64| json!({"kind": "conductivity", "thickness_mm": thickness_mm, "conductivity_w_mk": conductivity_w_mk});
    let mut job = with(&[]);
    job["constructions"] = json!({
        "wall": {"kind": "known", "u_value_w_m2k": 0.3},
        "no_conductivity": {"kind": "layered", "layers": [layer(10.0, 0.0)]},
        "all_bridge": {"kind": "layered", "layers": [{
            "kind": "resistance", "resistance_m2k_w": 1, "bridged_by": {"kind": "resistance", "fraction": 1.2, "resistance_m2k_w": 0.1}
        }]},
        "thick_bridge": {"kind": "layered", "layers": [{
            "kind": "resistance", "resistance_m2k_w": 1, "bridged_by": {"kind": "conductivity", "fraction": 0.1, "conductivity_w_mk": 0.1}
        }]},
        "all_frame": {"kind": "window", "glazing_u_value_w_m2k": 1, "frame_u_value_w_m2k": 1,
            "measures": {"kind": "sizes", "width_mm": 500, "height_mm": 900, "frame_width_mm": 250}},
        "shrinking": {"kind": "layered", "layers": [{
            "kind": "conductivity", "thickness_mm": 100, "conductivity_w_mk": 0.03,
            "taper": {"greatest_thickness_mm": 80, "outline": "rectangle"}
        }]},
        "corrected": {"kind": "layered", "layers": [layer(10.0, 0.1)], "corrections": {"insulation_layer": 2}}
    });
    job["rooms"]["study"]["inside_design_c"] = json!(-5);
    let surfaces = &mut job["rooms"]["study"]["surfaces"];
    surfaces["big_window"] = json!({"part": "wall", "construction": "wall", "area_m2": 2,
        "openings": {"w": {"construction": "wall", "area_m2": 3}}});
    surfaces["nowhere"] =
        json!({"part": "wall", "construction": "wall", "area_m2": 2, "faces": {"kind": "room", "room": "attic"}});
    surfaces["no_space"] = json!({"part": "wall", "construction": "wall", "area_m2": 2, "faces": {"kind": "unheated_space", "space": "garage"}});
    job["rooms"]["hall"] = json!({"use": "hall", "floor_area_m2": 5, "height_m": 2.4, "surfaces": {
        "a": {"part": "wall", "construction": "wall", "area_m2": 5, "faces": {"kind": "room", "room": "store"}}
    }});
    job["rooms"]["store"] = json!({"use": "store", "floor_area_m2": 5, "height_m": 2.4, "surfaces": {
        "a": {"part": "wall", "construction": "wall", "area_m2": 6, "faces": {"kind": "room", "room": "hall"}}
    }});
    let refused = problem(shared_service().post("/v1/heat-loss", &job).await, 422).await;
    let mut told = faults(&refused);
    told.sort_unstable();
    let expected = [
        ("/constructions/all_bridge/layers/0/bridged_by/fraction", "too_large"),
        ("/constructions/all_frame/measures/frame_width_mm", "frame_without_glass"),
        ("/constructions/corrected/corrections/insulation_layer", "no_such_layer"),
        ("/constructions/no_conductivity/layers/0/conductivity_w_mk", "too_small"),
        ("/constructions/shrinking/layers/0/taper/greatest_thickness_mm", "taper_does_not_grow"),
        ("/constructions/thick_bridge/layers/0/bridged_by", "bridge_without_thickness"),
        ("/rooms/hall/surfaces/a", "partition_disagrees"),
        ("/rooms/study/inside_design_c", "room_not_warmer_than_outside"),
        ("/rooms/study/surfaces/big_window/openings", "openings_too_large"),
        ("/rooms/study/surfaces/no_space/faces/space", "unknown_space"),
        ("/rooms/study/surfaces/nowhere/faces/room", "unknown_room"),
    ];
    // a negative inside temperature is below what the schema takes: told as that, and nothing rests on it
    let expected: Vec<_> = expected
        .into_iter()
        .map(|pair| if pair.1 == "room_not_warmer_than_outside" { (pair.0, "too_small") } else { pair })
        .collect();
    assert_eq!(told, expected);
}

#[tokio::test]
async fn what_lies_in_the_ground_faces_it_and_fits_its_part() {
    let slab = json!({"kind": "ground_floor", "area_m2": 40, "exposed_perimeter_m": 20, "wall_thickness_mm": 300, "soil": "clay"});
    let basement = json!({"kind": "basement", "area_m2": 40, "exposed_perimeter_m": 26, "depth_m": 2, "wall_thickness_mm": 300, "soil": "clay"});
    let layers = json!({"kind": "layered", "layers": [{"kind": "resistance", "resistance_m2k_w": 1}]});
    let ground = json!({"kind": "ground"});
    let job = with(&[
        ("afloat", slab.clone(), "floor", outside()),
        ("upright", slab, "wall", ground.clone()),
        ("lid", basement.clone(), "ceiling", ground.clone()),
        ("buried", layers, "wall", ground.clone()),
        ("cellar", basement, "wall", ground),
    ]);
    let refused = problem(shared_service().post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(
        faults(&refused),
        [
            ("/rooms/study/surfaces/afloat", "off_the_ground"),
            ("/rooms/study/surfaces/upright/part", "wrong_part"),
            ("/rooms/study/surfaces/lid/part", "wrong_part"),
            ("/rooms/study/surfaces/buried", "on_the_ground"),
        ]
    );
}

/// Source: ISO 13789 and EN 12831:2003; hand balance. 6 W/K to a room of 21 °C, 22.65 W/K to -3 °C, a slab of 12 W/K over ground
/// of 10 °C: the corrections fg1 and Gw raise losses and no gain, so (126 - 67.95 + 120)/40.65 = 4.380 °C and 99.72 W. The slab is
/// that of 45 m², 10 m, walls of 0.25 m on clay: B' 9, dt 0.565, U = 2·1.5/(9π + 0.565)·ln(9π/0.565 + 1).
#[tokio::test]
async fn the_ground_warms_a_colder_space_without_corrections_for_losses() {
    let (nine_pi, dt) = (9.0 * std::f64::consts::PI, 0.25 + 1.5 * 0.21);
    let slab_w_m2k = 3.0 / (nine_pi + dt) * tundish::methods::math::ln(nine_pi / dt + 1.0);
    let mut job = study();
    job["dwelling"]["thermal_bridging"] = json!({"kind": "allowance", "allowance_w_m2k": 0});
    job["dwelling"]["ground_water_near"] = json!(true);
    job["site"]["climate"]["annual_mean_outside_c"] = json!(10);
    job["rooms"]["study"]["inside_design_c"] = json!(21);
    job["constructions"]["one"] = json!({"kind": "known", "u_value_w_m2k": 1});
    job["constructions"]["slab"] = json!({"kind": "ground_floor", "soil": "clay", "area_m2": 45, "exposed_perimeter_m": 10,
        "wall_thickness_mm": 250, "layers": []});
    let wall =
        |area_m2: f64, faces: Value| json!({"part": "wall", "construction": "one", "area_m2": area_m2, "faces": faces});
    let into_store = json!({"kind": "unheated_space", "space": "store"});
    job["rooms"]["study"]["surfaces"] = json!({"inner": wall(6.0, into_store)});
    job["unheated_spaces"] = json!({"store": {"volume_m3": 30, "air_changes_per_h": 0, "surfaces": {
        "outer": wall(22.65, outside()),
        "slab": {"part": "floor", "construction": "slab", "area_m2": 12.0 / slab_w_m2k, "faces": {"kind": "ground"}}}}});
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    close(&loss["unheated_spaces"][0]["temperature_c"], (126.0 - 67.95 + 120.0) / 40.65, 1e-6);
    close(&loss["rooms"][0]["transmission_w"], 6.0 * (21.0 - (126.0 - 67.95 + 120.0) / 40.65), 1e-6);
    // a space that the ground cools takes both: 30 W/K to the room, 1.45·1.15·12 to the ground
    job["rooms"]["study"]["surfaces"]["inner"]["area_m2"] = json!(300);
    let loss = shared_service().answer("/v1/heat-loss", &job).await["heat_loss"].clone();
    let ground_w_k = 1.45 * 1.15 * 12.0;
    let warm_c = (300.0 * 21.0 - 67.95 + ground_w_k * 10.0) / (300.0 + 22.65 + ground_w_k);
    close(&loss["unheated_spaces"][0]["temperature_c"], warm_c, 1e-6);
}

/// A room that is colder than the mean of the year gains from the ground as much as U·A and the difference give, no more.
#[tokio::test]
async fn the_ground_warms_a_colder_room_without_corrections_for_losses() {
    let mut job = study();
    job["dwelling"]["ground_water_near"] = json!(true);
    job["site"]["climate"]["annual_mean_outside_c"] = json!(10);
    job["constructions"]["slab"] = json!({"kind": "ground_floor", "soil": "clay", "area_m2": 45, "exposed_perimeter_m": 10,
        "wall_thickness_mm": 250, "layers": []});
    job["rooms"]["study"]["surfaces"] =
        json!({"slab": {"part": "floor", "construction": "slab", "area_m2": 12, "faces": {"kind": "ground"}}});
    let at = async |inside_c: f64| {
        let mut job = job.clone();
        job["rooms"]["study"]["inside_design_c"] = json!(inside_c);
        let answer = shared_service().answer("/v1/heat-loss", &job).await;
        let per_k = 12.0 * u_value(&answer, "slab").as_f64().unwrap();
        (answer["heat_loss"]["rooms"][0]["elements"][0]["transmission_w"].clone(), per_k)
    };
    let (gained, per_k) = at(6.0).await;
    close(&gained, -4.0 * per_k, 1e-6);
    let (lost, per_k) = at(14.0).await;
    close(&lost, 4.0 * 1.45 * 1.15 * per_k, 1e-6);
}

/// Which way heat flows through a ceiling hangs on which side is warmer, however the other side is told. Source: ISO 6946, an air
/// layer of 25 mm: 0.16 m²K/W upwards, 0.19 downwards, and the surfaces 0.10 or 0.17 on either side.
#[tokio::test]
async fn heat_flows_through_a_ceiling_from_its_warmer_side() {
    let ceiling = json!({"kind": "layered", "layers": [
        {"kind": "conductivity", "thickness_mm": 100, "conductivity_w_mk": 0.2}, {"kind": "air", "thickness_mm": 25}]});
    for (inside_c, beyond_c, flow, surfaces_and_air) in
        [(18.0, 20.0, "down", 0.34 + 0.19), (22.0, 20.0, "up", 0.20 + 0.16), (20.0, 20.0, "down", 0.34 + 0.19)]
    {
        for faces in [json!({"kind": "temperature", "temperature_c": beyond_c}), json!({"kind": "adjoining_dwelling"})]
        {
            let mut job = with(&[("lid", ceiling.clone(), "ceiling", faces.clone())]);
            job["dwelling"]["adjoining"] = json!({"kind": "fixed", "temperature_c": beyond_c});
            job["rooms"]["study"]["inside_design_c"] = json!(inside_c);
            let answer = shared_service().answer("/v1/heat-loss", &job).await;
            close(&u_value(&answer, "lid"), 1.0 / (0.5 + surfaces_and_air), 1e-6);
            let rows = answer["heat_loss"]["constructions"].as_array().unwrap();
            assert_eq!(rows.iter().find(|row| row["construction"] == "lid").unwrap()["heat_flow"], flow, "{faces}");
        }
    }
}
