//! What no warmer water mends does not set the flow temperature: it is told with what it lacks there and what would give that.

use serde_json::{Value, json};
use tundish::methods::math::{ln, pow};

use super::figures::number;
use super::helpers::{close, fixture, lowest, rooms_of, shared_service};
use super::steps::make;

async fn sought(job: &Value) -> Value {
    shared_service().answer("/v1/flow-temperatures", job).await["flow_temperatures"]["lowest"].clone()
}

fn radiator(fit: &Value) -> Value {
    json!({"rad": {"kind": "radiator", "fit": fit}})
}

/// The only row of what is set aside.
fn aside(lowest: &Value) -> &Value {
    let [row] = lowest["set_aside"].as_array().unwrap().as_slice() else { panic!("{lowest}") };
    row
}

/// Two rooms of which the first is held by the length that fits and asks for a middling flow, and a second of another kind.
fn beside_an_ordinary_room(loss_w: f64, floor_m2: f64, emitters: Value) -> (Value, Value) {
    let ordinary = (1000.0, 20.0, radiator(&json!({"length_max_mm": 1200, "height_max_mm": 600})));
    (rooms_of(std::slice::from_ref(&ordinary)), rooms_of(&[ordinary, (loss_w, floor_m2, emitters)]))
}

/// A landing that nothing heats asks for no hotter water: the house is found as with a radiator there. What it lacks is its loss,
/// and the radiator that is told gives that by EN 442.
#[tokio::test]
async fn a_room_without_an_emitter_does_not_lift_the_flow() {
    let service = shared_service();
    let whole = lowest(fixture("terrace"), 25.0, 55.0);
    let mut job = whole.clone();
    job["rooms"]["landing"].as_object_mut().unwrap().remove("emitters");
    job["pipework"]["runs"].as_object_mut().unwrap().retain(|_, run| {
        !run["serves"].as_array().is_some_and(|serves| serves.iter().any(|end| end["room"] == "landing"))
    });
    let (with, without) = (sought(&whole).await, sought(&job).await);
    assert_eq!(without["flow_temperature_c"], with["flow_temperature_c"]);
    assert!(number(&without["flow_temperature_c"]) < 55.0);
    let told = |lowest: &Value| {
        lowest["set_aside"].as_array().unwrap().iter().find(|row| row["values"]["room"] == "landing").cloned()
    };
    assert_eq!(told(&with), None);
    let row = told(&without).unwrap();
    let loss = service.answer("/v1/heat-loss", &job).await["heat_loss"]["rooms"].clone();
    let loss_w =
        number(&loss.as_array().unwrap().iter().find(|room| room["room"] == "landing").unwrap()["design_heat_loss_w"]);
    close(&row["values"]["short_w"], loss_w, 1e-6);
    assert_eq!((&row["values"]["why"], &row["pointer"]), (&json!("no_emitter"), &json!("/rooms/landing")));
    assert!(number(&row["values"]["gives_w"]) >= loss_w);
    // the emitters tell the same, and the landing hangs in the changes
    let emitters = service.answer("/v1/emitters", &job).await["emitters"].clone();
    let codes: Vec<&str> =
        emitters["unmet"].as_array().unwrap().iter().map(|row| row["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"no_emitter") && codes.contains(&"set_aside") && emitters["complete"] == false);
    let changes = without["next_changes"].as_array().unwrap();
    let hung = changes.iter().find(|change| change["steps"][0]["change"] == "radiator_hung").unwrap();
    assert_eq!((&hung["gain_k"], &hung["steps"][0]["product"]), (&json!(0.0), &row["values"]["product"]));
    make(&mut job, &hung["steps"][0]);
    assert_eq!(told(&sought(&job).await), None);
}

/// Source: EN 1264, timber at 27 °C in a room of 21 °C gives at most 8.92·6^1.1 = 64.0 W/m², so 12 m² never 1,100 W; a radiator
/// beside it gives the rest. Its capacity by EN 442: rated output times (mean excess over 49.833 K) to the exponent.
#[tokio::test]
async fn a_floor_at_its_surface_limit_does_not_lift_the_flow() {
    let timber = json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {},
        "covering": {"thickness_mm": 14, "conductivity_w_mk": 0.18, "material": "timber"}}});
    let (alone, both) = beside_an_ordinary_room(1100.0, 12.0, timber);
    let mut colder = both.clone();
    colder["rooms"]["r0"]["surfaces"]["wall"]["area_m2"] = json!(1300.0 / 24.0);
    let (alone, found) = (sought(&alone).await, sought(&colder).await);
    let mut ordinary = colder.clone();
    ordinary["rooms"].as_object_mut().unwrap().remove("r1");
    assert_eq!(found["flow_temperature_c"], sought(&ordinary).await["flow_temperature_c"], "{alone}");
    let row = aside(&found);
    assert_eq!((&row["values"]["why"], &row["values"]["room"]), (&json!("surface_limit"), &json!("r1")));
    let short_w = number(&row["values"]["short_w"]);
    assert!(short_w > 1100.0 - 12.0 * 64.0, "{row}");
    let code = row["values"]["product"].as_str().unwrap();
    let data = include_str!("../../src/reading/catalogue/data/radiators.csv");
    let cells: Vec<&str> =
        data.lines().find(|line| line.starts_with(&format!("{code},"))).unwrap().split(',').collect();
    let header: Vec<&str> = data.lines().find(|line| line.starts_with("code,")).unwrap().split(',').collect();
    // the description holds commas between quotes: count from the end
    let cell = |name: &str| -> f64 {
        let from_end = header.len() - header.iter().position(|column| *column == name).unwrap();
        cells[cells.len() - from_end].parse().unwrap()
    };
    let flow_c = number(&found["flow_temperature_c"]);
    let excess_k = 5.0 / ln((flow_c - 21.0) / (flow_c - 26.0));
    let gives_w = cell("output_w") * pow(excess_k / 49.833, cell("exponent"));
    close(&row["values"]["gives_w"], gives_w, 1e-4);
    assert!(gives_w >= short_w);
    let changes = found["next_changes"].as_array().unwrap();
    assert!(
        changes
            .iter()
            .any(|change| change["steps"][0]["change"] == "radiator_beside" && change["steps"][0]["room"] == "r1")
    );
}

/// A floor asks for the flow that takes it to the limit of its surface and for no more, however much of the house it is: there it
/// gives what the limit allows, and what is told of it is one thing.
#[tokio::test]
async fn a_floor_asks_for_water_up_to_its_surface_limit_however_much_of_the_house_it_is() {
    let timber = |loss_w: f64| {
        (
            loss_w,
            12.0,
            json!({"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "screed": {},
            "covering": {"thickness_mm": 14, "conductivity_w_mk": 0.18, "material": "timber"}}}),
        )
    };
    let mut flows = Vec::new();
    for loss_w in [900.0, 1100.0, 2200.0] {
        let found = sought(&rooms_of(&[timber(loss_w), (300.0, 14.0, radiator(&json!({})))])).await;
        let row = aside(&found);
        assert_eq!(row["values"]["why"], "surface_limit");
        flows.push(number(&found["flow_temperature_c"]));
        // half a kelvin cooler it is not at its limit yet
        assert_eq!(
            (&found["held_by"]["code"], &found["held_by"]["values"]["at_surface_limit"]),
            (&json!("floor_too_weak"), &json!(false))
        );
        let given_w = loss_w - number(&row["values"]["short_w"]);
        // EN 1264: at most 8.92·6^1.1 = 64.0 W/m² at 27 °C in a room of 21 °C
        assert!(given_w < 12.0 * 64.0 + 0.5 && given_w > 11.0 * 64.0, "{given_w}");
    }
    assert!(flows.iter().all(|flow_c| (flow_c - flows[0]).abs() < 1e-9) && flows[0] < 55.0, "{flows:?}");
}

/// EN 1264-3: bathrooms do not set the common flow temperature; where there are no other rooms they do.
#[tokio::test]
async fn a_bathroom_does_not_lift_the_flow_unless_it_is_alone() {
    let rail = json!({"rail": {"kind": "radiator", "towel_rail": true, "fit": {"height_max_mm": 900}}});
    let (ordinary, mut both) = beside_an_ordinary_room(420.0, 6.0, rail.clone());
    both["rooms"]["r1"]["use"] = json!("bathroom");
    let (ordinary, found) = (sought(&ordinary).await, sought(&both).await);
    assert_eq!(found["flow_temperature_c"], ordinary["flow_temperature_c"]);
    let row = aside(&found);
    assert_eq!(row["values"]["why"], "bathroom");
    assert!(row["detail"].as_str().unwrap().ends_with("or a towel rail with an electric element"), "{row}");
    let mut bathroom = rooms_of(&[(180.0, 6.0, rail)]);
    bathroom["rooms"]["r0"]["use"] = json!("bathroom");
    let alone = sought(&bathroom).await;
    assert_eq!((&alone["set_aside"], &alone["complete"]), (&json!([]), &json!(true)));
    assert_eq!(alone["held_by"]["pointer"], "/rooms/r0/emitters/rail");
}

/// What fits is too weak even at the hottest: one such room is set aside, and where such rooms are most of the house it asks for
/// the hottest.
#[tokio::test]
async fn what_is_too_weak_even_at_the_hottest_is_an_exception_or_the_rule() {
    let narrow = radiator(&json!({"length_max_mm": 400, "height_max_mm": 300}));
    let (ordinary, both) = beside_an_ordinary_room(800.0, 20.0, narrow.clone());
    let (ordinary, found) = (sought(&ordinary).await, sought(&both).await);
    assert_eq!(found["flow_temperature_c"], ordinary["flow_temperature_c"]);
    assert_eq!(
        (&aside(&found)["values"]["why"], &found["complete"]),
        (&json!("too_weak_at_the_hottest"), &json!(false))
    );
    let (_, mostly) = beside_an_ordinary_room(1200.0, 20.0, narrow);
    let found = sought(&mostly).await;
    assert_eq!((&found["flow_temperature_c"], &found["set_aside"]), (&json!(55.0), &json!([])));
    assert_eq!(found["held_by"]["pointer"], "/rooms/r1/emitters/rad");
}

/// The three worst rooms come first, each with what the house would ask for without it: the same as a house that has no such
/// room, for these rooms have nothing to do with one another. What a change to the worst gains leads the changes.
#[tokio::test]
async fn the_worst_rooms_are_told_with_the_flow_without_them() {
    let long =
        |length_mm: u32| radiator(&json!({"length_max_mm": length_mm, "height_max_mm": 600, "depth_max_mm": 110}));
    let rooms: Vec<(f64, f64, Value)> =
        [2000, 1400, 1000, 700].into_iter().map(|length_mm| (600.0, 20.0, long(length_mm))).collect();
    let house = rooms_of(&rooms);
    let without = async |names: &[&str]| {
        let mut job = house.clone();
        job["rooms"].as_object_mut().unwrap().retain(|name, _| !names.contains(&name.as_str()));
        sought(&job).await["flow_temperature_c"].clone()
    };
    let found = sought(&house).await;
    let rows = found["worst_rooms"].as_array().unwrap();
    let order: Vec<&str> = rows.iter().map(|row| row["room"].as_str().unwrap()).collect();
    assert_eq!(order, ["r3", "r2", "r1"]);
    for (count, row) in rows.iter().enumerate() {
        assert_eq!(row["without_c"], without(&order[count..=count]).await, "{row}");
        assert_eq!(row["without_these_c"], without(&order[..=count]).await, "{row}");
    }
    assert!(number(&found["flow_temperature_c"]) - number(&rows[0]["without_c"]) >= 3.0, "{found}");
    assert_eq!(found["next_changes"][0]["steps"][0]["room"], "r3");
}
