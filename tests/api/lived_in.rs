//! A house that people live in while the work is done: what its visits need, and how long it goes without.

use jiff::civil::Date;
use serde_json::{Value, json};

use super::helpers::{faults, fixture, problem, row, shared_service};

async fn programme(job: &Value) -> Value {
    shared_service().answer("/v1/programme", job).await["programme"].take()
}

fn date(visit: &Value, member: &str) -> Date {
    visit[member].as_str().unwrap().parse().unwrap()
}

/// Days from the first day of one visit to the last of another, both counted.
fn days(visits: &Value, from: &str, to: &str) -> i64 {
    let [from, to] = [row(visits, "visit", from), row(visits, "visit", to)];
    i64::from((date(to, "earliest_finish") - date(from, "earliest_start")).get_days()) + 1
}

/// Calendar days by hand from the dates of the visits themselves: heating goes off when the old radiators come off, hot water when heat source
/// and cylinder are exchanged, and both are back when the system is commissioned. Common practice.
#[tokio::test]
async fn visits_tell_the_days_without_heating_and_hot_water() {
    let mut terrace = fixture("terrace");
    terrace["rooms"].as_object_mut().unwrap().values_mut().for_each(|room| room["removed_radiators"] = json!(1));
    let found = programme(&terrace).await;
    let visits = &found["visits"];
    assert_eq!(found["without_heating_days"], days(visits, "first_fix", "commissioning"));
    assert_eq!(found["without_hot_water_days"], days(visits, "plant", "commissioning"));
    let sum =
        |member: &str| visits.as_array().unwrap().iter().map(|visit| visit[member].as_i64().unwrap()).sum::<i64>();
    for member in ["without_heating_days", "without_hot_water_days"] {
        assert_eq!(found[member], sum(member), "{member}");
    }
    let handed = |visit: &str| row(visits, "visit", visit)["hands_over"].as_str().unwrap().to_owned();
    let first = row(visits, "visit", "first_fix")["without_heating_days"].as_i64().unwrap();
    let told = if first == 1 { "a day".to_owned() } else { format!("{first} days") };
    assert!(handed("first_fix").ends_with(&format!("the house is without heating for {told} until the next visit")));
    assert!(handed("plant").contains("without heating and hot water"), "{}", handed("plant"));
    assert!(!handed("commissioning").contains("without"), "both are back by then");
}

/// Stoves and electric heaters heat until the new heating runs; a house that nothing heats has nothing to lose; new radiators on old tubes
/// take the heating away when they are hung.
#[tokio::test]
async fn what_heats_now_tells_when_the_heating_goes_off() {
    let mut job = fixture("terrace");
    for room in job["rooms"].as_object_mut().unwrap().values_mut() {
        room.as_object_mut().unwrap().remove("removed_radiators");
        room["emitters"]
            .as_object_mut()
            .unwrap()
            .values_mut()
            .for_each(|one| drop(one.as_object_mut().unwrap().remove("existing")));
    }
    for (heating, from) in [("electric", None), ("solid_fuel", None), ("none", None), ("gas_boiler", Some("plant"))] {
        job["dwelling"]["existing_heating"] = json!({"kind": heating});
        job["dwelling"]["lived_in"] = json!(true);
        let found = programme(&job).await;
        let expected = from.map_or(0, |from| days(&found["visits"], from, "commissioning"));
        assert_eq!(found["without_heating_days"], expected, "{heating}");
        assert_eq!(found["without_hot_water_days"], days(&found["visits"], "plant", "commissioning"), "{heating}");
    }
    job["dwelling"]["existing_heating"] = json!({"kind": "gas_boiler"});
    job["pipework"]["existing"] = json!({"kind": "kept", "outside_diameters_mm": [15, 22]});
    let found = programme(&job).await;
    assert_eq!(found["without_heating_days"], days(&found["visits"], "second_fix", "commissioning"));
}

/// Where it is left out people live there if something heats it, which is an assumption; what nobody lives in is as before.
#[tokio::test]
async fn a_house_that_is_lived_in_hears_nothing_of_plastered_walls() {
    let service = shared_service();
    for (name, lived_in, expected, assumed) in [
        ("terrace", None, true, true),
        ("terrace", Some(true), true, false),
        ("terrace", Some(false), false, false),
        ("bungalow", None, false, false),
        ("bungalow", Some(true), true, false),
    ] {
        let mut job = fixture(name);
        job["dwelling"].as_object_mut().unwrap().remove("lived_in");
        if let Some(lived_in) = lived_in {
            job["dwelling"]["lived_in"] = json!(lived_in);
        }
        let answer = service.answer("/v1/programme", &job).await;
        let found = &answer["programme"];
        let case = format!("{name}, lived in {lived_in:?}");
        assert_eq!(!found.to_string().contains("plaster"), expected, "{case}: {found}");
        for member in ["without_heating_days", "without_hot_water_days"] {
            assert_eq!(found.get(member).is_some(), expected, "{case}");
            assert!(
                found["visits"].as_array().unwrap().iter().all(|visit| visit.get(member).is_some() == expected),
                "{case}"
            );
        }
        let assumptions = answer["notes"]["assumptions"].as_array().unwrap();
        assert_eq!(assumptions.iter().any(|note| note["code"] == "lived_in"), assumed, "{case}");
    }
    let mut job = fixture("terrace");
    job["dwelling"]["lived_in"] = json!("yes");
    job["dwelling"]["bedrooms"] = json!(51);
    let problem = problem(service.post("/v1/programme", &job).await, 422).await;
    let found = faults(&problem);
    assert!(
        found.contains(&("/dwelling/lived_in", "wrong_type")) && found.contains(&("/dwelling/bedrooms", "too_large"))
    );
}

/// What is handed over as tested has hours for its test: one, and a tenth for each end of the runs, here all radiators and towel rails, new
/// or not (common practice).
#[tokio::test]
async fn the_first_fix_has_its_test() {
    let answer = shared_service().answer("/v1/proposal", &fixture("terrace")).await;
    let labour = &answer["bill"]["labour"];
    let of = |task: &str| row(labour, "task", task).clone();
    assert_eq!((&of("test_runs")["visit"], &of("test_runs")["labour_h"]), (&json!("first_fix"), &json!(1.0)));
    let ends: f64 = answer["pipework"]["circuits"].as_array().unwrap().iter().map(|_| 1.0).sum();
    assert_eq!(of("test_run_ends")["visit"], "first_fix");
    assert!(ends > 3.0 && (of("test_run_ends")["labour_h"].as_f64().unwrap() - 0.1 * ends).abs() < 1e-9);
}

/// Common practice: of one radiator that comes off the tails are capped, and the system is filled again; where most come off the house is
/// cold. Nobody takes a heat source out to wait for a screed: the visit that does ends on the working day before the system is heated.
#[tokio::test]
async fn a_house_is_cold_no_longer_than_the_work_takes() {
    let mut job = fixture("farmhouse");
    let found = programme(&job).await;
    let visits = &found["visits"];
    let [plant, last] = ["plant", "commissioning"].map(|visit| row(visits, "visit", visit));
    let gap = i64::from((date(last, "earliest_start") - date(plant, "earliest_finish")).get_days());
    assert!((1..=3).contains(&gap), "a weekend at most lies between: {gap}");
    assert_eq!(found["without_heating_days"], days(visits, "plant", "commissioning"), "one radiator comes off");
    assert!(!row(visits, "visit", "first_fix")["hands_over"].as_str().unwrap().contains("without"));
    let rooms = job["rooms"].as_object_mut().unwrap();
    let half = rooms.len().div_ceil(2);
    rooms.values_mut().take(half).for_each(|room| room["removed_radiators"] = json!(1));
    let cold = programme(&job).await;
    assert_eq!(cold["without_heating_days"], days(&cold["visits"], "first_fix", "commissioning"));
    // an empty house waits for nothing
    job["dwelling"]["lived_in"] = json!(false);
    let empty = programme(&job).await;
    assert!(date(row(&empty["visits"], "visit", "plant"), "earliest_start") < date(plant, "earliest_start"));
}

/// Common practice: new radiators on tubes that stay take the heating away when they are hung, so that nobody hangs them while a screed
/// dries: that visit ends on the working day before the heat source is exchanged, and this one before the system is heated.
#[tokio::test]
async fn nobody_hangs_radiators_on_live_tubes_while_a_screed_dries() {
    let mut job = fixture("farmhouse");
    job["pipework"]["existing"] = json!({"kind": "kept", "outside_diameters_mm": [15, 22, 28]});
    let found = programme(&job).await;
    let visits = &found["visits"];
    assert_eq!(found["without_heating_days"], days(visits, "second_fix", "commissioning"));
    let [screed, hung, plant, last] =
        ["screed", "second_fix", "plant", "commissioning"].map(|visit| row(visits, "visit", visit));
    for (before, after) in [(hung, plant), (plant, last)] {
        let gap = i64::from((date(after, "earliest_start") - date(before, "earliest_finish")).get_days());
        assert!((1..=3).contains(&gap), "a weekend at most lies between: {gap}");
    }
    let dries = (date(hung, "earliest_start") - date(screed, "earliest_finish")).get_days();
    assert!(dries > 7, "it dries with the old heating on: {dries} days");
    // a working day each: hours by days of the crew
    for visit in visits.as_array().unwrap() {
        let working = |date: Date| date.weekday().to_monday_zero_offset() < 5;
        assert!(working(date(visit, "earliest_start")) && working(date(visit, "earliest_finish")), "{visit}");
    }
    // an empty house is done as early as it can be
    job["dwelling"]["lived_in"] = json!(false);
    let empty = programme(&job).await;
    assert!(date(row(&empty["visits"], "visit", "second_fix"), "earliest_start") < date(hung, "earliest_start"));
    assert_eq!(row(&empty["visits"], "visit", "commissioning")["earliest_start"], last["earliest_start"]);
}

/// Those who live there now tell that it is lived in, where nobody tells what heats it.
#[tokio::test]
async fn occupants_live_there() {
    let mut job = fixture("terrace");
    let dwelling = job["dwelling"].as_object_mut().unwrap();
    dwelling.remove("existing_heating");
    dwelling.remove("lived_in");
    dwelling.insert("occupants".to_owned(), json!(3));
    let lived_in = programme(&job).await;
    assert!(lived_in["without_heating_days"].as_i64().unwrap() > 0);
    job["dwelling"].as_object_mut().unwrap().remove("occupants");
    assert!(programme(&job).await.get("without_heating_days").is_none());
}
