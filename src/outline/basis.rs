//! How far an outline is known: a spread for each construction, for the air and for the areas, and the notes.

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
const AGREEMENT: &str = "measured on 25 November 2026 on dwellings of a typology, each left out of the means that describe it: the loss coefficient of an outline by kind, year and floor area alone lay 14.1 % above what is published of 16 single dwellings as built (16.2 % off either way, 36.0 % at most), and 11 of the 16 within the outline's 10 to 90 %; it lay 161.3 % above that of 9 averages over the stock as it stands, with what was improved since, and none of them within";

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
    notes.assume("agreement", "", AGREEMENT);
    if facts.construction_year < defaults.outline_improved_before_year.value && !facts.tells_of_improvements() {
        let detail = "the dwelling is outlined as it was built: most of its age were improved since, and lose far less; say what was done in improvements";
        notes.warn("as_built", "/constructions", detail);
    }
    if facts.bedrooms.is_none() {
        let bedrooms = facts.bedrooms(defaults);
        notes.assume("bedrooms", "/dwelling/bedrooms", format!("{bedrooms} bedrooms by the floor area"));
    }
    if facts.storeys.is_none() {
        let storeys = facts.storeys(defaults);
        notes.assume("storeys", "/rooms", format!("storeys by the kind of dwelling: {storeys}"));
    }
    for chosen in constructions {
        let detail = format!("{}; spread {:.2}", chosen.why, chosen.spread);
        notes.assume("construction", format!("/constructions/{}", chosen.id), detail);
    }
    let air = What::Air.spread(Known::Assumed, defaults);
    notes.assume(
        "tightness",
        AIR,
        format!("air changes by use of the rooms and year of construction; spread {air:.2}"),
    );
    let detail = format!("thermal bridges add {:.3} W/(m²K), as in the typology", proportions.bridging_w_m2k);
    notes.assume("thermal_bridging", "/dwelling/thermal_bridging", detail);
    proportions_noted(job, proportions, &mut notes);
    let depth_m = plan.depths_m.first().copied().unwrap_or(0.0);
    let detail = format!(
        "storeys are plain rectangles {:.1} m wide, the lowest {depth_m:.1} m deep, rooms {:.2} m high, cut into a front and a back row; walls look to no known direction; other areas have a spread of {:.2}",
        plan.width_m,
        plan.height_m,
        What::Area(Index::new(0)).spread(Known::Assumed, defaults)
    );
    notes.assume("plan", "/rooms", detail);
    for (id, room) in &job.rooms {
        notes.assume("emitter", format!("/rooms/{id}/emitters/radiator"), "one radiator that may be of any size");
        if room.floor_area_m2 < defaults.outline_small_room_m2.value {
            let detail = format!("{:.1} m² are little for a room: the dwelling may have fewer", room.floor_area_m2);
            notes.warn("small_room", format!("/rooms/{id}"), detail);
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
    let by = proportions.buildings.join(", ");
    for (code, area_m2, mean, what) in [
        ("outer_walls", sum(Part::Wall, &Faces::Outside {}), wall, "outer walls with their windows and doors"),
        ("windows", openings("window"), window, "windows"),
        ("doors", openings("door"), door_m2, "doors to outside"),
        ("ground", sum(Part::Floor, &Faces::Ground {}), ground, "floor on the ground"),
        ("roof", sum(Part::Roof, &Faces::Outside {}), roof, "roof"),
    ] {
        if area_m2 <= 0.0 {
            continue;
        }
        let detail =
            format!("{area_m2:.1} m² of {what}, as in the dwellings {by} of the typology; spread {:.2}", mean.spread);
        notes.assume(code, "/rooms", detail);
    }
}
