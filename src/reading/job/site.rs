//! Where the dwelling stands.

use macro_rules_attribute::apply;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::catalogue::rules::Nation;
use crate::intake::{Id, by_kind};

/// Nation, climate and height of the site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Nation whose rules of tax, grant and planning hold.
    pub nation: Nation,
    /// Outside design temperature and annual mean.
    pub climate: Climate,
    /// Height of the site above the sea (m).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -50.0, maximum = 1500.0)]
    pub altitude_m: Option<f64>,
}

/// How the outside temperatures are known.
#[apply(by_kind)]
#[derive(Debug, Clone, PartialEq)]
pub enum Climate {
    /// From a station of the catalogue, corrected for the site's altitude.
    Station {
        /// Id of the station in the catalogue.
        station: Id,
    },
    /// Given outright; no altitude correction is made.
    Given {
        /// Outside air temperature that the heating is designed for (°C).
        #[schema(minimum = -40.0, maximum = 15.0)]
        outside_design_c: f64,
        /// Mean outside temperature of the year (°C), which the ground and some neighbours follow.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schema(minimum = -20.0, maximum = 25.0)]
        annual_mean_outside_c: Option<f64>,
    },
}
