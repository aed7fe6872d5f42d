//! How far an outline is known: a spread for each construction, for the air and for the areas, and the notes.

use super::assumed::{Assumed, Doubted};
use super::constructions::Chosen;
use super::facts::Facts;
use super::plan::Plan;
use super::proportions::{Mean, Proportions};
use crate::catalogue::Defaults;
use crate::job::Job;
use crate::job::certainty::{Basis, Known, KnownBy};
use crate::job::rooms::{Faces, Part, Surface};
use crate::list::Index;
use crate::methods::math::round_significant;
use crate::notes::Notes;
use crate::survey::What;

/// Where the air is told of.
const AIR: &str = "/dwelling/ventilation";

/// How the outline was found to agree with the dwellings of the typology (`tests/published/outline.rs`).
const AGREEMENT: Assumed = Assumed::Agreement {
    measured_on: "2026-11-25",
    single_dwellings: 16,
    mean_above_percent: 14.1,
    mean_off_percent: 16.2,
    most_off_percent: 36.0,
    single_within: 11,
    stock_averages: 9,
    stock_mean_above_percent: 161.3,
    stock_within: 0,
};

fn assumed(spread: f64) -> KnownBy {
    KnownBy { known: Known::Assumed, spread: Some(round_significant(spread, 3)) }
}

/// The basis of the job.
#[must_use]
pub fn basis(job: &Job, proportions: &Proportions, constructions: &[Chosen], defaults: &Defaults) -> Basis {
    let mut basis: Vec<(String, KnownBy)> =
        constructions.iter().map(|chosen| (format!("/constructions/{}", chosen.id), assumed(chosen.spread))).collect();
    basis.push((AIR.to_owned(), assumed(What::Air.spread(Known::Assumed, defaults))));
    let least = What::Area(Index::new(0)).spread(Known::Assumed, defaults);
    basis.push(("/rooms".to_owned(), assumed(least)));
    for (room_id, room) in &job.rooms {
        for (id, surface) in &room.surfaces {
            let spread = area(surface, proportions).map_or(least, |mean| mean.spread);
            if spread > least {
                basis.push((format!("/rooms/{room_id}/surfaces/{id}"), assumed(spread)));
            }
        }
    }
    basis.into_iter().collect()
}

/// The proportion that the area of a surface follows from, if it follows from one.
fn area<'p>(surface: &Surface, proportions: &'p Proportions) -> Option<&'p Mean> {
    match (surface.part, surface.faces.as_ref()) {
        (Part::Wall, Some(Faces::Outside {})) => Some(&proportions.wall),
        (Part::Floor, Some(Faces::Ground {})) => Some(&proportions.ground),
        (Part::Roof, Some(Faces::Outside {})) => Some(&proportions.roof),
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
        let at = format!("/rooms/{id}/emitters/radiator").into();
        notes.add(&Assumed::Emitter { at, room: id.clone() });
        if room.floor_area_m2 < defaults.outline_small_room_m2.value {
            notes.add(&Doubted::SmallRoom { room: id.clone(), floor_area_m2: room.floor_area_m2 });
        }
    }
    notes
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
