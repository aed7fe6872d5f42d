//! What to beware of in the plant room.

use crate::design::stage::Caution;
use crate::survey::Survey;

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    let mut told = Vec::new();
    let storage_c = survey.plant.hot_water.storage_c;
    told.push(Caution::new(
        "scald",
        "/hot_water",
        "hot water scalds: temper it at baths and basins where regulations ask, for children and the frail in any case",
    ));
    told.push(Caution::new(
        "legionella",
        "/hot_water",
        format!(
            "legionella grows between 20 and 45 °C: water stored at {storage_c} °C needs a regular pasteurisation, and 60 °C \
             where people at risk live; follow the local guidance"
        ),
    ));
    told.push(Caution::new(
        "unvented",
        "/plant",
        "an unvented cylinder is fitted, discharged and notified by whoever is licensed for it; its safety valves are never capped",
    ));
    told.push(Caution::new(
        "electricity",
        "/plant",
        "isolate and prove dead before any cover comes off; the supply is a licensed electrician's work",
    ));
    told.push(Caution::new(
        "refrigerant",
        "/plant",
        "refrigerant may be flammable: keep the unit's own clear zone to openings, drains and gullies; its circuit is for certified people",
    ));
    told.push(Caution::new("noise", "/plant", "noise limits at neighbours' windows and planning rules hold for the outdoor unit: check both before it is ordered"));
    told
}
