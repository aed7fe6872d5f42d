//! A run as it is meant.

use super::{End, Gathering};
use crate::catalogue::offer::Tube;
use crate::job::emitters::Keep;
use crate::job::pipework::{Insulation, Place};
use crate::job::runs::{CrossedJoists, Fitting, FittingName, Readings};
use crate::list::Index;
use crate::methods::handbook_zeta::Named;
use crate::methods::hidden_tube::{Reading, Spread};
use crate::methods::water::water;
use crate::methods::{Off, pipe_loss};
use crate::notes::Filled;
use crate::survey::Climate;
use crate::survey::assumed::Pipes as Assumed;

/// One run, or one of the circuits of the plant.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Id of the run.
    pub id: String,
    /// JSON Pointer to it in the job.
    pub at: String,
    /// Index of the run that it leaves from; nothing at the plant.
    pub from: Option<Index<Run>>,
    /// Length of the route, one way (m).
    pub length_m: f64,
    /// Bends, one way.
    pub bends: u32,
    /// Fittings beside bends and tee, in both legs together, and how many of each.
    pub losses: Vec<(Loss, f64)>,
    /// Where it lies.
    pub place: Place,
    /// Greatest velocity in place of the one of its place (m/s).
    pub velocity_max_m_s: Option<f64>,
    /// How much of its route lies in the open (m).
    pub open_m: f64,
    /// Temperature about what does not (°C).
    pub surrounding_c: f64,
    /// Temperature about what does (°C).
    pub open_c: f64,
    /// What is round it.
    pub lagging: Lagging,
    /// Joists that it crosses.
    pub joists: Option<Joists>,
    /// What lies there already.
    pub laid: Option<Laid>,
    /// What it serves.
    pub serves: Vec<End>,
}

/// What a fitting loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Loss {
    /// A loss coefficient at the velocity in the run's tube.
    Zeta(f64),
    /// A flow coefficient (m³/h).
    Kv(f64),
    /// That of a handbook for the bore of the run's tube.
    Named(Named),
}

/// What is round a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lagging {
    /// Nothing.
    Bare,
    /// A thickness (mm) of a conductivity (W/(mK)).
    Given(f64, f64),
    /// What is usual for the place.
    ByPlace,
}

/// Joists that a run crosses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joists {
    /// Depth of one (mm).
    pub depth_mm: f64,
    /// Clear span of one, where it is known (m).
    pub span_m: Option<f64>,
}

/// What lies there already.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// What is known of it.
    pub lying: Lying,
    /// When it stays.
    pub keep: Keep,
}

/// What is known of a tube that lies there already.
#[derive(Debug, Clone, PartialEq)]
pub enum Lying {
    /// Which it is: index into the offered tubes.
    Tube(Index<Tube>),
    /// Readings of flow and pressure, and how sure they are.
    Read(Vec<Reading>, Spread),
}

impl Run {
    /// The tube that lies there, if it is known.
    #[must_use]
    pub fn existing_tube(&self) -> Option<Index<Tube>> {
        match self.laid.as_ref()?.lying {
            Lying::Tube(tube) => Some(tube),
            Lying::Read(..) => None,
        }
    }

    /// The readings of a tube that nobody can see.
    #[must_use]
    pub fn readings(&self) -> Option<(&[Reading], Spread)> {
        match &self.laid.as_ref()?.lying {
            Lying::Read(readings, spread) => Some((readings, *spread)),
            Lying::Tube(_) => None,
        }
    }
}

impl Gathering<'_> {
    /// A tube that lies there already; a code that names none is told.
    pub(super) fn laid(
        &mut self,
        at: &str,
        code: Option<&str>,
        readings: Option<&Readings>,
        keep: Option<Keep>,
    ) -> Option<Laid> {
        let lying = match (code, readings) {
            (Some(code), _) => match self.tube(code) {
                Some(tube) => Lying::Tube(tube),
                None => {
                    self.unknown_product(&format!("{at}/existing_tube"), code, "tube");
                    return None;
                }
            },
            (None, Some(readings)) => self.read(at, readings),
            (None, None) => return None,
        };
        Some(Laid { lying, keep: keep.unwrap_or(Keep::Always) })
    }

    fn read(&mut self, at: &str, readings: &Readings) -> Lying {
        let defaults = &self.catalogue.defaults;
        let (spread, water_c) = (defaults.reading_spread.value, defaults.reading_water_c.value);
        let mut filled = Filled::default();
        let mut or = |given: Option<f64>, name, what: &str| {
            given.unwrap_or_else(|| {
                filled.figure(name, spread, format!("{what} known to {:.0} % (a standard deviation)", 100.0 * spread));
                spread
            })
        };
        let flow = or(readings.flow_spread, "flow_spread", "every flow");
        let drop = or(readings.pressure_spread, "pressure_spread", "every pressure");
        let points = readings.points.iter().filter_map(|point| {
            let temperature_c = point.temperature_c.unwrap_or(water_c);
            // the schema keeps the temperature where water is liquid
            let liquid = water(temperature_c).ok()?;
            let flow_kg_s = point.flow_l_h / 3.6e6 * liquid.density_kg_m3;
            Some(Reading { flow_kg_s, drop_pa: 1000.0 * point.pressure_difference_kpa, liquid })
        });
        let points = points.collect();
        if readings.points.iter().any(|point| point.temperature_c.is_none()) {
            filled.figure("temperature_c", water_c, format!("water of {water_c} °C"));
        }
        if !filled.is_empty() {
            self.notes.add(&Assumed::Readings { at: at.into(), filled });
        }
        Lying::Read(points, Spread { flow, drop })
    }

    /// What is round a pipe: what it says itself, or what the pipework has in common. Where neither says anything, what lies in
    /// the open is insulated as is usual there, and what is new in lofts and unheated places as well.
    pub(super) fn lagging(
        &mut self,
        at: &str,
        own: Option<&Insulation>,
        common: Option<&Insulation>,
        (open_m, place, is_new): (f64, Place, bool),
    ) -> Lagging {
        let is_cold = is_new && matches!(place, Place::Loft | Place::Unheated);
        match own.or(common) {
            None if open_m > 0.0 => {
                self.notes.add(&Assumed::InTheOpen { at: at.into(), open_m });
                Lagging::ByPlace
            }
            None if is_cold => {
                self.notes.add(&Assumed::InTheCold { at: at.into() });
                Lagging::ByPlace
            }
            Some(Insulation::Bare {}) | None => Lagging::Bare,
            Some(Insulation::Given { thickness_mm, conductivity_w_mk }) => {
                Lagging::Given(*thickness_mm, *conductivity_w_mk)
            }
            Some(Insulation::ByPlace {}) => Lagging::ByPlace,
        }
    }

    /// How much of a run lies in the open (m), and the temperatures about the rest and about that (°C): what the job says,
    /// or by the place. A place in the open is that of the whole run unless the job says how much of it is.
    pub(super) fn surroundings(
        &self,
        place: Place,
        length_m: f64,
        (told_m, given_c): (Option<f64>, Option<f64>),
        climate: &Climate,
    ) -> (f64, f64, f64) {
        let room_c = self.catalogue.defaults.pipe_surrounding_c.value;
        let is_open = place == Place::Outdoors;
        let open_m = told_m.unwrap_or(if is_open { length_m } else { 0.0 }).min(length_m);
        let rest = if is_open { Place::PlantRoom } else { place };
        let inside_c = given_c.unwrap_or_else(|| surrounding_c(rest, room_c, climate));
        // a temperature that is given is that of the whole only where the place is
        let open_c = given_c.filter(|_| is_open && told_m.is_none());
        (open_m, inside_c, open_c.unwrap_or_else(|| surrounding_c(Place::Outdoors, room_c, climate)))
    }
}

/// Temperature about a pipe by its place (°C): that of rooms and plant rooms, lofts and unheated places midway between that
/// and the outside design temperature, the open at the latter.
fn surrounding_c(place: Place, room_c: f64, climate: &Climate) -> f64 {
    let outside_c = climate.outside_design_c();
    match place {
        Place::Bedroom | Place::Occupied | Place::PlantRoom => room_c,
        Place::Loft | Place::Unheated => pipe_loss::unheated_air(room_c, outside_c, &mut Off),
        Place::Outdoors => outside_c,
    }
}

/// What fittings lose, in both legs together.
pub(super) fn losses(fittings: &[Fitting]) -> Vec<(Loss, f64)> {
    let each = fittings.iter().map(|fitting| match *fitting {
        Fitting::Zeta { zeta, count } => (Loss::Zeta(zeta), f64::from(count)),
        Fitting::Kv { kv_m3_h, count } => (Loss::Kv(kv_m3_h), f64::from(count)),
        Fitting::Named { name, count } => (Loss::Named(named(name)), f64::from(count)),
    });
    each.collect()
}

fn named(name: FittingName) -> Named {
    match name {
        FittingName::SharpElbow => Named::SharpElbow,
        FittingName::LongBend => Named::LongBend,
        FittingName::GlobeValve => Named::GlobeValve,
        FittingName::AngleValve => Named::AngleValve,
        FittingName::GateValve => Named::GateValve,
        FittingName::BallValve => Named::BallValve,
        FittingName::VesselEntry => Named::VesselEntry,
        FittingName::VesselExit => Named::VesselExit,
        FittingName::ReturnBend => Named::ReturnBend,
        FittingName::EighthBend => Named::EighthBend,
        FittingName::TeeThrough => Named::TeeThrough,
        FittingName::TeeBranch => Named::TeeBranch,
        FittingName::PanelRadiator => Named::PanelRadiator,
        FittingName::ColumnRadiator => Named::ColumnRadiator,
        FittingName::PlasticWeld => Named::PlasticWeld,
        FittingName::FlangedJoint => Named::FlangedJoint,
    }
}

/// Joists that a run crosses.
pub(super) fn joists(written: Option<&CrossedJoists>) -> Option<Joists> {
    written.map(|&CrossedJoists { depth_mm, span_m }| Joists { depth_mm, span_m })
}
