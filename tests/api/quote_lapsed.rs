//! Quotes whose last day is over, and issued quotes that are not what was issued: written into the store as they would lie there.

use jiff::Timestamp;
use jiff::civil::date;
use reqwest::header::{ETAG, IF_MATCH};
use serde_json::{Value, json};
use tundish::quotes::{Card, Revision};
use tundish::store::{Put, Store};
use uuid::Uuid;

use super::helpers::{problem, shared_service, spawn_service_with};
use super::quote_life::{job, json_of};

/// Keeps revisions of a quote, one behind the other.
async fn keep(store: &Store, revisions: &[Revision]) -> String {
    let (id, now) = (Uuid::now_v7(), Timestamp::now());
    for (before, revision) in (0..).zip(revisions) {
        let card = Card::of(revision, now, now).unwrap();
        store.put(Put::new(id, before, card, &revision.to_bytes().unwrap())).await.unwrap();
    }
    format!("/v1/quotes/{id}")
}

#[tokio::test]
async fn what_has_lapsed_is_told_and_found_and_what_was_issued_wrongly_is_proved_so() {
    let job = job("bungalow");
    let proposal = shared_service().post("/v1/proposal", &job).await.text().await.unwrap();
    let draft = |job: &Value, proposal: &str| Revision::draft(&job.to_string(), proposal.to_owned()).unwrap();
    let (long_ago, over, ahead) = (Timestamp::UNIX_EPOCH, date(2026, 2, 4), date(2999, 12, 31));
    let whole = draft(&job, &proposal);
    let lapsed = whole.clone().issue(long_ago, over, false).unwrap();
    let other = proposal.replacen("\"payable\":", "\"payable\":1", 1);
    let differs = draft(&job, &other).issue(long_ago, ahead, false).unwrap();
    let mut untaken = job.clone();
    untaken["colour"] = json!("red");
    let intact = draft(&untaken, &proposal).issue(long_ago, ahead, false).unwrap();
    let mut broken = whole.clone().issue(long_ago, ahead, false).unwrap();
    broken.proposal = draft(&job, &other).proposal;

    let data = tempfile::tempdir().unwrap();
    let store = Store::open(data.path()).unwrap();
    let at = keep(&store, &[whole.clone(), lapsed.clone()]).await;
    let accepted = keep(&store, &[whole.clone(), lapsed.clone(), lapsed.accept(long_ago)]).await;
    let proofs = [
        (keep(&store, &[whole.clone(), differs]).await, "differs"),
        (keep(&store, &[whole.clone(), intact]).await, "intact"),
        (keep(&store, &[whole, broken]).await, "broken"),
    ];
    drop(store);
    let service = spawn_service_with(|settings| data.path().clone_into(&mut settings.data_dir));

    let read = service.get(&at).await;
    assert_eq!(read.headers()[ETAG], "\"2-lapsed\"");
    assert_eq!(json_of(read).await["state"], "lapsed");
    let found = json_of(service.get("/v1/quotes?state=lapsed").await).await;
    let rows = found["quotes"].as_array().unwrap();
    assert_eq!((rows.len(), &rows[0]["state"], &rows[0]["valid_until"]), (1, &json!("lapsed"), &json!("2026-02-04")));
    let issued = json_of(service.get("/v1/quotes?state=issued").await).await;
    assert_eq!(issued["quotes"].as_array().unwrap().len(), 3);
    // with the tag of before it lapsed, and with the one of now
    for tag in ["\"2\"", "\"2-lapsed\""] {
        for step in ["accept", "decline"] {
            let request = service.client.post(service.url(&format!("{at}/{step}"))).header(IF_MATCH, tag);
            let refused = problem(request.send().await.unwrap(), 409).await;
            assert!(
                refused["detail"].as_str().unwrap().starts_with("the quote is lapsed; only what is issued"),
                "{refused}"
            );
        }
    }
    // what was accepted in time does not lapse, nor does what it was before
    assert_eq!(json_of(service.get(&accepted).await).await["state"], "accepted");
    let before = service.get(&format!("{accepted}/revisions/2")).await;
    assert_eq!(before.headers()[ETAG], "\"2\"");
    assert_eq!(json_of(before).await["state"], "issued");

    for (at, outcome) in proofs {
        let proof = json_of(service.get(&format!("{at}/proof")).await).await;
        assert_eq!(proof["outcome"], outcome);
        let pointers: Vec<&str> =
            proof["differences"].as_array().unwrap().iter().map(|row| row["pointer"].as_str().unwrap()).collect();
        assert_eq!(pointers.is_empty(), outcome == "intact", "{pointers:?}");
        assert!(pointers.iter().all(|pointer| pointer.ends_with("/payable")), "{pointers:?}");
        assert_eq!(proof["frozen"]["proposal"] == proof["found"]["proposal"], outcome != "broken");
    }
    // an unknown word is none
    assert_eq!(problem(service.get("/v1/quotes?text=-").await, 400).await["errors"][0]["parameter"], "text");
}
