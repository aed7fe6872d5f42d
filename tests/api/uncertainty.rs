//! How sure the heat losses are: percentiles, what they hang on, what a measurement would leave.

use serde_json::{Value, json};

use super::helpers::{faults, fixture, problem, row, shared_service};

/// One room of 21 °C at -4 °C outside: a wall of 20 m² at 0.5, a window of 4 m² at 2.0 and a roof of 16 m² at 0.25
/// W/(m²K), no bridges, 40 m³ changed once an hour.
pub fn room(spreads: [f64; 5]) -> Value {
    let [wall, window, roof, air, area] = spreads;
    json!({
        "schema": 1,
        "site": {"nation": "wales", "climate": {"kind": "given", "outside_design_c": -4, "annual_mean_outside_c": 10}},
        "dwelling": {
            "ventilation": {"kind": "air_changes"},
            "thermal_bridging": {"kind": "coefficient", "coefficient_w_k": 0},
            "air_heat_wh_m3k": 0.34
        },
        "constructions": {
            "wall": {"kind": "known", "u_value_w_m2k": 0.5},
            "window": {"kind": "known", "u_value_w_m2k": 2.0},
            "roof": {"kind": "known", "u_value_w_m2k": 0.25}
        },
        "rooms": {"room": {
            "use": "living", "floor_area_m2": 16, "height_m": 2.5, "inside_design_c": 21, "air_changes_per_h": 1,
            "surfaces": {
                "wall": {"part": "wall", "construction": "wall", "area_m2": 24, "faces": {"kind": "outside"},
                         "openings": {"window": {"construction": "window", "area_m2": 4}}},
                "roof": {"part": "roof", "construction": "roof", "area_m2": 16, "faces": {"kind": "outside"}}
            }
        }},
        "uncertainty": {"draws": 4000, "seed": 3},
        "basis": {
            "/constructions/wall": {"known": "documented", "spread": wall},
            "/constructions/window": {"known": "documented", "spread": window},
            "/constructions/roof": {"known": "assumed", "spread": roof},
            "/dwelling": {"known": "documented", "spread": air},
            "/rooms": {"known": "measured", "spread": area}
        }
    })
}

/// Watts of wall, window, roof and air: 20·0.5·25, 4·2·25, 16·0.25·25, 0.34·40·25.
const WATTS: [f64; 4] = [250.0, 200.0, 100.0, 340.0];

async fn asked(job: &Value) -> Value {
    shared_service().answer("/v1/heat-loss", job).await["heat_loss"].clone()
}

fn percentiles(of: &Value) -> [f64; 3] {
    ["p10_w", "p50_w", "p90_w"].map(|name| of[name].as_f64().unwrap())
}

/// Closed form: the loss is a sum of normal parts, so that it is normal with the root of their squares; its 10th and
/// 90th percentile lie 1.281552 deviations from the mean. Sampling error of a quantile of n draws:
/// √(q(1−q)/n)/φ(z) deviations, 0.0270 at the 10th and 0.0198 at the 50th for n = 4000; held to four of them.
#[tokio::test]
async fn a_linear_dwelling_has_the_percentiles_of_the_closed_form() {
    let spreads = [0.10, 0.05, 0.25, 0.15, 0.0];
    let loss = asked(&room(spreads)).await;
    let mean: f64 = WATTS.iter().sum();
    let variances: Vec<f64> =
        WATTS.iter().zip(spreads).map(|(watts, spread)| (watts * spread) * (watts * spread)).collect();
    let deviation = variances.iter().sum::<f64>().sqrt();
    let uncertainty = &loss["uncertainty"];
    for of in [&uncertainty["dwelling"], &uncertainty["rooms"][0]] {
        let found = percentiles(of);
        let expected = [mean - 1.281_552 * deviation, mean, mean + 1.281_552 * deviation];
        for (found, (expected, error)) in found.iter().zip(expected.iter().zip([0.0270, 0.0198, 0.0270])) {
            assert!((found - expected).abs() < 4.0 * error * deviation, "{found} where {expected} was expected");
        }
    }
    // shares of variance, exactly: the loss is linear in each
    let inputs = uncertainty["inputs"].as_array().unwrap();
    let share = |pointer: &str| inputs.iter().find(|row| row["pointer"] == pointer).unwrap()["share"].as_f64().unwrap();
    let pointers = [
        "/constructions/wall/u_value_w_m2k",
        "/constructions/window/u_value_w_m2k",
        "/constructions/roof/u_value_w_m2k",
        "/dwelling/ventilation",
    ];
    for (pointer, variance) in pointers.iter().zip(&variances) {
        assert!((share(pointer) - variance / (deviation * deviation)).abs() < 1e-6, "{pointer}");
    }
    assert_eq!(inputs.len(), 4, "areas are certain here: {inputs:?}");
    // measured to 10 % instead of 15 %, the air leaves the root of what is left
    let left = (variances[..3].iter().sum::<f64>() + (340.0_f64 * 0.10) * (340.0 * 0.10)).sqrt() / deviation;
    let air = uncertainty["measurements"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["pointer"] == "/dwelling/ventilation")
        .unwrap();
    let ratio = air["remaining_range_w"].as_f64().unwrap() / air["range_w"].as_f64().unwrap();
    assert!((ratio - left).abs() < 1e-6, "{ratio} where {left} was expected");
}

#[tokio::test]
async fn percentiles_are_ordered_and_shrink_to_the_point() {
    let mut before = f64::INFINITY;
    for scale in [1.0, 0.1, 0.01, 0.0] {
        let loss = asked(&room([0.1, 0.1, 0.25, 0.2, 0.05].map(|spread| spread * scale))).await;
        let [low, middle, high] = percentiles(&loss["uncertainty"]["dwelling"]);
        assert!(low <= middle && middle <= high && high - low < before, "{scale}: {low} {middle} {high}");
        before = high - low + 1e-9;
        if scale == 0.0 {
            let point = &loss["dwelling"]["design_heat_loss_w"];
            let of = &loss["uncertainty"]["dwelling"];
            assert_eq!([&of["p10_w"], &of["p50_w"], &of["p90_w"]], [point; 3]);
        }
    }
}

#[tokio::test]
async fn draws_repeat_by_their_seed_and_differ_by_another() {
    let service = shared_service();
    let ask = async |seed: u32| {
        let mut job = fixture("bungalow");
        job["uncertainty"] = json!({"draws": 500, "seed": seed});
        service.post("/v1/heat-loss", &job).await.text().await.unwrap()
    };
    let first = ask(5).await;
    assert_eq!(first, ask(5).await);
    assert_ne!(first, ask(6).await);
}

#[tokio::test]
async fn shares_add_up_to_one_and_a_measurement_never_widens_the_range() {
    for name in ["chapel", "terrace", "bungalow"] {
        let mut job = fixture(name);
        job["uncertainty"] = json!({});
        let loss = asked(&job).await;
        let uncertainty = &loss["uncertainty"];
        assert_eq!((&uncertainty["draws"], &uncertainty["seed"]), (&json!(2000), &json!(1)));
        let shares: Vec<f64> =
            uncertainty["inputs"].as_array().unwrap().iter().map(|row| row["share"].as_f64().unwrap()).collect();
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-5, "{name}: {shares:?}");
        assert!(shares.windows(2).all(|pair| pair[0] >= pair[1]), "{name}");
        let rows = uncertainty["measurements"].as_array().unwrap();
        assert!(!rows.is_empty(), "{name}");
        for row in rows {
            assert!(row["remaining_range_w"].as_f64().unwrap() <= row["range_w"].as_f64().unwrap(), "{name}: {row}");
            assert!(job.pointer(row["pointer"].as_str().unwrap()).is_some(), "{name}: {row}");
        }
        // the middle of the draws lies by the design loss: a sum of many products is close to linear
        let [low, middle, high] = percentiles(&uncertainty["dwelling"]);
        let design = loss["dwelling"]["design_heat_loss_w"].as_f64().unwrap();
        assert!((middle - design).abs() < 0.1 * (high - low), "{name}: {middle} by {design}");
    }
}

/// The longest pointer that leads to a part speaks for it; without a spread, how it is known does.
#[tokio::test]
async fn the_basis_speaks_for_what_lies_below_it() {
    let mut job = room([0.1; 5]);
    job["basis"] = json!({
        "/constructions": {"known": "assumed"},
        "/constructions/wall": {"known": "measured"},
        "/rooms/room/surfaces/roof/area_m2": {"known": "documented", "spread": 0.07}
    });
    let loss = asked(&job).await;
    let inputs = loss["uncertainty"]["inputs"].as_array().unwrap();
    let spread = |pointer: &str| inputs.iter().find(|row| row["pointer"] == pointer).unwrap()["spread"].clone();
    assert_eq!(spread("/constructions/window/u_value_w_m2k"), 0.25);
    assert_eq!(spread("/constructions/wall/u_value_w_m2k"), 0.05);
    assert_eq!(spread("/rooms/room/surfaces/roof/area_m2"), 0.07);
    assert_eq!(spread("/rooms/room/surfaces/wall/area_m2"), 0.02);
    let measured = loss["uncertainty"]["measurements"].as_array().unwrap();
    assert!(
        !measured.iter().any(|row| row["pointer"] == "/constructions/wall/u_value_w_m2k"),
        "it is measured already"
    );
}

/// Air that is measured is known to 10 %, documented to 20 %, assumed to 50 %, as every answer says of itself. Shares of variance
/// by hand: air of 340 W, U-values of 250, 200 and 100 W to 10 %, areas of 450 and 100 W to 2 %:
/// 625 + 400 + 100 + 81 + 4 = 1210 beside 34² = 1156, 68² = 4624 or 170² = 28,900.
#[tokio::test]
async fn air_is_as_sure_as_it_is_known() {
    for (known, spread, variance) in
        [("measured", 0.1, 1156.0), ("documented", 0.2, 4624.0), ("assumed", 0.5, 28_900.0)]
    {
        let mut job = room([0.1; 5]);
        job["basis"] = json!({"/dwelling": {"known": known}});
        let answer = shared_service().answer("/v1/heat-loss", &job).await;
        let inputs = answer["heat_loss"]["uncertainty"]["inputs"].as_array().unwrap();
        let air = inputs.iter().find(|row| row["pointer"] == "/dwelling/ventilation").unwrap();
        assert_eq!((&air["known"], &air["spread"]), (&json!(known), &json!(spread)));
        assert!((air["share"].as_f64().unwrap() - variance / (1210.0 + variance)).abs() < 1e-6, "{air}");
        let assumptions = answer["notes"]["assumptions"].as_array().unwrap();
        let told = assumptions.iter().find(|note| note["code"] == "spread").unwrap()["detail"].as_str().unwrap();
        assert!(told.contains("air to 10, 20 or 50 %"), "{told}");
    }
    // what the rooms tell is documented, what goes by their use is assumed
    let mut job = room([0.1; 5]);
    for (given, known) in [(true, "documented"), (false, "assumed")] {
        job["basis"] = json!({});
        if !given {
            job["rooms"]["room"].as_object_mut().unwrap().remove("air_changes_per_h");
        }
        let inputs = asked(&job).await["uncertainty"]["inputs"].clone();
        assert_eq!(row(&inputs, "pointer", "/dwelling/ventilation")["known"], known);
    }
}

/// However wide the spread, no draw takes a sound job out of what can be computed.
#[tokio::test]
async fn a_sound_job_is_never_refused_by_its_seed() {
    let service = shared_service();
    let mut job = room([1.0; 5]);
    job["unheated_spaces"] = json!({"shed": {"volume_m3": 20, "air_changes_per_h": 0, "surfaces": {
        "skin": {"part": "wall", "construction": "wall", "area_m2": 10}
    }}});
    job["rooms"]["room"]["surfaces"]["wall"]["faces"] = json!({"kind": "unheated_space", "space": "shed"});
    for seed in 0..40 {
        job["uncertainty"] = json!({"draws": 200, "seed": seed});
        service.answer("/v1/heat-loss", &job).await;
    }
}

/// A part that nothing is drawn of is told, and so is one that lies within what is drawn.
#[tokio::test]
async fn a_basis_that_counts_for_nothing_is_told() {
    let mut job = room([0.1; 5]);
    job["basis"] = json!({
        "/constructions/wall/u_value_w_m2k": {"known": "measured"},
        "/rooms": {"known": "documented"},
        "/rooms/room/height_m": {"known": "assumed"},
        "/site": {"known": "assumed"}
    });
    job["uncertainty"] = json!({"draws": 100});
    let answer = shared_service().answer("/v1/heat-loss", &job).await;
    let warnings = answer["notes"]["warnings"].as_array().unwrap().iter();
    let told: Vec<(&str, &str)> =
        warnings.map(|note| (note["code"].as_str().unwrap(), note["pointer"].as_str().unwrap())).collect();
    let expected =
        [("basis_without_effect", "/basis/~1rooms~1room~1height_m"), ("basis_without_effect", "/basis/~1site")];
    assert_eq!(told, expected);
}

#[tokio::test]
async fn odd_questions_are_refused_where_they_are() {
    let service = shared_service();
    let mut job = fixture("chapel");
    job["uncertainty"] = json!({"draws": 20_000});
    job["basis"] = json!({"/rooms/nowhere": {"known": "assumed"}, "/dwelling": {"known": "guessed"}});
    let refused = problem(service.post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(
        faults(&refused),
        [("/basis/~1dwelling/known", "unknown_choice"), ("/basis/~1rooms~1nowhere", "unknown_place")]
    );
    // as many draws as the schema allows, of more surfaces than can be computed at once
    let mut job = room([0.1; 5]);
    let surfaces = job["rooms"]["room"]["surfaces"].as_object_mut().unwrap();
    let wall = surfaces["roof"].clone();
    surfaces.extend((0..60).map(|index| (format!("more_{index}"), wall.clone())));
    let many = job["rooms"]["room"].clone();
    job["rooms"].as_object_mut().unwrap().extend((0..30).map(|index| (format!("room_{index}"), many.clone())));
    job["uncertainty"] = json!({"draws": 20_000});
    let refused = problem(service.post("/v1/heat-loss", &job).await, 422).await;
    assert_eq!(faults(&refused), [("/uncertainty/draws", "too_many_draws")]);
}
