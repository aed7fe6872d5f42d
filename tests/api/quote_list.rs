//! Lists of quotes, page by page, by what they are found by.

use reqwest::header::LINK;
use serde_json::{Value, json};

use super::helpers::{problem, spawn_service};
use super::quote_life::{QUOTES, job, json_of, keep};

#[tokio::test]
async fn a_list_is_read_page_by_page_by_what_quotes_are_found_by() {
    let service = spawn_service();
    let mut all = Vec::new();
    for number in 0..7 {
        let mut job = job("bungalow");
        job["title"] = json!(format!("House {number} in Mill Lane"));
        job["reference"] = json!(format!("Q-{number}"));
        job["commercial"]["client"] = json!({"name": if number % 2 == 0 { "Zoë Quarry" } else { "Ben Harrow" }});
        all.insert(0, keep(&service, &job).await);
    }
    let ids = |page: &Value| -> Vec<String> {
        page["quotes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| format!("/v1/quotes/{}", row["id"].as_str().unwrap()))
            .collect()
    };
    let mut target = format!("{QUOTES}?limit=3&text=mill%20hou");
    let mut found = Vec::new();
    loop {
        let response = service.get(&target).await;
        let link = response.headers().get(LINK).map(|link| link.to_str().unwrap().to_owned());
        let page = json_of(response).await;
        found.extend(ids(&page));
        let Some(next) = page["next"].as_str() else {
            assert_eq!(link, None);
            break;
        };
        assert_eq!(link.unwrap(), format!("<{next}>; rel=\"next\""));
        target = next.to_owned();
        // what comes meanwhile does not shift the pages behind
        keep(&service, &job("bungalow")).await;
    }
    assert_eq!(found, all);
    let list = |query: &'static str| {
        let service = &service;
        async move { json_of(service.get(&format!("{QUOTES}?{query}")).await).await }
    };
    assert_eq!(ids(&list("reference=q-3").await), [all[3].clone()]);
    assert_eq!(ids(&list("text=zoe").await), [&all[0], &all[2], &all[4], &all[6]].map(Clone::clone));
    assert_eq!(ids(&list("text=QUARRY&reference=Q-0&state=draft&created_from=2020-01-01").await), [all[6].clone()]);
    for nothing in [
        "text=lan%20xyz",
        "state=accepted",
        "created_to=2020-01-01",
        "created_from=2999-01-01",
        "reference=Q",
        "valid_until_from=2020-01-01",
    ] {
        assert_eq!(ids(&list(nothing).await), Vec::<String>::new(), "{nothing}");
    }
    let page = list("reference=Q-2").await;
    let read = json_of(service.get(&all[4]).await).await;
    let expected = json!({"id": read["id"], "revision": 1, "state": "draft", "title": "House 2 in Mill Lane", "reference": "Q-2", "client": "Zoë Quarry",
        "created_at": read["created_at"], "changed_at": read["changed_at"], "payable": read["proposal"]["price"]["payable"], "complete": true});
    assert_eq!(page["quotes"][0], expected);
    assert_eq!(ids(&list("limit=1000").await).len(), 9);
}

#[tokio::test]
async fn what_is_wrong_with_a_list_is_told_by_its_parameter() {
    let service = spawn_service();
    for _ in 0..2 {
        keep(&service, &job("bungalow")).await;
    }
    let page = json_of(service.get(&format!("{QUOTES}?limit=1")).await).await;
    let cursor = page["next"].as_str().unwrap().split("cursor=").nth(1).unwrap().to_owned();
    // the same list with another length of page is the same
    assert_eq!(service.get(&format!("{QUOTES}?limit=7&cursor={cursor}")).await.status(), 200);
    for (query, parameter, code) in [
        ("limit=0", "limit", "too_small"),
        ("limit=1001", "limit", "too_large"),
        ("limit=ten", "limit", "wrong_type"),
        ("state=open", "state", "unknown_choice"),
        ("created_from=yesterday", "created_from", "not_a_date"),
        ("colour=red", "colour", "unknown_field"),
        ("text=", "text", "too_few"),
        ("cursor=nonsense", "cursor", "wrong_form"),
        (&format!("state=draft&cursor={cursor}"), "cursor", "wrong_form"),
        ("limit=1&limit=2", "limit", "duplicate_key"),
    ] {
        let refused = problem(service.get(&format!("{QUOTES}?{query}")).await, 400).await;
        let told = (&refused["errors"][0]["parameter"], &refused["errors"][0]["code"]);
        assert_eq!(told, (&json!(parameter), &json!(code)), "{query}: {refused}");
    }
}
