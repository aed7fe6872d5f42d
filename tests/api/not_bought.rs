//! What is too small is told and not bought: no line, no hours, no grant, and the price says that it is not the whole.

use serde_json::{Value, json};

use super::helpers::{fixture, published, shared_service, warned};

/// The terrace quoted in England on a day of the shipped scheme, with a grant by a rule.
fn terrace(rule: &str) -> Value {
    let mut job = fixture("terrace");
    job["commercial"]["grant"] = json!({"kind": "scheme", "rule": rule, "application_date": "2026-11-02"});
    job
}

/// Codes of the bill's lines and ids of its tasks.
fn billed(answer: &Value) -> Vec<String> {
    let of = |list: &str, member: &str| -> Vec<String> {
        let rows = answer["bill"][list].as_array().unwrap().iter();
        rows.map(|row| row[member].as_str().unwrap().to_owned()).collect()
    };
    [of("lines", "code"), of("labour", "task")].concat()
}

fn is_unmet(answer: &Value, part: &str, code: &str) -> bool {
    answer[part]["unmet"].as_array().unwrap().iter().any(|row| row["code"] == code)
}

/// Ten people at 35 l: 350 l at 60 °C, 350·50/40 = 437.5 l at 50 °C; the largest cylinder of the book holds 300 l.
#[tokio::test]
async fn a_cylinder_that_is_too_small_is_not_bought() {
    let service = shared_service();
    let enough = service.answer("/v1/proposal", &terrace("grant_air_to_water")).await;
    assert!(billed(&enough).iter().any(|code| code == "set_cylinder") && enough["price"]["complete"] == true);
    assert_eq!(enough["price"]["grant"], 7500.0);
    let mut job = terrace("grant_air_to_water");
    job["dwelling"]["occupants"] = json!(10);
    job["hot_water"]["storage_temperature_c"] = json!(50);
    let answer = service.answer("/v1/proposal", &job).await;
    let cylinder = &answer["plant"]["cylinder"];
    assert_eq!((&cylinder["needed_l"], cylinder.get("product"), cylinder.get("volume_l")), (&json!(437.5), None, None));
    assert_eq!(cylinder["largest"], "cyl_300");
    assert!(is_unmet(&answer, "plant", "no_cylinder"));
    let billed = billed(&answer);
    assert!(!billed.iter().any(|code| code.starts_with("cyl_") || code == "set_cylinder"), "{billed:?}");
    // its coil is still reckoned in the water, on the safe side
    assert_eq!(answer["plant"]["water_content"]["cylinder_coil_l"], 16.5);
    // the scheme asks that hot water be covered
    assert_eq!((&answer["price"]["grant"], &answer["price"]["complete"]), (&json!(0.0), &json!(false)));
    assert_eq!(warned(&answer, "grant_not_met")[0]["values"], json!({"condition": "hot_water_not_covered"}));
}

#[tokio::test]
async fn a_heat_source_that_is_too_small_is_not_bought() {
    let service = shared_service();
    let mut job = terrace("grant_air_to_water");
    job["plant"]["heat_source"] = json!({"kind": "catalogue", "code": "hs_5"});
    job["site"]["climate"] = json!({"kind": "given", "outside_design_c": -15});
    let answer = service.answer("/v1/proposal", &job).await;
    let source = &answer["plant"]["heat_source"];
    let candidate = &source["candidates"][0];
    assert!(candidate["capacity_w"].as_f64() < candidate["needed_w"].as_f64(), "{candidate}");
    assert_eq!((source.get("product"), source.get("description"), &source["strongest"]), (None, None, &json!("hs_5")));
    assert_eq!((&candidate["chosen"], &candidate["enough"]), (&json!(false), &json!(false)));
    assert!(is_unmet(&answer, "plant", "no_heat_source"));
    let billed = billed(&answer);
    assert!(!billed.iter().any(|code| code.starts_with("hs_") || code == "set_heat_source"), "{billed:?}");
    assert!(billed.iter().any(|code| code == "commission"), "{billed:?}");
    assert_eq!((&answer["price"]["grant"], &answer["price"]["complete"]), (&json!(0.0), &json!(false)));
    assert_eq!(warned(&answer, "grant_not_met")[0]["values"], json!({"condition": "demand_not_covered"}));
    // pipes and pumps are reckoned with the strongest: its own pump's head is told
    assert!(answer["pipework"]["pump"]["own_head_kpa"].as_f64() > Some(0.0));
}

/// A book of one's own that counts heat source and cylinder by the job keeps its hours, and nothing is missed of it.
#[tokio::test]
async fn hours_of_a_book_that_counts_by_the_job_stay_with_the_job() {
    let answer = shared_service().answer("/v1/proposal", &published("hand_house")).await;
    assert!(billed(&answer).iter().any(|task| task == "set_heat_source"));
    assert_eq!(warned(&answer, "labour_not_counted").len(), 0);
}

/// Source: Boiler Upgrade Scheme, notice of grant categories: 9,000 off the gas grid for oil or LPG, 7,500 otherwise; what is
/// replaced is fossil or electric heating and no heat pump (SI 2022/565, regulations 5 and 9(1)).
#[tokio::test]
async fn a_grant_whose_conditions_the_job_contradicts_is_not_taken() {
    for (rule, existing, grant, told) in [
        ("grant_air_to_water_off_gas_oil", Some("oil_boiler"), 9000.0, None),
        ("grant_air_to_water_off_gas_oil", Some("gas_boiler"), 0.0, Some(("grant_not_met", "other_heating_replaced"))),
        ("grant_air_to_water_off_gas_lpg", Some("oil_boiler"), 0.0, Some(("grant_not_met", "other_heating_replaced"))),
        ("grant_air_to_water_off_gas_lpg", None, 9000.0, Some(("grant_doubtful", "heating_not_told"))),
        ("grant_air_to_water", Some("gas_boiler"), 7500.0, None),
        ("grant_air_to_water", Some("solid_fuel"), 7500.0, None),
        ("grant_air_to_water", Some("heat_pump"), 0.0, Some(("grant_not_met", "heat_pump_already"))),
        ("grant_air_to_water", Some("none"), 0.0, Some(("grant_not_met", "nothing_replaced"))),
    ] {
        let mut job = terrace(rule);
        match existing {
            Some(kind) => job["dwelling"]["existing_heating"] = json!({"kind": kind}),
            None => drop(job["dwelling"].as_object_mut().unwrap().remove("existing_heating")),
        }
        let answer = shared_service().answer("/v1/price", &job).await;
        assert_eq!(answer["price"]["grant"], grant, "{rule} {existing:?}");
        let warnings = [warned(&answer, "grant_not_met"), warned(&answer, "grant_doubtful")].concat();
        let found: Vec<(&str, &str)> = warnings
            .iter()
            .map(|note| (note["code"].as_str().unwrap(), note["values"].as_object().unwrap()))
            .map(|(code, values)| (code, values.values().next().unwrap().as_str().unwrap()))
            .collect();
        assert_eq!(found, Vec::from_iter(told), "{rule} {existing:?}");
    }
}

/// A rule of one's own that asks for nothing to be replaced contradicts nothing; what speaks against it is a doubt.
#[tokio::test]
async fn a_rule_that_asks_for_nothing_is_doubted_and_taken() {
    let mut job = published("hand_house");
    job["dwelling"]["existing_heating"] = json!({"kind": "heat_pump"});
    let answer = shared_service().answer("/v1/price", &job).await;
    assert_eq!(answer["price"]["grant"], 7500.0);
    assert_eq!(warned(&answer, "grant_doubtful")[0]["values"], json!({"doubt": "heat_pump_already"}));
    for rule in job["commercial"]["price_book"]["rules"].as_array_mut().unwrap() {
        if rule["value"].as_f64() > Some(1.0) {
            rule["replaces"] = json!(["gas_boiler", "oil_boiler"]);
        }
    }
    let answer = shared_service().answer("/v1/price", &job).await;
    assert_eq!((&answer["price"]["grant"], warned(&answer, "grant_not_met").len()), (&json!(0.0), 1));
}

/// What the price does not hold is told: the tube to the cylinder where the job tells no circuit to it.
#[tokio::test]
async fn a_circuit_that_the_job_does_not_tell_is_not_in_the_price() {
    for (name, is_told) in [("terrace", false), ("farmhouse", true)] {
        let answer = shared_service().answer("/v1/bill", &fixture(name)).await;
        let notes = answer["notes"]["assumptions"].as_array().unwrap();
        let note = notes.iter().find(|note| note["code"] == "not_in_the_bill").unwrap();
        let lacking = note["values"]["lacking"].as_array().unwrap();
        assert_eq!(lacking.contains(&json!("tube_to_the_cylinder")), !is_told, "{name}: {note}");
    }
}

/// A need that is told once more with what would mend it counts once among those that the price lacks.
#[tokio::test]
async fn a_room_that_is_set_aside_counts_once_among_what_the_price_lacks() {
    let mut job = terrace("grant_air_to_water");
    job["heating"]["flow_temperature"] = json!({"kind": "lowest"});
    job["rooms"]["landing"].as_object_mut().unwrap().remove("emitters");
    job["pipework"]["runs"].as_object_mut().unwrap().retain(|_, run| {
        !run["serves"].as_array().is_some_and(|serves| serves.iter().any(|end| end["room"] == "landing"))
    });
    let answer = shared_service().answer("/v1/proposal", &job).await;
    let told = &warned(&answer, "design_unmet")[0]["values"];
    let codes = told["codes"].as_array().unwrap();
    assert!(codes.contains(&json!("no_emitter")) && !codes.contains(&json!("set_aside")), "{told}");
    assert_eq!(told["needs"].as_u64(), Some(codes.len() as u64));
}
