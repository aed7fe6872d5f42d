//! The heat source as it is answered.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Source;
use crate::catalogue::offer::HeatSource;
use crate::list::Index;
use crate::survey::Survey;

/// The heat source as it is answered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HeatSourceAnswer {
    /// Code of the chosen heat source; absent for a unit given with the job, or where none is enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// What it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<String>,
    /// Code of the strongest, where none is enough: pipes and pumps are reckoned with it, and it is not in the bill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strongest: Option<String>,
    /// Loss of the dwelling, of its heated floors downward, and of pipes outside the heated rooms (W).
    pub load_w: f64,
    /// What of it pipes lose outside the heated rooms, reckoned with the widest tube that they may have, or the one that stays: both
    /// legs of what lies in the open, in lofts and unheated places (W).
    #[serde(default)]
    #[schema(required = true)]
    pub pipe_loss_w: f64,
    /// What pipes lose there on the way to the cylinder while hot water is made, which comes off what the heat source gives (W).
    #[serde(default)]
    #[schema(required = true)]
    pub hot_water_pipe_loss_w: f64,
    /// People that hot water is made for.
    #[schema(value_type = i32)]
    pub people: u32,
    /// Hot water of a day, as litres at 60 °C.
    pub demand_at_60_l: f64,
    /// Heat for hot water of a day (kWh).
    pub hot_water_kwh: f64,
    /// What was looked at, in the order of the price book.
    pub candidates: Vec<CandidateRow>,
}

/// A heat source that was looked at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CandidateRow {
    /// Its code; absent for a unit given with the job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Output at the design outside temperature and the heating flow temperature (W).
    pub capacity_w: f64,
    /// Coefficient of performance there.
    pub cop: f64,
    /// Output at the design outside temperature and the hot-water flow temperature (W).
    pub hot_water_capacity_w: f64,
    /// Hours of the day for hot water (h).
    pub hot_water_h: f64,
    /// Output that the house needs of it (W); absent where hot water takes the whole day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needed_w: Option<f64>,
    /// Whether it carries the house and its hot water.
    pub enough: bool,
    /// Whether it was chosen: none is that is not enough.
    pub chosen: bool,
}

impl Source {
    /// The result with the names of the price book.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "people are a small whole number")]
    pub fn answer(&self, survey: &Survey) -> HeatSourceAnswer {
        let product =
            |offer: Index<HeatSource>| survey.offer.heat_sources[offer].product.map(|index| survey.book.product(index));
        let code = |offer: Index<HeatSource>| product(offer).map(|(code, _)| code.to_owned());
        let candidates = self.candidates.iter().map(|candidate| CandidateRow {
            product: code(candidate.offer),
            capacity_w: candidate.capacity_w,
            cop: candidate.cop,
            hot_water_capacity_w: candidate.hot_water_capacity_w,
            hot_water_h: candidate.hot_water_h,
            needed_w: candidate.needed_w.is_finite().then_some(candidate.needed_w),
            enough: candidate.is_enough(),
            chosen: Some(candidate.offer) == self.chosen,
        });
        HeatSourceAnswer {
            product: self.chosen.and_then(code),
            strongest: self.strongest.and_then(code),
            description: self.chosen.and_then(product).map(|(_, product)| product.description().to_owned()),
            load_w: self.load_w,
            pipe_loss_w: self.pipe_loss_w,
            hot_water_pipe_loss_w: self.hot_water_pipe_loss_w,
            people: self.people as u32,
            demand_at_60_l: self.demand_at_60_l,
            hot_water_kwh: self.hot_water_kwh,
            candidates: candidates.collect(),
        }
    }
}
