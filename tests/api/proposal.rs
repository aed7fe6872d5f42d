//! The whole way over HTTP: every stage of the hand-worked house and of the fixture dwellings.

use serde_json::Value;

use super::helpers::spawn_service;

/// Relative tolerance of arithmetic in binary floating point, seven digits printed.
const EXACT: f64 = 1e-5;

async fn ask(path: &str, job: &str) -> (u16, Value) {
    let service = spawn_service();
    let folder = env!("CARGO_MANIFEST_DIR");
    let text = std::fs::read_to_string(format!("{folder}/fixtures/{job}")).unwrap();
    let answer = service.post_text(path, text).await;
    (answer.status().as_u16(), answer.json().await.unwrap())
}

fn row<'v>(rows: &'v Value, key: &str, id: &str) -> &'v Value {
    rows.as_array().unwrap().iter().find(|row| row[key] == id).unwrap_or_else(|| panic!("no row {id}"))
}

fn close(found: &Value, expected: f64, relative: f64) {
    let found = found.as_f64().unwrap();
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} where {expected} was expected");
}

/// Source: the hand-worked house, sections 3 and 4 (returns 0.01 K, flows 0.1 %, downward loss 0.05 %).
#[actix_web::test]
async fn the_hand_house_has_its_emitters() {
    let (status, answer) = ask("/v1/emitters", "published/hand_house.json").await;
    assert_eq!(status, 200);
    let expected = [
        ("utility", "p22_600x1200", 513.6719, 32.3403, 76.47079),
        ("bed1", "p22_450x1600", 544.5066, 32.10524, 77.04843),
        ("bed2", "p22_600x1200", 513.6719, 32.21166, 74.34956),
        ("bath", "p33_600x1000", 411.6404, 31.49136, 50.02931),
        ("living", "floor_tube_16", 1399.87, 32.14801, 213.6627),
    ];
    for (room, product, capacity_w, return_c, flow_l_h) in expected {
        let emitter = &row(&answer["emitters"]["rooms"], "room", room)["emitters"][0];
        assert_eq!(emitter["product"], product, "{room}");
        close(&emitter["capacity_w"], capacity_w, EXACT);
        assert!((emitter["return_temperature_c"].as_f64().unwrap() - return_c).abs() < 0.01, "{room}");
        close(&emitter["flow_l_h"], flow_l_h, 1e-3);
    }
    let floor = &row(&answer["emitters"]["rooms"], "room", "living")["emitters"][0];
    close(&floor["spacing_mm"], 250.0, EXACT);
    close(&floor["output_w_m2"], 47.2883, EXACT);
    assert!((floor["floor_surface_c"].as_f64().unwrap() - 25.55549).abs() < 0.001);
    close(&floor["downward_w"], 90.03436, 5e-4);
    assert_eq!(floor["loops"].as_array().unwrap().len(), 2);
    close(&floor["loops"][0]["length_m"], 63.2, EXACT);
    close(&floor["loops"][0]["flow_l_min"], 1.780_523, 1e-3);
}

/// Source: the hand-worked house, section 6 (gradient and drops 1 %, flows and velocities 0.1 %). Where
/// 2000 < Re < 4000 the page allows any friction from 64/Re to 1.03 of what it prints. `to_bath` has Re 2806.79 in a
/// bore of 8.8 mm at 0.22849 m/s: laminar (64/2806.79)/0.0088 · 993.9093 · 0.22849²/2 = 67.234 Pa/m, over 5 m 336.17 Pa;
/// printed 657.025 Pa; the fittings add 181.614 Pa either way.
#[actix_web::test]
async fn the_hand_house_has_its_pipes_and_pump() {
    let (status, answer) = ask("/v1/pipework", "published/hand_house.json").await;
    assert_eq!(status, 200);
    let pipework = &answer["pipework"];
    let expected = [
        ("trunk", "cu_22", 491.5608, 0.426_071, 1152.92),
        ("to_manifold", "cu_15", 213.6627, 0.408_563, 2772.62),
        ("to_utility", "cu_10", 76.47079, 0.349_251, 1776.84),
        ("riser", "cu_15", 201.4273, 0.385_166, 1466.38),
        ("upper", "cu_15", 151.398, 0.289_501, 991.226),
        ("to_bed2", "cu_10", 74.34956, 0.339_563, 1432.32),
        ("to_bed1", "cu_10", 77.04843, 0.351_889, 3841.93),
    ];
    for (id, tube, flow_l_h, velocity_m_s, drop_pa) in expected {
        let section = row(&pipework["sections"], "id", id);
        assert_eq!(section["tube"], tube, "{id}");
        close(&section["flow_l_h"], flow_l_h, 1e-3);
        close(&section["velocity_m_s"], velocity_m_s, 1e-3);
        close(&section["pressure_drop_pa"], drop_pa, 1e-2);
    }
    let bath = row(&pipework["sections"], "id", "to_bath")["pressure_drop_pa"].as_f64().unwrap();
    assert!((336.17 + 181.614..=657.025 * 1.03 + 181.614).contains(&bath), "{bath}");
    assert_eq!(pipework["index_circuit"], "m1");
    close(&pipework["pump"]["flow_l_h"], 491.5608, 1e-3);
    close(&pipework["pump"]["head_kpa"], 13.46886, 1e-2);
    close(&pipework["pump"]["own_head_kpa"], 66.2651, 1e-3);
}

/// Source: the hand-worked house, sections 5 and 7.
#[actix_web::test]
async fn the_hand_house_has_its_plant() {
    let (status, answer) = ask("/v1/plant", "published/hand_house.json").await;
    assert_eq!(status, 200);
    let plant = &answer["plant"];
    let source = &plant["heat_source"];
    assert_eq!(source["product"], "hs_5");
    close(&source["load_w"], 3337.905, EXACT);
    close(&source["hot_water_kwh"], 9.4203, EXACT);
    let expected = [
        ("hs_4", 3362.222, 3.223_677, 3855.818),
        ("hs_5", 4636.111, 2.291_424, 3690.234),
        ("hs_8", 6946.111, 1.508_589, 3561.792),
    ];
    for (code, capacity_w, hours, needed_w) in expected {
        let candidate = row(&source["candidates"], "product", code);
        close(&candidate["capacity_w"], capacity_w, 1e-4);
        close(&candidate["hot_water_h"], hours, 1e-4);
        close(&candidate["needed_w"], needed_w, 1e-4);
    }
    assert_eq!(plant["cylinder"]["product"], "cyl_180");
    close(&plant["cylinder"]["needed_l"], 168.75, EXACT);
    close(&plant["water_content"]["total_l"], 65.04085, 5e-3);
    let vessel = &plant["expansion_vessel"];
    assert_eq!(vessel["product"], "vessel_12");
    close(&vessel["expansion"], 0.014_201_12, 5e-3);
    close(&vessel["needed_l"], 8.58299, 1e-2);
}

/// Source: the hand-worked house, sections 8 and 9; money and counts are exact.
#[actix_web::test]
async fn the_hand_house_costs_what_it_costs_to_the_penny() {
    let (status, answer) = ask("/v1/proposal", "published/hand_house.json").await;
    assert_eq!(status, 200);
    let lines = [
        ("p22_450x1600", 1.0, "151.3", "181.56"),
        ("p22_600x1200", 2.0, "279.7", "335.64"),
        ("p33_600x1000", 1.0, "179.95", "215.94"),
        ("radiator_valves", 4.0, "109.8", "131.76"),
        ("manifold_2", 1.0, "162.8", "195.36"),
        ("floor_limiter", 1.0, "74.95", "89.94"),
        ("floor_tube_16", 1.0, "143.1", "171.72"),
        ("board_100", 13.0, "797.81", "957.37"),
        ("edge_strip", 1.0, "18.65", "22.38"),
        ("screed", 2.1, "450.14", "540.17"),
        ("cu_10", 10.0, "98.5", "118.2"),
        ("cu_15", 9.0, "121.05", "145.26"),
        ("cu_22", 3.0, "74.7", "89.64"),
        ("tube_fittings", 1.0, "102.99", "123.59"),
        ("hs_5", 1.0, "2865.0", "3438.0"),
        ("cyl_180", 1.0, "1046.5", "1255.8"),
        ("vessel_12", 1.0, "36.85", "44.22"),
        ("plant_kit", 1.0, "287.65", "345.18"),
        ("inhibitor", 1.0, "16.95", "20.34"),
    ];
    let bill = &answer["bill"];
    assert_eq!(bill["lines"].as_array().unwrap().len(), lines.len());
    for (code, quantity, cost, net) in lines {
        let line = row(&bill["lines"], "code", code);
        assert_eq!(line["quantity"].as_f64(), Some(quantity), "{code}");
        assert_eq!((line["cost"].to_string().as_str(), line["net"].to_string().as_str()), (cost, net), "{code}");
    }
    let tasks = [
        ("floor_boards", 3.70, "116.55", "157.34"),
        ("lay_loops", 4.42, "139.23", "187.96"),
        ("set_manifold", 2.25, "70.88", "95.69"),
        ("lay_screed", 4.70, "148.05", "199.87"),
        ("run_tube", 12.65, "398.48", "537.95"),
        ("hang_radiators", 6.60, "207.9", "280.67"),
        ("set_heat_source", 11.50, "362.25", "489.04"),
        ("set_cylinder", 7.25, "228.38", "308.31"),
        ("pressure_test", 2.50, "78.75", "106.31"),
        ("fill_and_treat", 1.95, "61.43", "82.93"),
        ("commission", 5.50, "173.25", "233.89"),
    ];
    for (task, hours, cost, net) in tasks {
        let row = row(&bill["labour"], "task", task);
        assert_eq!(row["labour_h"].as_f64(), Some(hours), "{task}");
        assert_eq!((row["cost"].to_string().as_str(), row["net"].to_string().as_str()), (cost, net), "{task}");
    }
    let price = &answer["price"];
    let found: Vec<String> =
        ["net", "tax", "gross", "grant", "payable"].iter().map(|name| price[name].to_string()).collect();
    assert_eq!(found, ["11102.03", "375.43", "11477.46", "7500.0", "3977.46"]);
    let days: Vec<(String, i64)> = answer["programme"]["visits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|visit| (visit["visit"].as_str().unwrap().to_owned(), visit["days"].as_i64().unwrap()))
        .collect();
    let expected =
        [("first_fix", 1), ("floor", 1), ("screed", 1), ("second_fix", 1), ("plant", 2), ("commissioning", 1)];
    assert_eq!(days, expected.map(|(visit, days)| (visit.to_owned(), days)));
}

#[actix_web::test]
async fn every_stage_answers_every_fixture_dwelling_with_its_part_of_the_proposal() {
    for job in ["jobs/chapel.json", "jobs/terrace.json", "jobs/bungalow.json"] {
        let (status, whole) = ask("/v1/proposal", job).await;
        assert_eq!(status, 200, "{job}: {whole}");
        for stage in ["heat_loss", "emitters", "pipework", "plant", "bill", "programme", "price"] {
            let (status, answer) = ask(&format!("/v1/{}", stage.replace('_', "-")), job).await;
            assert_eq!(status, 200, "{job} {stage}");
            assert_eq!(answer[stage], whole[stage], "{job} {stage}");
        }
        assert_eq!(whole["price"]["complete"], true, "{job}");
    }
}

#[actix_web::test]
async fn money_needs_a_date_and_says_so() {
    let service = spawn_service();
    let folder = env!("CARGO_MANIFEST_DIR");
    let text = std::fs::read_to_string(format!("{folder}/fixtures/published/hand_house.json")).unwrap();
    let mut job: Value = serde_json::from_str(&text).unwrap();
    job["commercial"].as_object_mut().unwrap().remove("quote_date");
    let answer = service.post("/v1/price", &job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    assert_eq!(problem["errors"][0]["pointer"], "/commercial");
    let design = service.post("/v1/plant", &job).await;
    assert_eq!(design.status().as_u16(), 200);
}

/// A shown equation gives its result, names a source that the answer cites, and points at a number of the answer.
#[actix_web::test]
async fn every_working_of_every_stage_holds_is_cited_and_points_at_a_figure() {
    let mut context = super::formulas::context();
    for job in ["published/hand_house.json", "jobs/chapel.json", "jobs/terrace.json", "jobs/bungalow.json"] {
        for stage in ["heat-loss", "emitters", "pipework", "plant", "proposal"] {
            let (status, answer) = ask(&format!("/v1/{stage}?workings=true"), job).await;
            assert_eq!(status, 200, "{job} {stage}");
            let cited: Vec<&Value> =
                answer["sources"].as_array().unwrap().iter().map(|source| &source["key"]).collect();
            let workings = answer["workings"].as_array().unwrap();
            assert!(!workings.is_empty(), "{job} {stage}");
            for working in workings {
                assert!(cited.contains(&&working["source"]), "{job} {stage}: {working}");
                let figure = answer.pointer(working["figure"].as_str().unwrap());
                assert!(figure.is_some_and(Value::is_number), "{job} {stage}: {working}");
                super::formulas::holds(working, &mut context).unwrap_or_else(|wrong| panic!("{job} {stage}: {wrong}"));
            }
        }
    }
}

/// A heat source whose points do not span a grid cannot be read between them, and is refused where it stands.
#[actix_web::test]
async fn a_heat_source_with_one_flow_temperature_is_refused() {
    let service = spawn_service();
    let text =
        std::fs::read_to_string(format!("{}/fixtures/published/hand_house.json", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let mut job: Value = serde_json::from_str(&text).unwrap();
    let points = job.pointer_mut("/commercial/price_book/products/hs_5/points").unwrap().as_array_mut().unwrap();
    points.retain(|point| point["flow_c"] == 35);
    let answer = service.post("/v1/plant", &job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    assert_eq!(problem["errors"][0]["pointer"], "/commercial/price_book/products/hs_5/points");
}

fn hand_house() -> Value {
    let text =
        std::fs::read_to_string(format!("{}/fixtures/published/hand_house.json", env!("CARGO_MANIFEST_DIR"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// The problem that a job is refused with; every pointer of it resolves in that job.
async fn refused(path: &str, job: &Value) -> Vec<(String, String)> {
    let answer = spawn_service().post(path, job).await;
    assert_eq!(answer.status().as_u16(), 422);
    let problem: Value = answer.json().await.unwrap();
    let told =
        |error: &Value| (error["pointer"].as_str().unwrap().to_owned(), error["code"].as_str().unwrap().to_owned());
    let mut told: Vec<_> = problem["errors"].as_array().unwrap().iter().map(told).collect();
    for (pointer, _) in &told {
        assert!(job.pointer(pointer).is_some(), "{pointer}");
    }
    told.sort();
    told
}

fn pairs(expected: &[(&str, &str)]) -> Vec<(String, String)> {
    expected.iter().map(|(pointer, code)| ((*pointer).to_owned(), (*code).to_owned())).collect()
}

#[actix_web::test]
async fn what_money_lacks_is_told_at_a_place_that_is_there() {
    let mut job = hand_house();
    job.as_object_mut().unwrap().remove("commercial");
    assert_eq!(refused("/v1/price", &job).await, pairs(&[("", "missing_field")]));
    let mut job = hand_house();
    job["commercial"].as_object_mut().unwrap().retain(|name, _| name != "supplies" && name != "stage_payments");
    job["commercial"]["quote_date"] = "1990-01-01".into();
    assert_eq!(refused("/v1/bill", &job).await, pairs(&[("/commercial/quote_date", "no_rule"); 2]));
}

#[actix_web::test]
async fn notes_and_unmet_needs_of_the_least_job_point_at_places_that_are_there() {
    let mut job = hand_house();
    job.as_object_mut()
        .unwrap()
        .retain(|name, _| !["heating", "pipework", "plant", "hot_water"].contains(&name.as_str()));
    job["rooms"]["living"].as_object_mut().unwrap().remove("emitters");
    let answer = spawn_service().answer("/v1/proposal", &job).await;
    let notes = answer["notes"].as_object().unwrap().values().flat_map(|notes| notes.as_array().unwrap());
    let unmet =
        ["emitters", "pipework", "plant", "bill"].iter().flat_map(|stage| answer[stage]["unmet"].as_array().unwrap());
    let all: Vec<&Value> = notes.chain(unmet).collect();
    assert!(all.iter().any(|said| said["code"] == "no_emitter") && all.iter().any(|said| said["code"] == "scald"));
    for said in all {
        assert!(job.pointer(said["pointer"].as_str().unwrap()).is_some(), "{said}");
    }
}

#[actix_web::test]
async fn money_shows_no_workings_that_point_beyond_its_answer() {
    for stage in ["bill", "programme", "price"] {
        let (status, answer) = ask(&format!("/v1/{stage}?workings=true"), "published/hand_house.json").await;
        assert_eq!((status, &answer["workings"]), (200, &serde_json::json!([])), "{stage}");
    }
}

#[actix_web::test]
async fn runs_that_go_in_a_circle_are_told_and_those_behind_them_are_not() {
    let mut job = hand_house();
    job["pipework"]["runs"]["riser"]["from"] = "upper".into();
    let expected = [("/pipework/runs/riser/from", "circular_run"), ("/pipework/runs/upper/from", "circular_run")];
    assert_eq!(refused("/v1/pipework", &job).await, pairs(&expected));
}

#[actix_web::test]
async fn every_fault_of_bad_runs_is_told_also_behind_one_that_hangs_on_nothing() {
    let mut job = hand_house();
    let runs = &mut job["pipework"]["runs"];
    runs["upper"]["from"] = "nowhere".into();
    runs["to_bed2"]["serves"] = serde_json::json!([{"room": "utility", "emitter": "rad"}]);
    runs["to_bed1"]["serves"] = serde_json::json!([{"room": "attic", "emitter": "rad"}]);
    runs["to_bath"]["serves"] =
        serde_json::json!([{"room": "bath", "emitter": "stove"}, {"room": "living", "emitter": "floor"}]);
    runs["to_manifold"]["serves"] = serde_json::json!([{"manifold": "m9"}]);
    runs["trunk"]["existing_tube"] = "lead_20".into();
    let expected = [
        ("/pipework/runs/to_bath/serves/0/emitter", "unknown_emitter"),
        ("/pipework/runs/to_bath/serves/1/emitter", "floor_without_manifold"),
        ("/pipework/runs/to_bed1/serves/0/room", "unknown_room"),
        ("/pipework/runs/to_bed2/serves/0", "served_twice"),
        ("/pipework/runs/to_manifold/serves/0/manifold", "unknown_manifold"),
        ("/pipework/runs/trunk/existing_tube", "unknown_product"),
        ("/pipework/runs/upper/from", "unknown_run"),
    ];
    assert_eq!(refused("/v1/pipework", &job).await, pairs(&expected));
}

/// 100 people of 500 l at 60 °C: by 0.001163 kWh/(l·K) over 50 K and a loss factor of 1.2 that is 3489 kWh a day, or
/// 145,375 W on average, on top of the hand-worked load of 3337.905 W.
#[actix_web::test]
async fn hot_water_that_takes_the_whole_day_is_unmet_by_a_figure_that_can_be_read() {
    let mut job = hand_house();
    job["dwelling"]["occupants"] = 100.into();
    job["hot_water"]["litres_per_person_at_60_c"] = 500.into();
    let answer = spawn_service().answer("/v1/plant", &job).await;
    let unmet = row(&answer["plant"]["unmet"], "code", "no_heat_source");
    close(&unmet["need"], 145_375.0 + 3337.905, EXACT);
    assert_eq!(answer["plant"]["complete"], false);
}
