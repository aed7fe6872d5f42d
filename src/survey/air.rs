//! How air is changed, in the dwelling and in each room.

use super::Gathering;
use crate::catalogue::room_use::TightnessClass;
use crate::job::dwelling::Ventilation;
use crate::job::rooms::Room;

/// How air is changed in the dwelling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Air {
    /// Prescribed air changes per room.
    AirChanges,
    /// Mechanical supply and extract, with infiltration beside it.
    Mechanical {
        /// Share of the extract air's heat that the supply air gets (0–1).
        heat_recovery_efficiency: f64,
    },
}

/// The air of one room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RoomAir {
    /// Air changes (1/h).
    AirChanges(f64),
    /// Mechanical flows (m³/h) and infiltration.
    Mechanical {
        /// Fresh air blown in (m³/h).
        supply_m3_h: f64,
        /// Used air drawn off (m³/h).
        extract_m3_h: f64,
        /// Infiltration.
        infiltration: Infiltration,
    },
}

/// Infiltration of one room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Infiltration {
    /// As air changes (1/h).
    AirChanges(f64),
    /// As a flow (m³/h).
    Flow(f64),
}

impl Gathering<'_> {
    pub(super) fn air(&mut self) -> Air {
        match &self.job.dwelling.ventilation {
            Some(Ventilation::Mechanical { heat_recovery_efficiency, .. }) => {
                self.check_balance();
                Air::Mechanical { heat_recovery_efficiency: *heat_recovery_efficiency }
            }
            Some(Ventilation::AirChanges { .. }) | None => Air::AirChanges,
        }
    }

    /// What is blown in and what is drawn off should be the same over the dwelling.
    fn check_balance(&mut self) {
        let sum = |flow: fn(&Room) -> Option<f64>| self.job.rooms.values().filter_map(flow).sum::<f64>();
        let (supply_m3_h, extract_m3_h) = (sum(|room| room.supply_m3_h), sum(|room| room.extract_m3_h));
        if (supply_m3_h - extract_m3_h).abs() > 0.05 * supply_m3_h.max(extract_m3_h) {
            let detail =
                format!("the rooms are supplied with {supply_m3_h:.0} m³/h and {extract_m3_h:.0} m³/h are extracted");
            self.notes.warn("ventilation_unbalanced", "/rooms", detail);
        }
    }

    pub(super) fn room_air(&mut self, id: &str, room: &Room, air: &Air) -> RoomAir {
        match (&self.job.dwelling.ventilation, air) {
            (Some(Ventilation::Mechanical { infiltration_air_changes_per_h, .. }), Air::Mechanical { .. }) => {
                let infiltration = room
                    .infiltration_m3_h
                    .map_or(Infiltration::AirChanges(*infiltration_air_changes_per_h), Infiltration::Flow);
                let (supply_m3_h, extract_m3_h) = (room.supply_m3_h.unwrap_or(0.0), room.extract_m3_h.unwrap_or(0.0));
                self.unused(id, "air_changes_per_h", room.air_changes_per_h, "mechanically");
                RoomAir::Mechanical { supply_m3_h, extract_m3_h, infiltration }
            }
            (Some(_) | None, _) => {
                self.unused(id, "supply_m3_h", room.supply_m3_h, "by air changes");
                self.unused(id, "extract_m3_h", room.extract_m3_h, "by air changes");
                self.unused(id, "infiltration_m3_h", room.infiltration_m3_h, "by air changes");
                RoomAir::AirChanges(room.air_changes_per_h.unwrap_or_else(|| self.air_changes_by_use(id, room)))
            }
        }
    }

    fn unused(&mut self, id: &str, field: &str, given: Option<f64>, way: &str) {
        if given.is_some() {
            let detail = format!("{field} counts for nothing: the dwelling is ventilated {way}");
            self.notes.warn("air_not_counted", format!("/rooms/{id}/{field}"), detail);
        }
    }

    fn air_changes_by_use(&mut self, id: &str, room: &Room) -> f64 {
        let class = self.tightness();
        let row = self.catalogue.room_use(room.room_use);
        let (rate, source) = row.map_or((1.5, ""), |row| (row.air_changes_per_h(class), row.source.as_str()));
        let detail = format!(
            "air changes of {rate} per hour by use of the room and tightness of the dwelling ({source}; from memory, confirm)"
        );
        self.notes.assume("air_changes", format!("/rooms/{id}"), detail);
        rate
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
        let already = self.notes.assumptions.iter().any(|note| note.code == "tightness");
        if !already {
            let why = year.map_or_else(
                || "the year of construction is not known".to_owned(),
                |year| format!("it was built in {year}"),
            );
            let detail = format!("tightness of the dwelling as of houses {}, because {why}", words(class));
            self.notes.assume("tightness", "/dwelling", detail);
        }
        class
    }
}

fn words(class: TightnessClass) -> &'static str {
    match class {
        TightnessClass::Before2000 => "built before 2000",
        TightnessClass::From2000 => "built from 2000 on",
        TightnessClass::From2006 => "built from 2006 on",
    }
}
