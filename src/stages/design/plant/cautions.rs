//! What to beware of in the plant room.

use super::is_disinfected;
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
        says "legionella grows between 20 and 45 °C, and water is stored at {storage_c} °C: where people at risk live it is stored at 60 °C or more; follow the local guidance";

        /// A store below the temperature at which legionella dies is heated to it every so often.
        "disinfection" Disinfection { storage_c: f64, to_c: f64, held_h: f64, days: u32 }
        at "/hot_water"
        says "a store at {storage_c} °C is heated to {to_c} °C throughout for {held_h} h every {days} days, which is no option: see that the cylinder has an immersion heater or the heat source gets that hot, set its timer when the plant is handed over, show the client, and temper what scalds meanwhile";

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
    let storage_c = survey.plant.hot_water.storage_c;
    let mut told = vec![Caution::Scald {}, Caution::Legionella { storage_c }];
    if is_disinfected(survey) {
        let defaults = &survey.defaults;
        told.push(Caution::Disinfection {
            storage_c,
            to_c: defaults.disinfection_c.value,
            held_h: defaults.disinfection_h.value,
            days: defaults.disinfection_days.value,
        });
    }
    told.extend([Caution::Unvented {}, Caution::Electricity {}, Caution::Refrigerant {}, Caution::Noise {}]);
    told
}
