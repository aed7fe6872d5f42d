//! Rows of `fixtures/published/iso_6946_layers.csv`.

use serde::Deserialize;

#[derive(Deserialize)]
pub struct LayerRow {
    pub id: String,
    pub kind: String,
    pub thickness_mm: Option<f64>,
    pub conductivity_w_mk: Option<f64>,
    pub resistance_m2k_w: f64,
    pub bridge_conductivity_w_mk: Option<f64>,
    pub bridge_resistance_m2k_w: Option<f64>,
    pub bridge_fraction: Option<f64>,
}
