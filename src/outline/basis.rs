//! How far an outline is known: a spread for each construction, for the air and for the areas, and the notes.

use super::assumed::{Assumed, Doubted};
use super::constructions::Chosen;
use super::facts::Facts;
use super::heated::{self, Heated};
use super::plan::Plan;
use super::proportions::{Mean, Proportions};
use super::radiators::Spot;
use super::{KEPT_MM, Places};
use crate::catalogue::Defaults;
use crate::job::Job;
use crate::job::certainty::{Basis, Known, KnownBy};
use crate::job::dwelling::DwellingKind;
use crate::job::dwelling::ExistingHeating;
use crate::job::rooms::{Faces, Part, Surface};
use crate::list::Index;
use crate::methods::math::round_significant;
use crate::notes::Notes;
use crate::survey::What;

/// Where the air is told of.
const AIR: &str = "/dwelling/ventilation";

/// How the outline was found to agree with the dwellings of the typology (`tests/published/outline.rs`).
const AGREEMENT: Assumed = Assumed::Agreement {
    measured_on: "2026-11-30",
    single_dwellings: 16,
    mean_above_percent: 14.1,
    mean_off_percent: 16.2,
    most_off_percent: 36.0,
    single_within: 12,
    stock_averages: 9,
    stock_mean_above_percent: 161.3,
    stock_within: 0,
};

/// What areas are taken from: those of one are too large or too small together.
const OUTER_WALLS: &str = "outer walls, as the typology has them";
const GROUND_AND_ROOF: &str = "lowest floor and roof, as the typology has them";
const PLAN: &str = "plan as outlined";

fn assumed(spread: f64, source: Option<&str>) -> KnownBy {
    KnownBy { known: Known::Assumed, spread: Some(round_significant(spread, 3)), source: source.map(str::to_owned) }
}

/// The basis of the job.
#[must_use]
pub fn basis(
    job: &Job,
    facts: &Facts,
    proportions: &Proportions,
    constructions: &[Chosen],
    defaults: &Defaults,
) -> Basis {
    let of_constructions = constructions.iter();
    let mut basis: Vec<(String, KnownBy)> = of_constructions
        .map(|chosen| (format!("/constructions/{}", chosen.id), assumed(chosen.spread, None)))
        .collect();
    basis.push((AIR.to_owned(), assumed(What::Air.spread(Known::Assumed, defaults), None)));
    let least = What::Area(Index::new(0)).spread(Known::Assumed, defaults);
    basis.push(("/rooms".to_owned(), assumed(least, Some(PLAN))));
    for (room_id, room) in &job.rooms {
        for (id, surface) in &room.surfaces {
            if let Some((mean, source)) = area(surface, facts, proportions) {
                basis.push((format!("/rooms/{room_id}/surfaces/{id}"), assumed(mean.spread, Some(source))));
            }
        }
    }
    basis.into_iter().collect()
}

/// The proportion that the area of a surface follows from, and what it has that proportion from, if it follows from one. Floor and roof
/// of a flat that says where it lies are as large as its plan.
fn area<'p>(surface: &Surface, facts: &Facts, proportions: &'p Proportions) -> Option<(&'p Mean, &'static str)> {
    match (surface.part, surface.faces.as_ref()) {
        (Part::Wall, Some(Faces::Outside {})) => Some((&proportions.wall, OUTER_WALLS)),
        (Part::Floor | Part::Roof, Some(Faces::Ground {} | Faces::Outside {})) if facts.flat_storey.is_some() => None,
        (Part::Floor, Some(Faces::Ground {})) => Some((&proportions.ground, GROUND_AND_ROOF)),
        (Part::Roof, Some(Faces::Outside {})) => Some((&proportions.roof, GROUND_AND_ROOF)),
        (Part::Wall | Part::Roof | Part::Ceiling | Part::Floor, _) => None,
    }
}

/// What was assumed, and what looks wrong.
#[must_use]
pub fn notes(
    facts: &Facts,
    defaults: &Defaults,
    job: &Job,
    (plan, proportions, constructions): (&Plan, &Proportions, &[Chosen]),
) -> Notes {
    let mut notes = Notes::default();
    notes.add(&AGREEMENT);
    if facts.construction_year < defaults.outline_improved_before_year.value && !facts.tells_of_improvements() {
        notes.add(&Doubted::AsBuilt { construction_year: facts.construction_year });
    }
    if facts.bedrooms.is_none() {
        notes.add(&Assumed::Bedrooms { bedrooms: facts.bedrooms(defaults) });
    }
    if facts.flat_storey.is_none() && facts.dwelling_kind == DwellingKind::Flat {
        let (ground_percent, roof_percent) = (100.0 * plan.ground_share, 100.0 * plan.roof_share);
        notes.add(&Assumed::FlatStorey { ground_percent, roof_percent });
    }
    if facts.storeys.is_none() {
        notes.add(&Assumed::Storeys { storeys: facts.storeys(defaults) });
    }
    for chosen in constructions {
        notes.add(&chosen.note);
    }
    notes.add(&Assumed::Tightness { spread: What::Air.spread(Known::Assumed, defaults) });
    notes.add(&Assumed::ThermalBridging { allowance_w_m2k: proportions.bridging_w_m2k });
    proportions_noted(job, proportions, &mut notes);
    let depth_m = plan.depths_m.first().copied().unwrap_or(0.0);
    let spread = What::Area(Index::new(0)).spread(Known::Assumed, defaults);
    notes.add(&Assumed::Plan { width_m: plan.width_m, depth_m, height_m: plan.height_m, spread });
    for (id, room) in &job.rooms {
        if room.floor_area_m2 < defaults.outline_small_room_m2.value {
            notes.add(&Doubted::SmallRoom { room: id.clone(), floor_area_m2: room.floor_area_m2 });
        }
    }
    notes
}

/// What was assumed of the heating, and why a house cannot be heated so.
pub fn note_heating(facts: &Facts, defaults: &Defaults, (places, heated): (&[Places], &Heated), notes: &mut Notes) {
    let Heated { flow_c, drop_k, radiators, unmet } = heated;
    notes.add(&Assumed::Heating {
        flow_temperature_c: *flow_c,
        drop_k: *drop_k,
        from_c: defaults.flow_temperature_c.value,
        to_c: defaults.lowest_flow_to_c.value,
        step_k: defaults.outline_flow_step_k.value,
    });
    for ((room, _, spots), count) in places.iter().zip(radiators) {
        for (number, Spot { wall, clear_wall_mm }) in spots.iter().take(*count).enumerate() {
            let (at, usual) = (heated::place(room, number).into(), number == 0);
            notes.add(&Assumed::Emitter { at, room: room.clone(), wall: *wall, clear_wall_mm: *clear_wall_mm, usual });
        }
    }
    if facts.has_old_radiators() {
        notes.add(&Assumed::OldRadiators { radiators: places.iter().map(|_| 1).sum() });
    }
    if facts.pipes_kept == Some(true) {
        let [least_mm, .., most_mm] = KEPT_MM;
        notes.add(&Assumed::PipesKept { least_mm, most_mm });
        let is_doubtful =
            matches!(facts.existing_heating, Some(ExistingHeating::Electric {} | ExistingHeating::SolidFuel {}));
        if is_doubtful {
            notes.add(&Doubted::PipesKeptDoubtful {});
        }
    }
    if !unmet.is_empty() {
        let mut codes: Vec<String> = unmet.iter().map(|row| row.code.to_string()).collect();
        codes.dedup();
        let reasons: Vec<&str> = unmet.iter().map(|row| row.detail.as_str()).collect();
        notes.add(&Doubted::CannotBeHeated { codes, reason: reasons.join("; and ") });
    }
}

fn proportions_noted(job: &Job, proportions: &Proportions, notes: &mut Notes) {
    let surfaces = || job.rooms.values().flat_map(|room| room.surfaces.values());
    let sum = |part: Part, faces: &Faces| -> f64 {
        let like = |surface: &&Surface| surface.part == part && surface.faces.as_ref() == Some(faces);
        surfaces().filter(like).map(|surface| surface.area_m2).sum()
    };
    let openings = |id: &str| -> f64 {
        surfaces().filter_map(|surface| surface.openings.get(id)).map(|opening| opening.area_m2).sum()
    };
    let Proportions { wall, window, door_m2, ground, roof, .. } = proportions;
    let of = |area_m2: f64, mean: &Mean| (area_m2, proportions.buildings.clone(), mean.spread);
    let mut note = |(area_m2, dwellings, spread): (f64, Vec<String>, f64),
                    told: fn(f64, Vec<String>, f64) -> Assumed| {
        if area_m2 > 0.0 {
            notes.add(&told(area_m2, dwellings, spread));
        }
    };
    note(of(sum(Part::Wall, &Faces::Outside {}), wall), |area_m2, dwellings, spread| Assumed::OuterWalls {
        area_m2,
        dwellings,
        spread,
    });
    note(of(openings("window"), window), |area_m2, dwellings, spread| Assumed::Windows { area_m2, dwellings, spread });
    note(of(openings("door"), door_m2), |area_m2, dwellings, spread| Assumed::Doors { area_m2, dwellings, spread });
    note(of(sum(Part::Floor, &Faces::Ground {}), ground), |area_m2, dwellings, spread| Assumed::Ground {
        area_m2,
        dwellings,
        spread,
    });
    note(of(sum(Part::Roof, &Faces::Outside {}), roof), |area_m2, dwellings, spread| Assumed::Roof {
        area_m2,
        dwellings,
        spread,
    });
}
