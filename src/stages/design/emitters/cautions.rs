//! What to beware of when emitters are fitted.

use crate::design::stage::Caution;
use crate::survey::{EmitterKind, HeatedFloor, Survey};

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    let mut told = Vec::new();
    if floors(survey).any(HeatedFloor::has_screed) {
        told.push(Caution::new(
            "screed_load",
            "/rooms",
            "a screed is a load: have the floor's structure checked by whoever is licensed for it before it is laid",
        ));
        told.push(Caution::new(
            "screed_heat",
            "/heating",
            format!(
                "an independent limiter keeps the floor's flow below what screed and covering bear, {} °C at most",
                survey.defaults.screed_flow_max_c.value
            ),
        ));
    }
    if has_fan_convector(survey) {
        told.push(Caution::new(
            "fan_convector_electricity",
            "/rooms",
            "a fan convector has a supply of electricity: its circuit, its isolation and its place, in bathrooms above all, are a licensed electrician's work",
        ));
    }
    if survey.cooling.is_some() {
        told.push(Caution::new(
            "condensation",
            "/cooling",
            "water forms on whatever is colder than the dew point, first on manifolds and bare pipes, and makes floors slippery and timber swell: watch the dew point in every cooled room, insulate cold pipes vapour-tight, and shut the flow off when it comes near",
        ));
    }
    told
}

fn has_fan_convector(survey: &Survey) -> bool {
    let mut emitters = survey.rooms.iter().flat_map(|room| &room.emitters);
    emitters.any(|emitter| matches!(emitter.kind, EmitterKind::FanConvector(_)))
}

fn floors(survey: &Survey) -> impl Iterator<Item = &HeatedFloor> {
    survey.rooms.iter().flat_map(|room| &room.emitters).filter_map(|emitter| emitter.floor())
}
