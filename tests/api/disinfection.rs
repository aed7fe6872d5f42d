//! Water that is stored too cool for legionella to die is heated against it every so often, which is told with what it takes.

use serde_json::{Value, json};

use super::helpers::{close, fixture, shared_service};

fn told(answer: &Value, code: &str) -> Vec<Value> {
    let cautions = answer["notes"]["cautions"].as_array().unwrap();
    cautions.iter().filter(|note| note["code"] == code).map(|note| note["values"].clone()).collect()
}

/// Source: Health and Safety Executive, hot and cold water systems: hot water is stored at 60 °C or more. Common practice: what is
/// stored below is heated to that for an hour every week. By hand: a litre takes 1.163 Wh/K; the terrace's cylinder from 50 to 60 °C.
#[tokio::test]
async fn a_store_below_60_c_is_disinfected_every_week() {
    let service = shared_service();
    let mut job = fixture("terrace");
    for (storage_c, is_disinfected) in [(50.0, true), (59.9, true), (60.0, false), (65.0, false)] {
        job["hot_water"] = json!({"storage_temperature_c": storage_c, "flow_temperature_c": 65});
        let answer = service.answer("/v1/proposal", &job).await;
        let cylinder = &answer["plant"]["cylinder"];
        let lacking = answer["notes"]["assumptions"].as_array().unwrap().iter();
        let lacking = lacking.filter(|note| note["code"] == "not_in_the_bill").map(|note| &note["values"]["lacking"]);
        let is_lacking = lacking.flat_map(|words| words.as_array().unwrap()).any(|word| word == "weekly_disinfection");
        assert_eq!(is_lacking, is_disinfected, "{storage_c}");
        assert_eq!(told(&answer, "legionella"), [json!({"storage_c": storage_c})]);
        if is_disinfected {
            let heat_kwh = 1.163e-3 * cylinder["volume_l"].as_f64().unwrap() * (60.0 - storage_c);
            close(&cylinder["disinfection"]["heat_kwh"], heat_kwh, 1e-6);
            let how = json!({"storage_c": storage_c, "to_c": 60.0, "held_h": 1.0, "days": 7});
            assert_eq!(told(&answer, "disinfection"), [how]);
        } else {
            assert_eq!((cylinder.get("disinfection"), told(&answer, "disinfection").len()), (None, 0), "{storage_c}");
        }
    }
    // the temperature that stands in where the job says none is below 60 °C as well
    job.as_object_mut().unwrap().remove("hot_water");
    let answer = service.answer("/v1/plant", &job).await;
    assert_eq!(told(&answer, "disinfection").len(), 1);
}
