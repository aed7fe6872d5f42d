//! Heated floors as they are meant.

mod build;
mod laying;
mod limits;

pub use laying::Laying;
pub(super) use laying::hangs_at;

use super::assumed::{FilledFloor, Floors as Assumed};
use super::{Gathering, perimeter_m};
use crate::catalogue::binder::Binder;
use crate::catalogue::products::{BoardOutput, Product};
use crate::catalogue::room_use::RoomUse;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters as written;
use crate::job::heated_floors::{DesignOn, DropRule, FloorSystem as Written};
use crate::job::rooms::Room;
use crate::list::Index;
use crate::methods::en_1264_2::{Sheath, WIDEST_M};
use crate::notes::Filled;

/// A heated floor.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatedFloor {
    /// Where its pipes lie.
    pub system: FloorSystem,
    /// Its tube.
    pub tube: FloorTube,
    /// What binds the screed, where one is laid.
    pub binder: Binder,
    /// Conductivity of the screed (W/(mK)).
    pub screed_w_mk: f64,
    /// Cover above the pipe (m); nothing for boards without a screed.
    pub cover_m: f64,
    /// Resistance of the covering (m²K/W).
    pub covering_m2k_w: f64,
    /// Resistance of the worst covering that may come, if the job names one (m²K/W).
    pub worst_covering_m2k_w: Option<f64>,
    /// Spacings that may be laid (m), widest first.
    pub spacings_m: Vec<f64>,
    /// Heated area without the edge zone (m²).
    pub area_m2: f64,
    /// Highest surface temperature (°C).
    pub surface_limit_c: f64,
    /// Highest surface temperature under the worst covering, in the occupied and in the edge zone (°C).
    pub worst_limits_c: [f64; 2],
    /// Highest surface temperature under a covering that is not of timber, in the occupied and in the edge zone (°C).
    pub bare_limits_c: [f64; 2],
    /// The edge zone, if there is one.
    pub edge: Option<Edge>,
    /// How each circuit's drop follows from the flow.
    pub drop_rule: DropRule,
    /// What its output is designed on.
    pub design_on: DesignOn,
    /// Whether a room thermostat of its own shuts its loops.
    pub has_thermostat: bool,
    /// How its loops are laid.
    pub laying: Laying,
}

/// Where the pipes of a heated floor lie.
#[derive(Debug, Clone, PartialEq)]
pub enum FloorSystem {
    /// In the screed, so high above the insulation (m).
    InScreed(f64),
    /// In the insulation under conducting plates.
    UnderPlates(Plate),
    /// A plane section.
    PlaneSection,
    /// Boards with outputs of their own.
    TestedBoards {
        /// Index in the book.
        product: Index<Product>,
        /// Outputs by covering.
        outputs: Vec<BoardOutput>,
        /// Whether a screed is laid on them.
        with_screed: bool,
    },
}

/// A conducting plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Index in the book.
    pub product: Index<Product>,
    /// Thickness (m).
    pub thickness_m: f64,
    /// Conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Width (m).
    pub width_m: f64,
}

/// An edge zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Whether its spacing is the closest of the floor, as the job gives it none.
    pub is_closest: bool,
    /// Area (m²).
    pub area_m2: f64,
    /// Spacing (m).
    pub spacing_m: f64,
    /// Highest surface temperature (°C).
    pub surface_limit_c: f64,
}

/// A floor tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorTube {
    /// Index in the book.
    pub product: Index<Product>,
    /// Outside diameter (m).
    pub outside_m: f64,
    /// Wall (m).
    pub wall_m: f64,
    /// Conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Roughness (m).
    pub roughness_m: f64,
    /// Its sheath.
    pub sheath: Option<Sheath>,
}

impl FloorTube {
    /// Outside diameter with the sheath, if there is one (m).
    #[must_use]
    pub fn outermost_m(&self) -> f64 {
        self.sheath.map_or(self.outside_m, |sheath| sheath.outside_m)
    }
}

impl HeatedFloor {
    /// Heated area, edge zone among it (m²).
    #[must_use]
    pub fn whole_m2(&self) -> f64 {
        self.area_m2 + self.edge.map_or(0.0, |edge| edge.area_m2)
    }

    /// Whether conduction is asked for its design.
    #[must_use]
    pub fn goes_by_conduction(&self) -> bool {
        match self.design_on {
            DesignOn::Standard {} => false,
            DesignOn::Conduction {} | DesignOn::Lower {} => true,
        }
    }

    /// Thickness of the screed, with the pipe and what lies under it (m).
    #[must_use]
    pub fn screed_m(&self) -> f64 {
        match self.system {
            FloorSystem::InScreed(under_m) => under_m + self.tube.outermost_m() + self.cover_m,
            FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection | FloorSystem::TestedBoards { .. } => self.cover_m,
        }
    }

    /// Whether a screed is laid.
    #[must_use]
    pub fn has_screed(&self) -> bool {
        match &self.system {
            FloorSystem::TestedBoards { with_screed, .. } => *with_screed,
            FloorSystem::InScreed(_) | FloorSystem::UnderPlates(_) | FloorSystem::PlaneSection => true,
        }
    }

    /// What binds the screed that is laid; nothing where none is.
    #[must_use]
    pub fn laid_binder(&self) -> Option<Binder> {
        self.has_screed().then_some(self.binder)
    }

    /// Whether a layer must keep the screed off the boards: a liquid one attacks bare boards and foils.
    #[must_use]
    pub fn needs_separating_layer(&self) -> bool {
        match self.laid_binder() {
            Some(Binder::CalciumSulphate) => true,
            Some(Binder::Cement) | None => false,
        }
    }
}

impl Gathering<'_> {
    pub(super) fn heated_floor(
        &mut self,
        at: &str,
        id: &str,
        emitter: &written::Emitter,
        inside_c: f64,
    ) -> Option<HeatedFloor> {
        let written::Emitter::HeatedFloor {
            tube,
            system,
            pipe_height_mm,
            screed,
            covering,
            worst_covering,
            spacings_mm,
            edge_area_m2,
            edge_spacing_mm,
            drop_rule,
            design_on,
            room_thermostat,
            ..
        } = emitter
        else {
            return None;
        };
        let room = self.job.rooms.get(id)?;
        let mut filled = system_words(system.as_ref(), *pipe_height_mm);
        let tube = self.floor_tube(&format!("{at}/tube"), tube);
        let system = self.floor_system(at, system.as_ref(), *pipe_height_mm);
        let laying = self.laying(at, id, emitter, &mut filled);
        let (cover_m, screed_w_mk) = match (&system, &tube) {
            (Some(system), Some(tube)) => self.screed(at, screed.as_ref(), system, tube, &mut filled),
            (None, _) | (_, None) => (0.0, 1.0),
        };
        let limits = self.surface_limits(at, (room.room_use, inside_c), emitter, &mut filled);
        if covering.is_none() {
            filled.words("no covering on the screed");
        }
        let covering_m2k_w = covering.as_ref().map_or(0.0, limits::resistance_m2k_w);
        let worst_covering_m2k_w = worst_covering.as_ref().map(limits::resistance_m2k_w);
        if worst_covering_m2k_w.is_some_and(|worst_m2k_w| worst_m2k_w < covering_m2k_w) {
            let detail = "the worst covering has less resistance than the covering that the floor is designed for";
            let place = format!("{at}/worst_covering");
            let fault = Fault::new(&*place, FaultCode::WorstIsNotWorse, detail).limit(covering_m2k_w);
            self.faults.push(fault.rests_on(format!("{at}/covering")).rests_on(place));
        }
        let spacings_m = self.spacings(spacings_mm.iter().map(|spacing| spacing.0), system.as_ref(), &mut filled);
        let heated_m2 = self.heated_floor_m2(room);
        self.check_edge(at, room, *edge_area_m2);
        let closest_m = spacings_m.last().copied().unwrap_or_default();
        let edge = edge_area_m2.filter(|edge_m2| *edge_m2 > 0.0).map(|area_m2| Edge {
            is_closest: edge_spacing_mm.is_none(),
            area_m2: area_m2.min(heated_m2),
            spacing_m: edge_spacing_mm.as_ref().map_or(closest_m, |spacing| spacing.0 / 1000.0),
            surface_limit_c: limits.edge_c,
        });
        let binder = screed.as_ref().and_then(|screed| screed.binder);
        let design_on = self.design_on(at, design_on.as_ref(), system.as_ref(), &mut filled);
        if spacings_m.first().is_some_and(|widest_m| *widest_m > WIDEST_M) {
            filled.words("beyond 375 mm the limit goes towards 100 W/m² (EN 1264-2)");
        }
        if drop_rule.is_none() {
            filled.words("temperature drops of its loops by the logarithmic mean");
        }
        if !filled.is_empty() {
            self.notes.add(&Assumed::HeatedFloor { at: at.into(), filled });
        }
        Some(HeatedFloor {
            system: system?,
            tube: tube?,
            binder: binder.unwrap_or(self.catalogue.defaults.screed_binder.value),
            screed_w_mk,
            cover_m,
            covering_m2k_w,
            worst_covering_m2k_w,
            spacings_m,
            area_m2: heated_m2 - edge.map_or(0.0, |edge| edge.area_m2),
            surface_limit_c: limits.occupied_c,
            worst_limits_c: limits.worst_c,
            bare_limits_c: limits.bare_c,
            edge,
            drop_rule: drop_rule.unwrap_or(DropRule::Logarithm),
            design_on,
            has_thermostat: *room_thermostat == Some(true),
            laying: laying?,
        })
    }

    /// An edge zone is a strip along the walls, no wider than the standard has it.
    fn check_edge(&mut self, at: &str, room: &Room, edge_area_m2: Option<f64>) {
        let width_m = self.catalogue.defaults.edge_zone_max_m.value;
        let (strip_m2, heated_m2) = (perimeter_m(room) * width_m, self.heated_floor_m2(room));
        if let Some(edge_m2) =
            edge_area_m2.filter(|edge_m2| *edge_m2 > strip_m2 * (1.0 + 1e-9) && *edge_m2 <= heated_m2)
        {
            let detail = format!(
                "an edge zone of {edge_m2} m² is more than a strip of {width_m} m along all the walls, {strip_m2:.1} m²"
            );
            self.faults
                .push(Fault::new(format!("{at}/edge_area_m2"), FaultCode::EdgeZoneTooWide, detail).limit(strip_m2));
        }
    }

    /// What the floor is designed on; conduction is solved for pipes in the screed alone.
    fn design_on(
        &mut self,
        at: &str,
        written: Option<&DesignOn>,
        system: Option<&FloorSystem>,
        filled: &mut Filled<FilledFloor>,
    ) -> DesignOn {
        let in_screed = system.is_none_or(|system| matches!(system, FloorSystem::InScreed(_)));
        if let (Some(DesignOn::Conduction {}), false) = (written, in_screed) {
            let detail = "conduction is solved for pipes in the screed alone; design this floor on its standard";
            let fault = Fault::new(format!("{at}/design_on"), FaultCode::ConductionNotSolved, detail);
            self.faults.push(fault.rests_on(format!("{at}/system")));
        }
        if let (None | Some(DesignOn::Lower {}), false) = (written, in_screed) {
            filled.words("designed on its standard or test, conduction is solved for pipes in the screed alone");
        } else if written.is_none() {
            filled.words("designed on the lower of EN 1264-2 and conduction");
        }
        written.cloned().unwrap_or(DesignOn::Lower {})
    }

    /// Area of a room's floor under its heated floor (m²).
    pub(super) fn heated_floor_m2(&self, room: &Room) -> f64 {
        let of_kitchen = self.catalogue.defaults.kitchen_floor_unheated.value;
        let unheated = room.emitters.values().find_map(|emitter| match emitter {
            written::Emitter::HeatedFloor { unheated_area_m2, .. } => {
                Some(unheated_m2(room, *unheated_area_m2, of_kitchen))
            }
            written::Emitter::Radiator { .. } | written::Emitter::FanConvector { .. } => None,
        });
        unheated.map_or(0.0, |unheated_m2| room.floor_area_m2 - unheated_m2)
    }

    /// Notes the part of a kitchen's floor that is taken to lie under its furniture.
    pub(super) fn note_unheated_floor(&mut self, id: &str, room: &Room) {
        for (emitter_id, emitter) in &room.emitters {
            if let written::Emitter::HeatedFloor { unheated_area_m2: None, .. } = emitter {
                let kitchen = &self.catalogue.defaults.kitchen_floor_unheated;
                let unheated_m2 = unheated_m2(room, None, kitchen.value);
                if unheated_m2 <= 0.0 {
                    continue;
                }
                let at = format!("/rooms/{id}/emitters/{emitter_id}").into();
                let origin = kitchen.provenance.clone();
                self.notes.add(&Assumed::UnheatedFloor { at, unheated_m2, origin });
            }
        }
    }
}

/// What is taken for the kind of a floor, and what of it is from memory or not known.
fn system_words(written: Option<&Written>, pipe_height_mm: Option<f64>) -> Filled<FilledFloor> {
    let mut words = Filled::default();
    match written {
        None | Some(Written::InScreed {}) => {
            if written.is_none() {
                words.words("pipes in the screed");
            }
            if pipe_height_mm.is_none() {
                words.words("pipes on the insulation");
            }
        }
        Some(Written::UnderPlates { .. }) => {
            words.from_memory("ISO 11855-2");
            words.words(
            "the contact factor of ISO 11855-2 is from memory, confirm; type B has no limit curve here, and its mean surface is held alone",
        );
        }
        Some(Written::PlaneSection {}) => words.words(
            "type D has no limit curve here, and its mean surface is held alone; pipe and spacing tell its loops and nothing of its output, and the plane section itself is not in the bill",
        ),
        Some(Written::TestedBoards { .. }) => {
            words.words("heat downward by the slope of the boards' test, on the safe side");
        }
    }
    words
}

/// Area of a room's floor that its heated floor leaves out (m²): as the job gives it, or the share of a kitchen.
fn unheated_m2(room: &Room, given_m2: Option<f64>, of_kitchen: f64) -> f64 {
    let kitchen = matches!(room.room_use, RoomUse::Kitchen | RoomUse::LivingKitchen);
    given_m2.unwrap_or(if kitchen { of_kitchen * room.floor_area_m2 } else { 0.0 })
}
