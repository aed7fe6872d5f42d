//! Outside temperatures.

use super::Gathering;
use super::assumed::Fabric as Assumed;
use crate::catalogue::provenance::Provenance;
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::site;
use crate::methods::workings::Off;
use crate::methods::{Workings, climate};

/// Outside temperatures of the site.
#[derive(Debug, Clone, PartialEq)]
pub struct Climate {
    /// Outside design temperature.
    pub outside: OutsideDesign,
    /// Mean outside temperature of the year (°C).
    pub annual_mean_c: f64,
}

/// Where the outside design temperature comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutsideDesign {
    /// Given with the job (°C).
    Given(f64),
    /// From a station of the catalogue.
    Station {
        /// The station's design temperature (°C).
        station_c: f64,
        /// The station's altitude (m).
        station_altitude_m: f64,
        /// The site's altitude (m).
        site_altitude_m: f64,
    },
}

impl Climate {
    /// Outside design temperature (°C), with its workings.
    pub fn outside_design_with(&self, w: &mut impl Workings) -> f64 {
        match self.outside {
            OutsideDesign::Given(outside_c) => outside_c,
            OutsideDesign::Station { station_c, station_altitude_m, site_altitude_m } => {
                climate::outside_design(station_c, station_altitude_m, site_altitude_m, w)
            }
        }
    }

    /// Outside design temperature (°C).
    #[must_use]
    pub fn outside_design_c(&self) -> f64 {
        self.outside_design_with(&mut Off)
    }
}

impl Gathering<'_> {
    pub(super) fn climate(&mut self) -> Climate {
        match &self.job.site.climate {
            site::Climate::Given { outside_design_c, annual_mean_outside_c } => {
                let annual_mean_c = annual_mean_outside_c.unwrap_or_else(|| {
                    let default = &self.catalogue.defaults.annual_mean_outside_c;
                    let (annual_mean_outside_c, origin) = (default.value, default.provenance.clone());
                    self.notes.add(&Assumed::AnnualMeanOutside { annual_mean_outside_c, origin });
                    annual_mean_outside_c
                });
                Climate { outside: OutsideDesign::Given(*outside_design_c), annual_mean_c }
            }
            site::Climate::Station { station } => self.station(station),
        }
    }

    fn station(&mut self, id: &str) -> Climate {
        let Some(station) = self.catalogue.station(id) else {
            let known: Vec<&str> = self.catalogue.stations.iter().map(|station| station.code.as_str()).collect();
            let meant = did_you_mean(id, known.iter().copied());
            let detail = format!("there is no climate station {id}; there are {}{meant}", known.join(", "));
            self.faults.push(Fault::new("/site/climate/station", FaultCode::UnknownStation, detail));
            let annual_mean_c = self.catalogue.defaults.annual_mean_outside_c.value;
            return Climate { outside: OutsideDesign::Given(f64::NEG_INFINITY), annual_mean_c };
        };
        let site_altitude_m = self.job.site.altitude_m.unwrap_or_else(|| {
            let altitude_m = station.altitude_m;
            self.notes.add(&Assumed::Altitude { station: station.name.clone(), altitude_m });
            altitude_m
        });
        self.notes.add(&Assumed::Station {
            station: station.name.clone(),
            station_outside_design_c: station.outside_design_c,
            station_altitude_m: station.altitude_m,
            annual_mean_outside_c: station.annual_mean_outside_c,
            origin: Provenance { source: station.source.clone(), confidence: station.confidence },
        });
        let outside = OutsideDesign::Station {
            station_c: station.outside_design_c,
            station_altitude_m: station.altitude_m,
            site_altitude_m,
        };
        Climate { outside, annual_mean_c: station.annual_mean_outside_c }
    }
}
