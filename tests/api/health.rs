//! `GET /health/live`, `GET /health/ready`

use serde_json::Value;

use super::helpers::{shared_service, spawn_service};

#[tokio::test]
async fn the_service_says_that_it_is_there_and_that_it_can_work() {
    let service = shared_service();
    for state in ["live", "ready"] {
        let response = service.get(&format!("/health/{state}")).await;
        assert_eq!(response.status(), 200);
        assert_eq!(response.headers()["content-type"], "application/json");
        let health: Value = response.json().await.unwrap();
        assert_eq!(health, serde_json::json!({"health": state, "version": env!("CARGO_PKG_VERSION")}));
    }
}

#[tokio::test]
async fn a_service_that_is_stopped_lets_go_of_its_address() {
    let service = spawn_service();
    let address = service.address;
    drop(service);
    assert!(std::net::TcpListener::bind(address).is_ok());
}
