//! What moved between revisions of a quote, the proof of what was issued, and variations of what was accepted.

use serde_json::{Value, json};

use super::helpers::{TestService, faults, problem, row, spawn_service};
use super::quote_life::{MERGE, job, json_of, keep, patch, step};

async fn changes(service: &TestService, at: &str, query: &str) -> Value {
    let response = service.get(&format!("{at}/changes?{query}")).await;
    assert_eq!(response.status(), 200, "{query}");
    json_of(response).await
}

/// Pennies of an amount.
#[expect(clippy::cast_possible_truncation, reason = "amounts of a test are small")]
fn pennies(amount: &Value) -> i64 {
    (amount.as_f64().unwrap() * 100.0).round() as i64
}

/// Holds that an amount moved as two proposals say.
fn moved(told: &Value, from: &Value, to: &Value) {
    assert_eq!((&told["from"], &told["to"]), (from, to));
    assert_eq!(pennies(&told["change"]), pennies(to) - pennies(from));
}

#[tokio::test]
async fn what_moved_in_the_job_and_in_the_price_is_told() {
    let service = spawn_service();
    let at = keep(&service, &job("terrace")).await;
    let first = json_of(service.get(&at).await).await;
    let change = json!({"rooms": {"kitchen": {"emitters": {"rad": {"towel_rail": null, "oversize_max": 4}}}, "bed1": {"height_m": 3.4}},
        "commercial": {"programme_start": "2027-02-01", "client": {"name": "A client"}, "margins": {"materials": 0.5, "labour": 0.35}}});
    let second = json_of(patch(&service, &at, "\"1\"", MERGE, change).await).await;
    let told = changes(&service, &at, "from=1&to=2").await;
    let changes_told = &told["changes"];
    let input: Vec<&str> =
        changes_told["input"].as_array().unwrap().iter().map(|row| row["pointer"].as_str().unwrap()).collect();
    for pointer in [
        "/rooms/bed1/height_m",
        "/commercial/client",
        "/commercial/programme_start",
        "/rooms/kitchen/emitters/rad/oversize_max",
    ] {
        assert!(input.contains(&pointer), "{input:?}");
    }
    assert!(
        !input.iter().any(|pointer| pointer.starts_with("/constructions") || pointer.contains("towel_rail")),
        "{input:?}"
    );
    let height = row(&changes_told["input"], "pointer", "/rooms/bed1/height_m");
    assert_eq!(
        (&height["is"], &height["from"], &height["to"]),
        (&json!("changed"), &first["job"]["rooms"]["bed1"]["height_m"], &json!(3.4))
    );
    let (then, now) = (&first["proposal"], &second["proposal"]);
    for amount in ["net", "tax", "gross", "grant", "payable"] {
        moved(&changes_told["price"][amount], &then["price"][amount], &now["price"][amount]);
    }
    assert_ne!(changes_told["price"]["net"]["change"], 0.0);
    // sections are the whole of the net price
    let sections = changes_told["sections"].as_array().unwrap();
    for side in ["from", "to"] {
        let sum: i64 = sections.iter().map(|section| pennies(&section["net"][side])).sum();
        assert_eq!(sum, pennies(&changes_told["price"]["net"][side]));
    }
    let lines: i64 = changes_told["lines"].as_array().unwrap().iter().map(|line| pennies(&line["net"]["change"])).sum();
    let materials = sections.iter().filter(|section| section["of"] == "material");
    assert_eq!(lines, materials.map(|section| pennies(&section["net"]["change"])).sum::<i64>());
    let hours = |proposal: &Value| proposal["programme"]["labour_h"].as_f64().unwrap();
    assert_eq!(changes_told["hours"]["from_h"].as_f64().unwrap().to_bits(), hours(then).to_bits());
    assert_eq!(changes_told["hours"]["to_h"].as_f64().unwrap().to_bits(), hours(now).to_bits());
    let last = |proposal: &Value| {
        let visits = proposal["programme"]["visits"].as_array().unwrap().iter();
        visits.map(|visit| visit["earliest_finish"].as_str().unwrap().to_owned()).max().unwrap()
    };
    assert_eq!(
        (&changes_told["finish"]["from"], &changes_told["finish"]["to"]),
        (&json!(last(then)), &json!(last(now)))
    );
    assert!(changes_told["finish"]["days"].as_i64().unwrap() > 0);
    let visit = &changes_told["visits"][0];
    assert_eq!(
        visit["to_start"],
        row(&now["programme"]["visits"], "visit", visit["visit"].as_str().unwrap())["earliest_start"]
    );

    // backwards, all of it is the other way round
    let back = changes(&service, &at, "from=2&to=1").await;
    assert_eq!(back["changes"]["price"]["net"]["from"], changes_told["price"]["net"]["to"]);
    assert_eq!(pennies(&back["changes"]["price"]["net"]["change"]), -pennies(&changes_told["price"]["net"]["change"]));
    let none = &changes(&service, &at, "from=2&to=2").await["changes"];
    for list in ["input", "lines", "visits"] {
        assert_eq!(none[list], json!([]), "{list}");
    }
    assert_eq!((&none["price"]["net"]["change"], &none["finish"]["days"]), (&json!(0.0), &json!(0)));
}

#[tokio::test]
async fn what_is_wrong_with_a_comparison_is_told_by_its_parameter() {
    let service = spawn_service();
    let at = keep(&service, &job("bungalow")).await;
    for (query, parameter) in [
        ("from=1&to=2", "to"),
        ("from=7&to=1", "from"),
        ("from=0&to=1", "from"),
        ("to=1&from=x", "from"),
        ("from=1&to=1&x=1", "x"),
    ] {
        let refused = problem(service.get(&format!("{at}/changes?{query}")).await, 400).await;
        assert_eq!(refused["errors"][0]["parameter"], parameter, "{query}: {refused}");
    }
    problem(service.get(&format!("{at}/changes")).await, 400).await;
    let nobodys = "/v1/quotes/01890a5d-ac96-774b-bcce-b302099a8057/changes?from=1&to=1";
    assert_eq!(problem(service.get(nobodys).await, 404).await["code"], "no_quote");
}

#[tokio::test]
async fn what_was_issued_is_proved() {
    let service = spawn_service();
    let at = keep(&service, &job("chapel")).await;
    let refused = problem(service.get(&format!("{at}/proof")).await, 409).await;
    assert_eq!(
        refused["detail"],
        "the quote is draft; only what is issued or accepted or declined or lapsed can be proved"
    );
    let issued = json_of(step(&service, &at, "issue", "\"1\"").await).await;
    let proof = json_of(service.get(&format!("{at}/proof")).await).await;
    assert_eq!((&proof["outcome"], &proof["differences"]), (&json!("identical"), &json!([])));
    assert_eq!((&proof["frozen"], &proof["found"]), (&issued["issued"]["digests"], &issued["issued"]["digests"]));
    assert_eq!((&proof["program"], &proof["proved_by"]), (&issued["program"], &issued["program"]));
    step(&service, &at, "accept", "\"2\"").await;
    assert_eq!(json_of(service.get(&format!("{at}/proof")).await).await, proof);
}

#[tokio::test]
async fn what_was_accepted_is_varied_and_stays_as_it_was() {
    let service = spawn_service();
    let at = keep(&service, &job("terrace")).await;
    let early = json!({"rooms": {"bed1": {"height_m": 2.6}}});
    let vary = async |tag: &str, change: Value| {
        let request = service.client.post(service.url(&format!("{at}/variations"))).header("If-Match", tag);
        request.header("Content-Type", MERGE).body(change.to_string()).send().await.unwrap()
    };
    assert_eq!(problem(vary("\"1\"", early.clone()).await, 409).await["code"], "wrong_state");
    step(&service, &at, "issue", "\"1\"").await;
    let accepted = json_of(step(&service, &at, "accept", "\"2\"").await).await;
    assert_eq!(problem(vary("\"2\"", early.clone()).await, 412).await["code"], "stale");
    let first =
        json_of(vary("\"3\"", json!({"commercial": {"margins": {"materials": 0.6, "labour": 0.6}}})).await).await;
    let second =
        json_of(vary("\"4\"", json!({"commercial": {"programme_start": "2027-06-07"}, "title": "With more"})).await)
            .await;
    for member in ["job", "proposal", "issued", "accepted_at", "state"] {
        assert_eq!(second[member], accepted[member], "{member}");
    }
    let [one, two] = second["variations"].as_array().unwrap().as_slice() else { panic!("{second}") };
    assert_eq!((&one["number"], &two["number"], &second["revision"]), (&json!(1), &json!(2), &json!(5)));
    assert_eq!(one, &first["variations"][0]);
    assert_eq!(
        (&one["form"], &one["patch"]["commercial"]["margins"]["materials"]),
        (&json!("merge_patch"), &json!(0.6))
    );
    moved(&one["payable"], &accepted["proposal"]["price"]["payable"], &first["varied"]["proposal"]["price"]["payable"]);
    moved(
        &two["payable"],
        &first["varied"]["proposal"]["price"]["payable"],
        &second["varied"]["proposal"]["price"]["payable"],
    );
    assert!(pennies(&one["payable"]["change"]) > 0 && one["finish"]["days"] == 0, "{one}");
    assert!(two["finish"]["days"].as_i64().unwrap() > 0 && two["changed"] == 2, "{two}");
    // the second is laid on the first
    assert_eq!(second["varied"]["job"]["commercial"]["margins"]["materials"], 0.6);
    let asked = json_of(service.post("/v1/proposal", &second["varied"]["job"]).await).await;
    assert_eq!(asked, second["varied"]["proposal"]);
    let compared = changes(&service, &at, "from=3&to=5").await;
    moved(
        &compared["changes"]["price"]["payable"],
        &accepted["proposal"]["price"]["payable"],
        &second["varied"]["proposal"]["price"]["payable"],
    );
    let listed = json_of(service.get("/v1/quotes?text=more").await).await;
    assert_eq!(listed["quotes"][0]["payable"], second["varied"]["proposal"]["price"]["payable"]);
    let proof = json_of(service.get(&format!("{at}/proof")).await).await;
    assert_eq!(proof["outcome"], "identical");
    let refused = problem(vary("\"5\"", json!({"rooms": {"bed1": {"height_m": -1}}})).await, 422).await;
    assert_eq!(faults(&refused), [("/rooms/bed1/height_m", "too_small")]);
}
