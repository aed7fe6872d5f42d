//! Cooling through the heated floors, as it is meant.

use super::assumed::Emitters as Assumed;
use super::places::EACH;
use super::{Gathering, Room};
use crate::catalogue::default_rows::DefaultRow;
use crate::intake::{Fault, FaultCode};
use crate::job::Job;
use crate::job::emitters::Emitter;
use crate::list::List;
use crate::notes::Filled;

/// Cooling through the heated floors.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// Flow temperature (°C).
    pub flow_c: f64,
    /// Rise between flow and return (K).
    pub rise_k: f64,
    /// Air temperature of the rooms (°C).
    pub inside_c: f64,
    /// Relative humidity of the rooms (0–1).
    pub relative_humidity: f64,
    /// Lowest surface temperature, besides the dew point (°C).
    pub surface_min_c: f64,
    /// How far the surface stays above the dew point (K).
    pub dew_point_margin_k: f64,
    /// Whether each room is cooled.
    pub rooms: List<Room, bool>,
}

impl Gathering<'_> {
    pub(super) fn cooling(&mut self, rooms: &List<Room>) -> Option<Cooling> {
        let job = self.job;
        let written = job.cooling.as_ref()?;
        let mut filled = Filled::default();
        let defaults = &self.catalogue.defaults;
        let mut or = |(name, given): (_, Option<f64>), default: &DefaultRow<f64>, words: fn(f64) -> String| {
            given.unwrap_or_else(|| {
                filled.figure(name, default.value, words(default.value));
                default.value
            })
        };
        let inside_c =
            or(("inside_c", written.inside_c), &defaults.cooling_inside_c, |c| format!("rooms at {c} °C in summer"));
        let humidity = ("relative_humidity", written.relative_humidity);
        let relative_humidity = or(humidity, &defaults.cooling_relative_humidity, |humidity| {
            format!("a relative humidity of {:.0} % in summer", 100.0 * humidity)
        });
        let surface_min_c = or(("surface_min_c", written.surface_min_c), &defaults.cooled_surface_min_c, |c| {
            format!("surfaces of cooled floors no colder than {c} °C")
        });
        let margin = ("dew_point_margin_k", written.dew_point_margin_k);
        let dew_point_margin_k = or(margin, &defaults.dew_point_margin_k, |k| format!("{k} K above the dew point"));
        if !filled.is_empty() {
            let origin = defaults.cooling_inside_c.provenance.clone();
            self.notes.add(&Assumed::Cooling { filled, origin });
        }
        let return_c = written.flow_temperature_c + written.rise_k;
        if return_c >= inside_c {
            let detail = format!("water that comes back at {return_c} °C does not cool rooms of {inside_c} °C");
            self.faults.push(Fault::new("/cooling", FaultCode::CoolingTooWarm, detail).limit(inside_c));
        }
        if surface_min_c >= inside_c {
            let at = if written.surface_min_c.is_some() { "/cooling/surface_min_c" } else { "/cooling" };
            let detail = format!("a surface of at least {surface_min_c} °C takes nothing from rooms of {inside_c} °C");
            self.faults.push(Fault::new(at, FaultCode::SurfaceLimitAboveRoom, detail).limit(inside_c));
        }
        let heated = |room: &Room| room.emitters.iter().any(|emitter| emitter.floor().is_some());
        let mut cooled: List<Room, bool> = rooms.iter().map(|room| written.rooms.is_empty() && heated(room)).collect();
        // a floor whose parts are at fault is one all the same
        let has_floor = |id: &str| {
            let emitters = job.rooms.get(id).map(|room| room.emitters.values());
            emitters.into_iter().flatten().any(|emitter| matches!(emitter, Emitter::HeatedFloor { .. }))
        };
        if written.rooms.is_empty() && !job.rooms.keys().any(|id| has_floor(id)) {
            let fault =
                Fault::new("/cooling", FaultCode::NoFloorToCool, "no room has underfloor heating that could cool it");
            self.faults.push(job.rooms.keys().fold(fault, |fault, id| rests_on_emitters(fault, id, job)));
        }
        for (index, id) in written.rooms.iter().enumerate() {
            let at = format!("/cooling/rooms/{index}");
            match self.room(id) {
                None => self.unknown_room(at, id),
                Some(_) if !has_floor(id) => {
                    let detail = format!("room {id} has no underfloor heating that could cool it");
                    let fault = Fault::new(at, FaultCode::NoFloorToCool, detail);
                    self.faults.push(rests_on_emitters(fault, id, job));
                }
                Some(room) => cooled[room] = true,
            }
        }
        Some(Cooling {
            flow_c: written.flow_temperature_c,
            rise_k: written.rise_k,
            inside_c,
            relative_humidity,
            surface_min_c,
            dew_point_margin_k,
            rooms: cooled,
        })
    }
}

/// A fault that rests on what heats a room.
fn rests_on_emitters(fault: Fault, id: &str, job: &Job) -> Fault {
    let emitters = job.rooms.get(id).map(|room| room.emitters.keys()).into_iter().flatten();
    let kinds = emitters.map(|emitter| format!("/rooms/{id}/emitters/{emitter}/kind"));
    kinds.chain([format!("/rooms/{id}/emitters/{EACH}")]).fold(fault, Fault::rests_on)
}
