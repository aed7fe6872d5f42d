//! How wide the tube to a floor manifold is at least.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// A step of the least bore of tubes that lead to a floor manifold and to nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ManifoldFeed {
    /// It holds for manifolds of so many loops at most; for any number when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 100)]
    pub loops_up_to: Option<u32>,
    /// It holds up to this flow, l/h; for any flow when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0, maximum = 20_000)]
    pub flow_up_to_l_h: Option<f64>,
    /// Least inside diameter, mm.
    #[schema(exclusive_minimum = 0, maximum = 500)]
    pub bore_mm: f64,
}

/// Least bore of the tube to a manifold (mm): that of the first step that neither its loops nor its flow exceed.
pub(super) fn least_bore_mm(feeds: &[ManifoldFeed], loops: u32, flow_l_h: f64) -> Option<f64> {
    let holds = |feed: &&ManifoldFeed| {
        feed.loops_up_to.is_none_or(|most| loops <= most) && feed.flow_up_to_l_h.is_none_or(|most| flow_l_h <= most)
    };
    feeds.iter().find(holds).map(|feed| feed.bore_mm)
}

/// The line of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    #[serde(rename = "code")]
    _code: String,
    loops_up_to: Option<u32>,
    flow_up_to_l_h: Option<f64>,
    bore_mm: f64,
    #[serde(rename = "source")]
    _source: String,
    #[serde(rename = "confidence")]
    _confidence: Confidence,
}

pub(super) fn read() -> Result<Vec<ManifoldFeed>, CatalogueError> {
    let rows: Vec<Row> = rows::typed(data_file!("manifold_feeds.csv"))?;
    let step = |Row { loops_up_to, flow_up_to_l_h, bore_mm, .. }| ManifoldFeed { loops_up_to, flow_up_to_l_h, bore_mm };
    Ok(rows.into_iter().map(step).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feed_is_as_wide_as_loops_and_flow_ask_for() {
        let feeds = read().unwrap();
        let least = |loops, flow_l_h| least_bore_mm(&feeds, loops, flow_l_h).unwrap();
        // up to two loops 15 mm to 260 l/h, three or more 22 mm, above eight or 900 l/h 28 mm
        assert_eq!([least(1, 80.0), least(2, 260.0), least(2, 261.0)], [11.5, 11.5, 18.0]);
        assert_eq!([least(3, 82.0), least(8, 900.0)], [18.0, 18.0]);
        assert_eq!([least(8, 901.0), least(9, 300.0)], [25.0, 25.0]);
        assert_eq!(least_bore_mm(&[], 5, 500.0), None);
    }
}
