//! What to beware of when emitters are fitted.

use crate::findings;
use crate::survey::{EmitterKind, HeatedFloor, Survey};

findings! {
    /// What to beware of when emitters are fitted.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Caution: Caution of survey: Survey {
        /// A screed is a load on the structure.
        "screed_load" ScreedLoad {}
        at "/rooms"
        says "a screed is a load: have the floor's structure checked by a competent person before it is laid";

        /// Screed and covering bear only so much heat.
        "screed_heat" ScreedHeat { most_c: f64 }
        at "/heating"
        says "an independent limiter keeps the floor's flow below what screed and covering bear, {most_c} °C at most";

        /// A fan convector has a supply of electricity.
        "fan_convector_electricity" FanConvectorElectricity {}
        at "/rooms"
        says "a fan convector has a supply of electricity: its circuit, its isolation and its place, in bathrooms above all, are a registered electrician's work";

        /// Water forms on what is colder than the dew point.
        "condensation" Condensation {}
        at "/cooling"
        says "water forms on whatever is colder than the dew point, first on manifolds and bare pipes, and makes floors slippery and timber swell: watch the dew point in every cooled room, insulate cold pipes vapour-tight, and shut the flow off when it comes near";
    }
}

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    let mut told = Vec::new();
    if floors(survey).any(HeatedFloor::has_screed) {
        told.push(Caution::ScreedLoad {});
        told.push(Caution::ScreedHeat { most_c: survey.defaults.screed_flow_max_c.value });
    }
    if has_fan_convector(survey) {
        told.push(Caution::FanConvectorElectricity {});
    }
    if survey.cooling.is_some() {
        told.push(Caution::Condensation {});
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
