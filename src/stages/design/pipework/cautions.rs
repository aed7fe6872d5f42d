//! What to beware of when pipes are laid and tested.

use crate::design::stage::Caution;
use crate::methods::fluid::Fluid;
use crate::methods::glycol::Substance;
use crate::survey::Survey;

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    let mut told = Vec::new();
    told.push(Caution::new(
        "pressure_test",
        "/pipework",
        "under test pressure a joint can let go: keep people away, and isolate what is not made for the pressure",
    ));
    if has_heated_floor(survey) {
        told.push(Caution::new(
            "floor_test",
            "/pipework",
            "isolate floor pipes from cylinder, vessel and unit before 5 bar; safety valves open at 3 bar",
        ));
    }
    if survey.pipes.primary.as_ref().is_some_and(|primary| primary.hoses.is_some()) {
        told.push(Caution::new(
            "hoses",
            "/pipework/primary",
            "a flexible hose stays accessible: where it goes through a wall it runs in a sleeve, without a joint inside",
        ));
    }
    if survey.cooling.is_some() {
        told.push(Caution::new(
            "chilled_pipes",
            "/pipework",
            "pipes, valves and manifolds that carry chilled water are insulated without a gap, every joint of it sealed against vapour: water that forms under it rots timber and rusts steel unseen",
        ));
    }
    if survey.pipes.freeze.by_valves {
        told.push(Caution::new(
            "freeze_valves",
            "/pipework/freeze_protection",
            "freeze-protection valves let hot or cold water out on the ground: lead it where nobody slips or is scalded, fit them upright and uninsulated with no valve between them and the unit, and fill and vent again after they have opened",
        ));
    }
    if let Fluid::Glycol(substance, _) = survey.heating.fluid {
        let detail = match substance {
            Substance::Propylene => {
                "antifreeze is not to reach drains, ground or drinking water: fill through a break tank by the water regulations, collect what is drained, and test its fraction and its inhibitor every year"
            }
            Substance::Ethylene => {
                "ethylene glycol is poisonous: never where its leak could reach drinking water, as through a coil in a cylinder unless regulations allow it; fill through a break tank, collect what is drained, label the system, and test it every year"
            }
        };
        told.push(Caution::new("antifreeze", "/heating/fluid", detail));
    }
    told.push(Caution::new(
        "structure",
        "/pipework",
        "holes and notches weaken joists: keep to the building regulations, and ask where a joist is old or repaired",
    ));
    told
}

fn has_heated_floor(survey: &Survey) -> bool {
    survey.rooms.iter().flat_map(|room| &room.emitters).any(|emitter| emitter.floor().is_some())
}
