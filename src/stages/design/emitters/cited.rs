//! The published sources that the stage rests on.

use crate::sources::{
    COLEBROOK, DECLARED_DATA, EN_442, EN_1264_2, EN_1264_3, EN_1264_4, EN_12831, ENERGY_BALANCE, FLUID_MECHANICS,
    FOURIER, GNIELINSKI, HEAT_TRANSFER, ISO_11855_2, ISO_13788, Source, TRADE_PRACTICE,
};
use crate::survey::{EmitterKind, FloorSystem, HeatedFloor, Survey};

/// The published sources that this stage rests on.
#[must_use]
pub fn sources(survey: &Survey) -> Vec<&'static Source> {
    let emitters = || survey.rooms.iter().flat_map(|room| &room.emitters);
    let floors = || emitters().filter_map(|emitter| emitter.floor());
    let [heat, viscosity, conductivity] = survey.heating.fluid.sources();
    let mut sources = vec![heat];
    if emitters().any(|emitter| emitter.hanging().is_some()) {
        sources.extend([&EN_442, &ENERGY_BALANCE]);
    }
    if emitters().any(|emitter| matches!(emitter.kind, EmitterKind::FanConvector(_))) {
        sources.extend([&DECLARED_DATA, &ENERGY_BALANCE]);
    }
    if emitters().any(|emitter| emitter.hanging().is_some_and(|hanging| hanging.factors.is_some())) {
        sources.push(&TRADE_PRACTICE);
    }
    if floors().next().is_some() {
        sources.extend([&EN_1264_2, &EN_1264_3, &EN_1264_4, &EN_442, &EN_12831, &ENERGY_BALANCE, &TRADE_PRACTICE]);
        sources.extend([&COLEBROOK, &FLUID_MECHANICS, viscosity]);
    }
    let in_screed = |floor: &HeatedFloor| matches!(floor.system, FloorSystem::InScreed(_));
    if floors().any(in_screed) {
        sources.extend([&FOURIER, &HEAT_TRANSFER, &GNIELINSKI, conductivity]);
    }
    if floors().any(|floor| matches!(floor.system, FloorSystem::TestedBoards { .. })) {
        sources.push(&DECLARED_DATA);
    }
    if floors().any(|floor| !in_screed(floor)) || survey.cooling.is_some() {
        sources.push(&ISO_11855_2);
    }
    if survey.cooling.is_some() {
        sources.push(&ISO_13788);
    }
    sources
}
