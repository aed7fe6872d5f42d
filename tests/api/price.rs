//! `POST /v1/price`: tax by supply and tax point, the grant off the gross.

use serde_json::{Value, json};

use super::helpers::{faults, fixture, problem, published, shared_service, warned};

fn pennies(amount: &Value) -> i64 {
    // an amount has two decimals at most: its text is read, not its double
    let text = amount.to_string();
    let (pounds, rest) = text.split_once('.').unwrap_or((&text, ""));
    format!("{pounds}{rest:0<2}").parse().unwrap()
}

/// The hand-worked house with nothing marked up, all of it taxed by one rule, and its heat source priced so that the
/// net comes out at an amount.
async fn of_net(net: i64, rule: &str) -> Value {
    let service = shared_service();
    let mut job = published("hand_house");
    let commercial = &mut job["commercial"];
    commercial["margins"] = json!({"materials": 0.0, "labour": 0.0});
    commercial["supplies"] = json!({"heating": {"tax_rule": rule}, "floor_build": {"tax_rule": rule}});
    commercial["price_book"]["rules"].as_array_mut().unwrap().push(json!({
        "key": "reduced", "nation": "england", "from": "2020-01-01", "value": 0.05,
        "source": "stated in the test", "confidence": "invented"
    }));
    let before = service.answer("/v1/price", &job).await;
    let cost = &mut job["commercial"]["price_book"]["products"]["hs_5"]["unit_cost"];
    let pennies = pennies(cost) + net - pennies(&before["price"]["net"]);
    *cost = serde_json::from_str(&format!("{}.{:02}", pennies / 100, pennies % 100)).unwrap();
    job
}

async fn priced(job: &Value) -> Value {
    shared_service().answer("/v1/price", job).await["price"].clone()
}

/// Source: derived by hand. 21,480.00 at 5 % is 1,074.00 of tax, 22,554.00 gross; a grant of 7,500 leaves 15,054.00.
#[tokio::test]
async fn the_grant_comes_off_the_gross_and_tax_is_not_computed_after_it() {
    let price = priced(&of_net(2_148_000, "reduced").await).await;
    let told: Vec<String> = ["net", "tax", "gross", "grant", "payable"].map(|name| price[name].to_string()).into();
    assert_eq!(told, ["21480.0", "1074.0", "22554.0", "7500.0", "15054.0"]);
}

/// Source: derived by hand. An odd number of pennies lies in one of the two supplies: halves of it are rounded up, 1,074,000.5
/// to 1,074,001 pennies, and what is left for the last payment is 1,074,000.
#[tokio::test]
async fn the_last_payment_takes_what_the_others_leave() {
    let mut job = of_net(2_148_001, "reduced").await;
    let payments = |shares: &[f64]| {
        let each = shares.iter().map(|share| json!({"name": "stage", "share": share, "tax_point": "2026-11-27"}));
        Value::Array(each.collect())
    };
    job["commercial"]["stage_payments"] = payments(&[0.5, 0.5]);
    let price = priced(&job).await;
    let nets: Vec<i64> = price["payments"].as_array().unwrap().iter().map(|row| pennies(&row["net"])).collect();
    assert_eq!((nets, pennies(&price["net"])), (vec![1_074_001, 1_074_000], 2_148_001));
    job["commercial"]["stage_payments"] = payments(&[0.333, 0.333, 0.334]);
    let price = priced(&job).await;
    assert_eq!(pennies(&price["net"]), 2_148_001, "no penny more or less, however it is parted");
}

/// Source: Boiler Upgrade Scheme: a grant for a capacity of up to 45 kW; a book that names no limit has none.
#[tokio::test]
async fn a_heat_source_above_45_kw_gets_no_grant() {
    let mut job = of_net(2_148_000, "reduced").await;
    let unlimited = job.clone();
    for rule in job["commercial"]["price_book"]["rules"].as_array_mut().unwrap() {
        rule["heat_source_max_kw"] = json!(45);
    }
    for (job, capacity_w, payable) in [
        (&job, 44_900, 1_505_400),
        (&job, 45_000, 1_505_400),
        (&job, 45_100, 2_255_400),
        (&unlimited, 45_100, 1_505_400),
    ] {
        let is_refused = payable > 2_000_000;
        let mut job = job.clone();
        job["plant"]["heat_source"] = json!({"kind": "catalogue", "code": "hs_5"});
        let unit = &mut job["commercial"]["price_book"]["products"]["hs_5"];
        for point in unit["points"].as_array_mut().unwrap() {
            point["capacity_w"] = json!(capacity_w);
        }
        let answer = shared_service().answer("/v1/price", &job).await;
        assert_eq!(pennies(&answer["price"]["payable"]), payable, "{capacity_w}");
        assert_eq!(warned(&answer, "grant_above_limit").len(), usize::from(is_refused), "{capacity_w}");
    }
}

/// Source: SI 2022/565, regulation 9(1)(b): no more than 45 kW. The shipped scheme ends there as well: a unit given with the job, just within and just beyond.
#[tokio::test]
async fn the_shipped_grant_ends_at_45_kw() {
    let mut job = fixture("chapel");
    job["commercial"]["grant"] =
        json!({"kind": "scheme", "rule": "grant_air_to_water", "application_date": "2026-11-02"});
    job["site"]["nation"] = json!("england");
    for (capacity_w, grant) in [(44_900, 7500.0), (45_100, 0.0)] {
        let point = |outside_c: i32, flow_c: i32| json!({"outside_c": outside_c, "flow_c": flow_c, "capacity_w": capacity_w, "cop": 2.5});
        let points: Vec<Value> = [-25, 20].iter().flat_map(|c| [25, 70].map(|flow_c| point(*c, flow_c))).collect();
        job["plant"]["heat_source"] = json!({"kind": "given", "description": "a large unit", "water_l": 5, "defrost_included": true, "points": points,
            "pump": [{"flow_l_h": 0, "head_kpa": 90}, {"flow_l_h": 9000, "head_kpa": 60}]});
        let answer = shared_service().answer("/v1/price", &job).await;
        assert_eq!(answer["price"]["grant"], json!(grant), "{capacity_w}");
        let warnings = warned(&answer, "grant_above_limit");
        assert!(warnings.iter().all(|warning| warning["values"] == json!({"capacity_kw": 45.1, "most_kw": 45.0})));
        assert_eq!(warnings.len(), usize::from(capacity_w > 45_000), "{capacity_w}");
    }
}

#[tokio::test]
async fn a_grant_pays_no_more_than_the_price() {
    let mut job = published("hand_house");
    for (_, product) in job["commercial"]["price_book"]["products"].as_object_mut().unwrap() {
        product["unit_cost"] = json!(0.01);
    }
    let price = shared_service().answer("/v1/price", &job).await["price"].clone();
    assert!(pennies(&price["gross"]) < 750_000, "{price}");
    assert_eq!((pennies(&price["payable"]), &price["grant"]), (0, &price["gross"]));
}

/// Source: VAT Notice 708/6: energy-saving materials are taxed at 0 % until 31 March 2027 and at 5 % from the next day.
#[tokio::test]
async fn each_payment_is_taxed_at_the_rate_of_its_own_tax_point() {
    let service = shared_service();
    let mut job = fixture("chapel");
    job["commercial"]["stage_payments"] = json!([
        {"name": "deposit", "share": 0.3, "tax_point": "2027-03-31"},
        {"name": "handed over", "share": 0.7, "tax_point": "2027-04-01"}
    ]);
    let price = service.answer("/v1/price", &job).await["price"].clone();
    let rows = price["supplies"].as_array().unwrap();
    let of = |supply: &str| {
        let rows = rows.iter().filter(|row| row["supply"] == supply);
        rows.map(|row| (row["tax_point"].as_str().unwrap(), row["rate"].as_f64().unwrap())).collect::<Vec<_>>()
    };
    assert_eq!(of("heating"), [("2027-03-31", 0.0), ("2027-04-01", 0.05)]);
    assert_eq!(of("floor_build"), [("2027-03-31", 0.05), ("2027-04-01", 0.05)]);
    for row in rows {
        // rounded once, halves up: in whole pennies and hundredths of the rate
        let rate = if row["rate"] == 0.0 { 0 } else { 5 };
        assert_eq!(pennies(&row["tax"]), (pennies(&row["net"]) * rate + 50) / 100, "{row}");
    }
    let payments = price["payments"].as_array().unwrap();
    for member in ["net", "tax"] {
        let all: i64 = payments.iter().map(|payment| pennies(&payment[member])).sum();
        assert_eq!(all, pennies(&price[member]), "{member}");
        let all: i64 = rows.iter().map(|row| pennies(&row[member])).sum();
        assert_eq!(all, pennies(&price[member]), "{member}");
    }
    for payment in payments {
        assert_eq!(pennies(&payment["net"]) + pennies(&payment["tax"]), pennies(&payment["gross"]));
    }
    // 30 % of each supply is due before the change, to the penny of that supply
    for supply in ["heating", "floor_build"] {
        let nets: Vec<i64> =
            rows.iter().filter(|row| row["supply"] == supply).map(|row| pennies(&row["net"])).collect();
        assert_eq!(nets[0], ((nets[0] + nets[1]) * 3 + 5) / 10, "{supply}");
    }
}

/// Hot water that the heat source does not get hot enough for its store is warned of.
#[tokio::test]
async fn a_flow_below_the_storage_temperature_is_warned_of() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    job["hot_water"] = json!({"storage_temperature_c": 60, "flow_temperature_c": 50});
    let answer = service.answer("/v1/proposal", &job).await;
    let warnings = answer["notes"]["warnings"].as_array().unwrap();
    let warning = warnings.iter().find(|warning| warning["code"] == "flow_below_storage").unwrap();
    assert_eq!(warning["pointer"], "/hot_water");
    assert!(warning["detail"].as_str().unwrap().contains("50 °C"), "{warning}");
}

/// A supply with two rates says so; one with a single rate does not.
#[tokio::test]
async fn a_job_that_straddles_a_change_of_tax_says_so() {
    let service = shared_service();
    for (job, straddles) in [("chapel", true), ("terrace", false)] {
        let answer = service.answer("/v1/price", &fixture(job)).await;
        let warnings = answer["notes"]["warnings"].as_array().unwrap();
        let told: Vec<&Value> = warnings.iter().filter(|warning| warning["code"] == "several_tax_rates").collect();
        assert_eq!(told.len(), usize::from(straddles), "{job}: {warnings:?}");
        if straddles {
            assert!(told[0]["detail"].as_str().unwrap().contains("heating is 0 to 5 %"), "{told:?}");
        }
    }
}

/// Rules whose rows rest on memory are named in the assumptions of an answer that used them, once each.
#[tokio::test]
async fn rules_from_memory_are_named() {
    let mut job = fixture("chapel");
    job["commercial"]["supplies"]["floor_build"]["tax_rule"] = json!("new_dwelling");
    let answer = shared_service().answer("/v1/price", &job).await;
    let told: Vec<&str> = answer["notes"]["assumptions"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|note| note["code"] == "rule_from_memory")
        .map(|note| note["detail"].as_str().unwrap())
        .collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("new_dwelling says 0 from 1995-03-01"), "{told:?}");
}

async fn refused(job: &Value) -> Vec<(String, String)> {
    let problem = problem(shared_service().post("/v1/price", job).await, 422).await;
    let told = faults(&problem);
    told.into_iter().map(|(pointer, code)| (pointer.to_owned(), code.to_owned())).collect()
}

fn pairs(expected: &[(&str, &str)]) -> Vec<(String, String)> {
    expected.iter().map(|(pointer, code)| ((*pointer).to_owned(), (*code).to_owned())).collect()
}

#[tokio::test]
async fn a_grant_is_no_rate_of_tax_and_a_rate_is_no_grant() {
    let mut job = fixture("terrace");
    job["commercial"]["supplies"]["heating"]["tax_rule"] = json!("grant_air_to_water");
    job["commercial"]["grant"]["rule"] = json!("standard_rate");
    let expected = [("/commercial/supplies/heating/tax_rule", "wrong_rule"), ("/commercial/grant/rule", "wrong_rule")];
    assert_eq!(refused(&job).await, pairs(&expected));
    // an inline book need not say what its rules give: a rate above 1 and a grant below a pound are told all the same
    let mut job = published("hand_house");
    job["commercial"]["supplies"]["heating"]["tax_rule"] = json!("grant_air_to_water");
    job["commercial"]["grant"]["rule"] = json!("standard_rate");
    assert_eq!(refused(&job).await, pairs(&expected));
}

#[tokio::test]
async fn what_money_lacks_is_told_with_everything_else() {
    let mut job = fixture("bungalow");
    job["commercial"].as_object_mut().unwrap().remove("quote_date");
    job["rooms"]["hall"]["floor_area_m2"] = json!(-1);
    let expected = [("/rooms/hall/floor_area_m2", "too_small"), ("/commercial", "missing_field")];
    assert_eq!(refused(&job).await, pairs(&expected));
    let mut job = fixture("terrace");
    job["commercial"]["stage_payments"][0]["tax_point"] = json!("1990-01-01");
    job["commercial"]["grant"]["application_date"] = json!("2020-01-01");
    job["commercial"]["supplies"]["heatin"] = json!({"tax_rule": "standard_rate"});
    let expected = [
        ("/commercial/supplies/heatin", "unused_supply"),
        ("/commercial/grant/application_date", "no_rule"),
        ("/commercial/stage_payments/0/tax_point", "no_rule"),
        ("/commercial/stage_payments/0/tax_point", "no_rule"),
    ];
    assert_eq!(refused(&job).await, pairs(&expected));
    let mut job = fixture("bungalow");
    for room in ["hall", "bath"] {
        job["rooms"][room]["emitters"]["floor"]["surface_limit_c"] = json!(15);
    }
    let told = refused(&job).await;
    assert_eq!(told.iter().filter(|(_, code)| code == "surface_limit_below_room").count(), 2, "{told:?}");
}

/// No heat source, no grant: nothing is there that it could be paid for.
#[tokio::test]
async fn a_grant_needs_a_heat_source() {
    let service = shared_service();
    let mut job = fixture("terrace");
    job["heating"]["flow_temperature"]["flow_temperature_c"] = json!(75);
    let answer = service.answer("/v1/price", &job).await;
    assert_eq!(pennies(&answer["price"]["grant"]), 0, "{}", answer["price"]);
    assert_eq!(answer["price"]["complete"], false);
    let told = |answer: &Value, code: &str| {
        answer["notes"]["warnings"].as_array().unwrap().iter().any(|warning| warning["code"] == code)
    };
    assert!(told(&answer, "grant_without_heat_source"));
}

/// Common practice: first the runs, then floor and screed, three days of rest, and heat no sooner than EN 1264-4
/// allows: 21 days after a cement screed, as in the chapel, 7 after one of calcium sulphate, as in the bungalow.
#[tokio::test]
async fn visits_come_in_the_order_of_the_work_and_a_screed_rests() {
    let service = shared_service();
    for (job, days) in [("chapel", 21), ("bungalow", 7)] {
        let answer = service.answer("/v1/programme", &fixture(job)).await;
        let visits = answer["programme"]["visits"].as_array().unwrap();
        let names: Vec<&str> = visits.iter().map(|visit| visit["visit"].as_str().unwrap()).collect();
        let order = ["first_fix", "floor", "screed", "second_fix", "plant", "commissioning"];
        let expected: Vec<&str> = order.into_iter().filter(|visit| names.contains(visit)).collect();
        assert_eq!(names, expected, "{job}");
        let date = |visit: &str, member: &str| -> jiff::civil::Date {
            visits.iter().find(|row| row["visit"] == visit).unwrap()[member].as_str().unwrap().parse().unwrap()
        };
        let laid = date("screed", "earliest_finish");
        let next = names[names.iter().position(|name| *name == "screed").unwrap() + 1];
        assert!((date(next, "earliest_start") - laid).get_days() > 3, "{job}");
        assert!((date("commissioning", "earliest_start") - laid).get_days() >= days, "{job}");
        assert!(visits.last().unwrap()["needs"].as_str().unwrap().contains("screed"), "{job}");
    }
    let answer = service.answer("/v1/programme", &fixture("terrace")).await;
    assert!(!answer["programme"].to_string().contains("screed"), "a house of radiators has no screed to wait for");
}
