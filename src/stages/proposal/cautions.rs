//! The safety text of the trade. It defers to local codes and licensed practice.

use crate::methods::fluid::Fluid;
use crate::methods::glycol::Substance;
use crate::notes::Notes;
use crate::survey::{EmitterKind, HeatedFloor, Survey};

/// What to beware of when emitters are fitted.
pub(super) fn emitters(survey: &Survey, notes: &mut Notes) {
    if floors(survey).any(HeatedFloor::has_screed) {
        notes.caution(
            "screed_load",
            "/rooms",
            "a screed is a load: have the floor's structure checked by whoever is licensed for it before it is laid",
        );
        notes.caution(
            "screed_heat",
            "/heating",
            "an independent limiter keeps the floor's flow below what screed and covering bear, 55 °C at most",
        );
    }
    if has_fan_convector(survey) {
        notes.caution(
            "fan_convector_electricity",
            "/rooms",
            "a fan convector has a supply of electricity: its circuit, its isolation and its place, in bathrooms above all, are a licensed electrician's work",
        );
    }
    if survey.cooling.is_some() {
        notes.caution(
            "condensation",
            "/cooling",
            "water forms on whatever is colder than the dew point, first on manifolds and bare pipes, and makes floors slippery and timber swell: watch the dew point in every cooled room, insulate cold pipes vapour-tight, and shut the flow off when it comes near",
        );
    }
}

/// What to beware of when pipes are laid and tested.
pub(super) fn pipework(survey: &Survey, notes: &mut Notes) {
    notes.caution(
        "pressure_test",
        "/pipework",
        "under test pressure a joint can let go: keep people away, and isolate what is not made for the pressure",
    );
    if has_heated_floor(survey) {
        notes.caution(
            "floor_test",
            "/pipework",
            "isolate floor pipes from cylinder, vessel and unit before 5 bar; safety valves open at 3 bar",
        );
    }
    if survey.pipes.primary.as_ref().is_some_and(|primary| primary.hoses.is_some()) {
        notes.caution(
            "hoses",
            "/pipework/primary",
            "a flexible hose stays accessible: where it goes through a wall it runs in a sleeve, without a joint inside",
        );
    }
    if survey.cooling.is_some() {
        notes.caution(
            "chilled_pipes",
            "/pipework",
            "pipes, valves and manifolds that carry chilled water are insulated without a gap, every joint of it sealed against vapour: water that forms under it rots timber and rusts steel unseen",
        );
    }
    if survey.pipes.freeze.by_valves {
        notes.caution(
            "freeze_valves",
            "/pipework/freeze_protection",
            "freeze-protection valves let hot or cold water out on the ground: lead it where nobody slips or is scalded, fit them upright and uninsulated with no valve between them and the unit, and fill and vent again after they have opened",
        );
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
        notes.caution("antifreeze", "/heating/fluid", detail);
    }
    notes.caution(
        "structure",
        "/pipework",
        "holes and notches weaken joists: keep to the building regulations, and ask where a joist is old or repaired",
    );
}

/// What to beware of in the plant room.
pub(super) fn plant(survey: &Survey, notes: &mut Notes) {
    let storage_c = survey.plant.hot_water.storage_c;
    notes.caution(
        "scald",
        "/hot_water",
        "hot water scalds: temper it at baths and basins where regulations ask, for children and the frail in any case",
    );
    notes.caution(
        "legionella",
        "/hot_water",
        format!(
            "legionella grows between 20 and 45 °C: water stored at {storage_c} °C needs a regular pasteurisation, and 60 °C \
             where people at risk live; follow the local guidance"
        ),
    );
    notes.caution(
        "unvented",
        "/plant",
        "an unvented cylinder is fitted, discharged and notified by whoever is licensed for it; its safety valves are never capped",
    );
    notes.caution(
        "electricity",
        "/plant",
        "isolate and prove dead before any cover comes off; the supply is a licensed electrician's work",
    );
    notes.caution(
        "refrigerant",
        "/plant",
        "refrigerant may be flammable: keep the unit's own clear zone to openings, drains and gullies; its circuit is for certified people",
    );
    notes.caution("noise", "/plant", "noise limits at neighbours' windows and planning rules hold for the outdoor unit: check both before it is ordered");
}

/// What to beware of in the money.
pub(super) fn price(notes: &mut Notes) {
    notes.caution(
        "tax",
        "/commercial",
        "rates of tax follow each supply and its tax point; an accountant confirms them",
    );
}

fn has_fan_convector(survey: &Survey) -> bool {
    let mut emitters = survey.rooms.iter().flat_map(|room| &room.emitters);
    emitters.any(|emitter| matches!(emitter.kind, EmitterKind::FanConvector(_)))
}

fn has_heated_floor(survey: &Survey) -> bool {
    floors(survey).next().is_some()
}

fn floors(survey: &Survey) -> impl Iterator<Item = &HeatedFloor> {
    survey.rooms.iter().flat_map(|room| &room.emitters).filter_map(|emitter| emitter.floor())
}
