//! What can hurt someone is told by what the job tells; local codes, competent and registered persons decide.

use serde_json::{Value, json};

use super::helpers::{fixture, rooms_of, shared_service, unit_of};

/// Codes of an answer's cautions.
async fn told(job: &Value) -> Vec<String> {
    let answer = shared_service().answer("/v1/proposal", job).await;
    let cautions = answer["notes"]["cautions"].as_array().unwrap().iter();
    cautions.map(|caution| caution["code"].as_str().unwrap().to_owned()).collect()
}

/// A house of one radiator, of a year, with a heating before, and with something changed.
fn house(year: Option<u32>, heating: Option<&str>, change: impl FnOnce(&mut Value)) -> Value {
    let mut job = rooms_of(&[(700.0, 14.0, json!({"rad": {"kind": "radiator"}}))]);
    job["heating"] = json!({"flow_temperature": {"kind": "fixed", "flow_temperature_c": 45}, "drop_k": 5});
    job["plant"] = unit_of(9.0, &json!({}));
    job["commercial"] = json!({"quote_date": "2026-11-02"});
    job["dwelling"]["construction_year"] = year.map_or(Value::Null, Value::from);
    job["dwelling"]["existing_heating"] = heating.map_or(Value::Null, |kind| json!({"kind": kind}));
    job["dwelling"].as_object_mut().unwrap().retain(|_, value| !value.is_null());
    change(&mut job);
    job
}

/// What is changed of a house.
type Change<'c> = &'c dyn Fn(&mut Value);

/// A year, a heating, a change, and which cautions come of them.
type Case<'c> = (Option<u32>, Option<&'c str>, Change<'c>, &'c [&'c str]);

/// What hangs on year, heating, flues, storeys and what stays comes and goes with these; what every job has is always there.
#[tokio::test]
async fn what_can_hurt_is_told_by_what_the_job_tells() {
    let always = [
        "scald",
        "legionella",
        "unvented",
        "electricity",
        "refrigerant",
        "noise",
        "stood_water",
        "weight",
        "condensate_ice",
        "network_operator",
        "pressure_test",
        "structure",
        "backflow",
        "buried_services",
    ];
    let copper = |job: &mut Value| job["pipework"]["tubes"] = json!(["cu_15", "cu_22", "cu_28"]);
    let multilayer = |job: &mut Value| job["pipework"]["tubes"] = json!(["ml_16", "ml_20", "ml_26"]);
    let kept = |job: &mut Value| {
        job["rooms"]["r0"]["emitters"]["rad"]["existing"] =
            json!({"kind": "rated", "output_w": 4000, "exponent": 1.3, "water_l": 5, "keep": "always"});
    };
    let flue = |job: &mut Value| job["rooms"]["r0"]["flues"] = json!({"open_flues": 1});
    let plain = |_: &mut Value| {};
    let cases: [Case<'_>; 10] = [
        (Some(2012), None, &multilayer, &["gas"]),
        (Some(2012), None, &copper, &["hot_work", "gas"]),
        (Some(1999), None, &multilayer, &["asbestos", "gas"]),
        (Some(2000), None, &multilayer, &["gas"]),
        (None, None, &multilayer, &["asbestos", "gas"]),
        (Some(2012), Some("gas_boiler"), &multilayer, &["gas", "earth_bonding"]),
        (Some(1960), Some("oil_boiler"), &copper, &["oil", "asbestos", "lead", "hot_work"]),
        (Some(2012), Some("solid_fuel"), &copper, &["carbon_monoxide", "hot_work"]),
        (Some(2012), None, &flue, &["carbon_monoxide", "hot_work", "gas"]),
        (Some(2012), None, &kept, &["old_system_under_pressure", "hot_work", "gas"]),
    ];
    let sometimes = [
        "asbestos",
        "lead",
        "old_system_under_pressure",
        "hot_work",
        "earth_bonding",
        "working_at_height",
        "gas",
        "oil",
        "carbon_monoxide",
    ];
    for (year, heating, change, expected) in cases {
        let found = told(&house(year, heating, |job| change(job))).await;
        for code in always {
            assert!(found.iter().any(|one| one == code), "{year:?} {heating:?}: {code}");
        }
        for code in sometimes {
            let is_told = found.iter().any(|one| one == code);
            assert_eq!(is_told, expected.contains(&code), "{year:?} {heating:?}: {code} among {found:?}");
        }
    }
    let storeys = told(&house(Some(2012), None, plain)).await;
    assert!(!storeys.contains(&"working_at_height".to_owned()));
    assert!(told(&fixture("terrace")).await.contains(&"working_at_height".to_owned()));
    // a flat on an upper storey, and a pipe through a loft
    let upstairs = |job: &mut Value| {
        for room in job["rooms"].as_object_mut().unwrap().values_mut() {
            room["storey"] = json!(3);
        }
    };
    assert!(told(&house(Some(2012), None, upstairs)).await.contains(&"working_at_height".to_owned()));
    let mut bungalow = fixture("bungalow");
    assert!(!told(&bungalow).await.contains(&"working_at_height".to_owned()));
    let run = bungalow["pipework"]["runs"].as_object_mut().unwrap().values_mut().next().unwrap();
    run["place"] = json!("loft");
    assert!(told(&bungalow).await.contains(&"working_at_height".to_owned()));
}

/// Old tubes and radiators are tested at 1.5 times the most that they meet, that of the safety valve: 4.5 bar at 3 bar.
#[tokio::test]
async fn an_old_system_is_tested_before_the_price() {
    let job = house(Some(2012), None, |job| {
        job["pipework"]["existing"] = json!({"kind": "kept", "outside_diameters_mm": [15]});
    });
    let answer = shared_service().answer("/v1/pipework", &job).await;
    let cautions = answer["notes"]["cautions"].as_array().unwrap();
    let told = cautions.iter().find(|caution| caution["code"] == "old_system_under_pressure").unwrap();
    assert_eq!(told["values"]["test_bar"], 4.5);
}

/// The words of the trade here: registered and competent, not licensed, but for a carrier of waste and a contractor for asbestos, who have
/// a licence.
#[tokio::test]
async fn persons_are_called_as_they_are_here() {
    for name in ["bungalow", "chapel", "farmhouse", "terrace"] {
        let answer = shared_service().answer("/v1/proposal", &fixture(name)).await;
        let text = answer.to_string().replace("licensed carrier", "").replace("licensed contractor", "");
        assert!(!text.contains("licensed"), "{name}");
    }
}
