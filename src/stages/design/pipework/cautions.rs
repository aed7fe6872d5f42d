//! What to beware of when pipes are laid and tested.

use crate::catalogue::tube_material::TubeMaterial;
use crate::findings;
use crate::methods::fluid::Fluid;
use crate::methods::glycol::Substance;
use crate::methods::joists;
use crate::survey::Survey;

/// Buildings from this year on hold no asbestos: its use ended in November 1999 (Asbestos (Prohibitions) (Amendment) Regulations 1999; from
/// memory).
const ASBESTOS_BEFORE: u32 = 2000;
/// Buildings from this year on have no lead in pipes and solder of drinking water: byelaws of 1986 forbade it (from memory).
const LEAD_BEFORE: u32 = 1988;
/// What old tubes and radiators are tested at, over the greatest pressure that they meet (common practice, without a source).
const PROOF: f64 = 1.5;

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

        /// Asbestos may be in an old building.
        "asbestos" Asbestos { construction_year: u32 }
        at "/dwelling/construction_year"
        says "a building of {construction_year} may hold asbestos, in boards, lagging, flues, floor tiles and rope: it is surveyed before anything is drilled, lifted or taken out, and what is found is left to a licensed contractor";

        /// Asbestos may be in a building whose year is not told.
        "asbestos" AsbestosYearNotTold {}
        at "/dwelling"
        says "a building from before 2000 may hold asbestos, and the job does not tell the year of this one: it is surveyed before anything is drilled, lifted or taken out, and what is found is left to a licensed contractor";

        /// Lead may be in old pipes and solder.
        "lead" Lead {}
        at "/pipework"
        says "old pipe may be lead, and old solder holds it: lead carries no drinking water any more, is cut and not heated, and hands are washed before eating";

        /// An old open system is made a sealed one.
        "old_system_under_pressure" OldSystem { test_bar: f64, times: f64 }
        at "/pipework/existing"
        says "old pipes and radiators, vented until now or not, are put under pressure: they are tested at {test_bar} bar, {times} times the most that they will meet, before the price is relied on, with somebody at every room";

        /// Filling joins heating water to drinking water.
        "backflow" Backflow {}
        at "/pipework"
        says "heating water must not reach drinking water: the filling loop has its backflow protection by the water regulations, and is taken off when the system is full";

        /// Services lie hidden.
        "buried_services" BuriedServices {}
        at "/pipework"
        says "cables, gas and water lie hidden in walls, floors and ground: find them before drilling, cutting or digging, and make any membrane against damp or radon tight again that a pipe goes through";

        /// A flame near timber.
        "hot_work" HotWork {}
        at "/pipework"
        says "a torch sets fire to what nobody sees: joints near timber and insulation are pressed where they can be, and otherwise an extinguisher stands by and somebody looks again after an hour";

        /// Plastic does not conduct.
        "earth_bonding" EarthBonding {}
        at "/pipework"
        says "where plastic takes the place of metal pipe, what was bonded to earth by it no longer is: a registered electrician tests the bonding before and after";

        /// Work above the ground.
        "working_at_height" WorkingAtHeight {}
        at "/pipework"
        says "work on stairs, in lofts and on outside walls is done from a tower, a scaffold or boards, not from what is at hand";
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
    told.extend(as_found(survey));
    told
}

/// What hangs on the dwelling as it is found, and on what it gets.
fn as_found(survey: &Survey) -> Vec<Caution> {
    let found = &survey.as_found;
    let mut told = vec![Caution::Backflow {}, Caution::BuriedServices {}];
    match found.construction_year {
        Some(construction_year) if construction_year < ASBESTOS_BEFORE => {
            told.push(Caution::Asbestos { construction_year });
        }
        Some(_) => {}
        None => told.push(Caution::AsbestosYearNotTold {}),
    }
    let is_old = found.construction_year.is_none_or(|year| year < LEAD_BEFORE);
    let is_touched = found.keeps_any() || found.is_heated();
    let materials = || survey.pipes.tubes.iter().map(|tube| survey.offer.tubes[*tube].material);
    let is_metal = |material: Option<TubeMaterial>| {
        material.is_some_and(|material| matches!(material, TubeMaterial::Copper | TubeMaterial::Steel))
    };
    told.extend((is_old && is_touched).then_some(Caution::Lead {}));
    let test_bar = PROOF * survey.plant.safety_valve_bar;
    told.extend(found.keeps_any().then_some(Caution::OldSystem { test_bar, times: PROOF }));
    told.extend(materials().any(is_metal).then_some(Caution::HotWork {}));
    told.extend((is_touched && !materials().all(is_metal)).then_some(Caution::EarthBonding {}));
    told.extend(found.has_heights.then_some(Caution::WorkingAtHeight {}));
    told
}

fn has_heated_floor(survey: &Survey) -> bool {
    survey.rooms.iter().flat_map(|room| &room.emitters).any(|emitter| emitter.floor().is_some())
}
