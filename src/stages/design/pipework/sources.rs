//! The published sources that the stage rests on.

use crate::sources::{
    COLEBROOK, DECLARED_DATA, ENERGY_BALANCE, FLUID_MECHANICS, HOME_ENERGY_MODEL, ISO_12241, JOISTS, PUMP_LAWS, Source,
    TRADE_PRACTICE,
};
use crate::survey::{Lagging, Survey};

/// The published sources that this stage rests on.
#[must_use]
pub fn sources(survey: &Survey) -> Vec<&'static Source> {
    let pipes = &survey.pipes;
    let mut sources = vec![&COLEBROOK, &DECLARED_DATA, &ENERGY_BALANCE, &FLUID_MECHANICS, &PUMP_LAWS, &TRADE_PRACTICE];
    let [heat, viscosity, _] = survey.heating.fluid.sources();
    sources.extend([heat, viscosity]);
    let others =
        pipes.primary.iter().map(|primary| &primary.run).chain(pipes.hot_water.iter().map(|circuit| &circuit.run));
    let runs = pipes.runs.iter().chain(others);
    if runs.clone().any(|run| run.lagging == Lagging::Bare) {
        sources.push(&HOME_ENERGY_MODEL);
    }
    if runs.clone().any(|run| run.lagging != Lagging::Bare) {
        sources.push(&ISO_12241);
    }
    if runs.clone().any(|run| run.joists.is_some()) {
        sources.push(&JOISTS);
    }
    sources
}
