//! The pipes as they are meant: runs, circuits, how they are sized, and what hangs at their ends.

mod circuits;
mod estimated;
mod kept;
mod open;
mod run;
mod sizing;
mod sketch;
mod tree;
mod unserved;
mod valves;

pub use circuits::{Freeze, HotWaterRun, Primary};
pub use run::{Joists, Lagging, Laid, Loss, Lying, Run};
pub use sizing::{Rule, Sizing};

use super::assumed::Pipes as Assumed;
use super::{Climate, Gathering};
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::offer::Tube;
use crate::catalogue::products::{Product, TubeMaterial};
use crate::intake::{Fault, FaultCode};
use crate::job::pipework::Manifold;
use crate::job::pipework::{Fittings, Pipework};
use crate::list::{Index, List};
use crate::notes::{Filled, Value};
use crate::survey::EmitterAt;

/// Runs and what they are sized by.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipes {
    /// How tubes are chosen.
    pub sizing: Sizing,
    /// Loss coefficient of a bend.
    pub bend_zeta: f64,
    /// Loss coefficient of a tee.
    pub tee_zeta: f64,
    /// Flow coefficient of a radiator or fan convector with its valves (m³/h).
    pub radiator_kv_m3_h: f64,
    /// Flow coefficient of the plant room.
    pub plant_kv: PlantKv,
    /// Indices into the offered tubes that may be used.
    pub tubes: Vec<Index<Tube>>,
    /// Flow coefficient of one loop's valves, for each manifold (m³/h).
    pub manifold_loop_kv_m3_h: List<Manifold, f64>,
    /// The runs; each stands after the run that it leaves from.
    pub runs: List<Run>,
    /// The circuit to the outdoor unit, if the job gives it.
    pub primary: Option<Primary>,
    /// The circuit to the cylinder, if the job gives it.
    pub hot_water: Option<HotWaterRun>,
    /// What keeps water outdoors from freezing.
    pub freeze: Freeze,
    /// What the job leaves open whatever thermostats shut; nothing where that is to be chosen.
    pub stays_open: Option<Vec<EmitterAt>>,
}

/// Flow coefficient of strainer, valves and gauges of the plant room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PlantKv {
    /// What the job says (m³/h).
    Given(f64),
    /// As usual: fittings as wide as the flow asks for.
    ByFlow {
        /// No less than this (m³/h).
        least_m3_h: f64,
        /// So many times the flow.
        times: f64,
    },
}

/// What a run serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// A radiator or fan convector.
    Radiator(EmitterAt),
    /// A manifold, by index.
    Manifold(Index<Manifold>),
}

impl Gathering<'_> {
    pub(super) fn pipes(&mut self, rooms: &List<super::Room>, climate: &Climate) -> Pipes {
        let default = Pipework::default();
        let (job, defaults) = (self.job, &self.catalogue.defaults);
        let written = job.pipework.as_ref().unwrap_or(&default);
        let mut filled = Filled::default();
        let sizing = sizing::sizing(written, defaults, &mut filled);
        if let Some(least_m_s) = sizing.velocity_min_m_s.filter(|least_m_s| *least_m_s >= sizing.velocity_max_m_s) {
            let most_m_s = sizing.velocity_max_m_s;
            let detail = format!("water cannot run at {least_m_s} m/s at least and at {most_m_s} m/s at most");
            self.faults.push(Fault::new("/pipework/sizing", FaultCode::BoundsUpsideDown, detail).limit(most_m_s));
        }
        let (bend_zeta, tee_zeta) = match written.fittings {
            Some(Fittings::Zeta { bend_zeta, tee_zeta }) => (bend_zeta, tee_zeta),
            None => {
                let (bend_zeta, tee_zeta) = (defaults.bend_zeta.value, defaults.tee_zeta.value);
                filled.figure("bend_zeta", bend_zeta, format!("zeta {bend_zeta} for a bend and {tee_zeta} for a tee"));
                filled.put("tee_zeta", Value::Figure(tee_zeta));
                (bend_zeta, tee_zeta)
            }
        };
        let mut or = |given: Option<f64>, default: &DefaultRow<f64>, (name, what): (_, &str)| {
            given.unwrap_or_else(|| {
                filled.figure(name, default.value, format!("a Kv of {} m³/h for {what}", default.value));
                default.value
            })
        };
        let of_radiator = ("radiator_kv_m3_h", "a radiator with its valves");
        let radiator_kv_m3_h = or(written.radiator_kv_m3_h, &defaults.radiator_kv_m3_h, of_radiator);
        let of_loop = ("loop_kv_m3_h", "the valves of a loop");
        let manifold_loop_kv_m3_h = written
            .manifolds
            .values()
            .map(|manifold| or(manifold.loop_kv_m3_h, &defaults.floor_loop_kv_m3_h, of_loop))
            .collect();
        let plant_kv = written.plant_kv_m3_h.map_or_else(
            || {
                let (least_m3_h, times) = (defaults.plant_kv_m3_h.value, defaults.plant_kv_times_flow.value);
                let words =
                    format!("a Kv of {least_m3_h} m³/h for the plant room, and no less than {times} times its flow");
                filled.figure("plant_kv_m3_h", least_m3_h, words);
                filled.put("plant_kv_times_flow", Value::Figure(times));
                PlantKv::ByFlow { least_m3_h, times }
            },
            PlantKv::Given,
        );
        if !filled.is_empty() {
            self.notes.add(&Assumed::Pipework { filled });
        }
        self.check_open_valves(written, radiator_kv_m3_h, &manifold_loop_kv_m3_h);
        let tubes = self.tubes(&written.tubes.iter().map(|tube| &**tube).collect::<Vec<_>>());
        let mut runs = self.runs(written, climate);
        let seen = self.seen(written);
        self.check_riser(written);
        self.serve_the_rest(&mut runs, rooms, (written, &seen), climate);
        self.tell_of_seen(&seen, &runs);
        let (primary, hot_water) = (self.primary(written, climate), self.hot_water_run(written, climate));
        let (freeze, stays_open) = (self.freeze(written, climate), self.stays_open(written, rooms));
        self.note_surroundings(written);
        Pipes {
            sizing,
            bend_zeta,
            tee_zeta,
            radiator_kv_m3_h,
            plant_kv,
            tubes,
            manifold_loop_kv_m3_h,
            runs,
            primary,
            hot_water,
            freeze,
            stays_open,
        }
    }

    /// The tubes that may be used, by bore: those that the job names, or those of the material that the price book begins
    /// with, for a firm does not change materials from run to run.
    fn tubes(&mut self, codes: &[&str]) -> Vec<Index<Tube>> {
        if codes.is_empty() {
            let first = self.first_material();
            let all = self.offer.tubes.enumerate();
            let tubes: Vec<Index<Tube>> = all
                .filter(|(_, tube)| tube.material == first && !tube.is_seldom_stocked)
                .map(|(index, _)| index)
                .collect();
            if tubes.len() < self.offer.tubes.len() {
                let material = first.map_or("unnamed material", TubeMaterial::words);
                self.notes.add(&Assumed::Tubes { material });
            }
            return tubes;
        }
        let mut tubes = Vec::with_capacity(codes.len());
        for (index, code) in codes.iter().enumerate() {
            match self.tube(code) {
                Some(tube) => tubes.push(tube),
                None => self.unknown_product(&format!("/pipework/tubes/{index}"), code, "tube"),
            }
        }
        tubes.sort_unstable();
        tubes.dedup();
        tubes
    }

    /// What the first tube of the price book is made of.
    fn first_material(&self) -> Option<TubeMaterial> {
        let mut materials = self.book.products.values().filter_map(|product| {
            let Product::Tube { material, .. } = product else { return None };
            Some(*material)
        });
        materials.next().flatten()
    }

    /// The tube of a code.
    fn tube(&self, code: &str) -> Option<Index<Tube>> {
        self.offer.tubes.position(|tube| self.is_product(tube.product, code))
    }
}
