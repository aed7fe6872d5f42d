//! Money that a client pays: screeds that are bought laid, payments and what a grant leaves of them, supplies, hours by the trade.

use serde_json::{Value, json};

use super::figures::number;
use super::helpers::{close, fixture, row, shared_service, warned};

async fn price_of(job: &Value) -> Value {
    shared_service().answer("/v1/price", job).await
}

/// Pennies of an amount.
fn pennies(amount: &Value) -> i64 {
    format!("{:.0}", 100.0 * number(amount)).parse().unwrap()
}

/// Common practice: a screed is priced laid by another trade, with a least charge a visit, or by own hours, never both.
#[tokio::test]
async fn a_screed_is_laid_by_another_trade_or_by_own_hours() {
    let service = shared_service();
    let mut job = fixture("bungalow");
    let laid = service.answer("/v1/proposal", &job).await;
    let line = |answer: &Value, code: &str| row(&answer["bill"]["lines"], "code", code).clone();
    let by_area = |answer: &Value| {
        let tasks = answer["bill"]["labour"].as_array().unwrap().iter();
        tasks.filter(|task| task["per"] == "screed_m2").map(|task| number(&task["labour_h"])).sum::<f64>()
    };
    assert!(by_area(&laid).abs() < 1e-9, "no own hours beside a price that has them");
    let visit = row(&laid["programme"]["visits"], "visit", "screed");
    assert_eq!((&visit["people"], &visit["tasks"]), (&json!(0), &json!([])), "{visit}");
    assert!(visit["needs"].as_str().unwrap().starts_with("the screed layer booked"));
    assert!(line(&laid, "screed_liquid").get("least_charge").is_none(), "6 m3 cost more than a visit");
    // the same book with a screed by the bag and own hours; a least charge holds either way
    let screed = |more: Value| {
        let mut screed = json!({"kind": "screed", "description": "screed by the bag", "binder": "calcium_sulphate",
            "conductivity_w_mk": 1.4, "step_m3": 0.1, "unit": "m3", "unit_cost": 100});
        screed.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        screed
    };
    let task = json!({"visit": "screed", "labour_h": 0.14, "per": "screed_m2", "supply": "floor_build"});
    let mut book = super::helpers::published("hand_house")["commercial"]["price_book"].clone();
    let screed_code = book["products"]
        .as_object()
        .unwrap()
        .iter()
        .find(|(_, product)| product["kind"] == "screed")
        .map(|(code, _)| code.clone())
        .unwrap();
    // hours by the floor's area stay, and are warned of beside a price that has them
    let by_floor = {
        let mut job = super::helpers::published("hand_house");
        job["commercial"]["price_book"]["products"][&screed_code]["laid"] = json!(true);
        service.answer("/v1/price", &job).await
    };
    assert_eq!(warned(&by_floor, "screed_laid_twice").len(), 1);
    book["labour"]["tasks"]["lay_screed"] = task;
    let hand = |screed: Value| {
        let mut job = super::helpers::published("hand_house");
        let mut book = book.clone();
        book["products"][&screed_code] = screed;
        job["commercial"]["price_book"] = book;
        job
    };
    let own = service.answer("/v1/bill", &hand(screed(json!({})))).await;
    let others = service.answer("/v1/bill", &hand(screed(json!({"laid": true})))).await;
    assert!(by_area(&own) > 0.1 && by_area(&others).abs() < 1e-9);
    let charged = service.answer("/v1/bill", &hand(screed(json!({"laid": true, "least_charge": 5000})))).await;
    let of = |answer: &Value| line(answer, &screed_code);
    assert_eq!((pennies(&of(&charged)["cost"]), &of(&charged)["least_charge"]), (500_000, &json!(5000.0)));
    assert!(of(&charged)["quantity_from"].as_str().unwrap().ends_with("5000.00 at least for the visit"));
    close(&of(&others)["cost"], 100.0 * number(&of(&others)["quantity"]), 1e-9);
    // a charge below nothing is refused
    job["commercial"]["price_book"] = hand(screed(json!({"least_charge": -1})))["commercial"]["price_book"].clone();
    let faults = super::helpers::problem(service.post("/v1/bill", &job).await, 422).await;
    let at = format!("/commercial/price_book/products/{screed_code}/least_charge");
    assert_eq!(row(&faults["errors"], "pointer", &at)["code"], "price_book_inconsistent");
}

/// The grant is paid when the work is done: it comes off the last payments first, and every payment tells what is left of it.
#[tokio::test]
async fn a_grant_comes_off_the_last_payments() {
    let answer = price_of(&fixture("chapel")).await;
    let price = &answer["price"];
    let payments = price["payments"].as_array().unwrap();
    let of = |name: &str| payments.iter().map(|payment| pennies(&payment[name])).sum::<i64>();
    assert_eq!(
        (of("gross"), of("grant"), of("payable")),
        (pennies(&price["gross"]), pennies(&price["grant"]), pennies(&price["payable"]))
    );
    let mut left = 750_000;
    for payment in payments.iter().rev() {
        let taken = left.min(pennies(&payment["gross"]));
        assert_eq!(
            (pennies(&payment["grant"]), pennies(&payment["payable"])),
            (taken, pennies(&payment["gross"]) - taken)
        );
        left -= taken;
    }
    assert_eq!(left, 0);
}

/// A deposit above all that the client owes, more than insurance covers before the work is done, more than the codes of the trade let
/// before it begins, tax points before the quote and out of order: each is warned of with its figures, by sums of the answer's payments.
#[tokio::test]
async fn what_a_client_should_not_be_asked_for_is_warned_of() {
    let mut job = fixture("terrace");
    let payments = |shares: [f64; 3], days: [&str; 3]| {
        let each = ["deposit", "half way", "handed over"].iter().zip(shares).zip(days);
        json!(
            each.map(|((name, share), day)| json!({"name": name, "share": share, "tax_point": day}))
                .collect::<Vec<_>>()
        )
    };
    let days = ["2026-11-13", "2026-12-10", "2026-12-18"];
    job["commercial"]["stage_payments"] = payments([0.2, 0.05, 0.75], days);
    job["commercial"]["grant"] = json!({"kind": "none"});
    let quiet = price_of(&job).await;
    for code in [
        "deposit_above_owed",
        "paid_before_done",
        "paid_before_work",
        "tax_point_before_quote",
        "tax_points_out_of_order",
    ] {
        assert!(warned(&quiet, code).is_empty(), "{code}");
    }
    job["commercial"]["stage_payments"] = payments([0.65, 0.15, 0.2], days);
    let early = price_of(&job).await;
    let gross = |number: usize| super::figures::number(&early["price"]["payments"][number]["gross"]);
    let done = warned(&early, "paid_before_done")[0];
    close(&done["values"]["paid"], gross(0) + gross(1), 1e-9);
    close(&done["values"]["most_percent"], 25.0, 1e-9);
    let work = warned(&early, "paid_before_work")[0];
    close(&work["values"]["paid"], gross(0), 1e-9);
    close(&work["values"]["most_percent"], 60.0, 1e-9);
    // with a grant so large that little is left
    job["commercial"]["grant"] =
        json!({"kind": "scheme", "rule": "grant_air_to_water", "application_date": "2026-11-16"});
    let granted = price_of(&job).await;
    let owed = number(&granted["price"]["payable"]);
    let deposit = number(&granted["price"]["payments"][0]["gross"]);
    let told = warned(&granted, "deposit_above_owed");
    assert_eq!(told.len(), usize::from(deposit > owed));
    assert!(deposit > owed, "{deposit} of {owed}");
    close(&told[0]["values"]["asked"], deposit, 1e-9);
    close(&told[0]["values"]["owed"], owed, 1e-9);
    job["commercial"]["stage_payments"] = payments([0.2, 0.05, 0.75], ["2026-10-01", "2026-12-18", "2026-12-10"]);
    let odd = price_of(&job).await;
    let at = |code: &str| warned(&odd, code).iter().map(|one| one["pointer"].clone()).collect::<Vec<_>>();
    assert_eq!(at("tax_point_before_quote"), ["/commercial/stage_payments/0/tax_point"]);
    assert_eq!(at("tax_points_out_of_order"), ["/commercial/stage_payments/2/tax_point"]);
}

/// VAT Notice 708/6: energy-saving materials 0 % until 31 March 2027, then 5 %: what a payment after that day costs more is told in
/// pounds, 5 % of its net.
#[tokio::test]
async fn a_payment_after_the_end_of_a_rate_tells_what_it_costs() {
    let answer = price_of(&fixture("chapel")).await;
    let told = warned(&answer, "rate_goes_up");
    assert_eq!(told.len(), 1, "{told:?}");
    let supplies = answer["price"]["supplies"].as_array().unwrap().iter();
    let net: f64 = supplies
        .filter(|supply| supply["supply"] == "heating" && supply["tax_point"] == "2027-04-23")
        .map(|supply| number(&supply["net"]))
        .sum();
    assert!((number(&told[0]["values"]["more_tax"]) - 0.05 * net).abs() < 0.006);
    assert_eq!(told[0]["values"]["payment"], "handed over");
    assert!(warned(&price_of(&fixture("terrace")).await, "rate_goes_up").is_empty());
}

/// Insulation under a floor is a supply of its own where the job names it, boards and the hours of laying them, and of the floor's build
/// where it does not.
#[tokio::test]
async fn floor_insulation_may_be_a_supply_of_its_own() {
    let mut job = fixture("chapel");
    let nets = |answer: &Value, supply: &str| {
        let all = answer["price"]["supplies"].as_array().unwrap().iter();
        all.filter(|row| row["supply"] == supply).map(|row| pennies(&row["net"])).sum::<i64>()
    };
    let before = shared_service().answer("/v1/proposal", &job).await;
    let lines = before["bill"]["lines"].as_array().unwrap().iter();
    let boards: i64 = lines
        .filter(|line| line["code"].as_str().unwrap().starts_with("board_"))
        .map(|line| pennies(&line["net"]))
        .sum();
    let laid = pennies(&row(&before["bill"]["labour"], "per", "floor_m2")["net"]);
    assert!(boards > 0 && laid > 0 && nets(&before, "floor_insulation") == 0);
    job["commercial"]["supplies"]["floor_insulation"] = json!({"tax_rule": "energy_saving_materials"});
    let after = shared_service().answer("/v1/proposal", &job).await;
    assert_eq!(nets(&after, "floor_insulation"), boards + laid);
    assert_eq!(nets(&before, "floor_build") - nets(&after, "floor_build"), boards + laid);
    assert!(pennies(&after["price"]["tax"]) < pennies(&before["price"]["tax"]));
}

/// A dwelling that is new or that nothing heats may be taxed otherwise: told, unless the job names such a rule.
#[tokio::test]
async fn other_rates_are_hinted_at() {
    let mut job = fixture("terrace");
    assert!(warned(&price_of(&job).await, "other_rates_may_hold").is_empty());
    job["dwelling"]["construction_year"] = json!(2026);
    assert_eq!(warned(&price_of(&job).await, "other_rates_may_hold")[0]["values"]["why"], "new");
    job["dwelling"]["construction_year"] = json!(1902);
    job["dwelling"]["existing_heating"] = json!({"kind": "none"});
    assert_eq!(warned(&price_of(&job).await, "other_rates_may_hold")[0]["values"]["why"], "unheated");
    job["commercial"]["supplies"] = json!({"heating": {"tax_rule": "reduced_rate"}});
    assert!(warned(&price_of(&job).await, "other_rates_may_hold").is_empty());
}

/// Common practice: filling 1 h + 0.004 h/l + 0.15 h a loop + 0.05 h a radiator; testing 1 h + 0.1 h an end; commissioning 3 h + 0.2 h a
/// loop + 0.15 h a radiator + 1 h for hot water; flushing a kept system 2 h + 0.2 h a radiator that stays.
#[tokio::test]
async fn filling_testing_flushing_and_commissioning_take_what_the_trade_takes() {
    for name in ["bungalow", "chapel", "farmhouse", "terrace"] {
        let answer = shared_service().answer("/v1/proposal", &fixture(name)).await;
        let (mut loops, mut hung, mut kept) = (0.0, 0.0, 0.0);
        for room in answer["emitters"]["rooms"].as_array().unwrap() {
            for emitter in room["emitters"].as_array().unwrap() {
                loops += emitter["loops"].as_array().into_iter().flatten().map(|_| 1.0).sum::<f64>();
                if emitter["standing"] == "kept" {
                    kept += 1.0;
                }
                if emitter.get("standing").is_some() || emitter.get("fan").is_some() {
                    hung += 1.0;
                }
            }
        }
        let sections = answer["pipework"]["sections"].as_array().unwrap();
        let tubes_stay = sections.iter().any(|section| section["existing"] == true);
        let hidden = answer["pipework"]["hidden_tubes"].as_array().is_some_and(|tubes| !tubes.is_empty());
        let circuits = answer["pipework"]["circuits"].as_array().unwrap().iter();
        let manifolds: f64 = circuits.filter(|one| !one["serves"].as_str().unwrap().contains('/')).map(|_| 1.0).sum();
        let litres = number(&answer["plant"]["water_content"]["total_l"]);
        let tasks = answer["bill"]["labour"].as_array().unwrap();
        let hours = |names: &[&str]| -> f64 {
            tasks
                .iter()
                .filter(|task| names.contains(&task["task"].as_str().unwrap()))
                .map(|task| number(&task["labour_h"]))
                .sum()
        };
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 0.016, "{name}: {found} where {wanted}");
        near(
            hours(&["fill_and_treat", "fill_water", "purge_loops", "vent_emitters"]),
            1.0 + 0.004 * litres + 0.15 * loops + 0.05 * hung,
        );
        near(hours(&["pressure_test", "test_ends"]), 1.0 + 0.1 * (hung + manifolds));
        near(
            hours(&["commission", "balance_loops", "balance_emitters", "commission_hot_water"]),
            4.0 + 0.2 * loops + 0.15 * hung,
        );
        let flushed = if tubes_stay || hidden || kept > 0.0 { 2.0 + 0.2 * kept } else { 0.0 };
        near(hours(&["flush", "flush_radiators"]), flushed);
    }
}

/// Payments go by their dates, the last one among them: what falls due before the first day of work, and before its last, is told.
#[tokio::test]
async fn payments_are_held_against_the_days_of_the_work() {
    let mut job = fixture("terrace");
    job["commercial"]["grant"] = json!({"kind": "none"});
    let finish =
        shared_service().answer("/v1/programme", &job).await["programme"]["visits"].as_array().unwrap().last().unwrap()
            ["earliest_finish"]
            .clone();
    let paid = |answer: &Value, code: &str| warned(answer, code).first().map(|one| number(&one["values"]["paid"]));
    // the whole of it before work begins: in two payments, and in one
    for payments in [
        json!([{"name": "deposit", "share": 0.05, "tax_point": "2026-11-13"},
            {"name": "rest", "share": 0.95, "tax_point": "2026-11-20"}]),
        json!([{"name": "all", "share": 1, "tax_point": "2026-11-13"}]),
    ] {
        job["commercial"]["stage_payments"] = payments;
        let answer = price_of(&job).await;
        let gross = number(&answer["price"]["gross"]);
        assert_eq!(paid(&answer, "paid_before_work"), Some(gross));
        assert_eq!(paid(&answer, "paid_before_done"), Some(gross));
    }
    // on the last day of work it is done
    job["commercial"]["stage_payments"] = json!([{"name": "all", "share": 1, "tax_point": finish}]);
    let answer = price_of(&job).await;
    assert_eq!((paid(&answer, "paid_before_work"), paid(&answer, "paid_before_done")), (None, None));
    // the bungalow's second payment falls after its last visit
    let bungalow = price_of(&fixture("bungalow")).await;
    assert!(warned(&bungalow, "paid_before_done").is_empty());
}

/// VAT Notice 708/6, as above: a price without payments is paid when the work is done, and work that ends in April 2027 costs 5 % more on
/// what was 0 %.
#[tokio::test]
async fn a_price_without_payments_tells_what_its_rate_will_be() {
    let mut job = fixture("terrace");
    job["commercial"].as_object_mut().unwrap().remove("stage_payments");
    assert!(warned(&price_of(&job).await, "rate_goes_up").is_empty());
    job["commercial"]["programme_start"] = json!("2027-04-20");
    let answer = price_of(&job).await;
    let told = warned(&answer, "rate_goes_up");
    assert_eq!(told.len(), 1, "{told:?}");
    let supplies = answer["price"]["supplies"].as_array().unwrap().iter();
    let net: f64 = supplies.filter(|supply| supply["rate"] == 0.0).map(|supply| number(&supply["net"])).sum();
    assert!(net > 5000.0 && (number(&told[0]["values"]["more_tax"]) - 0.05 * net).abs() < 0.006, "{told:?} {net}");
    assert!(told[0]["values"]["tax_point"].as_str().unwrap() > "2027-04-20", "the last day of the work: {told:?}");
    // nothing is said of payments that nobody told of
    assert!(warned(&answer, "paid_before_done").is_empty() && warned(&answer, "paid_before_work").is_empty());
}

/// An amount bears the currency of its book.
#[tokio::test]
async fn amounts_bear_the_currency_of_the_book() {
    for (currency, sign) in [("GBP", "£"), ("EUR", " EUR of ")] {
        let mut job = super::helpers::published("hand_house");
        job["commercial"]["price_book"]["currency"] = json!(currency);
        job["commercial"]["stage_payments"] =
            json!([{"name": "all", "share": 1, "tax_point": job["commercial"]["quote_date"]}]);
        let answer = price_of(&job).await;
        let told = warned(&answer, "paid_before_done")[0]["detail"].as_str().unwrap();
        assert!(told.contains(sign) && told.contains('£') == (currency == "GBP"), "{told}");
    }
}
