//! What a job may say and hardly means is told, and what cannot be is refused at its place.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{close, fixture, problem, published, rooms_of, row, shared_service, unit_of, warned};

fn house() -> Value {
    let mut job = rooms_of(&[
        (700.0, 14.0, json!({"rad": {"kind": "radiator"}})),
        (300.0, 8.0, json!({"rad": {"kind": "radiator"}})),
    ]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    job["plant"] = unit_of(9.0, &json!({}));
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    job
}

/// Each is told once, at its place, and not where nothing is odd.
#[tokio::test]
async fn what_is_hardly_meant_is_doubted() {
    const CODES: [&str; 5] = [
        "room_without_surfaces",
        "surface_larger_than_room",
        "construction_unused",
        "programme_before_quote",
        "date_beyond_rules",
    ];
    let service = shared_service();
    let quiet = service.answer("/v1/price", &fixture("terrace")).await;
    for code in CODES {
        assert!(warned(&quiet, code).is_empty(), "{code}");
    }
    let mut job = house();
    let construction = job["constructions"].as_object().unwrap().values().next().unwrap().clone();
    job["constructions"]["nobodys"] = construction;
    let first = job["rooms"]["r0"]["surfaces"].as_object().unwrap().values().next().unwrap().clone();
    job["rooms"]["r0"]["surfaces"]["huge"] = json!({"part": "ceiling", "construction": first["construction"], "area_m2": 141.0, "faces": {"kind": "temperature", "temperature_c": 20}});
    job["rooms"]["r1"]["surfaces"] = json!({});
    job["commercial"]["programme_start"] = json!("2026-10-05");
    job["commercial"]["stage_payments"] = json!([{"name": "all", "share": 1, "tax_point": "2126-11-02"}]);
    let odd = service.answer("/v1/price", &job).await;
    let pointers = CODES.map(|code| warned(&odd, code).iter().map(|one| one["pointer"].clone()).collect::<Vec<_>>());
    assert_eq!(
        pointers,
        [
            vec![json!("/rooms/r1/surfaces")],
            vec![json!("/rooms/r0/surfaces/huge/area_m2")],
            vec![json!("/constructions/nobodys")],
            vec![json!("/commercial/programme_start")],
            vec![json!("/commercial/stage_payments/0/tax_point")],
        ]
    );
    // ten times the floor is doubted, in two parts as in one, and a little less is not
    for (areas_m2, is_doubted) in [([140.0, 1e-3], true), ([70.0, 70.0], true), ([69.0, 70.0], false)] {
        let huge = job["rooms"]["r0"]["surfaces"]["huge"].clone();
        for (id, area_m2) in ["huge", "beside"].into_iter().zip(areas_m2) {
            job["rooms"]["r0"]["surfaces"][id] = huge.clone();
            job["rooms"]["r0"]["surfaces"][id]["area_m2"] = json!(area_m2);
        }
        let answer = service.answer("/v1/heat-loss", &job).await;
        assert_eq!(!warned(&answer, "surface_larger_than_room").is_empty(), is_doubted, "{areas_m2:?}");
    }
}

/// A floor smaller than a cupboard's, and air drier than the method holds for, are faults of these members.
#[tokio::test]
async fn what_cannot_be_is_refused_at_its_place() {
    let mut job = house();
    job["rooms"]["r0"]["floor_area_m2"] = json!(1e-300);
    job["cooling"] = json!({"flow_temperature_c": 18, "rise_k": 3, "relative_humidity": 0.05});
    let faults = problem(shared_service().post("/v1/emitters", &job).await, 422).await;
    for at in ["/rooms/r0/floor_area_m2", "/cooling/relative_humidity"] {
        assert_eq!(row(&faults["errors"], "pointer", at)["code"], "too_small", "{faults}");
    }
}

/// Products of a book are told by what is wrong with themselves: the point of a map that stands twice, and a wall that is rougher than
/// friction is known for (Colebrook-White, up to 0.05 of the bore).
#[tokio::test]
async fn a_product_is_told_what_is_wrong_with_it() {
    let mut job = published("hand_house");
    let products = job["commercial"]["price_book"]["products"].as_object_mut().unwrap();
    let (source, unit) = products.iter_mut().find(|(_, product)| product["kind"] == "heat_source").unwrap();
    let twice = unit["points"][2].clone();
    unit["points"].as_array_mut().unwrap().push(twice.clone());
    let at_points = format!("/commercial/price_book/products/{source}/points");
    let (tube, told) = products.iter_mut().find(|(_, product)| product["kind"] == "tube").unwrap();
    told["roughness_mm"] = json!(0.051 * number(&told["bore_mm"]));
    let at_roughness = format!("/commercial/price_book/products/{tube}/roughness_mm");
    let faults = problem(shared_service().post("/v1/pipework", &job).await, 422).await;
    let detail = row(&faults["errors"], "pointer", &at_points)["detail"].as_str().unwrap().to_owned();
    let named =
        format!("the point of {} °C outside and {} °C of flow stands twice", twice["outside_c"], twice["flow_c"]);
    assert_eq!(detail, named.replace(".0 ", " "));
    assert_eq!(row(&faults["errors"], "pointer", &at_roughness)["code"], "price_book_inconsistent");
}

fn given(rows: &[(f64, f64)]) -> Value {
    let points = rows.iter().map(|&(outside_c, flow_c)| {
        let (capacity_w, cop) = (9000.0 + 100.0 * outside_c - 20.0 * flow_c, 4.0 + 0.05 * outside_c - 0.02 * flow_c);
        json!({"outside_c": outside_c, "flow_c": flow_c, "capacity_w": capacity_w, "cop": cop})
    });
    json!({"kind": "given", "description": "unit", "water_l": 2, "defrost_included": true, "points": points.collect::<Vec<_>>(), "pump": [{"flow_l_h": 0, "head_kpa": 70}, {"flow_l_h": 1600, "head_kpa": 30}]})
}

/// A heat pump makes less hot water the colder it is outside, and its data end sooner there: what lies inside their outline is read,
/// along straight lines, which give a plane back. By hand, at −9 °C outside and 38 °C: 9000 − 900 − 760 = 7340 W and a COP of
/// 4 − 0.45 − 0.76 = 2.79. What lies beyond is told with the point that lacks and how far the data reach there.
#[tokio::test]
async fn a_heat_sources_map_need_not_be_a_rectangle() {
    let service = shared_service();
    let answer = |rows: Vec<(f64, f64)>, flow_c: f64| {
        let mut job = super::floor_job::job(&json!({}));
        job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
        job["plant"] = json!({"heat_source": given(&rows)});
        job["hot_water"] = json!({"storage_temperature_c": 45, "flow_temperature_c": 48});
        async move { service.answer("/v1/plant", &job).await }
    };
    let ragged = vec![(-15.0, 35.0), (-15.0, 45.0), (-7.0, 35.0), (-7.0, 55.0), (7.0, 30.0), (7.0, 45.0), (7.0, 60.0)];
    let held = answer(ragged.clone(), 38.0).await;
    let source = &held["plant"]["heat_source"]["candidates"][0];
    close(&source["capacity_w"], 7340.0, 1e-9);
    close(&source["cop"], 2.79, 1e-9);
    // hot water at 48 °C, for which the row of −15 °C is too short, on the line from 45 °C there to 55 °C at −7 °C: 52.5 °C
    close(&source["hot_water_capacity_w"], 9000.0 - 900.0 - 960.0, 1e-9);
    let beyond = answer(ragged.clone(), 54.0).await;
    let told = warned(&beyond, "outside_its_data")[0];
    assert!(
        told["detail"].as_str().unwrap().contains("lack the point of 54.0 °C of flow, they reach from 35.0 to 52.5 °C"),
        "{told}"
    );
    close(&told["values"]["to_c"], 52.5, 1e-9);
    let mild: Vec<_> = ragged.into_iter().filter(|(outside_c, _)| *outside_c > -10.0).collect();
    let warm = answer(mild, 38.0).await;
    let told = warned(&warm, "outside_its_data")[0];
    assert!(
        told["detail"].as_str().unwrap().contains("about -9.0 °C outside, they reach from -7.0 to 7.0 °C"),
        "{told}"
    );
    // one flow temperature at each outside one is no map
    let line = problem(
        service
            .post("/v1/plant", &{
                let mut job = super::floor_job::job(&json!({}));
                job["plant"] = json!({"heat_source": given(&[(-15.0, 35.0), (-7.0, 40.0), (2.0, 45.0), (7.0, 50.0)])});
                job
            })
            .await,
        422,
    )
    .await;
    assert_eq!(row(&line["errors"], "pointer", "/plant/heat_source/points")["code"], "incomplete_grid");
}

/// Bridges of nothing have nowhere to be shared out and need nowhere.
#[tokio::test]
async fn bridges_of_nothing_are_no_fault_where_nothing_is_exposed() {
    let mut job = house();
    for room in ["r0", "r1"] {
        for surface in job["rooms"][room]["surfaces"].as_object_mut().unwrap().values_mut() {
            surface["faces"] = json!({"kind": "temperature", "temperature_c": 5});
        }
    }
    for (coefficient_w_k, status) in [(0.0, 200), (0.1, 422)] {
        job["dwelling"]["thermal_bridging"] = json!({"kind": "coefficient", "coefficient_w_k": coefficient_w_k});
        assert_eq!(shared_service().post("/v1/heat-loss", &job).await.status(), status, "{coefficient_w_k}");
    }
}

/// Extract without supply is nothing supplied, and not less than that.
#[tokio::test]
async fn nothing_supplied_has_no_sign() {
    let mut job = house();
    job["dwelling"]["ventilation"] =
        json!({"kind": "mechanical", "heat_recovery_efficiency": 0, "infiltration_air_changes_per_h": 0.1});
    job["rooms"]["r0"]["extract_m3_h"] = json!(40);
    for room in ["r0", "r1"] {
        job["rooms"][room].as_object_mut().unwrap().remove("air_changes_per_h");
    }
    let answer = shared_service().answer("/v1/heat-loss", &job).await;
    let told = warned(&answer, "ventilation_unbalanced")[0];
    assert!(told["detail"].as_str().unwrap().contains("supplied with 0.0 m³/h"), "{told}");
}

/// The circuit stays the string that clients read; beside it stands the loop that takes the most there, by the sums of the coils.
#[tokio::test]
async fn the_index_loop_is_named() {
    let answer = shared_service().answer("/v1/proposal", &fixture("bungalow")).await;
    let pipework = &answer["pipework"];
    assert!(pipework["index_circuit"].is_string());
    let named = &pipework["index_loop"];
    let mut worst = (f64::NEG_INFINITY, json!(null));
    let index = row(&pipework["circuits"], "serves", pipework["index_circuit"].as_str().unwrap());
    for room in answer["emitters"]["rooms"].as_array().unwrap() {
        for emitter in room["emitters"].as_array().unwrap() {
            for (number, one) in (1..).zip(emitter["loops"].as_array().into_iter().flatten()) {
                let here = super::figures::number(&one["pressure_drop_kpa"]);
                let is_index = (1000.0 * here - super::figures::number(&index["end_pressure_drop_pa"])).abs() < 1.0;
                if is_index && here > worst.0 + 1e-9 {
                    worst = (here, json!({"room": room["room"], "emitter": emitter["emitter"], "number": number}));
                }
            }
        }
    }
    assert_eq!(*named, worst.1);
    let radiators = shared_service().answer("/v1/pipework", &house()).await;
    assert!(radiators["pipework"].get("index_loop").is_none() && radiators["pipework"]["index_circuit"].is_string());
}

/// A speed that is not there says why.
#[tokio::test]
async fn a_speed_that_is_not_there_says_why() {
    let service = shared_service();
    let mut job = house();
    let of = |answer: Value| answer["pipework"]["arrangement"].clone();
    let found = of(service.answer("/v1/pipework", &job).await);
    assert!(found["unit_speed"].is_number() && found.get("unit_speed_why_not").is_none());
    job["plant"] = unit_of(9.0, &json!({"pump": [{"flow_l_h": 0, "head_kpa": 3}, {"flow_l_h": 4000, "head_kpa": 1}]}));
    job["pipework"]["primary"] = json!({"length_m": 30, "existing_tube": "cu_15", "keep": "always"});
    let weak = of(service.answer("/v1/pipework", &job).await);
    assert!(weak.get("unit_speed").is_none());
    assert!(weak["unit_speed_why_not"].as_str().unwrap().starts_with("at full speed it has"), "{weak}");
}

/// A book without a heat source, and one whose only one has no data for so cold a day, are told apart.
#[tokio::test]
async fn a_missing_heat_source_says_why_it_is_missing() {
    for (is_in_book, why) in
        [(false, "the price book has no heat source"), (true, "no heat source that may be taken has data there")]
    {
        let mut job = published("hand_house");
        let products = job["commercial"]["price_book"]["products"].as_object_mut().unwrap();
        products.retain(|_, product| product["kind"] != "heat_source");
        job["plant"].as_object_mut().unwrap().remove("heat_source");
        if is_in_book {
            job["plant"]["heat_source"] = given(&[(0.0, 35.0), (0.0, 55.0), (7.0, 35.0), (7.0, 55.0)]);
        }
        let answer = shared_service().answer("/v1/plant", &job).await;
        let told = row(&answer["plant"]["unmet"], "code", "no_heat_source");
        assert!(told["detail"].as_str().unwrap().ends_with(why), "{told}");
    }
}
