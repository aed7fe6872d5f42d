//! A network that was worked out apart from this program, from its loads to its valves, over HTTP; and a house with every kind
//! of pipe.

use serde_json::{Value, json};
use tundish::methods::math::{ln, pow};

use super::figures::number;
use super::helpers::{fixture, rooms_of, shared_service};

fn within(what: &str, found: &Value, published: f64) {
    let found = number(found);
    println!("{what}: {found} for {published}");
    assert!((found / published - 1.0).abs() <= 0.01, "{what}: {found} for {published}");
}

/// A radiator that gives so much at 45/40/21 °C, so that its return is 40 °C: EN 442, exponent 1.3.
fn radiator(load_w: f64) -> Value {
    let mean_k = 5.0 / ln(24.0 / 19.0);
    let rated_w = load_w / pow(mean_k / (10.0 / ln(55.0 / 45.0)), 1.3);
    json!({"rad": {"kind": "radiator",
        "existing": {"kind": "rated", "output_w": rated_w, "exponent": 1.3, "water_l": 5, "keep": "always"}}})
}

/// Source: a two-pipe network of three radiators of 1.0, 1.5 and 2.0 kW at 45/40 °C, derived apart from this program with
/// `CoolProp` and exact Colebrook-White; lengths and loss coefficients of both legs together. Tolerance: 1 %, as its page
/// suggests.
#[tokio::test]
async fn three_radiators_from_their_loads_to_their_lockshields() {
    let service = shared_service();
    let loads_w = [1000.0, 1500.0, 2000.0];
    let mut job = rooms_of(&loads_w.map(|load_w| (load_w, 14.0, radiator(load_w))));
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    let run = |from: &str, both_m: f64, zeta: f64, tube: &str, room: Option<&str>| {
        let serves: Vec<Value> = room.iter().map(|room| json!({"room": room, "emitter": "rad"})).collect();
        json!({"from": from, "length_m": both_m / 2.0, "fittings": [{"kind": "zeta", "zeta": zeta, "count": 1}],
            "existing_tube": tube, "serves": serves})
    };
    // what the page leaves out takes next to nothing here: radiators, plant room, bends and tees
    job["pipework"] = json!({"fittings": {"kind": "zeta", "bend_zeta": 0, "tee_zeta": 0}, "radiator_kv_m3_h": 100,
    "plant_kv_m3_h": 1000, "runs": {
        "main_x": run("plant", 12.0, 3.0, "cu_22", None),
        "branch_1": run("main_x", 6.0, 4.0, "cu_15", Some("r0")),
        "main_y": run("main_x", 10.0, 2.0, "cu_22", None),
        "branch_2": run("main_y", 8.0, 4.0, "cu_15", Some("r1")),
        "end_z": run("main_y", 14.0, 4.0, "cu_15", Some("r2"))
    }});
    let answer = service.answer("/v1/pipework", &job).await;
    let pipework = &answer["pipework"];
    let sections = pipework["sections"].as_array().unwrap();
    for (id, velocity, gradient, total_pa) in [
        ("main_x", 0.678, 287.7, 4135.7),
        ("main_y", 0.527, 184.9, 2125.0),
        ("end_z", 0.665, 455.7, 7256.0),
        ("branch_1", 0.332, 136.5, 1037.7),
        ("branch_2", 0.498, 275.7, 2698.6),
    ] {
        let section = sections.iter().find(|section| section["id"] == id).unwrap();
        within(id, &section["velocity_m_s"], velocity);
        within(id, &section["gradient_pa_m"], gradient);
        within(id, &section["pressure_drop_pa"], total_pa);
    }
    for (serves, total_pa) in [("r0/rad", 5173.0), ("r1/rad", 8959.0), ("r2/rad", 13_517.0)] {
        let circuit =
            pipework["circuits"].as_array().unwrap().iter().find(|circuit| circuit["serves"] == serves).unwrap();
        within(serves, &circuit["pressure_drop_pa"], total_pa);
    }
    assert_eq!(pipework["index_circuit"], "r2/rad");
    for (at, excess_pa, kv) in [("r0/rad", 8343.0, 0.602), ("r1/rad", 4557.0, 1.221)] {
        let setting = pipework["balancing"].as_array().unwrap().iter().find(|setting| setting["at"] == at).unwrap();
        within(at, &setting["excess_pressure_pa"], excess_pa);
        within(at, &setting["kv_m3_h"], kv);
    }
    within("W", &pipework["pump"]["hydraulic_w"], 2.94);
    // 0.21534 kg/s of 991.28 kg/m³
    within("l/h", &pipework["pump"]["flow_l_h"], 0.21534 / 991.28 * 3.6e6);
}

/// A house with everything that pipes can have: nothing is wanting, and what the design names is in its bill.
#[tokio::test]
async fn a_farmhouse_with_every_kind_of_pipe() {
    let service = shared_service();
    let answer = service.answer("/v1/proposal", &fixture("farmhouse")).await;
    for stage in ["emitters", "pipework", "plant", "bill"] {
        assert_eq!(answer[stage]["complete"], true, "{stage}: {}", answer[stage]["unmet"]);
    }
    let pipework = &answer["pipework"];
    let lines = answer["bill"]["lines"].as_array().unwrap();
    let quantity = |code: &Value| lines.iter().find(|line| line["code"] == *code).map(|line| number(&line["quantity"]));
    let arrangement = &pipework["arrangement"];
    assert_eq!((quantity(&arrangement["vessel"]), quantity(&arrangement["bypass"])), (Some(1.0), Some(1.0)));
    assert_eq!((quantity(&json!("freeze_valve")), quantity(&json!("hose_1000"))), (Some(2.0), Some(2.0)));
    let sections = pipework["sections"].as_array().unwrap();
    let of = |id: &str| sections.iter().find(|section| section["id"] == id).unwrap();
    // what stays is not bought, what is new is: both legs, a tenth of waste, in lengths of 3 m
    for (code, runs) in [("cu_22", ["riser", "to_m1"].as_slice()), ("cu_28", &["trunk"])] {
        let new = sections.iter().filter(|section| section["tube"] == code && section["existing"] == false);
        let mut metres: f64 = new.clone().map(|section| 2.0 * number(&section["length_m"])).sum();
        assert!(runs.iter().all(|run| new.clone().any(|section| section["id"] == *run)), "{code}");
        let circuits = [&pipework["primary"], &pipework["hot_water_circuit"]["section"]];
        metres +=
            circuits.iter().filter(|row| row["tube"] == code).map(|row| 2.0 * number(&row["length_m"])).sum::<f64>();
        assert_eq!(quantity(&json!(code)), Some((metres * 1.1 / 3.0 - 1e-9).ceil()), "{code}");
    }
    assert_eq!(of("up_a")["existing_tube"]["verdict"], "kept");
    assert_eq!(of("up_a")["joists"]["crosses_by"], "hole_bare", "a hole of 50 mm takes 15 mm, and not its insulation");
    assert!(of("ba").get("tube").is_none() && pipework["hidden_tubes"].as_array().unwrap().len() == 1);
    // floors cool, carried by the heat source's own pump
    let cooling = &pipework["cooling_circuit"];
    assert!(number(&cooling["head_kpa"]) <= number(&cooling["pump_head_kpa"]), "{cooling}");
}
