//! Climate stations: outside design temperature and annual mean.
//!
//! A site above its station is colder; the correction is the survey's, not the table's.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::CatalogueError;
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// A place with a published outside design temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Station {
    /// Id.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub code: String,
    /// Name of the place.
    #[schema(min_length = 1, max_length = 100)]
    pub name: String,
    /// Height above sea level, m.
    #[schema(minimum = -100, maximum = 3_000)]
    pub altitude_m: f64,
    /// Outside design temperature at that height, °C.
    #[schema(minimum = -40, maximum = 20)]
    pub outside_design_c: f64,
    /// Mean outside temperature of the year, °C.
    #[schema(minimum = -10, maximum = 30)]
    pub annual_mean_outside_c: f64,
    /// Documents that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

/// The shipped stations.
pub(super) fn read() -> Result<Vec<Station>, CatalogueError> {
    rows::typed(data_file!("stations.csv"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Months of SAP 2012 table U1 for the regions in use, °C, as an open data set of it has them and the same in that of SAP 10.2.
    const MONTHS_C: [(&str, [f64; 12]); 8] = [
        ("belfast", [4.8, 5.2, 6.4, 8.4, 10.9, 13.5, 15.0, 14.9, 13.1, 10.0, 7.2, 4.7]),
        ("birmingham", [4.3, 4.8, 6.6, 9.0, 11.8, 14.8, 16.6, 16.5, 14.0, 10.5, 7.1, 4.2]),
        ("cardiff", [4.9, 5.3, 7.0, 9.3, 12.2, 15.0, 16.7, 16.7, 14.4, 11.1, 7.8, 4.9]),
        ("edinburgh", [3.6, 4.0, 5.4, 7.7, 10.1, 12.9, 14.6, 14.5, 12.5, 9.2, 6.1, 3.2]),
        ("glasgow", [4.0, 4.4, 5.6, 7.9, 10.4, 13.0, 14.5, 14.4, 12.5, 9.3, 6.5, 3.8]),
        ("london", [5.1, 5.6, 7.4, 9.9, 13.0, 16.0, 17.9, 17.8, 15.2, 11.6, 8.0, 5.1]),
        ("manchester", [4.7, 5.2, 6.7, 9.1, 12.0, 14.7, 16.4, 16.3, 14.1, 10.7, 7.5, 4.6]),
        ("plymouth", [6.1, 6.4, 7.5, 9.3, 11.9, 14.5, 16.2, 16.3, 14.6, 11.8, 9.0, 6.4]),
    ];
    const DAYS: [f64; 12] = [31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

    #[test]
    fn annual_means_are_those_of_their_months() {
        let stations = read().unwrap();
        assert_eq!(stations.len(), MONTHS_C.len());
        for (station, (code, months_c)) in stations.iter().zip(MONTHS_C) {
            assert_eq!(station.code, code);
            let mean_c = months_c.iter().zip(DAYS).map(|(month_c, days)| month_c * days).sum::<f64>() / 365.0;
            assert!((station.annual_mean_outside_c - mean_c).abs() <= 0.005 + 1e-9, "{code}: {mean_c}");
        }
    }

    #[test]
    fn design_days_are_colder_than_the_coldest_month() {
        for (station, (_, months_c)) in read().unwrap().iter().zip(MONTHS_C) {
            assert!(months_c.iter().all(|month_c| station.outside_design_c < month_c - 3.0), "{}", station.code);
            assert_eq!(station.confidence, Confidence::FromMemory);
        }
    }
}
