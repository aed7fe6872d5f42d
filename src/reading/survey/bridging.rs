//! Thermal bridges of the dwelling and of rooms.

use super::Gathering;
use super::assumed::Fabric as Assumed;
use crate::intake::{Fault, FaultCode};
use crate::job::dwelling::ThermalBridging;
use crate::job::rooms::Faces;

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
    /// What is shared out over the dwelling (W/K), where that is how they are told.
    fn shared_w_k(&self) -> Option<f64> {
        match self {
            Self::Allowance(_) => None,
            Self::Coefficient(coefficient_w_k) => Some(*coefficient_w_k),
            Self::Junctions(junctions) => Some(junctions.iter().map(|(length_m, psi_w_mk)| length_m * psi_w_mk).sum()),
        }
    }

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
        // nothing to share out is shared out anywhere
        let shared_out = Bridging::from_job(written).shared_w_k().is_some_and(|coefficient_w_k| coefficient_w_k != 0.0);
        let nothing_exposed = exposed_m2.iter().all(|&area_m2| area_m2 <= 0.0) && !self.names_an_exposed_surface();
        if shared_out && nothing_exposed {
            let detail = "the dwelling's thermal bridges are shared out by exposed area, and no surface is exposed; give them room by room";
            let fault = Fault::new("/dwelling/thermal_bridging", FaultCode::NothingExposed, detail);
            self.faults.push(self.rests_on_every_side(fault));
        }
        Bridging::from_job(written)
    }

    /// Whether a surface of the job is exposed, though what it is made of or which space it faces may be at fault.
    fn names_an_exposed_surface(&self) -> bool {
        self.job.rooms.values().flat_map(|room| room.surfaces.values()).any(|surface| match &surface.faces {
            None
            | Some(Faces::Outside {} | Faces::Ground {} | Faces::Unheated { .. } | Faces::UnheatedSpace { .. }) => true,
            Some(Faces::Room { .. } | Faces::AdjoiningDwelling {} | Faces::Temperature { .. }) => false,
        })
    }
}
