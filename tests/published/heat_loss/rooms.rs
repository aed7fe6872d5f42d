//! Single rooms of textbooks and of sheets worked by hand, through the endpoint.

use serde_json::{Map, Value, json};

use super::asked::{Answer, one_room};
use super::fixture::assert_within;

fn known(u_value_w_m2k: f64) -> Value {
    json!({"kind": "known", "u_value_w_m2k": u_value_w_m2k})
}

fn map<const N: usize>(entries: [(&str, Value); N]) -> Map<String, Value> {
    entries.into_iter().map(|(id, entry)| (id.to_owned(), entry)).collect()
}

/// A garage by its balance, worked by hand: 12 m² of 0.35 to a room of 21 °C; 40 m² of 2.1 and 45 m³ changed 1.5 times an
/// hour to outside at -3 °C, 0.34 Wh/(m³K): b 0.9622, -2.09 °C, 97.0 W. Half a digit of the last place.
#[tokio::test]
async fn a_garage_by_its_own_balance() {
    let constructions = map([("partition", known(0.35)), ("shell", known(2.1))]);
    let faces = json!({"kind": "unheated_space", "space": "garage"});
    let partition = json!({"part": "wall", "construction": "partition", "area_m2": 12.0, "faces": faces});
    let mut job = one_room(constructions, map([("to_garage", partition)]));
    job["unheated_spaces"] = json!({"garage": {
        "volume_m3": 45.0,
        "air_changes_per_h": 1.5,
        "surfaces": {
            "shell": {"part": "wall", "construction": "shell", "area_m2": 40.0, "faces": {"kind": "outside"}}
        }
    }});
    let answer = Answer::to(&job).await;
    let garage = |name: &str| answer.figure(&format!("/heat_loss/unheated_spaces/0/{name}"));
    let (inside_w_k, outside_w_k) = (garage("to_rooms_w_k"), garage("to_outside_w_k"));
    assert_within("to rooms", inside_w_k, 4.2, 0.05);
    assert_within("to outside", outside_w_k, 106.95, 0.005);
    assert_within("b", outside_w_k / (inside_w_k + outside_w_k), 0.9622, 0.000_05);
    assert_within("garage", garage("temperature_c"), -2.09, 0.005);
    assert_within("loss", answer.figure("/heat_loss/rooms/0/design_heat_loss_w"), 97.0, 0.05);
}

/// A room of a trade's textbook page (ukhomeowners.com, heat loss calculations): 3.3 × 3.0 × 2.3 m, 2 air changes, glass
/// 6 m² at 2.9, wall 13.8 m² at 1.5 (the glass is not taken off), floor 9.9 m² at 1.0, 21 and -1 °C, 0.33 Wh/(m³K).
/// Published in W/K: air 15.03, glass 17.4, wall 20.7, floor 9.9, in all 63.03; times 22 K: 1386.6 W. Half a digit of
/// the last place.
#[tokio::test]
async fn a_room_of_a_textbook() {
    let constructions = map([("glass", known(2.9)), ("wall", known(1.5)), ("floor", known(1.0))]);
    let surface = |part: &str, construction: &str, area_m2: f64| json!({"part": part, "construction": construction, "area_m2": area_m2, "faces": {"kind": "outside"}});
    let surfaces = map([
        ("glass", surface("wall", "glass", 6.0)),
        ("wall", surface("wall", "wall", 13.8)),
        ("floor", surface("floor", "floor", 9.9)),
    ]);
    let mut job = one_room(constructions, surfaces);
    job["site"]["climate"]["outside_design_c"] = json!(-1.0);
    job["dwelling"]["air_heat_wh_m3k"] = json!(0.33);
    for (field, value) in [("floor_area_m2", 9.9), ("height_m", 2.3), ("air_changes_per_h", 2.0)] {
        job["rooms"]["room"][field] = json!(value);
    }
    let answer = Answer::to(&job).await;
    let room = |name: &str| answer.figure(&format!("/heat_loss/rooms/0/{name}"));
    for (element, (id, expected)) in [("glass", 17.4), ("wall", 20.7), ("floor", 9.9)].into_iter().enumerate() {
        assert_within(id, room(&format!("elements/{element}/transmission_w")) / 22.0, expected, 0.05);
    }
    assert_within("air", room("ventilation_w") / 22.0, 15.03, 0.005);
    assert_within("in all, by kelvin", room("design_heat_loss_w") / 22.0, 63.03, 0.005);
    assert_within("in all", room("design_heat_loss_w"), 1386.6, 0.05);
}

/// A room worked by hand from the formulas of EN 12831:2003: 21 and -2.2 °C, 10 °C in the mean of the year; wall 18 m² at
/// 0.45, window 3 m² at 1.4, 0.10 W/(m²K) of thermal bridges on both; ground floor 20 m² at 0.25; 9.6 m² at 1.7 to a room
/// of 18 °C; 48 m³ changed every two hours. In W/K: outside 14.4, ground 3.4375, room 2.110345; 462.79 W; air 189.31 W
/// with 0.34 and 183.74 W with 0.33; 652.10 W in all. Half a digit of the last place.
#[tokio::test]
async fn a_room_with_ground_bridges_and_a_neighbour() {
    let constructions =
        map([("wall", known(0.45)), ("window", known(1.4)), ("slab", known(0.25)), ("partition", known(1.7))]);
    let openings = json!({"window": {"construction": "window", "area_m2": 3.0}});
    let neighbour = json!({"kind": "room", "room": "neighbour"});
    let surfaces = map([
        (
            "wall",
            json!({"part": "wall", "construction": "wall", "area_m2": 21.0, "openings": openings,
            "faces": {"kind": "outside"}}),
        ),
        ("slab", json!({"part": "floor", "construction": "slab", "area_m2": 20.0, "faces": {"kind": "ground"}})),
        ("partition", json!({"part": "wall", "construction": "partition", "area_m2": 9.6, "faces": neighbour})),
    ]);
    let mut job = one_room(constructions, surfaces);
    job["site"]["climate"]["outside_design_c"] = json!(-2.2);
    job["dwelling"]["thermal_bridging"]["allowance_w_m2k"] = json!(0.10);
    for (field, value) in [("floor_area_m2", 20.0), ("height_m", 2.4), ("air_changes_per_h", 0.5)] {
        job["rooms"]["room"][field] = json!(value);
    }
    job["rooms"]["neighbour"] = json!({
        "use": "bedroom", "floor_area_m2": 12.0, "height_m": 2.4, "inside_design_c": 18.0, "air_changes_per_h": 0.0,
        "surfaces": {}
    });
    let answer = Answer::to(&job).await;
    let room = |name: &str| answer.figure(&format!("/heat_loss/rooms/0/{name}"));
    let element = |surface: &str| {
        let index = answer.index("/heat_loss/rooms/0/elements", "surface", surface);
        room(&format!("elements/{index}/transmission_w")) / 23.2
    };
    let (ground_w_k, neighbour_w_k) = (element("slab"), element("partition"));
    let outside_w_k = room("transmission_w") / 23.2 - ground_w_k - neighbour_w_k;
    assert_within("outside", outside_w_k, 14.4, 0.000_05);
    assert_within("ground", ground_w_k, 3.4375, 0.000_05);
    assert_within("neighbour", neighbour_w_k, 2.110_345, 0.000_000_5);
    assert_within("transmission", room("transmission_w"), 462.79, 0.005);
    assert_within("ventilation", room("ventilation_w"), 189.31, 0.005);
    assert_within("in all", room("design_heat_loss_w"), 652.10, 0.005);
    job["dwelling"]["air_heat_wh_m3k"] = json!(0.33);
    let answer = Answer::to(&job).await;
    assert_within("ventilation, 0.33", answer.figure("/heat_loss/rooms/0/ventilation_w"), 183.74, 0.005);
}

/// Flows between the rooms of a semi-detached house (diydata.com, central heating design), each area · U-value · difference
/// in imperial units. A product is the same in any units, so areas and U-values go in as printed and temperatures as °F
/// less 45. Published in whole BTU/h: half a digit of the last place. Every partition is declared once and read on both
/// of its sides where both are published.
#[tokio::test]
async fn signed_flows_between_the_rooms_of_a_house() {
    let to = |room: &str| json!({"kind": "room", "room": room});
    let surface = |part: &str, construction: &str, area: f64, faces: Value| json!({"part": part, "construction": construction, "area_m2": area, "faces": faces});
    let room = |fahrenheit: f64, surfaces: Value| {
        json!({
            "use": "living", "floor_area_m2": 238.0, "height_m": 2.5, "inside_design_c": fahrenheit - 45.0,
            "air_changes_per_h": 0.0, "surfaces": surfaces
        })
    };
    let constructions = map([
        ("wall", known(0.18)),
        ("window", known(0.51)),
        ("party", known(0.38)),
        ("floor", known(0.29)),
        ("bathroom_floor", known(0.25)),
        ("partition", known(0.39)),
    ]);
    let mut job = one_room(constructions, Map::new());
    job["site"]["climate"]["outside_design_c"] = json!(30.0 - 45.0);
    job["rooms"] = json!({
        "dining": room(70.0, json!({
            "back": surface("wall", "wall", 72.0, json!({"kind": "outside"})),
            "window": surface("wall", "window", 40.0, json!({"kind": "outside"})),
            "party": surface("wall", "party", 136.0, json!({"kind": "temperature", "temperature_c": 65.0 - 45.0})),
            "ceiling": surface("ceiling", "floor", 238.0, to("bedroom"))
        })),
        "kitchen": room(65.0, json!({
            "ceiling": surface("ceiling", "bathroom_floor", 84.0, to("bathroom")),
            "to_dining": surface("wall", "partition", 112.0, to("dining"))
        })),
        "bedroom": room(65.0, json!({"to_bathroom": surface("wall", "partition", 112.0, to("bathroom"))})),
        "bathroom": room(72.0, json!({}))
    });
    let answer = Answer::to(&job).await;
    let published = [
        ("dining", "back", "wall", 518.0),
        ("dining", "window", "window", 816.0),
        ("dining", "party", "party", 258.0),
        ("dining", "ceiling", "floor", 345.0),
        ("kitchen", "ceiling", "bathroom_floor", -147.0),
        ("kitchen", "to_dining", "partition", -218.0),
        ("bedroom", "ceiling", "floor", -345.0),
        ("bedroom", "to_bathroom", "partition", -306.0),
    ];
    for (room, surface, construction, expected) in published {
        let room = answer.index("/heat_loss/rooms", "room", room);
        let element = answer.index(&format!("/heat_loss/rooms/{room}/elements"), "surface", surface);
        let place = format!("/heat_loss/rooms/{room}/elements/{element}");
        assert_eq!(answer.text(&format!("{place}/construction")), construction);
        assert_within(surface, answer.figure(&format!("{place}/transmission_w")), expected, 0.5);
    }
}
