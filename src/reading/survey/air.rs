//! How air is changed, in the dwelling and in each room.

use super::Gathering;
use super::assumed::Air as Assumed;
use super::doubted::Doubted;
use crate::catalogue::provenance::Provenance;
use crate::catalogue::room_use::{RoomUse, TightnessClass};
use crate::intake::{Fault, FaultCode};
use crate::job::dwelling::{Leakage as WrittenLeakage, Ventilation};
use crate::job::rooms::{Faces as WrittenFaces, Room};
use crate::list::Index;
use crate::survey;

/// How air is changed in the dwelling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Air {
    /// Prescribed air changes per room.
    AirChanges,
    /// Leakage by wind and weather.
    Natural(Leakage),
    /// Mechanical supply and extract, with infiltration beside it.
    Mechanical {
        /// Share of the extract air's heat that the supply air gets (0–1).
        heat_recovery_efficiency: f64,
        /// Leakage that infiltration follows from, where it is not prescribed.
        leakage: Option<Leakage>,
    },
}

impl Air {
    /// The leakage, where air flows by it.
    #[must_use]
    pub fn leakage(self) -> Option<Leakage> {
        match self {
            Self::AirChanges => None,
            Self::Natural(leakage) => Some(leakage),
            Self::Mechanical { leakage, .. } => leakage,
        }
    }
}

/// Leakage of the envelope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leakage {
    /// Air permeability at 50 Pa (m³/(h·m²)).
    pub q50_m3_h_m2: f64,
    /// Envelope area that it is related to (m²).
    pub envelope_m2: f64,
}

/// The air of one room.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomAir {
    /// How it is changed.
    pub kind: RoomAirKind,
    /// Air drawn through chimneys and flues (m³/h).
    pub flues_m3_h: f64,
}

/// How the air of one room is changed.
#[derive(Debug, Clone, PartialEq)]
pub enum RoomAirKind {
    /// Air changes (1/h).
    AirChanges(f64),
    /// By leakage, and no less than hygiene asks for.
    Natural {
        /// How the room stands to wind and height.
        exposure: Exposure,
        /// Least air changes (1/h).
        least_per_h: f64,
    },
    /// Mechanical flows (m³/h) and infiltration.
    Mechanical {
        /// Fresh air blown in (m³/h).
        supply_m3_h: f64,
        /// Used air drawn off (m³/h).
        extract_m3_h: f64,
        /// Infiltration.
        infiltration: Infiltration,
        /// Air from other rooms: index of the room, flow (m³/h).
        transfers: Vec<(Index<survey::Room>, f64)>,
    },
}

/// How a room stands to wind and height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// Shielding coefficient.
    pub e: f64,
    /// Height correction.
    pub epsilon: f64,
}

/// Infiltration of one room beside mechanical ventilation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Infiltration {
    /// As air changes (1/h).
    AirChanges(f64),
    /// As a flow (m³/h).
    Flow(f64),
    /// By leakage.
    Leakage(Exposure),
}

/// Where shielding coefficients come from.
const SHIELDING: &str = "EN 12831:2003, as an open Modelica library of building simulation carries the German edition";

impl Gathering<'_> {
    pub(super) fn air(&mut self) -> Air {
        match &self.job.dwelling.ventilation {
            Some(Ventilation::Mechanical { heat_recovery_efficiency, leakage, .. }) => {
                self.check_balance();
                self.check_transfers();
                let leakage = leakage.as_ref().map(|leakage| {
                    let WrittenLeakage { q50_m3_h_m2, envelope_area_m2, .. } = leakage;
                    self.leakage("/dwelling/ventilation/leakage", *q50_m3_h_m2, *envelope_area_m2)
                });
                Air::Mechanical { heat_recovery_efficiency: *heat_recovery_efficiency, leakage }
            }
            Some(Ventilation::AirPermeability { q50_m3_h_m2, envelope_area_m2, .. }) => {
                Air::Natural(self.leakage("/dwelling/ventilation", *q50_m3_h_m2, *envelope_area_m2))
            }
            Some(Ventilation::AirChanges { .. }) | None => Air::AirChanges,
        }
    }

    fn leakage(&mut self, at: &str, q50_m3_h_m2: f64, envelope_m2: Option<f64>) -> Leakage {
        let envelope_m2 = envelope_m2.unwrap_or_else(|| {
            let surfaces = self.job.rooms.values().flat_map(|room| room.surfaces.values());
            let bounds = surfaces.filter(|surface| !matches!(surface.faces, Some(WrittenFaces::Room { .. })));
            let sum_m2: f64 = bounds.map(|surface| surface.area_m2).sum();
            self.notes.add(&Assumed::EnvelopeArea { at: at.into(), envelope_area_m2: sum_m2 });
            if sum_m2 <= 0.0 {
                let detail = "the permeability is related to an envelope area, and no surface bounds the dwelling: give envelope_area_m2";
                let fault = self.rests_on_every_side(Fault::new(at, FaultCode::NoEnvelope, detail));
                self.faults.push(fault);
            }
            sum_m2
        });
        self.notes.add(&Assumed::Exposure { at: at.into(), origin: Provenance::published(SHIELDING) });
        Leakage { q50_m3_h_m2, envelope_m2 }
    }

    /// What is blown in and what is drawn off should be the same over the dwelling.
    fn check_balance(&mut self) {
        let sum = |flow: fn(&Room) -> Option<f64>| self.job.rooms.values().filter_map(flow).sum::<f64>() + 0.0;
        let (supply_m3_h, extract_m3_h) = (sum(|room| room.supply_m3_h), sum(|room| room.extract_m3_h));
        let defaults = &self.catalogue.defaults;
        let off_m3_h = (supply_m3_h - extract_m3_h).abs();
        if off_m3_h > defaults.ventilation_imbalance.value * supply_m3_h.max(extract_m3_h) {
            self.notes.add(&Doubted::VentilationUnbalanced { supply_m3_h, extract_m3_h });
        }
    }

    /// Where a room's extract air comes from, if neither its own supply nor a named transfer makes up for it.
    fn check_transfers(&mut self) {
        let named = self.job.rooms.values().any(|room| !room.transfer_from.is_empty());
        let mut overflows = false;
        let defaults = &self.catalogue.defaults;
        for (id, room) in &self.job.rooms {
            let taken_m3_h: f64 = room.transfer_from.values().map(|transfer| transfer.flow_m3_h).sum();
            let (extract_m3_h, blown_m3_h) = (room.extract_m3_h.unwrap_or(0.0), room.supply_m3_h.unwrap_or(0.0));
            let wanted_m3_h = extract_m3_h - blown_m3_h - taken_m3_h;
            overflows |= !named && wanted_m3_h > 0.0;
            if named && wanted_m3_h > defaults.ventilation_imbalance.value * extract_m3_h {
                self.notes.add(&Doubted::AirFromOutside { room: id.clone(), flow_m3_h: wanted_m3_h });
            }
        }
        if overflows {
            self.notes.add(&Assumed::Overflow {});
        }
    }

    pub(super) fn room_air(&mut self, id: &str, room: &Room) -> RoomAir {
        let kind = match &self.job.dwelling.ventilation {
            Some(Ventilation::Mechanical { infiltration_air_changes_per_h, leakage, .. }) => {
                self.unused(id, "air_changes_per_h", room.air_changes_per_h.is_some(), "mechanically");
                let infiltration = match (room.infiltration_m3_h, infiltration_air_changes_per_h, leakage) {
                    (Some(flow_m3_h), ..) => Infiltration::Flow(flow_m3_h),
                    (None, Some(air_changes_per_h), _) => Infiltration::AirChanges(*air_changes_per_h),
                    (None, None, Some(WrittenLeakage { shielding, height_m, .. })) => {
                        Infiltration::Leakage(self.exposure(room, *shielding, *height_m))
                    }
                    (None, None, None) => Infiltration::AirChanges(0.0),
                };
                RoomAirKind::Mechanical {
                    supply_m3_h: room.supply_m3_h.unwrap_or(0.0),
                    extract_m3_h: room.extract_m3_h.unwrap_or(0.0),
                    infiltration,
                    transfers: self.transfers(id, room),
                }
            }
            Some(Ventilation::AirPermeability { shielding, height_m, .. }) => {
                self.no_mechanics(id, room, "by leakage");
                let least_per_h = room.air_changes_per_h.unwrap_or_else(|| self.least_air_changes(id, room));
                RoomAirKind::Natural { exposure: self.exposure(room, *shielding, *height_m), least_per_h }
            }
            Some(Ventilation::AirChanges { .. }) | None => {
                self.no_mechanics(id, room, "by air changes");
                RoomAirKind::AirChanges(room.air_changes_per_h.unwrap_or_else(|| self.air_changes_by_use(id, room)))
            }
        };
        RoomAir { kind, flues_m3_h: self.flues(id, room) }
    }

    fn transfers(&mut self, id: &str, room: &Room) -> Vec<(Index<survey::Room>, f64)> {
        let mut transfers = Vec::new();
        for (from, transfer) in &room.transfer_from {
            let at = format!("/rooms/{id}/transfer_from/{from}");
            match self.room(from) {
                Some(_) if from == id => {
                    self.faults.push(Fault::new(
                        at,
                        FaultCode::FacesItself,
                        format!("room {id} takes no air from itself"),
                    ));
                }
                Some(index) => transfers.push((index, transfer.flow_m3_h)),
                None => self.unknown_room(at, from),
            }
        }
        transfers
    }

    fn flues(&mut self, id: &str, room: &Room) -> f64 {
        let Some(flues) = &room.flues else { return 0.0 };
        let (chimneys, open_flues) = (flues.chimneys.unwrap_or(0), flues.open_flues.unwrap_or(0));
        let defaults = &self.catalogue.defaults;
        let (chimney, open_flue) = (&defaults.chimney_m3_h, &defaults.open_flue_m3_h);
        let flow_m3_h = f64::from(chimneys) * chimney.value + f64::from(open_flues) * open_flue.value;
        if flow_m3_h > 0.0 {
            self.notes.add(&Assumed::Flues {
                room: id.to_owned(),
                flow_m3_h,
                chimney_m3_h: chimney.value,
                open_flue_m3_h: open_flue.value,
                origin: open_flue.provenance.clone(),
            });
        }
        flow_m3_h
    }

    fn no_mechanics(&mut self, id: &str, room: &Room, way: &'static str) {
        self.unused(id, "supply_m3_h", room.supply_m3_h.is_some(), way);
        self.unused(id, "extract_m3_h", room.extract_m3_h.is_some(), way);
        self.unused(id, "infiltration_m3_h", room.infiltration_m3_h.is_some(), way);
        self.unused(id, "transfer_from", !room.transfer_from.is_empty(), way);
    }

    fn unused(&mut self, id: &str, member: &'static str, given: bool, ventilated: &'static str) {
        if given {
            self.notes.add(&Doubted::AirNotCounted { room: id.to_owned(), member, ventilated });
        }
    }

    /// Least air changes by the use of a room. The German national table has less for wet rooms (1.0 in kitchens up to 20 m³, 0.5 in
    /// others, in bathrooms and elsewhere, by a trade encyclopaedia); the annex of the standard itself was not found, and the greater
    /// loss is the safe side of a heating that is sized by it.
    fn least_air_changes(&mut self, id: &str, room: &Room) -> f64 {
        let wet = [RoomUse::Kitchen, RoomUse::LivingKitchen, RoomUse::Bathroom, RoomUse::ShowerRoom];
        let defaults = &self.catalogue.defaults;
        let least = if wet.contains(&room.room_use) {
            &defaults.least_air_changes_wet_room_per_h
        } else {
            &defaults.least_air_changes_per_h
        };
        let least_per_h = least.value;
        let (room, origin) = (id.to_owned(), least.provenance.clone());
        self.notes.add(&Assumed::LeastChanges { room, air_changes_per_h: least_per_h, origin });
        least_per_h
    }

    fn air_changes_by_use(&mut self, id: &str, room: &Room) -> f64 {
        let class = self.tightness();
        let row = self.catalogue.room_use(room.room_use);
        let air_changes_per_h = row.air_changes_per_h(class);
        let origin = Provenance { source: row.source.clone(), confidence: row.confidence };
        self.notes.add(&Assumed::Changes { room: id.to_owned(), air_changes_per_h, origin });
        air_changes_per_h
    }

    /// The tightness class: as the job says, or by the year of construction, or the leakiest.
    fn tightness(&mut self) -> TightnessClass {
        if let Some(Ventilation::AirChanges { tightness: Some(class) }) = &self.job.dwelling.ventilation {
            return *class;
        }
        let year = self.job.dwelling.construction_year;
        let class = year
            .and_then(|year| i32::try_from(year).ok())
            .map_or(TightnessClass::Before2000, TightnessClass::of_construction_year);
        self.notes.add_once(&Assumed::Tightness { tightness: class, construction_year: year });
        class
    }
}
