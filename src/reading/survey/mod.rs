//! The job as meant: ids have become indices, defaults are filled and named, and what the whole document must
//! agree on has been checked. Made once by `resolve`; stages then compute from it as often as wanted.

mod air;
mod as_found;
mod assumed;
mod bridging;
mod certainty;
mod climate;
mod commercial;
mod constructions;
mod cooling;
mod doubted;
mod emitters;
mod exposure;
mod fabric;
mod grant;
mod heated_floors;
mod heating;
mod lived_in;
mod neighbours;
mod partitions;
mod pipes;
mod places;
mod plant;
mod plausible;
mod price_book;
mod room;
mod serves;
mod spaces;
mod storeys;
mod uses;

pub use air::{Air, Exposure, Infiltration, Leakage, RoomAir, RoomAirKind};
pub use as_found::{AsFound, Fuel};
pub use assumed::registered;
pub use bridging::Bridging;
pub use certainty::{AreaSource, Input, Unsure, What};
pub use climate::{Climate, OutsideDesign};
pub use commercial::{Commercial, FLOOR_BUILD, FLOOR_INSULATION, HEATING, Payment};
pub use constructions::{
    Bridge, Construction, Corrections, Far, Fixings, Layer, LayerKind, Layered, Measures, Use, Window,
};
pub use cooling::Cooling;
pub use emitters::{Blowing, Emitter, EmitterKind, Existing, Factors, Hanging, Share};
pub use fabric::{Element, ElementName, Faces, Underside};
pub use grant::{GrantCondition, GrantDoubt, GrantTerm};
pub use heated_floors::{Edge, FloorSystem, FloorTube, HeatedFloor, Laying, Plate};
pub use heating::{Flow, FlowRule, Heating};
pub use lived_in::HeatedBy;
pub use pipes::{End, HotWaterRun, Joists, Lagging, Laid, Loss, Lying, Pipes, PlantKv, Primary, Rule, Run, Sizing};
pub use places::{EmitterAt, Names};
pub use plant::{HotWater, Plant, curve, grid};
pub use room::Room;
pub use spaces::{SpaceElement, SpaceSide, UnheatedSpace};

use crate::catalogue::provenance::Provenance;
use assumed::Fabric as Assumed;
use std::sync::Arc;
use storeys::Storeys;

use crate::catalogue::{Catalogue, Defaults, Offer, PriceBook};
use crate::intake::{ById, Fault, FaultCode};
use crate::job::Job;
use crate::job::constructions::Construction as Written;
use crate::job::dwelling::Adjoining;
use crate::job::pipework::Manifold;
use crate::list::List;
use crate::methods::en_12831;
use crate::methods::math::sqrt;
use crate::notes::{Notes, Stage};

/// A job in which nothing is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Outside temperatures.
    pub climate: Climate,
    /// Heat that a cubic metre of air carries per kelvin (Wh/(m³K)).
    pub air_heat_wh_m3k: f64,
    /// Temperature rule for adjoining dwellings.
    pub adjoining: Adjoining,
    /// How air is changed.
    pub air: Air,
    /// Whether figures come from the government's assessment procedure and its tables.
    pub by_government_tables: bool,
    /// Thermal bridges of the dwelling as a whole.
    pub bridging: Bridging,
    /// Constructions.
    pub constructions: List<Construction>,
    /// The ways in which they are used, by construction: each has a U-value of its own.
    pub uses: List<Use>,
    /// Correction for ground water.
    pub ground_water: f64,
    /// Unheated spaces.
    pub spaces: List<UnheatedSpace>,
    /// What is not sure, where the job asks for that.
    pub unsure: Option<Unsure>,
    /// The dwelling as it is found.
    pub as_found: AsFound,
    /// Rooms.
    pub rooms: List<Room>,
    /// Flow temperature and drop.
    pub heating: Heating,
    /// Cooling through the heated floors, where the job asks for it.
    pub cooling: Option<Cooling>,
    /// Pipe runs.
    pub pipes: Pipes,
    /// Heat source, cylinder, vessel and hot water.
    pub plant: Plant,
    /// The firm's side; nothing where the job gives no date to quote at.
    pub commercial: Option<Commercial>,
    /// Prices, products, labour norms and rules: the one that the catalogue holds, or the job's own.
    pub book: Arc<PriceBook>,
    /// What stands in for what a job leaves out, and the figures of the trade that stages go by.
    pub defaults: Arc<Defaults>,
    /// What the book offers, by kind.
    pub offer: Arc<Offer>,
    /// What things are called in the job, in the order of the indices.
    pub names: Names,
}

/// The ids of a map, in its order.
fn names_of<T, const MIN: usize, const MAX: usize>(entries: &ById<T, MIN, MAX>) -> Vec<String> {
    entries.keys().cloned().collect()
}

/// What is gathered while a job is resolved.
struct Gathering<'g> {
    job: &'g Job,
    catalogue: &'g Catalogue,
    notes: &'g mut Notes,
    faults: Vec<Fault>,
    book: Arc<PriceBook>,
    offer: Arc<Offer>,
    /// Loops that are taken to hang on each manifold, as many as they can come to.
    loops_on: List<Manifold, u32>,
    /// Heights of the storeys.
    storeys: Storeys,
}

/// Resolves a job: ids to indices, defaults filled and noted, agreement across the document checked.
///
/// # Errors
/// Every fault that keeps the job from being computed.
pub fn resolve(job: &Job, catalogue: &Catalogue, notes: &mut Notes) -> Result<Survey, Vec<Fault>> {
    let (book, offer) = (catalogue.price_book.clone(), catalogue.offer.clone());
    let mut gathering = Gathering {
        job,
        catalogue,
        notes,
        faults: Vec::new(),
        book,
        offer,
        loops_on: List::default(),
        storeys: Storeys::from_rooms(job, &catalogue.defaults),
    };
    gathering.notes.enter(Stage::Emitters);
    (gathering.book, gathering.offer) = gathering.price_book();
    let survey = gathering.survey();
    if gathering.faults.is_empty() { Ok(survey) } else { Err(gathering.faults) }
}

impl Gathering<'_> {
    fn survey(&mut self) -> Survey {
        let job = self.job;
        self.notes.enter(Stage::HeatLoss);
        let climate = self.climate();
        let constructions = self.constructions();
        let inside_c: List<Room, f64> = job.rooms.iter().map(|(id, room)| self.inside_design(id, room)).collect();
        let adjoining = self.adjoining();
        let mut uses = uses::Uses {
            constructions: &constructions,
            found: List::default(),
            inside_c: &inside_c,
            adjoining: &adjoining,
            annual_mean_c: climate.annual_mean_c,
        };
        let mut fabric = self.fabric(&mut uses);
        let mut spaces = self.spaces(&mut uses);
        self.doubt_fabric(&constructions, &uses.found);
        let (uses, places) = uses.every_use();
        fabric.usages().chain(spaces::usages(&mut spaces)).for_each(|usage| *usage = places[*usage]);
        let fabric::Fabric { elements, names: element_names, undersides, surfaces, exposed_m2 } = fabric;
        let air = self.air();
        let bridging = self.bridging(&exposed_m2);
        let unsure = self.unsure(&surfaces, air);
        let rooms = self.rooms(elements, (undersides, exposed_m2), &inside_c, &climate);
        self.note_adjoining(&rooms);
        let air_heat_wh_m3k = job.dwelling.air_heat_wh_m3k.unwrap_or_else(|| {
            let default = &self.catalogue.defaults.air_heat_wh_m3k;
            let (air_heat_wh_m3k, origin) = (default.value, default.provenance.clone());
            self.notes.add(&assumed::Air::Heat { air_heat_wh_m3k, origin });
            air_heat_wh_m3k
        });
        self.note_ground_and_height(&rooms);
        self.notes.enter(Stage::Emitters);
        let heating = self.heating();
        let cooling = self.cooling(&rooms);
        self.check_manifold_rooms();
        self.check_insulation(&rooms, &constructions);
        self.notes.enter(Stage::Plant);
        let pipes = self.pipes(&rooms, &climate);
        let plant = self.plant();
        self.notes.enter(Stage::Estimate);
        let commercial = self.commercial(&rooms, &constructions);
        let manifolds = job.pipework.as_ref().map(|pipework| names_of(&pipework.manifolds).into()).unwrap_or_default();
        let names = Names {
            constructions: names_of(&job.constructions).into(),
            rooms: names_of(&job.rooms).into(),
            elements: element_names,
            emitters: job.rooms.values().map(|room| names_of(&room.emitters).into()).collect(),
            manifolds,
            spaces: names_of(&job.unheated_spaces).into(),
        };
        let as_found = self.as_found();
        let (book, offer) = (self.book.clone(), self.offer.clone());
        Survey {
            climate,
            air_heat_wh_m3k,
            adjoining,
            air,
            by_government_tables: by_government_tables(job, &rooms),
            bridging,
            constructions,
            uses,
            ground_water: if job.dwelling.ground_water_near == Some(true) {
                en_12831::GROUND_WATER_NEAR
            } else {
                en_12831::GROUND_WATER_DEEP
            },
            spaces,
            unsure,
            as_found,
            rooms,
            heating,
            cooling,
            pipes,
            plant,
            commercial,
            book,
            defaults: self.catalogue.defaults.clone(),
            offer,
            names,
        }
    }

    fn rooms(
        &mut self,
        elements: List<Room, Vec<Element>>,
        (undersides, exposed_m2): (Vec<Vec<Underside>>, Vec<f64>),
        inside_c: &List<Room, f64>,
        climate: &Climate,
    ) -> List<Room> {
        let job = self.job;
        job.rooms
            .iter()
            .zip(elements.into_iter().zip(undersides).zip(exposed_m2).zip(inside_c))
            .map(|((id, room), (((elements, undersides), exposed_m2), &inside_c))| {
                if inside_c <= climate.outside_design_c() {
                    let by_use = room.inside_design_c.is_none().then(|| format!("/rooms/{id}/use"));
                    let at = match by_use {
                        None => format!("/rooms/{id}/inside_design_c"),
                        Some(_) => format!("/rooms/{id}"),
                    };
                    let outside_c = climate.outside_design_c();
                    let detail =
                        format!("the room is designed for {inside_c} °C, no warmer than outside at {outside_c:.2} °C");
                    let fault = Fault::new(at, FaultCode::RoomNotWarmerThanOutside, detail).limit(outside_c);
                    self.faults.push(by_use.into_iter().fold(fault, Fault::rests_on));
                }
                self.note_unheated_floor(id, room);
                let before = self.notes.enter(Stage::Emitters);
                let (perimeter_m, emitters) = (self.perimeter(id, room), self.emitters(id, room, inside_c).into());
                self.notes.enter(before);
                Room {
                    floor_area_m2: room.floor_area_m2,
                    height_m: room.height_m,
                    perimeter_m,
                    inside_c,
                    room_use: room.room_use,
                    sets_flow: !room.room_use.is_bathroom(),
                    elements,
                    heated_floor_m2: self.heated_floor_m2(room),
                    undersides,
                    exposed_m2,
                    by_convection: by_convection(&emitters),
                    removed_radiators: room.removed_radiators.unwrap_or(0),
                    emitters,
                    heated_from: self.heated_from(id, room),
                    bridging: room.thermal_bridging.as_ref().map(Bridging::from_job),
                    air: self.room_air(id, room),
                    reheat_w_m2: self.reheat(id, room),
                }
            })
            .collect()
    }

    /// Extra output after a setback, by floor area (W/m²).
    fn reheat(&mut self, id: &str, room: &crate::job::rooms::Room) -> f64 {
        let Some(reheat) = &room.reheat else { return 0.0 };
        // the schema bounds both
        let reheat_w_m2 = en_12831::reheat_factor(reheat.within_h, reheat.drop_k).unwrap_or(0.0);
        let origin = Provenance::from_memory("EN 12831:2003");
        self.notes.add(&Assumed::Reheat { room: id.to_owned(), reheat_w_m2, origin });
        reheat_w_m2
    }

    fn inside_design(&mut self, id: &str, room: &crate::job::rooms::Room) -> f64 {
        room.inside_design_c.unwrap_or_else(|| {
            let row = self.catalogue.room_use(room.room_use);
            let inside_design_c = row.inside_design_c;
            let origin = Provenance { source: row.source.clone(), confidence: row.confidence };
            self.notes.add(&Assumed::InsideDesign { room: id.to_owned(), inside_design_c, origin });
            inside_design_c
        })
    }

    /// What is taken for ground water, and for what rooms lose by their height.
    fn note_ground_and_height(&mut self, rooms: &List<Room>) {
        let faces = |room: &Room| -> bool {
            let beneath = room.undersides.iter().any(|underside| underside.faces == Faces::Ground);
            beneath || room.elements.iter().any(|element| element.faces == Faces::Ground)
        };
        let on_ground = rooms.iter().any(faces);
        if on_ground && self.job.dwelling.ground_water_near.is_none() {
            self.notes.add(&Assumed::GroundWater {});
        }
        let factor = |room: &Room| en_12831::height_factor(room.height_m, room.by_convection);
        if let Some((id, room)) = self.job.rooms.keys().zip(rooms).find(|(_, room)| factor(room) > 1.0) {
            self.notes.add(&Assumed::HighRoom {
                room: id.clone(),
                above_m: en_12831::HIGH_ROOM_M,
                more_percent: 100.0 * (factor(room) - 1.0),
                origin: Provenance::from_memory("EN 12831:2003"),
            });
        }
    }

    /// The perimeter of a floor, that of a square where the job gives none.
    fn perimeter(&mut self, id: &str, room: &crate::job::rooms::Room) -> f64 {
        let perimeter_m = perimeter_m(room);
        if room.perimeter_m.is_none() && self.heated_floor_m2(room) > 0.0 {
            self.notes.add(&Assumed::Perimeter { room: id.to_owned(), perimeter_m });
        }
        perimeter_m
    }
}

/// Perimeter of a floor (m), that of a square where the job gives none.
fn perimeter_m(room: &crate::job::rooms::Room) -> f64 {
    room.perimeter_m.unwrap_or_else(|| 4.0 * sqrt(room.floor_area_m2))
}

/// Share of a room's loss that its emitters give by natural convection: radiators do, floors do not. Where it is found how
/// they share it, the most that it can come to, which is on the safe side.
#[must_use]
pub fn by_convection(emitters: &List<Emitter>) -> f64 {
    let floors = || emitters.iter().filter(|emitter| emitter.floor().is_some());
    let by_floors: f64 = floors().filter_map(|emitter| emitter.share.given()).sum();
    let all_floors = floors().count() == emitters.len() && !emitters.is_empty();
    if all_floors { 0.0 } else { (1.0 - by_floors).clamp(0.0, 1.0) }
}

/// Whether typical U-values, suspended floors with their usual wind, or chimneys and flues are among the job.
fn by_government_tables(job: &Job, rooms: &List<Room>) -> bool {
    let by_tables =
        |construction: &Written| matches!(construction, Written::Typical { .. } | Written::SuspendedFloor { .. });
    rooms.iter().any(|room| room.air.flues_m3_h > 0.0) || job.constructions.values().any(by_tables)
}
