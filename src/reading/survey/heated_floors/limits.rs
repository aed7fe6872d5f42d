//! What holds a heated floor: its surface, its covering and the insulation under it.

use crate::catalogue::Defaults;
use crate::catalogue::room_use::RoomUse;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters as written;
use crate::job::heated_floors::{Covering, CoveringMaterial};
use crate::list::List;
use crate::methods::en_1264_4::{Below, least_insulation_m2k_w};
use crate::methods::{Off, iso_6946};
use crate::notes::Filled;
use crate::survey::assumed::FilledFloor;
use crate::survey::doubted::Doubted;
use crate::survey::{Construction, Faces, Gathering};

/// The surface limits of a heated floor (°C).
#[expect(clippy::struct_field_names, reason = "the unit is in the name of every figure")]
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limits {
    /// In the occupied zone.
    pub occupied_c: f64,
    /// In the edge zone.
    pub edge_c: f64,
    /// In both under the worst covering.
    pub worst_c: [f64; 2],
    /// In both under a covering that is not of timber.
    pub bare_c: [f64; 2],
}

/// Resistance of a covering (m²K/W).
pub(super) fn resistance_m2k_w(covering: &Covering) -> f64 {
    let thickness_m = covering.thickness_mm / 1000.0;
    iso_6946::layer_resistance(thickness_m, covering.conductivity_w_mk, &mut Off).unwrap_or(f64::INFINITY)
}

/// The limit that holds under a covering (°C), and what says so: timber and what is made of it bear less.
fn held_by(covering: Option<&Covering>, limit_c: f64, defaults: &Defaults) -> (f64, String) {
    let material = covering.and_then(|covering| covering.material);
    let timber = &defaults.timber_surface_max_c;
    match material {
        Some(CoveringMaterial::Timber | CoveringMaterial::Laminate) if limit_c > timber.value => {
            (timber.value, format!("timber, {}", timber.told()))
        }
        Some(
            CoveringMaterial::Timber
            | CoveringMaterial::Laminate
            | CoveringMaterial::Tile
            | CoveringMaterial::Stone
            | CoveringMaterial::Vinyl
            | CoveringMaterial::Linoleum
            | CoveringMaterial::Carpet,
        )
        | None => (limit_c, defaults.floor_surface_max_c.told()),
    }
}

impl Gathering<'_> {
    /// The surface limits: as the job gives them, by the standard, or by what timber bears.
    pub(super) fn surface_limits(
        &mut self,
        at: &str,
        (room_use, inside_c): (RoomUse, f64),
        emitter: &written::Emitter,
        filled: &mut Filled<FilledFloor>,
    ) -> Limits {
        let defaults = &self.catalogue.defaults;
        let held_by = |covering: Option<&Covering>, limit_c| held_by(covering, limit_c, defaults);
        let whole_c = if room_use.is_bathroom() {
            inside_c + defaults.bathroom_surface_above_room_k.value
        } else {
            defaults.floor_surface_max_c.value
        };
        let whole_edge_c = defaults.edge_surface_max_c.value;
        let written::Emitter::HeatedFloor {
            covering,
            worst_covering,
            surface_limit_c,
            edge_surface_limit_c,
            edge_area_m2,
            ..
        } = emitter
        else {
            return Limits {
                occupied_c: whole_c,
                edge_c: whole_edge_c,
                worst_c: [whole_c, whole_edge_c],
                bare_c: [whole_c, whole_edge_c],
            };
        };
        let occupied_c = surface_limit_c.unwrap_or_else(|| {
            let (limit_c, why) = held_by(covering.as_ref(), whole_c);
            filled.figure("surface_limit_c", limit_c, format!("surface at most {limit_c} °C ({why})"));
            limit_c
        });
        let edge_c = edge_surface_limit_c.unwrap_or_else(|| {
            let (limit_c, why) = held_by(covering.as_ref(), whole_edge_c);
            if edge_area_m2.is_some_and(|edge_m2| edge_m2 > 0.0) {
                let words = format!("surface of the edge zone at most {limit_c} °C ({why})");
                filled.figure("edge_surface_limit_c", limit_c, words);
            }
            limit_c
        });
        let given = [surface_limit_c.unwrap_or(whole_c), edge_surface_limit_c.unwrap_or(whole_edge_c)];
        let worst_c = given.map(|limit_c| held_by(worst_covering.as_ref(), limit_c).0);
        let warmest = [*surface_limit_c, *edge_surface_limit_c].into_iter().flatten().fold(0.0, f64::max);
        if held_by(covering.as_ref(), warmest).0 < warmest {
            self.notes.add(&Doubted::TimberAboveItsLimit {
                at: at.into(),
                surface_c: warmest,
                bears_c: defaults.timber_surface_max_c.value,
                origin: defaults.timber_surface_max_c.provenance.clone(),
            });
        }
        let limits = [
            (occupied_c, "surface_limit_c", surface_limit_c.is_some()),
            (edge_c, "edge_surface_limit_c", edge_surface_limit_c.is_some()),
        ];
        for (limit_c, member, given) in limits.into_iter().filter(|(limit_c, ..)| *limit_c <= inside_c) {
            let detail = format!("a floor that may be {limit_c} °C at most gives nothing to a room of {inside_c} °C");
            let at = if given { format!("{at}/{member}") } else { at.to_owned() };
            self.faults.push(Fault::new(at, FaultCode::SurfaceLimitBelowRoom, detail).limit(inside_c));
        }
        Limits { occupied_c, edge_c, worst_c, bare_c: given }
    }

    /// A heated floor over outside air has insulation under it: less than the least that EN 1264-4 knows of for any
    /// floor is none. What the standard asks for beyond that is a warning of the design.
    pub(in crate::survey) fn check_insulation(
        &mut self,
        rooms: &List<crate::survey::Room>,
        constructions: &List<Construction>,
    ) {
        let least_m2k_w = least_insulation_m2k_w(Below::HeatedRoom);
        for ((id, written), room) in self.job.rooms.iter().zip(rooms) {
            let Some((emitter_id, _)) =
                written.emitters.iter().find(|(_, emitter)| matches!(emitter, written::Emitter::HeatedFloor { .. }))
            else {
                continue;
            };
            for underside in room.undersides.iter().filter(|underside| underside.faces == Faces::Outside) {
                let layers_m2k_w = constructions[underside.construction].layers_m2k_w();
                if let Some(layers_m2k_w) = layers_m2k_w.filter(|layers_m2k_w| *layers_m2k_w < least_m2k_w) {
                    let detail = format!(
                        "the underfloor heating lies over outside air, and what is under it has {layers_m2k_w:.2} m²K/W: its insulation is missing"
                    );
                    let fault =
                        Fault::new(format!("/rooms/{id}/emitters/{emitter_id}"), FaultCode::InsulationMissing, detail);
                    let below = self.job.constructions.get_index(underside.construction.number());
                    let below = below.map_or_else(String::new, |(id, _)| format!("/constructions/{id}"));
                    self.faults.push(fault.limit(least_m2k_w).rests_on(below));
                }
            }
        }
    }
}
