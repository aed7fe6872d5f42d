//! What to beware of when pipes are laid and tested.

use crate::findings;
use crate::methods::fluid::Fluid;
use crate::methods::glycol::Substance;
use crate::methods::joists;
use crate::survey::Survey;

findings! {
    /// What to beware of when pipes are laid and tested.
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub enum Caution: Caution of survey: Survey {
        /// A joint can let go under test pressure.
        "pressure_test" PressureTest {}
        at "/pipework"
        says "under test pressure a joint can let go: keep people away, and isolate what is not made for the pressure";

        /// Floor pipes are tested at more than the rest bears.
        "floor_test" FloorTest { test_bar: f64, safety_valve_bar: f64 }
        at "/pipework"
        says "isolate floor pipes from cylinder, vessel and unit before {test_bar} bar; safety valves open at {safety_valve_bar} bar";

        /// A flexible hose stays accessible.
        "hoses" Hoses {}
        at "/pipework/primary"
        says "a flexible hose stays accessible: where it goes through a wall it runs in a sleeve, without a joint inside";

        /// Water forms on chilled pipes.
        "chilled_pipes" ChilledPipes {}
        at "/pipework"
        says "pipes, valves and manifolds that carry chilled water are insulated without a gap, every joint of it sealed against vapour: water that forms under it rots timber and rusts steel unseen";

        /// Freeze-protection valves let water out.
        "freeze_valves" FreezeValves {}
        at "/pipework/freeze_protection"
        says "freeze-protection valves let hot or cold water out on the ground: lead it where nobody slips or is scalded, fit them upright and uninsulated with no valve between them and the unit, and fill and vent again after they have opened";

        /// What a mixture of propylene glycol asks for.
        "antifreeze" PropyleneGlycol {}
        at "/heating/fluid"
        says "antifreeze is not to reach drains, ground or drinking water: fill through a break tank by the water regulations, collect what is drained, and test its fraction and its inhibitor every year";

        /// What a mixture of ethylene glycol asks for.
        "antifreeze" EthyleneGlycol {}
        at "/heating/fluid"
        says "ethylene glycol is poisonous: never where its leak could reach drinking water, as through a coil in a cylinder unless regulations allow it; fill through a break tank, collect what is drained, label the system, and test it every year";

        /// Holes and notches weaken joists.
        "structure" Structure { apart_mm: f64, deepest_mm: f64 }
        at "/pipework"
        says "holes and notches weaken joists: holes on the middle line and three diameters apart, centre to centre, none within {apart_mm} mm of a notch, notches in the upper edge alone; an engineer says what a joist bears that is deeper than {deepest_mm} mm, carries a partition or a cylinder, is old or repaired, or is no solid timber";
    }
}

/// The cautions of the stage.
pub(super) fn cautions(survey: &Survey) -> Vec<Caution> {
    let mut told = vec![Caution::PressureTest {}];
    if has_heated_floor(survey) {
        let (test_bar, safety_valve_bar) = (survey.defaults.floor_test_bar.value, survey.plant.safety_valve_bar);
        told.push(Caution::FloorTest { test_bar, safety_valve_bar });
    }
    if survey.pipes.primary.as_ref().is_some_and(|primary| primary.hoses.is_some()) {
        told.push(Caution::Hoses {});
    }
    if survey.cooling.is_some() {
        told.push(Caution::ChilledPipes {});
    }
    if survey.pipes.freeze.by_valves {
        told.push(Caution::FreezeValves {});
    }
    match survey.heating.fluid {
        Fluid::Glycol(Substance::Propylene, _) => told.push(Caution::PropyleneGlycol {}),
        Fluid::Glycol(Substance::Ethylene, _) => told.push(Caution::EthyleneGlycol {}),
        Fluid::Water => {}
    }
    told.push(Caution::Structure { apart_mm: joists::APART_MM, deepest_mm: joists::DEEPEST_MM });
    told
}

fn has_heated_floor(survey: &Survey) -> bool {
    survey.rooms.iter().flat_map(|room| &room.emitters).any(|emitter| emitter.floor().is_some())
}
