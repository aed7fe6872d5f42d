//! What to beware of in the plant room.

use crate::findings;
use crate::survey::Survey;

findings! {
    /// What to beware of in the plant room.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Caution: Caution of survey: Survey {
        /// Hot water scalds.
        "scald" Scald {}
        at "/hot_water"
        says "hot water scalds: temper it at baths and basins where regulations ask, for children and the frail in any case";

        /// Legionella grows in warm water.
        "legionella" Legionella { storage_c: f64 }
        at "/hot_water"
        says "legionella grows between 20 and 45 °C: water stored at {storage_c} °C needs a regular pasteurisation, and 60 °C where people at risk live; follow the local guidance";

        /// An unvented cylinder can burst.
        "unvented" Unvented {}
        at "/plant"
        says "an unvented cylinder is fitted, discharged and notified by whoever is licensed for it; its safety valves are never capped";

        /// Live parts under covers.
        "electricity" Electricity {}
        at "/plant"
        says "isolate and prove dead before any cover comes off; the supply is a licensed electrician's work";

        /// Refrigerant may be flammable.
        "refrigerant" Refrigerant {}
        at "/plant"
        says "refrigerant may be flammable: keep the unit's own clear zone to openings, drains and gullies; its circuit is for certified people";

        /// Noise limits hold for the outdoor unit.
        "noise" Noise {}
        at "/plant"
        says "noise limits at neighbours' windows and planning rules hold for the outdoor unit: check both before it is ordered";
    }
}

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    vec![
        Caution::Scald {},
        Caution::Legionella { storage_c: survey.plant.hot_water.storage_c },
        Caution::Unvented {},
        Caution::Electricity {},
        Caution::Refrigerant {},
        Caution::Noise {},
    ]
}
