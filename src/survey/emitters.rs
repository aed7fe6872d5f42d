//! What heats the rooms.

use super::Gathering;
use crate::catalogue::products::Product;
use crate::catalogue::room_use::RoomUse;
use crate::intake::Fault;
use crate::job::emitters::{self as written, ExistingRadiator, Fit, Keep};
use crate::job::rooms::Room;

/// Spacings that may be laid where the job names none (mm).
const SPACINGS_MM: [f64; 5] = [100.0, 150.0, 200.0, 250.0, 300.0];
/// Surface limit of the occupied zone (°C), EN 1264-2.
const SURFACE_LIMIT_C: f64 = 29.0;
/// Surface limit of a bathroom above its own temperature (K), EN 1264-2.
const BATHROOM_LIMIT_K: f64 = 9.0;
/// Length of a tail where the job names none (m).
const TAIL_M: f64 = 3.0;
/// Longest loop where the job names none (m).
const LOOP_MAX_M: f64 = 100.0;
/// Greatest resistance of a covering that the tables of EN 1264-2 reach to (m²K/W).
const COVERING_MAX_M2K_W: f64 = 0.15;
/// Part of a kitchen's floor under units and furniture, where the job names none; common practice.
const KITCHEN_UNHEATED: f64 = 0.15;

/// An emitter of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitter {
    /// Share of the room's loss that it carries (0–1).
    pub share: f64,
    /// What it is.
    pub kind: EmitterKind,
}

impl Emitter {
    /// The heated floor, if it is one.
    #[must_use]
    pub fn floor(&self) -> Option<&HeatedFloor> {
        match &self.kind {
            EmitterKind::HeatedFloor(floor) => Some(floor),
            EmitterKind::Radiator { .. } => None,
        }
    }
}

/// What an emitter is.
#[derive(Debug, Clone, PartialEq)]
pub enum EmitterKind {
    /// A radiator.
    Radiator {
        /// Greatest height, length and depth (mm); infinite where nothing limits them.
        fit_mm: [f64; 3],
        /// The one that hangs there now.
        existing: Option<Existing>,
    },
    /// A heated floor.
    HeatedFloor(HeatedFloor),
}

/// A radiator that hangs there now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Existing {
    /// Index in the book, if the book describes it.
    pub product: Option<usize>,
    /// Rated output (W).
    pub output_w: f64,
    /// Exponent.
    pub exponent: f64,
    /// Water content (l).
    pub water_l: f64,
    /// When it stays.
    pub keep: Keep,
}

/// A heated floor.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatedFloor {
    /// Index of its manifold.
    pub manifold: usize,
    /// Its tube.
    pub tube: FloorTube,
    /// Conductivity of the screed (W/(mK)).
    pub screed_w_mk: f64,
    /// Cover above the pipe (m).
    pub cover_m: f64,
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Spacings that may be laid (m), widest first.
    pub spacings_m: Vec<f64>,
    /// Heated area (m²).
    pub area_m2: f64,
    /// Highest surface temperature (°C).
    pub surface_limit_c: f64,
    /// Length of a tail, one way (m).
    pub tail_m: f64,
    /// Longest loop, tails included (m).
    pub loop_max_m: f64,
}

/// A floor tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorTube {
    /// Index in the book.
    pub product: usize,
    /// Outside diameter (m).
    pub outside_m: f64,
    /// Wall (m).
    pub wall_m: f64,
    /// Conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Roughness (m).
    pub roughness_m: f64,
}

impl Gathering<'_> {
    pub(super) fn emitters(&mut self, id: &str, room: &Room, inside_c: f64) -> Vec<Emitter> {
        let shares = self.shares(id, room);
        let mut emitters = Vec::with_capacity(room.emitters.len());
        for ((emitter_id, emitter), share) in room.emitters.iter().zip(shares) {
            let at = format!("/rooms/{id}/emitters/{emitter_id}");
            let kind = match emitter {
                written::Emitter::Radiator { fit, existing, .. } => EmitterKind::Radiator {
                    fit_mm: fit.as_ref().map_or([f64::INFINITY; 3], fit_mm),
                    existing: existing.as_ref().and_then(|existing| self.existing(&at, existing)),
                },
                written::Emitter::HeatedFloor { .. } => match self.heated_floor(&at, room, emitter, inside_c) {
                    Some(floor) => EmitterKind::HeatedFloor(floor),
                    None => continue,
                },
            };
            emitters.push(Emitter { share, kind });
        }
        emitters
    }

    /// The share of each emitter: as the job says, and what is left in equal parts for the others.
    fn shares(&mut self, id: &str, room: &Room) -> Vec<f64> {
        let given: Vec<Option<f64>> = room.emitters.values().map(written::Emitter::share).collect();
        let taken: f64 = given.iter().flatten().sum();
        let silent = given.iter().filter(|share| share.is_none()).count();
        let whole = (taken - 1.0).abs() < 1e-9;
        if !given.is_empty() && (taken > 1.0 + 1e-9 || (silent == 0 && !whole)) {
            let at = format!("/rooms/{id}/emitters");
            let detail = format!("the emitters' shares of the room's loss add up to {taken}, not to 1");
            self.faults.push(Fault::new(at.clone(), "shares_do_not_add_up", detail).limit(1.0).rests_on(at));
        }
        let left = given.iter().filter(|share| share.is_none()).map(|_| 1.0).sum::<f64>();
        given.into_iter().map(|share| share.unwrap_or_else(|| (1.0 - taken).max(0.0) / left)).collect()
    }

    fn existing(&mut self, at: &str, existing: &ExistingRadiator) -> Option<Existing> {
        match existing {
            ExistingRadiator::Rated { output_w, exponent, water_l, keep } => Some(Existing {
                product: None,
                output_w: *output_w,
                exponent: *exponent,
                water_l: *water_l,
                keep: *keep,
            }),
            ExistingRadiator::Product { product, keep } => {
                let found = self.offer.radiators.iter().find(|radiator| self.is_product(radiator.product, product));
                match found {
                    Some(&super::offer::Radiator { product, output_w, exponent, water_l, .. }) => {
                        Some(Existing { product: Some(product), output_w, exponent, water_l, keep: *keep })
                    }
                    None => {
                        self.unknown_product(&format!("{at}/existing/product"), product, "radiator");
                        None
                    }
                }
            }
        }
    }

    pub(super) fn is_product(&self, index: usize, code: &str) -> bool {
        self.book.products.get_index(index).is_some_and(|(known, _)| known == code)
    }

    pub(super) fn unknown_product(&mut self, at: &str, code: &str, kind: &str) {
        let fault = Fault::new(at, "unknown_product", format!("the price book has no {kind} {code}"));
        self.faults.push(fault.rests_on(format!("/commercial/price_book/products/{code}")));
    }

    fn heated_floor(
        &mut self,
        at: &str,
        room: &Room,
        emitter: &written::Emitter,
        inside_c: f64,
    ) -> Option<HeatedFloor> {
        let written::Emitter::HeatedFloor {
            manifold,
            tube,
            screed,
            covering,
            spacings_mm,
            edge_area_m2,
            surface_limit_c,
            tail_m,
            loop_max_m,
            ..
        } = emitter
        else {
            return None;
        };
        let manifold = self.manifold(&format!("{at}/manifold"), manifold);
        let tube = self.floor_tube(&format!("{at}/tube"), tube);
        if let Some(edge_m2) = edge_area_m2.filter(|edge_m2| *edge_m2 > 0.0) {
            let detail = format!("the edge zone of {edge_m2} m² is held to the surface limit of the rest");
            self.notes.assume("edge_zone", format!("{at}/edge_area_m2"), detail);
        }
        let mut filled = Vec::new();
        let mut or = |given: Option<f64>, default: f64, words: &str| {
            given.unwrap_or_else(|| {
                filled.push(words.to_owned());
                default
            })
        };
        let limit_c = default_surface_limit_c(room.room_use, inside_c);
        let surface_limit_c = or(*surface_limit_c, limit_c, &format!("surface at most {limit_c} °C (EN 1264-2)"));
        let tail_m = or(*tail_m, TAIL_M, &format!("tails of {TAIL_M} m"));
        let loop_max_m = or(*loop_max_m, LOOP_MAX_M, &format!("loops of at most {LOOP_MAX_M} m"));
        let covering_m2k_w = covering.as_ref().map(|layer| layer.thickness_mm / 1000.0 / layer.conductivity_w_mk);
        let covering_m2k_w = or(covering_m2k_w, 0.0, "no covering on the screed");
        let mut broken = Vec::new();
        if covering_m2k_w > COVERING_MAX_M2K_W {
            let detail =
                format!("this covering has {covering_m2k_w:.3} m²K/W; EN 1264-2 holds up to {COVERING_MAX_M2K_W}");
            let fault = Fault::new(format!("{at}/covering"), "covering_too_thick", detail);
            broken.push(fault.limit(COVERING_MAX_M2K_W));
        }
        if surface_limit_c <= inside_c {
            let detail =
                format!("a floor that may be {surface_limit_c} °C at most gives nothing to a room of {inside_c} °C");
            broken
                .push(Fault::new(format!("{at}/surface_limit_c"), "surface_limit_below_room", detail).limit(inside_c));
        }
        let mut spacings_m: Vec<f64> = spacings_mm.iter().map(|spacing| spacing.0 / 1000.0).collect();
        if spacings_m.is_empty() {
            filled.push("spacings of 100 to 300 mm in steps of 50".to_owned());
            spacings_m = SPACINGS_MM.iter().map(|spacing_mm| spacing_mm / 1000.0).collect();
        }
        spacings_m.sort_by(|a, b| b.total_cmp(a));
        self.faults.extend(broken);
        if !filled.is_empty() {
            self.notes.assume("heated_floor", at, filled.join("; "));
        }
        Some(HeatedFloor {
            manifold: manifold?,
            tube: tube?,
            screed_w_mk: screed.conductivity_w_mk,
            cover_m: screed.cover_mm / 1000.0,
            covering_m2k_w,
            spacings_m,
            area_m2: heated_floor_m2(room),
            surface_limit_c,
            tail_m,
            loop_max_m,
        })
    }

    pub(super) fn manifold(&mut self, at: &str, id: &str) -> Option<usize> {
        let found = self.job.pipework.as_ref().and_then(|pipework| pipework.manifolds.get_index_of(id));
        if found.is_none() {
            let fault = Fault::new(at, "unknown_manifold", format!("there is no manifold {id} in the pipework"));
            self.faults.push(fault.rests_on(format!("/pipework/manifolds/{id}")));
        }
        found
    }

    fn floor_tube(&mut self, at: &str, code: &str) -> Option<FloorTube> {
        match self.book.products.get_full(code) {
            Some((
                product,
                _,
                Product::FloorTube { outside_diameter_mm, wall_mm, conductivity_w_mk, roughness_mm, .. },
            )) => Some(FloorTube {
                product,
                outside_m: outside_diameter_mm / 1000.0,
                wall_m: wall_mm / 1000.0,
                conductivity_w_mk: *conductivity_w_mk,
                roughness_m: roughness_mm / 1000.0,
            }),
            Some(_) | None => {
                self.unknown_product(at, code, "floor tube");
                None
            }
        }
    }

    /// Notes the part of a kitchen's floor that is taken to lie under its furniture.
    pub(super) fn note_unheated_floor(&mut self, id: &str, room: &Room) {
        for (emitter_id, emitter) in &room.emitters {
            if let written::Emitter::HeatedFloor { unheated_area_m2: None, .. } = emitter {
                let unheated_m2 = unheated_m2(room, None);
                let detail = format!(
                    "{unheated_m2:.2} m² of the floor lie under furniture and are not heated (common practice)"
                );
                self.notes.assume("unheated_floor", format!("/rooms/{id}/emitters/{emitter_id}"), detail);
            }
        }
    }
}

fn fit_mm(fit: &Fit) -> [f64; 3] {
    [fit.height_max_mm, fit.length_max_mm, fit.depth_max_mm].map(|limit| limit.unwrap_or(f64::INFINITY))
}

/// Bathrooms may be 9 K warmer than their air, other rooms 29 °C.
fn default_surface_limit_c(room_use: RoomUse, inside_c: f64) -> f64 {
    if matches!(room_use, RoomUse::Bathroom | RoomUse::ShowerRoom) {
        inside_c + BATHROOM_LIMIT_K
    } else {
        SURFACE_LIMIT_C
    }
}

fn unheated_m2(room: &Room, given_m2: Option<f64>) -> f64 {
    let kitchen = matches!(room.room_use, RoomUse::Kitchen | RoomUse::LivingKitchen);
    given_m2.unwrap_or(if kitchen { KITCHEN_UNHEATED * room.floor_area_m2 } else { 0.0 })
}

/// Area of a room's floor under its heated floor (m²).
pub(super) fn heated_floor_m2(room: &Room) -> f64 {
    let unheated = room.emitters.values().find_map(|emitter| match emitter {
        written::Emitter::HeatedFloor { unheated_area_m2, .. } => Some(unheated_m2(room, *unheated_area_m2)),
        written::Emitter::Radiator { .. } => None,
    });
    unheated.map_or(0.0, |unheated_m2| room.floor_area_m2 - unheated_m2)
}
