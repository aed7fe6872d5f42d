//! What to beware of in the plant room.

use super::is_disinfected;
use crate::findings;
use crate::survey::{Fuel, Survey};

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
        says "a store at {storage_c} °C must be heated to {to_c} °C throughout for {held_h} h every {days} days, and this is not optional: see that the cylinder has an immersion heater or the heat source gets that hot, set its timer when the plant is handed over, show the client, and temper what scalds meanwhile";

        /// An unvented cylinder can burst.
        "unvented" Unvented {}
        at "/plant"
        says "an unvented cylinder is fitted, discharged and notified by a competent, registered person; its safety valves are never capped";

        /// Live parts under covers.
        "electricity" Electricity {}
        at "/plant"
        says "isolate and prove dead before any cover comes off; the supply is a registered electrician's work";

        /// Refrigerant may be flammable.
        "refrigerant" Refrigerant {}
        at "/plant"
        says "refrigerant may be flammable, and heavier than air: keep the unit's own clear zone to doors, windows, drains and gullies, and never stand it in a pit, a light well or beside the opening of a cellar; its circuit is for a competent person certified for it";

        /// Noise limits hold for the outdoor unit.
        "noise" Noise {}
        at "/plant"
        says "noise limits at neighbours' windows and planning rules hold for the outdoor unit: check both before it is ordered";

        /// Water that has stood.
        "stood_water" StoodWater { store_c: f64 }
        at "/hot_water"
        says "after weeks without use, as during works, legionella may have grown: heat the store to {store_c} °C and flush every outlet, without breathing the spray, before anyone showers";

        /// Gas is cut off.
        "gas" Gas {}
        at "/dwelling/existing_heating"
        says "gas appliances and pipes are cut off, capped and tested by an engineer registered for gas, and by nobody else";

        /// Oil is cut off.
        "oil" Oil {}
        at "/dwelling/existing_heating"
        says "an oil boiler and its tank are taken out by a person registered for oil, or the work is notified to building control; what is left in tank and pipes is waste that a licensed carrier takes";

        /// What is taken out is not told.
        "gas" FuelNotTold {}
        at "/dwelling"
        says "the job does not tell what heats the dwelling now: gas is cut off, capped and tested by an engineer registered for gas, and by nobody else; an oil boiler and its tank are taken out by a person registered for oil, or the work is notified to building control";

        /// What burns needs air.
        "carbon_monoxide" CarbonMonoxide {}
        at "/rooms"
        says "what still burns in a room, behind a chimney or an open flue, needs its air: when windows, draughts or fans change, a registered person checks flue and ventilation, and the room has a carbon monoxide alarm";

        /// What is heavy.
        "weight" Weight {}
        at "/plant"
        says "a cylinder or vessel weighs a kilogram more for each litre in it: a competent person looks at the floor under it and at the wall or roof that bears an outdoor unit, and units and large radiators are carried by two or by a lift";

        /// Melted frost freezes.
        "condensate_ice" CondensateIce {}
        at "/plant"
        says "litres of water melt off an outdoor unit and freeze again: lead them to a drain or soakaway, away from paths and steps";

        /// The grid must bear it.
        "network_operator" NetworkOperator {}
        at "/plant"
        says "the electricity network operator is told of a heat pump, and asked before it is connected where supply or fuse may not bear it: a registered electrician finds that out before it is ordered";
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
    told.extend([Caution::StoodWater { store_c: survey.defaults.disinfection_c.value }, Caution::Weight {}]);
    told.extend([Caution::CondensateIce {}, Caution::NetworkOperator {}]);
    match survey.as_found.fuel {
        Some(Fuel::Gas) => told.push(Caution::Gas {}),
        Some(Fuel::Oil) => told.push(Caution::Oil {}),
        None => told.push(Caution::FuelNotTold {}),
        Some(Fuel::Solid | Fuel::Electricity | Fuel::None) => {}
    }
    let has_flues = survey.rooms.iter().any(|room| room.air.flues_m3_h > 0.0);
    if has_flues || survey.as_found.fuel == Some(Fuel::Solid) {
        told.push(Caution::CarbonMonoxide {});
    }
    told
}
