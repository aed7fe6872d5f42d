//! What the endpoint answers to constructions.

use serde_json::{Map, Value, json};

use crate::helpers::spawn_service;

/// A job of one room at 21 °C, -3 °C outside and 10 °C in the mean of the year, without thermal bridges.
pub fn one_room(constructions: Map<String, Value>, surfaces: Map<String, Value>) -> Value {
    let mut job = json!({
        "schema": 1,
        "site": {
            "nation": "england",
            "climate": {"kind": "given", "outside_design_c": -3.0, "annual_mean_outside_c": 10.0}
        },
        "dwelling": {
            "thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0.0},
            "air_heat_wh_m3k": 0.34
        },
        "rooms": {"room": {
            "use": "living", "floor_area_m2": 96.0, "height_m": 2.5, "inside_design_c": 21.0,
            "air_changes_per_h": 0.0
        }}
    });
    job["constructions"] = Value::Object(constructions);
    job["rooms"]["room"]["surfaces"] = Value::Object(surfaces);
    job
}

/// An answer of `/v1/heat-loss` with its workings.
pub struct Answer(Value);

impl Answer {
    pub async fn to(job: &Value) -> Self {
        Self(spawn_service().answer("/v1/heat-loss?workings=true", job).await)
    }

    /// The answer to constructions, some of them used by surfaces.
    pub async fn to_constructions(constructions: Map<String, Value>, surfaces: Map<String, Value>) -> Self {
        Self::to(&one_room(constructions, surfaces)).await
    }

    /// A figure of the answer.
    pub fn figure(&self, pointer: &str) -> f64 {
        self.0.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no figure {pointer}"))
    }

    /// A text of the answer.
    pub fn text(&self, pointer: &str) -> &str {
        self.0.pointer(pointer).and_then(Value::as_str).unwrap_or_else(|| panic!("no text {pointer}"))
    }

    /// The index of the row of a list of the stage whose member `key` is `id`.
    pub fn index(&self, list: &str, key: &str, id: &str) -> usize {
        let list = self.0.pointer(list).and_then(Value::as_array).unwrap_or_else(|| panic!("no list {list}"));
        let mut found = list.iter().enumerate().filter(|(_, row)| row[key] == id).map(|(index, _)| index);
        let index = found.next().unwrap_or_else(|| panic!("no {key} {id}"));
        assert_eq!(found.next(), None, "{key} {id} stands in two rows");
        index
    }

    /// The row of a construction.
    pub fn construction(&self, id: &str) -> &Value {
        &self.0["heat_loss"]["constructions"][self.index("/heat_loss/constructions", "construction", id)]
    }

    /// U-value of a construction (W/(m²K)).
    pub fn u_value(&self, id: &str) -> f64 {
        self.construction(id)["u_value_w_m2k"].as_f64().unwrap()
    }

    /// What was recorded under a name for a construction's U-value, in the order of computation.
    pub fn recorded(&self, id: &str, name: &str) -> Vec<f64> {
        let index = self.index("/heat_loss/constructions", "construction", id);
        let figure = format!("/heat_loss/constructions/{index}/u_value_w_m2k");
        let workings = self.0["workings"].as_array().unwrap().iter();
        workings
            .filter(|step| step["figure"] == figure && step["name"] == name)
            .map(|step| step["result"].as_f64().unwrap())
            .collect()
    }
}
