//! Thermal bridges of the dwelling and of rooms.

use super::Gathering;
use super::assumed::Fabric as Assumed;
use crate::intake::Fault;
use crate::job::dwelling::ThermalBridging;

/// How thermal bridges are counted.
#[derive(Debug, Clone, PartialEq)]
pub enum Bridging {
    /// An addition to the U-value of elements to outside and to unheated spaces (W/(m²K)).
    Allowance(f64),
    /// Junctions, each with its length (m) and linear transmittance (W/(mK)).
    Junctions(Vec<(f64, f64)>),
    /// A heat loss coefficient (W/K).
    Coefficient(f64),
}

impl Bridging {
    /// What the job says, as it is counted.
    #[must_use]
    pub fn from_job(written: &ThermalBridging) -> Self {
        match written {
            ThermalBridging::Allowance { allowance_w_m2k } => Self::Allowance(*allowance_w_m2k),
            ThermalBridging::Coefficient { coefficient_w_k } => Self::Coefficient(*coefficient_w_k),
            ThermalBridging::Junctions { junctions } => {
                Self::Junctions(junctions.values().map(|junction| (junction.length_m, junction.psi_w_mk)).collect())
            }
        }
    }
}

impl Gathering<'_> {
    pub(super) fn bridging(&mut self, exposed_m2: &[f64]) -> Bridging {
        let Some(written) = &self.job.dwelling.thermal_bridging else {
            let default = &self.catalogue.defaults.thermal_bridging_w_m2k;
            let (allowance_w_m2k, origin) = (default.value, default.provenance.clone());
            self.notes.add(&Assumed::ThermalBridging { allowance_w_m2k, origin });
            return Bridging::Allowance(default.value);
        };
        let shared_out = !matches!(written, ThermalBridging::Allowance { .. });
        let nothing_exposed = exposed_m2.iter().all(|&area_m2| area_m2 <= 0.0);
        if shared_out && nothing_exposed && self.faults.is_empty() {
            let detail = "the dwelling's thermal bridges are shared out by exposed area, and no surface is exposed; give them room by room";
            self.faults.push(Fault::new("/dwelling/thermal_bridging", "nothing_exposed", detail).rests_on("/rooms"));
        }
        Bridging::from_job(written)
    }
}
